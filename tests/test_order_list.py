"""One order over several jobs, against hand sums of the invented examples."""

import itertools
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from rivetkit.calculators.order import SparesPolicy
from rivetkit.cli.app import main
from rivetkit.errors import InputError
from rivetkit.job.read import read_job
from rivetkit.planning.order_list import order_list
from rivetkit.planning.plan import plan_job

EXAMPLES = Path(__file__).parent.parent / "examples"


@pytest.fixture(scope="module")
def plans():
    return {
        name: plan_job(read_job(EXAMPLES / f"{name}.toml"))
        for name in ("elevator", "inspection_cover")
    }


def test_the_two_examples_by_hand(plans):
    """Elevator: 112 + 80 + 64 flush, 112 + 64 universal; cover: 8 flush -4 and 24 AD4-4.

    Flush -4 is in both: 64 + 8 = 72. Ten percent of 72 is 8 (rounded up), at least 10: 82, in
    packs of 50 (the elevator's): 100.
    """
    order = order_list(plans)
    told = {line.part.designation: line for line in order.lines}

    assert {name: line.quantity.net for name, line in told.items()} == {
        "MS20426AD3-3": 112,
        "MS20426AD3-3.5": 80,
        "MS20426AD3-4": 72,
        "MS20470AD3-3": 112,
        "MS20470AD3-3.5": 64,
        "MS20470AD4-4": 24,
    }
    assert told["MS20426AD3-4"].jobs == (("elevator", 64), ("inspection_cover", 8))
    assert told["MS20426AD3-4"].quantity.order == 100
    assert order.policy_differs
    assert order.policy == SparesPolicy(percent=10, minimum=10, pack_size=50)


def test_a_given_policy_goes_before_the_jobs(plans):
    order = order_list(plans, SparesPolicy(percent=0, minimum=0, pack_size=1))

    assert not order.policy_differs
    assert all(line.quantity.order == line.quantity.net for line in order.lines)


def test_the_order_of_the_jobs_does_not_matter_and_nets_add_up(plans):
    told = []
    for names in itertools.permutations(plans):
        order = order_list({name: plans[name] for name in names})
        told.append([(line.part.designation, line.quantity) for line in order.lines])
        assert sum(line.quantity.net for line in order.lines) == sum(
            plan.to_fit for plan in plans.values()
        )
    assert told[0] == told[1]


def test_the_mass_is_that_of_what_is_ordered(plans):
    for line in order_list(plans).lines:
        assert line.mass_lb == pytest.approx(line.mass.mass_lb * line.quantity.order)


def run(*words):
    return CliRunner().invoke(main, words)


def test_the_command_tells_the_same_numbers_as_json(plans):
    files = [str(EXAMPLES / "elevator.toml"), str(EXAMPLES / "inspection_cover.toml")]
    told = json.loads(run("order", *files, "--json").output)
    lines = {line["part_number"]: line["order"] for line in told["result"]["lines"]}

    assert lines == {line.part.designation: line.quantity.order for line in order_list(plans).lines}


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["a.toml", "a.toml"], "'a.toml' is given twice; name each job once"),
        (["gone.toml"], "gone.toml: cannot be read"),
        ([str(EXAMPLES / "elevator.toml"), "--pack", "0"], "pack"),
        ([str(EXAMPLES / "elevator.toml"), "--percent", "-1"], "-1"),
    ],
)
def test_a_wrong_order_is_one_line(words, message):
    result = run("order", *words)

    assert isinstance(result.exception, InputError)
    assert message in str(result.exception)
