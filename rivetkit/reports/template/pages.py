"""Which piece of a sheet lies on which page of a full-size template; all lengths [mm]."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.checks import MM_PER_IN

if TYPE_CHECKING:
    from rivetkit.reports.drawings.map_view import MapView

Paper = Literal["a4", "letter"]
#: Short and long side: ISO 216 A4, and 8 1/2 by 11 in.
PAPERS_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}

# What is left free around the drawing: for the paper's edge no printer reaches, the words above,
# the upright scale bar on the left and the scale bars below.
LEFT_MM, RIGHT_MM, TOP_MM, BOTTOM_MM = 18.0, 8.0, 24.0, 34.0
#: How much of the drawing two neighbouring pages share.
OVERLAP_MM = 12.0
#: Paper around the sheet, so that its edge is not the drawing's.
_AROUND_MM = 6.0

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a sheet is laid over pages, as it will lie on the metal: row 0 at the top.

    ``left_mm`` and ``top_mm`` are where the first page's drawing begins on the sheet, x to the
    right and y up; ``first`` is the number of its first page.
    """

    columns: int
    rows: int
    first: int
    left_mm: float
    top_mm: float
    page_width_mm: float
    page_height_mm: float

    @property
    def pages(self) -> int:
        """How many pages the sheet takes."""
        return self.columns * self.rows

    @property
    def landscape(self) -> bool:
        """Whether the pages lie on their long side."""
        return self.page_width_mm > self.page_height_mm

    @property
    def window_mm(self) -> Spot:
        """Width and height of the drawing on one page [mm]."""
        return _window(self.page_width_mm, self.page_height_mm)

    def number(self, column: int, row: int) -> int:
        """Return the number of a page."""
        return self.first + row * self.columns + column

    def corner_mm(self, column: int, row: int) -> Spot:
        """Return where a page's drawing begins on the sheet: its upper left corner [mm]."""
        width, height = self.window_mm
        return (
            self.left_mm + column * (width - OVERLAP_MM),
            self.top_mm - row * (height - OVERLAP_MM),
        )


def tiling(view: MapView, paper: Paper, *, first: int = 1, mirror: bool = False) -> Tiling:
    """Return how a view of a job is laid over pages, upright or across, whichever takes fewer.

    Parameters
    ----------
    view
        What is to be drawn.
    paper
        Paper to print on.
    first
        Number of its first page.
    mirror
        Whether it is seen from the other side, x to the left.

    Examples
    --------
    A drawing of 300 by 100 mm with 6 mm of paper around needs 312 mm: two pages across.

    >>> from types import SimpleNamespace
    >>> spots = [SimpleNamespace(x_in=0, y_in=0), SimpleNamespace(x_in=300 / 25.4, y_in=100 / 25.4)]
    >>> view = SimpleNamespace(sheet=None, members=(), holes=spots)
    >>> found = tiling(view, "a4")
    >>> found.columns, found.rows, found.landscape
    (2, 1, False)
    """
    left, bottom, right, top = _extent_mm(view, mirror=mirror)
    short, long = PAPERS_MM[paper]
    layouts = []
    for page in ((short, long), (long, short)):
        columns, rows = (
            _count(extent, window)
            for extent, window in zip((right - left, top - bottom), _window(*page), strict=True)
        )
        layouts.append((columns * rows, columns, rows, page))
    _, columns, rows, page = min(layouts, key=lambda layout: layout[0])
    width, height = _window(*page)
    spare_x = width + (columns - 1) * (width - OVERLAP_MM) - (right - left)
    spare_y = height + (rows - 1) * (height - OVERLAP_MM) - (top - bottom)
    return Tiling(columns, rows, first, left - spare_x / 2, top + spare_y / 2, *page)


def _window(width_mm: float, height_mm: float) -> Spot:
    return width_mm - LEFT_MM - RIGHT_MM, height_mm - TOP_MM - BOTTOM_MM


def _count(extent_mm: float, window_mm: float) -> int:
    return max(1, math.ceil((extent_mm - OVERLAP_MM) / (window_mm - OVERLAP_MM) - 1e-9))


def _extent_mm(view: MapView, *, mirror: bool) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of what has to be drawn, with paper around it.

    Of a member only what a sheet lies on: nobody needs a whole wing for a cover's ring.
    """
    spots = [(hole.x_in, hole.y_in) for hole in view.holes]
    for plate in view.members if view.sheet is None else (view.sheet,):
        spots += plate.boundary.outer.ring.tolist()
    side = -MM_PER_IN if mirror else MM_PER_IN
    across = [x * side for x, _ in spots]
    up = [y * MM_PER_IN for _, y in spots]
    around = _AROUND_MM
    return min(across) - around, min(up) - around, max(across) + around, max(up) + around
