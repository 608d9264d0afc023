"""From rivets per inch to rivets, in the orders of rounding that AC 43.13-1B uses."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.limits import Working, unique_citations
from rivetkit.calculators.strength.row_strength import formula_citation
from rivetkit.checks import Term

if TYPE_CHECKING:
    from rivetkit.handbook import Citation

Method = Literal["notes", "example", "formula", "allowables"]

#: Less than any count is off by when it is not whole.
_NOISE = Fraction(1, 1_000_000_000)


@dataclass(frozen=True, slots=True)
class RivetCount:
    """One way to count the rivets; ``count`` is none where it has no answer, ``reason`` why."""

    method: Method
    table_name: str
    per_inch: float | None
    count: int | None
    reason: str
    remarks: tuple[str, ...]
    workings: tuple[Working, ...]
    citations: tuple[Citation, ...]

    @property
    def title(self) -> str:
        """The way in words."""
        if self.method == "allowables":
            return "from the allowables"
        if not self.table_name:
            return "AC 43.13-1B tables"
        words = {"notes": "", "example": ", rounded as in its example", "formula": "'s own formula"}
        return f"table {self.table_name}{words[self.method]}"


def count_by_notes(per_inch: Fraction | float, *, width_in: float, factor: float) -> int:
    """Return the rivets of a splice, rounded up before and after the factor.

    Parameters
    ----------
    per_inch
        Rivets per inch, before the factor.
    width_in
        Width of the splice [in].
    factor
        Share of the count this joint needs.

    Examples
    --------
    >>> count_by_notes(Fraction("4.9"), width_in=10, factor=0.75)
    37

    References
    ----------
    AC 43.13-1B par 4-58.
    """
    return _up(_rivets_before_factor(per_inch, width_in) * _exact(factor))


def count_by_example(per_inch: Fraction | float, *, width_in: float, factor: float) -> int:
    """Return the rivets of a splice, the factor applied to the rivets per inch and those rounded.

    Parameters
    ----------
    per_inch
        Rivets per inch, before the factor.
    width_in
        Width of the splice [in].
    factor
        Share of the count this joint needs.

    Examples
    --------
    >>> count_by_example(Fraction("4.9"), width_in=10, factor=0.75)
    37

    References
    ----------
    AC 43.13-1B par 4-58g(2), p 4-27: 4.9 x 0.75 printed as 3.7, 37 rivets in 10 in.
    """
    return _up(_per_inch_after_factor(per_inch, factor) * _exact(width_in))


def counted(
    method: Method,
    name: str,
    per_inch: Fraction | float,
    *,
    width_in: float,
    factor: float,
    remarks: tuple[str, ...],
    citations: tuple[Citation, ...],
    lines: tuple[Working, ...] = (),
) -> RivetCount:
    """Return a count with its arithmetic, rounded as the method does.

    Parameters
    ----------
    method
        How it is counted; only ``example`` rounds in its own order.
    name
        The table, empty where there is none.
    per_inch
        Rivets per inch, before the factor.
    width_in
        Width of the splice [in].
    factor
        Share of the count this joint needs.
    remarks
        What to say beside it.
    citations
        Where the rivets per inch and the factor come from.
    lines
        The arithmetic that led to the rivets per inch.

    References
    ----------
    AC 43.13-1B par 4-58g(2), p 4-27.
    """
    by_example = method == "example"
    count_of = count_by_example if by_example else count_by_notes
    count = count_of(per_inch, width_in=width_in, factor=factor)
    formula = formula_citation("splice-count-example" if by_example else "splice-count-notes")
    terms = [
        Term("N", count),
        Term("n", float(per_inch), "per inch"),
        Term("W", width_in, "inch"),
    ]
    if by_example:
        template = "{N} = {W} x ({f} x {n} to 0.1: {m}), rounded up"
        terms.append(Term("m", float(_per_inch_after_factor(per_inch, factor))))
    else:
        template = "{N} = {f} x ({W} x {n} rounded up: {m}), rounded up"
        terms.append(Term("m", _rivets_before_factor(per_inch, width_in)))
    terms.append(Term("f", factor))
    cited = unique_citations((*citations, formula))
    found = RivetCount(method, name, float(per_inch), count, "", remarks, (), cited)
    line = Working(found.title, count, "rivets", template, tuple(terms), cited)
    return replace(found, workings=(*lines, line))


def _rivets_before_factor(per_inch: Fraction | float, width_in: float) -> int:
    return _up(_exact(per_inch) * _exact(width_in))


def _per_inch_after_factor(per_inch: Fraction | float, factor: float) -> Fraction:
    """Return the rivets per inch times the factor, to a tenth."""
    exact = _exact(per_inch) * _exact(factor)
    decimal = Decimal(exact.numerator) / Decimal(exact.denominator)
    return Fraction(decimal.quantize(Decimal("0.1"), ROUND_HALF_UP))


def _exact(number: Fraction | float) -> Fraction:
    """Return a number as the decimal it prints as: 0.75, not the nearest binary value."""
    return number if isinstance(number, Fraction) else Fraction(repr(float(number)))


def _up(number: Fraction) -> int:
    return math.ceil(number - _NOISE)
