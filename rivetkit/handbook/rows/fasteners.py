"""The columns of the tables of fasteners: one class a file."""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Literal

from rivetkit.handbook.load import Row
from rivetkit.handbook.rows.common import Family, LengthUnit


@dataclass(frozen=True, kw_only=True, eq=False)
class FastenerStandardRow(Row):
    """A standard: how its part numbers are written and what its rivets are.

    ``template`` spells the part number with the fields {standard}, {material}, {diameter},
    {length}, {grip}; everything else in it is literal. A row with ``alias_of`` takes every blank
    column from the standard it names.

    ``diameters`` and ``materials`` list the codes, parted by blanks; a diameter code counts steps
    of ``diameter_step``, a length or grip code steps of ``length_step``. ``length_min`` and
    ``length_max`` bound the stock lengths, in ``length_unit``; a shorter rivet may be made.
    ``hole_scheme`` ties the standard to its own holes of holes/rivet_holes.csv whatever the rule
    set picks; ``oversize_series`` to a row of fasteners/oversize_rivets.csv, for a standard whose
    shank is larger than its nominal diameter.
    """

    table: ClassVar[str] = "fasteners/standards.csv"
    standard: str
    alias_of: str
    family: Literal["", "solid", "blind_open", "blind_closed", "blind_locked"]
    head: Literal[
        "", "universal", "round", "flat", "brazier", "protruding", "flush", "flush_reduced"
    ]
    flush_angle_deg: float | None
    length_datum: Literal["", "under_head", "overall"]
    template: str
    diameter_step: Fraction | None
    diameter_unit: Literal["", "in", "mm"]
    length_step: Fraction | None
    length_unit: Literal["", "in", "mm"]
    half_lengths: bool | None
    length_min: Fraction | None
    length_max: Fraction | None
    diameters: str
    materials: str
    hole_scheme: str
    oversize_series: str
    title: str


@dataclass(frozen=True, kw_only=True, eq=False)
class FastenerDimensionRow(Row):
    """One dimension of one size of a standard, with its limits where they are known."""

    table: ClassVar[str] = "fasteners/dimensions.csv"
    standard: str
    diameter_code: str
    diameter: Fraction
    property: Literal["shank_diameter", "head_diameter", "head_height"]
    value: float | None
    value_min: float | None
    value_max: float | None
    unit: LengthUnit


@dataclass(frozen=True, kw_only=True, eq=False)
class RivetMaterialRow(Row):
    """A material code of a rivet part number."""

    table: ClassVar[str] = "fasteners/materials.csv"
    code: str
    alloy: str
    group: Literal["aluminium", "7050", "nickel-copper", "steel", "stainless", "copper", "titanium"]


@dataclass(frozen=True, kw_only=True, eq=False)
class HeadMarkRow(Row):
    """The mark on the manufactured head that tells the material; conflicting rows both stand."""

    table: ClassVar[str] = "fasteners/head_marks.csv"
    code: str
    mark: str


@dataclass(frozen=True, kw_only=True, eq=False)
class RivetHandlingRow(Row):
    """What a material needs before it is driven."""

    table: ClassVar[str] = "fasteners/handling.csv"
    code: str
    handling: str


@dataclass(frozen=True, kw_only=True, eq=False)
class BlindGripRow(Row):
    """One stock length of a blind rivet and the grip it covers. ``code`` is as the part number
    writes it ({grip} or {length}).
    """

    table: ClassVar[str] = "fasteners/blind_grips.csv"
    standard: str
    diameter_code: str
    code: str
    length: float | None
    grip_min: float
    grip_max: float
    unit: LengthUnit


@dataclass(frozen=True, kw_only=True, eq=False)
class BlindStrengthRow(Row):
    """Least shear and tension load of a blind rivet, as its standard rates it."""

    table: ClassVar[str] = "fasteners/blind_strength.csv"
    standard: str
    material: str
    diameter_code: str
    shear: float | None
    tension: float | None
    unit: Literal["lbf", "N"]


@dataclass(frozen=True, kw_only=True, eq=False)
class OversizeRivetRow(Row):
    """A repair rivet with an enlarged shank, and the hole it wants."""

    table: ClassVar[str] = "fasteners/oversize_rivets.csv"
    series: str
    family: Family
    diameter: Fraction
    shank_in: float
    drill: str
    hole_min_in: float
    hole_max_in: float


@dataclass(frozen=True, kw_only=True, eq=False)
class NutplateRow(Row):
    """A two-lug nutplate: screw, rivet holes, rivet."""

    table: ClassVar[str] = "fasteners/nutplates.csv"
    standard: str
    style: str
    thread: str
    dash: str
    rivet_spacing_in: float
    rivet_hole_in: float
    rivet_diameter: Fraction
    screw_drill: str
    screw_hole_in: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class NutplateBodyRow(Row):
    """How long a nutplate is over its lugs."""

    table: ClassVar[str] = "fasteners/nutplate_bodies.csv"
    standard: str
    dash: str
    overall_length_in: float


@dataclass(frozen=True, kw_only=True, eq=False)
class ScrewHoleRow(Row):
    """The clearance hole for a screw, by scheme. Without ``hole_in`` it is the drill's size."""

    table: ClassVar[str] = "fasteners/screw_holes.csv"
    scheme: str
    size: str
    diameter_in: float
    drill: str
    hole_in: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class RivetShearStressRow(Row):
    """Driven shear stress of a rivet material."""

    table: ClassVar[str] = "fasteners/shear_stress.csv"
    code: str
    shear_ksi: float


@dataclass(frozen=True, kw_only=True, eq=False)
class RivetShearLoadRow(Row):
    """Single-shear load of one rivet as a handbook prints it."""

    table: ClassVar[str] = "fasteners/shear_load.csv"
    code: str
    diameter: Fraction
    shear_lbf: float
