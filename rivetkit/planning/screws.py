"""Nutplates: their screws' edge distance in every layer and spacing, and room for their lugs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.nutplates.lugs import ROOM_SURE_RULE, check_lug_room, lug_gap
from rivetkit.calculators.nutplates.place import (
    SCREW_EDGE_RULE,
    SCREW_SPACING_RULE,
    check_screw_edge,
    check_screw_spacing,
)
from rivetkit.checks import Check, Verdict, gravest, not_checked
from rivetkit.errors import InputError
from rivetkit.fasteners.screw_holes import screw_diameter_in
from rivetkit.geometry.neighbours import close_pairs
from rivetkit.geometry.spots import Spots
from rivetkit.planning.edges import EdgeMargin
from rivetkit.planning.pitches import RowGap
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rivetkit.calculators.nutplates.lugs import PlacedPlate
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.geometry.curves import Point
    from rivetkit.job.model import Job, Layer, Row
    from rivetkit.planning.context import Context

#: Screws further apart than this many times the limit are not looked at: there is room enough.
_REACH = 2.0


@dataclass(frozen=True, slots=True)
class ScrewMargins:
    """By row and layer, the screw nearest to an edge; by pairs of rows, the nearest two screws.

    ``lugs`` has, by pairs of rows, the two nutplates with the least room between them; ``tight``
    every two screws or nutplates that do not pass.
    """

    edges: tuple[EdgeMargin, ...] = ()
    gaps: tuple[RowGap, ...] = ()
    lugs: tuple[RowGap, ...] = ()
    tight: tuple[RowGap, ...] = ()

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made."""
        gaps = (*self.gaps, *self.lugs)
        return (*(edge.check for edge in self.edges), *(gap.check for gap in gaps))


@dataclass(frozen=True, slots=True)
class _Screw:
    row: Row
    name: str
    plate: PlacedPlate
    nutplate: Nutplate
    diameter_in: float

    @property
    def at(self) -> Point:
        """Its centre [in]."""
        return self.plate.screw_in


def screw_margins(context: Context) -> ScrewMargins:
    """Return the margins of the screws of every row of nutplates.

    Raises
    ------
    InputError
        When a screw lies off a layer its nutplate holds on to.
    """
    rows = [row for row in context.job.rows if row.plates]
    edges = tuple(
        _edge_margin(context, row, layer)
        for row in rows
        for layer in (context.job.layers[place.layer] for place in row.layers)
        if layer.new is not None
    )
    screws = [screw for row in rows for screw in _screws(row)]
    gaps, lugs = _gaps(context, screws), _lug_gaps(context, screws)
    tight = tuple(gap for gap in (*gaps, *lugs) if gap.check.verdict is not Verdict.PASS)
    return ScrewMargins(edges, _worst_by_rows(gaps), _worst_by_rows(lugs), tight)


def proud_heads(job: Job) -> tuple[Row, ...]:
    """Return the rows of nutplates whose new rivets' heads stand out on the cover's side."""
    return tuple(
        row for row in job.rows if row.nutplate is not None and not row.fit.flush and not row.kept
    )


def _screws(row: Row) -> Iterator[_Screw]:
    assert row.nutplate is not None  # noqa: S101 - only nutplates have screws
    diameter_in = screw_diameter_in(row.nutplate)
    for number, plate in enumerate(row.plates):
        yield _Screw(row, row.screw_name(number), plate, row.nutplate, diameter_in)


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
    boundary = layer.boundary.without(layer.screw_holes)
    spots = Spots.at(np.array([screw.at for screw in screws]))
    off = boundary.outside(spots)
    if off.any():
        screw = screws[int(np.argmax(off))]
        raise InputError(
            length_words(
                "{screw} at {place:.4g} lies off '{layer}'",
                screw=screw.name,
                place=screw.at,
                layer=layer.name,
            ),
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


def _gaps(context: Context, screws: list[_Screw]) -> list[RowGap]:
    """Return every two screws near each other with a layer in common."""
    largest_in = max((screw.diameter_in for screw in screws), default=0.0)
    reach_in = _REACH * context.book.rule(SCREW_SPACING_RULE).length_in(diameter_in=largest_in)

    def check(one: _Screw, other: _Screw, distance_in: float) -> tuple[float, Check]:
        return distance_in, check_screw_spacing(
            distance_in,
            screw_in=max(one.diameter_in, other.diameter_in),
            book=context.book,
            accuracy_in=context.job.accuracy_in,
            where=f"{one.name} to {other.name}",
        )

    return list(_pairs(screws, reach_in, check))


def _lug_gaps(context: Context, screws: list[_Screw]) -> list[RowGap]:
    """Return every two nutplates with a layer in common that are not too far apart to meet."""
    longest_in = max((screw.nutplate.rivet_spacing_in for screw in screws), default=0.0)
    sure = context.book.rule(ROOM_SURE_RULE).value * longest_in
    reach_in = longest_in + sure + context.job.accuracy_in

    def check(one: _Screw, other: _Screw, _distance_in: float) -> tuple[float, Check]:
        gap = lug_gap(one.plate, other.plate)
        return gap.distance_in, check_lug_room(
            gap,
            one.nutplate,
            other.nutplate,
            book=context.book,
            accuracy_in=context.job.accuracy_in,
            where=f"{one.name} to {other.name}",
        )

    return list(_pairs(screws, reach_in, check))


def _pairs(
    screws: list[_Screw],
    reach_in: float,
    check_of: Callable[[_Screw, _Screw, float], tuple[float, Check]],
) -> Iterator[RowGap]:
    """Yield the check of every two screws within reach that have a layer in common."""
    if len(screws) < 2:  # noqa: PLR2004
        return
    pairs = close_pairs(Spots.at(np.array([screw.at for screw in screws])), reach_in)
    for first, second, distance_in in zip(
        pairs.first.tolist(), pairs.second.tolist(), pairs.distance_in.tolist(), strict=True
    ):
        one, other = screws[first], screws[second]
        if not _layers(one).intersection(_layers(other)):
            continue
        apart_in, check = check_of(one, other, distance_in)
        rows, names = (one.row.name, other.row.name), (one.name, other.name)
        yield RowGap(rows, names, apart_in, check)


def _worst_by_rows(gaps: list[RowGap]) -> tuple[RowGap, ...]:
    """Return the gravest of the gaps between every two rows."""
    worst: dict[tuple[str, str], RowGap] = {}
    for gap in gaps:
        known = worst.setdefault(gap.rows, gap)
        if gravest((known.check, gap.check)) is gap.check:
            worst[gap.rows] = gap
    return tuple(worst.values())


def _layers(screw: _Screw) -> set[str]:
    return {place.layer for place in screw.row.layers}
