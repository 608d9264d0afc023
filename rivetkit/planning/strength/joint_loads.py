"""What one rivet's joint carries, as far as it is known."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.calculators.strength.joint_strength import StrengthLayer, joint_strength
from rivetkit.calculators.strength.layer_bearing import BEARING_SHEET
from rivetkit.checks import Verdict
from rivetkit.errors import RivetkitError
from rivetkit.quantities import words_changed

if TYPE_CHECKING:
    from rivetkit.calculators.strength.joint_strength import JointStrength
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.planning.context import Context


@dataclass(frozen=True, slots=True)
class Load:
    """What one rivet's joint carries [lbf]: between two bounds, one number where it is known.

    ``critical`` is what gives way first; ``why`` tells what keeps the load from being known, and
    ``note`` what to mind although it is.
    """

    least_lbf: float
    most_lbf: float
    critical: str = ""
    why: str = ""
    note: str = ""
    citations: tuple[Citation, ...] = ()

    @property
    def known(self) -> bool:
        """Whether there is one number."""
        return self.least_lbf == self.most_lbf


NOTHING = Load(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Side:
    """One rivet as it sits, or will sit, in its layers; ``hole_in`` where it is no usual hole."""

    part: Fastener
    layers: tuple[StrengthLayer, ...]
    hole_in: float | None = None
    #: Why nobody can tell what it carries, when that is known beforehand.
    why: str = ""


class Loads:
    """Works every different joint out once, whatever its layers are called."""

    def __init__(self, context: Context) -> None:
        self._book = context.book
        self._known: dict[Side, Load] = {}

    def of(self, side: Side | None) -> Load:
        """Return what one rivet carries; nothing where there is none."""
        if side is None:
            return NOTHING
        # Past this edge none earns more, so that joints which differ in it only are one.
        credited = self._book.rule("bearing_edge_credited")
        roomy_in = 2.0 * credited.length_in(
            diameter_in=max(side.part.diameter_in, side.hole_in or 0)
        )
        layers = tuple(
            replace(
                layer,
                name=_stand_in(place),
                edge_in=None if layer.edge_in is None else min(layer.edge_in, roomy_in),
            )
            for place, layer in enumerate(side.layers)
        )
        nameless = replace(side, layers=layers)
        if nameless not in self._known:
            self._known[nameless] = self._work_out(nameless)
        return _named(self._known[nameless], [layer.name for layer in side.layers])

    def _work_out(self, side: Side) -> Load:
        if side.why:
            return Load(0.0, math.inf, why=side.why)
        try:
            joint = joint_strength(side.part, side.layers, self._book, hole_in=side.hole_in)
        except RivetkitError as error:
            return Load(0.0, math.inf, why=error.what)
        open_checks = [c for c in joint.checks if c.verdict is Verdict.NOT_CHECKED]
        most_lbf = math.inf if joint.at_most_lbf is None else joint.at_most_lbf
        if open_checks or joint.allowable_lbf is None:
            why = next((check.reason for check in open_checks), "its strength is not on file")
            return Load(0.0, most_lbf, why=why, citations=joint.citations)
        return Load(
            most_lbf,
            most_lbf,
            critical=joint.critical or "",
            note=_thin_sheet_note(joint),
            citations=joint.citations,
        )


def _thin_sheet_note(joint: JointStrength) -> str:
    """Return what to mind where a sheet too thin for the bearing stresses on file governs."""
    for one in joint.bearings:
        thin = any(c.name == BEARING_SHEET and c.verdict is Verdict.FAIL for c in one.checks)
        if thin and joint.critical == f"bearing in {one.layer.name}":
            return (
                f"{one.layer.name} is thinner against the hole than the bearing stresses on file "
                "hold for without a test"
            )
    return ""


def _stand_in(place: int) -> str:
    return f"<layer {place}>"


def _named(load: Load, names: list[str]) -> Load:
    """Return the load with the layers called by name."""

    def named(text: str) -> str:
        for place, name in enumerate(names):
            text = text.replace(_stand_in(place), name)
        return text

    why = words_changed(load.why, named)
    return replace(load, critical=named(load.critical), why=why, note=named(load.note))
