"""The benchmarks still run. Nothing here looks at the time they take."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

BENCHMARKS = Path(__file__).parent / "benchmarks"


@pytest.mark.parametrize(("shape", "rows"), [("long rows", 20), ("many ribs", 10)])
def test_a_big_job_is_planned_and_measured(shape, rows):
    done = subprocess.run(
        [sys.executable, BENCHMARKS / "one_plan.py", shape, "1000", "1"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    figures = json.loads(done.stdout)
    # Twenty rows of 50; five ribs with two rows of 100. No hole is shared.
    assert (figures["holes"], figures["rows"]) == (1000, rows)
    assert min(figures["plan_s"], figures["floor_s"], figures["report_lines"]) > 0


def test_measured_holes_are_planned_and_measured():
    sys.path.insert(0, str(BENCHMARKS))
    try:
        from measured_holes import measure

        row = measure(100)
    finally:
        sys.path.remove(str(BENCHMARKS))
    assert row["holes"] == 100
    assert min(row["plan"], row["floor"]) > 0
