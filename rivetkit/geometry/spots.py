"""Points, held for numpy and for shapely alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Points


@dataclass(frozen=True, eq=False)
class Spots:
    """Points ``(n, 2)`` [in] and the same as shapely's ``(n,)``: made once, they cost the most."""

    points: Points
    shapes: NDArray[Any]

    @classmethod
    def at(cls, points: Points) -> Spots:
        """Return the spots at some points ``(n, 2)`` [in]."""
        return cls(points, shapely.points(points))

    def __len__(self) -> int:
        return len(self.points)

    @cached_property
    def tree(self) -> shapely.STRtree:
        """Search tree over all of them."""
        return shapely.STRtree(self.shapes)

    def take(self, chosen: NDArray[Any]) -> Spots:
        """Return some of them, by number or by a mask."""
        return Spots(self.points[chosen], self.shapes[chosen])
