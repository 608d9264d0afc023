"""The sheet for the bench as a report: the same holes and boxes as the CSV file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import Column, Paragraph, Report, Section, Table

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.job.bench_sheet import BenchHole, SheetLine
    from rivetkit.reports.amounts import LengthUnit

_HOW = (
    "Measure each hole across its least and its greatest diameter. Long axis: edge (toward the "
    "nearest edge), row (along the row) or degrees from the x axis."
)


def worksheet_report(
    lines: Sequence[SheetLine],
    filled: Sequence[BenchHole],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a worksheet, measurements already made in their boxes."""
    done = {hole.hole: hole for hole in filled}
    return Report(
        command="worksheet",
        title="Holes to measure",
        inputs=inputs,
        result={"holes": [_line_data(line, done.get(line.hole), length_unit) for line in lines]},
        sections=(
            Section("", (Paragraph(_HOW),)),
            Section("Holes", (_table(lines, done, length_unit),)),
        ),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _table(lines: Sequence[SheetLine], done: Mapping[str, BenchHole], unit: LengthUnit) -> Table:
    columns = (
        Column("hole", wrap=True),
        Column("nearest edge", weight=4, wrap=True),
        Column("rivet", weight=6),
        Column("hole", unit, align="right", weight=8),
        Column("at most", unit, align="right"),
        Column("least", unit, align="right"),
        Column("greatest", unit, align="right"),
        Column("axis"),
        Column("remark", weight=9, wrap=True),
    )
    return Table(columns, tuple(_cells(line, done.get(line.hole), unit) for line in lines))


def _cells(line: SheetLine, hole: BenchHole | None, unit: LengthUnit) -> tuple[str, ...]:
    def size(value_in: float | None) -> str:
        return "" if value_in is None else length_number(value_in, unit)

    typed = ("____", "____", "____", "")
    if hole is not None:
        axis = "" if hole.axis is None else str(hole.axis)
        typed = (size(hole.least_in), size(hole.greatest_in), axis, hole.remark)
    return (line.hole, line.edge, line.part, size(line.hole_in), size(line.greatest_in), *typed)


def _line_data(line: SheetLine, hole: BenchHole | None, unit: LengthUnit) -> dict[str, object]:
    return {
        "hole": line.hole,
        **length_entry("x", line.x_in, unit),
        **length_entry("y", line.y_in, unit),
        "nearest_edge": line.edge,
        "rivet": line.part,
        **length_entry("nominal_hole", line.hole_in, unit),
        **length_entry("limit_least", line.least_in, unit),
        **length_entry("limit_greatest", line.greatest_in, unit),
        **length_entry("measured_least", hole.least_in if hole else None, unit),
        **length_entry("measured_greatest", hole.greatest_in if hole else None, unit),
    }
