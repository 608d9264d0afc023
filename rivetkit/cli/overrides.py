"""Overrides of a rule as typed on the command line."""

from __future__ import annotations

import re
from fractions import Fraction

from rivetkit.errors import InputError
from rivetkit.rules import Override

_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+)"
_VALUE = re.compile(rf"\s*({_NUMBER})\s*([A-Za-z%]*)\s*")
_UNITS = {
    "D": "D",
    "d": "D",
    "t": "t",
    "T": "t",
    "in": "in",
    "mm": "mm",
    "%": "percent",
    "percent": "percent",
    "fraction": "fraction",
    "count": "count",
}
_MEND = "write a number and its unit: 2.5D, 3t, 0.25 in, 6 mm, 20 percent or 10 count"


def parse_override(question: str, value: str, source: str) -> Override:
    """Return an override from its three texts.

    Parameters
    ----------
    question
        The rule to replace, by name.
    value
        Number and unit: ``2.5D``, ``3t``, ``0.25 in``, ``6 mm``, ``20 percent``, ``10 count``.
    source
        The aircraft maker's document it comes from.

    Raises
    ------
    InputError
        When the value has no number or no unit that a rule can have.

    Examples
    --------
    >>> parse_override("edge_distance_min_flush", "2.0D", "maker's drawing 12")
    Override(question='edge_distance_min_flush', value=2.0, unit='D', source="maker's drawing 12")
    """
    where = f"--override {question}"
    match = _VALUE.fullmatch(value)
    if match is None:
        raise InputError(f"'{value}' is no number with a unit", where=where, mend=_MEND)
    number, unit = match.groups()
    if unit not in _UNITS:
        what = f"unit '{unit}' in '{value}' is not known" if unit else f"'{value}' has no unit"
        raise InputError(what, where=where, mend=_MEND)
    try:
        amount = float(sum(Fraction(part) for part in number.split()))
    except ZeroDivisionError:
        raise InputError(f"'{value}' divides by zero", where=where, mend=_MEND) from None
    return Override(question, amount, _UNITS[unit], source)
