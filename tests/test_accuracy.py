"""A measuring accuracy, the law for every check that knows one: sure, unsure, and sure again."""

import inspect
import pkgutil
from functools import partial
from importlib import import_module

import pytest

from rivetkit import calculators
from rivetkit.calculators.edge_distance import (
    check_edge_distance,
    check_edge_distance_greatest,
)
from rivetkit.calculators.head_clearance import check_head_clear
from rivetkit.calculators.heel_distance import check_heel_distance
from rivetkit.calculators.limits import check_length
from rivetkit.calculators.nutplates.lugs import LugGap, check_lug_room
from rivetkit.calculators.nutplates.place import (
    check_rivet_to_screw_hole,
    check_screw_edge,
    check_screw_spacing,
)
from rivetkit.calculators.pitch import (
    check_apart,
    check_pitch,
    check_pitch_greatest,
    check_row_spacing,
)
from rivetkit.calculators.rivet_diameter import check_stringer_leg
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.nutplates import nutplate
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import RuleBook

USUAL = RuleBook.named()
EIGHTH = {"diameter_in": 0.125, "book": USUAL}
ROUND = {"fastener": parse_part_number("MS20470AD4"), "book": USUAL}
#: Its length over the lugs is on file.
PLATE = nutplate("NAS1473-08")


def lug_room(distance_in, **more):
    return check_lug_room(LugGap(distance_in, end_to_end=True), PLATE, PLATE, book=USUAL, **more)


def length(value_in, **more):
    rule = USUAL.rule("pitch_min_one_row")
    words = {"comparison": "at least", "symbol": "p", "diameter_in": 0.125}
    return check_length("pitch", value_in, rule=rule, **words, **more)


#: Each check as a question of one distance [in].
CHECKS = {
    "check_apart": partial(check_apart, square_in=None, **EIGHTH),
    "check_edge_distance": partial(check_edge_distance, flush=False, **EIGHTH),
    "check_edge_distance_greatest": partial(check_edge_distance_greatest, **EIGHTH),
    "check_head_clear": partial(check_head_clear, **ROUND),
    "check_heel_distance": partial(check_heel_distance, **EIGHTH),
    "check_length": length,
    "check_lug_room": lug_room,
    "check_pitch": partial(check_pitch, **EIGHTH),
    "check_pitch_greatest": partial(check_pitch_greatest, **EIGHTH),
    "check_rivet_to_screw_hole": partial(
        check_rivet_to_screw_hole, screw_hole_in=0.0, rivet=ROUND["fastener"], book=USUAL
    ),
    "check_row_spacing": partial(check_row_spacing, **EIGHTH),
    "check_screw_edge": partial(check_screw_edge, screw_in=0.164, book=USUAL),
    "check_screw_spacing": partial(check_screw_spacing, screw_in=0.164, book=USUAL),
    "check_stringer_leg": partial(check_stringer_leg, **EIGHTH),
}
every_check = pytest.mark.parametrize("check", CHECKS.values(), ids=CHECKS)


def at_limit_and_good(check):
    """Return the distance that just passes, and which way is better."""
    found = check(0.1)
    good = 1.0 if found.comparison == "at least" else -1.0
    return 0.1 - good * found.margin, good


def test_every_check_that_knows_an_accuracy_is_here():
    names = set()
    for module in pkgutil.walk_packages(calculators.__path__, f"{calculators.__name__}."):
        for name, made in inspect.getmembers(import_module(module.name), inspect.isfunction):
            if name.startswith("check_") and "accuracy_in" in inspect.signature(made).parameters:
                names.add(name)
    # No check of a sheet: it is told by its gauge, as the limits are.
    # Heads side by side are judged with the candidates of an oversize hole: tests/test_oversize.py
    assert names == {*CHECKS, "check_heads"}


@every_check
def test_what_nobody_calls_inaccurate_is_right_or_wrong(check):
    limit_in, good = at_limit_and_good(check)

    assert check(limit_in).verdict is Verdict.PASS
    assert check(limit_in + good * 0.001).verdict is Verdict.PASS
    assert check(limit_in - good * 0.00001).verdict is Verdict.FAIL


@every_check
def test_a_calliper_that_may_be_off_by_5_thou_is_sure_past_5_thou_only(check):
    limit_in, good = at_limit_and_good(check)

    def verdict(past_in):
        return check(limit_in + good * past_in, accuracy_in=0.005).verdict

    assert verdict(0.0051) is Verdict.PASS
    assert verdict(0.0049) is verdict(0.0) is verdict(-0.0049) is Verdict.MARGINAL
    assert verdict(-0.0051) is Verdict.FAIL


@pytest.mark.parametrize(
    "check",
    [
        check
        for name, check in CHECKS.items()
        # These are asked with the accuracy of a whole place, which was seen to be a length.
        if name not in {"check_length", "check_lug_room"} and "screw" not in name
    ],
)
def test_an_accuracy_below_nothing_is_refused(check):
    with pytest.raises(InputError, match=r"measuring accuracy is -0\.001 in"):
        check(0.1, accuracy_in=-0.001)
