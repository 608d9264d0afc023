"""The columns of the tables of sheets and materials: one class a file."""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Literal

from rivetkit.handbook.load import Row
from rivetkit.handbook.rows.common import LengthUnit, Metal


@dataclass(frozen=True, kw_only=True, eq=False)
class DensityRow(Row):
    """Density of a sheet alloy or of a rivet material code."""

    table: ClassVar[str] = "materials/densities.csv"
    kind: Literal["sheet", "rivet"]
    material: str
    density_lb_per_in3: float


@dataclass(frozen=True, kw_only=True, eq=False)
class ThermalExpansionRow(Row):
    """Linear thermal expansion of a material, as one document prints it.

    ``also`` lists other names, parted by semicolons. An empty ``grade`` holds for every grade of
    the material. ``valid`` is the range in the document's words, with its ends where it has any.
    """

    table: ClassVar[str] = "materials/thermal_expansion.csv"
    material: str
    also: str
    grade: str
    coefficient_ppm: float
    per: Literal["degC", "degF"]
    valid: str
    valid_from_degf: float | None
    valid_to_degf: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class SheetGaugeRow(Row):
    """A stock sheet thickness."""

    table: ClassVar[str] = "materials/sheet_gauges.csv"
    series: Literal["old", "modern"]
    thickness_in: float


@dataclass(frozen=True, kw_only=True, eq=False)
class StockSheetRow(Row):
    """A size sheet is commonly sold in; the grain runs along the length."""

    table: ClassVar[str] = "materials/stock_sheets.csv"
    size: str
    width: Fraction
    length: Fraction
    unit: LengthUnit


@dataclass(frozen=True, kw_only=True, eq=False)
class SheetAlloyRow(Row):
    """Allowables of a sheet alloy, in ksi; an empty cell is a value nobody has."""

    table: ClassVar[str] = "materials/sheet_alloys.csv"
    alloy: str
    clad: bool
    thickness_min_in: float | None
    thickness_max_in: float | None
    allowable: Literal["A", "B", "S", "minimum", "handbook_basis"]
    ftu_l_ksi: float | None
    ftu_lt_ksi: float | None
    fty_l_ksi: float | None
    fty_lt_ksi: float | None
    fsu_ksi: float | None
    fbru_e15_ksi: float | None
    fbru_e20_ksi: float | None
    fbry_e15_ksi: float | None
    fbry_e20_ksi: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class SheetMetalRow(Row):
    """Which metal a sheet of that name is; ``none`` is a plastic or a laminate, no metal at all."""

    table: ClassVar[str] = "materials/sheet_metals.csv"
    name: str
    metal: Literal[
        "none",
        "aluminium",
        "magnesium",
        "steel",
        "stainless",
        "nickel-copper",
        "titanium",
        "copper",
    ]


@dataclass(frozen=True, kw_only=True, eq=False)
class MetalGroupRow(Row):
    """The group a metal stands in, from the one that corrodes most easily (1) on.

    Metals of one group may touch; of two groups the one with the lower number corrodes.
    """

    table: ClassVar[str] = "materials/metal_groups.csv"
    metal: Metal
    group: int
