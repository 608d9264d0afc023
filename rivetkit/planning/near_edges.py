"""The nearest drawn edge of every hole, layer by layer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.oversize.hole_move import Bow, Stretch
from rivetkit.geometry.outline import ON_BOUNDARY_IN, Boundary, Rims
from rivetkit.geometry.spots import Spots

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from rivetkit.geometry.outline import Nearest
    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Layer


@dataclass(frozen=True, eq=False)
class NearEdges:
    """The nearest edge of each of the k holes through one layer: of its outline, or of rims alone.

    ``holes`` are their numbers, in order. A hole that rows place differently stands in ``spots``
    where it is worst off in this layer; ``centres`` are all its places, ``centre_of`` whose they
    are.
    """

    layer: str
    edges: Boundary | Rims
    holes: NDArray[np.intp]
    spots: Spots
    centres: Spots
    centre_of: NDArray[np.intp]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the layer's edges."""
        return self.edges.edge_names

    @cached_property
    def _nearest(self) -> Nearest:
        return self.edges.nearest_edge(self.spots)

    @cached_property
    def _centre_distance_in(self) -> NDArray[np.float64]:
        """Distance from each of ``centres`` to its nearest edge [in]."""
        if self.centres is self.spots:
            return self._nearest.distance_in
        return self.edges.nearest_edge(self.centres).distance_in

    @cached_property
    def distance_in(self) -> NDArray[np.float64]:
        """Distance from each hole's centre to its nearest edge, ``(k,)`` [in]."""
        return np.maximum(self._nearest.distance_in, 0.0)  # a rim is met, never passed

    @property
    def edge(self) -> NDArray[np.intp]:
        """Which of ``names`` that edge is, ``(k,)``."""
        return self._nearest.edge

    @cached_property
    def direction_deg(self) -> NDArray[np.float64]:
        """Direction from each hole to its nearest edge, ``(k,)`` [deg]."""
        gap = self.edges.feet(self.spots, self._nearest) - self.spots.points
        return np.asarray(np.degrees(np.arctan2(gap[:, 1], gap[:, 0])))

    def stretches(
        self, holes: NDArray[np.intp], moves_in: NDArray[np.float64]
    ) -> dict[int, tuple[Stretch, ...]]:
        """Return the edges that each of some holes of the job may come to be nearest to.

        Of a hole that rows place differently they are seen from every one of its places.

        A hole ``d`` from its nearest edge is at most ``d + m`` from it after a move of ``m``, and
        an edge nearer than that then is no further than ``d + 2 m`` now.

        Parameters
        ----------
        holes
            Numbers of holes, ``(k,)``, in order; those that miss the layer are passed over.
        moves_in
            The most each can have moved, ``(k,)`` [in].
        """
        here = np.flatnonzero(np.isin(self.centre_of, holes))
        moves_in = moves_in[np.searchsorted(holes, self.centre_of[here])]
        holes, spots = self.centre_of[here], self.centres.take(here)
        within_in = self._centre_distance_in[here] + 2.0 * moves_in + ON_BOUNDARY_IN
        near = self.edges.pieces_near(spots, within_in)
        old = spots.points[near.spot]
        found: dict[int, list[Stretch]] = {}
        for hole, (x, y), start, end, radius_in, bend in zip(
            holes[near.spot].tolist(),
            old.tolist(),
            (near.start - old).tolist(),
            (near.end - old).tolist(),
            near.radius_in.tolist(),
            near.bend.tolist(),
            strict=True,
        ):
            bow = None
            if bend >= 0:
                circle = near.bends[bend]
                centre = (circle.centre[0] - x, circle.centre[1] - y)
                bow = Bow(centre, circle.radius_in)
            stretch = Stretch((start[0], start[1]), (end[0], end[1]), radius_in, bow)
            found.setdefault(hole, []).append(stretch)
        return {hole: tuple(edges) for hole, edges in found.items()}

    def places(self, holes: NDArray[np.intp]) -> NDArray[np.intp]:
        """Return where in the columns some holes stand that all go through the layer."""
        return np.searchsorted(self.holes, holes)

    def place(self, hole: int) -> int | None:
        """Return where in the columns one hole stands, None when it misses the layer."""
        place = int(np.searchsorted(self.holes, hole))
        return place if place < len(self.holes) and self.holes[place] == hole else None


def known_edges(layer: Layer) -> Boundary | Rims | None:
    """Return every edge whose place is known: of the outline, else of the round holes alone."""
    if layer.boundary is None and layer.rims:
        return Rims(layer.rims)
    return layer.boundary


def nearest_of(edges: Iterable[NearEdges], hole: int) -> tuple[NearEdges, int] | None:
    """Return the layer whose edge is nearest to a hole, and the hole's place in its columns."""
    told = [(near, place) for near in edges if (place := near.place(hole)) is not None]
    return min(told, key=lambda one: float(one[0].distance_in[one[1]]), default=None)


def near_edges_in(layer: Layer, holes: Holes) -> NearEdges | None:
    """Return the nearest edges of the holes through a layer, None where it has none of either."""
    edges, through = known_edges(layer), holes.in_layer(layer.name)
    if edges is None or not len(through):
        return None
    spots = holes.spots if len(through) == len(holes) else holes.spots.take(through)
    further = np.isin(holes.other_of, through)
    if not further.any():
        return NearEdges(layer.name, edges, through, spots, spots, through)
    points, of = holes.others[further], holes.other_of[further]
    centres = Spots.at(np.concatenate((spots.points, points)))
    centre_of = np.concatenate((through, of))
    worst = _worst_centres(edges, centres, np.searchsorted(through, centre_of), len(through))
    return NearEdges(layer.name, edges, through, centres.take(worst), centres, centre_of)


def _worst_centres(
    edges: Boundary | Rims, centres: Spots, place: NDArray[np.intp], count: int
) -> NDArray[np.intp]:
    """Return for each of ``count`` holes which of its centres is nearest to an edge, or past it."""
    depth_in = np.abs(edges.nearest_edge(centres).distance_in)
    if isinstance(edges, Boundary):
        depth_in[edges.outside(centres)] *= -1.0
    order = np.lexsort((depth_in, place))
    _, first = np.unique(place[order], return_index=True)
    assert len(first) == count  # noqa: S101 - every hole has a centre
    return np.asarray(order[first])
