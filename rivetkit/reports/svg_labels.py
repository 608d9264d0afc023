"""Names on a drawing, put where they hide neither each other nor, if it can be, a hole."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import Verdict
from rivetkit.reports.svg_shapes import number, shortened, width_mm, words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Point
    from rivetkit.reports.map_view import MapView, Plate
    from rivetkit.reports.svg_shapes import Frame

    Box = tuple[float, float, float, float]

#: Height of a line of names [mm].
_HEIGHT_MM = 2.6
#: Height of the name of the detail [mm].
_BIG_MM = 3.4
#: A name across the sheet's outline is as bad as one over so many holes.
_LINE_CROSSED = 3
#: Hiding a hole that does not pass is worse than hiding one that does by this much.
_TROUBLE_HIDDEN = 2
#: A name that would hide more than this is left out; pointing at a hole tells it.
_MOST_HIDDEN = 4
#: Where along a row its name may stand, best first.
_ALONG = (0.5, 0.36, 0.64, 0.22, 0.78, 0.08, 0.92)
#: A name longer than this is cut on the drawing; pointing at the thing tells it whole.
_MOST_LETTERS = 36


class Labels:
    """Places names one after the other; what finds no room is left out."""

    def __init__(
        self, view: MapView, frame: Frame, holes_mm: NDArray[np.float64], bounds_mm: Box
    ) -> None:
        self._view = view
        self._frame = frame
        self._holes_mm = holes_mm
        self._bounds_mm = bounds_mm
        self._trouble = np.array([hole.verdict is not Verdict.PASS for hole in view.holes])
        self._taken: list[Box] = []
        sheet = view.sheet
        ring = frame.place(sheet.boundary.outer.ring) if sheet else np.zeros((3, 2))
        self._outline = shapely.linearrings(ring)
        self.drawn: list[str] = []

    def block(self, box: Box) -> None:
        """Keep names off a place [mm]: left, top, right, bottom."""
        self._taken.append(box)

    def about(self, texts: Sequence[str], middle: Point, radius_mm: float) -> None:
        """Place a large name about a circle: the first that hides nothing, or else the last."""
        for text in texts:
            spots = self._spots_about(text, middle, radius_mm)
            clear = [spot for spot in spots if not self._hidden(_box(text, spot, _BIG_MM))]
            if clear or text == texts[-1]:
                self._put(text, clear or spots, "big halo", _BIG_MM)
                return

    def _spots_about(
        self, text: str, middle: Point, radius_mm: float
    ) -> list[tuple[float, float, float]]:
        wide, high = width_mm(text, _BIG_MM) / 2.0, 0.7 * _BIG_MM
        spots = []
        for down in (-1.0, 1.0):
            for right in (1.0, -1.0, 0.0):
                x = middle[0] + right * (radius_mm * 0.75 + wide)
                y = middle[1] + down * (radius_mm * (0.75 if right else 1.0) + high)
                spots.append((x, y, 0.0))
        return spots

    def everything(self, clearance_mm: float) -> None:
        """Place the names of rows, edges and cut-outs, the most wanted first."""
        view = self._view
        for row in view.rows:
            for line in row.lines[:1]:
                self._row(row.name, self._frame.place(line), clearance_mm)
        if view.sheet is not None:
            self._edges(view.sheet)
        for plate in (view.sheet, *view.members):
            if plate is not None:
                self._cutouts(plate)
        for plate in view.members:
            self._member(plate)

    def _row(self, name: str, line: NDArray[np.float64], clearance_mm: float) -> None:
        if len(line) == 1:
            line = np.vstack((line, line + np.array((0.01, 0.0))))
        spots = [*_beside(line, clearance_mm), *_beyond(line, clearance_mm, width_mm(name))]
        self._put(name, spots, "halo")

    def _edges(self, plate: Plate) -> None:
        outside = shapely.polygons(self._frame.place(plate.boundary.outer.ring))
        for edge in plate.boundary.outer.edges:
            line = self._frame.place(edge.points)
            if shapely.length(shapely.linestrings(line)) < width_mm(edge.name):
                continue
            spots = [
                spot
                for spot in _beside(line, 0.6)
                if not shapely.contains_xy(outside, spot[0], spot[1])
            ]
            self._put(edge.name, spots, "small halo")

    def _cutouts(self, plate: Plate) -> None:
        for loop in plate.boundary.cutouts:
            name = _shared_words([edge.name for edge in loop.edges])
            box = shapely.bounds(shapely.linestrings(self._frame.place(loop.ring)))
            self._inside(name, box)
        for circle in plate.boundary.circles:
            x, y = self._frame.spot(circle.centre)
            r = circle.radius_in * self._frame.mm_per_in
            self._inside(circle.name, np.array((x - r, y - r, x + r, y + r)))

    def _inside(self, name: str, box: NDArray[np.float64]) -> None:
        left, top, right, bottom = box.tolist()
        if width_mm(name) < right - left and bottom - top > 2.0 * _HEIGHT_MM:
            middle = ((left + right) / 2.0, (top + bottom) / 2.0, 0.0)
            self._put(name, [middle], "small halo")

    def _member(self, plate: Plate) -> None:
        spots = []
        for edge in plate.boundary.outer.edges:
            spots += list(_beside(self._frame.place(edge.points), 0.6))
        self._put(plate.name, spots, "small halo")

    def _put(
        self,
        name: str,
        spots: list[tuple[float, float, float]],
        class_: str,
        size_mm: float = _HEIGHT_MM,
    ) -> None:
        if not name.strip():
            return
        text = shortened(name, _MOST_LETTERS)
        fitting: list[tuple[int, int, Box, tuple[float, float, float]]] = []
        for spot in spots:
            box = _box(text, spot, size_mm)
            if not self._free(box):
                continue
            hidden = self._hidden(box)
            if hidden > _MOST_HIDDEN:
                continue
            fitting.append((hidden, len(fitting), box, spot))
        if not fitting:
            return
        _, _, box, (x, y, turn) = min(fitting)
        self._taken.append(box)
        turned = {} if turn == 0.0 else {"transform": f"rotate({_turn(turn, x, y)})"}
        self.drawn.append(
            words(text, x, y, class_, text_anchor="middle", dominant_baseline="central", **turned)
        )

    def _free(self, box: Box) -> bool:
        left, top, right, bottom = box
        room = self._bounds_mm
        if left < room[0] or top < room[1] or right > room[2] or bottom > room[3]:
            return False
        return not any(
            left < other[2] and other[0] < right and top < other[3] and other[1] < bottom
            for other in self._taken
        )

    def _hidden(self, box: Box) -> int:
        low, high = np.array(box[:2]) - 0.3, np.array(box[2:]) + 0.3
        under = ((self._holes_mm > low) & (self._holes_mm < high)).all(axis=1)
        holes = int(under.sum() + _TROUBLE_HIDDEN * (under & self._trouble).sum())
        crossed = bool(shapely.intersects(self._outline, shapely.box(*box)))
        return holes + _LINE_CROSSED * crossed


def _shared_words(names: list[str]) -> str:
    """Return the words all names begin with: the edges of a cut-out begin with its own name."""
    columns = zip(*(name.split() for name in names), strict=False)
    same = itertools.takewhile(lambda column: len(set(column)) == 1, columns)
    return " ".join(column[0] for column in same)


def _turn(turn: float, x: float, y: float) -> str:
    return f"{number(turn)} {number(x)} {number(y)}"


def _beside(line: NDArray[np.float64], clearance_mm: float) -> Iterator[tuple[float, float, float]]:
    """Yield places beside a line [mm] and the way a reader finds level there [deg]."""
    path = shapely.linestrings(line)
    length = float(shapely.length(path))
    away = clearance_mm + 0.55 * _HEIGHT_MM
    for part in _ALONG:
        ends = shapely.line_interpolate_point(
            path, [max(0.0, part * length - 0.5), part * length, min(length, part * length + 0.5)]
        )
        before, middle, after = shapely.get_coordinates(ends)
        step = after - before
        size = float(np.hypot(*step)) or 1.0
        normal = np.array((step[1], -step[0])) / size
        for side in (away, -away):
            x, y = (middle + normal * side).tolist()
            yield (x, y, _level(step))


def _beyond(
    line: NDArray[np.float64], clearance_mm: float, wide_mm: float
) -> Iterator[tuple[float, float, float]]:
    """Yield the places before the first and after the last point of a line [mm]."""
    for end, before in ((line[0], line[1]), (line[-1], line[-2])):
        step = end - before
        size = float(np.hypot(*step)) or 1.0
        x, y = (end + step * ((clearance_mm + 1.0 + wide_mm / 2.0) / size)).tolist()
        yield (x, y, _level(step))


def _level(step: NDArray[np.float64]) -> float:
    """Return the turn [deg] that lets a reader read along a step, from below or from the right."""
    turn = (math.degrees(math.atan2(step[1], step[0])) + 90.0) % 180.0 - 90.0
    turn = -90.0 if math.isclose(abs(turn), 90.0, abs_tol=0.5) else turn
    return round(turn, 1) + 0.0


def _box(text: str, spot: tuple[float, float, float], size_mm: float) -> Box:
    x, y, turn = spot
    wide, high = width_mm(text, size_mm), size_mm
    cos, sin = abs(math.cos(math.radians(turn))), abs(math.sin(math.radians(turn)))
    half_x, half_y = (wide * cos + high * sin) / 2.0, (wide * sin + high * cos) / 2.0
    return (x - half_x, y - half_y, x + half_x, y + half_y)
