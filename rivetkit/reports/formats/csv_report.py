"""A report as CSV for a spreadsheet: the numbers of the JSON document, table under table."""

from __future__ import annotations

import csv
import io
import json
import re
from typing import TYPE_CHECKING, TypeAlias, cast

from rivetkit.reports.formats.json_report import report_data

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from rivetkit.reports.document import Report

Cell: TypeAlias = str | int | float
Row: TypeAlias = list[Cell]

#: A cell that starts like this is run as a formula by a spreadsheet; so is what follows a
#: semicolon where that divides cells. Full-width signs are read as the plain ones.
_FORMULA = re.compile(r"(^|;)([\s\x00]*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20|%])")
#: A drill called 1/8 must not become the eighth of January.
_DATE = re.compile(r"\d{1,4}([-/.]\d{1,4}){1,2}")
_CONTROL = re.compile(r"[\x00-\x1f\x7f\x85\u2028\u2029]+")


#: A quantity that is a mass or a moment, by its name.
_WEIGHED = re.compile(r"(mass|moment)_(lb|g)(_|$)")
#: Decimals of a mass or a moment: finer than any scale, in lb as in g.
_WEIGHED_PLACES = 6


class _Plain(str):
    """Text of our own, which no spreadsheet runs."""

    __slots__ = ()


def render_csv(report: Report) -> str:
    """Return the report as CSV text.

    Every line starts with the name of its table; the first line of a table holds its headers,
    with the unit of a quantity at their end (``distance_in``). Lines under a name of their own
    hold: what was asked and answered (``report``), each list of the answer, ``checks``,
    ``sources`` and ``cautions``. A list inside a record is a table of its own, whose ``line``
    counts the record it belongs to. Masses and moments, which are computed, have as many places
    as a scale can show; other numbers are unrounded. Text that a spreadsheet would run as a
    formula, or read as a date, has an apostrophe before it.
    """
    written = io.StringIO()
    writer = csv.writer(written, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\n")
    for name, rows in _tables(report_data(report)):
        for row in rows:
            writer.writerow([name, *(map(_safe, row))])
    return written.getvalue()


def _safe(cell: Cell) -> Cell:
    """Return a cell that no spreadsheet takes for a formula or a date.

    Examples
    --------
    >>> _safe("=HYPERLINK(0)"), _safe("1/8"), _safe(-0.25), _safe("rib 1")
    ("'=HYPERLINK(0)", "'1/8", -0.25, 'rib 1')
    """
    if not isinstance(cell, str) or isinstance(cell, _Plain):
        return cell
    text = _CONTROL.sub(" ", cell)
    if _DATE.fullmatch(text.strip()):
        return f"'{text}"
    return text if text == "-" else _FORMULA.sub(r"\1\2'", text)


def _tables(data: Mapping[str, object]) -> Iterator[tuple[str, list[Row]]]:
    facts: list[Row] = [["what", "value"]]
    # The version is for programs that read this back: it goes out as it is.
    facts += [
        ["tool", str(data["tool"])],
        ["version", _Plain(data["version"])],
        ["command", str(data["command"])],
    ]
    lists: list[tuple[str, list[Mapping[str, object]]]] = []
    _gather("", cast("Mapping[str, object]", data["inputs"]), facts, lists)
    _gather("", cast("Mapping[str, object]", data["result"]), facts, lists)
    yield "report", facts
    lists.append(("checks", cast("list[Mapping[str, object]]", data["checks"])))
    lists.append(("sources", cast("list[Mapping[str, object]]", data["sources"])))
    for name, records in lists:
        yield from _listed(name, records)
    cautions: list[Row] = [["caution"]]
    cautions += [[text] for text in cast("list[str]", data["cautions"])]
    yield "cautions", cautions


def _gather(
    path: str,
    record: Mapping[str, object],
    facts: list[Row],
    lists: list[tuple[str, list[Mapping[str, object]]]],
) -> None:
    """Sort a tree of answers into single facts and lists of records."""
    for key, value in record.items():
        name = f"{path}{key}"
        if isinstance(value, dict):
            _gather(f"{name}.", value, facts, lists)
        elif _is_table(value):
            lists.append((name, cast("list[Mapping[str, object]]", value)))
        else:
            facts.append([name, _cell(value, key)])


def _is_table(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


def _listed(name: str, records: Sequence[Mapping[str, object]]) -> Iterator[tuple[str, list[Row]]]:
    """Yield a list of records as a table, and the lists inside its records as tables after it."""
    flat: list[dict[str, Cell]] = []
    inner: dict[str, list[Mapping[str, object]]] = {}
    for record in records:
        cells: dict[str, Cell] = {}
        for key, value in _leaves("", record):
            if _is_table(value):
                parent = {"line": len(flat) + 1, **dict([*cells.items()][:1])}
                rows = cast("list[Mapping[str, object]]", value)
                inner.setdefault(key, []).extend({**parent, **row} for row in rows)
            else:
                cells[key] = _cell(value, key)
        flat.append(cells)
    headers = list(dict.fromkeys(key for cells in flat for key in cells))
    if headers:
        lines: list[Row] = [list(headers)]
        lines += [[cells.get(key, "") for key in headers] for cells in flat]
        yield name, lines
    for key, rows in inner.items():
        yield from _listed(f"{name}.{key}", rows)


def _leaves(path: str, record: Mapping[str, object]) -> Iterator[tuple[str, object]]:
    for key, value in record.items():
        if isinstance(value, dict):
            yield from _leaves(f"{path}{key}.", value)
        else:
            yield f"{path}{key}", value


def _cell(value: object, name: str = "") -> Cell:
    if isinstance(value, float) and _WEIGHED.search(name):
        return round(value, _WEIGHED_PLACES)
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str | int | float):
        return value
    if isinstance(value, list) and not any(isinstance(item, list | dict) for item in value):
        return ", ".join(str(_cell(item)) for item in value)
    return json.dumps(value, ensure_ascii=False)
