"""Cells of the sheet for the bench: which are dates or formulas, and how they are carried over."""

from __future__ import annotations

import re

from rivetkit.quantities import parse_length_in

_MONTH = (
    r"(?:jan|j\u00e4n|feb|f\u00e9v|mar|m\u00e4r|mrz|apr|abr|avr|may|mai|jun|jui|jul|aug|ago|ao\u00fb|sep"
    r"|oct|okt|nov|dec|dez|dic|d\u00e9c)[a-z]*\.?"
)
#: What a spreadsheet makes of 1/8 or 3-16 when nobody stops it, in any of its ways to write a
#: date; a day alone is counted from the year 1900, and 30000 to 59999 are 1982 to 2064.
DATE = re.compile(
    r"(?:[a-z]+(?:day|tag|woch),? *)?"
    r"(?:\d{1,4}[-/.] *\d{1,2}[-/.] *\d{2,4}"
    r"|\d{1,2}\. *\d{1,2}\."
    r"|0[1-9]\.[01]\d"
    rf"|\d{{1,2}}[-. ]*{_MONTH}(?:[-. ]*\d{{2,4}})?"
    rf"|{_MONTH}[-. ]*\d{{1,4}}(?:, *\d{{2,4}})?"
    r"|[3-5]\d{4}(?:\.\d*)?)"
    r"(?:[ t]+\d{1,2}:\d{2}(?::\d{2})?(?:\.\d+)?(?: *[ap]m)?)?",
    re.IGNORECASE,
)


_SIGNS = r"=+\-@\uff1d\uff0b\uff0d\uff20|%"
#: A cell that a spreadsheet runs as a formula or reads as a time; and one that has our mark.
_TAKEN_AMISS = re.compile(rf"[\s'{_SIGNS}]|[\d:.]+$")
#: Where a semicolon divides cells, a formula may begin after one.
_LATER_FORMULA = re.compile(rf";(?=\s*'*[{_SIGNS}])")
_SAFE_FORMULA = re.compile(rf";'(?=\s*'*[{_SIGNS}])")
#: The same where the cell is carried over as it was typed: what is marked already stays so.
_FORMULA = re.compile(rf"(?=\s*[{_SIGNS}])(?!\s*[-+]?[\d.,]*\s*$)")
_BARE_FORMULA = re.compile(rf";(?=\s*[{_SIGNS}])")


def in_column_of(text: str, unit: str, new_unit: str) -> str:
    """Return a size as typed; where the column has another unit now, with the one it was in."""
    if unit == new_unit or not text.strip():
        return text
    here_in, there_in = (parse_length_in(text.strip(), default_unit=u) for u in (unit, new_unit))
    return text if here_in == there_in else f"{text.strip()} {unit}"


def as_typed(text: str) -> str:
    """Return a cell letter for letter, save that no formula in it runs."""
    text = _BARE_FORMULA.sub(";'", text)
    return f"'{text}" if _FORMULA.match(text) else text


def safe(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula, nor hole 5 of row 1 for a time."""
    text = _LATER_FORMULA.sub(";'", text)
    return f"'{text}" if text != "-" and _TAKEN_AMISS.match(text) else text


def unsafe(text: str) -> str:
    """Return what :func:`safe` made safe."""
    text = text[1:] if text[:1] == "'" else text
    return _SAFE_FORMULA.sub(";", text)
