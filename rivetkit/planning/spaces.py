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
    and rivets of other rows stand in line on it, through two of its layers at least, the space with
    the least to spare in any layer that both ends hold: a rivet closes none in a layer that it
    misses. Between two sizes the smaller rules, as in one row.

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
    for number, (stations_in, holes) in between.items():
        step = wide[number]
        widest_in[step], smaller_in[step] = _widest_in(
            context, (members[step], members[step + 1]), float(steps_in[step]), stations_in, holes
        )
    return widest_in, smaller_in


def _widest_in(
    context: Context,
    ends: tuple[np.intp, np.intp],
    step_in: float,
    stations_in: NDArray[np.float64],
    holes: NDArray[np.intp],
) -> tuple[float, float]:
    """Return the space on one step with the least to spare, and the smaller rivet beside it [in].

    ``holes`` stand on the step, so far along it as ``stations_in`` tells, sorted.
    """
    layers = _layers(context)
    stack = context.holes.stack
    start, end = ends
    found: list[tuple[float, float, float]] = []
    for layer in sorted(layers[stack[start]] & layers[stack[end]]):
        through = np.array([layer in layers[stack[hole]] for hole in holes], dtype=bool)
        spaces_in = np.diff(np.concatenate(([0.0], stations_in[through], [step_in])))
        sizes_in = context.diameter_in[np.concatenate(([start], holes[through], [end]))]
        beside_in = np.minimum(sizes_in[:-1], sizes_in[1:])
        spare_in = greatest_pitches_in(context, beside_in) - spaces_in
        worst = int(np.argmin(spare_in))
        found.append((float(spare_in[worst]), float(spaces_in[worst]), float(beside_in[worst])))
    if not found:  # the row's own layers come off for good
        return step_in, float(context.diameter_in[[start, end]].min())
    _, space_in, smaller_in = min(found)
    return space_in, smaller_in


def _in_line(
    context: Context, starts: NDArray[np.intp], ends: NDArray[np.intp], off_in: float
) -> dict[int, tuple[NDArray[np.float64], NDArray[np.intp]]]:
    """Return how far along each step [in] rivets of its seam stand, sorted, and their holes.

    Steps on which none stands are left out. ``off_in`` is how far off the straight line [in] they
    may be.
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
    step, station_in, hole = step[order], station_in[order], hole[order]
    return {
        number: (station_in[step == number], hole[step == number])
        for number in np.unique(step).tolist()
    }


def _same_seam(
    context: Context, one: NDArray[np.intp], other: NDArray[np.intp]
) -> NDArray[np.bool_]:
    """Return which of some pairs of holes hold the same seam; an empty hole holds none."""
    holes = context.holes
    shared = share_layers(_layers(context), holes.stack[one], holes.stack[other], _SEAM_LAYERS)
    return shared & ~holes.empty[one]


def _layers(context: Context) -> list[frozenset[str]]:
    """Return the names of the layers of each stack; one that comes off for good holds nothing."""
    return [
        frozenset(place.layer for place in stack if context.job.layers[place.layer].new is not None)
        for stack in context.holes.stacks
    ]
