"""A solid rivet: wanted length, stock length, and the head each stock length makes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.lengths.head_volume import (
    HEAD_GREATEST,
    HEAD_LEAST,
    ShopHead,
    check_predicted_head,
    predict_shop_head,
    shop_head_volume,
)
from rivetkit.calculators.limits import Working, limit_terms
from rivetkit.calculators.stack import Layer, grip_of, grip_working, head_height, require_stack
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, not_checked
from rivetkit.errors import InputError, OutOfTableError, RivetkitError
from rivetkit.fasteners.catalogue import rivet_hole, shank
from rivetkit.fasteners.grammar import standards
from rivetkit.fasteners.part_number import stock_lengths_in, with_length
from rivetkit.quantities import length_words, words_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook


@dataclass(frozen=True, slots=True)
class Candidate:
    """A stock length and what it is expected to make of itself."""

    fastener: Fastener
    length_in: float
    chosen: bool
    #: Shank standing out of the far side before driving [in] and in diameters.
    protrusion_in: float | None
    protrusion_diameters: float | None
    head: ShopHead | None
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class GripResult:
    """The length of a solid rivet for a stack, with its stock neighbours, shortest first."""

    fastener: Fastener
    grip_in: float
    wanted_length_in: float
    #: ``nearest`` (a tie goes to the longer) or ``up``.
    rounding: str
    workings: tuple[Working, ...]
    candidates: tuple[Candidate, ...]

    @property
    def chosen(self) -> Candidate:
        """The candidate of the chosen length."""
        return next(candidate for candidate in self.candidates if candidate.chosen)

    @property
    def checks(self) -> tuple[Check, ...]:
        """The checks of the chosen length."""
        return self.chosen.checks


def solid_length(
    fastener: Fastener,
    layers: Sequence[Layer],
    book: RuleBook,
    *,
    sealant_in: float = 0.0,
    half_lengths: bool = True,
) -> GripResult:
    """Return the stock length of a solid rivet for a stack: grip plus an allowance, rounded.

    Parameters
    ----------
    fastener
        The rivet; a length it has is not looked at.
    layers
        From the manufactured head to the far side.
    book
        The rules in force.
    sealant_in
        Thickness of all sealant between the layers [in].
    half_lengths
        Whether lengths between the whole ones are stocked.

    Raises
    ------
    InputError
        When the rivet is blind, a length is not one, or the layers do not suit the head.
    OutOfTableError
        When rounding the wanted length would leave the stock range.

    References
    ----------
    NAVEDTRA 14018 ch 13 fig 13-43: L = G + 1.5 D.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> rivet = parse_part_number("MS20470AD4")
    >>> stack = [Layer("skin", 0.032), Layer("rib", 0.032)]
    >>> result = solid_length(rivet, stack, RuleBook.named())
    >>> result.fastener.designation, result.wanted_length_in
    ('MS20470AD4-4', 0.2515)
    """
    if fastener.blind:
        raise InputError(
            f"'{fastener.designation}' is a blind rivet", mend="choose its length by grip range"
        )
    require_stack(fastener, layers)
    grip_in = grip_of(layers, sealant_in)
    wanted = _wanted_length(grip_in, fastener, book)
    rounding = book.choice("length_rounding").choice
    stock = stock_lengths_in(fastener, half_lengths=half_lengths)
    position = _stock_position(wanted.value, stock, rounding, fastener)
    candidates = tuple(
        _candidate(
            with_length(fastener, length_in),
            layers,
            book,
            grip_in=grip_in,
            length_in=length_in,
            chosen=length_in == stock[position],
        )
        for length_in in stock[max(position - 1, 0) : position + 2]
    )
    return GripResult(
        fastener=next(candidate.fastener for candidate in candidates if candidate.chosen),
        grip_in=grip_in,
        wanted_length_in=wanted.value,
        rounding=rounding,
        workings=(
            grip_working(layers, sealant_in),
            wanted,
            _stock_working(stock[position], wanted.value, fastener, book),
        ),
        candidates=candidates,
    )


def _wanted_length(grip_in: float, fastener: Fastener, book: RuleBook) -> Working:
    rule = book.rule("length_allowance")
    diameter_in = fastener.diameter_in
    length_in = grip_in + rule.length_in(diameter_in=diameter_in, thickness_in=grip_in)
    template, terms = limit_terms(rule, diameter_in=diameter_in, thickness_in=grip_in)
    return Working(
        "length",
        length_in,
        "in",
        f"{{L}} = {{G}} + {template}",
        (Term("L", length_in, "in"), Term("G", grip_in, "in"), *terms),
        (rule.citation,),
    )


def _stock_position(
    wanted_in: float, stock: Sequence[float], rounding: str, fastener: Fastener
) -> int:
    """Return which stock length answers the wanted one; solid rivets come in even steps."""
    if not stock:
        raise OutOfTableError(
            f"no stock length of '{fastener.designation}' is on file", mend="name another standard"
        )
    step_in = stock[1] - stock[0] if len(stock) > 1 else stock[0]
    beyond_in = wanted_in - stock[0]
    if rounding == "up":
        position = math.ceil((beyond_in - LIMIT_TOLERANCE) / step_in)
    else:
        position = math.floor((beyond_in + LIMIT_TOLERANCE) / step_in + 0.5)
    if not 0 <= position < len(stock):
        raise OutOfTableError(
            length_words(
                "this stack wants a '{rivet}' {wanted} long, and stock runs from {least} to {most}",
                rivet=fastener.designation,
                wanted=wanted_in,
                least=stock[0],
                most=stock[-1],
            ),
            mend="take another diameter or another fastener",
        )
    return position


def _stock_working(
    stock_in: float, wanted_in: float, fastener: Fastener, book: RuleBook
) -> Working:
    question = "length_rounding"
    choice = book.choice(question)
    words = "next at or above" if choice.choice == "up" else "nearest to"
    return Working(
        "stock length",
        stock_in,
        "in",
        f"{{S}} is the stock length {words} {{L}}",
        (Term("S", stock_in, "in"), Term("L", wanted_in, "in")),
        (choice.citation(question), standards()[fastener.canonical].citation),
    )


def assess_solid_length(
    fastener: Fastener, layers: Sequence[Layer], book: RuleBook, *, sealant_in: float
) -> Candidate:
    """Return what a rivet of a given length is expected to make of itself in a stack.

    Parameters
    ----------
    fastener
        The rivet, with its length.
    layers
        From the manufactured head to the far side.
    book
        The rules in force.
    sealant_in
        Thickness of all sealant between the layers [in].

    Raises
    ------
    InputError
        When the rivet has no length, or the layers do not suit the head.
    """
    if fastener.length_in is None:
        raise InputError(f"'{fastener.designation}' has no length", mend="give its length")
    require_stack(fastener, layers)
    return _candidate(
        fastener,
        layers,
        book,
        grip_in=grip_of(layers, sealant_in),
        length_in=fastener.length_in,
        chosen=True,
    )


def _candidate(
    fastener: Fastener,
    layers: Sequence[Layer],
    book: RuleBook,
    *,
    grip_in: float,
    length_in: float,
    chosen: bool,
) -> Candidate:
    try:
        shank_in, hole_length_in, heights = _below_head(fastener, layers, grip_in, length_in)
        head = _predicted(fastener, book, shank_in, hole_length_in, heights)
    except RivetkitError as error:
        unknown = tuple(
            not_checked(name, words_of(error), where=fastener.designation)
            for name in (HEAD_LEAST, HEAD_GREATEST)
        )
        return Candidate(fastener, length_in, chosen, None, None, None, unknown)
    protrusion_in = shank_in - hole_length_in
    return Candidate(
        fastener=fastener,
        length_in=length_in,
        chosen=chosen,
        protrusion_in=protrusion_in,
        protrusion_diameters=protrusion_in / fastener.diameter_in,
        head=head,
        checks=check_predicted_head(head, fastener=fastener, book=book, where=fastener.designation),
    )


def _below_head(
    fastener: Fastener, layers: Sequence[Layer], grip_in: float, length_in: float
) -> tuple[float, float, tuple[Citation, ...]]:
    """Return the shank below the manufactured head [in], the hole it fills [in], and sources.

    A countersink takes its depth out of the stack, so the hole is that much shorter. Dimples move
    the sheets down instead, and the hole is still as long as the stack is thick.
    """
    if fastener.length_datum != "overall":
        return length_in, grip_in, ()
    height_in, citation = head_height(fastener)
    sunk = any(layer.form == "countersunk" for layer in layers)
    hole_in = grip_in - height_in if sunk else grip_in
    if hole_in <= 0:
        raise InputError(
            length_words(
                "the countersunk head is {head} high and the stack {stack} thick",
                head=height_in,
                stack=grip_in,
            ),
            mend="dimple the layers, or take a smaller head",
        )
    return length_in - height_in, hole_in, (citation,)


def _predicted(
    fastener: Fastener,
    book: RuleBook,
    shank_in: float,
    hole_length_in: float,
    citations: tuple[Citation, ...],
) -> ShopHead:
    rod = shank(fastener)
    # The nominal diameter is the part number's; only an oversize shank is a table's word.
    own = () if rod.diameter_in == fastener.diameter_in else (rod.citation,)
    hole = rivet_hole(fastener, book)
    if hole.hole_in is None:
        raise OutOfTableError(
            f"no hole diameter is on file for '{fastener.designation}'",
            mend="choose a rule set whose hole table has one",
        )
    volume_in3 = shop_head_volume(
        shank_length_in=shank_in,
        shank_diameter_in=rod.diameter_in,
        hole_length_in=hole_length_in,
        hole_diameter_in=hole.hole_in,
    )
    return predict_shop_head(
        volume_in3,
        diameter_in=fastener.diameter_in,
        book=book,
        citations=(*own, hole.citation, *citations),
    )
