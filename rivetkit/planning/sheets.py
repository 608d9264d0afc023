"""Does the rivet suit the sheets: its diameter, its alloy, a countersink, a dimple."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.calculators.countersink import check_formed_layers
from rivetkit.calculators.metal_contact import review_metals
from rivetkit.calculators.nutplates.lugs import check_lug_hole
from rivetkit.calculators.rivet_diameter import check_diameter_for_sheet
from rivetkit.checks import Check, not_checked, word_check
from rivetkit.handbook import Citation
from rivetkit.planning.gather import gather_checks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.calculators.stack import Form
    from rivetkit.job.model import Job
    from rivetkit.planning.context import Context
    from rivetkit.planning.lengths import FittedGroup

OLD_FORM = "hole formed for the old rivet"
_PRACTICE = Citation(rule="", source="common-practice", locator="shop practice", basis="practice")


def sheet_checks(context: Context, fitted: tuple[FittedGroup, ...]) -> tuple[Check, ...]:
    """Return the checks of every new rivet against the sheets it joins."""
    return gather_checks(
        named for item in fitted if item.fills for named in _group_checks(context, item)
    )


def _group_checks(context: Context, item: FittedGroup) -> Iterator[tuple[str, Check]]:
    part = item.group.fit
    layers = context.new_layers(item.group.stack)
    if item.group.row.nutplate is not None:
        yield item.group.row.name, check_lug_hole(part.diameter_in, item.group.row.nutplate)
    for check in check_diameter_for_sheet(
        part.diameter_in,
        sheets_in=tuple(sorted(layer.thickness_in for layer in layers)),
        book=context.book,
    ):
        yield item.group.row.name, check
    for check in review_metals(part, layers).checks:
        yield item.group.row.name, check
    for check in check_formed_layers(layers, fastener=part, book=context.book):
        yield check.where, replace(check, where="")
    for place in item.group.stack:
        before = place.form_under(item.group.installed)
        stays = context.job.layers[place.layer].same_metal
        if stays and before not in ("plain", place.form):
            yield f"{place.layer} ({item.group.row.name})", _left_formed(before)


def left_formed_checks(removed: Context | None, job: Job) -> tuple[Check, ...]:
    """Return the checks of holes that stay formed after rivets which come out for good.

    Parameters
    ----------
    removed
        The rows of those rivets, as
        :func:`~rivetkit.planning.strength.taken_out.taken_out` has them.
    job
        The job; a row of it that replaces one and is formed alike takes its holes over.
    """
    if removed is None:
        return ()
    alike = {
        (old, place.layer, place.form)
        for row in job.rows
        for old in row.replaces
        for place in row.layers
    }
    return gather_checks(
        (f"{place.layer} ({row.name})", _left_formed(form))
        for row in removed.job.rows
        for place in row.layers
        if removed.job.layers[place.layer].same_metal
        and (form := place.form_under(row.installed)) != "plain"
        and (row.name, place.layer, form) not in alike
    )


def _left_formed(form: Form) -> Check:
    """Return the check of a hole that stays formed for a head which is no longer in it.

    A sheet does not lie flat over a dimple. A countersink a protruding head covers is filled by
    the shank or not: that is for whoever approves the repair.
    """
    if form == "dimpled":
        reason = "its dimple stays, and no other layer lies flat on it: fit a flush rivet"
        return word_check(OLD_FORM, holds=False, reason=reason, citations=(_PRACTICE,))
    reason = "its countersink stays under another head; whether that will do nobody says"
    return not_checked(OLD_FORM, reason, citations=(_PRACTICE,))
