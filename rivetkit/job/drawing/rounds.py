"""Circles that a drawing holds as closed chains of arcs: many programs write every hole so."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rivetkit.geometry.curves import circle_through
from rivetkit.job.drawing.chains import JOIN_IN
from rivetkit.job.drawing.dxf import DrawnCircle

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.job.drawing.chains import Outline

#: A chain that goes once round its circle encloses this part of the disc, drawn as chords.
_WHOLE = 0.99


def with_rounds_apart(
    outlines: Iterable[Outline],
) -> tuple[tuple[DrawnCircle, ...], tuple[Outline, ...]]:
    """Return the outlines that are one circle, as circles, and the others.

    Parameters
    ----------
    outlines
        Closed chains of a drawing.
    """
    circles: list[DrawnCircle] = []
    others: list[Outline] = []
    for outline in outlines:
        circle = _as_circle(outline)
        if circle is None:
            others.append(outline)
        else:
            circles.append(circle)
    return tuple(circles), tuple(others)


def _as_circle(outline: Outline) -> DrawnCircle | None:
    if any(piece.kind != "arc" for piece in outline.pieces):
        return None
    found = [circle_through(*piece.points) for piece in outline.pieces]
    centre, radius_in = found[0]
    if any(math.dist(centre, other) > JOIN_IN for other, _ in found):
        return None
    if any(abs(radius_in - other_in) > JOIN_IN for _, other_in in found):
        return None
    if not _WHOLE < outline.area_in2 / (math.pi * radius_in**2) < 1.0 / _WHOLE:
        return None
    return DrawnCircle(outline.layer, centre, 2.0 * radius_in)
