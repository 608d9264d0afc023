"""A full-size template as PDF: holes and edges of a job, one to one, over pages to tape together.

Nothing is scaled: a millimetre of the job is a millimetre of paper. The pages carry scale bars,
because a printer may scale all the same.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import MM_PER_IN, Verdict
from rivetkit.errors import InputError
from rivetkit.reports.plans.bench_fates import UNSETTLED
from rivetkit.reports.template.labels import HOLE_ARM_MM, LABEL_PT, PageHole, hole_labels
from rivetkit.reports.template.marks import NUMBERS_MM, mark_box, register_marks
from rivetkit.reports.template.pages import (
    BOTTOM_MM,
    LEFT_MM,
    TOP_MM,
    Tiling,
    tiling,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from fpdf import FPDF
    from numpy.typing import NDArray

    from rivetkit.geometry.outline import Boundary
    from rivetkit.reports.drawings.map_view import MapHole, MapView, Plate
    from rivetkit.reports.template.labels import Box
    from rivetkit.reports.template.marks import Mark
    from rivetkit.reports.template.pages import Paper, Spot

#: More paper than this nobody tapes together; a plotter or a drawing file serves better.
MOST_PAGES = 200

#: A register mark is two arrow heads [mm]: half their height, and from the middle to the tips and
#: to the backs. No lines cross in it, so that nobody takes it for a hole.
_HEAD_MM, _TIP_MM, _BACK_MM = 1.5, 0.8, 3.8
#: A row's name longer than this is cut [mm].
_LONGEST_NAME_MM = 45.0
#: How far under the drawing the meaning of its signs stands [mm].
_LEGEND_MM = 28.0
#: Half the side of the box where no rivet is settled [mm].
_BOX_MM = 2.0
_THIN_MM, _LINE_MM, _HEAVY_MM = 0.1, 0.25, 0.4
_GREY = 120
_POINTS_PER_MM = 72 / MM_PER_IN

WARNING = "Print at 100 percent (actual size), then measure the scale bars: do not drill by it if "
WARNING += "they are off."


@dataclass(frozen=True, eq=False)
class TemplateSheet:
    """One piece of a job and the pages it takes."""

    view: MapView
    tiling: Tiling


def template_sheets(
    views: Sequence[MapView], paper: Paper, *, mirror: bool = False
) -> tuple[TemplateSheet, ...]:
    """Return the pieces of a template with their pages, numbered through.

    Parameters
    ----------
    views
        What is to be drawn.
    paper
        Paper to print on.
    mirror
        Whether it is seen from the other side, x to the left.

    Raises
    ------
    InputError
        When that takes more pages than anybody would tape together.
    """
    sheets = []
    first = 1
    for view in views:
        laid = tiling(view, paper, first=first, mirror=mirror)
        sheets.append(TemplateSheet(view, laid))
        first += laid.pages
    if first - 1 > MOST_PAGES:
        raise InputError(
            f"the template takes {first - 1} pages, more than {MOST_PAGES}",
            mend="choose one piece with --sheet, or plot 'rivetkit map' on a large printer",
        )
    return tuple(sheets)


def render_template(
    sheets: Sequence[TemplateSheet], *, job_name: str, verdict: Verdict, mirror: bool = False
) -> bytes:
    """Return the template as PDF.

    Parameters
    ----------
    sheets
        The pieces, with their pages.
    job_name
        What the job is called.
    verdict
        What the plan of the job came to.
    mirror
        As the pages were laid out.

    Raises
    ------
    InputError
        When the library that writes PDF is not installed.
    """
    pdf = _new_pdf(job_name)
    total = sum(sheet.tiling.pages for sheet in sheets)
    for sheet in sheets:
        laid = sheet.tiling
        marks = register_marks(laid, *_on_sheet(sheet.view, mirror=mirror))
        for row in range(laid.rows):
            for column in range(laid.columns):
                pdf.add_page(format=(laid.page_width_mm, laid.page_height_mm))
                page = _Page(pdf, sheet, column, row, mirror=mirror)
                page.draw(marks)
                page.head(job_name, total, verdict)
                page.foot()
    return bytes(pdf.output())


def _on_sheet(
    view: MapView, *, mirror: bool
) -> tuple[NDArray[np.float64], list[NDArray[np.float64]]]:
    """Return the holes and the sheet's edges as they lie on the template [mm], y up."""
    scale = (-MM_PER_IN if mirror else MM_PER_IN, MM_PER_IN)
    holes = np.array([(hole.x_in, hole.y_in) for hole in view.holes]) * scale
    if view.sheet is None:
        return holes, []
    boundary = view.sheet.boundary
    return holes, [loop.ring * scale for loop in (boundary.outer, *boundary.cutouts)]


def _new_pdf(title: str) -> FPDF:
    try:
        from fpdf import FPDF
        from fpdf.prefs import ViewerPreferences
    except ImportError:
        raise InputError(
            "a PDF takes the library fpdf2, which is not installed",
            where="template",
            mend="run: pip install 'rivetkit[pdf]'",
        ) from None
    pdf = FPDF(unit="mm")
    pdf.set_auto_page_break(auto=False)
    pdf.set_margin(0)
    pdf.set_title(title)
    pdf.set_creator("rivetkit")
    # Asks the print dialogue not to scale; not every program listens.
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None")
    return pdf


def printable(text: str) -> str:
    r"""Return text with every character the PDF's own fonts lack replaced.

    Examples
    --------
    >>> printable("Rib\u2013end 3\n")
    'Rib?end 3 '
    """
    return re.sub(r"[\x00-\x1f\x7f-\x9f]", " ", text).encode("latin-1", "replace").decode("latin-1")


class _Page:
    """One page being drawn: knows where a place of the sheet lies on the paper."""

    def __init__(
        self, pdf: FPDF, sheet: TemplateSheet, column: int, row: int, *, mirror: bool
    ) -> None:
        self.pdf = pdf
        self.sheet = sheet
        self.laid = sheet.tiling
        self.column, self.row = column, row
        self.number = self.laid.number(column, row)
        self.corner = self.laid.corner_mm(column, row)
        self.mirror = mirror

    def place(self, x_mm: float, y_mm: float) -> Spot:
        """Return where on the paper a place of the sheet lies [mm], from the upper left."""
        return LEFT_MM + x_mm - self.corner[0], TOP_MM + self.corner[1] - y_mm

    def place_in(self, x_in: float, y_in: float) -> Spot:
        """Return where on the paper a place of the job lies [mm]; it is given in inches."""
        side = -MM_PER_IN if self.mirror else MM_PER_IN
        return self.place(x_in * side, y_in * MM_PER_IN)

    def shows(self, spot: Spot) -> bool:
        """Whether a place of the paper [mm] is within the drawing."""
        width, height = self.laid.window_mm
        x, y = spot[0] - LEFT_MM, spot[1] - TOP_MM
        return 0.0 <= x <= width and 0.0 <= y <= height

    # --- the drawing

    def draw(self, marks: Iterable[Mark]) -> None:
        """Draw what of the sheet lies on this page."""
        width, height = self.laid.window_mm
        # The clip alone would put the pen back without the library knowing.
        with self.pdf.local_context(), self.pdf.rect_clip(LEFT_MM, TOP_MM, width, height):
            for plate in self.sheet.view.members:
                self.boundary(plate.boundary, _THIN_MM, dashed=True)
            if self.sheet.view.sheet is not None:
                self.boundary(self.sheet.view.sheet.boundary, _HEAVY_MM)
        here = [mark for mark in marks if self.number in mark.pages]
        for mark in here:
            self.register_mark(mark)
        self.holes([mark_box(self.place(mark.x_mm, mark.y_mm), mark.form) for mark in here])
        self.pen(_THIN_MM, grey=True)
        self.pdf.rect(LEFT_MM, TOP_MM, width, height)

    def boundary(self, boundary: Boundary, width_mm: float, *, dashed: bool = False) -> None:
        """Draw outline, cut-outs and round holes of a layer."""
        self.pen(width_mm, grey=dashed)
        if dashed:
            self.pdf.set_dash_pattern(dash=3, gap=2)
        for loop in (boundary.outer, *boundary.cutouts):
            self.pdf.polyline([self.place_in(x, y) for x, y in loop.ring.tolist()], polygon=True)
        for circle in boundary.circles:
            x, y = self.place_in(*circle.centre)
            self.pdf.circle(x, y, circle.radius_in * MM_PER_IN)
        self.pdf.set_dash_pattern()

    def holes(self, taken: Sequence[Box]) -> None:
        """Draw the holes on this page, each row named once, clear of some boxes."""
        width, height = self.laid.window_mm
        window = (LEFT_MM, TOP_MM, LEFT_MM + width, TOP_MM + height)
        shown = [
            (hole, spot)
            for hole in self.sheet.view.holes
            if self.shows(spot := self.place_in(hole.x_in, hole.y_in))
        ]
        for hole, spot in shown:
            if hole.fate in UNSETTLED:
                self.no_hole(spot, _BOX_MM)
            else:
                self.hole(spot, _ring_mm(hole))
        labels = hole_labels(
            [
                PageHole(
                    hole.row, int(hole.name.removeprefix(f"{hole.row}:")), spot, _clear_mm(hole)
                )
                for hole, spot in shown
            ],
            window,
            text_width_mm=lambda text: self.text_width(text, LABEL_PT),
            row_name=lambda row: self.cut(row, LABEL_PT, _LONGEST_NAME_MM),
            edges=self.lines_of([self.sheet.view.sheet], window),
            faint=self.lines_of(self.sheet.view.members, window),
            taken=taken,
        )
        for label in labels:
            self.say(label.start, label.text, LABEL_PT)
            if label.leader is not None:
                self.pdf.line(*label.leader[0], *label.leader[1])

    def hole(self, spot: Spot, ring_mm: float, arm_mm: float = HOLE_ARM_MM) -> None:
        """Draw a hole's middle; a ring round it says that its rivet stays."""
        self.pen(_THIN_MM)
        x, y = spot
        self.pdf.line(x - arm_mm, y, x + arm_mm, y)
        self.pdf.line(x, y - arm_mm, x, y + arm_mm)
        if ring_mm:
            self.pdf.circle(x, y, ring_mm)

    def no_hole(self, spot: Spot, half_mm: float) -> None:
        """Draw a box where no rivet is settled: it has no middle that anybody could punch."""
        self.pen(_THIN_MM)
        self.pdf.rect(spot[0] - half_mm, spot[1] - half_mm, 2 * half_mm, 2 * half_mm)

    def lines_of(self, plates: Iterable[Plate | None], window: Box) -> list[shapely.Geometry]:
        """Return the edges of some layers that this page shows, as they lie on it."""
        shown = []
        for plate in plates:
            if plate is None:
                continue
            for loop in (plate.boundary.outer, *plate.boundary.cutouts):
                ring = [self.place_in(x, y) for x, y in loop.ring.tolist()]
                shown.append(shapely.clip_by_rect(shapely.linearrings(ring), *window))
            for circle in plate.boundary.circles:
                disc = shapely.points(self.place_in(*circle.centre))
                ring = disc.buffer(circle.radius_in * MM_PER_IN).exterior
                shown.append(shapely.clip_by_rect(ring, *window))
        return [line for line in shown if not line.is_empty]

    def register_mark(self, mark: Mark) -> None:
        """Draw a mark that two pages share: two grey arrow heads, and the pages' numbers."""
        x, y = spot = self.place(mark.x_mm, mark.y_mm)
        self.arrow_heads(spot, upright=mark.form == "upright")
        text = f"{mark.pages[0]} / {mark.pages[1]}"
        size = min(LABEL_PT, LABEL_PT * NUMBERS_MM / self.text_width(text, LABEL_PT))
        if mark.form == "numbers under":
            self.say((x, y + 3.9), text, size, middle=True)
            return
        with self.pdf.rotation(90.0 if mark.form == "upright" else 0.0, x, y):
            self.say((x + _BACK_MM + 0.8, y + 0.8), text, size)

    def arrow_heads(self, spot: Spot, *, upright: bool = False) -> None:
        """Draw two grey heads that point at each other."""
        self.pdf.set_fill_color(_GREY)
        for side in (-1, 1):
            head = (_TIP_MM, 0.0), (_BACK_MM, -_HEAD_MM), (_BACK_MM, _HEAD_MM)
            ways = [(off, along * side) if upright else (along * side, off) for along, off in head]
            self.pdf.polygon([(spot[0] + dx, spot[1] + dy) for dx, dy in ways], style="F")

    # --- words and bars around it

    def head(self, job_name: str, total: int, verdict: Verdict) -> None:
        """Write what this is, the warning, and how the pages go together."""
        width = self.laid.window_mm[0]
        side = "mirrored: x runs to the left, y up" if self.mirror else "x runs to the right, y up"
        number = f"page {self.number} of {total}"
        self.say(
            (LEFT_MM, 9.5), f"{job_name}: {self.sheet.view.name}", 10, bold=True, most=width - 34
        )
        self.say((LEFT_MM + width, 9.5), number, 10, bold=True, right=True)
        self.say((LEFT_MM, 14.0), WARNING, 8.5, bold=True, most=width)
        taped = "Cut on the frame, lay grey arrow heads of like numbers over each other, and the "
        taped += "holes both pages show; tape."
        how = f"Full size, {side}. {taped if self.laid.pages > 1 else ''}"
        self.say((LEFT_MM, 18.0), how.strip(), 7, most=width)
        came_to = f"{_VERDICT_WORDS[verdict]} {_DATA_FIRST}"
        self.say((LEFT_MM, 21.8), came_to, 8, bold=True, most=width)

    def foot(self) -> None:
        """Draw the scale bars, the plan of the pages, and what every sign means."""
        bottom = self.laid.page_height_mm - BOTTOM_MM
        self.bar((LEFT_MM, bottom + 9), 100.0, "100 mm", 10)
        self.bar((LEFT_MM, bottom + 20), 4 * MM_PER_IN, "4 in", 8)
        self.upright_bar((LEFT_MM - 6, TOP_MM + 100.0), 100.0, "100 mm")
        self.page_plan((LEFT_MM + 110, bottom + 3), self.laid.window_mm[0] - 110, 20.0)
        self.legend(bottom + _LEGEND_MM)

    def legend(self, level_mm: float) -> None:
        """Write what the signs of the drawing mean; those of holes as small as no hole is."""
        x, y = LEFT_MM, level_mm
        middle = y - 0.8
        self.hole((x + 1.2, middle), 0.0, 1.2)
        unsettled = any(hole.fate in UNSETTLED for hole in self.sheet.view.holes)
        number = "hole, its number" if unsettled else "middle of a hole, with its number"
        x = self.told((x + 3.4, y), number)
        if unsettled:
            self.no_hole((x + 1.2, middle), 1.2)
            x = self.told((x + 3.4, y), "no rivet settled")
        if any(hole.state == "stays" for hole in self.sheet.view.holes):
            self.hole((x + 1.2, middle), 0.8, 1.2)
            x = self.told((x + 3.4, y), "its rivet stays")
        if self.laid.pages > 1:
            self.arrow_heads((x + _BACK_MM, middle))
            x = self.told((x + 2 * _BACK_MM + 1, y), "pages meet: no hole")
        if self.sheet.view.sheet is not None:
            self.pen(_HEAVY_MM)
            self.pdf.line(x, middle, x + 6, middle)
            x = self.told((x + 7, y), "edge of the sheet")
        if self.sheet.view.members:
            self.pen(_THIN_MM, grey=True)
            self.pdf.set_dash_pattern(dash=2, gap=1)
            self.pdf.line(x, middle, x + 6, middle)
            self.pdf.set_dash_pattern()
            self.told((x + 7, y), "layer behind or in front")

    def told(self, start: Spot, text: str) -> float:
        """Write a sign's meaning and return where the next sign stands [mm]."""
        self.say(start, text, LABEL_PT)
        return start[0] + self.text_width(text, LABEL_PT) + 5

    def bar(self, start: Spot, length_mm: float, words: str, parts: int) -> None:
        """Draw a scale bar from its left end."""
        x, y = start
        self.pen(_LINE_MM)
        self.pdf.line(x, y, x + length_mm, y)
        for tick in range(parts + 1):
            height = 3.0 if tick in (0, parts) else 1.5
            at = x + length_mm * tick / parts
            self.pdf.line(at, y, at, y - height)
        self.say((x + 2, y + 3.2), f"{words}, long tick to long tick: measure before use", 7)

    def upright_bar(self, foot: Spot, length_mm: float, words: str) -> None:
        """Draw a scale bar from its lower end up: paper can be drawn out one way only."""
        x, y = foot
        self.pen(_LINE_MM)
        self.pdf.line(x, y, x, y - length_mm)
        for tick in range(11):
            at = y - length_mm * tick / 10
            self.pdf.line(x, at, x + (3.0 if tick in (0, 10) else 1.5), at)
        with self.pdf.rotation(90, x - 1, y - 2):
            self.say((x - 1, y - 2), words, 7)

    def page_plan(self, corner: Spot, width_mm: float, height_mm: float) -> None:
        """Draw how the pages of this sheet lie, this one grey, each with its number."""
        laid = self.laid
        shape = laid.page_width_mm / laid.page_height_mm
        cell_h = min(height_mm / laid.rows, width_mm / laid.columns / shape, 14.0)
        cell_w = cell_h * shape
        self.pen(_THIN_MM)
        self.pdf.set_fill_color(200)
        for row in range(laid.rows):
            for column in range(laid.columns):
                x, y = corner[0] + column * cell_w, corner[1] + row * cell_h
                number = laid.number(column, row)
                self.pdf.rect(x, y, cell_w, cell_h, style="DF" if number == self.number else "D")
                size = min(8.0, 0.6 * cell_h * _POINTS_PER_MM, 0.5 * cell_w * _POINTS_PER_MM)
                middle = y + cell_h / 2 + size / _POINTS_PER_MM * 0.35
                self.say((x + cell_w / 2, middle), str(number), size, middle=True)

    # --- the pen

    def pen(self, width_mm: float, *, grey: bool = False) -> None:
        """Choose width and colour of the lines to come."""
        self.pdf.set_line_width(width_mm)
        self.pdf.set_draw_color(_GREY if grey else 0)

    def text_width(self, text: str, size_pt: float, *, bold: bool = False) -> float:
        """Return how long a line of text comes out [mm]."""
        self.pdf.set_font("Helvetica", "B" if bold else "", size_pt)
        return self.pdf.get_string_width(printable(text))

    def cut(self, text: str, size_pt: float, most_mm: float, *, bold: bool = False) -> str:
        """Return a text cut to a length on paper."""
        if self.text_width(text, size_pt, bold=bold) <= most_mm:
            return text
        while text and self.text_width(f"{text}...", size_pt, bold=bold) > most_mm:
            text = text[:-1]
        return f"{text}..."

    def say(
        self,
        spot: Spot,
        text: str,
        size_pt: float,
        *,
        bold: bool = False,
        right: bool = False,
        middle: bool = False,
        most: float | None = None,
    ) -> None:
        """Write a line of text; one longer than ``most`` [mm] is cut."""
        self.pdf.set_font("Helvetica", "B" if bold else "", size_pt)
        text = printable(text)
        if most is not None:
            text = self.cut(text, size_pt, most, bold=bold)
        share = 1.0 if right else 0.5 if middle else 0.0
        self.pdf.text(spot[0] - share * self.pdf.get_string_width(text), spot[1], text)


def _ring_mm(hole: MapHole) -> float:
    return hole.diameter_in * MM_PER_IN / 2 if hole.state == "stays" else 0.0


def _clear_mm(hole: MapHole) -> float:
    """Return how far from a hole's middle its number stands off [mm], beyond its cross."""
    return _BOX_MM * math.sqrt(2.0) if hole.fate in UNSETTLED else _ring_mm(hole)


_VERDICT_WORDS = {
    Verdict.PASS: "The plan of this job passes.",
    Verdict.MARGINAL: "The plan of this job passes, but for marginal places: see 'rivetkit plan'.",
    Verdict.NOT_CHECKED: "NOT EVERYTHING WAS CHECKED; nothing fails that was: see 'rivetkit plan'.",
    Verdict.FAIL: "THE PLAN OF THIS JOB FAILS: see 'rivetkit plan' before drilling by this.",
}

#: Whatever the plan came to, on every page: pages come loose.
_DATA_FIRST = "The aircraft maker's data come first."
