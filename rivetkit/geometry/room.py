"""Where there is room: the places that keep clear of the edges of plates and of other holes.

Round borders are drawn as chords that keep to the safe side: a place called free is free.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from rivetkit.geometry.outline import Boundary

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Point, Points
    from rivetkit.geometry.outline import Circle
    from rivetkit.geometry.spots import Spots

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
    return _inner_disc(centre, radius_in * _OUTSIDE)


def _inner_disc(centre: Point, radius_in: float) -> Any:
    """Return a circle of some radius [in] as a polygon that lies inside it."""
    return shapely.buffer(shapely.points(centre), radius_in, quad_segs=_QUARTER_PIECES)


def near_line(points: Points, distance_in: float) -> Any:
    """Return the places no further than so much [in] from a line ``(n, 2)`` [in], or from a point.

    The answer lies inside the true one.
    """
    if len(points) == 1:
        x, y = points[0].tolist()
        return _inner_disc((x, y), distance_in)
    pieces = shapely.linestrings(np.stack((points[:-1], points[1:]), axis=1))
    return shapely.union_all(shapely.buffer(pieces, distance_in, quad_segs=_QUARTER_PIECES))


@dataclass(frozen=True, eq=False)
class Plate:
    """A layer as ground to stand on.

    ``filled`` are those of the boundary's circles that are no open ground, though the metal ends
    at their rims: what is in them, a screw, is as much in the way as metal.
    """

    boundary: Boundary
    filled: tuple[Circle, ...] = ()

    @cached_property
    def _open(self) -> Boundary:
        boundary = self.boundary
        circles = tuple(circle for circle in boundary.circles if circle not in self.filled)
        return Boundary(boundary.outer, boundary.cutouts, circles)

    @cached_property
    def metal(self) -> Any:
        """The plate as a polygon, cut-outs and open circles taken out."""
        gone = [loop.polygon for loop in self.boundary.cutouts]
        gone += [_inner_disc(circle.centre, circle.radius_in) for circle in self._open.circles]
        outer = self.boundary.outer.polygon
        return shapely.difference(outer, shapely.union_all(gone)) if gone else outer

    def under(self, spots: Spots) -> NDArray[np.bool_]:
        """Return which of the points have this plate under them, ``(n,)``."""
        return np.asarray(~self._open.outside(spots))

    def edges_at(self, spot: Spots) -> list[tuple[str, float]]:
        """Return every edge by name with its distance from one point [in], the nearest first.

        A point in a hole is at nought from it.
        """
        each = self.boundary.closest_point_to_each_edge(spot).distance_in
        told = [(name, max(distance_in, 0.0)) for name, distance_in in self._named(each)]
        return sorted(told, key=lambda edge: edge[1])

    def nearest_to_metal(self, spot: Spots) -> tuple[str, float]:
        """Return the edge nearest to one point from either side, and its distance [in].

        A point in a filled circle is at nought from it.
        """
        each = self.boundary.closest_point_to_each_edge(spot).distance_in
        filled = {circle.name for circle in self.filled}
        return min(
            (
                (name, max(distance_in, 0.0) if name in filled else abs(distance_in))
                for name, distance_in in self._named(each)
            ),
            key=lambda edge: edge[1],
        )

    def _named(self, distances_in: NDArray[np.float64]) -> Iterable[tuple[str, float]]:
        return zip(self.boundary.edge_names, distances_in.tolist(), strict=True)

    def near_edges(self, distance_in: float, near: Any) -> Any:
        """Return the places nearer than so much [in] to any edge, on either side of it.

        Only edges that matter to the shape ``near`` are looked at. A filled circle belongs to its
        rim.
        """
        off_in = (distance_in + self.boundary.chords_off_in) * _OUTSIDE
        pieces = self.boundary.pieces_within(near, off_in)
        bands = list(shapely.buffer(pieces, off_in, quad_segs=_QUARTER_PIECES))
        for circle in self.boundary.circles:
            band = disc(circle.centre, circle.radius_in + distance_in)
            if circle not in self.filled and circle.radius_in > distance_in:
                inner = _inner_disc(circle.centre, circle.radius_in - distance_in)
                band = shapely.difference(band, inner)
            bands.append(band)
        return shapely.union_all(bands)

    def room(self, clearance_in: float, near: Any) -> Any:
        """Return the part of a shape on this plate, no nearer than so much [in] to its edges."""
        on_it = shapely.intersection(near, self.metal)
        return shapely.difference(on_it, self.near_edges(clearance_in, near))

    def too_near(self, inside_in: float, outside_in: float, near: Any) -> Any:
        """Return the places on the plate nearer than ``inside_in`` to its edges, and those off it
        nearer than ``outside_in`` [in].
        """
        inside = shapely.intersection(self.near_edges(inside_in, near), self.metal)
        outside = shapely.difference(self.near_edges(outside_in, near), self.metal)
        return shapely.union(inside, outside)


def without(free: Any, taken: Iterable[Any], clear_of: Iterable[KeepClear] = ()) -> Any:
    """Return what is left of a shape when some others and some circles are taken out."""
    gone = [*taken, *(disc(circle.centre, circle.radius_in) for circle in clear_of)]
    return shapely.difference(free, shapely.union_all(gone)) if gone else free


def common(free: Any, grounds: Iterable[Any]) -> Any:
    """Return the part of a shape that lies on at least one of some grounds."""
    return shapely.intersection(free, shapely.union_all(list(grounds)))


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
    """Return the stretches of the line from ``start`` to ``end`` that are left of it in ``free``.

    Stretches that touch are one.
    """
    line = shapely.linestrings([start, end])
    found: list[Interval] = []
    for part in shapely.get_parts(free):
        if shapely.is_empty(part):
            continue
        ends = shapely.line_locate_point(line, shapely.points(shapely.get_coordinates(part)))
        found.append(Interval(float(ends.min()), float(ends.max())))
    joined: list[Interval] = []
    for one in sorted(found, key=lambda interval: interval.start_in):
        if joined and one.start_in - joined[-1].end_in <= _TOUCHING_IN:
            last = joined.pop()
            one = Interval(last.start_in, max(last.end_in, one.end_in))  # noqa: PLW2901
        joined.append(one)
    return tuple(joined)
