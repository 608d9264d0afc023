"""``rivetkit expansion`` tells how far heat moves parts against each other."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import click

from rivetkit.cli.hole_sizes import optional_hole_in
from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError, RivetkitError

if TYPE_CHECKING:
    from rivetkit.calculators.heat.answer import HeatQuestion, Held

_EXAMPLES = """\b
Examples:
  $ rivetkit expansion acrylic --length 36 --from 68F --to 120F --against 2024-T3
  $ rivetkit expansion "acrylic cast" --length 30 --from 70F --to 0F --held middle --against 2024
  $ rivetkit expansion 2024 --length 24 --from 95F --to 5F --fastener 1/8 --hole '#30'  # exits 1
  $ rivetkit expansion acrylic --length 24 --from 70F --gap 1/16 --against 6061-T6
  $ rivetkit expansion                               (every coefficient on file)
"""


@click.command("expansion", epilog=_EXAMPLES)
@click.argument("material", required=False)
@click.option("--length", metavar="L", help="Length of the part.")
@click.option("--from", "start", metavar="T", help="Temperature the parts match at: 68F or 20C.")
@click.option(
    "--to", "ends", metavar="T", multiple=True, help="Temperature asked about. Repeatable."
)
@click.option(
    "--against", metavar="MATERIAL", multiple=True, help="What the part is held to. Repeatable."
)
@click.option(
    "--held",
    type=click.Choice(["end", "middle"]),
    default="end",
    show_default=True,
    help="Where the two are held together; from the middle half the length moves either way.",
)
@click.option("--fastener", metavar="D", help="Shank in the hole at the free end.")
@click.option("--hole", metavar="D", help="That hole, or its drill.")
@click.option("--gap", metavar="G", help="Room at the free end at --from: when is it just closed?")
@click.option(
    "--off-by",
    metavar="X",
    help="How much too long the part is at --from, or -X too short: when did it match?",
)
@rule_options
def expansion(
    *,
    material: str | None,
    length: str | None,
    start: str | None,
    ends: tuple[str, ...],
    against: tuple[str, ...],
    held: str,
    fastener: str | None,
    hole: str | None,
    gap: str | None,
    off_by: str | None,
    shared: Shared,
) -> int:
    """Tell how far heat moves parts against each other.

    MATERIAL is an alloy such as 2024-T3, or acrylic, polycarbonate, 4130, 304 and others; a grade
    may follow, as in "acrylic cast". Left out, every coefficient on file is shown. Where documents
    differ, the pair with the larger difference is taken, and the report says so.
    """
    from rivetkit.calculators.heat.answer import answer_heat
    from rivetkit.reports.lookups.expansion_report import coefficients_report, expansion_report

    book = shared.rule_book()
    inputs = {
        "material": material,
        "length": length,
        "from": start,
        "to": list(ends),
        "against": list(against),
        "held": held,
        "fastener": fastener,
        "hole": hole,
        "gap": gap,
        "off_by": off_by,
        **shared.described(),
    }
    if material is None:
        given = [length, start, *ends, *against, fastener, hole, gap, off_by]
        if any(text is not None for text in given):
            raise InputError("no material is named", where="MATERIAL", mend="name the part's")
        return emit(coefficients_report(inputs=inputs, length_unit=shared.units), shared)
    question = _question(
        shared,
        material=material,
        length=length,
        start=start,
        ends=ends,
        against=against,
        held=held,
        fastener=fastener,
        hole=hole,
        gap=gap,
        off_by=off_by,
    )
    report = expansion_report(answer_heat(question, book), inputs=inputs, length_unit=shared.units)
    return emit(report, shared)


def _question(
    shared: Shared,
    *,
    material: str,
    length: str | None,
    start: str | None,
    ends: tuple[str, ...],
    against: tuple[str, ...],
    held: str,
    fastener: str | None,
    hole: str | None,
    gap: str | None,
    off_by: str | None,
) -> HeatQuestion:
    from rivetkit.calculators.heat.answer import HeatQuestion
    from rivetkit.calculators.heat.coefficients import expansion_rows
    from rivetkit.quantities import parse_length_in, parse_temperature_degf

    _require(length, "--length", "give the part's length")
    _require(start, "--from", "give the temperature the parts match at, such as 68F")
    if not ends and gap is None and off_by is None:
        _require(None, "--to", "give the temperature asked about, such as 120F; or --gap, --off-by")
    if hole is not None:
        _require(fastener, "--fastener", "give the shank that goes into --hole")
    for name, option in ((material, "MATERIAL"), *((name, "--against") for name in against)):
        try:
            expansion_rows(name)
        except RivetkitError as error:
            raise error.at(option) from None
    off_by_in = None
    if off_by is not None:
        off_by_in = parse_length_in(
            off_by,
            default_unit=shared.units,
            what="--off-by",
            allow_zero=True,
            allow_negative=True,
        )
    return HeatQuestion(
        material=material,
        against=against,
        length_in=shared.length_in(length or "", "--length"),
        held=cast("Held", held),
        from_degf=parse_temperature_degf(start, what="--from"),
        to_degf=tuple(parse_temperature_degf(text, what="--to") for text in ends),
        hole_in=optional_hole_in(shared, hole, "--hole"),
        fastener_in=shared.optional_length_in(fastener, "--fastener"),
        gap_in=shared.optional_length_in(gap, "--gap", allow_zero=True),
        off_by_in=off_by_in,
    )


def _require(text: str | None, option: str, mend: str) -> None:
    if text is None:
        raise InputError("is not given", where=option, mend=mend)
