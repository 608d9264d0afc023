"""Read outlines, cut-outs and holes of a layer into a boundary."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.errors import InputError
from rivetkit.geometry.outline import Boundary, Circle, Edge, Loop
from rivetkit.job.fields import told
from rivetkit.job.model import SAME_POINT_IN
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from rivetkit.geometry.curves import Point
    from rivetkit.job.fields import Fields

#: Fewer corners enclose nothing.
_LEAST_CORNERS = 3

_RECTANGLE = ("bottom", "right", "top", "left")

#: A loop closes when its last point comes back to the first within this [in].
_CLOSES_IN = 1e-4


def read_boundary(layer: Fields) -> Boundary:
    """Return the boundary a layer's ``outline``, ``cutouts`` and ``holes`` describe.

    Raises
    ------
    InputError
        When an outline does not close, crosses itself or encloses nothing, when a cut-out or a
        hole lies off the metal, or when two edges have one name.
    """
    outer = _read_loop(layer.table("outline"), prefix="")
    cutouts: list[Loop] = []
    circles: list[Circle] = []
    for cutout in layer.tables("cutouts"):
        name = cutout.text("name")
        if "circle" in cutout:
            circles.append(_read_circle(cutout.table("circle"), name))
            cutout.done()
        else:
            cutouts.append(_read_loop(cutout, prefix=f"{name} "))
    circles.extend(_read_circle(hole, hole.text("name")) for hole in layer.tables("holes"))
    boundary = Boundary(outer, tuple(cutouts), tuple(circles))
    _check_inside(layer, boundary)
    _check_names(layer, boundary)
    return boundary


def _read_circle(fields: Fields, name: str) -> Circle:
    centre = fields.point("at")
    diameter_in = fields.length_in("diameter")
    fields.done()
    return Circle(name, centre, diameter_in / 2.0)


def _read_loop(fields: Fields, prefix: str) -> Loop:
    if fields.only_one_of("rectangle", "start") == "rectangle":
        loop = _read_rectangle(fields.table("rectangle"), prefix)
    else:
        loop = _read_chain(fields, prefix)
    fields.text("name", "")
    fields.done()
    polygon = loop.polygon
    if not shapely.is_valid(polygon):
        # GEOS ends its reason with the place: Self-intersection[5 3]
        _, _, spot = str(shapely.is_valid_reason(polygon)).rstrip("]").rpartition("[")
        x, y = (float(number) for number in spot.split())
        raise InputError(
            length_words("the outline crosses or touches itself at {place}", place=(x, y)),
            where=fields.where,
            mend="put the points in order round the edge",
        )
    if shapely.area(polygon) <= SAME_POINT_IN:
        raise InputError(
            "the outline encloses nothing", where=fields.where, mend="give its real corners"
        )
    return loop


def _read_rectangle(fields: Fields, prefix: str) -> Loop:
    x, y = fields.point("corner")
    width_in = fields.length_in("width")
    height_in = fields.length_in("height")
    names = fields.raw("edges", list(_RECTANGLE))
    if (
        not isinstance(names, list)
        or len(names) != len(_RECTANGLE)
        or not all(isinstance(name, str) and name for name in names)
    ):
        raise fields.refuse(
            "edges",
            f"{told(names)} does not name four edges",
            "name bottom, right, top, left in turn",
        )
    for name in names:
        fields.require_plain("edges", name)
    fields.done()
    corners = [(x, y), (x + width_in, y), (x + width_in, y + height_in), (x, y + height_in), (x, y)]
    return Loop(
        tuple(
            Edge(prefix + name, np.array(corners[number : number + 2]))
            for number, name in enumerate(names)
        )
    )


def _read_chain(fields: Fields, prefix: str) -> Loop:
    start = here = fields.point("start")
    edges: list[Edge] = []
    for edge in fields.tables("edges"):
        name = edge.text("name")
        edge.rename(f"{fields.where}: edge '{name}'")
        edges.append(_read_edge(edge, prefix + name, here))
        x, y = edges[-1].points[-1].tolist()
        here = (x, y)
    corners = sum(len(edge.points) - 1 for edge in edges)
    if corners < _LEAST_CORNERS:
        raise fields.refuse("edges", f"{corners} edges enclose nothing", "give three or more")
    if math.dist(start, here) > _CLOSES_IN:
        raise fields.refuse(
            "edges",
            length_words(
                "the last edge ends at {end}, the outline starts at {start}", end=here, start=start
            ),
            "add the edge that closes it",
        )
    edges[-1].points[-1] = start
    return Loop(tuple(edges))


def _read_edge(edge: Fields, name: str, here: Point) -> Edge:
    kind = edge.only_one_of("through", "via", need=False)
    end = edge.point("to")
    if kind == "through":
        through = edge.point("through")
        try:
            read = Edge.arc(name, here, through, end)
        except ValueError:
            raise edge.refuse(
                "through",
                "start, through and end make no arc",
                "give a point on the arc, or leave 'through' out for a straight edge",
            ) from None
    else:
        via = edge.points("via") if kind == "via" else []
        points = np.array([here, *via, end], dtype=np.float64)
        steps = np.hypot(*np.diff(points, axis=0).T)
        if not (steps > SAME_POINT_IN).all():
            raise edge.refuse("to", "two points of the edge are the same", "leave one out")
        read = Edge(name, points)
    edge.done()
    return read


def _check_inside(layer: Fields, boundary: Boundary) -> None:
    outer = boundary.outer.polygon
    for loop in boundary.cutouts:
        if not shapely.contains(outer, loop.polygon):
            raise layer.refuse(
                "cutouts",
                f"the cut-out with edge '{loop.edges[0].name}' reaches off the sheet",
                "move it inside, or make it part of the outline",
            )
    for circle in boundary.circles:
        disc = shapely.buffer(shapely.points(circle.centre), circle.radius_in)
        if not shapely.contains(outer, disc):
            raise layer.refuse(
                "holes or cutouts", f"'{circle.name}' reaches off the sheet", "move it inside"
            )


def _check_names(layer: Fields, boundary: Boundary) -> None:
    seen: set[str] = set()
    for name in boundary.edge_names:
        if name in seen:
            raise layer.refuse(
                "outline", f"two edges are called '{name}'", "give every edge a name of its own"
            )
        seen.add(name)
