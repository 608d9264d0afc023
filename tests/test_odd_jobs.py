"""Jobs off the beaten track: rows through members alone, kept rivets, what cannot be weighed.

All invented.
"""

import json
import math
import re
import xml.etree.ElementTree as ET

import pytest
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET

from rivetkit.checks import Verdict
from rivetkit.cli.app import exit_code_of
from rivetkit.fasteners import parse_part_number
from rivetkit.job.read import parse_job
from rivetkit.planning.new_hole.search import NewHoleFinder
from rivetkit.planning.plan import plan_job
from rivetkit.reports.drawings.map_view import map_views
from rivetkit.reports.drawings.svg_map import render_svg
from rivetkit.reports.plans.map_report import map_report

SVG = "{http://www.w3.org/2000/svg}"


def member(name, **more):
    lines = "".join(f"{key} = {json.dumps(value)}\n" for key, value in more.items())
    return f'[[member]]\nname = "{name}"\nkind = "rib"\nthickness = 0.025\n{lines}'


def row(name, layers, y, **more):
    keys = {"rivet": "MS20470AD3-3", **more}
    lines = "".join(f"{key} = {json.dumps(value)}\n" for key, value in keys.items())
    return (
        f'[[row]]\nname = "{name}"\npath = [[0.5, {y}], [9.5, {y}]]\ncount = 13\n'
        f"layers = {json.dumps(layers)}\n{lines}"
    )


MEMBERS = [member(name, edge_distance=0.3) for name in ("web", "cap", "clip", "lug")]
#: Under the skin's row, a web riveted to a cap, and a third pair that touches neither.
FRAME = (
    JOB
    + "".join(MEMBERS)
    + row("web to cap", ["web", "cap"], 2)
    + row("cap to web", ["cap", "web"], 3)
    + row("clip to lug", ["clip", "lug"], 4)
)


def planned(text):
    return plan_job(parse_job(text))


# --- rows that no sheet lies on -----------------------------------------------------------------


def test_members_joined_by_a_row_share_a_map_and_others_have_their_own():
    views = map_views(planned(FRAME), "in")
    shown = {view.name: {line.name for line in view.rows} for view in views}
    assert shown == {
        "skin": {"row"},
        "web": {"web to cap", "cap to web"},
        "clip": {"clip to lug"},
    }
    assert [len(view.holes) for view in views] == [13, 26, 13]


def test_a_map_without_a_sheet_has_every_hole_and_no_outline():
    plan = planned(FRAME)
    drawing = ET.fromstring(  # noqa: S314 - our own drawing
        render_svg(map_report(plan, inputs={}, length_unit="in"))
    )
    assert sum(1 for _ in drawing.iter(f"{SVG}use")) >= 52
    names = [title.text for title in drawing.iter(f"{SVG}title")]
    for hole in ("row:1", "web to cap:13", "clip to lug:1"):
        assert any(text and text.startswith(hole) for text in names), hole
    described = " ".join(
        element.get("aria-label") or element.text or "" for element in drawing.iter()
    )
    assert "Hole map of clip: 13 holes" in described


def test_a_template_of_a_job_with_rows_on_members_alone(tmp_path, capsys):
    pytest.importorskip("fpdf", reason="the extra pdf is not installed")
    job, paper = tmp_path / "job.toml", tmp_path / "template.pdf"
    job.write_text(FRAME, encoding="utf-8")
    assert exit_code_of(["template", str(job), "-o", str(paper)]) == 0
    capsys.readouterr()
    assert paper.read_bytes().startswith(b"%PDF-")


def screwed(name, layers, at):
    """Return a nutplate's row with one screw at a place."""
    stack = json.dumps([{"layer": layer, "form": "dimpled"} for layer in layers])
    stack = re.sub(r'"(\w+)":', r"\1 =", stack)
    return (
        f'[[row]]\nname = "{name}"\nrivet = "MS20426AD3-4"\nnutplate = "MS21047-3"\nlug = 0.032\n'
        f"screws = [{{ at = {json.dumps(at)} }}]\nlayers = {stack}\n"
    )


def test_screws_are_held_apart_only_where_they_share_a_layer():
    def gaps(other):
        rows = screwed("one", ["web", "cap"], [3, 3]) + screwed("other", other, [3, 4.2])
        return planned(HEAD + "".join(MEMBERS) + rows).screws.gaps

    (gap,) = gaps(["cap", "web"])
    assert gap.distance_in == pytest.approx(1.2)
    assert gaps(["clip", "lug"]) == ()


def test_a_new_hole_keeps_clear_of_a_screw_in_a_member_nobody_drew():
    # Army AL0992 p 59 (seen): 2 D from the centre of a protruding-head rivet to any edge.
    job = parse_job(HEAD + "".join(MEMBERS) + screwed("plate", ["web", "cap"], [3, 3]))
    (circle, *_) = job.layers["web"].screw_holes
    finder = NewHoleFinder(job, parse_part_number("MS20470AD3"), ["web"])
    answer = finder.at((3.0, 3.05), reach_in=2.0)
    assert answer.verdict is Verdict.FAIL
    off_in = math.dist(answer.nearest, circle.centre)
    assert off_in >= circle.radius_in + 2 * 3 / 32 - 1e-6


# --- balance -------------------------------------------------------------------------------------

HINGE = "[hinge]\nfrom = [0, 0]\nto = [10, 0]\n"


def test_what_cannot_be_weighed_is_named_once_and_left_out():
    # No head of AN430 is on file, so no mass of it; a member without an outline has no area.
    balance = planned(
        HEAD
        + HINGE
        + SHEET
        + member("strap", edge_distance=0.3, added=True, alloy="2024-T3")
        + row("round heads", ["skin"], 2, rivet="AN430AD3-3")
        + row("more round heads", ["skin", "strap"], 3, rivet="AN430AD3-3")
    ).balance
    assert sorted(one.words for one in balance.unknown) == [
        "AN430AD3-3: no mass can be computed",
        "strap: it has no outline, so no area",
    ]


STAYS = member("web", edge_distance=0.3) + member("cap", edge_distance=0.3)


def test_rivets_that_stay_in_need_no_weight():
    out = row("goes", ["web", "cap"], 3, rivet="AN430AD3-3")
    (unknown,) = planned(HEAD + HINGE + SHEET + STAYS + out).balance.unknown
    assert unknown.words == "AN430AD3-3: no mass can be computed"
    assert planned(HEAD + HINGE + SHEET + STAYS + out + "kept = true\n").balance.unknown == ()


# --- orders and tools ----------------------------------------------------------------------------


@pytest.fixture
def said(tmp_path, capsys):
    """Return a function that runs a command on a job and returns its words on one line."""

    def run(command, text, *options):
        job = tmp_path / "job.toml"
        job.write_text(text, encoding="utf-8")
        assert exit_code_of([command, str(job), *options]) in {0, 1}
        out, err = capsys.readouterr()
        assert err == ""
        return " ".join(out.split())

    return run


def test_an_order_of_nothing_says_so(said):
    kept = row("stays", ["web", "cap"], 3, kept=True)
    assert "Nothing to order: no job fits a rivet." in said("order", HEAD + STAYS + kept)


def test_an_order_names_what_it_could_not_weigh(said):
    odd = row("round heads", ["skin"], 3, rivet="AN430AD3-3", fit="AN430AD3-4")
    assert "Mass not known: AN430AD3-4." in said("order", HEAD + SHEET + odd)


def test_an_order_of_a_bad_job_names_every_row_that_fails(said):
    places = range(5, 50, 5)
    bad = "".join(row(f"row {y}", ["skin"], y / 100, seam_rows=2) for y in places)
    words = said("order", HEAD + SHEET + bad)
    told = words[words.index("Settle before ordering") : words.index("To order")]
    assert told.count("FAIL") >= len(places)
    assert all(f"row {y}:" in told for y in places)


def test_no_stock_punch_is_laid_out_for_rivets_too_small_for_any():
    # Geometry: a punch that follows the rivet out is no wider than its shank, here 1/16 in.
    small = planned(
        HEAD + SHEET + STAYS + row("small", ["skin", "web", "cap"], 3, rivet="MS20470AD2-3")
    )
    (line,) = small.removal
    assert line.card.punch is None
    punches = [tool.size for tool in small.tools.tools if tool.tool == "pin punch"]
    assert punches == ["under 1/16 in"]  # 1/16 is the least stock size: one has to be ground
    assert "1/16 in" in {tool.size for tool in planned(JOB).tools.tools}


# --- the command line ----------------------------------------------------------------------------


def test_a_rule_set_of_the_command_replaces_the_jobs(said):
    text = HEAD + 'rule_set = "army"\n' + SHEET + MEMBER + ROW
    assert "rule set army" in said("plan", text)
    assert "rule set navy" in said("plan", text, "--rule-set", "navy")


def test_a_person_at_a_terminal_is_told_how_far_a_long_plan_is(tmp_path, capsys, monkeypatch):
    from rivetkit.cli import planned as module

    monkeypatch.setattr(module, "_MANY_HOLES", 13)
    job = tmp_path / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    assert exit_code_of(["plan", str(job), "-q"]) == 0
    assert capsys.readouterr().err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    assert exit_code_of(["plan", str(job), "-q"]) == 0
    told = capsys.readouterr().err.splitlines()
    assert told
    assert all(re.fullmatch(r"13 holes: .+ \.\.\.", line) for line in told)


@pytest.mark.parametrize(
    ("y", "verdict", "words"),
    [
        (0.5, Verdict.PASS, "The plan of this job passes."),
        (0.19, Verdict.MARGINAL, "passes, but for marginal places"),
        (0.1, Verdict.FAIL, "THE PLAN OF THIS JOB FAILS"),
    ],
)
def test_a_template_tells_how_the_plan_came_out(tmp_path, capsys, y, verdict, words):
    pytest.importorskip("fpdf", reason="the extra pdf is not installed")
    pypdf = pytest.importorskip("pypdf")
    # 2 D of 3/32 is .1875 in: .19 holds, but not with .005 off.
    text = HEAD + "accuracy = 0.005\n" + SHEET + row("row", ["skin"], y)
    assert planned(text).verdict is verdict
    job, paper = tmp_path / "job.toml", tmp_path / "template.pdf"
    job.write_text(text, encoding="utf-8")
    assert exit_code_of(["template", str(job), "-o", str(paper)]) in {0, 1}
    capsys.readouterr()
    first = pypdf.PdfReader(paper).pages[0].extract_text()
    assert words in " ".join(first.split())
