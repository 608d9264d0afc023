"""The hole map: true to scale, nothing hidden, verdicts told by shape."""

import itertools
import json
import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import JOB
from map_jobs import HOSTILE, MIXED, hostile_job, many_holes, planned

from rivetkit.checks import Verdict, worst_verdict
from rivetkit.cli.app import main
from rivetkit.job.read import parse_job, read_job
from rivetkit.job.worksheet.sheet import BenchHole, BenchNote
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.plan import plan_job
from rivetkit.reports.drawings.svg_map import render_svg
from rivetkit.reports.drawings.svg_panel import _name_down_mm
from rivetkit.reports.drawings.svg_shapes import fate_mark, verdict_mark
from rivetkit.reports.plans.bench_fates import FATE_WORDS
from rivetkit.reports.plans.map_report import map_report

#: Forty holes where twenty belong, well off the edge.
TIGHT_ROW = "[[0.5, 0.5], [11.9, 0.5]]\ncount = 40"

SVG = "{http://www.w3.org/2000/svg}"
EXAMPLES = ["examples/inspection_cover.toml", "examples/elevator.toml"]


def drawn(plan, **options):
    report = map_report(plan, inputs={}, length_unit="in", **options)
    return report, ET.fromstring(render_svg(report))  # noqa: S314 - our own drawing


def placed(svg):
    """Name of every hole drawn, where, and how."""
    found = []
    for use in svg.iter(f"{SVG}use"):
        words = use.find(f"{SVG}title").text
        found.append((words, float(use.get("x")), float(use.get("y")), use.get("href")))
    return found


@pytest.fixture(scope="module")
def mixed():
    return planned(MIXED)


def test_the_verdict_of_every_hole_by_hand(mixed):
    # Holes of the row aslant stand .15 + .02 i from the front edge; 2 D of a 1/8 rivet is .25
    # (Army AL0992 p 59), .005 either way is marginal, and .25 .. .245 falls between two holes.
    verdicts = hole_verdicts(mixed)
    found = {mixed.holes.name(n): verdict for n, verdict in enumerate(verdicts.verdicts)}
    heights = {number: 0.15 + 0.02 * (number - 1) for number in range(1, 21)}

    for number, height in heights.items():
        expected = Verdict.FAIL if height < 0.245 - 1e-9 else Verdict.PASS
        if 0.245 - 1e-9 <= height < 0.255 - 1e-9:
            expected = Verdict.MARGINAL
        assert found[f"aslant:{number}"] is expected
    assert {found[f"doubtful:{number}"] for number in range(1, 13)} == {Verdict.NOT_CHECKED}
    assert set(found.values()) == set(Verdict)


def test_every_hole_too_near_another_row_is_told():
    # Two rows .25 apart, hole over hole: 2.5 D of a 1/8 rivet is .3125 (TM 10-5410-229-13&P p 5-4).
    text = MIXED.replace(
        "[[0.5, 2], [3.5, 4]]\ncount = 6", "[[0.5, 5.25], [9.5, 5.25]]\ncount = 12"
    )
    plan = planned(text)
    verdicts = hole_verdicts(plan)
    for number, verdict in enumerate(verdicts.verdicts):
        if plan.holes.name(number).startswith(("doubtful", "new")):
            assert verdict is Verdict.FAIL
            assert verdicts.gravest[number].name == "row spacing"
            assert verdicts.gravest[number].value == pytest.approx(0.25)


def test_every_hole_too_near_the_next_is_told():
    # 40 holes over 11.4 in: .2923 apart; 3 D of a 1/8 rivet is .375 (NAVEDTRA 14018 ch 13).
    plan = planned(MIXED.replace("[[0.5, 0.15], [11.9, 0.53]]\ncount = 20", TIGHT_ROW))
    verdicts = hole_verdicts(plan)
    aslant = [n for n in range(len(plan.holes)) if plan.holes.name(n).startswith("aslant")]
    assert len(aslant) == 40
    assert {verdicts.verdicts[hole] for hole in aslant} == {Verdict.FAIL}
    assert {verdicts.gravest[hole].name for hole in aslant} == {"pitch"}


def test_a_hole_in_too_thin_a_sheet_is_told():
    # A 1/8 flush rivet countersunk into .032: the cut would be deeper than the sheet is thick.
    text = MIXED.replace('fit = "MS20470AD4"', 'fit = "MS20426AD4"')
    text = text.replace(
        'layers = ["skin"]', 'layers = [{ layer = "skin", form = "countersunk" }, "doubler"]'
    )
    text += """
[[member]]
name = "doubler"
kind = "doubler"
thickness = 0.05
edge_distance = 1.0
"""
    plan = planned(text)
    verdicts = hole_verdicts(plan)
    new = [n for n in range(len(plan.holes)) if plan.holes.name(n).startswith("new")]
    assert {verdicts.verdicts[hole] for hole in new} == {Verdict.FAIL}


@settings(max_examples=25, deadline=None)
@given(
    start=st.floats(0.05, 1.0),
    rise=st.floats(-0.04, 1.0),
    count=st.integers(2, 60),
    accuracy=st.floats(0.0, 0.05),
)
def test_the_gravest_hole_is_the_plan(start, rise, count, accuracy):
    text = MIXED.replace("accuracy = 0.005", f"accuracy = {accuracy:.4f}")
    text = text.replace("[[0.5, 0.15], [11.9, 0.53]]", f"[[0.5, {start}], [11.9, {start + rise}]]")
    text = text.replace("count = 20", f"count = {count}").replace('"hidden"]', "]")
    text = text.replace('layers = ["skin", ]', 'layers = ["skin"]')
    plan = planned(text)
    assert worst_verdict(hole_verdicts(plan).verdicts) is plan.verdict


def test_holes_are_drawn_where_they_are(mixed):
    report, svg = drawn(mixed)
    data = {entry["hole"]: entry for entry in report.result["holes"]}
    spots = [
        (words.split(":")[0] + ":" + words.split(":")[1], x, y) for words, x, y, _ in placed(svg)
    ]
    inches = np.array([(data[name]["x_in"], data[name]["y_in"]) for name, _, _ in spots])
    page = np.array([(x, y) for _, x, y in spots])

    assert len(spots) == len(mixed.holes) == 38
    # One scale for both axes, y up on the sheet and down on the page, nothing turned.
    scale_x, shift_x = np.polyfit(inches[:, 0], page[:, 0], 1)
    scale_y, shift_y = np.polyfit(inches[:, 1], page[:, 1], 1)
    assert scale_x == pytest.approx(-scale_y, rel=1e-4)
    assert np.abs(inches[:, 0] * scale_x + shift_x - page[:, 0]).max() < 0.002
    assert np.abs(inches[:, 1] * scale_y + shift_y - page[:, 1]).max() < 0.002
    # The circle of a hole has the rivet's diameter in the same scale, its line inside.
    (sign,) = (node for node in svg.iter(f"{SVG}g") if node.get("id") == placed(svg)[0][3][1:])
    circle = sign.find(f"{SVG}circle")
    radius = float(circle.get("r")) + float(circle.get("stroke-width")) / 2.0
    assert radius == pytest.approx(0.0625 * scale_x, abs=0.002)


def test_the_scale_bar_tells_the_scale(mixed):
    _, svg = drawn(mixed)
    (_, _x, *_), (_, last_x, *_) = placed(svg)[0], max(placed(svg), key=lambda spot: spot[1])
    bars = [node for node in svg.iter(f"{SVG}rect") if node.get("height") == "1.2"]
    left = min(float(bar.get("x")) for bar in bars)
    right = max(float(bar.get("x")) + float(bar.get("width")) for bar in bars)
    (told,) = (
        float(node.text.split()[0])
        for node in svg.iter(f"{SVG}text")
        if re.fullmatch(r"\d+ in", node.text or "")
    )
    least = min(spot[1] for spot in placed(svg))
    assert (right - left) / told == pytest.approx((last_x - least) / (11.9 - 0.5), rel=1e-3)


def test_every_verdict_has_a_shape_of_its_own():
    shapes = set()
    for verdict in Verdict:
        (mark,) = ET.fromstring(f"<g>{verdict_mark(verdict, 1.0)}</g>")  # noqa: S314
        dashed = "stroke-dasharray" in mark.attrib
        shapes.add((mark.tag, mark.get("d", "").count("M"), dashed))
    assert len(shapes) == len(Verdict)


def test_trouble_lies_on_top_of_what_passes(mixed):
    _, svg = drawn(mixed)
    order = [words.split(": ")[1].split(";")[0] for words, *_ in placed(svg)]
    assert order.index("FAIL") > max(n for n, word in enumerate(order) if word == "pass")


def test_the_legend_counts_the_holes(mixed):
    _, svg = drawn(mixed)
    told = [node.text for node in svg.iter(f"{SVG}text")]
    words = [words.split(": ")[1].split(";")[0] for words, *_ in placed(svg)]
    for verdict in ("pass", "marginal", "FAIL", "not checked"):
        count = words.count(verdict)
        assert f"{verdict}: {count} hole{'' if count == 1 else 's'}" in told


def test_the_worst_margin_is_drawn_with_its_length(mixed):
    _report, svg = drawn(mixed)
    told = [node.text for node in svg.iter(f"{SVG}text")]
    assert "0.1500 in" in told  # the first hole of the row aslant, from the front edge
    assert "0.1500 in, min 0.2500 in" in told
    assert "aslant:1 to front of skin" in told


def test_a_skin_on_either_side_is_drawn_by_itself():
    runner = CliRunner()
    both = runner.invoke(main, ["map", "examples/elevator.toml", "--json"], standalone_mode=False)
    maps = {}
    for entry in json.loads(both.output)["result"]["holes"]:
        maps.setdefault(entry["map"], set()).add(entry["row"])
    assert set(maps) == {"upper skin", "lower skin"}
    assert not any(row.startswith("lower") for row in maps["upper skin"])
    assert not any(row.startswith("upper") for row in maps["lower skin"])


@pytest.mark.parametrize("job", EXAMPLES)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_examples_draw(job, unit, tmp_path):
    file = tmp_path / "map.svg"
    arguments = ["map", job, "--units", unit, "-o", str(file)]
    done = CliRunner().invoke(main, arguments, standalone_mode=False)
    assert done.return_value == 0
    svg = ET.parse(file).getroot()  # noqa: S314 - our own drawing
    assert svg.get("role") == "img"
    assert svg.find(f"{SVG}title").text.startswith("Hole map: ")
    ids = [node.get("id") for node in svg.iter() if node.get("id")]
    assert len(ids) == len(set(ids))
    used = {use.get("href")[1:] for use in svg.iter(f"{SVG}use")}
    assert used <= set(ids)


def test_only_one_sheet_when_asked():
    arguments = ["map", "examples/elevator.toml", "--sheet", "upper skin", "--json"]
    done = CliRunner().invoke(main, arguments, standalone_mode=False)
    assert {entry["map"] for entry in json.loads(done.output)["result"]["holes"]} == {"upper skin"}


def test_a_sheet_nobody_knows_is_named_with_those_there_are():
    done = CliRunner().invoke(main, ["map", "examples/elevator.toml", "--sheet", "middle"])
    assert done.exit_code != 0
    text = str(done.exception)
    assert "--sheet" in text
    assert "middle" in text
    assert "upper skin, lower skin" in text


def test_hostile_names_stay_text():
    plan = planned(hostile_job())
    _report, svg = drawn(plan)
    assert {node.tag.removeprefix(SVG) for node in svg.iter()} <= {
        "svg", "g", "defs", "clipPath", "use", "title", "desc", "style", "text", "rect", "path",
        "circle",
    }  # fmt: skip
    assert not [name for node in svg.iter() for name in node.attrib if name.startswith("on")]
    titles = [node.text for node in svg.iter(f"{SVG}title")]
    assert f"Hole map: {HOSTILE[0]}" in titles
    assert HOSTILE[1] in titles


@settings(max_examples=30, deadline=None)
@given(name=st.text(st.characters(codec="utf-8"), min_size=1).filter(str.strip))
def test_any_name_makes_a_drawing_that_reads(name):
    text = MIXED.replace('"aslant"', json.dumps(name.replace("\x7f", " ")))
    try:
        plan = planned(text)
    except Exception as error:  # noqa: BLE001 - what the job reader refuses is not drawn
        assert "name" in str(error) or "TOML" in str(error) or "row" in str(error)  # noqa: PT017
        return
    _, svg = drawn(plan)
    assert len(placed(svg)) == 38


def test_five_thousand_holes_stay_a_small_file():
    report, svg = drawn(planned(many_holes()))
    assert len(placed(svg)) == 5000
    assert len(render_svg(report)) < 200 * 5000
    rings = {node.get("id") for node in svg.iter(f"{SVG}g") if node.get("id")}
    assert len(rings) == 1  # one sign, used five thousand times


def test_rings_of_neighbours_do_not_meet():
    _, svg = drawn(planned(many_holes(6, 40)))
    spots = sorted((x, y) for _, x, y, _ in placed(svg))
    least = min(abs(y - other) for (x, y), (_, other) in itertools.pairwise(spots) if y != other)
    (sign,) = (node for node in svg.iter(f"{SVG}g") if node.get("id"))
    ring = max(float(circle.get("r")) for circle in sign.iter(f"{SVG}circle"))
    assert 2.0 * ring < least


def test_a_hole_that_fails_does_not_hide_behind_a_margin_that_passes():
    # The hole measured .12 in wide is past saving, though the drawn edge of its old rivet is not.
    job = read_job("examples/inspection_cover.toml")
    bench = (BenchHole("nutplates:1", 0.098, 0.12, None, None, "", "by hand"),)
    plan = plan_job(job, measured=bench)
    hole = next(n for n in range(len(plan.holes)) if plan.holes.name(n) == "nutplates:1")

    assert hole_verdicts(plan).verdicts[hole] is Verdict.FAIL
    _, svg = drawn(plan)
    told = [node.text for node in svg.iter(f"{SVG}text")]
    assert "But nutplates:1: FAIL" in told


# --- names on the map


#: A fin whose rows run along its slanting edges; the hinge line stands before it. Invented.
FIN = """
name = "fin"
[hinge]
from = [-1.25, 0]
to = [-1.25, 42]
[[sheet]]
name = "skin"
old = { alloy = "2024-T3", thickness = 0.050 }
new = { alloy = "2024-T3", thickness = 0.063 }
[sheet.outline]
start = [0, 0]
edges = [
  { name = "bottom", to = [18, 0] },
  { name = "trailing", to = [12, 42] },
  { name = "top", to = [0, 42] },
  { name = "front", to = [0, 0] },
]
[[row]]
name = "spar row"
rivet = "MS20470AD3-3"
path = [[0.375, 0.375], [0.375, 41.625]]
count = 49
layers = ["skin"]
[[row]]
name = "slanting row"
rivet = "MS20470AD3-3"
path = [[17.5, 0.375], [11.55, 41.625]]
count = 50
layers = ["skin"]
"""


def names_on(svg):
    """Every turned or level name with the corners of what it covers [mm], by its own attributes."""
    found = {}
    for node in svg.iter(f"{SVG}text"):
        if "halo" not in (node.get("class") or "") or node.get("dominant-baseline") is None:
            continue
        x, y = float(node.get("x")), float(node.get("y"))
        turn = re.match(r"rotate\((\S+) ", node.get("transform", "rotate(0 "))[1]
        way = np.exp(1j * np.radians(float(turn)))
        # Common practice, no source: a letter of a plain face is about half as wide as high.
        half = (len(node.text) * 2.6 * 0.5 / 2.0, 2.6 * 0.7 / 2.0)
        corners = [way * complex(a * half[0], b * half[1]) for a in (-1, 1) for b in (-1, 1)]
        found[node.text] = [(x + corner.real, y + corner.imag) for corner in corners]
    return found


def test_every_row_and_the_hinge_line_are_named_off_the_outline():
    _, svg = drawn(planned(FIN))
    names = names_on(svg)

    assert {"spar row", "slanting row", "hinge line"} <= names.keys()
    spots = np.array([(x, y) for _, x, y, _ in placed(svg)])
    # From where holes are drawn to where the outline is: by two holes whose places are known.
    low, high = spots[0], spots[48]
    scale = (low[1] - high[1]) / 41.25
    corner = low + np.array((-0.375, 0.375)) * scale
    edges = np.array([(0, 0), (18, 0), (12, -42), (0, -42), (0, 0)]) * scale + corner
    hinge = np.array([(-1.25, 0), (-1.25, -42)]) * scale + corner
    for text, corners in names.items():
        one, across, along = (np.array(corner) for corner in corners[:3])
        along, across = along - one, across - one  # from one corner to the two beside it
        shares = np.stack([(spots - one) @ way / (way @ way) for way in (along, across)])
        assert not ((shares > 0) & (shares < 1)).all(axis=0).any(), text  # no hole under a name
        for start, end in (*itertools.pairwise(edges), hinge):
            (run, rise) = end - start
            sides = {np.sign(run * (y - start[1]) - rise * (x - start[0])) for x, y in corners}
            far = [np.dot(np.array(spot) - start, end - start) for spot in corners]
            beside = max(far) < 0 or min(far) > np.dot(end - start, end - start)
            assert len(sides) == 1 or beside, text  # no line goes through a name


def test_the_hinge_line_is_drawn_where_it_is():
    _, svg = drawn(planned(FIN))
    (line,) = (node for node in svg.iter(f"{SVG}path") if node.get("class") == "hm-hinge")
    (start, end) = (
        np.array(spot.split(), dtype=float) for spot in line.get("d").lstrip("M").split("L")
    )
    first = next((x, y) for words, x, y, _ in placed(svg) if words.startswith("spar row:1:"))
    last = next((x, y) for words, x, y, _ in placed(svg) if words.startswith("spar row:49:"))
    scale = (first[1] - last[1]) / 41.25
    assert start[0] == pytest.approx(first[0] - 1.625 * scale, abs=0.01)  # 1.25 + .375 in ahead
    assert start[0] == pytest.approx(end[0], abs=1e-3)
    assert max(start[1], end[1]) >= first[1] + 0.375 * scale
    assert "Larger than the picture: hinge line." not in render_svg(
        map_report(planned(FIN), inputs={}, length_unit="in")
    )
    far = planned(FIN.replace("-1.25, ", "-90, "))
    assert "Larger than the picture: hinge line." in render_svg(
        map_report(far, inputs={}, length_unit="in")
    )


# --- after the bench


def measured_plan():
    """The elevator after the bench: AC 43.13-1B tables 4-9 to 4-11 (derived) give a 3/32 rivet a
    hole of .096 in and a 1/8 one .1285; .190 is past all that the thin skin allows. One of the
    trailing edge's rivets was only written about.
    """
    sizes = {"upper spar:3": 0.12, "upper spar:10": 0.12, "upper spar:5": 0.098}
    sizes |= {"upper spar:20": 0.19, "lower spar:7": 0.12}
    bench = [BenchHole(name, d, d, None, None, "", "by hand") for name, d in sizes.items()]
    job = read_job("examples/elevator.toml")
    return plan_job(
        job, measured=bench, noted=[BenchNote("trailing edge:4", "remarked: crack", "by hand")]
    )


def test_the_picture_tells_what_every_measured_hole_gets():
    plan = measured_plan()
    _, svg = drawn(plan, sheet="upper skin")
    told = [node.text for node in svg.iter(f"{SVG}text")]
    counts = {
        "same rivet again: 1 hole",
        "another rivet: 2 holes",
        "no rivet fits: 1 hole",
        "remarked on only: 1 hole",
        "not measured, no mark: 235 holes",  # of 240
    }
    assert counts <= set(told)
    assert "MS20426AD4-4: upper spar:3, 10" in told
    assert "no rivet fits: upper spar:20" in told
    assert "remarked on only: trailing edge:4" in told
    # what goes in is named at the hole too, with the row: another row's hole 3 may be as near
    named = {"upper spar:3: MS20426AD4-4", "upper spar:10: MS20426AD4-4"}
    assert named | {"upper spar:20: no rivet fits"} <= set(told)
    kinds = {node.get("id"): ET.tostring(node, encoding="unicode") for node in svg.iter(f"{SVG}g")}
    signs = {words.partition(": ")[0]: kinds[href[1:]] for words, _, _, href in placed(svg)}
    marks = {fate: re.findall(r' (?:d|r)="([^"]+)"', fate_mark(fate, 1.0)) for fate in FATE_WORDS}
    for hole, fate in (("3", "another"), ("10", "another"), ("5", "same"), ("20", "none")):
        assert all(f'"{drawn_as}"' in signs[f"upper spar:{hole}"] for drawn_as in marks[fate])
    assert not any(f'"{marks["another"][0]}"' in signs[f"upper spar:{n}"] for n in (4, 5, 20))
    (description,) = (node.text for node in svg.iter(f"{SVG}desc"))
    assert "after the bench: 1 same rivet again, 2 another rivet, 1 no rivet fits" in description
    assert "no rivet fits: upper spar:20" in description
    titles = {node.text for use in svg.iter(f"{SVG}use") for node in use.iter(f"{SVG}title")}
    assert any(t.startswith("upper spar:20: FAIL") and "; no rivet fits" in t for t in titles)


def test_a_map_without_a_worksheet_says_nothing_of_the_bench():
    _, svg = drawn(plan_job(read_job("examples/elevator.toml")))
    text = ET.tostring(svg, encoding="unicode")
    assert not any(words in text for words in (*FATE_WORDS.values(), "bench"))
    assert "hm-mark" not in text.partition("</style>")[2]


def test_every_fate_has_a_mark_of_its_own_and_the_unmeasured_none():
    marks = [fate_mark(fate, 1.0) for fate in FATE_WORDS]
    assert len(set(marks)) == len(marks)
    assert [fate for fate in FATE_WORDS if not fate_mark(fate, 1.0)] == ["not measured"]
    assert fate_mark(None, 1.0) == ""


def test_an_undecided_hole_is_marked_as_such():
    """The rib's edge was not measured: nobody knows whether the next size may go in."""
    text = JOB.replace('{ layer = "rib", row_from_edge = 0.3125 }', '"rib"')
    text = text.replace("0.032", "0.05").replace("0.025", "0.05")
    bench = [BenchHole("row:4", 0.12, 0.12, None, None, "", "by hand")]
    _, svg = drawn(plan_job(parse_job(text), measured=bench))
    told = [node.text for node in svg.iter(f"{SVG}text")]
    assert "not settled: row:4" in told
    assert "not settled: 1 hole" in told


def test_the_list_of_holes_and_the_picture_tell_the_same(tmp_path):
    plan = measured_plan()
    report = map_report(plan, inputs={}, length_unit="in")
    listed = {hole["hole"]: hole["after_the_bench"] for hole in report.result["holes"]}
    assert listed["upper spar:10"] == "another rivet"
    assert listed["lower spar:7"] == "another rivet"
    assert listed["lower spar:8"] == "not measured"
    sheet = tmp_path / "holes.csv"
    sheet.write_text("hole,measured least,measured greatest\nupper spar:3,.12,\n")
    ran = CliRunner().invoke(
        main, ["map", "examples/elevator.toml", "--measured", str(sheet), "--format", "text"]
    )
    (line,) = (line for line in ran.output.splitlines() if "upper spar:3 " in line)
    assert "MS20426AD4" in line
    assert "another rivet" in line


def test_no_name_stands_on_the_mark_of_a_hole_that_gets_no_rivet():
    """The row's name would stand beside its middle hole, row:7, over that hole's mark."""
    text = JOB.replace('{ layer = "rib", row_from_edge = 0.3125 }', '"rib"')
    bench = [BenchHole("row:7", 0.12, 0.12, None, None, "", "by hand")]
    _, svg = drawn(plan_job(parse_job(text), measured=bench))
    spots = {words.partition(":")[2].partition(":")[0]: (x, y) for words, x, y, _ in placed(svg)}
    x, y = spots["7"]
    ring = (
        min(math.dist(one, other) for one, other in itertools.combinations(spots.values(), 2)) / 4
    )
    names = {
        node.text: node for node in svg.iter(f"{SVG}text") if node.get("text-anchor") == "middle"
    }
    name = names["row"]
    beside = abs(float(name.get("x")) - (x + ring)), abs(float(name.get("y")) - (y - ring))
    assert beside[0] > ring or beside[1] > ring


def test_a_hole_is_named_with_its_row_where_the_sheet_has_several():
    """A bare number beside the holes of another row would be read as one of that row."""
    bench = [BenchHole("ring to skin:4", 0.146, 0.146, None, None, "", "by hand")]
    job = read_job("examples/inspection_cover.toml")
    _, svg = drawn(plan_job(job, measured=bench))
    told = [node.text for node in svg.iter(f"{SVG}text") if node.text]
    assert "ring to skin:4: MS20470AD5-5" in told
    assert "4: MS20470AD5-5" not in told


def test_a_fate_is_told_in_one_line_whatever_rivet_the_rows_had():
    notes = [
        BenchNote(name, "remarked: crack", "by hand") for name in ("ring to skin:8", "nutplates:6")
    ]
    job = read_job("examples/inspection_cover.toml")
    _, svg = drawn(plan_job(job, measured=[], noted=notes))
    told = [node.text or "" for node in svg.iter(f"{SVG}text")]
    (line,) = (
        text for text in told if text.startswith("remarked on only: ") and "hole" not in text
    )
    assert line == "remarked on only: ring to skin:8; nutplates:6"


def test_what_is_said_of_several_things_under_the_map_is_told_once_with_all_their_names():
    sizes = {"upper spar:20": 0.19, "lower spar:20": 0.19}
    bench = [BenchHole(name, d, d, None, None, "", "by hand") for name, d in sizes.items()]
    _, svg = drawn(plan_job(read_job("examples/elevator.toml"), measured=bench))
    told = [node.text or "" for node in svg.iter(f"{SVG}text")]
    (line,) = [text for text in told if "change about the hinge" in text]
    assert line.startswith("not checked: ")
    assert all(name in line for name in sizes)


def test_lines_under_the_map_end_within_the_page():
    """Letters of the usual faces are half as wide as high on average; 186 mm is the page."""
    names = [f"hole number {number} of a row with a long name" for number in range(12)]
    text = MIXED.replace('name = "every verdict"', f"name = 'every verdict'\nassumed = {names}")
    _, svg = drawn(planned(text))
    lines = [
        (float(node.get("x")), node.text or "")
        for node in svg.iter(f"{SVG}text")
        if any(name in (node.text or "") for name in names) or "not checked: " in (node.text or "")
    ]
    assert len(lines) > 2
    assert all(x + 0.5 * 2.6 * len(words) <= 186.0 for x, words in lines)
    assert set(re.findall(r"hole number (\d+)", " ".join(words for _, words in lines))) == {
        str(number) for number in range(12)
    }


def test_a_picture_that_comes_loose_says_of_which_job_it_is():
    _, svg = drawn(planned(MIXED))
    assert "every verdict" in " ".join(node.text or "" for node in svg.iter(f"{SVG}text"))


def style_of(svg, name):
    """Size [mm], weight and colour of a class of text, as the style says for a light page."""
    style = "".join(node.text or "" for node in svg.iter(f"{SVG}style"))
    return re.search(rf"\.hm-{name}\{{([^}}]*)\}}", style).group(1)


def test_that_it_is_no_template_can_be_read_at_arms_length():
    """A line that keeps somebody from drilling by a picture is bold, in ink, and 8 pt or more."""
    _, svg = drawn(planned(MIXED))
    (line,) = [n for n in svg.iter(f"{SVG}text") if "not a template" in (n.text or "")]
    classes = [name.removeprefix("hm-") for name in line.get("class").split()]
    assert classes == ["text", "warn"]
    style = style_of(svg, "warn")
    assert "font-weight:bold" in style
    assert "fill" not in style  # the ink of the text
    (size_mm,) = map(float, re.findall(r"font-size:([\d.]+)px", style))
    assert size_mm * 72 / 25.4 >= 8.0
    bar = min(float(n.get("x")) for n in svg.iter(f"{SVG}rect") if n.get("class") == "hm-bar")
    assert float(line.get("x")) + 0.58 * size_mm * len(line.text) < bar


def test_failures_and_cautions_under_the_map_are_no_smaller_than_the_legend():
    plan = plan_job(read_job("examples/elevator.toml"))
    report, svg = drawn(plan)
    kinds = {node.text: node.get("class") for node in svg.iter(f"{SVG}text")}
    (legend,) = {kind for text, kind in kinds.items() if (text or "").startswith("pass: ")}
    assert report.cautions
    assert {kinds[line] for line in report.cautions} == {legend}


@pytest.mark.parametrize("verdict", list(Verdict))
def test_the_name_in_the_detail_stands_off_the_sign_of_its_hole(verdict):
    """Down the page is more: the letters stand up to 2 mm above their line."""
    radius_mm, middle_mm = 4.0, 23.0
    down_mm = _name_down_mm(verdict, radius_mm, middle_mm, upward=False)
    up_mm = _name_down_mm(verdict, radius_mm, middle_mm, upward=True)
    sign = verdict_mark(verdict, 1.15 * radius_mm, radius_mm)
    reach_mm = max(abs(float(word)) for word in re.findall(r"-?\d+\.?\d*", _shape_of(sign)))
    assert down_mm - 2.0 >= reach_mm
    assert -up_mm >= reach_mm


def _shape_of(sign):
    """The numbers that tell where a sign is drawn."""
    return " ".join(re.findall(r' (?:r|x|y|d)="([^"]*)"', sign))
