"""Read the keys of a job file one by one; every complaint names the file and the key."""

from __future__ import annotations

import difflib
import math
import re
from typing import TYPE_CHECKING, Any, TypeVar

from rivetkit.checks import MM_PER_IN
from rivetkit.errors import InputError, RivetkitError
from rivetkit.job.model import FARTHEST_IN
from rivetkit.quantities import length_words, parse_length_in

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from rivetkit.geometry.curves import Point

ValueT = TypeVar("ValueT")

#: No number of a job is greater, whatever it counts or measures.
_GREATEST = 1e9

#: Control characters, line ends of other alphabets, and code points that are no letters.
_NO_LETTER = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")

#: More of a value than this tells nobody anything [characters].
_LONGEST = 80

_MISSING: Any = object()


class Fields:
    """One table of a job file, at a known place.

    Parameters
    ----------
    data
        The table as TOML gave it.
    where
        File and key path, for messages.
    unit
        Unit of bare numbers in this job, ``in`` or ``mm``.
    """

    def __init__(self, data: Mapping[str, Any], where: str, unit: str) -> None:
        self.data = data
        self.where = where
        self.unit = unit
        self._used: set[str] = set()

    def __contains__(self, key: str) -> bool:
        return key in self.data

    def rename(self, where: str) -> None:
        """Give the table a better name for messages, once its own name key is known."""
        self.where = where

    def at(self, key: str) -> str:
        """Return the place of a key, for messages."""
        return f"{self.where}: {key}"

    def refuse(self, key: str, what: str, mend: str) -> InputError:
        """Return the error for a key, ready to raise."""
        return InputError(what, where=self.at(key), mend=mend)

    def raw(self, key: str, default: Any = _MISSING) -> Any:
        """Return a value as TOML gave it; without a default the key is required."""
        self._used.add(key)
        if key in self.data:
            return self.data[key]
        if default is _MISSING:
            raise self._missing(key)
        return default

    def text(self, key: str, default: Any = _MISSING) -> str:
        """Return a non-empty text."""
        value = self.raw(key, default)
        if value is default:
            return default  # type: ignore[no-any-return]
        return self._as_text(value, key)

    def _as_text(self, value: Any, key: str) -> str:
        if not isinstance(value, str):
            raise self.refuse(key, f"{told(value)} is no text", "write it in quotes")
        if not value.strip():
            raise self.refuse(key, "the text is empty", "write something between the quotes")
        self.require_plain(key, value)
        return value.strip()

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of non-empty texts; none when the key is missing."""
        value = self.raw(key, [])
        if not isinstance(value, list):
            raise self.refuse(key, f"{told(value)} is no list of texts", 'write ["...", "..."]')
        return tuple(self._as_text(item, f"{key} {n}") for n, item in enumerate(value, 1))

    def require_plain(self, key: str, text: str) -> None:
        """Refuse a text that no drawing, list or label can hold."""
        if _NO_LETTER.search(text):
            raise self.refuse(
                key,
                f"{told(text)} holds a line break or another letter that cannot be printed",
                "write it in one line of plain letters",
            )

    def choice(self, key: str, allowed: Sequence[str], default: Any = _MISSING) -> str:
        """Return one of some words."""
        value = self.text(key, default)
        if value is not default and value not in allowed:
            raise self.refuse(
                key,
                f"'{value}' is not known here",
                nearest_word(value, allowed) or f"write one of {', '.join(allowed)}",
            )
        return value

    def flag(self, key: str, *, default: bool) -> bool:
        """Return true or false."""
        value = self.raw(key, default)
        if not isinstance(value, bool):
            raise self.refuse(
                key, f"{told(value)} is neither true nor false", "write true or false"
            )
        return value

    def whole(self, key: str, default: Any = _MISSING, *, least: int = 0) -> int:
        """Return a whole number no smaller than ``least``."""
        value = self.raw(key, default)
        if value is default and key not in self.data:
            return default  # type: ignore[no-any-return]
        if isinstance(value, bool) or not isinstance(value, int) or value < least:
            raise self.refuse(
                key, f"{told(value)} does not count", f"write a whole number, {least} or more"
            )
        if value > _GREATEST:
            raise self.refuse(key, f"{told(value)} is more than anybody counts", "check the number")
        return value

    def number(self, key: str, default: Any = _MISSING, *, least: float = -math.inf) -> float:
        """Return a finite number no smaller than ``least``."""
        value = self.raw(key, default)
        if value is default and key not in self.data:
            return default  # type: ignore[no-any-return]
        good = isinstance(value, int | float) and not isinstance(value, bool)
        if not good or not least <= value <= _GREATEST or value < -_GREATEST:
            need = "a number" if least == -math.inf else f"a number, {least:g} or more"
            raise self.refuse(key, f"{told(value)} is not {need}", f"write {need}")
        return float(value)

    def length_in(self, key: str, default: Any = _MISSING, *, allow_zero: bool = False) -> float:
        """Return a length [in]; a bare number is in the job's unit."""
        value = self.raw(key, default)
        if value is default and key not in self.data:
            return default  # type: ignore[no-any-return]
        return self.place(
            key, lambda: parse_length_in(value, default_unit=self.unit, allow_zero=allow_zero)
        )

    def point(self, key: str) -> Point:
        """Return a point ``[x, y]`` [in]."""
        return self.as_point(self.raw(key), key)

    def points(self, key: str, *, least: int = 1) -> list[Point]:
        """Return a list of points [in], at least so many."""
        value = self.raw(key)
        if not isinstance(value, list):
            raise self.refuse(
                key, f"{told(value)} is no list of points", "write [[x, y], [x, y], ...]"
            )
        if len(value) < least:
            raise self.refuse(
                key, f"there are {len(value)} points, {least} are needed", "add points"
            )
        return [self.as_point(item, f"{key} {number}") for number, item in enumerate(value, 1)]

    def as_point(self, value: Any, key: str) -> Point:
        """Read one point that stands at ``key``."""
        if not isinstance(value, list) or len(value) != len(("x", "y")):
            raise self.refuse(key, f"{told(value)} is no point", "write it as [x, y]")
        return (self._coordinate(value[0], key), self._coordinate(value[1], key))

    def table(self, key: str, default: Any = _MISSING) -> Fields:
        """Return a sub-table."""
        value = self.raw(key, default)
        if value is default and key not in self.data:
            return default  # type: ignore[no-any-return]
        if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
            raise self.refuse(
                key, "it is told once", "begin it with single brackets: [ ], not [[ ]]"
            )
        if not isinstance(value, dict):
            raise self.refuse(key, f"{told(value)} is no table", "write it as { key = value, ... }")
        return Fields(value, self.at(key), self.unit)

    def tables(self, key: str) -> Iterator[Fields]:
        """Yield the tables of a list; none when the key is absent."""
        value = self.raw(key, [])
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise self.refuse(
                key,
                "this is no list of tables",
                f"start each one with [[{key}]] or write [{{...}}]",
            )
        for number, item in enumerate(value, 1):
            yield Fields(item, f"{self.where}: {key} {number}", self.unit)

    def place(self, key: str, read: Callable[[], ValueT]) -> ValueT:
        """Run a reader, putting this key's place before whatever it complains of."""
        try:
            return read()
        except RivetkitError as error:
            raise error.at(self.at(key)) from None

    def done(self) -> None:
        """Refuse a key that nothing asked for: it would be ignored in silence."""
        for key in self.data:
            if key not in self._used:
                raise self.refuse(
                    key,
                    "it has nothing to tell beside the other keys here",
                    "leave it out; 'rivetkit schema --keys' tells what goes together",
                )

    def only_one_of(self, *keys: str, need: bool = True) -> str:
        """Return which of some keys is given; at most one may be, and one must if ``need``."""
        given = [key for key in keys if key in self.data]
        if len(given) > 1:
            raise self.refuse(given[1], f"it stands beside '{given[0]}'", "give only one of them")
        if not given and need:
            raise InputError(
                f"none of {', '.join(keys)} is given", where=self.where, mend="give one of them"
            )
        return given[0] if given else ""

    def _coordinate(self, value: Any, key: str) -> float:
        if type(value) is float or type(value) is int:  # thousands of holes: the quick way
            known = self.unit == "in" or not abs(value) <= _GREATEST
            inches = value if known else value / MM_PER_IN
        else:
            inches = self.place(
                key,
                lambda: parse_length_in(
                    value, default_unit=self.unit, allow_zero=True, allow_negative=True
                ),
            )
        if not abs(inches) <= FARTHEST_IN:
            raise self.refuse(
                key,
                f"{told(value)} is no place on a skin",
                length_words("stay within {most}", most=FARTHEST_IN),
            )
        return float(inches)

    def _missing(self, key: str) -> InputError:
        return InputError(f"no '{key}' is given", where=self.where, mend="add it")


def told(value: Any) -> str:
    """Return a value as a person wrote it, short enough for a message.

    Examples
    --------
    >>> told("12 mm"), told([1, 2])
    ("'12 mm'", '[1, 2]')
    """
    try:
        text = repr(value)
    except (ValueError, RecursionError):  # Python writes no number of thousands of digits
        return "a number of thousands of digits"
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 3]}..."


#: Other words of the shop for what a job file calls by one; common practice, no source.
_SHOP_WORDS = {
    "bulkhead": "frame",
    "former": "frame",
    "longeron": "stringer",
    "stiffener": "stringer",
    "inch": "in",
    "inches": "in",
    "millimetres": "mm",
    "millimeters": "mm",
    "csk": "countersunk",
    "none": "plain",
    "flat": "plain",
}


def nearest_word(word: str, words: Sequence[str]) -> str:
    """Return "did you mean ...?" when a word is near a known one, else an empty text.

    >>> nearest_word("bulkhead", ("rib", "frame"))
    "did you mean 'frame'?"
    """
    near = difflib.get_close_matches(word, words, n=1)
    meant = _SHOP_WORDS.get(word.lower(), "")
    if meant in words:
        near = [meant]
    return f"did you mean '{near[0]}'?" if near else ""
