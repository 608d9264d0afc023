"""A new hole near old ones: may it be drilled here, and if not, where is the nearest place."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.calculators.head_clearance import check_head_clear, least_head_clearance
from rivetkit.calculators.oversize.heads import check_heads
from rivetkit.calculators.oversize.sizes import head_size
from rivetkit.calculators.spacing import (
    check_edge_distance,
    check_pitch,
    edge_question,
    pitch_question,
)
from rivetkit.checks import LIMIT_TOLERANCE, Check, Verdict, not_checked
from rivetkit.errors import InputError
from rivetkit.geometry.outline import Rims
from rivetkit.geometry.room import (
    KeepClear,
    common,
    disc,
    intervals,
    nearest_place,
    without,
)
from rivetkit.geometry.spots import Spots
from rivetkit.job.holes import lay_out
from rivetkit.planning.context import Context
from rivetkit.planning.measured import centres_unsure_in
from rivetkit.planning.new_hole.answers import (
    EdgeThere,
    FreeStretch,
    FreeStretches,
    NeighbourThere,
    NewHole,
)
from rivetkit.planning.new_hole.layers import HoleLayers
from rivetkit.planning.new_hole.limits import limits_used
from rivetkit.quantities import length_words
from rivetkit.rules import RuleBook

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from typing import Any

    from numpy.typing import NDArray

    from rivetkit.calculators.limits import Working
    from rivetkit.calculators.stack import Form
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.geometry.curves import Point
    from rivetkit.geometry.room import Plate
    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Job, Layer
    from rivetkit.planning.plan import Plan


class NewHoleFinder:
    """Answers for one job and one rivet whether a place is free, and where a free one is.

    A place is allowed when it is well inside, or wholly clear of, every drawn layer that the hole
    may go through; when it is inside all the layers that are named; when every rivet is far
    enough; and when the rivet suits the sheets that lie there.

    Parameters
    ----------
    job
        The job; its rows' rivets are the neighbours.
    part
        The rivet to go in.
    layers
        Names of the layers it goes through; None: every drawn layer that lies under the place.
    forms
        How layers are formed for a flush head, by name.
    plan
        The plan of the job with its measured holes: they stand, and hold, what it makes of them.

    Raises
    ------
    InputError
        When the job has no such layer, or a rivet that is not flush is given a form.
    """

    def __init__(
        self,
        job: Job,
        part: Fastener,
        layers: Sequence[str] | None = None,
        forms: Mapping[str, Form] | None = None,
        *,
        plan: Plan | None = None,
    ) -> None:
        book = RuleBook.named(job.rule_set, job.overrides)
        self._holes: Holes = lay_out(job) if plan is None else plan.holes
        fixes = () if plan is None else plan.fixes
        self._off_in = job.accuracy_in + centres_unsure_in(self._holes, fixes)
        self._context = Context(job, self._holes, book)
        self._part = part
        named = None if layers is None else tuple(layers)
        self._layers = HoleLayers(self._context, part, named, forms or {})
        self._heads = {fit: head_size(one) for fit, one in enumerate(self._holes.fit_parts)}
        edge = book.rule(edge_question(flush=part.flush))
        self._edge_in = edge.length_in(diameter_in=part.diameter_in)
        self._beside = least_head_clearance(part, book)
        self._accuracy_in = job.accuracy_in

    def at(self, place: Point, *, reach_in: float) -> NewHole:
        """Return the judgement of one place, and the nearest allowed one within a reach [in].

        Raises
        ------
        InputError
            When no drawn layer lies under the place.
        """
        answer = self._judged(place, reach_in)
        good = (Verdict.PASS, Verdict.NOT_CHECKED)
        if all(check.verdict in good for check in answer.checks):
            return answer
        within = disc(place, reach_in)
        circles = tuple(self._circles(within, self._settled_apart_in))
        nearest = nearest_place(self._free(within, circles), place, circles)
        if nearest is not None and math.dist(nearest, place) > reach_in:
            nearest = None
        return replace(answer, nearest=nearest)

    def along(self, start: Point, end: Point) -> FreeStretches:
        """Return the stretches of a line where the rivet may go.

        Raises
        ------
        InputError
            When the line has no length, or no drawn layer lies under it.
        """
        if not math.dist(start, end):
            raise InputError("the line has no length", where="--along", mend="give two points")
        line = shapely.linestrings([start, end])
        names: Sequence[str] | None = self._layers.named
        if names is None:
            names = tuple(
                name
                for name, plate in self._layers.through.items()
                if shapely.intersects(line, plate.metal)
            )
        layers = self._require_any(names, start)
        ground = self._free(line, tuple(self._circles(line, self._apart_in)))
        free = tuple(self._stretches(ground, start, end))
        return FreeStretches(
            part=self._part,
            start=start,
            end=end,
            layers=tuple(layer.name for layer in layers),
            free=free,
            unchecked=tuple(self._unchecked_along(layers, free, start, end)),
            metals=self._layers.metals(layers),
            limits=tuple(self._limits_used()),
        )

    def _stretches(self, free: Any, start: Point, end: Point) -> Iterator[FreeStretch]:
        for one in intervals(free, start, end):
            middle = _on_line(start, end, (one.start_in + one.end_in) / 2)
            through = tuple(layer.name for layer in self._layers.under(middle))
            yield FreeStretch(one.start_in, one.end_in, through)

    def _require_any(self, names: Sequence[str], place: Point) -> tuple[Layer, ...]:
        if not names:
            raise InputError(
                length_words("no drawn layer lies under {place}", place=place),
                mend="name the layers, or check the place and its unit",
            )
        return tuple(self._layers.staying[name] for name in names)

    def _free(self, near: Any, circles: Sequence[KeepClear]) -> Any:
        """Return the part of a shape where the rivet may go."""
        layers = self._layers
        edge_in = self._edge_in + self._accuracy_in
        beside_in = self._beside.value + self._accuracy_in
        if not layers.suits:
            return shapely.Polygon()
        if layers.named is not None:
            for plate in layers.through.values():
                near = plate.room(edge_in, near)
            edges = [plate.near_edges(beside_in, near) for plate in layers.beside.values()]
            return without(near, edges, circles)
        plates = layers.plates
        taken = [plates[name].metal for name in layers.refusing()]
        taken += [plate.too_near(edge_in, beside_in, near) for plate in plates.values()]
        on_metal = common(near, (plate.metal for plate in plates.values()))
        return without(common(on_metal, layers.bearing()), taken, circles)

    def _limits_used(self) -> Iterator[Working]:
        sharing = self._sharing
        larger_in = np.maximum(self._context.diameter_in[sharing], self._part.diameter_in)
        seams = self._context.seam_rows[sharing]
        sizes = sorted(set(zip(larger_in.tolist(), seams.tolist(), strict=True)))
        layers = self._layers
        beside = layers.beside if layers.named is not None else len(layers.plates) > 1
        return limits_used(self._part, sizes, self._context.book, beside=bool(beside))

    @cached_property
    def _sharing(self) -> NDArray[np.intp]:
        """The holes that share a layer with the new one.

        Where the layers are not named, nobody knows which the hole will meet, and every one counts.
        """
        names = set(self._layers.named or self._layers.staying)
        shares = np.array(
            [any(place.layer in names for place in stack) for stack in self._holes.stacks]
        )
        return np.flatnonzero(shares[self._holes.stack])

    def _circles(self, near: Any, apart_in: NDArray[np.float64]) -> Iterator[KeepClear]:
        """Yield what to keep clear of in and about a shape, and of the holes by so much [in]."""
        for layer in self._named_undrawn():
            for circle in layer.rims:
                clear_in = circle.radius_in + self._edge_in + self._accuracy_in
                yield KeepClear(circle.centre, clear_in)
        shapely.prepare(near)
        radii_in = apart_in + self._off_in[self._sharing]
        holes, sharing = self._holes, self._sharing
        reach_in = radii_in + holes.placed_apart_in
        reached = shapely.dwithin(near, holes.spots.shapes[sharing], reach_in)
        keep_in = dict(zip(sharing[reached].tolist(), radii_in[reached].tolist(), strict=True))
        for (x, y), radius_in in zip(
            holes.points[sharing[reached]].tolist(), keep_in.values(), strict=True
        ):
            yield KeepClear((x, y), radius_in)
        for (x, y), hole in zip(holes.others.tolist(), holes.other_of.tolist(), strict=True):
            if hole in keep_in:
                yield KeepClear((x, y), keep_in[hole])

    @cached_property
    def _apart_in(self) -> NDArray[np.float64]:
        """How far the new rivet must stay from each hole that shares a layer with it [in]."""
        fits, seams = self._holes.fit[self._sharing], self._context.seam_rows[self._sharing]
        apart_in = np.empty(len(self._sharing))
        for fit, rows in set(zip(fits.tolist(), seams.tolist(), strict=True)):
            apart_in[(fits == fit) & (seams == rows)] = self._apart_from_in(fit, rows)
        return apart_in

    @cached_property
    def _settled_apart_in(self) -> NDArray[np.float64]:
        """The same, and from an empty hole as far as the largest rivet there asks [in]."""
        apart_in = self._apart_in.copy()
        for place in np.flatnonzero(self._holes.empty[self._sharing]).tolist():
            largest_in = self._pitch_of_largest_in(int(self._sharing[place]))
            apart_in[place] = max(apart_in[place], largest_in)
        return apart_in

    def _apart_from_in(self, fit: int, rows: int) -> float:
        """How far the new rivet must stay from another [in]: its pitch, and head beside head."""
        larger_in = max(self._part.diameter_in, self._holes.fit_parts[fit].diameter_in)
        pitch_in = self._context.book.rule(pitch_question(rows)).length_in(diameter_in=larger_in)
        own, other = head_size(self._part), self._heads[fit]
        if own is None or other is None:
            return pitch_in
        share = self._context.book.rule("head_spacing_min").value
        return max(pitch_in, share * (own[0] + other[0]) / 2.0)

    def _judged(self, place: Point, reach_in: float) -> NewHole:
        """Return the judgement of one place as if it were allowed."""
        spot = Spots.at(np.array([place]))
        under = self._layers.under(place)
        layers = self._require_any([layer.name for layer in under], place)
        maybe = tuple(self._layers.maybe_under([place]))
        sheets = self._layers.diameter_checks(layers, [layer for layer, _ in maybe])
        others = (
            *self._layers.seat_and_metal_checks(layers),
            *self._unmeasured(),
            *(self._nobody_drew(layer, why) for layer, why in maybe),
        )
        return NewHole(
            part=self._part,
            at=place,
            layers=tuple(layer.name for layer in layers),
            not_named=tuple(
                name for name, plate in self._layers.beside.items() if plate.under(spot)[0]
            ),
            edges=tuple(self._edges(spot, layers)),
            beside=tuple(self._edges_beside(spot, layers, reach_in)),
            neighbours=tuple(self._neighbours(place, reach_in)),
            sheets=tuple(sheets),
            others=others,
            metals=self._layers.metals(layers),
            suits=self._layers.suits,
            nearest=place,
            reach_in=reach_in,
        )

    def _edges(self, spot: Spots, layers: Sequence[Layer]) -> Iterator[EdgeThere]:
        for layer in layers:
            plate = self._layers.plates.get(layer.name)
            if plate is not None and not plate.under(spot)[0]:
                yield self._edge(layer.name, "", 0.0)
            elif plate is not None:
                for edge, distance_in in plate.edges_at(spot):
                    yield self._edge(layer.name, edge, distance_in)
            elif layer.rims:
                rims = Rims(layer.rims)
                nearest = rims.nearest_edge(spot)
                edge = rims.edge_names[nearest.edge[0]]
                yield self._edge(layer.name, edge, max(float(nearest.distance_in[0]), 0.0))

    def _edge(self, layer: str, edge: str, distance_in: float) -> EdgeThere:
        check = check_edge_distance(
            distance_in,
            diameter_in=self._part.diameter_in,
            flush=self._part.flush,
            book=self._context.book,
            accuracy_in=self._accuracy_in,
            where=f"{edge} of {layer}" if edge else f"off the metal of {layer}",
        )
        return EdgeThere(layer, edge, distance_in, check)

    def _edges_beside(
        self, spot: Spots, layers: Sequence[Layer], reach_in: float
    ) -> Iterator[EdgeThere]:
        """Yield the nearest edge of the drawn layers that the hole does not go through."""
        if self._layers.named is None:
            through = {layer.name for layer in layers}
            plates: Mapping[str, Plate] = {
                name: plate for name, plate in self._layers.plates.items() if name not in through
            }
        else:
            plates = self._layers.beside
        for name, plate in plates.items():
            edge, distance_in = plate.nearest_to_metal(spot)
            check = check_head_clear(
                distance_in,
                fastener=self._part,
                book=self._context.book,
                accuracy_in=self._accuracy_in,
                where=f"{edge} of {name}",
            )
            if distance_in <= max(reach_in, self._beside.value + self._accuracy_in):
                yield EdgeThere(name, edge, distance_in, check)

    def _named_undrawn(self) -> Iterator[Layer]:
        for name in self._layers.named or ():
            layer = self._layers.staying[name]
            if layer.boundary is None:
                yield layer

    def _unmeasured(self) -> Iterator[Check]:
        question = edge_question(flush=self._part.flush)
        for layer in self._named_undrawn():
            yield not_checked(
                "edge distance",
                "the job has no outline of it: measure from the new place",
                where=layer.name,
                citations=(self._context.book.rule(question).citation,),
            )

    def _nobody_drew(self, layer: Layer, why: str) -> Check:
        question = edge_question(flush=self._part.flush)
        return not_checked(
            "edge distance",
            length_words(
                "nobody drew it and it may lie there{why}: name it in --layers if the hole goes "
                "through it",
                why=why,
            ),
            where=layer.name,
            citations=(self._context.book.rule(question).citation,),
        )

    def _unchecked_along(
        self, layers: Sequence[Layer], free: Sequence[FreeStretch], start: Point, end: Point
    ) -> Iterator[Check]:
        """Yield what is not sure on a line, and what forbids all of it."""
        yield from self._unmeasured()
        for layer, why in self._layers.maybe_under([start, end]):
            yield self._nobody_drew(layer, why)
        if not self._layers.suits:
            checks = (
                *self._layers.diameter_checks(layers),
                *self._layers.seat_and_metal_checks(layers),
            )
            yield from (check for check in checks if check.verdict is Verdict.FAIL)
        found: dict[Check, None] = {}
        for stretch in free:
            through = [self._layers.staying[name] for name in stretch.layers]
            ends = [
                _on_line(start, end, along_in) for along_in in (stretch.start_in, stretch.end_in)
            ]
            maybe = [layer for layer, _ in self._layers.maybe_under(ends)]
            found.update(dict.fromkeys(self._unsettled_along(*ends)))
            found.update(dict.fromkeys(self._layers.diameter_checks(through, maybe)))
            found.update(dict.fromkeys(self._layers.seat_and_metal_checks(through)))
        unsure = (Verdict.NOT_CHECKED, Verdict.MARGINAL)
        yield from (check for check in found if check.verdict in unsure)

    def _neighbours(self, place: Point, reach_in: float) -> Iterator[NeighbourThere]:
        """Yield the rivets within reach, and the one with the least to spare wherever it is."""
        sharing = self._sharing
        away_in = self._holes.away_in(place, sharing)
        spare_in = away_in - self._settled_apart_in
        order = np.argsort(spare_in, kind="stable")
        told = (away_in <= reach_in) | (spare_in < self._off_in[sharing])
        told[order[:1]] = True
        for number in order[told[order]].tolist():
            hole, distance_in = int(sharing[number]), float(away_in[number])
            checks = tuple(self._neighbour_checks(hole, distance_in))
            yield NeighbourThere(self._holes.name(hole), distance_in, checks)

    def _pitch_of_largest_in(self, hole: int) -> float:
        """How far the new rivet must stay from a hole that takes the largest rivet of all [in].

        How far that hole may be from where it is taken to be comes on top.
        """
        largest_in = max(self._part.diameter_in, self._context.largest_diameter_in)
        question = pitch_question(int(self._context.seam_rows[hole]))
        return self._context.book.rule(question).length_in(diameter_in=largest_in)

    def _unsettled(self, hole: int) -> Check:
        return not_checked(
            "pitch",
            "no rivet is settled for that hole",
            where=f"to {self._holes.name(hole)}",
        )

    def _unsettled_along(self, start: Point, end: Point) -> Iterator[Check]:
        """Yield what is not checked beside a stretch where a hole waits for its rivet."""
        spots, line = self._holes.spots.shapes, shapely.linestrings([start, end])
        sharing = self._sharing
        for hole in sharing[self._holes.empty[sharing]].tolist():
            reach_in = self._pitch_of_largest_in(hole) + float(self._off_in[hole])
            if shapely.distance(line, spots[hole]) < reach_in - LIMIT_TOLERANCE:
                yield self._unsettled(hole)

    def _neighbour_checks(self, hole: int, distance_in: float) -> Iterator[Check]:
        where = f"to {self._holes.name(hole)}"
        pitch = check_pitch(
            distance_in,
            diameter_in=self._part.diameter_in,
            neighbour_diameter_in=float(self._context.diameter_in[hole]),
            book=self._context.book,
            rows=int(self._context.seam_rows[hole]),
            accuracy_in=float(self._off_in[hole]),
            where=where,
        )
        # too near for the rivet that was planned there it is too near for any larger one
        if self._holes.empty[hole] and pitch.verdict is not Verdict.FAIL:
            reach_in = self._pitch_of_largest_in(hole) + float(self._off_in[hole])
            if distance_in < reach_in - LIMIT_TOLERANCE:
                yield self._unsettled(hole)
                return
        yield pitch
        own, other = head_size(self._part), self._heads[int(self._holes.fit[hole])]
        if own is None or other is None:
            return
        heads = check_heads(
            distance_in,
            own=own,
            other=other,
            book=self._context.book,
            accuracy_in=float(self._off_in[hole]),
            where=where,
        )
        if heads.verdict is not Verdict.PASS:
            yield heads


def _on_line(start: Point, end: Point, along_in: float) -> Point:
    share = along_in / math.dist(start, end)
    return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))


def judged_at_nearest(finder: NewHoleFinder, answer: NewHole) -> NewHole | None:
    """Return the judgement of the nearest allowed place; None when there is none."""
    if answer.nearest is None or answer.nearest == answer.at:
        return None
    return replace(finder.at(answer.nearest, reach_in=answer.reach_in), nearest=answer.nearest)
