"""A row layout as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.reports.amounts import in_unit, length_entry, length_in_unit, length_key, shown_unit

if TYPE_CHECKING:
    from rivetkit.calculators.row_layout.answer import Seam
    from rivetkit.calculators.row_layout.layout import Layout
    from rivetkit.calculators.row_layout.relax import Relaxation
    from rivetkit.reports.amounts import LengthUnit


def layout_data(layout: Layout, length_unit: LengthUnit) -> dict[str, object]:
    """Return a layout's figures; lengths in ``length_unit``."""
    return {
        "rivets": layout.rivets,
        "different_pitches": layout.different_pitches,
        "unusual_spaces": layout.unusual_spaces,
        **length_entry("departure_from_wish", layout.off_wish_in, length_unit),
        "stretches": [
            {
                **length_entry("from", stretch.start_in, length_unit),
                **length_entry("to", stretch.stop_in, length_unit),
                "spaces": stretch.spaces,
                **length_entry("pitch", stretch.pitch_in, length_unit),
            }
            for stretch in layout.stretches
        ],
    }


def seam_data(seam: Seam, length_unit: LengthUnit) -> dict[str, object]:
    """Return the best layout with every hole; lengths in ``length_unit``."""
    return {
        "layout": layout_data(seam.layout, length_unit),
        **length_entry("row_spacing", seam.row_spacing_in or None, length_unit),
        **length_entry("flange_width_min", seam.width.value, length_unit),
        "holes": [
            {
                "row": row,
                "hole": number,
                **length_entry("running", mark.running_in, length_unit),
                **length_entry("tape", mark.mark_in, length_unit),
                **length_entry("tape_off_by", mark.off_in, length_unit),
                **length_entry("x", point[0], length_unit),
                **length_entry("y", point[1], length_unit),
            }
            for row, (marks, points) in enumerate(
                zip(seam.marks, seam.points_in, strict=True), start=1
            )
            for number, (mark, point) in enumerate(zip(marks, points, strict=True), start=1)
        ],
        "decided_by": seam.decided.by if seam.decided else None,
    }


def relaxation_data(item: Relaxation, length_unit: LengthUnit) -> dict[str, object]:
    """Return one way out as plain data; ``number`` counts places to hit or keep clear from 1."""
    numbered = item.demand in {"keep clear", "hole to hit"}
    figures = [
        in_unit(value, item.unit, length_unit)[0] if item.unit else None
        for value in (item.asked, item.needed, item.by)
    ]
    return {
        "demand": item.demand,
        "number": item.number + 1 if numbered else None,
        "asked": figures[0],
        "needed": figures[1],
        "by": figures[2],
        "unit": shown_unit(item.unit, length_unit),
        length_key("breaks", length_unit): [
            length_in_unit(place_in, length_unit) for place_in in item.breaks_in
        ],
    }
