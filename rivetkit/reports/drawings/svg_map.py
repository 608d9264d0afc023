"""The hole map as a drawing: one SVG picture for each piece of a job."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files
from string import Template
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import MM_PER_IN, Verdict
from rivetkit.reports.check_lines import by_reason
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import CheckList, Drawing
from rivetkit.reports.drawings.palette import DARK, LIGHT, PRINT
from rivetkit.reports.drawings.svg_labels import Labels
from rivetkit.reports.drawings.svg_layers import (
    HINGE,
    hinge_line,
    hole_sign,
    metal,
    outer_box_in,
    scale_bar,
)
from rivetkit.reports.drawings.svg_panel import panel, panel_height_mm, verdict_counts
from rivetkit.reports.drawings.svg_shapes import (
    Frame,
    arrow,
    element,
    escaped,
    fate_mark,
    shortened,
    verdict_mark,
    width_mm,
    words,
)
from rivetkit.reports.plans.bench_fates import FATE_WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from rivetkit.reports.document import Report
    from rivetkit.reports.drawings.map_view import MapHole, MapView

#: The page [mm]: A4 less its margins, which Letter holds too.
WIDTH_MM = 186.0
_TALLEST_MM = 105.0
#: Room for the name of the job over all pictures [mm].
_HEAD_MM = 7.0
_TOP_MM = 7.0
_SIDE_MM = 6.0
#: Room between the map and that strip, for the scale bar.
_BAR_MM = 11.0
#: Largest ring of a hole that passes [mm]; in a dense field rings shrink with the pitch.
_RING_MM = 1.4
#: Between rings nearer than so many of their radii a row needs no line to be seen.
_ROW_LINE_RINGS = 4.0
#: A sign of trouble is never smaller than this [mm].
_LEAST_SIGN_MM = 1.1
#: A member is shown beyond the sheet by at most this part of the sheet's size.
_BEYOND = 0.25
#: With so many holes there is no room between them for names.
_DENSE = 1500
_MOST_BESIDE_MM = 30.0
#: Of a member that goes on further, a strip of this part of the sheet's size is shown.
_CUT_OFF = 0.04
_ROUNDING = 1e-9
#: Lines on what measured holes get hold about so many letters, and stand so far apart [mm].
_LETTERS = 118
_BENCH_LINE_MM = 4.0
#: A note under the map names no more members than this.
_MOST_NAMES = 3


def render_svg(report: Report) -> str:
    """Return every drawing of a report under each other, as one SVG document."""
    views = [
        block.view
        for section in report.sections
        for block in section.blocks
        if isinstance(block, Drawing)
    ]
    pictures = [Picture(view, f"m{place}-") for place, view in enumerate(views, start=1)]
    top, drawn = _HEAD_MM, [words(shortened(report.title, _LETTERS), 2.0, 4.6, "big")]
    for picture in pictures:
        drawn.append(element("g", picture.content, transform=f"translate(0 {top:g})"))
        top += picture.height_mm + _SIDE_MM
    height = max(top - _SIDE_MM, 1.0)
    notes = [words(line, 2.0, height + 4.0 + 4.0 * n) for n, line in enumerate(_notes(report))]
    height += 4.0 * len(notes) + 2.0
    head = element("title", escaped(report.title))
    head += element("desc", escaped(". ".join(picture.description for picture in pictures)))
    head += f"<style>{map_css()}</style>"
    head += element("rect", class_="paper", width=WIDTH_MM, height=height)
    return element(
        "svg",
        "\n".join((head, *drawn, *notes)),
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        lang="en",
        viewBox=f"0 0 {WIDTH_MM:g} {height:g}",
        width=f"{WIDTH_MM:g}mm",
        height=f"{height:g}mm",
    )


def _notes(report: Report) -> list[str]:
    """Return the lines under the drawings: what no hole is marked with, and cautions.

    What is said of several things in the same words is told once, with the name of each.
    """
    unmarked = [
        check
        for section in report.sections
        for block in section.blocks
        if isinstance(block, CheckList)
        for check in block.checks
    ]
    told = []
    for verdict in dict.fromkeys(check.verdict for check in unmarked):
        alike = [check for check in unmarked if check.verdict is verdict]
        for (name, reason), places in by_reason(alike, report.length_unit).items():
            said = (VERDICT_WORDS[verdict], ", ".join((name, "; ".join(places))), reason)
            told.append(": ".join(part.removesuffix(", ") for part in said if part))
    return [line for text in (*told, *report.cautions) for line in textwrap.wrap(text, _LETTERS)]


def map_css() -> str:
    """Return the style of drawings: ink on paper, light on dark where the reader wants it so."""
    sheet = files("rivetkit.reports.drawings").joinpath("map.css").read_text(encoding="utf-8")
    drawn = {name: Template(sheet).substitute(colours) for name, colours in _COLOURS.items()}
    dark = f"@media screen and (prefers-color-scheme:dark){{{drawn['dark']}}}"
    return f"{drawn['light']}{dark}@media print{{{drawn['print']}}}"


_COLOURS = {"light": LIGHT, "dark": DARK, "print": PRINT}

#: Signs are drawn in this order, so that trouble lies on top.
_DRAWN = (Verdict.PASS, Verdict.MARGINAL, Verdict.NOT_CHECKED, Verdict.FAIL)


def _around(boxes: Sequence[NDArray[np.float64]]) -> NDArray[np.float64]:
    """Return the box about some boxes: left, bottom, right, top."""
    stacked = np.array(boxes)
    return np.concatenate((stacked[:, :2].min(axis=0), stacked[:, 2:].max(axis=0)))


@dataclass(frozen=True, eq=False)
class Picture:
    """One view laid out on the page; ``prefix`` keeps its ids apart from other pictures'."""

    view: MapView
    prefix: str

    @cached_property
    def _bounds_in(self) -> NDArray[np.float64]:
        """Left, bottom, right, top of what is shown [in]."""
        spots = np.array([(hole.x_in, hole.y_in) for hole in self.view.holes])
        reach_in = max((strip.width_in for strip in self.view.strips), default=0.0) / 2.0
        reach_in = max(reach_in, 2.0 * max(hole.diameter_in for hole in self.view.holes))
        boxes = [np.concatenate((spots.min(axis=0) - reach_in, spots.max(axis=0) + reach_in))]
        if self.view.sheet is not None:
            boxes.append(outer_box_in(self.view.sheet))
        base = _around(boxes)
        size = np.tile(base[2:] - base[:2], 2)
        others = [outer_box_in(member) for member in self.view.members]
        if self.view.hinge is not None:
            line = np.array(self.view.hinge)
            others.append(np.concatenate((line.min(axis=0), line.max(axis=0))))
        whole = _around([base, *others])
        beyond = np.abs(whole - base)
        shown = np.where(beyond <= _BEYOND * size, beyond, _CUT_OFF * size)
        return base + shown * (-1.0, -1.0, 1.0, 1.0)

    @cached_property
    def _beside_mm(self) -> float:
        """Room left and right of the piece [mm]; in a dense field the rows' names go there."""
        if len(self.view.holes) < _DENSE:
            return _SIDE_MM
        longest = max(width_mm(row.name) for row in self.view.rows)
        return min(_SIDE_MM + longest, _MOST_BESIDE_MM)

    @cached_property
    def frame(self) -> Frame:
        """Where the piece lies on the page."""
        left, bottom, right, top = self._bounds_in.tolist()
        scale = min(
            (WIDTH_MM - 2.0 * self._beside_mm) / (right - left),
            (_TALLEST_MM - 2.0 * _SIDE_MM) / (top - bottom),
        )
        spare = WIDTH_MM - (right - left) * scale
        return Frame((left, top), (spare / 2.0, _TOP_MM + _SIDE_MM), scale)

    @property
    def _map_bottom_mm(self) -> float:
        _, bottom, _, top = self._bounds_in.tolist()
        return _TOP_MM + 2.0 * _SIDE_MM + float(top - bottom) * self.frame.mm_per_in

    @property
    def height_mm(self) -> float:
        """Height of the whole picture [mm]."""
        return self._bench_top_mm + _BENCH_LINE_MM * len(self._bench_lines)

    @property
    def _bench_top_mm(self) -> float:
        return self._map_bottom_mm + _BAR_MM + panel_height_mm(self.view)

    @cached_property
    def _bench_lines(self) -> tuple[str, ...]:
        """What measured holes get, folded to the width of the page."""
        return tuple(line for text in self.view.bench for line in textwrap.wrap(text, _LETTERS))

    @cached_property
    def _spots_mm(self) -> NDArray[np.float64]:
        return self.frame.place(np.array([(hole.x_in, hole.y_in) for hole in self.view.holes]))

    @cached_property
    def ring_mm(self) -> float:
        """Radius of the ring round a hole that passes [mm]: no ring meets its neighbour's."""
        tree = shapely.STRtree(shapely.points(self._spots_mm))
        _, gaps = tree.query_nearest(
            shapely.points(self._spots_mm), exclusive=True, return_distance=True, all_matches=False
        )
        dense = float(np.percentile(gaps, 5)) if len(gaps) else _RING_MM / 0.42
        largest = max(hole.diameter_in for hole in self.view.holes) / 2.0 * self.frame.mm_per_in
        return max(min(_RING_MM, 0.42 * dense), 1.4 * largest)

    @property
    def description(self) -> str:
        """What the picture shows, for who cannot see it."""
        counts = ", ".join(f"{count} {text}" for text, count in verdict_counts(self.view))
        told = f"Hole map of {self.view.name}: {len(self.view.holes)} holes, {counts}"
        if self.view.fates:
            fates = (f"{count} {FATE_WORDS[fate]}" for fate, count in self.view.fates.items())
            told += f"; after the bench: {', '.join((*fates, *self.view.bench))}"
        if self.view.tightest is not None:
            told += f"; worst margin: {', '.join(self.view.tightest.lines)}"
        return told

    @cached_property
    def content(self) -> str:
        """The picture as markup, to stand in an ``svg`` element."""
        frame, view = self.frame, self.view
        clip = f"{self.prefix}clip"
        room = element(
            "rect", x=0.0, y=_TOP_MM, width=WIDTH_MM, height=self._map_bottom_mm - _TOP_MM
        )
        defs, uses = self._holes()
        defs += element("clipPath", room, id=clip)
        room_mm = (1.0, _TOP_MM, WIDTH_MM - 1.0, self._map_bottom_mm)
        labels = Labels(view, frame, self._spots_mm, room_mm, self.ring_mm)
        mark = self._tightest(labels)
        labels.everything()
        title = words(shortened(view.name, 60), 2.0, 4.6, "big") + self._size_words()
        return "\n".join(
            (
                element("defs", defs),
                title,
                element(
                    "g",
                    metal(view, frame, rows_from_mm=_ROW_LINE_RINGS * self.ring_mm)
                    + hinge_line(view, frame),
                    clip_path=f"url(#{clip})",
                ),
                uses,
                mark,
                *labels.drawn,
                scale_bar(frame, view.length_unit, WIDTH_MM, self._map_bottom_mm + 3.0),
                self._cut_off(),
                panel(view, f"{self.prefix}detail", self._map_bottom_mm + _BAR_MM),
                *(
                    words(line, 2.0, self._bench_top_mm + _BENCH_LINE_MM * (number + 0.6))
                    for number, line in enumerate(self._bench_lines)
                ),
            )
        )

    def _size_words(self) -> str:
        if self.view.sheet is None:
            return ""
        low_x, low_y, high_x, high_y = outer_box_in(self.view.sheet).tolist()
        factor = MM_PER_IN if self.view.length_unit == "mm" else 1.0
        size = f"{(high_x - low_x) * factor:.5g} x {(high_y - low_y) * factor:.5g}"
        text = f"{size} {self.view.length_unit} over all, {len(self.view.holes)} holes"
        return words(text, WIDTH_MM - 2.0, 4.6, text_anchor="end")

    def _cut_off(self) -> str:
        """Return a note on the members that are larger than the picture."""
        low, high = self._bounds_in[:2] - _ROUNDING, self._bounds_in[2:] + _ROUNDING
        boxes = [(item.name, outer_box_in(item)) for item in self.view.members]
        if self.view.hinge is not None:
            line = np.array(self.view.hinge)
            boxes.append((HINGE, np.concatenate((line.min(axis=0), line.max(axis=0)))))
        names = [name for name, box in boxes if (box[:2] < low).any() or (box[2:] > high).any()]
        if not names:
            return ""
        more = " and more" if len(names) > _MOST_NAMES else ""
        told = ", ".join(shortened(name, 30) for name in names[:_MOST_NAMES])
        text = f"Larger than the picture: {told}{more}."
        return words(text, 18.0, self._map_bottom_mm + 4.0, "small")

    def _holes(self) -> tuple[str, str]:
        """Return one definition for each kind of hole, and where the holes of each kind are."""
        kinds: dict[tuple[object, ...], str] = {}
        defs = ""
        uses: list[tuple[int, str]] = []
        for hole, (x, y) in zip(self.view.holes, self._spots_mm.tolist(), strict=True):
            kind = (hole.diameter_in, hole.state, hole.verdict, hole.fate)
            if kind not in kinds:
                kinds[kind] = f"{self.prefix}{len(kinds)}"
                defs += element("g", self._sign(hole), id=kinds[kind])
            title = element("title", escaped(hole.words))
            use = element("use", title, href=f"#{kinds[kind]}", x=x, y=y)
            uses.append((_DRAWN.index(hole.verdict), use))
        uses.sort(key=lambda entry: entry[0])  # signs of trouble lie on top
        return defs, "\n".join(use for _, use in uses)

    def _sign(self, hole: MapHole) -> str:
        radius = hole.diameter_in / 2.0 * self.frame.mm_per_in
        drawn = hole_sign(hole.state, radius)
        ring = self.ring_mm
        if hole.verdict is not Verdict.PASS:
            ring = max(ring, _LEAST_SIGN_MM)
        return drawn + verdict_mark(hole.verdict, ring, radius) + fate_mark(hole.fate, ring)

    def _tightest(self, labels: Labels) -> str:
        """Return the dimension where it stands in the map, with the letter of its detail."""
        tightest = self.view.tightest
        if tightest is None:
            return ""
        start, end = self.frame.spot(tightest.start), self.frame.spot(tightest.end)
        middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
        x, y = middle
        radius = max(abs(end[0] - start[0]), abs(end[1] - start[1])) / 2.0 + 2.2
        labels.about((f"A: {tightest.measure}", "A"), middle, radius)
        labels.block((x - radius, y - radius, x + radius, y + radius))
        circle = element("circle", class_="line", cx=x, cy=y, r=radius)
        return circle + arrow(start, end, 1.0)
