"""One order over several jobs as a report: what to buy, and which job needs what."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.checks import Verdict
from rivetkit.quantities import length_words
from rivetkit.reports.amounts import mass_entry, mass_number, mass_unit
from rivetkit.reports.check_lines import gathered
from rivetkit.reports.check_table import reason_table
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import (
    CheckList,
    Column,
    Paragraph,
    Report,
    Section,
    Steps,
    Table,
    collect_citations,
    without_empty_columns,
)
from rivetkit.reports.plans.bench_fates import bench_entry
from rivetkit.reports.plans.order_measured import measured_sections, nominal_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.checks import Check
    from rivetkit.handbook import Citation
    from rivetkit.planning.order_list import JointPolicy, OrderedPart
    from rivetkit.planning.plan import Plan
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block

_CAUTION = (
    "Order to the aircraft maker's parts list where it names another rivet, and from a source "
    "whose papers your inspector accepts."
)

_BAD = (Verdict.FAIL, Verdict.NOT_CHECKED)


@dataclass(frozen=True, eq=False)
class JobInOrder:
    """A job of the order: what to call it, its file, and its plan."""

    label: str
    file: str
    plan: Plan

    def bad_checks(self, *, alone: bool) -> tuple[Check, ...]:
        """Return what failed or could not be checked, after the job's name unless it is alone."""
        bad = tuple(check for check in self.plan.checks if check.verdict in _BAD)
        if alone:
            return bad
        return tuple(
            replace(check, where=length_words("{job}: {where}", job=self.label, where=check.where))
            if check.where
            else replace(check, where=self.label)
            for check in bad
        )


def order_report(
    jobs: Sequence[JobInOrder],
    parts: Sequence[OrderedPart],
    joint: JointPolicy,
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of an order.

    Parameters
    ----------
    jobs
        The jobs, in the order they were given.
    parts
        What to order.
    joint
        The spares policy, and in what the jobs' own differed.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    alone = len(jobs) == 1
    bad = tuple(check for job in jobs for check in job.bad_checks(alone=alone))
    sections = [
        Section("Jobs", (_jobs_table(jobs),)),
        *measured_sections(jobs, length_unit),
        Section("To order", _to_order(jobs, parts, joint, length_unit)),
        Section("Which job needs what", () if alone else (_needs_table(parts),)),
        Section("How the order was counted", _workings(parts), detail=True),
    ]
    if bad:
        sections.insert(1, Section("Settle before ordering", _unsettled(bad, length_unit)))
    count = f"{len(jobs)} job{'s' if len(jobs) > 1 else ''}"
    return Report(
        command="order",
        title=f"Order for {count}",
        inputs=inputs,
        result=_data(jobs, parts, joint, length_unit),
        sections=tuple(section for section in sections if section.blocks),
        checks=bad,
        citations=collect_citations(bad, _citations(jobs, parts)),
        cautions=(_CAUTION,),
        length_unit=length_unit,
    )


def _citations(jobs: Sequence[JobInOrder], parts: Sequence[OrderedPart]) -> list[Citation]:
    """Return what numbers and lengths of rivets rest on, and every override of the jobs."""
    plans = [job.plan for job in jobs]
    found = [cited for plan in plans for check in plan.shop_heads for cited in check.citations]
    found += [cited for part in parts if part.mass is not None for cited in part.mass.citations]
    every = (cited for plan in plans for check in plan.checks for cited in check.citations)
    return [*found, *(cited for cited in every if cited.overridden)]


def _jobs_table(jobs: Sequence[JobInOrder]) -> Table:
    columns = (
        Column("job", wrap=True),
        Column("file", weight=8, wrap=True),
        Column("to fit", align="right"),
        Column("kept", align="right", weight=7),
        Column("verdict"),
    )
    rows = tuple(
        (
            job.label,
            job.file,
            str(job.plan.to_fit),
            str(job.plan.kept),
            VERDICT_WORDS[job.plan.verdict],
        )
        for job in jobs
    )
    return Table(columns, rows)


def _unsettled(bad: Sequence[Check], length_unit: LengthUnit) -> tuple[Block, ...]:
    words = "A job that has to change may need other rivets. rivetkit plan shows the whole of it."
    failed = [check for check in bad if check.verdict is Verdict.FAIL]
    unknown = [check for check in bad if check.verdict is Verdict.NOT_CHECKED]
    blocks: list[Block] = [Paragraph(words)]
    if failed:
        blocks.append(CheckList(gathered(failed, length_unit)))
    if unknown:
        blocks += [Paragraph("Not checked:"), reason_table(unknown, length_unit)]
    return tuple(blocks)


def _to_order(
    jobs: Sequence[JobInOrder],
    parts: Sequence[OrderedPart],
    joint: JointPolicy,
    length_unit: LengthUnit,
) -> tuple[Block, ...]:
    blocks: list[Block] = [Paragraph(_policy_words(joint)), _parts_table(parts, length_unit)]
    if not parts:
        blocks = [Paragraph("Nothing to order: no job fits a rivet.")]
    elif nominal_words(jobs):
        blocks.append(Paragraph(nominal_words(jobs)))
    unknown = [part.part.designation for part in parts if part.mass is None]
    if unknown:
        blocks.append(Paragraph(f"Mass not known: {', '.join(unknown)}."))
    if any(row.nutplate is not None for job in jobs for row in job.plan.job.rows):
        blocks.append(Paragraph("Rivets only: nutplates and screws are not in this order."))
    return tuple(blocks)


def _policy_words(joint: JointPolicy) -> str:
    policy = joint.policy
    percent, minimum, pack = float(policy.percent), policy.minimum, policy.pack_size
    words = f"Spares: {percent:g} percent, at least {minimum} of each; " + (
        f"packs of {pack}." if pack > 1 else "sold singly."
    )
    if not percent and not minimum and pack == 1:
        words = "No spares are counted in, and rivets come singly."
    if joint.differed:
        names = " and ".join(joint.differed)
        words += f" The jobs differ in {names}: the most of any job is taken for all."
    return words


def _parts_table(parts: Sequence[OrderedPart], length_unit: LengthUnit) -> Table:
    unit = mass_unit(length_unit)
    columns = (
        Column("part"),
        Column("to fit", align="right"),
        Column("spares", align="right", weight=8),
        Column("packs", align="right", weight=9),
        Column("order", align="right"),
        Column("fitted, computed", unit, align="right", weight=6),
        Column("ordered, computed", unit, align="right", weight=7),
    )
    packed = any(map(_packed, parts))
    rows = [
        (
            part.part.designation,
            str(part.quantity.net),
            str(part.quantity.spares),
            str(part.quantity.packs) if packed else "",
            str(part.quantity.order),
            _mass_words(part.net_mass_lb, length_unit),
            _mass_words(part.order_mass_lb, length_unit),
        )
        for part in parts
    ]
    if len(parts) > 1:
        sums = _totals(parts)
        rows.append(
            (
                "all",
                str(sums["net"]),
                str(sums["spares"]),
                str(sums["packs"]) if packed else "",
                str(sums["order"]),
                _mass_words(_sum([part.net_mass_lb for part in parts]), length_unit),
                _mass_words(_sum([part.order_mass_lb for part in parts]), length_unit),
            )
        )
    return without_empty_columns(Table(columns, tuple(rows)))


def _packed(part: OrderedPart) -> bool:
    """Return whether a part comes in packs at all."""
    return part.quantity.policy.pack_size > 1


def _mass_words(mass_lb: float | None, length_unit: LengthUnit) -> str:
    return "" if mass_lb is None else mass_number(mass_lb, length_unit)


def _needs_table(parts: Sequence[OrderedPart]) -> Table:
    columns = (Column("part"), Column("job", wrap=True), Column("to fit", align="right"))
    rows = tuple(
        (part.part.designation, job, str(count)) for part in parts for job, count in part.jobs
    )
    return Table(columns, rows)


def _workings(parts: Sequence[OrderedPart]) -> tuple[Block, ...]:
    return tuple(
        block
        for part in parts
        for block in (Paragraph(part.part.designation), Steps(part.quantity.working))
    )


def _totals(parts: Sequence[OrderedPart]) -> dict[str, int]:
    return {
        "net": sum(part.quantity.net for part in parts),
        "spares": sum(part.quantity.spares for part in parts),
        "packs": sum(part.quantity.packs for part in parts),
        "order": sum(part.quantity.order for part in parts),
    }


def _sum(masses_lb: Sequence[float | None]) -> float | None:
    known = [mass for mass in masses_lb if mass is not None]
    return sum(known) if len(known) == len(masses_lb) else None


def _data(
    jobs: Sequence[JobInOrder],
    parts: Sequence[OrderedPart],
    joint: JointPolicy,
    unit: LengthUnit,
) -> dict[str, object]:
    return {
        "jobs": [
            {
                "job": job.label,
                "file": job.file,
                "net": job.plan.to_fit,
                "kept": job.plan.kept,
                "measured": bench_entry(job.plan),
                "verdict": str(job.plan.verdict),
            }
            for job in jobs
        ],
        "spares": {
            "percent": float(joint.policy.percent),
            "minimum": joint.policy.minimum,
            "pack": joint.policy.pack_size,
            "jobs_differed_in": list(joint.differed),
        },
        "parts": [_part_data(part, unit) for part in parts],
        "totals": {
            **_totals(parts),
            **({} if any(map(_packed, parts)) else {"packs": None}),
            **mass_entry("net_mass", _sum([part.net_mass_lb for part in parts]), unit),
            **mass_entry("order_mass", _sum([part.order_mass_lb for part in parts]), unit),
        },
    }


def _part_data(part: OrderedPart, unit: LengthUnit) -> dict[str, object]:
    return {
        "part_number": part.part.designation,
        "net": part.quantity.net,
        "spares": part.quantity.spares,
        "packs": part.quantity.packs if _packed(part) else None,
        "order": part.quantity.order,
        "working": list(part.quantity.working),
        **mass_entry("net_mass", part.net_mass_lb, unit),
        **mass_entry("order_mass", part.order_mass_lb, unit),
        "jobs": [{"job": name, "count": count} for name, count in part.jobs],
    }
