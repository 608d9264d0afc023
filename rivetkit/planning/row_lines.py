"""Holes that do not follow each other in a row, and how far they stand off each other's rows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.geometry.neighbours import Pairs

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Job
    from rivetkit.planning.context import Context

#: A row that turns by more than this at a hole has a corner there; less is a curve, as is a ring
#: that is told as one however few its holes are.
_CORNER_DEG = 30.0
#: A ring of two holes comes straight back from each, and runs either way.
_BACK = -1.0 + 1e-9

#: So many pairs are worked on at once: more would only take more memory.
_AT_ONCE = 20_000


def followers(job: Job, holes: Holes) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the holes that a hole of their row, or of their nutplate, follows, and that one.

    Both ``(k,)``, rows in the job's order.
    """
    first, second = [], []
    for row, members in zip(job.rows, holes.in_row, strict=True):
        one, other = members[:-1], members[1:]
        if row.nutplate is not None:  # neighbouring plates do not follow each other
            plates = (row.numbers - 1) // 2
            together = plates[:-1] == plates[1:]
            one, other = one[together], other[together]
        first.append(one)
        second.append(other)
    return np.concatenate(first), np.concatenate(second)


@dataclass(frozen=True, eq=False)
class PairsAcross(Pairs):
    """Pairs of holes that do not follow each other in a row.

    ``square_in`` is how far they stand off each other's rows, see :func:`square_in`, minus
    infinity for two holes of one row, and where rows place a hole or the next one differently;
    ``seam_rows`` the rows of the seam, of two the larger.
    """

    square_in: NDArray[np.float64]
    seam_rows: NDArray[np.intp]

    def where(self, keep: NDArray[np.bool_]) -> PairsAcross:
        """Return the pairs that ``keep`` marks."""
        return PairsAcross(
            self.first[keep],
            self.second[keep],
            self.distance_in[keep],
            self.square_in[keep],
            self.seam_rows[keep],
        )

    def turned(self) -> PairsAcross:
        """Return the pairs the other way round."""
        return PairsAcross(
            self.second, self.first, self.distance_in, self.square_in, self.seam_rows
        )


def across(context: Context, pairs: Pairs) -> PairsAcross:
    """Return pairs of holes that do not follow each other with what else is asked of them."""
    seams, holes = context.seam_rows, context.holes
    unsure = _unsure(context)
    no_line = holes.share_row(pairs.first, pairs.second) | unsure[pairs.first]
    return PairsAcross(
        first=pairs.first,
        second=pairs.second,
        distance_in=pairs.distance_in,
        square_in=np.where(no_line | unsure[pairs.second], -np.inf, square_in(context, pairs)),
        seam_rows=np.maximum(seams[pairs.first], seams[pairs.second]),
    )


def _unsure(context: Context) -> NDArray[np.bool_]:
    """Return which holes nobody knows the line of: two rows place them, or the next, apart."""
    holes = context.holes
    found = np.zeros(len(holes), dtype=bool)
    found[holes.other_of] = True
    if len(holes.other_of):
        first, second = followers(context.job, holes)
        beside = (second[found[first]], first[found[second]])
        found[np.concatenate(beside)] = True
    return found


@dataclass(frozen=True, eq=False)
class _Runs:
    """From each hole to those before and after it in every row it belongs to, k runs.

    ``toward`` and ``along`` are unit vectors ``(k, 2)``: to that hole, and as the row sets out at
    this one, to reach that hole on an arc of ``bend`` [1/in], left turns above nought. The runs of
    a hole are ``count`` of them from ``start`` on.
    """

    toward: NDArray[np.float64]
    along: NDArray[np.float64]
    bend: NDArray[np.float64]
    start: NDArray[np.intp]
    count: NDArray[np.intp]


def square_in(context: Context, pairs: Pairs) -> NDArray[np.float64]:
    """Return how far pairs of holes stand off each other's rows, square to them, ``(n,)`` [in].

    It is the smaller of both distances: of each hole from the line of the other's row, past its
    ends as well. A hole at a corner of rows has the lines of all of them that reach abreast of the
    other hole. The lines run as the rows were laid out, from where each hole stands now. Minus
    infinity where a hole has no other one in its row: it has no line.
    """
    runs = _runs(context)
    found = np.empty(len(pairs.first))
    for start in range(0, len(found), _AT_ONCE):
        some = slice(start, start + _AT_ONCE)
        first, second = pairs.first[some], pairs.second[some]
        found[some] = np.minimum(
            _off_rows_in(context, runs, first, second), _off_rows_in(context, runs, second, first)
        )
    return found


def _runs(context: Context) -> _Runs:
    first, second = followers(context.job, context.holes)
    apart = first != second  # what two rows share may be two holes in a third
    first, second = first[apart], second[apart]
    step = context.holes.laid_out[second] - context.holes.laid_out[first]
    length_in = np.hypot(step[:, 0], step[:, 1])
    unit = step / length_in[:, np.newaxis]
    holes = np.concatenate((first, second))
    order = np.argsort(holes, kind="stable")
    toward = np.concatenate((unit, -unit))[order]
    count = np.bincount(holes, minlength=len(context.holes))
    start = np.cumsum(count) - count
    along = toward.copy()
    one = start[count == 2]  # noqa: PLR2004 - a hole before and one after
    other = one + 1
    reach_in = np.concatenate((length_in, length_in))[order]
    rings = np.array([row.ring for row in context.job.rows])[context.holes.row]
    tangent = _tangents(
        -toward[one] * reach_in[one, np.newaxis],
        toward[other] * reach_in[other, np.newaxis],
        ring=rings[count == 2],  # noqa: PLR2004 - as above
    )
    curved = np.isfinite(tangent[:, 0])
    one, other, tangent = one[curved], other[curved], tangent[curved]
    along[one], along[other] = -tangent, tangent
    bend = 2.0 * _cross(along, toward) / reach_in
    return _Runs(toward, along, bend, start, count)


def _tangents(
    before: NDArray[np.float64],
    after: NDArray[np.float64],
    *,
    ring: NDArray[np.bool_] | bool,
) -> NDArray[np.float64]:
    """Return which way rows run at some holes: unit vectors ``(k, 2)``, not a number at a corner.

    It is the tangent of the circle through the hole, the one before and the one after.

    Parameters
    ----------
    before, after
        From the hole before to this one, and from this one to the next, ``(k, 2)`` [in].
    ring
        Which holes stand round a circle, however much the row turns at them.
    """
    arriving_in = np.hypot(before[:, 0], before[:, 1])[:, np.newaxis]
    leaving_in = np.hypot(after[:, 0], after[:, 1])[:, np.newaxis]
    arriving, leaving = before / arriving_in, after / leaving_in
    straight = (arriving * leaving).sum(axis=1)
    curved = (straight > math.cos(math.radians(_CORNER_DEG))) | (ring & (straight > _BACK))
    tangent = np.full(before.shape, np.nan)
    found = (arriving * leaving_in + leaving * arriving_in)[curved]
    tangent[curved] = found / np.hypot(found[:, 0], found[:, 1])[:, np.newaxis]
    return tangent


def row_ways_deg(points: NDArray[np.float64], *, ring: bool) -> NDArray[np.float64]:
    """Return which way a row runs at each of its holes, as they are numbered ``(n,)`` [deg].

    Round a curve it is the tangent, at a corner the way to the next hole; at the ends the row goes
    straight on.

    Parameters
    ----------
    points
        Two holes or more, ``(n, 2)`` [in]; of a closed row the last is the first again.
    ring
        Whether they stand round a circle.
    """
    before = np.diff(points, axis=0)
    closed = np.array_equal(points[0], points[-1])
    after = np.roll(before, -1, axis=0) if closed else before[1:]
    ways = np.concatenate((before[:1], after, before[-1:]))[: len(points)]
    tangent = _tangents(before[: len(after)], after, ring=ring)
    curved = 1 + np.flatnonzero(np.isfinite(tangent[:, 0]))
    ways[curved] = tangent[curved - 1]
    if closed:
        ways[0] = ways[-1]
    return np.degrees(np.arctan2(ways[:, 1], ways[:, 0]))


def _off_rows_in(
    context: Context, runs: _Runs, holes: NDArray[np.intp], others: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Return how far each of the other holes stands off the rows of its hole, ``(n,)`` [in]."""
    gap = context.holes.points[others] - context.holes.points[holes]
    found = np.hypot(gap[:, 0], gap[:, 1])
    count = runs.count[holes]
    found[count == 0] = -np.inf
    pair = np.repeat(np.arange(len(holes)), count)
    within = np.arange(len(pair)) - np.repeat(np.cumsum(count) - count, count)
    run = runs.start[holes][pair] + within
    gap, toward = gap[pair], runs.toward[run]
    # Past the end of a row its line goes on; at a corner only what reaches abreast counts.
    reached = ((gap * toward).sum(axis=1) >= 0.0) | (count[pair] == 1)
    off = _off_arc_in(gap[reached], runs.along[run[reached]], runs.bend[run[reached]])
    np.minimum.at(found, pair[reached], off)
    return found


def _off_arc_in(
    gap: NDArray[np.float64], along: NDArray[np.float64], bend: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return how far the ends of vectors ``(k, 2)`` lie off arcs, or lines, through their starts.

    With r = 1 / bend and the centre r to the left of the start it is the distance from the centre
    less r, multiplied out so that a straight line needs no case of its own.
    """
    side = _cross(along, gap)
    square = (gap * gap).sum(axis=1)
    root = np.sqrt(np.maximum(1.0 - 2.0 * bend * side + bend * bend * square, 0.0))
    return np.asarray(np.abs(2.0 * side - bend * square) / (1.0 + root))


def _cross(one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
