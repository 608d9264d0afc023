"""The neighbours of every hole."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rivetkit.geometry.neighbours import Pairs, steps_in
from rivetkit.planning.pitches import pairs_across

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context


def row_pairs(context: Context, row: Row, members: NDArray[np.intp]) -> Pairs:
    """Return the holes that follow each other in a row; none for nutplates, which come in twos."""
    if row.nutplate is not None or len(members) < 2:  # noqa: PLR2004
        empty = np.zeros(0, dtype=np.intp)
        return Pairs(empty, empty, np.zeros(0))
    return Pairs(members[:-1], members[1:], steps_in(context.holes.points[members]))


def all_pairs(context: Context, largest_in: float = 0.0) -> tuple[Pairs, Pairs]:
    """Return the pairs along the rows, and those across that stand near each other.

    ``largest_in`` is the largest rivet [in] that one of them may come to hold.
    """
    along = [
        row_pairs(context, row, members)
        for row, members in zip(context.job.rows, context.holes.in_row, strict=True)
    ]
    joined = Pairs(
        np.concatenate([pairs.first for pairs in along]),
        np.concatenate([pairs.second for pairs in along]),
        np.concatenate([pairs.distance_in for pairs in along]),
    )
    return joined, pairs_across(context, largest_in)
