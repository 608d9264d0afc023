"""``rivetkit plan`` works a whole job out."""

from __future__ import annotations

import click

from rivetkit.cli.options import Bench, Shared, bench_options, job_options
from rivetkit.cli.output import emit
from rivetkit.cli.param_types import FILE
from rivetkit.cli.planned import planned_job
from rivetkit.errors import InputError

_EXAMPLES = """\b
Examples:
  $ rivetkit plan examples/inspection_cover.toml
  $ rivetkit plan examples/elevator.toml --explain
  $ rivetkit plan examples/elevator.toml --quiet
  $ rivetkit plan examples/elevator.toml --format html   (a page to print: add -o traveller.html)
"""


@click.command("plan", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@bench_options
@click.option(
    "--assume-oversize",
    type=click.IntRange(0, 9),
    default=0,
    metavar="N",
    help="What if: the plan with every hole N sizes up.",
)
@click.option("--quiet", "-q", is_flag=True, help="Only the summary, as text.")
@job_options
def plan(
    *,
    job_file: str,
    bench: Bench,
    assume_oversize: int,
    quiet: bool,
    shared: Shared,
) -> int:
    """Plan a job: what comes out, what goes in, what holds.

    JOB.toml describes sheets, members and rows of rivets; - reads it from standard input.
    --rule-set and --override come on top of what the job file says. The plan is in the unit of the
    job file; --units shows it in another, and leaves the numbers in the file as they are. --format
    html is a traveller to print: hole map, boxes to tick, order list, sign-off, and, with formula
    and source, all that did not pass and the closest of what did; --explain has every check.
    """
    from rivetkit.reports.plans.plan_report import in_short, plan_report

    planned = planned_job(job_file, shared, bench=bench, assume_oversize=assume_oversize)
    inputs = {
        "job_file": job_file,
        **bench.described(),
        "assume_oversize": assume_oversize,
        **shared.described(),
    }
    report = plan_report(planned, inputs=inputs, length_unit=shared.units)
    if quiet and shared.format != "text":
        raise InputError(
            f"--quiet and --format {shared.format} exclude each other",
            where="--quiet",
            mend="leave one of them out",
        )
    if shared.format == "html":
        from rivetkit.reports.plans.traveller import as_traveller

        report = as_traveller(report, planned)
    elif quiet:
        return emit(in_short(report), shared, whole=report)
    return emit(report, shared)
