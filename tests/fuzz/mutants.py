"""Bend sound text at a few places: what hands slip into, and what only ill will types.

A change is three numbers, so that hypothesis can shrink a list of them and a script can draw them
from a seed: which place, what to do there, and with what.
"""

import re
from typing import NamedTuple

#: Pieces of a job file, a CSV file or a drawing: texts, words and numbers, marks, line ends.
TOKEN = re.compile(r'"[^"\n]*"|#[^\n]*|[-+.\w]+|\n|[^\s\w]|[ \t]+')

NUMBERS = [
    "0",
    "-0.0",
    "-1",
    "1",
    "2",
    "1e-9",
    "1e-300",
    "5e-324",
    "0.0001",
    "0.02",
    "0.3333333333333333",
    "1e4",
    "9999.999",
    "1e5",
    "1e9",
    "1e16",
    "1e300",
    "1e309",
    "nan",
    "inf",
    "-inf",
    "2000001",
    "9223372036854775808",
    "1" + "0" * 60,
    "1" + "0" * 400,
    "9" * 5000,
    "0x7fffffff",
    "0x" + "f" * 5000,
    "1_000",
    "1979-05-27",
    "1979-05-27T07:32:00Z",
]
TEXTS = [
    "",
    " ",
    "3/32",
    "1/0",
    "0/1",
    "-1/8",
    "1 3/16 in",
    "2,4",
    "2.4 mm",
    "1e400 in",
    "1e-400 in",
    "5 furlongs",
    "32 thou",
    "nan",
    "inf",
    "in",
    "mm",
    "plain",
    "dimpled",
    "countersunk",
    "both",
    "blind",
    "skin",
    "rib",
    "row",
    "2024-T3",
    "7075-T6",
    "unobtanium",
    "MS20470AD4",
    "MS20470AD3-3",
    "MS20426AD3",
    "MS20470AD99",
    "MS20470AD4-99999999999999999999",
    "TMOPEN-4",
    "MS21047-3",
    "MS20470DD8-40",
    "-",
    "../../etc/passwd",
    "/dev/zero",
    "holes.csv",
    "a\\u0000b",
    "\\u202e\\u0007\\u001b[31m",
    "\N{GRINNING FACE}\N{COMBINING ACUTE ACCENT}",
    "\N{ARABIC-INDIC DIGIT THREE}",
    "\N{VULGAR FRACTION ONE HALF}",
    "<script>alert(1)</script>",
    "]]>&amp;\\\"'",
    "=1+1",
    "{{ 7 * 7 }}",
    "%s%n{0}",
    "x" * 3000,
    "\ufeff",
    "\u2028",
    "\\uFFFE",
]
#: What stands in a job file where a value is expected.
VALUES = [
    *NUMBERS,
    *(f'"{text}"' for text in TEXTS),
    "true",
    "false",
    "[]",
    "{}",
    "[[]]",
    "[1]",
    "[1, 2]",
    "[1, 2, 3]",
    "[[0, 0], [0, 0]]",
    "[[0, 0], [1e-12, 0]]",
    "[[0, 0], [10, 0], [10, 6]]",
    "[nan, inf]",
    "[true, false]",
    '["3/32", "1 mm"]',
    "{ a = 1 }",
    "{ width = 1 }",
    '{ alloy = "2024-T3", thickness = 0.1 }',
    "{ rectangle = { corner = [0, 0], width = 1, height = 1 } }",
    "[{ at = [0, 0] }, { at = [0, 0], angle = 1e300 }]",
    "[" * 60 + "]" * 60,
    "[" * 3000 + "]" * 3000,
    "{ a = " * 200 + "1" + "}" * 200,
    "'''\n'''",
    '"""\n\n"""',
]
#: What can stand between two tokens, or in a cell.
PIECES = [*TEXTS, *NUMBERS, "[", "]", "{", "}", "=", ",", ";", "\t", "\n", "\r\n", '"', "'", "\0"]

KINDS = (
    "nudge",
    "nudge",
    "nudge",
    "nudge",
    "retext",
    "retext",
    "value",
    "value",
    "value",
    "number",
    "drop",
    "double",
    "misspell",
    "piece",
    "cut",
    "swap",
    "drop line",
    "double line",
    "wrap",
)


#: What a slip of the pen makes of a number.
NUDGES = (
    lambda number: number / 2.0,
    lambda number: number * 0.999,
    lambda number: number * 1.001,
    lambda number: number * 1.5,
    lambda number: number * 10.0,
    lambda number: number / 10.0,
    lambda number: number * 25.4,
    lambda number: -number,
    lambda number: number + 1.0,
    lambda number: number - 1.0,
    lambda number: number + 1e-7,
    lambda number: 0.0 * number,
)


class Change(NamedTuple):
    """One bend of a text: the place, the way and the material, each taken modulo what there is."""

    place: int
    kind: int
    pick: int


def bent(text, changes):
    """Return a text with some changes made to it, token by token."""
    tokens = TOKEN.findall(text)
    for change in changes:
        if not tokens:
            break
        kind = KINDS[change.kind % len(KINDS)]
        _CHANGERS[kind](tokens, change.place, change.pick)
    return "".join(tokens)


def _at(tokens, place, pattern):
    """Return the position of a token that matches, the nearest from ``place`` on; else any."""
    fitting = [number for number, token in enumerate(tokens) if re.match(pattern, token)]
    return fitting[place % len(fitting)] if fitting else place % len(tokens)


def _value(tokens, place, pick):
    tokens[_at(tokens, place, r'"|[-+.\d]|true|false')] = VALUES[pick % len(VALUES)]


def _number(tokens, place, pick):
    tokens[_at(tokens, place, r"[-+.\d]")] = NUMBERS[pick % len(NUMBERS)]


def _nudge(tokens, place, pick):
    at = _at(tokens, place, r"[-+]?\.?\d")
    try:
        number = float(tokens[at])
    except ValueError:
        return
    tokens[at] = f"{NUDGES[pick % len(NUDGES)](number):.12g}"


def _retext(tokens, place, pick):
    at, other = _at(tokens, place, '"'), _at(tokens, pick, '"')
    tokens[at] = tokens[other]


def _drop(tokens, place, _pick):
    del tokens[place % len(tokens)]


def _double(tokens, place, _pick):
    at = place % len(tokens)
    tokens.insert(at, tokens[at])


def _misspell(tokens, place, pick):
    at = _at(tokens, place, r"[a-zA-Z_]")
    word = tokens[at]
    letter = pick % max(len(word), 1)
    tokens[at] = word[:letter] + word[letter + 1 :]


def _piece(tokens, place, pick):
    tokens.insert(place % len(tokens), PIECES[pick % len(PIECES)])


def _cut(tokens, place, _pick):
    del tokens[place % len(tokens) :]


def _swap(tokens, place, pick):
    one, other = place % len(tokens), pick % len(tokens)
    tokens[one], tokens[other] = tokens[other], tokens[one]


def _line(tokens, place):
    at = place % len(tokens)
    start = max((n + 1 for n in range(at) if tokens[n] == "\n"), default=0)
    stop = next((n + 1 for n in range(at, len(tokens)) if tokens[n] == "\n"), len(tokens))
    return start, stop


def _drop_line(tokens, place, _pick):
    start, stop = _line(tokens, place)
    del tokens[start:stop]


def _double_line(tokens, place, pick):
    start, stop = _line(tokens, place)
    at = _line(tokens, pick)[0]
    tokens[at:at] = tokens[start:stop]


def _wrap(tokens, place, pick):
    at = _at(tokens, place, r'"|[-+.\d]')
    depth = (1, 1, 2, 50)[pick % 4]
    tokens[at] = "[" * depth + tokens[at] + "]" * depth


_CHANGERS = {
    "nudge": _nudge,
    "retext": _retext,
    "value": _value,
    "number": _number,
    "drop": _drop,
    "double": _double,
    "misspell": _misspell,
    "piece": _piece,
    "cut": _cut,
    "swap": _swap,
    "drop line": _drop_line,
    "double line": _double_line,
    "wrap": _wrap,
}

#: Arguments nobody expects, each put in place of another or between two.
ODD_ARGUMENTS = [
    *TEXTS,
    *NUMBERS,
    "-",
    "--",
    "---",
    "-h",
    "--help",
    "--version",
    "--json",
    "--explain",
    "--units",
    "mm",
    "in",
    "--format",
    "csv",
    "html",
    "svg",
    "json",
    "--rule-set",
    "amt",
    "army",
    "--override",
    "edge_distance_min_flush",
    "2D",
    "0 in",
    "999999999999999999999999999999D",
    "--output=",
    "--nonsense=1",
    "-x",
    "#40",
    "no40",
    "#999",
    "F",
    "z",
    "\x1b[2J",
    "\x07",
    "a\nb",
    "\udcff",
    "1:2",
    "1,2",
    "1,2:3,4",
    "nan,nan",
    "inf,0:1,1",
    "1e9,1e9",
    "0:0",
    "5:1",
    "rib=?",
    "=?",
    "rib=.25",
    "x" * 100_000,
    ".032:dimpled",
    "skin=.032:countersunk",
    ":",
    "=",
    ",",
    ";",
    "°",
    "70F",
    "-500F",
    "21 C",
    "1e300 lbf",
    "100 lbf",
    "100%",
    "1e6",
    "99999",
]
ARGUMENT_KINDS = ("odd", "odd", "odd", "number", "number", "drop", "double", "add", "swap", "bend")


def bent_arguments(arguments, changes):
    """Return a command line with some changes made to it; the command's own name is kept."""
    name, *rest = arguments
    for change in changes:
        kind = ARGUMENT_KINDS[change.kind % len(ARGUMENT_KINDS)]
        odd = ODD_ARGUMENTS[change.pick % len(ODD_ARGUMENTS)]
        if not rest or kind == "add":
            rest.insert(change.place % (len(rest) + 1), odd)
            continue
        at = change.place % len(rest)
        if kind == "odd":
            rest[at] = odd
        elif kind == "number":
            rest[_at(rest, change.place, r"[.\d]")] = NUMBERS[change.pick % len(NUMBERS)]
        elif kind == "drop":
            del rest[at]
        elif kind == "double":
            rest.insert(at, rest[at])
        elif kind == "swap":
            other = change.pick % len(rest)
            rest[at], rest[other] = rest[other], rest[at]
        else:
            rest[at] = bent(rest[at], [Change(change.pick, change.place, change.pick)])
    return [name, *rest]
