"""``rivetkit drill-out``: how to take a rivet out."""

from __future__ import annotations

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

_EXAMPLES = """\b
Examples:
  $ rivetkit drill-out MS20470AD4-5 --sheet .032 --stack .072
  $ rivetkit drill-out MS20426AD3 --sheet .025 --stack .057 --dimpled
  $ rivetkit drill-out MS20426AD4 --sheet 1.6 --stack 2.6 --countersunk --units mm
  $ rivetkit drill-out MS20426AD3 --stack .064 --dimpled --nutplate
"""


@click.command("drill-out", epilog=_EXAMPLES)
@click.argument("part")
@click.option("--sheet", metavar="T", help="Thickness of the sheet under the head.")
@click.option("--stack", metavar="T", help="Thickness of all the layers together.")
@click.option("--dimpled", is_flag=True, help="The flush head sits in a dimple.")
@click.option("--countersunk", is_flag=True, help="The flush head sits in a machine countersink.")
@click.option("--hole", metavar="D", help="The hole, where you have measured it.")
@click.option("--nutplate", is_flag=True, help="The rivet holds a nutplate.")
@rule_options
def drill_out(
    *,
    part: str,
    sheet: str | None,
    stack: str | None,
    dimpled: bool,
    countersunk: bool,
    hole: str | None,
    nutplate: bool,
    shared: Shared,
) -> int:
    """Show how to take a rivet out without opening its hole.

    PART is a part number such as MS20470AD4-5; its length does not matter.
    """
    from rivetkit.calculators.removal.drill_out import drill_out as removal_card
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.reports.lookups.drill_out_report import drill_out_report

    if dimpled and countersunk:
        raise InputError(
            "--dimpled and --countersunk exclude each other", mend="say how the head sits"
        )
    rivet = parse_part_number(part)
    if rivet.flush and not (rivet.blind or dimpled or countersunk):
        raise InputError(
            f"'{rivet.designation}' is flush, and how its head sits was not given",
            mend="add --countersunk or --dimpled",
        )
    card = removal_card(
        rivet,
        shared.rule_book(),
        near_sheet_in=shared.optional_length_in(sheet, "--sheet"),
        stack_in=shared.optional_length_in(stack, "--stack"),
        form="dimpled" if dimpled else "countersunk" if countersunk else None,
        hole_in=shared.optional_length_in(hole, "--hole"),
        nutplate=nutplate,
    )
    inputs = {
        "part": part,
        "sheet": sheet,
        "stack": stack,
        "dimpled": dimpled,
        "countersunk": countersunk,
        "hole": hole,
        "nutplate": nutplate,
        **shared.described(),
    }
    report = drill_out_report(card, inputs=inputs, length_unit=shared.units)
    return emit(report, shared)
