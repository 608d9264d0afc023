"""``rivetkit grip``: what length goes back."""

from __future__ import annotations

from typing import TYPE_CHECKING, get_args

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.calculators.grip import Layer

_EXAMPLES = """\b
Examples:
  $ rivetkit grip MS20470AD4 .032 .040
  $ rivetkit grip MS20426AD3 skin=.025:dimpled rib=.032:dimpled --sealant .005
  $ rivetkit grip MS20426AD4 .063:countersunk .040 --whole-lengths
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
    """
    from rivetkit.calculators.countersink import check_formed_layers
    from rivetkit.calculators.grip import GripResult, choose_length
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.reports.grip_report import blind_report, solid_report

    rivet = parse_part_number(family)
    book = shared.rule_book()
    stack = [_layer(text, number, shared) for number, text in enumerate(layers, 1)]
    sealant_in = shared.optional_length_in(sealant, "--sealant", allow_zero=True) or 0.0
    result = choose_length(
        rivet, stack, book, sealant_in=sealant_in, half_lengths=not whole_lengths
    )
    formed = check_formed_layers(stack, fastener=rivet, book=book)
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
            sealant_in=sealant_in,
            named=rivet,
            inputs=inputs,
            length_unit=unit,
        )
    return emit(report, shared)


def _layer(text: str, number: int, shared: Shared) -> Layer:
    from rivetkit.calculators.grip import Form, Layer
    from rivetkit.job.fields import nearest_word

    where = f"layer {number} '{text}'"
    name, equals, rest = text.partition("=")
    if not equals:
        name, rest = f"layer {number}", text
    thickness, colon, form = (piece.strip() for piece in rest.partition(":"))
    forms: tuple[Form, ...] = get_args(Form)
    chosen = next((known for known in forms if known == (form if colon else "plain")), None)
    if chosen is None:
        raise InputError(
            f"'{form}' is nothing done to a layer",
            where=where,
            mend=nearest_word(form, forms) or f"write {', '.join(forms)}",
        )
    try:
        thickness_in = shared.thickness_in(thickness, "thickness")
    except InputError as error:
        raise error.at(where) from None
    return Layer(name.strip() or f"layer {number}", thickness_in, chosen)
