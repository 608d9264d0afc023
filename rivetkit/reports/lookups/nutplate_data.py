"""What is on file about a nutplate, and a ring of them, as plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.fasteners.screw_holes import screw_diameter_in
from rivetkit.reports.amounts import length_entry
from rivetkit.reports.arithmetic import working_citations, working_data
from rivetkit.reports.rivet_facts import rivet_data

if TYPE_CHECKING:
    from rivetkit.calculators.limits import Working
    from rivetkit.calculators.nutplates.cover_shape import CoverShape
    from rivetkit.calculators.nutplates.ring import NutplateRing
    from rivetkit.fasteners.catalogue import RivetHole
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.fasteners.screw_holes import ScrewHole
    from rivetkit.handbook import Citation
    from rivetkit.handbook.rows.fasteners import NutplateBodyRow
    from rivetkit.reports.amounts import LengthUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownNutplate:
    """Everything on file about a nutplate and its holes."""

    plate: Nutplate
    body: NutplateBodyRow | None
    rivet: Fastener
    #: Whether nobody named the rivet.
    usual_rivet: bool
    #: The hole for the rivet, or why there is none.
    hole: RivetHole | str
    screw_hole_in: float
    cover: ScrewHole
    other_covers: tuple[ScrewHole, ...]
    room: tuple[Working, ...]

    @property
    def name(self) -> str:
        """The part number."""
        return f"{self.plate.standard}-{self.plate.dash}"

    @property
    def citations(self) -> list[Citation]:
        """Where all of it comes from."""
        found = [self.plate.citation(), self.cover.citation]
        if self.body is not None:
            found.append(self.body.citation())
        if not isinstance(self.hole, str):
            found.append(self.hole.citation)
        return [*found, *working_citations(self.room)]


def plate_data(known: KnownNutplate, length_unit: LengthUnit) -> dict[str, object]:
    """Return a nutplate and its holes as plain JSON data."""
    plate = known.plate
    body_in = None if known.body is None else known.body.overall_length_in
    hole = None if isinstance(known.hole, str) else known.hole
    return {
        "nutplate": {
            "part_number": known.name,
            "style": plate.style,
            "thread": plate.thread,
            **length_entry("screw", screw_diameter_in(plate), length_unit),
            **length_entry("rivet_spacing", plate.rivet_spacing_in, length_unit),
            **length_entry("lug_hole", plate.rivet_hole_in, length_unit),
            **length_entry("length_over_lugs", body_in, length_unit),
            "basis": plate.basis,
        },
        "rivet": rivet_data(known.rivet, length_unit),
        "rivet_hole": hole
        and {
            "drill": hole.drill.designation if hole.drill else None,
            **length_entry("hole", hole.hole_in, length_unit),
            "basis": hole.citation.basis,
        },
        "screw_hole": length_entry("hole", known.screw_hole_in, length_unit),
        "cover_hole": _cover_data(known.cover, length_unit),
        "other_cover_holes": [_cover_data(hole, length_unit) for hole in known.other_covers],
        "room": [working_data(working, length_unit) for working in known.room],
    }


def _cover_data(hole: ScrewHole, length_unit: LengthUnit) -> dict[str, object]:
    return {
        "scheme": hole.scheme,
        "drill": hole.drill.designation,
        **length_entry("hole", hole.hole_in, length_unit),
        "basis": hole.citation.basis,
    }


def ring_data(ring: NutplateRing, line: CoverShape, length_unit: LengthUnit) -> dict[str, object]:
    """Return a ring of nutplates as plain JSON data."""

    def xy(point: tuple[float, float]) -> dict[str, object]:
        return {
            **length_entry("x", point[0], length_unit),
            **length_entry("y", point[1], length_unit),
        }

    return {
        "line": {
            "round": line.round,
            **length_entry("width", line.width_in, length_unit),
            **length_entry("height", line.height_in, length_unit),
            **length_entry("corner_radius", line.corner_radius_in, length_unit),
        },
        "stack": list(ring.stack),
        "places": [
            {
                "screw": xy(plate.screw_in),
                "angle_deg": plate.direction_deg,
                "rivets": [xy(rivet) for rivet in plate.rivets_in],
            }
            for plate in ring.plates
        ],
        **length_entry("screw_to_screw_least", min(ring.steps_in), length_unit),
        **length_entry("screw_to_screw_greatest", max(ring.steps_in), length_unit),
        **length_entry("rivets_between_nutplates", ring.between_plates_in, length_unit),
        "edges": [
            {
                "layer": edge.layer,
                "edge": edge.edge,
                "holes": edge.kind,
                **length_entry("nearest", edge.nearest_in, length_unit),
            }
            for edge in ring.edges
        ],
    }
