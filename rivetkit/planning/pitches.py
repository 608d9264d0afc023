"""Pitch along every row, and distance between holes of different rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.oversize.heads import check_heads
from rivetkit.calculators.oversize.sizes import head_size
from rivetkit.calculators.pitch import PITCH_LEAST
from rivetkit.calculators.spacing import (
    check_apart,
    check_pitch,
    check_pitch_greatest,
    pitch_question,
)
from rivetkit.checks import LIMIT_TOLERANCE, not_checked
from rivetkit.geometry.neighbours import Pairs
from rivetkit.planning.limits import (
    gaps_in,
    greatest_pitches_in,
    heads_apart_in,
    heads_in,
    lengths_in,
    pitch_limits_in,
)
from rivetkit.planning.nearby import (
    SEAM_ROWS,
    reach_across_in,
    rows_along,
    seam_rows_along,
)
from rivetkit.planning.spaces import widest_spaces_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from rivetkit.checks import Check
    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context
    from rivetkit.planning.nearby import Neighbours
    from rivetkit.planning.row_lines import PairsAcross


@dataclass(frozen=True, slots=True)
class RowPitch:
    """Least and greatest pitch of a row [in], and the holes they lie between."""

    row: str
    count: int
    least_in: float
    least_between: tuple[str, str]
    greatest_in: float
    greatest_between: tuple[str, str]
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class RowGap:
    """The two holes of two rows, or of one, that have the least room to spare.

    ``distance_in`` is from centre to centre; the check may be of what they stand apart square to
    their rows.
    """

    rows: tuple[str, str]
    holes: tuple[str, str]
    distance_in: float
    check: Check


@dataclass(frozen=True, slots=True)
class UntoldSeam:
    """A row that may be one of a seam, and the row beside it: the job does not tell."""

    rows: tuple[str, str]
    check: Check


@dataclass(frozen=True, slots=True)
class Pitches:
    """Pitch along the rows, and gaps across them where two rows come near each other.

    No holes of two rows are looked at that are further apart than ``reach_in`` [in]. ``heads``
    holds, by row and by pairs of rows, the least room of those manufactured heads that ask for
    more than pitch and row spacing do; ``seams`` the rows whose pitch would be short in a seam that
    they may be of.
    """

    along: tuple[RowPitch, ...]
    across: tuple[RowGap, ...]
    reach_in: float
    heads: tuple[RowGap, ...] = ()
    seams: tuple[UntoldSeam, ...] = ()

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made."""
        along = [replace(check, row=pitch.row) for pitch in self.along for check in pitch.checks]
        gaps = [replace(gap.check, row=gap.rows[0]) for gap in (*self.across, *self.heads)]
        return (*along, *gaps, *(seam.check for seam in self.seams))


def pitches(context: Context, near: Neighbours) -> Pitches:
    """Return the pitch of every row and the gaps between rows that share a layer."""
    along = []
    for row, members in zip(context.job.rows, context.holes.in_row, strict=True):
        if row.nutplate is None and len(members) > 1:
            along.append(_along(context, row, members))
    reach_in = reach_across_in(context)
    pairs = near.across.where(near.across.distance_in <= reach_in)
    heads, apart_in = wide_heads(context, near)
    return Pitches(
        along=tuple(along),
        across=tuple(
            _gap(context, pairs, number, check_across(context, pairs, number))
            for number in _least_by_rows(context, pairs, gaps_in(context, pairs).spare_in)
        ),
        reach_in=reach_in,
        heads=tuple(
            _gap(context, heads, number, check_head(context, heads, number))
            for number in _least_by_rows(context, heads, heads.distance_in - apart_in)
        ),
        seams=tuple(_untold_seams(context, near)),
    )


def _along(context: Context, row: Row, members: NDArray[np.intp]) -> RowPitch:
    least_in, steps_in = context.holes.apart_in(members[:-1], members[1:])
    greatest_in, smaller = widest_spaces_in(context, members, steps_in)
    sizes = context.diameter_in[members]
    larger = np.maximum(sizes[:-1], sizes[1:])
    tightest = int(np.argmin(least_in - pitch_limits_in(context, larger, row.seam_rows)))
    widest = int(np.argmin(greatest_pitches_in(context, smaller) - greatest_in))
    names = [
        context.holes.name(int(hole))
        for step in (tightest, widest)
        for hole in members[step : step + 2]
    ]
    checks = (
        check_pitch(
            float(least_in[tightest]),
            diameter_in=float(sizes[tightest]),
            neighbour_diameter_in=float(sizes[tightest + 1]),
            book=context.book,
            rows=row.seam_rows,
            accuracy_in=context.job.accuracy_in,
            where=f"{names[0]} to {names[1]}",
        ),
        check_pitch_greatest(
            float(greatest_in[widest]),
            diameter_in=float(smaller[widest]),
            book=context.book,
            accuracy_in=context.job.accuracy_in,
            where=f"{names[2]} to {names[3]}",
        ),
    )
    return RowPitch(
        row=row.name,
        count=len(np.unique(members)),
        least_in=float(least_in[tightest]),
        least_between=(names[0], names[1]),
        greatest_in=float(greatest_in[widest]),
        greatest_between=(names[2], names[3]),
        checks=checks,
    )


def _untold_seams(context: Context, near: Neighbours) -> Iterator[UntoldSeam]:
    """Yield the rows that may be of a seam, and are pitched too near for one.

    A row that is pitched wide enough for a seam passes anyway.
    """
    short = _short_in_seam(context, near.along)
    for own, other in near.maybe_seams.items():
        if short[own]:
            row, neighbour = context.job.rows[own], context.job.rows[other]
            yield UntoldSeam((row.name, neighbour.name), _not_told(context, row, neighbour))


def _short_in_seam(context: Context, along: Pairs) -> NDArray[np.bool_]:
    """Return which rows have a pitch that a seam of two rows does not allow."""
    larger_in = np.maximum(context.diameter_in[along.first], context.diameter_in[along.second])
    spare_in = along.distance_in - pitch_limits_in(context, larger_in, SEAM_ROWS)
    short = np.zeros(len(context.job.rows), dtype=bool)
    short[rows_along(context)[spare_in < context.job.accuracy_in - LIMIT_TOLERANCE]] = True
    return short


def _not_told(context: Context, row: Row, neighbour: Row) -> Check:
    return not_checked(
        PITCH_LEAST,
        f"row '{neighbour.name}' runs beside it as in one seam, which asks for a greater pitch: "
        "say in seam_rows how many rows the seam has, or 1 if this row stands alone",
        where=row.name,
        citations=(context.book.rule(pitch_question(SEAM_ROWS)).citation,),
    )


def check_across(context: Context, pairs: PairsAcross, number: int) -> Check:
    """Return the check of one of some pairs of holes that do not follow each other in a row."""
    one, other = int(pairs.first[number]), int(pairs.second[number])
    square_in = float(pairs.square_in[number])
    return check_apart(
        float(pairs.distance_in[number]),
        square_in=square_in if np.isfinite(square_in) else None,
        diameter_in=float(context.diameter_in[one]),
        neighbour_diameter_in=float(context.diameter_in[other]),
        book=context.book,
        rows=int(pairs.seam_rows[number]),
        accuracy_in=context.job.accuracy_in,
        where=_between(context, one, other),
    )


def wide_heads(context: Context, near: Neighbours) -> tuple[Pairs, NDArray[np.float64]]:
    """Return the pairs of holes whose heads ask for more room than their pitch or row spacing.

    With how far apart each pair must be for its heads, ``(n,)`` [in]. Heads that are not on file
    ask for nothing.
    """
    nobody = np.zeros(0, dtype=np.intp)
    heads = heads_in(context.holes.fit_parts)
    if not _any_wide(context, heads):
        return Pairs(nobody, nobody, np.zeros(0)), np.zeros(0)
    along, across = near.along, near.across
    larger_in = np.maximum(context.diameter_in[along.first], context.diameter_in[along.second])
    pitch_in = pitch_limits_in(context, larger_in, seam_rows_along(context))
    pairs = Pairs(
        np.concatenate((along.first, across.first)),
        np.concatenate((along.second, across.second)),
        np.concatenate((along.distance_in, across.distance_in)),
    )
    head_in = heads[context.holes.fit]
    apart_in = heads_apart_in(context, head_in[pairs.first], head_in[pairs.second])
    wide = apart_in > np.concatenate((pitch_in, gaps_in(context, across).limit_in))
    return pairs.where(wide), apart_in[wide]


def _any_wide(context: Context, heads: NDArray[np.float64]) -> bool:
    """Whether any two of the job's rivets could have such heads."""
    sizes_in = np.array([part.diameter_in for part in context.holes.fit_parts])
    larger_in = np.maximum.outer(sizes_in, sizes_in)
    limits_in = [
        lengths_in(context.book.rule("row_spacing_min"), larger_in),
        *(pitch_limits_in(context, larger_in, rows) for rows in set(context.seam_rows.tolist())),
    ]
    one, other = np.meshgrid(heads, heads)
    return bool((heads_apart_in(context, one, other) > np.minimum.reduce(limits_in)).any())


def check_head(context: Context, pairs: Pairs, number: int) -> Check:
    """Return the check of the manufactured heads of one of some pairs of holes; both on file."""
    one, other = int(pairs.first[number]), int(pairs.second[number])
    own, next_one = (
        head_size(context.holes.fit_parts[context.holes.fit[hole]]) for hole in (one, other)
    )
    assert own is not None  # noqa: S101 - a head that is not on file is not wide
    assert next_one is not None  # noqa: S101
    return check_heads(
        float(pairs.distance_in[number]),
        own=own,
        other=next_one,
        book=context.book,
        accuracy_in=context.job.accuracy_in,
        where=_between(context, one, other),
    )


def _between(context: Context, one: int, other: int) -> str:
    return f"{context.holes.name(one)} to {context.holes.name(other)}"


def _least_by_rows(context: Context, pairs: Pairs, spare_in: NDArray[np.float64]) -> list[int]:
    """Return the numbers of the pairs with the least to spare of their rows, least of all first."""
    low = np.minimum(context.holes.row[pairs.first], context.holes.row[pairs.second])
    high = np.maximum(context.holes.row[pairs.first], context.holes.row[pairs.second])
    # Rows that run side by side have one room to spare all along: the nearest holes are named.
    keys = (np.round(pairs.distance_in, 9), np.round(spare_in, 9))
    order = np.lexsort((pairs.second, pairs.first, *keys))
    rows = low[order].astype(np.int64) * len(context.job.rows) + high[order]
    _, first_seen = np.unique(rows, return_index=True)
    return [int(number) for number in order[np.sort(first_seen)]]


def _gap(context: Context, pairs: Pairs, number: int, check: Check) -> RowGap:
    one, other = int(pairs.first[number]), int(pairs.second[number])
    holes = context.holes
    return RowGap(
        rows=(holes.row_names[holes.row[one]], holes.row_names[holes.row[other]]),
        holes=(holes.name(one), holes.name(other)),
        distance_in=float(pairs.distance_in[number]),
        check=check,
    )
