"""Screws set evenly on a line round an opening."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import require_length
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.nutplates.cover_shape import CoverShape, Point

#: More screws than this on one cover is a slip of the pen.
MOST_SCREWS = 400

_LEAST_ON_A_CIRCLE = 3
_LEAST_ON_A_RECTANGLE = 4
_QUARTER_DEG = 90.0
_HALF_TURN_DEG = 180.0
#: A straight step is never less than this much of the way along the line: half a circle.
_LEAST_CHORD = 2.0 / math.pi
#: A step this much over the greatest is still that step [in]: binary rounding.
_SAME_IN = 1e-9


@dataclass(frozen=True, slots=True)
class Screw:
    """A screw's centre from the middle of the opening [in], and the direction of the line there.

    The direction is in degrees from the x axis, 0 up to 180.
    """

    at_in: Point
    direction_deg: float


def steps_round_in(screws: Sequence[Screw]) -> tuple[float, ...]:
    """Return the straight distance from each screw to the next, the last to the first [in].

    Parameters
    ----------
    screws
        In order round the line.
    """
    following = (*screws[1:], *screws[:1])
    return tuple(
        math.dist(one.at_in, other.at_in) for one, other in zip(screws, following, strict=True)
    )


def screws_on_circle(
    line: CoverShape,
    *,
    count: int | None = None,
    max_pitch_in: float | None = None,
    start_angle_deg: float = 0.0,
) -> tuple[Screw, ...]:
    """Return screws evenly round a circle.

    Parameters
    ----------
    line
        The circle the screws stand on.
    count
        How many.
    max_pitch_in
        Instead: the fewest that stand no wider apart than this, measured straight [in].
    start_angle_deg
        Where the first stands, from the x axis toward the y axis [deg].

    Raises
    ------
    InputError
        When neither or both are given, or the number is not one a circle can have.

    Examples
    --------
    >>> from rivetkit.calculators.nutplates.cover_shape import round_shape
    >>> len(screws_on_circle(round_shape(6.0), max_pitch_in=3.0))
    6
    """
    count = _require_one(count, max_pitch_in, _LEAST_ON_A_CIRCLE)
    radius_in = line.width_in / 2.0
    if max_pitch_in is not None:
        # Straight from screw to screw: d sin(pi / n).
        share = min(max_pitch_in / line.width_in, 1.0)
        count = max(_LEAST_ON_A_CIRCLE, math.ceil(math.pi / math.asin(share) - _SAME_IN))
        _require_few(count)
    screws = []
    for number in range(count):
        angle_deg = start_angle_deg + number * 360.0 / count
        angle = math.radians(angle_deg)
        at_in = (radius_in * math.cos(angle), radius_in * math.sin(angle))
        screws.append(Screw(at_in, _direction_deg(angle_deg + _QUARTER_DEG)))
    return tuple(screws)


def screws_on_rectangle(
    line: CoverShape,
    *,
    count: int | None = None,
    max_pitch_in: float | None = None,
    corner_screws: bool = True,
) -> tuple[Screw, ...]:
    """Return screws round a rectangle, opposite sides alike.

    The line is parted at the middle of each corner and each part divided evenly, with a screw at
    every division, or in the middle of every space when the corners are to stay free.

    Parameters
    ----------
    line
        The rectangle the screws stand on.
    count
        How many: an even number.
    max_pitch_in
        Instead: the fewest that stand no wider apart than this [in], measured straight, or along
        the line when the corners are free.
    corner_screws
        Whether a screw stands in the middle of each corner.

    Raises
    ------
    InputError
        When neither or both are given, or the number is not one a rectangle can have.

    Examples
    --------
    >>> from rivetkit.calculators.nutplates.cover_shape import rectangle
    >>> screws = screws_on_rectangle(rectangle(6.0, 4.0), count=10)
    >>> [screw.at_in for screw in screws[:4]]
    [(3.0, -2.0), (3.0, 0.0), (3.0, 2.0), (1.0, 2.0)]
    """
    count = _require_one(count, max_pitch_in, _LEAST_ON_A_RECTANGLE)
    if max_pitch_in is None:
        spaces = _spaces_of_count(count, _parts_in(line))
    else:
        spaces = _spaces_of_pitch(line, max_pitch_in, corner_screws=corner_screws)
    shift = 0.0 if corner_screws else 0.5
    return tuple(
        screw for side in range(4) for screw in _side(line, side, spaces[side % 2], shift=shift)
    )


def _require_one(count: int | None, max_pitch_in: float | None, least: int) -> int:
    if (count is None) == (max_pitch_in is None):
        what = "nothing says how many screws" if count is None else "count and pitch are both given"
        raise InputError(what, mend="give the count or the greatest pitch")
    if max_pitch_in is not None:
        require_length(max_pitch_in, "the greatest pitch")
        return least
    if count is None or count < least:
        raise InputError(f"{count} screws do not go round it", mend=f"give {least} or more")
    _require_few(count)
    return count


def _require_few(count: int) -> None:
    if count > MOST_SCREWS:
        raise InputError(
            f"that makes {count} screws or more, past the {MOST_SCREWS} that are believed",
            mend="check the unit and the decimal point",
        )


def _parts_in(line: CoverShape) -> tuple[float, float]:
    """Return what of the line belongs to a right and to an upper side, corner middle to middle."""
    radius_in = line.corner_radius_in
    bend_in = math.pi * radius_in / 2.0
    return (
        line.height_in - 2.0 * radius_in + bend_in,
        line.width_in - 2.0 * radius_in + bend_in,
    )


def _spaces_of_count(count: int, part_in: tuple[float, float]) -> list[int]:
    if count % 2:
        raise InputError(
            f"{count} screws cannot stand alike on opposite sides",
            mend=f"give an even number, {count - 1} or {count + 1}",
        )
    half = count // 2
    upright = min(
        range(1, half),
        key=lambda spaces: (max(part_in[0] / spaces, part_in[1] / (half - spaces)), spaces),
    )
    return [upright, half - upright]


def _spaces_of_pitch(line: CoverShape, max_pitch_in: float, *, corner_screws: bool) -> list[int]:
    part_in = _parts_in(line)
    along = [math.ceil(part / max_pitch_in - _SAME_IN) for part in part_in]
    _require_few(2 * math.floor(_LEAST_CHORD * sum(along)))
    if corner_screws:
        # Round a bend the straight way is shorter, so fewer spaces may do.
        along = [_fewest(line, side, max_pitch_in) for side in range(2)]
    _require_few(2 * sum(along))
    return along


def _fewest(line: CoverShape, side: int, max_pitch_in: float) -> int:
    spaces = max(1, math.floor(_LEAST_CHORD * _parts_in(line)[side] / max_pitch_in))
    (corner,) = _side(line, side + 1, 1, shift=0.0)
    while True:
        screws = (*_side(line, side, spaces, shift=0.0), corner)
        if max(steps_round_in(screws)[:-1]) <= max_pitch_in + _SAME_IN:
            return spaces
        spaces += 1


def _side(line: CoverShape, side: int, spaces: int, *, shift: float) -> tuple[Screw, ...]:
    """Return the screws of one side, the right one first, then on against the clock."""
    sides_in = (line.width_in, line.height_in)
    width_in, height_in = sides_in if side % 2 == 0 else sides_in[::-1]
    part_in = _parts_in(line)[side % 2]
    screws = []
    for number in range(spaces):
        along_in = (number + shift) * part_in / spaces
        at_in, direction_deg = _on_right_side(along_in, width_in, height_in, line.corner_radius_in)
        screws.append(_turned(at_in, direction_deg, side))
    return tuple(screws)


def _on_right_side(
    along_in: float, width_in: float, height_in: float, radius_in: float
) -> tuple[Point, float]:
    """Return a place on the right side and the line's direction there [deg].

    ``along_in`` counts from the middle of the lower corner upward.
    """
    bend_in = math.pi * radius_in / 4.0
    straight_in = height_in - 2.0 * radius_in
    x_in, y_in = width_in / 2.0 - radius_in, straight_in / 2.0
    if along_in < bend_in:
        angle = along_in / radius_in - math.pi / 4.0
        y_in = -y_in
    elif along_in > bend_in + straight_in:
        angle = (along_in - bend_in - straight_in) / radius_in if radius_in else 0.0
    else:
        # In a sharp corner the line has no direction: halfway between its sides.
        direction_deg = _QUARTER_DEG / 2.0 if not radius_in and not along_in else _QUARTER_DEG
        return (width_in / 2.0, along_in - bend_in - y_in), direction_deg
    at_in = (x_in + radius_in * math.cos(angle), y_in + radius_in * math.sin(angle))
    return at_in, math.degrees(angle) + _QUARTER_DEG


def _turned(at_in: Point, direction_deg: float, quarters: int) -> Screw:
    x_in, y_in = at_in
    for _ in range(quarters):
        x_in, y_in = -y_in, x_in
    return Screw((x_in + 0.0, y_in + 0.0), _direction_deg(direction_deg + quarters * _QUARTER_DEG))


def _direction_deg(angle_deg: float) -> float:
    """Return a direction without its sense [deg], 0 up to 180."""
    direction = round(angle_deg % _HALF_TURN_DEG, 9)
    return 0.0 if direction >= _HALF_TURN_DEG else direction
