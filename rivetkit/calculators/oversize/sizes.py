"""The sizes a rivet comes in, and the hole and head of each; cached, for jobs of many holes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import OutOfTableError
from rivetkit.fasteners.catalogue import dimension, rivet_hole
from rivetkit.fasteners.fastener import without_length
from rivetkit.fasteners.grammar import standards

if TYPE_CHECKING:
    from rivetkit.drills import Drill
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import Rule, RuleBook


@dataclass(frozen=True, slots=True)
class HoleLimits:
    """The hole a rivet wants [in], and the drill its table names."""

    least_in: float
    most_in: float
    drill: Drill | None
    citations: tuple[Citation, ...]


@lru_cache(maxsize=1024)
def all_sizes(fastener: Fastener) -> tuple[Fastener, ...]:
    """Return a rivet in every diameter its standard lists, the smallest first."""
    standard = standards()[fastener.standard]
    sizes = [
        replace(fastener, diameter_code=code, diameter_in=standard.diameter_in(code))
        for code in standard.diameters
    ]
    return tuple(sorted(sizes, key=lambda rivet: rivet.diameter_in))


@lru_cache(maxsize=1024)
def size_steps(fastener: Fastener) -> tuple[Fastener, ...]:
    """Return the same rivet in every larger diameter its standard lists, the next one first.

    Parameters
    ----------
    fastener
        A solid or blind rivet; its length is left out of the answer.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> [rivet.designation for rivet in size_steps(parse_part_number("MS20470AD6-5"))]
    ['MS20470AD8', 'MS20470AD10', 'MS20470AD12']
    """
    return tuple(
        rivet
        for rivet in all_sizes(without_length(fastener))
        if rivet.diameter_in > fastener.diameter_in + LIMIT_TOLERANCE
    )


def next_size_up(fastener: Fastener) -> Fastener | None:
    """Return the same rivet in the next larger diameter its standard lists, or None.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> next_size_up(parse_part_number("MS20426AD3")).designation
    'MS20426AD4'
    """
    steps = size_steps(fastener)
    return steps[0] if steps else None


def handbook_steps(from_in: float, to_in: float, *, book: RuleBook) -> int:
    """Return how many of the handbook's steps lie between two rivet diameters, rounded up.

    Parameters
    ----------
    from_in, to_in
        Rivet diameters [in].
    book
        The rules in force; they give the step, and the diameter up to which the small one holds.

    References
    ----------
    MIL-R-47196A, as quoted: next larger is 1/32 in up to 1/4 in, 1/16 in above.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> book = RuleBook.named()
    >>> handbook_steps(5/32, 3/16, book=book), handbook_steps(3/16, 1/4, book=book)
    (1, 2)
    >>> handbook_steps(1/4, 5/16, book=book)
    1
    """
    limit_in = book.rule("oversize_step_small_limit").length_in(diameter_in=from_in)
    small_in = book.rule("oversize_step_small").length_in(diameter_in=from_in)
    large_in = book.rule("oversize_step_large").length_in(diameter_in=from_in)
    steps, reached_in = 0, from_in
    while reached_in < to_in - LIMIT_TOLERANCE:
        # a rivet of just that diameter has no small step left: the next would be above it
        small = reached_in + small_in <= limit_in + LIMIT_TOLERANCE
        reached_in += small_in if small else large_in
        steps += 1
    return steps


@lru_cache(maxsize=1024)
def head_size(fastener: Fastener) -> tuple[float, Citation] | None:
    """Return the greatest head diameter of a rivet [in] and its source; None when not on file."""
    head = dimension(fastener, "head_diameter")
    size_in = None if head is None else head.largest_in
    return None if head is None or size_in is None else (size_in, head.citation)


@lru_cache(maxsize=1024)
def hole_limits(fastener: Fastener, book: RuleBook) -> HoleLimits | None:
    """Return the least and greatest hole for a rivet; None when no table has its diameter.

    Where a table prints no limits its own hole is both.
    """
    try:
        hole = rivet_hole(fastener, book)
    except OutOfTableError:
        return None
    least, most = hole.hole_min_in, hole.hole_max_in
    least = hole.hole_in if least is None else least
    most = hole.hole_in if most is None else most
    if least is None or most is None:
        return None
    limited = hole.limits_citation or hole.citation
    return HoleLimits(least, most, hole.drill, (limited,))


@lru_cache(maxsize=1024)
def rule_in_force(question: str, book: RuleBook) -> Rule:
    """Return the rule in force for a question, looked up once."""
    return book.rule(question)
