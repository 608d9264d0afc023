"""Rivets for a splice: the printed example, each way of counting, rows, and the laws."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.splice.rivet_counts import RivetCount, count_by_example, count_by_notes
from rivetkit.calculators.splice.rivets_required import rivets_required
from rivetkit.calculators.splice.rows import splice_rows
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()
AD4 = parse_part_number("MS20470AD4")
JOINTS = {"single-lap": 0.75, "stringer": 0.80, "frame": 0.60, "full": 1.0}


def counted(width_in=10.0, **more):
    given_or_usual = {
        "thickness_in": 0.032,
        "joint": "single-lap",
        "fastener": AD4,
        "book": USUAL,
        "alloy": "2024-T3 clad",
        **more,
    }
    return rivets_required(width_in, **given_or_usual)


def count_of(found, method, table=""):
    return next(c for c in found.counts if (c.method, c.table_name) == (method, table))


# --- AC 43.13-1B par 4-58g(2), p 4-27 ----------------------------------------------------------


@pytest.mark.parametrize(("width_in", "whole", "rivets"), [(0.6, 4, 3), (2.0, 13, 8)])
def test_the_frame_example_asks_for_3_in_a_flange_and_8_in_the_web(width_in, whole, rivets):
    # AC 43.13-1B fig 4-20, p 4-41 (read as page text): .040 in frame of 2017-T3, 1/8 in rivets,
    # 6.2 an inch. .6 in: 3.72, so 4, of which 60 percent are 2.4: 3. 2 in: 12.4, 13, 7.8: 8.
    way = {"thickness_in": 0.040, "table_name": "4-10", "alloy": ""}
    full = count_of(counted(width_in, joint="full", **way), "notes", "4-10")
    frame = counted(width_in, joint="frame", **way)

    assert (full.per_inch, full.count) == (6.2, whole)
    assert count_of(frame, "notes", "4-10").count == frame.printed.count == rivets


def test_the_worked_example_asks_for_37_rivets_in_two_rows_of_19():
    found = counted(table_name="4-10")
    example = count_of(found, "example", "4-10")
    assert example.per_inch == 4.9
    assert example.count == 37
    assert count_of(found, "notes", "4-10").count == 37
    assert found.printed.count == 37
    rows = splice_rows(37, width_in=10.0, diameter_in=0.125, book=USUAL)
    assert (rows.rows, rows.per_row) == (2, 19)
    # "A double row at minimum spacing would hold 40".
    assert 2 * rows.row_holds == 40
    assert rows.pitch_in == pytest.approx(9.5 / 18)
    assert rows.check.verdict is Verdict.PASS


def test_the_example_prints_3_7_rivets_an_inch():
    line = count_of(counted(table_name="4-10"), "example", "4-10").workings[-1]
    assert "3.7" in line.substituted()
    assert "4.9" in line.substituted()


@pytest.mark.parametrize(("joint", "factor"), JOINTS.items())
@pytest.mark.parametrize("table", ["4-9", "4-10"])
def test_the_factors_are_those_of_notes_a_b_and_c(joint, factor, table):
    found = counted(joint=joint, table_name=table)
    assert found.factor == factor
    printed = {"4-9": Fraction("6.2"), "4-10": Fraction("4.9")}[table]
    by_hand = math.ceil(math.ceil(10 * printed) * Fraction(str(factor)))
    assert count_of(found, "notes", table).count == by_hand


@pytest.mark.parametrize(
    ("per_inch", "width_in", "factor", "by_notes", "by_example"),
    [
        # The two orders of rounding can differ either way; each is worked by hand.
        ("4.9", 10, 0.75, 37, 37),  # 49 -> 36.75; 3.675 -> 3.7 -> 37
        ("9.8", 10, 0.80, 79, 78),  # 98 -> 78.4; 7.84 -> 7.8 -> 78
        ("6.5", 10, 0.75, 49, 49),  # 65 -> 48.75; 4.875 -> 4.9 -> 49
        ("3.3", 3, 0.75, 8, 8),  # 9.9 -> 10 -> 7.5; 2.475 -> 2.5 -> 7.5
        ("2.4", 7, 0.60, 11, 10),  # 16.8 -> 17 -> 10.2; 1.44 -> 1.4 -> 9.8
        ("6.2", 20, 0.75, 93, 94),  # 124 -> 93; 4.65 -> 4.7 -> 94
        ("5.0", 4, 1.0, 20, 20),
    ],
)
def test_both_orders_of_rounding(per_inch, width_in, factor, by_notes, by_example):
    sizes = {"width_in": width_in, "factor": factor}
    assert count_by_notes(Fraction(per_inch), **sizes) == by_notes
    assert count_by_example(Fraction(per_inch), **sizes) == by_example


def test_a_whole_number_of_rivets_gains_none_from_binary_noise():
    # 4.9 x 10 is 49 and .8 x 5 is 4, whatever floats make of them.
    assert count_by_notes(4.9, width_in=10.0, factor=1.0) == 49
    assert count_by_notes(0.1, width_in=30.0, factor=1.0) == 3
    assert count_by_notes(5.0, width_in=1.0, factor=0.8) == 4
    assert count_by_notes(4.9, width_in=math.nextafter(10.0, 11.0), factor=1.0) == 49


# --- which table -------------------------------------------------------------------------------


def test_clad_2024_t3_stands_in_two_titles_and_the_larger_count_is_taken():
    found = counted(thickness_in=0.040, width_in=1.0, joint="full")
    assert count_of(found, "notes", "4-9").per_inch == 7.7
    assert count_of(found, "notes", "4-10").per_inch == 6.2
    assert found.printed.table_name == "4-9"
    assert {c.table_name for c in counted(table_name="4-10").counts} == {"4-10", ""}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"alloy": "6061-T6"}, "no title of tables 4-9 to 4-11 names 6061-T6"),
        ({"alloy": "6061-T6 clad"}, "no title of tables 4-9 to 4-11 names 6061-T6 clad"),
        ({"alloy": "6061-T6", "table_name": "4-10"}, "table 4-10 does not name 6061-T6"),
        ({"fastener": parse_part_number("MS20426AD4")}, "protruding solid rivets, not MS20426AD4"),
        ({"fastener": parse_part_number("MS20470D4")}, "2117 rivets (AD), not MS20470D4"),
        ({"fastener": parse_part_number("IFI114-30-4")}, "protruding solid rivets"),
        ({"thickness_in": 0.071}, "none is interpolated"),
        ({"thickness_in": 0.128}, "blank"),
    ],
)
def test_what_a_table_is_not_for_is_not_checked(more, words):
    found = counted(**more)
    assert found.printed is None
    refused = [c for c in found.counts if c.method == "notes"]
    assert all(words in c.reason for c in refused)
    names = [check.name for check in found.checks if check.verdict is Verdict.NOT_CHECKED]
    assert any(name.startswith("rivets, ") for name in names)


def test_the_refused_bolt_cell_leaves_the_formula_to_answer():
    found = counted(
        4.0, fastener=None, thickness_in=0.128, alloy="", table_name="4-9", joint="full"
    )
    assert found.printed is None
    # 70 000 x .128 / 2126 = 4.21 an inch.
    assert found.strictest.method == "formula"
    assert found.strictest.count == math.ceil(4 * 70_000 * 0.128 / 2126)


def test_the_low_cell_is_flagged_and_its_formula_is_the_stricter():
    five = parse_part_number("MS20470AD5")
    found = counted(10.0, fastener=five, alloy="2024-T3", joint="full")
    printed = count_of(found, "notes", "4-9")
    assert printed.count == 39
    assert "doubtful cell" in printed.remarks[0]
    assert count_of(found, "formula", "4-9").count == 41
    assert found.strictest.method == "formula"


def test_the_modern_gauge_takes_the_old_row_and_its_own_thickness_in_the_formula():
    found = counted(alloy="5052-H32", thickness_in=0.050, joint="full", width_in=1.0)
    assert "0.051 in stands for 0.05 in" in count_of(found, "notes", "4-11").remarks[0]
    by_hand = 0.050 / (0.70 * math.pi / 4 * 0.1285**2)
    assert count_of(found, "formula", "4-11").per_inch == pytest.approx(by_hand)


# --- from the allowables -----------------------------------------------------------------------


def test_the_allowables_count_is_sheet_strength_over_joint_strength():
    # 2024-T3, from memory: 63 ksi across the grain; 1/8 shear 30 ksi x area x .964 in .032 sheet.
    found = counted(alloy="2024-T3")
    shear_lbf = 30_000 * math.pi / 4 * 0.1285**2 * (1 - 0.04 * (0.125 / 0.032 - 3))
    per_inch = 0.032 * 63_000 / shear_lbf
    count = count_of(found, "allowables")
    assert count.per_inch == pytest.approx(per_inch)
    assert count.count == math.ceil(math.ceil(10 * per_inch) * Fraction("0.75"))
    assert "rivet shear" in count.remarks[0]


def test_the_implied_rivets_of_the_tables_are_weaker_than_the_handbooks():
    # AC 43.13-1B table 4-9 implies 28 000 psi against 30 000: for one sheet stress the tables ask
    # for more.
    found = counted(alloy="2024-T3", joint="full")
    assert count_of(found, "formula", "4-9").per_inch > count_of(found, "allowables").per_inch


def test_without_an_alloy_the_table_alone_is_asked():
    found = counted(alloy="", table_name="4-10")
    assert {c.method for c in found.counts} == {"notes", "example", "formula"}
    assert found.checks == ()


def test_an_edge_too_near_leaves_the_allowables_unchecked():
    found = counted(alloy="2024-T3", edge_in=0.15)
    assert count_of(found, "allowables").count is None
    assert found.printed.count is not None


def test_the_strictest_is_the_most_rivets_of_all_ways():
    for alloy in ("2024-T3", "2024-T3 clad", "5052-H32", "6061-T6"):
        found = counted(alloy=alloy)
        assert found.strictest.count == max(c.count for c in found.counts if c.count is not None)


def test_a_factor_of_the_makers_own_is_used_and_cited():
    own = Override("splice_factor_single_lap", 0.9, "fraction", "maker's sheet 4")
    found = counted(table_name="4-10", book=RuleBook.named(overrides=[own]))
    assert found.printed.count == math.ceil(49 * 0.9)
    assert any(citation.overridden for citation in found.citations)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"alloy": ""}, "neither alloy nor table is named"),
        ({"width_in": 0.0}, "the width is 0 in"),
        ({"thickness_in": -1.0}, "the thickness is -1 in"),
        ({"alloy": "", "table_name": "4-8"}, "no rivets-required table is called '4-8'"),
    ],
)
def test_what_is_no_splice_is_refused(more, message):
    with pytest.raises(InputError, match=message):
        counted(**more)


# --- rows --------------------------------------------------------------------------------------


def test_one_row_is_taken_while_it_has_room_and_two_when_it_has_not():
    # One row: 3 D apart, 2 D at the ends: 1/8 in 4 in: (4 - .5) / .375 = 9.33, so 10 rivets.
    ten = splice_rows(10, width_in=4.0, diameter_in=0.125, book=USUAL)
    eleven = splice_rows(11, width_in=4.0, diameter_in=0.125, book=USUAL)
    assert (ten.rows, ten.per_row, ten.row_holds) == (1, 10, 10)
    assert (eleven.rows, eleven.per_row) == (2, 6)


def test_rows_asked_for_are_kept_and_judged():
    packed = splice_rows(37, width_in=10.0, diameter_in=0.125, book=USUAL, rows=1)
    assert (packed.rows, packed.fits) == (1, False)
    assert packed.check.verdict is Verdict.FAIL


def test_a_splice_narrower_than_its_edges_has_no_row():
    rows = splice_rows(3, width_in=0.4, diameter_in=0.125, book=USUAL)
    assert rows.check.verdict is Verdict.NOT_CHECKED
    assert "no room" in rows.check.reason


def test_an_edge_distance_that_is_given_is_held_to_both_limits():
    # Army AL0992 p 59: 2 D to 4 D; of a 1/8 rivet .25 to .50 in.
    for edge_in, fails in [(0.05, [0]), (0.25, []), (0.5, []), (0.51, [1])]:
        rows = splice_rows(8, width_in=4.0, diameter_in=0.125, book=USUAL, edge_in=edge_in)
        edges = [check for check in rows.other_checks if check.name.startswith("edge")]
        failed = [n for n, check in enumerate(edges) if check.verdict is Verdict.FAIL]
        assert (len(edges), failed) == (2, fails)


def test_too_few_rivets_in_a_row_fail_the_greatest_pitch():
    # (10 - .5) / 1 = 9.5 in between two rivets; the greatest pitch is 10 D, 1.25 in.
    sparse = splice_rows(40, width_in=10.0, diameter_in=0.125, book=USUAL, rows=20)
    assert [check.verdict for check in sparse.other_checks] == [Verdict.FAIL]
    assert sparse.other_checks[0].limit == pytest.approx(1.25)


def test_flush_heads_take_more_edge():
    flush = splice_rows(8, width_in=4.0, diameter_in=0.125, book=USUAL, flush=True)
    assert flush.edge_in == pytest.approx(2.5 * 0.125)


@pytest.mark.parametrize(("count", "rows"), [(0, None), (5, 0)])
def test_no_rivet_or_no_row_is_refused(count, rows):
    with pytest.raises(InputError, match="no rivet, or no row"):
        splice_rows(count, width_in=4.0, diameter_in=0.125, book=USUAL, rows=rows)


@given(
    count=st.integers(1, 300),
    width_in=st.floats(1.0, 60.0),
    diameter_in=st.sampled_from([3 / 32, 1 / 8, 5 / 32, 3 / 16]),
)
def test_rows_hold_every_rivet_and_a_layout_that_fits_keeps_pitch_and_edge(
    count, width_in, diameter_in
):
    found = splice_rows(count, width_in=width_in, diameter_in=diameter_in, book=USUAL)
    assert found.total >= count
    assert found.total - count < found.rows
    if found.fits and found.pitch_in is not None:
        least = (3 if found.rows == 1 else 4) * diameter_in
        assert found.pitch_in >= least - 1e-9
        assert (found.per_row - 1) * found.pitch_in + 2 * found.edge_in == pytest.approx(width_in)
        assert found.per_row <= found.row_holds


# --- laws --------------------------------------------------------------------------------------


@given(
    one=st.integers(1, 140),
    other=st.integers(1, 140),
    width_in=st.floats(0.5, 60),
    factor=st.sampled_from(sorted(JOINTS.values())),
)
def test_more_rivets_an_inch_never_make_fewer_rivets(one, other, width_in, factor):
    few, many = (Fraction(n, 10) for n in sorted((one, other)))
    sizes = {"width_in": width_in, "factor": factor}
    assert count_by_notes(few, **sizes) <= count_by_notes(many, **sizes)
    assert count_by_example(few, **sizes) <= count_by_example(many, **sizes)


@given(per_inch=st.integers(1, 140), one=st.floats(0.5, 60), other=st.floats(0.5, 60))
def test_a_wider_splice_never_takes_fewer_rivets(per_inch, one, other):
    narrow, wide = sorted((one, other))
    n = Fraction(per_inch, 10)
    assert count_by_notes(n, width_in=narrow, factor=0.75) <= count_by_notes(
        n, width_in=wide, factor=0.75
    )


@given(per_inch=st.integers(1, 140), width_in=st.floats(0.5, 60))
def test_a_reduction_never_asks_for_more_and_rounding_never_for_less(per_inch, width_in):
    n = Fraction(per_inch, 10)
    full = count_by_notes(n, width_in=width_in, factor=1.0)
    for factor in JOINTS.values():
        count = count_by_notes(n, width_in=width_in, factor=factor)
        assert count <= full
        assert count >= float(n) * width_in * factor - 1e-6


@given(thickness_in=st.floats(0.018, 0.128), added_in=st.floats(0.0, 0.05))
def test_a_thicker_sheet_never_takes_fewer_rivets_by_the_formula(thickness_in, added_in):
    thick_in = min(0.128, thickness_in + added_in)
    for alloy in ("2024-T3", "5052-H32"):
        thin, thick = (
            counted(thickness_in=t, alloy=alloy, joint="full") for t in (thickness_in, thick_in)
        )
        table = "4-9" if alloy == "2024-T3" else "4-11"
        assert count_of(thin, "formula", table).count <= count_of(thick, "formula", table).count


@pytest.mark.parametrize(
    ("method", "table_name", "title"),
    [
        ("allowables", "", "from the allowables"),
        ("notes", "", "AC 43.13-1B tables"),
        ("notes", "4-9", "table 4-9"),
        ("example", "4-9", "table 4-9, rounded as in its example"),
        ("formula", "4-9", "table 4-9's own formula"),
    ],
)
def test_a_count_is_called_by_its_table_and_its_way(method, table_name, title):
    found = RivetCount(method, table_name, None, None, "", (), (), ())

    assert found.title == title


@pytest.mark.parametrize(
    ("per_inch", "width_in", "factor", "notes", "example"),
    [
        # AC 43.13-1B par 4-58g(2), p 4-27: 4.9 x .75 printed as 3.7, 37 rivets in 10 in.
        (4.9, 10, 0.75, 37, 37),
        # By hand: 3.1 x 3 = 9.3, up to 10, x .5 = 5; 3.1 x .5 = 1.55, to 1.6, x 3 = 4.8, up to 5.
        (3.1, 3, 0.5, 5, 5),
        # 2.1 x 10 = 21 x .75 = 15.75; 2.1 x .75 = 1.575, to 1.6, x 10 = 16.
        (2.1, 10, 0.75, 16, 16),
        # 4.1 x 1 up to 5, x .75 = 3.75; 4.1 x .75 = 3.075, to 3.1, x 1 up to 4.
        (4.1, 1, 0.75, 4, 4),
        # 6.06 x 10 up to 61, x .75 = 45.75; 6.06 x .75 = 4.545, to 4.5, x 10 = 45.
        (6.06, 10, 0.75, 46, 45),
        # A whole number stays: 3 x 7 = 21, whatever 0.1 is in binary.
        (0.3, 70, 1.0, 21, 21),
    ],
)
def test_counts_are_rounded_in_the_order_of_their_document(
    per_inch, width_in, factor, notes, example
):
    assert count_by_notes(per_inch, width_in=width_in, factor=factor) == notes
    assert count_by_example(per_inch, width_in=width_in, factor=factor) == example


@pytest.mark.parametrize("joint", ["full", "single-lap", "stringer", "frame"])
def test_a_count_is_reduced_two_ways_only_where_the_joint_takes_a_share_of_it(joint):
    # AC 43.13-1B tables 4-9 to 4-11, notes, and the example of p 4-27 (seen): they round in
    # another order, which is no matter where the whole count is needed.
    found = rivets_required(
        4.0,
        thickness_in=0.040,
        joint=joint,
        fastener=parse_part_number("MS20470AD4"),
        book=RuleBook.named(),
        alloy="2024-T3",
    )
    methods = [count.method for count in found.counts]

    assert ("example" in methods) is (found.factor != 1.0)
    assert methods.count("notes") == methods.count("formula")
