"""Heat: growth, movement of two parts, the hole that leaves room, the temperature of a fit."""

import json
import math
from dataclasses import replace

import pytest
from click.testing import CliRunner
from hypothesis import assume, given
from hypothesis import strategies as st

from rivetkit.calculators.heat import expansion
from rivetkit.calculators.heat.answer import HeatQuestion, answer_heat
from rivetkit.calculators.heat.coefficients import (
    expansion_materials,
    expansion_per_degf,
    expansion_rows,
)
from rivetkit.calculators.heat.expansion import (
    movement,
    rows_out_of_range,
)
from rivetkit.calculators.heat.fit_temperature import temperature_of_change_degf
from rivetkit.calculators.heat.match_drilling import check_match_drilling, hole_for_movement_in
from rivetkit.checks import Verdict
from rivetkit.cli.app import main
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.rules import RuleBook

USUAL = RuleBook.named()

materials = st.sampled_from(expansion_materials())
lengths = st.floats(0.1, 400.0)
temperatures = st.floats(-60.0, 180.0)
fasteners = st.floats(0.09, 0.38)


def near(value, abs_tol=1e-9):
    return pytest.approx(value, rel=1e-9, abs=abs_tol)


def growth_in(material, **way):
    return movement(material, **way).greatest_in


def mismatch_in(one, other, **way):
    return movement(one, other, **way).greatest_in


# What documents print


@pytest.mark.parametrize("row", expansion_rows("acrylic"), ids=lambda row: f"{row.source}")
def test_48_in_of_acrylic_move_about_two_thousandths_a_degree_f(row):
    # A sheet maker's glazing rule (read). The row computed from that very rule cannot tell.
    if row.basis == "derived":
        pytest.skip("computed from the rule")
    assert round(48.0 * expansion_per_degf(row), 3) == 0.002


@pytest.mark.parametrize("plastic", expansion_rows("acrylic"), ids=lambda row: row.source)
@pytest.mark.parametrize("metal", expansion_rows("2024"), ids=lambda row: row.source)
def test_a_window_moves_about_three_times_as_much_as_metal(plastic, metal):
    # NAVEDTRA 14315 ch 5, by fig 5-6 (read as page text): plastic three times as much as metal.
    assert round(expansion_per_degf(plastic) / expansion_per_degf(metal)) == 3


@pytest.mark.parametrize(
    ("material", "per_degf", "per_degc"),
    [("acrylic cast", 40, 72), ("polycarbonate", 38, 68)],
)
def test_a_sheet_maker_who_prints_both_scales_agrees_with_himself(material, per_degf, per_degc):
    # The plastic sheet maker prints 40 and 72, 38 and 68: whole numbers, so to half a unit.
    (row,) = (row for row in expansion_rows(material) if row.source == "plastic-sheet-maker")
    assert expansion_per_degf(row) * 1e6 == pytest.approx(per_degf, abs=0.5)
    assert expansion_per_degf(row) * 1e6 * 9 / 5 == pytest.approx(per_degc, abs=0.5)


@pytest.mark.parametrize(("plastic", "doubtful"), [("acrylic", 126.0), ("polycarbonate", 122.0)])
def test_the_textbooks_doubtful_plastics_are_left_out(plastic, doubtful):
    # Callister table B.6 prints these a degree C, about 1.8 times every sheet maker's figure.
    for row in expansion_rows(plastic):
        assert expansion_per_degf(row) * 1e6 * 9 / 5 < doubtful / 1.5


def test_documents_that_differ_both_stand():
    # 17-7PH: 11.0 in a textbook, 15.3 on a property page (both read; the temper matters).
    assert {row.coefficient_ppm for row in expansion_rows("17-7PH")} == {11.0, 15.3}
    grown = movement("17-7PH", length_in=100.0, from_degf=32.0, to_degf=212.0)
    assert grown.documents_differ
    assert grown.greatest_in == near(0.153)
    assert grown.least_in == near(0.110)


# Worked by hand


def test_100_in_of_6061_from_freezing_to_boiling_grow_by_the_coefficient_a_degree_c():
    # 100 C x 100 in x 23.6e-6 (property table, read).
    assert growth_in("6061-T6", length_in=100.0, from_degf=32.0, to_degf=212.0) == near(0.236)


def test_cast_acrylic_in_an_aluminium_frame():
    # 36 in x 52 F x (42 - 22.9 / 1.8) ppm: a document that tells no grade counts for every grade.
    # The other figures are 40 for cast sheet and 23.2 for 2024.
    moved = movement("acrylic cast", "2024-T3", length_in=36.0, from_degf=68.0, to_degf=120.0)
    assert moved.greatest_in == pytest.approx(0.05481, abs=5e-6)
    assert moved.least_in == pytest.approx(0.05075, abs=5e-6)
    assert (moved.taken.row.coefficient_ppm, moved.taken.other.coefficient_ppm) == (42.0, 22.9)


def test_a_skin_drilled_warm_on_a_steel_frame():
    # 96 in x -35 F x (23.2 - 12.2) / 1.8 ppm: the skin shrinks more than the frame.
    moved_in = mismatch_in("2024-T3", "4130", length_in=96.0, from_degf=95.0, to_degf=60.0)
    assert moved_in == pytest.approx(-0.02053, abs=5e-6)


def test_the_temperature_at_which_a_gap_closes():
    # 1/16 in / (24 in x (44 - 13.111) ppm) = 84.31 F; with the smaller 40 it is 96.85 F.
    span = temperature_of_change_degf(0.0625, "acrylic", "6061", length_in=24.0, from_degf=70.0)
    assert span.nearest_degf == pytest.approx(154.31, abs=0.01)
    assert span.farthest_degf == pytest.approx(166.85, abs=0.01)


def test_the_hole_has_the_fastener_in_its_middle():
    # Fixed in the middle of 30 in: 15 in move, 15 x 50 x 29.278 ppm = .02196, to either side.
    question = HeatQuestion(
        material="acrylic cast",
        against=("2024",),
        length_in=30.0,
        held="middle",
        from_degf=70.0,
        to_degf=(120.0,),
        fastener_in=0.138,
    )
    (move,) = answer_heat(question, USUAL).moves
    assert move.moved.greatest_in == pytest.approx(0.02196, abs=5e-6)
    assert move.hole_in == pytest.approx(0.138 + 2 * 0.02196, abs=1e-5)


# Laws


@given(material=materials, against=materials | st.none(), length_in=lengths, at_degf=temperatures)
def test_nothing_moves_at_one_temperature(material, against, length_in, at_degf):
    moved = movement(material, against, length_in=length_in, from_degf=at_degf, to_degf=at_degf)
    assert moved.greatest_in == 0.0
    assert moved.least_in == 0.0


@given(
    one=materials,
    other=materials,
    length_in=lengths,
    from_degf=temperatures,
    to_degf=temperatures,
)
def test_exchanging_the_parts_changes_only_the_sign(one, other, length_in, from_degf, to_degf):
    way = {"length_in": length_in, "from_degf": from_degf, "to_degf": to_degf}
    assert mismatch_in(one, other, **way) == near(-mismatch_in(other, one, **way))


@pytest.mark.parametrize("names", [("a", "b"), ("b", "a")])
def test_documents_as_far_apart_either_way_still_change_only_the_sign(monkeypatch, names):
    # No two materials on file do this: one document says 5 ppm more, another 5 ppm less.
    cast, dealer = expansion_rows("acrylic cast")[:2]
    figures = {"a": (10.0, 20.0), "b": (15.0,)}

    def rows(name):
        return tuple(
            replace(row, material=name, coefficient_ppm=ppm, per="degF")
            for row, ppm in zip((cast, dealer), figures[name], strict=False)
        )

    monkeypatch.setattr(expansion, "expansion_rows", rows)
    monkeypatch.setattr(expansion, "expansion_name", str)
    way = {"length_in": 100.0, "from_degf": 0.0, "to_degf": 100.0}
    moved_in = mismatch_in(*names, **way)
    assert abs(moved_in) == near(0.05)
    assert mismatch_in(*reversed(names), **way) == near(-moved_in)


@given(
    one=materials,
    other=materials,
    length_in=lengths,
    first_degf=temperatures,
    second_degf=temperatures,
    third_degf=temperatures,
)
def test_two_changes_of_temperature_add_up(
    one, other, length_in, first_degf, second_degf, third_degf
):
    def moved_in(from_degf, to_degf):
        return mismatch_in(one, other, length_in=length_in, from_degf=from_degf, to_degf=to_degf)

    whole_in = moved_in(first_degf, third_degf)
    assert moved_in(first_degf, second_degf) + moved_in(second_degf, third_degf) == near(whole_in)
    assert moved_in(third_degf, first_degf) == near(-whole_in)


@given(one=materials, other=materials, first_in=lengths, second_in=lengths, to_degf=temperatures)
def test_two_lengths_add_up(one, other, first_in, second_in, to_degf):
    def moved_in(length_in):
        return mismatch_in(one, other, length_in=length_in, from_degf=68.0, to_degf=to_degf)

    assert moved_in(first_in) + moved_in(second_in) == near(moved_in(first_in + second_in))


@given(one=materials, other=materials, length_in=lengths, to_degf=temperatures)
def test_every_pair_of_documents_lies_between_the_least_and_the_greatest(
    one, other, length_in, to_degf
):
    assume(one != other)
    moved = movement(one, other, length_in=length_in, from_degf=68.0, to_degf=to_degf)
    for row in expansion_rows(one):
        for against in expansion_rows(other):
            difference = expansion_per_degf(row) - expansion_per_degf(against)
            moved_in = abs(difference * length_in * (to_degf - 68.0))
            assert abs(moved.least_in) - 1e-12 <= moved_in <= abs(moved.greatest_in) + 1e-12


@given(material=materials, length_in=lengths, to_degf=temperatures)
def test_a_part_does_not_move_in_a_frame_of_its_own_kind(material, length_in, to_degf):
    way = {"length_in": length_in, "from_degf": 68.0, "to_degf": to_degf}
    assert mismatch_in(material, material, **way) == 0.0


@given(movement_in=st.floats(-0.2, 0.2), fastener_in=fasteners)
def test_the_hole_told_is_just_large_enough(movement_in, fastener_in):
    hole_in = hole_for_movement_in(movement_in, fastener_in=fastener_in, book=USUAL)

    def verdict(size_in):
        return check_match_drilling(
            movement_in, hole_in=size_in, fastener_in=fastener_in, book=USUAL
        ).verdict

    assert verdict(hole_in) is Verdict.PASS
    if abs(movement_in) > 1e-4:
        assert verdict(hole_in - 1e-4) is Verdict.FAIL


@given(
    change_in=st.floats(-0.02, 0.02),
    length_in=st.floats(20.0, 200.0),
    from_degf=temperatures,
)
def test_at_the_closing_temperature_the_gap_is_used_up(change_in, length_in, from_degf):
    pair = ("acrylic", "2024")
    span = temperature_of_change_degf(change_in, *pair, length_in=length_in, from_degf=from_degf)
    at_nearest = movement(
        *pair, length_in=length_in, from_degf=from_degf, to_degf=span.nearest_degf
    )
    at_farthest = movement(
        *pair, length_in=length_in, from_degf=from_degf, to_degf=span.farthest_degf
    )
    assert at_nearest.greatest_in == near(change_in)
    assert at_farthest.least_in == near(change_in)


def test_no_temperature_closes_a_gap_between_parts_that_grow_alike():
    assert (
        temperature_of_change_degf(0.01, "2024-T3", "2024-T4", length_in=20.0, from_degf=70.0)
        is None
    )


def test_the_documents_do_not_say_which_of_two_grows_more():
    # 2024 is 22.9 or 23.2 and 3003 is 23.2: they may grow alike.
    assert temperature_of_change_degf(0.01, "2024", "3003", length_in=20.0, from_degf=70.0) is None


# Words and edges


@pytest.mark.parametrize("written", ["2024", "2024-T3", "2024-t4 clad", " 2024-T3 Alclad "])
def test_temper_and_cladding_do_not_matter(written):
    assert expansion_rows(written) == expansion_rows("2024")


def test_an_unknown_material_is_refused_and_never_guessed():
    with pytest.raises(OutOfTableError, match="not on file") as caught:
        growth_in("kryptonite", length_in=1.0, from_degf=0.0, to_degf=1.0)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("length_in", "to_degf"), [(-1.0, 70.0), (math.nan, 70.0), (1.0, -500.0), (1.0, math.inf)]
)
def test_what_is_no_length_or_temperature_is_refused(length_in, to_degf):
    with pytest.raises(InputError):
        growth_in("2024", length_in=length_in, from_degf=60.0, to_degf=to_degf)


def test_leaving_a_documents_range_is_told():
    rows = expansion_rows("2024")  # one document says 68 to 212 F, the other nothing
    assert [row.valid for row in rows_out_of_range(rows, from_degf=70.0, to_degf=-20.0)] == [
        "68 to 212 F"
    ]
    assert rows_out_of_range(rows, from_degf=70.0, to_degf=120.0) == ()


@pytest.mark.parametrize(("to_degf", "left"), [(212.0, False), (213.0, True), (67.0, True)])
def test_an_answer_tells_a_range_left_on_either_side(to_degf, left):
    # One document on 2024 gives its figure for 68 to 212 F.
    asked = HeatQuestion(material="2024", length_in=36.0, from_degf=70.0, to_degf=(to_degf, 100.0))
    told = answer_heat(asked, RuleBook.named()).out_of_range
    assert [row.valid for row in told] == (["68 to 212 F"] if left else [])


# At the shell


def told(*arguments):
    run = CliRunner().invoke(main, ["expansion", *arguments, "--json"], standalone_mode=False)
    assert run.exception is None
    return json.loads(run.stdout), run.return_value


def test_inches_and_millimetres_fahrenheit_and_celsius_agree():
    same = ("acrylic", "--against", "2024")
    holes = ("--fastener", ".164 in", "--hole", ".196 in")
    inches, _ = told(*same, "--length", "36", "--from", "68F", "--to", "122F", *holes)
    metric, _ = told(
        *same, "--length", "914.4", "--from", "20C", "--to", "50C", *holes, "--units", "mm"
    )
    (moved,) = inches["result"]["movement"]
    (moved_metric,) = metric["result"]["movement"]
    assert moved_metric["moves_by_mm"] == near(moved["moves_by_in"] * 25.4)
    assert moved_metric["hole_or_slot_min_mm"] == near(moved["hole_or_slot_min_in"] * 25.4)
    assert [check["verdict"] for check in metric["checks"]] == [
        check["verdict"] for check in inches["checks"]
    ]


@pytest.mark.parametrize(
    ("hole", "verdict", "exit_code"), [(".273", "fail", 1), (".274", "pass", 0)]
)
def test_a_hole_that_is_too_small_fails_the_command(hole, verdict, exit_code):
    # 36 in, 52 F, cast acrylic on 2024: .05481, so .164 + 2 x .05481 = .2736.
    document, code = told(
        "acrylic cast", "--length", "36", "--from", "68F", "--to", "120F",
        "--against", "2024", "--fastener", ".164", "--hole", hole,
    )  # fmt: skip
    assert [check["verdict"] for check in document["checks"]] == [verdict]
    assert code == exit_code
