"""One rivet for another: AC 43.13-1B's alloy substitution, and never weaker unsaid."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.oversize.substitution import (
    CEILING,
    SIZE,
    base_alloy,
    check_not_weaker,
    check_substitution,
    substitute_material,
)
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number as rivet
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()


def verdicts(called, fitted, book=USUAL):
    checks = check_substitution(rivet(called), rivet(fitted), book)
    return {check.name: check.verdict.value for check in checks}


@pytest.mark.parametrize(
    ("called", "fitted", "size", "ceiling"),
    [
        # AC 43.13-1B par 4-57b, p 4-16: 2117 for 2017 up to 3/16, for 2024 up to 5/32, 1/32 larger
        ("MS20470D4", "MS20470AD5", "pass", "pass"),
        ("MS20470D4", "MS20470AD4", "fail", "pass"),
        ("MS20470D5", "MS20470AD6", "pass", "pass"),
        ("MS20470D6", "MS20470AD8", "pass", "pass"),
        ("MS20470D8", "MS20470AD10", "pass", "fail"),
        ("MS20426DD5", "MS20426AD6", "pass", "pass"),
        ("MS20426DD6", "MS20426AD8", "pass", "fail"),
    ],
)
def test_ac_43_13_1b_from_both_sides_of_its_limits(called, fitted, size, ceiling):
    assert verdicts(called, fitted) == {SIZE: size, CEILING: ceiling}


def test_the_checks_name_the_circular_and_show_the_sum():
    size, ceiling = check_substitution(rivet("MS20470D4"), rivet("MS20470AD5"), USUAL)
    assert size.substituted() == "0.1562 in >= 0.1250 in + 0.0312 in"
    assert {check.citations[0].source for check in (size, ceiling)} == {"ac43"}
    assert {check.basis for check in (size, ceiling)} == {"seen"}


def test_one_alloy_needs_no_rule():
    assert check_substitution(rivet("MS20470AD4"), rivet("MS20470AD5"), USUAL) == ()


@pytest.mark.parametrize(
    ("called", "fitted"),
    [("MS20470AD4", "MS20470D5"), ("MS20470D4", "MS20470B5"), ("MS20470E4", "MS20470AD5")],
)
def test_what_no_document_allows_is_refused(called, fitted):
    with pytest.raises(InputError, match="no rule on file lets"):
        check_substitution(rivet(called), rivet(fitted), USUAL)


def test_which_rivets_2117_may_stand_for():
    codes = {code: substitute_material(rivet(f"MS20470{code}4")) for code in ("D", "DD", "AD", "E")}
    assert codes == {"D": "AD", "DD": "AD", "AD": None, "E": None}
    assert substitute_material(rivet("NAS9301B-4")) is None
    assert [base_alloy(rivet(f"MS20470{code}4")) for code in ("AD", "D", "DD")] == [
        "2117",
        "2017",
        "2024",
    ]


def test_an_override_of_the_ceiling_rules():
    maker = Override("substitution_2117_for_2024_max", 0.1875, "in", "letter 7")
    book = RuleBook.named("usual", [maker])
    assert verdicts("MS20470DD6", "MS20470AD8", book)[CEILING] == "pass"


# --- never weaker without saying so --------------------------------------------------------------


@pytest.mark.parametrize(
    ("called", "fitted", "verdict"),
    [
        # driven stresses 30 (AD), 38 (D), 41 ksi (DD) as recalled of MIL-HDBK-5; holes .1285, .159
        ("MS20470D4", "MS20470AD5", "pass"),  # 30 x .159^2 = .758 against 38 x .1285^2 = .627
        ("MS20470D4", "MS20470AD4", "fail"),
        ("MS20470DD5", "MS20470AD6", "pass"),  # 30 x .191^2 = 1.094 against 41 x .159^2 = 1.037
        ("MS20470DD5", "MS20470AD5", "fail"),
        ("MS20470AD4", "MS20470AD4", "pass"),
        ("MS20470AD5", "MS20470AD4", "fail"),
        ("MS20470A4", "MS20470A5", "pass"),  # 1100: no stress on file, none needed
        ("MS20470A4", "MS20470AD5", "not_checked"),
        ("MS20470AD4", "NAS9301B-4", "not_checked"),
        ("IFI114-10-4-2", "IFI114-10-5-2", "pass"),
        ("IFI114-30-4-2", "IFI114-10-5-2", "fail"),  # 190 lbf against 260 lbf
        ("NAS9301B-4", "NAS9301B-5", "pass"),
        ("NAS9301B-4", "NAS1738B4", "not_checked"),
    ],
)
def test_shear_against_the_old_rivet(called, fitted, verdict):
    check = check_not_weaker(rivet(called), rivet(fitted), USUAL)
    assert check.verdict.value == verdict
    assert check.reason or check.verdict is not Verdict.NOT_CHECKED


def test_a_blind_rating_in_newtons_is_compared_in_pounds():
    # pint converts; ISO 15981 rates 3.2 mm at 500 N and 4 mm at 850 N (from memory).
    check = check_not_weaker(rivet("ISO15981-3.2-AlA/AlA"), rivet("ISO15981-4-AlA/AlA"), USUAL)
    ureg = pint.UnitRegistry()
    assert check.limit == pytest.approx(ureg.Quantity(500, "N").to("lbf").magnitude)
    assert check.value == pytest.approx(ureg.Quantity(850, "N").to("lbf").magnitude)


def test_the_load_is_stress_times_the_circle_of_the_standard_hole():
    # MIL-HDBK-5H p 8-9, sec 8.1.2; the quoted table 8.1.2(b) gives 388 lbf for AD 1/8.
    check = check_not_weaker(rivet("MS20470AD4"), rivet("MS20470D4"), USUAL)
    assert check.limit == pytest.approx(388, abs=1.5)
    assert check.value == pytest.approx(38_000 * math.pi / 4 * 0.1285**2)
    assert check.basis == "memory"


@given(st.sampled_from(["3", "4", "5", "6", "8"]), st.sampled_from(["3", "4", "5", "6", "8"]))
def test_a_larger_rivet_of_the_same_alloy_is_never_weaker(one, other):
    check = check_not_weaker(rivet(f"MS20470AD{one}"), rivet(f"MS20470AD{other}"), USUAL)
    assert (check.verdict is Verdict.PASS) == (int(other) >= int(one))
