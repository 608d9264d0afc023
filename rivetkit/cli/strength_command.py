"""``rivetkit strength``: what one rivet's joint carries, and what gives way first."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rivetkit.cli.layer_texts import read_layer
from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.strength.joint_strength import StrengthLayer
    from rivetkit.calculators.strength.strength_review import Compression

_EXAMPLES = """\b
Examples:
  $ rivetkit strength MS20470AD4 .032:2024-T3 .040:2024-T3 --edge 1/4
  $ rivetkit strength MS20470AD4 "skin=.032:2024-T3 clad" rib=.040:2024-T3 --edge .25 --pitch 1
  $ rivetkit strength MS20426AD3 .032:2024-T3:dimpled .040:2024-T3:dimpled --load 200
  $ rivetkit strength MS20470AD4 .063:6061-T6 .063:6061-T6 --edge .18   # exits 1: edge too near
"""


@click.command("strength", epilog=_EXAMPLES)
@click.argument("part")
@click.argument("layers", nargs=-1, required=True, metavar="LAYER...")
@click.option("--edge", metavar="E", help="Rivet centre to the nearest edge, in every layer.")
@click.option(
    "--edge-in-layer",
    "layer_edges",
    metavar="NAME=E",
    multiple=True,
    help="The same in one layer, e.g. rib=.25. Repeatable; goes before --edge.",
)
@click.option("--hole", metavar="D", help="The hole as drilled; the usual one when not given.")
@click.option("--double-shear", is_flag=True, help="The middle one of three layers pulls.")
@click.option("--load", metavar="P", help="Ultimate load on one rivet: 300, 300 lbf or 1.3 kN.")
@click.option("--pitch", metavar="P", help="Rivet to rivet in a row, to check the sheet between.")
@click.option(
    "--rows", type=click.IntRange(1, 99), default=1, show_default=True, help="Rows in the seam."
)
@click.option(
    "--compression",
    metavar="STRESS",
    help="Check for buckling between the rivets: a stress such as 20 ksi, or 'yield' for the "
    "sheet's own.",
)
@rule_options
def strength(
    *,
    part: str,
    layers: tuple[str, ...],
    edge: str | None,
    layer_edges: tuple[str, ...],
    hole: str | None,
    double_shear: bool,
    load: str | None,
    pitch: str | None,
    rows: int,
    compression: str | None,
    shared: Shared,
) -> int:
    """Work out the ultimate strength of one rivet's joint.

    PART is a part number; its length does not matter. Give each LAYER from the manufactured head
    on as thickness:alloy, with a name and the form of the hole where they matter:
    skin=.032:2024-T3:dimpled.
    """
    from rivetkit.calculators.strength.strength_review import review_strength
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.quantities import parse_force_lbf
    from rivetkit.reports.lookups.strength_report import strength_report

    fastener = parse_part_number(part)
    review = review_strength(
        fastener,
        _layers(layers, edge, layer_edges, shared),
        shared.rule_book(),
        hole_in=shared.optional_length_in(hole, "--hole"),
        shear_planes=2 if double_shear else 1,
        load_lbf=None if load is None else parse_force_lbf(load, what="--load"),
        pitch_in=shared.optional_length_in(pitch, "--pitch"),
        rows=rows,
        compression=_compression(compression, pitch),
    )
    inputs = {
        "part": part,
        "layers": list(layers),
        "edge": edge,
        "edge_in_layer": list(layer_edges),
        "hole": hole,
        "double_shear": double_shear,
        "load": load,
        "pitch": pitch,
        "rows": rows,
        "compression": compression,
        **shared.described(),
    }
    return emit(strength_report(review, inputs=inputs, length_unit=shared.units), shared)


def _layers(
    texts: Sequence[str], edge: str | None, layer_edges: Sequence[str], shared: Shared
) -> list[StrengthLayer]:
    from rivetkit.calculators.strength.joint_strength import StrengthLayer

    common_in = shared.optional_length_in(edge, "--edge", allow_zero=True)
    edges_in = _layer_edges(layer_edges, shared)
    found: list[StrengthLayer] = []
    for number, text in enumerate(texts, 1):
        told = read_layer(text, number, shared)
        edge_in = edges_in.get(told.name, common_in)
        layer = StrengthLayer(told.name, told.alloy, told.thickness_in, edge_in, told.form)
        if layer.name in {known.name for known in found}:
            raise InputError(
                f"two layers are called '{layer.name}'",
                where=f"layer {number} '{text}'",
                mend="give each a name of its own",
            )
        found.append(layer)
    unknown = set(edges_in) - {layer.name for layer in found}
    if unknown:
        raise InputError(
            f"no layer is called '{min(unknown)}'",
            where="--edge-in-layer",
            mend=f"layers are {', '.join(layer.name for layer in found)}",
        )
    return found


def _layer_edges(texts: Sequence[str], shared: Shared) -> dict[str, float]:
    edges_in: dict[str, float] = {}
    for text in texts:
        name, equals, size = (piece.strip() for piece in text.partition("="))
        if not (name and equals and size):
            raise InputError(
                f"'{text}' is not NAME=E",
                where="--edge-in-layer",
                mend="write the layer, = and its edge distance: rib=.25",
            )
        if name in edges_in:
            raise InputError(
                f"layer '{name}' is given twice",
                where="--edge-in-layer",
                mend="give each layer's nearest edge once",
            )
        edges_in[name] = shared.length_in(size, f"--edge-in-layer {name}", allow_zero=True)
    return edges_in


def _compression(text: str | None, pitch: str | None) -> Compression | None:
    from rivetkit.calculators.strength.strength_review import Compression
    from rivetkit.quantities import parse_stress_ksi

    if text is None:
        return None
    if pitch is None:
        raise InputError(
            "buckling between rivets needs their pitch", where="--compression", mend="add --pitch"
        )
    if text.strip().lower() == "yield":
        return Compression()
    return Compression(parse_stress_ksi(text, what="--compression"))
