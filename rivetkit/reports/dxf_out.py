"""A job's outlines and holes as a DXF drawing, layers by part."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from rivetkit.errors import InputError
from rivetkit.fasteners.catalogue import rivet_hole
from rivetkit.job.holes import lay_out
from rivetkit.planning.reserve import hole_spans
from rivetkit.reports.bench_fates import bench_entry
from rivetkit.reports.bench_tables import spans_words
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import (
    Column,
    Paragraph,
    Report,
    Section,
    Table,
    collect_citations,
)
from rivetkit.rules import RuleBook

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.checks import Check
    from rivetkit.geometry.curves import Points
    from rivetkit.handbook import Citation
    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Job, Layer
    from rivetkit.planning.measured import HoleFix
    from rivetkit.planning.plan import Plan
    from rivetkit.reports.amounts import LengthUnit

#: Characters that no DXF layer name may have.
_FORBIDDEN = re.compile(r'[<>/\\":;?*|=`\x00-\x1f]')

#: $INSUNITS of a drawing in inches.
_INCHES = 1

#: DXF colour number of each kind of layer: black or white, and two greys.
_UNSETTLED = "NO_RIVET_SETTLED"
_COLOURS = {_UNSETTLED: 8, "OUTLINE": 7, "CUTOUTS": 8, "MEMBERS": 9, "HOLES": 7, "IDS": 8}


@dataclass(frozen=True, slots=True)
class DxfDrawing:
    """DXF text, how many things each layer got, and where the hole sizes come from."""

    text: str
    layers: Mapping[str, int]
    citations: tuple[Citation, ...]


def dxf_drawing(job: Job, repaired: Plan | None = None) -> DxfDrawing:
    """Return a job as DXF text in inches.

    Parameters
    ----------
    job
        The job.
    repaired
        Its plan with the measured holes in it, where some were measured: each hole is drawn where
        its repair puts it, for the rivet that goes in then.

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
    holes = lay_out(job) if repaired is None else repaired.holes
    fixes = () if repaired is None else repaired.fixes
    document = new("R2010", units=_INCHES)
    document.header["$INSUNITS"] = _INCHES
    document.header["$MEASUREMENT"] = 0
    pen = _Pen(document)
    for layer in job.layers.values():
        _draw_layer(pen, layer)
    citations = _draw_holes(pen, job, holes, {fix.hole: fix for fix in fixes})
    stream = io.StringIO()
    document.write(stream)
    return DxfDrawing(stream.getvalue(), pen.counts, citations)


def dxf_report(
    drawing: DxfDrawing,
    repaired: Plan | None = None,
    *,
    file: str,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of what a DXF file was given.

    Parameters
    ----------
    drawing
        What was written.
    repaired
        As for :func:`dxf_drawing`.
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
        result={
            "file": file,
            "units": "in",
            "layers": dict(drawing.layers),
            "measured": None if repaired is None else bench_entry(repaired),
        },
        sections=(
            Section("", (Paragraph(told),)),
            *([] if repaired is None else [_bench_section(repaired)]),
            Section("Layers", (Table(columns, rows),)),
        ),
        checks=bench_checks(repaired),
        citations=collect_citations(bench_checks(repaired), drawing.citations),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def bench_checks(repaired: Plan | None) -> tuple[Check, ...]:
    """Return what the measured holes were held to, and those only written about."""
    if repaired is None:
        return ()
    measured = repaired.measured.checks if repaired.measured else ()
    return (*repaired.noted_checks, *measured)


def _bench_section(repaired: Plan) -> Section:
    words = ["Holes stand where their repair puts them; one that gets another rivet has its drill."]
    if repaired.empty:
        spans = list(hole_spans(repaired.holes, np.flatnonzero(repaired.holes.empty)))
        words.append(
            f"No rivet is settled for {spans_words(spans)}: drawn as wide as measured, on the "
            f"layer {_UNSETTLED}."
        )
    if len(repaired.unmeasured):
        spans = list(hole_spans(repaired.holes, repaired.unmeasured))
        words.append(f"Not measured, drawn as nominal: {spans_words(spans)}.")
    return Section("Measured holes", tuple(map(Paragraph, words)))


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


def _draw_holes(
    pen: _Pen, job: Job, holes: Holes, fixes: Mapping[int, HoleFix]
) -> tuple[Citation, ...]:
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
    drawn_in = [
        _drawn_in(fixes.get(number), sizes[fit]) for number, fit in enumerate(holes.fit.tolist())
    ]
    for number, point in enumerate(holes.points.tolist()):
        empty = bool(holes.empty[number])
        layer = pen.layer(_UNSETTLED) if empty else pen.layer("HOLES", names[holes.fit[number]])
        pen.circle(layer, point, drawn_in[number] / 2.0)
    for number, (x, y) in enumerate(holes.points.tolist()):
        size_in = drawn_in[number]
        beside = (x + 0.6 * size_in, y + 0.6 * size_in)
        pen.words(pen.layer("IDS"), holes.name(number), beside, size_in / 2.0)
    return tuple(citations)


def _drawn_in(fix: HoleFix | None, table_in: float) -> float:
    """Return how wide to draw a hole [in]: as the table has it, unless the bench knows better."""
    if fix is None or not fix.oversize:
        return table_in
    if fix.chosen is None:
        return fix.bench.greatest_in
    made = fix.chosen.clean_up
    return table_in if made is None or made.drill is None else made.diameter_in
