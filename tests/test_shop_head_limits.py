"""Shop-head limits of a rivet against the documents that state them."""

import pytest

from rivetkit.calculators.lengths.head_volume import shop_head_limits
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import RuleBook


@pytest.mark.parametrize("code", [3, 4, 5, 6, 8])
@pytest.mark.parametrize(("material", "width"), [("AD", 1.3), ("D", 1.3), ("KE", 1.4)])
def test_the_least_head_is_that_of_mil_hdbk_5h(code, material, width):
    # MIL-HDBK-5H p 8-9 (seen): 1.3 D by 0.3 D, 7050 rivets 1.4 D.
    diameter = code / 32
    limits = shop_head_limits(parse_part_number(f"MS20470{material}{code}"), RuleBook.named())

    assert limits.width_min_in == pytest.approx(width * diameter)
    assert limits.height_min_in == pytest.approx(0.3 * diameter)


def test_the_greatest_head_is_that_of_the_training_table():
    # Training document, shop head table (seen): 1/8 in, .160 to .210 wide, .040 to .080 high.
    limits = shop_head_limits(parse_part_number("MS20470AD4"), RuleBook.named())

    assert (limits.width_max_in, limits.height_max_in) == (0.210, 0.080)
    assert limits.greatest.basis == "seen"


def test_the_target_is_one_and_a_half_by_a_half():
    # Training paper, text on the shop head (seen); wartime repair manual, par 14 (printed in
    # inches, the multiples are derived).
    limits = shop_head_limits(parse_part_number("MS20470AD5"), RuleBook.named())

    assert limits.target_width_in == pytest.approx(1.5 * 5 / 32)
    assert limits.target_height_in == pytest.approx(0.5 * 5 / 32)
    assert {citation.basis for citation in limits.target} == {"seen"}
