"""What the reader of TOML complains of, in words for somebody who writes a job file by hand."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rivetkit.errors import InputError

if TYPE_CHECKING:
    import tomllib

#: How a complaint begins, what it means and the mend.
_MEANINGS = (
    ("Cannot overwrite a value", "a key is given twice", "keep one of the two"),
    ("Cannot declare", "a table is begun twice", "write [[sheet]], [[member]] or [[row]] for each"),
    ("Unclosed array", "a list has no comma or no ] here", "write [1, 2, 3]"),
    (
        "Unclosed inline table",
        "a { has no comma or no } here",
        "write { key = value, key = value }",
    ),
    ("Unterminated string", "a text has no closing quote", "close it"),
    ("Expected '=' after a key", "a key has no =", "write key = value"),
    ("Expected ']]'", "a [[ has no ]]", "write [[row]]"),
    ("Expected ']'", "the name of a table has no ]", "write [[row]]"),
    ("Invalid value", "a value is missing", "write a number, true, false or a text in quotes"),
    ("Invalid statement", "the line begins with no key", "write key = value"),
    ("Invalid initial character for a key", "no key begins like this", "write key = value"),
    ("Expected newline", "the line goes on after its value", "write one key a line"),
    ("Unescaped '\\'", "a text has a lone backslash", "write \\\\ for each \\"),
    ("Illegal character '\\n'", "a text has no closing quote", "close it on its own line"),
)
_PLACE = re.compile(r"\s*\((?:at line (?P<line>\d+), column (?P<column>\d+)|at end of document)\)$")

_NUMBER = r"[-+]?[0-9.]+"

_NUMBER_ENDS = r"[0-9.OoIl]*\s*(?:[,\]}#]|$)"
_LETTER_FOR_DIGIT = ("a number has a letter for a digit", "write the digit that it looks like")

#: What stands before and from the place on, what that is and the mend, with the words found in
#: both: the slips of people who write sizes as they are written on a drawing.
_SLIPS = (
    (r"(?P<a>\d+)\s*$", r"/\s*(?P<b>\d+)", "a fraction stands without quotes", 'write "{a}/{b}"'),
    (
        r"(?P<a>\d+)\s+$",
        r"(?P<b>\d+\s*/\s*\d+)",
        "a fraction stands without quotes",
        'write "{a} {b}"',
    ),
    (
        r"[=\[,]\s*$",
        r"(?P<sign>[-+]?)(?P<a>\.\d+)",
        "a number begins with its point",
        "write {sign}0{a}, not {sign}{a}",
    ),
    (
        rf"(?P<a>{_NUMBER})\s*$",
        r"(?P<b>in|mm|cm|thou)",
        "a unit stands without quotes",
        'write "{a} {b}"',
    ),
    (rf"(?P<a>{_NUMBER})\s*$", r"\"", "a unit stands without quotes", 'write "{a} in"'),
    (rf"(?P<a>{_NUMBER})\s*$", r"'", "a unit stands without quotes", 'write "{a} ft"'),
    (rf"(?P<a>{_NUMBER})\s*$", r"%", "a number has a percent sign", "write {a} alone"),
    (r"[=\[,\s][-+]?0$", r"\d", "a number has an idle 0 before it", "leave the 0 out"),
    (
        rf"\b(?:from|to|at|corner|start|through)\s*=\s*(?P<a>{_NUMBER})\s*$",
        rf",\s*(?P<b>{_NUMBER})",
        "a point stands without its [ ]",
        "write [{a}, {b}]",
    ),
    (r"=\s*(?P<a>\d+)$", r",\s*(?P<b>\d+)", "a number has a decimal comma", "write {a}.{b}"),
    (
        r"=\s*(?P<a>\d+),\s*(?P<b>\d+)\s*$",
        r"[,}]",
        "a number has a decimal comma",
        "write {a}.{b}",
    ),
    (r"\]\s*$", r",\s*\[", "points stand without the [ ] round them all", "write [[1, 2], [3, 4]]"),
    (
        r"",
        "[\u201c\u201d\u201e\u2018\u2019]",
        "a quotation mark is curly, as an office program makes it",
        'type " instead',
    ),
    (r"^\s*(?P<a>[\w-]+)\s*$", r":", "a : stands where = belongs", "write {a} = value"),
    (
        r"^\s*\[\[(?P<a>[\w.]+)$",
        r"\]\]",
        "there is a {a} above that is no [[{a}]]",
        "write each one as [[{a}]]",
    ),
    (r"[0-9]\.?$", rf"[0-9.]*[OoIl]{_NUMBER_ENDS}", *_LETTER_FOR_DIGIT),
    (r"[=\[,]\s*[-+]?$", rf"[OoIl][.OoIl]*[0-9]{_NUMBER_ENDS}", *_LETTER_FOR_DIGIT),
    (r"[=\[,]\s*$", r"(yes|Yes|YES)\b", "yes is said as true", "write true"),
    (r"[=\[,]\s*$", r"(no|No|NO)\b", "no is said as false", "write false"),
    (r"[=\[,]\s*$", r"\(", "a ( stands where [ belongs", "write [x, y]"),
    (r"[=\[,]\s*$", r"(True|False)\b", "true and false are written small", "write true"),
    (r"[=\[,]\s*$", r"[^\W\d]", "a text stands without quotes", 'write it as "text"'),
)


def not_toml(error: tomllib.TOMLDecodeError, text: str, name: str) -> InputError:
    """Return the error for a file that is no TOML: the place, what is wrong there, the mend.

    Parameters
    ----------
    error
        What the reader said.
    text
        What it read.
    name
        What to call the file.
    """
    said = str(error)
    found = _PLACE.search(said)
    bare = _PLACE.sub("", said)
    if found is None or found["line"] is None:
        place = "at its end"
        what, mend = _meaning(bare)
    else:
        place = f"line {found['line']}"
        line, at = text.split("\n")[int(found["line"]) - 1], int(found["column"]) - 1
        what, mend = _slip(line[:at], line[at:]) or _meaning(bare)
        place += f", '{line.strip()}'" if len(line.strip()) <= _LONGEST_LINE else ""
    return InputError(f"this is not TOML: {place}: {what}", where=name, mend=mend)


#: A line longer than this is not repeated [characters].
_LONGEST_LINE = 60


def _slip(before: str, after: str) -> tuple[str, str] | None:
    for ends, begins, what, mend in _SLIPS:
        left, right = re.search(ends, before), re.match(begins, after)
        if left and right:
            words = left.groupdict() | right.groupdict()
            return what.format(**words), mend.format(**words)
    return None


def _meaning(said: str) -> tuple[str, str]:
    for start, what, mend in _MEANINGS:
        if said.startswith(start):
            return what, mend
    return said, "correct that place"
