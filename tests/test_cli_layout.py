"""``rivetkit layout`` and ``rivetkit blank`` as a mechanic meets them."""

import json
import re
import tomllib
from fractions import Fraction

import pytest

from rivetkit.cli.app import exit_code_of
from rivetkit.job.read import parse_job

LAYOUT = ["layout", "MS20470AD4", "--length", "24 in", "--hit", "3.1 in", "--clear-of", "12in:.5in"]
NONE = ["layout", "MS20470AD4", "--length", "6 in", "--hit", "2in", "--hit", "2.3in"]
SEAM = ["layout", "MS20470AD4", "--length", "18 in", "--rows", "2", "--at-least", "40"]
BLANK = ["blank", "--width", "30 in", "--height", "22 in", "--margin", "5/16"]
GOOD = [LAYOUT, SEAM, [*SEAM, "--pattern", "chain"], BLANK, ["blank", "examples/elevator.toml"]]
FAILING = [NONE, ["blank", "--width", "300 in", "--height", "22 in"]]

#: The job that pasted rows go into.
JOB_TOP = """
name = "pasted"
units = "{unit}"
[[sheet]]
name = "skin"
new = {{ alloy = "2024-T3", thickness = "0.032 in" }}
outline = {{ rectangle = {{ corner = ["-50 in", "-50 in"], width = "100 in", height = "100 in" }} }}
[[member]]
name = "member"
kind = "spar"
thickness = "0.040 in"
edge = "not measured"

"""


def called(arguments, capsys):
    code = exit_code_of(arguments)
    seen = capsys.readouterr()
    return code, seen.out, seen.err


def result_of(arguments, capsys):
    _, out, err = called([*arguments, "--json"], capsys)
    assert err == ""
    return json.loads(out, parse_constant=pytest.fail)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("arguments", GOOD + FAILING, ids=" ".join)
def test_reports_fit_the_page_and_end_with_the_cautions(arguments, units, capsys):
    code, out, err = called([*arguments, "--units", units, "--explain"], capsys)
    assert (code, err) == (int(arguments in FAILING), "")
    assert max(map(len, out.splitlines())) <= 100
    assert "the aircraft maker's data" in out[out.index("Before you drill") :]
    assert ("FAIL" in out) is (arguments in FAILING)


@pytest.mark.parametrize("arguments", GOOD + FAILING, ids=" ".join)
def test_inches_and_millimetres_agree(arguments, capsys):
    def lengths(data, unit):
        if isinstance(data, dict):
            for key, value in data.items():
                if key.endswith(f"_{unit}") and isinstance(value, float) and "tape" not in key:
                    yield value
                yield from lengths(value, unit)
        elif isinstance(data, list):
            for item in data:
                yield from lengths(item, unit)

    inch = list(lengths(result_of(arguments, capsys)["result"], "in"))
    metric = list(lengths(result_of([*arguments, "--units", "mm"], capsys)["result"], "mm"))
    assert metric == pytest.approx([value * 25.4 for value in inch])
    assert inch or arguments in FAILING


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize(
    "options",
    [
        [],
        ["--hit", "3.1 in", "--clear", "7in:7.8in"],
        ["--rows", "3", "--at", "2in,-1in", "--angle", "30"],
        ["--rows", "2", "--hit", "3.1 in", "--angle", "90"],
    ],
    ids=lambda options: " ".join(options) or "plain",
)
@pytest.mark.parametrize("part", ["MS20470AD4-5", "MS20426AD3"])
def test_pasted_rows_are_a_job_with_the_same_holes(part, options, unit, capsys):
    arguments = ["layout", part, "--length", "18 in", "--name", 'rib "A"', *options]
    result = result_of([*arguments, "--units", unit], capsys)["result"]
    job = parse_job(JOB_TOP.format(unit=unit) + result["job_rows"])
    per_in = 1.0 if unit == "in" else 25.4
    for number, row in enumerate(job.rows, start=1):
        holes = [hole for hole in result["holes"] if hole["row"] == number]
        expected = [
            value / per_in for hole in holes for value in (hole[f"x_{unit}"], hole[f"y_{unit}"])
        ]
        assert row.points.ravel().tolist() == pytest.approx(expected, abs=1e-5)
        assert row.seam_rows == len(job.rows)
        assert row.fit.length_in is None
        assert row.name.startswith('rib "A"')


def test_the_rows_on_the_page_are_the_rows_of_the_document(capsys):
    _, out, _ = called(LAYOUT, capsys)
    start = out.index("Rows for the job file\n") + len("Rows for the job file\n")
    pasted = out[start : out.index("\n\n", start)]
    document = result_of(LAYOUT, capsys)["result"]["job_rows"]
    assert tomllib.loads(pasted) == tomllib.loads(document)


def test_the_tape_list_reads_back_to_the_running_dimensions(capsys):
    _, out, _ = called(LAYOUT, capsys)
    lines = re.findall(
        r"^ +(\d+) +([\d.]+) +((?:\d+ )?\d+(?:/\d+)?) +([+-]?[\d.]+)", out, re.MULTILINE
    )
    holes = result_of(LAYOUT, capsys)["result"]["holes"]
    tape = [line for line in lines if "." in line[1]]
    assert len(tape) == len(holes)
    for (_, running, mark, off), hole in zip(tape, holes, strict=True):
        mark_in = float(sum(Fraction(piece) for piece in mark.split()))
        assert float(running) == pytest.approx(hole["running_in"], abs=6e-5)
        assert mark_in - hole["running_in"] == pytest.approx(float(off), abs=6e-5)
        assert abs(mark_in - hole["running_in"]) <= 1 / 128 + 1e-9
        assert mark_in * 64 == pytest.approx(round(mark_in * 64))


def test_what_would_do_does_when_it_is_typed_again(capsys):
    relax = result_of(NONE, capsys)["result"]["relax"]
    assert {item["demand"] for item in relax} == {"least pitch", "hole to hit"}
    code, out, _ = called(NONE, capsys)
    assert code == 1
    least = re.search(r"least pitch +[\d.]+ in +([\d.]+ in)", out)[1]
    code, _, _ = called([*NONE, "--pitch-min", least], capsys)
    assert code == 1  # laid out, but nearer than the rule allows
    assert result_of([*NONE, "--pitch-min", least], capsys)["result"]["layout"]
    miss = re.search(r"hole at 2.300 in: may be missed by +[\d.]+ in +([\d.]+) in", out)[1]
    again = ["layout", "MS20470AD4", "--length", "6", "--hit", "2", "--cover", f"2.3:{miss}"]
    assert called(again, capsys)[0] == 0


def test_a_layout_nearer_than_the_rules_allow_fails_its_check(capsys):
    close = ["layout", "MS20470AD4", "--length", "6", "--end", ".2", "--pitch-min", ".3"]
    checks = result_of([*close, "--pitch", ".3"], capsys)["checks"]
    failed = {(check["name"], check["where"]) for check in checks if check["verdict"] == "fail"}
    assert failed == {("edge distance", "start"), ("edge distance", "far end"), ("pitch", "")}


def test_an_override_of_a_pitch_rule_is_used_and_named(capsys):
    override = ["--override", "pitch_max", "12D", "manual 51-40"]
    wide = ["layout", "MS20470AD4", "--length", "6", "--clear", "2:3.4"]
    assert called(wide, capsys)[0] == 1
    code, out, err = called([*wide, *override], capsys)
    assert (code, err) == (0, "")
    assert "manual 51-40" in out


def test_rows_are_staggered_unless_told_and_spaced_by_three_quarters_of_the_pitch(capsys):
    # Row spacing 75 percent of the pitch: trade riveting review; stagger: NAVEDTRA 14018 ch 13.
    result = result_of(SEAM, capsys)["result"]
    pitch_in = result["layout"]["stretches"][0]["pitch_in"]
    assert result["row_spacing_in"] == pytest.approx(0.75 * pitch_in)
    first, second = (
        [hole["running_in"] for hole in result["holes"] if hole["row"] == row] for row in (1, 2)
    )
    assert second[0] == pytest.approx(first[0] + pitch_in / 2)
    chain = result_of([*SEAM, "--pattern", "chain"], capsys)["result"]["holes"]
    assert chain[0]["running_in"] == chain[len(chain) // 2]["running_in"]


def test_a_flat_row_spacing_is_never_under_the_least(capsys):
    # TM 10-5410-229-13&P p 5-4: 2.5 D; 75 percent of 0.4 in would be less.
    close = ["layout", "MS20470AD4", "--length", "6", "--rows", "2", "--pitch", ".4"]
    arguments = [*close, "--pitch-min", ".38", "--pitch-max", ".41"]
    assert result_of(arguments, capsys)["result"]["row_spacing_in"] == pytest.approx(0.3125)


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (["layout", "MS20470AD4"], "--length"),
        (["layout", "MS20470AD4", "--length", "6", "--clear", "2"], "FROM:TO"),
        (["layout", "MS20470AD4", "--length", "6", "--clear", "3:2"], "smaller running dimension"),
        (["layout", "MS20470AD4", "--length", "6", "--clear-of", "2:"], "X:R"),
        (["layout", "MS20470AD4", "--length", "6", "--cover", ":2"], "X:T"),
        (["layout", "MS20470AD4", "--length", "6", "--hit", "7"], "outside the row"),
        (["layout", "MS20470AD4", "--length", "6", "--hit", "six"], "--hit"),
        (["layout", "MS20470AD4", "--length", "0.4"], "not before the last"),
        (["layout", "MS20470AD4", "--length", "6", "--pattern", "chain"], "one row"),
        (["layout", "MS20470AD4", "--length", "6", "--row-spacing", "1"], "one row"),
        (["layout", "MS20470AD4", "--length", "6", "--at", "6"], "X,Y"),
        (["layout", "MS20470AD4", "--length", "6", "--angle", "nan"], "give a number"),
        (["layout", "MS20470AD4", "--length", "6", "--rows", "4"], "--rows"),
        (["layout", "XX", "--length", "6"], "XX"),
        (["blank"], "--width and --height"),
        (["blank", "--width", "3"], "--width and --height"),
        (["blank", "--width", "3", "--height", "3", "--margin", "1.5"], "no room"),
        (["blank", "--width", "3", "--height", "3", "--sheet", "skin"], "no job"),
        (["blank", "examples/elevator.toml", "--width", "3"], "the job tells"),
        (["blank", "examples/elevator.toml", "--sheet", "wing"], "no layer 'wing'"),
        (["blank", "nowhere.toml"], "nowhere.toml"),
    ],
    ids=lambda value: " ".join(value)[:60],
)
def test_bad_input_exits_2_with_one_line(arguments, piece, capsys):
    code, out, err = called(arguments, capsys)
    assert (code, out) == (2, "")
    assert re.fullmatch(r"error: [^\n]+\n", err)
    assert piece in err
