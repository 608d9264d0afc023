"""Disks fill, pipes close, files change or are none: one line, nothing half written, no hang."""

import csv
import io
import os
import re
import signal
import subprocess
import sys
import time
from xml.etree import ElementTree as ET

import pytest
from job_texts import JOB
from map_jobs import HOSTILE, hostile_job

from rivetkit.cli.app import exit_code_of
from rivetkit.job import files
from rivetkit.job.read import read_job
from rivetkit.job.worksheet.sheet import KnownHole, open_bench_sheet, read_bench_sheet

PROGRAM = [sys.executable, "-m", "rivetkit"]
CSV_JOB = JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'holes_csv = "holes.csv"')
posix = pytest.mark.skipif(os.name != "posix", reason="named pipes and devices")


def called(arguments, capsys):
    """Run a command in this process and return exit code, output and complaint."""
    code = exit_code_of([str(argument) for argument in arguments])
    seen = capsys.readouterr()
    return code, seen.out, seen.err


def refused(arguments, capsys):
    """Run a command that cannot be done and return its one line."""
    code, out, err = called(arguments, capsys)
    assert (code, out) == (2, "")
    assert re.fullmatch(r"error: [^\n]+\n", err)
    assert "Traceback" not in err
    return err


@pytest.fixture
def job(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(JOB, "utf-8")
    return file


# -------------------------------------------------------------- writing


def writers(job, out):
    """Return a command line for every command that writes a file of its own kind."""
    return {
        "plan": ["plan", job, "-o", out],
        "html": ["plan", job, "--format", "html", "-o", out],
        "map": ["map", job, "-o", out],
        "worksheet": ["worksheet", job, "-o", out],
        "template": ["template", job, "-o", out],
        "export-dxf": ["export-dxf", job, "-o", out],
        "schema": ["schema", "-o", out],
        "start": ["start", "--yes", "--force", "-o", out],
    }


WRITERS = list(writers("", ""))


@posix
@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full device here")  # noqa: PTH110
@pytest.mark.parametrize("name", [name for name in WRITERS if name != "worksheet"])
def test_a_full_disk_is_told(name, job, capsys):
    said = refused(writers(job, "/dev/full")[name], capsys)
    assert "--output /dev/full: cannot be written: No space left on device" in said


@pytest.mark.parametrize("name", WRITERS)
@pytest.mark.parametrize("stop", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_what_stops_in_the_midst_leaves_nothing_half(
    name, stop, job, tmp_path, monkeypatch, capsys
):
    out = tmp_path / "out.pdf"
    if name != "worksheet":
        out.write_text("as it was")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    write = type(out).write_bytes

    def half(path, content):
        write(path, content[: len(content) // 2])
        raise stop

    monkeypatch.setattr(type(out), "write_bytes", half)
    code, said, err = called(writers(job, out)[name], capsys)
    monkeypatch.undo()

    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
    if isinstance(stop, OSError):
        assert (code, said) == (2, "")
        assert "No space left" in err
    else:
        assert (code, said, err.strip()) == (130, "", "")


@pytest.mark.parametrize("name", WRITERS)
def test_a_folder_one_may_not_write_to_is_told(name, job, tmp_path, monkeypatch, capsys):
    def denied(path, _content):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(type(tmp_path), "write_bytes", denied)
    said = refused(writers(job, tmp_path / "out.pdf")[name], capsys)
    assert "out.pdf: cannot be written: Permission denied" in said
    assert [path.name for path in tmp_path.iterdir()] == ["job.toml"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_a_folder_that_is_read_only_is_told(job, tmp_path, capsys):
    folder = tmp_path / "locked"
    folder.mkdir(mode=0o500)
    assert "Permission denied" in refused(["plan", job, "-o", folder / "plan.txt"], capsys)


@posix
def test_a_link_to_itself_is_neither_read_nor_written(job, tmp_path, capsys):
    loop = tmp_path / "loop.pdf"
    loop.symlink_to(loop)
    for command in (["plan", loop], ["plan", job, "-o", loop], ["template", job, "-o", loop]):
        assert "loop.pdf" in refused(command, capsys)
    (tmp_path / "holes.csv").symlink_to(tmp_path / "holes.csv")
    job.write_text(CSV_JOB, "utf-8")
    assert "'holes.csv': cannot be read: it is a link that leads" in refused(["plan", job], capsys)


@pytest.mark.parametrize("name", WRITERS)
def test_a_name_that_no_file_can_have(name, job, tmp_path, capsys):
    said = refused(writers(job, tmp_path / ("x" * 300 + ".pdf"))[name], capsys)
    assert "File name too long" in said
    assert "the name of the file is empty" in refused(writers(job, "")[name], capsys)


def test_the_report_is_made_before_the_file_is_touched(job, tmp_path, capsys):
    out = tmp_path / "plan.txt"
    out.write_text("as it was")
    job.write_text("nonsense", "utf-8")
    refused(["plan", job, "-o", out], capsys)
    assert out.read_text() == "as it was"


# -------------------------------------------------------------- pipes and Ctrl-C


@posix
@pytest.mark.parametrize("command", ["plan", "map", "worksheet", "export-dxf"])
def test_a_closed_pipe_is_no_error(command, tmp_path):
    file = tmp_path / "job.toml"
    file.write_text(JOB.replace("count = 13", "count = 60"), "utf-8")
    more = ["-o", "-"] if command == "export-dxf" else []
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run(
        [*PROGRAM, command, str(file), *more],
        stdout=write_end,
        stderr=subprocess.PIPE,
        check=False,
        timeout=60,
    )
    os.close(write_end)
    assert done.stderr == b""
    assert done.returncode in {0, 1}


@posix
def test_ctrl_c_during_a_plan_leaves_the_old_report(tmp_path):
    job, out = tmp_path / "job.toml", tmp_path / "plan.txt"
    rows = "".join(
        f'[[row]]\nname = "r{n}"\nrivet = "MS20470AD3-3"\nlayers = ["skin"]\n'
        f"path = [[1, {1 + n}], [9000, {1 + n}]]\ncount = 20000\n"
        for n in range(20)
    )
    skin = JOB.split("[[member]]", maxsplit=1)[0].replace("10,", "9999,").replace(", 6]", ", 99]")
    job.write_text(skin + rows, "utf-8")
    out.write_text("as it was")
    # Where branches are counted, the counting would swallow a Ctrl-C while it starts.
    plain = {name: word for name, word in os.environ.items() if not name.startswith("COVERAGE_")}
    running = subprocess.Popen(
        [*PROGRAM, "plan", str(job), "-o", str(out)], stderr=subprocess.PIPE, text=True, env=plain
    )
    time.sleep(1.0)  # somewhere between start and the last check: it must not matter where
    running.send_signal(signal.SIGINT)
    _, said = running.communicate(timeout=60)
    assert running.returncode in {130, -signal.SIGINT}  # the second: before Python was up
    if running.returncode == 130:
        assert "Traceback" not in said
    assert out.read_text() == "as it was"
    assert {path.name for path in tmp_path.iterdir()} == {"job.toml", "plan.txt"}


# -------------------------------------------------------------- reading


def readers(job, file):
    """Return a command line for every way to name a file to read."""
    return {
        "job": ["plan", file],
        "order": ["order", job, file],
        "measured": ["plan", job, "--measured", file],
        "carried over": ["worksheet", job, "--measured", file],
        "list of holes": ["import-holes", file],
    }


READERS = list(readers("", ""))


@posix
@pytest.mark.parametrize("name", READERS)
def test_a_pipe_by_name_is_refused_at_once(name, job, tmp_path, capsys):
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    said = refused(readers(job, pipe)[name], capsys)
    assert f"{pipe}: is a device or a pipe, not a file; name a file, or -" in said


@posix
@pytest.mark.parametrize("name", READERS)
def test_a_device_without_end_is_refused_at_once(name, job, tmp_path, capsys):
    endless = tmp_path / "zero.csv"
    endless.symlink_to("/dev/zero")
    assert "is a device or a pipe" in refused(readers(job, endless)[name], capsys)


@posix
@pytest.mark.parametrize("target", ["/dev/zero", "pipe", "elsewhere.csv", "../elsewhere.csv"])
def test_a_job_cannot_lead_out_of_its_folder(target, tmp_path, capsys):
    folder = tmp_path / "job"
    folder.mkdir()
    (tmp_path / "elsewhere.csv").write_text("x,y\n1,1\n")
    os.mkfifo(folder / "pipe")
    (folder / "job.toml").write_text(CSV_JOB, "utf-8")
    (folder / "holes.csv").symlink_to(
        target if target != "elsewhere.csv" else tmp_path / "elsewhere.csv"
    )
    said = refused(["plan", folder / "job.toml"], capsys)
    assert "row 'row': holes_csv: " in said
    assert ("is a device or a pipe" if target == "pipe" else "outside the job's folder") in said


def test_a_link_within_the_folder_is_followed(tmp_path, capsys):
    (tmp_path / "job.toml").write_text(CSV_JOB, "utf-8")
    (tmp_path / "real.csv").write_text("x,y\n1,0.5\n2,0.5\n")
    (tmp_path / "holes.csv").symlink_to("real.csv")
    assert called(["plan", tmp_path / "job.toml"], capsys)[0] in {0, 1}


@pytest.mark.parametrize("name", READERS)
def test_a_file_of_100_megabytes_is_not_read(name, job, tmp_path, monkeypatch, capsys):
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(100 * 1024 * 1024)

    def never(*_arguments, **_keywords):
        raise AssertionError("the file was opened")

    said_before = readers(job, large)[name]
    read = type(large).open
    monkeypatch.setattr(
        type(large), "open", lambda path, *rest: never() if path == large else read(path, *rest)
    )
    assert "the file is over 64 MB; is it the right one?" in refused(said_before, capsys)


@posix
def test_standard_input_without_end_is_cut_off():
    with open("/dev/zero", "rb") as endless:  # noqa: PTH123
        done = subprocess.run(
            [*PROGRAM, "plan", "-"], stdin=endless, capture_output=True, timeout=60, check=False
        )
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"error: standard input: the file is over 64 MB")


def test_no_standard_input_is_told(monkeypatch, capsys):
    monkeypatch.setattr(sys, "stdin", None)
    assert "standard input: there is no standard input; name" in refused(["plan", "-"], capsys)


def test_a_file_that_grows_while_it_is_read_is_refused(job, monkeypatch, capsys):
    monkeypatch.setattr(files, "LARGEST_BYTES", 100)
    monkeypatch.setattr(files, "require_plain_file", lambda *_: None)
    assert "job.toml: the file is over" in refused(["plan", job], capsys)


def test_a_file_that_goes_away_while_it_is_read_is_told(job, monkeypatch, capsys):
    monkeypatch.setattr(files, "require_plain_file", lambda *_: job.unlink())
    assert "job.toml: cannot be read: there is no such file" in refused(["plan", job], capsys)


def test_what_is_missing_or_no_text_is_told(job, tmp_path, capsys):
    gone = tmp_path / "gone.csv"
    latin = tmp_path / "latin.csv"
    latin.write_bytes(b"x,y\n1,1\nFl\xfcgel,2\n")
    wide = tmp_path / "wide.csv"
    wide.write_text("x,y\n1,1\n", encoding="utf-16")
    for name in READERS:
        assert f"{gone}: cannot be read: there is no such file" in refused(
            readers(job, gone)[name], capsys
        )
        assert "is not UTF-8 text, from line 3 on; save it as UTF-8" in refused(
            readers(job, latin)[name], capsys
        )
        assert "is UTF-16, not UTF-8 text; save it as UTF-8" in refused(
            readers(job, wide)[name], capsys
        )


@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "byte order mark"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"], ids=["lf", "crlf", "cr"])
def test_line_ends_and_a_byte_order_mark_change_nothing(mark, end, tmp_path):
    file = tmp_path / "job.toml"
    file.write_bytes((mark + CSV_JOB.replace("\n", end)).encode())
    (tmp_path / "holes.csv").write_bytes(f"{mark}x,y{end}1,0.5{end}2,0.5{end}".encode())
    assert read_job(file).rows[0].points.tolist() == [[1.0, 0.5], [2.0, 0.5]]
    sheet = tmp_path / "sheet.csv"
    head = "hole,measured least (in),measured greatest (in)"
    sheet.write_bytes(f"{mark}{head}{end}row:1,0.1,0.102{end}".encode())
    (hole,) = read_bench_sheet(
        open_bench_sheet(sheet), {"row:1": KnownHole(1.0, 0.5)}, job_name=""
    ).measured
    assert (hole.least_in, hole.greatest_in) == (0.1, 0.102)


@pytest.mark.parametrize(
    ("content", "piece"),
    [
        ("x;y\n1,5;0,5\n", "line 2: column 'x': length '1,5' has a decimal comma; write 1.5"),
        ("x,y\n1,5,0,5\n", "line 2: 4 cells, the first line has 2; write decimals with a point"),
        ('x,y\n"1,5","0,5"\n', "has a decimal comma; write 1.5"),
    ],
)
def test_a_decimal_comma_is_never_misread(content, piece, tmp_path, capsys):
    (tmp_path / "job.toml").write_text(CSV_JOB, "utf-8")
    (tmp_path / "holes.csv").write_text(content)
    assert piece in refused(["plan", tmp_path / "job.toml"], capsys)


def test_a_decimal_comma_in_a_worksheet_is_never_misread(job, tmp_path, capsys):
    sheet = tmp_path / "sheet.csv"
    head = "hole,measured least (in),measured greatest (in),remark"
    sheet.write_text(f"{head}\nrow:1,0,101,0,103,dent\n", "utf-8")
    said = refused(["plan", job, "--measured", sheet], capsys)
    assert "line 2: 6 cells, the first line has 4; write decimals with a point" in said


def test_deep_nesting_is_refused(job, capsys):
    for text in ("a = " + "[" * 50_000, "a = " + "{ a = " * 5_000, "[" * 5_000):
        job.write_text(text, "utf-8")
        assert "this is not TOML" in refused(["plan", job], capsys)


# -------------------------------------------------------------- names in what is written

#: Rings a bell, sets the window's title, turns the writing round, ends a line, and is no letter.
STEERING = "maker\x07\x1b]0;title\x07\x1b[31m\u202e\x85\u2028\ufffe"
SPACING = ["spacing", "MS20470AD4", "--edge", ".25"]
OVERRIDE = ["--override", "edge_distance_min_protruding", "1.5D", STEERING]


def test_text_and_csv_cannot_steer_a_terminal(capsys):
    for form in ("text", "csv"):
        code, out, _ = called([*SPACING, *OVERRIDE, "--format", form, "--explain"], capsys)
        assert code == 0
        assert "maker" in out
        assert re.findall(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029]", out) == []
    _, out, _ = called([*SPACING, *OVERRIDE], capsys)
    assert "\u202e" not in out


def test_a_page_holds_no_letter_that_html_forbids(capsys):
    code, out, _ = called([*SPACING, *OVERRIDE, "--format", "html"], capsys)
    assert code == 0
    assert "maker\ufffd" in out
    assert re.findall(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffe\uffff]", out) == []


def test_a_complaint_cannot_steer_a_terminal(capsys):
    said = refused(["spacing", STEERING, "--edge", ".25"], capsys)
    assert said.rstrip("\n").isprintable()


def test_hostile_names_leave_a_drawing_whole(tmp_path, capsys):
    file = tmp_path / "job.toml"
    file.write_text(hostile_job(), "utf-8")
    _, out, _ = called(["map", file], capsys)
    texts = "".join(ET.fromstring(out).itertext())  # noqa: S314 - our own drawing
    assert "script" not in {node.tag.split("}")[-1] for node in ET.fromstring(out).iter()}  # noqa: S314
    assert HOSTILE[4] in texts


@pytest.mark.parametrize(
    "bad", ["=1+1", "+1", "-1", "@SUM(1)", "\uff1dA1", "a;=1", "1:5", "|x", "%x"]
)
def test_no_spreadsheet_runs_a_name(bad, job, capsys):
    job.write_text(JOB.replace('name = "row"', f'name = "{bad}"'), "utf-8")
    _, sheet, _ = called(["worksheet", job], capsys)
    _, report, _ = called(["map", job, "--format", "csv"], capsys)
    for text in (sheet, report):
        for delimiter in ",;":
            cells = [
                cell for row in csv.reader(io.StringIO(text), delimiter=delimiter) for cell in row
            ]
            run = [cell for cell in cells if re.match(r"\s*[=+\-@\uff1d|%]", cell)]
            assert [cell for cell in run if not re.fullmatch(r"-[\d.]*", cell)] == []
    assert not re.search(r"^\d+:\d+", sheet, re.MULTILINE)


@pytest.mark.parametrize(
    "name", ["=1+1", "'tail", "''", "1:5", "a;=1", "a;'=1", "plain", "-", "0.5"]
)
def test_a_worksheet_comes_back_whatever_the_row_is_called(name, job, tmp_path, capsys):
    job.write_text(JOB.replace('name = "row"', f'name = "{name}"'), "utf-8")
    sheet = tmp_path / "sheet.csv"
    assert called(["worksheet", job, "-o", sheet], capsys)[0] == 0
    lines = sheet.read_text("utf-8").splitlines()
    lines[1] = lines[1].removesuffix(",,,,,") + ",.101,.103,,,"
    sheet.write_text("\n".join(lines), "utf-8")
    code, _, err = called(["plan", job, "--measured", sheet], capsys)
    assert (code in {0, 1}, err) == (True, "")
