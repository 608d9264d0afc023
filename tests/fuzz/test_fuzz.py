"""Thousands of bent inputs: exit code 0, 1 or 2, one line of complaint, never a traceback.

The seed is fixed, so that a run tells the same tale twice; campaign.py runs longer ones.
"""

import subprocess
import sys

import pytest
from campaign import Cases
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st
from mutants import ODD_ARGUMENTS, Change, bent, bent_arguments
from oracle import trouble, wrong_complaint
from seeds import (
    CSV_JOB,
    DRAWING_CSV,
    DRAWING_DXF,
    HOLES_CSV,
    JOB_COMMANDS,
    SMALL_JOBS,
    help_lines,
)

from rivetkit.cli.app import COMMANDS

NUMBER = st.integers(0, 10**6)
CHANGES = st.lists(st.builds(Change, NUMBER, NUMBER, NUMBER), min_size=1, max_size=3)


def often(times):
    """Try many cases of one seed without keeping any between runs."""

    def chosen(test):
        checks = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
        kept = settings(
            max_examples=times, deadline=None, database=None, suppress_health_check=checks
        )
        return seed(20)(kept(test))

    return chosen


@pytest.fixture(scope="module")
def cases(tmp_path_factory):
    return Cases(tmp_path_factory.mktemp("fuzz"))


@often(1200)
@given(job=st.sampled_from(SMALL_JOBS), changes=CHANGES, command=st.sampled_from(JOB_COMMANDS))
def test_a_bent_job_file_is_planned_or_refused(cases, job, changes, command):
    cases.job.write_bytes(bent(job, changes).encode("utf-8", "replace"))
    cases.csv.write_text(HOLES_CSV, "utf-8")
    assert trouble(cases.command(command)) == ""


@often(1200)
@given(line=st.sampled_from(help_lines()), changes=CHANGES)
def test_a_bent_command_line_is_answered_or_refused(cases, line, changes):
    assert trouble(cases.safe(bent_arguments(line, changes))) == ""


@often(300)
@given(changes=CHANGES, command=st.sampled_from(JOB_COMMANDS))
def test_a_bent_list_of_holes_is_read_or_refused(cases, changes, command):
    cases.job.write_text(CSV_JOB, "utf-8")
    cases.csv.write_bytes(bent(HOLES_CSV, changes).encode("utf-8", "replace"))
    assert trouble(cases.command(command)) == ""


@often(300)
@given(
    changes=CHANGES,
    command=st.sampled_from(["plan", "worksheet"]),
    boxes=st.lists(
        st.sampled_from(["", "0.1,0.102", "0.098,0.13,edge,toward,dent", "0.1,0.1,45,both"]),
        min_size=13,
        max_size=13,
    ),
)
def test_a_bent_worksheet_is_read_or_refused(cases, changes, command, boxes):
    cases.job.write_text(SMALL_JOBS[0], "utf-8")
    cases.sheet.write_bytes(bent(cases.filled(boxes), changes).encode("utf-8", "replace"))
    arguments = [command, str(cases.job), "--measured", str(cases.sheet), "--json"]
    assert trouble(arguments) == ""


@often(300)
@given(
    drawing=st.sampled_from([("csv", DRAWING_CSV), ("dxf", DRAWING_DXF)]),
    changes=CHANGES,
    form=st.sampled_from(["text", "json", "csv"]),
)
def test_a_bent_drawing_is_read_or_refused(cases, drawing, changes, form):
    file = cases.folder / f"drawing.{drawing[0]}"
    file.write_bytes(bent(drawing[1], changes).encode("utf-8", "replace"))
    assert trouble(["import-holes", str(file), "--format", form]) == ""


@often(500)
@given(
    command=st.sampled_from([name for name in COMMANDS if name not in {"start", "schema"}]),
    rest=st.lists(st.sampled_from(ODD_ARGUMENTS) | st.text(max_size=8), max_size=5),
)
def test_words_at_random_are_answered_or_refused(cases, command, rest):
    assert trouble(cases.safe([command, *rest])) == ""


@pytest.mark.parametrize(
    "arguments",
    [
        ["drills", "9" * 5000],
        ["plan", "\N{GRINNING FACE}\x1b[31m"],
        ["spacing", "MS20470AD4", "--edge", "\udcff"],
        ["grip", "MS20470AD4", "", "-", "--sealant="],
        ["order", "-", "-"],
        ["plan", "/dev/zero"],
    ],
    ids=lambda arguments: arguments[0],
)
def test_a_process_of_its_own_says_no_more(arguments):
    done = subprocess.run(
        [sys.executable, "-m", "rivetkit", *arguments],
        capture_output=True,
        input=b"\xff\xfe",
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, b"")
    assert wrong_complaint(done.stderr.decode()) == ""


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("", "0 lines"),
        ("error: \n", "says nothing"),
        ("error: one\nerror: two\n", "2 lines"),
        ("error: a bell \x07 rings\n", "unprintable"),
        ("error: [Errno 2] is not for people\n", "programmer"),
        (f"error: {'long ' * 400}\n", "letters"),
    ],
)
def test_the_judge_of_complaints_can_say_no(text, piece):
    assert piece in wrong_complaint(text)
