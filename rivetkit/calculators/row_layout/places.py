"""Where the holes of a laid-out row are: on the drawing, and on the tape."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

#: How finely a tape is read: a sixty-fourth of an inch, half a millimetre [in].
TAPE_STEP_IN = {"in": Fraction(1, 64), "mm": Fraction(1, 2) * Fraction(5, 127)}


def place_rows(
    rows_in: Sequence[Sequence[float]],
    *,
    row_spacing_in: float,
    at_in: tuple[float, float] = (0.0, 0.0),
    angle_deg: float = 0.0,
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Return the coordinates of the holes of every row [in].

    Parameters
    ----------
    rows_in
        Running dimensions of each row's holes [in].
    row_spacing_in
        Row to row [in]; the second row lies to the left of the first as one walks along it.
    at_in
        Coordinates of the end the running dimensions start from, on the first row's line [in].
    angle_deg
        Direction of the row, anticlockwise from the x axis [deg].

    Raises
    ------
    InputError
        When the angle is no number.

    Examples
    --------
    >>> place_rows([[1.0], [1.5]], row_spacing_in=0.5, at_in=(10.0, 0.0))
    (((11.0, 0.0),), ((11.5, 0.5),))
    """
    if not math.isfinite(angle_deg):
        raise InputError(f"the direction of the row is {angle_deg:g} degrees", mend="give a number")
    cosine, sine = _direction(angle_deg)
    return tuple(
        tuple(
            (
                at_in[0] + along * cosine - number * row_spacing_in * sine,
                at_in[1] + along * sine + number * row_spacing_in * cosine,
            )
            for along in row
        )
        for number, row in enumerate(rows_in)
    )


def _direction(angle_deg: float) -> tuple[float, float]:
    """Return cosine and sine, exact for a quarter turn."""
    quarters = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    turned = angle_deg % 360.0
    return quarters.get(turned) or (math.cos(math.radians(turned)), math.sin(math.radians(turned)))


@dataclass(frozen=True, slots=True)
class TapeMark:
    """A running dimension and the tape mark nearest to it, both from the start [in]."""

    running_in: float
    mark_in: float

    @property
    def off_in(self) -> float:
        """How far the mark lies beyond the true place [in]."""
        return self.mark_in - self.running_in


def tape_marks(running_in: Sequence[float], *, step_in: Fraction) -> tuple[TapeMark, ...]:
    """Return the tape mark nearest to each running dimension; no error adds up along the row.

    The first and the last mark are never nearer to the ends than the true places are: an end
    distance may be at its least.

    Parameters
    ----------
    running_in
        Running dimensions from the start [in].
    step_in
        Finest division of the tape [in].

    Examples
    --------
    >>> places = [0.51, 1.24, 2.01]
    >>> [mark.mark_in for mark in tape_marks(places, step_in=TAPE_STEP_IN["in"])]
    [0.515625, 1.234375, 2.0]
    """
    steps = [math.floor(Fraction(place) / step_in + Fraction(1, 2)) for place in running_in]
    if len(steps) > 1:
        slack = Fraction(LIMIT_TOLERANCE) / step_in
        steps[0] = math.ceil(Fraction(running_in[0]) / step_in - slack)
        steps[-1] = math.floor(Fraction(running_in[-1]) / step_in + slack)
    return tuple(
        TapeMark(place, float(step * step_in))
        for place, step in zip(running_in, steps, strict=True)
    )
