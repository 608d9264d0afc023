"""Members that take no larger hole, against rivets that go in a size up."""

import pytest
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET

from rivetkit.checks import Verdict
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.plan import plan_job

# AC 43.13-1B p 4-12 (seen): no oversize holes in spar caps and longitudinal stringers.
SPAR = JOB.replace('kind = "rib"', 'kind = "spar"')


def planned(text, **options):
    return plan_job(parse_job(text), **options)


def refusals(plan):
    return [check for check in plan.checks if check.name == "oversize hole in this member"]


def test_a_spar_does_not_go_up_a_size_though_edges_and_pitch_would_let_it():
    plan = planned(SPAR, assume_oversize=1)
    (check,) = refusals(plan)

    assert check.verdict is Verdict.FAIL
    # The hole of a 1/8 rivet, #30 (.1285), against the most a 3/32 one may have (trade text of
    # 2001, seen: .103).
    assert (check.value, check.limit) == (0.1285, 0.103)
    assert check.where == "rib: row"
    assert set(hole_verdicts(plan).verdicts) == {Verdict.FAIL}
    assert refusals(planned(JOB, assume_oversize=1)) == []
    allowed = SPAR.replace('kind = "spar"', 'kind = "spar"\nno_oversize = false')
    assert refusals(planned(allowed, assume_oversize=1)) == []


@pytest.mark.parametrize(
    ("rivet", "fit", "verdict"),
    [
        ("MS20470AD3-3", "MS20470AD4", Verdict.FAIL),
        ("MS20470AD3-3", "MS20426AD4", Verdict.FAIL),
        ("MS20470AD4-4", "MS20470AD3", Verdict.PASS),
        ("MS20470AD4-4", "MS20470DD4", Verdict.PASS),
    ],
)
def test_another_rivet_through_a_spar_keeps_to_the_old_hole(rivet, fit, verdict):
    text = SPAR.replace('"MS20470AD3-3"', f'"{rivet}"\nfit = "{fit}"')
    if "426" in fit:
        text = text.replace(
            '"skin", {', '{ layer = "skin", form = "dimpled" }, { form = "dimpled",'
        )
    (check,) = refusals(planned(text))

    assert check.verdict is verdict


def test_the_same_rivet_asks_nothing_of_a_spar_nor_does_one_that_stays():
    assert refusals(planned(SPAR)) == []
    assert refusals(planned(SPAR.replace("MS20470AD3-3", "AN470AD3-3"))) == []
    stays = '[[member]]\nname = "skin"\nkind = "skin"\nthickness = 0.025\nedge_distance = 0.5\n'
    spar = MEMBER.replace('kind = "rib"', 'kind = "spar"')
    assert refusals(planned(HEAD + stays + spar + ROW + "kept = true\n", assume_oversize=1)) == []


@pytest.mark.parametrize("new", ["hole", "member"])
def test_where_no_rivet_was_the_planned_one_counts(new):
    text = SPAR.replace('rivet = "MS20470AD3-3"', 'fit = "MS20470AD4"')
    if new == "member":
        text = SPAR.replace('kind = "spar"', 'kind = "spar"\nadded = true')
        text = text.replace('"MS20470AD3-3"', '"MS20470AD3-3"\nfit = "MS20470AD4"')

    assert refusals(planned(text)) == []
    (check,) = refusals(planned(text, assume_oversize=1))
    assert (check.verdict, check.limit) == (Verdict.FAIL, 0.135)


def test_a_sheet_left_off_refuses_nothing_and_a_measured_hole_is_told_once():
    sheet = SHEET.replace('new = { alloy = "2024-T3", thickness = 0.032 }', "left_off = true")
    left_off = sheet.replace('name = "skin"', 'name = "skin"\nno_oversize = true')
    text = HEAD + left_off + MEMBER + ROW
    assert refusals(planned(text, assume_oversize=1)) == []

    worn = BenchHole("row:3", 0.104, 0.115, None, None, "", "sheet.csv: line 2")
    names = [check.where for check in refusals(planned(SPAR, measured=(worn,)))]
    assert all(name.startswith("row:3") for name in names)
