"""Layers drawn under a row that does not go through them, as the job has it."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import LIMIT_TOLERANCE, Check, not_checked
from rivetkit.geometry.spots import Spots
from rivetkit.planning.gather import HolesCheck
from rivetkit.planning.limits import edge_limits_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from rivetkit.geometry.outline import Boundary
    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context

UNLISTED = "layer drawn under the row"


def unlisted_layers(context: Context) -> tuple[HolesCheck, ...]:
    """Return a check that was not made for every row and drawn layer that may lie under it.

    A layer may when it lies against one of the row's layers elsewhere and holes of the row stand on
    its metal, or nearer to its edge than their edge distance, but not all of them well inside: a
    sheet that covers the whole row is the one on the other side of the structure. Holes that
    another row takes through the layer are left out.
    """
    limit_in = edge_limits_in(context)
    touching = _touching(context)
    near = _drawn_near(context, float(limit_in.max(initial=0.0)))
    return tuple(
        found
        for number, row in enumerate(context.job.rows)
        for layer in near[number]
        if _may_lie_under(row, layer, touching)
        for found in _under(context, number, layer, limit_in)
    )


def _drawn_near(context: Context, reach_in: float) -> list[list[str]]:
    """Return for every row the drawn layers whose boxes come within reach of its own box [in]."""
    job = context.job
    outlines = {
        name: shapely.envelope(layer.boundary.outer.polygon)
        for name, layer in job.layers.items()
        if layer.boundary is not None
    }
    found: list[list[str]] = [[] for _ in job.rows]
    if not outlines:
        return found
    drawn = list(outlines)
    points = [context.holes.points[members] for members in context.holes.in_row]
    corners = [np.concatenate((row.min(axis=0), row.max(axis=0))) for row in points]
    boxes = shapely.box(*np.array(corners).T)
    tree = shapely.STRtree(list(outlines.values()))
    rows, layers = tree.query(boxes, predicate="dwithin", distance=reach_in)
    for row, layer in sorted(zip(rows.tolist(), layers.tolist(), strict=True)):
        found[row].append(drawn[layer])
    return found


def _touching(context: Context) -> dict[str, set[str]]:
    """Return which layers lie against each other in some row, those left off taken out."""
    layers = context.job.layers
    found: dict[str, set[str]] = {}
    for row in context.job.rows:
        there = [place.layer for place in row.layers if layers[place.layer].new is not None]
        for one, other in pairwise(there):
            found.setdefault(one, set()).add(other)
            found.setdefault(other, set()).add(one)
    return found


def _may_lie_under(row: Row, layer: str, touching: dict[str, set[str]]) -> bool:
    own = {place.layer for place in row.layers}
    if layer in own or layer in row.not_through:
        return False
    return any(layer in touching.get(name, ()) for name in own)


def _under(
    context: Context, number: int, name: str, limit_in: NDArray[np.float64]
) -> Iterator[HolesCheck]:
    layer = context.job.layers[name]
    members = np.unique(context.holes.in_row[number])
    elsewhere = np.setdiff1d(members, context.holes.in_layer(name))
    if layer.boundary is None or not len(elsewhere):
        return
    # A row beside a screw or an open hole is none that an edge of the layer runs across.
    boundary = layer.boundary.without(layer.rims)
    inside_in = _inside_in(boundary, context.holes.points[elsewhere])
    room_in = limit_in[elsewhere] - LIMIT_TOLERANCE
    under = inside_in > -room_in
    if under.any() and not (inside_in >= room_in).all():
        yield HolesCheck(elsewhere[under], _check(context, number, name, elsewhere[under]))


def _inside_in(boundary: Boundary, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far inside the metal some points are, negative outside, ``(n,)`` [in]."""
    spots = Spots.at(points)
    away_in = np.abs(boundary.nearest_edge(spots).distance_in)
    return np.where(boundary.outside(spots), -away_in, away_in)


def _check(context: Context, number: int, name: str, under: NDArray[np.intp]) -> Check:
    row = context.job.rows[number].name
    holes = f"{len(under)} of its holes" if len(under) > 1 else "a hole of it"
    return not_checked(
        UNLISTED,
        f"{holes}, {context.holes.name(int(under[0]))} first, may go through it, and the row's "
        f'layers leave it out: list it, or say not_through = ["{name}"] in the row',
        where=f"{name} under {row}",
    )
