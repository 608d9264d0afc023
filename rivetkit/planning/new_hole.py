"""A new hole near old ones: may it be drilled here, and if not, where is the nearest place."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.calculators.limits import Working, limit_terms
from rivetkit.calculators.oversize_heads import check_heads
from rivetkit.calculators.oversize_sizes import head_size
from rivetkit.calculators.spacing import (
    check_edge_distance,
    check_pitch,
    edge_question,
    pitch_question,
)
from rivetkit.checks import Check, Term, Verdict, not_checked, worst_verdict
from rivetkit.errors import InputError
from rivetkit.geometry.room import (
    Interval,
    KeepClear,
    disc,
    free_places,
    intervals,
    nearest_place,
    room_in_layer,
)
from rivetkit.geometry.spots import Spots
from rivetkit.job.holes import lay_out
from rivetkit.planning.context import Context
from rivetkit.planning.near_edges import known_edges
from rivetkit.rules import RuleBook

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.geometry.curves import Point
    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Job, Layer
    from rivetkit.rules import Rule

#: How many of the nearest holes are named one by one.
_NEIGHBOURS_SHOWN = 6


@dataclass(frozen=True, slots=True)
class NewHole:
    """A place for a new rivet, judged.

    ``nearest`` is the place nearest to ``at`` where every limit holds, ``at`` itself when it is
    one, None when there is none within ``reach_in``.
    """

    part: Fastener
    at: Point
    layers: tuple[str, ...]
    checks: tuple[Check, ...]
    nearest: Point | None
    reach_in: float

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict of all checks."""
        return worst_verdict(check.verdict for check in self.checks)

    @property
    def move_in(self) -> float | None:
        """How far the nearest allowed place is [in]."""
        return None if self.nearest is None else math.dist(self.at, self.nearest)


@dataclass(frozen=True, slots=True)
class FreeStretches:
    """Where on a line a new rivet may go, from the line's start [in]."""

    part: Fastener
    start: Point
    end: Point
    layers: tuple[str, ...]
    free: tuple[Interval, ...]
    unchecked: tuple[Check, ...]
    limits: tuple[Working, ...]


class NewHoleFinder:
    """Answers for one job and one rivet whether a place is free, and where a free one is.

    Parameters
    ----------
    job
        The job; its rows' rivets are the neighbours.
    part
        The rivet to go in.
    layers
        Names of the layers it goes through; None: every drawn layer that lies under the place.

    Raises
    ------
    InputError
        When the job has no such layer.
    """

    def __init__(self, job: Job, part: Fastener, layers: Sequence[str] | None = None) -> None:
        for name in layers or ():
            if name not in job.layers:
                raise InputError(
                    f"the job has no layer '{name}'",
                    where="--layers",
                    mend=f"layers are {', '.join(job.layers)}",
                )
            if job.layers[name].new is None:
                raise InputError(
                    f"'{name}' is left off", where="--layers", mend="name what stays or comes"
                )
        book = RuleBook.named(job.rule_set, job.overrides)
        self._holes: Holes = lay_out(job)
        self._context = Context(job, self._holes, book)
        self._part = part
        self._named = tuple(layers) if layers is not None else None
        self._heads = {fit: head_size(one) for fit, one in enumerate(self._holes.fit_parts)}

    def at(self, place: Point, *, reach_in: float) -> NewHole:
        """Return the judgement of one place, and the nearest allowed one within a reach [in].

        Raises
        ------
        InputError
            When no drawn layer lies under the place.
        """
        layers = self._layers_under([place])
        checks = (*self._checks(place, layers), *self._maybe_under([place], layers))
        within = disc(place, reach_in)
        circles = tuple(self._circles(layers, place, reach_in))
        free = free_places(self._rooms(layers), circles, within)
        good = (Verdict.PASS, Verdict.NOT_CHECKED)
        nearest: Point | None = place
        if any(check.verdict not in good for check in checks):
            nearest = nearest_place(free, place, circles)
            if nearest is not None and math.dist(nearest, place) > reach_in:
                nearest = None
        return NewHole(
            self._part, place, tuple(layer.name for layer in layers), checks, nearest, reach_in
        )

    def along(self, start: Point, end: Point) -> FreeStretches:
        """Return the stretches of a line where the rivet may go.

        Raises
        ------
        InputError
            When the line has no length, or no drawn layer lies under it.
        """
        length_in = math.dist(start, end)
        if not length_in:
            raise InputError("the line has no length", where="--along", mend="give two points")
        shares = np.linspace(0.0, 1.0, 33)[:, None]
        spots = np.asarray(start) * (1 - shares) + np.asarray(end) * shares
        layers = self._layers_under([(float(x), float(y)) for x, y in spots])
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        line = shapely.linestrings([start, end])
        free = free_places(self._rooms(layers), self._circles(layers, middle, length_in / 2), line)
        return FreeStretches(
            part=self._part,
            start=start,
            end=end,
            layers=tuple(layer.name for layer in layers),
            free=intervals(free, start, end),
            unchecked=(*self._unmeasured(layers), *self._maybe_under([start, end], layers)),
            limits=tuple(self._limits_used(layers)),
        )

    def _layers_under(self, places: Sequence[Point]) -> tuple[Layer, ...]:
        job = self._context.job
        if self._named is not None:
            return tuple(job.layers[name] for name in self._named)
        spots = Spots.at(np.array(places))
        found = tuple(
            layer
            for layer in job.layers.values()
            if layer.new is not None
            and layer.boundary is not None
            and not layer.boundary.outside(spots).all()
        )
        if not found:
            raise InputError(
                f"no drawn layer lies under ({places[0][0]:g}, {places[0][1]:g}) in",
                mend="name the layers, or check the place and its unit",
            )
        return found

    def _limit_in(self, question: str) -> float:
        rule = self._context.book.rule(question)
        return rule.length_in(diameter_in=self._part.diameter_in)

    def _limits_used(self, layers: Sequence[Layer]) -> Iterator[Working]:
        """Yield the least edge distance, and the least distance from every size of neighbour."""
        own_in = self._part.diameter_in
        edge_rule = self._context.book.rule(edge_question(flush=self._part.flush))
        yield _least("edge distance", "e", edge_rule, own_in)
        sharing = self._sharing(layers)
        larger_in = np.maximum(self._context.diameter_in[sharing], own_in)
        for diameter_in, rows in sorted(
            set(zip(larger_in.tolist(), self._context.seam_rows[sharing].tolist(), strict=True))
        ):
            name = "distance from a rivet" if rows == 1 else f"the same, seam of {rows} rows"
            yield _least(name, "p", self._context.book.rule(pitch_question(rows)), diameter_in)

    def _rooms(self, layers: Sequence[Layer]) -> Iterator[object]:
        limit_in = self._limit_in(edge_question(flush=self._part.flush))
        for layer in layers:
            if layer.boundary is not None:
                yield room_in_layer(layer.boundary, limit_in + self._context.job.accuracy_in)

    def _sharing(self, layers: Sequence[Layer]) -> NDArray[np.intp]:
        names = {layer.name for layer in layers}
        shares = np.array(
            [any(place.layer in names for place in stack) for stack in self._holes.stacks]
        )
        return np.flatnonzero(shares[self._holes.stack])

    def _circles(
        self, layers: Sequence[Layer], centre: Point, reach_in: float
    ) -> Iterator[KeepClear]:
        rim_in = self._limit_in(edge_question(flush=self._part.flush))
        for layer in layers:
            for circle in layer.screw_holes if layer.boundary is None else ():
                clear_in = circle.radius_in + rim_in + self._context.job.accuracy_in
                yield KeepClear(circle.centre, clear_in)
        sharing = self._sharing(layers)
        gap = self._holes.points[sharing] - np.asarray(centre)
        away_in = np.hypot(gap[:, 0], gap[:, 1])
        for hole, distance_in in zip(sharing.tolist(), away_in.tolist(), strict=True):
            radius_in = self._apart_in(hole) + self._context.job.accuracy_in
            if distance_in <= reach_in + radius_in:
                x, y = self._holes.points[hole].tolist()
                yield KeepClear((x, y), radius_in)

    def _apart_in(self, hole: int) -> float:
        """How far the new rivet must stay from a hole [in]: its pitch, and head beside head."""
        larger_in = max(self._part.diameter_in, float(self._context.diameter_in[hole]))
        rule = self._context.book.rule(pitch_question(int(self._context.seam_rows[hole])))
        return max(rule.length_in(diameter_in=larger_in), self._heads_apart(hole))

    def _heads_apart(self, hole: int) -> float:
        """How far two manufactured heads must be apart [in]; nought where one is not on file."""
        own, other = head_size(self._part), self._heads[int(self._holes.fit[hole])]
        if own is None or other is None:
            return 0.0
        return self._context.book.rule("head_spacing_min").value * (own[0] + other[0]) / 2.0

    def _checks(self, place: Point, layers: Sequence[Layer]) -> Iterator[Check]:
        context = self._context
        point = np.array([place])
        spot = Spots.at(point)
        for layer in layers:
            edges = known_edges(layer)
            if edges is None:
                continue
            nearest = edges.nearest_edge(spot)
            edge = edges.edge_names[nearest.edge[0]]
            off = layer.boundary is not None and bool(layer.boundary.outside(spot)[0])
            yield check_edge_distance(
                0.0 if off else max(float(nearest.distance_in[0]), 0.0),
                diameter_in=self._part.diameter_in,
                flush=self._part.flush,
                book=context.book,
                accuracy_in=context.job.accuracy_in,
                where=f"off the metal of {layer.name}" if off else f"{edge} of {layer.name}",
            )
        yield from self._unmeasured(layers)
        yield from self._neighbour_checks(point, layers)

    def _unmeasured(self, layers: Sequence[Layer]) -> Iterator[Check]:
        question = edge_question(flush=self._part.flush)
        for layer in layers:
            if layer.boundary is None:
                yield not_checked(
                    "edge distance",
                    "the job has no outline of it: measure from the new place",
                    where=layer.name,
                    citations=(self._context.book.rule(question).citation,),
                )

    def _maybe_under(self, places: Sequence[Point], layers: Sequence[Layer]) -> Iterator[Check]:
        """Yield a check that was not made for every layer nobody drew that may lie there too.

        Where one lies is only known from its rows: a flange reaches its own width from them, and
        of a layer without a width nobody knows how far it reaches.
        """
        if self._named is not None:
            return
        context = self._context
        question = edge_question(flush=self._part.flush)
        near_in = self._limit_in(question)
        for layer in context.job.layers.values():
            if layer.new is None or layer.boundary is not None or layer in layers:
                continue
            away = {
                context.job.rows[number].name: _distance_in(
                    places, context.holes.points[context.holes.in_row[number]]
                )
                for number, _ in context.rows_through.get(layer.name, ())
            }
            row = min(away, key=lambda name: away[name], default=None)
            reach_in = layer.flange.width_in + near_in if layer.flange else math.inf
            if row is not None and away[row] > reach_in:
                continue
            yield not_checked(
                "edge distance",
                f"nobody drew it and it may lie there{_row_words(row, away)}: "
                "name it in --layers if the hole goes through it",
                where=layer.name,
                citations=(context.book.rule(question).citation,),
            )

    def _neighbour_checks(
        self, point: NDArray[np.float64], layers: Sequence[Layer]
    ) -> Iterator[Check]:
        sharing = self._sharing(layers)
        gap = self._holes.points[sharing] - point
        away_in = np.hypot(gap[:, 0], gap[:, 1])
        spare_in = away_in - np.array([self._apart_in(hole) for hole in sharing.tolist()])
        for number in np.argsort(spare_in, kind="stable")[:_NEIGHBOURS_SHOWN].tolist():
            hole, distance_in = int(sharing[number]), float(away_in[number])
            name = self._holes.name(hole)
            yield check_pitch(
                distance_in,
                diameter_in=self._part.diameter_in,
                neighbour_diameter_in=float(self._context.diameter_in[hole]),
                book=self._context.book,
                rows=int(self._context.seam_rows[hole]),
                accuracy_in=self._context.job.accuracy_in,
                where=f"to {name}",
            )
            own, other = head_size(self._part), self._heads[int(self._holes.fit[hole])]
            if own is not None and other is not None and self._heads_apart(hole) > distance_in:
                yield check_heads(
                    distance_in,
                    own=own,
                    other=other,
                    book=self._context.book,
                    accuracy_in=self._context.job.accuracy_in,
                    where=f"to {name}",
                )


def _least(name: str, symbol: str, rule: Rule, diameter_in: float) -> Working:
    limit, terms = limit_terms(rule, diameter_in=diameter_in)
    value_in = rule.length_in(diameter_in=diameter_in)
    return Working(
        name,
        value_in,
        "in",
        f"{{{symbol}}} = {limit}",
        (Term(symbol, value_in, "in"), *terms),
        (rule.citation,),
    )


def _distance_in(places: Sequence[Point], holes: NDArray[np.float64]) -> float:
    """Return the distance [in] between a point, or a line, and a row of holes."""
    one, other = (
        shapely.points(line[0]) if len(line) == 1 else shapely.linestrings(line)
        for line in (np.asarray(places), holes)
    )
    return float(shapely.distance(one, other))


def _row_words(row: str | None, away: Mapping[str, float]) -> str:
    return "" if row is None else f", {away[row]:.4g} in from its row '{row}'"


def judged_at_nearest(finder: NewHoleFinder, answer: NewHole) -> NewHole | None:
    """Return the judgement of the nearest allowed place; None when there is none."""
    if answer.nearest is None or answer.nearest == answer.at:
        return None
    return replace(finder.at(answer.nearest, reach_in=answer.reach_in), nearest=answer.nearest)
