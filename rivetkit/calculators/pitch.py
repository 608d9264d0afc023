"""Pitch along a row, and the spacing of rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.limits import check_length, require_accuracy, require_length
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.checks import Check
    from rivetkit.rules import RuleBook

PITCH_LEAST = "pitch"
PITCH_GREATEST = "pitch, greatest"
ROW_SPACING = "row spacing"


def check_pitch(
    pitch_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    rows: int = 1,
    neighbour_diameter_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of the distance between two rivets of a row against the least one.

    Parameters
    ----------
    pitch_in
        Centre to centre [in].
    diameter_in
        Rivet diameter [in].
    book
        The rules in force.
    rows
        Rows in the seam. Three and more are held to the two-row rule: it is the greater, and no
        document on file was read on more.
    neighbour_diameter_in
        Diameter of the next rivet [in] where it differs; the larger of the two rules.
    accuracy_in
        How far the measurement may be off [in].
    where
        The row or the pair of holes.

    Raises
    ------
    InputError
        When a length is not one, or there is no row.

    References
    ----------
    NAVEDTRA 14018 ch 13: 3 D. AC 43.13-1B p 4-27: 4 D in two rows, worked back from an example.
    Army AL0992 p 59: the greatest is 10 D.
    """
    require_length(pitch_in, "the pitch", zero_allowed=True)
    sizes = _diameters(diameter_in, neighbour_diameter_in)
    return check_length(
        PITCH_LEAST,
        pitch_in,
        rule=book.rule(pitch_question(rows)),
        comparison="at least",
        symbol="p",
        diameter_in=max(sizes),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def pitch_question(rows: int) -> str:
    """Return the rule question that asks for the least pitch in a seam of so many rows.

    Raises
    ------
    InputError
        When there is no row.
    """
    if rows < 1:
        raise InputError(f"a seam of {rows} rows", mend="give 1 or more")
    return "pitch_min_one_row" if rows == 1 else "pitch_min_two_rows"


def check_pitch_greatest(
    pitch_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    neighbour_diameter_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of a pitch against the greatest one; between two sizes the smaller rules.

    Parameters and errors are those of :func:`check_pitch`.
    """
    require_length(pitch_in, "the pitch", zero_allowed=True)
    return check_length(
        PITCH_GREATEST,
        pitch_in,
        rule=book.rule("pitch_max"),
        comparison="at most",
        symbol="p",
        diameter_in=min(_diameters(diameter_in, neighbour_diameter_in)),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def check_row_spacing(
    row_spacing_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    neighbour_diameter_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of the distance between two rows against the least one.

    Parameters
    ----------
    row_spacing_in
        Row centre line to row centre line [in].
    diameter_in, book, neighbour_diameter_in, accuracy_in, where
        As for :func:`check_pitch`.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    TM 10-5410-229-13&P p 5-4: 2.5 D.
    """
    require_length(row_spacing_in, "the row spacing", zero_allowed=True)
    return check_length(
        ROW_SPACING,
        row_spacing_in,
        rule=book.rule("row_spacing_min"),
        comparison="at least",
        symbol="s",
        diameter_in=max(_diameters(diameter_in, neighbour_diameter_in)),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def _diameters(diameter_in: float, neighbour_diameter_in: float | None) -> tuple[float, ...]:
    own = require_length(diameter_in, "the rivet diameter")
    if neighbour_diameter_in is None:
        return (own,)
    return (own, require_length(neighbour_diameter_in, "the next rivet's diameter"))
