"""Drawings in and out: what ezdxf wrote is read, and what rivetkit wrote ezdxf reads."""

import csv
import io
import json
import math
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
import shapely.affinity
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.cli.app import exit_code_of, main
from rivetkit.errors import InputError
from rivetkit.fasteners.catalogue import rivet_hole
from rivetkit.job.drawing.chains import FLATTEN_IN, JOIN_IN
from rivetkit.job.drawing.dxf import _UNIT_CODES
from rivetkit.job.drawing.parts import read_drawing
from rivetkit.job.drawing.text import FILL_IN, holes_csv, job_fragment
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job, read_job
from rivetkit.planning.plan import plan_job
from rivetkit.reports.drawings.dxf_out import dxf_drawing
from rivetkit.rules import RuleBook

ezdxf = pytest.importorskip("ezdxf", reason="the extra dxf is not installed")

EXAMPLES = Path(__file__).parent.parent / "examples"
INCHES, MILLIMETRES = 1, 4


def square(space, size, *, at=(0, 0), layer="EDGE"):
    x, y = at
    corners = [(x, y), (x + size, y), (x + size, y + size), (x, y + size)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})


def circle(space, x, y, diameter, layer="RIVETS", **more):
    space.add_circle((x, y), diameter / 2, dxfattribs={"layer": layer, **more})


def completed(drawing, unit="in", rivet="MS20470AD4"):
    """Return the job that the fragment makes once its lines are filled in."""
    return parse_job(job_fragment(drawing, unit, rivet).replace(FILL_IN, ""))


def skipped(drawing):
    return {(item.what, item.layer): (item.count, item.why) for item in drawing.skipped}


# --- circles ---------------------------------------------------------------------------------


def test_a_row_for_each_layer_and_diameter(drawn):
    def draw(space):
        circle(space, 1, 2, 0.128)
        circle(space, 2, 2, 0.128)
        circle(space, 3, 2, 0.098)
        circle(space, 4, 2, 0.128, layer="SPAR")

    groups = drawn(draw).groups
    assert [(group.name, group.points) for group in groups] == [
        ("RIVETS 0.128", ((1, 2), (2, 2))),
        ("RIVETS 0.098", ((3, 2),)),
        ("SPAR", ((4, 2),)),
    ]


@pytest.mark.parametrize(("code", "unit"), _UNIT_CODES.items())
def test_unit_codes_are_those_of_ezdxf(code, unit):
    """Outside reference: ezdxf's own list of $INSUNITS names and its factors."""
    names = {"in": "Inches", "ft": "Feet", "mm": "Millimeters", "cm": "Centimeters", "m": "Meters"}
    assert ezdxf.units.unit_name(code) == names[unit]
    metres_per_inch = 0.0254  # exact, by definition of the inch
    factor = ezdxf.units.conversion_factor(code, ezdxf.units.M) / metres_per_inch
    from rivetkit.quantities import from_unit

    assert from_unit(1.0, unit) == pytest.approx(factor, rel=1e-9)


def test_millimetres_become_inches_and_come_back(drawn):
    drawing = drawn(lambda space: circle(space, 25.4, 50.8, 3.175), units=MILLIMETRES)
    (group,) = drawing.groups
    assert group.points[0] == pytest.approx((1.0, 2.0), abs=1e-12)
    assert group.diameter_in == pytest.approx(0.125, abs=1e-12)
    assert holes_csv(drawing, "mm") == "x,y,diameter\n25.4,50.8,3.175\n"


def test_a_drawing_without_a_unit_is_refused_until_it_is_told(drawn):
    def draw(space):
        circle(space, 25.4, 0, 3.175)

    with pytest.raises(InputError, match=r"does not say its unit.*add --drawing-units"):
        drawn(draw, units=0)
    assert drawn(draw, units=0, drawing_unit="mm").groups[0].points[0][0] == pytest.approx(1.0)
    told = drawn(draw, units=INCHES, drawing_unit="mm")
    assert told.groups[0].points[0][0] == pytest.approx(1.0)
    assert "The file says it is drawn in in" in told.notes[0]


def test_circles_seen_from_below_are_mirrored_as_the_format_says(drawn):
    """Outside reference: ezdxf's own transformation of the centre."""
    drawing = drawn(lambda space: circle(space, 1, 2, 0.128, extrusion=(0, 0, -1)))
    assert drawing.groups[0].points[0] == pytest.approx((-1, 2))


def test_blocks_are_taken_apart_and_layer_0_is_the_layer_they_are_put_on(tmp_path):
    document = ezdxf.new(units=INCHES)
    document.header["$INSUNITS"] = INCHES
    block = document.blocks.new("HOLE")
    block.add_circle((0, 0), 0.064)
    space = document.modelspace()
    for x in (1, 2, 3):
        space.add_blockref("HOLE", (x, 0.5), dxfattribs={"layer": "RIB 1"})
    document.saveas(tmp_path / "blocks.dxf")
    (group,) = read_drawing(str(tmp_path / "blocks.dxf")).groups
    assert group.layer == "RIB 1"
    assert group.points == pytest.approx(np.array([(1, 0.5), (2, 0.5), (3, 0.5)]))
    assert group.diameter_in == pytest.approx(0.128)


def test_what_is_drawn_twice_or_round_a_hole_is_named(drawn):
    def draw(space):
        circle(space, 1, 1, 0.128)
        circle(space, 1, 1, 0.128)
        circle(space, 1, 1, 0.225)
        space.add_text("A", dxfattribs={"layer": "NOTES"})
        space.add_line((0, 0), (1, 0), dxfattribs={"layer": "CENTRE"})

    drawing = drawn(draw)
    assert drawing.holes == 1
    reasons = {(item.layer, item.what, item.count, item.why) for item in drawing.skipped}
    assert ("RIVETS", "CIRCLE", 1, "drawn twice") in reasons
    assert ("RIVETS", "CIRCLE", 1, "round a smaller circle, as a countersink is drawn") in reasons
    assert ("NOTES", "TEXT", 1, "neither a circle nor a line") in reasons
    assert any(layer == "CENTRE" and "open at (0, 0) in" in why for layer, _, _, why in reasons)


def test_only_the_layers_asked_for(drawn):
    def draw(space):
        circle(space, 1, 1, 0.128)
        circle(space, 2, 1, 0.128, layer="SPAR")

    drawing = drawn(draw, layers=["spar"])
    assert [group.layer for group in drawing.groups] == ["SPAR"]
    assert skipped(drawing) == {("CIRCLE", "RIVETS"): (1, "layer not asked for")}
    with pytest.raises(InputError, match=r"no layer 'RIB'; layers are .*RIVETS"):
        drawn(draw, layers=["RIB"])


def test_hidden_layers_are_left_out_and_named(drawn):
    def draw(space):
        circle(space, 1, 1, 0.128)
        circle(space, 2, 1, 0.128, layer="OLD")
        space.doc.layers.add("OLD").off()

    drawing = drawn(draw)
    assert drawing.holes == 1
    assert skipped(drawing) == {("CIRCLE", "OLD"): (1, "the layer is hidden")}


# --- outlines --------------------------------------------------------------------------------


def test_the_largest_outline_is_the_sheet_and_those_inside_are_cut_out(drawn):
    def draw(space):
        square(space, 2, at=(1, 1))
        square(space, 10)
        square(space, 1, at=(20, 20))
        circle(space, 7, 7, 2.0)
        circle(space, 5, 0.5, 0.128)

    drawing = drawn(draw)
    job = completed(drawing)
    boundary = job.layers["sheet"].boundary
    assert boundary.area_in2 == pytest.approx(100 - 4 - math.pi)
    assert boundary.edge_names[:5] == ("edge 1", "edge 2", "edge 3", "edge 4", "cut-out 1 edge 1")
    assert skipped(drawing) == {("outline", "EDGE"): (1, "not inside the largest outline")}
    assert job.rows[0].points.tolist() == [[5, 0.5]]


def test_holes_off_the_sheet_are_told(drawn):
    def draw(space):
        square(space, 10)
        circle(space, 5, 5, 0.128)
        circle(space, 15, 5, 0.128)

    assert any("1 of 2 holes lie off the sheet" in note for note in drawn(draw).notes)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("bulge", [1.0, -0.3, math.tan(math.pi / 8)])
def test_bulges_enclose_what_their_arcs_enclose(drawn, bulge, mirrored):
    """A bulge is the tangent of a quarter of the arc's angle: area of the segment by geometry."""

    def draw(space):
        attributes = {"extrusion": (0, 0, -1)} if mirrored else {}
        corners = [(0, 0, 0), (4, 0, bulge), (4, 4, 0), (0, 4, 0)]
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs=attributes)

    angle = 4 * math.atan(abs(bulge))
    radius = 2 / math.sin(angle / 2)
    segment = radius**2 / 2 * (angle - math.sin(angle))
    job = completed(drawn_with_hole(drawn, draw))
    expected = 16 + math.copysign(segment, bulge)
    assert job.layers["sheet"].boundary.area_in2 == pytest.approx(expected, abs=1e-3)


def drawn_with_hole(drawn, draw, **options):
    def both(space):
        draw(space)
        circle(space, 0.5, 0.5, 0.128)

    return drawn(both, **options)


def test_lines_and_arcs_in_any_order_and_direction_close(drawn):
    def draw(space):
        space.add_line((0, 3), (0, 0))
        space.add_arc((5, 1.5), 1.5, -90, 90)
        space.add_line((0, 0), (5, 0))
        space.add_line((5, 3 + JOIN_IN / 2), (0, 3))

    drawing = drawn_with_hole(drawn, draw)
    assert drawing.skipped == ()
    area = completed(drawing).layers["sheet"].boundary.area_in2
    assert area == pytest.approx(15 + math.pi * 1.5**2 / 2, abs=5 * JOIN_IN)


def test_a_gap_is_no_outline_and_its_place_is_told(drawn):
    def draw(space):
        space.add_lwpolyline([(0, 0), (5, 0), (5, 3), (0, 3), (0, 0.01)])

    (item,) = drawn_with_hole(drawn, draw).skipped
    assert item.count == 4
    assert item.why.startswith("no closed outline: open at (0, 0")


def test_ellipses_and_splines_stay_within_the_tolerance_told(drawn):
    def draw(space):
        space.add_ellipse((0, 0), major_axis=(6, 0), ratio=0.5)
        angles = np.linspace(0, math.tau, 13)[:-1]
        points = [(2 * math.cos(angle), math.sin(angle), 0) for angle in angles]
        space.add_spline().set_closed([*points])

    drawing = drawn_with_hole(drawn, draw)
    boundary = completed(drawing).layers["sheet"].boundary
    ring = boundary.outer.ring
    on_it = (ring[:, 0] / 6) ** 2 + (ring[:, 1] / 3) ** 2
    assert on_it == pytest.approx(np.ones(len(ring)), rel=1e-5)
    middles = (ring + np.roll(ring, -1, axis=0)) / 2
    # A point inside an ellipse of half axes 6 and 3 is off it by less than 6 times this.
    short = 1 - np.hypot(middles[:, 0] / 6, middles[:, 1] / 3)
    assert short.max() <= FLATTEN_IN / 3
    assert len(boundary.cutouts) == 1
    assert "within 0.0005 in" in job_fragment(drawing, "in")


@pytest.mark.parametrize(("lines", "kind"), [(200, "arc"), (40, "curve")])
def test_a_curve_drawn_in_short_lines_is_one_edge(drawn, lines, kind):
    """An arc only where no line leaves it by more than told: 3 in times 1 - cos(half the turn)."""
    assert (3 * (1 - math.cos(math.pi / lines / 2)) < FLATTEN_IN) == (kind == "arc")
    angles = np.linspace(0, math.pi, lines + 1)
    arc = [(3 * math.cos(angle), 3 * math.sin(angle)) for angle in angles]
    drawing = drawn_with_hole(drawn, lambda space: space.add_lwpolyline(arc, close=True))
    assert [piece.kind for piece in drawing.sheet.outline.pieces] == [kind, "line"]
    area = completed(drawing).layers["sheet"].boundary.area_in2
    drawn_area = float(shapely.area(shapely.polygons(arc)))
    assert area == pytest.approx(4.5 * math.pi if kind == "arc" else drawn_area, abs=1e-3)


def test_three_lines_that_hardly_turn_stay_three_edges(drawn):
    corners = [(0, 0), (5, 0), (10, 0.3), (15, 0.9), (15, 9), (0, 9)]
    drawing = drawn_with_hole(drawn, lambda space: space.add_lwpolyline(corners, close=True))
    assert [piece.kind for piece in drawing.sheet.outline.pieces] == ["line"] * 6


def test_arcs_come_back_as_arcs(tmp_path):
    job = completed(read_drawing(str(EXAMPLES / "access_panel.dxf")))
    path = tmp_path / "panel.dxf"
    path.write_text(dxf_drawing(plan_job(job), job.units).text, encoding="utf-8")
    first, again = (read_drawing(str(at)) for at in (EXAMPLES / "access_panel.dxf", path))
    for one, other in zip(
        (first.sheet.outline, *first.sheet.cutouts),
        (again.sheet.outline, *again.sheet.cutouts),
        strict=True,
    ):
        assert len(one.pieces) == len(other.pieces)
        assert one.area_in2 == pytest.approx(other.area_in2, abs=1e-4)
        assert sorted(piece.kind for piece in one.pieces) == sorted(
            piece.kind for piece in other.pieces
        )


def test_old_polylines_and_what_is_not_flat(drawn):
    def draw(space):
        corners = [(0, 0), (6, 0), (6, 4), (0, 4)]
        space.add_polyline2d(corners, close=True)
        space.add_line((0, 0, 0), (1, 1, 1), dxfattribs={"layer": "WIRE"})
        space.add_circle((1, 1), 0.06, dxfattribs={"layer": "SIDE", "extrusion": (1, 0, 0)})

    drawing = drawn_with_hole(drawn, draw, version="R12", drawing_unit="in")
    assert drawing.sheet.outline.area_in2 == pytest.approx(24)
    assert skipped(drawing) == {
        ("LINE", "WIRE"): (1, "not flat in the xy plane"),
        ("CIRCLE", "SIDE"): (1, "not flat in the xy plane"),
    }


# --- CSV -------------------------------------------------------------------------------------


def test_csv_columns_in_any_order_and_blank_sizes(tmp_path):
    path = tmp_path / "holes.csv"
    path.write_text("row,diameter,y,x\na,0.128,2,1\nb,,3,1.5 in\n", encoding="utf-8")
    one, other = read_drawing(str(path)).groups
    assert (one.points, one.diameter_in) == (((1, 2),), 0.128)
    assert (other.points, other.diameter_in) == (((1.5, 3),), None)
    metric = read_drawing(str(path), drawing_unit="mm").groups
    assert metric[1].points[0] == pytest.approx((1.5, 3 / 25.4))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("x,z\n1,2\n", "name the columns x and y there"),
        ("x,y,diameter\n1,2,-0.1\n", "has a diameter of -0.1"),
        ("x,y\n1\n", "line 2: 1 cells"),
        ("x,y\n1,two\n", "column 'y'"),
        ("x,y\n", "holds no hole"),
    ],
)
def test_a_bad_csv_file_is_one_line(tmp_path, capsys, text, words):
    path = tmp_path / "holes.csv"
    path.write_text(text, encoding="utf-8")
    assert exit_code_of(["import-holes", str(path)]) == 2
    error = capsys.readouterr().err
    assert words in error
    assert error.count("\n") == 1


# --- bad files -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "content",
    [b"", b"hello\n", bytes(range(256)) * 40, b"\x89PNG\r\n\x1a\n" + bytes(64), b"0\nSECTION\n2\n"],
)
def test_a_file_that_is_no_dxf_is_one_line(tmp_path, capsys, content):
    path = tmp_path / "bad.dxf"
    path.write_bytes(content)
    assert exit_code_of(["import-holes", str(path)]) == 2
    error = capsys.readouterr().err
    assert "this is not a whole DXF file" in error
    assert error.count("\n") == 1


@settings(max_examples=40, deadline=None)
@given(cut=st.floats(0.0, 0.99), flip=st.integers(0, 255), at=st.floats(0.0, 0.99))
def test_a_damaged_file_never_ends_in_a_traceback(tmp_path_factory, cut, flip, at):
    whole = bytearray((EXAMPLES / "access_panel.dxf").read_bytes())
    whole[int(at * len(whole))] = flip
    path = tmp_path_factory.mktemp("damaged") / "a.dxf"
    for content in (whole, whole[: int(cut * len(whole))]):
        path.write_bytes(bytes(content))
        assert exit_code_of(["import-holes", str(path), "--json", "-o", f"{path}.json"]) in {0, 2}


@pytest.mark.parametrize("arguments", [["missing.dxf"], ["drawing.pdf"], ["-", "--rivet", "what"]])
def test_what_cannot_be_read_is_one_line(capsys, arguments):
    assert exit_code_of(["import-holes", *arguments]) == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize(
    "arguments",
    [
        ["import-holes", str(EXAMPLES / "access_panel.dxf")],
        ["export-dxf", str(EXAMPLES / "inspection_cover.toml"), "-o", "-"],
    ],
)
def test_without_ezdxf_the_mend_is_told(monkeypatch, capsys, arguments):
    for name in [name for name in sys.modules if name.split(".")[0] == "ezdxf"]:
        monkeypatch.setitem(sys.modules, name, None)
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    assert exit_code_of(arguments) == 2
    error = capsys.readouterr().err
    assert "pip install 'rivetkit[dxf]'" in error
    assert error.count("\n") == 1


# --- the command's formats -------------------------------------------------------------------


def run(*arguments):
    done = CliRunner().invoke(main, arguments, standalone_mode=False)
    assert done.exception is None
    return done.stdout


def test_all_formats_carry_the_same_holes():
    panel = str(EXAMPLES / "access_panel.dxf")
    drawing = read_drawing(panel)
    (group,) = drawing.groups
    data = json.loads(run("import-holes", panel, "--json"))["result"]
    told = [(hole["x_in"], hole["y_in"]) for hole in data["holes"]]
    assert told == list(group.points)
    assert parse_job(data["job_fragment"].replace(FILL_IN, "").replace('""', '"MS20470AD3"')).rows
    lines = list(csv.DictReader(io.StringIO(run("import-holes", panel, "--format", "csv"))))
    listed = [(float(line["x"]), float(line["y"])) for line in lines]
    assert np.allclose(listed, group.points, rtol=0, atol=1e-9)
    fragment = run("import-holes", panel, "--job-units", "mm", "--rivet", "MS20470AD3")
    job = parse_job(fragment.replace(FILL_IN, ""))
    assert job.units == "mm"
    assert np.allclose(job.rows[0].points, group.points, rtol=0, atol=1e-9)


def test_a_written_csv_is_read_by_a_job_and_by_the_command(tmp_path):
    panel = str(EXAMPLES / "access_panel.dxf")
    path = tmp_path / "holes.csv"
    run("import-holes", panel, "--format", "csv", "--units", "mm", "-o", str(path))
    again = read_drawing(str(path), drawing_unit="mm")
    (group,), (first,) = again.groups, read_drawing(panel).groups
    assert np.allclose(group.points, first.points, rtol=0, atol=1e-9)


# --- out -------------------------------------------------------------------------------------


@pytest.fixture(
    scope="module",
    params=[("inspection_cover", "in"), ("inspection_cover", "mm"), ("elevator", "mm")],
    ids=" in ".join,
)
def exported(request, tmp_path_factory):
    """Return a job, the drawing of it, and how long an inch is in there."""
    name, unit = request.param
    job = read_job(EXAMPLES / f"{name}.toml")
    path = tmp_path_factory.mktemp("dxf") / "map.dxf"
    run("export-dxf", str(EXAMPLES / f"{name}.toml"), "-o", str(path), "--units", unit)
    code = ezdxf.readfile(path).header["$INSUNITS"]
    assert code == {"in": INCHES, "mm": MILLIMETRES}[unit]
    inch = {"in": 1.0, "mm": 25.4}[unit]  # exact, by definition of the inch
    # Outside reference: ezdxf's own factor of the unit that the file says it is in.
    assert ezdxf.units.conversion_factor(INCHES, code) == pytest.approx(inch, rel=1e-9)
    return job, path, inch


def test_ezdxf_reads_the_same_job_back(exported):
    job, path, inch = exported
    document = ezdxf.readfile(path)
    assert document.units == document.header["$INSUNITS"]
    assert document.header["$MEASUREMENT"] == int(document.units == MILLIMETRES)
    assert not document.audit().has_errors
    space = document.modelspace()
    holes = lay_out(job)
    circles = [one for one in space.query("CIRCLE") if one.dxf.layer.startswith("HOLES_")]
    assert len(circles) == len(holes)
    centres = np.array([tuple(one.dxf.center)[:2] for one in circles])
    assert centres == pytest.approx(holes.points * inch, rel=0, abs=1e-9)
    book = RuleBook.named(job.rule_set, job.overrides)
    for one, fit in zip(circles, holes.fit, strict=True):
        part = holes.fit_parts[fit]
        assert one.dxf.layer == f"HOLES_{part.designation}"
        hole_in = rivet_hole(part, book).hole_in
        assert 2 * one.dxf.radius == pytest.approx(hole_in * inch, abs=1e-12)
    texts = list(space.query("TEXT"))
    assert [text.dxf.text for text in texts] == [holes.name(hole) for hole in range(len(holes))]
    for text, circle in zip(texts, circles, strict=True):  # beside its hole, half as high at most
        away = math.dist(tuple(text.dxf.insert)[:2], tuple(circle.dxf.center)[:2])
        assert circle.dxf.radius < away < 3 * circle.dxf.radius
        assert 0 < text.dxf.height <= circle.dxf.radius * (1 + 1e-9)


def covered(text):
    """What a text covers, letters as wide as high (the widest of a drawing's usual lettering)."""
    x, y = tuple(text.dxf.insert)[:2]
    lettered = shapely.box(0, 0, len(text.dxf.text) * text.dxf.height, text.dxf.height)
    turned = shapely.affinity.rotate(lettered, text.dxf.rotation, origin=(0, 0))
    return shapely.affinity.translate(turned, x, y)


def hidden(space):
    """How many names of a drawing lie over a hole, and how many pairs over each other."""
    texts = [covered(text) for text in space.query("TEXT")]
    rings = [
        shapely.Point(tuple(one.dxf.center)[:2]).buffer(one.dxf.radius * 0.999)
        for one in space.query("CIRCLE")
        if one.dxf.layer.startswith("HOLES_")
    ]
    over = shapely.STRtree(rings).query(texts, predicate="intersects").shape[1]
    pairs = shapely.STRtree(texts).query(texts, predicate="intersects").T.tolist()
    return over, sum(
        texts[one].intersection(other := texts[two]).area > 1e-6 * other.area
        for one, two in pairs
        if one < two
    )


def test_no_name_lies_over_a_hole_or_another_name(exported):
    # Outside reference: shapely judges the boxes. Rows of both skins lie over each other here.
    _, path, _ = exported
    assert hidden(ezdxf.readfile(path).modelspace()) == (0, 0)


@pytest.mark.parametrize("name", ["row", "a row with a name as long as a line of its own"])
@pytest.mark.parametrize("count", [10, 37])
def test_names_give_way_where_holes_stand_close(name, count):
    """37 holes of 3/32 in on 9 in: .25 in apart, the least pitch there may be."""
    text = JOB.replace("count = 13", f"count = {count}").replace('name = "row"', f'name = "{name}"')
    drawing = ezdxf.read(io.StringIO(dxf_drawing(plan_job(parse_job(text)), "in").text))
    space = drawing.modelspace()
    assert len(space.query("TEXT")) == count
    assert hidden(space) == (0, 0)


def test_every_outline_is_on_its_layer(exported):
    job, path, inch = exported
    space = ezdxf.readfile(path).modelspace()
    for layer in job.layers.values():
        if layer.boundary is None:
            continue
        name = f"OUTLINE_{layer.name}" if layer.kind == "sheet" else "MEMBERS"
        rings = [one for one in space.query("LWPOLYLINE") if one.dxf.layer == name]
        areas = [shapely.area(shapely.polygons(one.get_points("xy"))) for one in rings]
        area = float(shapely.area(layer.boundary.outer.polygon)) * inch**2
        assert any(other == pytest.approx(area) for other in areas)
        if layer.kind == "sheet":
            cut = len(space.query(f'*[layer=="CUTOUTS_{layer.name}"]'))
            assert cut == len(layer.boundary.cutouts) + len(layer.boundary.circles)


def test_out_and_in_again_gives_the_same_holes(exported):
    job, path, _ = exported
    holes = lay_out(job)
    for number, part in enumerate(holes.fit_parts):
        drawing = read_drawing(str(path), layers=[f"HOLES_{part.designation}"])
        found = [point for group in drawing.groups for point in group.points]
        # The upper and the lower skin's holes lie over each other in the drawing.
        expected = dict.fromkeys(map(tuple, holes.points[holes.fit == number].round(9).tolist()))
        assert np.allclose(found, list(expected), rtol=0, atol=1e-9)


def test_round_cut_outs_and_screw_holes_are_in_the_unit_as_well(exported):
    job, path, inch = exported
    circles = ezdxf.readfile(path).modelspace().query("CIRCLE")
    drawn_at = [
        (*tuple(one.dxf.center)[:2], one.dxf.radius)
        for one in circles
        if not one.dxf.layer.startswith("HOLES_")
    ]
    told = [
        (*np.array(circle.centre) * inch, circle.radius_in * inch)
        for layer in job.layers.values()
        if layer.boundary is not None
        for circle in layer.boundary.circles
    ]
    assert told
    assert np.allclose(sorted(drawn_at), sorted(told), rtol=0, atol=1e-9)


@pytest.mark.parametrize("to_screen", [True, False])
@pytest.mark.parametrize(("row_in", "code"), [(0.5, 0), (0.1, 1)])
def test_the_exit_code_is_the_plan_s_as_of_every_drawing(tmp_path, capsys, to_screen, row_in, code):
    job, file = tmp_path / "job.toml", tmp_path / "map.dxf"
    text = JOB.replace("[[0.5, 0.5], [9.5, 0.5]]", f"[[0.5, {row_in}], [9.5, {row_in}]]")
    job.write_text(text.replace("end_distance = 0.3", "end_distance = 0.5"), encoding="utf-8")
    words = ["export-dxf", str(job), "-o", "-" if to_screen else str(file)]
    assert exit_code_of(words) == exit_code_of(["map", str(job), "-o", str(tmp_path / "m.svg")])
    assert exit_code_of(words) == code
    out = capsys.readouterr().out
    assert "SECTION" in (out if to_screen else file.read_text(encoding="utf-8"))


def test_the_report_says_the_unit_and_the_verdict(tmp_path, capsys):
    job, file = str(EXAMPLES / "inspection_cover.toml"), str(tmp_path / "map.dxf")
    words = ["export-dxf", job, "-o", file, "--json", "--units"]
    for unit in ("in", "mm"):
        assert exit_code_of([*words, unit]) == 0
        result = json.loads(capsys.readouterr().out)["result"]
        assert (result["units"], result["verdict"]) == (unit, "pass")
    assert exit_code_of(["export-dxf", job, "-o", file, "--units", "mm"]) == 0
    assert "millimetres" in capsys.readouterr().out


def test_names_that_a_layer_cannot_have_are_told_apart():
    text = (EXAMPLES / "inspection_cover.toml").read_text(encoding="utf-8")
    text = text.replace('"ring"', '"a/b"').replace('"wing skin"', '"A:B"')
    text = text.replace('[[member]]\nname = "A:B"\nkind = "skin"', '[[sheet]]\nname = "A:B"\n#')
    text = text.replace(
        'alloy = "2024-T3 clad"\nthickness = 0.032',
        'old = { alloy = "2024-T3 clad", thickness = 0.032 }',
    )
    layers = dxf_drawing(plan_job(parse_job(text)), "in").layers
    assert {"OUTLINE_A_B", "OUTLINE_a_b (2)"} <= set(layers)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "add -o map.dxf"),
        (["-o", "-", "--json"], "cannot both go to the screen"),
        (["-o", "no/such/folder/map.dxf"], "does not exist"),
    ],
)
def test_the_file_is_needed(capsys, arguments, words):
    job = str(EXAMPLES / "inspection_cover.toml")
    assert exit_code_of(["export-dxf", job, *arguments]) == 2
    error = capsys.readouterr().err
    assert words in error
    assert error.count("\n") == 1


def bench_job(tmp_path):
    """Write a job of thick sheets and its filled sheet: row:3 takes a larger rivet, row:7 none, and
    row:10 grew toward the front edge, which is the nearest to it.
    """
    text = JOB.replace(', { layer = "rib", row_from_edge = 0.3125 }', ', "rib"')
    text = text.replace("flange = { width = 0.625, end_distance = 0.3 }", "edge_distance = 0.6")
    text = text.replace("0.032", "0.05").replace("0.025", "0.05")
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    (tmp_path / "holes.csv").write_text(
        "hole,measured least,measured greatest,long axis,grew\n"
        "row:2,.098,.098,,\nrow:3,.120,.120,,\nrow:7,.190,.190,,\nrow:10,.100,.120,edge,toward\n",
        encoding="utf-8",
    )
    return str(tmp_path / "job.toml"), str(tmp_path / "holes.csv")


def test_measured_holes_are_drawn_as_their_repair_makes_them(tmp_path, capsys):
    """The 1/8 rivet's drill is #30, .1285 in; 3/32 has #41, .096 (AC 43.13-1B tables 4-9 to 4-11,
    derived). The rows run from (.5, .5) every .75.
    """
    job, sheet = bench_job(tmp_path)
    file = tmp_path / "map.dxf"
    arguments = ["--measured", sheet, "--json"]
    assert exit_code_of(["export-dxf", job, *arguments, "-o", str(file)]) == 1  # one gets no rivet
    told = json.loads(capsys.readouterr().out)["result"]
    assert told["measured"]["no_rivet_settled"] == [{"hole": "row:7", "undecided": False}]
    assert len(told["measured"]["not_measured"]) == 9
    drawn = {}
    for circle in ezdxf.readfile(file).modelspace().query("CIRCLE"):
        x, y, _ = circle.dxf.center
        hole = round((x - 0.5) / 0.75) + 1
        drawn[hole] = (circle.dxf.layer, round(2 * circle.dxf.radius, 4), round(y - 0.5, 5))
    exit_code_of(["plan", job, *arguments])
    planned = json.loads(capsys.readouterr().out)["result"]["measured"]
    moved_in = {hole["hole"]: hole["move_in"] for hole in planned}["row:10"]
    assert moved_in > 0.0
    same = ("HOLES_MS20470AD3", 0.096, 0.0)
    assert drawn == {
        **dict.fromkeys(range(1, 14), same),
        3: ("HOLES_MS20470AD4", 0.1285, 0.0),
        7: ("NO_RIVET_SETTLED", 0.19, 0.0),
        10: ("HOLES_MS20470AD4", 0.1285, round(-moved_in, 5)),
    }


def test_a_drawing_on_the_screen_fails_where_a_hole_gets_no_rivet(tmp_path, capsys):
    job, sheet = bench_job(tmp_path)
    assert exit_code_of(["export-dxf", job, "-o", "-"]) == 0
    assert "NO_RIVET_SETTLED" not in capsys.readouterr().out
    assert exit_code_of(["export-dxf", job, "--measured", sheet, "-o", "-"]) == 1
    assert "NO_RIVET_SETTLED" in capsys.readouterr().out


def test_what_the_drawing_has_of_the_bench_is_told(tmp_path, capsys):
    job, sheet = bench_job(tmp_path)
    exit_code_of(["export-dxf", job, "--measured", sheet, "-o", str(tmp_path / "map.dxf")])
    flat = " ".join(capsys.readouterr().out.split())
    assert "No rivet is settled for row:7: drawn as wide as measured, on the layer" in flat
    assert "Not measured, drawn as nominal: row:1, 4-6, 8-9, 11-13." in flat
