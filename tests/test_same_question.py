"""One question asked in two ways has one answer."""

import json

import pytest

from rivetkit.cli.app import exit_code_of

WORN = ["oversize", "MS20470AD4", "--hole", ".128x.146", "--edge-in-layer", "skin=.34"]
WORN += ["--pitch", ".6", "--row-spacing", ".5", "--rows", "2"]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ([*WORN, "--axis", "row"], [*WORN, "--axis", "0"]),
        ([*WORN, "--axis", "edge"], [*WORN, "--axis", "90"]),
        ([*WORN, "--axis", "back"], [*WORN, "--axis", "270"]),
        (["drills", "2.5", "--units", "mm"], ["drills", "2.5 mm", "--units", "mm"]),
        (["drills", "1/8"], ["drills", "0.125 in"]),
    ],
)
def test_another_way_to_say_it(capsys, one, other):
    answers = []
    for arguments in (one, other):
        code = exit_code_of([*arguments, "--json"])
        said = json.loads(capsys.readouterr().out)
        answers.append((code, said["result"], said["checks"]))
    assert answers[0] == answers[1]
