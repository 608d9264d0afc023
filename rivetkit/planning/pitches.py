"""Pitch along every row, and distance between holes of different rows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.spacing import (
    check_pitch,
    check_pitch_greatest,
    check_row_spacing,
    pitch_question,
)
from rivetkit.geometry.neighbours import Pairs, close_pairs, steps_in
from rivetkit.job.crowds import refuse_crowd
from rivetkit.job.holes import share_a_layer
from rivetkit.planning.limits import gap_limits_in, greatest_pitches_in, pitch_limits_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.checks import Check
    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context

#: Holes further apart than this many times the limit are not looked at: there is room enough.
_REACH = 2.0


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
    """The nearest two holes of two rows, or two holes of one row that do not follow each other."""

    rows: tuple[str, str]
    holes: tuple[str, str]
    distance_in: float
    check: Check


@dataclass(frozen=True, slots=True)
class Pitches:
    """Pitch along the rows, and gaps across them where two rows come near each other."""

    along: tuple[RowPitch, ...]
    across: tuple[RowGap, ...]

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made."""
        along = [check for pitch in self.along for check in pitch.checks]
        return (*along, *(gap.check for gap in self.across))


def pitches(context: Context) -> Pitches:
    """Return the pitch of every row and the gaps between rows that share a layer."""
    along = []
    for row, members in zip(context.job.rows, context.holes.in_row, strict=True):
        if row.nutplate is None and len(members) > 1:
            along.append(_along(context, row, members))
    return Pitches(tuple(along), _across(context))


def _along(context: Context, row: Row, members: NDArray[np.intp]) -> RowPitch:
    steps = steps_in(context.holes.points[members])
    sizes = context.diameter_in[members]
    larger, smaller = np.maximum(sizes[:-1], sizes[1:]), np.minimum(sizes[:-1], sizes[1:])
    tightest = int(np.argmin(steps - pitch_limits_in(context, larger, row.seam_rows)))
    widest = int(np.argmin(greatest_pitches_in(context, smaller) - steps))
    names = [
        context.holes.name(int(hole))
        for step in (tightest, widest)
        for hole in members[step : step + 2]
    ]
    checks = (
        check_pitch(
            float(steps[tightest]),
            diameter_in=float(sizes[tightest]),
            neighbour_diameter_in=float(sizes[tightest + 1]),
            book=context.book,
            rows=row.seam_rows,
            accuracy_in=context.job.accuracy_in,
            where=f"{names[0]} to {names[1]}",
        ),
        check_pitch_greatest(
            float(steps[widest]),
            diameter_in=float(sizes[widest]),
            neighbour_diameter_in=float(sizes[widest + 1]),
            book=context.book,
            accuracy_in=context.job.accuracy_in,
            where=f"{names[2]} to {names[3]}",
        ),
    )
    return RowPitch(
        row=row.name,
        count=len(np.unique(members)),
        least_in=float(steps[tightest]),
        least_between=(names[0], names[1]),
        greatest_in=float(steps[widest]),
        greatest_between=(names[2], names[3]),
        checks=checks,
    )


def pairs_across(context: Context, largest_in: float = 0.0) -> Pairs:
    """Return the holes near each other that share a layer and do not follow each other in a row.

    Pairs further apart than twice what they must be are left out, and than what a rivet of
    ``largest_in`` [in] would ask for.
    """
    holes = context.holes
    seams = {pitch_question(row.seam_rows) for row in context.job.rows} | {pitch_question(1)}
    now_in, then_in = (
        max(
            context.book.rule(question).length_in(diameter_in=size_in)
            for question in ("row_spacing_min", *seams)
        )
        for size_in in (float(context.diameter_in.max()), largest_in)
    )
    reach_in = max(_REACH * now_in, then_in) + context.job.accuracy_in
    refuse_crowd(holes.points, reach_in, lambda hole: holes.row_names[holes.row[hole]])
    pairs = close_pairs(holes.spots, reach_in)
    layers = [frozenset(place.layer for place in stack) for stack in holes.stacks]
    pairs = pairs.where(share_a_layer(layers, holes.stack[pairs.first], holes.stack[pairs.second]))
    return pairs.where(~np.isin(_keys(context, pairs), _following(context)))


def check_across(context: Context, one: int, other: int, distance_in: float) -> Check:
    """Return the check of two holes, so far apart [in], that do not follow in one row."""
    holes = context.holes
    kind = check_row_spacing
    if holes.row[one] == holes.row[other]:
        kind = partial(check_pitch, rows=int(context.seam_rows[one]))
    return kind(
        distance_in,
        diameter_in=float(context.diameter_in[one]),
        neighbour_diameter_in=float(context.diameter_in[other]),
        book=context.book,
        accuracy_in=context.job.accuracy_in,
        where=f"{holes.name(one)} to {holes.name(other)}",
    )


def _across(context: Context) -> tuple[RowGap, ...]:
    pairs = pairs_across(context)
    worst = _nearest_by_rows(context, pairs)
    return tuple(_gap(context, pairs, int(number)) for number in worst)


def _keys(context: Context, pairs: Pairs) -> NDArray[np.int64]:
    return pairs.first.astype(np.int64) * len(context.holes) + pairs.second


def _following(context: Context) -> NDArray[np.int64]:
    """Keys of the pairs that follow each other in a row, or hold one nutplate."""
    keys = []
    for row, members in zip(context.job.rows, context.holes.in_row, strict=True):
        one, other = members[:-1], members[1:]
        if row.nutplate is not None:  # neighbouring plates do not follow each other
            plates = (row.numbers - 1) // 2
            together = plates[:-1] == plates[1:]
            one, other = one[together], other[together]
        low = np.minimum(one, other).astype(np.int64)
        high = np.maximum(one, other)
        keys.append(low * len(context.holes) + high)
    return np.concatenate(keys)


def _nearest_by_rows(context: Context, pairs: Pairs) -> NDArray[np.intp]:
    """Numbers of the pairs with the least to spare of their two rows, the least of all first."""
    low = np.minimum(context.holes.row[pairs.first], context.holes.row[pairs.second])
    high = np.maximum(context.holes.row[pairs.first], context.holes.row[pairs.second])
    spare_in = pairs.distance_in - gap_limits_in(context, pairs.first, pairs.second)
    order = np.lexsort((pairs.second, pairs.first, spare_in))
    rows = low[order].astype(np.int64) * len(context.job.rows) + high[order]
    _, first_seen = np.unique(rows, return_index=True)
    return np.asarray(order[np.sort(first_seen)])


def _gap(context: Context, pairs: Pairs, number: int) -> RowGap:
    one, other = int(pairs.first[number]), int(pairs.second[number])
    holes = context.holes
    distance_in = float(pairs.distance_in[number])
    return RowGap(
        rows=(holes.row_names[holes.row[one]], holes.row_names[holes.row[other]]),
        holes=(holes.name(one), holes.name(other)),
        distance_in=distance_in,
        check=check_across(context, one, other, distance_in),
    )
