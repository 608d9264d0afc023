"""The JSON Schema of a job file, for editors: made from the description of its keys."""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING, Any

from rivetkit.job.keys.every import TABLES, TOP
from rivetkit.rules import rule_questions, rule_set_names

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.job.keys.key import Key, TableKeys

Schema = dict[str, Any]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"

#: A digit or a ready-made fraction; the reader has the say on units, so this stays loose.
_HAS_NUMBER = "[0-9\u00bc-\u00be\u2150-\u215e]"


def job_schema() -> Schema:
    """Return the JSON Schema (draft 2020-12) of a job file as plain data.

    It takes whatever the reader takes. What needs reckoning, an outline that closes or a row that
    fits its path, only the reader can refuse.

    Examples
    --------
    >>> job_schema()["properties"]["units"]["enum"]
    ['in', 'mm']
    """
    definitions = {name: _table(keys) for name, keys in TABLES.items() if name != TOP}
    return {
        "$schema": _DIALECT,
        "title": "rivetkit job",
        **_table(TABLES[TOP]),
        "$defs": definitions | _measures(),
    }


def _measures() -> dict[str, Schema]:
    written = {"type": "string", "pattern": _HAS_NUMBER}
    coordinate = {"anyOf": [{"type": "number"}, written]}
    return {
        "length": {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, written]},
        "length_or_zero": {"anyOf": [{"type": "number", "minimum": 0}, written]},
        "point": {"type": "array", "items": coordinate, "minItems": 2, "maxItems": 2},
    }


def _table(table: TableKeys) -> Schema:
    schema: Schema = {
        "description": table.help,
        "type": "object",
        "properties": {name: _property(key) for name, key in table.keys.items()},
        "additionalProperties": False,
    }
    required = [name for name, key in table.keys.items() if key.required]
    if required:
        schema["required"] = required
    conditions = [
        *({"oneOf": _each_given(group)} for group in table.exactly_one),
        *({"anyOf": _each_given(group)} for group in table.at_least_one),
        *chain.from_iterable(_conditions(name, key) for name, key in table.keys.items()),
    ]
    if conditions:
        schema["allOf"] = conditions
    return schema


def _each_given(names: tuple[str, ...]) -> list[Schema]:
    return [{"required": [name]} for name in names]


def _conditions(name: str, key: Key) -> Iterator[Schema]:
    """Yield what a key asks of its neighbours once it is given, or once a flag is true."""
    given: Schema = {"required": [name]}
    if key.kind == "flag":
        given["properties"] = {name: {"const": True}}
    if key.needs:
        yield {"if": given, "then": {"required": list(key.needs)}}
    if key.needs_one:
        yield {"if": given, "then": {"anyOf": _each_given(key.needs_one)}}
    if key.without:
        yield {"if": given, "then": {"not": {"anyOf": _each_given(key.without)}}}


def _property(key: Key) -> Schema:
    schema: Schema = {"description": key.help, **_value(key)}
    if key.default is not None:
        schema["default"] = key.default
    return schema


def _value(key: Key) -> Schema:
    makers = {
        "text": _text,
        "part number": _text,
        "rule set": lambda _: {"type": "string", "enum": list(rule_set_names())},
        "rule": lambda _: {"type": "string", "enum": list(rule_questions())},
        "choice": lambda key: {"type": "string", "enum": list(key.words)},
        "flag": lambda _: {"type": "boolean"},
        "count": lambda key: {"type": "integer", "minimum": key.least},
        "number": _number,
        "length": lambda key: _ref("length_or_zero" if key.zero else "length"),
        "point": lambda _: _ref("point"),
        "points": lambda key: _list(_ref("point"), key.least),
        "table": lambda key: _ref(key.table),
        "tables": lambda key: _list(_ref(key.table), key.least),
        "edge names": lambda _: _list({"type": "string", "minLength": 1}, 4) | {"maxItems": 4},
        "layers": lambda key: _list({"anyOf": [_text(key), _ref(key.table)]}, key.least),
        "hole numbers": _hole_numbers,
        "texts": _texts,
    }
    return makers[key.kind](key)


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _list(items: Schema, least: float | None) -> Schema:
    return {"type": "array", "items": items, **({"minItems": least} if least else {})}


def _text(key: Key) -> Schema:
    # Where nothing stands for the key when it is left out, an empty text says the same.
    return {"type": "string"} if key.default == "" else {"type": "string", "pattern": r"\S"}


def _number(key: Key) -> Schema:
    return {"type": "number", **({} if key.least is None else {"minimum": key.least})}


def _texts(_: Key) -> Schema:
    return _list({"type": "string", "minLength": 1}, None)


def _hole_numbers(_: Key) -> Schema:
    number: Schema = {"type": "integer", "minimum": 1}
    return {"anyOf": [number, _list(number, None)]}
