"""Even stretches of a row in whole numbers, against plain loops over their holes."""

import itertools
from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from rivetkit.calculators.row_layout.ends import nearest_end
from rivetkit.calculators.row_layout.grid import (
    NO_WAY,
    Grid,
    depth_in_clear,
    exact,
    miss_of,
    spaces_between,
    spaces_reached,
)

START = st.integers(-20, 20)
LENGTH = st.integers(1, 60)
SPACES = st.integers(1, 12)
WIDTH = st.integers(1, 15)


def holes_of(start, length, spaces):
    return [start + Fraction(length * number, spaces) for number in range(spaces + 1)]


@settings(max_examples=200, deadline=None)
@given(LENGTH, st.integers(1, 9), st.integers(0, 9))
def test_the_counts_of_spaces_are_those_that_keep_the_pitch(length, least, more):
    found = spaces_between(length, Fraction(least), Fraction(least + more))
    kept = [n for n in range(1, 100) if least <= Fraction(length, n) <= least + more]

    assert list(found) == kept


@settings(max_examples=200, deadline=None)
@given(START, LENGTH, SPACES, st.integers(0, 60))
def test_a_place_is_missed_by_its_distance_from_the_nearest_hole(start, length, spaces, along):
    place = start + min(along, length)
    nearest = min(abs(hole - place) for hole in holes_of(start, length, spaces))

    assert miss_of(start, length, spaces, place) == nearest


@settings(max_examples=300, deadline=None)
@given(START, LENGTH, SPACES, START, WIDTH)
def test_a_hole_stands_as_deep_in_a_place_kept_clear_as_the_nearer_side_is_off(
    start, length, steps, low, width
):
    high = low + width
    depths = [min(hole - low, high - hole) for hole in holes_of(start, length, steps)]

    assert depth_in_clear(start, length, steps, (low, high)) == max(0, *depths)


@st.composite
def grids(draw):
    length = draw(st.integers(8, 40))
    inner = draw(st.lists(st.integers(1, length - 1), max_size=2, unique=True))
    places = st.integers(0, length)
    least = draw(st.integers(1, 6))
    usual = draw(st.integers(1, 6))
    return Grid(
        unit_in=Fraction(1, 8),
        length=length,
        stations=(0, *sorted(inner), length),
        hits=tuple(draw(st.lists(st.tuples(places, st.integers(0, 2)), max_size=2))),
        clears=tuple(
            (low, low + width)
            for low, width in draw(st.lists(st.tuples(places, st.integers(1, 4)), max_size=2))
        ),
        pitch_min=Fraction(least),
        pitch_max=Fraction(least + draw(st.integers(0, 6))),
        wished=draw(st.integers(1, 9)),
        usual_least=usual,
        usual_greatest=usual + draw(st.integers(0, 4)),
        least_spaces=draw(st.integers(0, 8)),
        staggered=draw(st.booleans()),
    )


@settings(max_examples=60, deadline=None)
@given(grids())
def test_the_stretches_of_a_row_are_all_that_meet_the_demands_and_no_other(grid):
    found = {(run.start, run.stop, run.spaces): run for group in grid.runs for run in group}
    for (one, start), (other, stop) in itertools.combinations(enumerate(grid.stations), 2):
        for spaces in range(1, stop - start + 2):
            pitch = Fraction(stop - start, spaces)
            if not grid.pitch_min <= pitch <= grid.pitch_max:
                assert (one, other, spaces) not in found
                continue
            holes = holes_of(start, stop - start, spaces)
            # In a staggered row the other row's holes stand midway.
            seen = holes_of(start, stop - start, 2 * spaces if grid.staggered else spaces)
            good = all(
                min(abs(hole - at) for hole in holes) <= within
                for at, within in grid.hits
                if start < at < stop
            )
            good &= not any(low < hole < high for low, high in grid.clears for hole in seen)
            assert ((one, other, spaces) in found) is good
            if good:
                run = found[one, other, spaces]
                usual = grid.usual_least <= pitch <= grid.usual_greatest
                assert run.pitch == pitch
                assert run.off_wish == spaces * abs(pitch - grid.wished)
                assert run.unusual == (0 if usual else spaces)


@settings(max_examples=200, deadline=None)
@given(grids())
def test_the_most_spaces_are_those_of_the_best_chain_of_stretches(grid):
    last = len(grid.stations) - 1

    def most(start, stop):
        if start == stop:
            return 0
        tails = [
            run.spaces + rest
            for run in grid.runs[start]
            if run.stop <= stop and (rest := most(run.stop, stop)) != NO_WAY
        ]
        return max(tails, default=NO_WAY)

    before, after = spaces_reached(grid.runs)
    assert before == [most(0, number) for number in range(last + 1)]
    assert after == [most(number, last) for number in range(last + 1)]
    assert grid.most_spaces == most(0, last)
    assert grid.possible is (most(0, last) >= grid.least_spaces)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 10**9), st.integers(0, 10**6))
def test_a_length_typed_to_eight_places_or_in_thousandths_of_a_millimetre_is_exact(inches, microns):
    assert exact(inches / 10**8) == Fraction(inches, 10**8)
    assert exact(microns / 1000 / 25.4) == Fraction(microns, 25400)


@st.composite
def grids_from_inside(draw):
    """A short grid whose first hole was asked for somewhere on the part."""
    length = draw(st.integers(8, 16))
    grid = draw(grids())
    places = st.integers(0, length)
    return replace(
        grid,
        length=length,
        stations=(draw(st.integers(0, length - 2)), length),
        hits=tuple(draw(st.lists(st.tuples(places, st.integers(0, 1)), max_size=2))),
        clears=tuple(
            (low, low + width)
            for low, width in draw(st.lists(st.tuples(places, st.integers(1, 3)), max_size=2))
        ),
    )


def may_start(grid, start):
    """Whether a row may start at a place: some even stretch from it, and a row from its end on."""
    places = {place for clear in grid.clears for place in clear} | {at for at, _ in grid.hits}
    stations = sorted(place for place in places | {grid.length} if 0 <= place <= grid.length)
    onward = replace(grid, stations=tuple(stations))
    after = spaces_reached(onward.runs)[1]
    for stop, more in zip(stations, after, strict=True):
        kept_clear = not any(low < stop < high for low, high in grid.clears)
        if stop <= start or more == NO_WAY or not kept_clear:
            continue
        for spaces in range(
            max(1, grid.least_spaces - more), int((stop - start) / grid.pitch_min) + 1
        ):
            holes = holes_of(start, stop - start, spaces)
            seen = holes_of(start, stop - start, 2 * spaces if grid.staggered else spaces)
            if (
                (stop - start) / Fraction(spaces) <= grid.pitch_max
                and all(
                    min(abs(hole - at) for hole in holes) <= within
                    for at, within in grid.hits
                    if at < stop
                )
                and not any(low < hole < high for low, high in grid.clears for hole in seen)
            ):
                return True
    return False


@settings(max_examples=60, deadline=None)
@given(grids_from_inside())
def test_the_first_hole_moves_as_little_as_lets_a_row_be(grid):
    asked = grid.stations[0]
    found = nearest_end(grid)

    assert found is None or may_start(grid, found)
    move = grid.length if found is None else abs(found - asked)
    for start in (Fraction(half, 2) for half in range(2 * grid.length)):
        if abs(start - asked) < move:
            assert not may_start(grid, start)
