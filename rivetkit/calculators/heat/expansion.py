"""How far a part grows with heat, and how far two parts move against each other."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.heat.coefficients import (
    expansion_name,
    expansion_per_degf,
    expansion_rows,
)
from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.checks import Term
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.handbook.rows.materials import ThermalExpansionRow
    from rivetkit.handbook.sources import Citation

#: The lowest temperature there is [degF].
ABSOLUTE_ZERO_DEGF = -459.67
_PPM = 1e6


@dataclass(frozen=True, slots=True)
class Difference:
    """How much more one material grows than another, by one document for each.

    Without ``other`` the part is held against something that does not move.
    """

    per_degf: float
    row: ThermalExpansionRow
    other: ThermalExpansionRow | None = None

    @property
    def citations(self) -> tuple[Citation, ...]:
        """Where the two coefficients come from."""
        rows = (self.row,) if self.other is None else (self.row, self.other)
        return unique_citations(row.citation() for row in rows)


@dataclass(frozen=True, slots=True)
class Movement:
    """How far a part's far end moves against another part's; positive when it grows past it.

    ``greatest_in`` is by the documents that differ most, ``least_in`` by those that differ least.
    """

    greatest_in: float
    least_in: float
    #: The two coefficients behind the greatest movement.
    taken: Difference
    working: Working

    @property
    def documents_differ(self) -> bool:
        """Whether the documents on file give more than one answer."""
        return not math.isclose(self.greatest_in, self.least_in, rel_tol=1e-9, abs_tol=1e-12)


def differences(material: str, against: str | None = None) -> tuple[Difference, ...]:
    """Return how much more a material grows than another, by every pair of documents.

    The same material on both sides grows alike, however many documents there are on it. The pair
    that differs most comes first.

    Parameters
    ----------
    material, against
        Names as :func:`~rivetkit.calculators.heat.coefficients.expansion_rows` takes them;
        without ``against``, something that does not move.

    Raises
    ------
    OutOfTableError
        When no document on file tells the expansion of one of them.

    Examples
    --------
    >>> [round(found.per_degf * 1e6, 3) for found in differences("304", "2024")]
    [-3.333, -3.333, -3.167, -3.167]
    """
    rows = expansion_rows(material)
    if against is None:
        alone = [Difference(expansion_per_degf(row), row) for row in rows]
        return tuple(sorted(alone, key=lambda found: -found.per_degf))
    others = expansion_rows(against)
    names = expansion_name(material), expansion_name(against)
    if names[0] == names[1]:
        return (Difference(0.0, rows[0], rows[0]),)
    found = [
        Difference(expansion_per_degf(row) - expansion_per_degf(other), row, other)
        for row in rows
        for other in others
    ]
    # Of two pairs that differ alike one must be taken whichever part is named first.
    sign = 1.0 if names[0] < names[1] else -1.0
    return tuple(
        sorted(found, key=lambda pair: (abs(pair.per_degf), sign * pair.per_degf), reverse=True)
    )


def movement(
    material: str,
    against: str | None = None,
    *,
    length_in: float,
    from_degf: float,
    to_degf: float,
) -> Movement:
    """Return how far a part grows past another between two temperatures.

    Parameters
    ----------
    material
        The part.
    against
        What it is held to; without it, something that does not move.
    length_in
        From where the two are held together to the place asked about [in].
    from_degf, to_degf
        The temperature they matched at, and the one asked about [degF].

    Raises
    ------
    InputError
        When the length is not one, or a temperature lies below absolute zero.
    OutOfTableError
        When no document on file tells the expansion of a material.

    Examples
    --------
    >>> moved = movement("acrylic cast", "2024", length_in=36.0, from_degf=70.0, to_degf=120.0)
    >>> round(moved.greatest_in, 4), round(moved.least_in, 4)
    (0.0527, 0.0488)
    """
    require_length(length_in, "the length", zero_allowed=True)
    require_temperature_degf(from_degf)
    require_temperature_degf(to_degf)
    pairs = differences(material, against)
    change_degf = to_degf - from_degf
    moved_in = pairs[0].per_degf * length_in * change_degf
    return Movement(
        greatest_in=moved_in,
        least_in=pairs[-1].per_degf * length_in * change_degf,
        taken=pairs[0],
        working=_working(pairs[0], moved_in, length_in, from_degf, to_degf),
    )


def rows_out_of_range(
    rows: Sequence[ThermalExpansionRow], *, from_degf: float, to_degf: float
) -> tuple[ThermalExpansionRow, ...]:
    """Return the coefficients used outside the temperatures their document gives them for.

    Parameters
    ----------
    rows
        Coefficients; one whose document names no ends is taken to hold.
    from_degf, to_degf
        The coldest and the warmest temperature, in either order [degF].
    """
    coldest, warmest = sorted((from_degf, to_degf))
    return tuple(
        row
        for row in rows
        if (row.valid_from_degf is not None and coldest < row.valid_from_degf)
        or (row.valid_to_degf is not None and warmest > row.valid_to_degf)
    )


def require_temperature_degf(temperature_degf: float) -> float:
    """Return a temperature [degF], having seen that it is one.

    Parameters
    ----------
    temperature_degf
        The temperature [degF].

    Raises
    ------
    InputError
        When it is not finite or lies below absolute zero.
    """
    if not math.isfinite(temperature_degf) or temperature_degf < ABSOLUTE_ZERO_DEGF:
        raise InputError(
            f"{temperature_degf:g} F is no temperature", mend="check the number and its unit"
        )
    return temperature_degf


def _working(
    taken: Difference, moved_in: float, length_in: float, from_degf: float, to_degf: float
) -> Working:
    own = Term("a", expansion_per_degf(taken.row) * _PPM)
    terms = [Term("m", moved_in, "in"), own]
    bracket = "{a}"
    if taken.other is not None:
        terms.append(Term("b", expansion_per_degf(taken.other) * _PPM))
        bracket = "({a} - {b})"
    terms += [Term("L", length_in, "in"), Term("T", to_degf, "F"), Term("S", from_degf, "F")]
    return Working(
        name="growth" if taken.other is None else "movement",
        value=moved_in,
        unit="in",
        template=f"{{m}} = {bracket} / 1000000 x {{L}} x ({{T}} - {{S}})",
        terms=tuple(terms),
        citations=taken.citations,
    )
