"""Rivet length: published formula and grip rows, head by volume, and the laws of the trade."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.lengths.grip import (
    Layer,
    assess_length,
    blind_grip,
    choose_length,
    grip_of,
    solid_length,
)
from rivetkit.calculators.lengths.head_volume import (
    _limits,
    check_predicted_head,
    cylinder_diameter,
    cylinder_length,
    cylinder_volume,
    predict_shop_head,
    shop_head_limits,
    shop_head_volume,
)
from rivetkit.checks import Verdict
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()
ARMY = RuleBook.named("army")  # rounds up: TM 10-5410-229-13&P p 5-4


def plain(*thicknesses_in):
    return [Layer(f"layer {n}", t) for n, t in enumerate(thicknesses_in, 1)]


def formed(*pairs):
    return [Layer(f"layer {n}", t, form) for n, (t, form) in enumerate(pairs, 1)]


def rivet(text="MS20470AD4"):
    return parse_part_number(text)


# --- wanted length and stock length


@pytest.mark.parametrize("code", ["3", "4", "5", "6", "8"])
@pytest.mark.parametrize("grip_in", [0.1, 0.25, 0.5])
def test_wanted_length_is_grip_plus_one_and_a_half_diameters(code, grip_in):
    # NAVEDTRA 14018 ch 13 fig 13-43: L = G + 1.5 D; D in 1/32 in.
    result = solid_length(rivet(f"MS20470AD{code}"), plain(grip_in), USUAL)
    assert result.wanted_length_in == pytest.approx(grip_in + 1.5 * int(code) / 32)


def test_the_example_of_the_training_paper():
    # Solid-rivet training paper (read as page text): two skins of .040, a 1/8 rivet: .267 in, and
    # the nearest length is 1/4, a -4; it cuts 3/16 short to .187. It names no half lengths. The
    # head is to be half as high as the rivet is wide, and one and a half times as wide.
    result = solid_length(rivet("MS20470AD4"), plain(0.040, 0.040), USUAL, half_lengths=False)
    limits = shop_head_limits(rivet("MS20470AD4"), USUAL)

    assert result.wanted_length_in == pytest.approx(0.267, abs=0.0006)
    assert result.fastener.designation == "MS20470AD4-4"
    assert (limits.target_width_in, limits.target_height_in) == (1.5 * 0.125, 0.5 * 0.125)


def test_the_working_can_be_followed_by_hand():
    result = solid_length(rivet(), plain(0.032, 0.032), USUAL)
    grip, length, stock = result.workings
    assert grip.formula == "G = t1 + t2"
    assert length.formula == "L = G + k x D"
    assert length.substituted() == "0.2515 in = 0.0640 in + 1.5 x 0.1250 in"
    assert length.citations[0].source == "navy-14018"
    assert stock.substituted() == "0.2500 in is the stock length nearest to 0.2515 in"
    assert stock.citations[0].basis == "practice"


@pytest.mark.parametrize(
    ("beyond_in", "nearest", "up"),
    [
        # Around 5/16: lengths go by 1/16, halves by 1/32 (AC 43.13-1B p 4-16).
        (0.0, "5", "5"),
        (0.0155, "5", "5.5"),
        (1 / 64, "5.5", "5.5"),  # a tie goes to the longer
        (0.0157, "5.5", "5.5"),
        (-0.0157, "4.5", "5"),
        (-0.0155, "5", "5"),
    ],
)
def test_rounding_from_both_sides_of_the_middle(beyond_in, nearest, up):
    stack = plain(5 / 16 - 1.5 / 8 + beyond_in)
    assert solid_length(rivet(), stack, USUAL).fastener.designation == f"MS20470AD4-{nearest}"
    assert solid_length(rivet(), stack, ARMY).fastener.designation == f"MS20470AD4-{up}"


def test_without_half_lengths_only_sixteenths_are_taken():
    stack = plain(5 / 16 - 1.5 / 8 + 1 / 64)
    chosen = solid_length(rivet(), stack, USUAL, half_lengths=False)
    assert chosen.fastener.designation == "MS20470AD4-5"
    codes = [candidate.fastener.length_code for candidate in chosen.candidates]
    assert codes == ["4", "5", "6"]


def test_sealant_adds_to_the_grip():
    assert grip_of(plain(0.032, 0.032), sealant_in=0.01) == pytest.approx(0.074)
    result = solid_length(rivet(), plain(0.032, 0.032), USUAL, sealant_in=0.02)
    assert result.wanted_length_in == pytest.approx(0.064 + 0.02 + 0.1875)
    assert result.workings[0].formula == "G = t1 + t2 + s"


def test_a_length_already_in_the_part_number_is_not_looked_at():
    stack = plain(0.032, 0.032)
    with_one, without = (
        solid_length(rivet(text), stack, USUAL) for text in ("MS20470AD4-9", "MS20470AD4")
    )
    assert with_one.fastener == without.fastener


def test_the_makers_own_allowance_replaces_the_rule():
    book = RuleBook.named(overrides=[Override("length_allowance", 2, "D", "maker's sheet 2")])
    result = solid_length(rivet(), plain(0.064), book)
    assert result.wanted_length_in == pytest.approx(0.064 + 0.25)
    assert result.workings[1].citations[0].overridden


def test_a_stack_beyond_stock_is_refused():
    with pytest.raises(OutOfTableError, match=r"this stack wants a 'MS20470AD4' 2.1875 in long"):
        solid_length(rivet(), plain(2.0), USUAL)
    with pytest.raises(OutOfTableError, match=r"stock runs from 0.1875 in to 2 in"):
        solid_length(rivet("MS20470AD2"), plain(0.01), USUAL)


# --- the head by volume


def test_the_target_head_holds_one_and_an_eighth_cubes():
    # Geometry: 1.5 D wide and 0.5 D high is 1.125 (pi/4) D^3, so 1.125 D of shank.
    for diameter_in in (3 / 32, 1 / 8, 1 / 4):
        head = cylinder_volume(1.5 * diameter_in, 0.5 * diameter_in)
        assert head == pytest.approx(1.125 * math.pi / 4 * diameter_in**3)
        assert cylinder_length(head, diameter_in) == pytest.approx(1.125 * diameter_in)
        assert cylinder_diameter(head, 0.5 * diameter_in) == pytest.approx(1.5 * diameter_in)


def test_metal_is_neither_made_nor_lost():
    stack = plain(0.04, 0.063)
    for candidate in solid_length(rivet("MS20470AD5"), stack, USUAL).candidates:
        # AC 43.13-1B tables 4-9 to 4-11 only fit a hole of .159 for 5/32.
        filled = math.pi / 4 * 0.159**2 * 0.103
        shank = math.pi / 4 * (5 / 32) ** 2 * candidate.length_in
        assert candidate.head.volume_in3 + filled == pytest.approx(shank)
        head = candidate.head
        for width_in, height_in in (
            (head.target_width_in, head.height_at_target_width_in),
            (head.width_at_target_height_in, head.target_height_in),
        ):
            assert math.pi / 4 * width_in**2 * height_in == pytest.approx(head.volume_in3)


def test_a_protruding_rivet_of_the_wanted_length_stands_one_and_a_half_diameters_out():
    stack = plain(5 / 16 - 1.5 / 8)
    chosen = solid_length(rivet("MS20470AD4"), stack, USUAL).chosen
    assert chosen.protrusion_in == pytest.approx(0.1875)
    assert chosen.protrusion_diameters == pytest.approx(1.5)


def test_dimples_nest_so_a_dimpled_stack_is_filled_over_its_whole_thickness():
    # From the geometry: a cut cone takes its depth out of the hole, a dimple only moves the sheet.
    fastener = rivet("MS20426AD4")
    cut = solid_length(fastener, formed((0.063, "countersunk"), (0.032, "plain")), USUAL)
    nested = solid_length(fastener, formed((0.063, "countersunk"), (0.032, "countersunk")), USUAL)
    both = solid_length(fastener, formed((0.063, "dimpled"), (0.032, "dimpled")), USUAL)
    over = solid_length(fastener, formed((0.032, "dimpled"), (0.063, "countersunk")), USUAL)
    assert cut.fastener == both.fastener == over.fastener
    # Overall length holds the head (.042, memory), so a cut stack leaves L - G standing out.
    length_in, grip_in = cut.chosen.length_in, 0.095
    assert cut.chosen.protrusion_in == pytest.approx(length_in - grip_in)
    assert over.chosen.protrusion_in == pytest.approx(length_in - grip_in)
    assert nested.chosen.protrusion_in == pytest.approx(length_in - grip_in)
    assert both.chosen.protrusion_in == pytest.approx(length_in - grip_in - 0.042)
    assert both.chosen.head.volume_in3 < cut.chosen.head.volume_in3


def test_a_recalled_head_height_shows_in_the_checks():
    dimpled = formed((0.032, "dimpled"), (0.032, "dimpled"))
    for check in solid_length(rivet("MS20426AD3"), dimpled, USUAL).checks:
        assert check.basis == "memory"
        assert "ms20426" in {citation.source for citation in check.citations}
    for check in solid_length(rivet(), plain(0.064), USUAL).checks:
        assert "ms20470" not in {citation.source for citation in check.citations}


@pytest.mark.parametrize("code", ["4", "5", "6"])
def test_least_head_height_is_three_tenths_of_the_diameter_mil_hdbk_5h_p_8_9(code):
    # MIL-HDBK-5H p 8-9 (seen).
    result = solid_length(rivet(f"MS20470AD{code}"), plain(0.1), USUAL)
    least, _ = result.checks
    assert least.limit == pytest.approx(0.3 * int(code) / 32)
    assert least.citations[0].locator.startswith("p 8-9")


def test_7050_has_the_wider_least_head_mil_hdbk_5h_p_8_9():
    # MIL-HDBK-5H p 8-9 (seen).
    for text, width in (("MS20470AD4", 1.3), ("MS20470KE4", 1.4), ("MS20470E4", 1.4)):
        row = _limits("driven_head_least", rivet(text), USUAL)
        assert (row.width_min, row.height_min, row.unit) == (width, 0.3, "D")


def test_limits_of_the_head_from_both_sides():
    # Work back from the limits to the shank that just makes them: 1/8 in a .1285 hole, G .1 in.
    hole_in, grip_in, diameter_in = 0.1285, 0.1, 0.125
    filled = math.pi / 4 * hole_in**2 * grip_in

    def verdicts(volume_in3):
        head = predict_shop_head(volume_in3, diameter_in=diameter_in, book=USUAL)
        return [c.verdict for c in check_predicted_head(head, fastener=rivet(), book=USUAL)]

    # MIL-HDBK-5H p 8-9: .3 D high; at the target width of 1.5 D.
    little = math.pi / 4 * (1.5 * 0.125) ** 2 * 0.3 * 0.125
    assert verdicts(little)[0] is Verdict.PASS
    assert verdicts(little * 1.01)[0] is Verdict.PASS
    assert verdicts(little * 0.99)[0] is Verdict.FAIL
    # Solid-rivet training paper: 1/8 at most .210 wide and .080 high.
    much = math.pi / 4 * 0.210**2 * 0.080
    assert verdicts(much)[1] is Verdict.PASS
    assert verdicts(much * 0.99)[1] is Verdict.PASS
    assert verdicts(much * 1.02)[1] is Verdict.FAIL
    shank_in = (little + filled) / (math.pi / 4 * diameter_in**2)
    assert shop_head_volume(
        shank_length_in=shank_in,
        shank_diameter_in=diameter_in,
        hole_length_in=grip_in,
        hole_diameter_in=hole_in,
    ) == pytest.approx(little)


def test_a_rivet_too_short_to_fill_its_hole_makes_no_head_and_fails():
    allowance = Override("length_allowance", 0.01, "in", "made up for the test")
    result = solid_length(rivet(), plain(0.49), RuleBook.named(overrides=[allowance]))
    assert result.chosen.head.volume_in3 == 0
    assert result.checks[0].verdict is Verdict.FAIL


def test_a_stack_thinner_than_its_countersunk_head_gets_no_prediction():
    stack = formed((0.03, "countersunk"), (0.005, "plain"))
    result = solid_length(rivet("MS20426AD4"), stack, USUAL)
    assert {check.verdict for check in result.checks} == {Verdict.NOT_CHECKED}
    assert "the countersunk head is 0.042 in high and the stack 0.035 in thick" in (
        result.checks[0].reason
    )
    assert result.chosen.head is None


def test_a_size_the_head_table_lacks_is_not_checked():
    # The training paper goes from 1/16 to 3/8 by 1/32 and 1/16; .2 in is none of them.
    odd = replace(rivet(), diameter_in=0.2)
    head = predict_shop_head(0.005, diameter_in=0.2, book=USUAL)
    least, greatest = check_predicted_head(head, fastener=odd, book=USUAL)
    assert least.verdict is Verdict.PASS, "MIL-HDBK-5H speaks in multiples of any diameter"
    assert (greatest.verdict, greatest.comparison) == (Verdict.NOT_CHECKED, "at most")
    assert greatest.reason == "no such limit on file for a 0.2 in rivet of AD"
    assert greatest.citations[0].source == "training-paper"


# --- stacks that cannot be


@pytest.mark.parametrize(
    ("text", "layers", "message"),
    [
        ("MS20470AD4", [], "the stack has no layer"),
        ("MS20470AD4", plain(0.0), "the thickness of 'layer 1' is 0 in"),
        ("MS20470AD4", formed((0.05, "countersunk")), "'layer 1' is countersunk, but 'MS20470AD4'"),
        ("MS20426AD4", plain(0.05, 0.05), "a flush head does not seat in layer 1 plain"),
        ("MS20426AD4", formed((0.03, "dimpled"), (0.05, "plain")), "does not seat"),
        ("MS20426AD4", formed((0.05, "countersunk"), (0.03, "dimpled")), "does not seat"),
        ("NAS9302B-4", plain(0.05, 0.05), "does not seat"),
        ("NAS9301B-4", formed((0.05, "countersunk")), "does not have a flush head"),
    ],
)
def test_a_stack_that_does_not_suit_the_head_is_refused(text, layers, message):
    with pytest.raises(InputError, match=message):
        choose_length(rivet(text), layers, USUAL)


def test_negative_sealant_is_refused():
    with pytest.raises(InputError, match=r"the sealant thickness is -0.01 in"):
        grip_of(plain(0.05), sealant_in=-0.01)


def test_each_kind_has_its_own_way():
    with pytest.raises(InputError, match="'TMOPEN-4' is a blind rivet"):
        solid_length(rivet("TMOPEN-4"), plain(0.1), USUAL)
    with pytest.raises(InputError, match="'MS20470AD4' is a solid rivet"):
        blind_grip(rivet(), plain(0.1))


# --- blind rivets


@pytest.mark.parametrize(
    ("diameter", "code", "least_in", "greatest_in"),
    [
        # TM 10-5410-221-14/1 table 4-3 and TM 10-5410-223-24 table 2-3.
        ("3", "2", 0.020, 0.125),
        ("4", "1", 0.020, 0.062),
        ("4", "2", 0.063, 0.125),
        ("4", "3", 0.126, 0.187),
        ("4", "8", 0.376, 0.500),
        ("5", "6", 0.251, 0.375),
        ("6", "10", 0.501, 0.625),
        ("8", "4", 0.125, 0.250),
    ],
)
def test_army_grip_rows_hold_their_own_ends(diameter, code, least_in, greatest_in):
    for grip_in in (least_in, (least_in + greatest_in) / 2, greatest_in):
        result = choose_length(rivet(f"TMOPEN-{diameter}"), plain(grip_in), USUAL)
        assert result.fastener.designation == f"TMOPEN-{diameter}{code}"
        assert all(check.verdict is Verdict.PASS for check in result.checks)
        assert result.checks[0].citations[0].basis == "seen"


def test_a_grip_between_two_rows_names_both():
    with pytest.raises(
        OutOfTableError,
        match=r"a grip of 0.0625 in falls between 'TMOPEN-41' \(0.02 in to 0.062 in\) and "
        r"'TMOPEN-42' \(0.063 in to 0.125 in\)",
    ):
        choose_length(rivet("TMOPEN-4"), plain(0.0625), USUAL)


@pytest.mark.parametrize("grip_in", [0.020 * 0.99, 0.500 * 1.01])
def test_a_grip_outside_every_row_names_the_ends(grip_in):
    with pytest.raises(OutOfTableError, match=r"the least is 0.02 in and the greatest 0.5 in"):
        choose_length(rivet("TMOPEN-4"), plain(grip_in), USUAL)


def test_a_standard_without_grips_on_file_is_refused():
    with pytest.raises(OutOfTableError, match="no grip range of 'ISO15977-4-AlA/St' is on file"):
        choose_length(rivet("ISO15977-4-AlA/St"), plain(0.1), USUAL)


@pytest.mark.parametrize("number", range(2, 13))
def test_locked_spindle_number_n_takes_n_minus_1_to_n_sixteenths(number):
    # TM 9-2320-363-34-2 p 22-22 table 7. Where two ranges meet, the shorter is taken.
    for grip_in, taken in (
        (number / 16, number),
        (number / 16 - 0.001, number),
        ((number - 1) / 16 + 0.001, number),
        ((number - 1) / 16, number - 1),
    ):
        result = choose_length(rivet("NAS9301B-4"), plain(grip_in), USUAL)
        assert result.fastener.designation == f"NAS9301B-4-{taken:02d}"


def test_dimpled_sheets_count_the_flush_head_tm_9_2320_363_p_22_21():
    # TM 9-2320-363-34-2 p 22-21 (seen).
    fastener = rivet("NAS9302B-4")
    sheets = (0.05, 0.05)
    cut = blind_grip(fastener, formed((sheets[0], "countersunk"), (sheets[1], "plain")))
    assert cut.needed_grip_in == pytest.approx(0.100)
    dimpled = [Layer("skin", 0.05, "dimpled"), Layer("rib", 0.05, "dimpled")]
    result = blind_grip(fastener, dimpled, head_height_in=0.042)
    assert result.grip_in == pytest.approx(0.100)
    assert result.needed_grip_in == pytest.approx(0.142)
    assert result.workings[0].formula == "G = t1 + t2 + h"
    assert (cut.fastener.length_code, result.fastener.length_code) == ("02", "03")
    over = formed((0.05, "dimpled"), (0.05, "countersunk"))
    assert blind_grip(fastener, over).needed_grip_in == pytest.approx(0.100)


def test_dimpled_sheets_without_a_head_height_are_refused():
    dimpled = formed((0.05, "dimpled"), (0.05, "dimpled"))
    with pytest.raises(OutOfTableError, match="the head height of 'NAS9302B-4' is not on file"):
        blind_grip(rivet("NAS9302B-4"), dimpled)


def test_a_metric_row_is_read_in_millimetres():
    # ISO 15981: 3.2 mm by 8 long takes 3.5 to 5 mm.
    result = choose_length(rivet("ISO15981-3.2-AlA/AlA"), plain(4 / 25.4), USUAL)
    assert result.fastener.designation == "ISO15981-3.2x8-AlA/AlA"
    assert result.grip_max_in * 25.4 == pytest.approx(5.0)


# --- a length somebody has chosen already


@given(code=st.sampled_from(["3", "4", "5", "6"]), total_in=st.floats(0.06, 0.5))
def test_a_length_given_is_judged_as_the_same_length_chosen(code, total_in):
    result = solid_length(rivet(f"MS20470AD{code}"), plain(total_in), USUAL)
    for candidate in result.candidates:
        assert assess_length(candidate.fastener, plain(total_in), USUAL) == candidate.checks


def test_a_blind_rivet_given_is_judged_against_its_own_row():
    # TM 10-5410-221-14/1 table 4-3: number 42 takes .063 to .125.
    def verdicts(grip_in):
        checks = assess_length(rivet("TMOPEN-42"), plain(grip_in), USUAL)
        return [check.verdict.value for check in checks]

    assert verdicts(0.063) == ["pass", "pass"]
    assert verdicts(0.063 * 0.99) == ["fail", "pass"]
    assert verdicts(0.125) == ["pass", "pass"]
    assert verdicts(0.125 * 1.01) == ["pass", "fail"]


def test_a_rivet_without_a_length_cannot_be_judged():
    with pytest.raises(InputError, match="'MS20470AD4' has no length; give its length"):
        assess_length(rivet(), plain(0.1), USUAL)
    with pytest.raises(InputError, match="'TMOPEN-4' has no grip range on file"):
        assess_length(rivet("TMOPEN-4"), plain(0.1), USUAL)


# --- laws

SOLID = ["MS20470AD3", "MS20470AD4", "MS20470AD6", "MS20470KE5", "MS20426AD3", "NAS1097AD4"]
BLIND = ["TMOPEN-3", "TMOPEN-4", "TMOPEN-5", "TMOPEN-6", "NAS9301B-4", "ISO15981-3.2-AlA/AlA"]


def stack_for(fastener, total_in):
    form = "dimpled" if fastener.flush else "plain"
    return [Layer("skin", total_in / 2, form), Layer("rib", total_in / 2, form)]


@given(
    text=st.sampled_from(SOLID),
    book=st.sampled_from([USUAL, ARMY]),
    halves=st.booleans(),
    one=st.floats(0.06, 1.5),
    more=st.floats(0, 0.2),
)
def test_a_longer_stack_never_gets_a_shorter_solid_rivet(text, book, halves, one, more):
    fastener = rivet(text)
    short = solid_length(fastener, stack_for(fastener, one), book, half_lengths=halves)
    long = solid_length(fastener, stack_for(fastener, one + more), book, half_lengths=halves)
    assert short.fastener.length_in <= long.fastener.length_in
    step_in = 1 / 32 if halves else 1 / 16
    off_in = short.fastener.length_in - short.wanted_length_in
    if book is ARMY:
        assert -1e-8 <= off_in < step_in
    else:
        assert abs(off_in) <= step_in / 2 + 1e-8


@given(text=st.sampled_from(BLIND), one=st.floats(0.001, 0.8), other=st.floats(0.001, 0.8))
def test_a_longer_stack_never_gets_a_shorter_blind_rivet(text, one, other):
    fastener = rivet(text)
    short_in, long_in = sorted((one, other))
    try:
        short = choose_length(fastener, plain(short_in), USUAL)
        long = choose_length(fastener, plain(long_in), USUAL)
    except OutOfTableError:
        return
    assert short.grip_max_in <= long.grip_max_in
    assert short.grip_min_in - 1e-8 <= short_in <= short.grip_max_in + 1e-8


@given(text=st.sampled_from(SOLID), total_in=st.floats(0.06, 1.0))
def test_a_longer_candidate_makes_a_bigger_head(text, total_in):
    fastener = rivet(text)
    candidates = solid_length(fastener, stack_for(fastener, total_in), USUAL).candidates
    assert sum(candidate.chosen for candidate in candidates) == 1
    heights = [candidate.head.height_at_target_width_in for candidate in candidates]
    widths = [candidate.head.width_at_target_height_in for candidate in candidates]
    assert heights == sorted(heights)
    assert widths == sorted(widths)


@given(hundredths_mm=st.integers(60, 2000))
def test_inches_and_millimetres_agree(hundredths_mm):
    # The international inch is 25.4 mm.
    layers_mm = [hundredths_mm / 100, 0.81]
    from_mm = grip_of(plain(*(t / 25.4 for t in layers_mm)))
    assert from_mm * 25.4 == pytest.approx(sum(layers_mm))
    result = solid_length(rivet(), plain(*(t / 25.4 for t in layers_mm)), USUAL)
    assert result.wanted_length_in * 25.4 == pytest.approx(sum(layers_mm) + 1.5 * 3.175)
