"""One rivet's joint with everything that can be held against it: load, edge, row, buckling."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.metal_contact import MetalReview, review_metals
from rivetkit.calculators.strength.inter_rivet import (
    INTER_RIVET,
    InterRivet,
    check_inter_rivet,
    holding_head,
    inter_rivet,
)
from rivetkit.calculators.strength.joint_strength import JointStrength, joint_strength
from rivetkit.calculators.strength.row_strength import (
    check_net_section,
    check_shear_out,
    row_lbf_per_in,
)
from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.strength.layer_bearing import StrengthLayer
    from rivetkit.calculators.strength.rivet_shear import ShearPlanes
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

JOINT_STRENGTH = "joint strength"


@dataclass(frozen=True, slots=True)
class StrengthReview:
    """A joint, the row it stands in, which metals meet in it, and every check of it.

    ``row_lbf_per_in`` is none without a pitch, or where the joint's strength is not known.
    """

    joint: JointStrength
    layers: tuple[StrengthLayer, ...]
    pitch_in: float | None
    rows: int
    row_lbf_per_in: float | None
    buckling: tuple[InterRivet, ...]
    metals: MetalReview
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class Compression:
    """Compression along the row: the stress in the sheets [ksi], or their yield where none."""

    applied_ksi: float | None = None


def review_strength(
    fastener: Fastener,
    layers: Sequence[StrengthLayer],
    book: RuleBook,
    *,
    hole_in: float | None = None,
    shear_planes: ShearPlanes = 1,
    load_lbf: float | None = None,
    pitch_in: float | None = None,
    rows: int = 1,
    compression: Compression | None = None,
) -> StrengthReview:
    """Return the strength of a joint and every check that the given sizes allow.

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
    load_lbf
        Ultimate load on one rivet [lbf], to hold the joint against.
    pitch_in
        Rivet to rivet in a row [in].
    rows
        Rows in the seam.
    compression
        Compression along the row, for buckling between the rivets; it needs the pitch.

    Raises
    ------
    InputError
        When a size or a load is not one, compression comes without a pitch, or the layers do not
        suit the rivet.
    OutOfTableError
        When no table has a hole for the rivet's diameter.
    """
    if compression is not None and pitch_in is None:
        raise InputError("buckling between rivets needs their pitch", mend="give the pitch")
    joint = joint_strength(fastener, layers, book, hole_in=hole_in, shear_planes=shear_planes)
    checks: list[Check] = []
    if load_lbf is not None:
        checks.append(_check_load(joint, load_lbf))
    checks += joint.checks
    for layer, share in zip(layers, _shares(layers, shear_planes), strict=True):
        if layer.edge_in is not None:
            checks.append(check_shear_out(joint, layer, share=share))
        if pitch_in is not None:
            checks += _section_checks(joint, layer, pitch_in=pitch_in, rows=rows, share=share)
    buckling: tuple[InterRivet, ...] = ()
    if compression is not None and pitch_in is not None:
        buckling, buckling_checks = _buckling(fastener, layers, book, pitch_in, compression)
        checks += buckling_checks
    metals = review_metals(fastener, layers)
    checks += metals.checks
    return StrengthReview(
        joint=joint,
        layers=tuple(layers),
        pitch_in=pitch_in,
        rows=rows,
        row_lbf_per_in=(
            None if pitch_in is None else row_lbf_per_in(joint, pitch_in=pitch_in, rows=rows)
        ),
        buckling=buckling,
        metals=metals,
        checks=tuple(checks),
    )


def _shares(layers: Sequence[StrengthLayer], planes: ShearPlanes) -> list[float]:
    return [0.5 if planes > 1 and place != 1 else 1.0 for place in range(len(layers))]


def _check_load(joint: JointStrength, load_lbf: float) -> Check:
    if not math.isfinite(load_lbf) or load_lbf <= 0:
        raise InputError(f"the load is {load_lbf:g} lbf", mend="give a load above zero")
    if joint.allowable_lbf is None:
        if joint.at_most_lbf is not None and joint.at_most_lbf < load_lbf:
            return _load_check(joint, joint.at_most_lbf, load_lbf)
        reason = "the strength of the joint is not known"
        return not_checked(JOINT_STRENGTH, reason, citations=joint.citations)
    return _load_check(joint, joint.allowable_lbf, load_lbf)


def _load_check(joint: JointStrength, carries_lbf: float, load_lbf: float) -> Check:
    return make_check(
        JOINT_STRENGTH,
        carries_lbf,
        load_lbf,
        unit="lbf",
        comparison="at least",
        citations=joint.citations,
        template="{P} >= {load}",
        terms=(Term("P", carries_lbf, "lbf"), Term("load", load_lbf, "lbf")),
    )


def _section_checks(
    joint: JointStrength, layer: StrengthLayer, *, pitch_in: float, rows: int, share: float
) -> list[Check]:
    checks = [check_net_section(joint, layer, pitch_in=pitch_in, rows=rows, share=share)]
    # With more edge than half a pitch the strip at the end is the wider one.
    if layer.edge_in is not None and layer.edge_in < pitch_in / 2:
        checks.append(
            check_net_section(joint, layer, pitch_in=pitch_in, rows=rows, share=share, at_edge=True)
        )
    return checks


def _buckling(
    fastener: Fastener,
    layers: Sequence[StrengthLayer],
    book: RuleBook,
    pitch_in: float,
    compression: Compression,
) -> tuple[tuple[InterRivet, ...], list[Check]]:
    found: list[InterRivet] = []
    checks: list[Check] = []
    for place, layer in enumerate(layers):
        head = holding_head(fastener, layers, place)
        if head is None:
            reason = "no text on file covers blind rivets"
            checks.append(not_checked(INTER_RIVET, reason, where=layer.name))
            continue
        buckling = inter_rivet(layer, pitch_in=pitch_in, head=head, book=book)
        checks.append(check_inter_rivet(buckling, layer, applied_ksi=compression.applied_ksi))
        if buckling is not None:
            found.append(buckling)
    return tuple(found), checks
