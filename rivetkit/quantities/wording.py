"""Texts that know the lengths in them, so that a refusal can be worded in the unit asked for.

A calculator knows inches only, and not who asks. It words a message with its lengths as values; the
command line, which knows the unit, words it again. Said in no unit in particular it is in inches.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Self

from rivetkit.quantities.units import to_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from rivetkit.errors import RivetkitError

#: Decimals of a length in a text, as in a report: a tenth of a thou, a micrometre.
_DECIMALS = {"in": 4, "mm": 3}

#: What may stand in a text: a length [in], a place [in], or words.
Value = float | tuple[float, float] | str


class LengthWords(str):
    """A text with lengths in it, in inches until it is asked for in another unit.

    Parameters
    ----------
    template
        The text, with a name in braces for each value.
    values
        What stands for the names: a float is a length [in], told to a tenth of a thou or to a
        micrometre where the template asks for no other; two are a place; a text stands there as it
        is, or in the same unit if it knows its lengths.
    unit
        Unit of the lengths.
    """

    __slots__ = ("template", "unit", "values")

    template: str
    values: Mapping[str, Value]
    unit: str

    def __new__(cls, template: str, values: Mapping[str, Value], unit: str = "in") -> Self:
        """Word the text."""
        told = {name: _worded(value, unit) for name, value in values.items()}
        words = super().__new__(cls, template.format(**told))
        words.template, words.values, words.unit = template, values, unit
        return words

    def __getnewargs__(self) -> tuple[str, Mapping[str, Value], str]:  # type: ignore[override]
        """Return what a copy is made from."""
        return self.template, self.values, self.unit


class _Lengths:
    """A length, or a place by two of them, that is formatted with its unit."""

    def __init__(self, values_in: Sequence[float], unit: str) -> None:
        self._values_in = values_in
        self._unit = unit

    def __format__(self, spec: str) -> str:
        numbers = [_number(value_in, self._unit, spec) for value_in in self._values_in]
        told = numbers[0] if len(numbers) == 1 else f"({', '.join(numbers)})"
        return f"{told} {self._unit}"


def _number(value_in: float, unit: str, spec: str) -> str:
    """Return a length [in] as a number without idle zeros, and never as nought when it is not."""
    if not math.isfinite(value_in):
        return f"{value_in}"
    amount = to_unit(value_in, unit)
    if spec:
        return f"{amount:{spec}}"
    told = f"{amount:.{_DECIMALS.get(unit, 4)}f}".rstrip("0").removesuffix(".")
    return f"{amount:.3g}" if not told.strip("-0.") and amount else told


def _worded(value: Value, unit: str) -> _Lengths | str:
    if isinstance(value, str):
        return words_in_unit(value, unit)
    return _Lengths(value if isinstance(value, tuple) else (value,), unit)


def length_words(template: str, /, **values: Value) -> LengthWords:
    """Return a text that knows the lengths [in] in it.

    A value that is a float is a length [in], two are a place; a text stands there as it is.

    Parameters
    ----------
    template
        The text, with the name of each value in braces, and how to format it if you like.

    Examples
    --------
    >>> said = length_words("'{name}' is {width} wide, {over:.2g} too much", name="rib",
    ...                     width=0.5, over=0.0137)
    >>> print(said)
    'rib' is 0.5 in wide, 0.014 in too much
    >>> print(words_in_unit(said, "mm"))
    'rib' is 12.7 mm wide, 0.35 mm too much
    """
    return LengthWords(template, values)


def joined_words(between: str, texts: Sequence[str]) -> str:
    """Return texts in a row with something between them, which still knows their lengths.

    Examples
    --------
    >>> sizes = [length_words("{size}", size=size_in) for size_in in (0.125, 0.25)]
    >>> print(words_in_unit(joined_words(" or ", sizes), "mm"))
    3.175 mm or 6.35 mm
    """
    names = [f"text_{number}" for number in range(len(texts))]
    return LengthWords(
        between.join(f"{{{name}}}" for name in names), dict(zip(names, texts, strict=True))
    )


def words_changed(text: str, change: Callable[[str], str]) -> str:
    """Return a text with something done to the words in it, which still knows its lengths.

    Parameters
    ----------
    text
        The text. Of one that knows its lengths only what stands for a name is changed.
    change
        What to do to each piece.

    Examples
    --------
    >>> said = length_words("{name} is {width} wide", name="<1>", width=0.5)
    >>> print(words_in_unit(words_changed(said, lambda text: text.replace("<1>", "rib")), "mm"))
    rib is 12.7 mm wide
    """
    if not isinstance(text, LengthWords):
        return change(text)
    values = {
        name: words_changed(value, change) if isinstance(value, str) else value
        for name, value in text.values.items()
    }
    return LengthWords(text.template, values, text.unit)


def words_in_unit(text: str, unit: str) -> str:
    """Return a text with its lengths in a unit; one that knows of none stays as it is.

    Raises
    ------
    InputError
        When no length unit has that name.
    """
    return LengthWords(text.template, text.values, unit) if isinstance(text, LengthWords) else text


def error_in_unit(error: RivetkitError, unit: str) -> RivetkitError:
    """Return an error with the lengths in its words in a unit.

    Raises
    ------
    InputError
        When no length unit has that name.

    Examples
    --------
    >>> from rivetkit.errors import InputError
    >>> thick = InputError(length_words("{it} is too thick", it=1.5), mend="give less")
    >>> print(error_in_unit(thick, "mm"))
    38.1 mm is too thick; give less
    """
    what, mend = words_in_unit(error.what, unit), words_in_unit(error.mend, unit)
    return type(error)(what, where=error.where, mend=mend)


def words_of(error: RivetkitError) -> str:
    """Return the line an error is, which still knows the lengths in it.

    Examples
    --------
    >>> from rivetkit.errors import InputError
    >>> thick = InputError(length_words("{it} is too thick", it=1.5), where="rib", mend="give less")
    >>> print(words_of(thick), "|", words_in_unit(words_of(thick), "mm"))
    rib: 1.5 in is too thick; give less | rib: 38.1 mm is too thick; give less
    """
    return length_words(
        "{where}{what}{mend}",
        where=f"{error.where}: " if error.where else "",
        what=error.what,
        mend=length_words("; {mend}", mend=error.mend) if error.mend else "",
    )
