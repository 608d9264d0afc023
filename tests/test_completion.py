"""Shells complete commands, options, file names and names on file, by what the program tells them.

bash, zsh and fish ask through environment variables; the tests ask in the same way, and bash itself
runs the script it was given.
"""

import os
import shutil
import subprocess
import sys

import pytest

from rivetkit.cli.app import COMMANDS
from rivetkit.job.starter_questions import QUESTIONS
from rivetkit.rules import rule_set_names

SHELLS = ("bash", "zsh", "fish")


def asked(instruction, words=(), **keywords):
    """Ask the program as a shell does; the last word is the one being typed."""
    environment = {
        **os.environ,
        "_RIVETKIT_COMPLETE": instruction,
        "COMP_WORDS": " ".join(["rivetkit", *words]),
        "COMP_CWORD": str(len(words)) if instruction != "fish_complete" else (words or [""])[-1],
    }
    done = subprocess.run(
        [sys.executable, "-c", "from rivetkit.cli.app import run; run()"],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
        **keywords,
    )
    assert done.stderr == ""
    return done.stdout


def offered(*words):
    """Return the kinds and the words offered to bash."""
    return [line.split(",", 1) for line in asked("bash_complete", words).splitlines()]


def words_offered(*words):
    return [word for _, word in offered(*words)]


@pytest.mark.parametrize("shell", SHELLS)
def test_the_script_is_produced(shell):
    if shell == "bash" and shutil.which("bash") is None:
        pytest.skip("no bash here: click asks it for its version")
    script = asked(f"{shell}_source")
    assert "_RIVETKIT_COMPLETE" in script
    assert f"{shell}_complete" in script
    assert "rivetkit" in script


def test_commands_complete():
    assert words_offered("dr") == ["drills", "drill-out"]
    assert words_offered("") == list(COMMANDS)


def test_zsh_is_offered_kind_word_and_help_line_by_line():
    lines = asked("zsh_complete", ["dr"]).splitlines()
    assert lines[0::3] == ["plain", "plain"]
    assert lines[1::3] == ["drills", "drill-out"]
    assert all(len(text) > 10 for text in lines[2::3])


def test_fish_is_offered_kind_word_and_help_in_a_line():
    lines = asked("fish_complete", ["dr"]).splitlines()
    assert [line.split("\t")[0] for line in lines] == ["plain,drills", "plain,drill-out"]
    assert all(len(line.split("\t")[1]) > 10 for line in lines)


def test_options_complete():
    assert words_offered("plan", "--exp") == ["--explain"]
    assert set(words_offered("start", "--")) >= {question.option for question in QUESTIONS}


FILES = [
    ("plan", "ex"),
    ("plan", "a.toml", "--measured", "ex"),
    ("map", "ex"),
    ("worksheet", "ex"),
    ("new-hole", "ex"),
    ("drills", "-o", "ex"),
    ("start", "-o", "ex"),
    ("schema", "--output", "ex"),
]


@pytest.mark.parametrize("words", FILES, ids=" ".join)
def test_file_names_are_left_to_the_shell(words):
    assert offered(*words) == [["file", "ex"]]


def test_names_on_file_complete():
    assert words_offered("spacing", "--rule-set", "") == list(rule_set_names())
    assert words_offered("plan", "job.toml", "--rule-set", "us") == ["usual"]
    assert words_offered("drills", "--units", "m") == ["mm"]
    assert words_offered("start", "--member-kind", "s") == ["spar", "stringer", "strip"]


IN_BASH = """
source "$1"
shift
COMP_WORDS=(rivetkit "$@")
COMP_CWORD=$#
compopt() { printf 'files by %s %s\\n' "$@"; }
_rivetkit_completion rivetkit
printf '%s\\n' "${COMPREPLY[@]}"
"""


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")
@pytest.mark.parametrize(
    ("words", "reply"),
    [
        (["dr"], ["drills", "drill-out"]),
        (["spacing", "--rule-set", "us"], ["usual"]),
        (["plan", "ex"], ["files by -o default", ""]),
    ],
)
def test_bash_runs_its_script(tmp_path, words, reply):
    script = tmp_path / "completion.bash"
    script.write_text(asked("bash_source"))
    program = tmp_path / "rivetkit"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m rivetkit "$@"\n')
    program.chmod(0o755)
    done = subprocess.run(
        ["bash", "-c", IN_BASH, "bash", str(script), *words],
        env={**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    assert done.stdout.split("\n")[: len(reply)] == reply
