"""Pitch along a row, and the spacing of rows."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

from rivetkit.calculators.limits import check_length, require_accuracy, require_length
from rivetkit.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from rivetkit.checks import Check
    from rivetkit.rules import RuleBook

#: One length or many [in].
Lengths: TypeAlias = "float | NDArray[np.float64]"

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


def check_apart(
    distance_in: float,
    *,
    square_in: float | None,
    diameter_in: float,
    book: RuleBook,
    rows: int = 1,
    neighbour_diameter_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of two rivets of different rows: of their pitch, or of the row spacing.

    Parameters
    ----------
    distance_in
        Centre to centre [in].
    square_in
        How far they stand off each other's rows, square to them: the smaller of the two [in].
        None where a rivet has no row beside it that would give a direction.
    diameter_in, book
        As for :func:`check_pitch`.
    rows
        Rows in the seam; the larger number where the two rivets' differ.
    neighbour_diameter_in, accuracy_in, where
        As for :func:`check_pitch`.

    Raises
    ------
    InputError
        When a length is not one, or there is no row.

    References
    ----------
    NAVEDTRA 14018 ch 13: pitch 3 D. TM 10-5410-229-13&P p 5-4: rows 2.5 D apart. Which of the two
    a pair is held to: :func:`held_to_row_spacing`.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> beside = check_apart(0.32, square_in=0.32, diameter_in=0.125, book=RuleBook.named())
    >>> in_line = check_apart(0.32, square_in=0.0, diameter_in=0.125, book=RuleBook.named())
    >>> beside.name, str(beside.verdict), in_line.name, str(in_line.verdict)
    ('row spacing', 'pass', 'pitch', 'fail')
    """
    require_length(distance_in, "the distance", zero_allowed=True)
    larger_in = max(_diameters(diameter_in, neighbour_diameter_in))
    if square_in is not None and held_to_row_spacing(
        distance_in,
        square_in=require_length(square_in, "the distance square to the rows", zero_allowed=True),
        pitch_limit_in=book.rule(pitch_question(rows)).length_in(diameter_in=larger_in),
        row_limit_in=book.rule("row_spacing_min").length_in(diameter_in=larger_in),
    ):
        return check_row_spacing(
            square_in, diameter_in=larger_in, book=book, accuracy_in=accuracy_in, where=where
        )
    return check_pitch(
        distance_in,
        diameter_in=larger_in,
        book=book,
        rows=rows,
        accuracy_in=accuracy_in,
        where=where,
    )


def held_to_row_spacing(
    distance_in: Lengths, *, square_in: Lengths, pitch_limit_in: Lengths, row_limit_in: Lengths
) -> bool | NDArray[np.bool_]:
    """Return whether two rivets of different rows are held to the row spacing, not to the pitch.

    Two rivets a pitch apart stand far enough from each other, whichever way their rows run. Nearer
    ones must stand a row spacing off each other's rows, as the rows of a seam do: rivets in line,
    and those of rows that cross, do not. So of the two limits the one with more to spare rules.
    Where the row spacing is the larger limit, an aircraft maker's own, it rules all that stand
    beside each other rather than in line.

    Parameters
    ----------
    distance_in
        Centre to centre [in]; one number, or an array.
    square_in
        The smaller of the distances of each rivet from the line of the other's row [in]; minus
        infinity where one of them has no row.
    pitch_limit_in, row_limit_in
        Least pitch and least row spacing, for the larger rivet [in].

    References
    ----------
    TM 10-5410-229-13&P p 5-4 gives the distance between rows, NAVEDTRA 14018 ch 13 that of one
    rivet from the next. That the pitch is enough between rows too is common practice.
    """
    more_to_spare = square_in - row_limit_in > distance_in - pitch_limit_in
    beside = square_in >= distance_in * math.sqrt(0.5)
    return ((row_limit_in > pitch_limit_in) & beside) | (
        (row_limit_in <= pitch_limit_in) & more_to_spare
    )


def _diameters(diameter_in: float, neighbour_diameter_in: float | None) -> tuple[float, ...]:
    own = require_length(diameter_in, "the rivet diameter")
    if neighbour_diameter_in is None:
        return (own,)
    return (own, require_length(neighbour_diameter_in, "the next rivet's diameter"))
