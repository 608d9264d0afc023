"""Time one plan against its floor in a process of its own, and print the figures as JSON.

Usage: python tests/benchmarks/one_plan.py SHAPE HOLES REPEATS
"""

from __future__ import annotations

import json
import resource
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import shapely
from big_jobs import SHAPES
from scipy.spatial import cKDTree

from rivetkit.planning.plan import plan_job
from rivetkit.reports.formats.text_report import render_text
from rivetkit.reports.plans.plan_report import plan_report

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy as np
    from numpy.typing import NDArray

    from rivetkit.job.model import Job
    from rivetkit.planning.plan import Plan

ResultT = TypeVar("ResultT")


def cpu_seconds(work: Callable[[], ResultT], repeats: int = 1) -> tuple[float, ResultT]:
    """Return the least processor time of some runs, and the last result."""
    least = float("inf")
    for _ in range(repeats):
        start = time.process_time()
        result = work()
        least = min(least, time.process_time() - start)
    return least, result


def peak_bytes() -> int:
    """Return the most memory this process ever had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def floor(points: NDArray[np.float64], outlines: list[NDArray[np.float64]]) -> None:
    """Nearest neighbour of every hole, and its distance to every outline: nothing else."""
    cKDTree(points).query(points, k=2)
    spots = shapely.points(points)
    for ring in outlines:
        shapely.distance(shapely.linearrings(ring), spots)


def whole_plan(job: Job) -> Plan:
    """Plan the job, with what the report works out only when it tells it."""
    plan = plan_job(job)
    _ = plan.reserve, plan.checks
    return plan


def write_report(job: Job) -> str:
    """Plan the job and write the report a person reads."""
    return render_text(plan_report(plan_job(job), inputs={}, length_unit="in"), explain=False)


def main(shape: str, holes: int, repeats: int) -> dict[str, float]:
    """Return the figures of one job."""
    with tempfile.TemporaryDirectory() as folder:
        small = SHAPES[shape](1000, Path(folder))
        write_report(small)  # tables read, caches filled: a plan is timed, not a start
        before = peak_bytes()
        read_s, job = cpu_seconds(lambda: SHAPES[shape](holes, Path(folder)))
        plan_s, plan = cpu_seconds(lambda: whole_plan(job))
        held = peak_bytes() - before
        if repeats > 1:
            plan_s = min(plan_s, cpu_seconds(lambda: whole_plan(job), repeats - 1)[0])
        points = plan.holes.points
        del plan
        outlines = [
            layer.boundary.outer.ring for layer in job.layers.values() if layer.boundary is not None
        ]
        floor_s, _ = cpu_seconds(lambda: floor(points, outlines), repeats)
        whole_s, report = cpu_seconds(lambda: write_report(job))
    return {
        "holes": len(points),
        "rows": len(job.rows),
        "read_s": read_s,
        "plan_s": plan_s,
        "report_s": max(whole_s - plan_s, 0.0),
        "report_lines": report.count("\n"),
        "floor_s": floor_s,
        "bytes_a_hole": held / len(points),
    }


if __name__ == "__main__":
    print(json.dumps(main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))))
