"""Machine countersinks and dimples: printed least sheets, the land, refused cells."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.countersink import (
    check_countersink,
    check_countersink_land,
    check_countersink_sheet,
    check_dimple_sheet,
)
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import RuleBook

USUAL = RuleBook.named()

#: TM 9-2320-363-34-2 p 22-18 table 4: least sheet for a 100 degree head.
ARMY_LEAST = {"3": 0.040, "4": 0.050, "5": 0.064, "6": 0.072}


def flush(code="4"):
    return parse_part_number(f"MS20426AD{code}")


@pytest.mark.parametrize(("code", "least_in"), ARMY_LEAST.items())
def test_army_table_from_both_sides(code, least_in):
    def verdict(sheet_in):
        return check_countersink_sheet(sheet_in, fastener=flush(code), book=USUAL).verdict

    assert verdict(least_in) is Verdict.PASS
    assert verdict(least_in * 1.01) is Verdict.PASS
    assert verdict(least_in * 0.99) is Verdict.FAIL


def test_3_32_in_032_is_not_approved_mil_hdbk_5f_note():
    # MIL-HDBK-5F note, second hand as quoted: .032 under a 3/32 flush head is a knife edge.
    assert check_countersink_sheet(0.032, fastener=flush("3"), book=USUAL).verdict is Verdict.FAIL
    assert check_countersink_land(0.032, fastener=flush("3"), book=USUAL).verdict is Verdict.FAIL


def test_the_quarter_inch_cell_is_refused_because_the_head_is_higher_than_the_sheet():
    check = check_countersink_sheet(0.2, fastener=flush("8"), book=USUAL)
    assert check.verdict is Verdict.NOT_CHECKED
    assert check.reason.startswith("the table's cell for this diameter (0.072 in) is not to be")
    assert check.citations[0].source == "tm-9-2320-363"


def test_a_diameter_the_table_lacks_is_not_checked():
    check = check_countersink_sheet(0.2, fastener=flush("10"), book=USUAL)
    assert check.verdict is Verdict.NOT_CHECKED
    assert check.reason == "the table has no 0.3125 in rivet with this head"


def test_a_reduced_head_is_asked_of_its_own_table():
    # SRM 51-40-08: 1/8 from .040, taken for reduced heads by inference; a full head wants .050.
    reduced = parse_part_number("NAS1097AD4")
    check = check_countersink_sheet(0.04, fastener=reduced, book=USUAL)
    assert (check.verdict, check.limit) == (Verdict.PASS, 0.04)
    assert check_countersink_sheet(0.0396, fastener=reduced, book=USUAL).verdict is Verdict.FAIL
    assert check_countersink_sheet(0.04, fastener=flush(), book=USUAL).verdict is Verdict.FAIL


def test_land_of_three_tenths_of_a_millimetre_from_both_sides():
    # A light-aircraft maintenance manual, p 88: 0.3 mm. Head height .042 from memory, near the
    # cone (0.225 - 0.125) / 2 / tan 50 deg = 0.0420 in.
    least_in = 0.042 + 0.3 / 25.4

    def land(sheet_in):
        return check_countersink_land(sheet_in, fastener=flush(), book=USUAL)

    assert land(least_in).verdict is Verdict.PASS
    assert land(least_in * 1.01).verdict is Verdict.PASS
    assert land(least_in * 0.99).verdict is Verdict.FAIL
    assert land(least_in).limit == pytest.approx(0.3 / 25.4)


def test_a_sheet_the_table_allows_may_still_leave_no_land():
    # TM 9-2320-363-34-2 p 22-18 table 4 (seen): .064 under a 5/32 head. The head is .055 high (from
    # memory): .009 is left, less than 0.3 mm.
    sheet, land = check_countersink(0.064, fastener=flush("5"), book=USUAL)
    assert sheet.verdict is Verdict.PASS
    assert land.verdict is Verdict.FAIL
    assert land.value == pytest.approx(0.009)


def test_the_land_rests_on_how_well_the_head_height_is_known():
    check = check_countersink_land(0.063, fastener=flush(), book=USUAL)
    assert check.citations[0].basis == "seen"
    assert check.basis == "memory"
    assert check.substituted() == "0.0630 in - 0.0420 in >= 0.0118 in"


def test_without_a_head_height_the_land_is_not_checked():
    blind = parse_part_number("NAS9302B-4")
    check = check_countersink_land(0.063, fastener=blind, book=USUAL)
    assert check.verdict is Verdict.NOT_CHECKED
    assert check.reason == "the head height of this rivet is not on file"


def test_dimple_limit_of_040_ac_65_15a_from_both_sides():
    assert check_dimple_sheet(0.040, book=USUAL).verdict is Verdict.PASS
    assert check_dimple_sheet(0.0396, book=USUAL).verdict is Verdict.PASS
    assert check_dimple_sheet(0.0404, book=USUAL).verdict is Verdict.FAIL
    # The wartime repair manual dimples up to .051.
    assert check_dimple_sheet(0.051, book=RuleBook.named("wartime")).verdict is Verdict.PASS


def test_a_protruding_head_is_not_countersunk():
    with pytest.raises(InputError, match="'MS20470AD4' does not have a flush head"):
        check_countersink(0.063, fastener=parse_part_number("MS20470AD4"), book=USUAL)
    with pytest.raises(InputError, match="the sheet thickness is 0 in"):
        check_countersink(0, fastener=flush(), book=USUAL)


@given(
    code=st.sampled_from(["3", "4", "5", "6"]),
    one=st.floats(0.01, 0.3),
    other=st.floats(0.01, 0.3),
)
def test_a_thicker_sheet_never_turns_a_pass_into_a_fail(code, one, other):
    thin, thick = sorted((one, other))
    before = check_countersink(thin, fastener=flush(code), book=USUAL)
    after = check_countersink(thick, fastener=flush(code), book=USUAL)
    for thin_check, thick_check in zip(before, after, strict=True):
        if thin_check.verdict is Verdict.PASS:
            assert thick_check.verdict is Verdict.PASS
