"""What stands round every hole: its nearest edge in each layer, its neighbours."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.geometry.neighbours import Pairs, steps_in
from rivetkit.geometry.outline import Rims
from rivetkit.planning.pitches import pairs_across

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context


@dataclass(frozen=True, eq=False)
class NearEdges:
    """The nearest edge of every hole of one layer: of its outline, or of screw holes alone.

    ``distance_in`` is infinite for holes that do not pass through it; ``edge`` numbers
    ``names``; ``direction_deg`` points from the hole to the edge.
    """

    layer: str
    names: tuple[str, ...]
    distance_in: NDArray[np.float64]
    edge: NDArray[np.intp]
    direction_deg: NDArray[np.float64]


def near_edges(context: Context) -> dict[str, NearEdges]:
    """Return the nearest edges in every layer that stays or comes, as far as places are known."""
    found = {}
    count = len(context.holes)
    for layer in context.job.layers.values():
        if layer.new is None:
            continue
        edges = layer.boundary or (Rims(layer.screw_holes) if layer.screw_holes else None)
        if edges is None:
            continue
        through = context.holes.in_layer(layer.name)
        if not len(through):
            continue
        nearest = edges.nearest_edge(context.holes.points[through])
        feet = edges.feet(context.holes.points[through], nearest)
        gap = feet - context.holes.points[through]
        distance_in = np.full(count, np.inf)
        edge = np.zeros(count, dtype=np.intp)
        direction_deg = np.zeros(count)
        distance_in[through] = np.maximum(nearest.distance_in, 0.0)
        edge[through] = nearest.edge
        direction_deg[through] = np.degrees(np.arctan2(gap[:, 1], gap[:, 0]))
        found[layer.name] = NearEdges(
            layer.name, edges.edge_names, distance_in, edge, direction_deg
        )
    return found


def row_pairs(context: Context, row: Row, members: NDArray[np.intp]) -> Pairs:
    """Return the holes that follow each other in a row; none for nutplates, which come in twos."""
    if row.nutplate is not None or len(members) < 2:  # noqa: PLR2004
        empty = np.zeros(0, dtype=np.intp)
        return Pairs(empty, empty, np.zeros(0))
    return Pairs(members[:-1], members[1:], steps_in(context.holes.points[members]))


def all_pairs(context: Context, largest_in: float = 0.0) -> tuple[Pairs, Pairs]:
    """Return the pairs along the rows, and those across that stand near each other.

    ``largest_in`` is the largest rivet [in] that one of them may come to hold.
    """
    along = [
        row_pairs(context, row, members)
        for row, members in zip(context.job.rows, context.holes.in_row, strict=True)
    ]
    joined = Pairs(
        np.concatenate([pairs.first for pairs in along]),
        np.concatenate([pairs.second for pairs in along]),
        np.concatenate([pairs.distance_in for pairs in along]),
    )
    return joined, pairs_across(context, largest_in)


def direction_deg(context: Context, start: int, end: int) -> float:
    """Return the direction from one hole to another [deg]."""
    gap = context.holes.points[end] - context.holes.points[start]
    return math.degrees(math.atan2(float(gap[1]), float(gap[0])))
