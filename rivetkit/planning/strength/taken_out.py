"""Rows whose rivets come out for good: what is drilled out, and what their joints carried."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.job.holes import lay_out
from rivetkit.job.open_holes import without_open_holes
from rivetkit.planning.context import Context

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener


def taken_out(context: Context) -> Context | None:
    """Return the rows that come out for good as a job of their own; None where there is none.

    Its layers have no holes left open: they are as they are while the rivets are in.
    """
    job = context.job
    if not job.removed:
        return None
    layers = {name: without_open_holes(layer) for name, layer in job.layers.items()}
    before = replace(job, rows=job.removed, removed=(), layers=layers)
    return Context(before, lay_out(before), context.book)


def came_out_of(context: Context, removed: Context | None) -> dict[int, Fastener]:
    """Return what comes out of the holes that new rows use again, by number of the hole."""
    if removed is None:
        return {}
    found: dict[int, Fastener] = {}
    ours, theirs = removed.holes.spots.tree.query(
        context.holes.spots.shapes,
        predicate="dwithin",
        distance=context.job.same_hole_in + LIMIT_TOLERANCE,
    )
    for hole, other in zip(ours.tolist(), theirs.tolist(), strict=True):
        stacks = (
            context.holes.stacks[context.holes.stack[hole]],
            removed.holes.stacks[removed.holes.stack[other]],
        )
        one, two = ({place.layer for place in stack} for stack in stacks)
        part = removed.holes.installed_parts[removed.holes.installed[other]]
        if part is not None and not one.isdisjoint(two):
            found[hole] = part
    return found
