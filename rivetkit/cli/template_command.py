"""``rivetkit template`` prints a sheet's holes full size on paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import exit_code, write_file
from rivetkit.cli.param_types import FILE
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.reports.template_pdf import Paper

_EXAMPLES = """\b
Examples:
  $ rivetkit template examples/inspection_cover.toml -o /dev/null
  $ rivetkit template examples/elevator.toml --sheet "lower skin" --paper letter -o /dev/null
Name a file such as template.pdf instead of /dev/null to keep it.
"""


@click.command("template", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@click.option("--sheet", metavar="NAME", help="Which sheet; the first one if not given.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper."
)
@rule_options
def template(*, job_file: str, sheet: str | None, paper: str, shared: Shared) -> int:
    """Print a sheet full size: hole centres with their ids, edges, cut-outs.

    Pages of A4 or Letter lap over and join by register marks. Every page has bars of 100 mm and
    4 in: measure them before use. Needs fpdf2: pip install 'rivetkit[pdf]'.
    """
    from rivetkit.cli.planned import planned_job
    from rivetkit.reports.template_pdf import sheets_with_outline, template_pages

    if shared.output is None:
        raise InputError(
            "a template goes to a file", where="--output", mend="name it: -o template.pdf"
        )
    planned = planned_job(job_file, shared)
    names = sheets_with_outline(planned)
    if sheet is None and not names:
        raise InputError(
            "no sheet has an outline", where=job_file, mend="give the sheet an outline"
        )
    try:
        pages = template_pages(planned, sheet or names[0], cast("Paper", paper))
    except ImportError:
        raise InputError(
            "the template needs fpdf2, which is not installed",
            where="template",
            mend="pip install 'rivetkit[pdf]'",
        ) from None
    write_file(Path(shared.output), pages)
    return exit_code(planned.checks)
