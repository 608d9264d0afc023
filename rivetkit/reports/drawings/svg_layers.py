"""What lies under the signs of a hole map: metal, flanges, rows, the hole itself, the scale."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.checks import MM_PER_IN
from rivetkit.reports.drawings.svg_shapes import element, escaped, path_data, plate, words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.geometry.outline import Boundary
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.drawings.map_view import HoleState, MapView, Plate
    from rivetkit.reports.drawings.svg_shapes import Frame

#: A scale bar is about this long on the page [mm].
_BAR_MM = 45.0

#: What the hinge line is called on a drawing, and how far it is drawn beyond its two points [mm].
HINGE = "hinge line"
_HINGE_BEYOND_MM = 3.0

NOT_A_TEMPLATE = "A picture, not a template: do not mark or drill holes from it."


def outer_box_in(item: Plate) -> NDArray[np.float64]:
    """Return the box about a layer [in]: left, bottom, right, top."""
    ring = item.boundary.outer.ring
    return np.concatenate((ring.min(axis=0), ring.max(axis=0)))


def metal(view: MapView, frame: Frame, *, rows_from_mm: float = 0.0) -> str:
    """Return the sheet, the flanges, the members' outlines and the lines of the rows.

    A row whose holes are nearer each other than ``rows_from_mm`` on the page gets no line.
    """
    parts = []
    if view.sheet is not None:
        parts.append(plate(view.sheet.boundary, frame, "sheet", view.sheet.name))
    for strip in view.strips:
        beyond_mm = strip.beyond_in * frame.mm_per_in
        data = "".join(
            path_data(_longer(frame.place(line), beyond_mm), closed=False) for line in strip.lines
        )
        wide = strip.width_in * frame.mm_per_in
        both = element("path", class_="rim", d=data, stroke_width=wide)
        both += element("path", class_="strip", d=data, stroke_width=max(wide - 0.3, 0.1))
        parts.append(element("g", element("title", escaped(strip.name)) + both))
    if view.sheet is not None:  # a flange may reach to the edge: the edge stays to be seen
        bare = replace(view.sheet.boundary, circles=())
        parts.append(plate(bare, frame, "outline", view.sheet.name))
    parts += [plate(_own_edges(item, view), frame, "member", item.name) for item in view.members]
    lines = [frame.place(line) for row in view.rows for line in row.lines if len(line) > 1]
    parts += [
        element("path", class_="row", d=path_data(line, closed=False))
        for line in lines
        if float(np.median(np.hypot(*np.diff(line, axis=0).T))) >= rows_from_mm
    ]
    return "".join(parts)


def hinge_line(view: MapView, frame: Frame) -> str:
    """Return the hinge line of a control surface, drawn out a little at both ends."""
    if view.hinge is None:
        return ""
    line = _longer(frame.place(np.array(view.hinge)), _HINGE_BEYOND_MM)
    title = element("title", escaped(HINGE))
    return element("path", title, class_="hinge", d=path_data(line, closed=False))


def _own_edges(item: Plate, view: MapView) -> Boundary:
    """Return a member's edges without the round holes that it shares with the sheet."""
    if view.sheet is None:
        return item.boundary
    shared = set(view.sheet.boundary.circles)
    own = tuple(circle for circle in item.boundary.circles if circle not in shared)
    return replace(item.boundary, circles=own)


def _longer(line: NDArray[np.float64], by_mm: float) -> NDArray[np.float64]:
    """Return a line of the page drawn out at both ends; a closed one stays as it is."""
    first, last = line[0] - line[1], line[-1] - line[-2]
    sizes = (float(np.hypot(*first)), float(np.hypot(*last)))
    if not all(sizes) or np.allclose(line[0], line[-1]):
        return line
    start, end = line[0] + first * (by_mm / sizes[0]), line[-1] + last * (by_mm / sizes[1])
    return np.vstack((start, line, end))


def hole_sign(state: HoleState, radius_mm: float) -> str:
    """Return a hole about the origin, to scale.

    Open where a rivet comes out, filled where it stays, with a cross where the hole is new.
    """
    thin = min(0.2, 0.35 * radius_mm)
    if state == "stays":
        return element("circle", class_="stays", r=radius_mm, stroke_width=thin)
    drawn = element("circle", class_="hole", r=radius_mm - thin / 2.0, stroke_width=thin)
    if state == "new":
        r = radius_mm
        data = f"M-{r:.3f} 0H{r:.3f}M0 -{r:.3f}V{r:.3f}"
        drawn += element("path", class_="hole", d=data, stroke_width=thin)
    return drawn


def scale_bar(frame: Frame, unit: LengthUnit, width_mm: float, top_mm: float) -> str:
    """Return the scale bar, the directions of x and y, and what the picture is not for."""
    unit_mm = frame.mm_per_in / (MM_PER_IN if unit == "mm" else 1.0)
    length = _round_down(_BAR_MM / unit_mm)
    wide = length * unit_mm
    left = width_mm - 2.0 - wide
    cells = [
        element(
            "rect",
            class_="bare" if part % 2 else "bar",
            x=left + wide * part / 4.0,
            y=top_mm,
            width=wide / 4.0,
            height=1.2,
        )
        for part in range(4)
    ]
    below = top_mm + 4.6
    cells.append(words("0", left, below, "small", text_anchor="middle"))
    end = f"{length:g} {unit}"
    cells.append(words(end, width_mm - 2.0, below, "small", text_anchor="end"))
    foot = f"M3 {below:g}"
    arrows = f"{foot}h7m-1.4 -.7l1.4 .7l-1.4 .7{foot}v-7m-.7 1.4l.7 -1.4l.7 1.4"
    cells.append(element("path", class_="line", d=arrows))
    cells.append(words("x", 11.0, below + 0.8) + words("y", 4.4, below - 5.4))
    cells.append(words(NOT_A_TEMPLATE, 18.0, below, "warn"))
    return "".join(cells)


def _round_down(value: float) -> float:
    """Return the greatest of 1, 2, 5, 10, 20 ... that is no greater, also below one."""
    decade = 10.0 ** math.floor(math.log10(value))
    return next(step * decade for step in (5.0, 2.0, 1.0) if step * decade <= value * (1 + 1e-9))
