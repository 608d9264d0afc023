"""Like checks are made once and name everything they hold for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.checks import Verdict
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

    Of one that passed a few names are told and the others counted; of others every name.

    Parameters
    ----------
    checks
        Pairs of the name of a row, or of a layer, and a check made for it.
    """
    names_of: dict[Check, dict[str, None]] = {}
    for name, check in checks:
        names_of.setdefault(check, {})[name] = None
    return tuple(
        replace(check, where=_where(check.where, _told(check, names)))
        for check, names in names_of.items()
    )


def gathered_names(names: Iterable[str]) -> str:
    """Return some names in one line: the first few, and how many more there are."""
    listed = list(names)
    shown = ", ".join(listed[:_MOST_NAMES])
    if len(listed) > _MOST_NAMES:
        shown += f" and {len(listed) - _MOST_NAMES} more"
    return shown


def number_runs(numbers: Iterable[int]) -> str:
    """Return some numbers in order, each once, runs written short.

    Examples
    --------
    >>> number_runs([9, 1, 2, 3])
    '1-3, 9'
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)


def _told(check: Check, names: Iterable[str]) -> str:
    return gathered_names(names) if check.verdict is Verdict.PASS else ", ".join(names)


def _where(place: str, names: str) -> str:
    return length_words("{place}: {rows}", place=place, rows=names) if place else names
