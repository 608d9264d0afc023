"""Checks in full: those of one formula and one set of sources under one heading."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.handbook.sources import BASIS_MEANING
from rivetkit.quantities import words_in_unit
from rivetkit.reports.amounts import amount_number, margin_number, shown_unit
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import Column, Table, without_empty_columns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.checks import Check
    from rivetkit.reports.amounts import LengthUnit


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """Checks of one kind held to one rule: the formula and its sources stand once above them."""

    name: str
    formula: str
    rule: str
    sources: tuple[str, ...]
    basis: str
    measured_to: str
    table: Table


def check_groups(checks: Sequence[Check], length_unit: LengthUnit) -> tuple[CheckGroup, ...]:
    """Return checks in groups of one formula and one set of sources, in order of appearance."""
    groups: dict[tuple[object, ...], list[Check]] = {}
    for check in checks:
        key = (check.name, check.template, check.citations, check.accuracy)
        groups.setdefault(key, []).append(check)
    return tuple(_group(members, length_unit) for members in groups.values())


def _group(members: Sequence[Check], length_unit: LengthUnit) -> CheckGroup:
    first = members[0]
    measured_to = ""
    if first.accuracy:
        number = amount_number(first.accuracy, first.unit, length_unit)
        measured_to = f"+/- {number} {shown_unit(first.unit, length_unit)}"
    return CheckGroup(
        name=first.name,
        formula=first.formula,
        rule=first.rule,
        sources=tuple(citation.words() for citation in first.citations),
        basis=f"{first.basis}: {BASIS_MEANING[first.basis]}" if first.citations else "",
        measured_to=measured_to,
        table=_table(members, length_unit),
    )


def _table(members: Sequence[Check], length_unit: LengthUnit) -> Table:
    units = {shown_unit(check.unit, length_unit) for check in members if check.unit}
    columns = (
        Column("where", wrap=True),
        Column("with numbers", wrap=True),
        Column("margin", units.pop() if len(units) == 1 else "", align="right"),
        Column("verdict"),
        Column("because", wrap=True),
    )
    rows = tuple(
        (
            words_in_unit(check.where, length_unit),
            check.substituted(length_unit),
            "" if check.margin is None else margin_number(check.margin, check.unit, length_unit),
            VERDICT_WORDS[check.verdict],
            words_in_unit(check.reason, length_unit),
        )
        for check in members
    )
    return without_empty_columns(Table(columns, rows))
