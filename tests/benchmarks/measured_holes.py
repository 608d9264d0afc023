"""A job of which every hole was measured, against the plan of the same job with none measured."""

from __future__ import annotations

import random
import tempfile
import time
from pathlib import Path

from big_jobs import long_rows

from rivetkit.job.worksheet.lines import AXIS, BOXES, GREATEST, LEAST
from rivetkit.job.worksheet.sheet import (
    BenchSheet,
    KnownHole,
    TypedLine,
    open_bench_sheet,
    read_bench_sheet,
    write_bench_sheet,
)
from rivetkit.planning.plan import plan_job
from rivetkit.planning.worksheet import known_holes, worksheet_lines


def measure(holes: int) -> dict[str, float]:
    """Return seconds to write and read the sheet, to plan with it, and to plan without (floor)."""
    chance = random.Random(1)  # noqa: S311 - made-up measurements
    with tempfile.TemporaryDirectory() as folder:
        job = long_rows(holes, Path(folder))
        floor = _seconds(lambda: plan_job(job))
        lines = worksheet_lines(job)
        typed = {}
        for line in lines:
            least = chance.uniform(0.126, 0.146)
            oval = chance.uniform(0.0, 0.006)
            boxes = dict.fromkeys(BOXES, "")
            boxes |= {LEAST: f"{least:.6f}", GREATEST: f"{least + oval:.6f}", AXIS: "edge"}
            typed[line.hole] = TypedLine(boxes, (), "")
        filled = BenchSheet(typed=typed)
        sheet = Path(folder) / "holes.csv"
        write = _seconds(
            lambda: sheet.write_text(
                write_bench_sheet(lines, "in", filled, job_name=job.name), "utf-8"
            )
        )
        known = known_holes(job)
        read = _seconds(lambda: _read(sheet, known, job.name))
        back = _read(sheet, known, job.name).measured
        planned = _seconds(lambda: plan_job(job, measured=back))
    return {"holes": len(back), "write": write, "read": read, "plan": planned, "floor": floor}


def _read(sheet: Path, known: dict[str, KnownHole], job_name: str) -> BenchSheet:
    return read_bench_sheet(open_bench_sheet(sheet), known, job_name=job_name)


def _seconds(work: object) -> float:
    start = time.process_time()
    work()  # type: ignore[operator]
    return time.process_time() - start


if __name__ == "__main__":
    for size in (2_000, 20_000):
        row = measure(size)
        print(
            f"{row['holes']:>7.0f} holes measured: sheet written in {row['write']:.2f} s, read in "
            f"{row['read']:.2f} s, planned in {row['plan']:.2f} s, "
            f"{row['plan'] / row['floor']:.0f} x the plan with none measured"
        )
