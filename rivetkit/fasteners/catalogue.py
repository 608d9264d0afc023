"""What the tables know of a rivet: size, hole, grips, material, strength."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal

from rivetkit.drills import Drill, find_drill
from rivetkit.errors import OutOfTableError
from rivetkit.fasteners.grammar import code_meaning, grip_rows, same_code, standards, to_inches
from rivetkit.fasteners.nutplates import Nutplate, nutplate, nutplates
from rivetkit.fasteners.part_number import with_length_code
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.fasteners import (
    BlindStrengthRow,
    FastenerDimensionRow,
    HeadMarkRow,
    OversizeRivetRow,
    RivetHandlingRow,
    RivetMaterialRow,
    RivetShearLoadRow,
    RivetShearStressRow,
)
from rivetkit.handbook.rows.holes import RivetHoleRow
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from fractions import Fraction

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook.rows.common import LengthUnit
    from rivetkit.rules import RuleBook

__all__ = [
    "Dimension",
    "Nutplate",
    "Property",
    "RivetHole",
    "Shank",
    "StockGrip",
    "blind_strength",
    "dimension",
    "handling",
    "head_marks",
    "material",
    "nutplate",
    "nutplates",
    "rivet_hole",
    "shank",
    "shear_load",
    "shear_stress",
    "stock_grips",
]

Property = Literal["shank_diameter", "head_diameter", "head_height"]

#: Two table sizes closer than this are one size; absorbs the rounding of unit conversion [in].
_SAME_SIZE_IN = 1e-6


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension of a rivet [in]; a value the table does not print is None."""

    value_in: float | None
    min_in: float | None
    max_in: float | None
    citation: Citation

    @property
    def largest_in(self) -> float | None:
        """The size to allow for: the greatest one printed, else the nominal [in]."""
        return self.value_in if self.max_in is None else self.max_in

    @property
    def nominal_in(self) -> float | None:
        """The nominal size, else the greatest one printed [in]."""
        return self.max_in if self.value_in is None else self.value_in


@dataclass(frozen=True, slots=True)
class Shank:
    """The shank a rivet is bought by [in], and who says so."""

    diameter_in: float
    citation: Citation


@dataclass(frozen=True, slots=True)
class RivetHole:
    """The hole a rivet goes in [in], and the drill for it where the table names one."""

    drill: Drill | None
    hole_in: float | None
    hole_min_in: float | None
    hole_max_in: float | None
    citation: Citation
    #: Where the limits come from, when that is another table than the hole.
    limits_citation: Citation | None = None

    @property
    def drill_fits(self) -> bool | None:
        """Whether the drill lies inside the hole limits; None when one of them is missing."""
        if self.drill is None or self.hole_min_in is None or self.hole_max_in is None:
            return None
        least, most = self.hole_min_in - _SAME_SIZE_IN, self.hole_max_in + _SAME_SIZE_IN
        return least <= self.drill.size_in <= most


@dataclass(frozen=True, slots=True)
class StockGrip:
    """One stock length of a blind rivet and the stack it takes [in]."""

    code: str
    length_in: float | None
    grip_min_in: float
    grip_max_in: float
    citation: Citation


def dimension(fastener: Fastener, which: Property) -> Dimension | None:
    """Return a dimension of a rivet, or None when no table has it.

    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> dimension(parse_part_number("MS20426AD4"), "head_height").value_in
    0.042
    """
    return _dimensions().get((fastener.canonical, code_meaning(fastener.diameter_code), which))


@cache
def _dimensions() -> dict[tuple[str, Fraction | str, Property], Dimension]:
    found: dict[tuple[str, Fraction | str, Property], Dimension] = {}
    for row in load_table(FastenerDimensionRow):
        sizes = (row.value, row.value_min, row.value_max)
        value, least, most = (None if s is None else to_inches(s, row.unit) for s in sizes)
        key = (row.standard, code_meaning(row.diameter_code), row.property)
        found.setdefault(key, Dimension(value, least, most, row.citation()))
    return found


def shank(fastener: Fastener) -> Shank:
    """Return the shank a rivet is bought by: its nominal diameter, or its oversize [in].

    Raises
    ------
    OutOfTableError
        When the rivet's oversize series does not list its diameter.
    """
    standard = standards()[fastener.canonical]
    if not standard.oversize_series:
        return Shank(fastener.diameter_in, standard.citation)
    for row in load_table(OversizeRivetRow):
        if row.series == standard.oversize_series and _is_size(row.diameter, "in", fastener):
            return Shank(row.shank_in, row.citation())
    raise OutOfTableError(
        f"series '{standard.oversize_series}' has no shank for {fastener.designation}",
        where=OversizeRivetRow.table,
        mend="choose a listed diameter",
    )


def rivet_hole(fastener: Fastener, book: RuleBook) -> RivetHole:
    """Return the hole a rivet goes in.

    A standard with holes of its own takes them; for any other the rule book picks the table.

    Raises
    ------
    OutOfTableError
        When the table picked has no hole for the rivet's diameter.
    """
    scheme = standards()[fastener.canonical].hole_scheme
    scheme = scheme or book.choice(f"rivet_hole_{fastener.family}").choice
    row = _hole_row(scheme, fastener)
    if row is None:
        listed = (r for r in load_table(RivetHoleRow) if r.scheme == scheme)
        sizes = ", ".join(f"{r.diameter} {r.unit}" for r in listed)
        raise OutOfTableError(
            length_words(
                "hole table '{scheme}' has no {size} rivet",
                scheme=scheme,
                size=fastener.diameter_in,
            ),
            where=fastener.designation,
            mend=f"it has {sizes}",
        )
    drill = find_drill(row.drill) if row.drill else None
    hole_in = None if row.hole is None else to_inches(row.hole, row.unit)
    if hole_in is None and drill is not None:
        hole_in = drill.size_in
    limits, limits_citation = row, None
    if fastener.family == "solid" and row.hole_min is None and row.hole_max is None:
        other = _hole_row(book.choice("rivet_hole_limits_solid").choice, fastener)
        if other is not None:
            limits, limits_citation = other, other.citation()
    bounds = (limits.hole_min, limits.hole_max)
    least, most = (None if size is None else to_inches(size, limits.unit) for size in bounds)
    return RivetHole(drill, hole_in, least, most, row.citation(), limits_citation)


def stock_grips(fastener: Fastener) -> tuple[StockGrip, ...]:
    """Return the grips a blind rivet comes in, shortest first; its own length does not matter.

    Where no table lists them and the grip code counts steps, they follow from the code up to the
    longest on file. Empty for a solid rivet and where nothing is known.
    """
    standard = standards()[fastener.canonical]
    listed = grip_rows(fastener.canonical, fastener.diameter_code)
    if listed:
        grips = [
            StockGrip(
                row.code,
                None if row.length is None else to_inches(row.length, row.unit),
                to_inches(row.grip_min, row.unit),
                to_inches(row.grip_max, row.unit),
                row.citation(),
            )
            for row in listed
        ]
        return tuple(sorted(grips, key=lambda grip: (grip.grip_max_in, grip.grip_min_in)))
    if standard.length_field != "grip" or standard.length_max is None:
        return ()
    stock = []
    for steps in range(1, int(standard.length_max / standard.length_step) + 1):
        rivet = with_length_code(fastener, str(steps))
        if rivet.grip_min_in is not None and rivet.grip_max_in is not None:
            bounds = (rivet.grip_min_in, rivet.grip_max_in)
            stock.append(StockGrip(rivet.length_code, None, *bounds, standard.citation))
    return tuple(stock)


def material(fastener: Fastener) -> RivetMaterialRow | None:
    """Return the alloy behind a rivet's material code, or None when it is not listed."""
    rows = load_table(RivetMaterialRow)
    return next((row for row in rows if row.code == fastener.material), None)


def base_alloy(fastener: Fastener) -> str:
    """Return the alloy of a rivet without its temper, empty when its code is not listed.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> base_alloy(parse_part_number("MS20470DD4"))
    '2024'
    """
    row = material(fastener)
    return "" if row is None else row.alloy.split("-")[0]


def rivet_metal(fastener: Fastener) -> str:
    """Return the metal of a rivet, empty when its material code is not listed.

    7050 has shop-head limits of its own; it is aluminium like the others.
    """
    row = material(fastener)
    if row is None:
        return ""
    return "aluminium" if row.group == "7050" else row.group


def head_marks(fastener: Fastener) -> tuple[HeadMarkRow, ...]:
    """Return the marks on the head of a solid rivet; two documents may differ."""
    if fastener.blind:
        return ()
    return tuple(row for row in load_table(HeadMarkRow) if row.code == fastener.material)


def handling(fastener: Fastener) -> tuple[RivetHandlingRow, ...]:
    """Return what a solid rivet needs before it is driven, by every document on file."""
    if fastener.blind:
        return ()
    return tuple(row for row in load_table(RivetHandlingRow) if row.code == fastener.material)


def shear_load(fastener: Fastener) -> RivetShearLoadRow | None:
    """Return the printed single-shear load of a solid rivet, or None when no table has it."""
    if fastener.blind:
        return None
    rows: tuple[RivetShearLoadRow, ...] = load_table(RivetShearLoadRow)
    for row in rows:
        if row.code == fastener.material and _is_size(row.diameter, "in", fastener):
            return row
    return None


def shear_stress(fastener: Fastener) -> RivetShearStressRow | None:
    """Return the driven shear stress of a solid rivet's material, or None."""
    if fastener.blind:
        return None
    rows = load_table(RivetShearStressRow)
    return next((row for row in rows if row.code == fastener.material), None)


def blind_strength(fastener: Fastener) -> BlindStrengthRow | None:
    """Return the loads a blind rivet's standard rates it at, or None when no table has them."""
    rows: tuple[BlindStrengthRow, ...] = load_table(BlindStrengthRow)
    for row in rows:
        if (
            row.standard == fastener.canonical
            and row.material == fastener.material
            and same_code(row.diameter_code, fastener.diameter_code)
        ):
            return row
    return None


def _hole_row(scheme: str, fastener: Fastener) -> RivetHoleRow | None:
    rows = (row for row in load_table(RivetHoleRow) if row.scheme == scheme)
    return next((row for row in rows if _is_size(row.diameter, row.unit, fastener)), None)


def _is_size(diameter: Fraction, unit: LengthUnit, fastener: Fastener) -> bool:
    return abs(to_inches(diameter, unit) - fastener.diameter_in) < _SAME_SIZE_IN
