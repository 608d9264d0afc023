"""Where there is room: the part of a plate that keeps clear of its edges and of other holes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import shapely

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.geometry.curves import Point
    from rivetkit.geometry.outline import Boundary

#: Straight pieces in a quarter circle of a rounded border.
_QUARTER_PIECES = 64

#: Round borders are drawn as chords; this much more radius puts the chords outside the circle, so
#: that a place called free is free.
_OUTSIDE = 1.0 / math.cos(math.pi / (4 * _QUARTER_PIECES))


#: A place this near to free ground [in] is on it, but for rounding.
_TOUCHING_IN = 1e-9


@dataclass(frozen=True, slots=True)
class KeepClear:
    """A circle [in] that a centre must stay out of."""

    centre: Point
    radius_in: float


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of a line, from its start [in]."""

    start_in: float
    end_in: float


def disc(centre: Point, radius_in: float) -> Any:
    """Return a circle of some radius [in] as a polygon that holds all of it."""
    return shapely.buffer(shapely.points(centre), radius_in * _OUTSIDE, quad_segs=_QUARTER_PIECES)


def room_in_layer(boundary: Boundary, clearance_in: float) -> Any:
    """Return the places of a layer no nearer than so much [in] to any of its edges."""
    apart_in = clearance_in * _OUTSIDE
    free = shapely.buffer(boundary.outer.polygon, -apart_in, quad_segs=_QUARTER_PIECES)
    for loop in boundary.cutouts:
        cut = shapely.buffer(loop.polygon, apart_in, quad_segs=_QUARTER_PIECES)
        free = shapely.difference(free, cut)
    for circle in boundary.circles:
        free = shapely.difference(free, disc(circle.centre, circle.radius_in + clearance_in))
    return free


def free_places(layers: Iterable[Any], clear_of: Iterable[KeepClear], within: Any) -> Any:
    """Return what is left of a shape after all layers and circles have had their say."""
    free = within
    for layer in layers:
        free = shapely.intersection(free, layer)
    discs = [disc(circle.centre, circle.radius_in) for circle in clear_of]
    return shapely.difference(free, shapely.union_all(discs)) if discs else free


def nearest_place(free: Any, point: Point, clear_of: Iterable[KeepClear] = ()) -> Point | None:
    """Return the place nearest to a point; None when nothing is free.

    Straight away from the centre of a circle the point lies in is nearer than any corner of the
    polygon drawn round it, so those places are tried first.
    """
    if shapely.is_empty(free):
        return None
    line = shapely.shortest_line(free, shapely.points(point))
    x, y = shapely.get_coordinates(line)[0]
    nearest = (float(x), float(y))
    reach_in = math.dist(point, nearest)
    for circle in clear_of:
        away_in = math.dist(point, circle.centre)
        if not 0.0 < away_in < circle.radius_in:
            continue
        share = circle.radius_in * _OUTSIDE / away_in
        place = (
            circle.centre[0] + share * (point[0] - circle.centre[0]),
            circle.centre[1] + share * (point[1] - circle.centre[1]),
        )
        gap_in = float(shapely.distance(free, shapely.points(place)))
        if gap_in <= _TOUCHING_IN and math.dist(point, place) <= reach_in + circle.radius_in * (
            _OUTSIDE - 1.0
        ):
            return place
    return nearest


def intervals(free: Any, start: Point, end: Point) -> tuple[Interval, ...]:
    """Return the stretches of the line from ``start`` to ``end`` that lie in free places."""
    line = shapely.linestrings([start, end])
    found = []
    for part in shapely.get_parts(shapely.intersection(line, free)):
        if shapely.is_empty(part):
            continue
        ends = shapely.line_locate_point(line, shapely.points(shapely.get_coordinates(part)))
        found.append(Interval(float(ends.min()), float(ends.max())))
    return tuple(sorted(found, key=lambda interval: interval.start_in))
