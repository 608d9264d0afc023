"""Flush rivets: their strength was tested, sheet by sheet, and no formula stands in for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.checks import Check, not_checked
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.strength import FlushJointRow
from rivetkit.materials import split_alloy
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from rivetkit.calculators.strength.layer_bearing import StrengthLayer
    from rivetkit.calculators.strength.rivet_shear import ShearPlanes
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation

FLUSH_JOINT = "flush joint"

_SAME_SIZE_IN = 1e-6


@dataclass(frozen=True, slots=True)
class Mode:
    """One way the joint can give way, and the joint's load at which it does [lbf].

    ``load_lbf`` is none where it is not known.
    """

    name: str
    load_lbf: float | None
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class FlushJoint:
    """A flush rivet in one formed layer: its load, and why where there is none [lbf]."""

    mode: Mode
    check: Check | None
    yield_lbf: float | None


def flush_joint(fastener: Fastener, layer: StrengthLayer, planes: ShearPlanes) -> FlushJoint | None:
    """Return the tested strength of a flush rivet in a formed layer; none for a plain layer.

    Nothing is interpolated between sheet gauges, diameters or alloys.

    Parameters
    ----------
    fastener
        The rivet.
    layer
        The layer.
    planes
        1 for single shear; 2 for double shear, which nobody tested.

    References
    ----------
    MIL-HDBK-5F, tables of flush joints, as quoted by builders.
    """
    if layer.form == "plain":
        return None
    name = f"{FLUSH_JOINT} in {layer.name}"
    row = _flush_row(fastener, layer)
    reason = ""
    if row is None:
        reason = length_words(
            "no tested value is on file for {rivet} {form} in {thickness} {alloy}",
            rivet=fastener.designation,
            form=layer.form,
            thickness=layer.thickness_in,
            alloy=layer.alloy or "sheet of no named alloy",
        )
    elif row.refused:
        reason = f"the value on file, {row.ultimate_lbf:g} lbf, is refused: {row.note}"
    elif planes > 1:
        reason = "the tested values are for single shear"
    cited = (row.citation(),) if row else ()
    if row is None or reason:
        check = not_checked(FLUSH_JOINT, reason, where=layer.name, citations=cited)
        return FlushJoint(Mode(name, None, cited), check, None)
    return FlushJoint(Mode(name, row.ultimate_lbf, cited), None, row.yield_lbf)


def _flush_row(fastener: Fastener, layer: StrengthLayer) -> FlushJointRow | None:
    if fastener.head != "flush" or fastener.blind:
        return None
    name, clad = split_alloy(layer.alloy)
    rows: tuple[FlushJointRow, ...] = load_table(FlushJointRow)
    for row in rows:
        if (
            (row.form, row.code, row.alloy, False) == (layer.form, fastener.material, name, clad)
            and abs(float(row.diameter) - fastener.diameter_in) < _SAME_SIZE_IN
            and abs(row.sheet_in - layer.thickness_in) < _SAME_SIZE_IN
        ):
            return row
    return None
