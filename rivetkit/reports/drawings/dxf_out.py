"""A job's outlines and holes as a DXF drawing, layers by part."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from rivetkit.errors import InputError
from rivetkit.fasteners.catalogue import rivet_hole
from rivetkit.planning.reserve import hole_spans
from rivetkit.reports.amounts import LengthUnit, length_in_unit
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import (
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    collect_citations,
)
from rivetkit.reports.drawings.dxf_names import HoleName, hole_names
from rivetkit.reports.plans.bench_fates import bench_entry
from rivetkit.reports.plans.bench_tables import first_spans_words, spans_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.geometry.curves import Points
    from rivetkit.handbook import Citation
    from rivetkit.job.model import Layer
    from rivetkit.planning.measured import HoleFix
    from rivetkit.planning.plan import Plan

#: Characters that no DXF layer name may have.
_FORBIDDEN = re.compile(r'[<>/\\":;?*|=`\x00-\x1f]')

#: DXF reference, header variables: $INSUNITS 1 inches, 4 millimetres; $MEASUREMENT 0 imperial, 1
#: metric line types and hatches.
_HEADER: dict[LengthUnit, tuple[int, int]] = {"in": (1, 0), "mm": (4, 1)}
_UNIT_WORDS: dict[LengthUnit, str] = {"in": "inches", "mm": "millimetres"}

#: DXF colour number of each kind of layer: black or white, and two greys.
_UNSETTLED = "NO_RIVET_SETTLED"
_COLOURS = {_UNSETTLED: 8, "OUTLINE": 7, "CUTOUTS": 8, "MEMBERS": 9, "HOLES": 7, "IDS": 8}


@dataclass(frozen=True, slots=True)
class DxfDrawing:
    """DXF text, how many things each layer got, and where the hole sizes come from."""

    text: str
    layers: Mapping[str, int]
    citations: tuple[Citation, ...]


def dxf_drawing(plan: Plan, unit: LengthUnit) -> DxfDrawing:
    """Return a job as DXF text, at full size.

    Parameters
    ----------
    plan
        The job, worked out: each hole is drawn where it will be, for the rivet that goes in.
    unit
        Unit of the drawing, ``in`` or ``mm``; the file says which.

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
    insunits, measurement = _HEADER[unit]
    document = new("R2010", units=insunits)
    document.header["$INSUNITS"] = insunits
    document.header["$MEASUREMENT"] = measurement
    pen = _Pen(document, unit)
    for layer in plan.job.layers.values():
        _draw_layer(pen, layer)
    citations = _draw_holes(pen, plan)
    stream = io.StringIO()
    document.write(stream)
    return DxfDrawing(stream.getvalue(), pen.counts, citations)


def dxf_report(
    drawing: DxfDrawing,
    plan: Plan,
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
    plan
        As for :func:`dxf_drawing`.
    file
        Where to.
    inputs
        What was asked.
    length_unit
        Unit of the drawing.
    """
    columns = (Column("layer", wrap=True), Column("things", align="right"))
    rows = tuple((name, str(count)) for name, count in drawing.layers.items())
    facts = (
        Fact("drawn in", _UNIT_WORDS[length_unit], "at full size"),
        Fact("verdict of the plan", VERDICT_WORDS[plan.verdict]),
    )
    told = "Circles have the size of the hole for the rivet that goes in, not of what is measured."
    return Report(
        command="export-dxf",
        title=f"Wrote {file}",
        inputs=inputs,
        result={
            "file": file,
            "units": length_unit,
            "verdict": str(plan.verdict),
            "layers": dict(drawing.layers),
            "measured": bench_entry(plan),
        },
        sections=(
            Section("", (Facts(facts), Paragraph(told))),
            *([_bench_section(plan)] if plan.at_bench else []),
            Section("Layers", (Table(columns, rows),)),
        ),
        checks=plan.checks,
        citations=collect_citations(plan.checks, drawing.citations),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _bench_section(plan: Plan) -> Section:
    words = ["Holes stand where their repair puts them; one that gets another rivet has its drill."]
    if plan.empty:
        spans = list(hole_spans(plan.holes, np.flatnonzero(plan.holes.empty)))
        words.append(
            f"No rivet is settled for {spans_words(spans)}: drawn as wide as measured, on the "
            f"layer {_UNSETTLED}."
        )
    if len(plan.unmeasured):
        spans = list(hole_spans(plan.holes, plan.unmeasured))
        words.append(f"Not measured, drawn as nominal: {first_spans_words(spans)}.")
    return Section("Measured holes", tuple(map(Paragraph, words)))


class _Pen:
    """Draws lengths [in] in a unit, on layers that it makes as they are needed, and counts."""

    def __init__(self, document: Any, unit: LengthUnit) -> None:
        self._document = document
        self._scale = length_in_unit(1.0, unit)
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
        scaled = (points * self._scale).tolist()
        self._space.add_lwpolyline(scaled, close=True, dxfattribs={"layer": layer})
        self._count(layer)

    def circle(self, layer: str, centre: Sequence[float], radius_in: float) -> None:
        """Draw a circle."""
        self._space.add_circle(
            self._at(centre), radius_in * self._scale, dxfattribs={"layer": layer}
        )
        self._count(layer)

    def name(self, layer: str, name: HoleName) -> None:
        """Write a hole's name."""
        self._space.add_text(
            name.text,
            height=name.height_in * self._scale,
            rotation=name.turned_deg,
            dxfattribs={"layer": layer, "insert": self._at((name.x_in, name.y_in))},
        )
        self._count(layer)

    def _at(self, place: Sequence[float]) -> tuple[float, ...]:
        return tuple(value_in * self._scale for value_in in place)

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


def _draw_holes(pen: _Pen, plan: Plan) -> tuple[Citation, ...]:
    holes, book = plan.holes, plan.book
    fixes = {fix.hole: fix for fix in plan.fixes}
    sizes: list[float] = []
    citations: dict[Citation, None] = {}
    for part in holes.fit_parts:
        hole = rivet_hole(part, book)
        size_in = hole.hole_in if hole.hole_in is not None else hole.hole_max_in
        if size_in is None:
            raise InputError(
                f"no hole size is on file for {part.designation}",
                where=plan.job.name,
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
    called = [holes.name(number) for number in range(len(holes))]
    for name in hole_names(called, holes.points, drawn_in):
        pen.name(pen.layer("IDS"), name)
    return tuple(citations)


def _drawn_in(fix: HoleFix | None, table_in: float) -> float:
    """Return how wide to draw a hole [in]: as the table has it, unless the bench knows better."""
    if fix is None or not fix.oversize:
        return table_in
    if fix.chosen is None:
        return fix.bench.greatest_in
    made = fix.chosen.clean_up
    return table_in if made is None or made.drill is None else made.diameter_in
