"""``rivetkit order`` puts the rivets of several jobs on one order."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Bench, Shared, bench_options, job_options
from rivetkit.cli.output import emit
from rivetkit.cli.param_types import FILE
from rivetkit.cli.planned import file_words, jobs_of, naming_file, plan_of
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rivetkit.job.worksheet.sheet import FilledSheet
    from rivetkit.planning.plan import Plan
    from rivetkit.reports.plans.order_report import JobInOrder

_EXAMPLES = """\b
Examples:
  $ rivetkit order examples/elevator.toml examples/inspection_cover.toml
  $ rivetkit order examples/elevator.toml examples/inspection_cover.toml --pack 100 --format csv
  $ rivetkit order examples/inspection_cover.toml --percent 15 --minimum 10 --explain

After the bench add the filled worksheets: --measured left.csv --measured right.csv
"""

#: Nobody buys more rivets at once.
_MOST = 10_000_000


@click.command("order", epilog=_EXAMPLES)
@click.argument("job_files", metavar="JOB.toml...", type=FILE, nargs=-1, required=True)
@bench_options
@click.option(
    "--percent", type=click.FloatRange(0, 100), metavar="P", help="Spares in percent of the need."
)
@click.option(
    "--minimum",
    type=click.IntRange(0, _MOST),
    metavar="N",
    help="At least so many spares of each part.",
)
@click.option("--pack", type=click.IntRange(1, _MOST), metavar="N", help="How many come in a pack.")
@job_options
def order(
    *,
    job_files: tuple[str, ...],
    bench: Bench,
    percent: float | None,
    minimum: int | None,
    pack: int | None,
    shared: Shared,
) -> int:
    """Put the rivets of several jobs on one order.

    The same part in two jobs is one line; spares and packs are reckoned on the sum. What
    --percent, --minimum and --pack leave open is as the job files say under [spares]; where they
    differ the most of any job is taken. With --measured each hole is ordered for as it was
    measured; holes for which no rivet is settled are told and not ordered for. A worksheet names
    its job in its first line; one that names none goes to the job that has all its holes. Jobs in
    different units are listed in inches unless --units tells.
    """
    from rivetkit.planning.order_list import joint_policy, order_list
    from rivetkit.reports.plans.order_report import order_report

    _require_each_once(job_files)
    jobs = _named(job_files, _plans(job_files, bench, shared))
    joint = joint_policy(
        [job.plan.job.spares for job in jobs], percent=percent, minimum=minimum, pack_size=pack
    )
    parts = order_list({job.label: job.plan.parts for job in jobs}, joint.policy)
    inputs = {
        "job_files": list(job_files),
        **bench.described(),
        "percent": percent,
        "minimum": minimum,
        "pack": pack,
        **shared.described(),
    }
    return emit(order_report(jobs, parts, joint, inputs=inputs, length_unit=shared.units), shared)


def _require_each_once(files: Iterable[str]) -> None:
    """Refuse a file that is named twice, under whatever name: its rivets would be bought twice."""
    seen: dict[object, str] = {}
    for file in files:
        path = Path(file)
        key: object = file
        if file != "-" and path.exists():
            status = path.stat()
            key = (status.st_dev, status.st_ino)
        if key in seen:
            also = "" if seen[key] == file else f", as '{seen[key]}' too"
            raise InputError(f"is given twice{also}", where=file, mend="name each job once")
        seen[key] = file


def _plans(files: Sequence[str], bench: Bench, shared: Shared) -> list[Plan]:
    """Return the plan of every job, each with the worksheets that are of it."""
    read = jobs_of(files, shared)
    sheets: list[list[FilledSheet]] = [[] for _ in files]
    if bench.files:
        from rivetkit.job.worksheet.match import SheetsJob, job_of_sheet
        from rivetkit.job.worksheet.sheet import open_bench_sheet
        from rivetkit.planning.worksheet import known_holes

        listed = []
        for file, job in zip(files, read, strict=True):
            with naming_file(file):
                listed.append(SheetsJob(job.name, file_words(file), known_holes(job)))
        for worksheet in bench.files:
            sheet = open_bench_sheet(worksheet)
            sheets[job_of_sheet(sheet, listed)].append(sheet)
    return [
        plan_of(job, file, sheets=of_job, sizes_up=bench.sizes_up)
        for job, file, of_job in zip(read, files, sheets, strict=True)
    ]


def _named(files: Sequence[str], plans: list[Plan]) -> list[JobInOrder]:
    """Return the jobs under their names; of one name twice, each with its file."""
    from rivetkit.reports.plans.order_report import JobInOrder

    counts = Counter(plan.job.name for plan in plans)
    return [
        JobInOrder(
            plan.job.name if counts[plan.job.name] == 1 else f"{plan.job.name} ({file})",
            file_words(file),
            plan,
        )
        for file, plan in zip(files, plans, strict=True)
    ]
