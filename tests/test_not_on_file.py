"""What no table holds is said, and never counts as a pass or as a number.

Rule set 'amt' takes the holes of FAA-H-8083-31, which prints none for 1/16, 5/16 and 3/8 in rivets;
no head of AN430, AN442 and AN455 is on file.
"""

import json
import math

import pytest

from rivetkit.calculators.mass import _head, _HeadSizes
from rivetkit.cli.app import exit_code_of
from rivetkit.fasteners import parse_part_number


@pytest.fixture
def answered(capsys):
    """Return a function that runs a command and returns its exit code and JSON."""

    def run(*arguments):
        code = exit_code_of([*arguments, "--json"])
        out, err = capsys.readouterr()
        assert err == ""
        return code, json.loads(out)

    return run


def candidates(said):
    """Return the verdict of each rivet that was looked at, and the reasons of its checks."""
    return {
        entry["part_number"]: (entry["verdict"], {check["reason"] for check in entry["checks"]})
        for entry in said["result"]["candidates"]
    }


def test_a_hole_that_is_not_on_file_is_said(capsys):
    assert exit_code_of(["fastener", "MS20470AD2", "--rule-set", "amt"]) == 0
    lines = [line.split("  ") for line in capsys.readouterr().out.splitlines()]
    said = [[word.strip() for word in line if word.strip()] for line in lines]
    assert ["hole", "not on file", "hole table 'amt' has no 0.0625 in rivet"] in said


def test_a_worn_hole_whose_limits_are_not_on_file_is_not_passed(answered):
    code, said = answered(
        *("oversize", "MS20470AD2", "--hole", ".070", "--rule-set", "amt", "--pitch", "1"),
        *("--edge-in-layer", "spar=.5", "--no-oversize", "spar"),
    )
    assert code == 1
    found = candidates(said)
    verdict, why = found["MS20470AD2"]
    assert verdict == "not_checked"
    assert "no hole for MS20470AD2 is on file" in why
    verdict, why = found["MS20470AD3"]
    assert verdict == "not_checked"
    assert "the greatest hole of the rivet taken out is not on file" in why


def test_a_larger_rivet_without_a_hole_on_file_is_not_passed(answered):
    # 1/4 in goes up to 5/16, which the table lacks.
    _, said = answered(
        *("oversize", "MS20470AD8", "--hole", ".280", "--rule-set", "amt", "--pitch", "2"),
        *("--edge-in-layer", "skin=1"),
    )
    verdict, why = candidates(said)["MS20470AD10"]
    assert verdict == "not_checked"
    assert "no hole for MS20470AD10 is on file" in why


def test_drills_that_end_below_the_hole_are_said(answered):
    # ASME B94.11M: the number drills end at #1, .228 in.
    _, said = answered(
        *("oversize", "MS20470AD8", "--hole", ".262", "--drills", "number", "--pitch", "2"),
        *("--edge-in-layer", "skin=1"),
    )
    why = set().union(*(reasons for _, reasons in candidates(said).values()))
    assert "the chart of number drills ends below the hole" in why


@pytest.mark.parametrize("head", ["AN430AD4", "AN442AD4", "AN455AD4"])
def test_a_mass_without_a_head_on_file_is_not_computed(capsys, head):
    assert exit_code_of(["fastener", f"{head}-6"]) == 0
    assert "mass" not in capsys.readouterr().out


def test_a_flat_head_is_a_cylinder():
    # Geometry. No size of a flat head is on file, so the tables cannot say it.
    head = _head(parse_part_number("AN442AD4-6"), _HeadSizes(0.25, 0.05, ()))
    assert head.value == pytest.approx(math.pi * 0.125**2 * 0.05)
