"""``rivetkit map`` draws the holes of a job."""

from __future__ import annotations

import click

from rivetkit.cli.options import Bench, Shared, bench_options, drawing_options
from rivetkit.cli.output import emit
from rivetkit.cli.param_types import FILE
from rivetkit.cli.planned import planned_job
from rivetkit.errors import InputError

_EXAMPLES = """\b
Examples:
  $ rivetkit map examples/inspection_cover.toml
  $ rivetkit map examples/elevator.toml --sheet "upper skin"   (to a file: add -o map.svg)
  $ rivetkit map examples/elevator.toml --format csv
"""


@click.command("map", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@click.option("--sheet", metavar="NAME", help="Show only this sheet; all when not given.")
@bench_options
@drawing_options
def map_(*, job_file: str, sheet: str | None, bench: Bench, shared: Shared) -> int:
    """Draw every hole of a job, with what its checks came to.

    One drawing for each sheet, so that rows on either side of a frame do not lie over each other.
    The usual format is one SVG picture; text, csv and json list the holes with their places. With
    --measured every hole that was measured is marked with what it gets, and those that get another
    rivet or none are named. It is
    drawn whatever the plan comes to; the exit code tells.
    """
    from rivetkit.reports.plans.map_report import map_report

    planned = planned_job(job_file, shared, bench=bench)
    inputs: dict[str, object] = {
        "job_file": job_file,
        **bench.described(),
        **shared.described(),
    }
    if sheet is not None:
        inputs["sheet"] = sheet
    try:
        report = map_report(planned, inputs=inputs, length_unit=shared.units, sheet=sheet)
    except InputError as error:
        raise error.at("--sheet") from None
    return emit(report, shared)
