"""The job starter: what it writes is planned as it stands, and it never asks where nobody sits."""

import os
import re
import subprocess
import sys
import tomllib
from dataclasses import replace

import jsonschema
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from rivetkit.checks import Verdict
from rivetkit.cli.app import exit_code_of, main
from rivetkit.errors import RivetkitError
from rivetkit.job.keys.schema import job_schema
from rivetkit.job.read import parse_job
from rivetkit.job.starter import ASSUMED, starter_text
from rivetkit.job.starter_questions import QUESTIONS
from rivetkit.planning.plan import plan_job

VALIDATOR = jsonschema.Draft202012Validator(job_schema())
OPTIONS = {question.key: question.option for question in QUESTIONS}

#: An answer to every question, none of them the usual one.
TOLD = {
    "units": "in",
    "name": 'Flap, "upper" skin',
    "width": "30 1/2",
    "height": ".875 ft",
    "old_thickness": ".020",
    "old_alloy": "2024-T3",
    "new_thickness": "0.032",
    "new_alloy": "6061-T6",
    "rivet": "ms20426ad4-4",
    "form": "countersunk",
    "edges": "left, top",
    "edge_distance": "3/8",
    "pitch": "1",
    "members": "flange",
    "member_kind": "strip",
    "member_thickness": "1 mm",
    "member_alloy": "7075-T6",
    "flange_width": "5/8",
    "row_from_edge": "5/16",
    "hinge": "left",
    "hinge_offset": "1 1/2",
    "accuracy": "0",
    "spares": "15%",
    "minimum": "8",
}


def options(told):
    return [word for key, text in told.items() for word in (OPTIONS[key], text)]


def called(arguments, capsys):
    code = exit_code_of(["start", *arguments])
    seen = capsys.readouterr()
    return code, seen.out, seen.err


def written(told, *more):
    done = CliRunner().invoke(main, ["start", *options(told), *more], standalone_mode=False)
    if done.exception:
        raise done.exception
    return done.stdout


# --- what is written -------------------------------------------------------------------------


def test_the_usual_job_holds_and_counts_as_by_hand():
    """24 x 12 in, MS20470AD3: edge distance half way between 2 D and 4 D (the rules' least and
    greatest), 3 x 3/32 = 9/32; pitch 8 D = 3/4 at most (NAVEDTRA 14018 ch 13, usual greatest).

    Long rows: 24 - 9/16 = 23.4375 in, 31.25 pitches of 3/4, so 32 spaces, 33 holes.
    Short rows: 11.4375 in, 15.25 pitches, 16 spaces, 17 holes. Four corners are shared:
    2 x 33 + 2 x 17 - 4 = 96.
    """
    job = parse_job(written({}, "--yes"))
    plan = plan_job(job)

    assert [len(row.points) for row in job.rows] == [33, 17, 33, 17]
    assert job.rows[0].points[0].tolist() == [9 / 32, 9 / 32]
    assert len(plan.holes) == 96
    # What nobody measured proves nothing; measured as it stands, it would do.
    assert plan.verdict is Verdict.NOT_CHECKED
    assert plan_job(replace(job, assumed=())).verdict is Verdict.PASS


def test_every_answer_is_in_the_file():
    text = written(TOLD)
    job = parse_job(text)
    skin = job.layers["skin"]
    member = job.layers["top member"]

    nobody_asks = (f"{ASSUMED}: nearest", f"# {ASSUMED} stands", f"# {ASSUMED}: at a corner")
    assert ASSUMED not in re.sub("|".join(nobody_asks), "", text)
    assert job.name == 'Flap, "upper" skin'
    assert (skin.old.alloy, skin.old.thickness_in) == ("2024-T3", 0.020)
    assert (skin.new.alloy, skin.new.thickness_in) == ("6061-T6", 0.032)
    assert skin.boundary.area_in2 == pytest.approx(30.5 * 10.5)
    assert [row.name for row in job.rows] == ["top row", "left row"]
    assert job.rows[0].points[0].tolist() == [0.375, 10.125]
    assert job.rows[0].points[-1].tolist() == [30.125, 10.125]
    assert job.rows[1].points[-1].tolist() == [0.375, 10.125]
    assert job.rows[0].installed.designation == "MS20426AD4-4"
    assert [place.form for place in job.rows[0].layers] == ["countersunk", "plain"]
    assert (member.kind, member.old.alloy) == ("strip", "7075-T6")
    assert member.old.thickness_in == pytest.approx(1 / 25.4)
    assert member.flange.width_in == 0.625
    assert job.rows[0].layers[1].row_from_edge_in == 0.3125
    assert (job.hinge.start, job.hinge.end) == ((-1.5, 0.0), (-1.5, 10.5))
    assert (job.accuracy_in, job.spares.percent, job.spares.minimum) == (0.0, 15.0, 8)


def test_what_nobody_told_is_marked_and_only_that():
    text = written({"width": "20"}, "--yes")

    assert re.search(r"^width = 20 +# along x$", text, re.MULTILINE)
    assert re.search(rf"^height = 12 +# {ASSUMED}: along y$", text, re.MULTILINE)
    assert re.search(rf"^rivet = \"MS20470AD3\" +# {ASSUMED}", text, re.MULTILINE)
    assert re.search(rf"^# {ASSUMED} stands where nobody told", text, re.MULTILINE)
    assert re.search(rf"^minimum = 10 +# {ASSUMED}: at least so many spares", text, re.MULTILINE)
    guesses = parse_job(text).assumed
    assert "Skin, height along y" in guesses
    assert "Flanges, last rivet to their ends" in guesses
    assert not {"Skin, width along x", "Spare rivets, percent"}.intersection(guesses)


@pytest.mark.parametrize(
    ("edges", "meet"),
    [("bottom,right", True), ("left,bottom", True), ("bottom,top", False), ("left", False)],
)
def test_that_members_overlap_at_a_corner_is_assumed_where_there_is_one(edges, meet):
    text = written(TOLD | {"edges": edges})
    assert (f"# {ASSUMED}: at a corner the members of both rows" in text) is meet
    assert f"# {ASSUMED} stands where nobody told" in text


def test_an_unmeasured_member_is_never_a_pass():
    job = parse_job(written({"members": "unmeasured"}, "--yes"))
    plan = plan_job(job)

    assert job.layers["left member"].flange is None
    assert plan.verdict is Verdict.NOT_CHECKED


def test_a_blind_rivet_is_set_from_one_side():
    job = parse_job(written({"rivet": "TMOPEN-4"}, "--yes"))
    assert {row.access for row in job.rows} == {"blind"}


@pytest.mark.parametrize(
    ("edge", "offset", "start", "end"),
    [
        ("bottom", "2", (0, -2), (24, -2)),
        ("right", "2", (26, 0), (26, 12)),
        ("top", "-1", (0, 11), (24, 11)),
        ("left", "0", (0, 0), (0, 12)),
    ],
)
def test_the_hinge_line_runs_along_its_edge(edge, offset, start, end):
    job = parse_job(written({"hinge": edge, "hinge_offset": offset}, "--yes"))

    assert (job.hinge.start, job.hinge.end) == (start, end)
    assert plan_job(job).balance is not None


def test_that_it_is_no_control_surface_is_assumed_where_nobody_told():
    assert any("hinge line" in line for line in parse_job(written({}, "--yes")).assumed)

    told = parse_job(written({"hinge": "none"}, "--yes"))
    assert not any("hinge" in line for line in told.assumed)
    assert told.hinge is None


@pytest.mark.parametrize(
    ("rivet", "width", "least"),
    [
        # 2 D to the free edge (2 1/2 D with a flush head, as the usual rules have it), 2 D to the
        # bend, common practice.
        ("MS20470AD4", "3/8", "0.500 in wide"),
        ("MS20470AD3", ".374", "0.375 in wide"),
        ("MS20426AD4", "0.5", "0.5625 in wide"),
        ("MS20470AD4", "0.5", ""),
        ("MS20470AD3", "3/8", ""),
    ],
)
def test_a_flange_too_narrow_for_its_rivets_is_told_at_the_question(rivet, width, least, capsys):
    told = {"rivet": rivet, "flange_width": width}
    code, out, err = called([*options(told), "--yes"], capsys)

    assert code == 0
    assert (f"at least {least}" in err) if least else not err
    # It is told, and the plan has the say: with the row in the middle, one side or both fail.
    job = replace(parse_job(out), accuracy_in=0.0)
    found = [
        check
        for check in plan_job(job).checks
        if check.name in {"edge distance", "distance from the bend"} and "member" in check.where
    ]
    assert any(check.verdict is Verdict.FAIL for check in found) == bool(least)


def test_inches_and_millimetres_are_one_job():
    told = {key: text for key, text in TOLD.items() if key not in {"units", "member_thickness"}}
    told |= {"old_thickness": "1/64", "new_thickness": "1/32", "accuracy": "0", "pitch": "1 in"}
    told |= {"member_thickness": "1/32"}
    inch, metric = (parse_job(written(told | {"units": unit})) for unit in ("in", "mm"))

    assert metric.units == "mm"
    for one, other in zip(inch.rows, metric.rows, strict=True):
        assert other.points == pytest.approx(one.points, abs=1e-9)


def test_lines_fit_the_page():
    for text in (written({}, "--yes"), written({"units": "mm", "rivet": "MS20426AD6"}, "--yes")):
        assert max(map(len, text.splitlines())) <= 100


sizes = st.decimals("0.01", "60", places=3).map(str) | st.sampled_from(["3/8", "1 1/4", "9 mm"])


@settings(deadline=None, max_examples=60)
@given(
    told=st.fixed_dictionaries(
        {},
        optional={
            "units": st.sampled_from(["in", "mm"]),
            "name": st.text(min_size=1, max_size=20),
            "width": sizes,
            "height": sizes,
            "old_thickness": st.sampled_from(["0.02", ".032", "1/32", "0.8 mm"]),
            "new_alloy": st.sampled_from(["2024-T3", "no such alloy", 'a "b" \\c']),
            "rivet": st.sampled_from(["MS20470AD4", "MS20426AD3-4", "TMOPEN-4", "MS20470AD5-6"]),
            "edges": st.lists(st.sampled_from(["bottom", "right", "top", "left"]), min_size=1).map(
                ",".join
            ),
            "edge_distance": sizes,
            "pitch": sizes,
            "members": st.sampled_from(["flange", "unmeasured"]),
            "accuracy": st.sampled_from(["0", "0.01"]),
        },
    )
)
def test_whatever_is_answered_plans_or_is_refused_in_one_line(told):
    try:
        text = written(told, "--yes")
        plan_job(parse_job(text))  # a stack that no stock length takes is refused here
    except RivetkitError as error:
        refusal = str(error)
        assert re.fullmatch(r"[^\n]+; [^\n]+", refusal)
        return
    assert VALIDATOR.is_valid(tomllib.loads(text))


# --- options ---------------------------------------------------------------------------------

WRONG = [
    (["--width", "wide"], "--width"),
    (["--width", "0"], "--width"),
    (["--units", "ft"], "--units: 'ft' is not known here"),
    (["--name", " "], "--name"),
    (["--rivet", "MS20470AX3"], "--rivet"),
    (["--edges", "front"], "--edges: 'front' is not known here; write one of bottom, right"),
    (["--edges", ","], "--edges: no edge is named"),
    (["--edge-distance", "6"], "--edge-distance: edge distance '6' leaves no room"),
    (["--flange-width", ".5", "--row-from-edge", ".5"], "--row-from-edge: '.5' is off a flange"),
    (["--form", "dimpled"], "--form: has nothing to tell here; leave it out"),
    (["--members", "unmeasured", "--flange-width", "1"], "--flange-width: has nothing to tell"),
    (["--members", "flnge"], "--members: 'flnge' is not known here; did you mean 'flange'?"),
    (["--spares", "-1"], "--spares: percentage '-1' is negative"),
    (["--minimum", "2.5"], "--minimum: '2.5' is no count of rivets; give a whole number"),
    (["--minimum", "-1"], "--minimum: '-1' is no count of rivets"),
    (["--old-thickness", "032"], "--old-thickness: length '032' is a whole number that starts"),
    (["--old-alloy", "2024T3"], "--old-alloy: there is no alloy '2024T3'; did you mean '2024-T3'?"),
    (["--member-thickness", "25"], "--member-thickness: 25 in is thicker than any sheet"),
    (["--accuracy", "5"], "--accuracy: the measuring accuracy is 5 in, where a tape read by eye"),
    (["--units", "mm", "--accuracy", "5"], "--accuracy: the measuring accuracy is 5 mm, where a"),
    (["--units", "mm", "--new-thickness", "30"], "--new-thickness: 30 mm is thicker than any"),
    (["--pitch", "0.0000001"], "what these answers make: JOB.toml: row 'bottom row': max_pitch: "),
    (["--name", "\udcff"], "--name"),
]


@pytest.mark.parametrize(("arguments", "message"), WRONG, ids=lambda value: str(value)[:40])
def test_a_wrong_answer_is_one_line_with_the_option(arguments, message, capsys):
    code, out, err = called([*arguments, "--yes"], capsys)

    assert (code, out) == (2, "")
    assert re.fullmatch(r"error: [^\n]+; [^\n]+\n", err)
    assert message in err


def test_the_smallest_room_for_a_row():
    parse_job(written({"height": "1", "edge_distance": "0.499"}, "--yes"))
    with pytest.raises(RivetkitError, match="leaves no room"):
        written({"height": "1", "edge_distance": "0.5"}, "--yes")


def run(arguments, **keywords):
    return subprocess.run(
        [sys.executable, "-m", "rivetkit", "start", *arguments],
        capture_output=True,
        text=True,
        check=False,
        **keywords,
    )


def test_nobody_is_asked_where_nobody_sits(tmp_path):
    """Standard input is no terminal here; what has to be measured must be told."""
    file = tmp_path / "job.toml"
    done = run(["-o", str(file), "--width", "20"], stdin=subprocess.DEVNULL)

    assert (done.returncode, done.stdout) == (2, "")
    assert re.fullmatch(
        r"error: nobody to ask, and [^\n]+ not given; [^\n]+--yes[^\n]+\n", done.stderr
    )
    assert "--height, --old-thickness" in done.stderr
    assert "--width" not in done.stderr
    assert not file.exists()


def test_options_for_all_that_is_measured_are_enough():
    usual = ("units", "name", "new_thickness", "new_alloy", "member_alloy", "accuracy", "spares")
    told = {key: text for key, text in TOLD.items() if key not in (*usual, "member_kind")}
    done = run(options(told), stdin=subprocess.DEVNULL)

    assert (done.returncode, done.stderr) == (0, "")
    parse_job(done.stdout)


# --- the file --------------------------------------------------------------------------------


def test_a_file_is_written_once(tmp_path, capsys):
    file = tmp_path / "job.toml"
    assert called(["--yes", "-o", str(file)], capsys) == (0, "", "")
    first = file.read_text(encoding="utf-8")
    assert "rivetkit plan job.toml" in first

    code, out, err = called(["--yes", "-o", str(file), "--width", "20"], capsys)
    assert (code, out) == (2, "")
    assert "is there already; name another file, or add --force to overwrite it" in err
    assert file.read_text(encoding="utf-8") == first

    assert called(["--yes", "-o", str(file), "--width", "20", "--force"], capsys)[0] == 0
    assert file.read_text(encoding="utf-8") != first
    assert [path.name for path in tmp_path.iterdir()] == ["job.toml"]


def test_a_file_name_cannot_break_out_of_its_comment(tmp_path, capsys):
    file = tmp_path / "a\nunits = 1.toml"
    assert called(["--yes", "-o", str(file)], capsys)[0] == 0
    assert parse_job(file.read_text(encoding="utf-8")).units == "in"


def test_the_written_file_plans_from_the_command_line(tmp_path, capsys):
    file = tmp_path / "job.toml"
    called(["--yes", "--name", "Tür", "-o", str(file)], capsys)

    assert exit_code_of(["plan", str(file)]) == 1  # nothing was measured
    assert "Tür" in capsys.readouterr().out


# --- asking ----------------------------------------------------------------------------------


def on_a_terminal(arguments, typed, **keywords):
    """Run the program with a pseudo-terminal as its keyboard; type the answers."""
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "rivetkit", "start", *arguments],
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        **keywords,
    )
    os.close(theirs)
    os.write(ours, typed.encode())
    try:
        out, err = process.communicate(timeout=60)
    finally:
        process.kill()
        os.close(ours)
    return process.returncode, out, err


def test_enter_takes_what_stands_in_brackets(tmp_path):
    file = tmp_path / "job.toml"
    asked = [question for question in QUESTIONS if question.key not in {"form", "hinge_offset"}]
    code, out, err = on_a_terminal(["-o", str(file)], "\n" * len(asked))

    assert (code, out) == (0, "")
    assert [question.key for question in asked if question.ask not in err] == []
    assert "Skin, width along x [24]: " in err
    assert err.endswith(f"wrote {file}; next: rivetkit plan {file}\n")
    assert parse_job(file.read_text(encoding="utf-8")).rows


def test_a_wrong_answer_is_asked_again_and_options_are_not():
    typed = "flush\nMS20426AD4\n\n" + "\n" * 20
    told = {key: text for key, text in TOLD.items() if key not in {"rivet", "form", "edges"}}
    code, out, err = on_a_terminal(options(told), typed)

    assert code == 0
    assert err.count("Rivet that is in now, part number [MS20470AD3]: ") == 2
    assert "Skin, width" not in err
    assert "Flush rivet: the skin is (dimpled, countersunk) [dimpled]: " in err
    # Questions go to standard error, the file to standard output: it is TOML as it comes.
    assert tomllib.loads(out)["row"][0]["rivet"] == "MS20426AD4"
    assert f"{ASSUMED}: first rivet" not in out


def test_an_alloy_without_its_temper_is_told_at_the_question(capsys):
    code, out, err = called(["--yes", "--old-alloy", "2024", "--new-alloy", "2024-T3"], capsys)

    assert code == 0
    assert err == (
        "note: --old-alloy: its strength and mass will not be checked: no table has the alloy "
        "'2024'; is 2024-T3 meant?\n"
    )
    parse_job(out)


def test_back_goes_to_the_question_before():
    """A flange typed too narrow refuses every row on it: only an earlier answer helps."""
    told = {key: text for key, text in TOLD.items() if key not in {"flange_width", "row_from_edge"}}
    told.pop("form")
    told["rivet"] = "MS20470AD4-4"
    code, out, err = on_a_terminal(options(told), "1/4\n5/16\nback\n5/8\n5/16\n")

    assert code == 0
    assert "'5/16' is off a flange 1/4 wide" in err
    assert "note: --flange-width: a row of MS20470AD4-4 wants" in err
    assert tomllib.loads(out)["member"][0]["flange"]["width"] == "5/8"
    # At the first question there is none before it.
    assert on_a_terminal(options(told), "back\n5/8\n5/16\n")[0] == 0


def test_leaving_in_the_middle_writes_nothing(tmp_path):
    file = tmp_path / "job.toml"
    code, _, err = on_a_terminal(["-o", str(file)], "\n\n\x04")

    assert code == 2
    assert err.splitlines()[-1].endswith(
        "error: the questions were not all answered; nothing was written"
    )
    assert not file.exists()


def test_an_existing_file_is_told_before_the_first_question(tmp_path):
    file = tmp_path / "job.toml"
    file.write_text("mine")
    code, _, err = on_a_terminal(["-o", str(file)], "")

    assert code == 2
    assert "is there already" in err
    assert "[in]" not in err
    assert file.read_text() == "mine"


# --- the questions themselves ----------------------------------------------------------------


def test_every_question_changes_the_file():
    for question in QUESTIONS:
        other = TOLD[question.key] if question.key != "members" else "unmeasured"
        before = {"form": {"rivet": "MS20426AD3"}, "hinge_offset": {"hinge": "left"}}.get(
            question.key, {}
        )
        told = before | {question.key: other}
        if question.key == "units":
            told = {"units": "mm"}
        assert starter_text(usual_answers(told)) != starter_text(usual_answers(before)), (
            question.key
        )


def usual_answers(told):
    answers = {}
    for question in QUESTIONS:
        if question.applies(answers):
            text = told.get(question.key) or question.usual(answers)
            answers[question.key] = question.read(text, answers)
    return answers


def test_readers_take_their_own_words_back():
    """What a question makes of an answer, it makes of that again."""
    answers = {}
    for question in QUESTIONS:
        tidy = question.read(TOLD[question.key], answers)
        assert question.read(tidy, answers) == tidy
        answers[question.key] = tidy
