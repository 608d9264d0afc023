"""Metals that meet in the rows that get new rivets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.metal_contact import MetalReview, review_metals
from rivetkit.planning.gather import gathered_names

if TYPE_CHECKING:
    from rivetkit.calculators.metal_contact import MetalContact
    from rivetkit.planning.context import Context
    from rivetkit.planning.lengths import FittedGroup


@dataclass(frozen=True, slots=True)
class PlanMetals:
    """The dissimilar metals of all rows; ``rows`` names those of each contact."""

    review: MetalReview
    rows: tuple[str, ...]


def metals_that_meet(context: Context, fitted: tuple[FittedGroup, ...]) -> PlanMetals:
    """Return which dissimilar metals meet at the rivets that go in, each two once.

    Whether a rivet's alloy may go into a sheet at all is judged with what else suits the sheet.
    """
    rows_of: dict[MetalContact, dict[str, None]] = {}
    for item in fitted:
        if item.fills:
            layers = context.new_layers(item.group.stack)
            for contact in review_metals(item.group.fit, layers).contacts:
                rows_of.setdefault(contact, {})[item.group.row.name] = None
    rows = tuple(gathered_names(names) for names in rows_of.values())
    return PlanMetals(MetalReview(tuple(rows_of)), rows)
