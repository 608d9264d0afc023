"""``rivetkit worksheet`` writes the sheet on which holes are measured."""

from __future__ import annotations

from pathlib import Path

import click

from rivetkit.cli.options import Shared, sheet_options
from rivetkit.cli.output import emit, write_file
from rivetkit.cli.param_types import FILE
from rivetkit.cli.streams import print_text
from rivetkit.errors import InputError

_EXAMPLES = """\b
Examples:
  $ rivetkit worksheet examples/inspection_cover.toml
  $ rivetkit worksheet examples/elevator.toml --row "upper spar"   (to a file: add -o holes.csv)
"""


@click.command("worksheet", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@click.option("--row", "rows", multiple=True, metavar="NAME", help="Only this row. Repeatable.")
@click.option(
    "--measured",
    metavar="FILE",
    type=FILE,
    help="A sheet filled before: what stands in it, your own columns too, goes over as typed.",
)
@sheet_options
def worksheet(*, job_file: str, rows: tuple[str, ...], measured: str | None, shared: Shared) -> int:
    """Write a sheet to print and fill in: every hole, where it is, its limits, empty boxes.

    Fill in the least and the greatest diameter of the holes you measured and leave the rest
    empty; 'rivetkit plan JOB.toml --measured FILE' takes it back. One diameter alone is taken for
    a round hole. Long axis: edge (toward the nearest edge), row (along the row) or degrees from
    the x axis. Grew: toward that edge or the row's next hole, away from it, or both alike. A line
    that has a remark and no size counts as not checked. Columns you add are yours. A sheet with an
    entry for a hole over .010 in from where the job has it is refused. A file that is there
    already is never written over.
    """
    from rivetkit.cli.planned import job_of, naming_file
    from rivetkit.job.worksheet.sheet import (
        BenchSheet,
        open_bench_sheet,
        read_bench_sheet,
        write_bench_sheet,
    )
    from rivetkit.planning.worksheet import known_holes, worksheet_lines

    if shared.output is not None and Path(shared.output).exists():
        raise InputError(
            "is there already, and somebody may have filled it in",
            where=f"--output {shared.output}",
            mend="choose another name; --measured carries its entries over",
        )
    job = job_of(job_file, shared)
    with naming_file(job_file):
        lines = worksheet_lines(job, rows)
    filled = BenchSheet()
    if measured:
        sheet = open_bench_sheet(measured)
        filled = read_bench_sheet(sheet, known_holes(job), job_name=job.name)
    filled.only_for({line.hole for line in lines})
    if shared.format != "csv":
        from rivetkit.reports.plans.worksheet_report import worksheet_report

        inputs = {"job_file": job_file, "rows": list(rows), **shared.described()}
        report = worksheet_report(
            lines,
            filled,
            job_name=job.name,
            file="standard input" if job_file == "-" else Path(job_file).name,
            inputs=inputs,
            length_unit=shared.units,
        )
        return emit(report, shared)
    text = write_bench_sheet(lines, shared.units, filled, job_name=job.name)
    if shared.output is None:
        print_text(text.removesuffix("\r\n").replace("\r\n", "\n"))
    else:
        write_file(Path(shared.output), text.encode())
    return 0
