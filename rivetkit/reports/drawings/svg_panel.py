"""The strip under a hole map: the tightest place enlarged, and what every sign means."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

from rivetkit.checks import Verdict
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.drawings.svg_layers import hole_sign, metal
from rivetkit.reports.drawings.svg_shapes import (
    Frame,
    arrow,
    element,
    fate_mark,
    shortened,
    sign_reach,
    verdict_mark,
    words,
)
from rivetkit.reports.plans.bench_fates import FATE_WORDS

if TYPE_CHECKING:
    from rivetkit.reports.drawings.map_view import HoleState, MapView

#: Least height of the strip [mm].
_PANEL_MM = 49.0
#: Where the first sign stands in it, and how far one is from the next [mm].
_FIRST_SIGN_MM, _NEXT_SIGN_MM = 7.2, 4.6

#: Side of the enlarged detail [mm], and how long its dimension is drawn.
_DETAIL_MM = 46.0
_DIMENSION_MM = 22.0
#: A hole is never drawn larger than this [mm].
_LARGEST_HOLE_MM = 13.0
#: The sign of a verdict is so much larger than its hole.
_SIGN_SIZE = 1.15
#: A line of words beside the detail holds about so many letters; there is room for so many lines.
_LETTERS = 42
_LINES = 9

_ORDER = (Verdict.PASS, Verdict.MARGINAL, Verdict.FAIL, Verdict.NOT_CHECKED)
_STATES: tuple[tuple[HoleState, str], ...] = (
    ("out", "rivet comes out"),
    ("stays", "rivet stays"),
    ("new", "new hole"),
)


def verdict_counts(view: MapView) -> list[tuple[str, int]]:
    """Return how many holes came out how, by the word of the verdict; none is left out."""
    return [(VERDICT_WORDS[verdict], view.counts[verdict]) for verdict in _ORDER]


def panel_height_mm(view: MapView) -> float:
    """Return the height of the strip [mm]."""
    return max(_PANEL_MM, _FIRST_SIGN_MM + _NEXT_SIGN_MM * len(_signs(view)))


def panel(view: MapView, prefix: str, top_mm: float) -> str:
    """Return the strip, its top at a height of the page [mm]."""
    drawn, left_mm = "", 2.0
    if view.tightest is not None:
        drawn = _detail(view, prefix, top_mm)
        left_mm = 2.0 + _DETAIL_MM + 6.0
        lines = [words("Detail A: worst margin drawn here", left_mm, top_mm + 3.0, "big")]
        told = [line for text in view.tightest.lines for line in _folded(text)]
        lines += [
            words(line, left_mm, top_mm + 8.0 + 4.0 * row) for row, line in enumerate(told[:_LINES])
        ]
        drawn += "".join(lines)
        left_mm += 66.0
    return drawn + _legend(view, left_mm, top_mm)


def _folded(text: str, letters: int = _LETTERS) -> list[str]:
    return textwrap.wrap(text, letters) or [""]


def _detail(view: MapView, prefix: str, top_mm: float) -> str:
    tightest = view.tightest
    assert tightest is not None  # noqa: S101 - the caller looked
    (x, y), (to_x, to_y) = tightest.start, tightest.end
    largest_in = max(hole.diameter_in for hole in view.holes)
    distance_in = max(math.dist(tightest.start, tightest.end), largest_in / 4.0)
    scale = min(_DIMENSION_MM / distance_in, _LARGEST_HOLE_MM / largest_in)
    middle = ((x + to_x) / 2.0, (y + to_y) / 2.0)
    half = _DETAIL_MM / 2.0
    frame = Frame(middle, (half, half), scale)
    window = element("rect", x=0.0, y=0.0, width=_DETAIL_MM, height=_DETAIL_MM)
    drawn = element("defs", element("clipPath", window, id=f"{prefix}clip"))
    start, end = frame.spot(tightest.start), frame.spot(tightest.end)
    upward = end[1] - start[1] > abs(end[0] - start[0])  # the dimension hangs down: names go above
    shown = metal(view, frame) + _detail_holes(view, frame, upward=upward)
    drawn += element("g", shown, clip_path=f"url(#{prefix}clip)")
    drawn += arrow(start, end, 2.0)
    drawn += words(tightest.measure, *_beside(start, end), "big halo", text_anchor="middle")
    drawn += element("rect", class_="line", x=0.0, y=0.0, width=_DETAIL_MM, height=_DETAIL_MM)
    drawn += words("A", 2.0, 5.0, "big halo")
    return element("g", drawn, transform=f"translate(2 {top_mm:g})")


def _detail_holes(view: MapView, frame: Frame, *, upward: bool) -> str:
    drawn = []
    for hole in view.holes:
        x, y = frame.spot((hole.x_in, hole.y_in))
        radius = hole.diameter_in / 2.0 * frame.mm_per_in
        if not (-radius < x < _DETAIL_MM + radius and -radius < y < _DETAIL_MM + radius):
            continue
        sign = hole_sign(hole.state, radius)
        if hole.verdict is not Verdict.PASS:
            sign += verdict_mark(hole.verdict, _SIGN_SIZE * radius, radius)
        sign += fate_mark(hole.fate, radius, below=upward)
        cross = radius + 1.5
        lines = f"M-{cross:.2f} 0H{cross:.2f}M0 -{cross:.2f}V{cross:.2f}"
        sign += element("path", class_="row", d=lines)
        down = _name_down_mm(hole.verdict, radius, y, upward=upward)
        name = words(shortened(hole.name, 24), 0.0, down, "small halo", text_anchor="middle")
        drawn.append(element("g", sign + name, transform=f"translate({x:.3f} {y:.3f})"))
    return "".join(drawn)


def _name_down_mm(verdict: Verdict, radius_mm: float, y_mm: float, *, upward: bool) -> float:
    """Return how far below its hole a name stands [mm], above it when less than 0.

    It stands clear of the hole and of the sign about it, as far as the window leaves room.
    """
    sign_mm = 0.0 if verdict is Verdict.PASS else sign_reach(verdict) * _SIGN_SIZE * radius_mm
    if upward:
        least_mm = radius_mm + 2.4
        return -max(least_mm, min(sign_mm + 1.2, y_mm - 3.0))
    least_mm = radius_mm + 4.0
    return max(least_mm, min(sign_mm + 3.0, _DETAIL_MM - 1.0 - y_mm))


def _beside(start: tuple[float, float], end: tuple[float, float]) -> tuple[float, float]:
    """Return where the words of a dimension stand: above a level one, beside an upright one."""
    x, y = (start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0
    if abs(end[0] - start[0]) >= abs(end[1] - start[1]):
        return (x, y - 2.0)
    return (x + 11.0, y + 1.0)


def _signs(view: MapView) -> list[tuple[str, str]]:
    """Return every sign that is drawn, and what it means."""
    entries: list[tuple[str, str]] = []
    for verdict in _ORDER:
        count = view.counts[verdict]
        ring = element("circle", class_="hole", r=0.7, stroke_width=0.2)
        sign = ring + verdict_mark(verdict, 1.3, 0.7)
        entries.append((sign, f"{VERDICT_WORDS[verdict]}: {_holes(count)}"))
    for fate, count in view.fates.items():
        sign = element("circle", class_="hole", r=0.7, stroke_width=0.2) + fate_mark(fate, 0.9)
        bare = ", no mark" if fate == "not measured" else ""
        entries.append((sign, f"{FATE_WORDS[fate]}{bare}: {_holes(count)}"))
    states = {hole.state for hole in view.holes}
    for state, text in _STATES:
        if state in states:
            entries.append((hole_sign(state, 1.2), f"{text}; hole to scale"))
    if view.sheet is not None:
        sample = element("rect", class_="sheet", x=-3.0, y=-1.3, width=6.0, height=2.6)
        entries.append((sample, "the sheet"))
    if view.members:
        sample = element("rect", class_="member", x=-3.0, y=-1.3, width=6.0, height=2.6)
        entries.append((sample, "member or other sheet, by its outline"))
    if view.strips:
        line = "M-3 0H3"
        sample = element("path", class_="rim", d=line, stroke_width=2.6)
        sample += element("path", class_="strip", d=line, stroke_width=2.3)
        entries.append((sample, "flange: true width, centred on its row"))
    return entries


def _holes(count: int) -> str:
    return f"{count} hole{'' if count == 1 else 's'}"


def _legend(view: MapView, left_mm: float, top_mm: float) -> str:
    drawn = words("Signs", left_mm, top_mm + 3.0, "big")
    for row, (sign, text) in enumerate(_signs(view)):
        y = top_mm + _FIRST_SIGN_MM + _NEXT_SIGN_MM * row
        drawn += element("g", sign, transform=f"translate({left_mm + 3.2:g} {y:g})")
        drawn += words(text, left_mm + 8.0, y, dominant_baseline="central")
    return drawn
