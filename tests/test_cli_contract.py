"""What every command promises: exit codes, one-line complaints, clean pipes, honest files."""

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from rivetkit import __version__
from rivetkit.checks import MM_PER_IN, not_checked
from rivetkit.cli.app import exit_code_of, main
from rivetkit.cli.output import exit_code, write_file
from rivetkit.cli.overrides import parse_override
from rivetkit.errors import InputError

SPACING = ["spacing", "MS20470AD4", "--edge", "1/4"]
COVER = str(Path(__file__).parent.parent / "examples" / "inspection_cover.toml")
GOOD = [
    ["drills"],
    ["drills", "#40"],
    ["drills", ".0965 in", "--closest"],
    ["drills", "--rivets"],
    ["drills", "--rivets", "--rule-set", "amt"],
    ["fastener", "MS20470AD4-5"],
    ["fastener", "MS20426AD3"],
    ["fastener", "TMOPEN-4"],
    ["nutplate", "MS21047-3"],
    ["expansion"],
    ["expansion", "2024", "--length", "36 in", "--from", "70F", "--to", "120F"],
    ["drill-out", "MS20470AD4", "--sheet", ".032 in", "--stack", ".072 in"],
    ["drill-out", "MS20426AD3", "--stack", ".057 in", "--dimpled", "--nutplate"],
    ["drill-out", "TMOPEN-4"],
    ["drill-out", "ISO15973-4x10-AlA/St"],
    ["drill-out", "NAS9301B-4-03"],
    ["grip", "MS20470AD4", ".032 in", ".040 in"],
    ["grip", "TMOPEN-4", ".063 in", ".040 in"],
    ["grip", "MS20426AD4", ".063 in:countersunk", ".040 in"],
    SPACING,
    ["sources"],
    ["sources", "rivet-holes"],
    ["sources", "holes/rivet_holes.csv"],
    ["sources", "army-al0992"],
    ["sources", "standards"],
    ["sources", "rules"],
    ["sources", "rule-sets"],
]
FAILING = [
    ["grip", "MS20426AD4", ".032 in:countersunk", ".040 in"],
    ["spacing", "MS20470AD4", "--edge", ".24"],
    ["spacing", "MS20470AD4", "--edge-in-layer", "rib=?"],
    ["spacing", "MS20470AD4", "--rows", "2"],
]
#: Arguments that cannot be used, and a piece of what standard error has to say.
BAD = [
    (["nonsense"], "no command 'nonsense'; see 'rivetkit --help'"),
    (["pln", "job.toml"], "no command 'pln'; did you mean 'rivetkit plan'?"),
    (
        ["strength", "MS20470AD4", ".032:2O24-T3", ".040:2024-T3"],
        "layer 1 '.032:2O24-T3': there is no alloy '2O24-T3'; did you mean '2024-T3'?",
    ),
    (
        ["splice", "--thickness", ".032", "--width", "4", "--joint", "full", "--alloy", "2024T3"],
        "--alloy: there is no alloy '2024T3'; did you mean '2024-T3'?",
    ),
    (["newhole"], "did you mean 'rivetkit new-hole'?"),
    (["--nonsense"], "no such option"),
    (["oversize", "MS20470AD4", "--hole", ".14", "--edge", ".27"], "mean --edge-in-layer?"),
    (["spacing", "MS20470AD4", "--edge", ".27", "--acuracy", ".005"], "mean --accuracy?"),
    (["spacing", "MS20470AD4", "--edge", ".27", "--accuracy", "5"], "--accuracy: the measuring ac"),
    (["drills", "--nonsense"], "rivetkit drills --help"),
    (["drills", "foo"], "no drill is called 'foo'"),
    (["drills", "40"], "write #40"),
    (["drills", "0"], "no drill is called '0'"),
    (["drills", "-1"], "no such option"),
    (["drills", "99 in", "--at-or-above"], "the largest is"),
    (["drills", "2.4"], "write 2.4 mm"),
    (["drills", "--closest"], "no SIZE"),
    (["drills", "#40", "--rivets"], "chart of its own"),
    (["drills", "#40", "--series", "imperial"], "imperial"),
    (["drills", "#40", "--units", "ft"], "ft"),
    (["drills", "--rule-set", "nobody", "--rivets"], "usual"),
    (["fastener", "XX"], "XX"),
    (["fastener", ""], "part number"),
    (["fastener"], "PART"),
    (["fastener", "MS21047-99"], "-99"),
    (["drill-out", "MS20426AD3"], "--countersunk or --dimpled"),
    (["drill-out", "MS20426AD3", "--dimpled", "--countersunk"], "exclude"),
    (["drill-out", "MS20470AD4", "--sheet", "thick"], "--sheet"),
    (["drill-out", "MS20470AD4", "--sheet", "-.032"], "--sheet"),
    (["drill-out", "MS20470AD4", "--sheet", ".1", "--stack", ".05"], "thicker"),
    (["grip", "MS20470AD4"], "LAYER"),
    (["grip", "MS20470AD4", ".032:bent"], "plain, dimpled, countersunk"),
    (["grip", "MS20470AD4", ".032", "skin="], "layer 2"),
    (["grip", "MS20470AD4", ".5", ".5", ".5", ".5"], "stock"),
    (["grip", "MS20470AD4", "32", "63", "--units", "mm"], "thicker than any sheet"),
    (["spacing", "MS20470AD4", "--sheet", "32"], "thicker than any sheet"),
    (["spacing", "MS20470AD4", "--edge", ".3", "--override", "edge_distance", "2D", "x"], "flush"),
    (["grip", "MS20470AD4", ".032:dimpled"], "flush"),
    (["spacing", "MS20470AD4"], "nothing is given"),
    (["spacing", "MS20470AD4", "--edge", "nan"], "--edge"),
    (["spacing", "MS20470AD4", "--edge", "1/0"], "--edge"),
    (["spacing", "MS20470AD4", "--edge-in-layer", "rib"], "rib=?"),
    (["spacing", "MS20470AD4", "--edge-in-layer", "a=1/4", "--edge-in-layer", "a=1"], "twice"),
    (["spacing", "MS20470AD4", "--edge", ".25", "--rows", "0"], "rows"),
    ([*SPACING, "--sheet", "032"], "--sheet '032' is a whole number that starts with 0"),
    ([*SPACING, "--sheet", "skin="], "skin=.032"),
    ([*SPACING, "--sheet", "a=.032", "--sheet", "a=.04"], "'a' is given twice"),
    ([*SPACING, "--sheet", "a=.032:dimpled"], "--countersunk-sheet"),
    (["spacing", "1/8", "--edge", ".25"], "give one such as MS20470AD4"),
    ([*SPACING, "--override", "edge", "2D", "maker"], "edge"),
    ([*SPACING, "--override", "edge_distance_max", "2", "maker"], "no unit"),
    ([*SPACING, "--override", "edge_distance_max", "2 lb", "maker"], "lb"),
    ([*SPACING, "--override", "edge_distance_max", "5D", " "], "source"),
    ([*SPACING, "--override", "edge_distance_max", "5D"], "--override"),
    (["sources", "nowhere"], "nowhere"),
    (["spacing", "MS20470AD4", "--edge", "\udcff"], "--edge"),
]


def run(arguments, **keywords):
    """Run the program as a person does, in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "rivetkit", *arguments],
        capture_output=True,
        text=True,
        check=False,
        **keywords,
    )


def called(arguments, capsys):
    """Run a command in this process and return exit code, output and complaint."""
    code = exit_code_of(arguments)
    seen = capsys.readouterr()
    return code, seen.out, seen.err


@pytest.mark.parametrize("arguments", GOOD, ids=" ".join)
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_good_command_exits_0_and_fits_the_page(arguments, units, capsys):
    code, out, err = called([*arguments, "--units", units, "--explain"], capsys)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100
    assert "\x1b" not in out


@pytest.mark.parametrize("arguments", FAILING, ids=" ".join)
def test_a_failed_or_missing_check_exits_1(arguments, capsys):
    code, out, err = called(arguments, capsys)
    assert (code, err) == (1, "")
    assert "FAIL" in out or "not checked" in out


@pytest.mark.parametrize(("arguments", "piece"), BAD, ids=lambda value: " ".join(value)[:60])
def test_bad_input_exits_2_with_one_line(arguments, piece, capsys):
    code, out, err = called(arguments, capsys)
    assert (code, out) == (2, "")
    assert re.fullmatch(r"error: [^\n]+\n", err)
    assert piece.lower() in err.lower()


@pytest.mark.parametrize("arguments", GOOD + FAILING, ids=" ".join)
def test_json_is_one_document_with_the_agreed_keys(arguments, capsys):
    _, out, _ = called([*arguments, "--json"], capsys)
    data = json.loads(out, parse_constant=pytest.fail)
    keys = ["tool", "version", "command", "inputs", "result", "checks", "sources", "cautions"]
    assert list(data) == keys
    assert (data["tool"], data["version"], data["command"]) == (
        "rivetkit",
        __version__,
        arguments[0],
    )
    assert data["inputs"]["units"] == "in"
    assert data["result"]


@pytest.mark.parametrize(
    "arguments",
    [arguments for arguments in GOOD + FAILING if arguments[0] in {"drill-out", "grip", "spacing"}],
    ids=" ".join,
)
def test_a_report_to_drill_by_ends_with_the_cautions(arguments, capsys):
    code, out, _ = called(arguments, capsys)
    assert code in {0, 1}
    tail = out[out.index("Before you drill") :]
    for piece in ("the aircraft maker's data", "authority", "inspected", "eye protection", "chips"):
        assert piece in tail


def result_of(arguments, capsys):
    _, out, _ = called([*arguments, "--json"], capsys)
    return json.loads(out)


def test_inches_and_millimetres_agree(capsys):
    inch = result_of(SPACING, capsys)["checks"]
    metric = result_of(["spacing", "MS20470AD4", "--edge", "6.35", "--units", "mm"], capsys)
    for one, other in zip(inch, metric["checks"], strict=True):
        assert other["unit"] == "mm"
        assert other["verdict"] == one["verdict"]
        for field in ("value", "limit"):
            assert other[field] == pytest.approx(one[field] * MM_PER_IN, rel=1e-12)


def test_a_fraction_is_inches_whatever_the_unit(capsys):
    checks = result_of([*SPACING, "--units", "mm"], capsys)["checks"]
    assert checks[0]["value"] == pytest.approx(6.35)


def test_an_override_replaces_the_limit_and_is_marked(capsys):
    override = ["--override", "edge_distance_min_protruding", "1.5D", "drawing 12"]
    code, out, _ = called(["spacing", "MS20470AD4", "--edge", ".20", *override], capsys)
    assert code == 0
    row = next(line for line in out.splitlines() if "min 0.1875" in line)
    assert row.rstrip().endswith("your override")
    assert "drawing 12" in out


def test_an_override_of_another_rule_changes_nothing_and_says_so(capsys):
    override = ["--override", "pitch_max", "12D", "drawing 12"]
    plain = result_of(SPACING, capsys)
    code, out, err = called([*SPACING, *override, "--json"], capsys)
    assert code == 0
    assert plain["checks"] == json.loads(out)["checks"]
    assert err == "note: the override of 'pitch_max' had nothing to replace here\n"


@pytest.mark.parametrize("quiet", [[], ["--quiet"]])
def test_a_plan_tells_which_override_it_has_no_use_for(quiet, capsys):
    override = ["--override", "pitch_max", "12D", "drawing 12"]
    cover = ["plan", COVER, *quiet, *override]
    _, out, err = called(cover, capsys)
    assert "with 1 override\n" in out
    assert err == ""
    # A tool's rule is no check's, and is used all the same.
    _, _, err = called([*cover, "--override", "temporary_fastener_every", "3 count", "us"], capsys)
    assert err == ""
    _, out, err = called([*cover, "--override", "edge_distance_max", "5D", "drawing 12"], capsys)
    assert "with 2 overrides; nothing here is held to edge_distance_max\n" in out
    assert err == "note: the override of 'edge_distance_max' had nothing to replace here\n"


def test_look_ups_without_limits_take_no_override(capsys):
    override = ["--override", "pitch_max", "12D", "drawing 12"]
    for look_up in (["drills", "#40"], ["fastener", "MS20470AD4"]):
        assert called([*look_up, *override], capsys)[0] == 2


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("2.0D", 2.0, "D"),
        ("2 D", 2.0, "D"),
        ("3t", 3.0, "t"),
        ("0.25 in", 0.25, "in"),
        ("1/4in", 0.25, "in"),
        ("1 3/16 in", 1.1875, "in"),
        (".4 mm", 0.4, "mm"),
        ("20%", 20.0, "percent"),
        ("10 count", 10.0, "count"),
    ],
)
def test_override_values(text, value, unit):
    override = parse_override("edge_distance_max", text, "drawing")
    assert (override.value, override.unit) == (value, unit)


@pytest.mark.parametrize("text", ["", "D", "-2D", "2..0D", "2D4", "1/0 in", "nan D", "inf D", "2"])
def test_override_values_refused(text):
    with pytest.raises(InputError, match="--override edge_distance_max"):
        parse_override("edge_distance_max", text, "drawing")


@settings(deadline=None, max_examples=30)
@given(
    edge_in=st.decimals("0.05", "1", places=3),
    more_in=st.decimals("0", "1", places=3),
    rivet=st.sampled_from(["MS20470AD3", "MS20470AD4", "MS20426AD4"]),
)
def test_more_edge_never_turns_pass_into_fail(edge_in, more_in, rivet):
    def verdict(size):
        done = CliRunner().invoke(
            main,
            ["spacing", rivet, "--edge", str(size), "--json"],
            standalone_mode=False,
        )
        checks = json.loads(done.stdout)["checks"]
        return next(check["verdict"] for check in checks if check["name"] == "edge distance")

    if verdict(edge_in) == "pass":
        assert verdict(edge_in + more_in) == "pass"


def test_exit_code_counts_what_was_not_checked():
    assert exit_code([]) == 0
    assert exit_code([not_checked("edge distance", "no edge given")]) == 1


def test_output_goes_to_the_file_and_nowhere_else(tmp_path, capsys):
    file = tmp_path / "report.json"
    code, out, err = called([*SPACING, "--json", "-o", str(file)], capsys)
    assert (code, out, err) == (0, "", "")
    assert json.loads(file.read_text(encoding="utf-8"))["command"] == "spacing"
    assert [path.name for path in tmp_path.iterdir()] == ["report.json"]


def test_a_dash_is_the_screen(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    code, out, _ = called([*SPACING, "-o", "-"], capsys)
    assert code == 0
    assert out
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_one_line(tmp_path, capsys):
    file = tmp_path / "nowhere" / "report.txt"
    code, out, err = called([*SPACING, "-o", str(file)], capsys)
    assert (code, out) == (2, "")
    assert re.fullmatch(r"error: [^\n]*nowhere[^\n]*does not exist[^\n]*\n", err)


def test_a_folder_is_no_file(tmp_path, capsys):
    code, _, err = called([*SPACING, "-o", str(tmp_path)], capsys)
    assert code == 2
    assert "is a folder" in err


def test_a_write_that_fails_leaves_the_old_file_whole(tmp_path, monkeypatch):
    file = tmp_path / "report.txt"
    file.write_text("old")

    def broken(*_arguments, **_keywords):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.replace", broken)
    with pytest.raises(InputError, match="No space left"):
        write_file(file, b"new")
    assert file.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["report.txt"]


def test_writing_keeps_a_link_and_the_rights_of_the_file(tmp_path):
    file, link = tmp_path / "report.txt", tmp_path / "link.txt"
    file.write_text("old")
    file.chmod(0o640)
    link.symlink_to(file)
    write_file(link, b"new")
    assert link.is_symlink()
    assert file.read_text() == "new"
    assert file.stat().st_mode & 0o777 == 0o640


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_a_full_disk_is_one_line():
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "rivetkit", "drills"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert re.fullmatch(r"error: [^\n]+\n", done.stderr)


@pytest.mark.skipif(os.name != "posix", reason="a shell closes the stream")
def test_no_standard_output_is_no_error():
    done = subprocess.run(
        ["sh", "-c", f"{sys.executable} -m rivetkit drills '#40' >&-"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(os.name != "posix", reason="a shell pipe")
def test_a_reader_that_leaves_early_is_no_error():
    program = f"{sys.executable} -m rivetkit"
    done = subprocess.run(
        ["sh", "-c", f"{program} drills | head -1; {program} --help | true"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    assert len(done.stdout.splitlines()) == 1


INTERRUPTED = """
import os, signal, sys
from rivetkit.cli import app
# a run in the background starts with the signal ignored
signal.signal(signal.SIGINT, signal.default_int_handler)
def interrupt(*arguments, **keywords):
    os.kill(os.getpid(), signal.SIGINT)
    signal.pause()
app.main.invoke = interrupt
app.run()
"""


@pytest.mark.skipif(not hasattr(signal, "pause"), reason="no such signal here")
def test_ctrl_c_leaves_without_a_traceback():
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED, "drills"],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 130
    assert "Traceback" not in done.stderr


def on_a_terminal(arguments, **environment):
    """Run the program with a pseudo-terminal as its standard output."""
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "rivetkit", *arguments],
        stdout=theirs,
        env={**os.environ, "TERM": "xterm", **environment},
    )
    os.close(theirs)
    seen = b""
    try:
        while piece := os.read(ours, 65536):
            seen += piece
    except OSError:
        pass  # the other end was closed
    process.wait()
    os.close(ours)
    return seen.decode()


def test_a_terminal_gets_colour_for_verdicts_unless_told_not_to(monkeypatch):
    monkeypatch.delenv("NO_COLOR", raising=False)
    coloured = on_a_terminal(FAILING[0])
    assert re.search(r"\x1b\[[0-9;]*mFAIL\x1b\[0m", coloured)
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == on_a_terminal(FAILING[0], NO_COLOR="1")
    assert "\x1b" not in on_a_terminal(FAILING[0], TERM="dumb")


def test_a_pipe_is_plain():
    done = run(FAILING[0])
    assert done.returncode == 1
    assert "\x1b" not in done.stdout


@pytest.mark.parametrize("arguments", [["--version"], ["-h"], ["--help"], [], ["drills", "-h"]])
def test_help_and_version_exit_0(arguments, capsys):
    code, out, err = called(arguments, capsys)
    assert (code, err) == (0, "")
    assert out.startswith(f"rivetkit {__version__}\n" if arguments == ["--version"] else "Usage")


def test_the_module_runs_too():
    assert run(["--version"]).stdout == f"rivetkit {__version__}\n"


def test_a_look_up_names_drill_inches_and_millimetres(capsys):
    # ASME B94.11M number sizes: #40 is .0980 in.
    code, out, _ = called(["drills", "no40"], capsys)
    assert code == 0
    assert re.search(r"this drill +#40 +0\.0980 +2\.489", out)


def test_the_three_look_ups_bracket_the_size(capsys):
    data = result_of(["drills", ".0970", "--at-or-above", "--at-or-below", "--closest"], capsys)
    sizes = {entry["answers"]: entry["size_in"] for entry in data["result"]["drills"]}
    assert sizes["at or below"] <= 0.097 <= sizes["at or above"]
    assert sizes["closest"] in {sizes["at or below"], sizes["at or above"]}


def test_the_standards_on_file_can_be_read_off(capsys):
    _, out, _ = called(["sources", "standards"], capsys)
    assert re.search(r"On file\n  MS20470, AN470, ", out)


@pytest.mark.parametrize(
    ("arguments", "verdict", "accuracy"),
    [
        ([".25"], "verdict       pass         2 checks: 2 pass", None),
        ([".24"], "verdict       FAIL         2 checks: 1 FAIL, 1 pass", None),
        ([".251", "--accuracy", ".005"], "verdict       marginal     ", "+/- 0.005 in"),
    ],
)
def test_spacing_says_how_it_came_out_and_how_exact_it_was(arguments, verdict, accuracy, capsys):
    _, out, _ = called(["spacing", "MS20470AD4", "--edge", *arguments], capsys)
    assert verdict in out
    assert re.search(rf"measured to +{re.escape(accuracy or 'not told')}", out)
    assert ("every size is taken as it stands: add --accuracy" in out) is (accuracy is None)


def test_spacing_takes_named_sheets_and_misses_their_edges(capsys):
    """A sheet whose edge nobody told is not checked, under its own name."""
    arguments = ["--sheet", "skin=.032", "--sheet", "rib=.04"]
    checks = {}
    for edge in (["--edge", ".27"], ["--edge-in-layer", "rib=.27"], []):
        _, out, _ = called(["spacing", "MS20470AD4", *edge, *arguments, "--json"], capsys)
        checks[" ".join(edge)] = {
            (check["where"], check["verdict"])
            for check in json.loads(out)["checks"]
            if check["name"] == "edge distance"
        }
    assert checks == {
        "--edge .27": {("", "pass"), ("rib", "not_checked")},
        "--edge-in-layer rib=.27": {("rib", "pass"), ("skin", "not_checked")},
        "": set(),
    }


def test_the_rivet_chart_shows_where_documents_name_different_drills(capsys):
    """Trade magazine primer, 2001, rivet hole table: 3/32 in takes #40, hole .093 to .103 in.

    All documents on file name #30 for 1/8 in: nothing to tell there.
    """
    _, out, _ = called(["drills", "--rivets"], capsys)
    told = out[out.index("Where documents name different drills") :]
    number_40 = re.search(r"3/32 in +#40 +0\.0980 +0\.093 to 0\.103 in +within +(.+)", told)
    assert re.search(r"3/32 in +#41 +0\.0960 +0\.093 to 0\.103 in +within", told)
    assert number_40
    assert "Trade magazine" in told[number_40.start() :].split("5/32 in")[0]
    assert not re.search(r"1/8 in +#", told[: told.index("\nBlind rivets")])


def test_the_chart_says_when_a_drill_lies_outside_the_limits():
    from rivetkit.drills import find_drill
    from rivetkit.reports.lookups.drills_report import NamedDrill

    def within(least_in, most_in):
        return NamedDrill("3/32 in", find_drill("#40"), least_in, most_in, None, None).within

    assert within(0.098, 0.098) is True
    assert within(0.0981, 0.1) is False
    assert within(0.09, 0.0979) is False
    assert within(None, 0.1) is None


def test_a_row_off_its_sheet_is_told_with_the_file(tmp_path, capsys):
    job = tmp_path / "off.toml"
    _, text, _ = called(["start", "--yes"], capsys)
    job.write_text(text.replace("width = 24 ", "width = 20 "), encoding="utf-8")
    for command in ("plan", "map", "worksheet", "order"):
        code, _, err = called([command, str(job)], capsys)
        if command == "worksheet":
            continue
        assert code == 2
        assert err.startswith(f"error: {job}: row 'bottom row': hole bottom row:")
