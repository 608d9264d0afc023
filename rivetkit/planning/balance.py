"""Control surfaces: how much heavier the new work is, and how that turns about the hinge."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.mass import rivet_mass_lb
from rivetkit.checks import Check, not_checked
from rivetkit.fasteners.fastener import Fastener
from rivetkit.geometry.outline import signed_distance_in
from rivetkit.materials import sheet_density
from rivetkit.planning.reserve import hole_spans

if TYPE_CHECKING:
    from rivetkit.handbook import Citation
    from rivetkit.job.model import HingeLine, Layer, SheetState
    from rivetkit.planning.context import Context
    from rivetkit.planning.lengths import FittedGroup


@dataclass(frozen=True, slots=True)
class BalanceLine:
    """One part's change: mass [lb], its arm from the hinge line [in], moment [lb in]."""

    what: str
    mass_lb: float
    arm_in: float
    moment_lb_in: float


@dataclass(frozen=True, slots=True)
class Unweighed:
    """What could not be weighed, and why."""

    what: str
    why: str

    @property
    def words(self) -> str:
        """Return both in one line."""
        return f"{self.what}: {self.why}"


@dataclass(frozen=True, slots=True)
class Balance:
    """Change of mass [lb] and of moment about the hinge [lb in].

    Positive moments turn the side down on which the skins lie: the trailing edge of a surface
    with its hinge at the front. ``unknown`` names what could not be weighed, and why; the sums are
    then None.
    """

    lines: tuple[BalanceLine, ...]
    unknown: tuple[Unweighed, ...]
    citations: tuple[Citation, ...]

    @property
    def mass_lb(self) -> float | None:
        """Change of mass [lb]."""
        return None if self.unknown else sum(line.mass_lb for line in self.lines)

    @property
    def moment_lb_in(self) -> float | None:
        """Change of moment about the hinge line [lb in]."""
        return None if self.unknown else sum(line.moment_lb_in for line in self.lines)

    @property
    def checks(self) -> tuple[Check, ...]:
        """What keeps the change from being known."""
        return tuple(
            not_checked("change about the hinge", one.why, where=one.what) for one in self.unknown
        )


def balance_change(
    context: Context,
    fitted: tuple[FittedGroup, ...],
    removed: Context | None = None,
    gone: tuple[FittedGroup, ...] = (),
) -> Balance | None:
    """Return the change about the hinge line; None when the job gives no hinge.

    Parameters
    ----------
    context, fitted
        The job, and what comes out and goes in.
    removed, gone
        The rows that come out for good, and their rivets.
    """
    hinge = context.job.hinge
    if hinge is None:
        return None
    lines: list[BalanceLine] = []
    unknown: list[Unweighed] = []
    citations: dict[Citation, None] = {}
    aft = _aft_sign(context, hinge)
    for layer in context.job.layers.values():
        if not layer.changed:
            continue
        _add_sheet(layer, hinge, aft, lines, unknown, citations)
    moved = [(context, item) for item in fitted]
    if removed is not None:
        moved += [(removed, item) for item in gone]
    _add_rivets(moved, hinge, aft, lines, unknown, citations)
    return Balance(tuple(lines), tuple(unknown), tuple(citations))


def _aft_sign(context: Context, hinge: HingeLine) -> float:
    """Which side of the hinge line counts positive: the one that holds most of the skins.

    Those that stay on count as well: the only new sheet may lie ahead of the hinge.
    """
    moment = 0.0
    for layer in context.job.layers.values():
        if layer.kind in {"sheet", "skin"} and layer.boundary is not None:
            spot = np.array([layer.boundary.centroid])
            arm_in = float(signed_distance_in(spot, hinge.start, hinge.end)[0])
            moment += layer.boundary.area_in2 * arm_in
    return math.copysign(1.0, moment)


def _sheet_mass_lb(
    state: SheetState | None, area_in2: float, citations: dict[Citation, None]
) -> float | None:
    if state is None:
        return 0.0
    density = sheet_density(state.alloy)
    if density is None:
        return None
    citations[density[1]] = None
    return density[0] * state.thickness_in * area_in2


def _add_sheet(
    layer: Layer,
    hinge: HingeLine,
    aft: float,
    lines: list[BalanceLine],
    unknown: list[Unweighed],
    citations: dict[Citation, None],
) -> None:
    if layer.boundary is None:
        unknown.append(Unweighed(layer.name, "it has no outline, so no area"))
        return
    area_in2 = layer.boundary.area_in2
    old_lb = _sheet_mass_lb(layer.old, area_in2, citations)
    new_lb = _sheet_mass_lb(layer.new, area_in2, citations)
    if old_lb is None or new_lb is None:
        state = layer.old if old_lb is None else layer.new
        alloy = state.alloy if state else ""
        unknown.append(Unweighed(layer.name, f"no density on file for alloy '{alloy}'"))
        return
    spot = np.array([layer.boundary.centroid])
    arm_in = aft * float(signed_distance_in(spot, hinge.start, hinge.end)[0])
    change_lb = new_lb - old_lb
    lines.append(BalanceLine(f"sheet {layer.name}", change_lb, arm_in, change_lb * arm_in))


def _add_rivets(
    moved: list[tuple[Context, FittedGroup]],
    hinge: HingeLine,
    aft: float,
    lines: list[BalanceLine],
    unknown: list[Unweighed],
    citations: dict[Citation, None],
) -> None:
    mass_lb = moment_lb_in = 0.0
    unsettled: list[str] = []
    for context, item in moved:
        if item.kept:
            continue
        if item.group.empty:
            unsettled += [
                f"{row}:{span}" for row, span in hole_spans(context.holes, item.group.holes)
            ]
            continue
        change = _rivet_change(item)
        if isinstance(change, Fastener):
            part = change
            note = Unweighed(part.designation, "no mass can be computed")
            if note not in unknown:
                unknown.append(note)
            continue
        change_lb, cited = change
        citations.update(dict.fromkeys(cited))
        arms_in = aft * signed_distance_in(
            context.holes.points[item.group.holes], hinge.start, hinge.end
        )
        mass_lb += change_lb * item.group.count
        moment_lb_in += change_lb * float(arms_in.sum())
    if unsettled:
        unknown.append(Unweighed("; ".join(unsettled), "no rivet is settled"))
    arm_in = moment_lb_in / mass_lb if mass_lb else 0.0
    lines.append(BalanceLine("rivets", mass_lb, arm_in, moment_lb_in))


def _rivet_change(item: FittedGroup) -> tuple[float, tuple[Citation, ...]] | Fastener:
    """Return the change of mass of one rivet [lb], or the rivet that cannot be weighed."""
    masses = []
    for part in (item.old_part, None if item.gone else item.new_part):
        mass = rivet_mass_lb(part) if part is not None else None
        if part is not None and mass is None:
            return part
        masses.append(mass)
    old, new = masses
    change_lb = (new.mass_lb if new else 0.0) - (old.mass_lb if old else 0.0)
    return change_lb, tuple(c for mass in masses if mass for c in mass.citations)
