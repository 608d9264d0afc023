"""The verdict on every hole: what no hole shows is told beside them, so that nothing is lost."""

import pytest
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET

from rivetkit.calculators.removal.checks import DRILL_DEPTH
from rivetkit.checks import Verdict, worst_verdict
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.hole_verdicts import hole_verdicts, on_no_hole
from rivetkit.planning.plan import plan_job
from rivetkit.planning.strength.sheet_strength import SHEET_STRENGTH

HINGE = "[hinge]\nfrom = [0, -1]\nto = [10, -1]\n"
RIB = MEMBER.replace("thickness = 0.025", 'alloy = "2024-T3"\nthickness = 0.040')

#: A thinner skin whose 3/32 rivets shear at the same load as before: D/t stays under 3, from where
#: on MIL-HDBK-5 takes something off (from memory). The skin itself carries .032 / .040.
THINNER = HEAD + SHEET.replace(
    'old = { alloy = "2024-T3", thickness = 0.025', "old = {old"
).replace("{old", '{ alloy = "2024-T3", thickness = 0.040')
THINNER += RIB + ROW

#: Rivets whose heads are drilled to their full height, .055 in of a 5/32 MS20426 (from memory), by
#: a mechanics' handbook's rule: further than the .050 in that lie there.
DEEP = (
    'rule_set = "amt"\n'
    + HEAD
    + SHEET.replace("0.032", "0.050")
    + MEMBER.replace("width = 0.625, end_distance = 0.3", "width = 0.8, end_distance = 0.4")
    + ROW.replace("0.3125", "0.4")
    .replace('rivet = "MS20470AD3-3"', 'rivet = "MS20426AD5-4"\nfit = "MS20470AD5"')
    .replace('layers = ["skin"', 'layers = [{ layer = "skin", old_form = "countersunk" }')
    .replace("count = 13", "count = 9")
)

STEEL = JOB.replace('kind = "rib"\n', 'kind = "rib"\nalloy = "4130"\n')
WARM = 'temperatures = { drilled = "68 F", least = "68 F", greatest = "128 F" }\n'

UNKNOWN = JOB.replace('2024-T3", thickness = 0.032', 'unobtainium", thickness = 0.032')


def planned(text, *measured):
    return plan_job(parse_job(text), measured=measured)


def bench(hole, least, greatest):
    return BenchHole(hole, least, greatest, None, None, "", "sheet.csv: line 2")


@pytest.mark.parametrize(
    "plan",
    [
        planned(JOB),
        planned('assumed = ["the rib"]\n' + JOB),
        planned(THINNER),
        planned(UNKNOWN),
        planned(UNKNOWN + HINGE),
        planned(JOB.replace('"2024-T3"', '"unobtainium"') + HINGE),
        planned(DEEP),
        planned(STEEL),
        planned(WARM + STEEL),
        planned(JOB.replace("0.032", "0.012")),
        planned(JOB, bench("row:3", 0.104, 0.115)),
        planned(JOB.replace('kind = "rib"', 'kind = "stringer"'), bench("row:3", 0.104, 0.115)),
        planned(JOB, *(bench(f"row:{number}", 0.104, 0.104) for number in range(2, 9))),
    ],
)
def test_the_gravest_of_the_holes_and_of_what_is_told_beside_them_is_the_plan(plan):
    holes = hole_verdicts(plan)
    beside = [check.verdict for check in on_no_hole(plan)]

    assert worst_verdict((*holes.verdicts, *beside)) is plan.verdict
    assert set(holes.gravest) == {
        hole for hole, verdict in enumerate(holes.verdicts) if verdict is not Verdict.PASS
    }
    assert all(holes.verdicts[hole] is check.verdict for hole, check in holes.gravest.items())


def test_a_weaker_sheet_is_told_beside_the_holes_when_its_rivets_lose_nothing():
    plan = planned(THINNER)
    (check,) = on_no_hole(plan)

    assert (check.name, check.where, check.verdict) == (SHEET_STRENGTH, "skin", Verdict.FAIL)
    assert check.value == pytest.approx(0.032 / 0.040)
    assert set(hole_verdicts(plan).verdicts) == {Verdict.PASS}


def test_a_change_about_the_hinge_that_nobody_knows_is_told_beside_the_holes():
    told = [check.name for check in on_no_hole(planned(UNKNOWN + HINGE))]

    assert "change about the hinge" in told
    assert "change about the hinge" not in [c.name for c in on_no_hole(planned(JOB + HINGE))]


def test_holes_whose_old_heads_are_drilled_past_the_stack_are_marked():
    plan = planned(DEEP)
    verdicts = hole_verdicts(plan)

    assert [check.name for check in plan.head_drills if check.verdict is Verdict.FAIL] == [
        DRILL_DEPTH
    ]
    assert set(verdicts.verdicts) == {Verdict.FAIL}
    assert {check.name for check in verdicts.gravest.values()} == {DRILL_DEPTH}


@pytest.mark.parametrize(("told", "verdict"), [("", Verdict.PASS), (WARM, Verdict.FAIL)])
def test_holes_of_a_row_that_heat_moves_too_far_are_marked_where_the_warmth_is_told(told, verdict):
    plan = planned(told + STEEL.replace("0.032", "0.025"))

    assert plan.heat.warnings
    assert set(hole_verdicts(plan).verdicts) == {verdict}
