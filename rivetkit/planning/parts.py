"""Rivets to fit: by part, with net count, spares, order quantity and mass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.mass import ComputedMass, rivet_mass_lb
from rivetkit.calculators.order import OrderLine, SparesPolicy, order_quantity
from rivetkit.fasteners.part_number import canonical_designation, parse_part_number

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.planning.lengths import FittedGroup


@dataclass(frozen=True, slots=True)
class FitLine:
    """So many rivets of one part to fit and to order; ``rows`` tells where they go."""

    part: Fastener
    rows: tuple[tuple[str, int], ...]
    quantity: OrderLine
    mass: ComputedMass | None

    @property
    def net_mass_lb(self) -> float | None:
        """Mass of the rivets fitted [lb]; None when it cannot be computed."""
        return None if self.mass is None else self.mass.mass_lb * self.quantity.net


def fit_lines(fitted: Iterable[FittedGroup], policy: SparesPolicy) -> tuple[FitLine, ...]:
    """Return what to fit and order, parts in order of their number.

    A part known by an older standard's name is counted under the standard that now covers it.
    """
    counts: dict[str, dict[str, int]] = {}
    for item in fitted:
        if not item.fills:
            continue
        rows = counts.setdefault(canonical_designation(item.new_part), {})
        name = item.group.row.name
        rows[name] = rows.get(name, 0) + item.group.count
    lines = []
    for designation in sorted(counts, key=_shelf_order):
        part = parse_part_number(designation)
        rows = counts[designation]
        lines.append(
            FitLine(
                part=part,
                rows=tuple(rows.items()),
                quantity=order_quantity(sum(rows.values()), policy),
                mass=rivet_mass_lb(part),
            )
        )
    return tuple(lines)


def _shelf_order(designation: str) -> tuple[str, float, float, str]:
    part = parse_part_number(designation)
    return (part.canonical, part.diameter_in, part.length_in or 0.0, designation)
