"""What measured holes do to an order: which go up, which get no rivet, which nobody measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.planning.reserve import hole_spans
from rivetkit.reports.document import (
    Column,
    Paragraph,
    Section,
    Table,
    without_empty_columns,
)
from rivetkit.reports.plans.bench_fates import unsettled_fixes
from rivetkit.reports.plans.bench_tables import advice_lines, first_spans_words, unsettled_words
from rivetkit.reports.plans.plan_tables import worst_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.planning.measured import HoleFix
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block
    from rivetkit.reports.plans.order_report import JobInOrder


def measured_sections(jobs: Sequence[JobInOrder], unit: LengthUnit) -> tuple[Section, ...]:
    """Return what the worksheets of the jobs come to; nothing where no job has one."""
    if not any(job.plan.at_bench for job in jobs):
        return ()
    blocks: list[Block] = [_counts(jobs)]
    unsettled = [(job, fix) for job in jobs for fix in unsettled_fixes(job.plan)]
    if unsettled:
        words = "No rivet is settled for these holes, and none is ordered for them:"
        blocks += [Paragraph(words), _unsettled_table(unsettled, unit, alone=len(jobs) == 1)]
        measured = (job.plan.measured for job in jobs)
        advice = dict.fromkeys(line for one in measured if one for line in advice_lines(one))
        blocks += map(Paragraph, advice)
    blocks += [Paragraph(line) for job in jobs for line in _open_words(job, alone=len(jobs) == 1)]
    return (Section("Measured holes", tuple(blocks)),)


def nominal_words(jobs: Sequence[JobInOrder]) -> str:
    """Return that the order is for holes as they should be; empty where one was measured."""
    if any(job.plan.at_bench for job in jobs):
        return ""
    return "No hole was measured: all are ordered for as nominal."


def _counts(jobs: Sequence[JobInOrder]) -> Table:
    columns = (
        Column("job", wrap=True),
        Column("measured", align="right"),
        Column("same rivet", align="right", weight=7),
        Column("another rivet", align="right"),
        Column("no rivet fits", align="right"),
        Column("not settled", align="right"),
        Column("not measured", align="right"),
    )
    rows = []
    for job in jobs:
        fixes, unsettled = job.plan.fixes, unsettled_fixes(job.plan)
        undecided = sum(fix.undecided for fix in unsettled)
        other = sum(fix.oversize for fix in fixes if fix.chosen is not None)
        numbers = (
            len(fixes),
            len(fixes) - len(unsettled) - other,
            other,
            len(unsettled) - undecided,
            undecided,
            len(job.plan.unmeasured),
        )
        rows.append((job.label, *map(str, numbers)))
    return Table(columns, tuple(rows))


def _unsettled_table(
    unsettled: Sequence[tuple[JobInOrder, HoleFix]], unit: LengthUnit, *, alone: bool
) -> Table:
    columns = (
        Column("job", wrap=True),
        Column("hole", wrap=True),
        Column("goes in"),
        Column("because", wrap=True),
    )
    rows = [
        ("" if alone else job.label, fix.name, *unsettled_words(fix, unit))
        for job, fix in unsettled
    ]
    lines, caption = worst_lines(rows)
    return without_empty_columns(Table(columns, tuple(lines), caption))


def _open_words(job: JobInOrder, *, alone: bool) -> list[str]:
    """Return which holes of a job are ordered for as nominal, and what was written about some."""
    plan = job.plan
    if not plan.at_bench:
        return [f"{job.label}: no worksheet; every hole is ordered for as nominal."]
    lines = []
    if len(plan.unmeasured):
        spans = list(hole_spans(plan.holes, plan.unmeasured))
        start = "Not measured" if alone else f"{job.label}: not measured"
        lines.append(f"{start}, ordered for as nominal: {first_spans_words(spans)}.")
    return lines
