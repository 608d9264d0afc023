"""Hole lists as people and spreadsheets save them: one reader for jobs and for import-holes."""

import io
import math
import tomllib

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.cli.app import main
from rivetkit.errors import InputError
from rivetkit.job.drawing.parts import read_drawing
from rivetkit.job.places import read_holes_text
from rivetkit.job.read import parse_job, read_job

#: The same two holes, at (1, 2) in and (1.5, -0.25) in, in every dress.
SAME_HOLES = {
    "commas": "x,y\n1,2\n1.5,-0.25\n",
    "semicolons": "x;y\n1;2\n1.5;-0.25\n",
    "tabs": "x\ty\n1\t2\n1.5\t-0.25\n",
    "other order": "remark,Y, X \nfirst,2,1\nsecond,-.25,1 1/2\n",
    "unit in brackets": "x (mm),y (mm)\n25.4,50.8\n38.1,-6.35\n",
    "unit at the end": "hole,x_mm,y_in\na,25.4,2\nb,38.1,-0.25\n",
    "units in the cells": "x,y\n25.4 mm,2 in\n1 1/2,-250 thou\n",
    "empty lines": "x,y\r\n\r\n1,2\r\n,\r\n1.5,-0.25\r\n",
}


@pytest.mark.parametrize("text", SAME_HOLES.values(), ids=SAME_HOLES)
def test_one_list_in_every_dress(text):
    points = read_holes_text(text, "holes.csv", "in")

    assert points == pytest.approx(np.array([[1.0, 2.0], [1.5, -0.25]]), abs=1e-12)


def test_the_name_of_a_column_outweighs_the_unit_of_the_job():
    read = read_holes_text("x_in,y\n1,25.4\n", "holes.csv", "mm")

    assert read == pytest.approx(np.array([[1.0, 1.0]]))


def test_a_size_has_a_unit_of_its_own_and_may_be_missing():
    text = "diameter (mm),x,y\n2.54,1,2\n,3,4\n"

    read = read_holes_text(text, "holes.csv", "in", also="diameter")

    assert read[0] == pytest.approx([1.0, 2.0, 0.1])
    assert np.isnan(read[1, 2])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("x,y,x\n1,2,3\n", "holes.csv: line 1: two columns are called 'x'; keep one of them"),
        ("x,x_mm,y\n1,2,3\n", "holes.csv: line 1: two columns are called 'x'; keep one of them"),
        (f"x,y\n{'1' * 200_000},2\n", "holes.csv: line 2: is no CSV (field larger than field"),
        ("x;y\n1,5;2\n", "holes.csv: line 2: column 'x': length '1,5' has a decimal comma"),
        ("x (ft),y\n1,2\n", "holes.csv: line 1: the first line names x (ft), y; name the columns"),
    ],
    ids=lambda value: value[:20],
)
def test_what_cannot_be_read_is_told(text, message):
    with pytest.raises(InputError) as caught:
        read_holes_text(text, "holes.csv", "in")

    assert str(caught.value).startswith(message)


@given(
    holes=st.lists(st.tuples(*[st.decimals(-999, 999, places=4)] * 2), min_size=1, max_size=20),
    delimiter=st.sampled_from(",;\t"),
    swapped=st.booleans(),
)
def test_neither_divider_nor_order_of_columns_changes_a_hole(holes, delimiter, swapped):
    lines = [["x", "y"], *([str(x), str(y)] for x, y in holes)]
    text = "\n".join(delimiter.join(reversed(line) if swapped else line) for line in lines)

    read = read_holes_text(text, "holes.csv", "in")

    assert read == pytest.approx(np.array(holes, dtype=float), abs=1e-12)


def test_the_command_and_a_job_read_one_file_alike(tmp_path):
    file = tmp_path / "holes.csv"
    file.write_text("y_mm;x_mm\n12.7;12.7\n12.7;38.1\n")
    (tmp_path / "job.toml").write_text(
        JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'holes_csv = "holes.csv"')
    )

    done = CliRunner().invoke(main, ["import-holes", str(file)], standalone_mode=False)

    lines = [line for line in done.output.splitlines() if not line.startswith("#FILL")]
    imported = tomllib.load(io.BytesIO("\n".join(lines).encode()))["row"][0]["holes"]
    assert np.array(imported) == pytest.approx(np.array([[0.5, 0.5], [1.5, 0.5]]))
    assert read_job(tmp_path / "job.toml").rows[0].points == pytest.approx(np.array(imported))


def test_an_imported_file_not_filled_in_names_the_line_to_complete(tmp_path):
    holes = tmp_path / "holes.csv"
    holes.write_text("x,y\n1,1\n2,1\n")
    job = CliRunner().invoke(main, ["import-holes", str(holes)], standalone_mode=False).output
    number = next(n for n, line in enumerate(job.splitlines(), 1) if "name =" in line)

    with pytest.raises(InputError) as caught:
        parse_job(job)

    assert str(caught.value) == (
        f"job: no 'name' is given; add it; complete line {number} and take its #FILL IN# away"
    )
    named = job.replace('#FILL IN# name = "', 'name = "')
    with pytest.raises(InputError, match=f"complete line {number + 5} and take its #FILL IN# away"):
        parse_job(named)


# --- holes that a drawing program wrote as closed arcs -----------------------------------------


@pytest.fixture
def drawn(tmp_path):
    """Return a function that saves a skin of 10 by 5 in with whatever else is put on it."""
    ezdxf = pytest.importorskip("ezdxf")

    def save(draw):
        document = ezdxf.new("R2010", units=1)
        space = document.modelspace()
        space.add_lwpolyline([(0, 0), (10, 0), (10, 5), (0, 5)], close=True)
        draw(space)
        file = tmp_path / "drawing.dxf"
        document.saveas(file)
        return read_drawing(str(file))

    return save


def closed_arcs(centre, radius, parts, turn=1):
    """Vertices x, y, start width, end width, bulge: a circle in equal arcs, either way round."""
    bulge = math.tan(math.tau / parts / 4) * turn
    angles = [0.3 + turn * math.tau * number / parts for number in range(parts)]
    return [
        (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a), 0, 0, bulge)
        for a in angles
    ]


@pytest.mark.parametrize("parts", [2, 3, 4])
@pytest.mark.parametrize("turn", [1, -1])
def test_a_hole_drawn_as_closed_arcs_is_a_hole(drawn, parts, turn):
    read = drawn(lambda s: s.add_lwpolyline(closed_arcs((3, 2), 0.0485, parts, turn), close=True))

    (group,) = read.groups
    assert group.points[0] == pytest.approx((3.0, 2.0), abs=1e-9)
    assert group.diameter_in == pytest.approx(0.097, abs=1e-9)
    assert (read.sheet.cutouts, read.sheet.circles) == ((), ())


@pytest.mark.parametrize("end_deg", [360.0, 359.9999, 359.0])
def test_a_hole_drawn_as_one_arc_that_comes_round_is_a_hole(drawn, end_deg):
    # At 359 deg the ends of a .0485 in arc are .00085 in apart: less than a caliper reads.
    read = drawn(lambda s: s.add_arc((3, 2), 0.0485, 0.0, end_deg))

    (group,) = read.groups
    assert group.points[0] == pytest.approx((3.0, 2.0), abs=1e-3)
    assert group.diameter_in == pytest.approx(0.097, abs=1e-3)


def test_an_arc_too_short_to_see_is_nothing(drawn):
    read = drawn(lambda s: s.add_arc((3, 2), 1.0, 10.0, 10.0001))

    assert (read.groups, read.sheet.cutouts, read.skipped) == ((), (), ())


def test_a_wide_one_is_a_round_cut_out(drawn):
    read = drawn(lambda s: s.add_lwpolyline(closed_arcs((5, 2.5), 1.5, 2), close=True))

    assert read.groups == ()
    (circle,) = read.sheet.circles
    assert circle.diameter_in == pytest.approx(3.0)


def test_arcs_of_two_circles_are_no_circle(drawn):
    # A lens: both arcs bulge by a quarter turn only.
    read = drawn(lambda s: s.add_lwpolyline([(3, 2, 0, 0, 0.4), (3.3, 2, 0, 0, 0.4)], close=True))

    assert read.groups == ()
    assert len(read.sheet.cutouts) == 1


def test_a_ring_drawn_twice_in_both_ways_is_one_hole(drawn):
    def draw(space):
        space.add_circle((3, 2), 0.05)
        space.add_lwpolyline(closed_arcs((3, 2), 0.05, 2), close=True)

    read = drawn(draw)

    assert read.holes == 1
    assert [(item.count, item.why) for item in read.skipped] == [(1, "drawn twice")]
