"""The plan of a job: everything to know before a drill touches metal."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.oversize.candidates import FURTHER_STEPS
from rivetkit.checks import Check, Verdict, not_checked, worst_verdict
from rivetkit.job.holes import Holes, lay_out
from rivetkit.planning.balance import Balance, balance_change
from rivetkit.planning.context import Context
from rivetkit.planning.edges import EdgeMargins, edge_margins
from rivetkit.planning.gather import HolesCheck, gather_checks
from rivetkit.planning.heat import Heat, heat_between_parts
from rivetkit.planning.lengths import FittedGroup, fit_groups, taken_out_groups
from rivetkit.planning.measured import HoleFix, MeasuredHoles, fix_holes, with_fixes
from rivetkit.planning.members import member_holes
from rivetkit.planning.metals import PlanMetals, metals_that_meet
from rivetkit.planning.nearby import Neighbours
from rivetkit.planning.parts import FitLine, fit_lines
from rivetkit.planning.pitches import Pitches, pitches
from rivetkit.planning.removal import RemovalLine, removal_lines
from rivetkit.planning.reserve import Reserve, one_size_up, reserve
from rivetkit.planning.screws import ScrewMargins, screw_margins
from rivetkit.planning.sheets import left_formed_checks, sheet_checks
from rivetkit.planning.strength.change import StrengthChange, strength_changes
from rivetkit.planning.strength.sheet_strength import sheet_strength
from rivetkit.planning.strength.taken_out import came_out_of, taken_out
from rivetkit.planning.tools import ToolList, tool_list
from rivetkit.planning.unheld import unheld_sheets
from rivetkit.planning.unlisted import unlisted_layers
from rivetkit.planning.wide_layers import WideLayer, wide_layers
from rivetkit.quantities import length_words
from rivetkit.rules import RuleBook

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from rivetkit.job.model import Job
    from rivetkit.job.worksheet.sheet import BenchHole, BenchNote


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What remains of a row's path past its last hole [in]."""

    row: str
    length_in: float


def _with_grip(check: Check, item: FittedGroup) -> Check:
    """Return a check of a part in its hole, the part's grip beside its name."""
    if check.where != item.new_part.designation:
        return check
    return replace(
        check, where=length_words("{part}, grip {grip}", part=check.where, grip=item.new_grip_in)
    )


@dataclass(frozen=True, eq=False)
class Plan:
    """A job worked out. Numbers only: reports decide how they look."""

    context: Context
    neighbours: Neighbours
    fitted: tuple[FittedGroup, ...]
    removal: tuple[RemovalLine, ...]
    parts: tuple[FitLine, ...]
    edges: EdgeMargins
    pitches: Pitches
    sheets: tuple[Check, ...]
    members: tuple[HolesCheck, ...]
    unlisted: tuple[HolesCheck, ...]
    tools: ToolList
    balance: Balance | None
    left_over: tuple[LeftOver, ...]
    measured: MeasuredHoles | None = None
    noted: tuple[BenchNote, ...] = ()
    assumed_oversize: int = 0
    strength: tuple[StrengthChange, ...] = ()
    left_formed: tuple[Check, ...] = ()
    screws: ScrewMargins = field(default_factory=ScrewMargins)
    heat: Heat = field(default_factory=Heat)

    @property
    def job(self) -> Job:
        """The job."""
        return self.context.job

    @property
    def holes(self) -> Holes:
        """The holes, with what each will hold."""
        return self.context.holes

    @property
    def book(self) -> RuleBook:
        """The rules everything is held to."""
        return self.context.book

    @cached_property
    def reserve(self) -> Reserve:
        """How many sizes each hole could still go up, and what stops it."""
        return reserve(self.context, self.neighbours)

    @cached_property
    def wide_layers(self) -> tuple[WideLayer, ...]:
        """Layers drawn wider than any sheet, by a slip of the unit perhaps."""
        return wide_layers(self.job)

    @cached_property
    def assumptions(self) -> tuple[Check, ...]:
        """What the job says was assumed: measurements that were not taken."""
        return tuple(
            not_checked("measurement", "assumed, not measured", where=what)
            for what in self.job.assumed
        )

    @cached_property
    def noted_checks(self) -> tuple[Check, ...]:
        """Holes somebody wrote about at the bench and did not measure."""
        return tuple(
            replace(
                not_checked("measurement", note.words, where=note.hole),
                row=note.hole.rpartition(":")[0],
                hole=note.hole,
            )
            for note in self.noted
        )

    @cached_property
    def unheld(self) -> tuple[Check, ...]:
        """Sheets and new members that no row goes through."""
        return unheld_sheets(self.job)

    @cached_property
    def sheet_strength(self) -> tuple[Check, ...]:
        """Checks of the sheets that come back in another alloy or gauge."""
        return sheet_strength(self.job, self.book)

    @cached_property
    def metals(self) -> PlanMetals:
        """Which metals meet at the rivets that go in."""
        return metals_that_meet(self.context, self.fitted)

    @cached_property
    def strength_checks(self) -> tuple[Check, ...]:
        """Checks of the rows that change, against what they were."""
        return gather_checks((change.row, change.check) for change in self.strength)

    @cached_property
    def shop_heads(self) -> tuple[Check, ...]:
        """Checks of the shop heads the new lengths will make; one part may hold several grips."""
        return gather_checks(
            (item.group.row.name, _with_grip(check, item))
            for item in self.fitted
            for check in item.checks
        )

    @cached_property
    def head_drills(self) -> tuple[Check, ...]:
        """Checks of the drills that take the old heads off."""
        return gather_checks(
            (line.row, check) for line in self.removal for check in line.card.checks
        )

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check of the plan."""
        return (
            *self.assumptions,
            *self.noted_checks,
            *self.unheld,
            *self.edges.checks,
            *self.pitches.checks,
            *self.screws.checks,
            *self.sheets,
            *self.left_formed,
            *(found.check for found in (*self.members, *self.unlisted)),
            *self.shop_heads,
            *self.head_drills,
            *self.strength_checks,
            *self.sheet_strength,
            *self.heat.checks,
            *(self.balance.checks if self.balance else ()),
            *(self.measured.checks if self.measured else ()),
        )

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict of all checks."""
        return worst_verdict(check.verdict for check in self.checks)

    @property
    def to_drill_out(self) -> int:
        """How many rivets come out."""
        return sum(line.count for line in self.removal)

    @property
    def to_fit(self) -> int:
        """How many rivets go in, spares left out."""
        return sum(line.quantity.net for line in self.parts)

    @property
    def empty(self) -> int:
        """How many holes get no rivet: none is settled for them."""
        return int(self.holes.empty.sum())

    @property
    def fixes(self) -> tuple[HoleFix, ...]:
        """Every hole that was measured, with what it gets."""
        return self.measured.fixes if self.measured else ()

    @property
    def at_bench(self) -> bool:
        """Whether holes were looked at: measured, or written about."""
        return self.measured is not None or bool(self.noted)

    @cached_property
    def unmeasured(self) -> NDArray[np.intp]:
        """Numbers of the holes to fill that nobody measured; they are taken as nominal."""
        taken = np.array([row.kept for row in self.job.rows], dtype=bool)[self.holes.row]
        taken[[fix.hole for fix in self.fixes]] = True
        return np.flatnonzero(~taken)

    @property
    def left_open(self) -> int:
        """How many holes stay without a rivet in one layer or more."""
        layers = self.job.layers.values()
        return len({circle.name for layer in layers for circle in layer.open_holes})

    @property
    def kept(self) -> int:
        """How many rivets stay."""
        return sum(item.group.count for item in self.fitted if item.kept)


def plan_job(
    job: Job,
    *,
    measured: Sequence[BenchHole] = (),
    noted: Sequence[BenchNote] = (),
    sizes_up: int = FURTHER_STEPS,
    assume_oversize: int = 0,
    tell: Callable[[str], None] = lambda _stage: None,
) -> Plan:
    """Work a job out.

    Parameters
    ----------
    job
        The job.
    measured
        Holes measured at the bench; each gets what it needs, and everything is judged with that
        in place.
    noted
        Holes somebody wrote about there and did not measure: none of them is proven.
    sizes_up
        How many larger sizes to look at for a measured hole.
    assume_oversize
        What if every hole went up so many sizes.
    tell
        Called with the name of each stage as it begins, for whoever waits.

    Raises
    ------
    InputError
        When the job contradicts itself: holes off the metal, one hole with two rivets, a stack no
        stock length covers. The message names row, hole and layer.
    """
    book = RuleBook.named(job.rule_set, job.overrides)
    tell("laying out the holes")
    planned = holes = lay_out(job)
    if assume_oversize:
        holes = one_size_up(job, holes, assume_oversize)
    before = context = Context(job, holes, book)
    fixed: MeasuredHoles | None = None
    if measured:
        tell("judging the measured holes")
        fixed = fix_holes(context, measured, sizes_up=sizes_up)
        context = Context(job, with_fixes(holes, fixed.fixes), book)
    tell("measuring edges")
    edges = edge_margins(context)
    tell("choosing lengths")
    fitted = fit_groups(context)
    removal = removal_lines(context, fitted)
    removed = taken_out(context)
    gone = taken_out_groups(removed)
    if removed is not None:
        removal += removal_lines(removed, gone)
    tell("measuring pitches")
    neighbours = Neighbours(context)
    return Plan(
        context=context,
        neighbours=neighbours,
        fitted=fitted,
        removal=removal,
        parts=fit_lines(fitted, job.spares),
        edges=edges,
        pitches=pitches(context, neighbours),
        sheets=sheet_checks(context, fitted),
        left_formed=left_formed_checks(removed, job),
        members=member_holes(before, planned, came_out_of(before, removed)),
        unlisted=unlisted_layers(context),
        tools=tool_list(context, removal, fitted),
        balance=balance_change(context, fitted, removed, gone),
        left_over=_left_over(job),
        measured=fixed,
        noted=tuple(noted),
        assumed_oversize=assume_oversize,
        strength=strength_changes(before, context, fixed.fixes if fixed else (), removed=removed),
        screws=screw_margins(context),
        heat=heat_between_parts(context),
    )


def _left_over(job: Job) -> tuple[LeftOver, ...]:
    return tuple(LeftOver(row.name, row.left_over_in) for row in job.rows if row.left_over_in > 0.0)
