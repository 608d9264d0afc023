"""The worksheet: out to the bench and back, nothing lost, every slip named."""

import csv
import io
import json

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import JOB
from page_reader import read_page, section

from rivetkit.calculators.oversize.measured_size import require_near_nominal
from rivetkit.checks import Verdict
from rivetkit.cli.app import main
from rivetkit.errors import InputError
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import (
    KnownHole,
    open_bench_sheet,
    read_bench_sheet,
    write_bench_sheet,
)
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.plan import plan_job
from rivetkit.planning.worksheet import known_holes, worksheet_lines
from rivetkit.quantities import format_length, parse_length_in

#: .098 in is #40, common practice for a 3/32 rivet.
KNOWN = {f"row:{number}": KnownHole(number * 1.0, 0.5, (0.098,)) for number in (1, 2, 3)}
HEADER = "hole,measured least (in),measured greatest (in),long axis,grew,remark\n"


def sheet_of(tmp_path, text, known=KNOWN):
    path = tmp_path / "holes.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_bench_sheet(open_bench_sheet(path), known, job_name="test job")


def read(tmp_path, text):
    return sheet_of(tmp_path, text).measured


def test_a_filled_line_is_read_and_an_empty_one_passed_over(tmp_path):
    first, second = read(
        tmp_path,
        HEADER + "row:1,.098,.101,edge,toward,drill slipped\nrow:2,,,,,\nrow:3,1/8,,45 deg,,\n",
    )

    assert (first.hole, first.least_in, first.greatest_in) == ("row:1", 0.098, 0.101)
    assert (first.axis, first.grew, first.remark) == ("edge", "toward", "drill slipped")
    # One diameter alone is taken for a round hole, and said to be.
    assert (first.taken_as_round, second.taken_as_round) == (False, True)
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
        ("row:1,.1,.1,,,\nrow:1,.1,.1,,,", "line 3: hole 'row:1' is filled in again (first in "),
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
        ("row:1,.098,.101,0,toward,", "'toward' is toward nothing with the long axis in degrees"),
        ("row:1,.098,.101,90 deg,away,", "'away' is toward nothing with the long axis in degrees"),
        ("row:1,-.1,.1,,,", "line 2: column 'measured least': "),
        (
            "row:1,.1,.1,up,,",
            "'up' is not known here; write edge, row or degrees from the x axis, as in 45, or",
        ),
        ("row:1,.1,.1,400,,", "column 'long axis': '400' is no direction; give degrees up to 360"),
        ("row:1,.1,.1,,left,", "column 'grew': 'left' is not known here; write toward, away, both"),
        (",.1,.1,,,", "column 'hole': an entry without a hole; write the hole's id"),
    ],
)
def test_every_slip_names_file_line_column_and_mend(tmp_path, line, message):
    with pytest.raises(InputError) as caught:
        read(tmp_path, HEADER + line + "\n")

    assert message in str(caught.value)
    assert "holes.csv: line" in str(caught.value)


def test_a_hole_that_grew_both_ways_may_have_its_long_axis_in_degrees(tmp_path):
    (hole,) = read(tmp_path, HEADER + "row:1,.098,.101,45 deg,both,\n")
    assert (hole.axis, hole.grew) == (45.0, "both")


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


@pytest.mark.parametrize(
    "cell",
    [
        "8. Jan",
        "08.01.",
        "08.01",
        "2024-01-08 00:00:00",
        "2024-01-08T00:00",
        "Monday, January 8, 2024",
        "8. Okt. 2024",
        "J\u00e4n 08",
        "Montag, 8. Januar 2024",
        "1/8/2024 12:00 AM",
        # 8 January 2024 in days since the end of 1899, as spreadsheets count them
        "45299",
        "45299.5",
    ],
)
def test_every_way_a_spreadsheet_writes_a_date_is_called_a_date(tmp_path, cell):
    with pytest.raises(InputError, match=r"column 'measured greatest': '.*' is a date: a spread"):
        read(tmp_path, f'{HEADER}row:1,.1,"{cell}",,,\n')


@pytest.mark.parametrize(
    ("cell", "column", "words"),
    [
        # 2.9 mm is .114 in, right for 3/32; .29 in or .029 in is not
        ("2.9", "in", "2.900 in, over twice the rivet's hole of 0.098 in; .* write 2.9 mm"),
        (".010", "in", "0.010 in, under half the rivet's hole of .* slipped, write 0.100 in"),
        ("102", "in", "102.000 in, over twice .* measured in thou, write 102 thou"),
        (".098", "mm", "under half the rivet's hole of 2.489 mm; .* inches, write 0.098 in"),
        ("8.01", "in", "8.010 in, over twice the rivet's hole"),
        (".1961", "in", "0.1961 in, over twice the rivet's hole of 0.098 in; measure it again"),
        (".27", "in", "if it is torn so wide, write the unit as well: 0.270 in"),
        ("7", "mm", "if it is torn so wide, write the unit as well: 7.00 mm"),
        # a unit makes no slip of the point, or of the unit itself, right
        ("1.27 in", "in", "1.270 in, over twice .* slipped, write 0.127 in"),
        (".49 in", "in", "0.490 in, over twice the rivet's hole of 0.098 in; .* slipped, write"),
        ("2.9 in", "mm", "2.900 in|73.66 mm, over twice .* write 2.9 mm"),
        (".02 in", "in", "0.020 in, under half the rivet's hole of 0.098 in"),
        (".0489", "in", "0.0489 in, under half the rivet's hole of 0.098 in; measure it again"),
    ],
)
def test_a_size_far_from_the_rivets_hole_is_a_slip(tmp_path, cell, column, words):
    head = HEADER.replace("(in)", f"({column})")
    with pytest.raises(InputError, match=words) as caught:
        read(tmp_path, f"{head}row:1,{cell},{cell},,,\n")

    assert f"line 2: column 'measured least': '{cell}' is " in str(caught.value)


def test_from_half_to_twice_the_rivets_hole_a_size_is_taken(tmp_path):
    for cell in (".049", ".098", ".196"):
        assert read(tmp_path, f"{HEADER}row:1,{cell},{cell},,,\n")


@pytest.mark.parametrize(
    ("cell", "column"), [(".27 in", "in"), (".27 in", "mm"), ("6.858mm", "in"), ("270 thou", "mm")]
)
def test_a_torn_hole_told_with_its_unit_is_taken(tmp_path, cell, column):
    head = HEADER.replace("(in)", f"({column})")
    (hole,) = read(tmp_path, f"{head}row:1,.1 in,{cell},,,\n")

    assert hole.greatest_in == pytest.approx(0.27)


@pytest.mark.parametrize(
    ("x", "y", "column"), [("1.02", ".5", "x"), ("1", ".48", "y"), ("1", "-.5", "y")]
)
def test_a_sheet_printed_before_the_job_changed_is_refused(tmp_path, x, y, column):
    head = HEADER.replace("hole,", "hole,x (in),y (in),")
    with pytest.raises(InputError) as caught:
        read(tmp_path, f"{head}row:1,{x},{y},.1,.1,,,\n")

    assert f"holes.csv: line 2: column '{column}': the sheet has hole 'row:1' at {column} = " in (
        str(caught.value)
    )
    assert "over 0.010 in apart; the sheet was printed before the job changed" in str(caught.value)


@pytest.mark.parametrize(
    ("x", "y"), [("1.01", ".49"), ("0.99", ".5"), ("", ""), ("25.4 mm", "1/2")]
)
def test_a_coordinate_rounded_by_a_spreadsheet_is_the_same_hole(tmp_path, x, y):
    head = HEADER.replace("hole,", "hole,x (in),y (in),")

    assert read(tmp_path, f"{head}row:1,{x},{y},.1,.1,,,\n")
    # A line nobody filled in says nothing of a hole.
    assert not read(tmp_path, f"{head}row:1,9,9,,,,,\n")


def test_the_job_says_where_its_holes_are_and_what_sizes_they_may_have():
    # 13 holes from (.5, .5) to (9.5, .5), 3/32 rivets
    known = known_holes(parse_job(JOB))

    assert list(known) == [f"row:{number}" for number in range(1, 14)]
    assert (known["row:3"].x_in, known["row:3"].y_in) == (2.0, 0.5)
    # AC 43.13-1B tables 4-9 to 4-11 (derived): #41, .096 in, for 3/32
    assert set(known["row:3"].nominal_in) == {0.096}


def written(lines, unit, filled=None):
    return write_bench_sheet(lines, unit, filled, job_name="test job")


def carried(tmp_path, text, unit="in"):
    """Write a sheet from a filled one and return its heads and its lines by hole."""
    job = parse_job(JOB)
    sheet = sheet_of(tmp_path, text, known_holes(job))
    rows = csv.reader(io.StringIO(written(worksheet_lines(job), unit, sheet)))
    heads, *lines = rows
    return heads, {cells[0]: cells[8:] for cells in lines}


FILLED = (
    "hole,measured least (in),measured greatest (in),long axis,grew,remark,my own,\n"
    'row:1,,,,,"CRACK at 3 o\'clock, do not use",,\n'
    "row:2,1/8, .13 ,45,,,seen by Bob,\n"
    "row:3,,,edge,,,,\n"
    "row:4,2.9mm,,,toward,'tis fine,10:30,\n"
    "row:5,,,,,,-.5,\n"
    "row:6,,,,,;=A1,=B1,\n"
)


def test_nothing_typed_is_lost_and_nothing_is_written_otherwise(tmp_path):
    heads, lines = carried(tmp_path, FILLED)

    assert heads[12:] == ["remark", "my own"]  # the column without head and cell is none
    assert lines["row:1"] == ["", "", "", "", "CRACK at 3 o'clock, do not use", ""]
    assert lines["row:2"] == ["1/8", " .13 ", "45", "", "", "seen by Bob"]
    assert lines["row:3"] == ["", "", "edge", "", "", ""]
    assert lines["row:4"] == ["2.9mm", "", "", "toward", "'tis fine", "10:30"]
    assert lines["row:5"] == ["", "", "", "", "", "-.5"]
    assert lines["row:6"] == ["", "", "", "", ";'=A1", "'=B1"]  # no formula may run
    assert lines["row:7"] == [""] * 6


def test_what_is_carried_over_twice_stays_as_it_was(tmp_path):
    job = parse_job(JOB)
    known, lines = known_holes(job), worksheet_lines(job)
    once = written(lines, "in", sheet_of(tmp_path, FILLED, known))

    assert written(lines, "in", sheet_of(tmp_path, once, known)) == once


def test_an_own_column_is_kept_where_nobody_has_filled_it_yet(tmp_path):
    heads, lines = carried(tmp_path, HEADER.replace("remark", "remark,stamp") + "row:1,,,,,,\n")

    assert heads[-1] == "stamp"
    assert lines["row:1"] == [""] * 6


def test_in_a_sheet_of_another_unit_a_size_takes_its_unit_along(tmp_path):
    text = FILLED.replace(" .13 ", ".13").replace("45,", ",")
    _, lines = carried(tmp_path, text, "mm")

    # A fraction means inches in either sheet; 2.9mm says itself what it is.
    assert [lines[f"row:{n}"][:2] for n in (2, 4)] == [["1/8", ".13 in"], ["2.9mm", ""]]


def test_entries_of_a_row_the_new_sheet_leaves_out_are_not_dropped(tmp_path, job_file):
    text = (
        JOB
        + """
[[row]]
name = "second"
rivet = "MS20470AD3-3"
path = [[1.0, 2.5], [9.0, 2.5]]
count = 7
layers = ["skin"]
"""
    )
    (tmp_path / "job.toml").write_text(text)
    sheet = tmp_path / "holes.csv"
    sheet.write_text(HEADER + "second:1,.1,.1,,,\n")
    found = run("worksheet", job_file, "--row", "row", "--measured", str(sheet)).exception

    assert "line 2: hole 'second:1' is filled in, and the new sheet has no line for it" in (
        str(found)
    )


# ---------------------------------------------------------------- in the plan


def planned(tmp_path, text):
    job = parse_job(JOB.replace("0.3125", "0.31").replace("0.032", "0.063"))
    sheet = sheet_of(tmp_path, text, known_holes(job))
    return plan_job(job, measured=sheet.measured, noted=sheet.noted)


@pytest.mark.parametrize(
    ("boxes", "reason"),
    [
        (",,,,CRACK", 'remarked, not measured: "CRACK"'),
        (",,edge,,egg  shaped", 'remarked, not measured: "egg shaped"'),
        (",,edge,,", "noted, not measured: long axis 'edge'"),
        (",,,toward,", "noted, not measured: grew 'toward'"),
    ],
)
def test_a_hole_only_written_about_is_not_checked(tmp_path, boxes, reason):
    before = planned(tmp_path, HEADER)
    plan = planned(tmp_path, f"{HEADER}row:3,{boxes}\n")
    (check,) = plan.noted_checks

    assert (check.where, check.reason) == ("row:3", reason)
    assert check in plan.checks
    assert check.verdict is Verdict.NOT_CHECKED
    assert (before.verdict, plan.verdict) == (Verdict.PASS, Verdict.NOT_CHECKED)
    assert hole_verdicts(plan).verdicts[2] is Verdict.NOT_CHECKED
    # A column of the person's own is no remark.
    assert not planned(tmp_path, HEADER.replace("\n", ",by\n") + "row:3,,,,,,Bob\n").noted


def test_the_plan_lists_what_was_remarked(tmp_path, job_file):
    sheet = tmp_path / "holes.csv"
    sheet.write_text(HEADER + "row:3,,,,,CRACK\nrow:4,.1,,,,scratched\nrow:5,.08,.082,,,\n")
    done = run("plan", job_file, "--measured", str(sheet))
    flat = " ".join(done.output.split())

    table = flat.split("Rivets to drill out")[0]
    assert 'row:3 remarked, not measured: "CRACK"' in table
    assert 'within its limits; one size given, taken as round; remark: "scratched"' in flat
    # A narrow hole is drilled to the standard hole: AC 43.13-1B tables 4-9 to 4-11 (derived), #41.
    assert "row:5 0.0800 x 0.0820" in flat
    assert "#41" in flat.split("row:5 0.0800 x 0.0820")[1][:80]
    assert "under its limits: drill to the standard hole" in flat
    assert 'measurement row:3 remarked, not measured: "CRACK"' in flat


def test_a_good_hole_keeps_its_rivet_where_the_plan_says_itself_what_edge_is_unknown(tmp_path):
    job = parse_job(JOB.replace(", row_from_edge = 0.3125", ""))
    sheet = sheet_of(tmp_path, f"{HEADER}row:3,.1,.1,,,\n", known_holes(job))
    plan = plan_job(job, measured=sheet.measured)
    (fix,) = plan.measured.fixes

    # the trade text of 2001 (seen) has .093 to .103 for 3/32; the flange edge is not checked once
    assert (fix.chosen.kind, fix.oversize) == ("same", False)
    assert [c.where for c in plan.checks if c.verdict is Verdict.NOT_CHECKED]


def test_the_report_of_a_worksheet_shows_what_was_typed(tmp_path, job_file):
    sheet = tmp_path / "filled.csv"
    sheet.write_text(FILLED)
    words = ("worksheet", job_file, "--measured", str(sheet))
    found = {
        hole["hole"]: hole for hole in json.loads(run(*words, "--json").output)["result"]["holes"]
    }
    flat = " ".join(run(*words, "--format", "text").output.split())

    assert found["row:2"]["as_typed"]["measured least"] == "1/8"
    assert found["row:2"]["measured_least_in"] == 0.125
    assert found["row:2"]["own_columns"] == {"my own": "seen by Bob"}
    assert found["row:3"]["as_typed"]["long axis"] == "edge"
    assert found["row:4"]["as_typed"]["grew"] == "toward"
    assert "1/8 .13 45 ____ my own: seen" in flat
    assert "2.9mm ____ ____ toward" in flat


def test_no_cell_of_a_sheet_is_a_formula():
    lines = worksheet_lines(parse_job(JOB.replace('name = "row"', 'name = "=cmd|x"')))
    cells = [cell for row in csv.reader(io.StringIO(written(lines, "in"))) for cell in row]

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
        ".098",
        ".104",
        "row",
        "both",
        "look again",
    ]


def page_of(*words):
    done = run("worksheet", *words, "--format", "html")
    assert done.exit_code == 0
    return read_page(done.output)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_printed_sheet_has_the_columns_and_cells_of_the_csv(unit, tmp_path, job_file):
    sheet = tmp_path / "holes.csv"
    run("worksheet", job_file, "-o", str(sheet), "--units", unit)
    rows = list(csv.reader(io.StringIO(sheet.read_text())))
    rows[3][8:13] = [".098 in", ".104 in", "row", "both", "look again"]
    with sheet.open("w", newline="") as file:
        csv.writer(file).writerows(rows)
    arguments = (job_file, "--measured", str(sheet), "--units", unit)
    wanted = list(csv.reader(io.StringIO(run("worksheet", *arguments).output)))

    table = section(page_of(*arguments), "Holes").all("table")[0]
    head, *lines = table.all("tr")[1:]  # above the columns: job, file, who and when
    assert wanted[0][0] == "hole (job: test job)"  # printed, the job stands above the columns
    assert [cell.words for cell in head.all("th")] == ["hole", *wanted[0][1:]]
    assert len(lines) == len(wanted) - 1
    for line, cells in zip(lines, wanted[1:], strict=True):
        shown = [node.words for node in line.children if getattr(node, "tag", "") in ("th", "td")]
        for one, other in zip(shown, cells, strict=True):
            try:
                assert float(one) == pytest.approx(
                    float(other), abs=0.006 if unit == "mm" else 6e-5
                )
            except ValueError:
                assert one == other


def test_the_printed_sheet_stands_alone(job_file):
    """Common practice, no source: a record says what it is of, who measured, and when."""
    page = page_of(job_file)
    name = parse_job(JOB).name
    assert name in page.all("title")[0].words
    assert name in page.all("h1")[0].words
    headline = section(page, "Holes").all("thead")[0].all("tr")[0].words
    for word in (name, "job.toml", "date", "name", "signature"):
        assert word in headline
    assert "size:landscape" in page.all("style")[0].text


def test_the_sheet_on_a_screen_keeps_limits_and_boxes(job_file):
    lines = run("worksheet", job_file, "--format", "text").output.splitlines()
    assert max(map(len, lines)) <= 100
    top = next(place for place, line in enumerate(lines) if line.startswith("  ---"))
    head = " ".join(lines[top - 4 : top]).split()
    assert head.count("limit") == 2
    assert head.count("least") == head.count("greatest") == 2
    (hole,) = (line for line in worksheet_lines(parse_job(JOB))[:1])
    for limit_in in (hole.least_in, hole.greatest_in):
        assert f"{limit_in:.4f}" in lines[top + 1]
    assert lines[top + 1].count("____") == 5


@pytest.mark.parametrize(
    ("layer", "edges"),
    [
        # The row stands .5 in from the drawn front edge; the flange ends .3 in past its last rivet.
        ('{ layer = "rib", row_from_edge = 0.3125 }', ("flange end", "flange edge")),
        ('{ layer = "rib", edge_distance = 0.2 }', ("measured edge", "measured edge")),
        ('{ layer = "rib", edge_distance = 0.49 }', ("flange end", "measured edge")),
        ('{ layer = "rib", edge_distance = 0.5 }', ("flange end", "front")),
        ('{ layer = "rib", edge_distance = 0.51 }', ("flange end", "front")),
        ('"rib"', ("flange end", "front")),
    ],
)
def test_the_sheet_names_the_nearest_edge_told_or_drawn(layer, edges):
    told = JOB.replace('{ layer = "rib", row_from_edge = 0.3125 }', layer)
    assert layer in told
    lines = [line.edge for line in worksheet_lines(parse_job(told))]
    at_end, between = (f"{edge} of {'skin' if edge == 'front' else 'rib'}" for edge in edges)
    assert lines == [at_end, *[between] * 11, at_end]


@settings(max_examples=200, deadline=None)
@given(
    thou=st.integers(1, 10**7),
    nominal_in=st.lists(st.sampled_from([0.098, 0.1285, 0.159, 0.257]), min_size=1, max_size=3),
    unit=st.sampled_from(["in", "mm"]),
)
def test_a_size_is_taken_within_half_and_twice_the_holes_else_the_mend_is_one_that_is(
    thou, nominal_in, unit
):
    # Common practice, no source: a hole under half or over twice its rivet's is a slip; one that is
    # torn so wide, up to five times, is told with its unit.
    size_in = thou / 10_000
    least_in, most_in = min(nominal_in) / 2, 2 * max(nominal_in)

    def asked(text):
        return require_near_nominal(size_in, nominal_in=nominal_in, text=text, unit=unit)

    torn = most_in < size_in < 5 * min(nominal_in) - 1e-9
    if least_in <= size_in <= most_in:
        assert asked(f"{size_in}") == asked(f"{size_in} in") == size_in
        return
    if torn:
        assert asked(f"{size_in} in") == size_in
    with pytest.raises(InputError) as refused:
        asked(f"{size_in}" if torn else f"{size_in} in")
    nearest_in, side = (
        (min(nominal_in), "under half") if size_in < least_in else (max(nominal_in), "over twice")
    )
    assert f"{side} the rivet's hole of {format_length(nearest_in, unit)}" in refused.value.what
    factors = (0.1, 0.01, 0.001, 10, 100, 25.4, 1 / 25.4)
    slips = [size_in * factor for factor in factors if least_in <= size_in * factor <= most_in]
    if torn:
        assert refused.value.mend.startswith("measure it again; if it is torn")
        return
    _, told, written = refused.value.mend.partition("write ")
    assert bool(told) is bool(slips)
    if told:
        meant_in = parse_length_in(written)
        assert least_in * 0.999 <= meant_in <= most_in * 1.001
        assert min(abs(meant_in / one - 1) for one in slips) < 0.01
