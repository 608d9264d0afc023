"""The rivet's diameter against the sheet it holds, and against the leg of a stringer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.limits import check_length, require_accuracy, require_length
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.checks import Check
    from rivetkit.rules import RuleBook

DIAMETER_LEAST = "diameter for the thickest sheet, least"
DIAMETER_GREATEST = "diameter for the thickest sheet, greatest"
DIAMETER_STRUCTURAL = "diameter in structure"
LEG_WIDTH = "width of the stringer's leg"


def check_stringer_leg(
    width_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of a rivet against the width of the stringer's leg it goes through.

    Parameters
    ----------
    width_in
        Width of the leg, from its free edge to the heel of the bend [in].
    diameter_in
        Rivet diameter [in].
    book
        The rules in force.
    accuracy_in
        How far the measured width may be off [in].
    where
        The stringer.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    AC 43.13-1B par 4-58l, p 4-36: the diameter is at most a quarter of the leg's width.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> check_stringer_leg(0.5, diameter_in=5 / 32, book=RuleBook.named()).substituted()
    '0.5000 in >= 4 x 0.1562 in'
    """
    return check_length(
        LEG_WIDTH,
        require_length(width_in, "the width of the leg"),
        rule=book.rule("stringer_leg_width_min"),
        comparison="at least",
        symbol="W",
        diameter_in=require_length(diameter_in, "the rivet diameter"),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def check_diameter_for_sheet(
    diameter_in: float, *, sheets_in: Sequence[float], book: RuleBook, where: str = ""
) -> tuple[Check, ...]:
    """Return the checks of a rivet diameter against the thickest sheet and the structural least.

    Parameters
    ----------
    diameter_in
        Rivet diameter [in].
    sheets_in
        Thickness of every sheet of the stack [in].
    book
        The rules in force.
    where
        The row.

    Raises
    ------
    InputError
        When there is no sheet, or a length is not one.

    References
    ----------
    NAVEDTRA 14018 ch 13, rivet selection: at least the thickest sheet; 3/32 in structure.
    AC 43.13-1B p 4-27: 5/32 accepted on .032.
    """
    require_length(diameter_in, "the rivet diameter")
    if not sheets_in:
        raise InputError("no sheet is given", mend="give the thickness of every sheet")
    thickest_in = max(require_length(sheet, "a sheet thickness") for sheet in sheets_in)
    return (
        check_length(
            DIAMETER_LEAST,
            diameter_in,
            rule=book.rule("diameter_per_thickness_min"),
            comparison="at least",
            symbol="D",
            thickness_in=thickest_in,
            where=where,
        ),
        check_length(
            DIAMETER_GREATEST,
            diameter_in,
            rule=book.rule("diameter_per_thickness_max"),
            comparison="at most",
            symbol="D",
            thickness_in=thickest_in,
            where=where,
        ),
        check_length(
            DIAMETER_STRUCTURAL,
            diameter_in,
            rule=book.rule("diameter_min_structural"),
            comparison="at least",
            symbol="D",
            where=where,
        ),
    )
