"""The plan of a job as a report, in the order the work goes."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.checks import Verdict
from rivetkit.planning.screws import proud_heads
from rivetkit.planning.strength.sheet_strength import SHEET_STRENGTH
from rivetkit.quantities import format_length
from rivetkit.reports.cautions import (
    BENCH_CAUTIONS,
    MAYBE_REBALANCE,
    NUTPLATE_BODIES,
    REBALANCE,
    proud_head,
)
from rivetkit.reports.check_lines import by_reason, gathered
from rivetkit.reports.check_table import accuracy_fact, reason_table, verdict_fact
from rivetkit.reports.document import (
    CheckList,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    collect_citations,
)
from rivetkit.reports.metal_tables import metal_cautions, metal_section
from rivetkit.reports.plans.bench_tables import (
    advice_lines,
    empty_words,
    measured_table,
    measured_words,
    reserve_table,
    reserve_words,
)
from rivetkit.reports.plans.heat_tables import heat_lines, heat_section
from rivetkit.reports.plans.plan_data import plan_data
from rivetkit.reports.plans.plan_tables import (
    across_table,
    balance_table,
    drill_out_table,
    edge_table,
    fit_table,
    length_table,
    per_edge_table,
    pitch_table,
    tool_table,
)
from rivetkit.reports.plans.strength_tables import strength_lines, strength_table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rivetkit.checks import Check
    from rivetkit.handbook import Citation
    from rivetkit.planning.plan import Plan
    from rivetkit.planning.wide_layers import WideLayer
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block


def plan_report(plan: Plan, *, inputs: Mapping[str, object], length_unit: LengthUnit) -> Report:
    """Return the report of a plan.

    Parameters
    ----------
    plan
        The job, worked out.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    checks = plan.checks
    citations = collect_citations(checks, _other_citations(plan))
    sections = [
        Section("Summary", _summary(plan, checks, citations, length_unit)),
        *_measured(plan, length_unit),
        Section("Rivets to drill out", (drill_out_table(plan, length_unit),)),
        *_reserve(plan),
        Section("Rivets to fit", _to_fit(plan, length_unit)),
        Section("New lengths", (length_table(plan, length_unit),)),
        *_strength(plan, length_unit),
        *heat_section(plan.heat, length_unit),
        *metal_section(plan.metals.review, plan.metals.rows),
        Section("Edge margins by layer and row", (edge_table(plan, length_unit),)),
        Section(
            "Edge margins along every edge of the new sheets", (per_edge_table(plan, length_unit),)
        ),
        Section("Pitch along the rows", (pitch_table(plan, length_unit),)),
        Section("Between rows", _between_rows(plan, length_unit)),
        *_screws(plan),
        *_members(plan),
        Section(
            "Rivet, sheet and shop head",
            (CheckList((*plan.sheets, *plan.left_formed, *plan.shop_heads, *plan.head_drills)),),
        ),
        Section("Tools to lay out", (tool_table(plan, length_unit),)),
        *_balance(plan, length_unit),
        Section("What could not be checked", _unchecked(checks, length_unit)),
    ]
    return Report(
        command="plan",
        title=f"Plan: {plan.job.name}{_what_if(plan)}",
        inputs=inputs,
        result=plan_data(plan, length_unit),
        sections=tuple(section for section in sections if _says_something(section)),
        checks=checks,
        citations=citations,
        cautions=_cautions(plan),
        length_unit=length_unit,
    )


def in_short(report: Report) -> Report:
    """Return the summary of a plan's report alone, with what could not be checked."""
    told = any(check.verdict is Verdict.NOT_CHECKED for check in report.checks)
    kept = report.sections[:1] + (report.sections[-1:] if told else ())
    return replace(report, sections=kept, citations=(), cautions=())


def _cautions(plan: Plan) -> tuple[str, ...]:
    proud = (
        f"Row '{row.name}': {proud_head(row.fit.designation)}" for row in proud_heads(plan.job)
    )
    bodies = (NUTPLATE_BODIES,) if any(row.nutplate for row in plan.job.rows) else ()
    metals = metal_cautions(plan.metals.review)
    balance = MAYBE_REBALANCE if plan.balance is None else REBALANCE
    return (*BENCH_CAUTIONS, *metals, *bodies, *proud, balance)


def _what_if(plan: Plan) -> str:
    steps = plan.assumed_oversize
    return f" - what if every hole went up {steps} size{'s' * (steps > 1)}" if steps else ""


def _says_something(section: Section) -> bool:
    return any(not isinstance(block, Table) or block.rows for block in section.blocks)


def _summary(
    plan: Plan,
    checks: tuple[Check, ...],
    citations: tuple[Citation, ...],
    length_unit: LengthUnit,
) -> tuple[Block, ...]:
    facts = [
        verdict_fact(checks),
        Fact("rivets to drill out", f"{plan.to_drill_out}"),
        Fact("rivets to fit", f"{plan.to_fit}", _fit_words(plan)),
        Fact("rivets kept", f"{plan.kept}"),
        *([Fact("holes left open", f"{plan.left_open}")] if plan.left_open else []),
        Fact("holes", f"{len(plan.holes)}", _shared_words(plan, length_unit)),
        Fact("rule set", plan.job.rule_set, _override_words(plan, citations)),
    ]
    facts.append(accuracy_fact(plan.job.accuracy_in, length_unit, where="set 'accuracy'"))
    blocks: list[Block] = [Facts(tuple(facts))]
    missed = (check for check in checks if check.verdict in (Verdict.FAIL, Verdict.MARGINAL))
    failed = sorted(
        gathered(missed, length_unit),
        key=lambda check: (check.verdict is not Verdict.FAIL, check.margin or 0.0),
    )
    if failed:
        blocks += [Paragraph("Mend these first:"), CheckList(tuple(failed))]
    blocks += [Paragraph(_wide_words(plan, layer, length_unit)) for layer in plan.wide_layers]
    blocks += [Paragraph(line) for line in heat_lines(plan.heat, length_unit)]
    blocks += [
        Paragraph(
            f"Row {rest.row}: {format_length(rest.length_in, length_unit)} of its path is left "
            "over past the last hole."
        )
        for rest in plan.left_over
    ]
    return tuple(blocks)


def _wide_words(plan: Plan, layer: WideLayer, length_unit: LengthUnit) -> str:
    width, length = (
        format_length(side_in, length_unit) for side_in in (layer.width_in, layer.length_in)
    )
    asked = 'Are its numbers mm? Then write units = "mm".' if plan.job.units == "in" else "Measure."
    return f"{layer.name} is drawn {width} by {length}, and no sheet is so wide. {asked}"


def _fit_words(plan: Plan) -> str:
    if not plan.empty:
        return "without spares"
    holes = "1 hole" if plan.empty == 1 else f"{plan.empty} holes"
    return f"without spares, and without {holes} for which no rivet is settled"


def _shared_words(plan: Plan, length_unit: LengthUnit) -> str:
    shared = plan.holes.shared
    if not shared:
        return ""
    words = f"{shared} shared by two rows, counted once"
    if plan.holes.placed_apart_in:
        apart = format_length(plan.holes.placed_apart_in, length_unit)
        words += f"; the rows place them up to {apart} apart, the worse place counts"
    return words


def _override_words(plan: Plan, citations: tuple[Citation, ...]) -> str:
    """Return how many overrides there are, and which of them replace nothing in a plan."""
    overrides = plan.job.overrides
    if not overrides:
        return ""
    words = f"with {len(overrides)} override{'s' if len(overrides) > 1 else ''}"
    used = {citation.rule for citation in citations}
    idle = [one.question for one in overrides if f"override:{one.question}" not in used]
    return words + (f"; nothing here is held to {', '.join(idle)}" if idle else "")


def _to_fit(plan: Plan, length_unit: LengthUnit) -> tuple[Block, ...]:
    words = empty_words(plan)
    not_counted = (Paragraph(words),) if words else ()
    return (*_order_words(plan), *not_counted, fit_table(plan, length_unit))


def _order_words(plan: Plan) -> tuple[Block, ...]:
    policy = plan.job.spares
    percent, minimum, pack = float(policy.percent), policy.minimum, policy.pack_size
    if not percent and not minimum and pack == 1:
        return (Paragraph("No spares are counted in: the job asks for none (spares)."),)
    return (
        Paragraph(
            f"Spares: {percent:g} percent, at least {minimum} of each; "
            + (f"packs of {pack}." if pack > 1 else "sold singly.")
        ),
    )


def _measured(plan: Plan, length_unit: LengthUnit) -> tuple[Section, ...]:
    if plan.measured is None and not plan.noted:
        return ()
    fixes = plan.fixes
    blocks: list[Block] = [
        Paragraph(measured_words(plan, length_unit)),
        measured_table(fixes, plan.noted, length_unit),
    ]
    if plan.measured is not None:
        blocks += [Paragraph(line) for line in advice_lines(plan.measured)]
    return (Section("Measured holes", tuple(blocks)), *_quota(plan))


def _quota(plan: Plan) -> tuple[Section, ...]:
    quota = plan.measured.quota if plan.measured else ()
    return (Section("Oversize holes in each row", (CheckList(quota),)),) if quota else ()


def _strength(plan: Plan, length_unit: LengthUnit) -> tuple[Section, ...]:
    if not plan.strength and not plan.sheet_strength:
        return ()
    words = (
        "One rivet's joint in each row that changes: the least of rivet shear, bearing in every "
        "layer and, for a flush head, its tested value. Where rivets of one row differ it is their "
        "mean. rivetkit strength shows the arithmetic."
    )
    if plan.job.removed:
        words += " What replaces a row is told for each rivet that was there."
    blocks: list[Block] = [Paragraph(words), strength_table(plan.strength, length_unit)]
    blocks += [Paragraph(line) for line in strength_lines(plan.strength, length_unit)]
    compared = tuple(check for check in plan.sheet_strength if check.name == SHEET_STRENGTH)
    if compared:
        blocks.append(Paragraph("The sheets themselves, ultimate tension times thickness:"))
        blocks.append(CheckList(compared))
    return (Section("Strength before and after", tuple(blocks)),)


def _reserve(plan: Plan) -> tuple[Section, ...]:
    table = reserve_table(plan)
    blocks: list[Block] = [Paragraph(reserve_words(plan))]
    if table.rows:
        blocks += [Paragraph("A spoiled hole here cannot go up a size:"), table]
    return (Section("Drill these with the most care", tuple(blocks)),)


def _between_rows(plan: Plan, length_unit: LengthUnit) -> tuple[Block, ...]:
    blocks: list[Block] = [across_table(plan, length_unit)]
    if len(plan.job.rows) > 1 and all(gap.rows[0] == gap.rows[1] for gap in plan.pitches.across):
        reach = format_length(plan.pitches.reach_in, length_unit)
        words = f"No holes of two rows in one layer come nearer to each other than {reach}."
        blocks.insert(0, Paragraph(words))
    if plan.pitches.heads:
        words = "Wide heads ask for more room than pitch and row spacing do; the least of each row:"
        blocks += [Paragraph(words), CheckList(tuple(gap.check for gap in plan.pitches.heads))]
    return tuple(blocks)


def _screws(plan: Plan) -> tuple[Section, ...]:
    if not plan.screws.checks:
        return ()
    return (Section("Screws of the nutplates", (CheckList(plan.screws.checks),)),)


def _members(plan: Plan) -> tuple[Section, ...]:
    if not plan.members:
        return ()
    checks = tuple(found.check for found in plan.members)
    return (Section("Members that limit the rivet", (CheckList(checks),)),)


def _balance(plan: Plan, length_unit: LengthUnit) -> tuple[Section, ...]:
    if plan.balance is None:
        return ()
    blocks: list[Block] = [balance_table(plan.balance, length_unit)]
    blocks += [
        Paragraph(f"Not weighed ({reason}): {'; '.join(places)}.")
        for (_, reason), places in by_reason(plan.balance.checks, length_unit).items()
    ]
    blocks.append(
        Paragraph(
            "A positive moment makes the side with the skins heavier: of a surface hinged at its "
            "front, the trailing edge. Paint, filler, primer and the metal drilled out are not "
            "counted."
        )
    )
    return (Section("Change about the hinge line", tuple(blocks)),)


def _unchecked(checks: tuple[Check, ...], length_unit: LengthUnit) -> tuple[Block, ...]:
    unknown = [check for check in checks if check.verdict is Verdict.NOT_CHECKED]
    if not unknown:
        return (Paragraph("Everything the job asks for was checked."),)
    return (reason_table(unknown, length_unit),)


def _other_citations(plan: Plan) -> tuple[Citation, ...]:
    cited = [*plan.tools.citations, *plan.metals.review.citations]
    cited += [citation for pair in plan.heat.pairs for citation in pair.check.citations]
    cited += [citation for line in plan.parts if line.mass for citation in line.mass.citations]
    if plan.balance is not None:
        cited += plan.balance.citations
    return tuple(cited)
