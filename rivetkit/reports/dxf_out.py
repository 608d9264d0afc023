"""A job's outlines and holes as a DXF drawing, layers by part."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rivetkit.errors import InputError
from rivetkit.fasteners.catalogue import rivet_hole
from rivetkit.job.holes import lay_out
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import Column, Paragraph, Report, Section, Table
from rivetkit.rules import RuleBook

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.geometry.curves import Points
    from rivetkit.handbook import Citation
    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Job, Layer
    from rivetkit.reports.amounts import LengthUnit

#: Characters that no DXF layer name may have.
_FORBIDDEN = re.compile(r'[<>/\\":;?*|=`\x00-\x1f]')

#: $INSUNITS of a drawing in inches.
_INCHES = 1

#: DXF colour number of each kind of layer: black or white, and two greys.
_COLOURS = {"OUTLINE": 7, "CUTOUTS": 8, "MEMBERS": 9, "HOLES": 7, "IDS": 8}


@dataclass(frozen=True, slots=True)
class DxfDrawing:
    """DXF text, how many things each layer got, and where the hole sizes come from."""

    text: str
    layers: Mapping[str, int]
    citations: tuple[Citation, ...]


def dxf_drawing(job: Job) -> DxfDrawing:
    """Return a job as DXF text in inches.

    Raises
    ------
    InputError
        When ezdxf is missing, or a rivet has no hole size in the tables.
    """
    try:
        from ezdxf.filemanagement import new
    except ImportError:
        raise InputError(
            "DXF needs the package ezdxf", where="export-dxf", mend="pip install 'rivetkit[dxf]'"
        ) from None
    holes = lay_out(job)
    document = new("R2010", units=_INCHES)
    document.header["$INSUNITS"] = _INCHES
    document.header["$MEASUREMENT"] = 0
    pen = _Pen(document)
    for layer in job.layers.values():
        _draw_layer(pen, layer)
    citations = _draw_holes(pen, job, holes)
    stream = io.StringIO()
    document.write(stream)
    return DxfDrawing(stream.getvalue(), pen.counts, citations)


def dxf_report(
    drawing: DxfDrawing, *, file: str, inputs: Mapping[str, object], length_unit: LengthUnit
) -> Report:
    """Return the report of what a DXF file was given.

    Parameters
    ----------
    drawing
        What was written.
    file
        Where to.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    columns = (Column("layer", wrap=True), Column("things", align="right"))
    rows = tuple((name, str(count)) for name, count in drawing.layers.items())
    told = (
        "Drawn in inches, at full size. Circles have the size of the hole for the rivet that goes "
        "in, not of what is measured."
    )
    return Report(
        command="export-dxf",
        title=f"Wrote {file}",
        inputs=inputs,
        result={"file": file, "units": "in", "layers": dict(drawing.layers)},
        sections=(Section("", (Paragraph(told),)), Section("Layers", (Table(columns, rows),))),
        citations=drawing.citations,
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


class _Pen:
    """Draws on layers that it makes as they are needed, and counts."""

    def __init__(self, document: Any) -> None:
        self._document = document
        self._space = document.modelspace()
        self._names: dict[tuple[str, str], str] = {}
        self.counts: dict[str, int] = {}

    def layer(self, kind: str, part: str = "") -> str:
        """Return the name of a layer; two parts never share one, letter case apart."""
        if (kind, part) not in self._names:
            name = stem = f"{kind}_{_FORBIDDEN.sub('_', part)}" if part else kind
            number = 1
            while name.casefold() in {used.casefold() for used in self._names.values()}:
                number += 1
                name = f"{stem} ({number})"
            self._names[kind, part] = name
            self._document.layers.add(name, color=_COLOURS[kind])
        return self._names[kind, part]

    def ring(self, layer: str, points: Points) -> None:
        """Draw a closed line through points ``(n, 2)`` [in]."""
        self._space.add_lwpolyline(points.tolist(), close=True, dxfattribs={"layer": layer})
        self._count(layer)

    def circle(self, layer: str, centre: Sequence[float], radius_in: float) -> None:
        """Draw a circle."""
        self._space.add_circle(tuple(centre), radius_in, dxfattribs={"layer": layer})
        self._count(layer)

    def words(self, layer: str, text: str, at: Sequence[float], height_in: float) -> None:
        """Write a text."""
        attributes = {"layer": layer, "insert": tuple(at)}
        self._space.add_text(text, height=height_in, dxfattribs=attributes)
        self._count(layer)

    def _count(self, layer: str) -> None:
        self.counts[layer] = self.counts.get(layer, 0) + 1


def _draw_layer(pen: _Pen, layer: Layer) -> None:
    boundary = layer.boundary
    if boundary is None:
        return
    is_sheet = layer.kind == "sheet"
    around = pen.layer("OUTLINE", layer.name) if is_sheet else pen.layer("MEMBERS")
    pen.ring(around, boundary.outer.ring)
    if boundary.cutouts or boundary.circles:
        cut = pen.layer("CUTOUTS", layer.name) if is_sheet else around
        for loop in boundary.cutouts:
            pen.ring(cut, loop.ring)
        for circle in boundary.circles:
            pen.circle(cut, circle.centre, circle.radius_in)


def _draw_holes(pen: _Pen, job: Job, holes: Holes) -> tuple[Citation, ...]:
    book = RuleBook.named(job.rule_set, job.overrides)
    sizes: list[float] = []
    citations: dict[Citation, None] = {}
    for part in holes.fit_parts:
        hole = rivet_hole(part, book)
        size_in = hole.hole_in if hole.hole_in is not None else hole.hole_max_in
        if size_in is None:
            raise InputError(
                f"no hole size is on file for {part.designation}",
                where=job.name,
                mend="choose another rule set with --rule-set",
            )
        sizes.append(size_in)
        citations[hole.citation] = None
    names = [part.designation for part in holes.fit_parts]
    for number, point in enumerate(holes.points.tolist()):
        fit = int(holes.fit[number])
        pen.circle(pen.layer("HOLES", names[fit]), point, sizes[fit] / 2.0)
    for number, (x, y) in enumerate(holes.points.tolist()):
        size_in = sizes[int(holes.fit[number])]
        beside = (x + 0.6 * size_in, y + 0.6 * size_in)
        pen.words(pen.layer("IDS"), holes.name(number), beside, size_in / 2.0)
    return tuple(citations)
