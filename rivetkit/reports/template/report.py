"""What a full-size template came to, as a report: its pages, and what to do before use."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import (
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Steps,
    Table,
    collect_citations,
)
from rivetkit.reports.plans.bench_fates import bench_entry

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.planning.plan import Plan
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.template.pages import Paper
    from rivetkit.reports.template.pdf import TemplateSheet

_PAPER_WORDS: dict[Paper, str] = {"a4": "A4", "letter": "Letter"}

_STEPS = (
    "Print at 100 percent, actual size: not 'fit to page'.",
    "Measure the 100 mm and 4 in bars of every page, the upright one too; print again if off.",
    "Cut pages on the frame, lay the grey arrow heads of like numbers over each other, then tape.",
    "Check two distances on the template against the metal before the first punch mark.",
)


def template_report(
    plan: Plan,
    sheets: Sequence[TemplateSheet],
    *,
    file: str,
    paper: Paper,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a template that was written.

    Parameters
    ----------
    plan
        The job, worked out.
    sheets
        The pieces, with their pages.
    file
        Where the template is.
    paper
        What to print it on.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    pages = sum(sheet.tiling.pages for sheet in sheets)
    facts = (
        Fact("written to", file),
        Fact("pages", f"{pages}", _PAPER_WORDS[paper]),
        Fact("verdict of the plan", VERDICT_WORDS[plan.verdict]),
    )
    return Report(
        command="template",
        title=f"Full-size template: {plan.job.name}",
        inputs=inputs,
        result={
            "job": plan.job.name,
            "file": file,
            "paper": paper,
            "pages": pages,
            "verdict": str(plan.verdict),
            "measured": bench_entry(plan),
            "sheets": [_data(sheet) for sheet in sheets],
        },
        sections=(
            Section("Summary", (Facts(facts),)),
            *_measured(sheets),
            Section("Pages", (_table(sheets),)),
            Section("Before use", (Steps(_STEPS),)),
        ),
        checks=plan.checks,
        citations=collect_citations(plan.checks),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _measured(sheets: Sequence[TemplateSheet]) -> tuple[Section, ...]:
    """Return what measured holes get: the paper marks only those without a rivet."""
    if not any(sheet.view.fates for sheet in sheets):
        return ()
    several = len(sheets) > 1
    told = [
        f"{sheet.view.name}: {line}" if several else line
        for sheet in sheets
        for line in sheet.view.bench
    ]
    words = (
        "Holes stand where their repair puts them. A box without a cross is a hole for which no "
        "rivet is settled: do not punch it."
    )
    return (Section("Measured holes", (Paragraph(words), *map(Paragraph, told))),)


def _table(sheets: Sequence[TemplateSheet]) -> Table:
    columns = (
        Column("sheet", wrap=True),
        Column("holes", align="right"),
        Column("pages"),
        Column("across", align="right"),
        Column("down", align="right"),
        Column("paper lies"),
    )
    rows = []
    for sheet in sheets:
        laid = sheet.tiling
        last = laid.first + laid.pages - 1
        rows.append(
            (
                sheet.view.name,
                str(len(sheet.view.holes)),
                str(last) if last == laid.first else f"{laid.first} to {last}",
                str(laid.columns),
                str(laid.rows),
                "across" if laid.landscape else "upright",
            )
        )
    return Table(columns, tuple(rows))


def _data(sheet: TemplateSheet) -> dict[str, object]:
    laid = sheet.tiling
    return {
        "sheet": sheet.view.name,
        "holes": len(sheet.view.holes),
        "first_page": laid.first,
        "pages": laid.pages,
        "across": laid.columns,
        "down": laid.rows,
        "landscape": laid.landscape,
    }
