"""Edges of a layer nobody drew: what the job tells of them for a whole row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.job.model import Layer, RowLayer
    from rivetkit.planning.context import Context
    from rivetkit.planning.stray import Stray

_NO_PLACE = "the row's place on the flange was not given (row_from_edge)"


@dataclass(frozen=True, slots=True)
class ToldEdge:
    """An edge by name: its distance from the row [in], or None and why it is not known.

    Some rivet may be nearer than that by ``unsure_in``, where the row strays. ``at_ends``: it is
    nearest to the first or the last rivet of a row.
    """

    name: str
    distance_in: float | None
    reason: str = ""
    unsure_in: float = 0.0
    at_ends: bool = False

    @property
    def kind(self) -> str:
        """What it is called, without what was reckoned with."""
        return self.name.partition(" (")[0]

    @property
    def least_in(self) -> float | None:
        """The least that the distance of any rivet may be [in]."""
        return None if self.distance_in is None else max(self.distance_in - self.unsure_in, 0.0)


def told_heel(layer: Layer, place: RowLayer, stray: Stray) -> ToldEdge | None:
    """Return how far a row stands from the bend of a flange; None where there is no bend."""
    if layer.flange is None or layer.flange.heel_free:
        return None
    side_in = place.row_from_edge_in
    if side_in is None and place.edge_distance_in is None:
        return None  # the flange edge asks for the same measurement already
    if side_in is None:
        return ToldEdge("heel", None, _NO_PLACE)
    return _beside("heel", layer.flange.width_in - side_in, stray)


def told_edges(layer: Layer, place: RowLayer, stray: Stray) -> tuple[ToldEdge, ...]:
    """Return the edges of a layer without an outline, at the place of a row on it.

    A measured edge distance is the least of any rivet; a row's distance from the side of its
    flange is that of its line, off which its rivets may stray.
    """
    measured_in = place.edge_distance_in
    if layer.flange is None:
        if measured_in is None:
            measured_in = layer.edge_distance_in
        return (ToldEdge("measured edge", measured_in, "its edge was not measured"),)
    side_in = place.row_from_edge_in
    if measured_in is not None:
        side = ToldEdge("measured edge", measured_in)
    elif side_in is None:
        side = ToldEdge("flange edge", None, _NO_PLACE)
    else:
        if layer.flange.heel_free:
            side_in = min(side_in, layer.flange.width_in - side_in)
        side = _beside("flange edge", side_in, stray)
    return (
        side,
        ToldEdge(
            "flange end",
            layer.flange.end_distance_in,
            "how far the last rivet is from the flange's end was not given (end_distance)",
            at_ends=True,
        ),
    )


def told_at(context: Context, row: int, stack: int) -> tuple[tuple[str, ToldEdge], ...]:
    """Return every edge that is told of the layers at some holes, with its layer's name.

    Parameters
    ----------
    context
        The job.
    row, stack
        Numbers of the holes' row and of their stack.
    """
    return tuple(
        (layer.name, edge)
        for place in context.holes.stacks[stack]
        for layer in (context.job.layers[place.layer],)
        if layer.new is not None and layer.boundary is None
        for edge in told_edges(layer, place, context.strays[row])
    )


def nearest_told_in(edges: Sequence[ToldEdge]) -> tuple[float, float] | None:
    """Return the distance to the nearest of some edges, and the least it may be [in].

    None when one of them is not known.
    """
    told_in = [edge.distance_in for edge in edges if edge.distance_in is not None]
    least_in = [edge.least_in for edge in edges if edge.least_in is not None]
    return (min(told_in), min(least_in)) if len(told_in) == len(edges) else None


def _beside(name: str, row_in: float, stray: Stray) -> ToldEdge:
    """Return an edge that a row runs along, at its rivets."""
    strays = stray.known_in or stray.unsure_in
    return ToldEdge(
        f"{name} (less stray)" if strays else name,
        max(row_in - stray.known_in, 0.0),
        unsure_in=stray.unsure_in,
    )
