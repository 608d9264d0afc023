"""Order quantities: exact percentages, whole packs. Common practice, no source."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.order import SparesPolicy, order_quantity
from rivetkit.errors import InputError

counts = st.integers(0, 100_000)
policies = st.builds(
    SparesPolicy,
    percent=st.fractions(0, 100, max_denominator=1000),
    minimum=st.integers(0, 200),
    pack_size=st.integers(1, 2000),
)


def test_ten_percent_of_seventy_is_seven():
    # As floats 70 * 10 / 100 is fine, but 70 * 1.1 is 77.00000000000001 and would round to 78.
    assert order_quantity(70, SparesPolicy(percent=10)).order == 77
    assert order_quantity(71, SparesPolicy(percent=10)).order == 79
    assert order_quantity(1000, SparesPolicy(percent=0.1)).order == 1001


def test_spares_run_from_none_to_as_many_again():
    assert order_quantity(7, SparesPolicy(percent=0)).order == 7
    assert order_quantity(7, SparesPolicy(percent=100)).order == 14
    assert order_quantity(1, SparesPolicy(percent=10)).order == 2


@pytest.mark.parametrize("percent", [2.5, Fraction(5, 2)])
def test_a_decimal_percentage_means_what_it_reads(percent):
    assert order_quantity(400, SparesPolicy(percent=percent)).spares == 10
    assert order_quantity(401, SparesPolicy(percent=percent)).spares == 11


def test_minimum_and_packs():
    assert order_quantity(20, SparesPolicy(percent=10, minimum=5)).order == 25
    assert order_quantity(95, SparesPolicy(minimum=5, pack_size=100)).order == 100
    assert order_quantity(96, SparesPolicy(minimum=5, pack_size=100)).order == 200


def test_none_needed_none_ordered():
    line = order_quantity(0, SparesPolicy(percent=10, minimum=5, pack_size=100))
    assert (line.spares, line.packs, line.order) == (0, 0, 0)


def test_the_arithmetic_is_shown():
    line = order_quantity(70, SparesPolicy(percent=2.5, minimum=5, pack_size=50))
    assert line.working == (
        "spares = max(ceil(70 x 2.5 / 100), 5) = max(2, 5) = 5",
        "order = ceil((70 + 5) / 50) x 50 = 2 x 50 = 100",
    )


@given(net=counts, policy=policies)
def test_enough_and_not_a_pack_too_many(net, policy):
    line = order_quantity(net, policy)
    if net == 0:
        assert line.order == 0
        return
    # Spares by a slow search for the first whole number that is enough.
    enough = max(policy.minimum, math.floor(net * policy.percent / 100))
    while enough * 100 < net * policy.percent:
        enough += 1
    assert line.spares == enough
    assert line.order % policy.pack_size == 0
    assert line.order - policy.pack_size < net + enough <= line.order


@given(one=counts, other=counts, policy=policies)
def test_needing_more_never_orders_less(one, other, policy):
    few, many = sorted((one, other))
    assert order_quantity(few, policy).order <= order_quantity(many, policy).order


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: SparesPolicy(percent=-1), "the spares percentage is -1; give 0 to 100"),
        (lambda: SparesPolicy(percent=101), "the spares percentage is 101; give 0 to 100"),
        (lambda: SparesPolicy(percent=float("nan")), "the spares percentage is nan"),
        (lambda: SparesPolicy(minimum=-1), "the least number of spares is -1; give 0 or more"),
        (lambda: SparesPolicy(minimum=1.5), "the least number of spares is '1.5'; give a whole"),
        (lambda: SparesPolicy(pack_size=0), "the pack size is 0; give 1 or more"),
        (lambda: order_quantity(-1, SparesPolicy()), "the number needed is -1; give 0 or more"),
        (lambda: order_quantity(2.5, SparesPolicy()), "the number needed is '2.5'; give a whole"),
    ],
)
def test_bad_figures_are_named(call, message):
    with pytest.raises(InputError, match=message):
        call()
