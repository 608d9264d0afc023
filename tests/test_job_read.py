"""Reading a job: every way to write it wrong gets one line with the place and the mend."""

import math

import numpy as np
import pytest
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET

from rivetkit.errors import InputError
from rivetkit.job.model import MAX_HOLES
from rivetkit.job.read import parse_job, read_job
from rivetkit.quantities import error_in_unit

WRONG = [
    ("", "job: the file is empty; see examples/"),
    ("name = ", "job: this is not TOML: at its end: a value is missing; write a number, true"),
    (HEAD, "job: there is no sheet and no member; add [[sheet]] tables"),
    (HEAD + SHEET, "job: there is no row of rivets; add [[row]] tables"),
    (SHEET + MEMBER + ROW, "job: no 'name' is given; add it"),
    (
        JOB.replace('name = "test job"', 'nmae = "test"'),
        "job: unknown key 'nmae'; did you mean 'na",
    ),
    ("accurcy = 0.1\n" + JOB, "job: unknown key 'accurcy'; did you mean 'accuracy'?"),
    ('units = "inch"\n' + JOB, "job: units: 'inch' is not known here; did you mean 'in'?"),
    ("accuracy = -0.1\n" + JOB, "job: accuracy: "),
    ("hole_accuracy = -0.1\n" + JOB, "job: hole_accuracy: "),
    # common practice, no source: what no tape, and no rule held to a hole, is off by
    (
        "accuracy = 5\n" + JOB,
        "is 5 in, where a tape read by eye is off by 0.125 in at most; write its unit, as in 0.1",
    ),
    ("accuracy = 0.1251\n" + JOB, "job: accuracy: the measuring accuracy is 0.1251 in, where"),
    ('units = "mm"\naccuracy = 5\n' + JOB, "job: accuracy: the measuring accuracy is 5 mm, where"),
    (
        "accuracy = 0.005\nhole_accuracy = 0.1\n" + JOB,
        "job: hole_accuracy: the measuring accuracy of holes is 0.1 in, where a rule held to a",
    ),
    ('rule_set = "nobody"\n' + JOB, "job: rule_set: no rule set is called 'nobody'; choose one of"),
    (JOB.replace("count = 13", "cuont = 13"), "job: row 'row': unknown key 'cuont'; did you mean"),
    (
        JOB.replace("count = 13", "max-pitch = 1"),
        "unknown key 'max-pitch'; did you mean 'max_p",
    ),
    (JOB.replace("count = 13", ""), "job: row 'row': nothing says how the holes are spaced"),
    (JOB.replace("[[sheet]]", "[[sheets]]"), "job: unknown key 'sheets'; did you mean 'sheet'?"),
    (
        JOB.replace("[[member]]", "[[members]]"),
        "job: unknown key 'members'; did you mean 'mem",
    ),
    (JOB.replace("rivet =", "Rivet ="), "row 'row': unknown key 'Rivet'; did you mean 'rivet'?"),
    (
        JOB.replace("flange = { width", "flange = { widht"),
        "job: member 'rib': flange: unknown key 'widht'; did you mean 'width'?",
    ),
    (
        HEAD + "[spares]\npercent = 10\naccuracy = 0.01\n" + SHEET + MEMBER + ROW,
        "job: spares: unknown key 'accuracy'; it belongs to the whole file: move it up, before the",
    ),
    (
        JOB.replace(
            "flange = { width = 0.625, end_distance = 0.3 }",
            "[member.flange]\nwidth = 0.625\nno_oversize = false",
        ),
        "flange: unknown key 'no_oversize'; it belongs to member 'rib': move it up, before the l",
    ),
    (
        JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]", "holes = [[1, 1]]"),
        "job: row 'row': count: it has nothing to tell beside the other keys here; leave it out",
    ),
    (JOB.replace("count = 13", "count = 13\npicth = 1"), "row 'row': unknown key 'picth'; did you"),
    (JOB.replace("count = 13", "count = 0"), "row 'row': count: 0 does not count; write a whole"),
    (JOB.replace("count = 13", "count = 2.5"), "row 'row': count: 2.5 does not count"),
    (JOB.replace("thickness = 0.032", "thickness = 0"), "sheet 'skin': new: thickness: "),
    (JOB.replace("thickness = 0.032", "thickness = -1"), "sheet 'skin': new: thickness: "),
    (JOB.replace("thickness = 0.032", "thickness = nan"), "sheet 'skin': new: thickness: "),
    (JOB.replace("thickness = 0.032", 'thickness = "20 degF"'), "sheet 'skin': new: thickness: "),
    (
        JOB.replace("thickness = 0.032", 'thickness = "32 mil"'),
        "is in mil; to some that is a thousandth of an inch, to others a mm: write thou, in or mm",
    ),
    (JOB.replace("MS20470AD3-3", "MS20470AX3-3"), "row 'row': rivet: 'MS20470AX3-3': cannot read"),
    (JOB.replace('"skin", {', '"skni", {'), "there is no layer 'skni'; did you mean 'skin'?"),
    (JOB.replace('layer = "rib", row', 'layer = "skin", row'), "'skin' is listed twice"),
    (JOB.replace("to = [10, 6]", "to = [10, 0]"), "edge 'tip': to: two points of the edge are the"),
    (
        JOB.replace("to = [0, 0]", "to = [1, 0]"),
        "the last edge ends at (1, 0) in, the outline starts",
    ),
    (
        JOB.replace(
            'to = [10, 6] },\n  { name = "back", to = [0, 6]',
            'to = [0, 6] },\n  { name = "back", to = [10, 6]',
        ),
        "sheet 'skin': outline: the outline crosses or touches itself at (5, 3) in",
    ),
    (
        HEAD + SHEET.split("edges")[0] + 'edges = [{ name = "a", to = [1, 0] }]\n' + MEMBER + ROW,
        "sheet 'skin': outline: edges: 1 edges enclose nothing; give three or more",
    ),
    (JOB.replace('name = "back"', 'name = "front"'), "two edges are called 'front'"),
    (JOB.replace("to = [10, 6] }", "to = [10, 6], through = [10, 3] }"), "make no arc"),
    (JOB.replace("flange = { width = 0.625, end_distance = 0.3 }", ""), "none of outline, flange"),
    (JOB.replace('kind = "rib"', 'kind = "ribs"'), "member 'rib': kind: 'ribs' is not known"),
    (
        JOB.replace("flange = { width = 0.625, end_distance = 0.3 }", "edge_distance = 0.3"),
        "row 'row': layers 2: 'row_from_edge' is given, but 'rib' has no flange width; give",
    ),
    (
        JOB.replace("row_from_edge = 0.3125", "row_from_edge = 0.3125, edge_distance = 0.3"),
        "row 'row': layers 2: 'row_from_edge' and 'edge_distance' are both given; give one",
    ),
    (
        JOB.replace("count = 13", 'count = 13\nkept = true\nfit = "MS20470AD4"'),
        "row 'row': fit: the row's rivets are kept; leave out 'fit' or 'kept'",
    ),
    (
        HEAD + SHEET + MEMBER + ROW[: ROW.index("layers")] + 'layers = "skin"\n',
        "row 'row': layers: 'skin' is no stack; list the layers from the manufactured head down",
    ),
    (
        JOB.replace("MS20470AD3-3", "MS20426AD3-3"),
        "row 'row': layers: the flush head of MS20426AD3 has no seat in this stack; dimple or",
    ),
    # A double-flush trailing edge: both skins dimpled, the wedge between them countersunk.
    (
        (JOB + MEMBER.replace('"rib"\nkind', '"far skin"\nkind'))
        .replace("MS20470AD3-3", "MS20426AD3-3")
        .replace('"skin", {', '{ layer = "skin", form = "dimpled" }, { form = "countersunk",')
        .replace("0.3125 }]", '0.3125 }, { layer = "far skin", form = "dimpled" }]'),
        "layers: 'far skin' is formed as for a shop head driven flush, of which no length is on",
    ),
    # The heel is no place for a hole: a row as far from the edge as the flange is wide.
    (JOB.replace("row_from_edge = 0.3125", "row_from_edge = 0.625"), "whose flange is 0.625 in"),
    (JOB.replace('kind = "rib"', 'kind = "bulkhead"'), "is not known here; did you mean 'frame'?"),
    (JOB.replace('kind = "rib"', 'kind = "Longeron"'), "not known here; did you mean 'stringer'?"),
    (JOB.replace("row_from_edge = 0.3125", "row_from_edge = 0.7"), "whose flange is 0.625 in wide"),
    (
        JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]", "path = [[0.5, 0.5]]"),
        "there are 1 points, 2",
    ),
    (JOB.replace("[9.5, 0.5]]", "[0.5, 0.5]]"), "two points after one another are the same"),
    (JOB.replace("[9.5, 0.5]]", '[9.5, "x"]]'), "row 'row': path 2: "),
    (JOB.replace("[9.5, 0.5]]", "[9.5, 1e9]]"), "row 'row': path 2: 1000000000.0 is no place on"),
    (JOB.replace("count = 13", "pitch = 0.000001"), "row 'row': pitch: that makes 9000001 holes"),
    (JOB.replace("count = 13", "max_pitch = 0.000001"), "row 'row': max_pitch: that makes 9000001"),
    (JOB.replace("count = 13", "count = 10000000"), f"more than the {MAX_HOLES} a job may have"),
    (
        JOB.replace("count = 13", "count = 13\npitch = 1"),
        "are 3 in longer than the path; check the",
    ),
    (JOB.replace("count = 13", "count = 3\nstart_offset = 20"), "offsets are longer than the path"),
    (
        JOB.replace("count = 13", "count = 3\nskip = [4]"),
        "there is no hole 4; the row has holes 1 to",
    ),
    (
        JOB.replace("count = 13", "count = 1\nskip = [1]"),
        "every hole is skipped; leave the row out",
    ),
    (JOB.replace("count = 13", 'count = 3\nkept = true\nfit = "MS20470AD3"'), "rivets are kept"),
    (JOB.replace('rivet = "MS20470AD3-3"\n', ""), "row 'row': no rivet is given; say in 'rivet'"),
    (JOB.replace("count = 13", 'count = 3\naccess = "blind"'), "cannot be bucked from one side"),
    (JOB.replace("MS20470AD3-3", "MS20426AD3-3"), "the flush head of MS20426AD3 has no seat"),
    (
        JOB.replace('"skin", {', '{ layer = "skin", form = "dimpled" }, {'),
        "MS20470AD3 has a protruding head, yet a layer is dimpled or countersunk",
    ),
    (JOB + ROW, "row 'row': name: 'row' is taken; give every row a name of its own"),
    (JOB + MEMBER.replace('"rib"\nkind', '"skin"\nkind'), "member 'skin': name: 'skin' is taken"),
    (
        JOB + '[[override]]\nrule = "pitch_maximum"\nvalue = 8\nunit = "D"\nsource = "x"\n',
        "job: override 1: override of an unknown rule 'pitch_maximum'; did you mean 'pitch_max'?",
    ),
    (
        JOB + '[[override]]\nrule = "pitch_max"\nvalue = 8\nunit = "D"\n',
        "job: override 1: no 'source' is given; add it",
    ),
    (
        JOB + '[[override]]\nrule = "pitch_max"\nvalue = 8\nunit = "percent"\nsource = "x"\n',
        "the override of 'pitch_max' is in 'percent'; give it in",
    ),
    (JOB + "[hinge]\nfrom = [0, 0]\nto = [0, 0]\n", "job: hinge: to: the hinge line has no length"),
    (JOB + "[spares]\npercent = -1\n", "job: spares: percent: -1 is not a number, 0 or more"),
    (JOB + "[spares]\npack = 0\n", "job: spares: pack: 0 does not count; write a whole number, 1"),
    (
        JOB.replace("count = 13", 'count = 3\nholes_csv = "x.csv"'),
        "row 'row': holes_csv: it stands beside 'path'; give only one of them",
    ),
    (
        JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'nutplate = "MS21047-06"'),
        "row 'row': screws: no screw is given",
    ),
    (
        JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'nutplate = "MS9-06"'),
        "row 'row': nutplate: ",
    ),
]


@pytest.mark.parametrize(("text", "message"), WRONG, ids=range(len(WRONG)))
def test_a_wrong_job_is_one_line_with_place_and_mend(text, message):
    with pytest.raises(InputError) as caught:
        parse_job(text)
    line = str(caught.value)

    assert message in line
    assert "\n" not in line
    assert "; " in line


def test_the_small_job_reads_as_written():
    job = parse_job(JOB)

    assert job.name == "test job"
    assert list(job.layers) == ["skin", "rib"]
    assert job.layers["skin"].old.thickness_in == 0.025
    assert job.layers["skin"].new.thickness_in == 0.032
    assert job.layers["skin"].boundary.area_in2 == pytest.approx(60.0)
    (row,) = job.rows
    assert len(row.points) == 13
    assert row.points[:, 0] == pytest.approx([0.5 + 0.75 * k for k in range(13)])
    assert row.installed.designation == "MS20470AD3-3"
    assert row.fit.designation == "MS20470AD3"


def row_points(lines):
    job = parse_job(JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", lines))
    return job.rows[0]


@pytest.mark.parametrize(("pitch", "end", "count"), [(20, 390, 20), (10.7, 117, 11)])
@pytest.mark.parametrize("counted", ["", "count = {count}"])
def test_a_path_of_whole_steps_leaves_nothing_over(pitch, end, count, counted):
    """From 10 mm on, 19 steps of 20 mm end at 390 mm and ten of 10.7 mm at 117 mm.

    In inches the two differ in their last digit, and the plan told of 0.00 mm left over.
    """
    path = f"path = [[10, 9], [{end}, 9]]\npitch = {pitch}\n{counted.format(count=count)}"
    outline = "outline = { rectangle = { corner = [0, 0], width = 400, height = 60 } }"
    head = 'name = "metric"\nunits = "mm"\n[[member]]\nname = "skin"\nkind = "skin"\n'
    head += f'alloy = "2024-T3"\nthickness = 1\n{outline}\n[[row]]\nname = "row"\n'
    row = parse_job(f'{head}fit = "MS20470AD4"\nlayers = ["skin"]\n{path}').rows[0]
    assert (len(row.points), row.left_over_in) == (count, 0.0)


def test_ways_to_place_holes():
    path = "path = [[0.5, 0.5], [9.5, 0.5]]\n"

    exact = row_points(path + "pitch = 2")
    assert exact.points[:, 0].tolist() == [0.5, 2.5, 4.5, 6.5, 8.5]
    assert exact.left_over_in == pytest.approx(1.0)
    even = row_points(path + "max_pitch = 2")
    assert even.points[:, 0] == pytest.approx([0.5 + 1.8 * k for k in range(6)])
    assert even.left_over_in == 0.0
    counted = row_points(path + "count = 3\npitch = 2")
    assert counted.points[:, 0].tolist() == [0.5, 2.5, 4.5]
    offsets = row_points(path + 'count = 2\nstart_offset = 1\nend_offset = "1/2"')
    assert offsets.points[:, 0].tolist() == [1.5, 9.0]
    skipped = row_points(path + "pitch = 2\nskip = [2, 2, 5]")
    assert skipped.numbers.tolist() == [1, 3, 4]
    assert skipped.points[:, 0].tolist() == [0.5, 4.5, 6.5]
    listed = row_points('holes = [[1, 1], [2, "1 1/2"]]')
    assert listed.points.tolist() == [[1.0, 1.0], [2.0, 1.5]]
    single = row_points(path + "count = 1")
    assert single.points.tolist() == [[0.5, 0.5]]


def test_a_ring_of_holes_closes_on_itself():
    ring = row_points("circle = { at = [5, 3], diameter = 4, count = 8, start_angle = 90 }").points

    assert len(ring) == 9
    assert ring[0] == pytest.approx([5.0, 5.0])
    assert ring[-1] == pytest.approx(ring[0])
    assert np.hypot(*(ring - [5, 3]).T) == pytest.approx(2.0)


def test_nutplates_stand_where_their_screws_are():
    # MS21047 with a .138 screw: rivets .688 apart (from memory; agrees with NAS1473, seen).
    row = row_points(
        'nutplate = "MS21047-06"\nlug = 0.03\n'
        "screws = [{ at = [3, 3], angle = 90 }, { at = [5, 3] }]"
    )

    assert row.points == pytest.approx(
        np.array([[3, 2.656], [3, 3.344], [4.656, 3], [5.344, 3]]), abs=1e-9
    )
    assert row.extra_grip_in == 0.03
    assert row.screws == ((3.0, 3.0), (5.0, 3.0))


def test_the_screw_hole_is_an_edge_of_every_layer_of_its_row():
    text = JOB.replace(
        "path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13",
        'nutplate = "MS21047-06"\nscrews = [{ at = [3, 3] }]',
    )
    boundary = parse_job(text).layers["skin"].boundary

    assert boundary.edge_names == ("front", "tip", "back", "root", "screw row-1")


def test_millimetres_and_inches_read_alike():
    told_in_mm = 'units = "mm"\n' + JOB.replace("0.032", "0.8128").replace("0.025", "0.635")
    in_mm = parse_job(told_in_mm)

    assert in_mm.layers["skin"].new.thickness_in == pytest.approx(0.032, abs=1e-15)
    assert in_mm.rows[0].points[-1, 0] == pytest.approx(9.5 / 25.4)
    mixed = parse_job(JOB.replace("thickness = 0.032", 'thickness = "0.8128 mm"'))
    assert mixed.layers["skin"].new.thickness_in == pytest.approx(0.032, abs=1e-15)
    fraction = parse_job(told_in_mm.replace("thickness = 0.8128", 'thickness = "1/32"'))
    assert fraction.layers["skin"].new.thickness_in == 1 / 32


def test_a_curved_edge_has_the_area_of_its_circle():
    text = JOB.replace("to = [10, 6] }", "to = [10, 6], through = [13, 3] }")

    # The rectangle and half a circle of radius 3.
    expected = 60.0 + math.pi * 9.0 / 2.0
    assert parse_job(text).layers["skin"].boundary.area_in2 == pytest.approx(expected, abs=1e-3)


def job_with_csv(folder, content, name="holes.csv"):
    (folder / "holes.csv").write_bytes(content)
    text = JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", f'holes_csv = "{name}"')
    (folder / "job.toml").write_text(text)
    return folder / "job.toml"


def test_holes_from_a_csv_file_beside_the_job(tmp_path):
    content = "\ufeffremark,Y,x\r\nfirst,1,2\r\n\r\nsecond, 1/2 ,25.4 mm\r\n".encode()

    assert read_job(job_with_csv(tmp_path, content)).rows[0].points == pytest.approx(
        np.array([[2.0, 1.0], [1.0, 0.5]])
    )


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"x,y\n1,2\n1,zwei\n", "holes.csv: line 3: column 'y': "),
        (b"x,y\n1\n", "holes.csv: line 2: 1 cells, the first line has 2; give x and y"),
        (b"a,b\n1,2\n", "holes.csv: line 1: the first line names a, b; name the columns x and y"),
        (b"", "holes.csv: line 1: the first line names no columns"),
        (b"x,y\n", "holes.csv: the file holds no hole; add a line for each hole"),
        (b"x,y\n1,\xff\n", "holes_csv: 'holes.csv': is not UTF-8 text, from line 2 on; save"),
    ],
)
def test_a_wrong_csv_names_file_line_and_column(tmp_path, content, message):
    with pytest.raises(InputError) as caught:
        read_job(job_with_csv(tmp_path, content))

    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("gone.csv", "'gone.csv': cannot be read: there is no such file; check its name and"),
        ("../holes.csv", "'../holes.csv' lies outside the job's folder; put the file beside"),
        ("/etc/hostname", "'/etc/hostname' lies outside the job's folder"),
    ],
)
def test_a_csv_must_be_there_and_beside_the_job(tmp_path, name, message):
    with pytest.raises(InputError, match=r"row 'row': holes_csv: ") as caught:
        read_job(job_with_csv(tmp_path, b"x,y\n1,1\n", name))

    assert message in str(caught.value)


@pytest.mark.parametrize(("told", "hole"), [("0.125", "0.03125"), ("0", "0"), ("0.016", "0.0001")])
def test_an_accuracy_somebody_may_have_measured_to_is_taken(told, hole):
    job = parse_job(f"accuracy = {told}\nhole_accuracy = {hole}\n" + JOB)

    assert (job.accuracy_in, job.hole_accuracy_in) == (float(told), float(hole))


def test_a_csv_needs_a_folder():
    text = JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'holes_csv = "a.csv"')

    with pytest.raises(InputError, match="the job came from standard input"):
        parse_job(text)


def test_files_that_cannot_be_read(tmp_path):
    with pytest.raises(InputError, match=r"gone\.toml: cannot be read: there is no such file"):
        read_job(tmp_path / "gone.toml")
    with pytest.raises(InputError, match=r"cannot be read: it is a folder"):
        read_job(tmp_path)
    (tmp_path / "latin.toml").write_bytes(b'name = "Fl\xfcgel"\n')
    with pytest.raises(InputError, match=r"latin\.toml: is not UTF-8 text"):
        read_job(tmp_path / "latin.toml")
    (tmp_path / "bom.toml").write_text("\ufeff" + JOB, encoding="utf-8")
    assert read_job(tmp_path / "bom.toml").name == "test job"
    (tmp_path / "deep.toml").write_text("a = " + "[" * 100_000)
    with pytest.raises(InputError, match="this is not TOML"):
        read_job(tmp_path / "deep.toml")


@pytest.mark.parametrize("key", ["outline", "flange", "edge_distance"])
def test_not_measured_at_another_key_is_told_where_it_belongs(key):
    text = f'{HEAD}{SHEET}[[member]]\nname = "rib"\nkind = "rib"\nthickness = 0.025\n'
    with pytest.raises(InputError, match=f"member 'rib': {key}: .*write edge = \"not measured\""):
        parse_job(f'{text}{key} = "not measured"\n{ROW}')


def test_where_an_outline_crosses_itself_is_told_in_the_unit_of_the_job():
    # Geometry: the diagonals of a rectangle 254 by 152.4 mm meet in its middle.
    corners = {"a": [254, 152.4], "b": [254, 0], "c": [0, 152.4], "d": [0, 0]}
    edges = ", ".join(f'{{ name = "{name}", to = {to} }}' for name, to in corners.items())
    text = (
        'name = "x"\nunits = "mm"\n[[sheet]]\nname = "skin"\n'
        'new = { alloy = "2024-T3", thickness = 0.8 }\n'
        f"outline = {{ start = [0, 0], edges = [{edges}] }}\n"
        '[[row]]\nname = "row"\nrivet = "MS20470AD3-3"\npath = [[20, 20], [60, 20]]\ncount = 3\n'
        'layers = ["skin"]\n'
    )
    with pytest.raises(InputError) as caught:
        parse_job(text)
    assert "crosses or touches itself at (127, 76.2) mm" in str(error_in_unit(caught.value, "mm"))
