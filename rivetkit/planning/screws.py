"""The screws of nutplates: their own edge distance in every layer, and their spacing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.nutplate_place import (
    SCREW_EDGE_RULE,
    SCREW_SPACING_RULE,
    check_screw_edge,
    check_screw_spacing,
)
from rivetkit.checks import Check, not_checked
from rivetkit.errors import InputError
from rivetkit.fasteners.screw_holes import screw_diameter_in
from rivetkit.geometry.neighbours import close_pairs
from rivetkit.geometry.outline import Boundary
from rivetkit.geometry.spots import Spots
from rivetkit.planning.edges import EdgeMargin
from rivetkit.planning.pitches import RowGap

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.geometry.curves import Point
    from rivetkit.job.model import Layer, Row
    from rivetkit.planning.context import Context

#: Screws further apart than this many times the limit are not looked at: there is room enough.
_REACH = 2.0


@dataclass(frozen=True, slots=True)
class ScrewMargins:
    """By row and layer, the screw nearest to an edge; by pairs of rows, the nearest two screws."""

    edges: tuple[EdgeMargin, ...] = ()
    gaps: tuple[RowGap, ...] = ()

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made."""
        return (*(edge.check for edge in self.edges), *(gap.check for gap in self.gaps))


@dataclass(frozen=True, slots=True)
class _Screw:
    row: Row
    name: str
    at: Point
    diameter_in: float


def screw_margins(context: Context) -> ScrewMargins:
    """Return the margins of the screws of every row of nutplates.

    Raises
    ------
    InputError
        When a screw lies off a layer its nutplate holds on to.
    """
    rows = [row for row in context.job.rows if row.screws]
    edges = tuple(
        _edge_margin(context, row, layer)
        for row in rows
        for layer in (context.job.layers[place.layer] for place in row.layers)
        if layer.new is not None
    )
    screws = [screw for row in rows for screw in _screws(row)]
    return ScrewMargins(edges, tuple(_gaps(context, screws)))


def _screws(row: Row) -> Iterator[_Screw]:
    assert row.nutplate is not None  # noqa: S101 - only nutplates have screws
    diameter_in = screw_diameter_in(row.nutplate)
    for number, at in enumerate(row.screws):
        yield _Screw(row, row.screw_name(number), at, diameter_in)


def _edge_margin(context: Context, row: Row, layer: Layer) -> EdgeMargin:
    screws = tuple(_screws(row))
    screw_in = screws[0].diameter_in
    if layer.boundary is None:
        check = not_checked(
            "edge distance",
            "the job has no outline of it: measure from the screws",
            where=f"screws of {row.name} in {layer.name}",
            citations=(context.book.rule(SCREW_EDGE_RULE).citation,),
        )
        return EdgeMargin(layer.name, row.name, "not measured", "", None, screw_in, check)
    own = {circle.name for circle in layer.screw_holes}
    circles = tuple(circle for circle in layer.boundary.circles if circle.name not in own)
    boundary = Boundary(layer.boundary.outer, layer.boundary.cutouts, circles)
    spots = Spots.at(np.array([screw.at for screw in screws]))
    off = boundary.outside(spots)
    if off.any():
        screw = screws[int(np.argmax(off))]
        raise InputError(
            f"{screw.name} at ({screw.at[0]:.4g}, {screw.at[1]:.4g}) in lies off '{layer.name}'",
            where=f"row '{row.name}'",
            mend="move the screw, correct the outline, or take the layer out of the row's stack",
        )
    nearest = boundary.nearest_edge(spots)
    worst = int(np.argmin(nearest.distance_in))
    distance_in = float(max(nearest.distance_in[worst], 0.0))
    edge = boundary.edge_names[nearest.edge[worst]]
    check = check_screw_edge(
        distance_in,
        screw_in=screw_in,
        book=context.book,
        accuracy_in=context.job.accuracy_in,
        where=f"{screws[worst].name} to {edge} of {layer.name}",
    )
    return EdgeMargin(layer.name, row.name, edge, screws[worst].name, distance_in, screw_in, check)


def _gaps(context: Context, screws: list[_Screw]) -> Iterator[RowGap]:
    """Yield, for every two rows with a layer in common, the two screws with the least to spare."""
    if len(screws) < 2:  # noqa: PLR2004
        return
    largest_in = max(screw.diameter_in for screw in screws)
    reach_in = _REACH * context.book.rule(SCREW_SPACING_RULE).length_in(diameter_in=largest_in)
    pairs = close_pairs(Spots.at(np.array([screw.at for screw in screws])), reach_in)
    nearest: dict[tuple[str, str], RowGap] = {}
    for first, second, distance_in in zip(
        pairs.first.tolist(), pairs.second.tolist(), pairs.distance_in.tolist(), strict=True
    ):
        one, other = screws[first], screws[second]
        if not _layers(one).intersection(_layers(other)):
            continue
        check = check_screw_spacing(
            distance_in,
            screw_in=max(one.diameter_in, other.diameter_in),
            book=context.book,
            accuracy_in=context.job.accuracy_in,
            where=f"{one.name} to {other.name}",
        )
        names = (one.row.name, other.row.name)
        gap = RowGap(names, (one.name, other.name), distance_in, check)
        nearest[names] = min(nearest.get(names, gap), gap, key=_spare_in)
    yield from nearest.values()


def _spare_in(gap: RowGap) -> float:
    return gap.check.margin if gap.check.margin is not None else 0.0


def _layers(screw: _Screw) -> set[str]:
    return {place.layer for place in screw.row.layers}
