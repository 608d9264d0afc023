"""Whether a movement stays inside the room a hole leaves its fastener, and the hole that has it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.limits import require_length, unique_citations
from rivetkit.checks import Check, Term, make_check
from rivetkit.errors import InputError
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.handbook.sources import Citation
    from rivetkit.rules import RuleBook

MATCH_DRILLING = "movement against the room in the hole"

#: The rule question that says how much of the room in a hole a movement may take up.
MATCH_DRILLING_RULE = "match_drill_movement_max"


def hole_for_movement_in(movement_in: float, *, fastener_in: float, book: RuleBook) -> float:
    """Return the hole, or the length of the slot, in which a fastener stays free [in].

    Parameters
    ----------
    movement_in
        How far the part moves past the fastener, either way [in].
    fastener_in
        Diameter of the fastener's shank [in].
    book
        The rules in force.

    Raises
    ------
    InputError
        When the fastener's diameter is no length.

    Examples
    --------
    A fastener in the middle of its hole uses half the room on either side:

    >>> from rivetkit.rules import RuleBook
    >>> hole_for_movement_in(0.03, fastener_in=0.19, book=RuleBook.named())
    0.25
    """
    require_length(fastener_in, "the fastener's diameter")
    return fastener_in + abs(movement_in) / book.rule(MATCH_DRILLING_RULE).value


def check_match_drilling(
    movement_in: float,
    *,
    hole_in: float,
    fastener_in: float,
    book: RuleBook,
    citations: Sequence[Citation] = (),
    where: str = "",
) -> Check:
    """Return the check that a movement stays inside the room a hole leaves its fastener.

    Parameters
    ----------
    movement_in
        How far one part moves against the other since their holes matched, either way [in].
    hole_in, fastener_in
        Diameters of the hole and of the shank in it [in].
    book
        The rules in force.
    citations
        Where the movement comes from.
    where
        The parts, or the hole.

    Raises
    ------
    InputError
        When a diameter is no length, or the fastener is larger than the hole.

    References
    ----------
    Common practice, no source: half the room, where a fastener in the middle of its hole touches.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> check = check_match_drilling(
    ...     0.004, hole_in=0.1285, fastener_in=0.125, book=RuleBook.named()
    ... )
    >>> check.verdict.value, check.substituted()
    ('fail', '0.0040 in <= 0.5 x (0.1285 in - 0.1250 in)')
    """
    require_length(hole_in, "the hole")
    require_length(fastener_in, "the fastener's diameter")
    if fastener_in > hole_in:
        raise InputError(
            length_words(
                "a fastener of {fastener} does not go into a hole of {hole}",
                fastener=fastener_in,
                hole=hole_in,
            ),
            mend="check the two diameters",
        )
    rule = book.rule(MATCH_DRILLING_RULE)
    moved_in = abs(movement_in)
    return make_check(
        MATCH_DRILLING,
        moved_in,
        rule.value * (hole_in - fastener_in),
        unit="in",
        comparison="at most",
        citations=unique_citations((rule.citation, *citations)),
        template="{m} <= {f} x ({H} - {d})",
        terms=(
            Term("m", moved_in, "in"),
            Term("f", rule.value),
            Term("H", hole_in, "in"),
            Term("d", fastener_in, "in"),
        ),
        where=where,
    )
