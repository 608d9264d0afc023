"""The sheet for the bench as a report: the same holes, columns and boxes as the CSV file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.job.worksheet.lines import AXIS, BOXES, GREATEST, GREW, HOLE, LEAST, REMARK, X, Y
from rivetkit.job.worksheet.sheet import sheet_columns
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import (
    ALWAYS_SHOWN,
    Column,
    Paragraph,
    Report,
    Section,
    SignOff,
    Table,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.job.worksheet.sheet import BenchHole, BenchSheet, SheetLine, TypedLine
    from rivetkit.reports.amounts import LengthUnit

_HOW = (
    "Measure each hole across its least and its greatest diameter; one within its limits takes the "
    "same rivet again. Long axis: edge (toward the nearest edge), row (along the row) or degrees "
    "from the x axis. Grew: toward the edge or the row's next hole, away from it, or both alike; "
    "with degrees leave it empty unless it is both."
)

_WORDS = frozenset((HOLE, "nearest edge", REMARK))
_LEFT = frozenset((HOLE, "nearest edge", "rivet", AXIS, GREW, REMARK))
#: What a narrow page leaves out first; never what somebody typed.
_WEIGHTS = {
    X: 3,
    Y: 3,
    "nearest edge": 4,
    "rivet": 5,
    "nominal hole": 6,
    "limit least": 7,
    "limit greatest": 8,
}

_BLANKS = ("date", "name", "signature")
_TAKEN_BY = ("aircraft", "serial number", "part or position", "measured with, its number")
_STEPS = ("holes measured", "sizes taken over into the job", "inspected")


def worksheet_report(
    lines: Sequence[SheetLine],
    filled: BenchSheet,
    *,
    job_name: str,
    file: str,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a worksheet, what was filled in before in its boxes.

    Parameters
    ----------
    lines
        The holes, in the order to print them.
    filled
        Entries to carry over.
    job_name
        What the job is called.
    file
        The file the job was read from.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    done = {hole.hole: hole for hole in filled.measured}
    title = f"Holes to measure: {job_name}"
    table = _table(lines, filled, f"{title} ({file})", length_unit)
    return Report(
        command="worksheet",
        title=title,
        inputs=inputs,
        result={
            "job": job_name,
            "file": file,
            "holes": [_line_data(line, done.get(line.hole), filled, length_unit) for line in lines],
        },
        sections=(
            Section("", (Paragraph(f"Job file: {file}, {len(lines)} holes."), Paragraph(_HOW))),
            Section("Holes", (table,)),
            Section("Sign-off", (SignOff(_TAKEN_BY, _STEPS),)),
        ),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
        landscape=True,
    )


def _table(
    lines: Sequence[SheetLine], filled: BenchSheet, headline: str, unit: LengthUnit
) -> Table:
    columns = tuple(
        Column(
            name,
            note,
            align="left" if name in _LEFT else "right",
            weight=_WEIGHTS.get(name, ALWAYS_SHOWN),
            wrap=name in _WORDS,
            boxed=name in BOXES,
        )
        for name, note in sheet_columns(unit)
    )
    rows = tuple(_cells(line, filled, unit) for line in lines)
    return Table(columns, rows, headline=headline, blanks=_BLANKS)


def _cells(line: SheetLine, filled: BenchSheet, unit: LengthUnit) -> tuple[str, ...]:
    def size(value_in: float | None) -> str:
        return "" if value_in is None else length_number(value_in, unit)

    boxes = ("",) * len(BOXES)
    typed = filled.typed.get(line.hole)
    if typed is not None:
        sizes = (filled.size_as_typed(typed, box, unit) for box in (LEAST, GREATEST))
        boxes = (*sizes, typed.text(AXIS), typed.text(GREW), _remark(typed, filled))
    return (
        line.hole,
        size(line.x_in),
        size(line.y_in),
        line.edge,
        line.part,
        size(line.hole_in),
        size(line.least_in),
        size(line.greatest_in),
        *boxes,
    )


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
