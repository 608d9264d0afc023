"""Tables for the holes themselves: what was measured, and what room is left."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.oversize.measured_size import hole_accuracy
from rivetkit.checks import Verdict
from rivetkit.planning.reserve import hole_spans
from rivetkit.quantities import format_length, words_in_unit
from rivetkit.reports.amounts import drill_set_words, in_unit, length_number, over_words
from rivetkit.reports.check_table import objection
from rivetkit.reports.document import Column, Table
from rivetkit.reports.plans.plan_tables import MOST_LINES, worst_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rivetkit.checks import Check
    from rivetkit.job.worksheet.sheet import BenchNote
    from rivetkit.planning.measured import HoleFix, MeasuredHoles
    from rivetkit.planning.plan import Plan
    from rivetkit.planning.reserve import Obstacle
    from rivetkit.reports.amounts import LengthUnit


def measured_words(plan: Plan, unit: LengthUnit) -> str:
    """Return how many holes were measured, how exactly, and what the others are taken for."""
    count = len(plan.measured.fixes) if plan.measured else 0
    free = len(plan.holes) - plan.kept
    accuracy_in = hole_accuracy(plan.job.accuracy_in, told_in=plan.job.hole_accuracy_in)
    exact = f", to +/- {format_length(accuracy_in, unit)}" if count and accuracy_in else ""
    rest = "; the rest taken as nominal" if count < free else ""
    return f"Measured {count} of {free} hole{'s' * (free != 1)}{exact}{rest}."


def measured_table(fixes: Sequence[HoleFix], noted: Sequence[BenchNote], unit: LengthUnit) -> Table:
    """Return what every measured hole needs, those that cannot be saved first.

    Holes that were only written about stand before those that get a rivet. Where the table grows
    long the holes that ask for no work are left out, and only those: the bench drills by it.
    """
    empty = [fix for fix in fixes if fix.chosen is None]
    work = [fix for fix in fixes if fix.chosen is not None and not _is_well(fix)]
    well = [fix for fix in fixes if _is_well(fix)]
    work.sort(key=lambda fix: not fix.oversize)
    lines = [_measured_cells(fix, unit) for fix in empty]
    lines += [(note.hole, "", "", "", "", "", note.words) for note in noted]
    lines += [_measured_cells(fix, unit) for fix in work]
    shown = well if len(lines) + len(well) <= MOST_LINES else []
    lines += [_measured_cells(fix, unit) for fix in shown]
    caption = ""
    if left_out := len(well) - len(shown):
        caption = (
            f"{left_out} more within {'their' if left_out > 1 else 'its'} limits, the same rivet "
            "again; --json has them all."
        )
    columns = (
        Column("hole"),
        Column("measured", unit, align="right"),
        Column("limits", unit, align="right", weight=5),
        Column("goes in"),
        Column("drill", weight=9),
        Column("centre moves", unit, align="right", weight=6),
        Column("because", weight=8, wrap=True),
    )
    return Table(columns, tuple(lines), caption)


def _is_well(fix: HoleFix) -> bool:
    """Return whether a hole takes its own rivet as it is, beyond doubt, and none remarked on it."""
    sure = fix.chosen is not None and fix.chosen.verdict is Verdict.PASS
    within = fix.result.reusable and fix.result.fit == "within"
    return sure and within and not fix.bench.remark


def _measured_cells(fix: HoleFix, unit: LengthUnit) -> tuple[str, ...]:
    measured = length_number(fix.bench.least_in, unit)
    if fix.bench.greatest_in != fix.bench.least_in:
        measured += f" x {length_number(fix.bench.greatest_in, unit)}"
    limits = fix.result.limits
    span = ""
    if limits is not None:
        span = f"{length_number(limits.least_in, unit)} to {length_number(limits.most_in, unit)}"
    chosen = fix.chosen
    why = "; ".join(_because(fix, unit))
    if chosen is None:
        return (fix.name, measured, span, _no_rivet(fix), "", "", why)
    drill = move = ""
    if chosen.clean_up is not None and (fix.oversize or chosen.clean_up.drill):
        drill = chosen.clean_up.drill.designation if chosen.clean_up.drill else "as it is"
        move = length_number(abs(chosen.clean_up.move.along_in), unit)
    return (fix.name, measured, span, chosen.fastener.designation, drill, move, why)


def _no_rivet(fix: HoleFix) -> str:
    return "NOT SETTLED" if fix.undecided else "NO RIVET FITS"


def unsettled_words(fix: HoleFix, unit: LengthUnit) -> tuple[str, str]:
    """Return what to say of a measured hole that gets no rivet, and why."""
    return _no_rivet(fix), "; ".join(_because(fix, unit))


def _because(fix: HoleFix, unit: LengthUnit) -> Iterator[str]:
    """Yield why a hole gets what it gets, and what there is to know of its measurement."""
    if fix.chosen is None:
        yield _nearest_words(fix, unit)
    else:
        yield _fit_words(fix, unit)
        clean_up = fix.chosen.clean_up
        if (
            clean_up is not None
            and clean_up.drill is not None
            and (place := drill_set_words(clean_up.centre_from_middle_in, unit))
        ):
            yield f"drill {place}"
        yield from fix.chosen.notes
    if fix.axis_unknown:
        yield f"long axis: {fix.axis_unknown}, the worst is reckoned with"
    if fix.bench.taken_as_round:
        yield "one size given, taken as round"
    if fix.bench.remark:
        yield f'remark: "{" ".join(fix.bench.remark.split())}"'


def _fit_words(fix: HoleFix, unit: LengthUnit) -> str:
    """Return where a hole stands to the limits of its rivet, and what follows."""
    fit = fix.result.fit
    if fit == "within":
        return "within its limits" + (", but its centre moved" if fix.oversize else "")
    if fit == "under":
        return "under its limits" + ("" if fix.oversize else ": drill to the standard hole")
    if fit == "over":
        if fix.oversize:
            return "over its limits"
        return over_words("its limit", fix.result.over_in, unit)
    return "its limits are not on file"


def _nearest_words(fix: HoleFix, unit: LengthUnit) -> str:
    """Return what comes nearest to going in, and the first two things that speak against it."""
    nearest = fix.result.nearest
    against = "; ".join(objection(check, unit) for check in nearest.objections[:2])
    return f"{nearest.fastener.designation}: {against}"


#: Holes of more rows than this are counted, not listed.
_MOST_ROWS = 12


def spans_words(spans: Sequence[tuple[str, str]]) -> str:
    """Return runs of holes by row as a person writes them, every one."""
    return "; ".join(f"{row}:{span}" for row, span in spans)


def first_spans_words(spans: Sequence[tuple[str, str]]) -> str:
    """Return runs of holes that ask for nothing yet: of many rows, and of many runs, the first."""
    told = [f"{row}:{_shortened(span)}" for row, span in spans]
    more = len(told) - _MOST_ROWS
    rest = f" and of {more} more row{'s' * (more > 1)}" if more > 0 else ""
    return "; ".join(told[:_MOST_ROWS]) + rest


def empty_words(plan: Plan) -> str:
    """Return which holes are not counted among the rivets to fit; empty where all are."""
    empty = np.flatnonzero(plan.holes.empty)
    spans = list(hole_spans(plan.holes, empty))
    if not spans:
        return ""
    listed = spans_words(spans)
    which = "it" if plan.empty == 1 else "them"
    return (
        f"Not counted, ordered or weighed: {listed}. No rivet is settled for {which}: see Measured "
        "holes."
    )


def advice_lines(measured: MeasuredHoles) -> tuple[str, ...]:
    """Return what is left to do for the holes that take no rivet, each piece of advice once."""
    advice = dict.fromkeys(
        line for fix in measured.fixes if fix.chosen is None for line in fix.result.advice
    )
    if measured.cut_short:
        advice[f"{sizes_words(measured.sizes_up)} were looked at: --sizes-up looks further."] = None
    return tuple(advice)


def sizes_words(sizes_up: int) -> str:
    """Return how many larger sizes, in words."""
    return "The same and the next size" if sizes_up == 1 else f"Up to {sizes_up} larger sizes"


_KIND_WORDS = {
    "member": "no oversize hole allowed in",
    "lug": "too large for the lugs of",
    "edge": "too near to",
    "pitch": "too near to hole",
    "seam": "too near to the next hole, if in one seam with",
    "heads": "head against the head of",
    "countersink": "countersink too deep for",
    "dimple": "no larger dimple in",
    "sheet": "too large for",
    "small": "too small for",
    "leg": "too large for the leg of",
    "size": "",
}


#: Obstacles that are a neighbour.
_NEIGHBOURS = {"pitch", "heads"}


def obstacle_words(obstacle: Obstacle) -> str:
    """Return what stops a hole as a person says it."""
    return f"{_KIND_WORDS[obstacle.kind]} {obstacle.what}".strip()


def reserve_table(plan: Plan) -> Table:
    """Return the holes that could not go up one size, by row, with what stops them."""
    reserve = plan.reserve
    spent = reserve.without()
    stopped: dict[tuple[int, str], list[int]] = {}
    words: dict[tuple[int, str], dict[str, None]] = {}
    for hole, number in zip(spent.tolist(), reserve.obstacle[spent].tolist(), strict=True):
        obstacle = reserve.obstacles[number]
        said = obstacle_words(obstacle)
        # Holes of one row that differ only in which neighbour stops them make one line.
        like = obstacle.kind if obstacle.kind in _NEIGHBOURS else said
        key = (int(plan.holes.row[hole]), like)
        stopped.setdefault(key, []).append(hole)
        words.setdefault(key, {})[said] = None
    rows = []
    for (_, like), holes in stopped.items():
        ((row, span),) = hole_spans(plan.holes, np.array(holes))
        told = list(words[plan.holes.row[holes[0]], like])
        said = told[0] if len(told) == 1 else f"{_KIND_WORDS[like]} next to it"
        rows.append((row, span, said))
    lines, caption = worst_lines(rows)
    columns = (
        Column("row", wrap=True),
        Column("holes", wrap=True),
        Column("one size larger would be", wrap=True),
    )
    return Table(columns, tuple(lines), caption)


#: A longer list of hole numbers is cut off; --json has every hole.
_MOST_CHARACTERS = 60


def _shortened(span: str) -> str:
    if len(span) <= _MOST_CHARACTERS:
        return span
    cut = span[:_MOST_CHARACTERS].rsplit(",", 1)[0]
    more = span[len(cut) :].count(",")
    return f"{cut} and {more} more run{'s' if more > 1 else ''}"


def reserve_words(plan: Plan) -> str:
    """Return how many holes have how much reserve, in one sentence."""
    parts = [
        f"{count} {'have none' if steps == 0 else f'could go up {steps}'}"
        for steps, count in plan.reserve.tally()
    ]
    if not parts:
        return "Every rivet stays in: there is no hole to drill."
    return f"Sizes each hole could still go up: {', '.join(parts)}."


def reserve_data(plan: Plan) -> dict[str, object]:
    """Return the reserve of every hole as JSON data."""
    reserve = plan.reserve
    known = np.flatnonzero(reserve.steps >= 0)
    stops = [{"kind": obstacle.kind, "what": obstacle.what} for obstacle in reserve.obstacles]
    steps, numbers = reserve.steps[known].tolist(), reserve.obstacle[known].tolist()
    return {
        "tally": [{"sizes_up": steps, "holes": count} for steps, count in reserve.tally()],
        "holes": [
            {
                "hole": plan.holes.name(hole),
                "sizes_up": sizes_up,
                "stopped_by": stops[number] if number >= 0 else None,
            }
            for hole, sizes_up, number in zip(known.tolist(), steps, numbers, strict=True)
        ],
    }


def _objection_data(check: Check, unit: LengthUnit) -> dict[str, object]:
    value, limit = (
        None if amount is None else in_unit(amount, check.unit, unit)[0]
        for amount in (check.value, check.limit)
    )
    return {
        "because": objection(check, unit),
        "check": check.name,
        "where": words_in_unit(check.where, unit),
        "verdict": str(check.verdict),
        "value": value,
        "limit": limit,
        "unit": in_unit(0.0, check.unit, unit)[1],
        "comparison": check.comparison,
    }


def measured_data(measured: MeasuredHoles, unit: LengthUnit) -> list[dict[str, object]]:
    """Return every measured hole and its repair as JSON data."""
    from rivetkit.reports.amounts import length_entry

    data: list[dict[str, object]] = []
    for fix in measured.fixes:
        chosen = fix.chosen
        clean_up = chosen.clean_up if chosen else None
        limits = fix.result.limits
        data.append(
            {
                "hole": fix.name,
                **length_entry("least", fix.bench.least_in, unit),
                **length_entry("greatest", fix.bench.greatest_in, unit),
                **length_entry("limit_least", limits.least_in if limits else None, unit),
                **length_entry("limit_greatest", limits.most_in if limits else None, unit),
                "hole_to_its_limits": fix.result.fit,
                "taken_as_round": fix.bench.taken_as_round,
                "axis_unknown": fix.axis_unknown,
                "remark": fix.bench.remark,
                "oversize": fix.oversize,
                "fit": None if chosen is None else chosen.fastener.designation,
                "drill": clean_up.drill.designation if clean_up and clean_up.drill else None,
                **length_entry(
                    "centre_from_middle", clean_up.centre_from_middle_in if clean_up else None, unit
                ),
                **length_entry("move", clean_up.move.along_in if clean_up else None, unit),
                "notes": list(chosen.notes) if chosen else [],
                "undecided": fix.undecided,
                "rejected": [
                    {"fit": candidate.fastener.designation, **_objection_data(check, unit)}
                    for candidate in fix.result.candidates
                    if candidate is not chosen
                    for check in candidate.objections
                ],
                "advice": list(fix.result.advice) if chosen is None else [],
            }
        )
    return data
