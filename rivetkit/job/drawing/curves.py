"""Points along the lines, arcs, splines, ellipses and polylines that ezdxf read."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

#: A stretch of spline is halved at most so often.
_DEEPEST_HALVING = 12


def stretches(kind: str, entity: Any, sagitta: float) -> Iterator[tuple[str, list[Any]]]:
    """Yield how each stretch of a drawn line runs, and its points, in the drawing's unit.

    Parameters
    ----------
    kind
        What DXF calls it.
    entity
        The line, as ezdxf read it.
    sagitta
        How far short lines may leave a curve, in the drawing's unit.

    Raises
    ------
    ValueError
        When it is a mesh.
    """
    if kind == "LINE":
        yield "line", [entity.dxf.start, entity.dxf.end]
    elif kind == "ARC":
        turn = (entity.dxf.end_angle - entity.dxf.start_angle) % 360.0
        angles = [entity.dxf.start_angle + turn * part for part in (0.0, 0.5, 1.0)]
        yield "arc", list(entity.vertices(angles))
    elif kind == "SPLINE":
        yield "curve", list(_spline_points(entity.construction_tool(), sagitta))
    elif kind == "ELLIPSE":
        yield "curve", list(entity.flattening(sagitta))
    else:
        yield from _polyline(kind, entity)


def _spline_points(spline: Any, sagitta: float) -> Iterator[Any]:
    """Yield points along a spline; between the knots where it is defined, which for a closed one
    are not the first and the last.
    """
    knots = list(spline.knots())
    first, last = knots[spline.degree], knots[spline.count]
    inner = sorted({knot for knot in knots if first <= knot <= last})
    yield spline.point(first)
    for start, end in pairwise(inner):
        quarters = [start + (end - start) * part / 4.0 for part in range(5)]
        for low, high in pairwise(quarters):
            yield from _halved(spline, low, high, sagitta, _DEEPEST_HALVING)


def _halved(spline: Any, low: float, high: float, sagitta: float, left: int) -> Iterator[Any]:
    """Yield the points after ``low`` up to ``high`` that keep the chords near the curve."""
    middle = (low + high) / 2.0
    start, between, end = spline.point(low), spline.point(middle), spline.point(high)
    if left and between.distance(start.lerp(end)) > sagitta:
        yield from _halved(spline, low, middle, sagitta, left - 1)
        yield from _halved(spline, middle, high, sagitta, left - 1)
    else:
        yield end


def _polyline(kind: str, entity: Any) -> Iterator[tuple[str, list[Any]]]:
    """Yield the straight stretches and arcs of a polyline."""
    from ezdxf.math import Vec3

    if kind == "POLYLINE" and entity.is_3d_polyline:
        corners = [(Vec3(vertex.dxf.location), 0.0) for vertex in entity.vertices]
        to_world = list
    elif kind == "POLYLINE" and not entity.is_2d_polyline:
        raise ValueError("a mesh is no line")
    else:
        to_world = _to_world(entity)
        corners = list(_flat_corners(kind, entity))
    if entity.is_closed and corners:
        corners.append(corners[0])
    for (start, bulge), (end, _) in pairwise(corners):
        if not bulge:
            yield "line", to_world([start, end])
            continue
        # A bulge is the tangent of a quarter of the arc's angle, so the arc rises over the middle
        # of its chord by half the chord times the bulge, to the right for one that turns left.
        half = (end - start) / 2.0
        middle = start + half + Vec3(half.y, -half.x, 0.0) * bulge
        yield "arc", to_world([start, middle, end])


def _flat_corners(kind: str, entity: Any) -> Iterator[tuple[Any, float]]:
    from ezdxf.math import Vec3

    if kind == "LWPOLYLINE":
        for x, y, bulge in entity.get_points("xyb"):
            yield Vec3(x, y, entity.dxf.elevation), bulge
        return
    for vertex in entity.vertices:
        if not vertex.get_flag_state(vertex.SPLINE_FRAME_CONTROL_POINT):
            yield Vec3(vertex.dxf.location), vertex.dxf.get("bulge", 0.0)


def _to_world(entity: Any) -> Any:
    ocs = entity.ocs()
    return lambda points: list(ocs.points_to_wcs(points))
