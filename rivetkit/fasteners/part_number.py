"""A part number to a rivet and back."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from rivetkit.checks import MM_PER_IN
from rivetkit.errors import InputError
from rivetkit.fasteners.fastener import Fastener, write_part_number
from rivetkit.fasteners.grammar import Standard, grip_rows, standards, to_inches
from rivetkit.fasteners.misread import likely_texts
from rivetkit.fasteners.reader import Reader, example, length_code
from rivetkit.quantities import length_words

#: A length this close to a step of its standard is that step; far below any gauge's resolution.
_STEP_TOLERANCE = Fraction(1, 1_000_000)


def parse_part_number(text: str, *, length_required: bool = False) -> Fastener:
    """Return the rivet a part number stands for.

    Blanks and case do not matter. The length may be left out.

    Parameters
    ----------
    text
        Such as ``MS20470AD4-5``, ``ms20470 ad4`` or ``ISO 15977 - 4 x 12 - AlA/St-L``.
    length_required
        Refuse a part number without a length.

    Raises
    ------
    InputError
        When it cannot be read. The message names the character and what would fit there, or the
        part number it differs from by a slip of the pen: nothing is guessed.

    Examples
    --------
    >>> rivet = parse_part_number("an426 ad3-3.5")
    >>> rivet.designation, rivet.canonical, rivet.diameter_in, rivet.length_in
    ('AN426AD3-3.5', 'MS20426', 0.09375, 0.21875)

    References
    ----------
    ``tables/fasteners/standards.csv``: the grammar of each standard, and where it was read.
    """
    try:
        return _read(text, length_required=length_required)
    except InputError as error:
        meant = _meant(text)
        if not meant:
            raise
        raise InputError(error.what, where=error.where, mend=_did_you_mean(text, meant)) from None


#: More that may have been meant is no help.
_MOST_MEANT = 3


def _meant(text: str) -> list[str]:
    """Return the part numbers that a text which is none may have been meant to be."""
    found: dict[str, None] = {}
    for likely in likely_texts(text[:_LONGEST]):
        try:
            found[_read(likely).designation] = None
        except InputError:
            continue
    return list(found)[:_MOST_MEANT]


#: No part number is longer [characters].
_LONGEST = 60


def _did_you_mean(text: str, meant: list[str]) -> str:
    digits = any(
        letter in text.upper() and text.upper().count(letter) > part.count(letter)
        for part in meant
        for letter in "OILZ"
    )
    how = ", with digits for the letters that look like them" if digits else ""
    return f"did you mean {' or '.join(meant)}{how}?"


def _read(text: str, *, length_required: bool = False) -> Fastener:
    reader = Reader(text)
    reader.read()
    codes = reader.codes
    fastener = _without_length(reader.standard, codes.get("material", ""), codes["diameter"])
    if "length" in codes:
        return _with_code(fastener, reader.standard, codes["length"])
    if length_required:
        reader.fail(
            f"has no {reader.standard.length_field}", f"add it, as in {example(reader.standard)}"
        )
    return fastener


def format_part_number(fastener: Fastener) -> str:
    """Return a rivet's part number, under the name of its standard as it was typed.

    >>> format_part_number(parse_part_number("ms20615-4m5"))
    'MS20615-4M5'
    """
    return fastener.designation


def canonical_designation(fastener: Fastener) -> str:
    """Return a rivet's part number under the standard that now covers it.

    >>> canonical_designation(parse_part_number("AN426AD3-3"))
    'MS20426AD3-3'
    """
    return write_part_number(standards()[fastener.canonical], fastener)


def same_part(one: Fastener, other: Fastener) -> bool:
    """Return whether two rivets are one part, whatever name their standard goes by.

    >>> same_part(parse_part_number("AN426AD3-3"), parse_part_number("MS20426AD3-3"))
    True
    """
    return canonical_designation(one) == canonical_designation(other)


def with_length(fastener: Fastener, length_in: float) -> Fastener:
    """Return the rivet in another length.

    Parameters
    ----------
    fastener
        Of a standard whose part numbers write the length.
    length_in
        Length [in], measured as the rivet's ``length_datum`` says.

    Raises
    ------
    InputError
        When the length is no step of the standard, or its part numbers write the grip instead.

    Examples
    --------
    >>> with_length(parse_part_number("MS20470AD4"), 0.3125).designation
    'MS20470AD4-5'
    """
    standard = standards()[fastener.standard]
    if standard.length_field == "grip":
        raise InputError(
            f"{standard.name} is ordered by grip, not by length", mend="give a grip code"
        )
    scale = MM_PER_IN if standard.length_unit == "mm" else 1.0
    exact = Fraction(length_in * scale) / standard.length_step
    halves = round(exact * 2)
    if abs(exact * 2 - halves) > _STEP_TOLERANCE * 2:
        raise InputError(
            length_words(
                "{length} is no length of {standard}", length=length_in, standard=standard.name
            ),
            mend=f"lengths go by steps of {standard.length_step} {standard.length_unit}",
        )
    return with_length_code(fastener, standard.code_of_steps(Fraction(halves, 2)))


def with_length_code(fastener: Fastener, code: str) -> Fastener:
    """Return the rivet in the length or grip that a code stands for.

    >>> with_length_code(parse_part_number("TMOPEN-4"), "2").designation
    'TMOPEN-42'

    Raises
    ------
    InputError
        When the standard has no such length.
    """
    standard = standards()[fastener.standard]
    try:
        written = length_code(standard, fastener.diameter_code, code)
    except InputError as error:
        what = f"{standard.length_field} '{code}' of {standard.name} {error.what}"
        raise InputError(what, mend=error.mend) from None
    return _with_code(fastener, standard, written)


def stock_lengths_in(fastener: Fastener, *, half_lengths: bool = True) -> tuple[float, ...]:
    """Return the stock lengths of a rivet, shortest first [in].

    Parameters
    ----------
    fastener
        Its own length does not matter.
    half_lengths
        Count in the half steps, where the standard has them.

    Notes
    -----
    Empty when nobody has recorded them, or when the standard goes by grip and gives no lengths.
    """
    standard = standards()[fastener.standard]
    listed = grip_rows(standard.canonical, fastener.diameter_code)
    if listed:
        lengths = {to_inches(row.length, row.unit) for row in listed if row.length is not None}
        return tuple(sorted(lengths))
    if standard.length_min is None or standard.length_max is None:
        return ()
    step = standard.length_step / (2 if half_lengths and standard.half_lengths else 1)
    first, last = standard.length_min / step, standard.length_max / step
    return tuple(
        to_inches(number * step, standard.length_unit)
        for number in range(-int(-first // 1), int(last) + 1)
    )


def _without_length(standard: Standard, material: str, diameter_code: str) -> Fastener:
    return Fastener(
        standard=standard.name,
        canonical=standard.canonical,
        family=standard.family,
        head=standard.head,
        flush_angle_deg=standard.flush_angle_deg,
        material=material,
        diameter_code=diameter_code,
        diameter_in=standard.diameter_in(diameter_code),
        length_code="",
        length_in=None,
        grip_min_in=None,
        grip_max_in=None,
        length_datum=standard.length_datum,
    )


def _with_code(fastener: Fastener, standard: Standard, code: str) -> Fastener:
    for row in grip_rows(standard.canonical, fastener.diameter_code):
        if row.code == code:
            return replace(
                fastener,
                length_code=code,
                length_in=None if row.length is None else to_inches(row.length, row.unit),
                grip_min_in=to_inches(row.grip_min, row.unit),
                grip_max_in=to_inches(row.grip_max, row.unit),
            )
    size = Fraction(code) * standard.length_step
    if standard.length_field == "length":
        length_in = to_inches(size, standard.length_unit)
        return replace(
            fastener, length_code=code, length_in=length_in, grip_min_in=None, grip_max_in=None
        )
    # A grip code counts the steps of its greatest stack; one code covers one step.
    return replace(
        fastener,
        length_code=code,
        length_in=None,
        grip_min_in=to_inches(size - standard.length_step, standard.length_unit),
        grip_max_in=to_inches(size, standard.length_unit),
    )
