"""How far the first hole of a row has to move before a layout exists."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from rivetkit.calculators.row_layout.grid import NO_WAY, spaces_reached

if TYPE_CHECKING:
    from rivetkit.calculators.row_layout.grid import Grid


def nearest_end(grid: Grid) -> Fraction | None:
    """Return the place nearest to the first station from which a row meets every demand.

    From the first hole to some station the row is even, and its pitch decides everything. So for
    each station and count of spaces the pitch is widened, and narrowed, from the one that was
    asked, each time just so far that the hole in the way stands free or the place missed is hit.

    Parameters
    ----------
    grid
        The demands; the first station is where the first hole was asked to be.

    Returns
    -------
    Fraction or None
        The place, in grid units; None where no place on the part will do.
    """
    asked = grid.stations[0]
    grid = _from_the_edge(grid)
    best: Fraction | None = None
    for stop, after in zip(grid.stations, spaces_reached(grid.runs)[1], strict=True):
        if after == NO_WAY or any(low < stop < high for low, high in grid.clears):
            continue
        most = math.floor(stop / grid.pitch_min)
        for spaces in range(max(1, grid.least_spaces - after), most + 1):
            for place in _Stretch(grid, stop, spaces).places(asked, best):
                if best is None or abs(place - asked) < abs(best - asked):
                    best = place
    return best


def _from_the_edge(grid: Grid) -> Grid:
    """Return the grid with the stations a row from anywhere may use: not its own first one."""
    places = {edge for clear in grid.clears for edge in clear}
    places |= {at for at, _ in grid.hits} | set(grid.stations[1:])
    return replace(
        grid, stations=tuple(sorted(place for place in places if 0 <= place <= grid.stations[-1]))
    )


@dataclass(frozen=True)
class _Stretch:
    """So many even spaces that end at a station and may start anywhere on the part."""

    grid: Grid
    stop: int
    spaces: int

    def places(self, asked: int, best: Fraction | None) -> list[Fraction]:
        """Return the allowed starts nearest to the one asked, on either side and nearer than
        the best so far.
        """
        least, most = (
            self.grid.pitch_min,
            min(self.grid.pitch_max, Fraction(self.stop, self.spaces)),
        )
        if best is not None:
            reach = abs(best - asked)
            least = max(least, (self.stop - asked - reach) / self.spaces)
            most = min(most, (self.stop - asked + reach) / self.spaces)
        begin = Fraction(self.stop - asked, self.spaces)
        found = [self._wider(max(begin, least), most), self._narrower(min(begin, most), least)]
        return [self.stop - self.spaces * pitch for pitch in found if pitch is not None]

    def _wider(self, pitch: Fraction, most: Fraction) -> Fraction | None:
        """Return the least pitch from this one up, to the most, that keeps clear and hits."""
        settled = False
        while not settled and pitch <= most:
            settled = True
            for low, high in self.grid.clears:
                hole = self._hole_inside(pitch, low, high)
                if hole:
                    pitch, settled = Fraction(self.stop - low, hole) * self._steps, False
            for distance, within in self._hits():
                hole = min(math.floor(distance / pitch), self.spaces)
                if self._misses(pitch, distance, within):
                    if hole == 0:
                        return None
                    pitch, settled = Fraction(distance - within, hole), False
        return pitch if settled and pitch <= most else None

    def _narrower(self, pitch: Fraction, least: Fraction) -> Fraction | None:
        """Return the greatest pitch from this one down, to the least, that keeps clear and hits."""
        settled = False
        while not settled and pitch >= least:
            settled = True
            for low, high in self.grid.clears:
                hole = self._hole_inside(pitch, low, high)
                if hole:
                    pitch, settled = Fraction(self.stop - high, hole) * self._steps, False
                    if pitch < least:
                        return None
            for distance, within in self._hits():
                hole = math.ceil(distance / pitch)
                if self._misses(pitch, distance, within):
                    if hole > self.spaces:
                        return None
                    pitch, settled = Fraction(distance + within, hole), False
        return pitch if settled and pitch >= least else None

    @property
    def _steps(self) -> int:
        return self.grid.holes_a_space

    def _hole_inside(self, pitch: Fraction, low: int, high: int) -> int:
        """Return the number of a hole that should have kept clear, from the station; else 0."""
        step = pitch / self._steps
        hole = max(1, math.floor((self.stop - high) / step) + 1)
        inside = hole * step < self.stop - low and hole <= self.spaces * self._steps
        return hole if inside else 0

    def _hits(self) -> list[tuple[int, int]]:
        return [(self.stop - at, within) for at, within in self.grid.hits if at < self.stop]

    def _misses(self, pitch: Fraction, distance: int, within: int) -> bool:
        hole = min(math.floor(distance / pitch), self.spaces)
        near = {hole, min(hole + 1, self.spaces)}
        return all(abs(number * pitch - distance) > within for number in near)
