"""What may go into a hole that has grown: the candidates as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.removal.method import drill_words
from rivetkit.quantities import format_length, words_in_unit
from rivetkit.reports.amounts import amount_number, drill_set_words, length_entry, over_words
from rivetkit.reports.arithmetic import (
    working_basis,
    working_citations,
    working_data,
    working_section,
)
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.check_words import VERDICT_WORDS, check_label
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Steps,
    Table,
    collect_citations,
)
from rivetkit.reports.formats.json_report import check_data
from rivetkit.reports.rivet_facts import rivet_data, rivet_facts, span_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rivetkit.calculators.limits import Working
    from rivetkit.calculators.oversize.candidates import Candidate, CleanUp, OversizeResult
    from rivetkit.checks import Check
    from rivetkit.reports.amounts import LengthUnit

_KIND_WORDS = {
    "same": "same rivet",
    "larger": "larger",
    "substitute": "other alloy",
    "oversize_shank": "oversize shank",
    "blind": "blind",
    "blind_oversize_shank": "blind, oversize shank",
}
_DIRECTIONS = {0.0: "along the row", 90.0: "toward the edge"}


def oversize_report(
    result: OversizeResult,
    *,
    clean_up: Working,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a measured hole.

    Parameters
    ----------
    result
        What may go into it.
    clean_up
        The arithmetic of the clean-up hole.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    leading = result.leading
    sections = [
        Section("", (Facts(_hole_facts(result, clean_up, length_unit)),)),
        _to_do(result, length_unit),
        Section("Candidates", (_candidate_table(result, length_unit),)),
        Section(f"Checks of {_name(leading)}", (CheckList(leading.checks),)),
        working_section([clean_up], length_unit),
    ]
    sections += [
        Section(
            f"Checks of {_name(candidate)}",
            (CheckList(candidate.checks), _numbers(candidate.checks, length_unit)),
            detail=True,
        )
        for candidate in result.candidates
        if candidate is not leading
    ]
    every_check = [check for one in (leading, *result.candidates) for check in one.checks]
    limits = result.limits.citations if result.limits else ()
    return Report(
        command="oversize",
        title=f"Worn hole, {result.fastener.designation}",
        inputs=inputs,
        result=_data(result, clean_up, length_unit),
        sections=tuple(sections),
        checks=leading.checks,
        citations=collect_citations(every_check, [*limits, *working_citations([clean_up])]),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _numbers(checks: tuple[Check, ...], length_unit: LengthUnit) -> Facts:
    """Return the formula of every check with its numbers in it, and who says so."""
    return Facts(
        tuple(
            Fact(
                check_label(check, length_unit),
                check.substituted(length_unit),
                "; ".join(citation.words() for citation in check.citations),
            )
            for check in checks
            if check.template
        )
    )


def _name(candidate: Candidate) -> str:
    words = _KIND_WORDS[candidate.kind]
    return f"{candidate.fastener.designation} ({words})"


def _hole_facts(
    result: OversizeResult, clean_up: Working, length_unit: LengthUnit
) -> tuple[Fact, ...]:
    hole = result.measured
    size = format_length(hole.greatest_in, length_unit)
    if hole.oval_in:
        least = format_length(hole.least_in, length_unit, with_unit=False)
        size = f"{least} by {size}"
    facts = [
        *rivet_facts(result.fastener, length_unit, with_length=False),
        Fact("hole", size, _hole_words(result)),
    ]
    if result.limits is not None:
        span = span_text(result.limits.least_in, result.limits.most_in, length_unit)
        basis = result.limits.citations[0].basis
        facts.append(Fact("its limits", span, _fit_words(result, length_unit), basis=basis))
    opened = result.leading.clean_up if result.leading.kind == "same" else None
    if opened is not None and opened.drill is not None:
        facts.append(Fact("standard drill", _drill_text(opened, length_unit)))
        facts.append(Fact("its centre", _move_text(opened, length_unit)))
        return tuple(facts)
    needed = format_length(clean_up.value, length_unit)
    if result.smallest is None or result.smallest.drill is None:
        facts.append(Fact("clean-up drill", "none", f"the chart ends below {needed}"))
    else:
        words = f"the smallest to take in {needed}"
        drill = _drill_text(result.smallest, length_unit)
        facts.append(Fact("clean-up drill", drill, words, basis=working_basis(clean_up)))
        facts.append(Fact("its centre", _move_text(result.smallest, length_unit)))
    return tuple(facts)


def _fit_words(result: OversizeResult, length_unit: LengthUnit) -> str:
    """Return where the hole stands to the limits of the rivet taken out."""
    words = {
        "within": "within them",
        "under": "under them: to be drilled to the standard hole",
        "over": "too large",
        "unknown": "",
    }[result.fit]
    if result.reusable:
        return over_words("them", result.over_in, length_unit) if result.fit == "over" else words
    return words if result.fit == "over" else f"{words}, but see the checks"


def _hole_words(result: OversizeResult) -> str:
    hole = result.measured
    if not hole.oval_in and not hole.middle_from_true_in:
        return "round"
    axis = "direction not given"
    if hole.axis_deg is not None:
        axis = _DIRECTIONS.get(hole.axis_deg, f"at {hole.axis_deg:g} degrees to the row")
    grown = {None: "which side grew is not known", 0.0: "grown alike to both sides"}
    moved = grown.get(hole.middle_from_true_in, "old centre known")
    return f"long axis {axis}, {moved}" if hole.oval_in else f"round, moved {axis}"


def _move_text(clean_up: CleanUp, length_unit: LengthUnit) -> str:
    move_in = abs(clean_up.move.along_in)
    if format_length(move_in, "in", 4, with_unit=False) == "0.0000":
        return "stays where it was"
    length = format_length(move_in, length_unit)
    return f"moves {length}" if clean_up.move.side_known else f"may be {length} off, either way"


def _drill_text(clean_up: CleanUp | None, length_unit: LengthUnit) -> str:
    if clean_up is None:
        return ""
    if clean_up.drill is None:
        return "as it is"
    return drill_words(clean_up.drill, length_unit)


def _to_do(result: OversizeResult, length_unit: LengthUnit) -> Section:
    best = result.best
    if best is None:
        paragraphs = tuple(Paragraph(text) for text in result.advice)
        return Section("Nothing passes every check", paragraphs)
    part = best.fastener.designation
    steps = [
        *_drilling(best, result.over_in, length_unit),
        *(_sentence(note) for note in best.notes),
    ]
    again = "again" if best.kind == "same" else f"in place of {result.fastener.designation}"
    steps.append(f"Fit {part} {again}; for its length: rivetkit grip {part} LAYER...")
    return Section("What to do", (Steps(tuple(steps)),))


def _drilling(best: Candidate, over_in: float, length_unit: LengthUnit) -> list[str]:
    clean_up = best.clean_up
    if clean_up is None:
        return []
    if clean_up.drill is None and over_in:
        return [
            _sentence(f"the hole is {over_words('its limit', over_in, length_unit)}"),
            "Use it as it is only when it then is within the limits of the rivet.",
        ]
    if clean_up.drill is None:
        return ["Use the hole as it is: it is within the limits of the rivet."]
    drill = _drill_text(clean_up, length_unit)
    purpose = ", the standard hole of the rivet" if best.kind == "same" else ""
    place = drill_set_words(clean_up.centre_from_middle_in, length_unit)
    return [f"Drill {drill}{purpose}, {place or 'set on the middle of the hole as it is now'}."]


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _candidate_table(result: OversizeResult, length_unit: LengthUnit) -> Table:
    return Table(
        columns=(
            Column("rivet"),
            Column("kind"),
            Column("drill"),
            Column("verdict"),
            Column("why", wrap=True),
        ),
        rows=tuple(
            (
                candidate.fastener.designation,
                _KIND_WORDS[candidate.kind],
                _drill_name(candidate.clean_up),
                VERDICT_WORDS[candidate.verdict],
                _why(candidate, length_unit),
            )
            for candidate in result.candidates
        ),
    )


def _drill_name(clean_up: CleanUp | None) -> str:
    if clean_up is None:
        return ""
    return "as it is" if clean_up.drill is None else clean_up.drill.designation


def _why(candidate: Candidate, length_unit: LengthUnit) -> str:
    if candidate.fits:
        return "; ".join(candidate.notes)
    return "; ".join(_objection(check, length_unit) for check in candidate.objections)


def _objection(check: Check, length_unit: LengthUnit) -> str:
    label, reason = check_label(check, length_unit), words_in_unit(check.reason, length_unit)
    if check.value is None or check.limit is None:
        return f"{label}: {reason}"
    sign = "<" if check.comparison == "at least" else ">"
    value = amount_number(check.value, check.unit, length_unit)
    limit = amount_number(check.limit, check.unit, length_unit)
    words = f"{label} {value} {sign} {limit}"
    return f"{words}: {reason}" if reason else words


def _data(result: OversizeResult, clean_up: Working, length_unit: LengthUnit) -> dict[str, object]:
    hole, best = result.measured, result.best
    limits = result.limits
    return {
        "rivet": rivet_data(result.fastener, length_unit),
        "measured": {
            **length_entry("least", hole.least_in, length_unit),
            **length_entry("greatest", hole.greatest_in, length_unit),
            "axis_deg": hole.axis_deg,
            **length_entry("middle_from_old_centre", hole.middle_from_true_in, length_unit),
        },
        "limits": {
            **length_entry("least", limits.least_in if limits else None, length_unit),
            **length_entry("greatest", limits.most_in if limits else None, length_unit),
        },
        "hole_to_its_limits": result.fit,
        "same_rivet_again": result.reusable,
        "clean_up_arithmetic": working_data(clean_up, length_unit),
        "clean_up": _clean_up_data(result.smallest, length_unit),
        "best": best.fastener.designation if best else None,
        "advice": list(result.advice),
        "candidates": [_candidate_data(one, length_unit) for one in result.candidates],
    }


def _candidate_data(candidate: Candidate, length_unit: LengthUnit) -> dict[str, object]:
    return {
        "part_number": candidate.fastener.designation,
        "kind": candidate.kind,
        **length_entry("shank", candidate.diameter_in, length_unit),
        "steps_up": candidate.steps,
        "hole": _clean_up_data(candidate.clean_up, length_unit),
        "verdict": str(candidate.verdict),
        "notes": list(candidate.notes),
        "checks": [check_data(check, length_unit) for check in candidate.checks],
    }


def _clean_up_data(clean_up: CleanUp | None, length_unit: LengthUnit) -> dict[str, object] | None:
    if clean_up is None:
        return None
    return {
        "drill": clean_up.drill.designation if clean_up.drill else None,
        **length_entry("diameter", clean_up.diameter_in, length_unit),
        **length_entry("centre_from_middle", clean_up.centre_from_middle_in, length_unit),
        **length_entry("centre_moved", clean_up.move.along_in, length_unit),
        "side_known": clean_up.move.side_known,
    }
