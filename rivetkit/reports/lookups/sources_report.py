"""What the tables rest on, as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.handbook.rows.fasteners import FastenerStandardRow
from rivetkit.handbook.sources import BASIS_MEANING, source_title
from rivetkit.reports.document import (
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.handbook import Row
    from rivetkit.handbook.ledger import DocumentLedger, TableLedger
    from rivetkit.reports.amounts import LengthUnit

#: Basis words that stand in a table, and how they are headed.
_BASES = ("seen", "derived", "secondary", "practice", "memory")
#: How soon their columns may go when the page is narrow: the weakest basis never does.
_WEIGHTS = {"seen": 10, "derived": 5, "secondary": 6, "practice": 7, "memory": 10}


def overview_report(
    tables: Sequence[TableLedger],
    documents: Sequence[DocumentLedger],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of every table and every document."""
    table_rows = tuple(
        (
            short_name(ledger.table),
            str(ledger.rows),
            f"{ledger.seen_share:.0%}",
            *_counts(ledger.by_basis),
        )
        for ledger in tables
    )
    document_rows = tuple(
        (ledger.source.key, ledger.source.title, str(ledger.values), *_counts(ledger.by_basis))
        for ledger in documents
    )
    return Report(
        command="sources",
        title="What the numbers rest on",
        inputs=inputs,
        result={
            "tables": [table_data(ledger) for ledger in tables],
            "documents": [document_data(ledger) for ledger in documents],
        },
        sections=(
            Section("Tables", (Table(_ledger_columns("table"), table_rows),)),
            Section("Documents", (Table(_document_columns(), document_rows),)),
            Section("What the words mean", (_meanings(),)),
        ),
        length_unit=length_unit,
    )


def table_report(
    ledger: TableLedger,
    rows: Sequence[Row],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of one table: which values come from where."""
    places: dict[tuple[str, str, str], list[str]] = {}
    for row in rows:
        notes = places.setdefault((row.source, row.locator, row.basis), [])
        notes.append(row.note)
    cells = tuple(
        (
            source_title(source),
            locator,
            str(len(notes)),
            basis,
            "; ".join(dict.fromkeys(note for note in notes if note)),
        )
        for (source, locator, basis), notes in places.items()
    )
    names = [row.standard for row in rows if isinstance(row, FastenerStandardRow)]
    columns = (
        Column("document", wrap=True),
        Column("where", wrap=True),
        Column("values", align="right"),
        Column("basis"),
        Column("remark", weight=3, wrap=True),
    )
    return Report(
        command="sources",
        title=f"Table {short_name(ledger.table)}: {ledger.rows} values, "
        f"{ledger.seen_share:.0%} read in the document they name",
        inputs=inputs,
        result={
            "table": table_data(ledger),
            **({"names": list(names)} if names else {}),
            "places": [
                {
                    "source": source,
                    "locator": locator,
                    "basis": basis,
                    "values": len(notes),
                    "remarks": list(dict.fromkeys(note for note in notes if note)),
                }
                for (source, locator, basis), notes in places.items()
            ],
        },
        sections=(
            *((Section("On file", (Paragraph(", ".join(names)),)),) if names else ()),
            Section("", (Table(columns, cells),)),
            Section("What the words mean", (_meanings(),)),
        ),
        length_unit=length_unit,
    )


def document_report(
    ledger: DocumentLedger,
    rows: Sequence[Row],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of one document: what it is, and what was taken from it."""
    source = ledger.source
    places: dict[tuple[str, str, str], int] = {}
    for row in rows:
        place = (short_name(row.table), row.locator, row.basis)
        places[place] = places.get(place, 0) + 1
    facts = [
        Fact("document", source.title),
        Fact("edition", source.edition),
        Fact("publisher", source.publisher),
        Fact("kind", source.kind),
    ]
    if source.note:
        facts.append(Fact("note", source.note))
    columns = (
        Column("table"),
        Column("where", wrap=True),
        Column("values", align="right"),
        Column("basis"),
    )
    cells = tuple(
        (table, locator, str(count), basis) for (table, locator, basis), count in places.items()
    )
    return Report(
        command="sources",
        title=f"{source.title}: {ledger.values} values rest on it",
        inputs=inputs,
        result={
            "document": document_data(ledger),
            "places": [
                {"table": table, "locator": locator, "basis": basis, "values": count}
                for (table, locator, basis), count in places.items()
            ],
        },
        sections=(
            Section("", (Facts(tuple(facts)),)),
            Section("Taken from it", (Table(columns, cells),)),
        ),
        length_unit=length_unit,
    )


def short_name(table: str) -> str:
    """Return a table's name without folder and ending: ``rivet-holes``.

    Examples
    --------
    >>> short_name("holes/rivet_holes.csv")
    'rivet-holes'
    """
    return table.rpartition("/")[2].removesuffix(".csv").replace("_", "-")


def table_data(ledger: TableLedger) -> dict[str, object]:
    """Return a table's ledger as plain JSON data."""
    return {
        "table": short_name(ledger.table),
        "file": ledger.table,
        "values": ledger.rows,
        "seen_share": ledger.seen_share,
        "by_basis": dict(ledger.by_basis),
        "documents": list(ledger.sources),
    }


def document_data(ledger: DocumentLedger) -> dict[str, object]:
    """Return a document's ledger as plain JSON data."""
    source = ledger.source
    return {
        "key": source.key,
        "title": source.title,
        "edition": source.edition,
        "publisher": source.publisher,
        "kind": source.kind,
        "note": source.note,
        "values": ledger.values,
        "by_basis": dict(ledger.by_basis),
        "tables": [short_name(table) for table in ledger.tables],
    }


def _ledger_columns(first: str) -> tuple[Column, ...]:
    return (
        Column(first),
        Column("values", align="right"),
        Column("seen share", align="right"),
        *(Column(basis, align="right", weight=_WEIGHTS[basis]) for basis in _BASES),
    )


def _document_columns() -> tuple[Column, ...]:
    return (
        Column("key"),
        Column("document", wrap=True),
        Column("values", align="right"),
        *(Column(basis, align="right", weight=_WEIGHTS[basis]) for basis in _BASES),
    )


def _counts(by_basis: tuple[tuple[str, int], ...]) -> tuple[str, ...]:
    counts = dict(by_basis)
    return tuple(str(counts.get(basis) or "") for basis in _BASES)


def _meanings() -> Facts:
    return Facts(tuple(Fact(basis, BASIS_MEANING[basis]) for basis in _BASES))
