"""Words of a job file that are no keys: refused first, for they explain what seems missing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rivetkit.errors import InputError
from rivetkit.job.fields import nearest_word
from rivetkit.job.job_keys import TABLES, TOP

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from rivetkit.job.keys import TableKeys


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
    _refuse(data, TABLES[TOP], name)


def _refuse(data: Mapping[str, Any], table: TableKeys, where: str) -> None:
    for key in data:
        if key not in table.keys:
            near = nearest_word(key.lower(), list(table.keys))
            raise InputError(
                f"unknown key '{key}'",
                where=where,
                mend=near or f"keys here are {', '.join(table.keys)}",
            )
    for key, value in data.items():
        described = TABLES.get(table.keys[key].table)
        if described is not None:
            for place, item in _tables(key, value):
                _refuse(item, described, f"{where}: {place}")


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
