"""How many to order: the count, the spares, whole packs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from rivetkit.errors import InputError

#: More spares than rivets is a slip of the pen.
_MOST_PERCENT = 100


@dataclass(frozen=True, slots=True)
class SparesPolicy:
    """How many to have over, as the person chose it: no document asks for spares.

    Parameters
    ----------
    percent
        Spares as a percentage of the rivets needed, 0 to 100. A decimal means what it reads.
    minimum
        Least number of spares of any one part number.
    pack_size
        How many come in a pack; 1 when they are sold singly.

    Raises
    ------
    InputError
        When a figure is out of its range.
    """

    percent: Fraction | float = 0
    minimum: int = 0
    pack_size: int = 1

    def __post_init__(self) -> None:
        if isinstance(self.percent, float) and not math.isfinite(self.percent):
            raise _out_of_range("the spares percentage", self.percent, "0 to 100")
        # repr gives back the decimal that was typed: 0.1 is one tenth here, not 2**-55 more.
        exact = Fraction(repr(self.percent)) if isinstance(self.percent, float) else self.percent
        object.__setattr__(self, "percent", Fraction(exact))
        if not 0 <= self.percent <= _MOST_PERCENT:
            raise _out_of_range("the spares percentage", float(self.percent), "0 to 100")
        if _whole(self.minimum, "the least number of spares") < 0:
            raise _out_of_range("the least number of spares", self.minimum, "0 or more")
        if _whole(self.pack_size, "the pack size") < 1:
            raise _out_of_range("the pack size", self.pack_size, "1 or more")


@dataclass(frozen=True, slots=True)
class OrderLine:
    """What to order of one part number, with the arithmetic."""

    net: int
    policy: SparesPolicy
    spares: int
    packs: int
    order: int
    #: The lines of the arithmetic, with the numbers in.
    working: tuple[str, ...]


def order_quantity(net: int, policy: SparesPolicy) -> OrderLine:
    r"""Return how many to order for so many needed.

    The spares are the percentage, rounded up, or the minimum where that is more; the order is the
    sum in whole packs. Where none are needed none are ordered.

    Parameters
    ----------
    net
        Number needed.
    policy
        Spares and pack size.

    Raises
    ------
    InputError
        When the number is negative or not whole.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> line = order_quantity(70, SparesPolicy(percent=10, minimum=5, pack_size=100))
    >>> line.spares, line.order
    (7, 100)
    >>> print(*line.working, sep="\n")
    spares = max(ceil(70 x 10 / 100), 5) = max(7, 5) = 7
    order = ceil((70 + 7) / 100) x 100 = 1 x 100 = 100
    """
    if _whole(net, "the number needed") < 0:
        raise _out_of_range("the number needed", net, "0 or more")
    if net == 0:
        return OrderLine(0, policy, 0, 0, 0, ("none needed, none ordered",))
    share = math.ceil(net * Fraction(policy.percent) / 100)
    spares = max(share, policy.minimum)
    packs = -(-(net + spares) // policy.pack_size)
    order = packs * policy.pack_size
    share_text = f"ceil({net} x {_shown(policy.percent)} / 100)"
    minimum, pack = policy.minimum, policy.pack_size
    working = (
        f"spares = max({share_text}, {minimum}) = max({share}, {minimum}) = {spares}",
        f"order = ceil(({net} + {spares}) / {pack}) x {pack} = {packs} x {pack} = {order}",
    )
    return OrderLine(net, policy, spares, packs, order, working)


def _whole(number: int, what: str) -> int:
    if isinstance(number, bool) or not isinstance(number, int):
        raise InputError(f"{what} is '{number}'", mend="give a whole number")
    return number


def _shown(percent: Fraction | float) -> str:
    exact = Fraction(percent)
    return str(exact.numerator) if exact.denominator == 1 else f"{float(exact):g}"


def _out_of_range(what: str, number: float, span: str) -> InputError:
    return InputError(f"{what} is {number:g}", mend=f"give {span}")
