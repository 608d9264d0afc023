"""What the plan comes to hole by hole, and the place where the least room is left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

import numpy as np

from rivetkit.calculators.spacing import check_edge_distance, check_pitch, check_pitch_greatest
from rivetkit.checks import LIMIT_TOLERANCE, Verdict, judge, worst_verdict
from rivetkit.planning.limits import gaps_in
from rivetkit.planning.pitches import check_across, check_head, wide_heads
from rivetkit.planning.sheets import sheet_checks
from rivetkit.planning.spaces import widest_spaces_in

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    from rivetkit.checks import Check
    from rivetkit.geometry.neighbours import Pairs
    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context
    from rivetkit.planning.near_edges import NearEdges
    from rivetkit.planning.nearby import Neighbours
    from rivetkit.planning.plan import Plan

SizeT = TypeVar("SizeT")


@dataclass(frozen=True, eq=False)
class HoleVerdicts:
    """Every hole of a plan, in the order of its ``holes``; n holes.

    ``verdicts`` holds the gravest of all checks a hole takes part in, ``gravest`` that check for
    the holes that do not pass. ``edge_in`` is the least distance to a drawn edge or a rim of
    any layer, ``(n,)`` [in], infinite where none has; ``edges`` says to which edge.
    """

    verdicts: tuple[Verdict, ...]
    gravest: dict[int, Check]
    edge_in: NDArray[np.float64]
    edges: tuple[str, ...]


def hole_verdicts(plan: Plan) -> HoleVerdicts:
    """Return the verdict on every hole.

    The plan's own checks name the worst hole of each row; here every hole is held to the same
    limits. What a row as a whole is held to, its strength, the heat between its parts and its
    seam, every hole of it is. So the gravest verdict of all holes is the plan's, save for
    what no row is to blame for, either: see :func:`on_no_hole`.
    """
    context = plan.context
    tally = _Tally(len(plan.holes))
    for near in context.near_edges.values():
        _edges_in_layer(context, near, tally)
    for row, members in zip(plan.job.rows, plan.holes.in_row, strict=True):
        if row.nutplate is None and len(members) > 1:
            _pitch_in_row(context, row, members, tally)
    _between_rows(context, plan.neighbours, tally)
    _plan_checks(plan, tally)
    _bench_checks(plan, tally)
    _group_checks(context, plan, tally)
    _row_checks(plan, tally)
    return HoleVerdicts(tuple(tally.verdicts), tally.gravest, tally.edge_in, tuple(tally.edges))


def on_no_hole(plan: Plan) -> tuple[Check, ...]:
    """Return what does not pass and no hole or row is to blame for, so that no hole is marked."""
    gone = {row.name for row in plan.job.removed}
    checks = (
        *plan.assumptions,
        *plan.unheld,
        *(plan.measured.quota if plan.measured else ()),
        *plan.left_formed,
        *(change.check for change in plan.strength if not change.rows),
        *plan.sheet_strength,
        *(plan.balance.checks if plan.balance else ()),
        *(check for line in plan.removal if line.row in gone for check in line.card.checks),
    )
    return tuple(check for check in checks if check.verdict is not Verdict.PASS)


class _Tally:
    """Keeps the gravest check of each hole."""

    def __init__(self, count: int) -> None:
        self.verdicts = [Verdict.PASS] * count
        self.gravest: dict[int, Check] = {}
        self.edge_in = np.full(count, np.inf)
        self.edges = [""] * count

    def note(self, holes: Iterable[int], check: Check) -> None:
        if check.verdict is Verdict.PASS:
            return
        for hole in holes:
            if worst_verdict((self.verdicts[hole], check.verdict)) is not self.verdicts[hole]:
                self.verdicts[hole] = check.verdict
                self.gravest[hole] = check

    def nearer(self, hole: int, distance_in: float, edge: str) -> None:
        if distance_in < self.edge_in[hole]:
            self.edge_in[hole] = distance_in
            self.edges[hole] = edge


def _edges_in_layer(context: Context, near: NearEdges, tally: _Tally) -> None:
    holes = context.holes
    names = [near.names[number] for number in near.edge.tolist()]

    def check(fit: int, distance_in: float, where: str = "") -> Check:
        part = holes.fit_parts[fit]
        return check_edge_distance(
            distance_in,
            diameter_in=part.diameter_in,
            flush=part.flush,
            book=context.book,
            accuracy_in=context.job.accuracy_in,
            where=where,
        )

    passes: _Limits[int] = _Limits(lambda fit, distance_in: (check(fit, distance_in),))
    fits = holes.fit[near.holes].tolist()
    for hole, fit, distance_in, name in zip(
        near.holes.tolist(), fits, near.distance_in.tolist(), names, strict=True
    ):
        edge = f"{name} of {near.layer}"
        tally.nearer(hole, distance_in, edge)
        if not passes(fit, distance_in):
            tally.note((hole,), check(fit, distance_in, f"{holes.name(hole)} to {edge}"))


class _Limits(Generic[SizeT]):
    """Answers whether a length passes, asking the rules only once for each size of rivet."""

    def __init__(self, checks: Callable[[SizeT, float], tuple[Check, ...]]) -> None:
        self._checks = checks
        self._known: dict[SizeT, tuple[Check, ...]] = {}

    def __call__(self, size: SizeT, value_in: float) -> bool:
        if size not in self._known:
            self._known[size] = self._checks(size, value_in)
        return all(
            check.limit is not None
            and judge(value_in, check.limit, check.comparison, check.accuracy) is Verdict.PASS
            for check in self._known[size]
        )


def _pitch_in_row(context: Context, row: Row, members: NDArray[np.intp], tally: _Tally) -> None:
    places = members.tolist()
    sizes_in = context.diameter_in[members].tolist()
    least_in, steps_in = context.holes.apart_in(members[:-1], members[1:])
    greatest_in, smaller_in = widest_spaces_in(context, members, steps_in)
    beside_in = smaller_in.tolist()
    passes: _Limits[tuple[float, float, float]] = _Limits(
        lambda sizes, pitch_in: _pitch_checks(context, row, sizes, (pitch_in, pitch_in))
    )
    for number, ends_in in enumerate(zip(least_in.tolist(), greatest_in.tolist(), strict=True)):
        sizes = (sizes_in[number], sizes_in[number + 1], beside_in[number])
        if all(passes(sizes, pitch_in) for pitch_in in ends_in):
            continue
        pair = (places[number], places[number + 1])
        where = f"{context.holes.name(pair[0])} to {context.holes.name(pair[1])}"
        for check in _pitch_checks(context, row, sizes, ends_in, where):
            tally.note(pair, check)


def _pitch_checks(
    context: Context,
    row: Row,
    sizes_in: tuple[float, float, float],
    ends_in: tuple[float, float],
    where: str = "",
) -> tuple[Check, ...]:
    """Return the checks of a pitch, its least and its greatest, as the planning makes them.

    ``sizes_in`` are the two rivets, and the smaller one beside the widest space between them [in].
    """
    least = check_pitch(
        ends_in[0],
        diameter_in=sizes_in[0],
        neighbour_diameter_in=sizes_in[1],
        book=context.book,
        rows=row.seam_rows,
        accuracy_in=context.job.accuracy_in,
        where=where,
    )
    greatest = check_pitch_greatest(
        ends_in[1],
        diameter_in=sizes_in[2],
        book=context.book,
        accuracy_in=context.job.accuracy_in,
        where=where,
    )
    return (least, greatest)


def _between_rows(context: Context, near: Neighbours, tally: _Tally) -> None:
    pairs = near.across
    for number in _short(context, gaps_in(context, pairs).spare_in):
        tally.note(_ends(pairs, number), check_across(context, pairs, number))
    heads, apart_in = wide_heads(context, near)
    for number in _short(context, heads.distance_in - apart_in):
        tally.note(_ends(heads, number), check_head(context, heads, number))


def _short(context: Context, spare_in: NDArray[np.float64]) -> list[int]:
    """Return the numbers of the gaps that do not pass, having so much to spare ``(n,)`` [in]."""
    kept_in = context.job.accuracy_in - LIMIT_TOLERANCE
    return [int(number) for number in np.flatnonzero(spare_in < kept_in)]


def _ends(pairs: Pairs, number: int) -> tuple[int, int]:
    return int(pairs.first[number]), int(pairs.second[number])


def _plan_checks(plan: Plan, tally: _Tally) -> None:
    """Note what the plan itself says of a hole, and of a whole row measured by hand."""
    named = {plan.holes.name(hole): hole for hole in range(len(plan.holes))}
    members = {
        row.name: holes.tolist()
        for row, holes in zip(plan.job.rows, plan.holes.in_row, strict=True)
    }
    for margin in (*plan.edges.by_row, *plan.edges.by_edge):
        holes = [named[margin.hole]] if margin.hole else members[margin.row]
        tally.note(holes, margin.check)
    for pitch in plan.pitches.along:
        ends = (pitch.least_between, pitch.greatest_between)
        for check, between in zip(pitch.checks, ends, strict=True):
            tally.note((named[name] for name in between), check)
    for gap in (*plan.pitches.across, *plan.pitches.heads):
        tally.note((named[name] for name in gap.holes), gap.check)
    screws = _screws(plan)
    for margin in plan.screws.edges:
        holes = screws.get(margin.hole, []) if margin.hole else members[margin.row]
        tally.note(holes, margin.check)
    for gap in plan.screws.tight:
        for name in gap.holes:
            tally.note(screws.get(name, []), gap.check)
    _numbered_checks(plan, tally)


def _numbered_checks(plan: Plan, tally: _Tally) -> None:
    """Note what the plan says of holes by their numbers: of some together, of measured ones."""
    for found in (*plan.members, *plan.unlisted):
        tally.note(found.holes.tolist(), found.check)


def _bench_checks(plan: Plan, tally: _Tally) -> None:
    """Note what holes measured at the bench need, and which were only written about."""
    noted = {check.where: check for check in plan.noted_checks}
    for hole in range(len(plan.holes)) if noted else ():
        if plan.holes.name(hole) in noted:
            tally.note((hole,), noted[plan.holes.name(hole)])
    for fix in plan.fixes:
        for check in fix.checks:
            tally.note((fix.hole,), check)


def _screws(plan: Plan) -> dict[str, list[int]]:
    """Return the rivet holes of every nutplate, by the name of its screw."""
    found: dict[str, list[int]] = {}
    for row, members in zip(plan.job.rows, plan.holes.in_row, strict=True):
        if row.plates:
            for number, hole in zip(row.numbers.tolist(), members.tolist(), strict=True):
                found.setdefault(row.screw_name((number - 1) // 2), []).append(hole)
    return found


def _group_checks(context: Context, plan: Plan, tally: _Tally) -> None:
    """Note what holds for all holes worked alike: sheet, shop head, drill for the old head."""
    for item in plan.fitted:
        holes = item.group.holes.tolist()
        checks = [*sheet_checks(context, (item,)), *item.checks]
        for line in plan.removal:
            if line.row == item.group.row.name and line.part == item.old_part:
                checks += line.card.checks
        for check in checks:
            tally.note(holes, check)


def _row_checks(plan: Plan, tally: _Tally) -> None:
    """Note what whole rows are held to."""
    members = {
        row.name: holes.tolist()
        for row, holes in zip(plan.job.rows, plan.holes.in_row, strict=True)
    }
    found: list[tuple[tuple[str, ...], Check]] = [
        *((change.rows, change.check) for change in plan.strength),
        *((seam.rows[:1], seam.check) for seam in plan.pitches.seams),
    ]
    if plan.heat.told:
        found += [((pair.row, *pair.also), pair.check) for pair in plan.heat.pairs]
    for rows, check in found:
        tally.note((hole for row in rows for hole in members[row]), check)
