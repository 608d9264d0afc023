"""How far a hole's centre moved, and what that takes off the distances around it.

All angles are measured from the line of the row (0) towards the near edge (90).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

Point = tuple[float, float]

#: The old centre, from which everything is measured.
_OLD: Point = (0.0, 0.0)

#: Directions with a name [deg].
ALONG_ROW_DEG = 0.0
TOWARD_EDGE_DEG = 90.0


@dataclass(frozen=True, slots=True)
class Bow:
    """The circle [in] of the arc that a stretch is a chord of."""

    centre: Point
    radius_in: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where a centre may lie, or an edge: along a straight line, and all within a radius of it.

    Parameters
    ----------
    start, end
        Ends of the line, from the old centre [in]; the same point twice for a spot or a round rim.
    radius_in
        How far from the line it reaches [in].
    bow
        Of a piece of an arc: the arc's circle, from the old centre.
    """

    start: Point
    end: Point
    radius_in: float = 0.0
    bow: Bow | None = None

    def gap_in(self, other: Stretch) -> float:
        """Return the least distance between the two [in]; only the other may have a bow.

        Examples
        --------
        >>> Stretch((0.0, -0.01), (0.0, 0.01)).gap_in(Stretch((-5.0, 0.25), (5.0, 0.25)))
        0.24
        """
        apart_in = _lines_apart_in(self.start, self.end, other.start, other.end)
        if other.bow is not None and apart_in > 0.0:
            apart_in = _to_arc_in(self, other, other.bow)
        return max(apart_in - self.radius_in - other.radius_in, 0.0)

    def beyond(self, at: Point) -> Stretch:
        """Return the same stretch about another point than the old centre."""
        x, y = at
        start = (self.start[0] + x, self.start[1] + y)
        end = (self.end[0] + x, self.end[1] + y)
        bow = self.bow and replace(
            self.bow, centre=(self.bow.centre[0] + x, self.bow.centre[1] + y)
        )
        return Stretch(start, end, self.radius_in, bow)


def _lines_apart_in(start: Point, end: Point, other_start: Point, other_end: Point) -> float:
    if start == end:
        return _point_to_line_in(start, other_start, other_end)
    if other_start == other_end:
        return _point_to_line_in(other_start, start, end)
    if _cross(start, end, other_start, other_end):
        return 0.0
    return min(
        _point_to_line_in(start, other_start, other_end),
        _point_to_line_in(end, other_start, other_end),
        _point_to_line_in(other_start, start, end),
        _point_to_line_in(other_end, start, end),
    )


def _to_arc_in(line: Stretch, chord: Stretch, bow: Bow) -> float:
    """Return the least distance from a line to the arc of a chord that it does not cross [in]."""
    (x, y), (end_x, end_y) = line.start, line.end
    share = _nearest_share(bow.centre, line.start, line.end)
    foot = (x + share * (end_x - x), y + share * (end_y - y))
    off_rim_in = [
        abs(math.dist(bow.centre, place) - bow.radius_in)
        for place in (line.start, line.end, foot)
        if _is_abreast(place, chord, bow.centre)
    ]
    to_ends_in = [_point_to_line_in(end, line.start, line.end) for end in (chord.start, chord.end)]
    return min(*off_rim_in, *to_ends_in)


def _is_abreast(place: Point, chord: Stretch, centre: Point) -> bool:
    """Return whether a place lies between the spokes of a circle through a chord's ends."""
    turn = _side(centre, chord.start, chord.end)
    sides = _side(centre, chord.start, place), _side(centre, place, chord.end)
    return min(side * turn for side in sides) >= 0.0


def _nearest_share(point: Point, start: Point, end: Point) -> float:
    """Return how far along a line its place nearest to a point is, from nought to one."""
    x, y = point[0] - start[0], point[1] - start[1]
    along, across = end[0] - start[0], end[1] - start[1]
    square = along * along + across * across
    return min(max((x * along + y * across) / square, 0.0), 1.0) if square else 0.0


def _point_to_line_in(point: Point, start: Point, end: Point) -> float:
    share = _nearest_share(point, start, end)
    x, y = point[0] - start[0], point[1] - start[1]
    along, across = end[0] - start[0], end[1] - start[1]
    return math.hypot(x - share * along, y - share * across)


def _cross(start: Point, end: Point, other_start: Point, other_end: Point) -> bool:
    """Return whether two lines cross; lines that only touch are left to the distances."""
    apart = _side(start, end, other_start) * _side(start, end, other_end) < 0.0
    return apart and _side(other_start, other_end, start) * _side(other_start, other_end, end) < 0.0


def _side(start: Point, end: Point, point: Point) -> float:
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


@dataclass(frozen=True)
class Move:
    """How far a hole's centre moved from the old one.

    Parameters
    ----------
    along_in
        The move along the axis, positive in its direction; where the side is not known, the most
        it can be [in].
    axis_deg
        Direction of the axis [deg]; None when not known: any direction must be reckoned with.
    side_known
        Whether the sign of ``along_in`` is known.
    """

    along_in: float
    axis_deg: float | None = None
    side_known: bool = True

    @cached_property
    def centres(self) -> Stretch:
        """Where the centre may be now, from the old one."""
        if self.axis_deg is None:
            return Stretch(_OLD, _OLD, abs(self.along_in))
        x, y = _polar(self.along_in, self.axis_deg)
        return Stretch((x, y) if self.side_known else (-x, -y), (x, y))

    def toward_in(self, direction_deg: float | None, *, either_side: bool = False) -> float:
        """Return by how much, at worst, the centre came nearer to something far off [in].

        Parameters
        ----------
        direction_deg
            Where it lies, square to its edge [deg]; None when not known.
        either_side
            Whether it may as well lie on the opposite side.

        Examples
        --------
        >>> Move(0.01, 90.0).toward_in(90.0), Move(0.01, 90.0).toward_in(270.0)
        (0.01, -0.01)
        >>> Move(0.01, 90.0, side_known=False).toward_in(270.0)
        0.01
        """
        if self.along_in == 0.0:
            return 0.0
        if direction_deg is None or self.axis_deg is None:
            return abs(self.along_in)
        component = self.along_in * _cos_deg(self.axis_deg - direction_deg)
        return component if self.side_known and not either_side else abs(component)

    def distance_after_in(
        self,
        distance_in: float,
        direction_deg: float | None,
        *,
        either_side: bool = False,
        other: Move | None = None,
    ) -> float:
        """Return the least distance there can be now to a point that was so far from the old
        centre [in].

        Parameters
        ----------
        distance_in
            From the old centre to the point [in].
        direction_deg
            Where the point lies [deg]; None when not known.
        either_side
            Whether such a point lies on the opposite side as well.
        other
            How the point moved itself; None: it stands where it stood.

        Examples
        --------
        >>> Move(0.01, 90.0).distance_after_in(0.5, 270.0)
        0.51
        >>> round(Move(0.03, 90.0).distance_after_in(0.4, 0.0), 6)
        0.401123
        >>> either = Move(0.01, 0.0, side_known=False)
        >>> round(either.distance_after_in(0.48, 0.0, other=either), 6)
        0.46
        """
        other = STILL if other is None else other
        if self.along_in == other.along_in == 0.0:
            return distance_in
        own, others = self.centres, other.centres
        if direction_deg is None or own.start == own.end == others.start == others.end == _OLD:
            return max(distance_in - abs(self.along_in) - abs(other.along_in), 0.0)
        sides_deg = (direction_deg, direction_deg + 180.0) if either_side else (direction_deg,)
        return min(own.gap_in(others.beyond(_polar(distance_in, side))) for side in sides_deg)


#: A hole that stays where it was.
STILL = Move(0.0)


def _polar(length_in: float, direction_deg: float) -> Point:
    return length_in * _cos_deg(direction_deg), length_in * _cos_deg(direction_deg - 90.0)


def _cos_deg(angle_deg: float) -> float:
    """Return the cosine, exact at the right angles: an edge square to the axis loses nothing."""
    quarter, rest = divmod(angle_deg, 90.0)
    if rest == 0.0:
        return (1.0, 0.0, -1.0, 0.0)[int(quarter) % 4]
    return math.cos(math.radians(angle_deg))
