"""The neighbours of every hole."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.spacing import pitch_question
from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.geometry.neighbours import Pairs, close_pairs
from rivetkit.job.crowds import refuse_crowd
from rivetkit.job.holes import share_layers
from rivetkit.planning.limits import pitch_limits_in
from rivetkit.planning.row_lines import across, followers

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.job.model import Job, Row
    from rivetkit.planning.context import Context
    from rivetkit.planning.row_lines import PairsAcross

#: Holes further apart than this many times the limit are not looked at: there is room enough.
_REACH = 2.0


@dataclass(frozen=True, eq=False)
class Neighbours:
    """The holes of a job that are near each other, found once for all who ask."""

    context: Context

    @cached_property
    def along(self) -> Pairs:
        """The holes that follow each other in their rows."""
        return pairs_along(self.context)

    @cached_property
    def across(self) -> PairsAcross:
        """The holes near each other that do not follow each other in a row."""
        return pairs_across(self.context)

    @cached_property
    def maybe_seams(self) -> dict[int, int]:
        """The rows that may be of a seam with a row beside them, and that row; both by number."""
        return maybe_seams(self.context, self.across)


#: The fewest rows of a seam.
SEAM_ROWS = 2
#: Holes of each of two rows that must stand beside the other one, for them to run side by side.
_BESIDE = 2


def maybe_seams(context: Context, pairs: PairsAcross) -> dict[int, int]:
    """Return the rows that run beside another as in a seam, though nobody told of one.

    Two rows that join the same layers and stand no further apart than the least pitch of a seam of
    two rows may carry as one seam (common practice; the row spacing is usually three quarters of
    the pitch).

    Parameters
    ----------
    context
        The job.
    pairs
        The holes near each other that do not follow each other in a row.

    Returns
    -------
    dict
        By the number of the row, that of the row beside it.
    """
    job, holes = context.job, context.holes
    larger_in = np.maximum(context.diameter_in[pairs.first], context.diameter_in[pairs.second])
    near = (pairs.square_in >= pairs.distance_in * np.sqrt(0.5)) & (
        pairs.square_in <= pitch_limits_in(context, larger_in, SEAM_ROWS) + LIMIT_TOLERANCE
    )
    rows, count = len(job.rows), len(holes)
    mine = np.concatenate((pairs.first[near], pairs.second[near])).astype(np.int64)
    theirs = np.concatenate((pairs.second[near], pairs.first[near]))
    both = holes.row[mine].astype(np.int64) * rows + holes.row[theirs]
    # Each hole of a row beside another row counts once, whatever holes it stands beside there.
    keys, beside = np.unique(np.unique(both * count + mine) // count, return_counts=True)
    many = dict(zip(keys.tolist(), (beside >= _BESIDE).tolist(), strict=True))
    found: dict[int, int] = {}
    for key, enough in many.items():
        own, other = divmod(key, rows)
        if own not in found and enough and many[other * rows + own] and _one_seam(job, own, other):
            found[own] = other
    return found


def _one_seam(job: Job, own: int, other: int) -> bool:
    """Whether two rows may be of one seam: they join the same layers and nobody said otherwise."""
    row, neighbour = job.rows[own], job.rows[other]
    joined = [
        {place.layer for place in one.layers if job.layers[place.layer].new is not None}
        for one in (row, neighbour)
    ]
    plates = row.nutplate is not None or neighbour.nutplate is not None
    alone = row.seam_told or (neighbour.seam_told and neighbour.seam_rows == 1)
    return not alone and not plates and len(joined[0] & joined[1]) > 1


def row_pairs(context: Context, row: Row, members: NDArray[np.intp]) -> Pairs:
    """Return the holes that follow each other in a row; none for nutplates, which come in twos."""
    if row.nutplate is not None or len(members) < 2:  # noqa: PLR2004
        empty = np.zeros(0, dtype=np.intp)
        return Pairs(empty, empty, np.zeros(0))
    one, other = members[:-1], members[1:]
    return Pairs(one, other, context.holes.apart_in(one, other)[0])


def pairs_along(context: Context) -> Pairs:
    """Return the holes that follow each other, row after row; none for nutplates."""
    along = [
        row_pairs(context, row, members)
        for row, members in zip(context.job.rows, context.holes.in_row, strict=True)
    ]
    return Pairs(
        np.concatenate([pairs.first for pairs in along]),
        np.concatenate([pairs.second for pairs in along]),
        np.concatenate([pairs.distance_in for pairs in along]),
    )


def rows_along(context: Context) -> NDArray[np.intp]:
    """Return the number of the row of each of :func:`pairs_along`, ``(n,)``."""
    counts = [
        0 if row.nutplate is not None else max(len(members) - 1, 0)
        for row, members in zip(context.job.rows, context.holes.in_row, strict=True)
    ]
    return np.repeat(np.arange(len(counts)), counts)


def seam_rows_along(context: Context) -> NDArray[np.intp]:
    """Return the rows in the seam of each of :func:`pairs_along`, as its row has them, ``(n,)``."""
    seams = np.array([row.seam_rows for row in context.job.rows], dtype=np.intp)
    return seams[rows_along(context)]


def reach_across_in(context: Context, largest_in: float = 0.0) -> float:
    """Return how near [in] holes that do not follow each other in a row must be to be looked at.

    It is twice what they must be apart, and what a rivet of ``largest_in`` [in] would ask for.
    """
    seams = {pitch_question(row.seam_rows) for row in context.job.rows} | {pitch_question(1)}

    def limits_in(size_in: float) -> tuple[float, float]:
        pitches_in = [context.book.rule(seam).length_in(diameter_in=size_in) for seam in seams]
        return max(pitches_in), context.book.rule("row_spacing_min").length_in(diameter_in=size_in)

    now_in = _REACH * max(limits_in(float(context.diameter_in.max())))
    pitch_in, row_in = limits_in(largest_in)
    # Holes beside each other are at most the diagonal of a square apart that keeps the rows apart.
    return max(now_in, pitch_in, math.sqrt(2.0) * row_in) + context.job.accuracy_in


def pairs_across(context: Context) -> PairsAcross:
    """Return the holes near each other that share a layer and do not follow each other in a row.

    Pairs further apart than :func:`reach_across_in` for the largest rivet any hole may come to hold
    are left out. A layer that comes off and stays off is none to share.
    """
    holes = context.holes
    reach_in = reach_across_in(context, context.largest_diameter_in)
    refuse_crowd(holes.points, reach_in, lambda hole: holes.row_names[holes.row[hole]])
    pairs = close_pairs(holes.spots, reach_in + 2.0 * holes.placed_apart_in)
    layers = [
        frozenset(place.layer for place in stack if context.job.layers[place.layer].new is not None)
        for stack in holes.stacks
    ]
    pairs = pairs.where(share_layers(layers, holes.stack[pairs.first], holes.stack[pairs.second]))
    one, other = followers(context.job, holes)
    following = _keys(context, np.minimum(one, other), np.maximum(one, other))
    strangers = ~np.isin(_keys(context, pairs.first, pairs.second), following)
    pairs = pairs.where(strangers)
    least_in, _ = holes.apart_in(pairs.first, pairs.second)
    near = Pairs(pairs.first, pairs.second, least_in).where(least_in <= reach_in)
    return across(context, near)


def _keys(context: Context, low: NDArray[np.intp], high: NDArray[np.intp]) -> NDArray[np.int64]:
    return low.astype(np.int64) * len(context.holes) + high
