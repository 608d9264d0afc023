"""Lengths as people write them."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from rivetkit.errors import InputError
from rivetkit.quantities.units import to_unit

#: Two lengths this close are one size [in]; absorbs binary rounding only.
_SAME_IN = 1e-9

#: Least and most decimals shown, by unit; zeros past the least are dropped.
_PLACES = {"in": (3, 4), "mm": (2, 3), "thou": (0, 1)}


def format_length(
    value_in: float, unit: str = "in", places: int | None = None, *, with_unit: bool = True
) -> str:
    """Return a length [in] as people write it, with its unit; a half is rounded up.

    Parameters
    ----------
    value_in
        The length [in].
    unit
        Unit to show it in.
    places
        Exactly this many decimals; left out, 3 to 4 for ``in``, 2 to 3 for ``mm``.
    with_unit
        False leaves the unit out, for a column whose heading has it.

    Raises
    ------
    InputError
        When no length unit has that name.

    Examples
    --------
    >>> format_length(0.03125), format_length(0.5), format_length(0.5, "mm")
    ('0.0313 in', '0.500 in', '12.70 mm')
    """
    least, most = (places, places) if places is not None else _PLACES.get(unit, (3, 6))
    exact = Decimal(to_unit(value_in, unit))
    number = f"{exact.quantize(Decimal(1).scaleb(-most), ROUND_HALF_UP):f}"
    while most > least and number.endswith("0"):
        number, most = number[:-1], most - 1
    number = number.removesuffix(".")
    if number.startswith("-") and not number.strip("-0."):
        number = number[1:]
    return f"{number} {unit}" if with_unit else number


def nearest_fraction_text(value_in: float, denominator: int = 64) -> str:
    """Return the nearest fraction of an inch, marked when the length is not exactly that.

    A trailing ``+`` says the length is a little more than the fraction, ``-`` a little less (for
    a negative length: its amount). A length halfway between two takes the greater one.

    Parameters
    ----------
    value_in
        The length [in].
    denominator
        The finest division.

    Raises
    ------
    InputError
        When the denominator is below one.

    Examples
    --------
    >>> nearest_fraction_text(1.1875), nearest_fraction_text(0.098), nearest_fraction_text(0.159)
    ('1 3/16', '3/32+', '5/32+')
    """
    if denominator < 1:
        raise InputError(f"denominator {denominator} divides no inch", mend="give one or more")
    amount = abs(Fraction(value_in))
    near = Fraction(math.floor(amount * denominator + Fraction(1, 2)), denominator)
    whole, part = divmod(near, 1)
    pieces = [str(whole)] if whole or not part else []
    if part:
        pieces.append(f"{part.numerator}/{part.denominator}")
    over = float(amount - near)
    mark = "" if abs(over) <= _SAME_IN else "+" if over > 0 else "-"
    sign = "-" if value_in < 0 and near else ""
    return f"{sign}{' '.join(pieces)}{mark}"
