"""``rivetkit new-hole`` tells whether a hole may be drilled here, and if not, where."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Bench, Shared, bench_options, job_options
from rivetkit.cli.output import emit
from rivetkit.cli.param_types import FILE
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.calculators.stack import Form
    from rivetkit.geometry.curves import Point
    from rivetkit.reports.amounts import LengthUnit

_EXAMPLES = """\b
Examples:
  $ rivetkit new-hole examples/elevator.toml --rivet MS20470AD3 --at 20,6 --layers "lower skin"
  $ rivetkit new-hole examples/elevator.toml --rivet MS20470AD4 --at 10.3,4.6   # exits 1
  $ rivetkit new-hole examples/elevator.toml --rivet MS20470AD3 --along 0,3:48,3   # exits 1
"""


@click.command("new-hole", epilog=_EXAMPLES)
@click.argument("job_file", metavar="JOB.toml", type=FILE)
@click.option("--rivet", "part", required=True, metavar="PART", help="What goes in.")
@click.option("--at", "place", metavar="X,Y", help="Where the hole is wanted.")
@click.option("--along", metavar="X,Y:X,Y", help="Or: a line to find room on.")
@click.option(
    "--layers",
    metavar="NAMES",
    help="What it goes through, split by ;. Every drawn layer there when not given.",
)
@click.option(
    "--countersunk",
    metavar="NAMES",
    help="Layers machine countersunk for a flush head, split by ;.",
)
@click.option("--dimpled", metavar="NAMES", help="Layers dimpled for it, split by ;.")
@click.option(
    "--reach", default="2 in", show_default=True, metavar="R", help="How far to look for a place."
)
@bench_options
@job_options
def new_hole(
    *,
    job_file: str,
    part: str,
    place: str | None,
    along: str | None,
    layers: str | None,
    countersunk: str | None,
    dimpled: str | None,
    reach: str,
    bench: Bench,
    shared: Shared,
) -> int:
    """Check a new hole near old ones: edges of every layer, every neighbour.

    Where it is not allowed, the nearest place that meets all limits is computed. A drawn layer
    must lie well under the hole, or be missed by half the wider head. Places are in the job's own
    x and y and in its unit; with --units of another one, each number has to name its unit.
    With --measured the old holes stand where their repairs put them, with the rivets they get.
    """
    from rivetkit.cli.planned import job_of, measured_plan
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.planning.new_hole.search import NewHoleFinder, judged_at_nearest
    from rivetkit.reports.cautions import NUTPLATE_BODIES
    from rivetkit.reports.plans.new_hole_report import free_stretches_report, new_hole_report

    if (place is None) == (along is None):
        raise InputError(
            "give --at or --along", where="new-hole", mend="one of the two, as X,Y or X,Y:X,Y"
        )
    names = None if layers is None else _names(layers)
    forms = _forms(countersunk, dimpled)
    job = job_of(job_file, shared)
    for option, text in (("--at", place), ("--along", along), ("--reach", reach)):
        _require_unit(text or "", option, job.units, shared)
    plan = measured_plan(job, job_file, bench)
    finder = NewHoleFinder(job, parse_part_number(part), names, forms, plan=plan)
    measured = 0 if plan is None else len(plan.fixes)
    inputs = {
        "job_file": job_file,
        "rivet": part,
        "at": place,
        "along": along,
        "layers": names,
        "countersunk": countersunk,
        "dimpled": dimpled,
        "reach": reach,
        **bench.described(),
        **shared.described(),
    }
    if place is not None:
        reach_in = shared.length_in(reach, "--reach")
        answer = finder.at(_point(place, "--at", shared), reach_in=reach_in)
        report = new_hole_report(
            answer,
            judged_at_nearest(finder, answer),
            job_name=job.name,
            all_drawn=names is None,
            accuracy_in=job.accuracy_in,
            measured=measured,
            inputs=inputs,
            length_unit=shared.units,
        )
    else:
        start, colon, end = (along or "").partition(":")
        if not colon:
            raise InputError(
                f"'{along}' is no line", where="--along", mend="write X,Y:X,Y, such as 0,3:48,3"
            )
        answer_line = finder.along(_point(start, "--along", shared), _point(end, "--along", shared))
        report = free_stretches_report(
            answer_line,
            job_name=job.name,
            all_drawn=names is None,
            accuracy_in=job.accuracy_in,
            measured=measured,
            inputs=inputs,
            length_unit=shared.units,
        )
    if any(row.nutplate for row in job.rows):
        report = replace(report, cautions=(*report.cautions, NUTPLATE_BODIES))
    return emit(report, shared)


def _require_unit(text: str, option: str, job_units: LengthUnit, shared: Shared) -> None:
    """Refuse bare numbers in another unit than the job's: they would mean another place."""
    if job_units == shared.units:
        return
    for piece in re.split(r"[,:]", text):
        if _is_bare(piece):
            raise InputError(
                f"'{text}' names no unit, and the job is in {job_units}",
                where=option,
                mend=f"leave out --units {shared.units}, or write each number's unit: "
                f"{piece.strip()}{job_units}",
            )


def _is_bare(piece: str) -> bool:
    """Return whether a text is another length in inches than in mm; what is no length is not."""
    from rivetkit.quantities import parse_length_in

    try:
        as_in, as_mm = (
            parse_length_in(piece, default_unit=unit, allow_zero=True, allow_negative=True)
            for unit in ("in", "mm")
        )
    except InputError:
        return False
    return as_in != as_mm


def _names(text: str) -> list[str]:
    return [name.strip() for name in text.split(";")]


def _forms(countersunk: str | None, dimpled: str | None) -> dict[str, Form]:
    forms: dict[str, Form] = dict.fromkeys(
        _names(countersunk) if countersunk else (), "countersunk"
    )
    for name in _names(dimpled) if dimpled else ():
        if name in forms:
            raise InputError(
                f"'{name}' is countersunk as well", where="--dimpled", mend="name it in one of them"
            )
        forms[name] = "dimpled"
    return forms


def _point(text: str, option: str, shared: Shared) -> Point:
    from rivetkit.quantities import parse_length_in

    pieces = text.split(",")
    if len(pieces) != len(("x", "y")):
        raise InputError(f"'{text}' is no place", where=option, mend="write X,Y, such as 20,6.5")
    x, y = (
        parse_length_in(
            piece, default_unit=shared.units, what=option, allow_zero=True, allow_negative=True
        )
        for piece in pieces
    )
    return (x, y)
