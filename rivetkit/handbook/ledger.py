"""What stands behind every table: how many values, how far to trust them, which documents."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.handbook.load import Row, load_table
from rivetkit.handbook.rows.every import TABLES
from rivetkit.handbook.sources import BASIS_ORDER, Source, load_sources, source_title

if TYPE_CHECKING:
    from collections.abc import Sequence

#: The basis words a table can hold, firmest first: an override comes from a person, not a table.
TABLE_BASES: tuple[str, ...] = tuple(word for word in BASIS_ORDER if word != "override")


@dataclass(frozen=True, slots=True)
class TableLedger:
    """One table: its file, its rows, and what they rest on. One row counts as one value."""

    table: str
    rows: int
    #: How many rows rest on each word of ``TABLE_BASES``, firmest first, zeros kept.
    by_basis: tuple[tuple[str, int], ...]
    #: Keys of the documents, the one behind most rows first.
    sources: tuple[str, ...]

    @property
    def seen_share(self) -> float:
        """Share of the rows that were read in the document they name [fraction]."""
        return dict(self.by_basis)["seen"] / self.rows if self.rows else 0.0


@dataclass(frozen=True, slots=True)
class DocumentLedger:
    """One document: what it is, and how many values of which tables rest on it."""

    source: Source
    values: int
    by_basis: tuple[tuple[str, int], ...]
    tables: tuple[str, ...]


def table_ledger() -> tuple[TableLedger, ...]:
    """Return what is behind every table, in the order the tables are declared.

    Raises
    ------
    TableError
        When a table cannot be read, or a row names a document nobody has listed.

    Examples
    --------
    >>> drills = table_ledger()[0]
    >>> drills.table, sum(count for _, count in drills.by_basis) == drills.rows
    ('drills/drill_sizes.csv', True)
    """
    return tuple(_ledger_of(row_type.table, _load(row_type)) for row_type in TABLES)


def documents() -> tuple[DocumentLedger, ...]:
    """Return every listed document, the one behind most values first, then by title.

    A document that backs nothing stays in the list, with no values.

    Raises
    ------
    TableError
        When a table cannot be read, or a row names a document nobody has listed.
    """
    rows: dict[str, list[Row]] = {key: [] for key in load_sources()}
    for row_type in TABLES:
        for row in _load(row_type):
            source_title(row.source)  # refuses a key nobody has listed
            rows[row.source].append(row)
    ledgers = [_document_of(source, rows[key]) for key, source in load_sources().items()]
    return tuple(sorted(ledgers, key=lambda entry: (-entry.values, entry.source.title)))


def _ledger_of(table: str, rows: Sequence[Row]) -> TableLedger:
    for row in rows:
        source_title(row.source)  # refuses a key nobody has listed
    sources = Counter(row.source for row in rows)
    return TableLedger(
        table=table,
        rows=len(rows),
        by_basis=_count_bases(rows),
        sources=tuple(sorted(sources, key=lambda key: (-sources[key], key))),
    )


def _document_of(source: Source, rows: Sequence[Row]) -> DocumentLedger:
    return DocumentLedger(
        source=source,
        values=len(rows),
        by_basis=_count_bases(rows),
        tables=tuple(dict.fromkeys(row.table for row in rows)),
    )


def _count_bases(rows: Sequence[Row]) -> tuple[tuple[str, int], ...]:
    counts = Counter[str](row.basis for row in rows)
    return tuple((word, counts[word]) for word in TABLE_BASES)


def _load(row_type: type[Row]) -> tuple[Row, ...]:
    # A class is hashable; mypy looks at the hash of its instances instead.
    return load_table(row_type)  # type: ignore[arg-type]
