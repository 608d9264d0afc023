"""The rivet a part number stands for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.fasteners.grammar import LENGTH_FIELDS, Standard, standards

if TYPE_CHECKING:
    from rivetkit.handbook.rows.common import Family


@dataclass(frozen=True, slots=True)
class Fastener:
    """A rivet, solid or blind, as its part number names it. Made by ``parse_part_number``."""

    #: The standard as it was typed, and the one it is an alias of (else the same).
    standard: str
    canonical: str
    family: Family
    head: str
    #: Included angle of a flush head [deg].
    flush_angle_deg: float | None
    material: str
    diameter_code: str
    #: Nominal shank diameter [in].
    diameter_in: float
    #: Length or grip as the part number writes it; empty when it gave none.
    length_code: str
    #: Length [in]; measured as ``length_datum`` says.
    length_in: float | None
    #: The stack a blind rivet of this length takes [in].
    grip_min_in: float | None
    grip_max_in: float | None
    #: ``under_head`` (shank only) or ``overall`` (head included).
    length_datum: str

    @property
    def flush(self) -> bool:
        """Whether the head sits flush, in a countersink or a dimple."""
        return self.flush_angle_deg is not None

    @property
    def blind(self) -> bool:
        """Whether the rivet is set from one side."""
        return self.family != "solid"

    @property
    def designation(self) -> str:
        """The part number, under the standard's name as it was typed."""
        return write_part_number(standards()[self.standard], self)


def write_part_number(standard: Standard, fastener: Fastener) -> str:
    """Return a rivet's part number in the spelling of a standard."""
    codes = {
        "": "",
        "material": fastener.material,
        "diameter": fastener.diameter_code,
        "length": fastener.length_code,
        "grip": fastener.length_code,
    }
    written = [standard.name]
    for piece in standard.segments:
        if piece.field in LENGTH_FIELDS and not fastener.length_code:
            continue
        written.append(piece.literal + codes[piece.field])
    return "".join(written)


def without_length(fastener: Fastener) -> Fastener:
    """Return the rivet with its length, or its grip, left open."""
    return replace(fastener, length_code="", length_in=None, grip_min_in=None, grip_max_in=None)
