"""The place on a piece of the job where the least room is left, with its two ends."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.checks import Verdict

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from rivetkit.checks import Check
    from rivetkit.geometry.curves import Point
    from rivetkit.geometry.outline import Boundary
    from rivetkit.planning.plan import Plan

#: The gravest first; among equals the one with the least to spare.
_ORDER = (Verdict.FAIL, Verdict.MARGINAL, Verdict.PASS)


@dataclass(frozen=True, slots=True)
class TightPlace:
    """A distance between a hole and an edge, or between two holes: its ends [in] and its check."""

    start: Point
    end: Point
    check: Check
    holes: tuple[int, ...]


def tightest_place(
    plan: Plan, *, layers: Collection[str], holes: Collection[int]
) -> TightPlace | None:
    """Return the distance with the least to spare against its limit; None when there is none.

    Parameters
    ----------
    plan
        The job, worked out.
    layers
        Names of the layers whose edges count.
    holes
        Numbers of the holes that count.
    """
    named = {plan.holes.name(hole): hole for hole in holes}
    places = (*_edges(plan, layers, named), *_distances(plan, named))
    return min(places, key=_gravity, default=None)


def _gravity(place: TightPlace) -> tuple[int, float]:
    spare = (place.check.margin or 0.0) / (place.check.limit or 1.0)
    return (_ORDER.index(place.check.verdict), spare)


def _edges(plan: Plan, layers: Collection[str], named: dict[str, int]) -> Iterator[TightPlace]:
    for margin in (*plan.edges.by_row, *plan.edges.by_edge):
        boundary = plan.job.layers[margin.layer].boundary
        hole = named.get(margin.hole)
        if hole is None or boundary is None or margin.layer not in layers:
            continue
        start = _point(plan, hole)
        yield TightPlace(start, _on_edge(boundary, margin.edge, start), margin.check, (hole,))


def _distances(plan: Plan, named: dict[str, int]) -> Iterator[TightPlace]:
    pairs = [(gap.holes, gap.check) for gap in (*plan.pitches.across, *plan.pitches.heads)]
    for pitch in plan.pitches.along:
        ends = (pitch.least_between, pitch.greatest_between)
        pairs += zip(ends, pitch.checks, strict=True)
    for names, check in pairs:
        if check.verdict is Verdict.PASS and check.comparison == "at most":
            continue  # a pitch may be near its greatest: nothing is short of room there
        if all(name in named for name in names):
            one, other = (named[name] for name in names)
            yield TightPlace(_point(plan, one), _point(plan, other), check, (one, other))


def _point(plan: Plan, hole: int) -> Point:
    x, y = plan.holes.points[hole].tolist()
    return (x, y)


def _on_edge(boundary: Boundary, name: str, start: Point) -> Point:
    """Return the point of a named edge that is nearest to ``start``."""
    for circle in boundary.circles:
        if circle.name == name:
            centre, away = np.asarray(circle.centre), np.subtract(start, circle.centre)
            length = float(np.hypot(*away))  # above nought: the hole is on the metal
            x, y = (centre + away * (circle.radius_in / length)).tolist()
            return (x, y)
    loops = (boundary.outer, *boundary.cutouts)
    edge = next(edge for loop in loops for edge in loop.edges if edge.name == name)
    line = shapely.shortest_line(shapely.points(start), shapely.linestrings(edge.points))
    x, y = shapely.get_coordinates(line)[-1].tolist()
    return (x, y)
