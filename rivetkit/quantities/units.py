"""The few units rivetkit knows, the words for them, and exact conversion."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from rivetkit.errors import InputError
from rivetkit.quantities.read import shown

if TYPE_CHECKING:
    import pint

#: One inch is exactly this many millimetres (international inch, 1959).
MM_PER_IN_EXACT = Fraction(127, 5)
#: One pound is exactly this many grams (international pound, 1959).
G_PER_LB_EXACT = Fraction("453.59237")

# Exact by definition: international foot and pound 1959, standard gravity 9.80665 m/s2 (CGPM
# 1901), degC zero at 273.15 K, degF zero at 459.67 degR. Decimals, for pint reads them exactly.
_UNIT_DEFINITIONS = """
metre = [length]
kilogram = [mass]
second = [time]
rankine = [temperature]
inch = 0.0254 * metre
thou = 0.0000254 * metre
foot = 0.3048 * metre
millimetre = 0.001 * metre
centimetre = 0.01 * metre
micrometre = 0.000001 * metre
pound = 0.45359237 * kilogram
ounce = 0.0625 * pound
gram = 0.001 * kilogram
newton = kilogram * metre / second ** 2
kilonewton = 1000.0 * newton
pound_force = 9.80665 * pound * metre / second ** 2
psi = pound_force / inch ** 2
ksi = 1000.0 * psi
megapascal = 1000000.0 * newton / metre ** 2
kelvin = 1.8 * rankine
degree_celsius = 1.8 * rankine; offset: 491.67
degree_fahrenheit = 1.0 * rankine; offset: 459.67
"""


@dataclass(frozen=True, slots=True)
class Kind:
    """What a quantity may be written in.

    ``units`` maps a word, in lower case, to a unit's name; ``base`` is the unit rivetkit keeps it
    in, ``greatest`` the most of it that is believed.
    """

    name: str
    base: str
    listed: str
    example: str
    greatest: int
    units: dict[str, str]


def _words(**spellings: str) -> dict[str, str]:
    return {word: unit for unit, words in spellings.items() for word in words.split()}


LENGTH = Kind(
    "length",
    "inch",
    "in, thou, ft, mm, cm or m",
    "write it as 3/32, 0.032 in or 2.4 mm",
    100_000,
    _words(
        inch='in inch inches "',
        thou="thou",
        foot="ft foot feet '",
        millimetre="mm millimetre millimetres millimeter millimeters",
        centimetre="cm",
        metre="m",
        # micro sign and Greek mu look alike and are two characters
        micrometre="um \N{MICRO SIGN}m \N{GREEK SMALL LETTER MU}m",
    ),
)
TEMPERATURE = Kind(
    "temperature",
    "degree_fahrenheit",
    "F, C or K",
    "write it as 70 F or 21 C",
    10_000,
    _words(
        degree_fahrenheit="f degf fahrenheit",
        degree_celsius="c degc celsius",
        kelvin="k kelvin",
    ),
)
FORCE = Kind(
    "force",
    "pound_force",
    "lbf, N or kN",
    "write it as 500 lbf or 2.2 kN",
    10_000_000,
    _words(pound_force="lbf", newton="n newton newtons", kilonewton="kn"),
)
STRESS = Kind(
    "stress",
    "ksi",
    "ksi, psi or MPa",
    "write it as 64 ksi, 64000 psi or 440 MPa",
    1_000,
    _words(ksi="ksi", psi="psi", megapascal="mpa"),
)
MASS = Kind(
    "mass",
    "pound",
    "lb, oz, g or kg",
    "write it as 2 lb or 0.9 kg",
    1_000_000,
    _words(
        pound="lb lbs pound pounds",
        ounce="oz ounce ounces",
        gram="g gram grams",
        kilogram="kg",
    ),
)
KINDS = (LENGTH, TEMPERATURE, FORCE, STRESS, MASS)


def from_unit(value: float | Fraction, unit: str) -> float:
    """Return a length given in some unit as inches [in].

    Raises
    ------
    InputError
        When no length unit has that name.

    Examples
    --------
    >>> from_unit(2.54, "mm")
    0.1
    """
    # A float stands for the decimal it prints as: 2.54 is 254/100, not the nearest binary value.
    exact = value if isinstance(value, Fraction) else Fraction(repr(float(value)))
    return float(exact * _inches_per(unit))


def to_unit(value_in: float, unit: str) -> float:
    """Return a length [in] as a number in another unit.

    Raises
    ------
    InputError
        When no length unit has that name.

    Examples
    --------
    >>> to_unit(0.5, "mm")
    12.7
    """
    return float(Fraction(value_in) / _inches_per(unit))


def length_unit(unit: str) -> str:
    """Return the name of a length unit from a word for it.

    Raises
    ------
    InputError
        When it is no length unit.
    """
    name = LENGTH.units.get(unit.lower())
    if name is None:
        raise InputError(f"no length unit is called '{shown(unit)}'", mend=f"use {LENGTH.listed}")
    return name


def _inches_per(unit: str) -> Fraction:
    if unit == "mm":  # reports show thousands of these: not worth loading pint
        return 1 / MM_PER_IN_EXACT
    return to_base(Fraction(1), length_unit(unit), LENGTH)


def to_base(value: Fraction, unit: str, kind: Kind) -> Fraction:
    """Return an amount in a named unit as one in the base unit of its kind, exactly."""
    if unit == kind.base:
        return value
    if unit == "thou":
        return value / 1000
    slope, start = _line(unit, kind.base)
    return value * slope + start


@cache
def _line(unit: str, base: str) -> tuple[Fraction, Fraction]:
    """Return slope and start of the straight line that turns one unit into another."""
    at_zero, at_one = (
        Fraction(_registry().Quantity(Fraction(value), unit).to(base).magnitude) for value in (0, 1)
    )
    return at_one - at_zero, at_zero


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    import pint

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions(_UNIT_DEFINITIONS.strip().splitlines())
    return registry
