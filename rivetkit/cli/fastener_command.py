"""``rivetkit fastener``: a part number read out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Shared, rule_set_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError, OutOfTableError

if TYPE_CHECKING:
    from rivetkit.calculators.strength.rivet_shear import RivetShear
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.reports.lookups.fastener_report import KnownRivet
    from rivetkit.rules import RuleBook

_EXAMPLES = """\b
Examples:
  $ rivetkit fastener MS20470AD4-5
  $ rivetkit fastener AN426AD3-3.5 --units mm
"""


@click.command("fastener", epilog=_EXAMPLES)
@click.argument("part")
@rule_set_options
def fastener(*, part: str, shared: Shared) -> int:
    """Read a part number out: head, material, size, hole, strength.

    PART is a rivet such as MS20470AD4-5 (the length may be left out). For a
    nutplate see rivetkit nutplate.
    """
    from rivetkit.fasteners.catalogue import nutplates
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.reports.lookups.fastener_report import fastener_report

    inputs = {"part": part, **shared.described()}
    book = shared.rule_book()
    spelled = "".join(part.split()).upper()
    if any(spelled.startswith(plate.standard) for plate in nutplates()):
        raise InputError(
            f"'{part}' is a nutplate", where="fastener", mend=f"ask: rivetkit nutplate {spelled}"
        )
    known = _known(parse_part_number(part), book)
    report = fastener_report(known, inputs=inputs, length_unit=shared.units)
    return emit(report, shared)


def _known(rivet: Fastener, book: RuleBook) -> KnownRivet:
    from rivetkit.calculators.lengths.head_volume import shop_head_limits
    from rivetkit.calculators.mass import rivet_mass_lb
    from rivetkit.fasteners import catalogue
    from rivetkit.fasteners.grammar import standards
    from rivetkit.fasteners.part_number import canonical_designation, stock_lengths_in
    from rivetkit.reports.lookups.fastener_report import KnownRivet

    standard = standards()[rivet.standard]
    try:
        hole: catalogue.RivetHole | str = catalogue.rivet_hole(rivet, book)
    except OutOfTableError as error:
        hole = error.what
    sizes: tuple[catalogue.Property, ...] = ("shank_diameter", "head_diameter", "head_height")
    dimensions = {name: catalogue.dimension(rivet, name) for name in sizes}
    return KnownRivet(
        fastener=rivet,
        canonical=canonical_designation(rivet),
        title=standard.title,
        citation=standard.citation,
        material=catalogue.material(rivet),
        head_marks=catalogue.head_marks(rivet),
        handling=catalogue.handling(rivet),
        dimensions={name: size for name, size in dimensions.items() if size is not None},
        hole=hole,
        shear_load=catalogue.shear_load(rivet),
        blind_strength=catalogue.blind_strength(rivet),
        stock_grips=catalogue.stock_grips(rivet),
        stock_lengths_in=() if rivet.blind else stock_lengths_in(rivet),
        shop_head=None if rivet.blind else shop_head_limits(rivet, book),
        mass=rivet_mass_lb(rivet),
        computed_shear=_computed_shear(rivet, book),
    )


def _computed_shear(rivet: Fastener, book: RuleBook) -> RivetShear | None:
    """Return the shear by stress and hole, None where a table prints it or neither is on file."""
    from rivetkit.calculators.strength.rivet_shear import credited_hole, solid_shear
    from rivetkit.fasteners.catalogue import shear_load

    if rivet.blind or shear_load(rivet) is not None:
        return None
    try:
        shear = solid_shear(rivet, book, hole=credited_hole(rivet, book))
    except OutOfTableError:
        return None
    return shear if shear.load_lbf is not None else None
