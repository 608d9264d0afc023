"""A measured hole: how far its size may be off, and sizes that cannot be meant."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import require_accuracy, require_accuracy_within
from rivetkit.checks import LIMIT_TOLERANCE, MM_PER_IN
from rivetkit.errors import InputError
from rivetkit.quantities import format_length
from rivetkit.quantities.read import read_amount

if TYPE_CHECKING:
    from collections.abc import Sequence

#: A hole this many times its rivet's own, or one over as many, is a slip: neither wear nor an
#: oversize rivet comes near it (common practice, no source).
FARTHEST_RATIO = 2.0

#: A hole torn out may be so many times its rivet's own, if its size is told with a unit; from here
#: on a slip of the decimal point tells it (common practice, no source).
TORN_RATIO = 5.0

#: What a slip did to the size, and how it is told; the likeliest first.
_SLIPS = (
    (1 / MM_PER_IN, "mm"),
    (MM_PER_IN, "in"),
    (1 / 1000, "thou"),
    (10.0, "point"),
    (1 / 10, "point"),
    (100.0, "point"),
    (1 / 100, "point"),
)


#: What pin gauges and a caliper tell the diameter of a hole to [in] (common practice, no source).
HOLE_ACCURACY_IN = 0.001

#: The diameter of a hole told by a rule held to it is off by no more than this [in] (common
#: practice, no source).
COARSEST_HOLE_IN = 1 / 32


def hole_accuracy(accuracy_in: float, *, told_in: float | None = None) -> float:
    """Return how far the measured diameter of a hole may be off [in].

    A hole is measured with pin gauges or a caliper, an edge or a pitch with a rule: what is told
    of measurements in general is no leave to call a hole good that is far over its limit.

    Parameters
    ----------
    accuracy_in
        How far off measurements may be in general [in].
    told_in
        What was told of diameters of holes [in]; None: as the general one, but
        :data:`HOLE_ACCURACY_IN` at most.

    Raises
    ------
    InputError
        When an accuracy is below zero, or greater than anybody measures to.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> hole_accuracy(1 / 64), hole_accuracy(0.0005), hole_accuracy(1 / 64, told_in=0.0)
    (0.001, 0.0005, 0.0)
    """
    if told_in is not None:
        return require_hole_accuracy(told_in)
    return min(require_accuracy(accuracy_in), HOLE_ACCURACY_IN)


def require_hole_accuracy(told_in: float) -> float:
    """Return how far measured diameters may be off [in], having seen that a rule may tell so much.

    Raises
    ------
    InputError
        When it is below zero or over :data:`COARSEST_HOLE_IN`.

    References
    ----------
    Common practice, no source.
    """
    what = "the measuring accuracy of holes"
    return require_accuracy_within(told_in, COARSEST_HOLE_IN, what, "a rule held to a hole")


def require_near_nominal(
    size_in: float, *, nominal_in: Sequence[float], text: str, unit: str = "in"
) -> float:
    """Return a measured size of a hole, having seen that it can be meant.

    Parameters
    ----------
    size_in
        What was read [in].
    nominal_in
        Holes of the rivets it may belong to [in]; anything from half the least to twice the
        greatest is taken. With none there is nothing to hold it against.
    text
        What was typed. With a unit in it a hole is taken up to five times as large: nobody writes
        that of one that is not torn.
    unit
        Unit the mend is written in, ``in`` or ``mm``.

    Raises
    ------
    InputError
        When the size is under half or over twice the rivet's hole and is not told to be torn. The
        mend says which slip, of unit or decimal point, would explain it.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> require_near_nominal(0.128, nominal_in=[0.1285], text=".128")
    0.128
    >>> require_near_nominal(0.27, nominal_in=[0.1285], text=".27 in")
    0.27
    """
    if not nominal_in:
        return size_in
    least_in, most_in = min(nominal_in) / FARTHEST_RATIO, max(nominal_in) * FARTHEST_RATIO
    if least_in - LIMIT_TOLERANCE <= size_in <= most_in + LIMIT_TOLERANCE:
        return size_in
    small = size_in < least_in
    torn = not small and size_in < TORN_RATIO * min(nominal_in) - LIMIT_TOLERANCE
    if torn and read_amount(text, what="hole", example="")[2]:
        return size_in
    hole_in = min(nominal_in) if small else max(nominal_in)
    side = "under half" if small else "over twice"
    hole = format_length(hole_in, unit)
    raise InputError(
        f"'{text}' is {format_length(size_in, unit)}, {side} the rivet's hole of {hole}",
        mend="measure it again; if it is torn so wide, write the unit as well: "
        f"{format_length(size_in, unit)}"
        if torn
        else _mend(size_in, (least_in, most_in), hole_in, unit),
    )


def _mend(size_in: float, span_in: tuple[float, float], hole_in: float, unit: str) -> str:
    meant = [
        (abs(math.log(size_in * factor / hole_in)), number)
        for number, (factor, _) in enumerate(_SLIPS)
        if span_in[0] <= size_in * factor <= span_in[1]
    ]
    if not meant:
        return "measure it again, or look for the point and the unit"
    factor, slip = _SLIPS[min(meant)[1]]
    if slip == "point":
        return f"if the decimal point slipped, write {format_length(size_in * factor, unit)}"
    if slip == "mm":
        return f"if it was measured in mm, write {size_in:.6g} mm"
    if slip == "thou":
        return f"if it was measured in thou, write {size_in:.6g} thou"
    return f"if it was measured in inches, write {size_in * MM_PER_IN:.6g} in"
