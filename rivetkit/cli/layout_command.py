"""``rivetkit layout`` lays out a row of rivets."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.row_layout.demands import Hit, KeepClear

_EXAMPLES = """\b
Examples:
  $ rivetkit layout MS20470AD4 --length 24 --end .375 --pitch 3/4
  $ rivetkit layout MS20470AD4 --length 24 --hit 3.1 --hit 9.3 --clear-of 12:5/16
  $ rivetkit layout MS20470AD4 --length 18 --rows 2 --at-least 40 --layer skin --layer doubler
  $ rivetkit layout MS20426AD3 --length 6 --hit 2.0 --hit 2.2        # exits 1
"""


@click.command("layout", epilog=_EXAMPLES)
@click.argument("part")
@click.option("--length", metavar="L", required=True, help="The part along the row, end to end.")
@click.option("--end", metavar="E", help="First and last hole to the part's ends; the least edge.")
@click.option("--start-end", metavar="E", help="The first hole to its end, where it differs.")
@click.option("--far-end", metavar="E", help="The last hole to its end, where it differs.")
@click.option("--pitch", metavar="P", help="Pitch to come nearest to; the middle of the usual.")
@click.option("--pitch-min", metavar="P", help="Least pitch, in place of the rule's.")
@click.option("--pitch-max", metavar="P", help="Greatest pitch, in place of the rule's.")
@click.option("--hit", "hits", metavar="X", multiple=True, help="A hole must be at X. Repeatable.")
@click.option(
    "--cover",
    "covers",
    metavar="X:T",
    multiple=True,
    help="A hole must be within T of X, to hide a damaged spot. Repeatable.",
)
@click.option(
    "--clear",
    "clears",
    metavar="FROM:TO",
    multiple=True,
    help="No hole centre between FROM and TO. Repeatable.",
)
@click.option(
    "--clear-of",
    "clears_of",
    metavar="X:R",
    multiple=True,
    help="No hole centre nearer than R to X, a rib or a nutplate. Repeatable.",
)
@click.option(
    "--break", "breaks", metavar="X", multiple=True, help="The pitch may change at X. Repeatable."
)
@click.option(
    "--at-least",
    type=click.IntRange(2, 100_000),
    default=2,
    metavar="N",
    help="Rivets that strength asks for, all rows together.",
)
@click.option("--rows", type=click.IntRange(1, 3), default=1, show_default=True, help="Rows.")
@click.option(
    "--pattern",
    type=click.Choice(["staggered", "chain"]),
    help="Of several rows: second row in the spaces of the first (when not given), or abreast.",
)
@click.option("--row-spacing", metavar="S", help="Row to row; 75 percent of the pitch, not under "
              "the least.")  # fmt: skip
@click.option("--layer", "layers", metavar="NAME", multiple=True, help="Layer, for the job file.")
@click.option("--name", default="new row", show_default=True, help="Row name, for the job file.")
@click.option("--at", metavar="X,Y", help="Where the part's start is, in the job's coordinates.")
@click.option("--angle", type=float, default=0.0, metavar="DEG", help="Direction of the row there.")
@rule_options
def layout(
    *,
    part: str,
    length: str,
    end: str | None,
    start_end: str | None,
    far_end: str | None,
    pitch: str | None,
    pitch_min: str | None,
    pitch_max: str | None,
    hits: tuple[str, ...],
    covers: tuple[str, ...],
    clears: tuple[str, ...],
    clears_of: tuple[str, ...],
    breaks: tuple[str, ...],
    at_least: int,
    rows: int,
    pattern: str | None,
    row_spacing: str | None,
    layers: tuple[str, ...],
    name: str,
    at: str | None,
    angle: float,
    shared: Shared,
) -> int:
    """Lay out a row of rivets, or a seam of two or three.

    Places X are running dimensions from the part's start. The row is made of even stretches; the
    pitch changes only at a hole that must be hit, at the edge of a place kept clear or at a
    --break. Best is: fewest spaces outside the usual pitches, then fewest different pitches, then
    nearest to the wished pitch, then fewest rivets.
    """
    from rivetkit.calculators.row_layout.answer import lay_out_seam
    from rivetkit.calculators.row_layout.places import TAPE_STEP_IN
    from rivetkit.calculators.row_layout.seam import demands_for
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.reports.layout.report import layout_report

    fastener = parse_part_number(part)
    book = shared.rule_book()
    _require_rows(rows, pattern, row_spacing)

    def given(text: str | None, option: str) -> float | None:
        return shared.optional_length_in(text, option)

    both_in = given(end, "--end")
    start_in, far_in = given(start_end, "--start-end"), given(far_end, "--far-end")
    demands = demands_for(
        fastener,
        book,
        length_in=shared.length_in(length, "--length"),
        start_end_in=both_in if start_in is None else start_in,
        far_end_in=both_in if far_in is None else far_in,
        pitch_min_in=given(pitch_min, "--pitch-min"),
        pitch_max_in=given(pitch_max, "--pitch-max"),
        wished_pitch_in=given(pitch, "--pitch"),
        hits=_hits(hits, covers, shared),
        clears=_clears(clears, clears_of, shared),
        breaks_in=[shared.length_in(text, "--break") for text in breaks],
        at_least=at_least,
        rows=rows,
        pattern="chain" if rows == 1 or pattern == "chain" else "staggered",
    )
    answer = lay_out_seam(
        demands,
        fastener=fastener,
        book=book,
        row_spacing_in=given(row_spacing, "--row-spacing"),
        at_in=_point(at, shared),
        angle_deg=angle,
        tape_step_in=TAPE_STEP_IN[shared.units],
    )
    inputs = {
        "part": part,
        "length": length,
        "end": end,
        "start_end": start_end,
        "far_end": far_end,
        "pitch": pitch,
        "pitch_min": pitch_min,
        "pitch_max": pitch_max,
        "hit": list(hits),
        "cover": list(covers),
        "clear": list(clears),
        "clear_of": list(clears_of),
        "break": list(breaks),
        "at_least": at_least,
        "rows": rows,
        "pattern": pattern,
        "row_spacing": row_spacing,
        "layers": list(layers),
        "name": name,
        "at": at,
        "angle_deg": angle,
        **shared.described(),
    }
    report = layout_report(
        answer, book=book, layers=layers, name=name, inputs=inputs, length_unit=shared.units
    )
    return emit(report, shared)


def _require_rows(rows: int, pattern: str | None, row_spacing: str | None) -> None:
    for value, option in ((pattern, "--pattern"), (row_spacing, "--row-spacing")):
        if value is not None and rows == 1:
            raise InputError("there is one row", where=option, mend="give --rows 2 or 3 with it")


def _hits(hits: Sequence[str], covers: Sequence[str], shared: Shared) -> list[Hit]:
    from rivetkit.calculators.row_layout.demands import Hit

    found = [Hit(shared.length_in(text, "--hit")) for text in hits]
    for text in covers:
        at, within = _pair(text, "--cover", "X:T, the spot and how near a hole must come: 7.3:.04")
        found.append(
            Hit(
                shared.length_in(at, f"--cover {text}"),
                shared.length_in(within, f"--cover {text}", allow_zero=True),
            )
        )
    return found


def _clears(clears: Sequence[str], clears_of: Sequence[str], shared: Shared) -> list[KeepClear]:
    from rivetkit.calculators.row_layout.demands import KeepClear

    found = []
    for text in clears:
        start, stop = _pair(text, "--clear", "FROM:TO, two running dimensions: 11.5:12.5")
        found.append(
            KeepClear(
                shared.length_in(start, f"--clear {text}", allow_zero=True),
                shared.length_in(stop, f"--clear {text}"),
            )
        )
    for text in clears_of:
        at, reach = _pair(text, "--clear-of", "X:R, a place and a clearance: 12:5/16")
        at_in = shared.length_in(at, f"--clear-of {text}")
        reach_in = shared.length_in(reach, f"--clear-of {text}")
        found.append(KeepClear(at_in - reach_in, at_in + reach_in))
    return found


def _pair(text: str, option: str, how: str) -> tuple[str, str]:
    one, colon, other = (piece.strip() for piece in text.partition(":"))
    if not (one and colon and other):
        raise InputError(f"'{text}' is no pair", where=option, mend=f"write {how}")
    return one, other


def _point(text: str | None, shared: Shared) -> tuple[float, float]:
    from rivetkit.quantities import parse_length_in

    if text is None:
        return (0.0, 0.0)
    pieces = text.split(",")
    if len(pieces) != 2:  # noqa: PLR2004 - x and y
        raise InputError(f"'{text}' is no point", where="--at", mend="write X,Y: 12.5,3.25")
    x_in, y_in = (
        parse_length_in(
            piece, default_unit=shared.units, what="--at", allow_zero=True, allow_negative=True
        )
        for piece in pieces
    )
    return (x_in, y_in)
