"""Sound inputs to bend: example jobs, the jobs of other tests, command lines of the help."""

import re
import shlex
from pathlib import Path

from click.testing import CliRunner
from job_texts import JOB
from map_jobs import MIXED, hostile_job
from rich_jobs import RICH_JOBS

from rivetkit.cli.app import COMMANDS, main

CHECKOUT = Path(__file__).parents[2]

SMALL_JOBS = [JOB, *RICH_JOBS, MIXED, hostile_job()]
EXAMPLE_JOBS = [path.read_text("utf-8") for path in sorted(CHECKOUT.glob("examples/*.toml"))]

HOLES_CSV = "x,y (mm),remark\n1,12.7,\n2,12.7,\n3.5,12.7,\n5 1/2 in,.5 in,last\n"
CSV_JOB = JOB.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'holes_csv = "holes.csv"')
DRAWING_CSV = 'x;y;diameter\n1;1;.098\n2;1;\n"3";1;1/8\n'
DRAWING_DXF = (CHECKOUT / "examples" / "access_panel.dxf").read_text("utf-8")

#: What is run on a bent job file; JOB stands for its name, OUT for a new file's.
JOB_COMMANDS = [
    ["plan", "JOB"],
    ["plan", "JOB", "--json", "--explain"],
    ["plan", "JOB", "--format", "html"],
    ["plan", "JOB", "--format", "csv", "--assume-oversize", "2"],
    ["plan", "JOB", "--units", "mm", "--explain"],
    ["worksheet", "JOB"],
    ["map", "JOB"],
    ["map", "JOB", "--json"],
    ["order", "JOB", "--json"],
    ["blank", "JOB", "--json"],
    ["export-dxf", "JOB", "-o", "-"],
    ["template", "JOB", "-o", "OUT.pdf", "--json"],
    ["new-hole", "JOB", "--rivet", "MS20470AD3", "--at", "2,2", "--json"],
    ["new-hole", "JOB", "--rivet", "MS20470AD4", "--along", "0,1:9,2"],
]

_EXAMPLE = re.compile(r"^\s*\$ rivetkit (.*)$", re.MULTILINE)
_REMARK = re.compile(r"\s{2,}\([^()]*\)\s*$")


def help_lines():
    """Return every example of every command's help as a list of arguments."""
    found = []
    for name in COMMANDS:
        text = CliRunner().invoke(main, [name, "--help"]).stdout
        for line in _EXAMPLE.findall(text):
            arguments = shlex.split(_REMARK.sub("", line), comments=True)
            found.append([_in_checkout(argument) for argument in arguments])
    return found


def _in_checkout(argument):
    return str(CHECKOUT / argument) if argument.startswith("examples/") else argument
