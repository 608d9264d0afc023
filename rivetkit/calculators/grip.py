"""What length goes back into a stack, solid or blind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.blind_grip import BlindGripResult, blind_grip
from rivetkit.calculators.solid_length import Candidate, GripResult, solid_length
from rivetkit.calculators.stack import Form, Layer, grip_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

__all__ = [
    "BlindGripResult",
    "Candidate",
    "Form",
    "GripResult",
    "Layer",
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
