"""Measured holes in the plan, the reserve against a loop, and new holes against a grid."""

import json
import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from job_texts import HEAD, JOB, MEMBER, ROW, SKIN_STAYS

from rivetkit.calculators.countersink import LAND, SHEET
from rivetkit.calculators.oversize.candidates import size_steps
from rivetkit.calculators.oversize.hole_move import Bow, Stretch
from rivetkit.calculators.rivet_diameter import DIAMETER_GREATEST
from rivetkit.checks import Verdict
from rivetkit.cli.app import exit_code_of
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.read import parse_job, read_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.new_hole.search import NewHoleFinder, judged_at_nearest
from rivetkit.planning.plan import plan_job
from rivetkit.planning.reserve import hole_spans
from rivetkit.reports.formats.text_report import render_text
from rivetkit.reports.plans.bench_tables import (
    measured_data,
    measured_table,
    measured_words,
    obstacle_words,
    reserve_words,
)
from rivetkit.reports.plans.plan_report import plan_report

# A plain plate with one row: 13 holes .75 in apart, .5 in from the front edge.
PLATE = JOB.replace(', { layer = "rib", row_from_edge = 0.3125 }', "").replace(
    "thickness = 0.032", "thickness = 0.063"
)


# The same row through a skin that stays on, its rivets with it.
KEPT = HEAD + SKIN_STAYS + MEMBER + ROW + "kept = true\n"


def bench(hole, least, greatest=None, axis=None, grew=None):
    return BenchHole(hole, least, greatest or least, axis, grew, "", "sheet.csv: line 2")


def planned(text, *measured, **options):
    return plan_job(parse_job(text), measured=measured, **options)


def test_a_hole_within_its_limits_takes_the_same_rivet():
    # Trade text of 2001 (seen): a 3/32 hole is good from .093 to .103 in.
    plan = planned(PLATE, bench("row:3", 0.103))
    (fix,) = plan.measured.fixes

    assert not fix.oversize
    assert fix.chosen.fastener.designation == "MS20470AD3"
    assert [line.part.designation for line in plan.parts] == ["MS20470AD3-3.5"]
    assert plan.measured.quota == ()


@pytest.mark.parametrize(
    ("accuracy", "size", "part", "verdict", "words"),
    [
        # common practice, no source: a hole is measured to .001 in where nobody says more
        ("accuracy = 0.015625", 0.118, "MS20470AD4", Verdict.PASS, "over its limits"),
        ("accuracy = 0.015625", 0.099, "MS20470AD3", Verdict.PASS, "within its limits"),
        (
            "accuracy = 0.015625\nhole_accuracy = 0.015625",
            0.118,
            "MS20470AD3",
            Verdict.MARGINAL,
            "over its limit by 0.0150 in, no more than the measuring accuracy: measure again",
        ),
        ("accuracy = 0.015625\nhole_accuracy = 0", 0.1031, "MS20470AD4", Verdict.PASS, "over its"),
    ],
)
def test_a_hole_is_judged_by_what_holes_are_measured_to(accuracy, size, part, verdict, words):
    (fix,) = (plan := planned(f"{accuracy}\n{PLATE}", bench("row:3", size))).measured.fixes
    (cells,) = measured_table(plan.measured.fixes, (), "in").rows

    assert fix.chosen.fastener.designation == part
    assert {check.verdict for check in fix.checks if "hole" in check.name} == {verdict}
    assert cells[-1].startswith(words)


def test_the_plan_says_how_many_holes_were_measured_and_how_exactly():
    def said(text, *numbers):
        plan = planned(text, *(bench(f"row:{number}", 0.1) for number in numbers))
        return measured_words(plan, "in")

    assert said(PLATE, 2, 3) == "Measured 2 of 13 holes; the rest taken as nominal."
    assert said("accuracy = 0.005\n" + PLATE, 2) == (
        "Measured 1 of 13 holes, to +/- 0.001 in; the rest taken as nominal."
    )
    assert said(PLATE, *range(1, 14)) == "Measured 13 of 13 holes."
    # a rivet that stays in leaves no hole to measure
    other = ROW.replace('name = "row"', 'name = "stays"').replace("0.5]", "2.5]")
    both = HEAD + SKIN_STAYS + MEMBER + ROW + other + "kept = true\n"
    assert said(both, 2) == "Measured 1 of 13 holes; the rest taken as nominal."
    report = plan_report(planned(PLATE, bench("row:3", 0.1)), inputs={}, length_unit="in")
    assert "Measured 1 of 13 holes; the rest" in render_text(report)


def test_a_hole_over_its_limits_goes_up_a_size_and_the_order_follows():
    plan = planned(PLATE, bench("row:3", 0.104, 0.115))
    (fix,) = plan.measured.fixes

    assert fix.oversize
    assert fix.chosen.fastener.designation == "MS20470AD4"
    # .063 + 1.5 x 1/8 = .2505: -4. The other twelve: .063 + .1406 = .2036: -3.5.
    assert {line.part.designation: line.quantity.net for line in plan.parts} == {
        "MS20470AD3-3.5": 12,
        "MS20470AD4-4": 1,
    }


def test_a_torn_hole_gets_no_rivet_and_the_plan_says_what_is_left_to_do():
    plan = planned(PLATE, bench("row:3", 0.200, 0.270))
    (fix,) = plan.measured.fixes
    text = render_text(plan_report(plan, inputs={}, length_unit="in"))

    assert fix.chosen is None
    assert plan.verdict is Verdict.FAIL
    assert plan.to_fit == 12
    assert "a doubler that carries the load past the hole" in " ".join(text.split())


def test_pitch_next_to_a_larger_rivet_goes_by_the_larger():
    # 25 spaces in 9 in = .36 in: enough for 3/32 (.28125), short of 3 x 1/8 = .375.
    text = PLATE.replace("count = 13", "count = 26")
    plan = planned(text, bench("row:3", 0.104, 0.115))
    (fix,) = plan.measured.fixes

    assert planned(text).verdict is Verdict.PASS
    assert fix.chosen is None
    assert plan.verdict is Verdict.FAIL


def test_a_hole_that_grew_toward_the_edge_is_judged_from_its_new_centre():
    near = PLATE.replace("[[0.5, 0.5], [9.5, 0.5]]", "[[0.5, 0.252], [9.5, 0.252]]")
    away = planned(near, bench("row:3", 0.110, 0.126, "edge", "away"))
    toward = planned(near, bench("row:3", 0.110, 0.126, "edge", "toward"))

    # The slot's middle is .008 off the true centre, and #30 (.1285) leaves .00025 to spare on the
    # .126 + .002 that has to come out: the centre moves .00775. 2 D of 1/8 is .250 in: from .252
    # the hole may move so far away from the edge, not toward it.
    assert away.measured.fixes[0].chosen.fastener.designation == "MS20470AD4"
    assert toward.measured.fixes[0].chosen is None
    moved = away.holes.points[2] - parse_job(near).rows[0].points[2]
    assert moved[0] == pytest.approx(0.0, abs=1e-12)
    assert moved[1] == pytest.approx(0.00775, abs=1e-6)


def test_where_a_drill_has_to_be_set_off_the_middle_the_plan_says_so():
    """A drill in the middle of a hole that grew to one side puts the rivet off the old centre.

    From memory: .1285 in is the hole of a 1/8 rivet, #21 (.159) that of a 5/32; .002 in is cut on
    the diameter (common practice). From .130 to .145 toward the edge the middle moves .0075; #21
    leaves (.159 - .147) / 2 = .006 to set it back. The checks are of the hole set back.
    """
    text = PLATE.replace("MS20470AD3", "MS20470AD4")
    plan = planned(text, bench("row:3", 0.130, 0.145, 90.0, "toward"), bench("row:6", 0.140))
    back, middle = measured_table(plan.measured.fixes, (), "in").rows
    assert (back[0], back[4], back[5]) == ("row:3", "#21", "0.0015")
    assert "set 0.006 in from the middle of the hole, toward the old centre" in back[-1]
    assert (middle[4], "middle" in middle[-1]) == ("#21", False)
    told = {
        hole["hole"]: hole["centre_from_middle_in"] for hole in measured_data(plan.measured, "in")
    }
    assert told == {"row:3": pytest.approx(-0.006), "row:6": 0.0}


def test_a_member_that_refuses_oversize_holes_refuses_them():
    # AC 43.13-1B p 4-12 (seen): none in spar caps and longitudinal stringers.
    text = JOB.replace('kind = "rib"', 'kind = "stringer"').replace("0.3125", "0.30")
    refused = planned(text, bench("row:3", 0.104, 0.115))
    allowed = planned(
        text.replace('kind = "stringer"', 'kind = "stringer"\nno_oversize = false'),
        bench("row:3", 0.104, 0.115),
    )

    assert refused.measured.fixes[0].chosen is None
    assert allowed.measured.fixes[0].chosen.fastener.designation == "MS20470AD4"


@pytest.mark.parametrize(
    ("holes", "share", "run"),
    [
        ((3, 7), Verdict.PASS, Verdict.PASS),
        ((3, 7, 11), Verdict.FAIL, Verdict.PASS),
        ((3, 4), Verdict.PASS, Verdict.PASS),
        ((3, 4, 5), Verdict.FAIL, Verdict.FAIL),
    ],
)
def test_the_quota_of_oversize_holes(holes, share, run):
    # MIL-R-47196A (secondary): at most 20 percent or 10; more than two adjacent is flagged.
    # 20 percent of 13 is 2.6.
    plan = planned(PLATE, *(bench(f"row:{number}", 0.104, 0.115) for number in holes))
    found_share, found_run = plan.measured.quota

    assert found_share.value == len(holes)
    assert found_share.limit == pytest.approx(2.6)
    assert (found_share.verdict, found_run.verdict) == (share, run)


def test_a_kept_rivet_cannot_be_measured():
    with pytest.raises(InputError, match=r"sheet\.csv: line 2: hole 'row:1' keeps its rivet"):
        planned(KEPT, bench("row:1", 0.1))


def test_what_if_every_hole_went_up_a_size():
    plan = planned(PLATE, assume_oversize=1)

    assert [line.part.designation for line in plan.parts] == ["MS20470AD4-4"]
    assert {margin.check.limit for margin in plan.edges.by_row} == {0.25}
    with pytest.raises(InputError, match=r"--assume-oversize: MS20470AD3 has no size 9 larger"):
        planned(PLATE, assume_oversize=9)


def test_as_many_sizes_as_are_made_may_be_assumed_and_not_one_more():
    made = size_steps(parse_part_number("MS20470AD3"))
    for steps, size in enumerate(made, 1):
        assert {line.part.diameter_in for line in planned(PLATE, assume_oversize=steps).parts} == {
            size.diameter_in
        }
    with pytest.raises(InputError, match=f"has no size {len(made) + 1} larger") as refused:
        planned(PLATE, assume_oversize=len(made) + 1)
    assert refused.value.mend == f"assume {len(made)} at most"


@pytest.mark.parametrize("hole", [(0.098, 0.098), (0.096, 0.100)])
def test_a_hole_that_takes_its_own_rivet_again_changes_no_strength(hole):
    # Law: what goes back as it was carries what it did.
    plan = planned(PLATE, bench("row:3", *hole))
    (fix,) = plan.measured.fixes

    assert fix.chosen is not None
    assert not fix.oversize
    assert plan.strength == planned(PLATE).strength


@settings(max_examples=30, deadline=None)
@given(
    least=st.floats(0.09, 0.2),
    oval=st.floats(0, 0.03),
    more=st.floats(0, 0.05),
)
@example(least=0.119140625, oval=0.0078125, more=0.0078125)
def test_a_bigger_hole_never_takes_a_smaller_rivet(least, oval, more):
    """Unless it needs no drill: .127 by .135 is a hole of a 1/8 rivet as it stands, while .119 by
    .127 has to be drilled, and #30 cuts it all round with less than the allowance.
    """
    small, large = (
        planned(PLATE, bench("row:3", size, size + oval)).measured.fixes[0].chosen
        for size in (least, least + more)
    )

    if large is not None:
        assert small is not None
        as_it_is = large.clean_up is not None and large.clean_up.drill is None
        assert as_it_is or small.diameter_in <= large.diameter_in


# ---------------------------------------------------------------- reserve


def reserve_by_loop(text):
    """For each hole: try the sizes one after the other with a plan of that one hole changed."""
    job = parse_job(text)
    plan = plan_job(job)
    limit_of = {"D": lambda k, d: k * d}
    found = []
    points = plan.holes.points
    for hole in range(len(plan.holes)):
        part = plan.holes.fit_parts[plan.holes.fit[hole]]
        steps = 0
        for size in size_steps(part):
            d = size.diameter_in
            x, y = points[hole]
            edge = min(x, y, 10 - x, 6 - y)
            pitch = [
                math.dist(points[hole], points[other])
                for other in range(len(points))
                if other != hole
            ]
            along = [
                math.dist(points[hole], points[other])
                for other in (hole - 1, hole + 1)
                if 0 <= other < len(points) and plan.holes.row[other] == plan.holes.row[hole]
            ]
            # Army AL0992 p 59: 2 D; NAVEDTRA 14018: 3 D; TM 10-5410-229: rows 2.5 D apart.
            # Universal heads are 2 D wide, within 5 percent (from memory): .262 for 1/8 and so on.
            ok = edge >= limit_of["D"](2, d) - 1e-9
            # NAVEDTRA 14018: D at least the thickest sheet. AC 43.13-1B p 4-37: 1/4 does on .036.
            ok &= 0.063 <= d <= 0.063 * 0.25 / 0.036 + 1e-9
            ok &= all(gap >= 3 * d - 1e-9 for gap in along)
            others = [
                (math.dist(points[hole], points[other]), abs(y - points[other][1]))
                for other in range(len(points))
                if plan.holes.row[other] != plan.holes.row[hole]
            ]
            ok &= all(gap >= 3 * d - 1e-9 or off >= 2.5 * d - 1e-9 for gap, off in others)
            assert len(pitch) == len(points) - 1
            if not ok:
                break
            steps += 1
        found.append(steps)
    return found


@settings(max_examples=25, deadline=None)
@given(
    y=st.floats(0.2, 3.0),
    count=st.integers(5, 25),
    second=st.floats(0.3, 2.0),
)
def test_the_reserve_is_what_a_loop_over_sizes_finds(y, count, second):
    text = PLATE.replace("[[0.5, 0.5], [9.5, 0.5]]", f"[[0.5, {y}], [9.5, {y}]]")
    text = text.replace("count = 13", f"count = {count}")
    text += f"""
[[row]]
name = "second"
rivet = "MS20470AD3-3"
path = [[1.0, {y + second}], [9.0, {y + second}]]
count = 7
layers = ["skin"]
"""
    plan = plan_job(parse_job(text))

    assert plan.reserve.steps.tolist() == reserve_by_loop(text)


def with_sheets(skin_in, rib_in, rivet="MS20470AD3"):
    text = JOB.replace("thickness = 0.032", f"thickness = {skin_in}")
    text = text.replace(
        'old = { alloy = "2024-T3", thickness = 0.025',
        f'old = {{ alloy = "2024-T3", thickness = {skin_in}',
    )
    text = text.replace('kind = "rib"\nthickness = 0.025', f'kind = "rib"\nthickness = {rib_in}')
    # a flange and a row far from every edge and from each other
    text = text.replace("width = 0.625, end_distance = 0.3", "width = 1.6, end_distance = 0.8")
    text = text.replace("row_from_edge = 0.3125", "row_from_edge = 0.8")
    text = text.replace("[[0.5, 0.5], [9.5, 0.5]]", "[[1, 2], [9, 2]]")
    return text.replace("MS20470AD3-3", rivet)


@pytest.mark.parametrize(
    ("skin_in", "rib_in", "part"),
    [
        # AC 43.13-1B tables 4-9 to 4-11 (derived): 1/4 is counted on .036, D = 6.94 t of the
        # thickest sheet; so 1/8 goes into .018, and into .020 of which they print a count.
        (0.016, 0.0179, None),
        (0.016, 0.0181, "MS20470AD4"),
        (0.0179, 0.0179, None),
        (0.020, 0.016, "MS20470AD4"),
        (0.025, 0.025, "MS20470AD4"),
    ],
)
def test_what_is_chosen_suits_the_sheets_and_the_reserve_says_so_before(skin_in, rib_in, part):
    text = with_sheets(skin_in, rib_in)
    before = planned(text)
    plan = planned(text, bench("row:3", 0.109))
    (fix,) = plan.measured.fixes
    larger = next(one for one in fix.result.candidates if one.kind == "larger")
    (check,) = [one for one in larger.checks if one.name == DIAMETER_GREATEST]

    assert before.verdict is not Verdict.FAIL
    assert check.limit == pytest.approx(max(skin_in, rib_in) * 0.25 / 0.036)
    assert (fix.chosen and fix.chosen.fastener.designation) == part
    assert Verdict.FAIL not in {check.verdict for check in plan.sheets}
    assert bool(before.reserve.steps[2]) is (part is not None)
    if part is None:
        (cells,) = measured_table(plan.measured.fixes, (), "in").rows
        assert "MS20470AD4: diameter for the thickest sheet, greatest" in cells[-1]
        obstacle = before.reserve.obstacles[before.reserve.obstacle[2]]
        thickest = "skin" if skin_in >= rib_in else "rib"
        assert obstacle_words(obstacle) == f"too large for {thickest}"


def test_the_same_rivet_is_not_held_to_its_sheets_again():
    # 1/8 is too large for .016 and .0175: the plan says so once, of the row.
    plan = planned(with_sheets(0.016, 0.0175, "MS20470AD4-4"), bench("row:3", 0.13))
    (fix,) = plan.measured.fixes

    assert not fix.oversize
    assert Verdict.FAIL in {check.verdict for check in plan.sheets}
    assert {check.verdict for check in fix.checks} == {Verdict.PASS}


def test_a_rivet_too_small_for_a_sheet_has_no_reserve_until_it_suits():
    # NAVEDTRA 14018 ch 13 (seen): the diameter is at least the thickest sheet.
    reserve = planned(with_sheets(0.032, 0.16)).reserve
    obstacle = reserve.obstacles[reserve.obstacle[2]]
    assert (int(reserve.steps[2]), obstacle_words(obstacle)) == (0, "too small for rib")


@settings(max_examples=40, deadline=None)
@given(
    sheets=st.tuples(*[st.sampled_from([0.016, 0.020, 0.025, 0.032, 0.040, 0.063])] * 2),
    size_in=st.floats(0.09, 0.15),
    rivet=st.sampled_from(["MS20470AD3", "MS20470AD4"]),
)
def test_a_larger_rivet_never_fails_the_sheets_of_the_plan(sheets, size_in, rivet):
    plan = planned(with_sheets(*sheets, rivet), bench("row:3", size_in))
    (fix,) = plan.measured.fixes
    if fix.oversize and fix.chosen is not None:
        part = fix.chosen.fastener.diameter_in
        assert max(sheets) <= part <= max(sheets) * 0.25 / 0.036 + 1e-9


def test_the_reserve_names_what_stops_it():
    near = planned(PLATE.replace("[[0.5, 0.5], [9.5, 0.5]]", "[[0.5, 0.2], [9.5, 0.2]]")).reserve
    tight = planned(PLATE.replace("count = 13", "count = 26")).reserve
    member = planned(JOB.replace('kind = "rib"', 'kind = "spar"')).reserve

    assert {near.obstacles[k].what for k in near.obstacle} == {"front of skin"}
    assert {tight.obstacles[k].kind for k in tight.obstacle[1:-1]} == {"pitch"}
    assert {member.obstacles[k].kind for k in member.obstacle} == {"member"}


@pytest.mark.parametrize(("accuracy", "steps"), [(0.0, 1), (0.0049, 1), (0.0051, 0)])
@pytest.mark.parametrize("placed", ["one row", "row by row"])
def test_the_reserve_keeps_the_pitch_by_what_a_tape_may_be_off(accuracy, steps, placed):
    # NAVEDTRA 14018 ch 13 (seen): 3 D of 1/8 are .375 in, .005 less than there is.
    row = PLATE[PLATE.index("[[row]]") :].replace("0.5, 0.5], [9.5, 0.5", "1, 2], [4.04, 2")
    rows = row.replace("count = 13", "count = 9")
    if placed == "row by row":  # each hole a row of its own: they keep the pitch as well
        rows = "".join(
            row.replace('name = "row"', f'name = "row {number}"')
            .replace("path = [[1, 2], [4.04, 2]]", f"holes = [[{1 + 0.38 * number}, 2]]")
            .replace("count = 13", "")
            for number in range(9)
        )
    text = f"accuracy = {accuracy}\n" + PLATE[: PLATE.index("[[row]]")] + rows
    found = planned(text).reserve

    assert set(found.steps.tolist()) == {steps}
    assert {found.obstacles[number].kind for number in found.obstacle} == {"pitch"}


@pytest.mark.parametrize(("accuracy", "steps"), [(0.0, 1), (0.0049, 1), (0.0051, 0)])
def test_the_reserve_keeps_the_edge_by_what_a_tape_may_be_off(accuracy, steps):
    # Army AL0992 p 59 (seen): 2 D of 1/8 are .25 in, .005 less than there is.
    text = PLATE.replace("0.5, 0.5], [9.5, 0.5", "1, 0.255], [9, 0.255")
    found = planned(f"accuracy = {accuracy}\n" + text.replace("= 13", "= 9")).reserve

    assert set(found.steps.tolist()) == {steps}
    assert {found.obstacles[number].what for number in found.obstacle} == {"front of skin"}


@pytest.mark.parametrize(("y", "kind"), [(0.49, "sheet"), (0.45, "edge")])
def test_what_is_short_by_most_is_what_stops_the_reserve(y, kind):
    # AC 43.13-1B p 4-37 (derived): .222 is the largest for .032, so 1/4 is .028 too large. Army
    # AL0992 p 59 (seen): 2 D of 1/4 are .5 in, so .490 is .010 short of it and .450 .050.
    text = PLATE.replace("0.063", "0.032").replace("0.5, 0.5], [9.5, 0.5", f"1, {y}], [9, {y}")
    found = planned(text.replace("count = 13", "count = 9")).reserve

    assert set(found.steps.tolist()) == {3}
    assert {found.obstacles[number].kind for number in found.obstacle} == {kind}


@pytest.mark.parametrize(("y", "kind"), [(0.386, "countersink"), (0.37, "edge")])
def test_a_countersink_short_by_most_is_what_stops_the_reserve(y, kind):
    # TM 9-2320-363-34-2 p 22-18 table 4 (seen): 5/32 in .064; .050 is .014 short. Army AL0992
    # p 59 (seen): 2.5 D of 5/32 are .390625 in, so .386 is .005 short of it and .370 .021.
    text = PLATE.replace("0.063", "0.050").replace("0.5, 0.5], [9.5, 0.5", f"1, {y}], [9, {y}")
    text = text.replace("MS20470AD3-3", "MS20426AD4-4").replace("count = 13", "count = 9")
    text = text.replace('"skin"]', '{ layer = "skin", form = "countersunk" }]')
    # The head of 5/32, .055 high (from memory), leaves no land either: an override asks for none.
    text += (
        '[[override]]\nrule = "countersink_land_min"\nvalue = 0.0001\nunit = "in"\n'
        'source = "invented maker"\n'
    )
    found = planned(text).reserve

    assert set(found.steps.tolist()) == {0}
    assert {found.obstacles[number].kind for number in found.obstacle} == {kind}


@pytest.mark.parametrize("accuracy", [0.0, 0.02])
def test_how_well_edges_are_measured_says_nothing_of_a_gauge(accuracy):
    """A sheet for a dimple or a countersink is held to its gauge, as the row it stands in is.

    AC 65-15A ch 5 (read second hand): dimpled up to .040. TM 9-2320-363-34-2 p 22-18 table 4
    (seen): 1/8 countersunk in .050 and more, and .056 leaves .014 under a head of .042 (memory).
    """
    text = f"accuracy = {accuracy}\n" + with_sheets(0.040, 0.056, "MS20426AD3-4")
    text = text.replace(
        '"skin", { layer', '{ layer = "skin", form = "dimpled" }, { form = "countersunk", layer'
    )
    plan = planned(text, bench("row:3", 0.125))
    (fix,) = plan.measured.fixes
    assert fix.chosen.fastener.designation == "MS20426AD4"
    forms = {"sheet for a dimple", "sheet for a machine countersink", "land below the countersink"}
    found = {check.name: check.verdict for check in fix.checks if check.name in forms}
    assert found == dict.fromkeys(forms, Verdict.PASS)
    assert planned(text).reserve.steps.tolist() == [1] * 13


def test_kept_rivets_have_no_reserve_to_tell():
    plan = planned(KEPT)

    assert set(plan.reserve.steps.tolist()) == {-1}
    assert plan.reserve.tally() == ()
    assert reserve_words(plan) == "Every rivet stays in: there is no hole to drill."


@pytest.mark.parametrize(
    ("sheet_in", "steps", "what"),
    [(0.051, 0, "countersink"), (0.064, 0, "countersink"), (0.072, 1, "countersink")],
)
def test_a_countersink_ends_the_reserve_by_the_table_and_by_the_land(sheet_in, steps, what):
    # TM 9-2320-363-34-2 p 22-18 table 4 (seen): 5/32 in .064 and more; .051 fails it. The head is
    # .055 high (from memory): in .064 it leaves .009, less than the 0.3 mm of a light-aircraft
    # maintenance manual, p 88; in .072 it leaves .017. 3/16 in .072 leaves .002.
    text = PLATE.replace("0.063", str(sheet_in)).replace("count = 13", "count = 7")
    text = text.replace("MS20470AD3-3", "MS20426AD4-4").replace(
        "0.5, 0.5], [9.5, 0.5", "1, 2], [9, 2"
    )
    text = text.replace('"skin"]', '{ layer = "skin", form = "countersunk" }]')
    plan = planned(text)

    assert set(plan.reserve.steps.tolist()) == {steps}
    assert {plan.reserve.obstacles[k].kind for k in plan.reserve.obstacle} == {what}
    # What the reserve tells before the drill, the worksheet tells after it.
    worn = planned(text, bench("row:1", 0.140, 0.145)).measured.fixes[0]
    assert (worn.chosen is not None and worn.chosen.fastener.designation == "MS20426AD5") == (
        steps > 0
    )


@pytest.mark.parametrize("accuracy", [0.0, 0.005, 1 / 64])
def test_one_sheet_is_held_to_its_gauge_alike_whoever_asks(accuracy):
    # TM 9-2320-363-34-2 p 22-18 table 4 (seen): 5/32 in .064 and more, .072 has .008 to spare and
    # its land .0052. A tape that is off by more says nothing of what gauge the sheet was told as.
    four = PLATE.replace("0.063", "0.072").replace("count = 13", "count = 7")
    four = four.replace("MS20470AD3-3", "MS20426AD4-4").replace(
        "0.5, 0.5], [9.5, 0.5", "1, 2], [9, 2"
    )
    four = four.replace('"skin"]', '{ layer = "skin", form = "countersunk" }]')
    row = four[four.index("[[row]]") :].replace('"row"', '"five"').replace("AD4", "AD5")
    five = row.replace(", 2]", ", 4]").replace("-4", "-5")
    plan = planned(f"accuracy = {accuracy}\n{four}{five}", bench("row:1", 0.140, 0.145))
    (fix,) = plan.measured.fixes

    names = {SHEET, LAND}
    in_plan = {check.name: check.verdict for check in plan.checks if check.name in names}
    assert in_plan == dict.fromkeys(names, Verdict.PASS)
    assert plan.reserve.steps[:7].tolist() == [0] + [1] * 6
    assert fix.chosen.fastener.designation == "MS20426AD5"
    assert {c.name: c.verdict for c in fix.checks if c.name in names} == in_plan


def test_runs_of_holes_are_written_short():
    plan = planned(PLATE)

    assert list(hole_spans(plan.holes, np.array([0, 1, 2, 4, 6, 7]))) == [("row", "1-3, 5, 7-8")]


# ---------------------------------------------------------------- new holes


def finder(text=PLATE, part="MS20470AD3", layers=("skin",)):
    return NewHoleFinder(parse_job(text), parse_part_number(part), layers)


def test_a_place_that_is_free_stays_where_it_is():
    answer = finder().at((5.0, 3.0), reach_in=1.0)

    assert answer.verdict is Verdict.PASS
    assert answer.nearest == (5.0, 3.0)
    assert answer.move_in == 0.0


@pytest.mark.parametrize("order", [1, -1])
def test_a_new_hole_stays_off_both_places_of_an_old_one(order):
    # NAVEDTRA 14018 ch 13 (seen): 3 D of 3/32 is .28125 in; another row has the holes at y = .51.
    start = PLATE.index("[[row]]")
    again = PLATE[start:].replace('"row"', '"again"').replace("0.5]", "0.51]")
    rows = (PLATE[start:], again)[::order]
    text = PLATE[:start] + "".join(rows)

    for gap, verdict in ((0.28, Verdict.FAIL), (0.28125, Verdict.PASS)):
        answer = finder(text).at((5.0, 0.51 + gap), reach_in=1.0)
        assert answer.verdict is verdict
        assert answer.nearest[1] == pytest.approx(0.51 + 0.28125, abs=1e-3)


@pytest.mark.parametrize(("y", "verdict"), [(0.1874, Verdict.FAIL), (0.1875, Verdict.PASS)])
def test_both_sides_of_the_edge_for_a_new_hole(y, verdict):
    assert finder().at((0.1875 + 0.0, 6.0 - y), reach_in=1.0).verdict is verdict


def test_too_near_an_edge_the_nearest_place_is_square_off_it():
    answer = finder().at((5.0, 5.95), reach_in=1.0)

    assert answer.nearest == pytest.approx((5.0, 6.0 - 0.1875), abs=1e-4)


def test_too_near_a_hole_the_nearest_place_is_straight_away_from_it():
    # Hole 7 stands at (5, .5); 3 D of 3/32 is .28125.
    answer = finder().at((5.0, 0.6), reach_in=1.0)

    assert answer.nearest == pytest.approx((5.0, 0.5 + 0.28125), abs=1e-4)
    again = judged_at_nearest(finder(), answer)
    assert again.verdict is Verdict.PASS


def test_no_place_within_reach_is_said():
    answer = finder().at((5.0, 5.95), reach_in=0.05)

    assert answer.nearest is None
    assert answer.move_in is None


def test_off_the_metal_is_no_place_but_the_nearest_one_is_found():
    answer = finder(layers=["skin"]).at((5.0, 6.5), reach_in=2.0)

    assert answer.verdict is Verdict.FAIL
    assert answer.nearest == pytest.approx((5.0, 6.0 - 0.1875), abs=1e-4)
    with pytest.raises(InputError, match="no drawn layer lies under"):
        finder(layers=None).at((50.0, 6.5), reach_in=2.0)


@settings(max_examples=25, deadline=None)
@given(x=st.floats(0.05, 9.95), y=st.floats(0.05, 1.4))
def test_the_nearest_place_against_a_fine_grid(x, y):
    one = finder()
    answer = one.at((x, y), reach_in=1.0)
    holes = parse_job(PLATE).rows[0].points
    step = 0.01
    xs, ys = np.meshgrid(np.arange(x - 0.6, x + 0.6, step), np.arange(y - 0.6, y + 0.6, step))
    grid = np.column_stack((xs.ravel(), ys.ravel()))
    edge = np.minimum.reduce([grid[:, 0], grid[:, 1], 10 - grid[:, 0], 6 - grid[:, 1]])
    gap = np.hypot(*(grid[:, None, :] - holes[None, :, :]).transpose(2, 0, 1)).min(axis=1)
    free = grid[(edge >= 0.1875) & (gap >= 0.28125)]
    best = np.hypot(*(free - (x, y)).T).min()

    # The grid can only be worse, and by no more than its diagonal.
    assert answer.move_in <= best + 1e-4
    assert answer.move_in >= best - step * math.sqrt(2)
    nearest = np.array([answer.nearest])
    assert np.hypot(*(nearest - holes).T).min() >= 0.28125 - 1e-9
    assert min(nearest[0, 0], nearest[0, 1], 10 - nearest[0, 0], 6 - nearest[0, 1]) >= 0.1875 - 1e-9


def test_free_stretches_of_a_line_by_hand():
    # Along the row itself: edges take .1875 at both ends, each hole .28125 on either side.
    stretches = finder().along((0.0, 0.5), (10.0, 0.5)).free
    inner = [(0.5 + 0.75 * k + 0.28125, 0.5 + 0.75 * (k + 1) - 0.28125) for k in range(12)]
    expected = [(0.1875, 0.5 - 0.28125), *inner, (9.5 + 0.28125, 10 - 0.1875)]

    assert len(stretches) == len(expected)
    for found, (start, end) in zip(stretches, expected, strict=True):
        assert found.start_in == pytest.approx(start, abs=1e-4)
        assert found.end_in == pytest.approx(end, abs=1e-4)


def test_a_member_nobody_drew_is_said_to_be_unchecked():
    answer = finder(JOB, layers=["skin", "rib"]).at((5.0, 3.0), reach_in=1.0)

    assert answer.verdict is Verdict.NOT_CHECKED
    assert [c.where for c in answer.checks if c.verdict is Verdict.NOT_CHECKED] == ["rib"]


def test_a_flange_nobody_drew_is_spoken_of_where_its_row_is_near():
    # Hole 1 and 2 of the row stand at (.5, .5) and (1.25, .5); between them is the rib's flange.
    job = parse_job(JOB)
    part = parse_part_number("MS20470AD3")
    near = NewHoleFinder(job, part).at((0.875, 0.5), reach_in=1.0)
    far = NewHoleFinder(job, part).at((5.0, 3.0), reach_in=1.0)
    line = NewHoleFinder(job, part).along((5.0, 0.2), (5.0, 5.0))

    assert near.verdict is Verdict.NOT_CHECKED
    assert [check.where for check in near.checks if check.verdict is near.verdict] == ["rib"]
    assert far.verdict is Verdict.PASS
    assert [check.where for check in line.unchecked] == ["rib"]


def test_a_layer_that_is_left_off_takes_no_new_hole():
    text = JOB.replace('new = { alloy = "2024-T3", thickness = 0.032 }', "left_off = true")

    with pytest.raises(InputError, match=r"--layers: 'skin' is left off"):
        finder(text, layers=["skin"])


def test_a_new_hole_beside_a_seam_keeps_the_pitch_of_the_seam():
    # AC 43.13-1B p 4-27, worked back from its example: 4 D in two rows, .375 in for 3/32.
    text = JOB.replace("count = 13", "count = 13\nseam_rows = 2")
    place = (1.0, 0.65)  # .2915 in from row:2

    assert finder(text).at(place, reach_in=1.0).verdict is Verdict.FAIL
    assert finder(JOB).at(place, reach_in=1.0).verdict is Verdict.PASS


def test_the_stretches_of_a_line_come_with_the_limits_they_rest_on():
    line = finder(JOB.replace("count = 13", "count = 13\nseam_rows = 2")).along((1, 0.1), (1, 5))

    assert [round(limit.value, 4) for limit in line.limits if "distance" in limit.name] == [
        0.1875,
        0.375,
    ]


#: A rib whose edge was measured, .6 in from the row, and sheets that suit a 3/16 rivet.
LARGE = JOB.replace(', { layer = "rib", row_from_edge = 0.3125 }', ', "rib"').replace(
    "flange = { width = 0.625, end_distance = 0.3 }", "edge_distance = 0.6"
)
LARGE = LARGE.replace("0.032", "0.063").replace("0.025", "0.063")


@pytest.mark.parametrize(
    ("change", "sizes_up", "part"),
    [
        # From 3/32 the standard goes 1/8, 5/32, 3/16; a hole of .188 is past the 5/32 one's.
        (("", ""), 2, None),
        (("", ""), 3, "MS20470AD6"),
        (("", ""), 9, "MS20470AD6"),
        # AC 43.13-1B par 4-57a: two diameters of edge, .375 in for 3/16, whatever was looked at.
        (("edge_distance = 0.6", "edge_distance = 0.375"), 3, "MS20470AD6"),
        (("edge_distance = 0.6", "edge_distance = 0.374"), 3, None),
        # and three diameters of pitch, .5625 in: 9 in by 16 spaces are that, by 17 they are less
        (("count = 13", "count = 17"), 3, "MS20470AD6"),
        (("count = 13", "count = 18"), 3, None),
        # AC 43.13-1B p 4-37 (derived): 6.94 times the thickest sheet, .027 in for 3/16
        (("0.063", "0.0271"), 3, "MS20470AD6"),
        (("0.063", "0.0269"), 3, None),
    ],
)
def test_more_sizes_are_looked_at_when_asked_and_every_limit_holds(change, sizes_up, part):
    job = LARGE.replace(*change) if change[0] else LARGE
    plan = plan_job(parse_job(job), measured=[bench("row:5", 0.188)], sizes_up=sizes_up)
    (fix,) = plan.fixes
    assert (fix.chosen and fix.chosen.fastener.designation) == part
    assert plan.measured.cut_short == (sizes_up == 2)


def test_looking_further_is_offered_only_where_it_may_help(tmp_path, capsys):
    """A hole too large for what was looked at; one that an edge refuses gains nothing by it."""
    job, sheet = tmp_path / "job.toml", tmp_path / "holes.csv"
    job.write_text(LARGE.replace("distance = 0.6", "distance = 0.2"), encoding="utf-8")
    for size, offered in ((".188", True), (".120", False)):
        sheet.write_text(
            f"hole,measured least,measured greatest\nrow:5,{size},\n", encoding="utf-8"
        )
        for command in ("plan", "order"):
            exit_code_of([command, str(job), "--measured", str(sheet)])
            out = " ".join(capsys.readouterr().out.split())
            assert (
                "Up to 2 larger sizes were looked at: --sizes-up looks further." in out
            ) == offered
            exit_code_of([command, str(job), "--measured", str(sheet), "--sizes-up", "3"])
            assert "--sizes-up" not in capsys.readouterr().out


_NEW_HOLE = ["--rivet", "MS20470AD3", "--at", "5,3"]


@pytest.mark.parametrize("command", ["plan", "order", "map", "template", "export-dxf", "new-hole"])
def test_sizes_to_look_at_without_a_measured_hole_are_refused(command, capsys):
    more = ["-o", "/dev/null"] if command in {"template", "export-dxf"} else []
    more += _NEW_HOLE if command == "new-hole" else []
    assert exit_code_of([command, "examples/elevator.toml", "--sizes-up", "3", *more]) == 2
    assert (
        "--sizes-up: is given, and no hole is measured; add --measured" in capsys.readouterr().err
    )


def test_plan_order_and_map_look_at_the_same_sizes(tmp_path, capsys):
    job, sheet = tmp_path / "job.toml", tmp_path / "holes.csv"
    job.write_text(LARGE, encoding="utf-8")
    sheet.write_text("hole,measured least,measured greatest\nrow:5,.188,\n", encoding="utf-8")
    for command in ("plan", "order", "map"):
        arguments = [command, str(job), "--measured", str(sheet), "--sizes-up", "3", "--json"]
        exit_code_of(arguments)
        out = capsys.readouterr().out
        assert "MS20470AD6" in out, command
        assert json.loads(out)["inputs"]["sizes_up"] == 3


def test_a_plan_says_where_it_goes_further_than_the_documents():
    """AC 43.13-1B par 4-57b speaks of the next larger size; so do the others on file."""
    plan = plan_job(parse_job(LARGE), measured=[bench("row:5", 0.188)], sizes_up=3)
    said = " ".join(render_text(plan_report(plan, inputs={}, length_unit="in")).split())
    assert "3 of the handbook's steps up" in said.replace(" | ", " ")


@pytest.mark.parametrize(("apart_in", "part"), [(0.469, "MS20470AD6"), (0.468, None)])
def test_every_neighbour_that_the_largest_rivet_could_meet_is_looked_at(apart_in, part):
    """2.5 diameters to the next row (TM 10-5410-229 p 5-4), .46875 in of 3/16; every smaller size
    has room enough there.
    """
    second = ROW.replace('"row"', '"second"').replace(
        ', { layer = "rib", row_from_edge = 0.3125 }', ""
    )
    second = second.replace("0.5]", f"{0.5 + apart_in}]")
    plan = plan_job(parse_job(LARGE + second), measured=[bench("row:5", 0.188)], sizes_up=3)
    (fix,) = plan.fixes
    assert (fix.chosen and fix.chosen.fastener.designation) == part


def test_a_long_table_of_measured_holes_leaves_out_only_those_that_ask_for_no_work():
    """AC 43.13-1B tables 4-9 to 4-11 (derived): .096 in is the hole of a 3/32 rivet, .1285 of 1/8.

    The bench drills by this table: every hole that goes up, gets none or was remarked on is in it.
    """
    holes = [f"upper spar:{number}" for number in range(1, 65)]
    holes += [f"lower spar:{number}" for number in range(2, 64)]
    good, up = set(holes[1::3]), set(holes[::3])
    sizes = {name: 0.098 if name in good else 0.12 if name in up else 0.19 for name in holes}
    noted = next(iter(sorted(good)))
    filled = [
        BenchHole(name, d, d, None, None, "burr" if name == noted else "", "by hand")
        for name, d in sizes.items()
    ]
    plan = plan_job(read_job("examples/elevator.toml"), measured=filled)
    table = measured_table(plan.measured.fixes, (), "in")
    shown = {row[0] for row in table.rows}
    assert len(table.rows) == len(holes) - len(good) + 1
    assert shown == (set(holes) - good) | {noted}
    assert table.caption.startswith(f"{len(good) - 1} more within their limits")
    few = measured_table(plan.measured.fixes[:50], (), "in")
    assert (len(few.rows), few.caption) == (50, "")


def beside_repaired(place, *measured, text=PLATE):
    """Judge a new 3/32 rivet beside the row, its measured holes repaired."""
    plan = planned(text, *measured)
    finder = NewHoleFinder(plan.job, parse_part_number("MS20470AD3"), ("skin",), plan=plan)
    return finder.at(place, reach_in=1.0)


@pytest.mark.parametrize(("gap", "verdict"), [(0.3749, Verdict.FAIL), (0.375, Verdict.PASS)])
def test_a_new_hole_keeps_the_pitch_of_the_rivet_an_old_one_goes_up_to(gap, verdict):
    """NAVEDTRA 14018 ch 13 (seen): 3 D, of 1/8 in .375, where 3/32 asked for .28125."""
    up = bench("row:7", 0.112)

    assert beside_repaired((5.0, 0.5 + gap)).verdict is Verdict.PASS
    answer = beside_repaired((5.0, 0.5 + gap), up)
    assert answer.verdict is verdict
    assert answer.nearest == pytest.approx((5.0, 0.875), abs=1e-3)


def test_a_new_hole_is_measured_from_where_a_repair_puts_the_old_one():
    grew = bench("row:7", 0.110, 0.122, "edge", "away")
    y = float(planned(PLATE, grew).holes.points[6][1])

    assert y > 0.5  # away from the edge at y = 0
    for gap, verdict in ((0.3749, Verdict.FAIL), (0.3751, Verdict.PASS)):
        assert beside_repaired((5.0, y + gap), grew).verdict is verdict


def test_a_hole_that_grew_to_an_untold_side_may_be_nearer_by_half_of_it():
    # .110 by .122: grown by .012 to one side its middle is .006 nearer, or further.
    untold = bench("row:7", 0.110, 0.122, "edge")

    for gap, verdict in ((0.3809, Verdict.MARGINAL), (0.3811, Verdict.PASS)):
        answer = beside_repaired((5.0, 0.5 + gap), untold)
        assert answer.verdict is verdict
        assert answer.nearest == pytest.approx((5.0, 0.881), abs=2e-4)


def test_beside_a_hole_no_rivet_is_settled_for_a_new_one_is_not_checked():
    lost = bench("row:7", 0.18, 0.19)
    plan = planned(PLATE, lost)
    finder = NewHoleFinder(plan.job, parse_part_number("MS20470AD3"), ("skin",), plan=plan)

    assert plan.empty == 1
    near = finder.at((5.0, 1.0), reach_in=1.0)
    assert near.verdict is Verdict.NOT_CHECKED
    assert [check.where for check in near.checks if check.verdict is near.verdict] == ["to row:7"]
    # 3 D of the largest rivet of the standard, 3/8 in, is 1.125 in, and .18 by .19 may have grown
    # toward it by .005: further off none can matter
    assert finder.at((5.0, 0.5 + 1.129), reach_in=2.0).verdict is Verdict.NOT_CHECKED
    assert finder.at((5.0, 0.5 + 1.131), reach_in=2.0).verdict is Verdict.PASS
    line = finder.along((3.0, 1.0), (7.0, 1.0))
    assert [(one.where, one.verdict) for one in line.unchecked] == [
        ("to row:7", Verdict.NOT_CHECKED)
    ]
    assert finder.along((3.0, 1.7), (7.0, 1.7)).unchecked == ()


@pytest.mark.parametrize(
    ("gap", "verdict"),
    [(0.2, Verdict.FAIL), (0.2762, Verdict.FAIL), (0.2763, Verdict.NOT_CHECKED)],
)
def test_too_near_for_the_rivet_that_was_planned_a_new_hole_fails_beside_an_empty_one(gap, verdict):
    """NAVEDTRA 14018 ch 13 (seen): 3 D of 3/32 is .28125 in, and no larger rivet asks for less.

    .18 by .19: grown to one side its middle is .005 in nearer or further.
    """
    answer = beside_repaired((5.0, 0.5 + gap), bench("row:7", 0.18, 0.19))

    assert answer.verdict is verdict
    if verdict is Verdict.FAIL:
        # the nearest place that is offered is one where nothing is left open
        assert answer.nearest == pytest.approx((5.0, 0.5 + 1.125 + 0.005), abs=1e-3)


def test_an_empty_hole_past_the_reach_is_told_while_its_rivet_may_matter():
    lost = bench("row:7", 0.18, 0.19)
    plan = planned(PLATE, lost)
    finder = NewHoleFinder(plan.job, parse_part_number("MS20470AD3"), ("skin",), plan=plan)
    # row:8 has the least to spare, row:7 is 1 in off
    answer = finder.at((5.75, 0.5 + 0.66), reach_in=0.3)

    assert [(one.where, one.verdict) for one in answer.checks if "row:7" in one.where] == [
        ("to row:7", Verdict.NOT_CHECKED)
    ]


def test_the_command_for_a_new_hole_goes_by_the_sheet(tmp_path, capsys):
    job, sheet = tmp_path / "job.toml", tmp_path / "holes.csv"
    job.write_text(PLATE, encoding="utf-8")
    sheet.write_text("hole,measured least,measured greatest\nrow:7,.112,\n", encoding="utf-8")
    words = ["new-hole", str(job), "--rivet", "MS20470AD3", "--layers", "skin", "--units", "in"]
    for where in (["--at", "5,.86"], ["--along", "5,.5:5,3"]):
        assert exit_code_of([*words, *where]) == 0
        assert "measured, taken" not in capsys.readouterr().out
        code = exit_code_of([*words, *where, "--measured", str(sheet)])
        out = " ".join(capsys.readouterr().out.split())
        assert code == (1 if "--at" in where else 0)
        assert "old holes 1 measured taken as their repairs leave them" in out
        assert ("min 0.3750 -0.0150 FAIL" if code else "0.3750 2.5000") in out
    sheet.write_text("hole,measured least,measured greatest\nrow:99,.112,\n", encoding="utf-8")
    assert exit_code_of([*words, "--at", "5,3", "--measured", str(sheet)]) == 2
    assert "row:99" in capsys.readouterr().err


def test_a_way_that_crosses_an_arc_is_no_distance_from_it():
    # Geometry: the arc about (0, -5) through (-.1, 0) and (.1, 0) is crossed at its top.
    arc = Stretch((-0.1, 0.0), (0.1, 0.0), bow=Bow((0.0, -5.0), math.hypot(5.0, 0.1)))
    for way in (Stretch((0.0, -1.0), (0.0, 1.0)), Stretch((-0.02, 0.3), (0.05, -0.4))):
        assert way.gap_in(arc) == 0.0
    # Past its ends the arc is gone, though the circle goes on.
    beside = Stretch((0.2, -1.0), (0.2, 1.0))
    assert beside.gap_in(arc) == pytest.approx(0.1)
    above = Stretch((0.0, 0.5), (0.0, 1.0))
    assert above.gap_in(arc) == pytest.approx(5.5 - math.hypot(5.0, 0.1))


@pytest.mark.parametrize(("rib", "steps"), [("0.040", 1), ("0.051", 0)])
def test_no_size_counts_as_reserve_that_a_sheet_too_thick_to_dimple_refuses(rib, steps):
    """AC 65-15A (secondary): sheets up to .040 in are dimpled; a measured hole is held to that."""
    text = (
        PLATE.replace("MS20470AD3-3", "MS20426AD3")
        .replace(
            '["skin"]',
            '[{ layer = "skin", form = "dimpled" }, { layer = "web", form = "dimpled" }]',
        )
        .replace("count = 13", "count = 7")
        .replace("thickness = 0.063", "thickness = 0.032")
    )
    text += (
        f'[[member]]\nname = "web"\nkind = "rib"\nthickness = {rib}\n'
        "outline = { rectangle = { corner = [0, 0], width = 10, height = 6 } }\n"
    )
    plan = planned(text, bench("row:3", 0.112))

    assert (plan.reserve.steps[4] >= 1) == bool(steps)
    assert (plan.fixes[0].chosen is not None) == bool(steps)
