"""Edge distance, pitch and row spacing: the results as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.edge_distance import EDGE_GREATEST
from rivetkit.checks import Verdict, worst_verdict
from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_entry
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.check_table import accuracy_fact, verdict_fact
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    collect_citations,
    place_words,
)
from rivetkit.reports.metal_tables import metal_cautions, metal_data, metal_section
from rivetkit.reports.rivet_facts import rivet_data, rivet_facts

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.metal_contact import MetalReview
    from rivetkit.calculators.spacing import LayerEdge
    from rivetkit.checks import Check
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.rules import Rule


def spacing_report(
    fastener: Fastener,
    checks: tuple[Check, ...],
    *,
    edges: Sequence[tuple[LayerEdge, float | None]],
    others: Sequence[Rule],
    metals: MetalReview,
    accuracy_in: float,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a rivet's place.

    Parameters
    ----------
    fastener
        The rivet.
    checks
        What was judged.
    edges
        Each layer with its edge margin [D]; none where its edge is unknown.
    others
        What documents other than the ones in force answer.
    metals
        Which metals meet, of the sheets whose alloy was given.
    accuracy_in
        How far the measured distances may be off [in].
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    sections = [
        Section(
            "",
            (
                Facts(
                    (
                        verdict_fact(checks),
                        *rivet_facts(fastener, length_unit),
                        *_margins(edges, length_unit),
                        accuracy_fact(accuracy_in, length_unit, where="add --accuracy"),
                    )
                ),
            ),
        ),
        Section("Checks", (CheckList(checks),)),
        *_too_far(checks),
        *metal_section(metals),
    ]
    if others:
        sections.append(Section("What other documents say", (_other_table(others),), detail=True))
    return Report(
        command="spacing",
        title=f"Rivet spacing, {fastener.designation}",
        inputs=inputs,
        result={
            "verdict": str(worst_verdict(check.verdict for check in checks)),
            "rivet": rivet_data(fastener, length_unit),
            **length_entry("accuracy", accuracy_in, length_unit),
            "layers": [
                {
                    "layer": edge.layer,
                    **length_entry("edge_distance", edge.edge_in, length_unit),
                    "edge_margin": margin,
                }
                for edge, margin in edges
            ],
            **metal_data(metals),
            "other_documents": [
                {
                    "question": rule.question,
                    "limit": rule.value,
                    "unit": rule.unit,
                    "plus_in": rule.plus_in,
                    "applies": rule.applies,
                    "source": rule.citation.source,
                    "locator": rule.citation.locator,
                    "basis": rule.citation.basis,
                }
                for rule in others
            ],
        },
        sections=tuple(sections),
        checks=checks,
        citations=collect_citations(checks, metals.citations),
        cautions=(*BENCH_CAUTIONS, *metal_cautions(metals)),
        length_unit=length_unit,
    )


def _too_far(checks: Sequence[Check]) -> tuple[Section, ...]:
    """Say of an edge distance over the greatest one what that limit is for."""
    over = [check for check in checks if check.name == EDGE_GREATEST]
    if all(check.verdict is Verdict.PASS for check in over):
        return ()
    words = (
        "The greatest edge distance is for the row that holds the edge down, where the sheet would "
        "lift. For a hole inside the sheet leave it out: --inner."
    )
    return (Section("", (Paragraph(words),)),)


def _margins(
    edges: Sequence[tuple[LayerEdge, float | None]], length_unit: LengthUnit
) -> tuple[Fact, ...]:
    return tuple(
        Fact(
            f"edge margin, {edge.layer}" if edge.layer else "edge margin",
            f"{margin:.2f} D",
            f"{format_length(edge.edge_in, length_unit)} from the edge",
        )
        for edge, margin in edges
        if margin is not None and edge.edge_in is not None
    )


def _other_table(others: Sequence[Rule]) -> Table:
    return Table(
        columns=(
            Column("limit", wrap=True),
            Column("says", align="right"),
            Column("applies to", weight=7, wrap=True),
            Column("document", wrap=True),
            Column("basis"),
        ),
        rows=tuple(
            (
                rule.question.replace("_", " "),
                rule.words(),
                rule.applies,
                place_words(rule.citation),
                rule.citation.basis,
            )
            for rule in others
        ),
    )
