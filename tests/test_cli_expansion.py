"""``rivetkit expansion``: what it says, how it ends, and how it refuses."""

import json
import math

import pytest
from click.testing import CliRunner

from rivetkit.cli.app import exit_code_of, main
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.materials import ThermalExpansionRow

WINDOW = ["acrylic", "--length", "36", "--from", "68F", "--to", "120F", "--against", "2024-T3"]


def run(*arguments):
    return CliRunner().invoke(main, ["expansion", *arguments], standalone_mode=False).stdout


def test_the_report_says_that_documents_differ_and_which_ranges_are_left():
    text = run(*WINDOW, "--to", "-40F")
    assert "The documents differ" in text
    assert "Every grade of acrylic counts" in text
    assert "Used outside the range its document names: 2024." in text
    assert "Used outside" not in run(*WINDOW)
    assert max(map(len, text.splitlines())) <= 100


def test_a_hole_may_be_told_by_its_drill(capsys):
    by_drill, by_size = (
        json.loads(run(*WINDOW, "--fastener", ".138", "--hole", hole, "--json"))["checks"]
        for hole in ("F", ".257")
    )
    assert by_drill == by_size != []
    assert exit_code_of(["expansion", *WINDOW, "--fastener", ".138", "--hole", "#999"]) == 2
    assert "--hole: no drill is called '#999'" in capsys.readouterr().err


@pytest.mark.parametrize(("off_by", "matched_degf"), [(".0128889", 70.0), ("-.0128889", 90.0)])
def test_when_holes_that_are_off_were_drilled(off_by, matched_degf):
    # 2024 at 23.2 ppm/C is 12.8889 ppm/F: 100 in grow .0128889 in over ten degrees F.
    text = run("2024", "--length", "100", "--from", "80F", "--off-by", off_by, "--json")
    (fit,) = json.loads(text)["result"]["fit"]
    assert fit["matched_degf"][0] == pytest.approx(matched_degf, abs=0.001)


def test_parts_alike_never_close_a_gap():
    text = run("2024", "--length", "9", "--from", "70F", "--gap", ".1", "--against", "2024-T3")
    assert "never" in text
    assert "the two grow alike" in text


def test_without_a_material_every_coefficient_is_listed():
    listed = json.loads(run("--json"))["result"]["coefficients"]
    assert len(listed) == len(load_table(ThermalExpansionRow))
    assert all(math.isfinite(row["per_degf"]) for row in listed)
    assert max(map(len, run().splitlines())) <= 100


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (["wood", "--length", "3", "--from", "3F", "--to", "4F"], "MATERIAL: the expansion of 'w"),
        (["acrylic"], "--length: is not given"),
        (["acrylic", "--length", "3"], "--from: is not given"),
        (["acrylic", "--length", "3", "--from", "70F"], "--to: is not given"),
        (["acrylic", "--length", "3", "--from", "70", "--to", "80F"], "'70' has no unit"),
        ([*WINDOW, "--hole", ".2"], "--fastener: is not given"),
        ([*WINDOW, "--hole", ".2", "--fastener", ".3"], "does not go into a hole of 0.2 in"),
        ([*WINDOW, "--against", "wod"], "--against: the expansion of 'wod'"),
        (["--length", "3"], "MATERIAL: no material is named"),
    ],
)
def test_complaints_are_one_line(capsys, arguments, complaint):
    assert exit_code_of(["expansion", *arguments]) == 2
    told = capsys.readouterr()
    assert complaint in told.err
    assert told.err.count("\n") == 1
    assert told.out == ""
