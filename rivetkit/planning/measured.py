"""Measured holes: what each one needs, and the job with those repairs in it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from rivetkit.calculators.oversize.candidates import (
    FURTHER_STEPS,
    Candidate,
    Neighbour,
    OversizeLayer,
    OversizeResult,
    beyond_its_play,
    oversize_options,
)
from rivetkit.calculators.oversize.cleanup_hole import MeasuredHole, grown_hole, middle_move
from rivetkit.calculators.oversize.hole_move import STILL, Move
from rivetkit.calculators.oversize.sizes import head_size, hole_limits, size_steps
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, Verdict, make_check
from rivetkit.errors import InputError, RivetkitError
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.geometry.spots import Spots
from rivetkit.planning.near_edges import nearest_of
from rivetkit.planning.nearby import pairs_across, pairs_along, seam_rows_along
from rivetkit.planning.row_lines import row_ways_deg
from rivetkit.planning.told_edges import nearest_told_in, told_at, told_edges, told_heel

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from numpy.typing import NDArray

    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.geometry.neighbours import Pairs
    from rivetkit.job.holes import Holes
    from rivetkit.job.worksheet.sheet import BenchHole
    from rivetkit.planning.context import Context
    from rivetkit.planning.row_lines import PairsAcross
    from rivetkit.planning.told_edges import ToldEdge


@dataclass(frozen=True, eq=False)
class HoleFix:
    """A measured hole and what may go into it."""

    hole: int
    name: str
    row: str
    bench: BenchHole
    part: Fastener
    result: OversizeResult
    #: Which way the nearest edge lies is not known, though its long axis was noted so; else empty.
    axis_unknown: str = ""

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
        return tuple(
            replace(
                check,
                where=f"{self.name}: {check.where}" if check.where else self.name,
                row=self.row,
                hole=self.name,
            )
            for check in self.result.nearest.checks
        )

    @property
    def undecided(self) -> bool:
        """Whether a rivet may go in once somebody looks up or measures what is not known."""
        return self.chosen is None and self.result.nearest.verdict is Verdict.NOT_CHECKED


@dataclass(frozen=True, eq=False)
class MeasuredHoles:
    """All measured holes of a job, and the quota of oversize holes in every pattern."""

    fixes: tuple[HoleFix, ...]
    quota: tuple[Check, ...]
    #: How many larger sizes were looked at.
    sizes_up: int = FURTHER_STEPS

    @property
    def cut_short(self) -> bool:
        """Whether a hole is too large for all that was looked at, and a larger rivet is made."""
        return any(
            len(size_steps(fix.part)) > self.sizes_up and _too_large(fix.result)
            for fix in self.fixes
            if fix.chosen is None
        )

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made."""
        return (*(check for fix in self.fixes for check in fix.checks), *self.quota)


def _too_large(result: OversizeResult) -> bool:
    """Return whether no size of the rivet itself takes the hole out."""
    own = (one for one in result.candidates if one.kind in {"same", "larger"})
    return all(one.clean_up is None for one in own)


def fix_holes(
    context: Context, bench: Iterable[BenchHole], *, sizes_up: int = FURTHER_STEPS
) -> MeasuredHoles:
    """Return what every measured hole needs.

    Parameters
    ----------
    context
        The job.
    bench
        The holes as they were measured.
    sizes_up
        How many larger sizes of a hole's rivet to look at.

    Raises
    ------
    InputError
        When a hole was measured whose rivet stays in, or a measurement cannot be used.
    """
    named = {context.holes.name(hole): hole for hole in range(len(context.holes))}
    by_hole = {named[item.hole]: item for item in bench}
    for hole, item in by_hole.items():
        _refuse_kept(context, hole, item)
    found = _judged(context, by_hole, sizes_up)
    fixes = tuple(found[hole] for hole in by_hole)
    return MeasuredHoles(fixes, tuple(_quota(context, fixes)), sizes_up)


def _refuse_kept(context: Context, hole: int, bench: BenchHole) -> None:
    if context.job.rows[context.holes.row[hole]].kept:
        raise InputError(
            f"hole '{bench.hole}' keeps its rivet",
            where=bench.where,
            mend="take the line out, or drop 'kept' from the row",
        )


def _judged(context: Context, bench: Mapping[int, BenchHole], sizes_up: int) -> dict[int, HoleFix]:
    """Return what every measured hole needs, in the order of the job whatever that of the sheet.

    Of two neighbours that both take a rivet the one judged last was judged beside what goes into
    the other, where that then stands. A hole judged before its neighbour has to allow for all the
    neighbour may have moved; when nothing fits then, it is looked at again.
    """
    surroundings = _Surroundings(context, bench, sizes_up)
    found: dict[int, HoleFix] = {}
    for again in (False, True):
        for hole in sorted(bench):
            if hole in surroundings.settled or (
                again and not surroundings.may_be_brought_back(hole)
            ):
                continue
            fix = _fix(context, surroundings, hole, bench[hole], again=again)
            found[hole] = fix
            if fix.chosen is not None:
                surroundings.settled[hole] = fix.chosen
    return found


def with_fixes(holes: Holes, fixes: Iterable[HoleFix]) -> Holes:
    """Return the holes with each repair made: its centre moved, its new rivet in it, or none."""
    points, others = holes.points.copy(), holes.others.copy()
    fit, empty = holes.fit.copy(), holes.empty.copy()
    parts = list(holes.fit_parts)
    number = {part: place for place, part in enumerate(parts)}
    for fix in fixes:
        if fix.chosen is None:
            empty[fix.hole] = True
            continue
        if not fix.oversize:
            continue
        part = fix.chosen.fastener
        if part not in number:
            number[part] = len(parts)
            parts.append(part)
        fit[fix.hole] = number[part]
        move = fix.chosen.clean_up.move if fix.chosen.clean_up else None
        if move is not None and move.axis_deg is not None and move.side_known:
            angle = np.radians(move.axis_deg)
            step_in = move.along_in * np.array([np.cos(angle), np.sin(angle)])
            points[fix.hole] += step_in
            others[holes.other_of == fix.hole] += step_in
    return replace(
        holes,
        spots=Spots.at(points),
        others=others,
        drilled_from=holes.laid_out,
        fit=fit,
        fit_parts=tuple(parts),
        empty=empty,
    )


def centres_unsure_in(holes: Holes, fixes: Iterable[HoleFix]) -> NDArray[np.float64]:
    """Return how far each hole's centre may be from where :func:`with_fixes` has it, ``(n,)`` [in].

    A hole that grew to a side nobody told, and takes its new rivet in its middle; and one that
    takes none yet, by as far as its middle lies from the old centre.
    """
    unsure_in = np.zeros(len(holes))
    for fix in fixes:
        if fix.chosen is None:
            unsure_in[fix.hole] = abs(middle_move(fix.result.measured).along_in)
            continue
        if not fix.oversize or fix.chosen.clean_up is None:
            continue
        move = fix.chosen.clean_up.move
        if move.axis_deg is None or not move.side_known:
            unsure_in[fix.hole] = abs(move.along_in)
    return unsure_in


class _Near(NamedTuple):
    """A neighbour: how far [in] and which way [deg] it stood, and the rows in the seam.

    ``square_in`` is how far both stand off each other's rows [in], None where they keep the pitch.
    """

    hole: int
    distance_in: float
    direction_deg: float
    square_in: float | None
    seam_rows: int


class _Surroundings:
    """Edges and neighbours of every measured hole, looked up hole by hole."""

    def __init__(self, context: Context, bench: Mapping[int, BenchHole], sizes_up: int) -> None:
        self._context = context
        self.sizes_up = sizes_up
        self._bench = bench
        #: What was chosen so far for a measured hole.
        self.settled: dict[int, Candidate] = {}
        #: The nutplate a hole's rivet holds, whichever of the rows through it tells.
        self.nutplates: dict[int, Nutplate] = {
            hole: row.nutplate
            for row, members in zip(context.job.rows, context.holes.in_row, strict=True)
            if row.nutplate is not None
            for hole in members.tolist()
        }
        self._layers: dict[tuple[int, int, bool], tuple[OversizeLayer, ...]] = {}
        self._near: dict[int, list[_Near]] = {}
        measured = np.array(sorted(bench), dtype=np.intp)
        self._row_deg = _row_ways_deg(context, measured)
        self._note_along(measured, pairs_along(context), seam_rows_along(context))
        self._note_across(measured, pairs_across(context))
        self._parts = tuple(map(without_length, context.holes.fit_parts))
        self.measured = {hole: self._as_measured(hole, item) for hole, item in bench.items()}
        self._moves = {hole: self._moved(hole) for hole in bench}
        #: Why the long axis of a hole that is told to lie toward the edge is not known after all.
        self.axis_unknown = {
            hole: why
            for hole, item in bench.items()
            if item.axis == "edge" and self.measured[hole].oval_in
            for why in (self._edge_way_unknown(hole),)
            if why
        }
        # however it is drilled out, a centre moves by half of what the hole is longer than wide
        most_in = np.array([self.measured[hole].oval_in / 2.0 for hole in measured.tolist()])
        self._drawn = {
            name: near.stretches(measured, most_in) for name, near in context.near_edges.items()
        }

    def _note_along(
        self, measured: NDArray[np.intp], pairs: Pairs, seam_rows: NDArray[np.intp]
    ) -> None:
        """Note the neighbours of the measured holes in their rows."""
        for number, direction_deg in self._at_measured(measured, pairs):
            one, other = int(pairs.first[number]), int(pairs.second[number])
            gap_in, seam = float(pairs.distance_in[number]), int(seam_rows[number])
            self._note(one, _Near(other, gap_in, direction_deg, None, seam))
            self._note(other, _Near(one, gap_in, direction_deg + 180.0, None, seam))

    def _note_across(self, measured: NDArray[np.intp], pairs: PairsAcross) -> None:
        """Note the neighbours of the measured holes that do not follow them in a row."""
        for number, direction_deg in self._at_measured(measured, pairs):
            one, other = int(pairs.first[number]), int(pairs.second[number])
            gap_in, seam = float(pairs.distance_in[number]), int(pairs.seam_rows[number])
            off_in = float(pairs.square_in[number])
            square_in = off_in if np.isfinite(off_in) else None
            self._note(one, _Near(other, gap_in, direction_deg, square_in, seam))
            self._note(other, _Near(one, gap_in, direction_deg + 180.0, square_in, seam))

    def _note(self, hole: int, near: _Near) -> None:
        self._near.setdefault(hole, []).append(near)

    def _at_measured(self, measured: NDArray[np.intp], pairs: Pairs) -> Iterator[tuple[int, float]]:
        """Yield the pairs with a measured hole, and which way [deg] the second hole lies."""
        points = self._context.holes.points
        near = np.flatnonzero(np.isin(pairs.first, measured) | np.isin(pairs.second, measured))
        gap = points[pairs.second[near]] - points[pairs.first[near]]
        directions_deg = np.degrees(np.arctan2(gap[:, 1], gap[:, 0]))
        return zip(near.tolist(), directions_deg.tolist(), strict=True)

    def layers(self, hole: int) -> tuple[OversizeLayer, ...]:
        """Return every layer at a hole, with the edges it may come to be nearest to."""
        holes = self._context.holes
        at_end = bool(self._context.at_row_ends[hole])
        alike = (int(holes.row[hole]), int(holes.stack[hole]), at_end)
        if alike not in self._layers:
            self._layers[alike] = tuple(self._told_layers(*alike))
        drawn = [self._drawn.get(layer.name, {}).get(hole, ()) for layer in self._layers[alike]]
        return tuple(
            replace(layer, drawn=edges) if edges else layer
            for layer, edges in zip(self._layers[alike], drawn, strict=True)
        )

    def _told_layers(self, row: int, stack: int, at_end: bool) -> Iterator[OversizeLayer]:  # noqa: FBT001 - a key of three
        """Yield the layers of a stack with the edges told for a whole row; the nearest counts.

        Those at the ends of the row count for the holes there.
        """
        context = self._context
        for place in context.holes.stacks[stack]:
            layer = context.job.layers[place.layer]
            if layer.new is None:
                continue
            at = OversizeLayer(
                name=place.layer,
                thickness_in=layer.new.thickness_in,
                form=place.form,
                edge_direction_deg=None,
                either_side=False,
                no_oversize=layer.no_oversize,
                leg_width_in=layer.leg_width_in,
            )
            if layer.boundary is None:
                edges = told_edges(layer, place, context.strays[row])
                told = tuple(edge for edge in edges if at_end or not edge.at_ends)
                at = _with_told(at, told, told_heel(layer, place, context.strays[row]))
            yield at

    def neighbours(self, hole: int, *, again: bool) -> tuple[Neighbour, ...]:
        """Return the rivets near a hole, each where it may stand and as large as it will be."""
        return tuple(self._neighbour(hole, near, again=again) for near in self._near.get(hole, []))

    def _neighbour(self, hole: int, near: _Near, *, again: bool) -> Neighbour:
        holes = self._context.holes
        part = self._parts[holes.fit[near.hole]]
        diameter_in = part.diameter_in
        settled = self.settled.get(near.hole)
        if settled is not None:
            part, diameter_in = settled.fastener, settled.diameter_in
        alike = part.canonical == self._parts[holes.fit[hole]].canonical
        head = None if alike else head_size(part)
        return Neighbour(
            name=holes.name(near.hole),
            distance_in=near.distance_in,
            diameter_in=diameter_in,
            head_diameter_in=None if head is None else head[0],
            direction_deg=near.direction_deg,
            either_side=False,
            move=self._move(near.hole, again=again),
            square_in=near.square_in,
            rows=near.seam_rows,
        )

    def _move(self, hole: int, *, again: bool) -> Move:
        """Return how far a hole moves, or may: as chosen; else as it was measured.

        Until something is chosen for it, a hole that moved to a known side has moved so far at
        the first look at its neighbours, and not at the second: the drill may bring it back.
        """
        settled = self.settled.get(hole)
        if settled is not None and settled.kind != "same" and settled.clean_up is not None:
            return settled.clean_up.move
        move = self._moves.get(hole, STILL)
        return STILL if settled is None and again and move.side_known else move

    def _moved(self, hole: int) -> Move:
        """Return how far the middle of a hole lies from the old centre; no way within its play."""
        move = middle_move(self.measured[hole])
        part = self._parts[self._context.holes.fit[hole]]
        return move if beyond_its_play(move, hole_limits(part, self._context.book)) else STILL

    def may_be_brought_back(self, hole: int) -> bool:
        """Return whether a drill may bring a neighbour nearer to where it was than it is now."""
        near = (self._bench.get(one.hole) for one in self._near.get(hole, []))
        return any(bench is not None and bench.grew is not None for bench in near)

    def _as_measured(self, hole: int, bench: BenchHole) -> MeasuredHole:
        """Return a hole as it was measured, its long axis as an angle."""
        try:
            return self._grown(hole, bench)
        except RivetkitError as error:
            raise error.at(bench.where) from None

    def _grown(self, hole: int, bench: BenchHole) -> MeasuredHole:
        return grown_hole(
            bench.least_in,
            bench.greatest_in,
            axis_deg=self._axis_deg(hole, bench.axis),
            grown=bench.grew,  # type: ignore[arg-type]
        )

    def _axis_deg(self, hole: int, axis: str | float | None) -> float | None:
        """Return the direction of a hole's long axis [deg], None when nobody noted it.

        Along the row is as the row runs that gives the hole its name, toward its next hole.
        """
        if not isinstance(axis, str):
            return axis
        return self._toward_edge(hole) if axis == "edge" else self._row_deg.get(hole)

    def _toward_edge(self, hole: int) -> float | None:
        """Return which way the nearest edge lies [deg], None when nobody drew it."""
        nearest = nearest_of(self._context.near_edges.values(), hole)
        if nearest is None or self._edge_way_unknown(hole):
            return None
        near, place = nearest
        return float(near.direction_deg[place])

    def _edge_way_unknown(self, hole: int) -> str:
        """Return which edge may be nearer to a hole than any drawn one is; empty when none is.

        An edge that is told by its distance may lie on either side of the row.
        """
        context, holes = self._context, self._context.holes
        nearest = nearest_of(context.near_edges.values(), hole)
        drawn_in = np.inf if nearest is None else float(nearest[0].distance_in[nearest[1]])
        for layer, edge in told_at(context, int(holes.row[hole]), int(holes.stack[hole])):
            if edge.at_ends and not context.at_row_ends[hole]:
                continue
            if edge.least_in is None or edge.least_in < drawn_in - LIMIT_TOLERANCE:
                return f"which way the {edge.kind} of {layer} lies is not told"
        return ""


def _row_ways_deg(context: Context, measured: NDArray[np.intp]) -> dict[int, float]:
    """Return which way [deg] the rows run that give some holes their names, where it is known.

    Nutplates come in twos and make no line; nor does a hole alone.
    """
    holes = context.holes
    found: dict[int, float] = {}
    for number in np.unique(holes.row[measured]).tolist():
        row, members = context.job.rows[number], holes.in_row[number]
        # two holes of a row may be one where a hole of another row is the same as both
        members = members[np.flatnonzero(np.diff(members, prepend=-1))]
        if row.nutplate is None and len(members) > 1:
            ways_deg = row_ways_deg(holes.points[members], ring=row.ring)
            found.update(zip(members.tolist(), ways_deg.tolist(), strict=True))
    return found


def _with_told(
    at: OversizeLayer, told: tuple[ToldEdge, ...], heel: ToldEdge | None
) -> OversizeLayer:
    """Return a layer with its edges and its bend as told for a whole row."""
    nearest_in = nearest_told_in(told)
    if nearest_in is None:
        unknown = next(edge.reason for edge in told if edge.distance_in is None)
        at = replace(at, edge_unknown=unknown)
    else:
        told_in, least_in = nearest_in
        at = replace(at, edge_in=told_in, edge_stray_in=told_in - least_in)
    if heel is None:
        return at
    if heel.distance_in is None:
        return replace(at, heel_unknown=heel.reason)
    return replace(at, heel_in=heel.distance_in, heel_stray_in=heel.unsure_in)


def _fix(
    context: Context, surroundings: _Surroundings, hole: int, bench: BenchHole, *, again: bool
) -> HoleFix:
    holes = context.holes
    row = context.job.rows[holes.row[hole]]
    part = without_length(holes.fit_parts[holes.fit[hole]])
    result = oversize_options(
        part,
        surroundings.measured[hole],
        context.book,
        layers=surroundings.layers(hole),
        neighbours=surroundings.neighbours(hole, again=again),
        rows=row.seam_rows,
        access=row.access,
        nutplate=surroundings.nutplates.get(hole),
        accuracy_in=context.job.accuracy_in,
        hole_accuracy_in=context.job.hole_accuracy_in,
        further_steps=surroundings.sizes_up,
        same_place_judged=True,
        first_fit_only=True,
    )
    unknown = surroundings.axis_unknown.get(hole, "")
    return HoleFix(hole, bench.hole, row.name, bench, part, result, unknown)


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
        closed = len(members) > 1 and members[0] == members[-1]
        longest = _longest_run(oversize[members[:-1] if closed else members], closed=closed)
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


def _longest_run(flags: NDArray[np.bool_], *, closed: bool) -> int:
    """Return how many in a row are marked; in a closed row the first follows the last."""
    if closed and not flags.all():
        flags = np.roll(flags, -int(np.argmin(flags)))  # a run over the start becomes one piece
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    return int((edges[1::2] - edges[::2]).max(initial=0))
