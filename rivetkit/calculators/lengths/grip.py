"""What length goes back into a stack, solid or blind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.lengths.blind_grip import BlindGripResult, blind_grip, check_blind_grip
from rivetkit.calculators.lengths.solid_length import (
    Candidate,
    GripResult,
    assess_solid_length,
    solid_length,
)
from rivetkit.calculators.stack import Form, Layer, grip_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.checks import Check
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

__all__ = [
    "BlindGripResult",
    "Candidate",
    "Form",
    "GripResult",
    "Layer",
    "assess_length",
    "blind_grip",
    "choose_length",
    "grip_of",
    "solid_length",
]


def choose_length(
    fastener: Fastener,
    layers: Sequence[Layer],
    book: RuleBook,
    *,
    sealant_in: float = 0.0,
    half_lengths: bool = True,
) -> GripResult | BlindGripResult:
    """Return the length of any rivet for a stack; a length the part number has is not looked at.

    Parameters and errors are those of :func:`solid_length` and :func:`blind_grip`.
    """
    if fastener.blind:
        return blind_grip(fastener, layers, sealant_in=sealant_in)
    return solid_length(fastener, layers, book, sealant_in=sealant_in, half_lengths=half_lengths)


def assess_length(
    fastener: Fastener, layers: Sequence[Layer], book: RuleBook, *, sealant_in: float = 0.0
) -> tuple[Check, ...]:
    """Return the checks of a rivet whose length somebody has chosen already.

    Parameters and errors are those of :func:`choose_length`; the rivet must have a length.
    """
    if fastener.blind:
        return check_blind_grip(fastener, layers, sealant_in=sealant_in)
    return assess_solid_length(fastener, layers, book, sealant_in=sealant_in).checks
