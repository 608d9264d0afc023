"""Members against the rivets that go in where others came out: no larger hole, a stringer's leg."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.oversize.candidates import OversizeLayer, hole_limits
from rivetkit.calculators.oversize.place import REFUSED, member_checks
from rivetkit.calculators.rivet_diameter import check_stringer_leg
from rivetkit.checks import LIMIT_TOLERANCE, Check, not_checked
from rivetkit.fasteners.fastener import without_length
from rivetkit.fasteners.part_number import same_part
from rivetkit.planning.gather import HolesCheck

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.job.holes import Holes
    from rivetkit.job.model import Layer
    from rivetkit.planning.context import Context, HoleGroup


def member_holes(
    context: Context, planned: Holes, came_out: Mapping[int, Fastener]
) -> tuple[HolesCheck, ...]:
    """Return the checks of every other rivet that goes through a member which takes no oversize.

    A hole is held to the greatest one of the rivet that comes out of it; where none does, or the
    member is new, to that of the rivet the job plans for it. A rivet larger than what comes out, or
    a new one, is held to the legs of stringers as well; one of the size that was there is the
    maker's, whatever a handbook asks, but in a stringer that is new.

    Parameters
    ----------
    context
        The job, with larger rivets assumed where that was asked.
    planned
        Its holes with the rivets the job plans.
    came_out
        What comes out for good of holes that new rows use again.
    """
    held: dict[Check, list[NDArray[np.intp]]] = {}
    for group in context.groups:
        for alike in _by_what_came_out(group, came_out):
            for check in (*_of_group(context, planned, alike), *_legs(context, alike)):
                held.setdefault(check, []).append(alike.holes)
    return tuple(HolesCheck(np.concatenate(holes), check) for check, holes in held.items())


def _by_what_came_out(group: HoleGroup, came_out: Mapping[int, Fastener]) -> Iterator[HoleGroup]:
    """Yield a group of new holes in parts of one old rivet each, or none."""
    if group.installed is not None or not came_out:
        yield group
        return
    parts: dict[Fastener | None, list[int]] = {}
    for hole in group.holes.tolist():
        parts.setdefault(came_out.get(hole), []).append(hole)
    for part, holes in parts.items():
        yield replace(group, installed=part, holes=np.array(holes))


def _of_group(context: Context, planned: Holes, group: HoleGroup) -> Iterator[Check]:
    if group.row.kept:
        return
    for place in group.stack:
        layer = context.job.layers[place.layer]
        if layer.new is None or not layer.no_oversize:
            continue
        meant = planned.fit_parts[planned.fit[group.holes[0]]]
        there = meant if group.installed is None or layer.old is None else group.installed
        if not same_part(without_length(there), without_length(group.fit)):
            yield _check(context, layer, there, group)


def _legs(context: Context, group: HoleGroup) -> Iterator[Check]:
    there = group.installed
    larger = there is None or group.fit.diameter_in > there.diameter_in + LIMIT_TOLERANCE
    if group.row.kept:
        return
    for place in group.stack:
        layer = context.job.layers[place.layer]
        if layer.leg_width_in is None or layer.new is None:
            continue
        if larger or layer.old is None:
            yield check_stringer_leg(
                layer.leg_width_in,
                diameter_in=group.fit.diameter_in,
                book=context.book,
                accuracy_in=context.job.accuracy_in,
                where=f"{layer.name}: {group.row.name}",
            )


def _check(context: Context, layer: Layer, there: Fastener, group: HoleGroup) -> Check:
    where = f"{layer.name}: {group.row.name}"
    new = hole_limits(without_length(group.fit), context.book)
    if new is None:
        return not_checked(REFUSED, f"no hole for {group.fit.designation} is on file", where=where)
    old = hole_limits(without_length(there), context.book)
    (check,) = member_checks(
        new.least_in if new.drill is None else new.drill.size_in,
        original_most_in=None if old is None else old.most_in,
        layers=(OversizeLayer(where, None, no_oversize=True),),
        book=context.book,
    )
    return check
