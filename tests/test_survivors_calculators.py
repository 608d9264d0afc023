"""Calculators: laws and published facts that a small change to the code once left standing."""

import dataclasses
import math
from fractions import Fraction

import pytest

from rivetkit.calculators.edge_distance import edge_margin
from rivetkit.calculators.lengths.head_volume import shop_head_limits
from rivetkit.calculators.order import SparesPolicy, order_quantity
from rivetkit.calculators.oversize.candidates import OversizeLayer, oversize_options
from rivetkit.calculators.oversize.cleanup_hole import MeasuredHole
from rivetkit.calculators.oversize.substitution import check_not_weaker
from rivetkit.calculators.removal.checks import DRILL_DEPTH, HEAD_DRILL
from rivetkit.calculators.removal.drill_out import drill_out
from rivetkit.calculators.splice.rows import splice_rows
from rivetkit.calculators.strength.inter_rivet import check_inter_rivet, inter_rivet
from rivetkit.calculators.strength.layer_bearing import StrengthLayer
from rivetkit.calculators.strength.rivet_shear import thin_sheet_factor
from rivetkit.calculators.strength.strength_review import review_strength
from rivetkit.checks import Verdict
from rivetkit.fasteners.catalogue import dimension
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()


def named(checks, name):
    (found,) = [check for check in checks if check.name == name]
    return found


@pytest.mark.parametrize("diameter_in", [3 / 32, 1 / 8, 5 / 32, 3 / 16])
def test_the_preferred_edge_is_two_diameters_and_a_sixteenth(diameter_in):
    # A mechanics' handbook, ch 4 fig 4-78 (from memory): preferred edge 2 D + 1/16 in.
    found = USUAL.alternatives("edge_distance_min_protruding")
    (preferred,) = [rule for rule in found if rule.citation.rule == "amt-edge-preferred-protruding"]

    assert preferred.length_in(diameter_in=diameter_in) == pytest.approx(
        2 * diameter_in + 1 / 16, abs=1e-12
    )
    assert preferred.words() == "2 D + 0.0625 in"
    assert USUAL.rule("edge_distance_min_protruding").words() == "2 D"


def test_the_shop_head_limits_say_who_prints_them():
    # MIL-HDBK-5H p 8-9 (seen): the least driven head.
    least = shop_head_limits(parse_part_number("MS20470AD4"), USUAL).least

    assert least is not None
    assert "8-9" in least.locator


def test_in_double_shear_the_middle_sheet_takes_the_whole_load_and_the_outer_ones_half():
    # Statics: two shear planes, the middle sheet is pulled against both outer ones.
    sheet = {"alloy": "2024-T3", "thickness_in": 0.040, "edge_in": 0.3}
    layers = [StrengthLayer(name, **sheet) for name in ("upper", "middle", "lower")]
    review = review_strength(parse_part_number("MS20470AD4"), layers, USUAL, shear_planes=2)
    shear_out = {c.where: c for c in review.checks if c.name.startswith("shear-out")}

    assert set(shear_out) == {"upper", "middle", "lower"}
    assert shear_out["upper"].limit == shear_out["lower"].limit
    assert shear_out["middle"].limit == pytest.approx(2 * shear_out["upper"].limit)


def test_a_hole_on_the_very_edge_is_judged_and_fails():
    # Army AL0992 p 59 (seen): at least 2 D; nought is a distance, and too little of one.
    layer = OversizeLayer("rib", 0.04, edge_in=0.0)
    found = oversize_options(
        parse_part_number("MS20470AD4"), MeasuredHole(0.150, 0.150), USUAL,
        layers=[layer], pitch_in=2.0,
    )  # fmt: skip

    assert found.best is None
    edge = [c for one in found.candidates for c in one.checks if c.where.startswith("rib")]
    assert Verdict.FAIL in {check.verdict for check in edge}


def test_a_countersunk_head_just_as_deep_as_the_near_sheet_needs_no_stack():
    part = parse_part_number("MS20426AD4")
    height_in = dimension(part, "head_height").nominal_in
    # A mechanics' handbook, ch 4 (from memory): drill to the height of the head.
    book = RuleBook.named("amt")

    def depth(near_in):
        card = drill_out(part, form="countersunk", book=book, near_sheet_in=near_in)
        return [check for check in card.checks if check.name == DRILL_DEPTH]

    thick, thin = depth(height_in), depth(height_in - 0.001)
    assert [check.verdict for check in thick] == [Verdict.PASS]
    assert [check.verdict for check in thin] == [Verdict.NOT_CHECKED]


def test_a_measured_hole_rests_on_the_person_not_on_the_table():
    part = parse_part_number("MS20470AD4")
    by_table = named(drill_out(part, book=USUAL).checks, HEAD_DRILL)
    measured = named(drill_out(part, book=USUAL, hole_in=0.130).checks, HEAD_DRILL)

    assert len(by_table.citations) == len(measured.citations) + 1
    assert measured.limit == 0.130


@pytest.mark.parametrize("text", ["MS20470AD3", "MS20470AD4", "MS20470AD5"])
def test_a_bit_so_much_under_the_shank_is_worked_out_with_a_minus(text):
    # A light-aircraft structural repair manual, p 50 of the scan (seen): 1/32 in under the shank.
    card = drill_out(parse_part_number(text), book=USUAL)
    (size,) = [m.size for m in card.alternatives if m.citation.rule == "srm-protruding"]
    shank_in, under_in = (term.value for term in size.terms)

    assert size.template == "{D} - {c}"
    assert under_in == 1 / 32
    assert size.value == pytest.approx(shank_in - under_in)


def test_blind_rivets_of_one_standard_and_alloy_are_compared_by_the_area_of_the_shank():
    # Geometry: pi/4 times the diameter squared.
    old, new = parse_part_number("NAS9301B-4"), parse_part_number("NAS9301B-5")
    check = check_not_weaker(old, new, USUAL)

    assert check.unit == "in2"
    assert check.value == pytest.approx(math.pi / 4 * new.diameter_in**2)
    assert check.limit == pytest.approx(math.pi / 4 * old.diameter_in**2)


@pytest.mark.parametrize("planes", [1, 2])
def test_a_sheet_just_thick_enough_carries_the_whole_load_and_needs_no_formula(planes):
    # MIL-HDBK-5 table 8.1.2(b), recalled: the reduction starts past D/t 3, in double shear 1.5.
    start = 3.0 if planes == 1 else 1.5
    factor, line = thin_sheet_factor(0.125, sheet_in=0.125 / start, book=USUAL, planes=planes)
    less, _ = thin_sheet_factor(0.125, sheet_in=0.12 / start, book=USUAL, planes=planes)

    assert factor == 1.0
    assert line.formula.startswith("f = 1, for D is no more than")
    assert less < 1.0


def test_a_stock_punch_of_just_the_drifts_size_is_taken():
    # Arithmetic: 3/16 less 1/32 is 5/32, and a 5/32 punch passes a 5/32 hole.
    clearance = Override("drift_clearance", 1 / 32, "in", "invented sheet 2")
    card = drill_out(parse_part_number("MS20470AD6"), book=RuleBook.named(overrides=[clearance]))

    assert card.drift.value == pytest.approx(5 / 32)
    assert card.punch == Fraction(5, 32)


@pytest.mark.parametrize(("edge_in", "sections"), [(0.49, 2), (0.4, 2), (0.5, 1), (0.6, 1)])
def test_the_strip_at_the_end_is_checked_where_it_is_the_narrower_one(edge_in, sections):
    # Geometry: the end strip is as wide as the edge distance, every other one half a pitch a side.
    layers = [StrengthLayer(name, "2024-T3", 0.040, edge_in) for name in ("skin", "rib")]
    review = review_strength(parse_part_number("MS20470AD4"), layers, USUAL, pitch_in=1.0)
    found = [c for c in review.checks if c.name.startswith("net section") and c.where == "skin"]

    assert len(found) == sections


def test_without_a_policy_nothing_is_spare():
    line = order_quantity(7, SparesPolicy())

    assert (line.net, line.spares, line.order) == (7, 0, 7)


def test_a_splice_just_as_wide_as_both_edges_holds_one_rivet_a_row():
    # AC 43.13-1B p 4-27 by way of 2 D: .25 in on either side of a 1/8 rivet is .5 in.
    rows = splice_rows(1, width_in=0.5, diameter_in=0.125, book=USUAL)

    assert (rows.rows, rows.per_row, rows.fits) == (1, 1, True)


def test_blind_rivets_with_a_printed_load_are_compared_by_it():
    # The loads of tests/test_substitution.py: 190 lbf fitted against 260 lbf called for.
    old, new = parse_part_number("IFI114-30-4-2"), parse_part_number("IFI114-10-5-2")
    check = check_not_weaker(old, new, USUAL)

    assert (check.value, check.limit, check.unit) == (190, 260, "lbf")


def test_in_double_shear_the_outer_sheets_are_torn_across_by_half_the_load():
    # Statics, as above: half of it goes through each outer sheet.
    layers = [StrengthLayer(name, "2024-T3", 0.040, 0.6) for name in ("upper", "middle", "lower")]
    review = review_strength(
        parse_part_number("MS20470AD4"), layers, USUAL, shear_planes=2, pitch_in=1.0
    )
    limit = {c.where: c.limit for c in review.checks if c.name == "net section"}

    assert limit["upper"] == limit["lower"] == pytest.approx(limit["middle"] / 2)


def test_an_edge_of_nought_is_no_margin():
    assert edge_margin(0.0, 0.125) == 0.0


def test_what_cannot_be_worked_out_says_so_with_a_check():
    # Every judgement that cannot be made is a check that was not made, never nothing.
    layer = StrengthLayer("skin", "2024-T3", 0.040)
    found = inter_rivet(layer, pitch_in=1.0, head="protruding", book=USUAL)
    check = check_inter_rivet(dataclasses.replace(found, yield_ksi=None), layer)

    assert check.verdict is Verdict.NOT_CHECKED
    assert check.where == "skin"
    assert check.reason
