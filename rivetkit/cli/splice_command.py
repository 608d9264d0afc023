"""``rivetkit splice``: how many rivets a splice needs, by table and from first principles."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.calculators.splice.rivets_required import Joint, RivetsRequired
    from rivetkit.calculators.splice.rows import SpliceRows
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

_EXAMPLES = """\b
Examples:
  $ rivetkit splice --table 4-10 --thickness .032 --diameter 1/8 --width 10 --joint single-lap
  $ rivetkit splice --alloy 2024-T3-clad --thickness .04 --diameter 1/8 --width 6 --joint frame
  $ rivetkit splice --alloy 5052-H32 --thickness .051 --diameter 5/32 --width 8 --joint full
  $ rivetkit splice --table 4-9 --thickness .128 --diameter AN-3 --width 4 --joint full  # exits 1
"""


@click.command("splice", epilog=_EXAMPLES)
@click.option("--alloy", metavar="NAME", help="Sheet alloy, such as 2024-T3 or '2024-T3 clad'.")
@click.option(
    "--table",
    metavar="NAME",
    help="AC 43.13-1B table 4-9, 4-10 or 4-11; those that name the alloy when not given.",
)
@click.option("--thickness", metavar="T", required=True, help="Sheet thickness.")
@click.option("--rivet", metavar="PART", help="The rivet, such as MS20470AD4.")
@click.option("--diameter", metavar="D", help="The same by its diameter, such as 1/8; or AN-3.")
@click.option(
    "--width", metavar="W", required=True, help="Width of the splice; of a stringer, laid flat."
)
@click.option(
    "--joint",
    type=click.Choice(["single-lap", "stringer", "frame", "full"]),
    required=True,
    help="Single lap sheet joint; stringer of an upper wing surface or a fuselage; intermediate "
    "frame; or anything else: the full count.",
)
@click.option("--rows", type=click.IntRange(1, 20), help="Rows; the fewest that fit if not given.")
@click.option("--edge", metavar="E", help="Edge distance; the least allowed when not given.")
@rule_options
def splice(
    *,
    alloy: str | None,
    table: str | None,
    thickness: str,
    rivet: str | None,
    diameter: str | None,
    width: str,
    joint: Joint,
    rows: int | None,
    edge: str | None,
    shared: Shared,
) -> int:
    """Count the rivets a splice needs.

    The printed tables, the formula behind them and the allowables are shown beside each other, and
    the strictest is named.
    """
    from rivetkit.calculators.splice.rivets_required import rivets_required
    from rivetkit.materials import require_spelling
    from rivetkit.reports.lookups.splice_report import splice_report

    book = shared.rule_book()
    try:
        require_spelling(alloy or "")
    except InputError as error:
        raise error.at("--alloy") from None
    fastener = _fastener(rivet, diameter, shared)
    edge_in = shared.optional_length_in(edge, "--edge")
    found = rivets_required(
        shared.length_in(width, "--width"),
        thickness_in=shared.thickness_in(thickness, "--thickness"),
        joint=joint,
        fastener=fastener,
        book=book,
        alloy=alloy or "",
        table_name=table,
        edge_in=edge_in,
    )
    layouts = [
        None if one.count is None else _rows(one.count, found, fastener, book, rows, edge_in)
        for one in found.counts
    ]
    report = splice_report(
        found,
        fastener=fastener,
        layouts=layouts,
        remarks=_remarks(found, fastener, diameter),
        inputs={
            "alloy": alloy,
            "table": table,
            "thickness": thickness,
            "rivet": rivet,
            "diameter": diameter,
            "width": width,
            "joint": joint,
            "rows": rows,
            "edge": edge,
            **shared.described(),
        },
        length_unit=shared.units,
    )
    return emit(report, shared)


def _fastener(rivet: str | None, diameter: str | None, shared: Shared) -> Fastener | None:
    """Return the rivet, or none for the bolt column."""
    from rivetkit.calculators.splice.tables import BOLT, rivet_of_tables
    from rivetkit.fasteners.part_number import parse_part_number

    if (rivet is None) == (diameter is None):
        what = "neither rivet nor diameter is given" if rivet is None else "both are given"
        raise InputError(what, where="--rivet, --diameter", mend="give one of them")
    if rivet is not None:
        return parse_part_number(rivet)
    text = diameter or ""
    if text.strip().upper().replace("-", "") == BOLT.replace("-", ""):
        return None
    return rivet_of_tables(shared.length_in(text, "--diameter"))


def _rows(
    count: int,
    found: RivetsRequired,
    fastener: Fastener | None,
    book: RuleBook,
    rows: int | None,
    edge_in: float | None,
) -> SpliceRows:
    from rivetkit.calculators.splice.rows import splice_rows
    from rivetkit.calculators.splice.tables import bolt_diameter_in

    return splice_rows(
        count,
        width_in=found.width_in,
        diameter_in=fastener.diameter_in if fastener else bolt_diameter_in(),
        book=book,
        rows=rows,
        flush=fastener is not None and fastener.flush,
        edge_in=edge_in,
    )


def _remarks(found: RivetsRequired, fastener: Fastener | None, diameter: str | None) -> list[str]:
    remarks = []
    if fastener is not None and diameter is not None:
        remarks.append(f"Taken as {fastener.designation}: the tables are for 2117 rivets.")
    names = {one.table_name for one in found.counts if one.table_name}
    if len(names) > 1 and found.printed is not None:
        listed = " and ".join(f"table {name}" for name in sorted(names, key=len))
        remarks.append(
            f"The titles of {listed} both name this sheet; the larger count, of table "
            f"{found.printed.table_name}, is taken. The worked example for clad 2024 uses table "
            "4-10; --table picks one."
        )
    return remarks
