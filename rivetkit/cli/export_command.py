"""``rivetkit export-dxf`` writes the outlines and holes of a job as a drawing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from rivetkit.cli.options import Bench, Shared, bench_options, job_options
from rivetkit.cli.output import emit, exit_code, write_file
from rivetkit.cli.param_types import FILE
from rivetkit.cli.streams import print_text
from rivetkit.errors import InputError

_EXAMPLES = """\b
Examples:
  $ rivetkit export-dxf examples/inspection_cover.toml -o -   (to a file: -o map.dxf)
"""


@click.command("export-dxf", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@bench_options
@job_options
def export_dxf(*, job_file: str, bench: Bench, shared: Shared) -> int:
    """Write the outlines and holes of a job as a DXF drawing, full size, in the job's unit.

    --units in or mm draws it in that one; the file says which it is ($INSUNITS).

    Layers: OUTLINE_ and CUTOUTS_ with the sheet's name, MEMBERS, HOLES_ with the part number
    that goes in, IDS. Holes have the size the tables give for that rivet. --output is needed;
    the drawing goes there, and the screen tells what each layer got. As with map and template the
    job is planned first, and drawn whatever the plan comes to; the exit code tells. With --measured
    a hole stands where its repair puts it and has the drill it is made with; those for which no
    rivet is settled are on the layer NO_RIVET_SETTLED, as wide as they were measured.
    """
    from rivetkit.cli.planned import planned_job
    from rivetkit.reports.drawings.dxf_out import dxf_drawing, dxf_report

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
    plan = planned_job(job_file, shared, bench=bench)
    drawing = dxf_drawing(plan, shared.units)
    if shared.output is None:
        print_text(drawing.text.removesuffix("\n"))
        return exit_code(plan.checks)
    write_file(Path(shared.output), drawing.text.encode())
    inputs = {
        "job_file": job_file,
        **bench.described(),
        "output": shared.output,
        **shared.described(),
    }
    report = dxf_report(drawing, plan, file=shared.output, inputs=inputs, length_unit=shared.units)
    return emit(report, replace(shared, output=None))
