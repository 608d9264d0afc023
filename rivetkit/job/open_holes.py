"""Holes left open: those of rivets that come out for good, in whatever metal stays."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.nutplates.place import screw_hole_size_in
from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.catalogue import rivet_hole
from rivetkit.geometry.outline import Boundary, Circle
from rivetkit.geometry.spots import Spots

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.job.model import Job, Layer, Row
    from rivetkit.rules import RuleBook


def with_open_holes(job: Job, book: RuleBook) -> Job:
    """Return a job with the holes its removed rows leave cut into the layers that stay.

    A hole that a new row uses again is not left open where that row goes through.

    Raises
    ------
    InputError
        When a hole is removed in one row and has a rivet in another.
    """
    if not job.removed:
        return job
    left: dict[str, list[Circle]] = {}
    for row in job.removed:
        assert row.installed is not None  # noqa: S101 - what is removed was installed
        radius_in = _hole_in(row.installed, book) / 2.0
        again = _used_again(job, row)
        stays = [place.layer for place in row.layers if job.layers[place.layer].same_metal]
        for number, (x, y) in enumerate(row.points.tolist()):
            name = f"old hole {row.name}:{row.numbers[number]}"
            for layer in stays:
                if layer not in again.get(number, set()):
                    left.setdefault(layer, []).append(Circle(name, (x, y), radius_in))
        for layer in stays if row.nutplate is not None else ():
            left.setdefault(layer, []).extend(_screw_circles(row))
    layers = {
        name: _with_open_holes(layer, tuple(left.get(name, ())))
        for name, layer in job.layers.items()
    }
    return replace(job, layers=layers)


def without_open_holes(layer: Layer) -> Layer:
    """Return a layer as if nothing had come out of it for good."""
    boundary = layer.boundary
    if boundary is not None and layer.open_holes:
        left = {circle.name for circle in layer.open_holes}
        circles = tuple(circle for circle in boundary.circles if circle.name not in left)
        boundary = Boundary(boundary.outer, boundary.cutouts, circles)
    return replace(layer, boundary=boundary, open_holes=())


def _with_open_holes(layer: Layer, left: tuple[Circle, ...]) -> Layer:
    boundary = layer.boundary
    if boundary is not None and left:
        boundary = Boundary(boundary.outer, boundary.cutouts, (*boundary.circles, *left))
    return replace(layer, boundary=boundary, open_holes=left)


def _hole_in(part: Fastener, book: RuleBook) -> float:
    """Return the hole of a rivet [in], its shank's size where no table has it."""
    try:
        hole_in = rivet_hole(part, book).hole_in
    except OutOfTableError:
        hole_in = None
    return part.diameter_in if hole_in is None else hole_in


def _screw_circles(row: Row) -> Iterator[Circle]:
    assert row.nutplate is not None  # noqa: S101 - only nutplates have screws
    radius_in = screw_hole_size_in(row.nutplate) / 2.0
    for number, screw in enumerate(row.screws):
        yield Circle(row.screw_name(number), screw, radius_in)


def _used_again(job: Job, removed: Row) -> dict[int, set[str]]:
    """Return the layers in which new rows use a removed row's holes, by place in the row."""
    found: dict[int, set[str]] = {}
    own = {place.layer for place in removed.layers}
    spots = Spots.at(removed.points)
    for row in job.rows:
        layers = {place.layer for place in row.layers}
        if own.isdisjoint(layers):
            continue
        theirs, ours = spots.tree.query(
            Spots.at(row.points).shapes,
            predicate="dwithin",
            distance=job.same_hole_in + LIMIT_TOLERANCE,
        )
        if len(ours) and row.installed is not None:
            place = int(np.argmin(ours))
            raise InputError(
                "the same hole is removed in one row and has a rivet in the other",
                where=f"row '{removed.name}' hole {removed.numbers[ours[place]]} and "
                f"row '{row.name}' hole {row.numbers[theirs[place]]}",
                mend="leave the hole out of the removed row with 'skip'",
            )
        for number in ours.tolist():
            found.setdefault(number, set()).update(layers)
    return found
