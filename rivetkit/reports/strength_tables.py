"""Strength before and after, as a table and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.reports.check_table import VERDICT_WORDS
from rivetkit.reports.document import Column, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.planning.strength_change import StrengthChange


def strength_table(changes: Sequence[StrengthChange]) -> Table:
    """Return strength a rivet before and after for the rows that change, like ones together."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for change in changes:
        ratio = "" if change.check.value is None else f"{change.check.value:.3f}"
        if change.like_for_like:
            ratio = "1 or more"
        cells = (
            _load(change.before_lbf),
            _load(change.after_lbf),
            ratio,
            _critical(change),
            VERDICT_WORDS[change.check.verdict],
        )
        rows.setdefault(cells, []).append(change.row)
    columns = (
        Column("row", wrap=True),
        Column("before", "lbf", align="right"),
        Column("after", "lbf", align="right"),
        Column("ratio", align="right"),
        Column("gives way first", weight=8, wrap=True),
        Column("verdict"),
    )
    return Table(columns, tuple((_names(names), *cells) for cells, names in rows.items()))


def _load(load_lbf: float | None) -> str:
    return "not known" if load_lbf is None else f"{load_lbf:.0f}"


def _critical(change: StrengthChange) -> str:
    if change.like_for_like:
        return "like rivets in like places, no sheet thinner"
    if change.critical_before == change.critical_after:
        return change.critical_after
    told = (change.critical_before or "not known", change.critical_after or "not known")
    return f"{told[0]}; after: {told[1]}"


#: More row names than this in one cell are counted, not listed.
_MOST_NAMES = 3


def _names(names: list[str]) -> str:
    more = len(names) - _MOST_NAMES
    return ", ".join(names[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def strength_data(changes: Sequence[StrengthChange]) -> list[dict[str, object]]:
    """Return strength before and after as JSON data."""
    return [
        {
            "row": change.row,
            "rivets": change.count,
            "before_lbf": change.before_lbf,
            "after_lbf": change.after_lbf,
            "ratio": change.check.value,
            "critical_before": change.critical_before,
            "critical_after": change.critical_after,
            "like_for_like": change.like_for_like,
            "verdict": str(change.check.verdict),
            "reason": change.check.reason,
        }
        for change in changes
    ]
