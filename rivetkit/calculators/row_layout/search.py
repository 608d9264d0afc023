"""The best row and the next best: every row there is, weighed once.

A row is a path over the stations of a grid. Paths that end at the same station with the same
pitches still open to them have the same future, so only the two best of them are carried on.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.row_layout.grid import NO_WAY, spaces_reached
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from rivetkit.calculators.row_layout.grid import Grid, Run

#: More partial rows than this are more than a person has demands for [count].
_MOST_STATES = 50_000

#: The pitches used so far that a later stretch can use again, how many other pitches were used,
#: how many spaces are unusual, and the spaces so far, counted no further than the demand asks.
_State = tuple[frozenset["Fraction"], int, int, int]


@dataclass(frozen=True, order=True, slots=True)
class Path:
    """A row up to some station. Its order is the ranking: nearest to the wish, fewest rivets.

    ``stretches`` are (start, stop, spaces) in grid units, neighbours of one pitch joined.
    """

    off_wish: int
    spaces: int
    stretches: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, order=True, slots=True)
class Found:
    """A finished row; its order is the ranking."""

    unusual: int
    different_pitches: int
    path: Path


def two_best(grid: Grid) -> list[Found]:
    """Return the best row and the next best that differs from it; fewer when there are fewer.

    Rows rank by: fewest spaces outside the usual pitches; fewest different pitches; least
    departure from the wished pitch, summed over the spaces; fewest rivets; then whichever comes
    first.

    Parameters
    ----------
    grid
        The demands.

    Raises
    ------
    InputError
        When there are more demands than can be weighed one against another.
    """
    search = _Search(grid)
    found: list[Found] = []
    for unusual in search.unusual_totals():
        for different in range(1, len(grid.stations)):
            paths = search.paths(unusual, different)
            known = [item.path.stretches for item in found]
            fresh = {path for path in paths if path.stretches not in known}
            found += [Found(unusual, different, path) for path in sorted(fresh)]
            if len(found) > 1:
                return found[:2]
    return found


class _Search:
    """The stretches that lie on some whole row, and the rows they make up."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.runs = _useful_runs(grid)
        self.last_use = {run.pitch: start for start, runs in enumerate(self.runs) for run in runs}
        self.fewest_unusual = self._fewest_unusual()
        self.sections = _sections(self.runs)
        self._fewest_new: dict[tuple[int, frozenset[Fraction]], int] = {}

    def unusual_totals(self) -> list[int]:
        """Return how many unusual spaces a row can have in all, least first."""
        totals: list[set[int]] = [set() for _ in self.grid.stations]
        totals[0].add(0)
        for start, runs in enumerate(self.runs):
            for run in runs:
                totals[run.stop].update(total + run.unusual for total in totals[start])
        return sorted(totals[-1])

    def paths(self, unusual: int, different: int) -> list[Path]:
        """Return whole rows with at most so many unusual spaces and different pitches.

        They hold the two best there are.
        """
        states: list[dict[_State, list[Path]]] = [{} for _ in self.grid.stations]
        states[0][(frozenset(), 0, 0, 0)] = [Path(0, 0, ())]
        count = 0
        for start in range(len(self.runs)):
            for state, paths in states[start].items():
                for run, new in self._steps(start, state, unusual, different):
                    kept = states[run.stop].setdefault(new, [])
                    count += not kept
                    _keep_two(kept, [_longer(path, run, self.grid) for path in paths])
            if count > _MOST_STATES:
                raise InputError(
                    "the places to hit and to keep clear leave too many rows to weigh",
                    mend="lay the row out in two parts that meet at a hole",
                )
        least = self.grid.least_spaces
        return [
            path for (*_, spaces), paths in states[-1].items() for path in paths if spaces >= least
        ]

    def _steps(
        self, start: int, state: _State, unusual: int, different: int
    ) -> Iterator[tuple[Run, _State]]:
        pitches, closed, odd, spaces = state
        for run in self.runs[start]:
            used = pitches | {run.pitch}
            odd_now = odd + run.unusual
            if odd_now + self.fewest_unusual[run.stop] > unusual or len(used) + closed > different:
                continue
            still_open = frozenset(pitch for pitch in used if self.last_use[pitch] >= run.stop)
            if len(used) + closed + self._new_pitches(run.stop, still_open) > different:
                continue
            closed_now = closed + len(used) - len(still_open)
            counted = min(spaces + run.spaces, self.grid.least_spaces)
            yield run, (still_open, closed_now, odd_now, counted)

    def _new_pitches(self, station: int, still_open: frozenset[Fraction]) -> int:
        """Return how many more pitches the rest of any row needs at least.

        Sections that share no pitch with each other, nor with the pitches still open, need one
        new pitch each.
        """
        key = (station, still_open)
        if key not in self._fewest_new:
            taken, count = set(still_open), 0
            for start, pitches in self.sections:
                if start >= station and taken.isdisjoint(pitches):
                    taken |= pitches
                    count += 1
            self._fewest_new[key] = count
        return self._fewest_new[key]

    def _fewest_unusual(self) -> list[int]:
        """Return for each station the fewest unusual spaces a row can have after it."""
        fewest = [0] * len(self.runs)
        for start in reversed(range(len(self.runs) - 1)):
            ways = [run.unusual + fewest[run.stop] for run in self.runs[start]]
            fewest[start] = min(ways, default=0)
        return fewest


def _useful_runs(grid: Grid) -> list[list[Run]]:
    """Return the stretches that lie on some whole row, by the station they start at."""
    before, after = spaces_reached(grid.runs)
    return [
        [
            run
            for run in group
            if before[start] != NO_WAY
            and after[run.stop] != NO_WAY
            and before[start] + run.spaces + after[run.stop] >= grid.least_spaces
        ]
        for start, group in enumerate(grid.runs)
    ]


def _sections(runs: list[list[Run]]) -> list[tuple[int, frozenset[Fraction]]]:
    """Return start and possible pitches of each part between stations that no row can step over,
    those with the fewest pitches first.
    """
    farthest = 0
    starts = []
    for start, group in enumerate(runs):
        if start >= farthest:
            starts.append(start)
        farthest = max([farthest, *(run.stop for run in group)])
    sections = [
        (start, frozenset(run.pitch for group in runs[start:stop] for run in group))
        for start, stop in itertools.pairwise(starts)
    ]
    return sorted(sections, key=lambda section: len(section[1]))


def _longer(path: Path, run: Run, grid: Grid) -> Path:
    begin, spaces = grid.stations[run.start], run.spaces
    stretches = path.stretches
    if stretches:
        start, stop, before = stretches[-1]
        if (stop - start) * spaces == (grid.stations[run.stop] - begin) * before:
            begin, spaces, stretches = start, spaces + before, stretches[:-1]
    joined = (*stretches, (begin, grid.stations[run.stop], spaces))
    return Path(path.off_wish + run.off_wish, path.spaces + run.spaces, joined)


def _keep_two(kept: list[Path], paths: list[Path]) -> None:
    for path in paths:
        if path not in kept:
            kept.append(path)
    kept.sort()
    del kept[2:]
