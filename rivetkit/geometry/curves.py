"""Points along arcs and polylines."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Sequence

Point: TypeAlias = tuple[float, float]
Points: TypeAlias = NDArray[np.float64]

#: An arc is drawn as chords that leave it by no more than this [in]; a caliper reads 0.001 in.
ARC_SAGITTA_IN = 2e-5

#: A full circle 20,000 in across takes fewer chords; an arc that takes more is a slip of the pen.
_MOST_CHORDS = 50_000


def circle_through(start: Point, through: Point, end: Point) -> tuple[Point, float]:
    """Return centre and radius [in] of the circle through three points.

    Raises
    ------
    ValueError
        When they lie on a straight line, or two of them coincide.
    """
    (ax, ay), (bx, by), (cx, cy) = start, through, end
    twice_area = _twice_area(start, through, end)
    longest = max(math.dist(start, through), math.dist(through, end), math.dist(start, end))
    if abs(twice_area) <= 1e-9 * longest**2 or longest == 0.0:
        raise ValueError("three points on a line make no arc")
    # Measured from the first point for the sake of rounding.
    b2 = (bx - ax) ** 2 + (by - ay) ** 2
    c2 = (cx - ax) ** 2 + (cy - ay) ** 2
    ux = ((cy - ay) * b2 - (by - ay) * c2) / (2.0 * twice_area)
    uy = ((bx - ax) * c2 - (cx - ax) * b2) / (2.0 * twice_area)
    return (ax + ux, ay + uy), math.hypot(ux, uy)


def _twice_area(start: Point, through: Point, end: Point) -> float:
    (ax, ay), (bx, by), (cx, cy) = start, through, end
    return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)


def arc_points(start: Point, through: Point, end: Point) -> Points:
    """Return points on the circular arc from ``start`` through ``through`` to ``end``.

    Parameters
    ----------
    start, through, end
        Three points of the arc, in order [in].

    Returns
    -------
    Points
        ``(n, 2)`` [in], first and last point exact, chords within :data:`ARC_SAGITTA_IN`.

    Raises
    ------
    ValueError
        When the three points lie on a straight line, two of them coincide, or the arc reaches
        farther than any part.
    """
    centre, radius = circle_through(start, through, end)
    (ax, ay), (cx, cy) = start, end
    turns_left = _twice_area(start, through, end) > 0
    first = math.atan2(ay - centre[1], ax - centre[0])
    last = math.atan2(cy - centre[1], cx - centre[0])
    turn = (last - first) % math.tau if turns_left else -((first - last) % math.tau)
    # The angle whose chord leaves the arc by so much; written so that a wide arc keeps it too.
    step = 4.0 * math.asin(min(1.0, math.sqrt(ARC_SAGITTA_IN / (2.0 * radius))))
    pieces = max(8, math.ceil(abs(turn) / step))
    if pieces > _MOST_CHORDS:
        raise ValueError("the arc is wider than any part")
    angles = first + turn * np.arange(pieces + 1) / pieces
    points = np.column_stack(
        (centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles))
    )
    points[0], points[-1] = start, end
    return points


def polyline_length_in(points: Points) -> float:
    """Return the length of a polyline ``(n, 2)`` [in]."""
    return float(shapely.length(shapely.linestrings(points)))


def points_along(points: Points, distances_in: Sequence[float] | Points) -> Points:
    """Return the points at some distances [in] along a polyline ``(n, 2)`` from its start."""
    spots = shapely.line_interpolate_point(shapely.linestrings(points), np.asarray(distances_in))
    return np.asarray(shapely.get_coordinates(spots), dtype=np.float64)
