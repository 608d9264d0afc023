"""The arithmetic a plan shows is the arithmetic it did: whoever follows it comes to the same."""

from pathlib import Path

import pytest
from formulas import see_that_it_adds_up
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET

from rivetkit.calculators.strength.joint_strength import StrengthLayer
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.read import parse_job, read_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.new_hole.search import NewHoleFinder
from rivetkit.planning.plan import plan_job
from rivetkit.planning.strength.joint_loads import Load, Side
from rivetkit.planning.strength.ratio import Part, judge_ratio
from rivetkit.planning.strength.row_joints import AlikeHoles
from rivetkit.rules import RuleBook

EXAMPLES = Path(__file__).parent.parent / "examples"

STRONG = JOB.replace("thickness = 0.025\nflange", 'alloy = "2024-T3"\nthickness = 0.025\nflange')

PLATES = """
[[row]]
name = "plates"
nutplate = "MS21047-08"
fit = "MS20470AD3"
lug = 0.03
screws = [{ at = [3, 3] }, { at = [3.7, 3] }, { at = [3, 5.3], angle = 90 }]
layers = ["skin"]
"""

SECOND = """
[[row]]
name = "second"
rivet = "MS20470DD4-4"
fit = "MS20470AD4"
path = [[0.6, 0.7], [9.4, 0.7]]
count = 11
layers = ["skin", { layer = "rib", row_from_edge = 0.3125 }]
"""


def override(rule, value, unit):
    return f'[[override]]\nrule = "{rule}"\nvalue = {value}\nunit = "{unit}"\nsource = "invented"\n'


def flush(text, form):
    """The same with flush rivets, the skin and the rib formed for them."""
    text = text.replace("MS20470AD3-3", "MS20426AD3-3")
    under = "dimpled" if form == "dimpled" else "plain"
    return text.replace('"skin", {', f'{{ layer = "skin", form = "{form}" }}, {{').replace(
        '{ layer = "rib",', f'{{ form = "{under}", layer = "rib",'
    )


WARM = 'temperatures = { drilled = "68 F", least = "50 F", greatest = "128 F" }\n'
LIMITS = override("edge_distance_min_protruding", 0.3, "in") + override("pitch_max", 12, "mm")

JOBS = (
    *(EXAMPLES.joinpath(name).read_text("utf-8") for name in ("elevator.toml",)),
    JOB,
    "accuracy = 0.01\n" + JOB,
    STRONG,
    STRONG.replace("0.032", "0.020"),
    STRONG.replace("0.032", "0.020").replace("MS20470AD3-3", "MS20470AD4-4"),
    STRONG.replace('new = { alloy = "2024-T3"', 'new = { alloy = "6061-T6"'),
    STRONG.replace("MS20470AD3-3", "MS20470D3-3").replace("= 13", '= 13\nfit = "MS20470AD3"'),
    HEAD + LIMITS + SHEET + MEMBER + ROW,
    HEAD + SHEET + MEMBER + ROW + SECOND,
    HEAD + SHEET + MEMBER + ROW + SECOND.replace("0.7]", "0.72]") + "seam_rows = 2\n",
    HEAD + SHEET + PLATES,
    flush(JOB, "dimpled"),
    flush(JOB.replace("0.032", "0.063"), "countersunk"),
    WARM + JOB.replace('kind = "rib"\n', 'kind = "rib"\nalloy = "4130"\n'),
    'rule_set = "amt"\n' + flush(JOB.replace("0.032", "0.063"), "countersunk"),
    'rule_set = "army"\n' + STRONG,
    'rule_set = "wartime"\n' + JOB,
)

MEASURED = (
    BenchHole("row:3", 0.104, 0.115, None, None, "", "by hand"),
    BenchHole("row:5", 0.104, 0.104, None, None, "", "by hand"),
    BenchHole("row:6", 0.100, 0.112, "row", "toward", "", "by hand"),
)


def follow(check):
    """See that a check comes to its value and its limit, by the numbers shown."""
    if check.verdict is Verdict.NOT_CHECKED or not check.template:
        return
    see_that_it_adds_up(check)


@pytest.mark.parametrize("measured", [(), MEASURED])
@pytest.mark.parametrize("text", JOBS)
def test_every_check_of_a_plan_can_be_followed(text, measured):
    job = parse_job(text)
    names = {row.name for row in job.rows}
    plan = plan_job(job, measured=measured if "row" in names else ())

    assert [check for check in plan.checks if check.template]
    for check in plan.checks:
        follow(check)


@pytest.mark.parametrize("text", JOBS)
@pytest.mark.parametrize("part", ["MS20470AD4", "MS20426AD3"])
def test_every_limit_a_line_of_new_holes_shows_can_be_followed(text, part):
    finder = NewHoleFinder(parse_job(text), parse_part_number(part))
    try:
        found = finder.along((0.5, 1.0), (9.0, 1.5)).limits
    except InputError:
        pytest.skip("nothing is drawn there")

    assert len(found) >= 3
    for one in found:
        see_that_it_adds_up(one)


def test_the_examples_can_be_followed():
    for path in EXAMPLES.glob("*.toml"):
        for check in plan_job(read_job(path)).checks:
            follow(check)


SIDE = Side(parse_part_number("MS20470AD3"), (StrengthLayer("skin", "2024-T3", 0.032),))

#: Loads that meet each other now and then, as rows of like rivets do.
LOADS = st.sampled_from([202.5, 210.6, 357.9, 389.1])


@settings(max_examples=200)
@given(
    holes=st.lists(
        st.tuples(st.integers(1, 9), LOADS, st.one_of(st.none(), LOADS)), min_size=1, max_size=7
    )
)
def test_the_ratio_of_any_rivets_to_any_others_can_be_followed(holes):
    # Statics: what a row carries is the sum of what its rivets carry.
    parts = tuple(
        Part(
            AlikeHoles(count, SIDE, None if after is None else SIDE, (), (), moved=False),
            Load(before, before),
            Load(after or 0.0, after or 0.0),
            None,
        )
        for count, before, after in holes
    )
    bound, check = judge_ratio(parts, RuleBook.named())
    was = sum(count * before for count, before, _ in holes)
    will = sum(count * (after or 0.0) for count, _, after in holes)

    assert bound == "is"
    assert check.value == pytest.approx(will / was, abs=1e-9)
    follow(check)


@pytest.mark.parametrize(
    ("before", "after", "bound", "value"),
    [
        # Nobody knows what the old rivets carried but that it was no more than 191 lbf.
        ((0.0, 191.0), (210.6, 210.6), "at least", 210.6 / 191.0),
        ((210.6, 210.6), (0.0, 191.0), "at most", 191.0 / 210.6),
        ((210.6, 210.6), (0.0, 281.0), "", None),
        ((0.0, 281.0), (210.6, 210.6), "", None),
    ],
)
def test_the_end_of_a_load_that_makes_the_bound_is_the_one_shown(before, after, bound, value):
    holes = AlikeHoles(9, SIDE, SIDE, (), (), moved=False)
    found, check = judge_ratio((Part(holes, Load(*before), Load(*after), None),), RuleBook.named())

    assert (found, check.value) == (bound, None if value is None else pytest.approx(value))
    if value is not None:
        assert {term.value for term in check.terms} == {max(before), max(after), 1.0}
        follow(check)
