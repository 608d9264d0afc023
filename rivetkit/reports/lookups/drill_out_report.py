"""How to take a rivet out: the removal card as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.removal.drill_out import least_punch
from rivetkit.calculators.removal.method import drill_words
from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_entry
from rivetkit.reports.arithmetic import (
    working_basis,
    working_citations,
    working_data,
    working_section,
)
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Steps,
    Table,
    basis_mark,
    collect_citations,
    place_words,
)
from rivetkit.reports.rivet_facts import rivet_data, rivet_facts

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.removal.drill_out import DrillOut
    from rivetkit.calculators.removal.method import RemovalMethod
    from rivetkit.reports.amounts import LengthUnit


def drill_out_report(
    card: DrillOut, *, inputs: Mapping[str, object], length_unit: LengthUnit
) -> Report:
    """Return the report of a removal card."""
    rivet = card.fastener
    workings = [card.method.size, card.drift]
    if card.method.depth is not None:
        workings.insert(1, card.method.depth)
    if card.backing.diameter_over_sheet is not None:
        workings.append(card.backing.diameter_over_sheet)
    sections = [
        Section("", (Facts((*rivet_facts(rivet, length_unit), *_tool_facts(card, length_unit))),)),
        Section(_steps_heading(card.method), (Steps(card.method.steps(length_unit)),)),
    ]
    if card.notes:
        notes = [(note.text, basis_mark(note.basis)) for note in card.notes]
        said = [f"{text} ({mark})" if mark else text for text, mark in notes]
        sections.append(Section("Mind", tuple(Paragraph(text) for text in said)))
    sections.append(Section("Checks", (CheckList(card.checks),)))
    if card.alternatives:
        sections.append(Section("Other documents", (_other_ways(card.alternatives, length_unit),)))
    sections.append(working_section(workings, length_unit))
    seat = "" if card.form in {"protruding", "any"} else f", {card.form}"
    return Report(
        command="drill-out",
        title=f"Take out {rivet.designation}{seat}",
        inputs=inputs,
        result=_data(card, length_unit),
        sections=tuple(sections),
        checks=card.checks,
        citations=collect_citations(card.checks, [*card.citations, *working_citations(workings)]),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _steps_heading(method: RemovalMethod) -> str:
    mark = basis_mark(method.citation.basis)
    return f"Steps ({place_words(method.citation)}{f'; {mark}' if mark else ''})"


def _tool_facts(card: DrillOut, length_unit: LengthUnit) -> tuple[Fact, ...]:
    facts = [Fact("head drill", drill_words(card.drill, length_unit), basis=_basis(card))]
    if card.pilot is not None:
        facts.insert(0, Fact("pilot drill", drill_words(card.pilot, length_unit)))
    depth = card.method.depth
    if depth is None:
        facts.append(Fact("drill to", "not known", card.depth_reason))
    else:
        words = f"{format_length(depth.value, length_unit)} from the {card.method.depth_datum}"
        facts.append(Fact("drill to", words, basis=working_basis(depth)))
    drift = format_length(card.drift.value, length_unit)
    if card.punch is None:
        note = f"the least is {least_punch()} in: grind one to {drift} or less"
        facts.append(Fact("pin punch", "none on file so thin", note, "practice"))
    else:
        facts.append(Fact("pin punch", f"{card.punch} in", f"drift up to {drift}"))
    ratio, above_in = card.backing.diameter_over_sheet, card.backing.thin_above_in
    if ratio is not None and above_in is not None:
        words = "thin: back it up" if card.backing.thin else "not thin for this rivet"
        note = f"thin for rivets above {format_length(above_in, length_unit)}"
        facts.append(Fact("near sheet", words, note, card.backing.citation.basis))
    return tuple(facts)


def _basis(card: DrillOut) -> str:
    return working_basis(card.method.size)


def _other_ways(methods: Sequence[RemovalMethod], length_unit: LengthUnit) -> Table:
    return Table(
        columns=(
            Column("document", wrap=True),
            Column("head drill"),
            Column("drill to"),
            Column("measured from", weight=7),
            Column("basis"),
        ),
        rows=tuple(
            (
                place_words(method.citation),
                drill_words(method.drill, length_unit),
                "not known"
                if method.depth is None
                else format_length(method.depth.value, length_unit),
                method.depth_datum,
                method.citation.basis,
            )
            for method in methods
        ),
    )


def _data(card: DrillOut, length_unit: LengthUnit) -> dict[str, object]:
    ratio = card.backing.diameter_over_sheet
    return {
        "rivet": rivet_data(card.fastener, length_unit),
        "form": card.form,
        "pilot_drill": card.pilot.designation if card.pilot else None,
        **_method_data(card.method, length_unit),
        "pin_punch": None if card.punch is None else str(card.punch),
        **length_entry("drift", card.drift.value, length_unit),
        "near_sheet": {
            "thin": card.backing.thin,
            "diameter_over_sheet": ratio.value if ratio else None,
            **length_entry("thin_above", card.backing.thin_above_in, length_unit),
        },
        "notes": [{"text": note.text, "basis": note.basis} for note in card.notes],
        "other_documents": [_method_data(method, length_unit) for method in card.alternatives],
    }


def _method_data(method: RemovalMethod, length_unit: LengthUnit) -> dict[str, object]:
    return {
        "rule": method.rule,
        "head_drill": method.drill.designation,
        **length_entry("head_drill", method.drill.size_in, length_unit),
        **length_entry("depth", method.depth_in, length_unit),
        "depth_from": method.depth_datum,
        "depth_reason": method.depth_reason,
        **length_entry("into_sheet", method.into_sheet_in, length_unit),
        "steps": list(method.steps(length_unit)),
        "size_arithmetic": working_data(method.size, length_unit),
        "basis": method.citation.basis,
        "source": method.citation.source,
        "locator": method.citation.locator,
    }
