"""Words of a job file that are no keys: refused first, for they explain what seems missing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rivetkit.errors import InputError
from rivetkit.job.fields import nearest_word
from rivetkit.job.keys.every import TABLES, TOP

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from rivetkit.job.keys.key import TableKeys


def refuse_unknown_keys(data: Mapping[str, Any], name: str) -> None:
    """Refuse a job with a word in it that is no key there.

    Parameters
    ----------
    data
        The job as TOML gave it.
    name
        What to call the file.

    Raises
    ------
    InputError
        At the first such word; the mend is the key it is nearest to.
    """
    _refuse(data, TABLES[TOP], name, ())


#: The tables round a table, from the outermost: their keys, and what messages call them.
_Outer = tuple[tuple["TableKeys", str], ...]


def _refuse(data: Mapping[str, Any], table: TableKeys, where: str, outer: _Outer) -> None:
    for key in data:
        if key not in table.keys:
            raise InputError(f"unknown key '{key}'", where=where, mend=_mend(key, table, outer))
    for key, value in data.items():
        described = TABLES.get(table.keys[key].table)
        if described is not None:
            for place, item in _tables(key, value):
                round_it = (*outer, (table, where.rpartition(": ")[2]))
                _refuse(item, described, f"{where}: {place}", round_it)


def _mend(key: str, table: TableKeys, outer: _Outer) -> str:
    """Return the key that is meant, or where it belongs: a [table] takes every line after it."""
    for number, (around, place) in reversed(list(enumerate(outer))):
        if key in around.keys:
            belongs = place if number else "the whole file"
            return f"it belongs to {belongs}: move it up, before the line that begins this table"
    return nearest_word(key.lower(), list(table.keys)) or f"keys here are {', '.join(table.keys)}"


def _tables(key: str, value: Any) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield the tables at a key, with the words for their places."""
    if isinstance(value, dict):
        yield key, value
    for number, item in enumerate(value if isinstance(value, list) else [], 1):
        if isinstance(item, dict):
            name = item.get("name")
            named = key in _NAMED and isinstance(name, str)
            yield (f"{key} '{name}'" if named else f"{key} {number}"), item


#: Tables that messages call by their names.
_NAMED = ("sheet", "member", "row")
