"""What there is to tell of a key of a job file and of the tables it stands in."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Kind = Literal[
    "text",
    "part number",
    "rule set",
    "rule",
    "choice",
    "flag",
    "count",
    "number",
    "length",
    "point",
    "points",
    "table",
    "tables",
    "edge names",
    "layers",
    "hole numbers",
    "texts",
]


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table.

    Parameters
    ----------
    kind
        What its value is.
    help
        What it means, in a line.
    required
        Whether the table is nothing without it.
    default
        What stands for it when it is left out; None when nothing or something reckoned does.
    words
        What a choice is made from.
    table
        Name of the description of its sub-table or sub-tables.
    least
        Least number, or least length of a list.
    zero
        Whether a length may be zero.
    needs, needs_one, without
        Keys that must all stand beside it, of which one at least must, and that must not. For a
        flag: when it is true.
    """

    kind: Kind
    help: str
    required: bool = False
    default: str | float | bool | None = None
    words: tuple[str, ...] = ()
    table: str = ""
    least: float | None = None
    zero: bool = False
    needs: tuple[str, ...] = ()
    needs_one: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TableKeys:
    """The keys of a table.

    ``exactly_one`` and ``at_least_one`` are groups of keys that exclude or replace each other.
    """

    help: str
    keys: dict[str, Key]
    exactly_one: tuple[tuple[str, ...], ...] = field(default=())
    at_least_one: tuple[tuple[str, ...], ...] = field(default=())
