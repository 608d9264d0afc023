"""How far apart the rivets of a row are, with those of other rows between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.planning.limits import greatest_pitches_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.planning.context import Context

#: Rivets hold the same seam when they go through so many of the same layers.
_SEAM_LAYERS = 2


def widest_spaces_in(
    context: Context, members: NDArray[np.intp], steps_in: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the widest space on each step of a row, ``(n - 1,)`` [in].

    That is the step itself, or where it is over the greatest pitch and rivets of other rows stand
    in line on it, through two of its layers at least, the widest space between them all.

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
    limit_in = greatest_pitches_in(context, np.minimum(sizes_in[:-1], sizes_in[1:]))
    wide = np.flatnonzero(steps_in > limit_in + LIMIT_TOLERANCE)
    if not len(wide):
        return steps_in
    ends = context.holes.points[members]
    lines = shapely.linestrings(np.stack((ends[wide], ends[wide + 1]), axis=1))
    in_line_in = float(sizes_in.min()) / 2
    tree = context.holes.spots.tree
    step, hole = tree.query(lines, predicate="dwithin", distance=in_line_in)
    widest_in = steps_in.copy()
    for number in np.unique(step).tolist():
        first, last = members[wide[number] : wide[number] + 2].tolist()
        between = [
            one
            for one in hole[step == number].tolist()
            if one not in (first, last) and _same_seam(context, one, first, last)
        ]
        if between:
            shapes = context.holes.spots.shapes[between]
            stations = np.sort(shapely.line_locate_point(lines[number], shapes))
            length_in = float(shapely.length(lines[number]))
            spaces = np.diff(np.concatenate(([0.0], stations, [length_in])))
            widest_in[wide[number]] = float(spaces.max())
    return widest_in


def _same_seam(context: Context, hole: int, *others: int) -> bool:
    holes = context.holes
    if holes.empty[hole]:
        return False
    own, *theirs = (
        {place.layer for place in holes.stacks[holes.stack[one]]} for one in (hole, *others)
    )
    return all(len(own & layers) >= _SEAM_LAYERS for layers in theirs)
