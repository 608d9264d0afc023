"""Growth and movement with heat as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.heat.coefficients import expansion_per_degf
from rivetkit.reports.amounts import length_entry
from rivetkit.reports.arithmetic import working_data

if TYPE_CHECKING:
    from rivetkit.calculators.heat.answer import HeatAnswer
    from rivetkit.calculators.heat.expansion import Movement
    from rivetkit.calculators.heat.fit_temperature import TemperatureSpan
    from rivetkit.handbook.rows.materials import ThermalExpansionRow
    from rivetkit.reports.amounts import LengthUnit


def expansion_data(answer: HeatAnswer, length_unit: LengthUnit) -> dict[str, object]:
    """Return an answer about heat as plain JSON data."""
    asked = answer.question
    return {
        "part": answer.name,
        **length_entry("length", asked.length_in, length_unit),
        **length_entry("free_length", asked.free_length_in, length_unit),
        "held": asked.held,
        "from_degf": asked.from_degf,
        "growth": [
            {
                "part": item.name,
                "to_degf": item.to_degf,
                **_moved(item.grown, length_unit),
            }
            for item in answer.growths
        ],
        "movement": [
            {
                "past": move.partner or None,
                "to_degf": move.to_degf,
                **_moved(move.moved, length_unit),
                **length_entry("hole_or_slot_min", move.hole_in, length_unit),
            }
            for move in answer.moves
        ],
        "fit": [
            {
                "past": fit.partner or None,
                "gap_closes_degf": _span(fit.closes),
                "matched_degf": _span(fit.matched),
            }
            for fit in answer.fits
        ],
        "coefficients": [coefficient_data(row) for row in answer.rows],
        "out_of_range": [coefficient_data(row) for row in answer.out_of_range],
        "arithmetic": [working_data(item.moved.working, length_unit) for item in answer.moves],
    }


def coefficient_data(row: ThermalExpansionRow) -> dict[str, object]:
    """Return a coefficient as plain JSON data."""
    return {
        "material": row.material,
        "grade": row.grade,
        "per_degf": expansion_per_degf(row),
        "range": row.valid,
        "source": row.source,
        "locator": row.locator,
        "basis": row.basis,
        "note": row.note,
    }


def _moved(moved: Movement, length_unit: LengthUnit) -> dict[str, object]:
    return {
        **length_entry("moves_by", moved.greatest_in, length_unit),
        **length_entry("or_only", moved.least_in, length_unit),
        "documents_differ": moved.documents_differ,
    }


def _span(span: TemperatureSpan | None) -> list[float] | None:
    return None if span is None else [span.nearest_degf, span.farthest_degf]
