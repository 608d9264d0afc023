"""What a person typed as a length, temperature, force, stress, mass or bare number."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rivetkit.errors import InputError
from rivetkit.quantities.read import read_amount, refusal, shown
from rivetkit.quantities.units import (
    FORCE,
    KINDS,
    LENGTH,
    MASS,
    STRESS,
    TEMPERATURE,
    Kind,
    length_unit,
    to_base,
)
from rivetkit.quantities.wording import length_words

if TYPE_CHECKING:
    from fractions import Fraction

_DRILL_NAME = re.compile(r"(?:#|no\.?)\s*[0-9]+|[a-z]", re.IGNORECASE)
#: 032 for .032: a sheet's gauge as it is spoken.
_NO_POINT = re.compile(r"([+-]?)\s*(0+[1-9][0-9]*)(?:\s*[a-z\"'.]+)?", re.IGNORECASE)
_NUMBER_EXAMPLE = "write it as 3, 0.5 or 1/2"
_ABSOLUTE_ZERO_DEGF = -459.67


def parse_length_in(
    text: object,
    *,
    default_unit: str = "in",
    what: str = "length",
    allow_zero: bool = False,
    allow_negative: bool = False,
) -> float:
    """Return a length [in] from text or a bare number.

    Parameters
    ----------
    text
        ``3/32``, ``1 3/16``, ``1-3/16``, ``.032``, ``0.032 in``, ``2.4 mm``, ``32 thou``, or an
        int or float in ``default_unit``. A fraction without a unit is in inches whatever the
        default.
    default_unit
        Unit of a decimal without one.
    what
        What the length is, for the message.
    allow_zero, allow_negative
        Whether such a length makes sense here.

    Raises
    ------
    InputError
        When the text is no such length; the message says why and what to write.

    Examples
    --------
    >>> parse_length_in("1 3/16")
    1.1875
    >>> parse_length_in("25.4 mm")
    1.0
    >>> parse_length_in("3/32", default_unit="mm")
    0.09375
    """
    return _parse(
        text, LENGTH, what, default_unit, allow_zero=allow_zero, allow_negative=allow_negative
    )


def parse_temperature_degf(text: object, *, what: str = "temperature") -> float:
    """Return a temperature [degF]; the text must name F, C or K.

    Raises
    ------
    InputError
        When the text is no temperature, has no unit, or lies below absolute zero.

    Examples
    --------
    >>> parse_temperature_degf("21 C")
    69.8
    """
    value = _parse(text, TEMPERATURE, what, None, allow_zero=True, allow_negative=True)
    if value < _ABSOLUTE_ZERO_DEGF:
        raise refusal(what, text, "is below absolute zero", "check the number and its unit")
    return value


def parse_force_lbf(
    text: object, *, what: str = "force", allow_zero: bool = False, allow_negative: bool = False
) -> float:
    """Return a force [lbf]; a bare number is in lbf.

    Raises
    ------
    InputError
        When the text is no force. Pounds of mass are refused: ``lb`` is no ``lbf``.

    Examples
    --------
    >>> parse_force_lbf("4.4482216152605 N")
    1.0
    """
    return _parse(text, FORCE, what, "lbf", allow_zero=allow_zero, allow_negative=allow_negative)


def parse_stress_ksi(
    text: object, *, what: str = "stress", allow_zero: bool = False, allow_negative: bool = False
) -> float:
    """Return a stress [ksi]; a bare number is in ksi.

    Raises
    ------
    InputError
        When the text is no stress.

    Examples
    --------
    >>> parse_stress_ksi("64000 psi")
    64.0
    """
    return _parse(text, STRESS, what, "ksi", allow_zero=allow_zero, allow_negative=allow_negative)


def parse_mass_lb(text: object, *, what: str = "mass", allow_zero: bool = False) -> float:
    """Return a mass [lb]; a bare number is in lb.

    Raises
    ------
    InputError
        When the text is no mass.

    Examples
    --------
    >>> parse_mass_lb("8 oz")
    0.5
    """
    return _parse(text, MASS, what, "lb", allow_zero=allow_zero, allow_negative=False)


def parse_number(text: object, *, what: str = "number") -> float:
    """Return a finite number without a unit, of either sign; a fraction is read too.

    Raises
    ------
    InputError
        When the text is no finite number, or has a unit.

    Examples
    --------
    >>> parse_number("1/4")
    0.25
    """
    value, _, word = read_amount(text, what=what, example=_NUMBER_EXAMPLE)
    if word:
        raise refusal(what, text, "is no bare number", f"leave out '{word}'")
    try:
        return float(value)
    except OverflowError:
        raise refusal(what, text, "is too great to reckon with", "check the number") from None


def _parse(
    text: object,
    kind: Kind,
    what: str,
    default_unit: str | None,
    *,
    allow_zero: bool,
    allow_negative: bool,
) -> float:
    if kind is LENGTH and isinstance(text, str) and _DRILL_NAME.fullmatch(text.strip()):
        mend = "that is a drill name: give its size, in inches or mm"
        raise refusal(what, text, "is not a length", mend)
    value, is_fraction, word = read_amount(text, what=what, example=kind.example)
    unit = _unit_name(kind, word, what, text) if word else _default(kind, default_unit, what, text)
    if kind is LENGTH and isinstance(text, str) and (not word or unit == kind.base):
        _require_point(text, what, word, default_unit or "in")
    if is_fraction and kind is LENGTH:
        unit = unit if word else kind.base
        if unit != kind.base:
            amount = f"{value.numerator}/{value.denominator}"
            mend = f"a fraction means inches: write {amount} in, or a decimal with {word}"
            raise refusal(what, text, f"is a fraction of {word}", mend)
    return _checked(
        to_base(value, unit, kind), kind, what, text, zero=allow_zero, negative=allow_negative
    )


def _require_point(text: str, what: str, word: str, default_unit: str) -> None:
    """Refuse a sheet's gauge written without its point: 032 would be taken for 32 inches."""
    found = _NO_POINT.fullmatch(text.strip())
    if found is None:
        return
    gauge = f"{found[1]}.{found[2]}"
    mend = f"write {gauge} in" if word else f"write {gauge}"
    if not word and default_unit != "in":
        mend = f"write {gauge} in, or {found[1]}{int(found[2])} {default_unit}"
    says = "is a whole number that starts with 0, as a gauge without its point"
    raise refusal(what, text, says, mend)


def _checked(
    exact: Fraction, kind: Kind, what: str, text: object, *, zero: bool, negative: bool
) -> float:
    if abs(exact) > kind.greatest:
        mend = "check the number and its unit"
        if kind is LENGTH:
            says = "{what} '{text}' is over {most}"
            told = length_words(says, what=what, text=shown(text), most=float(kind.greatest))
            raise InputError(told, mend=mend)
        unit = kind.listed.replace(",", "").split()[0]
        raise refusal(what, text, f"is over {kind.greatest} {unit}", mend)
    value = float(exact)
    above_zero = "one above zero"
    if value < 0 and not negative:
        raise refusal(what, text, "is negative", f"give {'zero or more' if zero else above_zero}")
    if value == 0 and not zero:
        raise refusal(what, text, "is zero", f"give {'any other' if negative else above_zero}")
    return value


def _unit_name(kind: Kind, word: str, what: str, text: object) -> str:
    name = word.lower()
    if name in kind.units:
        return kind.units[name]
    if kind is LENGTH and name in {"mil", "mils"}:
        mend = "to some that is a thousandth of an inch, to others a mm: write thou, in or mm"
        raise refusal(what, text, f"is in {word}", mend)
    for other in KINDS:
        if name in other.units:
            mend = f"use {kind.listed}"
            raise refusal(what, text, f"is a {other.name}, not a {kind.name}", mend)
    raise refusal(what, text, f"has the unknown unit '{word}'", f"use {kind.listed}")


def _default(kind: Kind, default_unit: str | None, what: str, text: object) -> str:
    if default_unit is None:
        raise refusal(what, text, "has no unit", kind.example)
    return length_unit(default_unit) if kind is LENGTH else kind.units[default_unit]
