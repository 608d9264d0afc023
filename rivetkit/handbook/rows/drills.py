"""The columns of the tables of twist drills: one class a file."""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Literal

from rivetkit.handbook.load import Row
from rivetkit.handbook.rows.common import LengthUnit


@dataclass(frozen=True, kw_only=True, eq=False)
class DrillSizeRow(Row):
    """A twist drill: its name and its size in the unit the series is defined in."""

    table: ClassVar[str] = "drills/drill_sizes.csv"
    designation: str
    series: Literal["number", "letter", "fraction", "metric"]
    size: Fraction
    unit: LengthUnit
