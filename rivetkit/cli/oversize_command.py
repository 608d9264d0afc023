"""``rivetkit oversize``: what may go into a hole that has grown."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, get_args

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.calculators.oversize.candidates import (
        LayerEdge,
        MeasuredHole,
        Neighbour,
        OversizeLayer,
    )
    from rivetkit.calculators.stack import Form
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

_EXAMPLES = """\b
Examples:
  $ rivetkit oversize MS20470AD4 --hole .128x.141 --edge-in-layer skin=.35 --pitch 1.0
  $ rivetkit oversize MS20470D4 --hole .13x.14 --axis edge --edge-in-layer a=.36@back --pitch 1
  $ rivetkit oversize MS20470AD4 --hole .14 --edge-in-layer a=.4 --edge-in-layer a=.5 --pitch 1
  $ rivetkit oversize MS20426AD3 --hole .104 --sheet a=.032:dimpled --edge-in-layer a=.4 --pitch 1
  $ rivetkit oversize MS20470AD4 --hole .141 --edge-in-layer cap=.5 --no-oversize cap   # exits 1
"""

_AXIS_DEG = {"row": 0.0, "edge": 90.0, "back": 270.0}
#: Two decimals with something else than an x between them.
_TWO_SIZES = re.compile(r"[0-9]*\.[0-9]+[\s,;/-]+[0-9]*\.[0-9]+")
_UNIT_AT_END = re.compile(r"[a-z\"']+$", re.IGNORECASE)


@click.command("oversize", epilog=_EXAMPLES)
@click.argument("part")
@click.option(
    "--hole",
    required=True,
    metavar="LEASTxGREATEST",
    help="The hole as measured, e.g. .128x.141; one number when it is round. Under half or over "
    "twice the rivet's own hole it is refused as a slip; one torn wider is written with its unit.",
)
@click.option(
    "--axis",
    metavar="edge|row|DEG",
    help="Direction of the greatest diameter: toward the edge, along the row, or degrees from "
    "the row toward the edge.",
)
@click.option(
    "--moved",
    metavar="toward|away|both|LENGTH",
    help="How the hole grew: in the direction of --axis only, the other way only, alike both ways; "
    "or how far its middle is from the old centre, e.g. --moved=-.004. Left out: the worst.",
)
@click.option(
    "--edge-in-layer",
    "edges",
    metavar="NAME=E[@WHERE]",
    multiple=True,
    help="Edge distance in a layer, from the OLD centre; NAME=? when unknown. WHERE says on which "
    "side the edge is: edge, back, row or degrees. Repeatable, also for more edges of one layer.",
)
@click.option(
    "--sheet",
    "sheets",
    metavar="NAME=T[:FORM]",
    multiple=True,
    help="A layer's thickness, and how it takes a flush head: skin=.032:dimpled or "
    "skin=.064:countersunk. Given for every layer, the rivet has to suit the thickest. Repeatable.",
)
@click.option(
    "--no-oversize",
    metavar="NAME",
    multiple=True,
    help="A layer that takes no larger hole: spar cap, stringer, tension member.",
)
@click.option("--pitch", metavar="P", help="To the next rivets of the row, from the OLD centre.")
@click.option(
    "--neighbour", metavar="PART", help="The rivet next to it, when it is another than PART."
)
@click.option("--row-spacing", metavar="S", help="To the next row, from the OLD centre.")
@click.option(
    "--rows", type=click.IntRange(1, 99), default=1, show_default=True, help="Rows in the seam."
)
@click.option(
    "--access",
    type=click.Choice(["both", "blind"]),
    default="both",
    show_default=True,
    help="Sides that can be reached.",
)
@click.option(
    "--drills",
    "series",
    type=click.Choice(["number", "letter", "fraction", "metric"]),
    multiple=True,
    help="Drills you have; when not given number, letter and fraction, and metric for a "
    "hole that none of them makes. Repeatable.",
)
@click.option(
    "--sizes-up",
    type=click.IntRange(1, 9),
    default=2,
    show_default=True,
    help="How many larger sizes to look at.",
)
@click.option(
    "--accuracy",
    metavar="A",
    help="How far off measured distances may be; a sheet counts as the gauge it is told as.",
)
@click.option(
    "--hole-accuracy",
    metavar="A",
    help="How far off the hole's diameters may be; else as --accuracy, but 0.001 in at most.",
)
@rule_options
def oversize(
    *,
    part: str,
    hole: str,
    axis: str | None,
    moved: str | None,
    edges: tuple[str, ...],
    sheets: tuple[str, ...],
    no_oversize: tuple[str, ...],
    pitch: str | None,
    neighbour: str | None,
    row_spacing: str | None,
    rows: int,
    access: str,
    series: tuple[str, ...],
    sizes_up: int,
    accuracy: str | None,
    hole_accuracy: str | None,
    shared: Shared,
) -> int:
    """Find what may go into a hole that has grown or is no longer round.

    PART is the rivet taken out, such as MS20470AD4; its length does not matter.
    """
    from rivetkit.calculators.oversize.candidates import clean_up_working, oversize_options
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.reports.lookups.oversize_report import oversize_report

    rivet = parse_part_number(part)
    book = shared.rule_book()
    measured = _measured(hole, axis, moved, _nominal_in(rivet, book), shared)
    result = oversize_options(
        rivet,
        measured,
        book,
        layers=_layers(edges, sheets, no_oversize, shared),
        neighbours=_neighbours(pitch, row_spacing, rows, neighbour, shared),
        rows=rows,
        access="blind" if access == "blind" else "both",
        series=series or None,
        further_steps=sizes_up,
        accuracy_in=shared.accuracy_in(accuracy, "--accuracy"),
        hole_accuracy_in=shared.hole_accuracy_in(hole_accuracy, "--hole-accuracy"),
    )
    report = oversize_report(
        result,
        clean_up=clean_up_working(measured, book),
        inputs={
            "part": part,
            "hole": hole,
            "axis": axis,
            "moved": moved,
            "edge_in_layer": list(edges),
            "sheets": list(sheets),
            "no_oversize": list(no_oversize),
            "pitch": pitch,
            "neighbour": neighbour,
            "row_spacing": row_spacing,
            "rows": rows,
            "access": access,
            "drills": list(series),
            "sizes_up": sizes_up,
            "accuracy": accuracy,
            "hole_accuracy": hole_accuracy,
            **shared.described(),
        },
        length_unit=shared.units,
    )
    return emit(report, shared)


def _nominal_in(rivet: Fastener, book: RuleBook) -> float:
    """Return the rivet's own hole [in]; its shank where no table has one."""
    from rivetkit.errors import OutOfTableError
    from rivetkit.fasteners.catalogue import rivet_hole

    try:
        return rivet_hole(rivet, book).hole_in or rivet.diameter_in
    except OutOfTableError:
        return rivet.diameter_in


def _measured(
    hole: str, axis: str | None, moved: str | None, nominal_in: float, shared: Shared
) -> MeasuredHole:
    from rivetkit.calculators.oversize.cleanup_hole import Grown, MeasuredHole, grown_hole

    least_in, greatest_in = _hole_sizes(hole, nominal_in, shared)
    axis_deg = None if axis is None else _direction(axis, "--axis")
    if axis_deg is None and moved in {"toward", "away"}:
        raise InputError(f"'{moved}' has no direction", where="--moved", mend="give --axis as well")
    try:
        for grown in get_args(Grown):
            if moved == grown:
                return grown_hole(least_in, greatest_in, axis_deg=axis_deg, grown=grown)
        return MeasuredHole(least_in, greatest_in, axis_deg, _moved_in(moved, shared))
    except InputError as error:
        raise (error if error.where else error.at("--hole")) from None


def _hole_sizes(text: str, nominal_in: float, shared: Shared) -> tuple[float, float]:
    from rivetkit.calculators.oversize.measured_size import require_near_nominal

    pieces = [piece.strip() for piece in re.split("[xX*\N{MULTIPLICATION SIGN}]", text)]
    two = len(pieces) == 1 and _TWO_SIZES.match(pieces[0])
    if two or len(pieces) > 2 or not all(pieces):  # noqa: PLR2004 - a hole has two diameters
        raise InputError(
            f"'{text}' is not LEASTxGREATEST",
            where="--hole",
            mend="write the least diameter, x and the greatest: .128x.141",
        )
    unit = _UNIT_AT_END.search(pieces[-1])
    if unit and not _UNIT_AT_END.search(pieces[0]):
        pieces[0] = f"{pieces[0]} {unit[0]}"  # 3.25x3.6mm: the unit stands for both
    sizes = [shared.length_in(piece, "--hole") for piece in pieces]
    try:
        for piece, size_in in zip(pieces, sizes, strict=True):
            require_near_nominal(size_in, nominal_in=[nominal_in], text=piece, unit=shared.units)
    except InputError as error:
        raise error.at("--hole") from None
    return sizes[0], sizes[-1]


def _moved_in(text: str | None, shared: Shared) -> float | None:
    if text is None:
        return None
    bare = text.strip()
    back = bare.startswith("-")
    amount_in = shared.length_in(bare.lstrip("+-"), "--moved", allow_zero=True)
    return -amount_in if back else amount_in


def _direction(text: str, option: str) -> float:
    if text in _AXIS_DEG:
        return _AXIS_DEG[text]
    try:
        degrees = float(text)
    except ValueError:
        degrees = float("nan")
    if not -360 <= degrees <= 360:  # noqa: PLR2004 - a full turn
        raise InputError(
            f"'{text}' is no direction",
            where=option,
            mend="write edge, row, back or degrees from the row toward the edge: 45",
        )
    return degrees


def _layers(
    edges: Iterable[str],
    sheets: Iterable[str],
    no_oversize: Iterable[str],
    shared: Shared,
) -> list[OversizeLayer]:
    from rivetkit.calculators.oversize.candidates import OversizeLayer

    edges_of = _named(edges, "--edge-in-layer", "rib=.25, or rib=? if unknown")
    sheet_of = _once_each(_named(sheets, "--sheet", "skin=.032, or skin=.032:dimpled"), "--sheet")
    refusing = dict.fromkeys(name.strip() for name in no_oversize)
    layers = []
    for name in dict.fromkeys([*sheet_of, *edges_of, *refusing]):
        first, *further = _edges(edges_of.get(name, ["?"]), f"--edge-in-layer {name}", shared)
        thickness, _, form = sheet_of.get(name, "?").partition(":")
        layers.append(
            OversizeLayer(
                name,
                _known_thickness_in(thickness, f"--sheet {name}", shared),
                _form(form.strip() or "plain", f"--sheet {name}"),
                first.distance_in,
                edge_direction_deg=first.direction_deg,
                either_side=first.either_side,
                no_oversize=name in refusing,
                edge_name=first.name,
                further_edges=tuple(further),
            )
        )
    return layers


def _edges(texts: list[str], option: str, shared: Shared) -> list[LayerEdge]:
    """Return the edges of one layer; where there are several, each has a name."""
    from rivetkit.calculators.oversize.candidates import LayerEdge

    found = []
    for number, text in enumerate(texts, start=1):
        edge, at, where = (piece.strip() for piece in text.partition("@"))
        found.append(
            LayerEdge(
                _known_in(edge, option, shared, allow_zero=True),
                direction_deg=_direction(where, option) if at else 90.0,
                either_side=not at,
                name=f"edge {number}{f' ({where})' if at else ''}" if len(texts) > 1 else "",
            )
        )
    return found


def _named(texts: Iterable[str], option: str, example: str) -> dict[str, list[str]]:
    """Return the values of a repeated NAME=VALUE option by name."""
    values: dict[str, list[str]] = {}
    for text in texts:
        name, equals, value = (piece.strip() for piece in text.partition("="))
        if not (name and equals and value):
            raise InputError(
                f"'{text}' names no layer or gives no value",
                where=option,
                mend=f"write the layer, = and its value: {example}",
            )
        values.setdefault(name, []).append(value)
    return values


def _once_each(values: dict[str, list[str]], option: str) -> dict[str, str]:
    for name, given in values.items():
        if len(given) > 1:
            raise InputError(
                f"layer '{name}' is given twice", where=option, mend="give each layer once"
            )
    return {name: given[0] for name, given in values.items()}


def _known_in(text: str, option: str, shared: Shared, *, allow_zero: bool = False) -> float | None:
    if text.strip() == "?":
        return None
    return shared.length_in(text, option, allow_zero=allow_zero)


def _known_thickness_in(text: str, option: str, shared: Shared) -> float | None:
    return None if text.strip() == "?" else shared.thickness_in(text, option)


def _form(text: str, option: str) -> Form:
    from rivetkit.calculators.stack import Form

    for form in get_args(Form):
        if text == form:
            return form  # type: ignore[no-any-return]
    raise InputError(
        f"'{text}' is no way to seat a head",
        where=option,
        mend=f"write one of {', '.join(get_args(Form))}",
    )


def _neighbours(
    pitch: str | None, row_spacing: str | None, rows: int, part: str | None, shared: Shared
) -> list[Neighbour] | None:
    from rivetkit.calculators.oversize.candidates import Neighbour
    from rivetkit.calculators.oversize.sizes import head_size
    from rivetkit.fasteners.part_number import parse_part_number

    pitch_in = shared.optional_length_in(pitch, "--pitch")
    spacing_in = shared.optional_length_in(row_spacing, "--row-spacing")
    if rows > 1 and spacing_in is None:
        raise InputError(
            f"{rows} rows, and no distance between them", mend="give --row-spacing as well"
        )
    if pitch_in is None:
        for option, given in (("--row-spacing", row_spacing), ("--neighbour", part)):
            if given is not None:
                raise InputError(f"{option} without --pitch", mend="give --pitch as well")
        return None
    diameter_in = head_in = None
    if part is not None:
        other = parse_part_number(part)
        head = head_size(other)
        diameter_in, head_in = other.diameter_in, head[0] if head else None
    found = [Neighbour("next rivet", pitch_in, diameter_in, head_in)]
    if spacing_in is not None:
        found.append(Neighbour("next row", spacing_in, diameter_in, direction_deg=90.0, kind="row"))
    return found
