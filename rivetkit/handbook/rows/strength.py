"""The columns of the tables of joint strength: one class a file."""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Literal

from rivetkit.handbook.load import Row


@dataclass(frozen=True, kw_only=True, eq=False)
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


@dataclass(frozen=True, kw_only=True, eq=False)
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


@dataclass(frozen=True, kw_only=True, eq=False)
class SpliceAlloyRow(Row):
    """A sheet alloy in the title of a rivets-required table; without a temper it means any."""

    table: ClassVar[str] = "strength/splice_alloys.csv"
    table_name: str
    alloy: str
    clad: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class GaugeTwinRow(Row):
    """A modern sheet gauge and the old one that is bought in its place."""

    table: ClassVar[str] = "strength/gauge_twins.csv"
    modern_in: float
    old_in: float


@dataclass(frozen=True, kw_only=True, eq=False)
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


@dataclass(frozen=True, kw_only=True, eq=False)
class InterRivetFixityRow(Row):
    """End fixity of a sheet between two fasteners, by the head that holds it."""

    table: ClassVar[str] = "strength/inter_rivet_fixity.csv"
    scheme: str
    head: Literal["protruding", "round", "flush", "shop_head", "bolt", "pinned"]
    fixity: float


@dataclass(frozen=True, kw_only=True, eq=False)
class ElasticModulusRow(Row):
    """Elastic modulus of a sheet alloy, in ksi."""

    table: ClassVar[str] = "strength/elastic_moduli.csv"
    alloy: str
    clad: bool
    thickness_min_in: float
    thickness_max_in: float
    modulus_ksi: float


@dataclass(frozen=True, kw_only=True, eq=False)
class FormulaRow(Row):
    """A strength formula, as text; a ``refused`` one is printed somewhere and not to be used."""

    table: ClassVar[str] = "strength/formulas.csv"
    name: str
    formula: str
    refused: bool
