"""A sheet's holes on paper, full size, tiled over pages that join by register marks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from rivetkit.checks import MM_PER_IN
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from rivetkit.geometry.outline import Boundary
    from rivetkit.planning.plan import Plan

Paper = Literal["a4", "letter"]

#: Portrait pages [mm].
_PAPERS_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}

#: What printers leave white, what is kept for bars and words, and how far pages lap over [mm].
_MARGIN_MM, _FOOT_MM, _OVERLAP_MM = 10.0, 30.0, 10.0

#: Half the length of the cross at a hole, and of a register mark [mm].
CROSS_MM, _REGISTER_MM = 2.0, 4.0

#: More pages than this nobody tapes together.
MOST_PAGES = 200

_WARNING = (
    "Print at 100 percent, never 'fit to page'. Measure both bars on every page before use: one "
    "wrong page spoils the sheet. The metal on the bench, not this paper, says where a hole is."
)


@dataclass(frozen=True, slots=True)
class _Tiling:
    """How a drawing is cut into pages [mm]; pages are counted from the lower left."""

    paper_mm: tuple[float, float]
    origin_mm: tuple[float, float]
    columns: int
    rows: int

    @property
    def area_mm(self) -> tuple[float, float]:
        """The part of a page that is drawn on."""
        width, height = self.paper_mm
        return (width - 2 * _MARGIN_MM, height - 2 * _MARGIN_MM - _FOOT_MM)

    @property
    def step_mm(self) -> tuple[float, float]:
        """From one page to the next."""
        return (self.area_mm[0] - _OVERLAP_MM, self.area_mm[1] - _OVERLAP_MM)

    def corner_mm(self, column: int, row: int) -> tuple[float, float]:
        """Return the lower left of a page, in the drawing."""
        return (
            self.origin_mm[0] + column * self.step_mm[0],
            self.origin_mm[1] + row * self.step_mm[1],
        )


def template_pages(plan: Plan, sheet: str, paper: Paper) -> bytes:
    """Return the full-size template of one layer as a PDF.

    Parameters
    ----------
    plan
        The job, worked out.
    sheet
        Name of a layer that has an outline.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    InputError
        When the layer has no outline, or takes too many pages.
    ImportError
        When fpdf2 is not installed.
    """
    from fpdf import FPDF

    boundary = _boundary(plan, sheet)
    holes = plan.holes.in_layer(sheet)
    tiling = _tiling(boundary, paper)
    if tiling.columns * tiling.rows > MOST_PAGES:
        raise InputError(
            f"'{sheet}' takes {tiling.columns * tiling.rows} pages of {paper}",
            where="template",
            mend=f"have it plotted from rivetkit export-dxf; {MOST_PAGES} pages are the most",
        )
    pdf = FPDF(unit="mm", format=tiling.paper_mm)
    pdf.set_auto_page_break(False)
    pdf.set_title(_latin(f"{plan.job.name}: {sheet}"))
    drawing = _Drawing(pdf, tiling, boundary, f"{plan.job.name}: {sheet}")
    points_mm = plan.holes.points[holes] * MM_PER_IN
    names = [plan.holes.name(int(hole)) for hole in holes]
    for row in reversed(range(tiling.rows)):
        for column in range(tiling.columns):
            drawing.page(column, row, points_mm, names)
    return bytes(pdf.output())


def sheets_with_outline(plan: Plan) -> tuple[str, ...]:
    """Return the layers a template can be made of, sheets first."""
    drawn = [layer for layer in plan.job.layers.values() if layer.boundary is not None]
    return tuple(layer.name for layer in sorted(drawn, key=lambda one: one.kind != "sheet"))


def _boundary(plan: Plan, sheet: str) -> Boundary:
    layer = plan.job.layers.get(sheet)
    if layer is None or layer.boundary is None:
        known = ", ".join(sheets_with_outline(plan))
        raise InputError(
            f"there is no outline of '{sheet}'",
            where="--sheet",
            mend=f"name one of {known}" if known else "give the job an outline",
        )
    return layer.boundary


def _tiling(boundary: Boundary, paper: Paper) -> _Tiling:
    """Return the cut that takes fewest pages, upright or across."""
    low = boundary.outer.ring.min(axis=0) * MM_PER_IN - _OVERLAP_MM
    high = boundary.outer.ring.max(axis=0) * MM_PER_IN + _OVERLAP_MM
    upright = _PAPERS_MM[paper]
    cuts = []
    for size in (upright, (upright[1], upright[0])):
        trial = _Tiling(size, (float(low[0]), float(low[1])), 1, 1)
        columns, rows = (
            max(1, math.ceil((float(span) - _OVERLAP_MM) / step))
            for span, step in zip(high - low, trial.step_mm, strict=True)
        )
        cuts.append(_Tiling(size, trial.origin_mm, columns, rows))
    return min(cuts, key=lambda cut: cut.columns * cut.rows)


class _Drawing:
    """Draws the pages of one template."""

    def __init__(self, pdf: Any, tiling: _Tiling, boundary: Boundary, title: str) -> None:
        self._pdf, self._tiling, self._title = pdf, tiling, title
        loops = (boundary.outer, *boundary.cutouts)
        self._lines = [
            (edge.name, edge.points * MM_PER_IN) for loop in loops for edge in loop.edges
        ]
        self._circles = boundary.circles

    def page(self, column: int, row: int, points_mm: NDArray[np.float64], names: list[str]) -> None:
        """Add one page."""
        pdf, tiling = self._pdf, self._tiling
        pdf.add_page()
        left, bottom = tiling.corner_mm(column, row)
        width, height = tiling.area_mm
        pdf.set_line_width(0.2)
        pdf.set_draw_color(160)
        pdf.rect(_MARGIN_MM, _MARGIN_MM, width, height)
        pdf.set_draw_color(0)
        with pdf.rect_clip(_MARGIN_MM, _MARGIN_MM, width, height):
            self._edges(left, bottom)
            self._holes(left, bottom, points_mm, names)
            for x, y in self._register_marks():
                self._cross(*self._at(left, bottom, x, y), _REGISTER_MM, ring=True)
        self._foot(column, row)

    def _at(self, left: float, bottom: float, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return the place on the page of a place in the drawing [mm]."""
        return (_MARGIN_MM + x_mm - left, _MARGIN_MM + self._tiling.area_mm[1] - (y_mm - bottom))

    def _edges(self, left: float, bottom: float) -> None:
        self._pdf.set_line_width(0.35)
        for _, line in self._lines:
            self._pdf.polyline([self._at(left, bottom, x, y) for x, y in line.tolist()])
        for circle in self._circles:
            x, y = self._at(left, bottom, *(value * MM_PER_IN for value in circle.centre))
            radius = circle.radius_in * MM_PER_IN
            self._pdf.circle(x, y, radius)

    def _holes(
        self, left: float, bottom: float, points_mm: NDArray[np.float64], names: list[str]
    ) -> None:
        width, height = self._tiling.area_mm
        inside = (
            (points_mm[:, 0] > left - CROSS_MM)
            & (points_mm[:, 0] < left + width + CROSS_MM)
            & (points_mm[:, 1] > bottom - CROSS_MM)
            & (points_mm[:, 1] < bottom + height + CROSS_MM)
        )
        self._pdf.set_line_width(0.1)
        self._pdf.set_font("Helvetica", size=5)
        for place in np.flatnonzero(inside).tolist():
            x, y = self._at(left, bottom, *points_mm[place].tolist())
            self._cross(x, y, CROSS_MM)
            self._pdf.text(x + 0.6, y - 0.6, _latin(names[place]))

    def _cross(self, x: float, y: float, half_mm: float, *, ring: bool = False) -> None:
        self._pdf.line(x - half_mm, y, x + half_mm, y)
        self._pdf.line(x, y - half_mm, x, y + half_mm)
        if ring:
            self._pdf.circle(x, y, half_mm / 2)

    def _register_marks(self) -> Iterator[tuple[float, float]]:
        """Yield the marks in the middle of every overlap [mm]: each is on all pages that meet."""
        tiling = self._tiling
        width, height = tiling.area_mm
        for column in range(tiling.columns):
            for row in range(tiling.rows):
                x, y = tiling.corner_mm(column, row)
                if column:
                    for share in (0.25, 0.75):
                        yield (x + _OVERLAP_MM / 2, y + share * height)
                if row:
                    for share in (0.25, 0.75):
                        yield (x + share * width, y + _OVERLAP_MM / 2)

    def _foot(self, column: int, row: int) -> None:
        pdf, tiling = self._pdf, self._tiling
        top = tiling.paper_mm[1] - _MARGIN_MM - _FOOT_MM + 4.0
        for number, (length, words) in enumerate(((100.0, "100 mm"), (4 * MM_PER_IN, "4 in"))):
            y = top + 7.0 * number
            pdf.set_line_width(0.3)
            pdf.line(_MARGIN_MM, y, _MARGIN_MM + length, y)
            for x in (_MARGIN_MM, _MARGIN_MM + length):
                pdf.line(x, y - 1.5, x, y + 1.5)
            pdf.set_font("Helvetica", size=7)
            pdf.text(_MARGIN_MM + length + 2.0, y + 1.0, words)
        page = (tiling.rows - 1 - row) * tiling.columns + column + 1
        pages = tiling.columns * tiling.rows
        pdf.set_font("Helvetica", style="B", size=8)
        pdf.text(_MARGIN_MM, top + 14.0, _latin(f"{self._title}   page {page} of {pages}"))
        pdf.set_font("Helvetica", size=7)
        pdf.set_xy(_MARGIN_MM, top + 15.5)
        pdf.multi_cell(tiling.paper_mm[0] - 2 * _MARGIN_MM, 3.2, _WARNING)
        self._page_plan(column, row, top - 2.0)

    def _page_plan(self, column: int, row: int, top: float) -> None:
        """Draw where this page lies among all."""
        pdf, tiling = self._pdf, self._tiling
        cell = min(4.0, 30.0 / tiling.columns, 14.0 / tiling.rows)
        right = tiling.paper_mm[0] - _MARGIN_MM - cell * tiling.columns
        pdf.set_line_width(0.1)
        pdf.set_fill_color(120)
        for one in range(tiling.columns):
            for other in range(tiling.rows):
                here = (one, other) == (column, row)
                y = top + cell * (tiling.rows - 1 - other)
                pdf.rect(right + cell * one, y, cell, cell, style="DF" if here else "D")


def _latin(text: str) -> str:
    """Return a text that the PDF's built-in fonts can show."""
    return text.encode("latin-1", "replace").decode("latin-1")
