"""Pieces of a drawing: elements, paths, places on the page, and the marks of the verdicts."""

from __future__ import annotations

import html
import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import Verdict

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Point, Points
    from rivetkit.geometry.outline import Boundary
    from rivetkit.reports.plans.bench_fates import Fate

#: A curve may leave its true line by this much on the page [mm]: less than a pen's width.
_CURVE_MM = 0.02

#: What XML cannot hold, not even escaped.
_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\u007e\u00a0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

#: Mean width of a letter over the height of its font; names are set in one sans-serif face.
_LETTER = 0.56


def escaped(text: str) -> str:
    """Return text as it may stand in XML or HTML, between tags or in an attribute.

    Examples
    --------
    >>> escaped('<b> & "c"')
    '&lt;b&gt; &amp; &quot;c&quot;'
    """
    return html.escape(without_illegal(text))


def without_illegal(text: str) -> str:
    r"""Return text with a mark in place of each letter that XML and HTML cannot hold.

    Examples
    --------
    >>> without_illegal("a\x07b") == "a\ufffdb"
    True
    """
    return _NOT_IN_XML.sub("\N{REPLACEMENT CHARACTER}", text)


def number(value: float) -> str:
    """Return a coordinate [mm] as short as a thousandth allows."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, content: str = "", /, **attributes: object) -> str:
    """Return an element; ``content`` is markup, an attribute value is text.

    Underscores of attribute names become hyphens. ``class_`` is ``class``; its words get the
    prefix of the drawings' own style.
    """
    parts = [name]
    if "class_" in attributes:
        names = str(attributes.pop("class_")).replace("_", "-").split()
        parts.append(f'class="{" ".join(f"hm-{entry}" for entry in names)}"')
    for key, value in attributes.items():
        shown = number(value) if isinstance(value, float) else str(value)
        parts.append(f'{key.replace("_", "-")}="{escaped(shown)}"')
    start = " ".join(parts)
    return f"<{start}>{content}</{name}>" if content else f"<{start}/>"


def words(text: str, x_mm: float, y_mm: float, class_: str = "", **attributes: object) -> str:
    """Return a line of text at a place on the page."""
    return element(
        "text", escaped(text), class_=f"text {class_}".strip(), x=x_mm, y=y_mm, **attributes
    )


def shortened(text: str, letters: int) -> str:
    """Return text cut to so many letters, with a sign that it was.

    Examples
    --------
    >>> shortened("upper rib 1", 20), shortened("upper rib 1", 6)
    ('upper rib 1', 'upper…')
    """
    return text if len(text) <= letters else f"{text[: letters - 1]}\u2026"


def width_mm(text: str, size_mm: float = 2.6) -> float:
    """Return about how wide a line of text is [mm]."""
    return len(text) * size_mm * _LETTER


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a piece of the job lies on the page: ``origin`` [in] is put at ``corner`` [mm]."""

    origin: Point
    corner: Point
    mm_per_in: float

    def place(self, points: Points) -> NDArray[np.float64]:
        """Return where points ``(n, 2)`` [in] come to lie, ``(n, 2)`` [mm], y down."""
        moved = (points - np.asarray(self.origin)) * (self.mm_per_in, -self.mm_per_in)
        return np.asarray(moved + np.asarray(self.corner))

    def spot(self, point: Point) -> Point:
        """Return where one point [in] comes to lie [mm]."""
        x_mm, y_mm = self.place(np.array([point]))[0].tolist()
        return (x_mm, y_mm)


def path_data(points_mm: NDArray[np.float64], *, closed: bool) -> str:
    """Return a polyline [mm] as path data, without the points no eye can tell."""
    line = shapely.linestrings(np.vstack((points_mm, points_mm[:1])) if closed else points_mm)
    kept = shapely.get_coordinates(shapely.simplify(line, _CURVE_MM))
    kept = kept[:-1] if closed else kept
    steps = "L".join(f"{number(x)} {number(y)}" for x, y in kept.tolist())
    return f"M{steps}Z" if closed else f"M{steps}"


def plate(boundary: Boundary, frame: Frame, class_: str, name: str) -> str:
    """Return the outline of a layer with its cut-outs, and its name for who points at it."""
    rings = [loop.ring for loop in (boundary.outer, *boundary.cutouts)]
    data = "".join(path_data(frame.place(ring), closed=True) for ring in rings)
    title = element("title", escaped(name))
    drawn = element("path", title, class_=class_, fill_rule="evenodd", d=data)
    for circle in boundary.circles:
        x_mm, y_mm = frame.spot(circle.centre)
        r_mm = circle.radius_in * frame.mm_per_in
        title = element("title", escaped(circle.name))
        line = min(0.4, 0.3 * r_mm)
        kind = "cut" if class_ == "sheet" else class_
        drawn += element("circle", title, class_=kind, cx=x_mm, cy=y_mm, r=r_mm, stroke_width=line)
    return drawn


#: How far the signs of verdicts reach up, down and aside, in their radii.
_REACH: dict[Verdict, float] = {
    Verdict.PASS: 1.0,
    Verdict.MARGINAL: 1.5,
    Verdict.NOT_CHECKED: 1.15,
    Verdict.FAIL: 1.5,
}


def sign_reach(verdict: Verdict) -> float:
    """Return how far the sign of a verdict reaches from the middle, in its radii."""
    return _REACH[verdict]


def verdict_mark(verdict: Verdict, radius_mm: float, inner_mm: float = 0.0) -> str:
    """Return the sign of a verdict about the origin: each has a shape of its own.

    Pass is a ring, marginal a diamond, not checked a square in broken line, fail a cross that
    leaves the hole open.
    """
    r = radius_mm
    thin, thick = min(0.14 * r + 0.03, 0.5), min(0.3 * r + 0.05, 0.9)
    if verdict is Verdict.PASS:
        return element("circle", class_="pass", r=r, stroke_width=thin)
    if verdict is Verdict.MARGINAL:
        a = number(sign_reach(verdict) * r)
        data = f"M0 -{a}L{a} 0L0 {a}L-{a} 0Z"
        return element("path", class_="marginal", d=data, stroke_width=thick)
    if verdict is Verdict.NOT_CHECKED:
        corner, side = -sign_reach(verdict) * r, 2.0 * sign_reach(verdict) * r
        gap = f"{number(side * 0.22)} {number(side * 0.14)}"
        return element(
            "rect",
            class_="not_checked",
            x=corner,
            y=corner,
            width=side,
            height=side,
            stroke_width=thick,
            stroke_dasharray=gap,
        )
    near, far = number(max(0.5 * r, inner_mm * math.sqrt(0.5))), number(sign_reach(verdict) * r)
    spokes = "".join(
        f"M{x}{near} {y}{near}L{x}{far} {y}{far}" for x in ("", "-") for y in ("", "-")
    )
    return element("path", class_="fail", d=spokes, stroke_width=1.4 * thick)


#: How far right of and above a hole its bench mark stands, in radii of its ring.
_MARK_AWAY = 1.9
_LARGEST_MARK_MM = 1.5


def fate_mark(fate: Fate | None, radius_mm: float, *, below: bool = False) -> str:
    """Return what the bench says of a hole about the origin, beside its ring.

    A dot where its rivet goes in again, a triangle pointing up where another does, a bar where
    none fits, a question mark while that is not settled, a square where somebody only wrote about
    it; nothing where nobody looked.
    """
    if fate is None or not is_marked(fate):
        return ""
    right, down = mark_place_mm(radius_mm)
    size = min(max(0.8 * radius_mm, 0.7), _LARGEST_MARK_MM)
    place = f"translate({number(right)} {number(-down if below else down)}) scale({number(size)})"
    return element("g", _MARKS[fate], transform=place)


def is_marked(fate: Fate | None) -> bool:
    """Return whether a hole has a bench mark."""
    return fate in _MARKS


def mark_place_mm(radius_mm: float) -> tuple[float, float]:
    """Return where the bench mark of a hole stands from its middle: to the right, down [mm]."""
    return _MARK_AWAY * radius_mm, -_MARK_AWAY * radius_mm


def _lined(data: str) -> str:
    """Return a mark that is a line, with paper about it: it may lie over the line of an edge."""
    return element("path", class_="under", d=data) + element("path", class_="stroke", d=data)


#: Drawn in a square from -1 to 1, y down.
_MARKS: dict[Fate, str] = {
    "same": element("circle", class_="mark", r=0.5),
    "another": element("path", class_="mark", d="M0 -1L.95 .75H-.95Z"),
    "none": element("path", class_="mark", d="M-1 -.4H1V.4H-1Z"),
    "undecided": _lined("M-.6 -.45A.6 .6 0 1 1 .25 .1Q0 .25 0 .5M0 .85V1.1"),
    "noted": _lined("M-.7 -.7H.7V.7H-.7Z"),
}


def arrow(start: Point, end: Point, size_mm: float) -> str:
    """Return a dimension line with a head at both ends, on the page [mm]."""
    (x, y), (to_x, to_y) = start, end
    length = math.hypot(to_x - x, to_y - y)
    if length == 0.0:
        return ""
    along, head = ((to_x - x) / length, (to_y - y) / length), min(size_mm, 0.4 * length)
    heads = ""
    for tip_x, tip_y, way in ((x, y, head), (to_x, to_y, -head)):
        back_x, back_y = tip_x + along[0] * way, tip_y + along[1] * way
        side_x, side_y = -along[1] * head * 0.3, along[0] * head * 0.3
        heads += (
            f"M{number(tip_x)} {number(tip_y)}"
            f"L{number(back_x + side_x)} {number(back_y + side_y)}"
            f"L{number(back_x - side_x)} {number(back_y - side_y)}Z"
        )
    line = f"M{number(x)} {number(y)}L{number(to_x)} {number(to_y)}"
    return element("path", class_="line", d=line) + element("path", class_="bar", d=heads)
