"""Edge margins: every row in every layer it passes through, and every edge of a new sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.edge_distance import check_strayed
from rivetkit.calculators.heel_distance import check_heel_distance
from rivetkit.calculators.spacing import check_edge_distance, edge_question
from rivetkit.checks import Check, not_checked
from rivetkit.errors import InputError
from rivetkit.planning.limits import edge_limits_in
from rivetkit.planning.told_edges import ToldEdge, told_edges, told_heel
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.geometry.outline import Boundary
    from rivetkit.job.model import Layer, RowLayer
    from rivetkit.planning.context import Context
    from rivetkit.planning.near_edges import NearEdges


@dataclass(frozen=True, slots=True)
class EdgeMargin:
    """The hole of a row, or of a whole layer, that comes nearest to an edge.

    ``hole`` and ``edge`` are empty where the distance was measured by hand for the whole row.
    """

    layer: str
    row: str
    edge: str
    hole: str
    distance_in: float | None
    diameter_in: float
    check: Check

    @property
    def multiple(self) -> float | None:
        """Edge distance over rivet diameter."""
        return None if self.distance_in is None else self.distance_in / self.diameter_in


@dataclass(frozen=True, slots=True)
class EdgeMargins:
    """Margins by layer and row, and by every edge of the sheets that are replaced."""

    by_row: tuple[EdgeMargin, ...]
    by_edge: tuple[EdgeMargin, ...]

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made, once: a row's nearest hole is often its edge's nearest as well."""
        margins = (*self.by_row, *self.by_edge)
        made = (replace(margin.check, row=margin.row) for margin in margins)
        return tuple({(check.name, check.where, check.reason): check for check in made}.values())


def edge_margins(context: Context) -> EdgeMargins:
    """Return the least edge distance of every row in every layer.

    Raises
    ------
    InputError
        When a hole lies off a layer it should pass through; row, hole and layer are named.
    """
    by_row: list[EdgeMargin] = []
    by_edge: list[EdgeMargin] = []
    limit_in = edge_limits_in(context)
    for layer in context.job.layers.values():
        if layer.new is None:
            continue
        if layer.boundary is None and len(context.holes.in_layer(layer.name)):
            by_row += _unmapped_rows(context, layer)
        near = context.near_edges.get(layer.name)
        if near is None:
            continue
        if layer.boundary is not None:
            _require_on_metal(context, layer.boundary, near)
        by_row += _mapped_rows(context, near, limit_in)
        if layer.boundary is not None and layer.kind == "sheet":
            by_edge += _every_edge(context, layer.boundary, near, limit_in)
    return EdgeMargins(tuple(by_row), tuple(by_edge))


def _require_on_metal(context: Context, boundary: Boundary, near: NearEdges) -> None:
    off = boundary.outside(near.spots)
    if not off.any():
        return
    place = int(np.argmax(off))
    hole = int(near.holes[place])
    x, y = near.spots.points[place]
    others = int(off.sum()) - 1
    more = f" (and {others} more)" if others else ""
    raise InputError(
        length_words(
            "hole {hole}{more} at {place:.4g} lies off '{layer}'",
            hole=context.holes.name(hole),
            more=more,
            place=(float(x), float(y)),
            layer=near.layer,
        ),
        where=f"row '{context.holes.row_names[context.holes.row[hole]]}'",
        mend="move the row, correct the outline, or take the layer out of the row's stack",
    )


def _mapped_rows(
    context: Context, near: NearEdges, limit_in: NDArray[np.float64]
) -> list[EdgeMargin]:
    spare_in = near.distance_in - limit_in[near.holes]
    margins = []
    for number, _ in context.rows_through[near.layer]:
        places = near.places(context.holes.in_row[number])
        place = int(places[np.argmin(spare_in[places])])
        edge, hole = near.names[near.edge[place]], int(near.holes[place])
        row = context.job.rows[number].name
        margins.append(_margin(context, near.layer, row, hole, edge, near.distance_in[place]))
    return margins


def _every_edge(
    context: Context, boundary: Boundary, near: NearEdges, limit_in: NDArray[np.float64]
) -> list[EdgeMargin]:
    """Return the hole with the least to spare at every edge."""
    closest: dict[int, tuple[float, float, int]] = {}
    limits_in = limit_in[near.centre_of]
    for limit in np.unique(limits_in).tolist():
        alike = near.centre_of[limits_in == limit]
        nearest = boundary.closest_point_to_each_edge(near.centres.take(limits_in == limit))
        for edge, (distance_in, spot) in enumerate(
            zip(nearest.distance_in.tolist(), nearest.edge.tolist(), strict=True)
        ):
            told = (distance_in - limit, max(distance_in, 0.0), int(alike[spot]))
            closest[edge] = min(closest.get(edge, told), told)
    margins = []
    for edge, name in enumerate(boundary.edge_names):
        _, distance_in, hole = closest[edge]
        row = context.holes.row_names[context.holes.row[hole]]
        margins.append(_margin(context, near.layer, row, hole, name, distance_in))
    return margins


def _margin(
    context: Context, layer: str, row: str, hole: int, edge: str, distance_in: float
) -> EdgeMargin:
    part = context.holes.fit_parts[context.holes.fit[hole]]
    name = context.holes.name(hole)
    check = check_edge_distance(
        float(distance_in),
        diameter_in=part.diameter_in,
        flush=part.flush,
        book=context.book,
        accuracy_in=context.job.accuracy_in,
        where=f"{name} to {edge} of {layer}",
    )
    return EdgeMargin(layer, row, edge, name, float(distance_in), part.diameter_in, check)


def _unmapped_rows(context: Context, layer: Layer) -> list[EdgeMargin]:
    margins = []
    for number, place in context.rows_through[layer.name]:
        margins += _unmapped_row(context, layer, number, place)
    return margins


def _unmapped_row(context: Context, layer: Layer, number: int, place: RowLayer) -> list[EdgeMargin]:
    margins = []
    row = context.job.rows[number]
    members = context.holes.in_row[number]
    for edge in told_edges(layer, place, context.strays[number]):
        held = members[context.at_row_ends[members]] if edge.at_ends else members
        part = _hungriest_part(context, held)
        if edge.distance_in is None:
            question = edge_question(flush=part.flush)
            check = not_checked(
                "edge distance",
                edge.reason,
                where=f"{row.name} in {layer.name}",
                citations=(context.book.rule(question).citation,),
            )
        else:
            check_at = partial(
                check_edge_distance,
                diameter_in=part.diameter_in,
                flush=part.flush,
                book=context.book,
                accuracy_in=context.job.accuracy_in,
                where=f"{row.name}, {edge.name} of {layer.name}",
            )
            check = check_strayed(check_at, edge.distance_in, stray_in=edge.unsure_in)
        margins.append(
            EdgeMargin(layer.name, row.name, edge.name, "", check.value, part.diameter_in, check)
        )
    heel = told_heel(layer, place, context.strays[number])
    if heel is not None:
        margins.append(_heel_margin(context, layer, number, heel))
    return margins


def _heel_margin(context: Context, layer: Layer, number: int, heel: ToldEdge) -> EdgeMargin:
    row = context.job.rows[number].name
    diameter_in = float(context.diameter_in[context.holes.in_row[number]].max())
    check_at = partial(
        check_heel_distance,
        why=heel.reason,
        diameter_in=diameter_in,
        book=context.book,
        accuracy_in=context.job.accuracy_in,
        where=f"{row}, {heel.name} of {layer.name}",
    )
    if heel.distance_in is None:
        check = check_at(None)
    else:
        check = check_strayed(check_at, heel.distance_in, stray_in=heel.unsure_in)
    return EdgeMargin(layer.name, row, heel.name, "", check.value, diameter_in, check)


def _hungriest_part(context: Context, holes: NDArray[np.intp]) -> Fastener:
    """Return the rivet of some holes that asks for most edge; one distance was measured for all."""
    parts = [context.holes.fit_parts[fit] for fit in np.unique(context.holes.fit[holes])]
    hungriest: Fastener = max(
        parts,
        key=lambda part: context.book.rule(edge_question(flush=part.flush)).length_in(
            diameter_in=part.diameter_in
        ),
    )
    return hungriest
