"""The keys of a job file for reading, from the description editors get."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.job.keys.every import TABLES, TOP
from rivetkit.reports.document import Column, Paragraph, Report, Section, Table

if TYPE_CHECKING:
    from rivetkit.job.keys.key import Key, TableKeys

_KIND_WORDS = {
    "flag": "true or false",
    "count": "a whole number",
    "number": "a number",
    "length": "a length",
    "point": "[x, y]",
    "points": "points",
    "text": "text",
    "texts": "list of texts",
    "part number": "part number",
    "rule": "name of a rule",
    "rule set": "a rule set",
    "edge names": "four names",
    "hole numbers": "hole numbers",
}


#: What stands under "takes", and an example that a job file may hold.
WRITTEN = (
    ("a length", '0.032, or "3/32", "0.8 mm", "32 thou"'),
    ("text", '"in quotes"'),
    ("list of texts", '["one", "two"]'),
    ("[x, y]", "[10, 0.5]"),
    ("points", "[[0, 0.5], [10, 0.5]]"),
    ("table: hinge", "[hinge] on a line alone, its keys on the lines below"),
    ("", "or on one line: hinge = { from = [0, 0], to = [24, 0] }"),
    ("tables: row", "[[row]] on a line alone, once for each row, its keys below"),
    ("", "one in another bears both names: [sheet.outline] below its [[sheet]]"),
)


def job_keys_report() -> Report:
    """Return every table of a job file with its keys: what may stand there and what it means."""
    return Report(
        command="schema",
        title="Keys of a job file",
        inputs={},
        result={},
        sections=(
            _how_to_write(),
            *(_section(name, table) for name, table in TABLES.items()),
        ),
    )


def _how_to_write() -> Section:
    columns = (Column("takes"), Column("is written", wrap=True))
    return Section("How to write them", (Table(columns, WRITTEN),))


def _section(name: str, table: TableKeys) -> Section:
    columns = (Column("key"), Column("takes", wrap=True), Column("meaning", wrap=True))
    rows = tuple((name, _takes(key), _meaning(key)) for name, key in table.keys.items())
    title = "The whole file" if name == TOP else name
    return Section(title, (Paragraph(table.help), Table(columns, rows)))


def _takes(key: Key) -> str:
    if key.kind == "choice":
        return ", ".join(word or "nothing" for word in key.words)
    if key.kind == "table":
        return f"table: {key.table}"
    if key.kind == "tables":
        return f"tables: {key.table}"
    if key.kind == "layers":
        return f"names, or tables: {key.table}"
    return _KIND_WORDS[key.kind]


def _meaning(key: Key) -> str:
    words = [key.help]
    if key.required:
        words.append("Must be given.")
    elif isinstance(key.default, bool):
        words.append(f"Else {str(key.default).lower()}.")
    elif key.default not in {None, ""}:
        unit = " in" if key.kind == "length" else ""
        shown = f"{key.default:g}" if isinstance(key.default, float) else key.default
        words.append(f"Else {shown}{unit}.")
    if key.needs:
        words.append(f"Needs {' and '.join(key.needs)}.")
    if key.needs_one:
        words.append(f"Needs {' or '.join(key.needs_one)}.")
    if key.without:
        words.append(f"Not beside {' or '.join(key.without)}.")
    return " ".join(words)
