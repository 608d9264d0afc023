"""``rivetkit import-holes`` reads holes and outlines from a drawing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from rivetkit.cli.options import Shared, output_options
from rivetkit.cli.output import emit, write_file
from rivetkit.cli.param_types import FILE
from rivetkit.cli.streams import note, print_text
from rivetkit.errors import RivetkitError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.job.drawing.parts import DrawingIn
    from rivetkit.reports.amounts import LengthUnit

_EXAMPLES = """\b
Examples:
  $ rivetkit import-holes examples/access_panel.dxf --rivet MS20470AD3
  $ rivetkit import-holes examples/access_panel.dxf --layer RIVETS --format csv
"""


@click.command("import-holes", epilog=_EXAMPLES)
@click.argument("drawing_file", metavar="FILE.dxf|FILE.csv", type=FILE)
@click.option(
    "--layer", "layers", multiple=True, metavar="NAME", help="Only this layer. Repeatable."
)
@click.option("--rivet", metavar="PART", help="What sits in the holes; to fill in when not given.")
@click.option(
    "--job-units",
    type=click.Choice(["in", "mm"]),
    help="Unit of the job file written; as --units when not given.",
)
@click.option(
    "--drawing-units",
    type=click.Choice(["in", "mm"]),
    help="Unit of the drawing, when the file does not say it or says it wrongly.",
)
@click.option(
    "--largest-hole",
    default="0.5 in",
    show_default=True,
    metavar="SIZE",
    help="A wider circle is a cut-out, not a hole.",
)
@output_options
def import_holes(
    *,
    drawing_file: str,
    layers: Sequence[str],
    rivet: str | None,
    job_units: str | None,
    drawing_units: str | None,
    largest_hole: str,
    shared: Shared,
) -> int:
    """Read holes and outlines from a drawing and write the beginning of a job file.

    Circles become holes, a row for each layer and diameter. The largest closed outline is the
    sheet, what lies inside it is cut out. Whatever is skipped is named. A CSV file has a line
    for each hole, columns x, y and if you like diameter, in any order; its bare numbers are in
    --drawing-units, else in --units. json and html hold the data and what was skipped.
    """
    from rivetkit.job.drawing.parts import read_drawing
    from rivetkit.job.drawing.text import holes_csv, job_fragment

    unit = cast("LengthUnit", job_units or shared.units)
    part = None if rivet is None else _part(rivet)
    drawing = read_drawing(
        drawing_file,
        layers=layers,
        drawing_unit=drawing_units,
        bare_unit=shared.units,
        largest_hole_in=shared.length_in(largest_hole, "--largest-hole"),
    )
    fragment = job_fragment(drawing, unit, part)
    if shared.format in {"text", "csv"}:
        _write(holes_csv(drawing, unit) if shared.format == "csv" else fragment, shared)
        if shared.format == "csv" or shared.output is not None:
            _tell_skipped(drawing, unit)
        return 0
    from rivetkit.reports.plans.import_report import import_report

    inputs = {
        "drawing_file": drawing_file,
        "layers": list(layers),
        "rivet": part,
        "job_units": unit,
        "drawing_units": drawing_units,
        "largest_hole": largest_hole,
        **shared.described(),
    }
    return emit(import_report(drawing, fragment=fragment, inputs=inputs, length_unit=unit), shared)


def _tell_skipped(drawing: DrawingIn, unit: LengthUnit) -> None:
    """Name what was left out, but for the layers that the person left out."""
    from rivetkit.job.drawing.dxf import NOT_ASKED_FOR
    from rivetkit.quantities import words_in_unit

    for item in drawing.skipped:
        if item.why != NOT_ASKED_FOR:
            why = words_in_unit(item.why, unit)
            note(f"skipped {item.count} {item.what} on layer {item.layer}: {why}")


def _part(text: str) -> str:
    from rivetkit.fasteners.part_number import parse_part_number

    try:
        return parse_part_number(text).designation
    except RivetkitError as error:
        raise error.at("--rivet") from None


def _write(text: str, shared: Shared) -> None:
    if shared.output is None:
        print_text(text.removesuffix("\n"))
    else:
        write_file(Path(shared.output), text.encode("utf-8", "backslashreplace"))
