"""Refuse holes that crowd in such numbers that only a wrong unit can have put them there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.errors import InputError
from rivetkit.geometry.neighbours import crowd
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from rivetkit.geometry.curves import Points


def refuse_crowd(points: Points, within_in: float, row_of: Callable[[int], str]) -> None:
    """Refuse holes whose neighbours cannot be listed.

    Parameters
    ----------
    points
        The holes ``(n, 2)`` [in].
    within_in
        Who is a neighbour [in].
    row_of
        Name of the row a hole belongs to.

    Raises
    ------
    InputError
        When too many crowd; the message names a row and the place.
    """
    found = crowd(points, within_in)
    if found is None:
        return
    hole, count = found
    x, y = points[hole]
    raise InputError(
        length_words(
            "{count} holes stand within {within:.3g} near {place:.4g}, too many to compare each "
            "with each",
            count=str(count),
            within=within_in,
            place=(float(x), float(y)),
        ),
        where=f"row '{row_of(hole)}'",
        mend="check the pitch, the unit and the decimal point",
    )
