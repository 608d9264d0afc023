"""Strength before and after, as a table and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.quantities import words_in_unit
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import Column, Table, basis_mark

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.planning.strength.change import RowSide, SheetChange, StrengthChange
    from rivetkit.reports.amounts import LengthUnit

#: More row names than this in one cell are counted, not listed.
_MOST_NAMES = 3


def strength_table(changes: Sequence[StrengthChange], unit: LengthUnit) -> Table:
    """Return strength a rivet before and after for the rows that change, like ones together."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for change in changes:
        cells = (
            _changes_words(change, unit),
            _loads(change),
            _ratio(change),
            _critical(change),
            VERDICT_WORDS[change.check.verdict],
        )
        rows.setdefault(cells, []).append(change.row)
    sheets = any(change.sheets for change in changes)
    columns = (
        Column("row", wrap=True),
        Column("what changes", unit if sheets else "", weight=7, wrap=True),
        Column("a rivet", "lbf", align="right"),
        Column("ratio", align="right"),
        Column("gives way first", weight=8, wrap=True),
        Column("verdict"),
    )
    return Table(columns, tuple((_names(names), *cells) for cells, names in rows.items()))


def strength_lines(changes: Sequence[StrengthChange], unit: LengthUnit) -> tuple[str, ...]:
    """Return what there is to say of the rows besides, like things said once."""
    told: dict[str, list[str]] = {}
    for change in changes:
        lines = list(change.notes)
        if change.check.reason:
            lines.append(words_in_unit(change.check.reason, unit))
        if change.needed is not None:
            kinds = " and ".join(part for part, _ in change.after.rivets)
            lines.append(
                f"it would take {change.needed} {kinds} to carry what {change.count} rivets carried"
            )
        basis = basis_mark(change.check.basis)
        if basis and change.check.value is not None:
            lines.append(f"rests on values {basis}" if "from" in basis else f"rests on {basis}")
        for line in lines:
            told.setdefault(line, []).append(change.row)
    return tuple(f"{_names(names)}: {line}." for line, names in told.items())


def _loads(change: StrengthChange) -> str:
    if change.before_lbf is None and change.after_lbf is None:
        return "not known"
    before, after = (
        "not known" if load_lbf is None else f"{load_lbf:.0f}"
        for load_lbf in (change.before_lbf, change.after_lbf)
    )
    if change.before_lbf is None or change.after_lbf is None:
        return f"{before}; after: {after}"
    return f"{before} to {after}"


def _ratio(change: StrengthChange) -> str:
    if change.check.value is None:
        return ""
    value = change.check.value
    words = {"at least": " or more", "at most": " or less"}.get(change.bound, "")
    number = "1" if change.like_for_like else f"{value:.3f}"
    # What fails by less than the digits shown must not read as a pass.
    if change.check.margin and float(number) == change.check.limit and value != float(number):
        number = f"{value:.6f}"
    return number + words


def _critical(change: StrengthChange) -> str:
    if change.like_for_like:
        return "not known, but no weaker than it was"
    if change.critical_before == change.critical_after:
        return change.critical_after or "not known"
    return f"{change.critical_before or 'not known'}; after: {change.critical_after or 'not known'}"


def _changes_words(change: StrengthChange, unit: LengthUnit) -> str:
    words = [_sheet_words(sheet, unit) for sheet in change.sheets]
    old, new = change.before.rivets, change.after.rivets
    one_kind = len(old) == len(new) == 1 and old[0][1] == new[0][1]
    if one_kind and old != new:
        words.append(f"{old[0][0]} to {new[0][0]}")
    elif old != new:
        words.append(f"{_rivet_words(old)} to {_rivet_words(new) or 'none'}")
    return ", ".join(words)


def _sheet_words(sheet: SheetChange, unit: LengthUnit) -> str:
    if sheet.old_in is None or sheet.new_in is None:
        return f"{sheet.layer} {'added' if sheet.old_in is None else 'left off'}"
    old, new = (length_number(size_in, unit, 3) for size_in in (sheet.old_in, sheet.new_in))
    if sheet.old_alloy == sheet.new_alloy:
        return f"{sheet.layer} {old} to {new}"
    return f"{sheet.layer} {old} {sheet.old_alloy} to {new} {sheet.new_alloy}"


def _rivet_words(rivets: tuple[tuple[str, int], ...]) -> str:
    return " and ".join(f"{count} {part}" for part, count in rivets)


def _names(names: list[str]) -> str:
    more = len(names) - _MOST_NAMES
    return ", ".join(names[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def strength_data(changes: Sequence[StrengthChange], unit: LengthUnit) -> list[dict[str, object]]:
    """Return strength before and after as JSON data, loads in lbf."""
    return [
        {
            "row": change.row,
            "before": _side(change.before, unit),
            "after": _side(change.after, unit),
            "sheets": [_sheet(sheet, unit) for sheet in change.sheets],
            "ratio": change.check.value,
            "ratio_is": change.bound,
            "least_ratio": change.check.limit,
            "like_for_like": change.like_for_like,
            "rivets_needed": change.needed,
            "verdict": str(change.check.verdict),
            "reason": words_in_unit(change.check.reason, unit),
            "notes": list(change.notes),
        }
        for change in changes
    ]


def _side(side: RowSide, unit: LengthUnit) -> dict[str, object]:
    return {
        "rivets": [{"part_number": part, "count": count} for part, count in side.rivets],
        "each_lbf": side.each_lbf,
        "whole_row_lbf": side.whole_lbf,
        "per_inch_lbf": side.per_in_lbf,
        "critical": side.critical,
        "not_known_because": words_in_unit(side.why, unit),
    }


def _sheet(sheet: SheetChange, unit: LengthUnit) -> dict[str, object]:
    return {
        "layer": sheet.layer,
        "old_alloy": sheet.old_alloy,
        **length_entry("old", sheet.old_in, unit),
        "new_alloy": sheet.new_alloy,
        **length_entry("new", sheet.new_in, unit),
    }
