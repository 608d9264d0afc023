"""How a number of rivets goes into a splice: rows, rivets in each, and their pitch."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.calculators.edge_distance import (
    check_edge_distance,
    check_edge_distance_greatest,
    edge_question,
)
from rivetkit.calculators.limits import require_length
from rivetkit.calculators.pitch import (
    PITCH_LEAST,
    check_pitch,
    check_pitch_greatest,
    pitch_question,
)
from rivetkit.checks import LIMIT_TOLERANCE, Check, Verdict, not_checked
from rivetkit.errors import InputError
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from rivetkit.rules import RuleBook

#: A count that needs more rows than this is better met by a larger rivet.
_MOST_ROWS = 6


@dataclass(frozen=True, slots=True)
class SpliceRows:
    """Equally spaced rows across a splice.

    ``pitch_in`` is none for a row of one rivet. ``row_holds`` is what a row has room for at the
    least pitch. ``check`` is of that; ``other_checks`` are of the greatest pitch and of an edge
    distance that was given.
    """

    rows: int
    per_row: int
    pitch_in: float | None
    edge_in: float
    row_holds: int
    check: Check
    other_checks: tuple[Check, ...] = ()

    @property
    def total(self) -> int:
        """Rivets in all rows."""
        return self.rows * self.per_row

    @property
    def fits(self) -> bool:
        """Whether the pitch is no less than the least."""
        return self.check.verdict is Verdict.PASS


def splice_rows(
    count: int,
    *,
    width_in: float,
    diameter_in: float,
    book: RuleBook,
    rows: int | None = None,
    flush: bool = False,
    edge_in: float | None = None,
) -> SpliceRows:
    """Return the rows that some rivets make in a splice.

    Parameters
    ----------
    count
        Rivets required.
    width_in
        Width of the splice [in].
    diameter_in
        Rivet diameter [in].
    book
        The rules in force.
    rows
        How many rows; left out, the fewest that have room.
    flush
        Whether the heads are flush, which takes more edge.
    edge_in
        First and last rivet to the side of the sheet [in]; left out, the least edge distance.

    Raises
    ------
    InputError
        When a length is not one, or a count is below 1.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> rows = splice_rows(37, width_in=10, diameter_in=0.125, book=RuleBook.named())
    >>> rows.rows, rows.per_row, rows.row_holds
    (2, 19, 20)

    References
    ----------
    AC 43.13-1B par 4-58g(2), p 4-27: 37 rivets in 10 in go into two rows of 19, where two rows at
    the least spacing would hold 40.
    """
    if count < 1 or (rows is not None and rows < 1):
        raise InputError("no rivet, or no row, to lay out", mend="give 1 or more")
    require_length(width_in, "the width")
    of_edge: tuple[Check, ...] = ()
    if edge_in is None:
        rule = book.rule(edge_question(flush=flush))
        edge_in = rule.length_in(diameter_in=diameter_in)
    else:
        of_edge = _edge_checks(edge_in, diameter_in, book, flush=flush)
    require_length(edge_in, "the edge distance")

    def laid_out(in_rows: int) -> SpliceRows:
        found = _lay_out(count, in_rows, width_in, edge_in, diameter_in, book)
        return replace(found, other_checks=(*found.other_checks, *of_edge))

    if rows is not None:
        return laid_out(rows)
    for tried in range(1, _MOST_ROWS):
        found = laid_out(tried)
        if found.fits:
            return found
    return laid_out(_MOST_ROWS)


def _edge_checks(
    edge_in: float, diameter_in: float, book: RuleBook, *, flush: bool
) -> tuple[Check, Check]:
    where = "ends of the rows"
    return (
        check_edge_distance(edge_in, diameter_in=diameter_in, flush=flush, book=book, where=where),
        check_edge_distance_greatest(edge_in, diameter_in=diameter_in, book=book, where=where),
    )


def _lay_out(
    count: int, rows: int, width_in: float, edge_in: float, diameter_in: float, book: RuleBook
) -> SpliceRows:
    per_row = math.ceil(count / rows)
    where = f"{rows} row{'' if rows == 1 else 's'} of {per_row}"
    room_in = width_in - 2 * edge_in
    rule = book.rule(pitch_question(rows))
    if room_in < -LIMIT_TOLERANCE:
        reason = length_words(
            "{width} has no room for an edge distance of {edge} on both sides",
            width=width_in,
            edge=edge_in,
        )
        check = not_checked(PITCH_LEAST, reason, where=where, citations=(rule.citation,))
        return SpliceRows(rows, per_row, None, edge_in, 0, check)
    least_in = rule.length_in(diameter_in=diameter_in)
    holds = math.floor(max(0.0, room_in) / least_in + LIMIT_TOLERANCE) + 1
    # One rivet has the whole width to itself.
    pitch_in = room_in / (per_row - 1) if per_row > 1 else width_in
    pitch_in = max(0.0, pitch_in)
    check = check_pitch(pitch_in, diameter_in=diameter_in, book=book, rows=rows, where=where)
    if per_row == 1:
        return SpliceRows(rows, per_row, None, edge_in, holds, check)
    widest = check_pitch_greatest(pitch_in, diameter_in=diameter_in, book=book, where=where)
    return SpliceRows(rows, per_row, pitch_in, edge_in, holds, check, (widest,))
