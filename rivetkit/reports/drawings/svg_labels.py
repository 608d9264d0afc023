"""Names on a drawing, put where they hide neither each other nor, if it can be, a hole."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import Verdict
from rivetkit.reports.drawings.svg_layers import HINGE
from rivetkit.reports.drawings.svg_shapes import (
    is_marked,
    mark_place_mm,
    number,
    shortened,
    width_mm,
    words,
)
from rivetkit.reports.plans.bench_fates import FATE_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Point
    from rivetkit.reports.drawings.map_view import MapView, Plate
    from rivetkit.reports.drawings.svg_shapes import Frame
    from rivetkit.reports.plans.bench_fates import Fate

    Box = tuple[float, float, float, float]

#: Height of a line of names [mm].
_HEIGHT_MM = 2.6
#: Height of the name of the detail [mm].
_BIG_MM = 3.4
#: A name across the sheet's outline is as bad as one over so many holes.
_LINE_CROSSED = 3
#: A name nearer than this to an outline stands on it, to the eye [mm].
_OFF_LINES_MM = 0.35
#: Hiding a hole that does not pass is worse than hiding one that does by this much.
_TROUBLE_HIDDEN = 2
#: A name that would hide more than this is left out; pointing at a hole tells it.
_MOST_HIDDEN = 4
#: What goes into a hole is in the list too: its name hides no trouble, and no more holes than this.
_MOST_PASSING = 2
#: Where the line beside an edge is taken, its name stands so much further off [mm].
_NEXT_MM = 3.6
#: Of a row of nutplates so many are tried for one that has room for the row's name.
_MOST_LINES = 12
#: Where along a row its name may stand, best first.
_ALONG = (0.5, 0.36, 0.64, 0.22, 0.78, 0.08, 0.92)
#: Measured holes that are named on the map, if there are no more: else a name is no longer beside
#: its hole. All are listed under the map.
_NAMED: tuple[Fate, ...] = ("another", "none", "undecided")
_MOST_HOLES = 12
#: A name longer than this is cut on the drawing; pointing at the thing tells it whole.
_MOST_LETTERS = 36


class Labels:
    """Places names one after the other; what finds no room is left out."""

    def __init__(
        self,
        view: MapView,
        frame: Frame,
        holes_mm: NDArray[np.float64],
        bounds_mm: Box,
        ring_mm: float,
    ) -> None:
        self._view = view
        self._frame = frame
        self._holes_mm = holes_mm
        self._bounds_mm = bounds_mm
        self._ring_mm = ring_mm
        telling = [hole.fate != "same" for hole in view.holes if is_marked(hole.fate)]
        marked = [is_marked(hole.fate) for hole in view.holes]
        marks_mm = holes_mm[marked] + np.array(mark_place_mm(ring_mm))
        #: What a name had better not hide: holes and their bench marks, and which are in trouble.
        self._to_see_mm = np.concatenate((holes_mm, marks_mm))
        self._trouble = np.array(
            [
                *(hole.verdict is not Verdict.PASS for hole in view.holes),
                *telling,
            ]
        )
        kept_clear = marks_mm[telling] if sum(telling) <= _MOST_HOLES else ()
        self._taken: list[shapely.Geometry] = [
            shapely.box(x - ring_mm, y - ring_mm, x + ring_mm, y + ring_mm) for x, y in kept_clear
        ]
        sheet = view.sheet
        loops = (sheet.boundary.outer, *sheet.boundary.cutouts) if sheet else ()
        self._lines = [shapely.linearrings(frame.place(loop.ring)) for loop in loops]
        self.drawn: list[str] = []

    def block(self, box: Box) -> None:
        """Keep names off a place [mm]: left, top, right, bottom."""
        self._taken.append(shapely.box(*box))

    def about(self, texts: Sequence[str], middle: Point, radius_mm: float) -> None:
        """Place a large name about a circle: the first that hides nothing, or else the last."""
        for text in texts:
            spots = self._spots_about(text, middle, radius_mm)
            clear = [spot for spot in spots if not self._hidden(text, spot, _BIG_MM)]
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

    def everything(self) -> None:
        """Place the names of rows, edges and cut-outs, the most wanted first."""
        clearance_mm = self._ring_mm
        view = self._view
        if view.hinge is not None:
            line = self._frame.place(np.array(view.hinge))
            self._lines.append(shapely.linestrings(line))
            self._put(HINGE, list(_beside(line, 0.6)), "halo")
        for row in view.rows:
            lines = [self._frame.place(line) for line in row.lines[:_MOST_LINES]]
            spots = [spot for line in lines for spot in _row_spots(row.name, line, clearance_mm)]
            self._put(row.name, spots, "halo")
        self._fates(clearance_mm)
        if view.sheet is not None:
            self._edges(view.sheet)
        for plate in (view.sheet, *view.members):
            if plate is not None:
                self._cutouts(plate)
        for plate in view.members:
            self._member(plate)

    def _fates(self, clearance_mm: float) -> None:
        """Name what goes into the holes that do not take their own rivet again."""
        named = [
            (hole, FATE_WORDS[hole.fate], spot)
            for hole, spot in zip(self._view.holes, self._holes_mm.tolist(), strict=True)
            if hole.fate is not None and hole.fate in _NAMED
        ]
        if len(named) > _MOST_HOLES:
            return
        alone = len(self._view.rows) == 1
        for hole, told, (x, y) in named:
            what = hole.part_number if hole.fate == "another" else told
            # beside the holes of another row a bare number would be read as one of that row
            which = hole.name.rpartition(":")[2] if alone else hole.name
            text = f"{which}: {what}"
            if len(text) > _MOST_LETTERS:  # cut, it would lose what goes in; the list has it
                continue
            across = width_mm(text) / 2.0 + 3.4 * clearance_mm
            downs = (3.0 * clearance_mm + _HEIGHT_MM, 3.0 * clearance_mm + _HEIGHT_MM + _NEXT_MM)
            spots = [(x, y + down * side, 0.0) for down in downs for side in (-1.0, 1.0)]
            spots += [(x + across * side, y, 0.0) for side in (1.0, -1.0)]
            spots += [
                (x + across * side, y + down * up, 0.0)
                for down in downs
                for side in (1.0, -1.0)
                for up in (-1.0, 1.0)
            ]
            self._put(text, spots, "small halo", most_hidden=_MOST_PASSING)

    def _edges(self, plate: Plate) -> None:
        outside = shapely.polygons(self._frame.place(plate.boundary.outer.ring))
        for edge in plate.boundary.outer.edges:
            line = self._frame.place(edge.points)
            if shapely.length(shapely.linestrings(line)) < width_mm(edge.name):
                continue
            spots = [
                spot
                for away_mm in (0.6, 0.6 + _NEXT_MM)
                for spot in _beside(line, away_mm)
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
        most_hidden: int = _MOST_HIDDEN,
    ) -> None:
        if not name.strip():
            return
        text = shortened(name, _MOST_LETTERS)
        fitting: list[tuple[int, int, tuple[float, float, float]]] = []
        for spot in spots:
            if not self._free(_shape(text, spot, size_mm)):
                continue
            hidden = self._hidden(text, spot, size_mm)
            if hidden > most_hidden:
                continue
            fitting.append((hidden, len(fitting), spot))
        if not fitting:
            return
        _, _, (x, y, turn) = min(fitting)
        self._taken.append(_shape(text, (x, y, turn), size_mm))
        turned = {} if turn == 0.0 else {"transform": f"rotate({_turn(turn, x, y)})"}
        self.drawn.append(
            words(text, x, y, class_, text_anchor="middle", dominant_baseline="central", **turned)
        )

    def _free(self, shape: shapely.Geometry) -> bool:
        left, top, right, bottom = shapely.bounds(shape).tolist()
        room = self._bounds_mm
        if left < room[0] or top < room[1] or right > room[2] or bottom > room[3]:
            return False
        return not shapely.intersects(shape, self._taken).any()

    def _hidden(self, text: str, spot: tuple[float, float, float], size_mm: float) -> int:
        """Return how much a name hides: holes under it, those in trouble more, and edges."""
        x, y, turn = spot
        right, down = self._to_see_mm[:, 0] - x, self._to_see_mm[:, 1] - y
        cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        reach_x, reach_y = width_mm(text, size_mm) / 2.0 + 0.3, size_mm / 2.0 + 0.3
        under = (np.abs(right * cos + down * sin) < reach_x) & (
            np.abs(down * cos - right * sin) < reach_y
        )
        holes = int(under.sum() + _TROUBLE_HIDDEN * (under & self._trouble).sum())
        near = shapely.dwithin(_shape(text, spot, size_mm), self._lines, _OFF_LINES_MM)
        return holes + _LINE_CROSSED * bool(np.any(near))


def _shared_words(names: list[str]) -> str:
    """Return the words all names begin with: the edges of a cut-out begin with its own name."""
    columns = zip(*(name.split() for name in names), strict=False)
    same = itertools.takewhile(lambda column: len(set(column)) == 1, columns)
    return " ".join(column[0] for column in same)


def _turn(turn: float, x: float, y: float) -> str:
    return f"{number(turn)} {number(x)} {number(y)}"


def _row_spots(
    name: str, line: NDArray[np.float64], clearance_mm: float
) -> Iterator[tuple[float, float, float]]:
    """Yield places for the name of a row [mm]: beside its line, then at its ends."""
    if len(line) == 1:
        line = np.vstack((line, line + np.array((0.01, 0.0))))
    yield from _beside(line, clearance_mm)
    yield from _beyond(line, clearance_mm, width_mm(name))


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


def _shape(text: str, spot: tuple[float, float, float], size_mm: float) -> shapely.Geometry:
    """Return what a name covers on the page, turned as it is."""
    x, y, turn = spot
    half_x, half_y = width_mm(text, size_mm) / 2.0, size_mm / 2.0
    corners = np.array(((-half_x, -half_y), (half_x, -half_y), (half_x, half_y), (-half_x, half_y)))
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return shapely.polygons(corners @ ((cos, sin), (-sin, cos)) + (x, y))
