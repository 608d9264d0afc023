"""A plan as plain data: everything the text shows, unrounded, and what it leaves out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.reports.amounts import length_entry, mass_entry, moment_entry
from rivetkit.reports.metal_tables import metal_data
from rivetkit.reports.plans.bench_tables import measured_data, reserve_data
from rivetkit.reports.plans.heat_tables import heat_data
from rivetkit.reports.plans.strength_tables import strength_data

if TYPE_CHECKING:
    from rivetkit.planning.balance import Balance
    from rivetkit.planning.edges import EdgeMargin
    from rivetkit.planning.parts import FitLine
    from rivetkit.planning.pitches import RowGap, RowPitch
    from rivetkit.planning.plan import Plan
    from rivetkit.planning.removal import RemovalLine
    from rivetkit.reports.amounts import LengthUnit


def plan_data(plan: Plan, unit: LengthUnit) -> dict[str, object]:
    """Return a plan as JSON data, lengths in ``unit``."""
    return {
        "job": plan.job.name,
        "verdict": str(plan.verdict),
        "rule_set": plan.job.rule_set,
        "holes": len(plan.holes),
        "holes_shared": plan.holes.shared,
        "to_drill_out": plan.to_drill_out,
        "to_fit": plan.to_fit,
        "kept": plan.kept,
        "no_rivet_settled": plan.empty,
        "left_open": plan.left_open,
        "drill_out": [_removal(line, unit) for line in plan.removal],
        "fit": [_fit(line, unit) for line in plan.parts],
        "lengths": _lengths(plan, unit),
        "strength": strength_data(plan.strength, unit),
        "heat": heat_data(plan.heat, unit),
        **metal_data(plan.metals.review, plan.metals.rows),
        "edge_margins": [_edge(margin, unit) for margin in plan.edges.by_row],
        "sheet_edges": [_edge(margin, unit) for margin in plan.edges.by_edge],
        "screw_edges": [_edge(margin, unit) for margin in plan.screws.edges],
        "between_screws": [_gap(gap, unit) for gap in plan.screws.gaps],
        "between_nutplates": [_gap(gap, unit) for gap in plan.screws.lugs],
        "pitch": [_pitch(pitch, unit) for pitch in plan.pitches.along],
        "between_rows": [_gap(gap, unit) for gap in plan.pitches.across],
        **length_entry("between_rows_reach", plan.pitches.reach_in, unit),
        "heads": [_gap(gap, unit) for gap in plan.pitches.heads],
        "tools": [
            {"tool": tool.tool, "size": tool.size, "for": tool.purpose, "count": tool.count}
            for tool in plan.tools.tools
        ],
        "balance": None if plan.balance is None else _balance(plan.balance, unit),
        "left_over": [
            {"row": rest.row, **length_entry("length", rest.length_in, unit)}
            for rest in plan.left_over
        ],
        "wide_layers": [
            {
                "layer": layer.name,
                **length_entry("width", layer.width_in, unit),
                **length_entry("length", layer.length_in, unit),
            }
            for layer in plan.wide_layers
        ],
        "assumed": list(plan.job.assumed),
        "assumed_oversize": plan.assumed_oversize,
        "measured": None if plan.measured is None else measured_data(plan.measured, unit),
        "noted": [{"hole": note.hole, "words": note.words} for note in plan.noted],
        "reserve": reserve_data(plan),
    }


def _removal(line: RemovalLine, unit: LengthUnit) -> dict[str, object]:
    return {
        "row": line.row,
        "part_number": line.part.designation,
        "length_computed": line.length_computed,
        "count": line.count,
        "drill": line.card.drill.designation,
        **length_entry("drill", line.card.drill.size_in, unit),
        **length_entry("depth", line.card.depth_in, unit),
        "punch": None if line.card.punch is None else str(line.card.punch),
        "rule": line.card.method.citation.rule,
        "basis": line.card.method.citation.basis,
    }


def _fit(line: FitLine, unit: LengthUnit) -> dict[str, object]:
    return {
        "part_number": line.part.designation,
        "net": line.quantity.net,
        "spares": line.quantity.spares,
        "packs": line.quantity.packs if line.quantity.policy.pack_size > 1 else None,
        "order": line.quantity.order,
        "working": list(line.quantity.working),
        **mass_entry("net_mass", line.net_mass_lb, unit),
        "rows": [{"row": name, "count": count} for name, count in line.rows],
    }


def _lengths(plan: Plan, unit: LengthUnit) -> list[dict[str, object]]:
    return [
        {
            "row": item.group.row.name,
            "count": item.group.count,
            "kept": item.kept,
            "layers": [place.layer for place in item.group.stack],
            "installed": None if item.old_part is None else item.old_part.designation,
            "installed_length_computed": item.old_computed,
            "fit": None if item.group.empty else item.new_part.designation,
            **length_entry("old_grip", item.old_grip_in, unit),
            **length_entry("new_grip", item.new_grip_in, unit),
            "changes": item.length_changes,
        }
        for item in plan.fitted
    ]


def _edge(margin: EdgeMargin, unit: LengthUnit) -> dict[str, object]:
    return {
        "layer": margin.layer,
        "row": margin.row,
        "edge": margin.edge,
        "hole": margin.hole,
        **length_entry("distance", margin.distance_in, unit),
        "edge_margin": margin.multiple,
        **length_entry("least", margin.check.limit, unit),
        "verdict": str(margin.check.verdict),
    }


def _pitch(pitch: RowPitch, unit: LengthUnit) -> dict[str, object]:
    return {
        "row": pitch.row,
        "holes": pitch.count,
        **length_entry("least", pitch.least_in, unit),
        "least_between": list(pitch.least_between),
        **length_entry("greatest", pitch.greatest_in, unit),
        "greatest_between": list(pitch.greatest_between),
        "verdicts": [str(check.verdict) for check in pitch.checks],
    }


def _gap(gap: RowGap, unit: LengthUnit) -> dict[str, object]:
    return {
        "rows": list(gap.rows),
        "holes": list(gap.holes),
        **length_entry("distance", gap.distance_in, unit),
        "held_to": gap.check.name,
        **length_entry("value", gap.check.value, unit),
        **length_entry("least", gap.check.limit, unit),
        "verdict": str(gap.check.verdict),
    }


def _balance(balance: Balance, unit: LengthUnit) -> dict[str, object]:
    return {
        **mass_entry("mass", balance.mass_lb, unit),
        **moment_entry("moment", balance.moment_lb_in, unit),
        "lines": [
            {
                "what": line.what,
                **mass_entry("mass", line.mass_lb, unit),
                **length_entry("arm", line.arm_in, unit),
                **moment_entry("moment", line.moment_lb_in, unit),
            }
            for line in balance.lines
        ],
        "not_weighed": [one.words for one in balance.unknown],
    }
