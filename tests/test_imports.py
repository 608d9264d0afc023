"""A look-up starts fast: it loads none of the heavy packages it does not use."""

import json
import subprocess
import sys

import pytest

HEAVY = ("numpy", "shapely", "pint", "jinja2", "ezdxf", "fpdf")

PROGRAM = """
import contextlib, io, json, sys
from rivetkit.cli.app import exit_code_of
with contextlib.redirect_stdout(io.StringIO()) as out:
    code = exit_code_of(sys.argv[1:])
print(json.dumps([code, bool(out.getvalue()), sorted(sys.modules)]))
"""

LOOK_UPS = [
    ["--help"],
    ["--version"],
    ["drills"],
    ["drills", "#40"],
    ["drills", "2.5mm", "--units", "mm"],
    ["drills", ".0965", "--at-or-above", "--json"],
    ["drills", "--rivets"],
    ["fastener", "MS20470AD4-5"],
    ["grip", "MS20470AD4", ".032", ".040"],
    ["drill-out", "MS20470AD4", "--sheet", ".032"],
    ["spacing", "MS20470AD4", "--edge", "1/4", "--explain"],
    ["nutplate", "MS21047-3"],
    ["expansion"],
    ["sources"],
]


@pytest.mark.parametrize("arguments", LOOK_UPS, ids=" ".join)
def test_a_look_up_loads_nothing_heavy(arguments):
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *arguments], capture_output=True, text=True, check=True
    )
    code, answered, modules = json.loads(done.stdout)
    assert (code, answered) == (0, True)
    assert not set(HEAVY) & set(modules)


def test_importing_the_package_loads_only_the_package():
    done = subprocess.run(
        [sys.executable, "-c", "import sys, rivetkit; print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = {name for name in done.stdout.split() if name.startswith("rivetkit")}
    assert loaded == {"rivetkit"}
