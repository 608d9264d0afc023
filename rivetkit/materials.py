"""Sheet alloys: density, allowable stresses, elastic modulus, and the names the tables know."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal

from rivetkit.errors import InputError
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.materials import DensityRow, SheetAlloyRow, SheetMetalRow
from rivetkit.handbook.rows.strength import ElasticModulusRow
from rivetkit.quantities import joined_words, length_words, shown

if TYPE_CHECKING:
    from collections.abc import Callable

SheetProperty = Literal["tension", "tension yield", "shear", "bearing", "modulus"]

#: Which kind of allowable answers, first to last. B values, which one part in ten may miss, never
#: do; a document's own design basis does where no allowable proper is on file for the alloy.
_KINDS = ("A", "S", "minimum", "handbook_basis")
_CLAD_WORDS = {"clad", "alclad"}
#: What a name says besides the metal.
_FORM_WORDS = {"sheet", "plate", "alloy", "cast", "extruded", "impact-modified", "multiwall"}
_TEMPER = re.compile(r"-(?:o|f|w|[th]\d+)\b")
_CLADDING = re.compile(r"\b(?:clad|alclad)\b")
#: Four digits and a temper are a wrought aluminium alloy, clad or not; steels have no temper
#: (designation systems of the two metals).
_WROUGHT_ALUMINIUM = re.compile(r"[1-8]\d{3}-(?:o|f|w|[th]\d+)")
_DESIGNATION = Citation(
    rule="materials/sheet_metals",
    source="common-practice",
    locator="designation of wrought aluminium alloys",
    basis="memory",
)
#: A thickness this close to the end of a band is in it; absorbs binary rounding only [in].
_SAME_IN = 1e-9


@dataclass(frozen=True, slots=True)
class SheetStress:
    """A stress of a sheet alloy [ksi], of which kind it is, and where it comes from."""

    value_ksi: float
    allowable: str
    citation: Citation


@dataclass(frozen=True, slots=True)
class BearingStress:
    """Ultimate bearing stress of a sheet [ksi] at the least and at the full edge distance.

    ``least_edge_ksi`` is none where the document states one figure only.
    """

    least_edge_ksi: float | None
    full_edge_ksi: float
    allowable: str
    citation: Citation


@cache
def sheet_densities() -> dict[str, DensityRow]:
    """Return the density rows of sheet alloys, by name in lower case."""
    return {row.material.lower(): row for row in load_table(DensityRow) if row.kind == "sheet"}


def sheet_density(alloy: str) -> tuple[float, Citation] | None:
    """Return the density of a sheet alloy [lb/in3] and where it comes from.

    Parameters
    ----------
    alloy
        Alloy and temper, such as ``2024-T3`` or ``2024-T3 clad``; case does not matter.

    Returns
    -------
    tuple or None
        None when the tables do not have the alloy.
    """
    row = sheet_densities().get(" ".join(alloy.lower().split()))
    return (row.density_lb_per_in3, row.citation()) if row else None


def sheet_alloys() -> tuple[str, ...]:
    """Return the alloys and tempers with allowables on file, each once."""
    return tuple(dict.fromkeys(row.alloy for row in load_table(SheetAlloyRow)))


def split_alloy(alloy: str) -> tuple[str, bool]:
    """Return an alloy's name in capitals, and whether the sheet is clad.

    Parameters
    ----------
    alloy
        Such as ``2024-T3``, ``2024-T3 clad``, ``2024-T3-clad`` or ``alclad 2024-T3``.

    Examples
    --------
    >>> split_alloy("2024-t3 clad"), split_alloy("Alclad 2024-T3"), split_alloy("6061-T6")
    (('2024-T3', True), ('2024-T3', True), ('6061-T6', False))
    """
    words = alloy.replace("-", " - ").split()
    kept = [word for word in words if word.lower() not in _CLAD_WORDS]
    name = " ".join(kept).replace(" - ", "-").strip(" -").upper()
    return name, len(kept) < len(words)


def alloy_meant(alloy: str) -> str | None:
    """Return the alloy on file that a name differs from by its spelling only.

    Parameters
    ----------
    alloy
        A name.

    Returns
    -------
    str or None
        None when the name is on file, or is no other spelling of one that is.

    Examples
    --------
    >>> alloy_meant("2024T3 alclad"), alloy_meant("2024-T3"), alloy_meant("acrylic")
    ('2024-T3 clad', None, None)
    >>> alloy_meant("2O24-T3"), alloy_meant("2024-T3 bare")
    ('2024-T3', '2024-T3')
    """
    name, clad = split_alloy(alloy)
    known = dict.fromkeys(split_alloy(one)[0] for one in sheet_alloys())
    if name in known:
        return None
    letters = _letters(name.removesuffix("BARE"))
    meant = next((one for one in known if _letters(one) == letters), None)
    return f"{meant} clad" if meant is not None and clad else meant


def require_spelling(alloy: str) -> str:
    """Return an alloy as it was typed; one that no table has is allowed, a misspelt one is not.

    Raises
    ------
    InputError
        When the name differs from one on file by its spelling only.

    Examples
    --------
    >>> require_spelling("a maker's own")
    "a maker's own"
    """
    meant = alloy_meant(alloy)
    if meant is not None:
        raise InputError(f"there is no alloy '{shown(alloy)}'", mend=f"did you mean '{meant}'?")
    return alloy


def unlisted_words(alloy: str) -> str:
    """Return why an alloy is not known to any table, empty when one has it or none is named.

    Examples
    --------
    >>> unlisted_words("2024-T3"), unlisted_words("2042-T3")
    ('', "no table has the alloy '2042-T3'; is 2024-T3 meant?")
    """
    name, _ = split_alloy(alloy)
    if not name or name in sheet_alloys():
        return ""
    # Of another metal nobody looks for allowables: to name it is no slip.
    metal = _metal_named(untempered(alloy))
    if metal is not None and metal.metal != "aluminium":
        return ""
    near = difflib.get_close_matches(name, sheet_alloys(), n=1)
    return f"no table has the alloy '{alloy}'" + (f"; is {near[0]} meant?" if near else "")


def untempered(material: str) -> str:
    """Return a material's name in lower case without temper and cladding.

    Examples
    --------
    >>> untempered("2024-T3 clad"), untempered("Alclad 7075-T6"), untempered("17-7PH")
    ('2024', '7075', '17-7ph')
    """
    return " ".join(_CLADDING.sub(" ", _TEMPER.sub("", material.lower())).split())


def sheet_metal(material: str) -> tuple[str, Citation] | None:
    """Return which metal a sheet is, and where that comes from.

    Parameters
    ----------
    material
        Its name as a job has it: an alloy with or without its temper, or the metal itself.

    Returns
    -------
    tuple or None
        ``none`` for a plastic or a laminate; None where no table has the name.

    Examples
    --------
    >>> [sheet_metal(name)[0] for name in ("2024-T3 clad", "AZ31B-H24", "304 stainless", "PMMA")]
    ['aluminium', 'magnesium', 'stainless', 'none']
    >>> sheet_metal("aluminium bronze") is None
    True
    """
    named = _metal_named(untempered(material))
    if named is not None:
        return named.metal, named.citation()
    bare = " ".join(_CLADDING.sub(" ", material.lower()).split())
    return ("aluminium", _DESIGNATION) if _WROUGHT_ALUMINIUM.fullmatch(bare) else None


@cache
def _metal_named(words: str) -> SheetMetalRow | None:
    """Return the row of a name, or of all its words where they tell one metal."""
    rows: dict[str, SheetMetalRow] = {row.name.lower(): row for row in load_table(SheetMetalRow)}
    if words in rows:
        return rows[words]
    kept = words.replace("stainless steel", "stainless").split()
    found = [rows.get(word) for word in kept if word not in _FORM_WORDS]
    if not found or len({row.metal if row else "" for row in found}) > 1:
        return _steel_grade(found)
    return found[0]


def _steel_grade(found: list[SheetMetalRow | None]) -> SheetMetalRow | None:
    """Return the first of several rows where the rest only say that it is a steel."""
    known = [row for row in found if row is not None]
    steels = bool(known) and len(known) == len(found) and known[0].metal in {"steel", "stainless"}
    return known[0] if steels and all(row.name == "steel" for row in known[1:]) else None


def _letters(name: str) -> str:
    """Return what tells a name, with a zero for the letter O, which is typed for it."""
    return "".join(letter for letter in name if letter.isalnum()).replace("O", "0")


def tension_ultimate(alloy: str, thickness_in: float) -> SheetStress | None:
    """Return the ultimate tensile stress of a sheet, the lower of along and across the grain.

    Parameters
    ----------
    alloy
        As for :func:`split_alloy`.
    thickness_in
        Sheet thickness [in].

    Returns
    -------
    SheetStress or None
        None when no table has it for this thickness.

    Examples
    --------
    >>> tension_ultimate("2024-T3", 0.040).value_ksi
    63.0
    """
    return _stress(alloy, thickness_in, _READERS["tension"])


def tension_yield(alloy: str, thickness_in: float) -> SheetStress | None:
    """Return the tensile yield stress of a sheet, the lower of along and across the grain.

    Parameters
    ----------
    alloy
        As for :func:`split_alloy`.
    thickness_in
        Sheet thickness [in].
    """
    return _stress(alloy, thickness_in, _READERS["tension yield"])


def shear_ultimate(alloy: str, thickness_in: float) -> SheetStress | None:
    """Return the ultimate shear stress of a sheet.

    Parameters
    ----------
    alloy
        As for :func:`split_alloy`.
    thickness_in
        Sheet thickness [in].
    """
    return _stress(alloy, thickness_in, _READERS["shear"])


def bearing_ultimate(alloy: str, thickness_in: float) -> BearingStress | None:
    """Return the ultimate bearing stress of a sheet, or None when no table has it.

    Parameters
    ----------
    alloy
        As for :func:`split_alloy`.
    thickness_in
        Sheet thickness [in].
    """
    row = _row(alloy, thickness_in, _bearing_of)
    full_ksi = None if row is None else _bearing_of(row)
    if row is None or full_ksi is None:
        return None
    # With one figure nobody knows what edge distance it is for: it is taken to need the full one.
    least_ksi = None if row.fbru_e20_ksi is None else row.fbru_e15_ksi
    return BearingStress(least_ksi, full_ksi, row.allowable, row.citation())


def elastic_modulus(alloy: str, thickness_in: float) -> SheetStress | None:
    """Return the elastic modulus of a sheet, or None when no table has it.

    Parameters
    ----------
    alloy
        As for :func:`split_alloy`.
    thickness_in
        Sheet thickness [in].
    """
    name, clad = split_alloy(alloy)
    for row in load_table(ElasticModulusRow):
        within = _within(thickness_in, row.thickness_min_in, row.thickness_max_in)
        if (row.alloy, row.clad) == (name, clad) and within:
            return SheetStress(row.modulus_ksi, "typical", row.citation())
    return None


def missing_words(which: SheetProperty, alloy: str, thickness_in: float) -> str:
    """Return why a property of a sheet is not known.

    Parameters
    ----------
    which
        The property that was looked for.
    alloy
        As for :func:`split_alloy`; empty when nobody named it.
    thickness_in
        Sheet thickness [in].

    Examples
    --------
    >>> missing_words("bearing", "3003-H14", 0.032)
    'no bearing stress is on file for 3003-H14'
    >>> missing_words("bearing", "7075-T6", 0.032)
    'the bearing stress on file for 7075-T6 is for 0.04 in to 0.125 in, not 0.032 in'
    """
    what = "elastic modulus" if which == "modulus" else f"{which} stress"
    if not alloy.strip():
        return f"no alloy was named, so its {what} is not known"
    name, clad = split_alloy(alloy)
    called = f"{name} clad" if clad else name
    bands = _bands(which, name, clad=clad)
    if not bands:
        return f"no {what} is on file for {called}"
    told = [length_words("{least} to {most}", least=low, most=high) for low, high in bands]
    return length_words(
        "the {what} on file for {alloy} is for {bands}, not {thickness}",
        what=what,
        alloy=called,
        bands=joined_words(" and ", told),
        thickness=thickness_in,
    )


def _bands(which: SheetProperty, name: str, *, clad: bool) -> list[tuple[float, float]]:
    rows: list[ElasticModulusRow] | list[SheetAlloyRow]
    if which == "modulus":
        moduli = load_table(ElasticModulusRow)
        rows = [row for row in moduli if (row.alloy, row.clad) == (name, clad)]
    else:
        rows = _best_rows(name, clad=clad, read=_READERS[which])
    ends = [(row.thickness_min_in, row.thickness_max_in) for row in rows]
    return [(low, high) for low, high in ends if low is not None and high is not None]


def _lower(along_ksi: float | None, across_ksi: float | None) -> float | None:
    known = [stress for stress in (along_ksi, across_ksi) if stress is not None]
    return min(known, default=None)


def _bearing_of(row: SheetAlloyRow) -> float | None:
    return row.fbru_e15_ksi if row.fbru_e20_ksi is None else row.fbru_e20_ksi


_READERS: dict[str, Callable[[SheetAlloyRow], float | None]] = {
    "tension": lambda row: _lower(row.ftu_l_ksi, row.ftu_lt_ksi),
    "tension yield": lambda row: _lower(row.fty_l_ksi, row.fty_lt_ksi),
    "shear": lambda row: row.fsu_ksi,
    "bearing": _bearing_of,
}


def _best_rows(
    name: str, *, clad: bool, read: Callable[[SheetAlloyRow], float | None]
) -> list[SheetAlloyRow]:
    """Return the rows of the first kind of allowable that has the value, whatever the band.

    Mixing kinds by thickness could make a thinner sheet come out the stronger.
    """
    rows = [
        row
        for row in load_table(SheetAlloyRow)
        if (row.alloy, row.clad) == (name, clad) and read(row) is not None
    ]
    for kind in _KINDS:
        found = [row for row in rows if row.allowable == kind]
        if found:
            return found
    return []


def _row(
    alloy: str, thickness_in: float, read: Callable[[SheetAlloyRow], float | None]
) -> SheetAlloyRow | None:
    name, clad = split_alloy(alloy)
    for row in _best_rows(name, clad=clad, read=read):
        if _within(thickness_in, row.thickness_min_in, row.thickness_max_in):
            return row
    return None


def _stress(
    alloy: str, thickness_in: float, read: Callable[[SheetAlloyRow], float | None]
) -> SheetStress | None:
    row = _row(alloy, thickness_in, read)
    value_ksi = None if row is None else read(row)
    if row is None or value_ksi is None:
        return None
    return SheetStress(value_ksi, row.allowable, row.citation())


def _within(thickness_in: float, least_in: float | None, most_in: float | None) -> bool:
    return (least_in is None or thickness_in >= least_in - _SAME_IN) and (
        most_in is None or thickness_in <= most_in + _SAME_IN
    )
