"""Which holes are near which."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Points
    from rivetkit.geometry.spots import Spots


#: Pairs that are still held at once: some hundred megabytes.
_MOST_PAIRS = 2_000_000


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs of points: their numbers (first below second) and their distance [in]."""

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    distance_in: NDArray[np.float64]

    def where(self, keep: NDArray[np.bool_]) -> Pairs:
        """Return the pairs that ``keep`` marks."""
        return Pairs(self.first[keep], self.second[keep], self.distance_in[keep])


def close_pairs(spots: Spots, within_in: float) -> Pairs:
    """Return every pair of the points no further apart than ``within_in`` [in]."""
    first, second = spots.tree.query(spots.shapes, predicate="dwithin", distance=within_in)
    once = first < second
    first, second = first[once], second[once]
    gap = spots.points[first] - spots.points[second]
    return Pairs(first, second, np.hypot(gap[:, 0], gap[:, 1]))


def crowd(points: Points, within_in: float) -> tuple[int, int] | None:
    """Return one of the points that crowd, and how many stand about it; None when none do.

    Points crowd when the pairs no further apart than ``within_in`` [in] would be too many to
    hold: when the squares of a grid of that size, each with every pair in it, come to more than
    :data:`_MOST_PAIRS` and more than twenty for each point.
    """
    count = len(points)
    if count**2 <= _MOST_PAIRS:
        return None
    x, y = np.floor((points - points.min(axis=0)) / within_in).T
    square = x * (y.max() + 1.0) + y
    squares, sizes = np.unique(square, return_counts=True)
    if float((sizes.astype(np.float64) ** 2).sum()) <= max(_MOST_PAIRS, 20 * count):
        return None
    fullest = int(sizes.argmax())
    return int(np.argmax(square == squares[fullest])), int(sizes[fullest])
