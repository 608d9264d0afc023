"""Every example in every command's help runs in a real shell and says something."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from rivetkit.cli.app import COMMANDS, main

CHECKOUT = Path(__file__).parent.parent

EXAMPLE = re.compile(r"^\s*\$ (rivetkit .*)$", re.MULTILINE)
#: What an example that ends with a failed check says of itself, as a shell comment.
EXITS_1 = re.compile(r"#\s*exits 1\b")
#: A remark in brackets after at least two blanks is for the reader, not for the shell.
REMARK = re.compile(r"\s{2,}\([^()]*\)\s*$")


def help_of(name):
    return CliRunner().invoke(main, [name, "--help"]).stdout


def examples():
    return [
        (name, REMARK.sub("", line)) for name in COMMANDS for line in EXAMPLE.findall(help_of(name))
    ]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_a_worked_example(name):
    assert any(command == name for command, _ in examples())


@pytest.mark.parametrize("name", COMMANDS)
def test_the_list_of_commands_says_what_the_command_says_of_itself(name):
    *_, what = COMMANDS[name]
    assert what == main.get_command(None, name).get_short_help_str(limit=1000)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_keeps_to_the_page(name):
    assert max(map(len, help_of(name).splitlines())) <= 100


@pytest.mark.parametrize(("name", "line"), examples(), ids=lambda value: value.split("#")[0])
def test_example_runs(name, line):
    command = line.replace("rivetkit", f"{shlex.quote(sys.executable)} -m rivetkit", 1)
    done = subprocess.run(
        ["sh", "-c", command], capture_output=True, text=True, cwd=CHECKOUT, check=False
    )
    assert done.stderr == ""
    assert done.returncode == (1 if EXITS_1.search(line) else 0)
    assert done.stdout.strip()
    assert line.split()[1] == name
