"""Does the rivet suit the sheets: its diameter, a countersink, a dimple."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.calculators.countersink import check_formed_layers
from rivetkit.calculators.nutplate_lugs import check_lug_hole
from rivetkit.calculators.spacing import check_diameter_for_sheet
from rivetkit.planning.gather import gather_checks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.checks import Check
    from rivetkit.planning.context import Context
    from rivetkit.planning.lengths import FittedGroup


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
    for check in check_formed_layers(layers, fastener=part, book=context.book):
        yield check.where, replace(check, where="")
