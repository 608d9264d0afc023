"""Where the rivets of a row go: even, on what must be hit, clear of what must be kept clear."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.row_layout.demands import (
    Hit,
    KeepClear,
    Pattern,
    RowDemands,
    require_sense,
)
from rivetkit.calculators.row_layout.grid import Grid, exact
from rivetkit.calculators.row_layout.search import two_best
from rivetkit.checks import LIMIT_TOLERANCE

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.calculators.row_layout.search import Found

__all__ = [
    "Hit",
    "KeepClear",
    "Layout",
    "Pattern",
    "Ranking",
    "RowDemands",
    "Stretch",
    "grid_of",
    "lay_out_row",
    "least_spaces",
    "rivets_of",
    "what_decided",
]


@dataclass(frozen=True, slots=True)
class Stretch:
    """An even part of a row: so many equal spaces from one hole to another [in]."""

    start_in: float
    stop_in: float
    spaces: int
    pitch_in: float


@dataclass(frozen=True, slots=True)
class Layout:
    """A row, or a seam of rows, that meets its demands.

    ``rows_in`` holds the running dimensions of every row's holes [in]; ``unusual_spaces`` counts
    the spaces of the first row that are no usual pitch; ``off_wish_in`` sums over its spaces how
    far each is from the wished pitch [in].
    """

    stretches: tuple[Stretch, ...]
    rows_in: tuple[tuple[float, ...], ...]
    unusual_spaces: int
    different_pitches: int
    off_wish_in: float

    @property
    def rivets(self) -> int:
        """How many rivets there are in all rows."""
        return sum(len(row) for row in self.rows_in)

    @property
    def pitches_in(self) -> tuple[float, ...]:
        """The pitch of each stretch [in]."""
        return tuple(stretch.pitch_in for stretch in self.stretches)


@dataclass(frozen=True, slots=True)
class Ranking:
    """What decided between two layouts, and both their figures."""

    by: Literal["unusual spaces", "different pitches", "departure from the wish", "rivets", ""]
    best: float
    second: float


def what_decided(best: Layout, second: Layout) -> Ranking:
    """Return the first rank in which two layouts differ; none when only their order does.

    Parameters
    ----------
    best, second
        Layouts as :func:`lay_out_row` returns them.
    """
    ranks = (
        Ranking("unusual spaces", best.unusual_spaces, second.unusual_spaces),
        Ranking("different pitches", best.different_pitches, second.different_pitches),
        Ranking("departure from the wish", best.off_wish_in, second.off_wish_in),
        Ranking("rivets", best.rivets, second.rivets),
    )
    for rank in ranks:
        if not math.isclose(rank.best, rank.second, abs_tol=LIMIT_TOLERANCE):
            return rank
    return Ranking("", 0.0, 0.0)


def lay_out_row(demands: RowDemands) -> tuple[Layout, ...]:
    """Return the best layout and the runner-up; nothing when no layout meets every demand.

    A row is made of even stretches. A stretch may end only at an end of the row, at a place to be
    hit, at an edge of a place kept clear, or at a place named for it; the answer is exact among
    all such rows, and no other row is looked at. Rows rank by, in this order:

    1. the fewest spaces that are no usual pitch;
    2. the fewest different pitches, for each change is one more to mark and to get wrong;
    3. the least departure from the wished pitch, summed over the spaces;
    4. the fewest rivets.

    Parameters
    ----------
    demands
        What the row has to meet.

    Returns
    -------
    tuple of Layout
        At most two, the best first. The second differs from the first and is never better.

    Raises
    ------
    InputError
        When a demand makes no sense, or there are more than can be weighed.

    Examples
    --------
    >>> demands = RowDemands(
    ...     length_in=7.0, first_in=0.5, last_in=6.5,
    ...     pitch_min_in=0.375, pitch_max_in=1.25, wished_pitch_in=0.75,
    ...     usual_least_in=0.5, usual_greatest_in=1.0,
    ...     clears=(KeepClear(3.4, 3.6),),
    ... )
    >>> [(layout.rivets, round(layout.pitches_in[0], 4)) for layout in lay_out_row(demands)]
    [(8, 0.8571), (10, 0.6667)]

    References
    ----------
    Common practice, no source: the ranking.
    """
    grid = grid_of(demands)
    return tuple(_layout_of(found, grid, demands) for found in two_best(grid))


def grid_of(demands: RowDemands) -> Grid:
    """Return the demands in whole numbers of a common small length.

    Parameters
    ----------
    demands
        What the row has to meet.

    Raises
    ------
    InputError
        When a demand makes no sense.
    """
    require_sense(demands)
    first, last = exact(demands.first_in), exact(demands.last_in)
    length = exact(demands.length_in)
    hits = [(exact(hit.at_in), exact(hit.within_in)) for hit in demands.hits]
    clears = [(exact(clear.start_in), exact(clear.stop_in)) for clear in demands.clears]
    limits = [
        exact(length_in)
        for length_in in (
            demands.pitch_min_in,
            demands.pitch_max_in,
            demands.wished_pitch_in,
            demands.usual_least_in,
            demands.usual_greatest_in,
        )
    ]
    places = {first, last, *(exact(place_in) for place_in in demands.breaks_in)}
    places |= {at for at, _ in hits} | {edge for clear in clears for edge in clear}
    lengths = [length, *places, *(within for _, within in hits), *limits]
    whole = _WholeUnits(lengths)
    pitch_min, pitch_max, wished, usual_least, usual_greatest = map(whole, limits)
    return Grid(
        unit_in=Fraction(1, whole.per_inch),
        length=whole(length),
        stations=tuple(sorted(whole(place) for place in places if first <= place <= last)),
        hits=tuple((whole(at), whole(within)) for at, within in hits),
        clears=tuple((whole(low), whole(high)) for low, high in clears),
        pitch_min=Fraction(pitch_min),
        pitch_max=Fraction(pitch_max),
        wished=wished,
        usual_least=usual_least,
        usual_greatest=usual_greatest,
        least_spaces=least_spaces(demands),
        staggered=demands.staggered,
    )


def least_spaces(demands: RowDemands) -> int:
    """Return how many spaces the first row needs for the rivets asked of all rows [count].

    Parameters
    ----------
    demands
        What the row has to meet.
    """
    short = demands.at_least - rivets_of(0, demands)
    return max(1, -(-short // demands.rows))


def rivets_of(spaces: int, demands: RowDemands) -> int:
    """Return the rivets of all rows when the first has so many spaces [count].

    Parameters
    ----------
    spaces
        Spaces in the first row [count].
    demands
        What the row has to meet.
    """
    in_spaces = 1 if demands.staggered else 0
    return (demands.rows - in_spaces) * (spaces + 1) + in_spaces * spaces


class _WholeUnits:
    """Turns fractions of an inch into whole numbers of the unit that all of them share."""

    def __init__(self, lengths: Iterable[Fraction]) -> None:
        self.per_inch = math.lcm(*(length.denominator for length in lengths))

    def __call__(self, length: Fraction) -> int:
        return int(length * self.per_inch)


def _layout_of(found: Found, grid: Grid, demands: RowDemands) -> Layout:
    unit_in = grid.unit_in
    stretches = tuple(
        Stretch(
            start_in=float(start * unit_in),
            stop_in=float(stop * unit_in),
            spaces=spaces,
            pitch_in=float((stop - start) * unit_in / spaces),
        )
        for start, stop, spaces in found.path.stretches
    )
    row = [Fraction(grid.stations[0])]
    for start, stop, spaces in found.path.stretches:
        row += [start + Fraction((stop - start) * hole, spaces) for hole in range(1, spaces + 1)]
    middles = [(one + other) / 2 for one, other in itertools.pairwise(row)]
    rows = [middles if demands.staggered and number == 1 else row for number in range(demands.rows)]
    return Layout(
        stretches=stretches,
        rows_in=tuple(tuple(float(place * unit_in) for place in places) for places in rows),
        unusual_spaces=found.unusual,
        different_pitches=found.different_pitches,
        off_wish_in=float(found.path.off_wish * unit_in),
    )
