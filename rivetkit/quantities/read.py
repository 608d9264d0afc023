"""Find the number and the unit in what a person typed."""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction

from rivetkit.errors import InputError

_LONGEST_TEXT = 60

_NUMBER_TEXT = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?: (?: (?P<whole>[0-9]+) (?:\s+|-) )? (?P<top>[0-9]+) \s*/\s* (?P<bottom>[0-9]+) (?![0-9.])
      | (?P<decimal> (?:[0-9]+\.?[0-9]*|\.[0-9]+) (?:e[+-]?[0-9]{1,3}(?![0-9]))? ) )""",
    re.VERBOSE | re.IGNORECASE,
)
#: A number with a letter in it that looks like a digit: O for 0, I or l for 1.
_LETTER_IN_NUMBER = re.compile(
    r"(?<![A-Za-z0-9./])(?=[./OoIl]*[0-9])[0-9./OoIl]*[OoIl][0-9./OoIl]*(?![A-Za-z])"
)
_DIGIT_LIKE = str.maketrans("OoIl", "0011")
_NOT_FINITE = re.compile(r"[+-]?\s*(?:nan|inf|infinity|\N{INFINITY})(?![a-z]).*", re.IGNORECASE)
_DEGREE = re.compile(r"(?:degrees?|deg\.?|\N{DEGREE SIGN})\s*(?=[fck])", re.IGNORECASE)
_UNIT_WORD = re.compile(
    r"[a-z\N{MICRO SIGN}\N{GREEK SMALL LETTER MU}]+|[\"'%\N{DEGREE SIGN}]", re.IGNORECASE
)
_TYPED_ALIKE = str.maketrans(
    {
        "\N{MINUS SIGN}": "-",
        "\N{EN DASH}": "-",
        "\N{NON-BREAKING HYPHEN}": "-",
        "\N{FRACTION SLASH}": "/",
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{PRIME}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    }
)


def shown(text: object) -> str:
    """Return what a person gave as one short printable line, for a message.

    Examples
    --------
    >>> shown("two  lines")
    'two lines'
    """
    line = " ".join(str(text).split())
    line = "".join(letter if letter.isprintable() else "?" for letter in line)
    return line if len(line) <= _LONGEST_TEXT else f"{line[: _LONGEST_TEXT - 3]}..."


def refusal(what: str, text: object, says: str, mend: str) -> InputError:
    """Return the error that says what is wrong with what a person gave."""
    return InputError(f"{what} '{shown(text)}' {says}", mend=mend)


def read_amount(text: object, *, what: str, example: str) -> tuple[Fraction, bool, str]:
    """Return the number in some text, whether it was written as a fraction, and the unit's word.

    The word is as typed, or empty; it may be no unit at all.

    Parameters
    ----------
    text
        Text, int or float.
    what
        What it is, for the message.
    example
        The mend that shows how to write it.

    Raises
    ------
    InputError
        When it holds no number, more than one, more than one unit, a decimal comma, or a letter for
        a digit.
    """
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        return _exact_of(text, what, example), False, ""
    if not isinstance(text, str):
        raise refusal(what, text, "is neither text nor a number", example)
    plain = _plain(text)
    _refuse_odd_text(plain, what, text, example)
    match = _NUMBER_TEXT.match(plain)
    if match is None:
        raise refusal(what, text, "cannot be read", example)
    number = _exact(match, what, text)
    word = _unit_word(plain[match.end() :], what, text, example)
    return number, match["top"] is not None, word


def _exact_of(number: float, what: str, example: str) -> Fraction:
    if isinstance(number, int):
        if abs(number) >= 10**_LONGEST_TEXT:
            raise InputError(f"{what} is a number too great to reckon with", mend=example)
        return Fraction(number)
    if not math.isfinite(number):
        raise refusal(what, number, "is not a finite number", example)
    # A float stands for the decimal it prints as: 2.4 is 24/10, not the nearest binary value.
    return Fraction(repr(float(number)))


def _refuse_odd_text(plain: str, what: str, text: str, example: str) -> None:
    if not plain:
        raise InputError(f"{what} is empty", mend=example)
    if len(plain) > _LONGEST_TEXT:
        raise refusal(what, text, "is too long to be one number", example)
    if _NOT_FINITE.fullmatch(plain):
        raise refusal(what, text, "is not a finite number", example)
    if re.search(r"[0-9]\s*,\s*[0-9]", plain):
        raise _comma_refusal(what, text, plain)
    if found := _LETTER_IN_NUMBER.search(plain):
        meant = plain[: found.start()] + found[0].translate(_DIGIT_LIKE) + plain[found.end() :]
        raise refusal(what, text, "has a letter for a digit", f"write {shown(meant)}")
    if re.search(r"/\s*[0-9]+\s*/", plain):
        raise refusal(what, text, "has more than one '/'", "write one fraction, such as 3/32")


def _plain(text: str) -> str:
    """Return text with signs, quotes and ready-made fractions as a keyboard types them."""
    letters = []
    for letter in text.translate(_TYPED_ALIKE):
        made_of = unicodedata.decomposition(letter)
        if made_of.startswith("<fraction>"):
            parts = "".join(chr(int(code, 16)) for code in made_of.split()[1:])
            letters.append(" " + parts.replace("\N{FRACTION SLASH}", "/"))
        else:
            letters.append(letter)
    return " ".join("".join(letters).replace("''", '"').split())


def _exact(match: re.Match[str], what: str, text: object) -> Fraction:
    sign = -1 if match["sign"] == "-" else 1
    if match["decimal"] is not None:
        return sign * Fraction(match["decimal"])
    top, bottom = int(match["top"]), int(match["bottom"])
    if bottom == 0:
        raise refusal(what, text, "divides by zero", "write a fraction such as 3/32")
    if match["whole"] is None:
        return Fraction(sign * top, bottom)
    if top >= bottom:
        mend = "write it as 1 3/16, the fraction below one"
        raise refusal(what, text, f"has a whole inch or more in {top}/{bottom}", mend)
    return sign * (int(match["whole"]) + Fraction(top, bottom))


def _unit_word(rest: str, what: str, text: object, example: str) -> str:
    rest = rest.strip()
    word = rest[degree.end() :] if (degree := _DEGREE.match(rest)) else rest
    word = word.removesuffix(".")
    if not word or _UNIT_WORD.fullmatch(word):
        return word
    if re.search(r"[0-9]", rest):
        raise refusal(what, text, "holds more than one number", "write one number and one unit")
    words = [piece.removesuffix(".") for piece in rest.split()]
    if len(words) > 1 and all(_UNIT_WORD.fullmatch(piece) for piece in words):
        raise refusal(what, text, "has two units", "keep one")
    raise refusal(what, text, "cannot be read", example)


def _comma_refusal(what: str, text: object, plain: str) -> InputError:
    if plain.count(",") == 1 and "." not in plain:
        point = re.sub(r"\s*,\s*", ".", plain)
        return refusal(what, text, "has a decimal comma", f"write {point}")
    return refusal(what, text, "has a comma", "write the number with a point and no commas")
