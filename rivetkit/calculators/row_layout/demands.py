"""What a row of rivets has to meet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from rivetkit.calculators.limits import require_length
from rivetkit.calculators.row_layout.grid import exact
from rivetkit.errors import InputError
from rivetkit.quantities import length_words

Pattern = Literal["chain", "staggered"]

#: More spaces than this is no row of rivets but a slip of the pen [count].
_MOST_SPACES = 20_000
_MOST_ROWS = 3


@dataclass(frozen=True, slots=True)
class Hit:
    """A place where a hole must be, give or take ``within_in`` [in]."""

    at_in: float
    within_in: float = 0.0


@dataclass(frozen=True, slots=True)
class KeepClear:
    """A stretch where no hole centre may be; its two ends themselves are free [in]."""

    start_in: float
    stop_in: float


@dataclass(frozen=True, slots=True)
class RowDemands:
    """What a row, or a seam of rows, has to meet. Places are running dimensions [in].

    Parameters
    ----------
    length_in
        Length of the part from end to end [in]; running dimensions start at one end.
    first_in, last_in
        Where the first and the last hole stand [in].
    pitch_min_in, pitch_max_in
        Least and greatest pitch [in].
    wished_pitch_in
        The pitch to come nearest to [in].
    usual_least_in, usual_greatest_in
        Pitches within these are usual ones [in].
    hits, clears
        Where holes must be, and where none may be.
    breaks_in
        Further places where the pitch may change, with a hole there if it does [in].
    at_least
        Rivets the seam needs for strength, all rows together [count].
    rows
        One to three rows.
    pattern
        ``chain``: every row has its holes abreast of the first row's; ``staggered``: the second
        row has them in the middle of the first row's spaces, a third row abreast of the first.
    """

    length_in: float
    first_in: float
    last_in: float
    pitch_min_in: float
    pitch_max_in: float
    wished_pitch_in: float
    usual_least_in: float
    usual_greatest_in: float
    hits: tuple[Hit, ...] = ()
    clears: tuple[KeepClear, ...] = ()
    breaks_in: tuple[float, ...] = ()
    at_least: int = 2
    rows: int = 1
    pattern: Pattern = "chain"

    @property
    def staggered(self) -> bool:
        """Whether the second row stands in the first row's spaces."""
        return self.rows > 1 and self.pattern == "staggered"


def require_sense(demands: RowDemands) -> None:
    """See that demands make sense one by one; whether a row meets them all is another question.

    Parameters
    ----------
    demands
        What the row has to meet.

    Raises
    ------
    InputError
        When a length is not one, a place lies off the row, or a least is over its greatest.
    """
    require_length(demands.first_in, "the place of the first hole", zero_allowed=True)
    require_length(demands.last_in, "the place of the last hole")
    require_length(demands.pitch_min_in, "the least pitch")
    require_length(demands.wished_pitch_in, "the wished pitch")
    if demands.last_in > demands.length_in:
        raise InputError(
            length_words(
                "the last hole, at {last}, lies off the part, which is {length} long",
                last=demands.last_in,
                length=demands.length_in,
            ),
            mend="give the part's length from end to end",
        )
    if not demands.first_in < demands.last_in:
        raise InputError(
            length_words(
                "the first hole, at {first}, is not before the last, at {last}",
                first=demands.first_in,
                last=demands.last_in,
            ),
            mend="shorten the end distances or lengthen the row",
        )
    for least_in, most_in, what in (
        (demands.pitch_min_in, demands.pitch_max_in, "pitch"),
        (demands.usual_least_in, demands.usual_greatest_in, "usual pitch"),
    ):
        if not least_in <= most_in:
            raise InputError(
                length_words(
                    "the least {what}, {least}, is over the greatest, {most}",
                    what=what,
                    least=least_in,
                    most=most_in,
                ),
                mend="give a greatest pitch that is no smaller",
            )
    _require_places(demands)
    if (demands.last_in - demands.first_in) / demands.pitch_min_in > _MOST_SPACES:
        raise InputError(
            f"the row could have more than {_MOST_SPACES} rivets",
            mend="check the unit and the decimal point",
        )
    if not 1 <= demands.rows <= _MOST_ROWS:
        raise InputError(f"{demands.rows} rows", mend=f"give 1 to {_MOST_ROWS}")


def _require_places(demands: RowDemands) -> None:
    for hit in demands.hits:
        require_length(hit.within_in, "the tolerance of a place to hit", zero_allowed=True)
        beyond_in = max(demands.first_in - hit.at_in, hit.at_in - demands.last_in)
        if not exact(max(beyond_in, 0.0)) <= exact(hit.within_in):
            raise InputError(
                length_words(
                    "the place to hit at {place} lies {beyond:.4g} outside the row, which runs "
                    "from {first} to {last}",
                    place=hit.at_in,
                    beyond=beyond_in,
                    first=demands.first_in,
                    last=demands.last_in,
                ),
                mend="make that end distance smaller, or measure again",
            )
    for place_in in demands.breaks_in:
        require_length(place_in, "the place where the pitch may change", zero_allowed=True)
    for clear in demands.clears:
        if not (clear.start_in < clear.stop_in and math.isfinite(clear.stop_in - clear.start_in)):
            raise InputError(
                length_words(
                    "the place to keep clear from {start} to {stop} is none",
                    start=clear.start_in,
                    stop=clear.stop_in,
                ),
                mend="give its smaller running dimension first",
            )
