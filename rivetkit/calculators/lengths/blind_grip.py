"""A blind rivet: the stock length whose grip range holds the stack."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working, require_length
from rivetkit.calculators.stack import Layer, grip_of, grip_working, head_height, require_stack
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, make_check
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.catalogue import StockGrip, stock_grips
from rivetkit.fasteners.part_number import with_length_code
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation

GRIP_LEAST = "grip, least"
GRIP_GREATEST = "grip, greatest"


@dataclass(frozen=True, slots=True)
class BlindGripResult:
    """The length of a blind rivet for a stack."""

    fastener: Fastener
    grip_in: float
    #: What the rivet must take [in]: the stack, and the head height where all layers are dimpled.
    needed_grip_in: float
    grip_min_in: float
    grip_max_in: float
    workings: tuple[Working, ...]
    checks: tuple[Check, ...]


def blind_grip(
    fastener: Fastener,
    layers: Sequence[Layer],
    *,
    sealant_in: float = 0.0,
    head_height_in: float | None = None,
) -> BlindGripResult:
    """Return the stock length of a blind rivet whose grip range holds a stack, ends included.

    Where two ranges meet in the stack's thickness the shorter rivet is taken.

    Parameters
    ----------
    fastener
        The rivet; a length it has is not looked at.
    layers
        From the manufactured head to the far side.
    sealant_in
        Thickness of all sealant between the layers [in].
    head_height_in
        Height of the flush head as measured [in], for a dimpled stack; without it the catalogue's.

    Raises
    ------
    InputError
        When the rivet is solid, a length is not one, or the layers do not suit the head.
    OutOfTableError
        When no stock length takes the stack, or the head height a dimpled stack needs is not on
        file.

    References
    ----------
    TM 9-2320-363-34-2 p 22-21: under a flush head, dimpled sheets count the head height too.
    """
    if not fastener.blind:
        raise InputError(
            f"'{fastener.designation}' is a solid rivet", mend="choose its length by allowance"
        )
    working, citations = _needed_grip(fastener, layers, sealant_in, head_height_in)
    grip_in = grip_of(layers, sealant_in)
    stock = _stock_taking(working.value, fastener)
    rivet = with_length_code(fastener, stock.code)
    return BlindGripResult(
        fastener=rivet,
        grip_in=grip_in,
        needed_grip_in=working.value,
        grip_min_in=stock.grip_min_in,
        grip_max_in=stock.grip_max_in,
        workings=(working,),
        checks=_range_checks(working.value, stock, citations, rivet.designation),
    )


def check_blind_grip(
    fastener: Fastener, layers: Sequence[Layer], *, sealant_in: float
) -> tuple[Check, ...]:
    """Return the checks of a blind rivet of a given length against a stack.

    Parameters
    ----------
    fastener
        The rivet, with its length or grip.
    layers
        From the manufactured head to the far side.
    sealant_in
        Thickness of all sealant between the layers [in].

    Raises
    ------
    InputError
        When the rivet has no grip range on file, or the layers do not suit the head.

    References
    ----------
    ``tables/fasteners/blind_grips.csv``: the range of each stock length, and where it was read.
    """
    stock = [entry for entry in stock_grips(fastener) if entry.code == fastener.length_code]
    if not stock:
        raise InputError(
            f"'{fastener.designation}' has no grip range on file", mend="give its length or grip"
        )
    needed, citations = _needed_grip(fastener, layers, sealant_in, None)
    return _range_checks(needed.value, stock[0], citations, fastener.designation)


def _needed_grip(
    fastener: Fastener, layers: Sequence[Layer], sealant_in: float, head_height_in: float | None
) -> tuple[Working, tuple[Citation, ...]]:
    """Return the grip a stack asks of a blind rivet: under a flush head, dimples add its height."""
    require_stack(fastener, layers)
    extra: tuple[Term, ...] = ()
    citations: tuple[Citation, ...] = ()
    if all(layer.form == "dimpled" for layer in layers):
        if head_height_in is None:
            height_in, citation = head_height(fastener)
            citations = (citation,)
        else:
            height_in = require_length(head_height_in, "the head height")
        extra = (Term("h", height_in, "in"),)
    return grip_working(layers, sealant_in, extra=extra, citations=citations), citations


def _stock_taking(grip_in: float, fastener: Fastener) -> StockGrip:
    """Return the shortest stock length whose range holds a grip."""
    name = fastener.designation
    stock = stock_grips(fastener)
    if not stock:
        raise OutOfTableError(
            f"no grip range of '{name}' is on file", mend="name another standard or diameter"
        )
    for entry in stock:
        least_in, greatest_in = entry.grip_min_in, entry.grip_max_in
        if least_in - LIMIT_TOLERANCE <= grip_in <= greatest_in + LIMIT_TOLERANCE:
            return entry
    shorter = [entry for entry in stock if entry.grip_max_in < grip_in]
    longer = [entry for entry in stock if entry.grip_min_in > grip_in]
    if shorter and longer:
        raise OutOfTableError(
            length_words(
                "a grip of {grip} falls between {shorter} and {longer}",
                grip=grip_in,
                shorter=_words(shorter[-1], fastener),
                longer=_words(longer[0], fastener),
            ),
            mend="measure the stack again, or name another fastener",
        )
    raise OutOfTableError(
        length_words(
            "no stock length of '{name}' takes a grip of {grip}; on file the least is {least} and "
            "the greatest {greatest}",
            name=name,
            grip=grip_in,
            least=min(entry.grip_min_in for entry in stock),
            greatest=stock[-1].grip_max_in,
        ),
        mend="name another fastener or diameter",
    )


def _words(stock: StockGrip, fastener: Fastener) -> str:
    name = with_length_code(fastener, stock.code).designation
    return length_words(
        "'{name}' ({least} to {greatest})",
        name=name,
        least=stock.grip_min_in,
        greatest=stock.grip_max_in,
    )


def _range_checks(
    grip_in: float, stock: StockGrip, citations: tuple[Citation, ...], where: str
) -> tuple[Check, Check]:
    return (
        make_check(
            GRIP_LEAST,
            grip_in,
            stock.grip_min_in,
            unit="in",
            comparison="at least",
            citations=(stock.citation, *citations),
            template="{G} >= {G_min}",
            terms=(Term("G", grip_in, "in"), Term("G_min", stock.grip_min_in, "in")),
            where=where,
        ),
        make_check(
            GRIP_GREATEST,
            grip_in,
            stock.grip_max_in,
            unit="in",
            comparison="at most",
            citations=(stock.citation, *citations),
            template="{G} <= {G_max}",
            terms=(Term("G", grip_in, "in"), Term("G_max", stock.grip_max_in, "in")),
            where=where,
        ),
    )
