"""Edges of a layer nobody drew: what the job tells of them for a whole row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rivetkit.job.model import Layer, RowLayer


@dataclass(frozen=True, slots=True)
class ToldEdge:
    """An edge by name: its distance from the row [in], or None and why it is not known."""

    name: str
    distance_in: float | None
    reason: str


def told_heel(layer: Layer, place: RowLayer) -> ToldEdge | None:
    """Return how far a row stands from the bend of a flange; None where there is no bend."""
    if layer.flange is None or layer.flange.heel_free:
        return None
    side_in = place.row_from_edge_in
    if side_in is None and place.edge_distance_in is None:
        return None  # the flange edge asks for the same measurement already
    return ToldEdge(
        "heel",
        None if side_in is None else layer.flange.width_in - side_in,
        "the row's place on the flange was not given (row_from_edge)",
    )


def told_edges(layer: Layer, place: RowLayer) -> tuple[ToldEdge, ...]:
    """Return the edges of a layer without an outline, at the place of a row on it."""
    measured_in = place.edge_distance_in
    if layer.flange is None:
        if measured_in is None:
            measured_in = layer.edge_distance_in
        return (ToldEdge("measured edge", measured_in, "its edge was not measured"),)
    side_in = place.row_from_edge_in
    if side_in is not None and layer.flange.heel_free:
        side_in = min(side_in, layer.flange.width_in - side_in)
    side = ToldEdge(
        "flange edge", side_in, "the row's place on the flange was not given (row_from_edge)"
    )
    if measured_in is not None:
        side = ToldEdge("measured edge", measured_in, "")
    return (
        side,
        ToldEdge(
            "flange end",
            layer.flange.end_distance_in,
            "how far the last rivet is from the flange's end was not given (end_distance)",
        ),
    )
