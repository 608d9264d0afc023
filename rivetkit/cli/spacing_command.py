"""``rivetkit spacing`` checks that a rivet is where it may be."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from rivetkit.cli.layer_texts import alloy_and_form
from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.calculators.spacing import LayerEdge
    from rivetkit.calculators.stack import Layer
    from rivetkit.checks import Check
    from rivetkit.rules import Rule, RuleBook

_EXAMPLES = """\b
Examples:
  $ rivetkit spacing MS20470AD4-5 --edge 1/4 --pitch 1.0
  $ rivetkit spacing MS20426AD3 --edge-in-layer skin=.25 --edge-in-layer rib=.20   # exits 1
  $ rivetkit spacing MS20426AD3 --edge 1.0 --inner
  $ rivetkit spacing MS20470AD4 --pitch .75 --row-spacing .4 --rows 2 --sheet .032 --sheet .040
"""


@click.command("spacing", epilog=_EXAMPLES)
@click.argument("part")
@click.option("--edge", metavar="E", help="Rivet centre to the nearest edge.")
@click.option(
    "--edge-in-layer",
    "layer_edges",
    metavar="NAME=E",
    multiple=True,
    help="The same in one layer, e.g. rib=.25; rib=? when you cannot see it. Repeatable.",
)
@click.option("--pitch", metavar="P", help="Rivet to rivet in a row.")
@click.option("--row-spacing", metavar="S", help="Row to row.")
@click.option(
    "--rows", type=click.IntRange(1, 99), default=1, show_default=True, help="Rows in the seam."
)
@click.option(
    "--sheet",
    "sheets",
    metavar="[NAME=]T[:ALLOY]",
    multiple=True,
    help="A sheet's thickness, and its alloy where you know it: .032, skin=.032 or "
    "skin=.032:2024-T3. Repeatable.",
)
@click.option(
    "--countersunk-sheet", metavar="T", help="Thickness of the sheet that is machine countersunk."
)
@click.option(
    "--inner",
    is_flag=True,
    help="The hole stands inside the sheet and need not hold its edge down: leave the greatest "
    "edge distance out.",
)
@click.option(
    "--accuracy",
    metavar="A",
    help="How far off measured distances may be; a sheet counts as the gauge it is told as.",
)
@rule_options
def spacing(
    *,
    part: str,
    edge: str | None,
    layer_edges: tuple[str, ...],
    pitch: str | None,
    row_spacing: str | None,
    rows: int,
    sheets: tuple[str, ...],
    countersunk_sheet: str | None,
    inner: bool,
    accuracy: str | None,
    shared: Shared,
) -> int:
    """Check edge distance, pitch and row spacing of a rivet.

    PART is a part number such as MS20470AD4-5; its length does not matter.
    """
    from rivetkit.calculators.metal_contact import review_metals
    from rivetkit.calculators.spacing import edge_margin, spacing_checks
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.reports.lookups.spacing_report import spacing_report

    fastener = parse_part_number(part)
    book = shared.rule_book()
    known = _sheets(sheets, shared)
    named = [sheet.name for sheet in known if sheet.name]
    edges = _with_unknown(_edges(edge, layer_edges, shared), named)
    metals = review_metals(fastener, _all_named(known))
    accuracy_in = shared.accuracy_in(accuracy, "--accuracy")
    checks = spacing_checks(
        fastener,
        book,
        edges=edges,
        pitch_in=shared.optional_length_in(pitch, "--pitch"),
        row_spacing_in=shared.optional_length_in(row_spacing, "--row-spacing"),
        rows=rows,
        sheets_in=[sheet.thickness_in for sheet in known],
        countersunk_sheet_in=shared.optional_length_in(countersunk_sheet, "--countersunk-sheet"),
        accuracy_in=accuracy_in,
        inner=inner,
    )
    margins = [
        None if e.edge_in is None else edge_margin(e.edge_in, fastener.diameter_in) for e in edges
    ]
    report = spacing_report(
        fastener,
        (*checks, *metals.checks),
        metals=metals,
        edges=list(zip(edges, margins, strict=True)),
        others=_others(checks, book),
        accuracy_in=accuracy_in,
        inputs={
            "part": part,
            "edge": edge,
            "edge_in_layer": list(layer_edges),
            "pitch": pitch,
            "row_spacing": row_spacing,
            "rows": rows,
            "sheets": list(sheets),
            "countersunk_sheet": countersunk_sheet,
            "inner": inner,
            "accuracy": accuracy,
            **shared.described(),
        },
        length_unit=shared.units,
    )
    return emit(report, shared)


def _edges(edge: str | None, layer_edges: tuple[str, ...], shared: Shared) -> list[LayerEdge]:
    from rivetkit.calculators.spacing import LayerEdge

    edges = []
    if edge is not None:
        edges.append(LayerEdge("", shared.length_in(edge, "--edge", allow_zero=True)))
    for text in layer_edges:
        name, equals, size = (piece.strip() for piece in text.partition("="))
        if not (name and equals and size):
            raise InputError(
                f"'{text}' is not NAME=E",
                where="--edge-in-layer",
                mend="write the layer, = and its edge distance: rib=.25, or rib=? if unknown",
            )
        if name in {known.layer for known in edges}:
            raise InputError(
                f"layer '{name}' is given twice",
                where="--edge-in-layer",
                mend="give each layer's nearest edge once",
            )
        edge_in = None
        if size != "?":
            edge_in = shared.length_in(size, f"--edge-in-layer {name}", allow_zero=True)
        edges.append(LayerEdge(name, edge_in))
    return edges


def _sheets(sheets: tuple[str, ...], shared: Shared) -> list[Layer]:
    """Return each sheet as a layer; its name is empty where none is given."""
    from rivetkit.calculators.stack import Layer

    found: list[Layer] = []
    for text in sheets:
        name, equals, size = (piece.strip() for piece in text.partition("="))
        if not equals:
            name, size = "", name
        elif not (name and size):
            raise InputError(
                f"'{text}' is not NAME=T",
                where="--sheet",
                mend="write the sheet, = and its thickness: skin=.032, or .032 alone",
            )
        size, *words = size.split(":")
        alloy, form = alloy_and_form(words, f"--sheet '{text}'")
        if form is not None:
            raise InputError(
                f"'{text}' says how the sheet is formed",
                where="--sheet",
                mend="leave that out; a machine countersunk one goes with --countersunk-sheet",
            )
        if name and name in {known.name for known in found}:
            raise InputError(
                f"sheet '{name}' is given twice", where="--sheet", mend="give each sheet once"
            )
        thickness_in = shared.thickness_in(size.strip(), f"--sheet {name}".strip())
        found.append(Layer(name, thickness_in, alloy=alloy))
    return found


def _all_named(sheets: list[Layer]) -> list[Layer]:
    """Return the sheets, those without a name called by their number."""
    return [
        replace(sheet, name=sheet.name or f"sheet {number}")
        for number, sheet in enumerate(sheets, 1)
    ]


def _with_unknown(edges: list[LayerEdge], named: list[str]) -> list[LayerEdge]:
    """Return the edges and, where any was given, the unknown ones of named sheets without one."""
    from rivetkit.calculators.spacing import LayerEdge

    told = {edge.layer for edge in edges}
    missing = [name for name in named if name not in told]
    if "" in told:
        missing = missing[1:]  # --edge tells that of one sheet
    return [*edges, *(LayerEdge(name, None) for name in missing if edges)]


def _others(checks: tuple[Check, ...], book: RuleBook) -> list[Rule]:
    """Return what other documents answer to the questions that were judged."""
    from rivetkit.calculators.spacing import also_says
    from rivetkit.rules import rule_questions

    used = {check.rule for check in checks}
    asked = [
        question
        for question in rule_questions()
        if book.choice(question).choice in used or f"override:{question}" in used
    ]
    return [rule for question in asked for rule in also_says(question, book)]
