"""The printed rivets-required tables of AC 43.13-1B, cell by cell."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import require_length
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.strength import (
    GaugeTwinRow,
    RivetsPerInchRow,
    SpliceAlloyRow,
    SpliceBasisRow,
)
from rivetkit.materials import split_alloy
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation

#: The bolt column of the tables.
BOLT = "AN-3"

_SAME_IN = 1e-6


@dataclass(frozen=True, slots=True)
class SpliceCell:
    """What a table prints for a sheet and a fastener.

    ``per_inch`` is none where it prints nothing, or nothing that can be used; ``reason`` says
    why. ``row_in`` is the gauge of the row that was taken [in]. ``mark`` is the cell's own.
    """

    table_name: str
    row_in: float | None
    per_inch: Fraction | None
    mark: str
    reason: str
    remarks: tuple[str, ...]
    citations: tuple[Citation, ...]


def splice_tables() -> tuple[str, ...]:
    """Return the names of the tables."""
    return tuple(dict.fromkeys(row.table_name for row in load_table(RivetsPerInchRow)))


def tables_for_alloy(alloy: str) -> tuple[SpliceAlloyRow, ...]:
    """Return the table titles that name an alloy; more than one may.

    Parameters
    ----------
    alloy
        Such as ``2024-T3 clad`` or ``5052-H32``.

    Examples
    --------
    >>> [row.table_name for row in tables_for_alloy("2024-T3 clad")]
    ['4-9', '4-10']
    """
    name, clad = split_alloy(alloy)
    base = name.partition("-")[0]
    return tuple(
        row
        for row in load_table(SpliceAlloyRow)
        if row.clad == clad and row.alloy in ({name, base} if name else set())
    )


def table_gauges_in(table_name: str) -> tuple[float, ...]:
    """Return the sheet gauges a table has rows for [in], thinnest first.

    Parameters
    ----------
    table_name
        Such as ``4-10``.

    Raises
    ------
    InputError
        When there is no such table.
    """
    rows = [row for row in load_table(RivetsPerInchRow) if row.table_name == table_name]
    if not rows:
        raise InputError(
            f"no rivets-required table is called '{table_name}'",
            mend=f"choose one of {', '.join(splice_tables())}",
        )
    return tuple(sorted({row.thickness_in for row in rows}))


def splice_cell(table_name: str, *, thickness_in: float, size: str) -> SpliceCell:
    """Return what a table prints for a sheet and a fastener. Nothing is interpolated.

    A modern gauge takes the row of the slightly thicker old gauge it replaced, and says so.

    Parameters
    ----------
    table_name
        Such as ``4-10``.
    thickness_in
        Sheet thickness [in].
    size
        Rivet diameter as a fraction, such as ``1/8``, or ``AN-3``.

    Raises
    ------
    InputError
        When there is no such table, or the thickness is no length.

    Examples
    --------
    >>> splice_cell("4-10", thickness_in=0.032, size="1/8").per_inch
    Fraction(49, 10)

    References
    ----------
    AC 43.13-1B tables 4-9, 4-10, 4-11, p 4-37 to 4-39.
    """
    gauges_in = table_gauges_in(table_name)
    row_in, twin = _row_gauge(require_length(thickness_in, "the thickness"), gauges_in)
    rows: tuple[RivetsPerInchRow, ...] = load_table(RivetsPerInchRow)
    found = [row for row in rows if (row.table_name, row.fastener) == (table_name, size)]
    if row_in is None or not found:
        reason = f"table {table_name} has no column for {size}"
        if row_in is None:
            reason = _no_row_words(table_name, thickness_in, gauges_in)
        cited = tuple(row.citation() for row in found[:1])
        return SpliceCell(table_name, None, None, "", reason, (), cited)
    row = next(row for row in found if row.thickness_in == row_in)
    citations = (row.citation(),) if twin is None else (row.citation(), twin.citation())
    remarks: list[str] = []
    if twin is not None:
        remarks.append(
            length_words(
                "the row of the old gauge {row} stands for {sheet}", row=row_in, sheet=thickness_in
            )
        )
    reason = ""
    if row.per_inch is None:
        reason = length_words(
            "table {name} leaves {size} in {row} sheet blank",
            name=table_name,
            size=size,
            row=row_in,
        )
    elif row.mark == "refused":
        reason = f"the printed {float(row.per_inch):g} is refused: {row.note}"
    elif row.mark == "low":
        remarks.append(f"doubtful cell: {row.note}")
    per_inch = None if reason else row.per_inch
    return SpliceCell(table_name, row_in, per_inch, row.mark, reason, tuple(remarks), citations)


def rivet_of_tables(diameter_in: float) -> Fastener:
    """Return the rivet the tables are made for, in a diameter [in]: protruding, 2117.

    Raises
    ------
    InputError
        When there is none of that diameter.

    Examples
    --------
    >>> rivet_of_tables(0.125).designation
    'MS20470AD4'
    """
    steps = Fraction(diameter_in).limit_denominator(64) * 32
    if steps.denominator != 1:
        raise InputError(
            length_words("no rivet has a diameter of {size}", size=diameter_in),
            mend="write 3/32, 1/8 or 5/32",
        )
    return parse_part_number(f"MS20470AD{steps.numerator}")


def bolt_diameter_in() -> float:
    """Return the diameter of the tables' bolt [in]."""
    rows: tuple[SpliceBasisRow, ...] = load_table(SpliceBasisRow)
    return next(row.value for row in rows if row.figure == "bolt_diameter_in")


def size_name(diameter_in: float) -> str:
    """Return a rivet diameter [in] as the tables head their columns.

    Examples
    --------
    >>> size_name(0.15625)
    '5/32'
    """
    return str(Fraction(diameter_in).limit_denominator(64))


def _row_gauge(
    thickness_in: float, gauges_in: tuple[float, ...]
) -> tuple[float | None, GaugeTwinRow | None]:
    for gauge_in in gauges_in:
        if abs(gauge_in - thickness_in) < _SAME_IN:
            return gauge_in, None
    twins: tuple[GaugeTwinRow, ...] = load_table(GaugeTwinRow)
    for twin in twins:
        if abs(twin.modern_in - thickness_in) < _SAME_IN and twin.old_in in gauges_in:
            return twin.old_in, twin
    return None, None


def _no_row_words(table_name: str, thickness_in: float, gauges_in: tuple[float, ...]) -> str:
    thicker = next((gauge for gauge in gauges_in if gauge > thickness_in), None)
    end = "its thickest" if thicker is None else "the next thicker"
    return length_words(
        "table {name} has no row for {sheet} sheet and none is interpolated; {end} is {gauge}",
        name=table_name,
        sheet=thickness_in,
        end=end,
        gauge=gauges_in[-1] if thicker is None else thicker,
    )
