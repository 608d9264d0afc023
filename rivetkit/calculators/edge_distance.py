"""Edge distance: rivet centre to the nearest free edge, in every layer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import check_length, require_accuracy, require_length
from rivetkit.checks import Verdict, not_checked
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from rivetkit.checks import Check
    from rivetkit.rules import RuleBook

EDGE_LEAST = "edge distance"
EDGE_GREATEST = "edge distance, greatest"


@dataclass(frozen=True, slots=True)
class LayerEdge:
    """A layer and its edge distance [in] at a rivet; none when nobody gave it."""

    layer: str
    edge_in: float | None


def edge_margin(edge_in: float, diameter_in: float) -> float:
    """Return the edge margin: edge distance over rivet diameter.

    Parameters
    ----------
    edge_in
        Rivet centre to the nearest free edge [in].
    diameter_in
        Rivet diameter [in].

    Returns
    -------
    float
        Multiple of the diameter.

    Raises
    ------
    InputError
        When either is no length.

    Examples
    --------
    >>> edge_margin(0.25, 0.125)
    2.0
    """
    require_length(edge_in, "the edge distance", zero_allowed=True)
    return edge_in / require_length(diameter_in, "the rivet diameter")


def edge_question(*, flush: bool) -> str:
    """Return the rule question that asks for the least edge distance of a head."""
    return "edge_distance_min_flush" if flush else "edge_distance_min_protruding"


def check_edge_distance(
    edge_in: float,
    *,
    diameter_in: float,
    flush: bool,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of an edge distance against the least one.

    Parameters
    ----------
    edge_in
        Rivet centre to the nearest free edge of this layer [in].
    diameter_in
        Rivet diameter [in].
    flush
        Whether the manufactured head is flush; it then needs more edge.
    book
        The rules in force.
    accuracy_in
        How far the measurement may be off [in].
    where
        The layer.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    Army AL0992 p 59: 2 D, flush 2.5 D, never over 4 D.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> book = RuleBook.named()
    >>> check = check_edge_distance(0.25, diameter_in=0.125, flush=False, book=book)
    >>> check.verdict.value, check.substituted()
    ('pass', '0.2500 in >= 2 x 0.1250 in')
    """
    require_length(edge_in, "the edge distance", zero_allowed=True)
    return check_length(
        EDGE_LEAST,
        edge_in,
        rule=book.rule(edge_question(flush=flush)),
        comparison="at least",
        symbol="e",
        diameter_in=require_length(diameter_in, "the rivet diameter"),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def check_strayed(
    check_at: Callable[[float], Check], distance_in: float, *, stray_in: float
) -> Check:
    """Return the check of a distance that may be less, nobody knows whether it is.

    It is made with the least distance. If only that does worse, it is not made: holes that stray
    from a straight line may come nearer to the edge, or the edge may go along with them.

    Parameters
    ----------
    check_at
        Makes the check of a distance [in].
    distance_in
        The distance told [in].
    stray_in
        How much less it may be [in].

    References
    ----------
    Common practice, no source: what may be is not a pass.

    Examples
    --------
    >>> from functools import partial
    >>> from rivetkit.rules import RuleBook
    >>> check_at = partial(
    ...     check_edge_distance, diameter_in=0.125, flush=False, book=RuleBook.named())
    >>> [check_strayed(check_at, 0.4, stray_in=stray).verdict.value for stray in (0.1, 0.2)]
    ['pass', 'not_checked']
    """
    told = check_at(distance_in)
    if not stray_in or told.verdict is Verdict.FAIL:
        return told
    least = check_at(max(distance_in - stray_in, 0.0))
    if least.verdict is told.verdict:
        return least
    return not_checked(
        told.name,
        length_words(
            "its holes stray {stray:.2g} from a straight line: draw the layer, tell a row that "
            "bends with its flange as a path, or measure the nearest hole (edge_distance)",
            stray=stray_in,
        ),
        where=told.where,
        citations=told.citations,
    )


def check_edge_distance_greatest(
    edge_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of an edge distance against the greatest one; the sheet edge lifts past it.

    Parameters and errors are those of :func:`check_edge_distance`.
    """
    require_length(edge_in, "the edge distance", zero_allowed=True)
    return check_length(
        EDGE_GREATEST,
        edge_in,
        rule=book.rule("edge_distance_max"),
        comparison="at most",
        symbol="e",
        diameter_in=require_length(diameter_in, "the rivet diameter"),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )
