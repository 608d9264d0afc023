"""The sheet for the bench as a report: the same holes and boxes as the CSV file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.job.bench_lines import AXIS, GREATEST, GREW, LEAST, REMARK
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import Column, Paragraph, Report, Section, Table

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.job.bench_sheet import BenchHole, BenchSheet, SheetLine, TypedLine
    from rivetkit.reports.amounts import LengthUnit

_HOW = (
    "Measure each hole across its least and its greatest diameter. Long axis: edge (toward the "
    "nearest edge), row (along the row) or degrees from the x axis."
)


def worksheet_report(
    lines: Sequence[SheetLine],
    filled: BenchSheet,
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a worksheet, what was filled in before in its boxes."""
    done = {hole.hole: hole for hole in filled.measured}
    return Report(
        command="worksheet",
        title="Holes to measure",
        inputs=inputs,
        result={
            "holes": [_line_data(line, done.get(line.hole), filled, length_unit) for line in lines]
        },
        sections=(
            Section("", (Paragraph(_HOW),)),
            Section("Holes", (_table(lines, filled, length_unit),)),
        ),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _table(lines: Sequence[SheetLine], filled: BenchSheet, unit: LengthUnit) -> Table:
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
    return Table(columns, tuple(_cells(line, filled, unit) for line in lines))


def _cells(line: SheetLine, filled: BenchSheet, unit: LengthUnit) -> tuple[str, ...]:
    def size(value_in: float | None) -> str:
        return "" if value_in is None else length_number(value_in, unit)

    boxes: tuple[str, ...] = ("____", "____", "____", "")
    typed = filled.typed.get(line.hole)
    if typed is not None:
        sizes = (filled.size_as_typed(typed, box, unit) for box in (LEAST, GREATEST))
        axis = ", ".join(filter(None, (typed.text(AXIS), typed.text(GREW))))
        boxes = (*(one or "____" for one in sizes), axis or "____", _remark(typed, filled))
    return (line.hole, line.edge, line.part, size(line.hole_in), size(line.greatest_in), *boxes)


def _remark(typed: TypedLine, filled: BenchSheet) -> str:
    """Return a remark with what stands in the person's own columns."""
    own = zip(filled.own_columns, typed.own, strict=True)
    told = (f"{head.strip()}: {cell.strip()}" for head, cell in own if cell.strip())
    return "; ".join(filter(None, (typed.text(REMARK), *told)))


def _line_data(
    line: SheetLine, hole: BenchHole | None, filled: BenchSheet, unit: LengthUnit
) -> dict[str, object]:
    typed = filled.typed.get(line.hole)
    boxes = {} if typed is None else typed.boxes
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
        "as_typed": {box: boxes.get(box, "") for box in (LEAST, GREATEST, AXIS, GREW, REMARK)},
        "own_columns": dict(zip(filled.own_columns, typed.own, strict=True)) if typed else {},
    }
