"""Where a drawing writes the name of each hole: beside it, over no hole and over no other name."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    Box = tuple[float, float, float, float]

#: A letter is no wider than high in the usual lettering of drawings, and reaches so far below.
_LETTER_WIDTH = 1.0
_BELOW = 0.35
#: A name starts so far from the middle of its hole, on each axis: over its diameter.
_START = 0.6
#: Height of the letters over the diameter of the hole, and what is tried where that has no room.
_HEIGHT = 0.5
_SHRINK = 0.75
_MOST_TRIES = 12


@dataclass(frozen=True, slots=True)
class HoleName:
    """A name: where it starts [in], how high its letters are [in], and which way it runs [deg]."""

    text: str
    x_in: float
    y_in: float
    height_in: float
    turned_deg: int

    @property
    def box(self) -> Box:
        """What it covers [in]: left, bottom, right, top."""
        long_in = _LETTER_WIDTH * self.height_in * len(self.text)
        up, down = self.height_in, _BELOW * self.height_in
        x, y = self.x_in, self.y_in
        if self.turned_deg == 0:
            return x, y - down, x + long_in, y + up
        if self.turned_deg > 0:
            return x - up, y, x + down, y + long_in
        return x - down, y - long_in, x + up, y


def hole_names(
    names: Sequence[str], points: NDArray[np.float64], sizes_in: Sequence[float]
) -> tuple[HoleName, ...]:
    """Return where each hole's name stands: beside it, clear of all holes and all other names.

    Parameters
    ----------
    names, points, sizes_in
        Name, middle [in] and diameter [in] of every hole.

    Returns
    -------
    names
        One a hole, in order. Letters are half as high as the hole is wide, and smaller where there
        is no room for that.
    """
    if not names:
        return ()
    radii = np.asarray(sizes_in, dtype=float) / 2.0
    tree = shapely.STRtree(shapely.points(points))
    found: dict[int, HoleName] = {}
    covered = _Covered(max(map(len, names)) * float(radii.max()))
    waiting = list(range(len(names)))
    for attempt in range(_MOST_TRIES):
        shrunk = _HEIGHT * _SHRINK**attempt
        tried = [
            (hole, place)
            for hole in waiting
            for place in _places(names[hole], points[hole], sizes_in[hole], shrunk)
        ]
        free = _clear_of_holes([place.box for _, place in tried], tree, points, radii)
        for (hole, place), clear in zip(tried, free.tolist(), strict=True):
            if clear and hole not in found and covered.take(place.box):
                found[hole] = place
        waiting = [hole for hole in waiting if hole not in found]
        if not waiting:
            break
    smallest = _HEIGHT * _SHRINK ** (_MOST_TRIES - 1)
    for hole in waiting:  # more holes in one place than there are sides of it
        found[hole] = next(_places(names[hole], points[hole], sizes_in[hole], smallest))
    return tuple(found[hole] for hole in range(len(names)))


def _places(
    text: str, point: NDArray[np.float64], size_in: float, height: float
) -> Iterator[HoleName]:
    """Yield where a name may start, best first: along, then across, each on either side."""
    height_in, off_in = height * size_in, _START * size_in
    x, y = float(point[0]), float(point[1])
    yield HoleName(text, x + off_in, y + off_in, height_in, 0)
    yield HoleName(text, x + off_in, y - off_in - height_in, height_in, 0)
    yield HoleName(text, x + off_in + height_in, y + off_in, height_in, 90)
    yield HoleName(text, x - off_in, y + off_in, height_in, 90)
    yield HoleName(text, x + off_in, y - off_in, height_in, -90)
    yield HoleName(text, x - off_in - height_in, y - off_in, height_in, -90)


def _clear_of_holes(
    boxes: Sequence[Box],
    tree: shapely.STRtree,
    points: NDArray[np.float64],
    radii: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """Return which boxes no hole lies under."""
    left, bottom, right, top = np.array(boxes, dtype=float).reshape(-1, 4).T
    reach = float(radii.max())
    near = shapely.box(left - reach, bottom - reach, right + reach, top + reach)
    box, hole = tree.query(near)
    x, y = points[hole].T
    across = np.maximum(np.maximum(left[box] - x, x - right[box]), 0.0)
    along = np.maximum(np.maximum(bottom[box] - y, y - top[box]), 0.0)
    hidden = np.hypot(across, along) < radii[hole]
    free = np.ones(len(boxes), dtype=bool)
    free[box[hidden]] = False
    return free


class _Covered:
    """Boxes that are taken, found by the squares of a grid that they reach into."""

    def __init__(self, square_in: float) -> None:
        self._square_in = square_in
        self._taken: dict[tuple[int, int], list[Box]] = {}

    def take(self, box: Box) -> bool:
        """Take a box, and return whether it was free."""
        squares = list(self._squares(box))
        for square in squares:
            for other in self._taken.get(square, ()):
                if (
                    box[0] < other[2]
                    and other[0] < box[2]
                    and box[1] < other[3]
                    and other[1] < box[3]
                ):
                    return False
        for square in squares:
            self._taken.setdefault(square, []).append(box)
        return True

    def _squares(self, box: Box) -> Iterator[tuple[int, int]]:
        left, bottom, right, top = (math.floor(value / self._square_in) for value in box)
        for column in range(left, right + 1):
            for row in range(bottom, top + 1):
                yield column, row
