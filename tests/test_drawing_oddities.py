"""Drawings as they come: one hole drawn in several ways, lines that are no outline, old forms."""

import io
import math
import re

import pytest
from click.testing import CliRunner
from test_drawings import circle, skipped, square

from rivetkit.cli.app import exit_code_of, main
from rivetkit.errors import InputError
from rivetkit.job.drawing import dxf as drawing_dxf
from rivetkit.job.drawing.chains import JOIN_IN
from rivetkit.job.drawing.parts import read_drawing
from rivetkit.job.drawing.text import job_fragment

ezdxf = pytest.importorskip("ezdxf", reason="the extra dxf is not installed")


def as_circle(space):
    circle(space, 1, 2, 0.128)


def as_full_arc(space):
    space.add_arc((1, 2), 0.064, 90, 450, dxfattribs={"layer": "RIVETS"})


def as_round_ellipse(space):
    space.add_ellipse((1, 2), (0, 0.064), ratio=1.0, dxfattribs={"layer": "RIVETS"})


def as_two_arcs(space):
    space.add_arc((1, 2), 0.064, 0, 180, dxfattribs={"layer": "RIVETS"})
    space.add_arc((1, 2), 0.064, 180, 360, dxfattribs={"layer": "RIVETS"})


@pytest.mark.parametrize("draw", [as_circle, as_full_arc, as_round_ellipse, as_two_arcs])
def test_a_hole_is_a_hole_however_it_is_drawn(drawn, draw):
    (group,) = drawn(draw).groups
    assert group.layer == "RIVETS"
    assert group.points == (pytest.approx((1, 2)),)
    assert group.diameter_in == pytest.approx(0.128)


def test_what_only_looks_round_is_no_hole(drawn):
    def draw(space):
        as_circle(space)
        space.add_circle((3, 3), 0, dxfattribs={"layer": "DOT"})
        space.add_ellipse(
            (4, 4), (0, 0.064, 0), ratio=1.0, dxfattribs={"layer": "TILTED", "extrusion": (1, 0, 1)}
        )
        space.add_ellipse((5, 5), (1e9, 0), ratio=0.5, dxfattribs={"layer": "FAR"})
        # Half a turn there and the same half back is all arc, and no circle.
        space.add_lwpolyline(
            [(6, 6, 0, 0, 1), (7, 6, 0, 0, -1)], close=True, dxfattribs={"layer": "THERE AND BACK"}
        )

    drawing = drawn(draw)
    assert [group.name for group in drawing.groups] == ["RIVETS"]
    assert drawing.sheet is None
    assert {key: why for key, (_, why) in skipped(drawing).items()} == {
        ("CIRCLE", "DOT"): "it has no size",
        ("ELLIPSE", "TILTED"): "not flat in the xy plane",
        ("ELLIPSE", "FAR"): "it reaches farther than 10000 in, beyond any skin",
        ("outline", "THERE AND BACK"): "it crosses itself",
    }


def test_polylines_of_old_drawings(drawn):
    """A flat one in space is read, a mesh is none, and what only steers a curve is no corner."""

    def draw(space):
        as_circle(space)
        space.add_polyline3d([(0, 0, 0), (6, 0, 0), (6, 4, 0), (0, 4, 0)], close=True)
        space.add_polymesh((2, 2), dxfattribs={"layer": "MESH"})
        fitted = space.add_polyline2d([(1, 1), (2, 1), (2, 2), (1, 2), (9, 9)], close=True)
        fitted.vertices[-1].dxf.flags |= fitted.vertices[-1].SPLINE_FRAME_CONTROL_POINT

    drawing = drawn(draw)
    assert drawing.sheet.outline.area_in2 == pytest.approx(24)
    assert [cutout.area_in2 for cutout in drawing.sheet.cutouts] == [pytest.approx(1)]
    assert skipped(drawing) == {("POLYLINE", "MESH"): (1, "its numbers make no shape")}


def test_a_circle_drawn_in_short_lines_is_two_arcs(drawn):
    angles = [math.tau * step / 400 for step in range(400)]
    ring = [(3 * math.cos(angle), 3 * math.sin(angle)) for angle in angles]
    drawing = drawn(lambda space: space.add_lwpolyline(ring, close=True))
    assert [piece.kind for piece in drawing.sheet.outline.pieces] == ["arc", "arc"]
    assert drawing.sheet.outline.area_in2 == pytest.approx(math.pi * 9, rel=1e-4)


def test_a_dot_and_a_line_drawn_twice_leave_the_outline_whole(drawn):
    corners = [(0, 0), (5, 0), (5, 3), (0, 3)]

    def draw(space):
        for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
            space.add_line(start, end)
        space.add_line((5, 0), (0, 0))
        space.add_line((5, 3), (5 + JOIN_IN / 2, 3))

    drawing = drawn(draw)
    assert drawing.sheet.outline.area_in2 == pytest.approx(15)
    assert skipped(drawing) == {("line or arc", "0"): (1, "drawn twice")}


def test_what_is_no_cutout_is_told(drawn):
    def draw(space):
        square(space, 10)
        square(space, 10, layer="AGAIN")
        square(space, 2, at=(1, 1), layer="HATCH")
        square(space, 1, at=(3, 1), layer="TOUCHES IT")
        square(space, 1, at=(20, 1), layer="ANOTHER PART")
        space.add_lwpolyline([(5, 5), (6, 5)], close=True, dxfattribs={"layer": "SLIT"})

    drawing = drawn(draw)
    assert [cutout.layer for cutout in drawing.sheet.cutouts] == ["HATCH"]
    assert skipped(drawing) == {
        ("outline", "AGAIN"): (1, "drawn twice"),
        ("outline", "TOUCHES IT"): (1, "it touches or lies in another cut-out"),
        ("outline", "ANOTHER PART"): (1, "not inside the largest outline"),
        ("outline", "SLIT"): (1, "it encloses nothing"),
    }


def test_rows_of_one_name_are_told_apart(drawn):
    def draw(space):
        circle(space, 1, 1, 0.128, layer="A 0.128")
        circle(space, 2, 1, 0.128, layer="A")
        circle(space, 3, 1, 0.098, layer="A")

    names = [group.name for group in drawn(draw).groups]
    assert names == ["A 0.128", "A 0.128 (2)", "A 0.098"]


def test_an_outline_without_holes_is_read_and_shown(drawn, tmp_path):
    def draw(space):
        square(space, 10)
        circle(space, 5, 5, 3, layer="LIGHTENING")

    drawing = drawn(draw)
    assert drawing.groups == ()
    assert "[[row]]" not in job_fragment(drawing, "in")
    file = str(tmp_path / "drawing.dxf")
    shown = CliRunner().invoke(main, ["import-holes", file, "--format", "html"]).stdout
    cells = re.findall(r"<td[^>]*>([^<]*)", shown.partition("round cut-out")[2])[:4]
    assert cells == ["LIGHTENING", "1", "3.0000", "3.0000"]


def test_standard_input_holds_a_drawing(monkeypatch):
    document = ezdxf.new("R2010", units=1)
    document.header["$INSUNITS"] = 1
    as_circle(document.modelspace())
    text = io.StringIO()
    document.write(text)
    monkeypatch.setattr("sys.stdin", io.StringIO(text.getvalue()))
    assert read_drawing("-").groups[0].points == (pytest.approx((1, 2)),)


def test_a_drawing_with_nothing_to_use_says_what_it_holds(drawn):
    def draw(space):
        space.add_text("skin", dxfattribs={"layer": "WORDS"})

    with pytest.raises(InputError, match=r"no closed outline \(skipped: 1 TEXT on WORDS\)"):
        drawn(draw)


def test_more_than_a_job_may_have_is_refused(drawn, monkeypatch):
    monkeypatch.setattr(drawing_dxf, "MAX_HOLES", 2)

    def draw(space):
        for x in range(3):
            circle(space, x, 0, 0.128)

    with pytest.raises(InputError, match="more than the 2 things a job may have; choose layers"):
        drawn(draw)


def test_a_list_of_holes_has_no_layers(tmp_path, capsys):
    path = tmp_path / "holes.csv"
    path.write_text("x,y\n1,2\n", encoding="utf-8")
    assert exit_code_of(["import-holes", str(path), "--layer", "RIVETS"]) == 2
    assert capsys.readouterr().err == "error: --layer: a CSV file has no layers; leave it out\n"
