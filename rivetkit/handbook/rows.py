"""The columns of every table: one class a file. Adding a table starts here."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction  # noqa: TC003 - the loader reads the field types
from typing import ClassVar, Literal

from rivetkit.handbook.load import Row

Family = Literal["solid", "blind_open", "blind_closed", "blind_locked"]
LengthUnit = Literal["in", "mm"]


@dataclass(frozen=True, kw_only=True)
class DrillSizeRow(Row):
    """A twist drill: its name and its size in the unit the series is defined in."""

    table: ClassVar[str] = "drills/drill_sizes.csv"
    designation: str
    series: Literal["number", "letter", "fraction", "metric"]
    size: Fraction
    unit: LengthUnit


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
class RivetMaterialRow(Row):
    """A material code of a rivet part number."""

    table: ClassVar[str] = "fasteners/materials.csv"
    code: str
    alloy: str
    group: Literal["aluminium", "7050", "nickel-copper", "steel", "stainless", "copper", "titanium"]


@dataclass(frozen=True, kw_only=True)
class HeadMarkRow(Row):
    """The mark on the manufactured head that tells the material; conflicting rows both stand."""

    table: ClassVar[str] = "fasteners/head_marks.csv"
    code: str
    mark: str


@dataclass(frozen=True, kw_only=True)
class RivetHandlingRow(Row):
    """What a material needs before it is driven."""

    table: ClassVar[str] = "fasteners/handling.csv"
    code: str
    handling: str


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
class BlindStrengthRow(Row):
    """Least shear and tension load of a blind rivet, as its standard rates it."""

    table: ClassVar[str] = "fasteners/blind_strength.csv"
    standard: str
    material: str
    diameter_code: str
    shear: float | None
    tension: float | None
    unit: Literal["lbf", "N"]


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
class NutplateBodyRow(Row):
    """How long a nutplate is over its lugs."""

    table: ClassVar[str] = "fasteners/nutplate_bodies.csv"
    standard: str
    dash: str
    overall_length_in: float


@dataclass(frozen=True, kw_only=True)
class ScrewHoleRow(Row):
    """The clearance hole for a screw, by scheme. Without ``hole_in`` it is the drill's size."""

    table: ClassVar[str] = "fasteners/screw_holes.csv"
    scheme: str
    size: str
    diameter_in: float
    drill: str
    hole_in: float | None


@dataclass(frozen=True, kw_only=True)
class RivetShearStressRow(Row):
    """Driven shear stress of a rivet material."""

    table: ClassVar[str] = "fasteners/shear_stress.csv"
    code: str
    shear_ksi: float


@dataclass(frozen=True, kw_only=True)
class RivetShearLoadRow(Row):
    """Single-shear load of one rivet as a handbook prints it."""

    table: ClassVar[str] = "fasteners/shear_load.csv"
    code: str
    diameter: Fraction
    shear_lbf: float


@dataclass(frozen=True, kw_only=True)
class DensityRow(Row):
    """Density of a sheet alloy or of a rivet material code."""

    table: ClassVar[str] = "materials/densities.csv"
    kind: Literal["sheet", "rivet"]
    material: str
    density_lb_per_in3: float


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
class SheetGaugeRow(Row):
    """A stock sheet thickness."""

    table: ClassVar[str] = "materials/sheet_gauges.csv"
    series: Literal["old", "modern"]
    thickness_in: float


@dataclass(frozen=True, kw_only=True)
class StockSheetRow(Row):
    """A size sheet is commonly sold in; the grain runs along the length."""

    table: ClassVar[str] = "materials/stock_sheets.csv"
    size: str
    width: Fraction
    length: Fraction
    unit: LengthUnit


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
class RuleRow(Row):
    """A numeric rule of the trade: the answer one document gives to one question.

    The limit is ``value`` times ``unit`` plus ``plus_in`` inches, where ``unit`` is ``D`` (rivet
    diameter), ``t`` (sheet thickness), ``in``, ``mm``, ``fraction``, ``percent`` or ``count``.
    """

    table: ClassVar[str] = "practice/rules.csv"
    rule: str
    question: str
    value: float
    unit: Literal["D", "t", "in", "mm", "fraction", "percent", "count", "degF"]
    plus_in: float
    applies: str


@dataclass(frozen=True, kw_only=True)
class RuleChoiceRow(Row):
    """Which rule, or which scheme of a table, a named rule set picks for a question."""

    table: ClassVar[str] = "practice/rule_sets.csv"
    rule_set: str
    question: str
    choice: str


@dataclass(frozen=True, kw_only=True)
class DrivenHeadRow(Row):
    """Shop-head limits. With an empty ``diameter`` the numbers are multiples of D."""

    table: ClassVar[str] = "practice/driven_heads.csv"
    scheme: str
    group: Literal["any", "aluminium", "7050"]
    diameter: Fraction | None
    unit: Literal["in", "D"]
    width_min: float | None
    width_max: float | None
    height_min: float | None
    height_max: float | None


@dataclass(frozen=True, kw_only=True)
class CountersinkMinimumRow(Row):
    """Thinnest sheet for a machine countersink. A ``refused`` cell is printed but not usable."""

    table: ClassVar[str] = "practice/countersink_minimum.csv"
    scheme: str
    head: Literal["flush", "flush_reduced"]
    diameter: Fraction
    sheet_min_in: float
    refused: bool


@dataclass(frozen=True, kw_only=True)
class RemovalRow(Row):
    """How one document takes one kind of rivet out.

    ``drill`` is ``shank`` (shank size plus ``offset_in``), ``next_below_shank`` or ``hole`` (the
    original hole's drill). ``depth`` says how deep: to the base of the head, the head's height,
    half the near sheet, two thirds of the stack, or right through.
    """

    table: ClassVar[str] = "practice/removal.csv"
    rule: str
    family: Literal["solid", "blind_open", "blind_locked"]
    form: Literal["protruding", "countersunk", "dimpled", "any"]
    drill: Literal["shank", "next_below_shank", "hole"]
    offset_in: float
    depth: Literal[
        "head_base", "head_height", "half_near_sheet", "two_thirds_stack", "nearly_through_head"
    ]
    steps: str


@dataclass(frozen=True, kw_only=True)
class PinPunchRow(Row):
    """A stock pin punch."""

    table: ClassVar[str] = "practice/pin_punches.csv"
    diameter: Fraction


@dataclass(frozen=True, kw_only=True)
class RivetsPerInchRow(Row):
    """A printed cell of a rivets-required table; an empty ``per_inch`` is a blank cell.

    ``fastener`` is a rivet diameter as a fraction of an inch, or ``AN-3`` for the bolt column. A
    ``low`` cell asks for fewer rivets than the table's own basis; a ``refused`` one is not usable.
    """

    table: ClassVar[str] = "strength/rivets_per_inch.csv"
    table_name: str
    thickness_in: float
    fastener: str
    per_inch: Fraction | None
    mark: Literal["", "low", "refused"]


@dataclass(frozen=True, kw_only=True)
class SpliceBasisRow(Row):
    """A figure a rivets-required table was computed from, as its notes state it.

    The two fractions are shares of the sheet's tensile stress; the bolt column has a shear load
    and a sheet stress of its own.
    """

    table: ClassVar[str] = "strength/splice_tables.csv"
    table_name: str
    figure: Literal[
        "rivet_shear_fraction",
        "sheet_bearing_fraction",
        "bolt_diameter_in",
        "bolt_shear_lbf",
        "bolt_sheet_ksi",
    ]
    value: float


@dataclass(frozen=True, kw_only=True)
class SpliceAlloyRow(Row):
    """A sheet alloy in the title of a rivets-required table; without a temper it means any."""

    table: ClassVar[str] = "strength/splice_alloys.csv"
    table_name: str
    alloy: str
    clad: bool


@dataclass(frozen=True, kw_only=True)
class GaugeTwinRow(Row):
    """A modern sheet gauge and the old one that is bought in its place."""

    table: ClassVar[str] = "strength/gauge_twins.csv"
    modern_in: float
    old_in: float


@dataclass(frozen=True, kw_only=True)
class FlushJointRow(Row):
    """Tested strength of one flush rivet in one sheet; a ``refused`` row is not to be used."""

    table: ClassVar[str] = "strength/flush_joints.csv"
    form: Literal["countersunk", "dimpled"]
    code: str
    diameter: Fraction
    sheet_in: float
    alloy: str
    ultimate_lbf: float
    yield_lbf: float | None
    refused: bool


@dataclass(frozen=True, kw_only=True)
class InterRivetFixityRow(Row):
    """End fixity of a sheet between two fasteners, by the head that holds it."""

    table: ClassVar[str] = "strength/inter_rivet_fixity.csv"
    scheme: str
    head: Literal["protruding", "round", "flush", "shop_head", "bolt", "pinned"]
    fixity: float


@dataclass(frozen=True, kw_only=True)
class ElasticModulusRow(Row):
    """Elastic modulus of a sheet alloy, in ksi."""

    table: ClassVar[str] = "strength/elastic_moduli.csv"
    alloy: str
    clad: bool
    thickness_min_in: float
    thickness_max_in: float
    modulus_ksi: float


@dataclass(frozen=True, kw_only=True)
class FormulaRow(Row):
    """A strength formula, as text; a ``refused`` one is printed somewhere and not to be used."""

    table: ClassVar[str] = "strength/formulas.csv"
    name: str
    formula: str
    refused: bool


TABLES: tuple[type[Row], ...] = (
    DrillSizeRow,
    RivetHoleRow,
    FastenerStandardRow,
    FastenerDimensionRow,
    RivetMaterialRow,
    HeadMarkRow,
    RivetHandlingRow,
    BlindGripRow,
    BlindStrengthRow,
    OversizeRivetRow,
    NutplateRow,
    NutplateBodyRow,
    ScrewHoleRow,
    RivetShearStressRow,
    RivetShearLoadRow,
    DensityRow,
    ThermalExpansionRow,
    SheetGaugeRow,
    StockSheetRow,
    SheetAlloyRow,
    RuleRow,
    RuleChoiceRow,
    DrivenHeadRow,
    CountersinkMinimumRow,
    RemovalRow,
    PinPunchRow,
    RivetsPerInchRow,
    SpliceBasisRow,
    SpliceAlloyRow,
    GaugeTwinRow,
    FlushJointRow,
    InterRivetFixityRow,
    ElasticModulusRow,
    FormulaRow,
)
