"""``rivetkit export-dxf`` writes the outlines and holes of a job as a drawing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit, write_file
from rivetkit.cli.param_types import FILE
from rivetkit.cli.streams import print_text
from rivetkit.errors import InputError

_EXAMPLES = """\b
Examples:
  $ rivetkit export-dxf examples/inspection_cover.toml -o -   (to a file: -o map.dxf)
"""


@click.command("export-dxf", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@rule_options
def export_dxf(*, job_file: str, shared: Shared) -> int:
    """Write the outlines and holes of a job as a DXF drawing, full size, in inches.

    Layers: OUTLINE_ and CUTOUTS_ with the sheet's name, MEMBERS, HOLES_ with the part number
    that goes in, IDS. Holes have the size the tables give for that rivet. --output is needed;
    the drawing goes there, and the screen tells what each layer got.
    """
    from rivetkit.cli.planned import job_of
    from rivetkit.reports.dxf_out import dxf_drawing, dxf_report

    to_screen = click.get_current_context().params.get("output") == "-"
    if shared.output is None and not to_screen:
        raise InputError(
            "no file is named", where="--output", mend="add -o map.dxf; - is the screen"
        )
    if to_screen and shared.format != "text":
        raise InputError(
            f"the drawing and its {shared.format} report cannot both go to the screen",
            where="--output -",
            mend="name a file, such as -o map.dxf",
        )
    drawing = dxf_drawing(job_of(job_file, shared))
    if shared.output is None:
        print_text(drawing.text.removesuffix("\n"))
        return 0
    write_file(Path(shared.output), drawing.text.encode())
    inputs = {"job_file": job_file, "output": shared.output, **shared.described()}
    report = dxf_report(drawing, file=shared.output, inputs=inputs, length_unit=shared.units)
    return emit(report, replace(shared, output=None))
