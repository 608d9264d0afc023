"""Which holes are near which."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Points


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs of points: their numbers (first below second) and their distance [in]."""

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    distance_in: NDArray[np.float64]

    def where(self, keep: NDArray[np.bool_]) -> Pairs:
        """Return the pairs that ``keep`` marks."""
        return Pairs(self.first[keep], self.second[keep], self.distance_in[keep])


def close_pairs(points: Points, within_in: float) -> Pairs:
    """Return every pair of the points ``(n, 2)`` [in] no further apart than ``within_in``."""
    spots = shapely.points(points)
    first, second = shapely.STRtree(spots).query(spots, predicate="dwithin", distance=within_in)
    once = first < second
    first, second = first[once], second[once]
    gap = points[first] - points[second]
    return Pairs(first, second, np.hypot(gap[:, 0], gap[:, 1]))


def steps_in(points: Points) -> NDArray[np.float64]:
    """Return the distance from each of the points ``(n, 2)`` to the next, ``(n - 1,)`` [in]."""
    gap = np.diff(points, axis=0)
    return np.asarray(np.hypot(gap[:, 0], gap[:, 1]))
