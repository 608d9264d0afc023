"""How far a hole's centre moved, and what that takes off the distances around it.

All angles are measured from the line of the row (0) towards the near edge (90).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

#: Directions with a name [deg].
ALONG_ROW_DEG = 0.0
TOWARD_EDGE_DEG = 90.0


@dataclass(frozen=True, slots=True)
class Move:
    """How far a hole's centre moved from the old one.

    Parameters
    ----------
    along_in
        The move along the axis, positive in its direction; where the side is not known, the most
        it can be [in].
    axis_deg
        Direction of the axis [deg]; None when not known: any direction must be reckoned with.
    side_known
        Whether the sign of ``along_in`` is known.
    """

    along_in: float
    axis_deg: float | None = None
    side_known: bool = True

    def toward_in(self, direction_deg: float | None, *, either_side: bool = False) -> float:
        """Return by how much, at worst, the centre came nearer to something far off [in].

        Parameters
        ----------
        direction_deg
            Where it lies, square to its edge [deg]; None when not known.
        either_side
            Whether it may as well lie on the opposite side.

        Examples
        --------
        >>> Move(0.01, 90.0).toward_in(90.0), Move(0.01, 90.0).toward_in(270.0)
        (0.01, -0.01)
        >>> Move(0.01, 90.0, side_known=False).toward_in(270.0)
        0.01
        """
        if self.along_in == 0.0:
            return 0.0
        if direction_deg is None or self.axis_deg is None:
            return abs(self.along_in)
        component = self.along_in * _cos_deg(self.axis_deg - direction_deg)
        return component if self.side_known and not either_side else abs(component)

    def distance_after_in(
        self, distance_in: float, direction_deg: float | None, *, either_side: bool = False
    ) -> float:
        """Return the least distance there can be now to a point that was so far from the old
        centre [in].

        Parameters
        ----------
        distance_in
            From the old centre to the point [in].
        direction_deg
            Where the point lies [deg]; None when not known.
        either_side
            Whether such a point lies on the opposite side as well.

        Examples
        --------
        >>> Move(0.01, 90.0).distance_after_in(0.5, 270.0)
        0.51
        >>> round(Move(0.03, 90.0).distance_after_in(0.4, 0.0), 6)
        0.401123
        """
        if self.along_in == 0.0:
            return distance_in
        if direction_deg is None or self.axis_deg is None:
            return abs(distance_in - abs(self.along_in))
        angle_deg = self.axis_deg - direction_deg
        nearer_in = self.along_in * _cos_deg(angle_deg)
        across_in = self.along_in * _cos_deg(angle_deg - 90.0)
        share = 1.0
        if not self.side_known:
            # the true centre lies somewhere on the axis: take the place that brings it nearest
            whole, reached = self.along_in**2, distance_in * abs(nearer_in)
            share = 1.0 if reached >= whole else reached / whole
        if either_side or not self.side_known:
            nearer_in = abs(nearer_in)
        return math.hypot(distance_in - share * nearer_in, share * across_in)


def _cos_deg(angle_deg: float) -> float:
    """Return the cosine, exact at the right angles: an edge square to the axis loses nothing."""
    quarter, rest = divmod(angle_deg, 90.0)
    if rest == 0.0:
        return (1.0, 0.0, -1.0, 0.0)[int(quarter) % 4]
    return math.cos(math.radians(angle_deg))
