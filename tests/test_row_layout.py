"""Row layout against a search that tries every row, and against what it was asked to meet."""

import cmath
import itertools
import math
import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rivetkit.calculators.row_layout.layout import (
    Hit,
    KeepClear,
    RowDemands,
    lay_out_row,
    least_spaces,
    rivets_of,
)
from rivetkit.calculators.row_layout.places import TAPE_STEP_IN, place_rows, tape_marks
from rivetkit.calculators.row_layout.relax import ease_clear, why_none
from rivetkit.errors import InputError

#: Binary rounding of a running dimension, nothing more [in].
ROUNDING_IN = 1e-9


def demands(length_in=7.0, **changes):
    given_in = {
        "length_in": length_in,
        "first_in": 0.5,
        "last_in": length_in - 0.5,
        "pitch_min_in": 0.375,
        "pitch_max_in": 1.25,
        "wished_pitch_in": 0.75,
        "usual_least_in": 0.5,
        "usual_greatest_in": 1.0,
    }
    return RowDemands(**{**given_in, **changes})


# --- the slow way: every row there is ----------------------------------------------------------


def fractions(*lengths_in):
    return [Fraction(length_in).limit_denominator(10**6) for length_in in lengths_in]


def stops_of(asked):
    """Return every place where an even stretch may end, the two ends included."""
    first, last = fractions(asked.first_in, asked.last_in)
    places = {first, last, *fractions(*asked.breaks_in)}
    places |= set(fractions(*(hit.at_in for hit in asked.hits)))
    for clear in asked.clears:
        places |= set(fractions(clear.start_in, clear.stop_in))
    return sorted(place for place in places if first <= place <= last)


def even_stretches(asked, start, stop):
    """Yield the holes of every even stretch from one place to another, the first left out."""
    least, most = fractions(asked.pitch_min_in, asked.pitch_max_in)
    spaces = 1
    while (pitch := (stop - start) / spaces) >= least:
        if pitch <= most:
            yield tuple(start + pitch * number for number in range(1, spaces + 1))
        spaces += 1


def every_row(asked):
    """Return every row of even stretches that meets the demands, as its holes."""
    stops = stops_of(asked)
    found = set()

    def lengthen(row, number):
        if number == len(stops) - 1:
            found.add(row)
            return
        for further in range(number + 1, len(stops)):
            for holes in even_stretches(asked, stops[number], stops[further]):
                lengthen((*row, *holes), further)

    lengthen((stops[0],), 0)
    return {row for row in found if meets(row, asked)}


def middles(row):
    return tuple((one + other) / 2 for one, other in itertools.pairwise(row))


def all_rows(row, asked):
    """Return the holes of every row of the seam."""
    staggered = asked.pattern == "staggered"
    return [middles(row) if staggered and number == 1 else row for number in range(asked.rows)]


def meets(row, asked, slack=0):
    rows = all_rows(row, asked)
    if sum(len(holes) for holes in rows) < asked.at_least:
        return False
    for hit in asked.hits:
        at, within = fractions(hit.at_in, hit.within_in)
        if min(abs(hole - at) for hole in row) > within + slack:
            return False
    for clear in asked.clears:
        low, high = fractions(clear.start_in, clear.stop_in)
        if any(low + slack < hole < high - slack for holes in rows for hole in holes):
            return False
    return True


def rank(row, asked):
    """Return the ranking the documentation promises, least first."""
    least, most, wish = fractions(
        asked.usual_least_in, asked.usual_greatest_in, asked.wished_pitch_in
    )
    spaces = [other - one for one, other in itertools.pairwise(row)]
    unusual = sum(not least <= space <= most for space in spaces)
    return (unusual, len(set(spaces)), sum(abs(space - wish) for space in spaces), len(row))


def as_fractions(layout):
    """Return the first row's holes as the fractions they were reckoned in."""
    row = tuple(Fraction(place).limit_denominator(10**6) for place in layout.rows_in[0])
    assert [float(place) for place in row] == pytest.approx(layout.rows_in[0], abs=ROUNDING_IN)
    return row


# --- demands to try ----------------------------------------------------------------------------

eighths = st.integers(1, 8 * 6).map(lambda number: number / 8)


@st.composite
def small_demands(draw):
    length_in = draw(st.integers(12, 48)) / 8
    inside = eighths.filter(lambda place_in: 0.5 <= place_in <= length_in - 0.5)
    widths = st.sampled_from([0.25, 0.375, 0.75, 1.0])
    starts = draw(st.lists(eighths, max_size=2))
    clears = tuple(KeepClear(start_in, start_in + draw(widths)) for start_in in starts)
    tolerances = st.sampled_from([0.0, 0.0, 0.0625, 0.1])
    hits = draw(st.lists(st.builds(Hit, inside, tolerances), max_size=2))
    least_in = draw(st.sampled_from([0.375, 0.5, 0.625]))
    return demands(
        length_in,
        pitch_min_in=least_in,
        pitch_max_in=draw(st.sampled_from([0.625, 0.8, 1.25])),
        wished_pitch_in=draw(st.sampled_from([0.5, 0.7, 0.75, 1.0])),
        hits=tuple(hits),
        clears=clears,
        breaks_in=tuple(draw(st.lists(inside, max_size=1))),
        at_least=draw(st.integers(2, 14)),
        rows=draw(st.integers(1, 3)),
        pattern=draw(st.sampled_from(["chain", "staggered"])),
    )


# --- laws --------------------------------------------------------------------------------------


@settings(max_examples=300, deadline=None)
@given(small_demands())
def test_best_runner_up_and_none_agree_with_a_search_that_tries_every_row(asked):
    asked = asked if asked.rows > 1 else replace(asked, pattern="chain")
    every = every_row(asked)
    ranked = sorted(every, key=lambda row: rank(row, asked))
    layouts = lay_out_row(asked)
    found = [as_fractions(layout) for layout in layouts]
    told = [(layout.unusual_spaces, layout.different_pitches) for layout in layouts]
    assert told == [rank(row, asked)[:2] for row in found]
    assert len(found) == min(2, len(ranked))
    assert set(found) <= every
    assert len(set(found)) == len(found)
    expected = [rank(row, asked) for row in ranked[:2]]
    assert [rank(row, asked) for row in found] == expected


@settings(max_examples=150, deadline=None)
@given(
    length_in=st.floats(2.0, 60.0),
    hits_in=st.lists(st.floats(0.05, 0.95), max_size=4),
    clears=st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.01, 1.3)), max_size=4),
    rows=st.integers(1, 3),
    pattern=st.sampled_from(["chain", "staggered"]),
    at_least=st.integers(2, 60),
    within_in=st.sampled_from([0.0, 0.03]),
)
def test_a_returned_layout_meets_every_demand(
    length_in, hits_in, clears, rows, pattern, at_least, within_in
):
    inside_in = length_in - 1.0
    asked = demands(
        length_in,
        hits=tuple(Hit(0.5 + share * inside_in, within_in) for share in hits_in),
        clears=tuple(
            KeepClear(share * length_in, share * length_in + width_in) for share, width_in in clears
        ),
        rows=rows,
        pattern=pattern,
        at_least=at_least,
    )
    layouts = lay_out_row(asked)
    for layout in layouts:
        row = layout.rows_in[0]
        spaces = [other - one for one, other in itertools.pairwise(row)]
        assert (row[0], row[-1]) == pytest.approx((0.5, length_in - 0.5), abs=1e-8)
        assert min(spaces) >= asked.pitch_min_in - 1e-8
        assert max(spaces) <= asked.pitch_max_in + 1e-8
        assert [list(holes) for holes in layout.rows_in] == [
            pytest.approx(list(holes)) for holes in all_rows(row, asked)
        ]
        assert meets(row, asked, slack=1e-7)
        assert layout.rivets >= at_least
        assert sum(stretch.spaces for stretch in layout.stretches) == len(spaces)
    if len(layouts) > 1:
        best, second = layouts
        assert (best.unusual_spaces, best.different_pitches) <= (
            second.unusual_spaces,
            second.different_pitches,
        )


@settings(max_examples=60, deadline=None)
@given(small_demands())
def test_turning_the_part_round_changes_no_ranking(asked):
    turned = replace(
        asked,
        first_in=asked.length_in - asked.last_in,
        last_in=asked.length_in - asked.first_in,
        hits=tuple(replace(hit, at_in=asked.length_in - hit.at_in) for hit in asked.hits),
        clears=tuple(
            KeepClear(asked.length_in - clear.stop_in, asked.length_in - clear.start_in)
            for clear in asked.clears
        ),
        breaks_in=tuple(asked.length_in - place_in for place_in in asked.breaks_in),
    )
    ranks = [
        [rank(as_fractions(layout), side) for layout in lay_out_row(side)]
        for side in (asked, turned)
    ]
    assert ranks[0] == ranks[1]


@settings(max_examples=60, deadline=None)
@given(small_demands(), st.integers(1, 8))
def test_a_demand_more_never_makes_a_row_where_there_was_none(asked, extra):
    assume(not lay_out_row(asked))
    assert not lay_out_row(replace(asked, at_least=asked.at_least + extra))
    narrower_in = max(asked.pitch_min_in, asked.pitch_max_in - 0.0625)
    assert not lay_out_row(replace(asked, pitch_max_in=narrower_in))


# --- why there is none -------------------------------------------------------------------------


def relaxed(asked, item, share=1.0):
    """Return the demands with one relaxed by a share of what is needed."""
    value = item.asked + share * (item.needed - item.asked)
    if item.demand in {"greatest pitch", "least pitch"}:
        key = "pitch_max_in" if item.demand == "greatest pitch" else "pitch_min_in"
        return replace(asked, **{key: value})
    if item.demand == "rivets":
        return replace(asked, at_least=int(item.needed) + (share < 1.0))
    if item.demand in {"start of the row", "end of the row"}:
        return replace(asked, **{"first_in" if "start" in item.demand else "last_in": value})
    if item.demand == "hole to hit":
        hits = list(asked.hits)
        hits[item.number] = replace(hits[item.number], within_in=value)
        return replace(asked, hits=tuple(hits))
    if item.demand == "keep clear":
        eased = ease_clear(asked, item.number, share * item.by)
        return replace(eased, breaks_in=asked.breaks_in + item.breaks_in)
    if item.demand == "pattern":
        return replace(asked, pattern="chain")
    drop = "clears" if "clear" in item.demand else "hits"
    return replace(asked, **{drop: ()})


@settings(max_examples=200, deadline=None)
@given(small_demands())
def test_each_relaxation_does_it_and_less_does_not(asked):
    assume(not lay_out_row(asked))
    for item in why_none(asked):
        assert lay_out_row(relaxed(asked, item)), item
        if not item.unit:
            assert (item.by, item.number) == (0, 0), item
        if item.unit and item.demand != "keep clear":
            for share in (0.5, 0.999):
                less = relaxed(asked, item, share)
                assert not every_row(less), item


def tight_demands(lots):
    """Return demands that often leave no row."""
    length_in = lots.randint(12, 40) / 8
    starts = [lots.randint(0, int(length_in * 8) - 2) / 8 for _ in range(lots.randint(1, 2))]
    hits = [lots.randint(5, int(length_in * 8) - 5) / 8 for _ in range(lots.randint(0, 2))]
    least_in = lots.choice([0.375, 0.5, 0.625])
    return demands(
        length_in,
        pitch_min_in=least_in,
        pitch_max_in=least_in * lots.choice([1.1, 1.25, 1.5]),
        wished_pitch_in=least_in,
        usual_least_in=least_in,
        usual_greatest_in=least_in * 1.1,
        hits=tuple(Hit(at_in, lots.choice([0.0, 0.0, 0.0625, 0.1])) for at_in in hits),
        clears=tuple(
            KeepClear(start_in, start_in + lots.choice([0.25, 0.375, 0.75])) for start_in in starts
        ),
        rows=lots.choice([1, 2]),
        pattern=lots.choice(["chain", "staggered"]),
        at_least=lots.choice([2, 2, 6]),
    )


@pytest.mark.parametrize("seed", range(8))
def test_each_relaxation_of_tight_demands_does_it_and_less_does_not(seed):
    lots = random.Random(seed)  # noqa: S311 - a sample, no secret
    tried = set()
    for asked in (tight_demands(lots) for _ in range(60)):
        if lay_out_row(asked):
            continue
        for item in why_none(asked):
            tried.add(item.demand)
            assert lay_out_row(relaxed(asked, item)), (asked, item)
            # What can only be dropped or changed has no figure.
            assert item.unit or (item.asked, item.needed, item.number) == (0, 0, 0), item
            if item.unit and item.demand != "keep clear":
                for share in (0.5, 0.999):
                    assert not lay_out_row(relaxed(asked, item, share)), (asked, item)
    assert tried >= {
        "start of the row", "end of the row", "hole to hit", "keep clear", "least pitch",
        "greatest pitch",
    }  # fmt: skip


@pytest.mark.parametrize("number", [0, 1, 2])
def test_one_place_kept_clear_gives_way_and_the_others_stay(number):
    places = (KeepClear(1.0, 1.5), KeepClear(3.0, 3.5), KeepClear(5.0, 5.5))
    asked = demands(7.0, clears=places)
    eased = list(places)
    eased[number] = KeepClear(places[number].start_in + 0.125, places[number].stop_in - 0.125)

    assert ease_clear(asked, number, 0.125).clears == tuple(eased)
    rest = places[:number] + places[number + 1 :]
    assert ease_clear(asked, number, 0.25).clears == rest


def test_a_row_that_is_one_long_space_asks_for_just_that_pitch():
    asked = demands(7.0, clears=(KeepClear(0.5, 6.5),))
    items = {item.demand: item for item in why_none(asked)}
    assert items["greatest pitch"].needed == 6.0
    assert items["keep clear"].number == 0


def test_an_end_moves_to_where_the_least_pitch_just_does():
    # By hand: 1.0 lies in the place kept clear; 1.5 is nearer than .3, and ten spaces of just the
    # least pitch reach from 1.5 to 11.5.
    asked = demands(
        12.0, first_in=1.0, last_in=11.5, pitch_min_in=1.0, pitch_max_in=1.1, wished_pitch_in=1.0,
        usual_least_in=1.0, usual_greatest_in=1.1, clears=(KeepClear(0.3, 1.5),),
    )  # fmt: skip
    assert {item.demand: item.needed for item in why_none(asked)}["start of the row"] == 1.5


def test_an_end_moves_to_where_the_greatest_pitch_just_does():
    # By hand: .5 is nearer to 1.0 than 1.55, and ten spaces of just the greatest pitch reach it.
    asked = demands(
        12.0, first_in=1.0, last_in=11.5, pitch_min_in=1.05, pitch_max_in=1.1, wished_pitch_in=1.1,
        usual_least_in=1.0, usual_greatest_in=1.1, clears=(KeepClear(0.5, 1.55),),
    )  # fmt: skip
    assert {item.demand: item.needed for item in why_none(asked)}["start of the row"] == 0.5


@settings(max_examples=100, deadline=None)
@given(small_demands())
def test_a_demand_that_is_not_named_does_not_help(asked):
    assume(not lay_out_row(asked))
    named = {(item.demand, item.number) for item in why_none(asked)}
    if ("rivets", 0) not in named:
        assert not every_row(replace(asked, at_least=2))
    if ("greatest pitch", 0) not in named:
        assert not every_row(replace(asked, pitch_max_in=asked.length_in))
    for number in range(len(asked.hits)):
        if ("hole to hit", number) not in named:
            wide = replace(asked.hits[number], within_in=asked.length_in)
            hits = (*asked.hits[:number], wide, *asked.hits[number + 1 :])
            assert not every_row(replace(asked, hits=hits))
    for eighth in range(1, 8):
        if ("start of the row", 0) not in named:
            assert not every_row(replace(asked, first_in=eighth / 8))
        if ("end of the row", 0) not in named:
            assert not every_row(replace(asked, last_in=asked.length_in - eighth / 8))


# --- cases done by hand ------------------------------------------------------------------------


def test_an_even_row_with_nothing_in_the_way_is_the_span_over_a_whole_number():
    (best, second) = lay_out_row(demands(24.75))
    assert best.pitches_in == pytest.approx((23.75 / 32,))
    assert second.pitches_in == pytest.approx((23.75 / 31,))
    assert best.rivets == 33


def test_a_hole_that_the_even_row_meets_by_itself_is_no_break():
    best = lay_out_row(demands(7.0, hits=(Hit(2.0),)))[0]
    assert best.pitches_in == (0.75,)


def test_holes_to_hit_split_the_row_into_even_stretches():
    best = lay_out_row(demands(7.0, hits=(Hit(2.1),)))[0]
    assert [(stretch.start_in, stretch.stop_in) for stretch in best.stretches] == [
        (0.5, 2.1),
        (2.1, 6.5),
    ]
    assert best.pitches_in == pytest.approx((0.8, 4.4 / 6))


def test_equal_pitches_win_over_pitches_nearer_to_the_wish():
    # 0.8 divides 1.6 and 4.0; two pitches would come nearer to the wished 0.7.
    best = lay_out_row(demands(6.6, hits=(Hit(2.1),), wished_pitch_in=0.7))[0]
    assert best.pitches_in == pytest.approx((0.8,))


def test_a_row_steps_over_a_wide_place_with_a_hole_on_either_side():
    best = lay_out_row(demands(7.0, clears=(KeepClear(3.0, 4.125),)))[0]
    assert {3.0, 4.125} <= set(best.rows_in[0])


def test_a_pitch_used_again_after_another_counts_once():
    best = lay_out_row(demands(6.0, first_in=0.25, last_in=5.75, clears=(KeepClear(3.0, 4.1),)))[0]
    assert best.pitches_in == pytest.approx((0.55, 1.1, 0.55))
    assert (best.unusual_spaces, best.different_pitches) == (1, 2)


def test_a_spot_is_hidden_under_a_hole_that_only_comes_near_it():
    best = lay_out_row(demands(7.0, hits=(Hit(2.03, 0.05),)))[0]
    assert best.pitches_in == (0.75,)


def test_three_staggered_rows_have_the_middle_one_in_the_spaces():
    best = lay_out_row(demands(7.0, rows=3, pattern="staggered"))[0]
    assert [len(row) for row in best.rows_in] == [9, 8, 9]
    assert best.rows_in[1][0] == pytest.approx(0.875)
    assert best.rows_in[0] == best.rows_in[2]


def test_the_count_for_strength_closes_the_pitch():
    best = lay_out_row(demands(7.0, at_least=12))[0]
    assert best.rivets == 12


def test_two_holes_nearer_than_the_least_pitch_leave_no_row_and_say_so():
    asked = demands(7.0, hits=(Hit(2.0), Hit(2.3)))
    assert lay_out_row(asked) == ()
    items = {item.demand: item for item in why_none(asked)}
    assert items["least pitch"].needed == pytest.approx(0.3)
    assert "greatest pitch" not in items


def test_a_gap_wider_than_the_greatest_pitch_asks_for_just_that_pitch():
    asked = demands(7.0, clears=(KeepClear(3.0, 4.3),))
    assert lay_out_row(asked) == ()
    items = {item.demand: item for item in why_none(asked)}
    assert items["greatest pitch"].needed == pytest.approx(1.3)
    # Six spaces of 1 in would stand at 3.5, half an inch deep; five of 1.2 at 2.9 and 4.1, 0.2 in;
    # three of 2.5 / 3 to 3.0 and then 3.5 / 3 put one at 4.1667, 4.3 less that deep.
    assert items["keep clear"].by == pytest.approx(4.3 - (3.0 + 3.5 / 3))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"first_in": 6.5}, "the first hole, at 6.5 in, is not before the last"),
        ({"last_in": 7.5}, "the last hole, at 7.5 in, lies off the part"),
        ({"pitch_max_in": 0.3}, "the least pitch, 0.375 in, is over the greatest, 0.3 in"),
        ({"usual_least_in": 2.0}, "the least usual pitch, 2 in, is over the greatest"),
        ({"hits": (Hit(0.2),)}, "the place to hit at 0.2 in lies 0.3 in outside the row"),
        ({"clears": (KeepClear(2, 2),)}, "the place to keep clear from 2 in to 2 in is none"),
        ({"rows": 4}, "4 rows; give 1 to 3"),
        ({"pitch_min_in": 1e-5}, "more than 20000 rivets"),
        ({"pitch_min_in": float("nan")}, "the least pitch is nan in"),
        ({"first_in": -0.1}, "the place of the first hole is -0.1 in"),
    ],
)
def test_demands_without_sense_are_refused(changes, message):
    with pytest.raises(InputError, match=message):
        lay_out_row(demands(7.0, **changes))


def test_too_many_demands_to_weigh_are_refused_and_not_guessed_at(monkeypatch):
    monkeypatch.setattr("rivetkit.calculators.row_layout.search._MOST_STATES", 3)
    with pytest.raises(InputError, match="too many rows to weigh; lay the row out in two parts"):
        lay_out_row(demands(30.0, hits=(Hit(3.1), Hit(9.3), Hit(17.77))))


@pytest.mark.parametrize("angle_deg", [-450, -90, *range(361), 450, 719.5])
def test_a_turned_row_is_the_row_turned(angle_deg):
    # Geometry: a turn in the plane is a product with a number on the unit circle.
    rows_in = [[0.0, 1.5], [2.0]]
    placed = place_rows(rows_in, row_spacing_in=0.75, at_in=(3.0, -2.0), angle_deg=angle_deg)
    turn = cmath.exp(1j * math.radians(angle_deg))
    for number, (row, places) in enumerate(zip(rows_in, placed, strict=True)):
        expected = [3 - 2j + turn * (along_in + 0.75j * number) for along_in in row]
        assert [complex(*place) for place in places] == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("angle_deg", "place"), [(0, (2, 0.5)), (90, (-0.5, 2)), (180, (-2, -0.5)), (-90, (0.5, -2))]
)
def test_a_quarter_turn_rounds_nothing(angle_deg, place):
    rows = place_rows([[], [2.0]], row_spacing_in=0.5, at_in=(0.0, 0.0), angle_deg=angle_deg)
    assert rows[1][0] == place


def test_a_tape_is_read_to_a_sixty_fourth_or_to_half_a_millimetre():
    # Common practice, no source.
    assert TAPE_STEP_IN["in"] == Fraction(1, 64)
    assert TAPE_STEP_IN["mm"] * Fraction("25.4") == Fraction(1, 2)
    (mark,) = tape_marks([100.2 / 25.4], step_in=TAPE_STEP_IN["mm"])
    assert mark.mark_in * 25.4 == pytest.approx(100.0)


@given(
    st.lists(st.floats(0.2, 40.0), min_size=2, max_size=30, unique=True).map(sorted),
    st.sampled_from(["in", "mm"]),
)
def test_the_tape_never_marks_an_end_hole_nearer_to_its_end(running_in, unit):
    step_in = TAPE_STEP_IN[unit]
    marks = tape_marks(running_in, step_in=step_in)
    assert marks[0].mark_in >= running_in[0] - 1e-8
    assert marks[-1].mark_in <= running_in[-1] + 1e-8
    assert all(abs(mark.off_in) <= step_in for mark in marks)
    assert all(abs(mark.off_in) <= step_in / 2 + 1e-9 for mark in marks[1:-1])


@pytest.mark.parametrize("pattern", ["chain", "staggered"])
@pytest.mark.parametrize("rows", [1, 2, 3])
def test_the_fewest_spaces_are_those_that_hold_the_rivets_asked_for(rows, pattern):
    # Counting: a row has one rivet more than spaces, the second of staggered rows just as many.
    for at_least in range(30):
        asked = demands(rows=rows, pattern=pattern, at_least=at_least)

        def holds(spaces, asked=asked):
            return sum(
                spaces + (not (asked.staggered and number == 1)) for number in range(asked.rows)
            )

        assert [rivets_of(spaces, asked) for spaces in range(9)] == list(map(holds, range(9)))
        fewest = next(spaces for spaces in itertools.count(1) if holds(spaces) >= at_least)
        assert least_spaces(asked) == fewest
        for layout in lay_out_row(asked):
            spaces = sum(stretch.spaces for stretch in layout.stretches)
            assert sum(map(len, layout.rows_in)) == holds(spaces) >= at_least
