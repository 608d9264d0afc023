"""Temperatures as a person reads them."""

from __future__ import annotations

from rivetkit.calculators.heat.coefficients import DEGF_PER_DEGC

#: Ice melts at this many degrees F (the definition of the scales).
_ICE_DEGF = 32.0


def degc(temperature_degf: float) -> float:
    """Return a temperature [degF] in degC.

    Examples
    --------
    >>> degc(212.0), degc(-40.0)
    (100.0, -40.0)
    """
    return (temperature_degf - _ICE_DEGF) / DEGF_PER_DEGC


def temperature_number(temperature: float) -> str:
    """Return a temperature as a number, to a tenth of a degree where it needs it."""
    number = f"{temperature:.1f}".removesuffix(".0")
    return "0" if number == "-0" else number


def temperature_text(temperature_degf: float) -> str:
    """Return a temperature [degF] on both scales.

    Examples
    --------
    >>> temperature_text(70.0)
    '70 F (21.1 C)'
    """
    celsius = temperature_number(degc(temperature_degf))
    return f"{temperature_number(temperature_degf)} F ({celsius} C)"
