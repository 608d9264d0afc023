"""``rivetkit plan`` works a whole job out."""

from __future__ import annotations

from dataclasses import replace

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit

_EXAMPLES = """\b
Examples:
  $ rivetkit plan examples/inspection_cover.toml
  $ rivetkit plan examples/elevator.toml --explain
"""


@click.command("plan", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml")
@rule_options
def plan(*, job_file: str, shared: Shared) -> int:
    """Plan a job: what comes out, what goes in, what holds.

    JOB.toml describes sheets, members and rows of rivets; - reads it from standard input.
    --rule-set and --override come on top of what the job file says. A job file keeps its own unit
    for the numbers in it.
    """
    from rivetkit.job.read import read_job
    from rivetkit.planning.plan import plan_job
    from rivetkit.reports.plan_report import plan_report

    job = read_job(job_file)
    book = shared.rule_book()
    if shared.rule_set is not None:
        job = replace(job, rule_set=shared.rule_set)
    if book.overrides:
        replaced = {override.question for override in book.overrides}
        kept = tuple(item for item in job.overrides if item.question not in replaced)
        job = replace(job, overrides=(*kept, *book.overrides))
    report = plan_report(
        plan_job(job),
        inputs={"job_file": job_file, **shared.described()},
        length_unit=shared.units,
    )
    return emit(report, shared)
