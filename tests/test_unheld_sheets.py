"""A sheet that no row goes through: its rivets would be in no count and on no order."""

import json

import pytest
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET

from rivetkit.checks import Verdict
from rivetkit.cli.app import exit_code_of
from rivetkit.job.read import parse_job
from rivetkit.planning.hole_verdicts import on_no_hole
from rivetkit.planning.plan import plan_job

OTHER = SHEET.replace('"skin"', '"other skin"')
ADDED = MEMBER.replace('"rib"\nkind', '"angle"\nkind').replace(
    "thickness", "added = true\nthickness"
)
BACK = OTHER.replace('new = { alloy = "2024-T3", thickness = 0.032 }\n', "")
OFF = BACK.replace("old =", "left_off = true\nold =")
GONE = """
[[row]]
name = "gone"
rivet = "MS20470AD3-3"
removed = true
path = [[0.5, 3], [9.5, 3]]
count = 13
layers = ["skin", "other skin"]
"""


def unheld(text):
    return {check.where: check for check in plan_job(parse_job(text)).unheld}


@pytest.mark.parametrize(
    ("more", "name"),
    [(OTHER, "other skin"), (BACK, "other skin"), (OFF, "other skin"), (ADDED, "angle")],
)
def test_a_sheet_without_a_row_is_not_passed_over(more, name):
    """Common practice, no source: what is riveted has rivets. A row that was forgotten is in no
    count, and the order is short.
    """
    assert unheld(JOB) == {}
    plan = plan_job(parse_job(HEAD + SHEET + more + MEMBER + ROW))
    (check,) = plan.unheld
    assert (check.where, check.verdict) == (name, Verdict.NOT_CHECKED)
    assert check in plan.checks
    assert check in on_no_hole(plan)
    assert "no row goes through it" in check.reason


def test_what_stays_needs_no_row_and_a_removed_one_holds_nothing():
    stays = MEMBER.replace('"rib"\nkind', '"spare rib"\nkind')
    assert unheld(JOB + stays) == {}
    assert set(unheld(HEAD + SHEET + OTHER + MEMBER + ROW + GONE)) == {"other skin"}
    assert unheld(HEAD + SHEET + OFF + MEMBER + ROW + GONE) == {}


def test_the_plan_and_the_order_say_so(tmp_path, capsys):
    job = tmp_path / "job.toml"
    job.write_text(HEAD + SHEET + OTHER + MEMBER + ROW, encoding="utf-8")
    for command in ("plan", "order"):
        assert exit_code_of([command, str(job)]) == 1
        told = " ".join(capsys.readouterr().out.split())
        assert "rows of the sheet" in told
        assert "other skin" in told
        assert "no row goes through" in told
    assert exit_code_of(["plan", str(job), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["result"]["verdict"] == "not_checked"
