"""Why there is no layout: which single demand to relax, and by how much at least."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.row_layout.ends import nearest_end
from rivetkit.calculators.row_layout.grid import (
    NO_WAY,
    depth_in_clear,
    exact,
    miss_of,
    spaces_reached,
)
from rivetkit.calculators.row_layout.layout import KeepClear, RowDemands, grid_of, rivets_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rivetkit.calculators.row_layout.grid import Grid, Run

Demand = Literal[
    "greatest pitch",
    "least pitch",
    "rivets",
    "start of the row",
    "end of the row",
    "keep clear",
    "hole to hit",
    "pattern",
    "all places to keep clear",
    "all holes to hit",
]

#: Holes a third of the least pitch apart all but touch: nobody is told to go so near.
_NEAREST = 3


@dataclass(frozen=True, slots=True)
class Relaxation:
    """One demand that, relaxed so far, lets a layout exist while all others stay.

    Parameters
    ----------
    demand
        Which kind of demand.
    number
        Which one of them, from 0, for a place to hit or to keep clear.
    asked
        What was asked: a pitch or a place [in], or rivets [count]; for a place to keep clear its
        half width [in], for a hole to hit how far it may be missed [in].
    needed
        The nearest that will do, in the same unit; for a place to keep clear the half width left.
    unit
        ``in`` or ``count``; empty where the demand can only be dropped or changed.
    breaks_in
        Where the pitch has to be allowed to change beside this [in].
    """

    demand: Demand
    number: int
    asked: float
    needed: float
    unit: Literal["in", "count", ""]
    breaks_in: tuple[float, ...] = ()

    @property
    def by(self) -> float:
        """How far it has to give, in its unit."""
        return abs(self.needed - self.asked)


def why_none(demands: RowDemands) -> tuple[Relaxation, ...]:
    """Return every single demand that can be relaxed to let a layout exist, and by how much.

    Each figure is the least: with any less no layout exists. For a place kept clear it is the
    least among rows whose pitch changes only where it may change now. Where no single demand
    will do, the places to keep clear all together, and the holes to hit all together, are tried;
    an empty answer means that neither will do either.

    Parameters
    ----------
    demands
        Demands that no layout meets.

    Raises
    ------
    InputError
        When a demand makes no sense.

    Examples
    --------
    >>> demands = RowDemands(
    ...     length_in=4.0, first_in=0.5, last_in=3.5,
    ...     pitch_min_in=0.5, pitch_max_in=0.8, wished_pitch_in=0.6,
    ...     usual_least_in=0.5, usual_greatest_in=0.8, at_least=10,
    ... )
    >>> [(item.demand, round(item.needed, 4)) for item in why_none(demands)]
    [('least pitch', 0.3333), ('rivets', 7)]
    """
    grid = grid_of(demands)
    found = [
        *_greatest_pitch(grid),
        *_least_pitch(grid),
        *_rivets(grid, demands),
        *_ends(grid),
        *_clears(grid, demands),
        *_hits(grid),
        *_pattern(demands),
    ]
    return tuple(found or _groups(grid))


def _inches(grid: Grid, length: Fraction | int) -> float:
    return float(length * grid.unit_in)


def _greatest_pitch(grid: Grid) -> Iterator[Relaxation]:
    longest = Fraction(grid.stations[-1] - grid.stations[0])
    if longest <= grid.pitch_max:
        return
    wide = replace(grid, pitch_max=longest)
    needed = _least_that_does(wide, lambda run: run.pitch)
    if needed is not None:
        yield _pitch_relaxation("greatest pitch", grid, grid.pitch_max, needed)


def _least_pitch(grid: Grid) -> Iterator[Relaxation]:
    wide = replace(grid, pitch_min=grid.pitch_min / _NEAREST)
    needed = _least_that_does(wide, lambda run: -run.pitch)
    if needed is not None:
        yield _pitch_relaxation("least pitch", grid, grid.pitch_min, -needed)


def _least_that_does(grid: Grid, measure: Callable[[Run], Fraction]) -> Fraction | None:
    """Return the least limit on some measure of a stretch under which there still is a row."""
    measured = [[(measure(run), run) for run in group] for group in grid.runs]

    def possible(limit: Fraction) -> bool:
        runs = [[run for value, run in group if value <= limit] for group in measured]
        return spaces_reached(runs)[0][-1] >= grid.least_spaces

    limits = sorted({value for group in measured for value, _ in group})
    at = bisect_left(limits, 1, key=possible)
    return limits[at] if at < len(limits) else None


def _pitch_relaxation(demand: Demand, grid: Grid, asked: Fraction, needed: Fraction) -> Relaxation:
    return Relaxation(demand, 0, _inches(grid, asked), _inches(grid, needed), "in")


def _rivets(grid: Grid, demands: RowDemands) -> Iterator[Relaxation]:
    if grid.most_spaces != NO_WAY:
        most = rivets_of(grid.most_spaces, demands)
        yield Relaxation("rivets", 0, demands.at_least, most, "count")


def _ends(grid: Grid) -> Iterator[Relaxation]:
    first, last = grid.stations[0], grid.stations[-1]
    start = nearest_end(grid)
    if start is not None:
        yield Relaxation("start of the row", 0, _inches(grid, first), _inches(grid, start), "in")
    mirrored = nearest_end(_mirrored(grid))
    if mirrored is not None:
        stop = grid.length - mirrored
        yield Relaxation("end of the row", 0, _inches(grid, last), _inches(grid, stop), "in")


def _mirrored(grid: Grid) -> Grid:
    length = grid.length
    return replace(
        grid,
        stations=tuple(length - place for place in reversed(grid.stations)),
        hits=tuple((length - at, within) for at, within in grid.hits),
        clears=tuple((length - high, length - low) for low, high in grid.clears),
    )


def _clears(grid: Grid, demands: RowDemands) -> Iterator[Relaxation]:
    for number, clear in enumerate(grid.clears):
        others = grid.clears[:number] + grid.clears[number + 1 :]
        depth = _least_depth(replace(grid, clears=others), clear)
        if depth is None:
            continue
        half, depth_in = Fraction(clear[1] - clear[0], 2), _inches(grid, depth)
        # Its edges move with the place; a row that breaks at an old one needs that as a break.
        asked = demands.clears[number]
        edges_in = (asked.start_in, asked.stop_in)
        eased = ease_clear(demands, number, depth_in)
        yield Relaxation(
            "keep clear",
            number,
            _inches(grid, half),
            _inches(grid, half - depth),
            "in",
            () if grid_of(eased).possible else edges_in,
        )


def ease_clear(demands: RowDemands, number: int, depth_in: float) -> RowDemands:
    """Return the demands with one place to keep clear narrowed by so much on either side.

    Parameters
    ----------
    demands
        What the row has to meet.
    number
        Which place to keep clear, from 0.
    depth_in
        How far a hole may stand in it [in].
    """
    clear = demands.clears[number]
    low_in, high_in = clear.start_in + depth_in, clear.stop_in - depth_in
    left = (KeepClear(low_in, high_in),) if exact(low_in) < exact(high_in) else ()
    clears = (*demands.clears[:number], *left, *demands.clears[number + 1 :])
    return replace(demands, clears=clears)


def _least_depth(grid: Grid, clear: tuple[int, int]) -> Fraction | None:
    """Return the least depth a row can stand in a place that it should have kept clear of."""

    def depth(run: Run) -> Fraction:
        start = grid.stations[run.start]
        length = grid.stations[run.stop] - start
        return depth_in_clear(start, length, run.spaces * grid.holes_a_space, clear)

    return _least_that_does(grid, depth)


def _hits(grid: Grid) -> Iterator[Relaxation]:
    for number, (at, within) in enumerate(grid.hits):
        others = grid.hits[:number] + grid.hits[number + 1 :]
        miss = _least_miss(replace(grid, hits=others), at)
        if miss is not None:
            asked, needed = _inches(grid, within), _inches(grid, miss)
            yield Relaxation("hole to hit", number, asked, needed, "in")


def _least_miss(grid: Grid, place: int) -> Fraction | None:
    """Return how near a row that need not hit a place can still come to it."""
    before, after = spaces_reached(grid.runs)
    misses = []
    for start, group in enumerate(grid.runs):
        for run in group if before[start] != NO_WAY else ():
            begin, end = grid.stations[start], grid.stations[run.stop]
            whole = before[start] + run.spaces + after[run.stop]
            if after[run.stop] == NO_WAY or whole < grid.least_spaces:
                continue
            if begin <= place <= end:
                misses.append(miss_of(begin, end - begin, run.spaces, place))
    return min(misses, default=None)


def _pattern(demands: RowDemands) -> Iterator[Relaxation]:
    if demands.staggered and grid_of(replace(demands, pattern="chain")).possible:
        yield Relaxation("pattern", 0, 0.0, 0.0, "")


def _groups(grid: Grid) -> Iterator[Relaxation]:
    if grid.clears and replace(grid, clears=()).possible:
        yield Relaxation("all places to keep clear", 0, 0.0, 0.0, "")
    if grid.hits and replace(grid, hits=()).possible:
        yield Relaxation("all holes to hit", 0, 0.0, 0.0, "")
