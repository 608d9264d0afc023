"""How far a rivet must stand from the bend of a flange."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.limits import (
    check_length,
    require_accuracy,
    require_length,
)
from rivetkit.checks import not_checked

if TYPE_CHECKING:
    from rivetkit.checks import Check
    from rivetkit.rules import RuleBook

HEEL_LEAST = "distance from the bend"
HEEL_RULE = "heel_distance_min"


def check_heel_distance(
    heel_in: float | None,
    *,
    diameter_in: float,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
    why: str = "it was not measured",
) -> Check:
    """Return the check that a rivet's head and the bucking bar clear the bend of a flange.

    Parameters
    ----------
    heel_in
        Rivet centre to the heel, the outside of the bend [in]; None when nobody knows.
    diameter_in
        Rivet diameter [in].
    book
        The rules in force.
    accuracy_in
        How far the measurement may be off [in].
    where
        The row and the layer.
    why
        Why nobody knows.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    Common practice, no source: 2 D. A head of 1.5 D then clears a bend of some three thicknesses
    inside; a larger bend asks for more.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> check_heel_distance(0.2, diameter_in=0.125, book=RuleBook.named()).verdict.value
    'fail'
    """
    rule = book.rule(HEEL_RULE)
    if heel_in is None:
        return not_checked(HEEL_LEAST, why, where=where, citations=(rule.citation,))
    return check_length(
        HEEL_LEAST,
        require_length(heel_in, "the distance from the bend", zero_allowed=True),
        rule=rule,
        comparison="at least",
        symbol="b",
        diameter_in=require_length(diameter_in, "the rivet diameter"),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )
