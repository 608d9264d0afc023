"""Read a table once, check every cell, hand out typed rows.

Neither here nor in ``rows`` are annotations postponed: the types of a row's fields are its reader.
"""

import csv
from collections.abc import Callable, Iterator
from dataclasses import MISSING, dataclass, fields
from fractions import Fraction
from functools import cache, partial
from math import isfinite
from typing import Any, ClassVar, TypeAlias, TypeVar, get_args

from rivetkit.errors import TableError
from rivetkit.handbook.locate import tables_root
from rivetkit.handbook.sources import Basis, Citation, load_sources


@dataclass(frozen=True, kw_only=True, eq=False)
class Row:
    """A row of a handbook table. Subclasses name the file and add their own columns.

    A row is itself alone, for a table is read once; comparisons nobody makes need not be written
    for every table at every start.
    """

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
#: How a cell's text becomes its value, and what the text should be.
Reader: TypeAlias = tuple[Callable[[str], object], str]


@dataclass(frozen=True, slots=True)
class Column:
    """How the cells of one column are read."""

    read: Callable[[str], object]
    expected: str
    optional: bool


def _number(text: str) -> float:
    value = float(Fraction(text)) if "/" in text else float(text)
    if not isfinite(value):
        raise ValueError(text)
    return value


def _flag(text: str) -> bool:
    if text not in {"yes", "no"}:
        raise ValueError(text)
    return text == "yes"


def _one_of(words: tuple[str, ...], text: str) -> str:
    if text not in words:
        raise ValueError(text)
    return text


def _source(text: str) -> str:
    if text not in load_sources():
        raise ValueError(text)
    return text


def _locator(text: str) -> str:
    if not text:
        raise ValueError(text)
    return text


_READERS: dict[object, Reader] = {
    str: (str, "text"),
    int: (int, "a whole number"),
    float: (_number, "a number"),
    Fraction: (Fraction, "a number or a fraction"),
    bool: (_flag, "yes or no"),
}
#: Columns of every table without which a row may not stand.
_PROVENANCE: dict[str, Reader] = {
    "source": (_source, "the key of a document in sources.toml"),
    "locator": (_locator, "where in the document it stands; 'shop practice' for common practice"),
}


def _column(name: str, kind: object) -> Column:
    choices = get_args(kind)
    optional = type(None) in choices
    if optional:
        (kind,) = (choice for choice in choices if choice is not type(None))
    elif choices:
        return Column(partial(_one_of, choices), f"one of {', '.join(choices)}", optional=False)
    read, expected = _PROVENANCE.get(name) or _READERS[kind]
    return Column(read, expected, optional=optional)


def _lines(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the number and the cells of every line that is not blank."""
    reader = csv.reader(text.splitlines(), strict=True)
    try:
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except csv.Error as error:
        raise TableError(
            f"the row cannot be read ({error})",
            where=f"{name}: line {reader.line_num}",
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


def _read_row(cells: list[str], columns: dict[str, Column], place: str) -> dict[str, Any]:
    if len(cells) != len(columns):
        raise TableError(
            f"the row does not have {len(columns)} cells",
            where=place,
            mend="quote a cell that holds a comma",
        )
    values: dict[str, Any] = {}
    for (name, column), cell in zip(columns.items(), cells, strict=True):
        text = cell.strip()
        try:
            values[name] = None if column.optional and not text else column.read(text)
        except (ValueError, ZeroDivisionError, OverflowError):
            raise TableError(
                f"'{cell}' should be {column.expected}",
                where=f"{place}: column '{name}'",
                mend="correct the cell",
            ) from None
    return values


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
    lines = _lines(text, name)
    _, header = next(lines, (0, []))
    _check_header(header, row_type, name)
    kinds = {field.name: field.type for field in fields(row_type)}
    columns = {column: _column(column, kinds[column]) for column in header}
    return tuple(
        row_type(**_read_row(cells, columns, f"{name}: line {line}")) for line, cells in lines
    )
