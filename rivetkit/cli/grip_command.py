"""``rivetkit grip``: what length goes back."""

from __future__ import annotations

import click

from rivetkit.cli.layer_texts import read_layer
from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit

_EXAMPLES = """\b
Examples:
  $ rivetkit grip MS20470AD4 .032 .040
  $ rivetkit grip MS20426AD3 skin=.025:dimpled rib=.032:dimpled --sealant .005
  $ rivetkit grip MS20426AD4 .063:countersunk .040 --whole-lengths
  $ rivetkit grip MS20470AD4 .032:2024-T3 bracket=.050:4130
  $ rivetkit grip ISO15981-4-AlA/AlA 0.8 1.0 --units mm
"""


@click.command("grip", epilog=_EXAMPLES)
@click.argument("family")
@click.argument("layers", nargs=-1, required=True, metavar="LAYER...")
@click.option("--sealant", metavar="T", help="Thickness of all sealant between the layers.")
@click.option("--whole-lengths", is_flag=True, help="Leave the half lengths out.")
@rule_options
def grip(
    *,
    family: str,
    layers: tuple[str, ...],
    sealant: str | None,
    whole_lengths: bool,
    shared: Shared,
) -> int:
    """Find the rivet length for a stack of sheets.

    FAMILY is a part number without its length, such as MS20470AD4. Give each LAYER from the
    manufactured head on: .032, .032:dimpled, .040:countersunk, or with a name skin=.032:dimpled.
    With its alloy after the thickness, skin=.032:2024-T3:dimpled, metals that must not touch bare
    are told as well.
    """
    from rivetkit.calculators.countersink import check_formed_layers
    from rivetkit.calculators.lengths.grip import GripResult, Layer, choose_length
    from rivetkit.calculators.metal_contact import review_metals
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.reports.lookups.grip_report import blind_report, solid_report

    rivet = parse_part_number(family)
    book = shared.rule_book()
    told = [read_layer(text, number, shared) for number, text in enumerate(layers, 1)]
    stack = [Layer(one.name, one.thickness_in, one.form, one.alloy) for one in told]
    sealant_in = shared.optional_length_in(sealant, "--sealant", allow_zero=True) or 0.0
    result = choose_length(
        rivet, stack, book, sealant_in=sealant_in, half_lengths=not whole_lengths
    )
    formed = check_formed_layers(stack, fastener=rivet, book=book)
    metals = review_metals(rivet, stack)
    inputs = {
        "family": family,
        "layers": list(layers),
        "sealant": sealant,
        "whole_lengths": whole_lengths,
        **shared.described(),
    }
    unit = shared.units
    if isinstance(result, GripResult):
        report = solid_report(
            result,
            stack,
            formed=formed,
            metals=metals,
            sealant_in=sealant_in,
            named=rivet,
            inputs=inputs,
            length_unit=unit,
        )
    else:
        report = blind_report(
            result,
            stack,
            formed=formed,
            metals=metals,
            sealant_in=sealant_in,
            named=rivet,
            inputs=inputs,
            length_unit=unit,
        )
    return emit(report, shared)
