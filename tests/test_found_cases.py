"""What the fuzzing campaigns and fault trials found, each kept as a test of its own.

Every one of these once ended in a traceback, hung, ate the memory or was read wrongly in silence.
"""

import re
import sys
from pathlib import Path

import numpy as np
import pytest
from job_texts import JOB, SHEET

sys.path.insert(0, str(Path(__file__).parent / "fuzz"))

from oracle import run, wrong

from rivetkit.geometry.curves import arc_points
from rivetkit.geometry.neighbours import close_pairs, crowd
from rivetkit.geometry.spots import Spots
from rivetkit.job.read import parse_job

EXAMPLES = Path(__file__).parent.parent / "examples"
DXF = (EXAMPLES / "access_panel.dxf").read_text("utf-8")
CSV_JOB = JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'holes_csv = "holes.csv"')
HEX = "0x" + "f" * 5000


def answered(arguments):
    """Run a command that must be answered and return what it wrote."""
    arguments = [str(argument) for argument in arguments]
    outcome = run(arguments)
    assert wrong(arguments, outcome) == ""
    assert outcome.code in {0, 1}
    return outcome.out


def refused(arguments):
    """Run a command that must be refused, and at once, and return its one line."""
    arguments = [str(argument) for argument in arguments]
    outcome = run(arguments)
    assert wrong(arguments, outcome) == ""
    assert outcome.code == 2
    return outcome.err


def refused_job(tmp_path, text):
    """Return the one line that a job file is refused with."""
    file = tmp_path / "job.toml"
    file.write_text(text, "utf-8")
    return refused(["plan", file])


# ------------------------------------------------------------ numbers of a job


@pytest.mark.parametrize("number", ["9" * 5000, "1e999", "-inf", "nan", HEX, "1" + "0" * 400])
@pytest.mark.parametrize(
    "place",
    [
        "accuracy = {}",
        "same_hole_within = {}",
        "spares = {{ percent = {} }}",
        "spares = {{ minimum = {} }}",
        "spares = {{ pack = {} }}",
        "hinge = {{ from = [0, {}], to = [1, 1] }}",
        "override = [{{ rule = 'pitch_max', value = {}, unit = 'D', source = 'maker' }}]",
    ],
)
def test_a_number_nobody_can_mean(tmp_path, place, number):
    said = refused_job(tmp_path, place.format(number) + "\n" + JOB)
    assert "job.toml" in said
    assert len(said) < 300


@pytest.mark.parametrize("key", ["skip", "count", "seam_rows", "pitch", "holes", "layers", "path"])
def test_an_endless_number_in_a_row(tmp_path, key):
    lines = JOB.splitlines()
    kept = [line for line in lines if not line.startswith(f"{key} =")]
    said = refused_job(tmp_path, "\n".join([*kept, f"{key} = {HEX}"]))
    assert "row 'row'" in said
    assert "\u2026" not in said
    assert len(said) < 300


def test_a_list_in_millimetres_with_an_endless_number(tmp_path):
    number = "1" + "0" * 400
    job = JOB.replace("0.032", "0.8").replace("0.025", "0.6")
    text = 'units = "mm"\n' + job.replace("[9.5, 0.5]", f"[{number}, 0.5]")
    assert "is no place on a skin; stay within 254000 mm" in refused_job(tmp_path, text)


def test_two_corners_a_hair_apart_are_one(tmp_path):
    text = JOB.replace("to = [10, 6]", "to = [1e-300, 6]")
    assert "edge 'back': to: two points of the edge are the same" in refused_job(tmp_path, text)


def test_an_arc_that_runs_off_to_the_horizon(tmp_path):
    text = JOB.replace("to = [10, 6] }", "to = [10, 6], through = [11, 9999] }")
    said = refused_job(tmp_path, text)
    assert "edge 'tip': through: start, through and end make no arc; give a point on" in said


@pytest.mark.parametrize("bulge", [1e-7, 1e-6, 1e-3, 0.1, 1.0])
def test_a_nearly_straight_arc_keeps_its_distance(bulge):
    points = arc_points((0.0, 0.0), (500.0, 1000.0 * bulge), (1000.0, 0.0))
    rise = (points[:-1, 1] + points[1:, 1]).max() / 2.0
    assert rise == pytest.approx(1000.0 * bulge, abs=1e-4)


# ------------------------------------------------------------ too many holes


@pytest.mark.parametrize("pitch", ["0.001", "0.0001", "0.00001", "0.0000001", '"1 thou"'])
def test_a_pitch_that_lost_its_unit(tmp_path, pitch):
    said = refused_job(tmp_path, JOB.replace("count = 13", f"pitch = {pitch}"))
    assert "row 'row'" in said
    assert "check" in said


def test_a_list_of_holes_read_in_the_wrong_unit(tmp_path):
    (tmp_path / "holes.csv").write_text(
        "x,y\n" + "".join(f"{1 + n % 100 / 100},{1 + n // 100 / 100}\n" for n in range(10_000))
    )
    said = refused_job(tmp_path, CSV_JOB)
    assert "row 'row': " in said
    assert re.search(r"\d+ holes stand within 0.5 in near \(", said)


def test_many_rows_that_are_too_much_together(tmp_path):
    row = 'rivet = "MS20470AD3-3"\npath = [[1, 1], [9000, 1]]\ncount = 900000\nlayers = ["skin"]\n'
    rows = "".join(f'[[row]]\nname = "r{number}"\n{row}' for number in range(5))
    said = refused_job(tmp_path, f'name = "many"\n{SHEET}{rows}')
    assert "row 'r2': up to here are 2700000 holes, more than the 2000000 a job may have" in said


def test_a_far_reach_of_an_override_does_not_eat_the_memory(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(JOB.replace("count = 13", "count = 2000").replace("10, ", "9999, "), "utf-8")
    override = ["--override", "row_spacing_min", "9000D", "maker"]
    assert "row 'row': 2000 holes stand within" in refused(["plan", file, *override])
    override[2] = "1000000D"
    assert "check the number and its unit" in refused(["plan", file, *override])


def test_a_crowd_is_what_has_too_many_pairs():
    """Against the pairs themselves: what is let through has no more of them than it says."""
    dice = np.random.default_rng(1)
    for side in (2.0, 5.0, 20.0, 100.0):
        points = dice.random((3000, 2)) * side
        if crowd(points, 0.5) is None:
            assert len(close_pairs(Spots.at(points), 0.5).first) < 3_000_000
    dense = dice.random((3000, 2)) * 0.4
    found = crowd(dense, 0.5)
    assert found is not None
    assert found[1] == 3000
    assert crowd(dense[:1000], 0.5) is None


# ------------------------------------------------------------ texts of a job


@pytest.mark.parametrize(
    "bad", ["two\\nlines", "bell\\u0007", "\\u001b[31m", "a\\u2028b", "\\uFFFE"]
)
@pytest.mark.parametrize("name", ["test job", "skin", "front", "rib", "row"])
def test_a_name_that_cannot_be_printed(tmp_path, bad, name):
    said = refused_job(tmp_path, JOB.replace(f'"{name}"', f'"{bad}"'))
    assert "holds a line break or another letter that cannot be printed" in said


def test_an_edge_of_a_rectangle_that_cannot_be_printed(tmp_path):
    outline = (
        'rectangle = { corner = [0, 0], width = 10, height = 6, edges = ["a", "b\\n", "c", "d"] }'
    )
    text = re.sub(r"start = .*?\n\]", lambda _: outline, JOB, flags=re.DOTALL)
    assert "edges: 'b\\n' holds a line break" in refused_job(tmp_path, text)


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("x = 3/32", 'a fraction stands without quotes; write "3/32"'),
        ("x = 1 1/4", 'a fraction stands without quotes; write "1 1/4"'),
        ("x = { w = 5/8 }", 'a fraction stands without quotes; write "5/8"'),
        ('x = 3/8"', 'a fraction stands without quotes; write "3/8"'),
        ("x = .016", "a number begins with its point; write 0.016, not .016"),
        ("x = [.5, 1]", "a number begins with its point; write 0.5, not .5"),
        ("x = [1, -.25]", "a number begins with its point; write -0.25, not -.25"),
        ("x = 0.8 mm", 'a unit stands without quotes; write "0.8 mm"'),
        ("x = 0.032in", 'a unit stands without quotes; write "0.032 in"'),
        ('x = 0.5"', 'a unit stands without quotes; write "0.5 in"'),
        ("percent = 10%", "a number has a percent sign; write 10 alone"),
        ("x = 03", "a number has an idle 0 before it; leave the 0 out"),
        ("x = 0,8", "a number has a decimal comma; write 0.8"),
        ("x = { t = 0,016 }", "a number has a decimal comma; write 0.016"),
        ("x = { t = 0,016, u = 1 }", "a number has a decimal comma; write 0.016"),
        ("from = -2,0", "a point stands without its [ ]; write [-2, 0]"),
        (
            "path = [1, 2], [3, 4]",
            "points stand without the [ ] round them all; write [[1, 2], [3, 4]]",
        ),
        (
            "x = \u201cskin\u201d",
            'a quotation mark is curly, as an office program makes it; type " instead',
        ),
        ("x: 3", "a : stands where = belongs; write x = value"),
        ("x = skin", 'a text stands without quotes; write it as "text"'),
        ("x = 0.O32", "a number has a letter for a digit; write the digit that it looks like"),
        ("x = 1O", "a number has a letter for a digit; write the digit that it looks like"),
        (
            "x = { t = O.032 }",
            "a number has a letter for a digit; write the digit that it looks like",
        ),
        ("x = [l.5, 2]", "a number has a letter for a digit; write the digit that it looks like"),
        ("x = old", 'a text stands without quotes; write it as "text"'),
        ("x = yes", "yes is said as true; write true"),
        ("x = no", "no is said as false; write false"),
        ("path = (1, 2)", "a ( stands where [ belongs; write [x, y]"),
        ("[[row]", "a [[ has no ]]; write [[row]]"),
        ("x = True", "true and false are written small; write true"),
        ("x = [1 2]", "a list has no comma or no ] here; write [1, 2, 3]"),
        ('x = "skin', "a text has no closing quote; close it on its own line"),
        ("x", "a key has no =; write key = value"),
    ],
)
def test_slips_of_the_pen_are_told_in_plain_words(line, what):
    with pytest.raises(ValueError, match="this is not TOML") as caught:
        parse_job(f'name = "a"\n{line}\ny = 1\n')
    assert str(caught.value) == f"job: this is not TOML: line 2, '{line}': {what}"


def test_a_table_that_is_told_once_stands_in_single_brackets(tmp_path):
    said = refused_job(tmp_path, JOB + "\n[[spares]]\npercent = 10\n")
    assert "spares: it is told once; begin it with single brackets: [ ], not [[ ]]" in said


def test_an_empty_text_is_told_as_empty(tmp_path):
    said = refused_job(tmp_path, JOB.replace('name = "skin"', 'name = " "', 1))
    assert "name: the text is empty; write something between the quotes" in said


def test_a_row_in_single_brackets_is_told_at_the_next():
    with pytest.raises(ValueError, match="there is a row above that is no") as caught:
        parse_job('name = "a"\n[row]\ncount = 1\n[[row]]\ncount = 2\n')
    assert str(caught.value).endswith(
        "line 4, '[[row]]': there is a row above that is no [[row]]; write each one as [[row]]"
    )


def test_a_key_given_twice_is_told():
    with pytest.raises(ValueError, match="line 2, 'a = 2': a key is given twice; keep one"):
        parse_job("a = 1\na = 2 \nb = 1\n")


# ------------------------------------------------------------ lists of holes, drawings


def test_a_column_without_a_name_is_no_diameter(tmp_path):
    """Spreadsheets leave one at the end of every line; it was read as a third coordinate."""
    (tmp_path / "job.toml").write_text(CSV_JOB, "utf-8")
    (tmp_path / "holes.csv").write_text("x,y,\n1,0.5,\n2,0.5,\n")
    assert "rivets to drill out   2\n" in answered(["plan", tmp_path / "job.toml"])


def test_a_place_in_a_list_beyond_any_skin(tmp_path):
    (tmp_path / "holes.csv").write_text("x,y\n1,0.5\n20000,0.5\n")
    assert "line 3: column 'x': 20000 in is no place" in refused_job(tmp_path, CSV_JOB)


def test_a_list_with_more_lines_than_holes_may_be_is_refused_unread(tmp_path):
    file = tmp_path / "holes.csv"
    file.write_text("x,y\n" + "1,1\n" * 2_002_000)
    assert "it has more lines than the 2000000 holes" in refused(["import-holes", file])


@pytest.mark.parametrize("number", ["1e300", "-1e300", "1e16", "1e9", "1e308"])
@pytest.mark.parametrize("old", ["180", "200", "20"])
def test_a_drawing_that_reaches_beyond_any_skin(tmp_path, old, number):
    file = tmp_path / "drawing.dxf"
    file.write_text(DXF.replace(f"\n{old}\n", f"\n{number}\n", 1), "utf-8")
    for form in ("text", "json"):
        arguments = ["import-holes", str(file), "--format", form]
        assert wrong(arguments, run(arguments)) == ""


def test_a_circle_beyond_any_skin_is_named_among_what_is_skipped(tmp_path):
    file = tmp_path / "drawing.dxf"
    circle = "0\nCIRCLE\n8\nRIVETS\n10\n1e300\n20\n0\n40\n2\n"
    head, tail = DXF.rsplit("  0\nENDSEC", maxsplit=1)
    file.write_text(f"{head}{circle}  0\nENDSEC{tail}", "utf-8")
    said = answered(["import-holes", file])
    assert "1 CIRCLE, it reaches farther than 10000 in, beyond any skin" in " ".join(said.split())


# ------------------------------------------------------------ command lines


def test_a_line_that_only_touches_where_there_is_room():
    arguments = ["new-hole", EXAMPLES / "inspection_cover.toml", "--rivet", "MS20470AD4"]
    answered([*arguments, "--along", "0,1:9,2"])


@pytest.mark.parametrize("option", ["--pack", "--minimum"])
def test_an_order_for_more_rivets_than_there_are(option):
    said = refused(["order", EXAMPLES / "inspection_cover.toml", option, "1" + "0" * 400])
    assert option in said


def test_a_layout_for_more_rivets_than_there_are():
    said = refused(["layout", "MS20470AD4", "--length", "18", "--at-least", "1" + "0" * 400])
    assert "--at-least" in said


@pytest.mark.parametrize(
    "arguments",
    [
        ["drills", "9" * 100_000],
        ["sources", "x" * 100_000],
        ["fastener", "MS20470" + "A" * 100_000],
        ["spacing", "MS20470AD4", "--rows", "9" * 5000],
        ["grip", "MS20470AD4", ".032", "x" * 5000],
        ["plan", "word " * 5000],
        ["plan", "one", *["two"] * 3000],
    ],
    ids=lambda arguments: arguments[0],
)
def test_an_endless_word_is_not_given_back_whole(arguments):
    said = refused(arguments)
    assert len(said) < 800


@pytest.mark.parametrize("text", ["\x07", "\u202eab", "a\nb", "\x1b[2J", "\ufeff", "\udcff"])
def test_a_complaint_is_one_printable_line(text):
    said = refused(["spacing", "MS20470AD4", "--edge-in-layer", text])
    assert "--edge-in-layer" in said


@pytest.mark.parametrize(
    "arguments",
    [
        ["plan", ""],
        ["order", " "],
        ["import-holes", ""],
        ["schema", "-o", ""],
        ["plan", "a", "-o", ""],
    ],
    ids=" ".join,
)
def test_an_empty_name_of_a_file_is_told(arguments):
    assert "the name of the file is empty" in refused(arguments)


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (["spacing", "MS20470AD4", "--rows", "two"], "'two' is no whole number"),
        (["order", "a.toml", "--percent", "ten"], "'ten' is no number"),
        (["drills", "2.4", "mm"], "extra argument (mm); put what has a blank in it in quotes"),
        (["spacing", "MS20470AD4", "--rows", "100"], "100 is not from 1 to 99"),
        (["spacing", "MS20470AD4", "--override", "a"], "Option '--override' needs 3 words after"),
        (["spacing", "MS20470AD4", "--edge"], "Option '--edge' needs something after it"),
    ],
)
def test_a_slip_on_the_command_line_is_told_in_plain_words(arguments, piece):
    assert piece in refused(arguments)
