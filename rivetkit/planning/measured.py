"""Measured holes: what each one needs, and the job with those repairs in it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.oversize import (
    FURTHER_STEPS,
    Candidate,
    Neighbour,
    OversizeLayer,
    OversizeResult,
    grown_hole,
    oversize_options,
    size_steps,
)
from rivetkit.checks import Check, Term, make_check
from rivetkit.errors import InputError, RivetkitError
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.geometry.spots import Spots
from rivetkit.planning.near_edges import nearest_of
from rivetkit.planning.nearby import all_pairs, direction_deg
from rivetkit.planning.told_edges import nearest_told_in, told_edges

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from typing import Literal

    from numpy.typing import NDArray

    from rivetkit.job.bench_sheet import BenchHole
    from rivetkit.job.holes import Holes
    from rivetkit.planning.context import Context


@dataclass(frozen=True, eq=False)
class HoleFix:
    """A measured hole and what may go into it."""

    hole: int
    name: str
    row: str
    bench: BenchHole
    part: Fastener
    result: OversizeResult

    @property
    def chosen(self) -> Candidate | None:
        """What goes in: the smallest replacement that passes every check; None: no rivet can."""
        return self.result.best

    @property
    def oversize(self) -> bool:
        """Whether the hole has to go up."""
        return not self.result.reusable

    @property
    def checks(self) -> tuple[Check, ...]:
        """The checks of what goes in, else of what comes nearest to going in."""
        leading = self.chosen or self.result.leading
        return tuple(
            replace(check, where=f"{self.name}: {check.where}" if check.where else self.name)
            for check in leading.checks
        )


@dataclass(frozen=True, eq=False)
class MeasuredHoles:
    """All measured holes of a job, and the quota of oversize holes in every pattern."""

    fixes: tuple[HoleFix, ...]
    quota: tuple[Check, ...]

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made."""
        return (*(check for fix in self.fixes for check in fix.checks), *self.quota)


def fix_holes(context: Context, bench: Iterable[BenchHole]) -> MeasuredHoles:
    """Return what every measured hole needs.

    Raises
    ------
    InputError
        When a hole was measured whose rivet stays in, or a measurement cannot be used.
    """
    named = {context.holes.name(hole): hole for hole in range(len(context.holes))}
    surroundings = _Surroundings(context)
    fixes = tuple(_fix(context, surroundings, named[item.hole], item) for item in bench)
    return MeasuredHoles(fixes, tuple(_quota(context, fixes)))


def with_fixes(holes: Holes, fixes: Iterable[HoleFix]) -> Holes:
    """Return the holes with each repair made: its centre moved, its new rivet in it."""
    points, fit = holes.points.copy(), holes.fit.copy()
    parts = list(holes.fit_parts)
    number = {part: place for place, part in enumerate(parts)}
    for fix in fixes:
        if fix.chosen is None or not fix.oversize:
            continue
        part = fix.chosen.fastener
        if part not in number:
            number[part] = len(parts)
            parts.append(part)
        fit[fix.hole] = number[part]
        move = fix.chosen.clean_up.move if fix.chosen.clean_up else None
        if move is not None and move.axis_deg is not None and move.side_known:
            angle = np.radians(move.axis_deg)
            points[fix.hole] += move.along_in * np.array([np.cos(angle), np.sin(angle)])
    return replace(holes, spots=Spots.at(points), fit=fit, fit_parts=tuple(parts))


class _Surroundings:
    """Edges and neighbours of every hole, looked up hole by hole."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._edges = context.near_edges
        self._near: dict[int, list[tuple[int, float, Literal["pitch", "rivet"]]]] = {}
        largest_in = max(
            size.diameter_in
            for part in context.holes.fit_parts
            for size in (part, *size_steps(without_length(part))[: FURTHER_STEPS + 1])
        )
        along, across = all_pairs(context, largest_in)
        kinds: tuple[Literal["pitch", "rivet"], ...] = ("pitch", "rivet")
        for kind, pairs in zip(kinds, (along, across), strict=True):
            for one, other, gap in zip(
                pairs.first.tolist(), pairs.second.tolist(), pairs.distance_in.tolist(), strict=True
            ):
                self._near.setdefault(one, []).append((other, gap, kind))
                self._near.setdefault(other, []).append((one, gap, kind))

    def layers(self, hole: int) -> Iterator[OversizeLayer]:
        """Yield every layer at a hole; of edges told for a whole row, the nearest counts."""
        context = self._context
        for place in context.holes.stacks[context.holes.stack[hole]]:
            layer = context.job.layers[place.layer]
            if layer.new is None:
                continue
            drawn = self._edges.get(place.layer)
            edge_in: float | None = None
            direction: float | None = None
            stray_in = 0.0
            at = None if drawn is None else drawn.place(hole)
            if drawn is not None and at is not None:
                edge_in = float(drawn.distance_in[at])
                direction = float(drawn.direction_deg[at])
            if layer.boundary is None:
                stray = context.strays[context.holes.row[hole]]
                told_in = nearest_told_in(told_edges(layer, place, stray))
                if told_in is None:
                    edge_in, direction = None, None
                elif edge_in is None or told_in[1] < edge_in:
                    edge_in = told_in[0] if edge_in is None else min(told_in[0], edge_in)
                    direction, stray_in = None, edge_in - told_in[1]
            yield OversizeLayer(
                name=place.layer,
                thickness_in=layer.new.thickness_in,
                form=place.form,
                edge_in=edge_in,
                edge_direction_deg=direction,
                either_side=False,
                edge_stray_in=stray_in,
                no_oversize=layer.no_oversize,
            )

    def neighbours(self, hole: int) -> tuple[Neighbour, ...]:
        """Return the rivets near a hole, each where it stands."""
        holes = self._context.holes
        return tuple(
            Neighbour(
                name=holes.name(other),
                distance_in=gap,
                diameter_in=float(self._context.diameter_in[other]),
                direction_deg=direction_deg(self._context, hole, other),
                either_side=False,
                kind=kind,
            )
            for other, gap, kind in self._near.get(hole, [])
        )

    def axis_deg(self, hole: int, axis: str | float | None) -> float | None:
        """Return the direction of a hole's long axis [deg], None when nobody noted it."""
        if not isinstance(axis, str):
            return axis
        return self._toward_edge(hole) if axis == "edge" else self._along_row(hole)

    def _toward_edge(self, hole: int) -> float | None:
        nearest = nearest_of(self._edges.values(), hole)
        if nearest is None:
            return None
        near, place = nearest
        return float(near.direction_deg[place])

    def _along_row(self, hole: int) -> float | None:
        near = [other for other, _, kind in self._near.get(hole, []) if kind == "pitch"]
        return direction_deg(self._context, hole, near[-1]) if near else None


def _fix(context: Context, surroundings: _Surroundings, hole: int, bench: BenchHole) -> HoleFix:
    holes = context.holes
    row = context.job.rows[holes.row[hole]]
    if row.kept:
        raise InputError(
            f"hole '{bench.hole}' keeps its rivet",
            where=bench.where,
            mend="take the line out, or drop 'kept' from the row",
        )
    part = without_length(holes.fit_parts[holes.fit[hole]])
    try:
        result = oversize_options(
            part,
            grown_hole(
                bench.least_in,
                bench.greatest_in,
                axis_deg=surroundings.axis_deg(hole, bench.axis),
                grown=bench.grew,  # type: ignore[arg-type]
            ),
            context.book,
            layers=tuple(surroundings.layers(hole)),
            neighbours=surroundings.neighbours(hole),
            rows=row.seam_rows,
            access=row.access,
            nutplate=row.nutplate,
            accuracy_in=context.job.accuracy_in,
            same_place_judged=True,
            first_fit_only=True,
        )
    except RivetkitError as error:
        raise error.at(bench.where) from None
    return HoleFix(hole, bench.hole, row.name, bench, part, result)


def _quota(context: Context, fixes: tuple[HoleFix, ...]) -> Iterator[Check]:
    """Yield the quota of every row that has oversize holes: their share, and how many in a run."""
    oversize = np.zeros(len(context.holes), dtype=bool)
    oversize[[fix.hole for fix in fixes if fix.oversize]] = True
    percent = context.book.rule("oversize_quota_percent")
    most = context.book.rule("oversize_quota_count")
    run = context.book.rule("oversize_adjacent_max")
    for row, members in zip(context.job.rows, context.holes.in_row, strict=True):
        pattern = np.unique(members)
        count = int(oversize[pattern].sum())
        if not count:
            continue
        terms = (
            Term("n", count),
            Term("N", len(pattern)),
            Term("q", percent.value / 100.0),
            Term("m", most.value),
        )
        yield make_check(
            "oversize holes in the pattern",
            count,
            min(percent.value / 100.0 * len(pattern), most.value),
            unit="holes",
            comparison="at most",
            citations=(percent.citation, most.citation),
            template="{n} <= least of {q} x {N} and {m}",
            terms=terms,
            where=row.name,
        )
        longest = _longest_run(oversize[members])
        yield make_check(
            "oversize holes side by side",
            longest,
            run.value,
            unit="holes",
            comparison="at most",
            citations=(run.citation,),
            template="{n} <= {m}",
            terms=(Term("n", longest), Term("m", run.value)),
            where=row.name,
        )


def _longest_run(flags: NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    return int((edges[1::2] - edges[::2]).max(initial=0))
