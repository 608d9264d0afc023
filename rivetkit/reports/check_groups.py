"""Checks in full: those of one formula and one set of sources under one heading."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.handbook.sources import BASIS_MEANING, source_title
from rivetkit.quantities import words_in_unit
from rivetkit.reports.amounts import amount_number, margin_number, shown_unit
from rivetkit.reports.check_lines import CheckLine, closest_lines, one_line
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import Column, Table, without_empty_columns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.checks import Check
    from rivetkit.handbook import Citation
    from rivetkit.reports.amounts import LengthUnit


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """Checks of one kind held to one rule: the formula and its sources stand once above them.

    ``table`` has the same columns in every group. ``left_out`` counts checks that passed further
    from their limit than the closest of their row, and have no line.
    """

    name: str
    formula: str
    rule: str
    sources: tuple[str, ...]
    basis: str
    measured_to: str
    table: Table
    left_out: int


def check_groups(
    checks: Sequence[Check], length_unit: LengthUnit, *, every: bool
) -> tuple[CheckGroup, ...]:
    """Return checks in groups of one formula and one set of sources, in order of appearance.

    Parameters
    ----------
    checks
        What to show.
    length_unit
        Unit to show it in.
    every
        Whether each check has a line of its own, or those of one row that passed share one: that
        of the closest to its limit.
    """
    groups: dict[tuple[object, ...], list[Check]] = {}
    for check in checks:
        key = (check.name, check.template, check.citations, check.accuracy)
        groups.setdefault(key, []).append(check)
    found = [
        _group(
            tuple(one_line(check, length_unit) for check in members)
            if every
            else closest_lines(members, length_unit),
            length_unit,
        )
        for members in groups.values()
    ]
    whole = Table(_COLUMNS, tuple(row for group in found for row in group.table.rows))
    kept = without_empty_columns(whole).columns
    return tuple(replace(group, table=_with_columns(group.table, kept)) for group in found)


def _with_columns(table: Table, kept: Sequence[Column]) -> Table:
    places = [place for place, column in enumerate(table.columns) if column in kept]
    rows = tuple(tuple(row[place] for place in places) for row in table.rows)
    return Table(tuple(table.columns[place] for place in places), rows)


_COLUMNS = (
    Column("where", wrap=True),
    Column("with numbers", wrap=True),
    Column("margin", align="right"),
    Column("verdict"),
    Column("closest of", align="right"),
)


def _group(lines: Sequence[CheckLine], length_unit: LengthUnit) -> CheckGroup:
    first = lines[0].check
    measured_to = ""
    if first.accuracy:
        number = amount_number(first.accuracy, first.unit, length_unit)
        measured_to = f"+/- {number} {shown_unit(first.unit, length_unit)}"
    return CheckGroup(
        name=first.name,
        formula=first.formula,
        rule=first.rule,
        sources=_sources(first.citations),
        basis=f"{first.basis}: {BASIS_MEANING[first.basis]}" if first.citations else "",
        measured_to=measured_to,
        table=_table(lines, length_unit),
        left_out=sum(line.closest_of - line.rows for line in lines),
    )


def _sources(citations: Sequence[Citation]) -> tuple[str, ...]:
    """Return the documents behind a check, each named once with all its places."""
    places: dict[str, dict[str, None]] = {}
    for citation in citations:
        document = "" if citation.overridden else source_title(citation.source)
        place = citation.words().removeprefix(f"{document}, ").removeprefix(f"{document} ")
        places.setdefault(document, {})[place] = None
    return tuple(
        f"{document}, {'; '.join(found)}" if document else "; ".join(found)
        for document, found in places.items()
    )


def _table(lines: Sequence[CheckLine], length_unit: LengthUnit) -> Table:
    rows = tuple(
        (
            "; ".join(line.places),
            _numbers(line.check, length_unit),
            _margin(line.check, length_unit),
            VERDICT_WORDS[line.check.verdict],
            str(line.closest_of) if line.closest_of > line.rows else "",
        )
        for line in lines
    )
    return Table(_COLUMNS, rows)


def _numbers(check: Check, length_unit: LengthUnit) -> str:
    """Return the formula with numbers put in, and what there is to say beside it or for it."""
    said = (check.substituted(length_unit), words_in_unit(check.reason, length_unit))
    return "; ".join(part for part in said if part)


def _margin(check: Check, length_unit: LengthUnit) -> str:
    if check.margin is None:
        return ""
    unit = shown_unit(check.unit, length_unit)
    return f"{margin_number(check.margin, check.unit, length_unit)} {unit}".strip()
