"""What length goes back: the result as a report."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.checks import worst_verdict
from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.arithmetic import (
    working_basis,
    working_citations,
    working_data,
    working_section,
)
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Report,
    Section,
    Table,
    collect_citations,
)
from rivetkit.reports.metal_tables import metal_cautions, metal_data, metal_section
from rivetkit.reports.rivet_facts import rivet_data, rivet_facts, size_text, span_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.lengths.grip import BlindGripResult, Candidate, GripResult, Layer
    from rivetkit.calculators.limits import Working
    from rivetkit.calculators.metal_contact import MetalReview
    from rivetkit.checks import Check
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.reports.amounts import LengthUnit

_ROUNDING_WORDS = {"nearest": "nearest to it", "up": "next at or above it"}


def solid_report(
    result: GripResult,
    layers: Sequence[Layer],
    *,
    formed: Sequence[Check],
    metals: MetalReview,
    sealant_in: float,
    named: Fastener,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a solid rivet's length.

    ``formed`` are the checks of its countersunk and dimpled layers, ``metals`` tells which metals
    meet, ``named`` is the rivet as it was asked for.
    """
    rivet = result.fastener
    grip, wanted, stock = result.workings
    facts = (
        *_length_named(named),
        *rivet_facts(rivet, length_unit, with_length=False),
        _working_fact("grip", grip, length_unit),
        _working_fact("wanted length", wanted, length_unit),
        Fact(
            "stock length",
            size_text(stock.value, length_unit),
            _ROUNDING_WORDS.get(result.rounding, result.rounding),
            working_basis(stock),
        ),
    )
    # The heading names the rivet; a column that repeats it would only take room.
    shown = (*(replace(check, where="") for check in result.checks), *formed, *metals.checks)
    checks = (*result.checks, *formed, *metals.checks)
    return Report(
        command="grip",
        title=f"Use {rivet.designation}",
        inputs=inputs,
        result={
            "part_number": rivet.designation,
            "rivet": rivet_data(rivet, length_unit),
            **_stack_data(layers, sealant_in, result.grip_in, length_unit),
            **length_entry("wanted_length", result.wanted_length_in, length_unit),
            "rounding": result.rounding,
            **metal_data(metals),
            "arithmetic": [working_data(working, length_unit) for working in result.workings],
            "candidates": [_candidate_data(entry, length_unit) for entry in result.candidates],
        },
        sections=(
            Section("", (Facts(facts),)),
            Section("Stack, from the manufactured head", (_stack(layers, length_unit),)),
            Section("Stock lengths next to it", (_candidates(result.candidates, length_unit),)),
            Section(f"Checks of {rivet.designation}", (CheckList(shown),)),
            *metal_section(metals),
            working_section(result.workings, length_unit),
        ),
        checks=checks,
        citations=collect_citations(
            checks, (*working_citations(result.workings), *metals.citations)
        ),
        cautions=(*BENCH_CAUTIONS, *metal_cautions(metals)),
        length_unit=length_unit,
    )


def blind_report(
    result: BlindGripResult,
    layers: Sequence[Layer],
    *,
    formed: Sequence[Check],
    metals: MetalReview,
    sealant_in: float,
    named: Fastener,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a blind rivet's length; see :func:`solid_report`."""
    rivet = result.fastener
    (grip,) = result.workings
    checks = (*result.checks, *formed, *metals.checks)
    facts = (
        *_length_named(named),
        *rivet_facts(rivet, length_unit),
        Fact(
            "grip", format_length(result.needed_grip_in, length_unit), grip.substituted(length_unit)
        ),
        Fact("takes", span_text(result.grip_min_in, result.grip_max_in, length_unit)),
    )
    return Report(
        command="grip",
        title=f"Use {rivet.designation}",
        inputs=inputs,
        result={
            "part_number": rivet.designation,
            "rivet": rivet_data(rivet, length_unit),
            **_stack_data(layers, sealant_in, result.grip_in, length_unit),
            **length_entry("needed_grip", result.needed_grip_in, length_unit),
            **metal_data(metals),
            "arithmetic": [working_data(working, length_unit) for working in result.workings],
        },
        sections=(
            Section("", (Facts(facts),)),
            Section("Stack, from the manufactured head", (_stack(layers, length_unit),)),
            Section("Checks", (CheckList(checks),)),
            *metal_section(metals),
            working_section(result.workings, length_unit),
        ),
        checks=checks,
        citations=collect_citations(
            checks, (*working_citations(result.workings), *metals.citations)
        ),
        cautions=(*BENCH_CAUTIONS, *metal_cautions(metals)),
        length_unit=length_unit,
    )


def _length_named(named: Fastener) -> tuple[Fact, ...]:
    """Return the line that says a length in the part number was passed over."""
    if not named.length_code:
        return ()
    return (Fact("you named", named.designation, "its length was not looked at"),)


def _working_fact(label: str, working: Working, length_unit: LengthUnit) -> Fact:
    return Fact(
        label,
        format_length(working.value, length_unit),
        working.substituted(length_unit),
        working_basis(working),
    )


def _stack(layers: Sequence[Layer], length_unit: LengthUnit) -> Table:
    return Table(
        columns=(
            Column("layer", wrap=True),
            Column("thickness", length_unit, align="right"),
            Column("alloy", wrap=True),
            Column("hole"),
        ),
        rows=tuple(
            (layer.name, length_number(layer.thickness_in, length_unit), layer.alloy, layer.form)
            for layer in layers
        ),
    )


def _stack_data(
    layers: Sequence[Layer], sealant_in: float, grip_in: float, length_unit: LengthUnit
) -> dict[str, object]:
    return {
        "layers": [
            {
                "layer": layer.name,
                **length_entry("thickness", layer.thickness_in, length_unit),
                "alloy": layer.alloy,
                "form": layer.form,
            }
            for layer in layers
        ],
        **length_entry("sealant", sealant_in, length_unit),
        **length_entry("grip", grip_in, length_unit),
    }


def _candidates(candidates: Sequence[Candidate], length_unit: LengthUnit) -> Table:
    heads = [entry.head for entry in candidates if entry.head is not None]
    caption = ""
    if heads:
        height = format_length(heads[0].target_height_in, length_unit)
        caption = (
            f"Head width: expected when it is driven to a height of {height}. Shop head: checks "
            "of its height at the target width, and of its width at the greatest height."
        )
    columns = (
        Column("rivet"),
        Column("length", length_unit, align="right"),
        Column("stands out", length_unit, align="right", weight=7),
        Column("stands out", "D", align="right"),
        Column("head width", length_unit, align="right", weight=6),
        Column("shop head"),
    )
    return Table(
        columns=columns,
        rows=tuple(
            (
                entry.fastener.designation,
                length_number(entry.length_in, length_unit),
                _optional(entry.protrusion_in, length_unit),
                "" if entry.protrusion_diameters is None else f"{entry.protrusion_diameters:.2f}",
                _optional(
                    entry.head.width_at_target_height_in if entry.head else None, length_unit
                ),
                _shop_head_words(entry),
            )
            for entry in candidates
        ),
        caption=caption,
    )


def _shop_head_words(entry: Candidate) -> str:
    word = VERDICT_WORDS[worst_verdict(check.verdict for check in entry.checks)]
    return f"{word}, use this" if entry.chosen else word


def _optional(value_in: float | None, length_unit: LengthUnit) -> str:
    return "" if value_in is None else length_number(value_in, length_unit)


def _candidate_data(entry: Candidate, length_unit: LengthUnit) -> dict[str, object]:
    head = entry.head
    shop_head: dict[str, object] = {}
    if head is not None:
        shop_head = {
            **length_entry("target_width", head.target_width_in, length_unit),
            **length_entry("height_at_target_width", head.height_at_target_width_in, length_unit),
            **length_entry("target_height", head.target_height_in, length_unit),
            **length_entry("width_at_target_height", head.width_at_target_height_in, length_unit),
        }
    return {
        "part_number": entry.fastener.designation,
        "chosen": entry.chosen,
        **length_entry("length", entry.length_in, length_unit),
        **length_entry("protrusion", entry.protrusion_in, length_unit),
        "protrusion_diameters": entry.protrusion_diameters,
        "shop_head": shop_head or None,
        "verdicts": {check.name: str(check.verdict) for check in entry.checks},
    }
