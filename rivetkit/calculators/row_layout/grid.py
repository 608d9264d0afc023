"""The even stretches a row can be made of, reckoned in whole numbers so that nothing rounds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

#: A length is taken as the nearest fraction with no greater denominator: exact for whatever a
#: person can type, eight decimals of an inch and a thousandth of a millimetre among them.
_FINEST = 10**8

#: A count no row has a path for.
NO_WAY = -1


def exact(length_in: float) -> Fraction:
    """Return a length [in] as the fraction a person meant by it.

    Examples
    --------
    >>> exact(0.1), exact(2.4 / 25.4)
    (Fraction(1, 10), Fraction(12, 127))
    """
    return Fraction(str(length_in)).limit_denominator(_FINEST)  # the digits, not the binary float


@dataclass(frozen=True, slots=True)
class Run:
    """An even stretch of a row: ``spaces`` equal spaces from one station to another.

    ``off_wish`` sums over the spaces how far each is from the wished pitch, in grid units;
    ``unusual`` counts the spaces that are no usual pitch.
    """

    start: int
    stop: int
    spaces: int
    pitch: Fraction
    off_wish: int
    unusual: int


@dataclass(frozen=True)
class Grid:
    """The demands on a row, every length a whole number of the same small unit.

    ``stations`` are the places where an even stretch may start or stop: the two ends, the places
    to be hit, the edges of the places kept clear, places named for it. ``hits`` are pairs of a
    place and a tolerance.
    """

    unit_in: Fraction
    length: int
    stations: tuple[int, ...]
    hits: tuple[tuple[int, int], ...]
    clears: tuple[tuple[int, int], ...]
    pitch_min: Fraction
    pitch_max: Fraction
    wished: int
    usual_least: int
    usual_greatest: int
    least_spaces: int
    staggered: bool

    @cached_property
    def runs(self) -> tuple[tuple[Run, ...], ...]:
        """The stretches that start at each station and meet every demand."""
        last = len(self.stations)
        return tuple(
            tuple(run for stop in range(start + 1, last) for run in self._between(start, stop))
            for start in range(last)
        )

    @property
    def most_spaces(self) -> int:
        """The most spaces a row can have, ``NO_WAY`` when there is no row."""
        return spaces_reached(self.runs)[0][-1]

    @property
    def possible(self) -> bool:
        """Whether a row meets every demand."""
        return self.most_spaces >= self.least_spaces

    def allows(self, start: int, stop: int, spaces: int) -> bool:
        """Return whether so many even spaces between two places keep clear and hit."""
        length = stop - start
        for at, within in self.hits:
            if start < at < stop:
                past = (at - start) * spaces % length
                if min(past, length - past) > within * spaces:
                    return False
        steps = spaces * self.holes_a_space
        for low, high in self.clears:
            if start < high and low < stop:
                hole = max(0, (low - start) * steps // length + 1)
                if hole <= steps and hole * length < (high - start) * steps:
                    return False
        return True

    @property
    def holes_a_space(self) -> int:
        """How many holes of all rows, seen across the rows, come on each space."""
        return 2 if self.staggered else 1

    def _between(self, start: int, stop: int) -> Iterator[Run]:
        low, high = self.stations[start], self.stations[stop]
        length = high - low
        for spaces in spaces_between(length, self.pitch_min, self.pitch_max):
            if not self.allows(low, high, spaces):
                continue
            usual = self.usual_least * spaces <= length <= self.usual_greatest * spaces
            off_wish = abs(length - spaces * self.wished)
            unusual = 0 if usual else spaces
            yield Run(start, stop, spaces, Fraction(length, spaces), off_wish, unusual)


def spaces_reached(runs: Sequence[Sequence[Run]]) -> tuple[list[int], list[int]]:
    """Return the most spaces a row can have before, and after, each station.

    Parameters
    ----------
    runs
        The stretches that start at each station.
    """
    last = len(runs) - 1
    before, after = [NO_WAY] * (last + 1), [NO_WAY] * (last + 1)
    before[0] = after[last] = 0
    for start, group in enumerate(runs):
        for run in group if before[start] != NO_WAY else ():
            before[run.stop] = max(before[run.stop], before[start] + run.spaces)
    for start in reversed(range(last)):
        reach = [run.spaces + after[run.stop] for run in runs[start] if after[run.stop] != NO_WAY]
        after[start] = max(reach, default=NO_WAY)
    return before, after


def spaces_between(length: int, pitch_min: Fraction, pitch_max: Fraction) -> range:
    """Return the counts of even spaces in a length that keep the pitch within its limits."""
    return range(max(1, math.ceil(length / pitch_max)), math.floor(length / pitch_min) + 1)


def miss_of(start: int, length: int, spaces: int, place: int) -> Fraction:
    """Return how far the nearest hole of an even stretch is from a place in it."""
    past = (place - start) * spaces % length
    return Fraction(min(past, length - past), spaces)


def depth_in_clear(start: int, length: int, steps: int, clear: tuple[int, int]) -> Fraction:
    """Return how deep the holes of an even stretch stand in a place kept clear; 0 for not at all.

    The depth is the distance to the nearer of the place's two sides.
    """
    step = Fraction(length, steps)
    low, high = clear
    first = max(0, (low - start) * steps // length + 1)
    last = min(steps, -((start - high) * steps // length) - 1)
    places = (start + hole * step for hole in range(first, last + 1))
    return max((min(place - low, high - place) for place in places), default=Fraction(0))
