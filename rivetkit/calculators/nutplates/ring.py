"""Nutplates round an opening: rivet holes, edge distances in every layer, room between them."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.edge_distance import EDGE_LEAST, edge_question
from rivetkit.calculators.limits import check_length, require_accuracy
from rivetkit.calculators.nutplates.lugs import check_lug_room, lug_gap, placed_plate
from rivetkit.calculators.nutplates.place import (
    SCREW_EDGE_RULE,
    check_rivet_to_screw_hole,
    check_screw_edge,
    check_screw_spacing,
    screw_hole_size_in,
)
from rivetkit.calculators.nutplates.screw_line import steps_round_in
from rivetkit.calculators.pitch import check_pitch
from rivetkit.checks import Check, gravest, not_checked
from rivetkit.errors import InputError
from rivetkit.fasteners.screw_holes import screw_diameter_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rivetkit.calculators.nutplates.cover_shape import CoverShape, Point
    from rivetkit.calculators.nutplates.lugs import LugGap, PlacedPlate
    from rivetkit.calculators.nutplates.screw_line import Screw
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.rules import RuleBook

Kind = Literal["rivets", "screws"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RingLayers:
    """The sizes of what the nutplates join; None where nobody gave one.

    ``opening`` is cut through the doubler, and through the skin unless ``skin_opening`` differs.
    """

    opening: CoverShape | None = None
    skin_opening: CoverShape | None = None
    doubler: CoverShape | None = None
    has_doubler: bool = True
    cover: CoverShape | None = None


@dataclass(frozen=True, slots=True)
class RingEdge:
    """How near the rivets or the screws come to one edge of one layer [in]; None: size unknown."""

    layer: str
    edge: str
    kind: Kind
    nearest_in: float | None


@dataclass(frozen=True, slots=True)
class NutplateRing:
    """Nutplates round an opening, and what was judged."""

    plate: Nutplate
    rivet: Fastener
    screw_hole_in: float
    plates: tuple[PlacedPlate, ...]
    #: Layers the rivets go through, from the outside in.
    stack: tuple[str, ...]
    edges: tuple[RingEdge, ...]
    #: Straight, from each screw to the next [in].
    steps_in: tuple[float, ...]
    #: The nearest rivets of two different nutplates, centre to centre [in].
    between_plates_in: float
    checks: tuple[Check, ...]


def lay_out_ring(
    plate: Nutplate,
    *,
    rivet: Fastener,
    screws: Sequence[Screw],
    layers: RingLayers,
    book: RuleBook,
    turn_deg: float = 0.0,
    screw_hole_in: float | None = None,
    accuracy_in: float = 0.0,
) -> NutplateRing:
    """Return the nutplates under a line of screws, checked in every layer.

    Parameters
    ----------
    plate, rivet
        The nutplate and the rivet that holds it.
    screws
        The screws in order round the line.
    layers
        Sizes of cover, doubler and openings.
    book
        The rules in force.
    turn_deg
        How far each nutplate is turned from the line's direction [deg].
    screw_hole_in
        The screw hole under the nutplate, where it is not the table's [in].
    accuracy_in
        How far off the drilled places may be [in].

    Raises
    ------
    InputError
        When there are fewer than two screws, a size is no length, or the nutplates would hold on
        to no layer.

    Examples
    --------
    >>> from rivetkit.calculators.nutplates.cover_shape import round_shape
    >>> from rivetkit.calculators.nutplates.place import nutplate_rivet
    >>> from rivetkit.calculators.nutplates.screw_line import screws_on_circle
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> from rivetkit.rules import RuleBook
    >>> plate = nutplate("MS21047-08")
    >>> ring = lay_out_ring(
    ...     plate,
    ...     rivet=nutplate_rivet(plate),
    ...     screws=screws_on_circle(round_shape(5.75), count=4),
    ...     layers=RingLayers(
    ...         opening=round_shape(5.0), doubler=round_shape(8.0), cover=round_shape(6.5)
    ...     ),
    ...     book=RuleBook.named(),
    ... )
    >>> {check.verdict.value for check in ring.checks}
    {'pass'}
    """
    if len(screws) < 2:  # noqa: PLR2004 - one is no ring
        raise InputError("a ring needs two screws or more", mend="give their count or pitch")
    require_accuracy(accuracy_in)
    hole_in = screw_hole_size_in(plate, screw_hole_in)
    plates = tuple(
        placed_plate(plate, screw.at_in, (screw.direction_deg + turn_deg) % 180.0)
        for screw in screws
    )
    stack = _stack(layers, plates, rivet.diameter_in, hole_in)
    edges = tuple(_edges(layers, plates, stack))
    between_in, to_screw_in = _nearest(plates)
    steps_in = steps_round_in(screws)
    checks = (
        *(_edge_check(edge, plate, rivet, book, accuracy_in) for edge in edges),
        check_rivet_to_screw_hole(
            to_screw_in, screw_hole_in=hole_in, rivet=rivet, book=book, accuracy_in=accuracy_in
        ),
        check_pitch(
            between_in,
            diameter_in=rivet.diameter_in,
            book=book,
            accuracy_in=accuracy_in,
            where="between nutplates",
        ),
        _lug_check(plate, plates, book, accuracy_in),
        check_screw_spacing(
            min(steps_in), screw_in=screw_diameter_in(plate), book=book, accuracy_in=accuracy_in
        ),
    )
    return NutplateRing(plate, rivet, hole_in, plates, stack, edges, steps_in, between_in, checks)


def _points(plates: Iterable[PlacedPlate], kind: Kind) -> list[Point]:
    if kind == "screws":
        return [plate.screw_in for plate in plates]
    return [rivet for plate in plates for rivet in plate.rivets_in]


def _stack(
    layers: RingLayers, plates: Sequence[PlacedPlate], rivet_in: float, screw_hole_in: float
) -> tuple[str, ...]:
    """Return the layers the nutplates hold on to; a skin cut away past them is none."""
    skin = True
    if layers.skin_opening is not None:
        opening = layers.skin_opening
        holes = [(point, rivet_in) for point in _points(plates, "rivets")]
        holes += [(point, screw_hole_in) for point in _points(plates, "screws")]
        skin = any(opening.inside_in(point) < size_in / 2.0 for point, size_in in holes)
    stack = (*(["skin"] if skin else []), *(["doubler"] if layers.has_doubler else []))
    if not stack:
        raise InputError(
            "the skin's opening lies outside every hole and there is no doubler",
            mend="check the opening, or give the doubler's size",
        )
    return stack


def _edges(
    layers: RingLayers, plates: Sequence[PlacedPlate], stack: Sequence[str]
) -> Iterable[RingEdge]:
    yield _edge("cover", "outside", "screws", layers.cover, plates)
    if "skin" in stack:
        opening = layers.skin_opening or layers.opening
        for kind in _KINDS:
            yield _edge("skin", "opening", kind, opening, plates)
    if "doubler" in stack:
        for kind in _KINDS:
            yield _edge("doubler", "opening", kind, layers.opening, plates)
            yield _edge("doubler", "outside", kind, layers.doubler, plates)


_KINDS: tuple[Kind, ...] = ("rivets", "screws")


def _edge(
    layer: str, edge: str, kind: Kind, shape: CoverShape | None, plates: Sequence[PlacedPlate]
) -> RingEdge:
    if shape is None:
        return RingEdge(layer, edge, kind, None)
    metal = 1.0 if edge == "outside" else -1.0
    nearest_in = min(metal * shape.inside_in(point) for point in _points(plates, kind))
    return RingEdge(layer, edge, kind, nearest_in)


def _edge_check(
    edge: RingEdge, plate: Nutplate, rivet: Fastener, book: RuleBook, accuracy_in: float
) -> Check:
    where = f"{edge.layer}: {edge.kind} to {edge.edge}"
    rivets = edge.kind == "rivets"
    rule = book.rule(edge_question(flush=rivet.flush) if rivets else SCREW_EDGE_RULE)
    if edge.nearest_in is None:
        return not_checked(
            EDGE_LEAST, "its size was not given", where=where, citations=(rule.citation,)
        )
    if not rivets:
        return check_screw_edge(
            edge.nearest_in,
            screw_in=screw_diameter_in(plate),
            book=book,
            accuracy_in=accuracy_in,
            where=where,
        )
    return check_length(
        EDGE_LEAST,
        edge.nearest_in,
        rule=rule,
        comparison="at least",
        symbol="e",
        diameter_in=rivet.diameter_in,
        accuracy_in=accuracy_in,
        where=where,
    )


def _nearest(plates: Sequence[PlacedPlate]) -> tuple[float, float]:
    """Return the least distances rivet to another plate's rivet, and rivet to any screw [in]."""
    between_in = min(
        math.dist(one, other)
        for first, second in itertools.combinations(plates, 2)
        for one in first.rivets_in
        for other in second.rivets_in
    )
    to_screw_in = min(
        math.dist(rivet, other.screw_in)
        for plate in plates
        for rivet in plate.rivets_in
        for other in plates
    )
    return between_in, to_screw_in


def _lug_check(
    plate: Nutplate, plates: Sequence[PlacedPlate], book: RuleBook, accuracy_in: float
) -> Check:
    """Return the check of the two nutplates of the ring that have the least room between them."""
    nearest: dict[bool, LugGap] = {}
    for one, other in itertools.combinations(plates, 2):
        least_in = math.dist(one.screw_in, other.screw_in) - plate.rivet_spacing_in
        if len(nearest) == 2 and least_in > max(gap.distance_in for gap in nearest.values()):  # noqa: PLR2004 - end to end, and not
            continue
        gap = lug_gap(one, other)
        known = nearest.setdefault(gap.end_to_end, gap)
        if gap.distance_in < known.distance_in:
            nearest[gap.end_to_end] = gap
    return gravest(
        check_lug_room(
            gap, plate, plate, book=book, accuracy_in=accuracy_in, where="between nutplates"
        )
        for gap in nearest.values()
    )
