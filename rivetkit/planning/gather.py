"""Like checks are made once and name everything they hold for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    from numpy.typing import NDArray

    from rivetkit.checks import Check

#: More names than this in one line are counted, not listed.
_MOST_NAMES = 2


@dataclass(frozen=True, eq=False)
class HolesCheck:
    """A check, and the numbers of the holes it holds for."""

    holes: NDArray[np.intp]
    check: Check


def gather_checks(checks: Iterable[tuple[str, Check]]) -> tuple[Check, ...]:
    """Return each different check once, its place followed by what it was made for.

    Parameters
    ----------
    checks
        Pairs of the name of a row, or of a layer, and a check made for it.
    """
    names_of: dict[Check, dict[str, None]] = {}
    for name, check in checks:
        names_of.setdefault(check, {})[name] = None
    return tuple(
        replace(check, where=_where(check.where, names)) for check, names in names_of.items()
    )


def gathered_names(names: Iterable[str]) -> str:
    """Return some names in one line: the first few, and how many more there are."""
    listed = list(names)
    shown = ", ".join(listed[:_MOST_NAMES])
    if len(listed) > _MOST_NAMES:
        shown += f" and {len(listed) - _MOST_NAMES} more"
    return shown


def _where(place: str, names: Iterable[str]) -> str:
    shown = gathered_names(names)
    return length_words("{place}: {rows}", place=place, rows=shown) if place else shown
