"""Read a part number character by character, so that an error can point at one of them."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NoReturn

from rivetkit.errors import InputError
from rivetkit.fasteners.grammar import (
    LENGTH_FIELDS,
    Segment,
    Standard,
    grip_rows,
    same_code,
    standards,
)
from rivetkit.quantities import shown

#: Written before the number in the designation form of the ISO blind rivet standards.
_LEAD_IN = "BLINDRIVET"
_LOOK_ALIKES = str.maketrans({"\u00d7": "x", "\u2013": "-", "\u2014": "-", "\u2212": "-"})
_NUMBER = re.compile(r"[0-9.]+")
_NEAR_STANDARDS = 3


@dataclass
class Reader:
    """A cursor over the part number without its blanks, which knows where each character stood."""

    text: str
    standard: Standard = field(init=False)
    codes: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        # Positions count in the text as the message shows it: one line, single blanks.
        printable = "".join(sign if sign.isprintable() else " " for sign in self.text)
        self.text = " ".join(printable.split())
        line = self.text.translate(_LOOK_ALIKES)
        self._places = [place for place, sign in enumerate(line, 1) if not sign.isspace()]
        self._signs = "".join(line.split())
        self._at = len(_LEAD_IN) if self._signs.upper().startswith(_LEAD_IN) else 0
        self._last = ""

    def read(self) -> None:
        """Read the whole part number into ``standard`` and ``codes``."""
        self._read_standard()
        segments = self.standard.segments
        for number, segment in enumerate(segments):
            following = segments[number + 1 :]
            if segment.field in LENGTH_FIELDS and self._length_left_out(segment, following):
                continue
            self._take_literal(segment)
            self._take_field(segment, following)
        if self._at < len(self._signs):
            self._fail_here(f"the part number ends there, as in {example(self.standard)}")

    @property
    def _rest(self) -> str:
        return self._signs[self._at :]

    def fail(self, what: str, mend: str) -> NoReturn:
        """Raise the error for this part number.

        Raises
        ------
        InputError
            Always.
        """
        raise InputError(what, where=f"'{shown(self.text)}'", mend=mend)

    def _fail_here(self, mend: str) -> NoReturn:
        after = f" after {self._last}" if self._last else ""
        if self._at >= len(self._signs):
            self.fail(f"ends{after}", mend)
        self.fail(
            f"cannot read '{self._signs[self._at]}' (character {self._places[self._at]}){after}",
            mend,
        )

    def _read_standard(self) -> None:
        known = standards()
        rest = self._rest.upper()
        fits = [name for name in known if rest.startswith(name.upper())]
        if fits:
            self.standard = known[max(fits, key=len)]
            self._move(len(self.standard.name), f"standard '{self.standard.name}'")
            return
        if not rest:
            self.fail("the part number is empty", "give one such as MS20470AD4-5")
        if not rest[0].isalpha():
            self.fail("is no part number", "give one such as MS20470AD4")
        start = re.match(r"[A-Z]*-?[0-9]*", rest)
        typed = start[0] if start and start[0] else rest
        upper = {name.upper(): name for name in known}
        near = difflib.get_close_matches(typed, upper, n=_NEAR_STANDARDS)
        place = f"(character {self._places[self._at]})"
        if near:
            hint = f"did you mean {' or '.join(upper[name] for name in near)}?"
            self.fail(f"no standard is called '{shown(typed)}' {place}", hint)
        self.fail(
            f"{shown(typed)} is not on file {place}", "'rivetkit sources standards' lists what is"
        )

    def _move(self, count: int, what: str) -> str:
        taken = self._rest[:count]
        self._at += count
        self._last = what
        return taken

    def _length_left_out(self, segment: Segment, following: tuple[Segment, ...]) -> bool:
        if not self._rest:
            return True
        if not segment.literal or self._starts(segment.literal):
            return False
        return bool(following) and self._starts(following[0].literal)

    def _starts(self, literal: str) -> bool:
        return bool(literal) and self._rest.upper().startswith(literal.upper())

    def _take_literal(self, segment: Segment) -> None:
        if not segment.literal:
            return
        if not self._starts(segment.literal):
            mend = f"'{segment.literal}' and the {segment.field or 'end'} follow there"
            self._fail_here(f"{mend}, as in {example(self.standard)}")
        self._move(len(segment.literal), f"'{segment.literal}'")

    def _take_field(self, segment: Segment, following: tuple[Segment, ...]) -> None:
        if segment.field == "material":
            self._take_material()
        elif segment.field == "diameter":
            next_is_number = bool(following) and not following[0].literal
            self._take_diameter(ends_anywhere=next_is_number)
        elif segment.field:
            self._take_length(segment.field)

    def _take_material(self) -> None:
        rest = self._rest.upper()
        fits = [code for code in self.standard.materials if rest.startswith(code.upper())]
        if not fits:
            self._fail_here(self._material_hint())
        code = max(fits, key=len)
        self.codes["material"] = code
        self._move(len(code), f"material '{code}'")

    def _material_hint(self) -> str:
        return f"material codes are {', '.join(self.standard.materials)}"

    def _diameter_hint(self) -> str:
        return f"diameters are {', '.join(self.standard.diameters)}"

    def _take_diameter(self, *, ends_anywhere: bool) -> None:
        run = _NUMBER.match(self._rest)
        if run is None:
            hint = self._diameter_hint()
            if self._last.startswith("material") and self._rest:
                hint = f"{self._material_hint()}; {hint}"
            self._fail_here(hint)
        typed = run[0]
        if ends_anywhere:
            starts = [code for code in self.standard.diameters if typed.startswith(code)]
            typed = max(starts, key=len, default=typed)
        code = next((code for code in self.standard.diameters if same_code(code, typed)), None)
        if code is None:
            self.fail(
                f"diameter '{shown(typed)}' (character {self._places[self._at]}) is not listed for "
                f"{self.standard.name}",
                f"{self._diameter_hint()}, in steps of {_step(self.standard, 'diameter')}",
            )
        self.codes["diameter"] = code
        self._move(len(typed), f"diameter '{code}'")

    def _take_length(self, name: str) -> None:
        run = _NUMBER.match(self._rest)
        if run is None:
            self._fail_here(f"the {name} follows, in steps of {_step(self.standard, 'length')}")
        typed = run[0]
        place = f"{name} '{shown(typed)}' (character {self._places[self._at]})"
        try:
            code = length_code(self.standard, self.codes["diameter"], typed)
        except InputError as error:
            self.fail(f"{place} {error.what}", error.mend)
        self.codes["length"] = code
        self._move(len(typed), f"{name} '{code}'")


def length_code(standard: Standard, diameter_code: str, typed: str) -> str:
    """Return a length or grip code as the standard writes it.

    Parameters
    ----------
    standard, diameter_code
        Whose lengths.
    typed
        A number such as ``5``, ``5.5`` or ``03``.

    Raises
    ------
    InputError
        When the number is no length of the standard; ``what`` completes a sentence.
    """
    listed = grip_rows(standard.canonical, diameter_code)
    for row in listed:
        if same_code(row.code, typed):
            return row.code
    if listed:
        codes = ", ".join(dict.fromkeys(row.code for row in listed))
        raise InputError(f"is not listed for diameter {diameter_code}", mend=f"listed are {codes}")
    step = _step(standard, "length")
    try:
        steps = Fraction(typed)
    except ValueError:
        raise InputError("is no number", mend=f"lengths count steps of {step}") from None
    if steps <= 0:
        raise InputError("is no length", mend=f"lengths count steps of {step}, from 1 up")
    if (2 * steps if standard.half_lengths else steps).denominator != 1:
        what = "is neither a whole nor a half step" if standard.half_lengths else "is no whole step"
        whole = int(steps)
        fits = f"{whole} or {whole}.5" if standard.half_lengths else f"{whole} or {whole + 1}"
        raise InputError(what, mend=f"lengths go by steps of {step}, such as {fits}")
    if standard.length_max is not None and steps * standard.length_step > standard.length_max:
        longest = standard.code_of_steps(standard.length_max / standard.length_step)
        raise InputError(
            "is longer than any on file",
            mend=f"the longest is {longest} ({standard.length_max} {standard.length_unit})",
        )
    return standard.code_of_steps(steps)


def example(standard: Standard) -> str:
    """Return a part number of the standard, made of its first codes."""
    diameter = standard.diameters[min(2, len(standard.diameters) - 1)]
    listed = grip_rows(standard.canonical, diameter)
    length = listed[0].code if listed else standard.code_of_steps(Fraction(5))
    codes = {
        "": "",
        "material": standard.materials[0] if standard.materials else "",
        "diameter": diameter,
        "length": length,
        "grip": length,
    }
    return standard.name + "".join(
        piece.literal + codes[piece.field] for piece in standard.segments
    )


def _step(standard: Standard, which: str) -> str:
    if which == "diameter":
        return f"{standard.diameter_step} {standard.diameter_unit}"
    return f"{standard.length_step} {standard.length_unit}"
