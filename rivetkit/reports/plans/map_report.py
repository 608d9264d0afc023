"""The holes of a job as a report: drawn, and listed with their places and verdicts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.errors import InputError
from rivetkit.planning.hole_verdicts import on_no_hole
from rivetkit.quantities import words_in_unit
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.check_table import verdict_fact
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import (
    CheckList,
    Column,
    Drawing,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    collect_citations,
)
from rivetkit.reports.drawings.map_view import map_views
from rivetkit.reports.plans.bench_fates import FATE_WORDS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rivetkit.checks import Check
    from rivetkit.planning.plan import Plan
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block
    from rivetkit.reports.drawings.map_view import MapView


def map_report(
    plan: Plan,
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
    sheet: str | None = None,
) -> Report:
    """Return the report of a plan's holes, a drawing and a table for each sheet.

    Parameters
    ----------
    plan
        The job, worked out.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    sheet
        Name of the only sheet to show; all when None.

    Raises
    ------
    InputError
        When no map has that name.
    """
    views = map_views(plan, length_unit)
    elsewhere = on_no_hole(plan)
    if sheet is not None:
        names = [view.name for view in views]
        if sheet not in names:
            raise InputError(f"there is no map of '{sheet}'", mend=f"maps are {', '.join(names)}")
        views = tuple(view for view in views if view.name == sheet)
    blocks: list[tuple[Block, ...]] = [(Drawing(view), _holes(view, length_unit)) for view in views]
    checks = plan.checks
    summary = Section("Summary", _summary(checks, elsewhere))
    return Report(
        command="map",
        title=f"Hole map: {plan.job.name}",
        inputs=inputs,
        result={
            "job": plan.job.name,
            "verdict": str(plan.verdict),
            "not_of_one_hole": [
                {
                    "name": check.name,
                    "where": words_in_unit(check.where, length_unit),
                    "verdict": str(check.verdict),
                }
                for check in elsewhere
            ],
            "holes": [entry for view in views for entry in _data(view, length_unit)],
        },
        sections=(
            summary,
            *(Section(view.name, block) for view, block in zip(views, blocks, strict=True)),
        ),
        checks=checks,
        citations=collect_citations(checks),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _summary(checks: tuple[Check, ...], elsewhere: tuple[Check, ...]) -> tuple[Block, ...]:
    blocks: list[Block] = [Facts((verdict_fact(checks),))]
    if elsewhere:
        blocks += [Paragraph("What no hole is marked with, for no single one is to blame:")]
        blocks += [CheckList(elsewhere)]
    return tuple(blocks)


def _holes(view: MapView, unit: LengthUnit) -> Table:
    columns = (
        Column("row:hole", wrap=True),
        Column("x", unit, align="right"),
        Column("y", unit, align="right"),
        Column("rivet", weight=9),
        Column("edge", unit, align="right", weight=8),
        Column("to", weight=7, wrap=True),
        *([Column("after the bench", wrap=True)] if view.fates else []),
        Column("verdict"),
    )
    rows = tuple(
        (
            hole.name,
            length_number(hole.x_in, unit),
            length_number(hole.y_in, unit),
            hole.part_number,
            "" if hole.edge_in is None else length_number(hole.edge_in, unit),
            hole.edge,
            *([FATE_WORDS[hole.fate] if hole.fate else ""] if view.fates else []),
            VERDICT_WORDS[hole.verdict],
        )
        for hole in view.holes
    )
    return Table(columns, rows)


def _data(view: MapView, unit: LengthUnit) -> list[dict[str, object]]:
    return [
        {
            "map": view.name,
            "hole": hole.name,
            "row": hole.row,
            **length_entry("x", hole.x_in, unit),
            **length_entry("y", hole.y_in, unit),
            **length_entry("diameter", hole.diameter_in, unit),
            "part_number": hole.part_number,
            "rivet": hole.state,
            "after_the_bench": None if hole.fate is None else FATE_WORDS[hole.fate],
            **length_entry("edge_distance", hole.edge_in, unit),
            "edge": hole.edge,
            "verdict": str(hole.verdict),
            "words": hole.words,
        }
        for hole in view.holes
    ]
