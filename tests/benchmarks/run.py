"""How quick rivetkit is, as ratios to a floor measured in the same run.

Usage: python tests/benchmarks/run.py [--million] [--holes N ...] [--repeats N]

Look-ups are compared with starting Python and importing click, which no command can do without.
Plans are compared with the bare geometry they cannot do without, on the same arrays: scipy's k-d
tree for every hole's neighbour, and shapely's distance from every hole to every outline. Figures
are processor time, the least of some runs. Ratios mean something on any machine; seconds do not.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from tabulate import tabulate

HERE = Path(__file__).parent
CHECKOUT = HERE.parent.parent
EXAMPLES = CHECKOUT / "examples"

START = ["-c", "import click"]
START_WITH_ARRAYS = ["-c", "import click, numpy, shapely"]

LOOK_UPS = [
    ["--version"],
    ["--help"],
    ["drills", "#40"],
    ["drills", "--rivets"],
    ["fastener", "MS20470AD4-5"],
    ["drill-out", "MS20470AD4", "--sheet", ".032 in"],
    ["grip", "MS20470AD4", ".032 in", ".040 in"],
    ["spacing", "MS20470AD4", "--edge", "1/4"],
    ["sources"],
]
PLANS = [["plan", str(EXAMPLES / name)] for name in ("inspection_cover.toml", "elevator.toml")]

SIZES = [1_000, 10_000, 100_000]
MILLION = 1_000_000
SHAPES = ("long rows", "many ribs")


def cpu_seconds(arguments: list[str], bytecode: str, repeats: int) -> float:
    """Return the least processor time of some runs of a Python process, its start included.

    All modules run from bytecode kept in the folder ``bytecode``, as those of an installed package
    do; a first run that does not count writes it.
    """
    kept = {"PYTHONPYCACHEPREFIX": bytecode, "PYTHONDONTWRITEBYTECODE": ""}
    least = math.inf
    for run in range(repeats + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(
            [sys.executable, *arguments],
            env=os.environ | kept,
            capture_output=True,
            text=True,
            check=False,
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if done.stderr or done.returncode not in {0, 1}:  # 1: done, but a check failed
            sys.exit(f"python {' '.join(arguments)} did not work:\n{done.stderr}")
        used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        least = min(least, used if run else math.inf)
    return least


def start_table(bytecode: str, repeats: int) -> str:
    """Return the table of whole processes."""
    bare = cpu_seconds(START, bytecode, repeats)
    arrays = cpu_seconds(START_WITH_ARRAYS, bytecode, repeats)
    rows: list[list[object]] = [
        ["python -c 'import click'", bare, 1.0, "floor"],
        ["python -c 'import click, numpy, shapely'", arrays, arrays / bare, "floor of plan"],
    ]
    for words in [*LOOK_UPS, *PLANS]:
        seconds = cpu_seconds(["-m", "rivetkit", *words], bytecode, repeats)
        shown = " ".join(Path(word).name if Path(word).is_file() else word for word in words)
        rows.append([f"rivetkit {shown}", seconds, seconds / bare, ""])
    return tabulate(
        [[name, 1000 * seconds, ratio, note] for name, seconds, ratio, note in rows],
        headers=["whole process", "ms", "x floor", ""],
        floatfmt=("", ".0f", ".2f", ""),
    )


def measure_plan(shape: str, holes: int, repeats: int) -> dict[str, float]:
    """Return the figures of one plan, made in a process of its own."""
    done = subprocess.run(
        [sys.executable, HERE / "one_plan.py", shape, str(holes), str(repeats)],
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    figures: dict[str, float] = json.loads(done.stdout)
    return figures


def plan_table(shape: str, sizes: list[int], repeats: int) -> str:
    """Return the table of one shape of job over all sizes."""
    rows = []
    last: dict[str, float] | None = None
    for holes in sizes:
        now = measure_plan(shape, holes, repeats if holes <= SIZES[-1] else 1)
        rows.append(
            [
                int(now["holes"]),
                int(now["rows"]),
                now["read_s"],
                now["plan_s"],
                now["report_s"],
                int(now["report_lines"]),
                now["floor_s"],
                now["plan_s"] / now["floor_s"],
                growth(last, now),
                int(now["bytes_a_hole"]),
            ]
        )
        last = now
    headers = ["holes", "rows", "read s", "plan s", "report s", "lines", "floor s"]
    return tabulate(
        rows,
        headers=[*headers, "plan x floor", "growth", "bytes a hole"],
        floatfmt=("", "", ".3f", ".3f", ".3f", "", ".3f", ".1f", "", ""),
    )


def growth(last: dict[str, float] | None, now: dict[str, float]) -> str:
    """Return the exponent with which planning grew since the size before; 1 is linear."""
    if last is None or now["holes"] == last["holes"]:
        return ""
    return f"{math.log(now['plan_s'] / last['plan_s'], now['holes'] / last['holes']):.2f}"


def main() -> None:
    """Print all tables."""
    parser = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    parser.add_argument("--million", action="store_true", help="plan a million holes as well")
    parser.add_argument("--holes", type=int, nargs="+", help="sizes to plan instead of the usual")
    parser.add_argument("--repeats", type=int, default=5, help="runs of which the least counts")
    given = parser.parse_args()
    sizes = given.holes or [*SIZES, *([MILLION] if given.million else [])]
    with tempfile.TemporaryDirectory() as bytecode:
        print(start_table(bytecode, given.repeats))
    for shape in SHAPES:
        print(f"\nplan, {shape}: see big_jobs.py; memory is for reading and planning together")
        print(plan_table(shape, sizes, given.repeats))


if __name__ == "__main__":
    main()
