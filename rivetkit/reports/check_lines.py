"""Checks as lines for a person: where many holes of a row come out alike, one line tells them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.checks import Check, Verdict
from rivetkit.planning.gather import number_runs
from rivetkit.quantities import words_in_unit

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Sequence

    from rivetkit.reports.amounts import LengthUnit


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A check, and every place where it came out alike.

    It stands for ``rows`` checks, each the closest to its limit of those in its row;
    ``closest_of`` counts all of them.
    """

    check: Check
    places: tuple[str, ...]
    rows: int = 1
    closest_of: int = 1


def gathered(checks: Iterable[Check], length_unit: LengthUnit) -> tuple[Check, ...]:
    """Return checks, those that say the same of several holes as one.

    Nothing is left out: ``where`` names every hole. Checks are told together that read alike in
    every column: name, place in the hole, numbers as they are shown, verdict, reason and sources.
    """
    alike: dict[Hashable, list[Check]] = {}
    for number, check in enumerate(checks):
        alike.setdefault(_said(check, length_unit) if check.hole else number, []).append(check)
    return tuple(_of_holes(found) for found in alike.values())


def closest_lines(checks: Iterable[Check], length_unit: LengthUnit) -> tuple[CheckLine, ...]:
    """Return what came closest to its limit of all that passed in a row, and all that did not.

    What reads alike in several places shares a line, which names every one of them.

    Parameters
    ----------
    checks
        Checks of one formula, held to one rule.
    length_unit
        Unit they are shown in.
    """
    rest: list[Check] = []
    passed: dict[Hashable, list[Check]] = {}
    for number, check in enumerate(checks):
        if check.verdict is not Verdict.PASS:
            rest.append(check)
        else:
            comparable = check.row and check.margin is not None
            passed.setdefault(check.row if comparable else number, []).append(check)
    told = [(check, 1) for check in gathered(rest, length_unit)]
    told += [
        (min(found, key=lambda check: check.margin or 0.0), len(found)) for found in passed.values()
    ]
    alike: dict[Hashable, list[tuple[Check, int]]] = {}
    for check, count in told:
        reason = words_in_unit(check.reason, length_unit)
        said = (check.verdict, check.substituted(length_unit), reason)
        alike.setdefault(said, []).append((check, count))
    return tuple(
        CheckLine(
            lines[0][0],
            tuple(dict.fromkeys(words_in_unit(check.where, length_unit) for check, _ in lines)),
            len(lines),
            sum(count for _, count in lines),
        )
        for lines in alike.values()
    )


def one_line(check: Check, length_unit: LengthUnit) -> CheckLine:
    """Return the line of a check that stands for itself alone."""
    return CheckLine(check, (words_in_unit(check.where, length_unit),))


def by_reason(
    checks: Iterable[Check], length_unit: LengthUnit
) -> dict[tuple[str, str], tuple[str, ...]]:
    """Return the places of checks by what was checked and why it came out so, each place once."""
    alike: dict[tuple[str, str], list[Check]] = {}
    for check in checks:
        reason = words_in_unit(check.reason, length_unit)
        alike.setdefault((check.name, reason), []).append(check)
    return {
        key: tuple(
            dict.fromkeys(
                words_in_unit(check.where, length_unit)
                for check in gathered(found, length_unit)
                if check.where
            )
        )
        for key, found in alike.items()
    }


def _said(check: Check, length_unit: LengthUnit) -> Hashable:
    return (
        check.name,
        _around(check),
        check.verdict,
        check.substituted(length_unit),
        words_in_unit(check.reason, length_unit),
        check.citations,
        check.accuracy,
    )


def _around(check: Check) -> tuple[str, str]:
    """Return what stands before the hole's name, and the layer or neighbour that follows it."""
    before, _, after = check.where.partition(check.hole)
    return before, after


def _of_holes(alike: Sequence[Check]) -> Check:
    """Return a check that names all the holes it is made of."""
    first = alike[0]
    if len(alike) == 1:
        return first
    by_row: dict[str, list[int]] = {}
    for check in alike:
        row, _, number = check.hole.rpartition(":")
        by_row.setdefault(row, []).append(int(number))
    holes = "; ".join(f"{row}:{number_runs(numbers)}" for row, numbers in by_row.items())
    before, after = _around(first)
    return replace(first, where=f"{before}{holes}{after}")
