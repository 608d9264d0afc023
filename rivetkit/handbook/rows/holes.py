"""The columns of the tables of holes for rivets: one class a file."""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from rivetkit.handbook.load import Row
from rivetkit.handbook.rows.common import Family, LengthUnit


@dataclass(frozen=True, kw_only=True, eq=False)
class RivetHoleRow(Row):
    """Hole and drill for a rivet diameter, by scheme. ``diameter`` is as the standard names it."""

    table: ClassVar[str] = "holes/rivet_holes.csv"
    scheme: str
    family: Family
    diameter: Fraction
    unit: LengthUnit
    drill: str
    hole: float | None
    hole_min: float | None
    hole_max: float | None
