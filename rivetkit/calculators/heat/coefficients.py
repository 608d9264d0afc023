"""How much a material grows with heat: what each document on file says."""

from __future__ import annotations

import difflib
from functools import cache

from rivetkit.errors import InputError, OutOfTableError
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.materials import ThermalExpansionRow
from rivetkit.materials import untempered
from rivetkit.quantities import shown

#: A degree C is this many degrees F (the definition of the scales).
DEGF_PER_DEGC = 1.8

_NEAR = 3


def expansion_per_degf(row: ThermalExpansionRow) -> float:
    """Return the coefficient of linear expansion of a row [in/in per degF].

    Parameters
    ----------
    row
        A row of the table of coefficients.

    Examples
    --------
    >>> row = expansion_rows("acrylic cast sheet")[0]
    >>> round(expansion_per_degf(row) * 1e6, 9)
    40.0
    """
    degrees = DEGF_PER_DEGC if row.per == "degC" else 1.0
    return row.coefficient_ppm * 1e-6 / degrees


@cache
def expansion_materials() -> tuple[str, ...]:
    """Return the materials whose expansion is on file, each once, in the table's order."""
    return tuple(dict.fromkeys(row.material for row in load_table(ThermalExpansionRow)))


def expansion_rows(material: str) -> tuple[ThermalExpansionRow, ...]:
    """Return what every document says of a material's expansion.

    Parameters
    ----------
    material
        An alloy with or without its temper (``2024-T3 clad``), or another material of the table,
        with or without its grade (``acrylic``, ``acrylic cast``). Without one, every grade
        counts.

    Raises
    ------
    InputError
        When the name is empty.
    OutOfTableError
        When no document on file tells the material's expansion.

    Examples
    --------
    >>> [row.coefficient_ppm for row in expansion_rows("2024-T3 clad")]
    [23.2, 22.9]
    """
    words = _plain(material)
    if not words:
        raise InputError("no material is named", mend="name one, such as 2024 or acrylic")
    # Temper and cladding do not change how an alloy grows: 2024-T3 clad is 2024.
    for name in (words, untempered(words)):
        found = tuple(row for row in load_table(ThermalExpansionRow) if _matches(row, name))
        if found:
            return found
    raise OutOfTableError(f"the expansion of '{shown(material)}' is not on file", mend=_hint(words))


def expansion_name(material: str) -> str:
    """Return the name of a material in the table of coefficients, with the grade asked for.

    Parameters
    ----------
    material
        As for :func:`expansion_rows`.

    Raises
    ------
    OutOfTableError
        When no document on file tells the material's expansion.

    Examples
    --------
    >>> expansion_name("PMMA cast"), expansion_name("6061-T6")
    ('acrylic cast sheet', '6061')
    """
    rows = expansion_rows(material)
    grades = {row.grade for row in rows} - {""}
    named = len(grades) == 1 and _names_grade(_plain(material), rows)
    return f"{rows[0].material} {grades.pop()}" if named else rows[0].material


def _plain(text: str) -> str:
    return " ".join(text.lower().split())


def _names(row: ThermalExpansionRow) -> list[str]:
    return [_plain(name) for name in (row.material, *row.also.split(";")) if name]


def _matches(row: ThermalExpansionRow, words: str) -> bool:
    for name in _names(row):
        if words == name:
            return True
        if not words.startswith(f"{name} "):
            continue
        grade = words.removeprefix(f"{name} ")
        if grade in _grades(row.grade):
            return True
        if not row.grade and _is_grade(row.material, grade):
            return True
    return False


def _grades(grade: str) -> set[str]:
    """Return the ways to write a grade: with and without the word sheet."""
    return {grade, grade.removesuffix(" sheet")} if grade else set()


@cache
def _is_grade(material: str, grade: str) -> bool:
    return any(
        row.material == material and grade in _grades(row.grade)
        for row in load_table(ThermalExpansionRow)
    )


def _names_grade(words: str, rows: tuple[ThermalExpansionRow, ...]) -> bool:
    return all(words not in _names(row) for row in rows)


def _hint(words: str) -> str:
    names = [name for row in load_table(ThermalExpansionRow) for name in _names(row)]
    near = difflib.get_close_matches(words, dict.fromkeys(names), n=_NEAR)
    if near:
        return f"did you mean {' or '.join(near)}?"
    return f"on file are {', '.join(expansion_materials())}"
