"""What a part number that cannot be read was meant to be: slips of the pen, tried one by one."""

from __future__ import annotations

import re

from rivetkit.fasteners.grammar import standards

#: Letters that are read, and typed, for the digit they look like.
_LIKE_DIGITS = (
    ("O", "0"),
    ("I", "1"),
    ("L", "1"),
    ("Z", "2"),
    ("OI", "01"),
    ("OIL", "011"),
)

#: A rivet as it is called at the bench, by material and size, and the standards it may be of.
_NO_STANDARD = re.compile(r"(?:AD?|B|DD?|E|KE)[0-9]")
_COMMON = ("MS20470", "MS20426")

#: What people leave out before the number of a standard.
_LEFT_OUT = ("MS", "AN", "NAS")


def with_digits(text: str) -> tuple[str, ...]:
    """Return a part number with digits for the letters that look like them, in every likely way.

    The letters it begins with are the standard's own.

    >>> with_digits("MS2O470AD4-4")
    ('MS20470AD4-4',)
    """
    plain = "".join(text.upper().split())
    known = {name.upper().rstrip("0123456789") for name in standards()}
    begins = max((letters for letters in known if plain.startswith(letters)), key=len, default="")
    rest = plain.removeprefix(begins)
    tried = (rest.translate(str.maketrans(letters, digits)) for letters, digits in _LIKE_DIGITS)
    return tuple(dict.fromkeys(begins + each for each in tried if each != rest))


def likely_texts(text: str) -> tuple[str, ...]:
    """Return what a part number may have been meant to be, the likeliest first.

    Letters for digits, hyphens too many, a hyphen or the standard left out, other marks for hyphen
    and point.

    >>> likely_texts("MS20470-AD4-4")[0]
    'MS20470AD4-4'
    >>> likely_texts("470AD4-4")
    ('MS470AD4-4', 'AN470AD4-4', 'NAS470AD4-4')
    """
    plain = "".join(text.upper().split())
    found: dict[str, None] = {}
    for spelt in (plain, *with_digits(plain)):
        marked = spelt.replace("/", "-").replace("_", "-").replace(",", ".").replace("½", ".5")
        begun, _, length = marked.rpartition("-")
        found[spelt] = found[marked] = None
        found[f"{begun.replace('-', '')}-{length}"] = None
        if "-" not in marked:
            found[re.sub(r"(?<=[0-9])([0-9](?:\.5)?)$", r"-\1", marked)] = None
        if _NO_STANDARD.match(marked):
            found.update(dict.fromkeys(f"{standard}{marked}" for standard in _COMMON))
        if marked[:1].isdigit():
            found.update(dict.fromkeys(f"{letters}{marked}" for letters in _LEFT_OUT))
    found.pop(plain, None)
    return tuple(found)
