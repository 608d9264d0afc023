"""Round and rectangular outlines about one centre: covers, openings, doublers, lines of screws."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rivetkit.calculators.limits import require_length
from rivetkit.errors import InputError
from rivetkit.quantities import length_words

Point = tuple[float, float]

#: A corner radius this near nought or half a side is that [in]: rounding, nothing more.
_SAME_IN = 1e-9


@dataclass(frozen=True, slots=True)
class CoverShape:
    """A rectangle about the origin, its corners sharp or rounded; with half its side, a circle."""

    width_in: float
    height_in: float
    corner_radius_in: float = 0.0

    @property
    def round(self) -> bool:
        """Whether it is a circle."""
        radius_in = self.width_in / 2.0
        return self.width_in == self.height_in and radius_in - self.corner_radius_in <= _SAME_IN

    @property
    def length_in(self) -> float:
        """Length of the outline [in]."""
        straight_in = 2.0 * (self.width_in + self.height_in - 4.0 * self.corner_radius_in)
        return straight_in + math.tau * self.corner_radius_in

    def inside_in(self, point: Point) -> float:
        """Return how far a point lies inside the outline [in]; negative outside.

        Parameters
        ----------
        point
            From the centre [in].

        Examples
        --------
        >>> rectangle(6.0, 4.0).inside_in((2.0, 0.0)), round_shape(4.0).inside_in((3.0, 0.0))
        (1.0, -1.0)
        """
        # Distances past the straight lines that leave the corner radius outside.
        across_in = abs(point[0]) - (self.width_in / 2.0 - self.corner_radius_in)
        up_in = abs(point[1]) - (self.height_in / 2.0 - self.corner_radius_in)
        outside_in = math.hypot(max(across_in, 0.0), max(up_in, 0.0))
        return self.corner_radius_in - outside_in - min(max(across_in, up_in), 0.0)


def round_shape(diameter_in: float) -> CoverShape:
    """Return a circle about the origin.

    Parameters
    ----------
    diameter_in
        Its diameter [in].

    Raises
    ------
    InputError
        When that is no length.

    Examples
    --------
    >>> round_shape(4.0).round
    True
    """
    require_length(diameter_in, "the diameter")
    return CoverShape(diameter_in, diameter_in, diameter_in / 2.0)


def rectangle(width_in: float, height_in: float, *, corner_radius_in: float = 0.0) -> CoverShape:
    """Return a rectangle about the origin.

    Parameters
    ----------
    width_in, height_in
        Its sides [in].
    corner_radius_in
        Radius of its corners [in]; nought for sharp ones.

    Raises
    ------
    InputError
        When a side is no length, or the radius does not fit the sides.

    Examples
    --------
    >>> round(rectangle(6.0, 4.0, corner_radius_in=1.0).length_in, 3)
    18.283
    """
    require_length(width_in, "the width")
    require_length(height_in, "the height")
    require_length(corner_radius_in, "the corner radius", zero_allowed=True)
    most_in = min(width_in, height_in) / 2.0
    if corner_radius_in > most_in + _SAME_IN:
        raise InputError(
            length_words(
                "a corner radius of {radius} is more than half the shorter side",
                radius=corner_radius_in,
            ),
            mend=length_words("give {most} or less", most=most_in),
        )
    if corner_radius_in <= _SAME_IN:
        return CoverShape(width_in, height_in)
    return CoverShape(width_in, height_in, min(corner_radius_in, most_in))
