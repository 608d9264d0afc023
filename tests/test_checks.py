"""The one place that judges: verdicts at the limit, the gravest, what a check says of itself."""

import itertools

import pytest

from rivetkit.checks import Verdict, gravest, judge, make_check, not_checked, worst_verdict

#: Common practice: what nobody could check outweighs what a better calliper may settle.
FROM_BEST = (Verdict.PASS, Verdict.MARGINAL, Verdict.NOT_CHECKED, Verdict.FAIL)


def check(value, comparison="at least", accuracy=0.0):
    return make_check(
        "edge", value, 1.0, unit="in", comparison=comparison, citations=(),
        template="{e}", terms=(), accuracy=accuracy,
    )  # fmt: skip


@pytest.mark.parametrize(("better", "worse"), [*itertools.combinations(FROM_BEST, 2)])
def test_the_graver_of_two_verdicts_counts_in_either_order(better, worse):
    assert worst_verdict([better, worse]) is worst_verdict([worse, better]) is worse
    assert worst_verdict([better]) is better


def test_nothing_judged_is_nothing_wrong():
    assert worst_verdict([]) is Verdict.PASS


@pytest.mark.parametrize("comparison", ["at least", "at most"])
def test_with_a_calliper_off_by_5_thou_a_verdict_holds_as_far_as_it_is_sure(comparison):
    good = 1.0 if comparison == "at least" else -1.0

    def verdict(margin):
        return judge(1.0 + good * margin, 1.0, comparison, 0.005)

    assert verdict(0.005) is Verdict.PASS
    assert verdict(0.0049) is verdict(-0.005) is Verdict.MARGINAL
    assert verdict(-0.0051) is Verdict.FAIL


def test_the_gravest_check_is_the_one_that_fails_by_most_whatever_the_order():
    near, far, fine = check(0.9), check(0.5), check(5.0)
    missing = not_checked("edge", "nobody measured it")

    for order in itertools.permutations([near, far, fine, missing]):
        assert gravest(order) is far
    for order in itertools.permutations([check(1.5), fine, missing]):
        assert gravest(order) is missing
    assert gravest([check(1.5), fine]).value == 1.5
    assert gravest([fine, check(1.5)]).value == 1.5


def test_a_margin_is_positive_on_the_side_that_passes():
    assert check(1.25).margin == 0.25
    assert check(1.25, "at most").margin == -0.25
    assert not_checked("edge", "nobody measured it").margin is None
