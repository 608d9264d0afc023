"""The strength of one rivet's joint as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.handbook.sources import weakest_basis
from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.arithmetic import working_citations, working_data, working_section
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Report,
    Section,
    Table,
    basis_mark,
    collect_citations,
)
from rivetkit.reports.metal_tables import metal_cautions, metal_data, metal_section
from rivetkit.reports.rivet_facts import rivet_data, rivet_facts

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.strength.inter_rivet import InterRivet
    from rivetkit.calculators.strength.joint_strength import JointStrength, Mode
    from rivetkit.calculators.strength.layer_bearing import LayerBearing, StrengthLayer
    from rivetkit.calculators.strength.strength_review import StrengthReview
    from rivetkit.handbook import Citation
    from rivetkit.reports.amounts import LengthUnit

#: Kinds of allowable in words.
ALLOWABLE_WORDS = {
    "A": "A value",
    "S": "S value",
    "minimum": "minimum",
    "handbook_basis": "design basis",
    "": "",
}

_HEAD_WORDS = {
    "protruding": "manufactured head",
    "round": "round head",
    "flush": "flush head",
    "shop_head": "shop head",
}


def strength_report(
    review: StrengthReview, *, inputs: Mapping[str, object], length_unit: LengthUnit
) -> Report:
    """Return the report of a joint's strength."""
    joint = review.joint
    sections = [
        Section("", (Facts(_facts(review, length_unit)),)),
        Section("What can give way", (_mode_table(joint),)),
        Section("Layers, from the manufactured head", (_layer_table(review, length_unit),)),
    ]
    if review.buckling:
        table = _buckling_table(review.buckling)
        sections.append(Section("Buckling between the rivets, compression along the row", (table,)))
    sections.append(Section("Checks", (CheckList(review.checks),)))
    sections += metal_section(review.metals)
    workings = (*joint.workings, *(one.working for one in review.buckling))
    sections.append(working_section(workings, length_unit))
    others = [*joint.citations, *working_citations(workings), *review.metals.citations]
    return Report(
        command="strength",
        title=f"Joint strength, {joint.fastener.designation}",
        inputs=inputs,
        result=_data(review, length_unit),
        sections=tuple(sections),
        checks=review.checks,
        citations=collect_citations(review.checks, others),
        cautions=(*BENCH_CAUTIONS, *metal_cautions(review.metals)),
        length_unit=length_unit,
    )


def load_text(load_lbf: float | None) -> str:
    """Return a load [lbf] as a person reads it, empty where there is none."""
    return "" if load_lbf is None else f"{load_lbf:.0f}"


def strength_fact(joint: JointStrength) -> Fact:
    """Return the line that says how strong a joint is and what governs."""
    basis = weakest_basis(tuple(citation.basis for citation in joint.citations))
    if joint.allowable_lbf is not None:
        return Fact(
            "strength", f"{joint.allowable_lbf:.0f} lbf", f"ultimate; {joint.critical}", basis
        )
    if joint.at_most_lbf is None:
        return Fact("strength", "not known", "see the checks")
    note = f"no more than {joint.at_most_lbf:.0f} lbf, the rest could not be checked"
    return Fact("strength", "not known", note, basis)


def _facts(review: StrengthReview, length_unit: LengthUnit) -> tuple[Fact, ...]:
    joint = review.joint
    hole = format_length(joint.hole_in, length_unit)
    credited = ""
    if joint.credited_in != joint.hole_in:
        credited = f"credited as {format_length(joint.credited_in, length_unit)}"
    facts = [
        *rivet_facts(joint.fastener, length_unit, with_length=False),
        Fact("hole", hole, credited),
        Fact("shear", "double" if joint.shear_planes > 1 else "single", _factor_words(joint)),
        strength_fact(joint),
    ]
    if joint.flush_yield_lbf is not None:
        facts.append(Fact("yield, flush joint", f"{joint.flush_yield_lbf:.0f} lbf", "as quoted"))
    if review.pitch_in is not None and review.row_lbf_per_in is not None:
        seam = f"{review.rows} row{'' if review.rows == 1 else 's'}"
        pitch = format_length(review.pitch_in, length_unit)
        facts.append(
            Fact("rivets of the seam", f"{review.row_lbf_per_in:.0f} lbf/in", f"{seam} at {pitch}")
        )
    return tuple(facts)


def _factor_words(joint: JointStrength) -> str:
    if joint.shear.thin_sheet_factor < 1:
        return f"{joint.shear.thin_sheet_factor:.3f} of it left in thin sheet"
    return ""


def _mode_table(joint: JointStrength) -> Table:
    columns = (
        Column("what", wrap=True),
        Column("at", "lbf", align="right"),
        Column(""),
        Column("basis"),
    )
    return Table(columns, tuple(_mode_row(mode, joint.critical) for mode in joint.modes))


def _mode_row(mode: Mode, critical: str | None) -> tuple[str, ...]:
    if mode.load_lbf is None:
        return (mode.name, "not known", "", "")
    first = "first" if mode.name == critical else ""
    return (mode.name, load_text(mode.load_lbf), first, basis_mark(_basis(mode.citations)))


def _basis(citations: Sequence[Citation]) -> str:
    return weakest_basis(tuple(citation.basis for citation in citations))


def _layer_table(review: StrengthReview, length_unit: LengthUnit) -> Table:
    bearings = {id(one.layer): one for one in review.joint.bearings}
    columns = (
        Column("layer", wrap=True),
        Column("thickness", length_unit, align="right"),
        Column("alloy", wrap=True),
        Column("hole", weight=6),
        Column("edge", "d", align="right", weight=7),
        Column("bearing", "ksi", align="right", weight=8),
        Column("bears", "lbf", align="right"),
        Column("at 2 d", "lbf", align="right", weight=6),
        Column("figure", weight=9),
    )
    formed = any(layer.form != "plain" for layer in review.layers)
    rows = tuple(
        _layer_row(layer, bearings.get(id(layer)), length_unit, formed=formed)
        for layer in review.layers
    )
    caption = ""
    if any(one.full_edge_lbf is not None for one in review.joint.bearings):
        caption = "d is the hole; bears: what the layer itself carries in bearing."
    return Table(columns, rows, caption)


def _layer_row(
    layer: StrengthLayer, bearing: LayerBearing | None, length_unit: LengthUnit, *, formed: bool
) -> tuple[str, ...]:
    form = layer.form if formed else ""
    start = (layer.name, length_number(layer.thickness_in, length_unit), layer.alloy, form)
    if bearing is None:
        return (*start, "", "", "", "", "")
    return (
        *start,
        "" if bearing.edge_ratio is None else f"{bearing.edge_ratio:.2f}",
        "" if bearing.stress_ksi is None else f"{bearing.stress_ksi:.1f}",
        load_text(bearing.load_lbf),
        # Only where the edge given earns none of it.
        load_text(bearing.full_edge_lbf) if bearing.load_lbf is None else "",
        ALLOWABLE_WORDS[bearing.allowable],
    )


def _buckling_table(buckling: Sequence[InterRivet]) -> Table:
    columns = (
        Column("layer", wrap=True),
        Column("held by"),
        Column("fixity c", align="right"),
        Column("buckles at", "ksi", align="right"),
        Column("yields at", "ksi", align="right"),
        Column("other texts, c", weight=8, wrap=True),
    )
    rows = []
    for one in buckling:
        spread = {s.fixity: s.stress_ksi for s in one.spread if s.fixity != one.fixity}
        others = [f"{fixity:g} ({stress:.1f} ksi)" for fixity, stress in spread.items()]
        rows.append(
            (
                one.layer,
                _HEAD_WORDS[one.head],
                f"{one.fixity:g}",
                f"{one.stress_ksi:.1f}",
                "" if one.yield_ksi is None else f"{one.yield_ksi:g}",
                ", ".join(others),
            )
        )
    return Table(columns, tuple(rows))


def _data(review: StrengthReview, length_unit: LengthUnit) -> dict[str, object]:
    joint = review.joint
    return {
        "rivet": rivet_data(joint.fastener, length_unit),
        **length_entry("hole", joint.hole_in, length_unit),
        **length_entry("credited_hole", joint.credited_in, length_unit),
        "shear_planes": joint.shear_planes,
        "thin_sheet_factor": joint.shear.thin_sheet_factor,
        "allowable_lbf": joint.allowable_lbf,
        "at_most_lbf": joint.at_most_lbf,
        "critical": joint.critical,
        "flush_yield_lbf": joint.flush_yield_lbf,
        "modes": [
            {"mode": mode.name, "load_lbf": mode.load_lbf, "basis": _basis(mode.citations)}
            for mode in joint.modes
        ],
        "layers": [_layer_data(one, length_unit) for one in joint.bearings],
        **length_entry("pitch", review.pitch_in, length_unit),
        "rows": review.rows,
        "row_lbf_per_in": review.row_lbf_per_in,
        **metal_data(review.metals),
        "buckling_between_rivets": [_buckling_data(one) for one in review.buckling],
        "arithmetic": [working_data(line, length_unit) for line in joint.workings],
    }


def _layer_data(bearing: LayerBearing, length_unit: LengthUnit) -> dict[str, object]:
    layer = bearing.layer
    return {
        "layer": layer.name,
        "alloy": layer.alloy,
        **length_entry("thickness", layer.thickness_in, length_unit),
        **length_entry("edge_distance", layer.edge_in, length_unit),
        "edge_over_hole": bearing.edge_ratio,
        "bearing_stress_ksi": bearing.stress_ksi,
        "bearing_lbf": bearing.load_lbf,
        "bearing_at_least_edge_lbf": bearing.least_edge_lbf,
        "bearing_at_full_edge_lbf": bearing.full_edge_lbf,
        "allowable": bearing.allowable,
        "share_of_load": bearing.share,
    }


def _buckling_data(one: InterRivet) -> dict[str, object]:
    return {
        "layer": one.layer,
        "held_by": one.head,
        "fixity": one.fixity,
        "stress_ksi": one.stress_ksi,
        "yield_ksi": one.yield_ksi,
        "spread": [
            {
                "fixity": entry.fixity,
                "stress_ksi": entry.stress_ksi,
                "source": entry.citation.source,
                "locator": entry.citation.locator,
                "basis": entry.citation.basis,
            }
            for entry in one.spread
        ],
    }
