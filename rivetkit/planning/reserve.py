"""The reserve: how many sizes each hole could still go up, and what stops it first."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.countersink import DIMPLE, check_formed_layers
from rivetkit.calculators.heel_distance import HEEL_RULE
from rivetkit.calculators.nutplates.lugs import check_lug_hole
from rivetkit.calculators.oversize.candidates import size_steps
from rivetkit.calculators.rivet_diameter import check_diameter_for_sheet, check_stringer_leg
from rivetkit.calculators.spacing import edge_question
from rivetkit.checks import LIMIT_TOLERANCE, Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.planning.gather import number_runs
from rivetkit.planning.limits import (
    gaps_in,
    heads_apart_in,
    heads_in,
    lengths_in,
    pitch_limits_in,
)
from rivetkit.planning.nearby import SEAM_ROWS, rows_along, seam_rows_along
from rivetkit.planning.told_edges import ToldEdge, told_edges, told_heel

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Job
    from rivetkit.planning.context import Context, HoleGroup
    from rivetkit.planning.nearby import Neighbours


#: What stands for a shortfall [in] where a hole may be short or not: less than any other.
_DOUBT_IN = 1e-12


@dataclass(frozen=True, slots=True)
class Obstacle:
    """What stops a hole from going up one more size.

    ``kind`` is ``member`` (no oversize hole in it), ``lug`` (too large for a nutplate's lugs),
    ``edge``, ``pitch``, ``seam`` (too near in its row if that is of a seam), ``countersink``,
    ``dimple`` (the sheet is too thick for one), ``heads``, ``sheet`` (too large for the thickest
    sheet), ``small`` (too small for it), ``leg`` (too large for a stringer's leg) or ``size`` (no
    larger one is made); ``what`` names the layer and edge, the nutplate, the hole, or the row that
    may be of one seam with its own.
    """

    kind: str
    what: str


@dataclass(frozen=True, eq=False)
class Reserve:
    """For every hole: sizes it could still go up, -1 where none goes in; and its obstacle.

    ``obstacle`` numbers ``obstacles``.
    """

    steps: NDArray[np.int16]
    obstacle: NDArray[np.int32]
    obstacles: tuple[Obstacle, ...]

    def without(self) -> NDArray[np.intp]:
        """Return the holes with no reserve at all."""
        return np.flatnonzero(self.steps == 0)

    def tally(self) -> tuple[tuple[int, int], ...]:
        """Return how many holes have how many sizes of reserve, the least first."""
        return tuple(sorted(Counter(self.steps[self.steps >= 0].tolist()).items()))


@dataclass(frozen=True, eq=False)
class _State:
    """Sizes so far, and the shortfall [in] that was worst at the step that failed."""

    alive: NDArray[np.bool_]
    shortfall_in: NDArray[np.float64]
    obstacle: NDArray[np.int32]


def reserve(context: Context, near: Neighbours) -> Reserve:
    """Return the reserve of every hole, its neighbours staying as they are.

    A size counts while every lug, edge, pitch and head clearance passes with it, the job's
    measuring accuracy taken off, and while it suits the thickest sheet, every one formed for a
    flush head, and the leg of a stringer; an edge or a bend that nobody measured lets none, nor
    does a seam that nobody told of.
    """
    return _Climb(context, near).climb()


class _Climb:
    """Takes all holes up size by size until each one fails."""

    def __init__(self, context: Context, near: Neighbours) -> None:
        self._context = context
        self._count = len(context.holes)
        self._names: dict[Obstacle, int] = {}
        self._ladders = [size_steps(without_length(part)) for part in context.holes.fit_parts]
        self._along, self._across = near.along, near.across
        self._seam_rows = seam_rows_along(context)
        self._seams = near.maybe_seams
        kept = np.array([row.kept for row in context.job.rows])
        self._kept = kept[context.holes.row] | context.holes.empty

    def climb(self) -> Reserve:
        """Return the reserve."""
        steps = np.where(self._kept, -1, 0).astype(np.int16)
        final = np.full(self._count, -1, dtype=np.int32)
        alive = ~self._kept
        for step in itertools.count():
            if not alive.any():
                break
            state = _State(alive, np.zeros(self._count), np.full(self._count, -1, dtype=np.int32))
            self._try_step(step, state)
            failed = alive & (state.obstacle >= 0)
            final[failed] = state.obstacle[failed]
            alive = alive & ~failed
            steps[alive] += 1
        return Reserve(steps, final, tuple(self._names))

    def _try_step(self, step: int, state: _State) -> None:
        sizes = [ladder[step] if step < len(ladder) else None for ladder in self._ladders]
        fit = self._context.holes.fit
        ended = np.array([size is None for size in sizes])[fit]
        none_made = Obstacle("size", "no larger size is made")
        self._fail_at(state, np.flatnonzero(ended), np.inf, none_made)
        diameter_in = np.array([size.diameter_in if size else np.nan for size in sizes])[fit]
        self._lug_step(sizes, state)
        self._edge_step(sizes, state)
        self._pitch_step(diameter_in, state)
        self._seam_step(diameter_in, state)
        self._diameter_step(sizes, state)
        self._leg_step(sizes, state)
        self._sheet_step(sizes, state)
        self._head_step(sizes, state)

    def _fail_at(
        self,
        state: _State,
        holes: NDArray[np.intp],
        short_in: NDArray[np.float64] | float,
        obstacle: Obstacle,
    ) -> None:
        """Note an obstacle wherever it is the worst so far of the holes still climbing.

        Holes that are not short, ``short_in`` being nought or less, are passed over.
        """
        worse = state.alive[holes] & (short_in > state.shortfall_in[holes])
        if worse.any():
            number = self._names.setdefault(obstacle, len(self._names))
            state.obstacle[holes[worse]] = number
            state.shortfall_in[holes[worse]] = np.broadcast_to(short_in, holes.shape)[worse]

    def _lug_step(self, sizes: list[Fastener | None], state: _State) -> None:
        holes = self._context.holes
        for row, members in zip(self._context.job.rows, holes.in_row, strict=True):
            plate = row.nutplate
            if plate is None:
                continue
            fits = [
                size is None or check_lug_hole(size.diameter_in, plate).verdict is Verdict.PASS
                for size in sizes
            ]
            tight = members[~np.array(fits)[holes.fit[members]]]
            obstacle = Obstacle("lug", f"{plate.standard}-{plate.dash}")
            self._fail_at(state, tight, np.inf, obstacle)

    def _edge_step(self, sizes: list[Fastener | None], state: _State) -> None:
        context = self._context
        limits = [
            context.book.rule(edge_question(flush=size.flush)).length_in(
                diameter_in=size.diameter_in
            )
            if size
            else np.nan
            for size in sizes
        ]
        slack_in = context.job.accuracy_in - LIMIT_TOLERANCE
        need_in = np.array(limits)[context.holes.fit] + slack_in
        sizes_in = np.array([size.diameter_in if size else np.nan for size in sizes])
        heel_rule = context.book.rule(HEEL_RULE)
        heel_in = lengths_in(heel_rule, sizes_in)[context.holes.fit] + slack_in
        for near in context.near_edges.values():
            short_in = need_in[near.holes] - near.distance_in
            for number in np.unique(near.edge[short_in > 0]).tolist():
                chosen = (short_in > 0) & (near.edge == number)
                obstacle = Obstacle("edge", f"{near.names[number]} of {near.layer}")
                self._fail_at(state, near.holes[chosen], short_in[chosen], obstacle)
        for group in context.groups:
            at = group.holes
            for place in group.stack:
                layer = context.job.layers[place.layer]
                if layer.no_oversize:
                    self._fail_at(state, at, np.inf, Obstacle("member", layer.name))
                if layer.new is None or layer.boundary is not None:
                    continue
                stray = context.strays[context.holes.row[at[0]]]
                for told in told_edges(layer, place, stray):
                    held = at[context.at_row_ends[at]] if told.at_ends else at
                    self._told_step(state, held, need_in[held], told, layer.name)
                heel = told_heel(layer, place, stray)
                if heel is not None:
                    self._told_step(state, at, heel_in[at], heel, layer.name)

    def _told_step(
        self,
        state: _State,
        holes: NDArray[np.intp],
        need_in: NDArray[np.float64],
        told: ToldEdge,
        layer: str,
    ) -> None:
        """Hold some holes to an edge told for their whole row, by what each needs ``(k,)`` [in]."""
        name = f"{told.name} of {layer}"
        if told.least_in is None:
            self._fail_at(state, holes, np.inf, Obstacle("edge", f"{name}, not measured"))
        else:
            self._fail_at(state, holes, need_in - told.least_in, Obstacle("edge", name))

    def _pitch_step(self, diameter_in: NDArray[np.float64], state: _State) -> None:
        context = self._context
        for one, other in (
            (self._along.first, self._along.second),
            (self._along.second, self._along.first),
        ):
            larger = np.fmax(diameter_in[one], context.diameter_in[other])
            limit_in = pitch_limits_in(context, larger, self._seam_rows)
            self._near_step("pitch", one, other, limit_in - self._along.distance_in, state)
        for pairs in (self._across, self._across.turned()):
            gaps = gaps_in(context, pairs, diameter_in[pairs.first])
            self._near_step("pitch", pairs.first, pairs.second, -gaps.spare_in, state)

    def _seam_step(self, diameter_in: NDArray[np.float64], state: _State) -> None:
        """Hold rows that may be of a seam to its pitch, as the plan asks whether they are.

        What is sure to stop a hole comes first.
        """
        context = self._context
        rows = rows_along(context)
        doubted = np.flatnonzero(np.isin(rows, list(self._seams)))
        kept_in = context.job.accuracy_in - LIMIT_TOLERANCE
        for one, other in (
            (self._along.first, self._along.second),
            (self._along.second, self._along.first),
        ):
            larger = np.fmax(diameter_in[one[doubted]], context.diameter_in[other[doubted]])
            limit_in = pitch_limits_in(context, larger, SEAM_ROWS)
            short = doubted[self._along.distance_in[doubted] - limit_in < kept_in]
            for pairs in np.split(short, np.flatnonzero(np.diff(rows[short])) + 1):
                if len(pairs):
                    beside = context.job.rows[self._seams[int(rows[pairs[0]])]]
                    obstacle = Obstacle("seam", beside.name)
                    self._fail_at(state, one[pairs], _DOUBT_IN, obstacle)

    def _near_step(
        self,
        kind: str,
        one: NDArray[np.intp],
        other: NDArray[np.intp],
        short_in: NDArray[np.float64],
        state: _State,
    ) -> None:
        short_in = short_in + self._context.job.accuracy_in - LIMIT_TOLERANCE
        close = np.flatnonzero((short_in > 0) & state.alive[one])
        for number in close[np.argsort(short_in[close], kind="stable")].tolist():
            hole = int(one[number])
            if short_in[number] > state.shortfall_in[hole]:
                obstacle = Obstacle(kind, self._context.holes.name(int(other[number])))
                state.obstacle[hole] = self._names.setdefault(obstacle, len(self._names))
                state.shortfall_in[hole] = short_in[number]

    def _diameter_step(self, sizes: list[Fastener | None], state: _State) -> None:
        """Hold the sizes to the thickest sheet, as the plan and a measured hole do."""
        context = self._context
        for group, size in self._resized(sizes):
            layers = context.new_layers(group.stack)
            if not layers:
                continue
            thickest = max(layers, key=lambda layer: layer.thickness_in)
            for check in check_diameter_for_sheet(
                size.diameter_in, sheets_in=(thickest.thickness_in,), book=context.book
            ):
                if check.verdict is not Verdict.PASS:
                    kind = "sheet" if check.comparison == "at most" else "small"
                    short_in = max(-(check.margin or 0.0), LIMIT_TOLERANCE)
                    self._fail_at(state, group.holes, short_in, Obstacle(kind, thickest.name))

    def _leg_step(self, sizes: list[Fastener | None], state: _State) -> None:
        """Hold the sizes to the legs of stringers, as the plan and a measured hole do."""
        job = self._context.job
        for group, size in self._resized(sizes):
            for place in group.stack:
                layer = job.layers[place.layer]
                if layer.leg_width_in is None or layer.new is None:
                    continue
                check = check_stringer_leg(
                    layer.leg_width_in,
                    diameter_in=size.diameter_in,
                    book=self._context.book,
                    accuracy_in=job.accuracy_in,
                )
                if check.verdict is not Verdict.PASS:
                    short_in = job.accuracy_in - (check.margin or 0.0)
                    self._fail_at(state, group.holes, short_in, Obstacle("leg", layer.name))

    def _sheet_step(self, sizes: list[Fastener | None], state: _State) -> None:
        """Hold flush sizes to the sheets their heads are countersunk into, or dimpled for."""
        context = self._context
        for group, size in self._resized(sizes):
            layers = context.new_layers(group.stack) if size.flush else ()
            for check in check_formed_layers(layers, fastener=size, book=context.book):
                if check.verdict is not Verdict.PASS:
                    short_in = np.inf if check.margin is None else max(-check.margin, 1e-6)
                    kind = "dimple" if check.name == DIMPLE else "countersink"
                    self._fail_at(state, group.holes, short_in, Obstacle(kind, check.where))

    def _resized(self, sizes: list[Fastener | None]) -> Iterator[tuple[HoleGroup, Fastener]]:
        """Yield the holes that are worked alike with the size they would go up to, if any."""
        fit = self._context.holes.fit
        for group in self._context.groups:
            size = sizes[fit[group.holes[0]]]
            if size is not None:
                yield group, size

    def _head_step(self, sizes: list[Fastener | None], state: _State) -> None:
        holes, context = self._context.holes, self._context
        now_in = heads_in(holes.fit_parts)[holes.fit]
        then_in = heads_in(sizes)[holes.fit]
        for pairs in (self._along, self._across):
            for one, other in ((pairs.first, pairs.second), (pairs.second, pairs.first)):
                limit_in = heads_apart_in(context, then_in[one], now_in[other])
                short_in = np.nan_to_num(limit_in - pairs.distance_in, nan=-np.inf)
                self._near_step("heads", one, other, short_in, state)


def one_size_up(job: Job, holes: Holes, steps: int) -> Holes:
    """Return the holes with every rivet that does not stay so many sizes larger.

    Raises
    ------
    InputError
        When a rivet has no size so much larger.
    """
    kept = np.array([row.kept for row in job.rows])[holes.row]
    parts = list(holes.fit_parts)
    moved = np.arange(len(parts), dtype=np.int32)
    for number in np.unique(holes.fit[~kept]).tolist():
        ladder = size_steps(without_length(parts[number]))
        if steps > len(ladder):
            raise InputError(
                f"{parts[number].designation} has no size {steps} larger",
                where="--assume-oversize",
                mend=f"assume {len(ladder)} at most",
            )
        moved[number] = len(parts)
        parts.append(ladder[steps - 1])
    fit = np.where(kept, holes.fit, moved[holes.fit]).astype(np.int32)
    return replace(holes, fit=fit, fit_parts=tuple(parts))


def hole_spans(holes: Holes, numbers: NDArray[np.intp]) -> Iterator[tuple[str, str]]:
    """Yield row and hole numbers of some holes, runs written short: ``1-5, 9``."""
    by_row: dict[int, list[int]] = {}
    for hole in numbers.tolist():
        by_row.setdefault(int(holes.row[hole]), []).append(int(holes.number[hole]))
    for row, members in by_row.items():
        yield holes.row_names[row], number_runs(members)
