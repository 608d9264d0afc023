"""Amounts as a person reads them: the one place that turns inches into the unit asked for."""

from __future__ import annotations

import re
from typing import Literal

from rivetkit.checks import MM_PER_IN
from rivetkit.quantities import G_PER_LB_EXACT, format_length

LengthUnit = Literal["in", "mm"]

#: Decimals of a displayed length: a tenth of a thou, a micrometre; finer than any hole is made.
_DECIMALS = {"in": 4, "mm": 3}

#: What masses and moments are shown in beside lengths, and with how many decimals.
_MASS: dict[LengthUnit, tuple[str, int]] = {"in": ("lb", 3), "mm": ("g", 1)}
_MOMENT: dict[LengthUnit, tuple[str, int]] = {"in": ("lb in", 3), "mm": ("g mm", 0)}

_FRACTION_SIZE = re.compile(r"(\d+/\d+)( hole)?")

#: A tenth is finer than any load or stress on file is known.
_ONE_DECIMAL = frozenset({"lbf", "ksi"})

#: A difference smaller than this is binary noise and is shown as zero.
_NOISE = 1e-9


def in_unit(value: float, unit: str, length_unit: LengthUnit) -> tuple[float, str]:
    """Return a value and its unit as the person wants lengths shown.

    Parameters
    ----------
    value
        The amount [unit].
    unit
        ``in`` for a length; anything else stays as it is.
    length_unit
        Unit asked for.

    Examples
    --------
    >>> in_unit(0.25, "in", "mm")
    (6.35, 'mm')
    >>> in_unit(389.0, "lbf", "mm")
    (389.0, 'lbf')
    """
    if unit == "in" and length_unit == "mm":
        return value * MM_PER_IN, "mm"
    return value, unit


def length_in_unit(value_in: float, length_unit: LengthUnit) -> float:
    """Return a length [in] in the unit asked for, unrounded."""
    return in_unit(value_in, "in", length_unit)[0]


def length_number(value_in: float, length_unit: LengthUnit, decimals: int | None = None) -> str:
    """Return a length [in] as a number for a column, without its unit.

    Examples
    --------
    >>> length_number(0.0985, "in"), length_number(0.0985, "mm")
    ('0.0985', '2.502')
    """
    places = _DECIMALS[length_unit] if decimals is None else decimals
    return format_length(value_in, length_unit, places, with_unit=False)


def length_key(name: str, length_unit: LengthUnit) -> str:
    """Return the JSON key of a length, its unit in the name: ``hole_in``, ``hole_mm``."""
    return f"{name}_{length_unit}"


def length_entry(
    name: str, value_in: float | None, length_unit: LengthUnit
) -> dict[str, float | None]:
    """Return one JSON entry for a length [in], under a key that names its unit.

    Examples
    --------
    >>> length_entry("hole", 0.125, "mm")
    {'hole_mm': 3.175}
    """
    value = None if value_in is None else length_in_unit(value_in, length_unit)
    return {length_key(name, length_unit): value}


def mass_unit(length_unit: LengthUnit) -> str:
    """Return the unit of mass that goes with a unit of length: lb with in, g with mm."""
    return _MASS[length_unit][0]


def moment_unit(length_unit: LengthUnit) -> str:
    """Return the unit of a moment that goes with a unit of length."""
    return _MOMENT[length_unit][0]


def mass_in_unit(mass_lb: float, length_unit: LengthUnit) -> float:
    """Return a mass [lb] in the unit that goes with the unit of length, unrounded.

    Examples
    --------
    >>> mass_in_unit(2.0, "in"), mass_in_unit(2.0, "mm")
    (2.0, 907.18474)
    """
    return mass_lb if length_unit == "in" else mass_lb * float(G_PER_LB_EXACT)


def moment_in_unit(moment_lb_in: float, length_unit: LengthUnit) -> float:
    """Return a moment [lb in] in the unit that goes with the unit of length, unrounded."""
    return length_in_unit(mass_in_unit(moment_lb_in, length_unit), length_unit)


def mass_number(mass_lb: float, length_unit: LengthUnit, *, sign: str = "", more: int = 0) -> str:
    """Return a mass [lb] as a number for a column; ``sign`` is ``+`` for a change.

    Examples
    --------
    >>> mass_number(0.0177, "in"), mass_number(0.0177, "mm"), mass_number(0.1, "in", sign="+")
    ('0.018', '8.0', '+0.100')
    """
    return f"{mass_in_unit(mass_lb, length_unit):{sign}.{_MASS[length_unit][1] + more}f}"


def moment_number(moment_lb_in: float, length_unit: LengthUnit) -> str:
    """Return a moment [lb in], signed, as a number for a column."""
    return f"{moment_in_unit(moment_lb_in, length_unit):+.{_MOMENT[length_unit][1]}f}"


def mass_entry(
    name: str, mass_lb: float | None, length_unit: LengthUnit
) -> dict[str, float | None]:
    """Return one JSON entry for a mass [lb], under a key that names its unit.

    Examples
    --------
    >>> mass_entry("net_mass", 0.5, "in"), mass_entry("net_mass", None, "mm")
    ({'net_mass_lb': 0.5}, {'net_mass_g': None})
    """
    value = None if mass_lb is None else mass_in_unit(mass_lb, length_unit)
    return {f"{name}_{mass_unit(length_unit)}": value}


def moment_entry(
    name: str, moment_lb_in: float | None, length_unit: LengthUnit
) -> dict[str, float | None]:
    """Return one JSON entry for a moment [lb in], under a key that names its unit."""
    key = f"{name}_{moment_unit(length_unit)}".replace(" ", "_")
    return {key: None if moment_lb_in is None else moment_in_unit(moment_lb_in, length_unit)}


def bought_size(text: str, length_unit: LengthUnit) -> str:
    """Return the size of a tool bought by a fraction of an inch, the unit said among millimetres.

    Examples
    --------
    >>> bought_size("1/8", "mm"), bought_size("1/8 hole", "mm"), bought_size("#40", "mm")
    ('1/8 in', '1/8 in hole', '#40')
    """
    found = _FRACTION_SIZE.fullmatch(text)
    if length_unit == "in" or found is None:
        return text
    return f"{found[1]} in{found[2] or ''}"


def amount_number(value: float, unit: str, length_unit: LengthUnit) -> str:
    """Return any amount as a number: lengths, loads and stresses with fixed decimals, the rest to
    six figures.

    Examples
    --------
    >>> amount_number(463.632, "lbf", "in"), amount_number(2.0, "holes", "in")
    ('463.6', '2')
    """
    if unit == "in":
        return length_number(value, length_unit)
    if unit in _ONE_DECIMAL:
        return f"{value:.1f}"
    return f"{value:.6g}"


def margin_number(margin: float, unit: str, length_unit: LengthUnit) -> str:
    """Return a signed margin, with as many decimals as it takes to see that it is not zero.

    Examples
    --------
    >>> margin_number(-0.00004, "in", "in"), margin_number(0.0, "in", "in")
    ('-0.00004', '0.0000')
    """
    if abs(margin) <= _NOISE:
        return amount_number(0.0, unit, length_unit)
    shown, _ = in_unit(margin, unit, length_unit)
    if unit != "in" and unit not in _ONE_DECIMAL:
        return f"{shown:+.6g}"
    places = _DECIMALS[length_unit] if unit == "in" else 1
    while float(f"{shown:.{places}f}") == 0.0:
        places += 1
    return f"{shown:+.{places}f}"


def shown_unit(unit: str, length_unit: LengthUnit) -> str:
    """Return the unit word an amount is displayed in."""
    return length_unit if unit == "in" else unit


def drill_set_words(off_middle_in: float, length_unit: LengthUnit) -> str:
    """Return where to set a drill on a hole that grew to one side; empty: on its middle.

    Examples
    --------
    >>> drill_set_words(-0.006, "in"), drill_set_words(0.0, "in")
    ('set 0.006 in from the middle of the hole, toward the old centre', '')
    """
    if format_length(abs(off_middle_in), "in", 4, with_unit=False) == "0.0000":
        return ""
    off = format_length(abs(off_middle_in), length_unit)
    return f"set {off} from the middle of the hole, toward the old centre"


def over_words(limit: str, over_in: float, length_unit: LengthUnit) -> str:
    """Return what is said of a measured size past its limit by no more than it may be off.

    Examples
    --------
    >>> over_words("its limit", 0.015, "in")
    'over its limit by 0.0150 in, no more than the measuring accuracy: measure again'
    """
    over = f"{margin_number(over_in, 'in', length_unit).lstrip('+')} {length_unit}"
    return f"over {limit} by {over}, no more than the measuring accuracy: measure again"
