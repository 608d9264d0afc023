"""The boundary of a layer: an outer outline of named edges, cut-outs and holes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from rivetkit.geometry.curves import ARC_SAGITTA_IN, arc_points, circle_through

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Point, Points
    from rivetkit.geometry.spots import Spots

#: A point this near a boundary counts as on it [in]: rounding of coordinates, nothing more.
ON_BOUNDARY_IN = 1e-7


@dataclass(frozen=True, eq=False)
class Bend:
    """An arc itself: its circle and its ends [in], turning left by ``turn_rad`` from the first."""

    centre: Point
    radius_in: float
    ends: tuple[Point, Point]
    turn_rad: float

    @classmethod
    def through(cls, start: Point, through: Point, end: Point) -> Bend:
        """Return the arc through three points [in].

        Raises
        ------
        ValueError
            When they lie on a straight line, or two of them coincide.
        """
        centre, radius_in = circle_through(start, through, end)
        first, middle, last = (_direction_rad(centre, point) for point in (start, through, end))
        if (middle - first) % math.tau > (last - first) % math.tau:
            return cls(centre, radius_in, (end, start), (first - last) % math.tau)
        return cls(centre, radius_in, (start, end), (last - first) % math.tau)

    def distance_in(self, points: Points) -> NDArray[np.float64]:
        """Return the distance of points ``(n, 2)`` to the arc [in]."""
        x, y = (points - np.asarray(self.centre)).T
        turned_rad = np.arctan2(y, x) - _direction_rad(self.centre, self.ends[0])
        abreast = turned_rad % math.tau <= self.turn_rad
        to_ends_in = [np.hypot(*(points - np.asarray(end)).T) for end in self.ends]
        off_rim_in = np.abs(np.hypot(x, y) - self.radius_in)
        return np.asarray(np.where(abreast, off_rim_in, np.minimum(*to_ends_in)))


def _direction_rad(centre: Point, point: Point) -> float:
    return math.atan2(point[1] - centre[1], point[0] - centre[0])


@dataclass(frozen=True, eq=False)
class Edge:
    """A named stretch of a boundary: a polyline ``(n, 2)`` [in], of an arc chords of its bend."""

    name: str
    points: Points
    bend: Bend | None = None

    @classmethod
    def arc(cls, name: str, start: Point, through: Point, end: Point) -> Edge:
        """Return the arc through three points [in].

        Raises
        ------
        ValueError
            As for :func:`~rivetkit.geometry.curves.arc_points`.
        """
        return cls(name, arc_points(start, through, end), Bend.through(start, through, end))


@dataclass(frozen=True, eq=False)
class Loop:
    """A closed chain of edges, each starting where the one before ends."""

    edges: tuple[Edge, ...]

    @cached_property
    def ring(self) -> Points:
        """Corner points of the whole loop ``(n, 2)`` [in], not closed, no point twice."""
        return np.concatenate([edge.points[:-1] for edge in self.edges])

    @cached_property
    def polygon(self) -> Any:
        """The loop as a shapely polygon."""
        return shapely.polygons(self.ring)


@dataclass(frozen=True, slots=True)
class Circle:
    """A round cut-out or hole, kept exact."""

    name: str
    centre: Point
    radius_in: float


@dataclass(frozen=True, eq=False)
class Nearest:
    """For each of n points: distance to the nearest edge [in] and that edge's number."""

    distance_in: NDArray[np.float64]
    edge: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Pieces:
    """Pieces of edges near points: the point's number, ends ``(m, 2)`` [in], radius [in].

    A round hole is a piece from its centre to its centre, with its radius. ``bend`` numbers
    ``bends``, or is -1: the piece is a chord of that one.
    """

    spot: NDArray[np.intp]
    start: Points
    end: Points
    radius_in: NDArray[np.float64]
    bend: NDArray[np.intp]
    bends: tuple[Bend, ...] = ()


@dataclass(frozen=True, eq=False)
class Boundary:
    """All edges a rivet in one layer could be too near to."""

    outer: Loop
    cutouts: tuple[Loop, ...] = ()
    circles: tuple[Circle, ...] = ()

    @cached_property
    def edge_names(self) -> tuple[str, ...]:
        """Names of all edges: the outline's, the cut-outs', then the round holes'."""
        names = [edge.name for edge in self._edges]
        return (*names, *(circle.name for circle in self.circles))

    @cached_property
    def _edges(self) -> list[Edge]:
        return [edge for loop in (self.outer, *self.cutouts) for edge in loop.edges]

    @cached_property
    def _lines(self) -> Any:
        return [shapely.linestrings(edge.points) for edge in self._edges]

    @cached_property
    def _bends(self) -> dict[int, Bend]:
        """The bends of the edges that are arcs, by the edge's number."""
        return {n: edge.bend for n, edge in enumerate(self._edges) if edge.bend is not None}

    @property
    def chords_off_in(self) -> float:
        """How far the straight pieces may be off the edges they stand for [in]."""
        return ARC_SAGITTA_IN if self._bends else 0.0

    @cached_property
    def _segments(self) -> tuple[Any, NDArray[np.intp]]:
        """Search tree over all straight pieces, and the edge each piece belongs to."""
        pieces, owners = [], []
        for number, line in enumerate(self._lines):
            corners = shapely.get_coordinates(line)
            pieces.append(shapely.linestrings(np.stack((corners[:-1], corners[1:]), axis=1)))
            owners.append(np.full(len(corners) - 1, number, dtype=np.intp))
        return shapely.STRtree(np.concatenate(pieces)), np.concatenate(owners)

    def pieces_within(self, shape: Any, within_in: float) -> NDArray[Any]:
        """Return the straight pieces of the loops no further than so much [in] from a shape."""
        tree, _ = self._segments
        found = tree.query(shape, predicate="dwithin", distance=within_in)
        return np.asarray(tree.geometries[found])

    def without(self, holes: Iterable[Circle]) -> Boundary:
        """Return the boundary with some of its round holes left out, by name."""
        names = {circle.name for circle in holes}
        kept = tuple(circle for circle in self.circles if circle.name not in names)
        return Boundary(self.outer, self.cutouts, kept)

    @cached_property
    def area_in2(self) -> float:
        """Area inside the outline less cut-outs and round holes [in2]."""
        area = float(shapely.area(self.outer.polygon))
        area -= sum(float(shapely.area(loop.polygon)) for loop in self.cutouts)
        return area - float(sum(np.pi * circle.radius_in**2 for circle in self.circles))

    @cached_property
    def centroid(self) -> Point:
        """Centre of area with cut-outs and round holes taken out [in]."""
        parts = [(self.outer.polygon, 1.0)] + [(loop.polygon, -1.0) for loop in self.cutouts]
        moment = np.zeros(2)
        for polygon, sign in parts:
            spot = shapely.get_coordinates(shapely.centroid(polygon))[0]
            moment += sign * float(shapely.area(polygon)) * spot
        for circle in self.circles:
            moment -= np.pi * circle.radius_in**2 * np.asarray(circle.centre)
        x, y = moment / self.area_in2
        return (float(x), float(y))

    def outside(self, spots: Spots) -> NDArray[np.bool_]:
        """Return which of the points lie off the metal of this layer, ``(n,)``."""
        polygon = self.outer.polygon
        shapely.prepare(polygon)
        off = ~shapely.intersects(polygon, spots.shapes)
        if off.any():  # on the boundary, but for rounding
            off[off] = shapely.distance(polygon, spots.shapes[off]) > ON_BOUNDARY_IN
        for loop in self.cutouts:
            shapely.prepare(loop.polygon)
            off |= shapely.contains_properly(loop.polygon, spots.shapes)
        for circle in self.circles:
            off |= _circle_distance(circle, spots.points) < -ON_BOUNDARY_IN
        return np.asarray(off)

    def nearest_edge(self, spots: Spots) -> Nearest:
        """Return the distance of each point to the nearest edge, and which."""
        tree, owners = self._segments
        (_, piece), distance = tree.query_nearest(
            spots.shapes, return_distance=True, all_matches=False
        )
        edge = owners[piece]
        for number, bend in self._bends.items():
            here = edge == number
            distance[here] = bend.distance_in(spots.points[here])
        for number, circle in enumerate(self.circles, start=len(self._lines)):
            to_circle = _circle_distance(circle, spots.points)
            closer = to_circle < distance
            distance = np.where(closer, to_circle, distance)
            edge = np.where(closer, number, edge)
        return Nearest(np.asarray(distance, dtype=np.float64), np.asarray(edge, dtype=np.intp))

    def pieces_near(self, spots: Spots, within_in: NDArray[np.float64]) -> Pieces:
        """Return every straight piece and round hole no further from each of the points than its
        ``within_in`` ``(n,)`` [in].
        """
        tree, owners = self._segments
        within_in = within_in + self.chords_off_in
        spot, piece = tree.query(spots.shapes, predicate="dwithin", distance=within_in)
        corners = shapely.get_coordinates(tree.geometries[piece]).reshape(-1, 2, 2)
        bend = np.full(len(self._lines), -1)
        bend[list(self._bends)] = np.arange(len(self._bends))
        straight = Pieces(
            spot,
            corners[:, 0],
            corners[:, 1],
            np.zeros(len(spot)),
            bend[owners[piece]],
            tuple(self._bends.values()),
        )
        return _joined(straight, _rims_near(self.circles, spots, within_in))

    def feet(self, spots: Spots, nearest: Nearest) -> Points:
        """Return the point of the nearest edge that is closest to each point, ``(n, 2)`` [in]."""
        feet = np.empty_like(spots.points)
        for number in np.unique(nearest.edge):
            chosen = nearest.edge == number
            if number < len(self._lines):
                line = self._lines[number]
                along = shapely.line_locate_point(line, spots.shapes[chosen])
                feet[chosen] = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
            else:
                circle = self.circles[number - len(self._lines)]
                feet[chosen] = _on_rim(circle, spots.points[chosen])
        return feet

    def closest_point_to_each_edge(self, spots: Spots) -> Nearest:
        """Return for every edge, in :attr:`edge_names` order, the distance to its closest point.

        ``Nearest.edge`` holds the number of that point.
        """
        distances = np.empty(len(self.edge_names))
        owners = np.empty(len(self.edge_names), dtype=np.intp)
        if self._lines:
            (_, spot), distance = spots.tree.query_nearest(
                np.asarray(self._lines), return_distance=True, all_matches=False
            )
            for number, bend in self._bends.items():
                distance[number] = bend.distance_in(spots.points[[spot[number]]])[0]
            distances[: len(self._lines)] = distance
            owners[: len(self._lines)] = spot
        for number, circle in enumerate(self.circles, start=len(self._lines)):
            to_circle = _circle_distance(circle, spots.points)
            owners[number] = int(np.argmin(to_circle))
            distances[number] = to_circle[owners[number]]
        return Nearest(distances, owners)


@dataclass(frozen=True, eq=False)
class Rims:
    """Round holes in a layer whose own edges nobody drew."""

    circles: tuple[Circle, ...]

    @property
    def edge_names(self) -> tuple[str, ...]:
        """Names of the holes."""
        return tuple(circle.name for circle in self.circles)

    def nearest_edge(self, spots: Spots) -> Nearest:
        """Return the distance of each point to the nearest rim, and which."""
        to_rims = np.stack([_circle_distance(circle, spots.points) for circle in self.circles])
        nearest = to_rims.argmin(axis=0)
        return Nearest(np.asarray(to_rims.min(axis=0)), nearest)

    def pieces_near(self, spots: Spots, within_in: NDArray[np.float64]) -> Pieces:
        """Return every hole whose rim is no further from each of the points than its ``within_in``
        ``(n,)`` [in].
        """
        return _rims_near(self.circles, spots, within_in)

    def feet(self, spots: Spots, nearest: Nearest) -> Points:
        """Return the point of the nearest rim that is closest to each point, ``(n, 2)`` [in]."""
        feet = np.empty_like(spots.points)
        for number in np.unique(nearest.edge):
            chosen = nearest.edge == number
            feet[chosen] = _on_rim(self.circles[number], spots.points[chosen])
        return feet


def _rims_near(circles: tuple[Circle, ...], spots: Spots, within_in: NDArray[np.float64]) -> Pieces:
    near = [
        np.flatnonzero(_circle_distance(circle, spots.points) <= within_in) for circle in circles
    ]
    counts = [len(found) for found in near]
    centres = np.repeat(np.array([circle.centre for circle in circles]).reshape(-1, 2), counts, 0)
    radius_in = np.repeat(np.array([circle.radius_in for circle in circles]), counts)
    spot = np.concatenate([*near, np.zeros(0, dtype=np.intp)])
    return Pieces(spot, centres, centres, radius_in, np.full(len(spot), -1))


def _joined(one: Pieces, other: Pieces) -> Pieces:
    return Pieces(
        np.concatenate((one.spot, other.spot)),
        np.concatenate((one.start, other.start)),
        np.concatenate((one.end, other.end)),
        np.concatenate((one.radius_in, other.radius_in)),
        np.concatenate((one.bend, other.bend)),
        one.bends,
    )


def _on_rim(circle: Circle, points: Points) -> Points:
    spoke = points - np.asarray(circle.centre)
    spoke /= np.hypot(*spoke.T)[:, None]
    return np.asarray(np.asarray(circle.centre) + circle.radius_in * spoke)


def _circle_distance(circle: Circle, points: Points) -> NDArray[np.float64]:
    """Distance from each point to the rim [in], negative inside the hole."""
    return np.asarray(np.hypot(*(points - np.asarray(circle.centre)).T) - circle.radius_in)


def signed_distance_in(points: Points, start: Point, end: Point) -> NDArray[np.float64]:
    """Return the distance of points ``(n, 2)`` to the line through two points, left positive."""
    along = np.subtract(end, start)
    offset = points - np.asarray(start)
    cross = along[0] * offset[:, 1] - along[1] * offset[:, 0]
    return np.asarray(cross / np.hypot(*along))
