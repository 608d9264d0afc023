"""``rivetkit blank`` sizes the blank of a new skin."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Shared, job_options
from rivetkit.cli.output import emit
from rivetkit.cli.param_types import FILE
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.calculators.blank import Box, Side
    from rivetkit.job.model import Job
    from rivetkit.reports.lookups.blank_report import SkinBlank
    from rivetkit.rules import RuleBook

_EXAMPLES = """\b
Examples:
  $ rivetkit blank examples/elevator.toml --sheet "upper skin" --grain width
  $ rivetkit blank --width 30 --height 22.5 --margin 5/16
"""


@click.command("blank", epilog=_EXAMPLES)
@click.argument("job_file", metavar="[JOB.toml]", required=False, type=FILE)
@click.option("--sheet", metavar="NAME", help="One layer of the job; every new sheet if left out.")
@click.option("--width", metavar="W", help="Width of the finished skin, without a job.")
@click.option("--height", metavar="H", help="Height of the finished skin, without a job.")
@click.option(
    "--margin",
    metavar="E",
    help="Outermost rivet lines to the finished edges; nought when not given, to be safe.",
)
@click.option("--trim", metavar="T", help="To be trimmed off outside the finished outline.")
@click.option(
    "--grain", type=click.Choice(["width", "height"]), help="Side that the grain has to run along."
)
@job_options
def blank(
    *,
    job_file: str | None,
    sheet: str | None,
    width: str | None,
    height: str | None,
    margin: str | None,
    trim: str | None,
    grain: Side | None,
    shared: Shared,
) -> int:
    """Size the blank of a new skin, and find stock sheet for it.

    JOB.toml tells holes and outline; - reads it from standard input. Without a job give --width
    and --height, in inches unless --units mm is given. Width is along x, height along y.
    """
    from rivetkit.calculators.blank import check_stock
    from rivetkit.cli.planned import job_of
    from rivetkit.reports.lookups.blank_report import blank_report

    if job_file is None:
        if sheet is not None:
            raise InputError("there is no job", where="--sheet", mend="name the job file too")
        shared.follow_jobs(())
        trim_in = _trim_in(trim, shared)
        box, holes = _typed_boxes(width, height, margin, shared)
        skins = [_skin("skin", "", None, holes, box, shared.rule_book(), trim_in, grain)]
    else:
        for text, option in ((width, "--width"), (height, "--height"), (margin, "--margin")):
            if text is not None:
                raise InputError(
                    "the job tells the size", where=option, mend="leave it or the job file out"
                )
        job = job_of(job_file, shared)
        skins = _job_skins(job, sheet, _trim_in(trim, shared), grain)
    checks = tuple(check_stock(skin.fits, where=skin.name) for skin in skins)
    inputs = {
        "job_file": job_file,
        "sheet": sheet,
        "width": width,
        "height": height,
        "margin": margin,
        "trim": trim,
        "grain": grain,
        **shared.described(),
    }
    return emit(blank_report(skins, checks, inputs=inputs, length_unit=shared.units), shared)


def _typed_boxes(
    width: str | None, height: str | None, margin: str | None, shared: Shared
) -> tuple[Box, Box]:
    from rivetkit.calculators.blank import Box

    if width is None or height is None:
        raise InputError("no size is given", mend="name a job file, or give --width and --height")
    width_in = shared.length_in(width, "--width")
    height_in = shared.length_in(height, "--height")
    margin_in = shared.optional_length_in(margin, "--margin", allow_zero=True) or 0.0
    if 2.0 * margin_in >= min(width_in, height_in):
        raise InputError(
            f"'{margin}' leaves no room for rivets", where="--margin", mend="measure again"
        )
    inside = (margin_in, margin_in, width_in - margin_in, height_in - margin_in)
    return Box(0.0, 0.0, width_in, height_in), Box(*inside)


def _trim_in(trim: str | None, shared: Shared) -> float:
    return shared.optional_length_in(trim, "--trim", allow_zero=True) or 0.0


def _job_skins(job: Job, sheet: str | None, trim_in: float, grain: Side | None) -> list[SkinBlank]:
    from rivetkit.planning.blanks import new_skins
    from rivetkit.rules import RuleBook

    book = RuleBook.named(job.rule_set, job.overrides)
    return [
        _skin(
            skin.name,
            skin.state.alloy if skin.state else "",
            skin.state.thickness_in if skin.state else None,
            skin.holes,
            skin.outline,
            book,
            trim_in,
            grain,
        )
        for skin in new_skins(job, sheet)
    ]


def _skin(
    name: str,
    material: str,
    thickness_in: float | None,
    holes: Box | None,
    outline: Box | None,
    book: RuleBook,
    trim_in: float,
    grain: Side | None,
) -> SkinBlank:
    from rivetkit.calculators.blank import size_blank, stock_fits
    from rivetkit.reports.lookups.blank_report import SkinBlank

    sized = size_blank(book, holes=holes, outline=outline, trim_in=trim_in)
    fits = stock_fits(sized, grain=grain)
    return SkinBlank(name, material, thickness_in, holes, outline, sized, fits)
