"""A rivet against the leg of the stringer it goes through, whoever asks."""

import pytest
from job_texts import HEAD, SHEET

from rivetkit.calculators.rivet_diameter import LEG_WIDTH, check_stringer_leg
from rivetkit.checks import Verdict
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.new_hole.search import NewHoleFinder
from rivetkit.planning.plan import plan_job
from rivetkit.reports.plans.bench_tables import obstacle_words
from rivetkit.rules import RuleBook

# AC 43.13-1B par 4-58l, p 4-36 (seen): in stringers a diameter is not over a quarter of the width
# of the leg: .5 in for 1/8, .625 in for 5/32.


def job(rivet='rivet = "MS20470AD4-4"', width=0.6, more=("", ""), kind="stringer", added=""):
    return parse_job(
        more[0]
        + (HEAD + SHEET).replace("0.032", "0.063").replace("0.025", "0.063")
        + f'[[member]]\nname = "z"\nkind = "{kind}"\nalloy = "2024-T3"\nthickness = 0.063\n'
        f"flange = {{ width = {width}, end_distance = 0.4 }}\nno_oversize = false\n{added}"
        f'[[row]]\nname = "row"\n{rivet}\npath = [[1, 3], [9, 3]]\ncount = 9\n'
        'layers = ["skin", { layer = "z", row_from_edge = 0.32 }]\n'
        # the bend is asked of in tests of its own
        '[[override]]\nrule = "heel_distance_min"\nvalue = 1\nunit = "D"\nsource = "invented"\n'
        + more[1]
    )


def legs(plan):
    return [check for check in plan.checks if check.name == LEG_WIDTH]


@pytest.mark.parametrize(
    ("width", "diameter", "verdict"),
    [
        (0.5, 0.125, Verdict.PASS),
        (0.4999, 0.125, Verdict.FAIL),
        (0.625, 0.15625, Verdict.PASS),
        (0.6249, 0.15625, Verdict.FAIL),
    ],
)
def test_a_rivet_is_at_most_a_quarter_of_the_leg(width, diameter, verdict):
    # AC 43.13-1B par 4-58l, p 4-36 (seen)
    check = check_stringer_leg(width, diameter_in=diameter, book=RuleBook.named())

    assert check.verdict is verdict
    assert (check.citations[0].source, check.basis) == ("ac43", "seen")


@pytest.mark.parametrize(
    ("rivet", "width", "verdict"),
    [
        ('rivet = "MS20470AD4-4"\nfit = "MS20470AD5"', 0.6, Verdict.FAIL),
        ('rivet = "MS20470AD4-4"\nfit = "MS20470AD5"', 0.625, Verdict.PASS),
        ('fit = "MS20470AD5"', 0.6, Verdict.FAIL),  # a hole that is not there yet
        ('rivet = "MS20470AD5-5"', 0.6, None),  # what the maker put there
        ('rivet = "MS20470AD5-5"\nfit = "MS20470D4"', 0.6, None),
    ],
)
def test_the_plan_holds_a_larger_rivet_and_a_new_one_to_the_leg(rivet, width, verdict):
    # AC 43.13-1B par 4-58l, p 4-36 (seen)
    plan = plan_job(job(rivet, width))

    assert [check.verdict for check in legs(plan)] == ([verdict] if verdict else [])
    assert all(check.where == "z: row" for check in legs(plan))
    if verdict is Verdict.FAIL:
        assert set(hole_verdicts(plan).verdicts) == {Verdict.FAIL}


@pytest.mark.parametrize(("size", "count"), [("AD5-5", 0), ("AD4-4", 1)])
def test_a_new_row_in_the_holes_of_an_old_one_is_held_by_what_came_out(size, count):
    new = 'fit = "MS20470AD5"\nreplaces = ["old"]'
    old = (
        f'[[row]]\nname = "old"\nrivet = "MS20470{size}"\nremoved = true\n'
        'path = [[1, 3], [9, 3]]\ncount = 9\nlayers = ["skin", "z"]\n'
    )

    assert [check.verdict for check in legs(plan_job(job(new, more=("", old))))] == (
        [Verdict.FAIL] * count
    )


def test_in_a_new_stringer_every_rivet_is_held_to_the_leg():
    told = job('rivet = "MS20470AD5-5"', added="added = true\n")

    assert [check.verdict for check in legs(plan_job(told))] == [Verdict.FAIL]


def test_a_leg_measured_to_its_limit_is_marginal_by_a_calliper():
    rivet = 'fit = "MS20470AD4"'
    assert legs(plan_job(job(rivet, 0.5)))[0].verdict is Verdict.PASS
    assert (
        legs(plan_job(job(rivet, 0.5, ("accuracy = 0.005\n", ""))))[0].verdict is Verdict.MARGINAL
    )


def test_other_members_have_no_leg():
    assert not legs(plan_job(job('fit = "MS20470AD5"', kind="rib")))


@pytest.mark.parametrize(
    ("width", "more", "steps", "verdict"),
    [
        (0.6249, "", 0, Verdict.FAIL),
        (0.625, "", 1, Verdict.PASS),
        (0.628, "accuracy = 0.004\n", 0, Verdict.MARGINAL),
        (0.63, "accuracy = 0.004\n", 1, Verdict.PASS),
    ],
)
def test_the_reserve_a_measured_hole_and_a_new_one_ask_the_same(width, more, steps, verdict):
    # AC 43.13-1B par 4-58l, p 4-36 (seen)
    told = job(width=width, more=(more, ""))
    bench = BenchHole("row:5", 0.140, 0.140, None, None, "", "by hand")
    larger = parse_part_number("MS20470AD5")
    plan = plan_job(told, measured=(bench,))
    found = plan.fixes[0].result.candidates
    (candidate,) = [c for c in found if c.fastener == larger and c.kind == "larger"]
    new = NewHoleFinder(told, larger, ("skin", "z")).at((5.5, 3.0), reach_in=1.0)

    for checks in (candidate.checks, new.checks):
        assert [check.verdict for check in checks if check.name == LEG_WIDTH] == [verdict]
    assert plan.reserve.steps[0] == steps
    if not steps:
        obstacle = plan.reserve.obstacles[plan.reserve.obstacle[0]]
        assert obstacle_words(obstacle) == "too large for the leg of z"


def test_a_line_along_a_leg_that_is_marginal_says_so():
    # AC 43.13-1B par 4-58l, p 4-36 (seen): .625 in for 5/32, which .628 is within .004 of
    told = job(width=0.628, more=("accuracy = 0.004\n", ""))
    line = NewHoleFinder(told, parse_part_number("MS20470AD5"), ("skin", "z")).along((1, 3), (9, 3))

    assert line.free
    assert (LEG_WIDTH, Verdict.MARGINAL) in [(one.name, one.verdict) for one in line.unchecked]
