"""How far the rivets of a row stand off the line that a distance told for the whole row is of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.job.model import SAME_POINT_IN

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Points
    from rivetkit.job.model import Row

#: So many diameters further in than the last hole the end of a flange no longer matters: square to
#: an end slanted by 45 degrees they are 2.8, more than the handbooks ask for.
END_DIAMETERS = 4.0


@dataclass(frozen=True, slots=True)
class Stray:
    """How much nearer to an edge beside the row a rivet may be than the row is [in].

    ``known_in``: so much it is, on either side. ``unsure_in``: so much more it may be, or not:
    nobody knows whether the edge goes along with the holes.
    """

    known_in: float = 0.0
    unsure_in: float = 0.0


def row_stray(row: Row) -> Stray:
    """Return how far a row's rivets stand off the line of the row.

    A path or a circle is its own line. The line of nutplates is that of their screws; where it
    is straight, the turned ones are known to stand across it, and a single one tells no line.
    Holes told one by one stray by the width of the straight strip, along their best fit, that
    holds them all: the row's distance may have been measured at any of them.
    """
    if row.on_line:
        return Stray()
    if not row.plates:
        return Stray(unsure_in=_width_in(row.points, _across(row.points)))
    screws = np.array(row.screws)
    off = row.points - screws[(row.numbers - 1) // 2]
    if len(screws) == 1:
        return Stray(unsure_in=float(np.hypot(*off.T).max()))
    across = _across(screws)
    width_in = _width_in(screws, across)
    turned_in = float(np.abs(off @ across).max())
    turned_in = turned_in if turned_in > SAME_POINT_IN else 0.0
    if width_in > 0.0:
        return Stray(unsure_in=width_in + turned_in)
    return Stray(known_in=turned_in)


def near_row_ends(points: Points, diameter_in: float) -> NDArray[np.bool_]:
    """Return which of a row's holes may be nearest to the end of what the row runs along, ``(n,)``.

    The flange ends beyond the outermost holes of a straight row. Cut square, or slanted by up to
    45 degrees, it is too far to matter from holes that stand :data:`END_DIAMETERS` further in;
    common practice. Of a row that is not straight it may be any hole.

    Parameters
    ----------
    points
        The holes of the row, ``(n, 2)`` [in].
    diameter_in
        The largest rivet in them [in].
    """
    across = _across(points)
    if _width_in(points, across) > diameter_in:
        return np.ones(len(points), dtype=bool)
    along_in = points @ np.array([across[1], -across[0]])
    further_in = np.minimum(along_in - along_in.min(), along_in.max() - along_in)
    return np.asarray(further_in < END_DIAMETERS * diameter_in - SAME_POINT_IN)


def _across(points: Points) -> Points:
    """Return the direction square to the best straight line through points ``(n, 2)``, ``(2,)``."""
    offsets = points - points.mean(axis=0)
    _, directions = np.linalg.eigh(offsets.T @ offsets)
    return np.asarray(directions[:, 0])


def _width_in(points: Points, across: Points) -> float:
    """Return how wide the strip is that holds points ``(n, 2)`` [in]; rounding is no width."""
    width_in = float(np.ptp(points @ across))
    return width_in if width_in > SAME_POINT_IN else 0.0
