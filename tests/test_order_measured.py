"""An order after the bench: every hole gets what it needs, and what is open is told."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from job_texts import JOB, ROW

from rivetkit.cli.app import exit_code_of
from rivetkit.errors import InputError
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.lines import plain_job_name
from rivetkit.job.worksheet.match import SheetsJob, job_of_sheet
from rivetkit.job.worksheet.sheet import BenchHole, KnownHole, open_bench_sheet, write_bench_sheet
from rivetkit.planning.plan import plan_job

HEAD = "hole{of},measured least (in),measured greatest (in),remark\n"
#: Sheets thick enough for a -4 and a -5; the job is invented.
LEFT = JOB.replace("test job", "left wing").replace("0.032", "0.05").replace("0.025", "0.05")
RIGHT = LEFT.replace("left wing", "right wing")
#: AC 43.13-1B tables 4-9 to 4-11 (derived): .096 in is the hole of a 3/32 rivet, .1285 of 1/8.
GOOD, FOR_A_FOUR, PAST_SAVING = ".096", ".120", ".190"


def files(tmp_path, **texts):
    for name, text in texts.items():
        stem, _, ending = name.rpartition("_")
        (tmp_path / f"{stem}.{ending}").write_text(text, encoding="utf-8")
    return [str(tmp_path / name) for name in ("left.toml", "right.toml")]


def sheet(lines, of=""):
    told = f" (job: {of})" if of else ""
    return HEAD.format(of=told) + "".join(f"{line}\n" for line in lines)


def called(arguments, capsys):
    code = exit_code_of([str(argument) for argument in arguments])
    seen = capsys.readouterr()
    return code, seen.out, seen.err


def ordered(arguments, capsys):
    code, out, err = called(["order", *arguments, "--json"], capsys)
    assert err == ""
    return code, json.loads(out)["result"]


def needed(result):
    return {
        (part["part_number"].rpartition("-")[0], job["job"]): job["count"]
        for part in result["parts"]
        for job in part["jobs"]
    }


def test_each_job_is_ordered_for_by_its_own_sheet(tmp_path, capsys):
    """13 rivets a wing; of the left one two holes go up to -4, of the right one three."""
    jobs = files(
        tmp_path,
        left_toml=LEFT,
        right_toml=RIGHT,
        left_csv=sheet([f"row:{n},{FOR_A_FOUR},," for n in (3, 9)], "left wing"),
        right_csv=sheet([f"row:{n},{FOR_A_FOUR},," for n in (2, 6, 11)], "right wing"),
    )
    right, left = tmp_path / "right.csv", tmp_path / "left.csv"
    _, result = ordered([*jobs, "--measured", right, "--measured", left], capsys)
    assert needed(result) == {
        ("MS20470AD3", "left wing"): 11,
        ("MS20470AD4", "left wing"): 2,
        ("MS20470AD3", "right wing"): 10,
        ("MS20470AD4", "right wing"): 3,
    }
    assert [len(job["measured"]["other_rivet"]) for job in result["jobs"]] == [2, 3]


def test_what_has_no_rivet_and_what_nobody_measured_is_told(tmp_path, capsys):
    jobs = files(
        tmp_path,
        left_toml=LEFT,
        right_toml=RIGHT,
        left_csv=sheet(
            [
                f"row:1,{GOOD},,",
                f"row:4,{FOR_A_FOUR},,",
                f"row:7,{PAST_SAVING},,",
                "row:8,,,cracked",
            ],
            "left wing",
        ),
    )
    code, result = ordered([*jobs, "--measured", tmp_path / "left.csv"], capsys)
    assert code == 1
    left, right = result["jobs"]
    told = left["measured"]
    assert [hole["hole"] for hole in told["no_rivet_settled"]] == ["row:7"]
    assert [hole["hole"] for hole in told["other_rivet"]] == ["row:4"]
    assert told["not_measured"] == [f"row:{n}" for n in (2, 3, 5, 6, 8, 9, 10, 11, 12, 13)]
    assert [note["hole"] for note in told["noted"]] == ["row:8"]
    assert right["measured"] is None
    # 13 holes less the one without a rivet; none is bought for it
    assert (left["net"], right["net"]) == (12, 13)
    code, out, _ = called(["order", *jobs, "--measured", tmp_path / "left.csv"], capsys)
    flat = " ".join(out.split())
    assert "none is ordered for them" in flat
    assert "row:7 NO RIVET FITS" in flat
    assert "left wing: not measured, ordered for as nominal: row:2-3, 5-6, 8-13." in flat
    assert "right wing: no worksheet; every hole is ordered for as nominal." in flat


def test_an_order_without_sheets_says_so(tmp_path, capsys):
    jobs = files(tmp_path, left_toml=LEFT, right_toml=RIGHT)
    _, out, _ = called(["order", *jobs], capsys)
    assert "No hole was measured: all are ordered for as nominal." in out
    assert "Measured holes" not in out


def test_an_undecided_hole_is_told_apart_and_not_bought(tmp_path, capsys):
    """The rib's edge was not measured, so that nobody knows whether a larger rivet may go in."""
    open_edge = LEFT.replace('{ layer = "rib", row_from_edge = 0.3125 }', '"rib"')
    (job, _) = files(
        tmp_path, left_toml=open_edge, left_csv=sheet([f"row:4,{FOR_A_FOUR},,"], "left wing")
    )
    code, result = ordered([job, "--measured", tmp_path / "left.csv"], capsys)
    assert code == 1
    (job_told,) = result["jobs"]
    assert job_told["measured"]["no_rivet_settled"] == [{"hole": "row:4", "undecided": True}]
    assert job_told["net"] == 12


@given(st.dictionaries(st.integers(1, 13), st.sampled_from([GOOD, FOR_A_FOUR, PAST_SAVING])))
def test_every_hole_is_ordered_for_once_or_told_to_get_no_rivet(sizes):
    bench = [
        BenchHole(f"row:{n}", float(size), float(size), None, None, "", f"line {n}")
        for n, size in sizes.items()
    ]
    plan = plan_job(parse_job(LEFT), measured=bench)
    assert plan.to_fit + plan.empty == 13
    assert len(plan.unmeasured) == 13 - len(sizes)


# --- which job a sheet is of -------------------------------------------------------------------

ROWS = LEFT.replace(ROW, ROW.replace('name = "row"', 'name = "other row"'))


def test_a_sheet_that_names_no_job_goes_to_the_one_that_has_its_holes(tmp_path, capsys):
    jobs = files(
        tmp_path,
        left_toml=LEFT,
        right_toml=ROWS.replace("left wing", "right wing"),
        a_csv=sheet([f"other row:5,{FOR_A_FOUR},,"]),
    )
    _, result = ordered([*jobs, "--measured", tmp_path / "a.csv"], capsys)
    assert needed(result)["MS20470AD4", "right wing"] == 1
    assert result["jobs"][0]["measured"] is None


def test_two_sheets_of_one_job_both_count(tmp_path, capsys):
    jobs = files(
        tmp_path,
        left_toml=LEFT,
        right_toml=RIGHT,
        a_csv=sheet([f"row:2,{FOR_A_FOUR},,"], "left wing"),
        b_csv=sheet([f"row:9,{FOR_A_FOUR},,"], "left wing"),
    )
    both = ["--measured", tmp_path / "a.csv", "--measured", tmp_path / "b.csv"]
    _, result = ordered([*jobs, *both], capsys)
    assert needed(result)["MS20470AD4", "left wing"] == 2
    _, out, _ = called(["plan", jobs[0], *both, "--json"], capsys)
    assert [hole["hole"] for hole in json.loads(out)["result"]["measured"]] == ["row:2", "row:9"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            sheet([f"row:2,{GOOD},,"], "tail"),
            "a.csv: line 1: column 'hole': the sheet is of job 'tail', and no such job is given",
        ),
        (sheet([f"row:2,{GOOD},,"]), "a.csv: line 1: column 'hole': it fits "),
        (
            sheet([f"rib:2,{GOOD},,"]),
            "it fits none of the jobs given, 'left wing', 'right wing'; of the nearest, the job ",
        ),
        (
            sheet([f"row:2,{GOOD},,", f"rib:2,{GOOD},,"], "left wing"),
            "a.csv: line 3: column 'hole': the job has no hole 'rib:2'",
        ),
        ("", "a.csv: line 1: no column 'hole'"),
    ],
)
def test_a_sheet_that_fits_no_job_or_two_is_refused(text, words, tmp_path, capsys):
    jobs = files(tmp_path, left_toml=LEFT, right_toml=RIGHT, a_csv=text)
    code, out, err = called(["order", *jobs, "--measured", tmp_path / "a.csv"], capsys)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert words in err


def test_a_hole_on_two_sheets_of_a_job_is_refused(tmp_path, capsys):
    text = sheet([f"row:2,{GOOD},,"], "left wing")
    jobs = files(tmp_path, left_toml=LEFT, right_toml=RIGHT, a_csv=text, b_csv=text)
    both = ["--measured", tmp_path / "a.csv", "--measured", tmp_path / "b.csv"]
    for arguments in (["order", *jobs, *both], ["plan", jobs[0], *both]):
        code, out, err = called(arguments, capsys)
        assert (code, out, err.count("\n")) == (2, "", 1)
        assert "b.csv: line 2: hole 'row:2' is filled in again (first in " in err


def test_of_two_jobs_of_one_name_the_one_with_the_holes_is_meant(tmp_path):
    file = tmp_path / "a.csv"
    jobs = [
        SheetsJob("wing", name, {hole: KnownHole(1.0, 0.5) for hole in holes})
        for name, holes in (("l.toml", ["row:1"]), ("r.toml", ["row:1", "row:2"]))
    ]
    file.write_text(sheet([f"row:2,{GOOD},,"], "wing"), encoding="utf-8")
    assert job_of_sheet(open_bench_sheet(file), jobs) == 1
    file.write_text(sheet([f"row:1,{GOOD},,"], "wing"), encoding="utf-8")
    with pytest.raises(InputError, match=r"fits l\.toml and r\.toml; give each job a name"):
        job_of_sheet(open_bench_sheet(file), jobs)


def test_the_sheet_of_the_other_wing_is_refused(tmp_path, capsys):
    """Twins have the same holes in the same places; only the name keeps them apart."""
    (left, right) = files(tmp_path, left_toml=LEFT, right_toml=RIGHT)
    printed = tmp_path / "left.csv"
    assert called(["worksheet", left, "-o", printed], capsys)[0] == 0
    lines = printed.read_text(encoding="utf-8").splitlines()
    lines[3] = lines[3].replace(",,,,,", f",{FOR_A_FOUR},,,,")
    printed.write_text("\n".join(lines), encoding="utf-8")
    assert called(["plan", left, "--measured", printed, "--json"], capsys)[2] == ""
    for command in ("plan", "worksheet"):
        code, out, err = called([command, right, "--measured", printed], capsys)
        assert (code, out) == (2, "")
        assert "the sheet is of job 'left wing', and this one is 'right wing'" in err


@given(st.text(min_size=1))
def test_any_name_of_a_job_comes_back_from_its_sheet(tmp_path_factory, name):
    file = tmp_path_factory.mktemp("named") / "a.csv"
    text = write_bench_sheet((), "in", job_name=name)
    file.write_bytes(text.encode("utf-8", "replace"))
    said = name.encode("utf-8", "replace").decode()
    assert open_bench_sheet(file).job_name == plain_job_name(said)


def test_a_job_alone_is_not_named_at_every_hole_and_one_of_two_is(tmp_path, capsys):
    jobs = files(
        tmp_path,
        left_toml=LEFT,
        right_toml=RIGHT,
        left_csv=sheet([f"row:7,{PAST_SAVING},,", "row:9,,,crack at the rim"], "left wing"),
    )
    bench = ["--measured", str(tmp_path / "left.csv")]
    flat = {}
    for count in (1, 2):
        code, out, err = called(["order", *jobs[:count], *bench], capsys)
        assert (code, err) == (1, "")
        flat[count] = " ".join(out.split())
    left_out = "not measured, ordered for as nominal: row:1-6, 8-13."
    assert f"left wing: {left_out}" in flat[2]
    assert f". N{left_out[1:]}" in flat[1]
    assert "left wing: row:9" in flat[2]
    assert "left wing: row" not in flat[1]
    assert "Which job needs what" in flat[2]
    assert "Which job needs what" not in flat[1]
