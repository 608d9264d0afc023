"""What was read from a drawing, as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.job.drawing.text import UNIT_WORDS, drawing_notes
from rivetkit.quantities import words_in_unit
from rivetkit.reports.amounts import length_entry, length_in_unit, length_number
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import Column, Paragraph, Report, Section, Table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rivetkit.geometry.curves import Point
    from rivetkit.job.drawing.chains import Outline
    from rivetkit.job.drawing.parts import DrawingIn, DrawnSheet
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block


def import_report(
    drawing: DrawingIn,
    *,
    fragment: str,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a drawing's holes and outlines.

    Parameters
    ----------
    drawing
        What was read.
    fragment
        The job file that can be made of it.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    return Report(
        command="import-holes",
        title=f"Holes and outlines of {drawing.name}",
        inputs=inputs,
        result=_data(drawing, fragment, length_unit),
        sections=tuple(_sections(drawing, length_unit)),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _sections(drawing: DrawingIn, unit: LengthUnit) -> list[Section]:
    notes: list[Block] = [Paragraph(f"Drawn in {UNIT_WORDS[drawing.unit]}.")]
    notes += [Paragraph(note) for note in drawing_notes(drawing, unit)]
    columns = (
        Column("row", wrap=True),
        Column("layer", wrap=True),
        Column("diameter", unit, align="right"),
        Column("x", unit, align="right"),
        Column("y", unit, align="right"),
    )
    holes = tuple(
        (
            group.name,
            group.layer,
            "" if group.diameter_in is None else length_number(group.diameter_in, unit),
            length_number(x, unit),
            length_number(y, unit),
        )
        for group in drawing.groups
        for x, y in group.points
    )
    sections = [Section("", tuple(notes))]
    if drawing.sheet is not None:
        sections.append(Section("Outlines", (_outlines(drawing.sheet, unit),)))
    if holes:
        sections.append(Section("Holes", (Table(columns, holes),)))
    if drawing.skipped:
        sections.append(Section("Skipped", (_skipped(drawing, unit),)))
    return sections


def _outlines(sheet: DrawnSheet, unit: LengthUnit) -> Table:
    columns = (
        Column("outline"),
        Column("layer", wrap=True),
        Column("edges", align="right"),
        Column("width", unit, align="right"),
        Column("height", unit, align="right"),
    )
    chains = [("sheet", sheet.outline), *(("cut-out", cutout) for cutout in sheet.cutouts)]
    rows = [
        (
            what,
            chain.layer,
            str(len(chain.pieces)),
            *(length_number(size_in, unit) for size_in in _size_in(chain)),
        )
        for what, chain in chains
    ]
    for circle in sheet.circles:
        across = length_number(circle.diameter_in or 0.0, unit)
        rows.append(("round cut-out", circle.layer, "1", across, across))
    return Table(columns, tuple(rows))


def _size_in(outline: Outline) -> Point:
    left, bottom, right, top = outline.polygon.bounds
    return (right - left, top - bottom)


def _skipped(drawing: DrawingIn, unit: LengthUnit) -> Table:
    columns = (
        Column("layer", wrap=True),
        Column("what"),
        Column("count", align="right"),
        Column("why", wrap=True),
    )
    return Table(
        columns,
        tuple(
            (item.layer, item.what, str(item.count), words_in_unit(item.why, unit))
            for item in drawing.skipped
        ),
    )


def _data(drawing: DrawingIn, fragment: str, unit: LengthUnit) -> dict[str, object]:
    sheet = drawing.sheet
    outlines: list[dict[str, object]] = []
    if sheet is not None:
        outlines.append(_chain_data("sheet", sheet.outline, unit))
        outlines += [_chain_data("cut-out", cutout, unit) for cutout in sheet.cutouts]
    return {
        "drawing_unit": drawing.unit,
        "holes": [
            {
                "row": group.name,
                "layer": group.layer,
                **length_entry("x", x, unit),
                **length_entry("y", y, unit),
                **length_entry("diameter", group.diameter_in, unit),
            }
            for group in drawing.groups
            for x, y in group.points
        ],
        "outlines": outlines,
        "round_cutouts": [
            {
                "layer": circle.layer,
                **length_entry("x", circle.centre[0], unit),
                **length_entry("y", circle.centre[1], unit),
                **length_entry("diameter", circle.diameter_in, unit),
            }
            for circle in (sheet.circles if sheet else ())
        ],
        "skipped": [
            {
                "layer": item.layer,
                "what": item.what,
                "count": item.count,
                "why": words_in_unit(item.why, unit),
            }
            for item in drawing.skipped
        ],
        "notes": drawing_notes(drawing, unit),
        "job_fragment": fragment,
    }


def _chain_data(what: str, outline: Outline, unit: LengthUnit) -> dict[str, object]:
    return {
        "outline": what,
        "layer": outline.layer,
        "edges": [
            {
                "name": f"edge {number}",
                "kind": piece.kind,
                f"points_{unit}": [
                    [length_in_unit(x, unit), length_in_unit(y, unit)] for x, y in piece.points
                ],
            }
            for number, piece in enumerate(outline.pieces, start=1)
        ],
    }
