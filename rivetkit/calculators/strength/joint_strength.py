"""How strong one rivet's joint is, and what gives way first.

All loads are ultimate. Shear, bearing in every layer and, for a flush head, the tested strength of
the formed sheet each bound the joint; the least of them is its strength. What cannot be looked up
leaves the strength unknown: it is never left out of the comparison.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.calculators.stack import Layer, require_stack
from rivetkit.calculators.strength.flush_joint import Mode, flush_joint
from rivetkit.calculators.strength.layer_bearing import LayerBearing, StrengthLayer, layer_bearing
from rivetkit.calculators.strength.rivet_shear import (
    CreditedHole,
    RivetShear,
    ShearPlanes,
    blind_shear,
    credited_hole,
    solid_shear,
)
from rivetkit.checks import Check, not_checked
from rivetkit.errors import InputError
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

__all__ = ["JointStrength", "Mode", "StrengthLayer", "joint_strength"]

RIVET_SHEAR = "rivet shear"
BLIND_JOINT = "blind rivet in thin sheet"

_SAME_SIZE_IN = 1e-6
_LAYERS_IN_DOUBLE_SHEAR = 3


@dataclass(frozen=True, slots=True)
class JointStrength:
    """Ultimate strength of one rivet's joint.

    ``allowable_lbf`` and ``critical`` are none where any way of giving way is not known;
    ``at_most_lbf`` is then still the least of those that are. ``flush_yield_lbf`` is the printed
    yield load of a flush joint, where there is one.
    """

    fastener: Fastener
    hole_in: float
    credited_in: float
    shear_planes: ShearPlanes
    shear: RivetShear
    bearings: tuple[LayerBearing, ...]
    modes: tuple[Mode, ...]
    flush_yield_lbf: float | None
    checks: tuple[Check, ...]
    citations: tuple[Citation, ...]

    @property
    def shear_lbf(self) -> float | None:
        """Load at which the rivet shears [lbf]."""
        return self.shear.load_lbf

    @property
    def allowable_lbf(self) -> float | None:
        """Load the joint carries [lbf]."""
        unknown = any(mode.load_lbf is None for mode in self.modes)
        return None if unknown else self.at_most_lbf

    @property
    def at_most_lbf(self) -> float | None:
        """The least of the loads that are known [lbf]; the joint carries no more."""
        return min((load_lbf for load_lbf, _ in self._known()), default=None)

    @property
    def critical(self) -> str | None:
        """What gives way first."""
        if self.allowable_lbf is None:
            return None
        return min(self._known(), key=lambda entry: entry[0])[1]

    @property
    def workings(self) -> tuple[Working, ...]:
        """The arithmetic behind it."""
        return (*self.shear.workings, *(line for one in self.bearings for line in one.workings))

    def _known(self) -> list[tuple[float, str]]:
        return [(mode.load_lbf, mode.name) for mode in self.modes if mode.load_lbf is not None]


def joint_strength(
    fastener: Fastener,
    layers: Sequence[StrengthLayer],
    book: RuleBook,
    *,
    hole_in: float | None = None,
    shear_planes: ShearPlanes = 1,
) -> JointStrength:
    """Return the ultimate strength of one rivet through some layers.

    In single shear every layer is taken to carry the whole load, for nobody says which does. In
    double shear the middle one of three does, and the outer two half of it each.

    Parameters
    ----------
    fastener
        The rivet.
    layers
        From the manufactured head on.
    book
        The rules in force.
    hole_in
        The hole as drilled [in]; left out, the one the rule set drills.
    shear_planes
        1 for single shear, 2 for double shear.

    Raises
    ------
    InputError
        When there is no layer, double shear has not three of them, a length is not one, the hole
        is smaller than the rivet, or the layers do not suit its head.
    OutOfTableError
        When no table has a hole for the rivet's diameter.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> skin = StrengthLayer("skin", "2024-T3", 0.040, edge_in=0.25)
    >>> rib = StrengthLayer("rib", "2024-T3", 0.025, edge_in=0.25)
    >>> rivet = parse_part_number("MS20470AD4")
    >>> joint = joint_strength(rivet, [skin, rib], RuleBook.named())
    >>> joint.critical, round(joint.allowable_lbf)
    ('rivet shear', 358)

    References
    ----------
    MIL-HDBK-5H p 8-9: shear and bearing are worked out apart, the smaller governs.
    """
    _require_layers(fastener, layers, shear_planes)
    hole = _hole_of(fastener, book, hole_in)
    shear = _shear_of(fastener, layers, book, hole=hole, planes=shear_planes)
    bearings = tuple(
        layer_bearing(
            layer,
            book,
            diameter_in=fastener.diameter_in,
            hole_in=hole.hole_in,
            credited_in=hole.credited_in,
            share=0.5 if shear_planes > 1 and place != 1 else 1.0,
        )
        for place, layer in enumerate(layers)
        if layer.form == "plain"
    )
    flush = [flush_joint(fastener, layer, shear_planes) for layer in layers]
    formed = [one for one in flush if one is not None]
    checks = (
        *_shear_checks(fastener, shear),
        *(check for one in bearings for check in one.checks),
        *(one.check for one in formed if one.check is not None),
    )
    modes = (
        Mode(RIVET_SHEAR, shear.load_lbf, shear.citations),
        *(_bearing_mode(one) for one in bearings),
        *(one.mode for one in formed),
    )
    return JointStrength(
        fastener=fastener,
        hole_in=hole.hole_in,
        credited_in=hole.credited_in,
        shear_planes=shear_planes,
        shear=shear,
        bearings=bearings,
        modes=modes,
        flush_yield_lbf=min((o.yield_lbf for o in formed if o.yield_lbf is not None), default=None),
        checks=checks,
        citations=unique_citations(
            c for c in (*(c for m in modes for c in m.citations), *_cited(checks))
        ),
    )


def _require_layers(
    fastener: Fastener, layers: Sequence[StrengthLayer], planes: ShearPlanes
) -> None:
    if not layers:
        raise InputError("the joint has no layer", mend="give every layer's thickness and alloy")
    if planes > 1 and len(layers) != _LAYERS_IN_DOUBLE_SHEAR:
        raise InputError(
            f"a joint of {len(layers)} layers in double shear",
            mend="give three: outer, middle, outer; add sheets that lie on each other together",
        )
    stack = [Layer(layer.name, layer.thickness_in, layer.form) for layer in layers]
    for layer in stack:
        require_length(layer.thickness_in, f"the thickness of '{layer.name}'")
    require_stack(fastener, stack)


def _hole_of(fastener: Fastener, book: RuleBook, hole_in: float | None) -> CreditedHole:
    if not fastener.blind:
        return credited_hole(fastener, book, hole_in=hole_in)
    # A blind shank does not swell to fill its hole: no more than its own diameter bears.
    drilled_in = fastener.diameter_in if hole_in is None else require_length(hole_in, "the hole")
    if drilled_in < fastener.diameter_in - _SAME_SIZE_IN:
        raise InputError(
            length_words(
                "a hole of {hole} does not take {rivet}",
                hole=drilled_in,
                rivet=fastener.designation,
            ),
            mend="give the hole as drilled",
        )
    return CreditedHole(drilled_in, fastener.diameter_in, ())


def _shear_of(
    fastener: Fastener,
    layers: Sequence[StrengthLayer],
    book: RuleBook,
    *,
    hole: CreditedHole,
    planes: ShearPlanes,
) -> RivetShear:
    if fastener.blind:
        return blind_shear(fastener, planes=planes)
    sheet_in = layers[1] if planes > 1 else min(layers, key=lambda layer: layer.thickness_in)
    # A flush joint was tested in its own sheet: what the sheet takes off is in its value.
    reducing_in = None if fastener.flush else sheet_in.thickness_in
    return solid_shear(fastener, book, hole=hole, planes=planes, sheet_in=reducing_in)


def _shear_checks(fastener: Fastener, shear: RivetShear) -> tuple[Check, ...]:
    checks: list[Check] = []
    if shear.load_lbf is None:
        checks.append(not_checked(RIVET_SHEAR, shear.reason, citations=shear.citations))
    if fastener.blind:
        reason = (
            "the rated load is the rivet's alone; no table on file gives what it carries in thin "
            "sheet"
        )
        checks.append(not_checked(BLIND_JOINT, reason, citations=shear.citations))
    return tuple(checks)


def _bearing_mode(bearing: LayerBearing) -> Mode:
    load_lbf = None if bearing.load_lbf is None else bearing.load_lbf / bearing.share
    return Mode(f"bearing in {bearing.layer.name}", load_lbf, bearing.citations)


def _cited(checks: Sequence[Check]) -> tuple[Citation, ...]:
    return tuple(citation for check in checks for citation in check.citations)
