"""How the hole for a replacement is made: used as it is, opened, or drilled out, or not at all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.calculators.oversize.cleanup_hole import (
    CleanUp,
    MeasuredHole,
    clean_up_with,
    least_clean_up_in,
    middle_move,
)
from rivetkit.calculators.oversize.sizes import HoleLimits, rule_in_force
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, Verdict, make_check, not_checked
from rivetkit.drills import smallest_at_or_above
from rivetkit.errors import OutOfTableError

if TYPE_CHECKING:
    from rivetkit.calculators.oversize.replacements import Replacement
    from rivetkit.drills import Drill
    from rivetkit.rules import RuleBook

AS_IT_IS = "hole as it is"
CLEAN_UP = "clean-up hole"
DRILL = "drill for the hole"


def same_hole(
    replacement: Replacement,
    measured: MeasuredHole,
    *,
    series: tuple[str, ...],
    accuracy_in: float,
    further: tuple[str, ...] = (),
) -> tuple[CleanUp | None, tuple[Check, ...]]:
    """Judge the hole for the rivet that was in it; a narrow one is opened with its own drill.

    Parameters
    ----------
    replacement
        The rivet taken out.
    measured
        The hole.
    series
        The drills to choose among.
    accuracy_in
        How far the measured diameters may be off [in].
    further
        The drills to look at where none of ``series`` makes the hole.

    Returns
    -------
    tuple
        The hole, None when it does not do, and the checks.
    """
    limits = replacement.hole
    if limits is None:
        return None, (_no_limits(AS_IT_IS, replacement),)
    check = _at_most(AS_IT_IS, "g", measured.greatest_in, limits, accuracy_in)
    if check.verdict is Verdict.FAIL:
        return None, (check,)
    move = middle_move(measured)
    if measured.least_in >= limits.least_in - LIMIT_TOLERANCE:
        return CleanUp(None, measured.greatest_in, 0.0, move), (check,)
    drill = _drill_for(limits.least_in, limits, series, further)
    if drill is None or drill.size_in > limits.most_in + LIMIT_TOLERANCE:
        return None, (check, _no_drill(drill, limits, (*series, *further)))
    return CleanUp(drill, max(measured.greatest_in, drill.size_in), 0.0, move), (check,)


def new_hole(
    replacement: Replacement,
    measured: MeasuredHole,
    book: RuleBook,
    *,
    series: tuple[str, ...],
    accuracy_in: float,
    further: tuple[str, ...] = (),
) -> tuple[CleanUp | None, tuple[Check, ...]]:
    """Judge whether a hole of the new rivet takes the measured one out, and choose its drill.

    A hole already within the new rivet's limits is used as it is.

    Parameters
    ----------
    replacement
        The rivet to go in.
    measured
        The hole.
    book
        The rules in force; they give the allowance.
    series
        The drills to choose among.
    accuracy_in
        How far the measured diameters may be off [in].
    further
        The drills to look at where none of ``series`` makes the hole.

    Returns
    -------
    tuple
        The hole, None when it does not do, and the checks.
    """
    limits = replacement.hole
    if limits is None:
        return None, (_no_limits(CLEAN_UP, replacement),)
    inside = measured.least_in >= limits.least_in - LIMIT_TOLERANCE
    if inside and measured.greatest_in <= limits.most_in + LIMIT_TOLERANCE:
        check = _at_most(AS_IT_IS, "g", measured.greatest_in, limits, accuracy_in)
        clean_up = CleanUp(None, measured.greatest_in, 0.0, middle_move(measured))
        return clean_up, (check,)
    rule = rule_in_force("clean_up_allowance", book)
    allowance_in = rule.length_in(diameter_in=replacement.fastener.diameter_in)
    needed_in = least_clean_up_in(measured, allowance_in=allowance_in)
    # past the limit there is no drill to name, however well the hole was measured
    too_large = needed_in > limits.most_in + LIMIT_TOLERANCE
    clean = make_check(
        CLEAN_UP,
        needed_in,
        limits.most_in,
        unit="in",
        comparison="at most",
        citations=(rule.citation, *limits.citations),
        template="{g} + {a} <= {H}",
        terms=(
            Term("g", measured.greatest_in, "in"),
            Term("a", allowance_in, "in"),
            Term("H", limits.most_in, "in"),
        ),
        accuracy=0.0 if too_large else accuracy_in,
    )
    if too_large:
        return None, (clean,)
    drill = _drill_for(max(needed_in, limits.least_in), limits, series, further)
    if drill is None or drill.size_in > limits.most_in + LIMIT_TOLERANCE:
        return None, (clean, _no_drill(drill, limits, (*series, *further)))
    fit = _at_most(DRILL, "d", drill.size_in, limits)
    clean_up = clean_up_with(measured, drill, allowance_in=allowance_in)
    return clean_up, (clean, fit)


def _drill_for(
    least_in: float, limits: HoleLimits, series: tuple[str, ...], further: tuple[str, ...]
) -> Drill | None:
    """Return the drill of the rivet's own table while it serves, else the next larger one; of the
    further drills where that is too large.
    """
    own = limits.drill
    if own is not None and own.series in series:
        room_in = LIMIT_TOLERANCE
        if least_in - room_in <= own.size_in <= limits.most_in + room_in:
            return own
    drill = _next_drill(least_in, series)
    too_large = drill is None or drill.size_in > limits.most_in + LIMIT_TOLERANCE
    return _next_drill(least_in, (*series, *further)) if further and too_large else drill


def _next_drill(least_in: float, series: tuple[str, ...]) -> Drill | None:
    try:
        return smallest_at_or_above(least_in, series)
    except OutOfTableError:
        return None


def _no_drill(drill: Drill | None, limits: HoleLimits, series: tuple[str, ...]) -> Check:
    words = f"{', '.join(series[:-1])} or {series[-1]}" if len(series) > 1 else series[0]
    if drill is None:
        return not_checked(DRILL, f"the chart of {words} drills ends below the hole")
    check = _at_most(DRILL, "d", drill.size_in, limits)
    return replace(
        check,
        reason=f"no {words} drill is small enough; {drill.designation} is the next",
    )


def _at_most(
    name: str, symbol: str, value_in: float, limits: HoleLimits, accuracy_in: float = 0.0
) -> Check:
    return make_check(
        name,
        value_in,
        limits.most_in,
        unit="in",
        comparison="at most",
        citations=limits.citations,
        template=f"{{{symbol}}} <= {{H}}",
        terms=(Term(symbol, value_in, "in"), Term("H", limits.most_in, "in")),
        accuracy=accuracy_in,
    )


def _no_limits(name: str, replacement: Replacement) -> Check:
    return not_checked(name, f"no hole for {replacement.fastener.designation} is on file")
