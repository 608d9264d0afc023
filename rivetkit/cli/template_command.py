"""``rivetkit template`` writes a full-size paper template of a job's holes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from rivetkit.cli.options import Bench, Shared, bench_options, job_options
from rivetkit.cli.output import emit, write_file
from rivetkit.cli.param_types import FILE
from rivetkit.cli.planned import planned_job
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.reports.drawings.map_view import MapView
    from rivetkit.reports.template.pages import Paper

_EXAMPLES = """\b
Examples:
  $ rivetkit template examples/inspection_cover.toml -o /dev/null   (a trial: how many pages)
  $ rivetkit template examples/elevator.toml --sheet "lower skin" --mirror -o /dev/null --json

To print, name a file: -o template.pdf
"""


@click.command("template", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@click.option("--sheet", metavar="NAME", help="Draw only this sheet; all when not given.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"], case_sensitive=False),
    default="a4",
    show_default=True,
    help="Paper in the printer.",
)
@click.option("--mirror", is_flag=True, help="As seen from the sheet's other side: x to the left.")
@bench_options
@job_options
def template(
    *, job_file: str, sheet: str | None, paper: str, mirror: bool, bench: Bench, shared: Shared
) -> int:
    """Write a full-size template of a job's holes: a PDF to print, tape together and lay on.

    -o names the PDF and must be given; what it came to is told on the screen. Every page has
    scale bars of 100 mm and 4 in: print at 100 percent, and measure them before you punch by it.
    With --measured a hole stands where its repair puts it, and one for which no rivet is settled
    has a box instead of a cross. It is drawn whatever the plan comes to; the
    exit code tells.
    """
    from rivetkit.reports.drawings.map_view import map_views
    from rivetkit.reports.template.pdf import render_template, template_sheets
    from rivetkit.reports.template.report import template_report

    file = _pdf_name(shared.output)
    planned = planned_job(job_file, shared, bench=bench)
    views = _chosen(map_views(planned, shared.units), sheet)
    size = cast("Paper", paper)
    sheets = template_sheets(views, size, mirror=mirror)
    content = render_template(
        sheets, job_name=planned.job.name, verdict=planned.verdict, mirror=mirror
    )
    write_file(Path(file), content)
    inputs = {
        "job_file": job_file,
        "sheet": sheet,
        "paper": paper,
        "mirror": mirror,
        **bench.described(),
        **shared.described(),
    }
    report = template_report(
        planned, sheets, file=file, paper=size, inputs=inputs, length_unit=shared.units
    )
    return emit(report, replace(shared, output=None))


def _pdf_name(output: str | None) -> str:
    """Return the file to write; a page of PDF on a screen helps nobody."""
    if output is None:
        raise InputError("a PDF goes to a file", where="--output", mend="add -o template.pdf")
    path = Path(output)
    is_device = path.exists() and not path.is_file() and not path.is_dir()
    if path.suffix.lower() != ".pdf" and not is_device and not path.is_dir():
        raise InputError(
            "the template is a PDF", where=f"--output {output}", mend="name a file in .pdf"
        )
    return output


def _chosen(views: Sequence[MapView], sheet: str | None) -> tuple[MapView, ...]:
    chosen = tuple(view for view in views if sheet in (None, view.name))
    if not chosen:
        names = ", ".join(view.name for view in views)
        raise InputError(f"there is no map of '{sheet}'", where="--sheet", mend=f"maps are {names}")
    return chosen
