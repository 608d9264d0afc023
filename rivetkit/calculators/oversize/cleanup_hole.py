"""The hole that is no longer round: what cleans it up, and how far its centre moves.

A measured hole is taken for a slot: the hull of two circles of its least diameter, set apart along
the long axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.limits import Working, require_length
from rivetkit.calculators.oversize.hole_move import Move
from rivetkit.checks import LIMIT_TOLERANCE, Term
from rivetkit.drills import smallest_at_or_above
from rivetkit.errors import InputError
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.drills import Drill
    from rivetkit.rules import RuleBook

#: The drills of an inch shop.
INCH_SERIES = ("number", "letter", "fraction")

#: How a hole grew: along its axis in the axis' own direction, the other way, or both ways alike.
Grown = Literal["toward", "away", "both"]


@dataclass(frozen=True, slots=True)
class MeasuredHole:
    """A hole as the callipers find it.

    Parameters
    ----------
    least_in, greatest_in
        Its least and greatest diameter [in].
    axis_deg
        Direction of the greatest diameter [deg]; None when nobody noted it.
    middle_from_true_in
        How far the middle of the hole now lies from the old centre, along the axis and positive in
        its direction [in]; None when the old centre cannot be found any more.

    Raises
    ------
    InputError
        When a diameter is no length, or the least is above the greatest.
    """

    least_in: float
    greatest_in: float
    axis_deg: float | None = None
    middle_from_true_in: float | None = None

    def __post_init__(self) -> None:
        require_length(self.least_in, "the hole's least diameter")
        require_length(self.greatest_in, "the hole's greatest diameter")
        if self.least_in > self.greatest_in:
            raise InputError(
                length_words(
                    "the hole's least diameter {least} is above its greatest {greatest}",
                    least=self.least_in,
                    greatest=self.greatest_in,
                ),
                mend="give the least first, then the greatest",
            )
        for number, what in (
            (self.axis_deg, "the direction of the long axis"),
            (self.middle_from_true_in, "the move of the hole's middle"),
        ):
            if number is not None and not math.isfinite(number):
                raise InputError(f"{what} is {number:g}", mend="give a finite number")

    @property
    def oval_in(self) -> float:
        """How much longer the hole is than wide [in]."""
        return self.greatest_in - self.least_in


def grown_hole(
    least_in: float,
    greatest_in: float,
    *,
    axis_deg: float | None = None,
    grown: Grown | None = None,
) -> MeasuredHole:
    """Return a measured hole of which one knows to which side it grew.

    Grown to one side only, the old hole still shows as the other end of the slot.

    Parameters
    ----------
    least_in, greatest_in
        Its least and greatest diameter [in].
    axis_deg
        Direction of the greatest diameter [deg].
    grown
        ``toward``: in the direction of the axis; ``away``: the other way; ``both``: alike to both
        sides; None when it cannot be told.

    Raises
    ------
    InputError
        When a diameter is no length, or the least is above the greatest.

    Examples
    --------
    >>> grown_hole(0.128, 0.14, axis_deg=90, grown="toward").middle_from_true_in
    0.006
    """
    half_in = round((greatest_in - least_in) / 2, 12)
    middle = {"toward": half_in, "away": -half_in, "both": 0.0}
    return MeasuredHole(least_in, greatest_in, axis_deg, None if grown is None else middle[grown])


@dataclass(frozen=True, slots=True)
class CleanUp:
    """A round hole that takes the measured one out, or the measured one used as it is.

    Parameters
    ----------
    drill
        The drill; None when nothing is drilled.
    diameter_in
        The hole after it [in].
    centre_from_middle_in
        Where to set the drill, from the middle of the measured hole along its axis [in].
    move
        How far that is from the old centre.
    """

    drill: Drill | None
    diameter_in: float
    centre_from_middle_in: float
    move: Move


def least_clean_up_in(measured: MeasuredHole, *, allowance_in: float = 0.0) -> float:
    """Return the least round hole that takes out the whole measured one and the allowance [in].

    The circle about a slot touches its two ends, so it is as wide as the slot is long.

    Parameters
    ----------
    measured
        The hole.
    allowance_in
        What the drill is to cut beyond it, on the diameter [in].

    Examples
    --------
    >>> round(least_clean_up_in(MeasuredHole(0.128, 0.141), allowance_in=0.002), 6)
    0.143
    """
    return measured.greatest_in + require_length(
        allowance_in, "the clean-up allowance", zero_allowed=True
    )


def clean_up_working(measured: MeasuredHole, book: RuleBook) -> Working:
    """Return the least clean-up hole [in] as a line of arithmetic, with the rule's allowance."""
    rule = book.rule("clean_up_allowance")
    allowance_in = rule.length_in(diameter_in=measured.greatest_in)
    size_in = least_clean_up_in(measured, allowance_in=allowance_in)
    terms = (
        Term("H", size_in, "in"),
        Term("g", measured.greatest_in, "in"),
        Term("a", allowance_in, "in"),
    )
    return Working("clean-up hole", size_in, "in", "{H} = {g} + {a}", terms, (rule.citation,))


def clean_up_with(measured: MeasuredHole, drill: Drill, *, allowance_in: float = 0.0) -> CleanUp:
    """Return how a drill cleans the hole up: where to set it so that it moves the centre least.

    A drill larger than the least one needed leaves room: half its excess to either side of the
    middle. The old centre lies on the axis, and so does the nearest place to it.

    Parameters
    ----------
    measured
        The hole.
    drill
        At least of the size :func:`least_clean_up_in` gives.
    allowance_in
        What the drill is to cut beyond the measured hole, on the diameter [in].

    Raises
    ------
    InputError
        When the drill is too small.

    Examples
    --------
    >>> from rivetkit.drills import find_drill
    >>> hole = grown_hole(0.128, 0.140, axis_deg=90, grown="toward")
    >>> clean = clean_up_with(hole, find_drill("#21"))
    >>> round(clean.centre_from_middle_in, 6), round(clean.move.along_in, 6)
    (-0.006, 0.0)
    """
    excess_in = drill.size_in - least_clean_up_in(measured, allowance_in=allowance_in)
    # the chart may have used the tolerance up already, and rounding adds to it
    if excess_in < -2 * LIMIT_TOLERANCE:
        raise InputError(
            length_words(
                "drill {drill} ({size}) does not take out a hole of {hole} with {allowance} to cut",
                drill=drill.designation,
                size=drill.size_in,
                hole=measured.greatest_in,
                allowance=allowance_in,
            ),
            mend="take a larger drill",
        )
    if measured.middle_from_true_in is None:
        return CleanUp(drill, drill.size_in, 0.0, middle_move(measured))
    room_in = max(excess_in, 0.0) / 2
    centre_in = min(max(-measured.middle_from_true_in, -room_in), room_in)
    move = Move(measured.middle_from_true_in + centre_in, measured.axis_deg)
    return CleanUp(drill, drill.size_in, centre_in, move)


def middle_move(measured: MeasuredHole) -> Move:
    """Return how far the middle of the measured hole lies from the old centre.

    Where nobody knows, the hole may have grown to either side alone: half of what it is longer
    than wide, either way.
    """
    if measured.middle_from_true_in is None:
        return Move(measured.oval_in / 2, measured.axis_deg, side_known=False)
    return Move(measured.middle_from_true_in, measured.axis_deg)


def smallest_clean_up(
    measured: MeasuredHole, book: RuleBook, *, series: Iterable[str] = INCH_SERIES
) -> CleanUp:
    """Return the smallest standard drill that takes the measured hole out, and where to set it.

    Parameters
    ----------
    measured
        The hole.
    book
        The rules in force; they give the allowance.
    series
        The drills to choose among.

    Raises
    ------
    OutOfTableError
        When the chart ends below the size needed.
    InputError
        When a series has an unknown name.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> smallest_clean_up(MeasuredHole(0.128, 0.141), RuleBook.named()).drill.designation
    '#27'
    """
    allowance_in = book.rule("clean_up_allowance").length_in(diameter_in=measured.greatest_in)
    size_in = least_clean_up_in(measured, allowance_in=allowance_in)
    return clean_up_with(measured, smallest_at_or_above(size_in, series), allowance_in=allowance_in)
