"""Read a table once, check every cell, hand out typed rows."""

from __future__ import annotations

import csv
from dataclasses import MISSING, dataclass, fields
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar, get_args, get_type_hints

from rivetkit.errors import TableError
from rivetkit.handbook.locate import tables_root
from rivetkit.handbook.sources import Basis, Citation, load_sources

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, kw_only=True)
class Row:
    """A row of a handbook table. Subclasses name the file and add their own columns."""

    table: ClassVar[str]

    source: str
    locator: str
    basis: Basis
    note: str = ""

    def citation(self, rule: str = "") -> Citation:
        """Return where this row comes from; ``rule`` defaults to the table's name."""
        return Citation(
            rule=rule or self.table.removesuffix(".csv"),
            source=self.source,
            locator=self.locator,
            basis=self.basis,
        )


RowT = TypeVar("RowT", bound=Row)


def _number(text: str) -> float:
    return float(Fraction(text))


def _flag(text: str) -> bool:
    if text not in {"yes", "no"}:
        raise ValueError(text)
    return text == "yes"


_READERS = {
    str: (str, "text"),
    int: (int, "a whole number"),
    float: (_number, "a number"),
    Fraction: (Fraction, "a number or a fraction"),
    bool: (_flag, "yes or no"),
}


def _read_cell(text: str, kind: object) -> object:
    choices = get_args(kind)
    if type(None) in choices:
        if text == "":
            return None
        kind = next(choice for choice in choices if choice is not type(None))
    elif choices:
        if text not in choices:
            raise ValueError(f"one of {', '.join(map(str, choices))}")
        return text
    reader, expected = _READERS[kind]  # type: ignore[index]
    try:
        return reader(text)  # type: ignore[operator]
    except (ValueError, ZeroDivisionError, OverflowError):
        raise ValueError(expected) from None


def _cells(reader: csv.DictReader[str], name: str) -> Iterator[dict[str, str]]:
    try:
        yield from reader
    except csv.Error as error:
        raise TableError(
            f"the row cannot be read ({error})",
            where=f"{name}: line {reader.reader.line_num}",  # its own count stops a line before
            mend="correct its quotes",
        ) from None


def _check_header(header: list[str], row_type: type[Row], name: str) -> None:
    columns = {field.name: field for field in fields(row_type)}
    for column in header:
        if header.count(column) > 1:
            raise TableError(f"two columns '{column}'", where=name, mend="keep one")
        if column not in columns:
            raise TableError(
                f"unknown column '{column}'", where=name, mend=f"columns are {', '.join(columns)}"
            )
    for column, field in columns.items():
        if column not in header and field.default is MISSING:
            raise TableError(f"no column '{column}'", where=name, mend="add it")


def _read_row(
    cells: dict[str, str], header: list[str], hints: dict[str, object], place: str
) -> dict[str, Any]:
    if None in cells or None in cells.values():
        raise TableError(
            f"the row does not have {len(header)} cells",
            where=place,
            mend="quote a cell that holds a comma",
        )
    values: dict[str, Any] = {}
    for column in header:
        try:
            values[column] = _read_cell(cells[column].strip(), hints[column])
            _require_provenance(column, values[column])
        except ValueError as error:
            raise TableError(
                f"'{cells[column]}' should be {error}",
                where=f"{place}: column '{column}'",
                mend="correct the cell",
            ) from None
    return values


def _require_provenance(column: str, value: object) -> None:
    if column == "source" and value not in load_sources():
        raise ValueError("the key of a document in sources.toml")
    if column == "locator" and not value:
        raise ValueError("where in the document it stands; 'shop practice' for common practice")


@cache
def load_table(row_type: type[RowT]) -> tuple[RowT, ...]:
    """Return the rows of the table that ``row_type`` describes, in the file's order.

    Raises
    ------
    TableError
        When the file is missing, a column is missing or unknown, or a cell cannot be read. The
        message names file, line and column.
    """
    name = row_type.table
    try:
        text = (tables_root() / name).read_text(encoding="utf-8")
    except (OSError, KeyError, UnicodeDecodeError) as error:
        raise TableError(
            "the table cannot be read", where=name, mend="install rivetkit again"
        ) from error
    hints = get_type_hints(row_type)
    reader = csv.DictReader(text.splitlines(), strict=True)
    header = list(reader.fieldnames or [])
    _check_header(header, row_type, name)
    return tuple(
        row_type(**_read_row(cells, header, hints, f"{name}: line {reader.line_num}"))
        for cells in _cells(reader, name)
    )
