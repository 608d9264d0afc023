"""Where the pages of a template are laid over each other: register marks clear of every hole."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from rivetkit.reports.template.pages import OVERLAP_MM

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from rivetkit.reports.template.pages import Spot, Tiling

    Lines = Sequence[NDArray[np.float64]]

#: How a mark lies: its page numbers under it, or, where holes leave no room for that, after it
#: along the seam, level or upright.
Form = Literal["numbers under", "level", "upright"]
#: What a mark takes up about its place [mm]: left, below, right, above; its page numbers with it.
REACH_MM: dict[Form, tuple[float, float, float, float]] = {
    "numbers under": (4.0, 4.3, 4.0, 1.7),
    "level": (4.0, 1.5, 12.8, 1.5),
    "upright": (1.5, 4.0, 1.5, 12.8),
}
#: Room for the page numbers [mm].
NUMBERS_MM = 8.0
#: From the middle of a hole to a mark at the least: a cross's arm, and room to see them apart.
CLEAR_OF_HOLES_MM = 4.5
#: A mark keeps so far inside what both pages show.
_INSIDE_MM = 0.5
#: Places tried along and across the overlap are so far apart.
_STEP_MM = 1.0
#: Two marks of a seam are at least so far apart, or they would not hold the pages square.
_APART_MM = 30.0
#: Where along a seam its two marks stand best.
_SHARES = (0.25, 0.75)


@dataclass(frozen=True, slots=True)
class Mark:
    """A register mark: where it stands on the sheet [mm], and the pages that share it."""

    x_mm: float
    y_mm: float
    pages: tuple[int, int]
    form: Form = "numbers under"


@dataclass(frozen=True, slots=True)
class _Seam:
    """What two pages share [mm], y up, without the corners that four pages share."""

    left: float
    bottom: float
    right: float
    top: float
    pages: tuple[int, int]

    @property
    def upright(self) -> bool:
        return self.top - self.bottom > self.right - self.left


def register_marks(
    laid: Tiling, crosses_mm: NDArray[np.float64], lines_mm: Lines = ()
) -> tuple[Mark, ...]:
    """Return the register marks: two on every seam, as near its quarters as holes leave room.

    Parameters
    ----------
    laid
        The pages of the sheet.
    crosses_mm
        Middles of the holes on the sheet ``(n, 2)`` [mm], y up.
    lines_mm
        Edges to be kept clear of as well where there is a choice, each ``(n, 2)`` [mm], closed.

    Returns
    -------
    marks
        None is nearer to the middle of a hole than ``CLEAR_OF_HOLES_MM``. A seam so full of holes
        that there is no such place has fewer than two; its holes, seen on both pages, do for them:
        a slim mark in the middle of a seam is clear of every hole that only one page shows.
    """
    tree = shapely.STRtree(shapely.points(crosses_mm))
    edges = shapely.STRtree([shapely.linearrings(line) for line in lines_mm])
    found: list[Mark] = []
    for seam in _seams(laid):
        forms: tuple[Form, Form] = ("numbers under", "upright" if seam.upright else "level")
        tries = (tuple(_marks(seam, form, tree, edges)) for form in forms)
        best: tuple[Mark, ...] = ()
        for marks in tries:
            best = max(best, marks, key=len)
            if len(best) == len(_SHARES):
                break
        found += best
    return tuple(found)


def _seams(laid: Tiling) -> Iterator[_Seam]:
    width, height = laid.window_mm
    for row in range(laid.rows):
        for column in range(laid.columns):
            left, top = laid.corner_mm(column, row)
            right, bottom = left + width, top - height
            number = laid.number(column, row)
            if column + 1 < laid.columns:
                yield _Seam(
                    right - OVERLAP_MM,
                    bottom + OVERLAP_MM,
                    right,
                    top - OVERLAP_MM,
                    (number, number + 1),
                )
            if row + 1 < laid.rows:
                below = laid.number(column, row + 1)
                yield _Seam(
                    left + OVERLAP_MM,
                    bottom,
                    right - OVERLAP_MM,
                    bottom + OVERLAP_MM,
                    (number, below),
                )


def _marks(
    seam: _Seam, form: Form, holes: shapely.STRtree, edges: shapely.STRtree
) -> Iterator[Mark]:
    places = _places(seam, form)
    left, below, right, above = REACH_MM[form]
    boxes = shapely.box(
        places[:, 0] - left, places[:, 1] - below, places[:, 0] + right, places[:, 1] + above
    )
    near = np.unique(holes.query(boxes, predicate="dwithin", distance=CLEAR_OF_HOLES_MM)[0])
    clear = np.ones(len(places), dtype=bool)
    clear[near] = False
    crossing = np.zeros(len(places))
    crossing[np.unique(edges.query(boxes, predicate="intersects")[0])] = 1.0
    middle = np.array(((seam.left + seam.right) / 2, (seam.bottom + seam.top) / 2))
    for share in _SHARES:
        wanted = middle.copy()
        if seam.upright:
            wanted[1] = seam.top - share * (seam.top - seam.bottom)
        else:
            wanted[0] = seam.left + share * (seam.right - seam.left)
        open_places = np.flatnonzero(clear)
        if not len(open_places):
            return
        away = np.hypot(*(places[open_places] - wanted).T)
        best = open_places[np.lexsort((away, crossing[open_places]))[0]]
        x_mm, y_mm = places[best].tolist()
        yield Mark(x_mm, y_mm, seam.pages, form)
        clear &= np.hypot(*(places - places[best]).T) >= _APART_MM


def _places(seam: _Seam, form: Form) -> NDArray[np.float64]:
    """Return where in a seam a mark could stand ``(n, 2)`` [mm]."""
    left, below, right, above = REACH_MM[form]
    across = _steps(seam.left + _INSIDE_MM + left, seam.right - _INSIDE_MM - right)
    up = _steps(seam.bottom + _INSIDE_MM + below, seam.top - _INSIDE_MM - above)
    return np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)


def _steps(low: float, high: float) -> NDArray[np.float64]:
    return np.linspace(low, high, 1 + math.ceil((high - low) / _STEP_MM))


def mark_box(spot: Spot, form: Form) -> tuple[float, float, float, float]:
    """Return what a mark covers on the paper [mm], y down: left, top, right, bottom."""
    left, below, right, above = REACH_MM[form]
    return spot[0] - left, spot[1] - above, spot[0] + right, spot[1] + below
