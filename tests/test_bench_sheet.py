"""The worksheet: out to the bench and back, nothing lost, every slip named."""

import csv
import io

import pytest
from click.testing import CliRunner
from job_texts import JOB

from rivetkit.cli.app import main
from rivetkit.errors import InputError
from rivetkit.job.bench_sheet import BenchHole, read_bench_sheet, write_bench_sheet
from rivetkit.job.read import parse_job
from rivetkit.planning.worksheet import worksheet_lines

HEADER = "hole,measured least (in),measured greatest (in),long axis,grew,remark\n"


def read(tmp_path, text, known=("row:1", "row:2", "row:3")):
    path = tmp_path / "holes.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_bench_sheet(path, known)


def test_a_filled_line_is_read_and_an_empty_one_passed_over(tmp_path):
    first, second = read(
        tmp_path,
        HEADER + "row:1,.098,.101,edge,toward,drill slipped\nrow:2,,,,,\nrow:3,1/8,,45 deg,,\n",
    )

    assert (first.hole, first.least_in, first.greatest_in) == ("row:1", 0.098, 0.101)
    assert (first.axis, first.grew, first.remark) == ("edge", "toward", "drill slipped")
    # One diameter alone is a round hole.
    assert (second.least_in, second.greatest_in, second.axis) == (0.125, 0.125, 45.0)


def test_columns_may_stand_in_any_order_with_bom_semicolons_and_crlf(tmp_path):
    text = "\ufeffremark;measured greatest (mm);hole;measured least (mm)\r\nx;2.54;row:1;2.5\r\n"
    (hole,) = read(tmp_path, text)

    assert hole.greatest_in == pytest.approx(0.1)
    assert hole.least_in == pytest.approx(2.5 / 25.4)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (
            "row:9,.1,.1,,,",
            "line 2: column 'hole': the job has no hole 'row:9'; did you mean 'row:",
        ),
        ("row:1,.1,.1,,,\nrow:1,.1,.1,,,", "line 3: hole 'row:1' is measured again (first in "),
        (
            "row:1,.12,.1,,,",
            "column 'measured least': the least .12 is above the greatest .1; swap",
        ),
        (
            "row:1,8-Jan,.1,,,",
            "'8-Jan' is a date: a spreadsheet made it of a size such as 1/8; type",
        ),
        ("row:1,2026-01-08,.1,,,", "'2026-01-08' is a date"),
        ("row:1,Mar 16,.1,,,", "'Mar 16' is a date"),
        ("row:1,3/16/26,.1,,,", "'3/16/26' is a date"),
        ("row:1,tenth,.1,,,", "line 2: column 'measured least': "),
        ("row:1,-.1,.1,,,", "line 2: column 'measured least': "),
        (
            "row:1,.1,.1,up,,",
            "column 'long axis': 'up' is not known here; write edge, row, or leave",
        ),
        ("row:1,.1,.1,400,,", "column 'long axis': '400' is no direction; give degrees up to 360"),
        ("row:1,.1,.1,,left,", "column 'grew': 'left' is not known here; write toward, away, both"),
        (",.1,.1,,,", "column 'hole': sizes without a hole; write the hole's id"),
    ],
)
def test_every_slip_names_file_line_column_and_mend(tmp_path, line, message):
    with pytest.raises(InputError) as caught:
        read(tmp_path, HEADER + line + "\n")

    assert message in str(caught.value)
    assert "holes.csv: line" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "line 1: no column 'hole'; keep the first line as the worksheet had it"),
        ("hole,least\nrow:1,1\n", "line 1: no column 'measured least'"),
        (
            b"hole,measured least,measured greatest\nr\xf6w,,\n",
            "is not UTF-8 text, from line 2 on; save it as UTF-8",
        ),
    ],
)
def test_a_sheet_that_is_none(tmp_path, text, message):
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)

    assert message in str(caught.value)


def test_a_sheet_goes_out_and_comes_back_as_it_was(tmp_path):
    lines = worksheet_lines(parse_job(JOB))
    filled = [
        BenchHole("row:2", 0.0985, 0.1125, "edge", "away", "=SUM(A1)", "x"),
        BenchHole("row:5", 0.125, 0.125, -30.0, None, 'says "far", comma', "x"),
    ]
    for unit in ("in", "mm"):
        path = tmp_path / f"{unit}.csv"
        path.write_text(write_bench_sheet(lines, unit, filled), newline="")
        back = read_bench_sheet(path, [line.hole for line in lines])

        assert len(back) == 2
        for one, other in zip(filled, back, strict=True):
            assert other.least_in == pytest.approx(one.least_in, abs=1e-6)
            assert other.greatest_in == pytest.approx(one.greatest_in, abs=1e-6)
            assert (other.hole, other.axis, other.grew, other.remark) == (
                one.hole,
                one.axis,
                one.grew,
                one.remark,
            )


def test_no_cell_of_a_sheet_is_a_formula():
    lines = worksheet_lines(parse_job(JOB.replace('name = "row"', 'name = "=cmd|x"')))
    cells = [
        cell for row in csv.reader(io.StringIO(write_bench_sheet(lines, "in"))) for cell in row
    ]

    assert not [cell for cell in cells if cell[:1] in "=+-@" and cell]


def run(*words):
    return CliRunner().invoke(main, words)


@pytest.fixture
def job_file(tmp_path):
    path = tmp_path / "job.toml"
    path.write_text(JOB)
    return str(path)


def test_a_filled_sheet_is_never_written_over(tmp_path, job_file):
    sheet = tmp_path / "holes.csv"

    assert run("worksheet", job_file, "-o", str(sheet)).exit_code == 0
    before = sheet.read_bytes()
    again = run("worksheet", job_file, "-o", str(sheet))
    assert isinstance(again.exception, InputError)
    assert "somebody may have filled it in" in str(again.exception)
    assert sheet.read_bytes() == before


def test_an_empty_sheet_changes_nothing(tmp_path, job_file):
    sheet = str(tmp_path / "holes.csv")
    run("worksheet", job_file, "-o", sheet)
    plain = run("plan", job_file)

    assert run("plan", job_file, "--measured", sheet).output == plain.output


def test_entries_are_carried_over_into_a_new_sheet(tmp_path, job_file):
    sheet, new = tmp_path / "holes.csv", tmp_path / "new.csv"
    run("worksheet", job_file, "-o", str(sheet))
    rows = list(csv.reader(io.StringIO(sheet.read_text())))
    rows[3][8:13] = [".098", ".104", "row", "both", "look again"]
    with sheet.open("w", newline="") as file:
        csv.writer(file).writerows(rows)
    run("worksheet", job_file, "--measured", str(sheet), "-o", str(new))

    assert list(csv.reader(io.StringIO(new.read_text())))[3][8:] == [
        "0.098",
        "0.104",
        "row",
        "both",
        "look again",
    ]
