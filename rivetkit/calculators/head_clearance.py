"""A rivet beside the edge of a layer it does not go through: its heads must lie flat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.lengths.head_volume import shop_head_limits
from rivetkit.calculators.limits import (
    Working,
    require_accuracy,
    require_length,
    unique_citations,
)
from rivetkit.calculators.oversize.sizes import head_size, hole_limits
from rivetkit.checks import Check, Term, Verdict, make_check, not_checked

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

HEAD_CLEAR = "head clear of the edge"
HEAD_CLEAR_RULE = "head_layer_edge_min"

_LEAST = "least distance from an edge beside"


def least_head_clearance(fastener: Fastener, book: RuleBook) -> Working:
    """Return how far a rivet must stand from the edge of a layer that it does not go through [in].

    Nobody tells on which side that layer lies, so the wider of the manufactured and the shop head
    counts. The hole never cuts the edge, whatever the heads are.

    Parameters
    ----------
    fastener
        The rivet.
    book
        The rules in force; ``head_layer_edge_min`` is common practice.

    References
    ----------
    No document: beside an edge a head may touch it, not ride on it (common practice).

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> least = least_head_clearance(parse_part_number("MS20470AD4"), RuleBook.named())
    >>> least.value, least.substituted()
    (0.131, '0.1310 in = 1 x 0.2620 in / 2')
    """
    rule = book.rule(HEAD_CLEAR_RULE)
    heads = [head for head in (head_size(fastener), _shop_head(fastener, book)) if head]
    ways = [
        Working(
            _LEAST,
            rule.value * width_in / 2.0,
            "in",
            "{c} = {k} x {A} / 2",
            (
                Term("c", rule.value * width_in / 2.0, "in"),
                Term("k", rule.value),
                Term("A", width_in, "in"),
            ),
            unique_citations((rule.citation, citation)),
        )
        for width_in, citation in heads
    ]
    hole = hole_limits(fastener, book)
    hole_in = fastener.diameter_in if hole is None else hole.most_in
    ways.append(
        Working(
            _LEAST,
            hole_in / 2.0,
            "in",
            "{c} = {H} / 2",
            (Term("c", hole_in / 2.0, "in"), Term("H", hole_in, "in")),
            unique_citations((rule.citation, *(hole.citations if hole else ()))),
        )
    )
    return max(ways, key=lambda way: way.value)


def check_head_clear(
    edge_in: float,
    *,
    fastener: Fastener,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check that a rivet keeps clear of the edge of a layer it does not go through.

    Where the manufactured head is not on file, only what is known of the rivet can fail; nothing
    passes.

    Parameters
    ----------
    edge_in
        Rivet centre to the edge [in], on whichever side of it.
    fastener
        The rivet.
    book
        The rules in force.
    accuracy_in
        How far the distance may be off [in].
    where
        The edge and its layer.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    No document: beside an edge a head may touch it, not ride on it (common practice).

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> part, book = parse_part_number("MS20470AD4"), RuleBook.named()
    >>> check_head_clear(0.03, fastener=part, book=book).verdict.value
    'fail'
    """
    require_length(edge_in, "the distance to the edge", zero_allowed=True)
    least = least_head_clearance(fastener, book)
    check = make_check(
        HEAD_CLEAR,
        edge_in,
        least.value,
        unit="in",
        comparison="at least",
        citations=least.citations,
        template=f"{{a}} >= {least.template}",
        terms=(Term("a", edge_in, "in"), *least.terms),
        accuracy=require_accuracy(accuracy_in),
        where=where,
    )
    if head_size(fastener) is None and check.verdict is Verdict.PASS:
        reason = f"the head diameter of {fastener.designation} is not on file"
        return not_checked(HEAD_CLEAR, reason, where=where, citations=least.citations)
    return check


def _shop_head(fastener: Fastener, book: RuleBook) -> tuple[float, Citation] | None:
    """Return the greatest shop head of a solid rivet [in], else the target one."""
    if fastener.blind:
        return None
    limits = shop_head_limits(fastener, book)
    if limits.width_max_in is None or limits.greatest is None:
        return limits.target_width_in, limits.target[0]
    return limits.width_max_in, limits.greatest
