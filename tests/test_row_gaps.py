"""Holes of two rows: pitch in line, row spacing side by side; heads, seams nobody told of."""

import itertools
import json
import math
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rivetkit.calculators.oversize.candidates import size_steps
from rivetkit.calculators.spacing import check_apart
from rivetkit.checks import Verdict, worst_verdict
from rivetkit.cli.app import main
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning import row_lines
from rivetkit.planning.context import Context
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.nearby import Neighbours, pairs_across
from rivetkit.planning.new_hole.search import NewHoleFinder
from rivetkit.planning.pitches import check_across, pitches
from rivetkit.planning.plan import plan_job
from rivetkit.reports.plans.bench_tables import obstacle_words
from rivetkit.rules import RuleBook

# Rivets are 1/8 in. NAVEDTRA 14018 ch 13 (seen): pitch 3 D = .375 in. TM 10-5410-229-13&P p 5-4
# (seen): rows 2.5 D = .3125 in apart. AC 43.13-1B p 4-27 (derived): 4 D = .5 in in two rows.
D = 0.125

PLATES = """
name = "two rows"
[[sheet]]
name = "skin"
old = { alloy = "2024-T3", thickness = 0.032 }
outline = { rectangle = { corner = [-20, -20], width = 40, height = 40 } }
[[member]]
name = "strap"
kind = "doubler"
alloy = "2024-T3"
thickness = 0.032
outline = { rectangle = { corner = [-20, -20], width = 40, height = 40 } }
"""


def row(name, holes, *, part="AD4", layers='["skin", "strap"]', more=""):
    places = ", ".join(f"[{x!r}, {y!r}]" for x, y in holes)
    return (
        f'[[row]]\nname = "{name}"\nfit = "MS20470{part}"\nholes = [{places}]\n'
        f"layers = {layers}\n{more}\n"
    )


def override(rule, value):
    return (
        f'[[override]]\nrule = "{rule}"\nvalue = {value}\nunit = "D"\nsource = "invented maker"\n'
    )


def plan_of(*rows, head=""):
    return plan_job(parse_job(head + PLATES + "".join(rows)))


def between(plan):
    """The worst check between holes of different rows."""
    gaps = [gap for gap in plan.pitches.across if gap.rows[0] != gap.rows[1]]
    return min(gaps, key=lambda gap: gap.check.margin).check


def line(start, step, count):
    return [(start[0] + step[0] * k, start[1] + step[1] * k) for k in range(count)]


@pytest.mark.parametrize(("gap", "verdict"), [(2.64, Verdict.FAIL), (3.0, Verdict.PASS)])
@pytest.mark.parametrize("turn", [0.0, 0.7])
def test_rows_end_to_end_keep_the_pitch(gap, verdict, turn):
    # The first hole of one row follows the last of the other, whatever the job calls them.
    def turned(holes):
        cos, sin = math.cos(turn), math.sin(turn)
        return [(x * cos - y * sin, x * sin + y * cos) for x, y in holes]

    check = between(
        plan_of(
            row("a", turned(line((0, 0), (1, 0), 5))),
            row("b", turned(line((4 + gap * D, 0), (1, 0), 4))),
        )
    )

    assert (check.name, check.verdict) == ("pitch", verdict)
    assert check.value == pytest.approx(gap * D)
    assert check.limit == pytest.approx(0.375)


def test_rows_that_cross_keep_the_pitch_though_a_row_spacing_would_do():
    # Two D off either row, .3536 in from hole to hole: 2.83 D. New holes were refused there.
    along = row("a", line((1, 1), (1, 0), 9))
    across = row("b", line((1.25, 1.25), (0, 1), 4))
    check = between(plan_of(along, across))
    finder = NewHoleFinder(parse_job(PLATES + along), parse_part_number("MS20470AD4"))
    new = [c for c in finder.at((1.25, 1.25), reach_in=1.0).checks if c.where == "to a:1"]

    assert (check.name, check.verdict) == ("pitch", Verdict.FAIL)
    assert (new[0].name, new[0].verdict) == ("pitch", Verdict.FAIL)
    assert new[0].value == pytest.approx(check.value)
    assert check.margin == pytest.approx(math.hypot(0.25, 0.25) - 0.375)


@pytest.mark.parametrize("angle", [30, 45, 60, 90])
def test_no_crossing_of_two_rows_takes_holes_at_2_9_diameters_in_line_with_one(angle):
    # The second row runs away from a hole of the first, starting 2.9 D straight above it.
    way = (math.cos(math.radians(angle)), math.sin(math.radians(angle)))
    first = row("a", line((-2, 0), (1, 0), 5))
    second = row("b", line((way[0] * 2.9 * D, way[1] * 2.9 * D), (way[0], way[1]), 4))

    assert between(plan_of(first, second)).verdict is Verdict.FAIL


@pytest.mark.parametrize(("rows_apart", "verdict"), [(2.5, Verdict.PASS), (2.49, Verdict.FAIL)])
@pytest.mark.parametrize("shift", [0.0, 1.5])
def test_a_seam_chained_or_staggered_keeps_its_row_spacing(rows_apart, shift, verdict):
    # Staggered at 3 D pitch and 2.5 D rows, the diagonal is 2.92 D: sound, though under a pitch.
    rows = (
        row("a", line((0, 0), (3 * D, 0), 9), more="seam_rows = 1"),
        row("b", line((shift * D, rows_apart * D), (3 * D, 0), 9), more="seam_rows = 1"),
    )
    plan = plan_of(*rows)
    check = between(plan)

    assert check.verdict is verdict
    assert plan.verdict is verdict
    if verdict is Verdict.PASS:
        assert check.name == "row spacing"
        assert check.value == pytest.approx(rows_apart * D)


@pytest.mark.parametrize("pitch", [4, 5, 6, 8])
@pytest.mark.parametrize("shift", [0.0, 0.5])
def test_a_seam_told_as_one_is_not_asked_its_pitch_from_row_to_row(pitch, shift):
    # At 6 D staggered the diagonal is 3.9 D, less than the 4 D along each row of such a seam.
    rows = (
        row("a", line((0, 0), (pitch * D, 0), 9), more="seam_rows = 2"),
        row("b", line((shift * pitch * D, 2.5 * D), (pitch * D, 0), 9), more="seam_rows = 2"),
    )

    assert plan_of(*rows).verdict is Verdict.PASS


def test_a_seam_that_goes_on_in_another_row_keeps_the_pitch_of_the_seam():
    rows = (
        row("a", line((0, 0), (0.6, 0), 5), more="seam_rows = 2"),
        row("b", line((2.4 + 0.45, 0), (0.6, 0), 5), more="seam_rows = 1"),
    )
    check = between(plan_of(*rows))

    assert (check.name, check.limit) == ("pitch", pytest.approx(0.5))
    assert check.verdict is Verdict.FAIL


@pytest.mark.parametrize(("rows_apart", "verdict"), [(2.5, Verdict.PASS), (2.45, Verdict.FAIL)])
@pytest.mark.parametrize("shift", [0.0, 0.5])
@pytest.mark.parametrize("inner_first", [True, False])
def test_rings_in_each_other_are_rows_side_by_side(rows_apart, shift, inner_first, verdict):
    # Geometry: circles about one centre are everywhere as far apart as their radii differ.
    def ring(name, radius, turn):
        angles = [2 * math.pi * (k + turn) / 24 for k in range(24)]
        holes = [(radius * math.cos(a), radius * math.sin(a)) for a in angles]
        return row(name, [*holes, holes[0]], more="seam_rows = 2")

    inner = ring("inner", 2.0, 0.0)
    outer = ring("outer", 2.0 + rows_apart * D, shift)
    plan = plan_of(*((inner, outer) if inner_first else (outer, inner)))

    assert between(plan).verdict is verdict


@pytest.mark.parametrize(("rows_apart", "verdict"), [(2.5, Verdict.PASS), (2.45, Verdict.FAIL)])
@pytest.mark.parametrize("turn_deg", [0.0, 8.0])
def test_a_ring_told_as_one_is_round_however_few_its_holes(rows_apart, turn_deg, verdict):
    def ring(name, radius, turn_deg):
        told = f"at = [1, 1], diameter = {2 * radius}, count = 8, start_angle = {turn_deg}"
        stack = 'layers = ["skin", "strap"]\nseam_rows = 2\n'
        head = f'[[row]]\nname = "{name}"\nrivet = "MS20470AD4"\n'
        return f"{head}circle = {{ {told} }}\n{stack}"

    plan = plan_of(ring("inner", 0.7, 0.0), ring("outer", 0.7 + rows_apart * D, turn_deg))

    assert between(plan).verdict is verdict


@pytest.mark.parametrize("split", [True, False])
@pytest.mark.parametrize(("rows_apart", "verdict"), [(2.5, Verdict.PASS), (2.4, Verdict.FAIL)])
def test_rows_round_a_corner_are_side_by_side_there_as_well(split, rows_apart, verdict):
    # One L within another, told as one row each or as two that share their corner.
    def corner(name, at):
        foot = [(-k * 0.5, -at) for k in range(6, 0, -1)]
        rise = [(at, k * 0.5) for k in range(7) if at or k]  # one abreast of the inner corner
        turn = [(at, -at)]
        if split:
            parts = (f"{name} foot", foot + turn), (f"{name} rise", turn + rise)
            return "".join(row(part, holes, more="seam_rows = 2") for part, holes in parts)
        return row(name, foot + turn + rise, more="seam_rows = 2")

    plan = plan_of(corner("in", 0.0), corner("out", rows_apart * D))

    assert between(plan).verdict is verdict


def test_a_single_hole_has_no_row_to_stand_beside():
    rows = (row("a", line((0, 0), (1, 0), 5)), row("b", [(2.0, 0.35)]))
    check = between(plan_of(*rows))

    assert (check.name, check.verdict) == ("pitch", Verdict.FAIL)


@pytest.mark.parametrize(("rows_apart", "verdict"), [(4.9, Verdict.FAIL), (5.0, Verdict.PASS)])
def test_a_maker_s_wider_row_spacing_is_held(rows_apart, verdict):
    # The override says 5 D: a pitch of 3 D between the rows is no excuse, in line it is enough.
    rows = (
        row("a", line((0, 0), (1, 0), 5)),
        row("b", line((0, rows_apart * D), (1, 0), 5)),
        row("c", line((4 + 3 * D, 0), (1, 0), 3)),
    )
    plan = plan_of(*rows, override("row_spacing_min", 5))
    found = {gap.rows: gap.check for gap in plan.pitches.across if gap.rows[0] != gap.rows[1]}

    assert (found["a", "b"].name, found["a", "b"].verdict) == ("row spacing", verdict)
    assert (found["a", "c"].name, found["a", "c"].verdict) == ("pitch", Verdict.PASS)


def test_what_is_measured_to_an_accuracy_may_hold_either_way():
    # 2.2 D off the rows, 3.04 D from hole to hole: a pitch, by .005 in.
    rows = (
        row("a", line((0, 0), (1, 0), 5)),
        row("b", line((2.1 * D, 2.2 * D), (1, 0), 5)),
    )

    assert between(plan_of(*rows)).verdict is Verdict.PASS
    assert between(plan_of(*rows, head="accuracy = 0.01\n")).verdict is Verdict.MARGINAL


def test_a_layer_that_comes_off_for_good_holds_no_two_rows_together():
    # Rows .15 in apart that had nothing but the patch in common: both stay, each in its own sheet.
    patch = """
[[sheet]]
name = "patch"
old = { alloy = "2024-T3", thickness = 0.032 }
left_off = true
outline = { rectangle = { corner = [-20, -20], width = 40, height = 40 } }
"""
    one = row("a", line((0, 0), (1, 0), 5), layers='["patch", "skin"]')
    other = row("b", line((0.1, 0.15), (1, 0), 5), layers='["patch", "strap"]')

    assert plan_job(parse_job(PLATES + patch + one + other)).pitches.across == ()
    joined = other.replace('["patch", "strap"]', '["skin", "strap"]')
    assert plan_job(parse_job(PLATES + patch + one + joined)).verdict is Verdict.FAIL


# ---------------------------------------------------------------- laws

SPOT = st.tuples(st.integers(-30, 30), st.integers(-30, 30)).map(lambda p: (p[0] / 20, p[1] / 20))
STRAIGHT = st.tuples(
    SPOT, st.floats(0, 2 * math.pi), st.floats(0.4, 1.0), st.integers(1, 5), st.integers(1, 2)
)


def straight(name, drawn, part="AD4"):
    start, angle, pitch, count, seam = drawn
    step = (pitch * math.cos(angle), pitch * math.sin(angle))
    return row(name, line(start, step, count), part=part, more=f"seam_rows = {seam}")


@settings(max_examples=150, deadline=None)
@given(first=STRAIGHT, second=STRAIGHT)
def test_every_pair_of_two_straight_rows_by_the_law_itself(first, second):
    job = parse_job(PLATES + straight("a", first) + straight("b", second, "AD5"))
    one, other = (drawn.points for drawn in job.rows)
    assume(min(math.dist(p, q) for p in one for q in other) > job.same_hole_in + 1e-6)
    holes = lay_out(job)
    context = Context(job, holes, RuleBook.named())
    size = 0.15625
    pairs = pairs_across(context)
    number = {
        (int(one), int(other)): k
        for k, (one, other) in enumerate(zip(pairs.first, pairs.second, strict=True))
    }
    points, count = holes.points, first[3]

    def off(hole, drawn):
        (x, y), angle = drawn[0], drawn[1]
        return abs(
            (points[hole][0] - x) * math.sin(angle) - (points[hole][1] - y) * math.cos(angle)
        )

    for one, other in itertools.product(range(count), range(count, len(holes))):
        distance = math.dist(points[one], points[other])
        pitch = (3 if first[4] == second[4] == 1 else 4) * size
        lines = count > 1 and second[3] > 1
        square = min(off(one, second), off(other, first)) if lines else -math.inf
        spare = max(distance - pitch, square - 2.5 * size)
        if (one, other) not in number:
            assert spare > 0
            continue
        check = check_across(context, pairs, number[one, other])
        assert check.margin == pytest.approx(spare, abs=1e-9)
        alone = check_apart(
            distance,
            square_in=square if lines else None,
            diameter_in=D,
            neighbour_diameter_in=size,
            book=context.book,
            rows=max(first[4], second[4]),
        )
        assert alone.margin == pytest.approx(spare, abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(rows=st.lists(STRAIGHT, min_size=1, max_size=2), place=SPOT, least=st.sampled_from([3, 1.5]))
def test_a_row_of_one_hole_is_judged_as_a_new_hole_is(rows, place, least):
    # At 1.5 D pitch, an override, heads of 1/8 in rivets (.262 in, from memory) touch before that.
    told = [straight(f"r{number}", drawn) for number, drawn in enumerate(rows)]
    text = PLATES + "".join(told) + override("pitch_min_one_row", least)
    job = parse_job(text + row("new", [place]))
    assume(not lay_out(job).shared)
    plan = plan_job(job)
    planned = [
        gap.check.verdict
        for gap in (*plan.pitches.across, *plan.pitches.heads)
        if "new" in gap.rows
    ]
    answer = NewHoleFinder(parse_job(text), parse_part_number("MS20470AD4"), ["skin"]).at(
        place, reach_in=1.0
    )
    new = [check.verdict for check in answer.checks if check.where.startswith("to r")]

    assert worst_verdict(planned) is worst_verdict(new)


@settings(max_examples=60, deadline=None)
@given(rows=st.lists(STRAIGHT, min_size=2, max_size=3), order=st.randoms())
def test_the_order_of_the_rows_changes_nothing(rows, order):
    # Rows of one size share holes where they meet; each keeps what all of its rows ask.
    told = [straight(f"r{number}", drawn) for number, drawn in enumerate(rows)]
    mixed = list(told)
    order.shuffle(mixed)
    margins = [
        sorted(gap.check.margin for gap in plan_of(*one).pitches.across) for one in (told, mixed)
    ]
    least = [min(found, default=0.0) for found in margins]

    assert least[0] == pytest.approx(least[1], abs=1e-9)


# ---------------------------------------------------------------- what else a plan says of it


def said(*rows, command="plan", form="text", tmp_path=None):
    file = tmp_path / "job.toml"
    file.write_text(PLATES + "".join(rows), encoding="utf-8")
    words = [command, str(file), "--format", form]
    return CliRunner().invoke(main, words, standalone_mode=False).output


def test_rows_far_from_each_other_are_said_to_be(tmp_path):
    # Twice the pitch of 3/8 in is looked over.
    one, far, near = (row(f"r{y}", line((0, y), (1, 0), 5)) for y in (0, 1, 0.7))
    words = "No holes of two rows in one layer come nearer to each other than 0.750 in."

    assert words in said(one, far, tmp_path=tmp_path)
    assert words not in said(one, near, tmp_path=tmp_path)
    assert "Between rows" not in said(one, tmp_path=tmp_path)


@pytest.mark.parametrize(("pitch", "verdict"), [(0.25, Verdict.FAIL), (0.27, Verdict.PASS)])
def test_heads_that_ask_for_more_than_the_pitch_are_checked(pitch, verdict, tmp_path):
    # A maker's pitch of 1.5 D lets .250 in heads, .262 at most (MS20470, from memory), overlap.
    rows = (row("a", line((0, 0), (pitch, 0), 6)), override("pitch_min_one_row", 1.5))
    plan = plan_of(*rows)
    heads = {gap.rows: gap.check for gap in plan.pitches.heads}

    assert plan.pitches.along[0].checks[0].verdict is Verdict.PASS
    assert heads["a", "a"].verdict is verdict
    assert heads["a", "a"].value == pytest.approx(pitch)
    assert heads["a", "a"].limit == pytest.approx(0.262)
    assert plan.verdict is verdict
    assert set(hole_verdicts(plan).verdicts) == {verdict}
    assert "head beside head" in said(*rows, tmp_path=tmp_path)


def test_heads_that_ask_for_less_than_the_pitch_are_not_listed():
    assert plan_of(row("a", line((0, 0), (3 * D, 0), 6))).pitches.heads == ()


def test_heads_of_two_rows_are_held_apart_as_well():
    head = override("row_spacing_min", 1.5) + override("pitch_min_one_row", 3)
    rows = (row("a", line((0, 0), (1, 0), 6)), row("b", line((0, 0.2), (1, 0), 6)))
    plan = plan_of(*rows, head)

    assert between(plan).verdict is Verdict.PASS
    assert [(gap.rows, gap.check.verdict) for gap in plan.pitches.heads] == [
        (("a", "b"), Verdict.FAIL)
    ]


def two_rows(pitch, apart, more="", shift=0.0):
    return (
        row("a", line((0, 0), (pitch * D, 0), 9), more=more),
        row("b", line((shift * D, apart * D), (pitch * D, 0), 9), more=more),
    )


@pytest.mark.parametrize(
    ("pitch", "apart", "more", "named"),
    [
        (3.2, 2.8, "", ["a", "b"]),  # .4 in pitch where a seam of two rows wants .5
        (3.2, 4.0, "", ["a", "b"]),
        (3.2, 4.1, "", []),  # further apart than rows of a seam stand
        (4.0, 2.8, "", []),  # wide enough for a seam anyway
        (3.2, 2.8, "seam_rows = 1", []),  # told to be no seam
    ],
)
def test_rows_that_may_be_one_seam_are_asked_about(pitch, apart, more, named):
    plan = plan_of(*two_rows(pitch, apart, more))
    doubted = [check for check in plan.checks if check.verdict is Verdict.NOT_CHECKED]

    assert [check.where for check in doubted] == named
    assert all("seam_rows" in check.reason for check in doubted)
    assert plan.verdict is (Verdict.NOT_CHECKED if named else Verdict.PASS)
    assert set(hole_verdicts(plan).verdicts) == {plan.verdict}


def test_only_the_row_that_is_pitched_too_near_for_a_seam_is_doubted():
    # Row a at .4 in would be short of 4 D = .5 in a seam, row b beside it at .5 in would not.
    plan = plan_of(two_rows(3.2, 2.8)[0], two_rows(4.0, 2.8)[1])
    verdicts = hole_verdicts(plan).verdicts

    assert [seam.rows for seam in plan.pitches.seams] == [("a", "b")]
    assert set(verdicts[:9]) == {Verdict.NOT_CHECKED}
    assert set(verdicts[9:]) == {Verdict.PASS}


@pytest.mark.parametrize("told", [0, 1])
def test_what_one_row_says_of_itself_its_neighbour_need_not(told):
    rows = list(two_rows(3.2, 2.8))
    rows[told] += "seam_rows = 1\n"

    assert plan_of(*rows).verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("pitch", "more", "steps", "kind"),
    [
        (4.5, "", 0, "seam"),  # .5625 in, where a seam of two rows wants .5 of 1/8, .625 of 5/32
        (4.5, "seam_rows = 1", 2, "pitch"),  # 3 D of 3/16 is .5625 in, of 1/4 .75
        (4.5, "seam_rows = 2", 0, "pitch"),
        (3.2, "", 0, "pitch"),  # short of 3 D of 5/32 whatever seam it is of
        (5.2, "", 1, "seam"),  # .65 in, where a seam wants .75 of 3/16
    ],
)
def test_the_reserve_counts_no_size_that_the_plan_would_ask_about(pitch, more, steps, kind):
    def up(text, hole):
        measured = (BenchHole(hole, 0.140, 0.150, None, None, "", "by hand"),)
        return plan_job(parse_job(text), measured=measured)

    text = PLATES + "".join(two_rows(pitch, 4.0, more))
    found = plan_job(parse_job(text)).reserve

    assert set(found.steps[1:8].tolist()) == {steps}
    assert {found.obstacles[number].kind for number in found.obstacle[1:8]} == {kind}
    # what the reserve tells before the drill, a measured hole tells after it
    assert (up(text, "a:5").verdict is Verdict.PASS) == (steps > 0)
    if kind == "seam" and not steps:
        assert obstacle_words(found.obstacles[found.obstacle[4]]).endswith("in one seam with b")
        # a repair in hole 5 makes the plan ask of its row
        assert [seam.rows for seam in up(text, "a:5").pitches.seams] == [("a", "b")]


def test_rows_told_to_be_a_seam_are_held_to_its_pitch():
    assert plan_of(*two_rows(3.2, 2.8, "seam_rows = 2")).verdict is Verdict.FAIL


def test_a_row_of_another_joint_makes_no_seam():
    # One row joins skin and strap, the other holds something on to the skin alone.
    one, other = two_rows(3.2, 2.8)

    assert plan_of(one, other.replace('["skin", "strap"]', '["skin"]')).verdict is Verdict.PASS


def test_the_tightest_pitch_goes_by_the_larger_of_two_rivets():
    # After the repair hole 3 holds 5/32: 3 D is .46875 to its neighbours, .009 under their .478 in.
    # The pitch of .380 between the 1/8 rivets has but .005 to spare: smaller, yet not the tightest
    # by a rule that goes by the smaller rivet, which would leave hole 3 a spare of .103 in.
    holes = [(0, 0), (0.478 * 1, 0), (0.478 * 2, 0), (0.478 * 3, 0), (0.478 * 3 + 0.386, 0)]
    job = parse_job(PLATES.replace("0.032", "0.063") + row("a", holes))
    bench = (BenchHole("a:2", 0.140, 0.150, None, None, "", "by hand"),)
    plan = plan_job(job, measured=bench)
    (pitch,) = plan.pitches.along

    assert plan.measured.fixes[0].chosen.fastener.designation == "MS20470AD5"
    assert pitch.least_between in {("a:1", "a:2"), ("a:2", "a:3")}
    assert pitch.checks[0].margin == pytest.approx(0.478 - 3 * 0.15625)
    assert pitch.checks[0].verdict is Verdict.PASS


def sized(*rows, larger):
    """The pitches of some rows of 1/8 rivets, some holes of which hold larger ones."""
    job = parse_job(PLATES.replace("0.032", "0.063") + "".join(rows))
    holes = lay_out(job)
    parts = [*holes.fit_parts, *map(parse_part_number, larger.values())]
    fit = holes.fit.copy()
    for number, hole in enumerate(larger, start=len(holes.fit_parts)):
        fit[[holes.name(one) for one in range(len(holes))].index(hole)] = number
    changed = replace(holes, fit=fit, fit_parts=tuple(parts))
    context = Context(job, changed, RuleBook.named(job.rule_set, job.overrides))
    return pitches(context, Neighbours(context))


def test_every_pitch_goes_by_the_two_rivets_it_lies_between():
    # Spaces .6, .46 and .39 in, hole 2 with 5/32: 3 D are .469, .469 and .375 in.
    holes = [(0, 0), (0.6, 0), (1.06, 0), (1.45, 0)]
    (pitch,) = sized(row("a", holes), larger={"a:2": "MS20470AD5"}).along

    assert pitch.least_between == ("a:2", "a:3")
    assert pitch.checks[0].verdict is Verdict.FAIL
    assert pitch.checks[0].margin == pytest.approx(0.46 - 3 * 0.15625)


def test_every_hole_is_held_to_the_pitch_of_the_larger_of_its_rivet_and_the_next():
    # .4 in apart: 3 D are .375 in of 1/8 and .469 in where the middle one holds 5/32.
    job = parse_job(PLATES.replace("0.032", "0.063") + row("a", [(0.4 * k, 0) for k in range(5)]))
    plan = plan_job(job)
    parts = (*plan.holes.fit_parts, parse_part_number("MS20470AD5"))
    fit = np.array([0, 0, len(parts) - 1, 0, 0], dtype=np.int32)
    context = Context(job, replace(plan.holes, fit=fit, fit_parts=parts), plan.book)
    changed = replace(plan, context=context, neighbours=Neighbours(context))
    good, bad = Verdict.PASS, Verdict.FAIL

    assert hole_verdicts(plan).verdicts == (good,) * 5
    assert hole_verdicts(changed).verdicts == (good, bad, bad, bad, good)


@pytest.mark.parametrize("first", ["a:1", "a:2"])
def test_every_space_goes_by_the_smaller_of_the_two_rivets_it_lies_between(first):
    # Spaces 1.2, 1.4 and 1.2 in; 10 D are 1.5625 in between two 5/32 and 1.25 beside a 1/8.
    holes = [(0, 0), (1.2, 0), (2.6, 0), (3.8, 0)]
    both_large = sized(row("a", holes), larger=dict.fromkeys(("a:2", "a:3"), "MS20470AD5")).along
    one_large = sized(row("a", holes), larger={first: "MS20470AD5"}).along

    assert both_large[0].checks[1].verdict is Verdict.PASS
    assert both_large[0].greatest_between != ("a:2", "a:3")
    assert both_large[0].checks[1].margin == pytest.approx(0.05)
    assert one_large[0].greatest_between == ("a:2", "a:3")
    assert one_large[0].checks[1].margin == pytest.approx(-0.15)


def test_of_the_heads_of_two_rows_those_with_the_least_to_spare_are_told():
    # Greatest heads of MS20470 (from memory): .262 in of 1/8, .394 of 3/16. Centres .27 in apart
    # leave two small ones .008, centres .30 in leave a small one and a large one -.028 in.
    rows = row("a", [(0, 0), (1, 0)]), row("b", [(0, 0.27), (1, 0.3)])
    head = override("pitch_min_one_row", 1.2) + override("row_spacing_min", 1.2)
    gaps = sized(rows[0], rows[1] + head, larger={"b:2": "MS20470AD6"}).heads
    (gap,) = (gap for gap in gaps if gap.rows == ("a", "b"))

    assert gap.holes == ("a:2", "b:2")
    assert gap.check.margin == pytest.approx(0.3 - (0.262 + 0.394) / 2)


@pytest.mark.parametrize("gaps", [(0.4, 0.35, 0.3), (0.3, 0.35, 0.4), (0.35, 0.3, 0.4)])
def test_of_pairs_of_rows_the_one_with_the_least_to_spare_is_told_first(gaps):
    heights = [0.0, gaps[0], gaps[0] + gaps[1], sum(gaps)]
    rows = [row(f"row {n}", line((0, y), (1, 0), 5)) for n, y in enumerate(heights)]
    found = [gap.distance_in for gap in plan_of(*rows).pitches.across]

    assert found[:3] == pytest.approx([0.3, 0.35, 0.4])
    assert found == sorted(found)


@pytest.mark.parametrize(("count", "rows"), [(1, []), (2, ["a"])])
def test_two_holes_make_a_pitch_and_one_makes_none(count, rows):
    plan = plan_of(row("a", line((0, 0), (0.3, 0), count)))

    assert [pitch.row for pitch in plan.pitches.along] == rows
    assert [pitch.checks[0].verdict for pitch in plan.pitches.along] == [Verdict.FAIL] * len(rows)


@pytest.mark.parametrize(("beside", "doubted"), [(1, []), (2, ["a", "b"])])
def test_rows_run_side_by_side_where_two_holes_of_each_do(beside, doubted):
    # Common practice, no source: a single hole beside another row makes no seam. Row b starts
    # where only the last holes of row a still have it beside them.
    rows = (
        row("a", line((0, 0), (0.4, 0), 9)),
        row("b", line((0.4 * (9 - beside), 0.35), (0.4, 0), 9)),
    )
    found = [seam.rows[0] for seam in plan_of(*rows).pitches.seams]

    assert found == doubted


#: The usual rules let no 3/16 rivet into .032 in.
WIDE = override("diameter_per_thickness_max", 7).replace('"D"', '"t"')


def test_the_reserve_ends_where_the_heads_would_meet():
    # Pitch .3 in under a maker's 1.5 D: 5/32 and 3/16 rivets would still keep the pitch (.281),
    # but the head of a 5/32 (.328 at most, MS20470, from memory) beside one of 1/8 (.262) asks
    # for .295, that of a 3/16 (.394) for .328 in.
    maker = override("pitch_min_one_row", 1.5) + WIDE
    plan = plan_of(row("a", line((0, 0), (0.3, 0), 6)), maker)
    sizes = [size.designation for size in size_steps(parse_part_number("MS20470AD4"))]

    assert sizes[:2] == ["MS20470AD5", "MS20470AD6"]
    assert set(plan.reserve.steps.tolist()) == {1}
    assert {plan.reserve.obstacles[k].kind for k in plan.reserve.obstacle} == {"heads"}


def test_a_hole_of_a_seam_keeps_the_pitch_of_each_row_it_belongs_to():
    # The rib, no seam, has .6 in: 3 D of 3/16 is .5625, of 1/4 .75 in. 4 D of 5/32, .625 in, is
    # only asked along the spar's seam, where there is 1 in.
    spar = row("spar", line((0, 0), (1, 0), 5), more="seam_rows = 2")
    plan = plan_of(spar, row("rib", line((0, 0), (0, 0.6), 5)), WIDE)

    assert plan.holes.name(0) == "spar:1"
    assert plan.reserve.steps[0] == 2


# ---------------------------------------------------------------- the map tells it too

NUTPLATES = """
[[row]]
name = "np"
rivet = "MS20426AD3-4"
nutplate = "MS21047-3"
lug = 0.032
screws = [{ at = [3, %s], angle = 0 }]
layers = [{ layer = "skin", form = "dimpled" }, { layer = "%s", form = "dimpled" }]
"""


@pytest.mark.parametrize(("y", "verdict"), [(-19.7, Verdict.FAIL), (3, Verdict.PASS)])
def test_holes_of_a_screw_too_near_an_edge_are_marked(y, verdict, tmp_path):
    # Common practice: 2 D of the screw, .38 in for 3/16 (.190). The rivets pass at .3 in.
    plan = plan_of(NUTPLATES % (y, "strap"))

    assert plan.verdict is verdict
    assert set(hole_verdicts(plan).verdicts) == {verdict}
    text = said(NUTPLATES % (y, "strap"), command="map", tmp_path=tmp_path)
    assert ("FAIL" in text) is (verdict is Verdict.FAIL)


def test_a_hole_too_near_a_screw_in_a_layer_nobody_drew_is_marked():
    # A #10 hole's rim: the rivet .25 in from the screw's centre is .152 in from it; 2 D is .25.
    rib = '[[member]]\nname = "rib"\nkind = "rib"\nthickness = 0.04\nedge_distance = 0.5\n'
    under = row("under", [(3, 3.25), (3, 4.0)], layers='["rib"]')
    plan = plan_job(parse_job(PLATES + rib + NUTPLATES % (3, "rib") + under))
    verdicts = hole_verdicts(plan)
    found = {plan.holes.name(n): verdicts.verdicts[n] for n in range(len(plan.holes))}

    assert (found["under:1"], found["under:2"]) == (Verdict.FAIL, Verdict.PASS)


def test_holes_of_a_row_that_gets_weaker_are_marked():
    # 2117 rivets (AD) in place of 2024 ones (DD): 30 ksi for 41 (MIL-HDBK-5, from memory).
    weaker = row("a", line((0, 0), (1, 0), 5), more='rivet = "MS20470DD4"')
    plan = plan_of(weaker, row("b", line((0, 3), (1, 0), 5), layers='["skin"]'))
    (change,) = plan.strength
    verdicts = hole_verdicts(plan).verdicts

    assert (change.rows, change.check.verdict) == (("a",), Verdict.FAIL)
    assert set(verdicts[:5]) == {Verdict.FAIL}
    assert Verdict.FAIL not in verdicts[5:]


def test_what_no_hole_is_to_blame_for_is_told_beside_the_map(tmp_path):
    rows = row("a", line((0, 0), (1, 0), 5))
    file = tmp_path / "job.toml"
    file.write_text('assumed = ["the strap"]\n' + PLATES + rows, encoding="utf-8")
    text, drawing, data = (
        CliRunner().invoke(main, ["map", str(file), "--format", form], standalone_mode=False).output
        for form in ("text", "svg", "json")
    )

    assert "What no hole is marked with" in text
    assert "not checked: measurement, the strap" in drawing
    assert json.loads(data)["result"]["not_of_one_hole"] == [
        {"name": "measurement", "where": "the strap", "verdict": "not_checked"}
    ]


def test_rivets_of_another_row_in_line_close_a_space():
    """Every second rivet of one line told as a row of its own: no space is wider than for one row.

    AD4, greatest pitch 10 D = 1.25 in (the usual rule): 2 in apart is too far, 1 in is not.
    """
    odd, even = ([(x, 0.0) for x in range(start, 9, 2)] for start in (0, 1))
    together = plan_of(row("odd", odd), row("even", even))
    alone = plan_of(row("odd", odd))
    elsewhere = plan_of(row("odd", odd), row("even", [(x, 0.5) for x, _ in even]))
    other_metal = plan_of(row("odd", odd), row("even", even, layers='["skin"]'))

    def widest(plan):
        return next(pitch for pitch in plan.pitches.along if pitch.row == "odd").greatest_in

    assert [widest(plan) for plan in (alone, together, elsewhere, other_metal)] == [2, 1, 2, 2]
    verdicts = hole_verdicts(together).verdicts
    assert set(verdicts) == {Verdict.PASS}
    assert Verdict.FAIL in hole_verdicts(alone).verdicts


@pytest.mark.parametrize(
    ("at", "verdict"), [(0.9, Verdict.PASS), (0.96, Verdict.FAIL), (0.92, Verdict.PASS)]
)
def test_a_smaller_rivet_in_line_is_held_to_its_own_greatest_pitch(at, verdict):
    """Between two sizes the smaller rules, whichever row it is told in: 10 D of 3/32 is .9375 in.

    AC 43.13-1B p 4-27 (derived); a 1/8 rivet may stand 1.25 in from the next one of its size.
    """
    long = row("long", [(0, 0), (0.9 + at, 0), (1.9 + at, 0)])
    plan = plan_of(long, row("small", [(0.9, 0)], part="AD3"))
    greatest = plan.pitches.along[0].checks[1]

    assert greatest.verdict is verdict
    assert greatest.limit == pytest.approx(0.9375)
    assert (Verdict.FAIL in hole_verdicts(plan).verdicts) == (verdict is Verdict.FAIL)


@pytest.mark.parametrize("angle", [0.0, math.pi / 4])
@pytest.mark.parametrize(("off", "widest_in"), [(0.062, 1.0), (0.063, 2.0)])
def test_rivets_count_as_in_line_up_to_half_a_diameter_off(off, widest_in, angle):
    """Half of 1/8 in is .0625 in: beyond it the centre of a rivet is off the other shanks."""

    def turned(x, y):
        return (
            x * math.cos(angle) - y * math.sin(angle),
            x * math.sin(angle) + y * math.cos(angle),
        )

    odd = [turned(x, 0.0) for x in range(0, 9, 2)]
    even = [turned(x, off) for x in range(1, 9, 2)]
    plan = plan_of(row("odd", odd), row("even", even))
    assert plan.pitches.along[0].greatest_in == pytest.approx(widest_in)


def test_a_rivet_that_holds_the_seam_with_one_end_only_closes_no_space():
    """The first hole joins a rib as well; what stands between joins skin and rib, no strap."""
    rib = '[[member]]\nname = "rib"\nkind = "rib"\nalloy = "2024-T3"\nthickness = 0.032\n'
    rib += "edge_distance = 0.5\n"
    rows = (
        row("long", [(0, 0), (2, 0)]),
        row("rib", [(0, 0), (0, 1)], layers='["skin", "strap", "rib"]'),
        row("between", [(1, 0), (1, 1)], layers='["skin", "rib"]'),
    )
    plan = plan_job(parse_job(PLATES + rib + "".join(rows)))
    assert plan.pitches.along[0].greatest_in == 2.0


@pytest.mark.parametrize(("between", "widest_in"), [("", 6.0), (', "rib"', 1.0)])
def test_a_rivet_closes_no_space_in_a_layer_that_it_misses(between, widest_in):
    """Skin and strap are held between; the rib under both is held by the ends alone, 6 in apart."""
    rib = '[[member]]\nname = "rib"\nkind = "rib"\nalloy = "2024-T3"\nthickness = 0.032\n'
    rib += "edge_distance = 0.5\n"
    three = '["skin", "strap", "rib"]'
    rows = (
        row("long", [(0, 0), (1, 0), (7, 0), (8, 0)], layers=three),
        row("between", line((2, 0), (1, 0), 5), layers=f'["skin", "strap"{between}]'),
    )
    plan = plan_job(parse_job(PLATES + rib + "".join(rows)))
    assert plan.pitches.along[0].greatest_in == widest_in


def test_a_hole_that_gets_no_rivet_closes_no_space():
    """Nothing on file fits a hole of half an inch in .032 in sheets: it stays empty."""
    odd, even = ([(x, 0.0) for x in range(start, 9, 2)] for start in (0, 1))
    job = parse_job(PLATES + row("odd", odd) + row("even", even))
    grown = BenchHole("even:2", 0.5, 0.5, None, None, "", "sheet.csv: line 2")
    plan = plan_job(job, measured=(grown,))
    assert plan.empty == 1
    assert plan.pitches.along[0].greatest_in == 2.0


def test_pairs_worked_on_in_small_lots_come_to_the_same(monkeypatch):
    rows = [row(f"r{k}", line((0, 0.35 * k), (0.4, 0.05 * k), 9)) for k in range(4)]
    job = parse_job(PLATES + "".join(rows))
    whole = plan_job(job).neighbours.across
    monkeypatch.setattr(row_lines, "_AT_ONCE", 7)
    lots = plan_job(job).neighbours.across
    assert len(whole.first) > 7 * 3
    assert lots.square_in.tolist() == whole.square_in.tolist()
