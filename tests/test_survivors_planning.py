"""Plans: laws that a small change to the code once left standing."""

import pytest
from job_texts import HEAD, SHEET

from rivetkit.calculators.mass import rivet_mass_lb
from rivetkit.calculators.order import SparesPolicy, order_quantity
from rivetkit.checks import Verdict
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.bench_cells import as_typed, safe, unsafe
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job
from rivetkit.planning.context import Context
from rivetkit.planning.limits import gaps_in
from rivetkit.planning.nearby import pairs_across
from rivetkit.planning.new_hole import NewHoleFinder
from rivetkit.planning.order_list import order_list
from rivetkit.planning.parts import FitLine
from rivetkit.planning.plan import plan_job
from rivetkit.rules import RuleBook


def plate(y):
    """A sheet with one row through it alone, so that its holes may be drilled larger."""
    return HEAD + SHEET + row("row", y)


def row(name, y):
    return (
        f'[[row]]\nname = "{name}"\nrivet = "MS20470AD3-3"\npath = [[0.5, {y}], [9.5, {y}]]\n'
        'count = 13\nlayers = ["skin"]\n'
    )


@pytest.mark.parametrize("y", [0.19, 0.5])
def test_holes_without_reserve_are_those_counted_at_nought(y):
    reserve = plan_job(parse_job(plate(y))).reserve

    assert len(reserve.without()) == dict(reserve.tally()).get(0, 0)
    assert sum(number for _, number in reserve.tally()) == 13


def test_one_row_keeps_its_pitch_and_two_rows_the_row_spacing():
    # NAVEDTRA 14018 ch 13 (seen): pitch 3 D. TM 10-5410-229-13&P p 5-4 (seen): rows 2.5 D apart.
    # A path that turns back .5 in off itself, and a row .25 in under its first run, hole over hole.
    text = plate(0.5).replace(
        "path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13",
        "holes = [[1, 1], [1.8, 1], [1.8, 1.5], [1, 1.5]]",
    )
    second = row("second", 0.75).replace(
        "path = [[0.5, 0.75], [9.5, 0.75]]\ncount = 13", "holes = [[1, 0.75], [1.8, 0.75]]"
    )
    job = parse_job(text + second)
    context = Context(job, lay_out(job), RuleBook.named())
    pairs = pairs_across(context)
    gaps = gaps_in(context, pairs)
    found = {
        (int(one), int(other)): (limit_in, value_in)
        for one, other, limit_in, value_in in zip(
            pairs.first, pairs.second, gaps.limit_in, gaps.value_in, strict=True
        )
    }

    assert found[0, 3] == pytest.approx((3 * 3 / 32, 0.5))
    assert found[0, 4] == pytest.approx((2.5 * 3 / 32, 0.25))


@pytest.mark.parametrize(("gap_in", "overlap"), [(0.75 / 2, False), (0.1, True)])
def test_heads_are_spoken_of_only_where_they_would_overlap(gap_in, overlap):
    # Geometry: two heads of one width overlap when their centres are nearer than that.
    finder = NewHoleFinder(parse_job(plate(0.5)), parse_part_number("MS20470AD3"))
    answer = finder.at((0.5 + gap_in, 0.5), reach_in=1.0)
    heads = [check for check in answer.checks if "head" in check.name]

    assert bool(heads) is overlap
    assert all(check.verdict is Verdict.FAIL for check in heads)


@pytest.mark.parametrize(("y", "off"), [(4.0, False), (6.5, True)])
def test_a_place_off_the_metal_has_no_edge_distance_and_says_so(y, off):
    finder = NewHoleFinder(parse_job(plate(0.5)), parse_part_number("MS20470AD3"), ["skin"])
    edge = finder.at((5.0, y), reach_in=1.0).checks[0]

    assert edge.where == ("off the metal of skin" if off else "back of skin")
    assert edge.value == (0.0 if off else pytest.approx(2.0))


def test_an_order_weighs_the_mass_of_one_rivet_times_their_number():
    # Arithmetic: 100 rivets weigh a hundred times one.
    part = parse_part_number("MS20470AD4-4")
    mass = rivet_mass_lb(part)
    line = FitLine(part, (("row", 100),), order_quantity(100, SparesPolicy()), mass)
    (ordered,) = order_list({"job": [line]}, SparesPolicy())

    assert ordered.net_mass_lb == pytest.approx(100 * mass.mass_lb)
    assert ordered.order_mass_lb >= ordered.net_mass_lb


def test_heavier_rivets_bear_on_the_hinge_line_by_their_distance_from_it():
    # Statics: a moment is a weight times its arm; every hole is .5 + 1 in behind the hinge line.
    text = plate(0.5).replace('AD3-3"', 'AD3-3"\nfit = "MS20470AD4-6"')
    plan = plan_job(parse_job(text + "[hinge]\nfrom = [0, -1]\nto = [10, -1]\n"))
    (rivets,) = [line for line in plan.balance.lines if line.what == "rivets"]
    old, new = (
        rivet_mass_lb(parse_part_number(part)).mass_lb for part in ("MS20470AD3-3", "MS20470AD4-6")
    )

    assert rivets.mass_lb == pytest.approx(13 * (new - old))
    assert rivets.arm_in == pytest.approx(1.5)
    assert rivets.moment_lb_in == pytest.approx(rivets.mass_lb * 1.5)


@pytest.mark.parametrize("remark", ["=1+1", "5:1", "+7", "@here", "plain", "a;=1", "-"])
def test_a_remark_made_safe_for_a_spreadsheet_comes_back_as_it_was(remark):
    assert unsafe(safe(remark)) == remark
    assert as_typed(as_typed(remark)) == as_typed(remark)


@pytest.mark.parametrize(("gap_in", "holes"), [(0.0625, 25), (0.0626, 26)])
def test_holes_of_two_rows_just_as_near_as_the_job_says_are_one(gap_in, holes):
    # The job's own word: at the limit is within it, as everywhere.
    second = row("second", 0.5 + gap_in).replace("[9.5, ", "[9.625, ")
    job = parse_job("same_hole_within = 0.0625\n" + plate(0.5) + second)

    assert len(lay_out(job)) == holes


def test_the_plan_weighs_a_line_of_rivets_by_their_number():
    # Arithmetic: 13 rivets weigh thirteen times one.
    (line,) = plan_job(parse_job(plate(0.5))).parts

    assert line.net_mass_lb == pytest.approx(13 * rivet_mass_lb(line.part).mass_lb)


def test_in_an_uneven_row_the_tightest_and_the_widest_step_are_the_ones_judged():
    # NAVEDTRA 14018 ch 13 (seen): at least 3 D = .28125; Army AL0992 p 59 (seen): at most 10 D.
    text = plate(0.5).replace(
        "path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13",
        "holes = [[1, 1], [1.5, 1], [1.75, 1], [2.25, 1], [3.25, 1], [4, 1]]",
    )
    plan = plan_job(parse_job(text))
    (pitch,) = plan.pitches.along
    least, greatest = pitch.checks

    assert (pitch.least_in, pitch.least_between) == (0.25, ("row:2", "row:3"))
    assert (pitch.greatest_in, pitch.greatest_between) == (1.0, ("row:4", "row:5"))
    assert (least.value, least.verdict) == (0.25, Verdict.FAIL)
    assert (greatest.value, greatest.verdict) == (1.0, Verdict.FAIL)


def test_of_two_rows_the_pair_with_the_least_to_spare_is_the_one_told():
    # Geometry: hole 1 of both rows is .24 in apart, the far end .5 in.
    slanted = row("second", 0.74).replace("[9.5, 0.74]", "[9.5, 1.0]")
    (gap,) = plan_job(parse_job(plate(0.5) + slanted)).pitches.across

    assert gap.distance_in == pytest.approx(0.24)
    assert gap.holes == ("row:1", "second:1")


@pytest.mark.parametrize("large_first", [True, False])
def test_the_largest_rivet_of_the_job_says_how_far_a_neighbour_is_looked_for(large_first):
    # Law: a pair is found whatever smaller rivets the job holds besides; 3 D of 1/4 is .75 in.
    large = [
        row("one", 0.8).replace("AD3-3", "AD8-6").replace("count = 13", "count = 7"),
        row("two", 1.35).replace("AD3-3", "AD8-6").replace("count = 13", "count = 7"),
    ]
    small = [row("small", 4.5)]
    rows = large + small if large_first else small + large
    found = plan_job(parse_job(HEAD + SHEET + "".join(rows))).pitches.across

    verdicts = {gap.rows: gap.check.verdict for gap in found}
    assert verdicts["one", "two"] is Verdict.FAIL  # .55 in, and 2.5 D is .625 in


def test_a_place_that_fails_every_check_still_gets_the_nearest_good_one():
    text = plate(0.5).replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", "holes = [[5, 0.19]]")
    answer = NewHoleFinder(parse_job(text), parse_part_number("MS20470AD3")).at(
        (5.05, 0.05), reach_in=2.0
    )

    assert {answer.edges[0].check.verdict, answer.neighbours[0].checks[0].verdict} == {Verdict.FAIL}
    assert answer.nearest is not None
    assert answer.move_in > 0.1
