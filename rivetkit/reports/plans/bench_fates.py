"""What becomes of the holes that were looked at on the bench, in the words every report uses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from rivetkit.planning.measured import HoleFix
    from rivetkit.planning.plan import Plan

#: What a measured hole gets: its rivet again, another one, none for no rivet fits, or none while
#: something is not known. Of the others: somebody wrote about it, or nobody looked.
Fate = Literal["same", "another", "none", "undecided", "noted", "not measured"]
FATE_WORDS: dict[Fate, str] = {
    "same": "same rivet again",
    "another": "another rivet",
    "none": "no rivet fits",
    "undecided": "not settled",
    "noted": "remarked on only",
    "not measured": "not measured",
}
#: Holes that get no rivet as long as nobody settles one.
UNSETTLED = frozenset[Fate | None]({"none", "undecided"})


def hole_fates(plan: Plan) -> dict[int, Fate]:
    """Return what every hole gets; nothing where none was looked at, nor for rivets that stay."""
    if not plan.at_bench:
        return {}
    fates: dict[int, Fate] = dict.fromkeys(plan.unmeasured.tolist(), "not measured")
    noted = {note.hole for note in plan.noted}
    fates |= {hole: "noted" for hole in fates if plan.holes.name(hole) in noted}
    for fix in plan.fixes:
        if fix.chosen is None:
            fates[fix.hole] = "undecided" if fix.undecided else "none"
        else:
            fates[fix.hole] = "another" if fix.oversize else "same"
    return fates


def unsettled_fixes(plan: Plan) -> list[HoleFix]:
    """Return the measured holes that get no rivet, those that no rivet fits first."""
    empty = (fix for fix in plan.fixes if fix.chosen is None)
    return sorted(empty, key=lambda fix: fix.undecided)


def bench_entry(plan: Plan) -> dict[str, object] | None:
    """Return what was measured of a job as JSON data; None where nothing was looked at."""
    if not plan.at_bench:
        return None
    return {
        "holes": len(plan.fixes),
        "other_rivet": [
            {"hole": fix.name, "fit": fix.chosen.fastener.designation}
            for fix in plan.fixes
            if fix.chosen is not None and fix.oversize
        ],
        "no_rivet_settled": [
            {"hole": fix.name, "undecided": fix.undecided} for fix in unsettled_fixes(plan)
        ],
        "not_measured": [plan.holes.name(hole) for hole in plan.unmeasured.tolist()],
        "noted": [{"hole": note.hole, "words": note.words} for note in plan.noted],
    }
