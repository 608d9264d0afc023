"""A seam of rows: what the rules ask of it, its spacing and width, the checks of a layout."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.row_layout.answer import commonest_pitch_in, lay_out_seam
from rivetkit.calculators.row_layout.layout import (
    Hit,
    KeepClear,
    RowDemands,
    lay_out_row,
    what_decided,
)
from rivetkit.calculators.row_layout.seam import (
    demands_for,
    layout_checks,
    least_width,
    usual_row_spacing,
)
from rivetkit.checks import Verdict
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import RuleBook

USUAL = RuleBook.named()
ROUND = parse_part_number("MS20470AD4")
FLUSH = parse_part_number("MS20426AD4")


def asked(part=ROUND, **changes):
    return demands_for(part, USUAL, **{"length_in": 12.0, **changes})


def verdicts(demands, part=ROUND, **more):
    layout = lay_out_row(demands)[0]
    checks = layout_checks(layout, demands, fastener=part, book=USUAL, **more)
    return {(check.name, check.where): check.verdict for check in checks}


def failed(demands, part=ROUND, **more):
    return {name for name, verdict in verdicts(demands, part, **more).items() if verdict == "fail"}


# --- what the rules ask --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "rows", "end_in", "least_in"),
    [
        # Army AL0992 p 59: 2 D, flush 2.5 D; NAVEDTRA 14018 ch 13: 3 D; AC 43.13-1B p 4-27: 4 D
        (ROUND, 1, 0.25, 0.375),
        (FLUSH, 1, 0.3125, 0.375),
        (ROUND, 2, 0.25, 0.5),
    ],
)
def test_ends_and_pitches_left_open_are_those_of_the_rules(part, rows, end_in, least_in):
    found = asked(part, rows=rows)

    assert (found.first_in, found.last_in) == (end_in, 12.0 - end_in)
    # Army AL0992 p 59: at most 10 D; NAVEDTRA 14018 ch 13: usually 4 to 8 D
    assert (found.pitch_min_in, found.pitch_max_in) == (least_in, 1.25)
    assert (found.usual_least_in, found.usual_greatest_in) == (0.5, 1.0)
    assert (found.wished_pitch_in, found.at_least, found.rows) == (0.75, 2, rows)


def test_what_a_person_gives_goes_before_the_rules():
    found = asked(start_end_in=1.0, far_end_in=2.0, pitch_min_in=0.6, pitch_max_in=0.9, at_least=9)

    assert (found.first_in, found.last_in) == (1.0, 10.0)
    assert (found.pitch_min_in, found.pitch_max_in, found.at_least) == (0.6, 0.9, 9)


@pytest.mark.parametrize(
    ("limits", "wished_in"),
    [
        ({"pitch_min_in": 0.8}, 0.8),
        ({"pitch_max_in": 0.7}, 0.7),
        ({"pitch_min_in": 0.7, "pitch_max_in": 0.8}, 0.75),
    ],
)
def test_nobody_wishes_for_a_pitch_that_is_not_allowed(limits, wished_in):
    assert asked(**limits).wished_pitch_in == wished_in


@pytest.mark.parametrize(
    ("wished_in", "usual_in"),
    [(0.4, (0.4, 1.0)), (0.5, (0.5, 1.0)), (0.8, (0.5, 1.0)), (1.2, (0.5, 1.2))],
)
def test_a_wish_is_never_an_unusual_pitch(wished_in, usual_in):
    found = asked(wished_pitch_in=wished_in)

    assert found.wished_pitch_in == wished_in
    assert (found.usual_least_in, found.usual_greatest_in) == usual_in


def test_two_rivets_make_a_row():
    # Half an inch between two end holes .25 in off their ends: one space of 4 D.
    sizes = {"length_in": 1.0, "first_in": 0.25, "last_in": 0.75}
    pitches = {"pitch_min_in": 0.375, "pitch_max_in": 1.25, "wished_pitch_in": 0.5}
    found = lay_out_row(RowDemands(**sizes, **pitches, usual_least_in=0.5, usual_greatest_in=1.0))

    assert [layout.rows_in[0] for layout in found] == [(0.25, 0.75)]


# --- spacing and width ---------------------------------------------------------------------------


@given(st.floats(0.05, 4.0), st.sampled_from([3 / 32, 1 / 8, 3 / 16, 1 / 4]))
def test_rows_stand_three_quarters_of_the_pitch_apart_and_never_under_2_5_d(pitch_in, diameter_in):
    # Trade magazine riveting review, page 2, by way of another text: 75 percent; TM 10-5410 p 5-4
    found = usual_row_spacing(pitch_in, diameter_in=diameter_in, book=USUAL)

    assert found.value == pytest.approx(max(0.75 * pitch_in, 2.5 * diameter_in))


@pytest.mark.parametrize(("part", "edge_in"), [(ROUND, 0.25), (FLUSH, 0.3125)])
@pytest.mark.parametrize("rows", [1, 2, 3])
def test_a_flange_is_both_edges_and_the_spaces_between_rows_wide(part, edge_in, rows):
    width = least_width(0.4, rows=rows, fastener=part, book=USUAL)

    assert width.value == pytest.approx(2 * edge_in + 0.4 * (rows - 1))


def test_rows_are_spaced_by_the_pitch_that_most_spaces_have():
    # One wide space steps over the place kept clear.
    answer = lay_out_seam(
        asked(length_in=6.0, clears=(KeepClear(3.0, 4.1),), rows=2),
        fastener=ROUND,
        book=USUAL,
    )
    seam = answer.seam
    spaces = [round(other - one, 6) for one, other in itertools.pairwise(seam.layout.rows_in[0])]
    most = max(set(spaces), key=lambda pitch_in: (spaces.count(pitch_in), pitch_in))

    assert len(set(spaces)) > 1
    assert commonest_pitch_in(seam.layout) == pytest.approx(most)
    assert seam.row_spacing_in == pytest.approx(max(0.75 * most, 0.3125))


def test_one_row_has_no_spacing_and_a_given_one_is_kept():
    one = lay_out_seam(asked(), fastener=ROUND, book=USUAL, row_spacing_in=0.4).seam
    two = lay_out_seam(asked(rows=2), fastener=ROUND, book=USUAL, row_spacing_in=0.4).seam

    assert (one.row_spacing_in, one.row_spacing, one.width.value) == (0.0, None, 0.5)
    assert (two.row_spacing_in, two.row_spacing) == (0.4, None)
    assert two.width.value == pytest.approx(0.9)
    assert {y for row in one.points_in for _, y in row} == {0.0}
    assert {y for row in two.points_in for _, y in row} == {0.0, 0.4}


def test_the_best_row_is_told_with_the_next_best_and_what_decided():
    best, second = lay_out_row(asked())
    seam = lay_out_seam(asked(), fastener=ROUND, book=USUAL).seam

    assert (seam.layout, seam.runner_up) == (best, second)
    assert seam.decided == what_decided(best, second)
    assert seam.points_in[0] == tuple((place_in, 0.0) for place_in in best.rows_in[0])


def test_an_only_row_has_no_next_best():
    seam = lay_out_seam(asked(length_in=1.0), fastener=ROUND, book=USUAL).seam

    assert (seam.runner_up, seam.decided) == (None, None)


def test_demands_that_nothing_meets_fail_and_say_what_would_do():
    answer = lay_out_seam(asked(length_in=1.0, at_least=9), fastener=ROUND, book=USUAL)

    assert answer.seam is None
    assert [(check.verdict, bool(check.reason)) for check in answer.checks] == [("fail", True)]
    assert "rivets" in {item.demand for item in answer.relaxations}


# --- the checks of a layout ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "wanting"),
    [
        ({}, set()),
        ({"start_end_in": 0.25, "far_end_in": 0.25}, set()),
        ({"start_end_in": 0.24}, {("edge distance", "start")}),
        ({"far_end_in": 0.24}, {("edge distance", "far end")}),
        # Army AL0992 p 59: never over 4 D from the edge, nor 10 D from the next
        ({"start_end_in": 0.5, "far_end_in": 0.5}, set()),
        ({"start_end_in": 0.51}, {("edge distance, greatest", "start")}),
        ({"far_end_in": 0.51}, {("edge distance, greatest", "far end")}),
        ({"pitch_min_in": 0.3, "pitch_max_in": 0.37, "wished_pitch_in": 0.35}, {("pitch", "")}),
        (
            {"pitch_min_in": 1.26, "pitch_max_in": 1.5, "wished_pitch_in": 1.4},
            {("pitch, greatest", "")},
        ),
    ],
)
def test_a_layout_is_held_to_the_rules_whatever_was_asked(changes, wanting):
    assert failed(asked(**changes)) == wanting


def test_the_narrowest_and_the_widest_space_are_the_ones_that_are_held_to_the_rules():
    # One space of 1.3 in over the place kept clear; one of .35 in between two holes to hit.
    wide = asked(length_in=6.0, clears=(KeepClear(3.0, 4.3),), pitch_max_in=1.5)
    narrow = asked(length_in=6.0, hits=(Hit(2.0), Hit(2.35)), pitch_min_in=0.3)

    assert failed(wide) == {("pitch, greatest", "")}
    assert failed(narrow) == {("pitch", "")}


@pytest.mark.parametrize(
    ("spacing_in", "wanting"), [(0.3125, set()), (0.31, {("row spacing", "")}), (None, set())]
)
def test_the_spacing_of_two_rows_is_held_to_2_5_d(spacing_in, wanting):
    # TM 10-5410-229-13&P p 5-4: 2.5 D
    two = verdicts(asked(rows=2), row_spacing_in=spacing_in)

    assert {name for name, verdict in two.items() if verdict is Verdict.FAIL} == wanting
    assert (("row spacing", "") in two) == (spacing_in is not None)
    assert ("row spacing", "") not in verdicts(asked(), row_spacing_in=0.31)


def test_two_rows_need_the_pitch_of_two_rows():
    # AC 43.13-1B p 4-27: 4 D, for 1/8 in .5; one row of .4 would do.
    close = {"pitch_min_in": 0.39, "pitch_max_in": 0.41, "wished_pitch_in": 0.4}

    assert failed(asked(**close)) == set()
    assert failed(asked(rows=2, **close), row_spacing_in=0.4) == {("pitch", "")}


@pytest.mark.parametrize(("at_least", "counted"), [(2, False), (3, True), (12, True)])
def test_a_number_of_rivets_is_checked_where_one_was_asked_for(at_least, counted):
    assert (("rivets", "") in verdicts(asked(at_least=at_least))) == counted
