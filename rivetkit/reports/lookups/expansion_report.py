"""Growth and movement with heat as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.heat.coefficients import DEGF_PER_DEGC, expansion_per_degf
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.materials import ThermalExpansionRow
from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_number
from rivetkit.reports.arithmetic import working_citations, working_section
from rivetkit.reports.cautions import BENCH_CAUTIONS, LOOKUP_CAUTIONS
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
from rivetkit.reports.lookups.expansion_data import coefficient_data, expansion_data
from rivetkit.reports.temperatures import degc, temperature_number, temperature_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.heat.answer import HeatAnswer
    from rivetkit.calculators.heat.expansion import Movement
    from rivetkit.calculators.heat.fit_temperature import TemperatureSpan
    from rivetkit.reports.amounts import LengthUnit

_HELD = {
    "end": "at one end: the other end moves",
    "middle": "in the middle: each end moves, by half the length",
}


def coefficients_report(*, inputs: Mapping[str, object], length_unit: LengthUnit) -> Report:
    """Return the report of every coefficient on file."""
    rows = load_table(ThermalExpansionRow)
    return Report(
        command="expansion",
        title="Thermal expansion of materials",
        inputs=inputs,
        result={"coefficients": [coefficient_data(row) for row in rows]},
        sections=(
            Section("", (_coefficient_table(rows, length_unit),)),
            Section("", (Paragraph("Millionths of the length a degree. Documents that differ both "
                                   "stand; a temper or cladding in a name is passed over."),)),
        ),
        citations=collect_citations(others=[row.citation() for row in rows]),
        cautions=LOOKUP_CAUTIONS,
        length_unit=length_unit,
    )  # fmt: skip


def expansion_report(
    answer: HeatAnswer, *, inputs: Mapping[str, object], length_unit: LengthUnit
) -> Report:
    """Return the report of a question about heat.

    Parameters
    ----------
    answer
        What was worked out.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    workings = [item.moved.working for item in answer.moves]
    workings += [item.grown.working for item in answer.growths]
    sections = [Section("", (Facts(_asked(answer, length_unit)),))]
    if answer.growths:
        sections.append(Section("Growth of the whole part", (_growth_table(answer, length_unit),)))
        heading = "Movement at the free end"
        sections.append(Section(heading, (_move_table(answer, length_unit),)))
    if answer.fits:
        sections.append(Section("Temperature of the fit", (_fit_table(answer, length_unit),)))
    if answer.checks:
        sections.append(Section("Checks", (CheckList(answer.checks),)))
    sections.append(
        Section("Coefficients", (_coefficient_table(answer.rows, length_unit), *_remarks(answer)))
    )
    sections.append(working_section(workings, length_unit))
    others = [*(row.citation() for row in answer.rows), *working_citations(workings)]
    return Report(
        command="expansion",
        title=f"Thermal expansion, {answer.name}",
        inputs=inputs,
        result=expansion_data(answer, length_unit),
        sections=tuple(sections),
        checks=answer.checks,
        citations=collect_citations(answer.checks, others),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _asked(answer: HeatAnswer, length_unit: LengthUnit) -> tuple[Fact, ...]:
    asked = answer.question
    facts = [
        Fact("part", answer.name),
        Fact("length", format_length(asked.length_in, length_unit)),
        Fact("matches at", temperature_text(asked.from_degf)),
        Fact("held", _HELD[asked.held]),
    ]
    if not asked.against:
        facts.append(Fact("held to", "something that does not move"))
    sizes = {
        "fastener": asked.fastener_in,
        "hole": asked.hole_in,
        "gap": asked.gap_in,
        "too long by": asked.off_by_in,
    }
    facts += [
        Fact(name, format_length(size_in, length_unit))
        for name, size_in in sizes.items()
        if size_in is not None
    ]
    return tuple(facts)


def _growth_table(answer: HeatAnswer, length_unit: LengthUnit) -> Table:
    columns = (
        Column("part"),
        Column("at", "F", align="right"),
        Column("at", "C", align="right", weight=6),
        Column("longer by", length_unit, align="right"),
        Column("or only", length_unit, align="right"),
    )
    return Table(
        columns,
        tuple(
            (
                growth.name,
                temperature_number(growth.to_degf),
                temperature_number(degc(growth.to_degf)),
                *_moved_cells(growth.grown, length_unit),
            )
            for growth in answer.growths
        ),
    )


def _move_table(answer: HeatAnswer, length_unit: LengthUnit) -> Table:
    columns = (
        Column("past"),
        Column("at", "F", align="right"),
        Column("at", "C", align="right", weight=6),
        Column("moves by", length_unit, align="right"),
        Column("or only", length_unit, align="right"),
        Column("hole or slot", length_unit, align="right"),
    )
    rows = []
    for move in answer.moves:
        hole = "" if move.hole_in is None else f"min {length_number(move.hole_in, length_unit)}"
        rows.append(
            (
                move.partner,
                temperature_number(move.to_degf),
                temperature_number(degc(move.to_degf)),
                *_moved_cells(move.moved, length_unit),
                hole,
            )
        )
    return Table(columns, tuple(rows))


def _moved_cells(moved: Movement, length_unit: LengthUnit) -> tuple[str, str]:
    least = length_number(moved.least_in, length_unit) if moved.documents_differ else ""
    return length_number(moved.greatest_in, length_unit), least


def _fit_table(answer: HeatAnswer, length_unit: LengthUnit) -> Table:
    columns = (
        Column("past"),
        Column("what", wrap=True),
        Column("at", "F", align="right"),
        Column("at", "C", align="right"),
        Column("or only at", "F", align="right"),
    )
    asked = answer.question
    rows = []
    for fit in answer.fits:
        if asked.gap_in is not None:
            what = f"gap of {format_length(asked.gap_in, length_unit)} just closed"
            rows.append((fit.partner, what, *_span_cells(fit.closes)))
        if asked.off_by_in is not None:
            rows.append((fit.partner, "the two matched", *_span_cells(fit.matched)))
    return Table(columns, tuple(rows))


def _span_cells(span: TemperatureSpan | None) -> tuple[str, str, str]:
    if span is None:
        return ("never", "", "")
    nearest, farthest = (f"{value:.0f}" for value in (span.nearest_degf, span.farthest_degf))
    other = farthest if farthest != nearest else ""
    return nearest, f"{degc(span.nearest_degf):.0f}", other


def _remarks(answer: HeatAnswer) -> tuple[Paragraph, ...]:
    words = []
    if _documents_differ(answer):
        words.append(
            "The documents differ: the coefficients with the larger difference are taken, and 'or "
            "only' is by those with the smaller."
        )
    grades = {row.material for row in answer.rows if row.grade.endswith("sheet")}
    words += [
        f"Every grade of {name} counts; name one to narrow it."
        for name in sorted(grades & {answer.name, *(move.partner for move in answer.moves)})
    ]
    if _never(answer):
        words.append("Never: the two grow alike, or the documents do not agree which grows more.")
    if answer.out_of_range:
        named = ", ".join(dict.fromkeys(row.material for row in answer.out_of_range))
        words.append(
            f"Used outside the range its document names: {named}. In the cold, materials move "
            "somewhat less than this (from memory)."
        )
    return tuple(Paragraph(text) for text in words)


def _documents_differ(answer: HeatAnswer) -> bool:
    moved = [*(move.moved for move in answer.moves), *(item.grown for item in answer.growths)]
    spans = [span for fit in answer.fits for span in (fit.closes, fit.matched) if span]
    return any(item.documents_differ for item in moved) or any(
        span.nearest_degf != span.farthest_degf for span in spans
    )


def _never(answer: HeatAnswer) -> bool:
    asked = answer.question
    return any(
        (asked.gap_in is not None and fit.closes is None)
        or (asked.off_by_in is not None and fit.matched is None)
        for fit in answer.fits
    )


def _coefficient_table(rows: Sequence[ThermalExpansionRow], length_unit: LengthUnit) -> Table:
    degree = "degC" if length_unit == "mm" else "degF"
    degrees = DEGF_PER_DEGC if length_unit == "mm" else 1.0
    columns = (
        Column("material"),
        Column("ppm", f"per {degree[-1]}", align="right"),
        Column("range", weight=7),
        Column("document", wrap=True),
        Column("basis", weight=6),
    )
    return Table(
        columns,
        tuple(
            (
                f"{row.material}, {row.grade}" if row.grade else row.material,
                f"{expansion_per_degf(row) * 1e6 * degrees:.2f}",
                row.valid,
                place_words(row.citation()),
                row.basis,
            )
            for row in rows
        ),
    )
