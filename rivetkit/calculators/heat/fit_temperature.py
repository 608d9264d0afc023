"""The temperature at which a gap is just closed, or at which holes that are off now matched."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rivetkit.calculators.heat.expansion import (
    ABSOLUTE_ZERO_DEGF,
    differences,
    require_temperature_degf,
)
from rivetkit.calculators.limits import require_length
from rivetkit.errors import InputError
from rivetkit.quantities import length_words


@dataclass(frozen=True, slots=True)
class TemperatureSpan:
    """The temperature [degF] something happens at, by the documents that differ most and least."""

    nearest_degf: float
    farthest_degf: float


def temperature_of_change_degf(
    change_in: float,
    material: str,
    against: str | None = None,
    *,
    length_in: float,
    from_degf: float,
) -> TemperatureSpan | None:
    """Return the temperature at which a part has grown so much past another [degF].

    A gap round a part is just closed when the part has grown past its frame by the gap; holes
    that are off by so much now were drilled where the part was shorter by as much.

    Parameters
    ----------
    change_in
        How much the part has grown past the other since ``from_degf`` [in]; negative when it has
        shrunk.
    material, against
        The part, and what it is held to; without that, something that does not move.
    length_in
        From where the two are held together to the place asked about [in].
    from_degf
        The temperature the change counts from [degF].

    Returns
    -------
    TemperatureSpan or None
        None when no temperature does it: the two grow alike, the documents do not agree which
        grows more, or it would lie below absolute zero.

    Raises
    ------
    InputError
        When the length is not one, or the temperature lies below absolute zero.
    OutOfTableError
        When no document on file tells the expansion of a material.

    Examples
    --------
    A gap of .05 in at the end of 36 in of acrylic in an aluminium frame:

    >>> span = temperature_of_change_degf(
    ...     0.05, "acrylic cast", "2024", length_in=36.0, from_degf=70.0
    ... )
    >>> round(span.nearest_degf), round(span.farthest_degf)
    (117, 121)
    """
    require_length(length_in, "the length")
    require_temperature_degf(from_degf)
    if not math.isfinite(change_in):
        raise InputError(
            length_words("the change is {change}", change=change_in), mend="give a length"
        )
    pairs = differences(material, against)
    rates = [pair.per_degf * length_in for pair in pairs]
    if min(rates) <= 0.0 <= max(rates):
        return None
    nearest, farthest = (from_degf + change_in / rate for rate in (rates[0], rates[-1]))
    if min(nearest, farthest) < ABSOLUTE_ZERO_DEGF:
        return None
    return TemperatureSpan(nearest, farthest)
