"""Blind rivets of which no grip ranges are on file: everything but their length is planned."""

import json

import pytest

from rivetkit.checks import Verdict
from rivetkit.cli.app import exit_code_of
from rivetkit.job.read import parse_job
from rivetkit.planning.plan import plan_job

# Invented: a skin of an ultralight aileron on one rib.
JOB = """
name = "aileron skin"
units = "mm"
[[sheet]]
name = "skin"
old = { alloy = "6061-T6", thickness = 0.5 }
new = { alloy = "6061-T6", thickness = 0.5 }
outline = { rectangle = { corner = [0, 0], width = 1200, height = 300 } }
[[member]]
name = "rib"
kind = "rib"
alloy = "6061-T6"
thickness = 0.6
flange = { width = 20, end_distance = 10 }
[[row]]
name = "row"
rivet = "ISO15977-3.2x8-AlA/St"
access = "blind"
path = [[600, 15], [600, 285]]
pitch = 30
layers = ["skin", { layer = "rib", row_from_edge = 10 }]
"""


@pytest.mark.parametrize(
    ("change", "part"),
    [
        # the same rivet in the same stack goes back; its length is nobody's guess
        (("", ""), "ISO15977-3.2x8-AlA/St"),
        (("3.2x8", "3.2"), "ISO15977-3.2-AlA/St"),
        # in a thicker stack nobody knows which
        (('new = { alloy = "6061-T6", thickness = 0.5', 'new = { alloy = "6061-T6", thickness = 2'),
         "ISO15977-3.2-AlA/St"),
    ],
)  # fmt: skip
def test_edges_pitch_and_counts_are_told_without_a_length(change, part):
    """ISO 15977 (designation from memory): its grips are not on file.

    The holes are: 270 mm in steps of 30 are 10 rivets, 15 mm from the edge where 2 D are 6.4.
    """
    plan = plan_job(parse_job(JOB.replace(*change) if change[0] else JOB))
    (line,) = plan.parts
    assert (line.part.designation, line.quantity.net) == (part, 10)
    (check,) = plan.shop_heads
    assert (check.verdict, check.reason) == (
        Verdict.NOT_CHECKED,
        "no grip range of ISO15977-3.2-AlA/St is on file: its maker's table has the length",
    )
    assert plan.verdict is Verdict.NOT_CHECKED
    edges = {one.layer: one.check.verdict for one in plan.edges.by_row}
    assert edges == {"skin": Verdict.PASS, "rib": Verdict.PASS}
    assert [check.verdict for check in plan.pitches.along[0].checks] == [Verdict.PASS] * 2


@pytest.mark.parametrize("command", ["plan", "order", "map", "worksheet"])
def test_every_command_answers(command, tmp_path, capsys):
    job = tmp_path / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    assert exit_code_of([command, str(job)]) in (0, 1)
    seen = capsys.readouterr()
    assert (seen.err, "ISO15977" in seen.out) == ("", True)
    assert exit_code_of(["plan", str(job), "--json"]) == 1
    fit = json.loads(capsys.readouterr().out)["result"]["fit"]
    assert [(one["part_number"], one["net"]) for one in fit] == [("ISO15977-3.2x8-AlA/St", 10)]
