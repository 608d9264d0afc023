"""One order over several jobs: parts put together, spares and packs counted once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.mass import ComputedMass, rivet_mass_lb
from rivetkit.calculators.order import OrderLine, SparesPolicy, order_quantity
from rivetkit.fasteners.part_number import canonical_designation, parse_part_number

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class PartOrder:
    """So many rivets of one part to order; ``jobs`` tells how many each job fits."""

    part: Fastener
    jobs: tuple[tuple[str, int], ...]
    quantity: OrderLine
    mass: ComputedMass | None

    @property
    def mass_lb(self) -> float | None:
        """Mass of what is ordered [lb]; None when it cannot be computed."""
        return None if self.mass is None else self.mass.mass_lb * self.quantity.order


@dataclass(frozen=True, slots=True)
class OrderList:
    """The order of some jobs.

    ``policy_differs`` tells that the jobs ask for different spares and the most generous of each
    figure was taken.
    """

    lines: tuple[PartOrder, ...]
    policy: SparesPolicy
    policy_differs: bool

    @property
    def mass_lb(self) -> float | None:
        """Mass of the whole order [lb]; None when a part's cannot be computed."""
        masses = [line.mass_lb for line in self.lines]
        known = [mass_lb for mass_lb in masses if mass_lb is not None]
        return sum(known) if len(known) == len(masses) else None


def order_list(plans: Mapping[str, Plan], policy: SparesPolicy | None = None) -> OrderList:
    """Return one order for all jobs.

    Parts known by an older standard's name are put with those of the standard that covers them.
    The spares are taken on the sum, not job by job: two small jobs need no spares twice.

    Parameters
    ----------
    plans
        Plans by the name to call each job.
    policy
        Spares and packs; without it the jobs' own, the most generous of each figure where they
        differ.
    """
    counts: dict[str, dict[str, int]] = {}
    for job, plan in plans.items():
        for line in plan.parts:
            jobs = counts.setdefault(canonical_designation(line.part), {})
            jobs[job] = jobs.get(job, 0) + line.quantity.net
    asked = [plan.job.spares for plan in plans.values()]
    chosen = policy or most_generous(asked)
    return OrderList(
        lines=tuple(
            _part_order(designation, counts[designation], chosen)
            for designation in sorted(counts, key=_shelf_order)
        ),
        policy=chosen,
        policy_differs=policy is None and any(one != asked[0] for one in asked),
    )


def most_generous(policies: Sequence[SparesPolicy]) -> SparesPolicy:
    """Return the greatest percentage, minimum and pack of some policies."""
    return SparesPolicy(
        percent=max(policy.percent for policy in policies),
        minimum=max(policy.minimum for policy in policies),
        pack_size=max(policy.pack_size for policy in policies),
    )


def _part_order(designation: str, jobs: Mapping[str, int], policy: SparesPolicy) -> PartOrder:
    part = parse_part_number(designation)
    return PartOrder(
        part=part,
        jobs=tuple(jobs.items()),
        quantity=order_quantity(sum(jobs.values()), policy),
        mass=rivet_mass_lb(part),
    )


def _shelf_order(designation: str) -> tuple[str, float, float, str]:
    part = parse_part_number(designation)
    return (part.canonical, part.diameter_in, part.length_in or 0.0, designation)
