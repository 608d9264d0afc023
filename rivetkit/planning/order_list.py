"""One order over several jobs: what each needs, parts put together, spares reckoned once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.order import OrderLine, SparesPolicy, order_quantity
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import canonical_designation

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from fractions import Fraction

    from rivetkit.calculators.mass import ComputedMass
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.planning.parts import FitLine


@dataclass(frozen=True, slots=True)
class OrderedPart:
    """So many rivets of one part to order; ``jobs`` tells how many each job fits."""

    part: Fastener
    jobs: tuple[tuple[str, int], ...]
    quantity: OrderLine
    mass: ComputedMass | None

    @property
    def net_mass_lb(self) -> float | None:
        """Mass of the rivets fitted [lb]; None when it cannot be computed."""
        return None if self.mass is None else self.mass.mass_lb * self.quantity.net

    @property
    def order_mass_lb(self) -> float | None:
        """Mass of the rivets ordered [lb]; None when it cannot be computed."""
        return None if self.mass is None else self.mass.mass_lb * self.quantity.order


@dataclass(frozen=True, slots=True)
class JointPolicy:
    """The one spares policy of an order, and in what the jobs' own policies differed."""

    policy: SparesPolicy
    differed: tuple[str, ...] = ()


def joint_policy(
    policies: Sequence[SparesPolicy],
    *,
    percent: Fraction | float | None = None,
    minimum: int | None = None,
    pack_size: int | None = None,
) -> JointPolicy:
    """Return one policy for several jobs: what is given, else the most generous of the jobs'.

    Parameters
    ----------
    policies
        The jobs' own policies, at least one.
    percent, minimum, pack_size
        As for :class:`~rivetkit.calculators.order.SparesPolicy`; None leaves it to the jobs.

    Raises
    ------
    InputError
        When no job is given, or a figure is out of its range.

    Examples
    --------
    >>> jobs = [SparesPolicy(10, 0, 100), SparesPolicy(5, 12, 100)]
    >>> joint = joint_policy(jobs)
    >>> int(joint.policy.percent), joint.policy.minimum, joint.policy.pack_size, joint.differed
    (10, 12, 100, ('percent', 'minimum'))
    """
    if not policies:
        raise InputError("an order needs a job", mend="give at least one")
    percents = {policy.percent for policy in policies}
    minimums = {policy.minimum for policy in policies}
    packs = {policy.pack_size for policy in policies}
    told = (
        ("percent", percent, len(percents)),
        ("minimum", minimum, len(minimums)),
        ("pack", pack_size, len(packs)),
    )
    return JointPolicy(
        SparesPolicy(
            percent=max(percents) if percent is None else percent,
            minimum=max(minimums) if minimum is None else minimum,
            pack_size=max(packs) if pack_size is None else pack_size,
        ),
        tuple(name for name, given, kinds in told if given is None and kinds > 1),
    )


def order_list(
    jobs: Mapping[str, Sequence[FitLine]], policy: SparesPolicy
) -> tuple[OrderedPart, ...]:
    """Return what to order for several jobs, parts in order of their number.

    Spares and packs are reckoned once, on what all jobs need together, so that one pack serves
    them all.

    Parameters
    ----------
    jobs
        What each job fits, by the job's name.
    policy
        Spares and pack size.
    """
    needs: dict[str, dict[str, int]] = {}
    lines: dict[str, FitLine] = {}
    for name, fitted in jobs.items():
        for line in fitted:
            key = canonical_designation(line.part)
            lines.setdefault(key, line)
            by_job = needs.setdefault(key, {})
            by_job[name] = by_job.get(name, 0) + line.quantity.net
    return tuple(
        OrderedPart(
            part=lines[key].part,
            jobs=tuple(needs[key].items()),
            quantity=order_quantity(sum(needs[key].values()), policy),
            mass=lines[key].mass,
        )
        for key in sorted(lines, key=lambda key: _shelf_place(lines[key].part))
    )


def _shelf_place(part: Fastener) -> tuple[str, float, float, str]:
    return (part.canonical, part.diameter_in, part.length_in or 0.0, part.designation)
