"""How far apart the rivets of a row are, with those of other rows between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.job.holes import share_layers
from rivetkit.planning.limits import greatest_pitches_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.planning.context import Context

#: Rivets hold the same seam when they go through so many of the same layers.
_SEAM_LAYERS = 2


def widest_spaces_in(
    context: Context, members: NDArray[np.intp], steps_in: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the widest space on each step of a row, and the smaller rivet beside it [in].

    Both are ``(n - 1,)``. The space is the step itself, or where that is over the greatest pitch
    and rivets of other rows stand in line on it, through two of its layers at least, of the spaces
    between them all the one with the least to spare: between two sizes the smaller rules there, as
    in one row.

    Parameters
    ----------
    context
        The job.
    members
        The row's holes in order, ``(n,)``.
    steps_in
        From each to the next, ``(n - 1,)`` [in].
    """
    sizes_in = context.diameter_in[members]
    smaller_in = np.minimum(sizes_in[:-1], sizes_in[1:])
    limit_in = greatest_pitches_in(context, smaller_in)
    wide = np.flatnonzero(steps_in > limit_in + LIMIT_TOLERANCE)
    if not len(wide):
        return steps_in, smaller_in
    widest_in = steps_in.copy()
    between = _in_line(context, members[wide], members[wide + 1], float(sizes_in.min()) / 2)
    for number, (stations_in, between_in) in between.items():
        step = wide[number]
        spaces_in = np.diff(np.concatenate(([0.0], stations_in, [steps_in[step]])))
        rivets_in = np.concatenate(([sizes_in[step]], between_in, [sizes_in[step + 1]]))
        beside_in = np.minimum(rivets_in[:-1], rivets_in[1:])
        worst = int(np.argmin(greatest_pitches_in(context, beside_in) - spaces_in))
        widest_in[step], smaller_in[step] = spaces_in[worst], beside_in[worst]
    return widest_in, smaller_in


def _in_line(
    context: Context, starts: NDArray[np.intp], ends: NDArray[np.intp], off_in: float
) -> dict[int, tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Return how far along each step [in] rivets of its seam stand, sorted, and their sizes [in].

    Steps on which none stands are left out. ``off_in`` is how far off the straight line [in] they may be.
    """
    points = context.holes.points
    low = np.minimum(points[starts], points[ends]) - off_in
    high = np.maximum(points[starts], points[ends]) + off_in
    step, hole = context.holes.spots.tree.query(shapely.box(*low.T, *high.T))
    along = points[ends] - points[starts]
    length_in = np.hypot(*along.T)
    ahead = (along / length_in[:, None])[step]
    reach = points[hole] - points[starts][step]
    station_in = (reach * ahead).sum(axis=1)
    aside_in = np.abs(reach[:, 0] * ahead[:, 1] - reach[:, 1] * ahead[:, 0])
    on_step = (station_in > 0.0) & (station_in < length_in[step]) & (aside_in <= off_in)
    other = (hole != starts[step]) & (hole != ends[step])
    step, hole, station_in = (found[on_step & other] for found in (step, hole, station_in))
    seam = _same_seam(context, hole, starts[step]) & _same_seam(context, hole, ends[step])
    order = np.flatnonzero(seam)[np.argsort(station_in[seam], kind="stable")]
    step, station_in, size_in = step[order], station_in[order], context.diameter_in[hole[order]]
    return {
        number: (station_in[step == number], size_in[step == number])
        for number in np.unique(step).tolist()
    }


def _same_seam(
    context: Context, one: NDArray[np.intp], other: NDArray[np.intp]
) -> NDArray[np.bool_]:
    """Return which of some pairs of holes hold the same seam; an empty hole holds none."""
    holes = context.holes
    layers = [frozenset(place.layer for place in stack) for stack in holes.stacks]
    shared = share_layers(layers, holes.stack[one], holes.stack[other], _SEAM_LAYERS)
    return shared & ~holes.empty[one]
