"""``rivetkit nutplate``: what it prints, and a row that the job reader takes back."""

import json

import numpy as np
import pytest
from click.testing import CliRunner

from rivetkit.cli.app import exit_code_of, main
from rivetkit.job.read import parse_job

RING = [
    "MS21047-08", "--round", "5.75", "--max-pitch", "2.25", "--opening", "5", "--doubler", "8",
    "--cover", "6.5",
]  # fmt: skip
PANEL = [
    "NAS1473-3", "--rectangle", "8x6r3/4", "--max-pitch", "2.5", "--opening", "6.5x4.5r1/4",
    "--doubler", "10x8r1", "--cover", "9x7r1",
]  # fmt: skip

#: Invented sheets for the row to go through.
SHEETS = """
name = "cover"
units = "{units}"
[[sheet]]
name = "skin"
new = {{ alloy = "2024-T3", thickness = "0.032 in" }}
outline = {{ rectangle = {{ corner = ["-10 in", "-10 in"], width = "20 in", height = "20 in", \
edges = ["a", "b", "c", "d"] }} }}
[[sheet]]
name = "doubler"
new = {{ alloy = "2024-T3", thickness = "0.040 in" }}
outline = {{ rectangle = {{ corner = ["-9 in", "-9 in"], width = "18 in", height = "18 in", \
edges = ["a", "b", "c", "d"] }} }}
"""


def data(*arguments):
    done = CliRunner().invoke(main, ["nutplate", *arguments, "--json"], standalone_mode=False)
    assert done.exception is None, done.exception
    return json.loads(done.stdout)


def in_job(result, units="in"):
    return parse_job(SHEETS.format(units=units) + result["job_rows"]).rows


@pytest.mark.parametrize("arguments", [RING, PANEL], ids=["round", "rectangle"])
@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_row_reads_back_as_the_places_printed(arguments, units):
    given = [*arguments, "--units", "in"]
    result = data(*given)["result"]
    if units == "mm":
        metric = [in_mm(text) for text in arguments]
        result = data(*metric, "--units", "mm")["result"]
    (row,) = in_job(result, units)
    scale = 1.0 if units == "in" else 25.4
    places = result["ring"]["places"]
    printed = [
        [rivet[f"x_{units}"] / scale, rivet[f"y_{units}"] / scale]
        for place in places
        for rivet in place["rivets"]
    ]
    assert row.points.shape == (2 * len(places), 2)
    assert np.abs(row.points - np.array(printed)).max() < 2e-5
    screws = [[place["screw"][f"{axis}_{units}"] / scale for axis in "xy"] for place in places]
    assert np.abs(np.array(row.screws) - np.array(screws)).max() < 2e-5
    assert f"{row.nutplate.standard}-{row.nutplate.dash}" == arguments[0]
    assert row.fit.designation == "MS20426AD3"
    assert [layer.layer for layer in row.layers] == ["skin", "doubler"]


def in_mm(text):
    """A size in inches as the same in millimetres; part numbers, options and counts stay."""
    if "-" in text:
        return text
    return "x".join(
        "r".join(f"{piece} in" for piece in side.split("r")) for side in text.split("x")
    )


def test_inches_and_millimetres_agree():
    inches = data(*PANEL)
    metric = data(*[in_mm(text) for text in PANEL], "--units", "mm")
    for one, other in zip(inches["checks"], metric["checks"], strict=True):
        assert (one["name"], one["verdict"]) == (other["name"], other["verdict"])
        assert one["value"] * 25.4 == pytest.approx(other["value"])


def test_names_lug_and_a_protruding_rivet_reach_the_row():
    result = data(
        *RING, "--lug", ".025", "--name", "access door", "--skin-name", "wing skin",
        "--doubler-name", "ring", "--rivet", "MS20470AD3-4",
    )["result"]  # fmt: skip
    text = SHEETS.format(units="in").replace('"skin"', '"wing skin"').replace('"doubler"', '"ring"')
    (row,) = parse_job(text + result["job_rows"]).rows
    assert (row.name, row.lug_in) == ("access door", 0.025)
    assert [(layer.layer, layer.form) for layer in row.layers] == [
        ("wing skin", "plain"),
        ("ring", "plain"),
    ]
    assert row.fit.designation == "MS20470AD3"


def test_a_flush_cover_leaves_the_skin_out_of_the_row():
    result = data(*RING, "--skin-opening", "6.6")["result"]
    (row,) = in_job(result)
    assert [layer.layer for layer in row.layers] == ["doubler"]


def test_one_nutplate_is_read_out(capsys):
    assert exit_code_of(["nutplate", "MS21047-3"]) == 0
    text = capsys.readouterr().out
    for words in ("two-lug fixed", "#10-32", "0.688 in", "MS20426AD3", "#9", "#7", "from memory"):
        assert words in text
    assert "Before you drill" in text


def test_a_floating_nutplate_tells_of_its_screw_hole(capsys):
    assert exit_code_of(["nutplate", "MS21059-3"]) == 0
    assert "A floating nut moves" in capsys.readouterr().out
    assert exit_code_of(["nutplate", "MS21059-3", "--screw-hole", "#5"]) == 0
    assert "A floating nut moves" not in capsys.readouterr().out


@pytest.mark.parametrize("arguments", [RING, PANEL], ids=["round", "rectangle"])
@pytest.mark.parametrize("more", [[], ["--units", "mm"], ["--explain"]])
def test_text_fits_the_page(arguments, more):
    sizes = [in_mm(text) for text in arguments]
    done = CliRunner().invoke(main, ["nutplate", *sizes, *more], standalone_mode=False)
    assert max(map(len, done.stdout.splitlines())) <= 100


def test_exit_codes():
    assert exit_code_of(["nutplate", *RING]) == 0
    assert exit_code_of(["nutplate", *RING, "--cover", "6.2"]) == 1
    assert exit_code_of(["nutplate", "MS21047-08", "--round", "6", "--count", "6"]) == 1


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (["MS21047-3", "--count", "4"], "--count: belongs to a ring"),
        (["MS21047-3", "--round", "6"], "--count: nothing says how many screws"),
        (["MS21047-3", "--round", "6x4", "--count", "5"], "--round: '6x4' is of the other kind"),
        (["MS21047-3", "--rectangle", "6", "--count", "6"], "give WxH, such as 8x6r3/4"),
        (["MS21047-3", "--rectangle", "6x4r3", "--count", "6"], "give 2 in or less"),
        (["MS21047-3", "--rectangle", "6x4", "--round", "5"], "--round: stands beside"),
        (["MS21047-3", "--rectangle", "6x4", "--count", "7"], "give an even number, 6 or 8"),
        (["MS21047-3", "--round", "6", "--count", "6", "--no-corner-screws"], "--no-corner-"),
        (["MS21047-3", "--rectangle", "6x4", "--count", "6", "--start-angle", "9"], "--start-"),
        (["MS21047-3", "--rivet", "MS20470AD4"], "--rivet: MS20470AD4 is not the size"),
        ([*RING, "--doubler", "6x"], "--doubler: '6x' is no size"),
        ([*RING, "--cover", "6r1"], "--cover: '6r1' has a corner radius but one side"),
        (["MS21047-3", "--round", "6", "--max-pitch", ".001"], "--max-pitch: that makes 18850"),
        (["MS21047-9"], "MS21047 has no dash number '9'"),
        (["MS21047-3", "--cover-fit", "big"], "--cover-fit: no scheme"),
        (["MS21047-3", "--screw-hole", ".1"], "--screw-hole: the screw hole of 0.1 in"),
        (["MS21047-3", "--screw-hole", "#999"], "--screw-hole: no drill is called '#999'"),
    ],
)
def test_complaints_are_one_line(capsys, arguments, complaint):
    assert exit_code_of(["nutplate", *arguments]) == 2
    told = capsys.readouterr()
    assert complaint in told.err
    assert told.err.count("\n") == 1
    assert told.out == ""
