"""Edge distance, pitch, row spacing, diameter: published limits, both sides, and the laws."""

from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.edge_distance import check_strayed
from rivetkit.calculators.limits import check_length
from rivetkit.calculators.pitch import check_apart, held_to_row_spacing
from rivetkit.calculators.spacing import (
    LayerEdge,
    also_says,
    check_diameter_for_sheet,
    check_edge_distance,
    check_edge_distance_greatest,
    check_pitch,
    check_pitch_greatest,
    check_row_spacing,
    edge_margin,
    spacing_checks,
)
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()
ARMY = RuleBook.named("army")
NAVY = RuleBook.named("navy")
PROTRUDING = parse_part_number("MS20470AD4-4")
FLUSH = parse_part_number("MS20426AD4-4")

diameters = st.sampled_from([3 / 32, 1 / 8, 5 / 32, 3 / 16, 1 / 4])
distances = st.floats(0.0, 4.0)


def least_edge(value_in, diameter_in, book, **more):
    return check_edge_distance(value_in, diameter_in=diameter_in, flush=False, book=book, **more)


def least_flush_edge(value_in, diameter_in, book, **more):
    return check_edge_distance(value_in, diameter_in=diameter_in, flush=True, book=book, **more)


def greatest_edge(value_in, diameter_in, book, **more):
    return check_edge_distance_greatest(value_in, diameter_in=diameter_in, book=book, **more)


def pitch(value_in, diameter_in, book, **more):
    return check_pitch(value_in, diameter_in=diameter_in, book=book, **more)


def two_row_pitch(value_in, diameter_in, book, **more):
    return check_pitch(value_in, diameter_in=diameter_in, book=book, rows=2, **more)


def greatest_pitch(value_in, diameter_in, book, **more):
    return check_pitch_greatest(value_in, diameter_in=diameter_in, book=book, **more)


def row_spacing(value_in, diameter_in, book, **more):
    return check_row_spacing(value_in, diameter_in=diameter_in, book=book, **more)


#: What each document prints, as a multiple of the rivet diameter, and whether as least or most.
PUBLISHED = [
    pytest.param(least_edge, ARMY, 2.0, "least", id="Army AL0992 p 59: edge at least 2 D"),
    pytest.param(
        least_flush_edge, ARMY, 2.5, "least", id="Army AL0992 p 59: flush edge at least 2.5 D"
    ),
    pytest.param(greatest_edge, ARMY, 4.0, "most", id="Army AL0992 p 59: edge never over 4 D"),
    pytest.param(pitch, ARMY, 3.0, "least", id="Army AL0992 p 59: pitch at least 3 D"),
    pytest.param(greatest_pitch, ARMY, 10.0, "most", id="Army AL0992 p 59: pitch at most 10 D"),
    pytest.param(pitch, NAVY, 3.0, "least", id="NAVEDTRA 14018 ch 13: pitch at least 3 D"),
    pytest.param(row_spacing, ARMY, 2.5, "least", id="TM 10-5410-229-13&P p 5-4: rows 2.5 D apart"),
    # 40 rivets of 1/8 in two rows over 10 in: 20 in each, 0.5 in apart.
    pytest.param(
        two_row_pitch, USUAL, 4.0, "least", id="AC 43.13-1B p 4-27: two rows 4 D (derived)"
    ),
]


@pytest.mark.parametrize(("check", "book", "multiple", "side"), PUBLISHED)
@pytest.mark.parametrize("diameter_in", [3 / 32, 1 / 8, 5 / 32, 3 / 16])
def test_published_limit_from_both_sides(check, book, multiple, side, diameter_in):
    limit_in = multiple * diameter_in
    at = check(limit_in, diameter_in, book)
    assert at.limit == pytest.approx(limit_in, rel=1e-12)
    assert at.verdict is Verdict.PASS
    above = check(limit_in * 1.01, diameter_in, book).verdict
    below = check(limit_in * 0.99, diameter_in, book).verdict
    passing, failing = (above, below) if side == "least" else (below, above)
    assert (passing, failing) == (Verdict.PASS, Verdict.FAIL)


def test_substituted_line_can_be_worked_by_hand():
    check = least_edge(0.25, 0.125, USUAL)
    assert check.formula == "e >= k x D"
    assert check.substituted() == "0.2500 in >= 2 x 0.1250 in"
    assert check.substituted("mm") == "6.350 mm >= 2 x 3.175 mm"
    assert check.citations[0].source == "army-al0992"
    assert "p 59" in check.citations[0].locator


def test_an_override_in_inches_or_with_an_addition_reads_as_it_is():
    own = Override("edge_distance_min_protruding", 0.3, "in", "maker's sheet 4")
    check = least_edge(0.3, 0.125, RuleBook.named(overrides=[own]))
    assert check.verdict is Verdict.PASS
    assert check.substituted() == "0.3000 in >= 0.3000 in"
    assert check.citations[0].overridden
    metric = Override("edge_distance_min_protruding", 10, "mm", "maker's sheet 4")
    assert least_edge(0.5, 0.125, RuleBook.named(overrides=[metric])).limit == pytest.approx(
        10 / 25.4
    )


@pytest.mark.parametrize("diameter_in", [3 / 32, 1 / 8, 3 / 16])
def test_an_addition_in_inches_is_written_and_counted(diameter_in):
    # A mechanics' handbook, ch 4 fig 4-78 (from memory): preferred edge 2 D + 1/16 in.
    (preferred,) = (
        rule
        for rule in USUAL.alternatives("edge_distance_min_protruding")
        if rule.citation.rule == "amt-edge-preferred-protruding"
    )
    check = check_length(
        "edge", 0.3, rule=preferred, comparison="at least", symbol="e", diameter_in=diameter_in
    )

    assert check.formula == "e >= k x D + c"
    assert check.substituted() == f"0.3000 in >= 2 x {diameter_in:.4f} in + 0.0625 in"
    assert check.limit == pytest.approx(2 * diameter_in + 1 / 16)


@pytest.mark.parametrize("distance_in", [0.375, 0.4, 1.0])
def test_where_row_spacing_and_pitch_are_one_number_a_pitch_apart_is_enough(distance_in):
    # Common practice: two rivets a pitch apart stand far enough, whichever way their rows run.
    for share in (0.0, 0.5, 0.75, 0.9, 1.0):
        assert not held_to_row_spacing(
            distance_in,
            square_in=share * distance_in,
            pitch_limit_in=0.375,
            row_limit_in=0.375,
        )


def test_a_larger_row_spacing_rules_what_stands_beside_and_not_what_stands_in_line():
    # The maker's own: rows .5 in apart, rivets of a row .375 in.
    limits = {"pitch_limit_in": 0.375, "row_limit_in": 0.5}

    assert held_to_row_spacing(0.45, square_in=0.45, **limits)
    assert held_to_row_spacing(0.45, square_in=0.32, **limits)
    assert not held_to_row_spacing(0.45, square_in=0.31, **limits)
    assert not held_to_row_spacing(0.45, square_in=0.0, **limits)
    assert not held_to_row_spacing(0.45, square_in=float("-inf"), **limits)


@pytest.mark.parametrize("square_in", [None, 0.0, 0.45])
@pytest.mark.parametrize(("own", "other"), [(0.125, 0.1875), (0.1875, 0.125), (0.1875, None)])
def test_apart_the_larger_of_two_rivets_rules(own, other, square_in):
    # NAVEDTRA 14018: 3 D, for 3/16 in .5625; TM 10-5410 p 5-4: rows 2.5 D apart, .46875.
    check = check_apart(
        0.5, square_in=square_in, diameter_in=own, neighbour_diameter_in=other, book=USUAL
    )

    assert check.limit == pytest.approx(0.46875 if square_in else 0.5625)
    assert check.verdict is Verdict.FAIL


@pytest.mark.parametrize("rows", [1, 2])
def test_apart_a_seam_of_two_rows_keeps_its_own_pitch(rows):
    # AC 43.13-1B p 4-27: 4 D in two rows; NAVEDTRA 14018: 3 D.
    more = {} if rows == 1 else {"rows": rows}
    check = check_apart(0.4, square_in=0.0, diameter_in=0.125, book=USUAL, **more)

    assert (check.name, check.limit) == ("pitch", 0.375 if rows == 1 else 0.5)


def test_two_holes_in_one_place_fail_and_are_no_slip_of_the_pen():
    for square_in in (None, 0.0):
        check = check_apart(0.0, square_in=square_in, diameter_in=0.125, book=USUAL)
        assert check.verdict is Verdict.FAIL


def test_a_smaller_row_spacing_rules_where_it_has_more_to_spare():
    # Usual for a 1/8 rivet: .375 in along, .3125 in across.
    limits = {"pitch_limit_in": 0.375, "row_limit_in": 0.3125}

    assert held_to_row_spacing(0.32, square_in=0.32, **limits)
    assert held_to_row_spacing(0.36, square_in=0.30, **limits)
    assert not held_to_row_spacing(0.36, square_in=0.29, **limits)
    assert not held_to_row_spacing(0.36, square_in=0.0, **limits)


@pytest.mark.parametrize(
    ("told_in", "stray_in", "verdict", "value_in"),
    [
        (0.4, 0.0, Verdict.PASS, 0.4),
        (0.4, 0.15, Verdict.PASS, 0.25),
        (0.4, 0.16, Verdict.NOT_CHECKED, None),
        (0.2, 0.05, Verdict.FAIL, 0.2),
        (0.2, 0.3, Verdict.FAIL, 0.2),
    ],
)
def test_what_a_distance_may_be_less_is_no_pass_and_a_fail_stays_as_told(
    told_in, stray_in, verdict, value_in
):
    # Army AL0992 p 59: 2 D, for 1/8 in .25.
    check_at = partial(check_edge_distance, diameter_in=0.125, flush=False, book=USUAL)
    check = check_strayed(check_at, told_in, stray_in=stray_in)

    assert check.verdict is verdict
    assert check.value == (None if value_in is None else pytest.approx(value_in))


def test_a_caliper_that_may_be_off_makes_a_near_miss_marginal():
    assert least_edge(0.25, 0.125, USUAL, accuracy_in=0.005).verdict is Verdict.MARGINAL
    assert least_edge(0.246, 0.125, USUAL, accuracy_in=0.005).verdict is Verdict.MARGINAL
    assert least_edge(0.255, 0.125, USUAL, accuracy_in=0.005).verdict is Verdict.PASS
    assert least_edge(0.244, 0.125, USUAL, accuracy_in=0.005).verdict is Verdict.FAIL


@given(diameter_in=diameters, one=distances, other=distances, flush=st.booleans())
def test_more_edge_never_turns_a_pass_into_a_fail(diameter_in, one, other, flush):
    short, long = sorted((one, other))
    check = least_flush_edge if flush else least_edge
    if check(short, diameter_in, USUAL).verdict is Verdict.PASS:
        assert check(long, diameter_in, USUAL).verdict is Verdict.PASS


@given(diameter_in=diameters, edge_in=distances)
def test_a_flush_head_never_needs_less_edge(diameter_in, edge_in):
    if least_flush_edge(edge_in, diameter_in, USUAL).verdict is Verdict.PASS:
        assert least_edge(edge_in, diameter_in, USUAL).verdict is Verdict.PASS


@given(diameter_in=diameters, pitch_in=distances, scale=st.floats(0.1, 10))
def test_a_scaled_pattern_keeps_its_verdict(diameter_in, pitch_in, scale):
    for check in (least_edge, greatest_edge, pitch, two_row_pitch, greatest_pitch, row_spacing):
        plain = check(pitch_in, diameter_in, USUAL)
        scaled = check(pitch_in * scale, diameter_in * scale, USUAL)
        if abs(plain.margin) > 1e-6:
            assert scaled.verdict is plain.verdict


@given(tenths_mm=st.integers(1, 1000))
def test_inches_and_millimetres_agree(tenths_mm):
    # 25.4 mm to the inch (international inch): 3.2 mm rivet, edge to the tenth, 2 D is 6.4 mm.
    check = least_edge(tenths_mm / 10 / 25.4, 3.2 / 25.4, USUAL)
    assert (check.verdict is Verdict.PASS) == (tenths_mm >= 64)


def test_between_two_sizes_the_larger_rules_the_least_pitch_and_the_smaller_the_greatest():
    # From the wording of the rules: both rivets must have their pitch. Common practice.
    assert pitch(0.4, 1 / 8, USUAL).verdict is Verdict.PASS
    assert pitch(0.4, 1 / 8, USUAL, neighbour_diameter_in=5 / 32).verdict is Verdict.FAIL
    assert pitch(0.4, 5 / 32, USUAL, neighbour_diameter_in=1 / 8).verdict is Verdict.FAIL
    assert greatest_pitch(1.4, 5 / 32, USUAL).verdict is Verdict.PASS
    assert greatest_pitch(1.4, 5 / 32, USUAL, neighbour_diameter_in=1 / 8).verdict is Verdict.FAIL
    assert row_spacing(0.35, 1 / 8, USUAL).verdict is Verdict.PASS
    assert row_spacing(0.35, 1 / 8, USUAL, neighbour_diameter_in=5 / 32).verdict is Verdict.FAIL


def test_diameter_against_the_thickest_sheet_navedtra_14018_rivet_selection():
    # NAVEDTRA 14018 ch 13, Rivet Selection (seen).
    def verdicts(diameter_in, *sheets_in, book=NAVY):
        checks = check_diameter_for_sheet(diameter_in, sheets_in=sheets_in, book=book)
        return [check.verdict.value for check in checks]

    assert verdicts(1 / 8, 0.032, 0.125) == ["pass", "pass", "pass"]
    assert verdicts(1 / 8, 0.125 * 1.01, 0.032)[0] == "fail"
    assert verdicts(1 / 8, 0.125 / 3)[1] == "pass"
    assert verdicts(1 / 8, 0.125 / 3 * 0.99)[1] == "fail"
    assert verdicts(1 / 8, 0.02, 0.05)[1] == "pass", "the thickest sheet rules, not the thinnest"
    assert verdicts(3 / 32, 0.04)[2] == "pass"
    assert verdicts(3 / 32 * 0.99, 0.04)[2] == "fail"


def test_5_32_is_accepted_on_032_as_ac_43_13_1b_p_4_27_says():
    # AC 43.13-1B p 4-27 (derived from its example).
    _, greatest, _ = check_diameter_for_sheet(5 / 32, sheets_in=[0.032, 0.032], book=USUAL)
    assert greatest.verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("diameter_in", "sheet_in", "verdict"),
    [
        # Tables 4-9 to 4-11 print a count for these
        (1 / 8, 0.020, Verdict.PASS),
        (1 / 8, 0.025, Verdict.PASS),
        (5 / 32, 0.025, Verdict.PASS),
        (3 / 16, 0.032, Verdict.PASS),
        (1 / 4, 0.036, Verdict.PASS),
        # and a blank cell for these
        (5 / 32, 0.016, Verdict.FAIL),
        (3 / 16, 0.025, Verdict.FAIL),
        (1 / 4, 0.032, Verdict.FAIL),
    ],
)
def test_the_greatest_diameter_is_one_ac_43_13_1b_counts_rivets_for(diameter_in, sheet_in, verdict):
    """AC 43.13-1B tables 4-9 to 4-11, p 4-37 to 4-39: 1/8 in .020 and .025 are everyday joints."""
    _, greatest, _ = check_diameter_for_sheet(diameter_in, sheets_in=[sheet_in] * 2, book=USUAL)
    assert greatest.verdict is verdict


def test_edge_margin_is_distance_over_diameter():
    assert edge_margin(0.3125, 0.125) == 2.5
    with pytest.raises(InputError, match="the rivet diameter is 0 in; give a length above zero"):
        edge_margin(0.25, 0)


def test_every_layer_is_checked_and_an_unmeasured_one_says_so():
    edges = [LayerEdge("skin", 0.25), LayerEdge("spar flange", None), LayerEdge("rib", 0.24)]
    checks = spacing_checks(PROTRUDING, USUAL, edges=edges)
    least = {check.where: check for check in checks if check.name == "edge distance"}
    assert {where: check.verdict.value for where, check in least.items()} == {
        "skin": "pass",
        "spar flange": "not_checked",
        "rib": "fail",
    }
    assert least["spar flange"].reason == "no edge distance was given for this layer"


def test_a_sheet_beyond_the_edges_given_is_not_checked():
    checks = spacing_checks(
        PROTRUDING, USUAL, edges=[LayerEdge("skin", 0.25)], sheets_in=[0.032, 0.032, 0.05]
    )
    unknown = [check.where for check in checks if check.verdict is Verdict.NOT_CHECKED]
    assert unknown == ["sheet 2", "sheet 3"]


def test_the_head_of_the_rivet_picks_the_edge_rule():
    edges = [LayerEdge("skin", 0.28)]
    assert spacing_checks(PROTRUDING, USUAL, edges=edges)[0].verdict is Verdict.PASS
    assert spacing_checks(FLUSH, USUAL, edges=edges)[0].verdict is Verdict.FAIL


def test_what_a_seam_of_two_rows_lacks_is_said():
    checks = spacing_checks(PROTRUDING, USUAL, rows=2)
    assert [(check.name, check.reason) for check in checks] == [
        ("pitch", "no pitch was given"),
        ("row spacing", "no row spacing was given"),
    ]
    one_row = spacing_checks(PROTRUDING, USUAL, pitch_in=0.375)
    assert [check.name for check in one_row] == ["pitch", "pitch, greatest"]
    assert all(check.verdict is Verdict.PASS for check in one_row)
    two_rows = spacing_checks(PROTRUDING, USUAL, pitch_in=0.375, row_spacing_in=0.3125, rows=2)
    assert [check.verdict.value for check in two_rows] == ["fail", "pass", "pass"]


def test_a_countersunk_sheet_brings_both_countersink_checks():
    checks = spacing_checks(FLUSH, USUAL, countersunk_sheet_in=0.063)
    assert [check.name for check in checks] == [
        "sheet for a machine countersink",
        "land below the countersink",
    ]


def test_nothing_to_check_is_refused():
    with pytest.raises(InputError, match="nothing is given to check; give an edge distance"):
        spacing_checks(PROTRUDING, USUAL)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: least_edge(-0.1, 0.125, USUAL), "the edge distance is -0.1 in"),
        (lambda: least_edge(float("nan"), 0.125, USUAL), "the edge distance is nan in"),
        (lambda: pitch(0.5, float("inf"), USUAL), "the rivet diameter is inf in"),
        (lambda: least_edge(0.3, 0.1, USUAL, accuracy_in=-1), "the measuring accuracy is -1 in"),
        (lambda: pitch(0.5, 0.125, USUAL, rows=0), "a seam of 0 rows; give 1 or more"),
        (
            lambda: check_diameter_for_sheet(0.125, sheets_in=[], book=USUAL),
            "no sheet is given; give the thickness of every sheet",
        ),
    ],
)
def test_bad_sizes_are_named(call, message):
    with pytest.raises(InputError, match=message):
        call()


def test_other_documents_are_shown_only_where_they_differ():
    # The cab manual prints 3/8 in, MIL-R-47196A .156 for 3/32: both differ from 2 D.
    others = also_says("edge_distance_min_protruding", USUAL)
    assert (0.375, "in") in {(rule.value, rule.unit) for rule in others}
    assert (2.0, "D", 0.0) not in {(rule.value, rule.unit, rule.plus_in) for rule in others}


def test_a_hole_inside_the_sheet_is_held_to_the_least_edge_only():
    # Army AL0992 p 59: never over 4 D, of the row along that edge; 1 in is 8 D.
    asked = {"edges": [LayerEdge("skin", 1.0), LayerEdge("rib", 0.2)]}
    edge_row = spacing_checks(PROTRUDING, USUAL, **asked)
    inner = spacing_checks(PROTRUDING, USUAL, inner=True, **asked)
    assert [(c.name, c.where) for c in inner] == [
        ("edge distance", name) for name in ("skin", "rib")
    ]
    assert [c.verdict for c in inner] == [Verdict.PASS, Verdict.FAIL]
    assert len(edge_row) == 4
    assert Verdict.FAIL in [c.verdict for c in edge_row if c.where == "skin"]
