"""What reports say where a common case says something else."""

import json
import re

import pytest

from rivetkit.cli.app import exit_code_of

COVER = "examples/inspection_cover.toml"
EDGE = ["--edge-in-layer", "skin=.5"]


@pytest.fixture
def said(capsys):
    """Return a function that runs a command and returns its lines, blanks in a row made one."""

    def run(*arguments):
        assert exit_code_of(list(arguments)) in {0, 1}
        return [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]

    return run


def test_a_blind_rivet_tells_its_stack_its_head_and_its_strength(said):
    # IFI-114 (1986), 1/8 in steel rivet: the protruding head table was read (at most .040 in high),
    # the grip .188 to .250 in as quoted by builders; shear 260 and tension 310 lbf from memory.
    lines = said("fastener", "IFI114-30-4-4")
    assert "takes a stack of 0.1880 to 0.2500 in" in lines
    assert "head height at most 0.040 in" in lines
    assert "shear 260 lbf from memory" in lines
    assert "tension 310 lbf from memory" in lines


def test_a_length_that_was_named_is_told_to_be_passed_over(said):
    # .032 + .040 + 1.5 x .125 = .2595: -4 (.25 in) is nearest, whatever length was typed.
    lines = said("grip", "MS20470AD4-9", ".032", ".040")
    assert lines[0] == "Use MS20470AD4-4"
    assert "you named MS20470AD4-9 its length was not looked at" in lines


@pytest.mark.parametrize(
    ("unit", "drill"), [("mm", "3.6 mm"), ("in", "3.6 mm (0.1417 in)")], ids=["mm", "in"]
)
def test_a_metric_drill_is_not_told_twice(said, unit, drill):
    hole = ["--hole", "3.5 mm", "--drills", "metric", "--units", unit]
    (line,) = (line for line in said("oversize", "MS20470AD4", *hole) if "clean-up drill" in line)
    assert line.startswith(f"clean-up drill {drill} the smallest to take in")


def test_a_hole_that_already_takes_the_larger_rivet_is_used_as_it_is(said):
    # 1/8 in rivets take holes of .125 to .135 in on file, so .129 in is one of theirs.
    lines = said("oversize", "MS20470AD3", "--hole", ".129", "--pitch", "1", *EDGE)
    assert "MS20470AD4 larger as it is pass" in lines
    assert "1. Use the hole as it is: it is within the limits of the rivet." in lines


def test_a_hole_with_no_allowed_place_in_reach_says_how_far_it_looked(said):
    place = ["--rivet", "MS20470AD4", "--at", "3.75,.6"]
    near = said("new-hole", COVER, *place, "--reach", ".05")
    assert "No place within 0.0500 in meets every limit. Look further with --reach." in near
    far = json.loads("".join(said("new-hole", COVER, *place, "--reach", "1", "--json")))
    assert 0.05 < far["result"]["move_in"] <= 1.0
    assert not re.search("No place within", " ".join(said("new-hole", COVER, *place)))
