"""The stack a rivet goes through, from the manufactured head to the far side."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.limits import Working, require_length
from rivetkit.checks import Term
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.catalogue import dimension

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation

Form = Literal["plain", "dimpled", "countersunk"]

#: How the layers under a flush head may follow each other, from the manufactured head down:
#: dimples nest in dimples or in a countersink, and only below a countersink is a layer plain.
_FLUSH_STACK = re.compile(r"d+|d*c+p*")


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a stack: its name, thickness [in], what is formed at the hole, its alloy.

    The alloy is empty where nobody told it.
    """

    name: str
    thickness_in: float
    form: Form = "plain"
    alloy: str = ""


def grip_of(layers: Sequence[Layer], sealant_in: float = 0.0) -> float:
    """Return the grip: the thickness of the whole stack [in], sealant included.

    Parameters
    ----------
    layers
        From the manufactured head to the far side.
    sealant_in
        Thickness of all sealant between the layers [in].

    Raises
    ------
    InputError
        When there is no layer, or a thickness is not one.

    Examples
    --------
    >>> grip_of([Layer("skin", 0.032), Layer("rib", 0.032)])
    0.064
    """
    if not layers:
        raise InputError("the stack has no layer", mend="give the thickness of every layer")
    for layer in layers:
        require_length(layer.thickness_in, f"the thickness of '{layer.name}'")
    require_length(sealant_in, "the sealant thickness", zero_allowed=True)
    return sum(layer.thickness_in for layer in layers) + sealant_in


def require_stack(fastener: Fastener, layers: Sequence[Layer]) -> None:
    """See that the layers suit the head.

    Raises
    ------
    InputError
        When a layer is formed for a head that is not flush, or a flush head has nowhere to seat.
    """
    forms = "".join(layer.form[0] for layer in layers)
    if not fastener.flush:
        for layer in layers:
            if layer.form != "plain":
                raise InputError(
                    f"layer '{layer.name}' is {layer.form}, but '{fastener.designation}' does not "
                    "have a flush head",
                    mend="make the layer plain, or name a flush rivet",
                )
    elif layers and not _FLUSH_STACK.fullmatch(forms):
        shown = ", ".join(f"{layer.name} {layer.form}" for layer in layers)
        raise InputError(
            f"a flush head does not seat in {shown}",
            mend="from the head down give dimpled layers, then countersunk ones, then, below a "
            "countersink, plain ones",
        )


def grip_working(
    layers: Sequence[Layer],
    sealant_in: float,
    *,
    extra: tuple[Term, ...] = (),
    citations: tuple[Citation, ...] = (),
) -> Working:
    """Return the sum of layers, sealant [in] and what else counts, as a line of arithmetic."""
    grip_in = grip_of(layers, sealant_in) + sum(term.value for term in extra)
    parts = [Term(f"t{number}", layer.thickness_in, "in") for number, layer in enumerate(layers, 1)]
    if sealant_in:
        parts.append(Term("s", sealant_in, "in"))
    parts += extra
    total = " + ".join(f"{{{part.symbol}}}" for part in parts)
    terms = (Term("G", grip_in, "in"), *parts)
    return Working("grip", grip_in, "in", f"{{G}} = {total}", terms, citations)


def head_height(fastener: Fastener) -> tuple[float, Citation]:
    """Return the height of a manufactured head [in] and where it comes from.

    Raises
    ------
    OutOfTableError
        When it is not on file.
    """
    height = dimension(fastener, "head_height")
    height_in = None if height is None else height.nominal_in
    if height is None or height_in is None:
        raise OutOfTableError(
            f"the head height of '{fastener.designation}' is not on file",
            mend="measure the head and work the length out by hand",
        )
    return height_in, height.citation
