"""What the standards table says: how each standard writes its part numbers."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from fractions import Fraction
from functools import cache, lru_cache
from string import Formatter
from typing import TYPE_CHECKING, cast

from rivetkit.checks import MM_PER_IN
from rivetkit.errors import TableError
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.fasteners import BlindGripRow, FastenerStandardRow

if TYPE_CHECKING:
    from rivetkit.handbook.rows.common import Family, LengthUnit

#: The fields a template may hold that say how long the rivet is.
LENGTH_FIELDS = ("length", "grip")


@dataclass(frozen=True, slots=True)
class Segment:
    """A piece of a part number: literal text, then a field (empty after the last one)."""

    literal: str
    field: str
    #: Digits the field is filled up to with zeros, from ``{grip:02}``; 0 for none.
    width: int = 0


@dataclass(frozen=True, slots=True)
class Standard:
    """A rivet standard with the blanks of an alias row filled in."""

    name: str
    #: The standard this one is an alias of, else its own name.
    canonical: str
    family: Family
    head: str
    flush_angle_deg: float | None
    length_datum: str
    segments: tuple[Segment, ...]
    diameters: tuple[str, ...]
    diameter_step: Fraction
    diameter_unit: LengthUnit
    materials: tuple[str, ...]
    length_step: Fraction
    length_unit: LengthUnit
    half_lengths: bool
    length_min: Fraction | None
    length_max: Fraction | None
    hole_scheme: str
    oversize_series: str
    title: str
    citation: Citation

    @property
    def length_field(self) -> str:
        """Name of the field that says how long: ``length`` or ``grip``."""
        return self._length_segment.field

    @property
    def _length_segment(self) -> Segment:
        return next(piece for piece in self.segments if piece.field in LENGTH_FIELDS)

    def code_of_steps(self, steps: Fraction) -> str:
        """Return a count of whole or half length steps as the part number writes it."""
        return f"{float(steps):g}".zfill(self._length_segment.width)

    def diameter_in(self, code: str) -> float:
        """Return the nominal diameter a code stands for [in]."""
        return to_inches(Fraction(code) * self.diameter_step, self.diameter_unit)


def to_inches(value: Fraction | float, unit: LengthUnit) -> float:
    """Return a table's length in inches.

    >>> to_inches(Fraction(5, 32), "in")
    0.15625
    """
    return float(value) if unit == "in" else float(value) / MM_PER_IN


def same_code(one: str, other: str) -> bool:
    """Return whether two codes of a part number mean the same number or the same letters.

    >>> same_code("4.0", "4"), same_code("03", "3"), same_code("E", "KE")
    (True, True, False)
    """
    return code_meaning(one) == code_meaning(other)


@lru_cache(maxsize=1024)
def code_meaning(code: str) -> Fraction | str:
    """Return the number a code of a part number stands for, else its letters.

    >>> code_meaning("05"), code_meaning("ad")
    (Fraction(5, 1), 'AD')
    """
    try:
        return Fraction(code)
    except (ValueError, ZeroDivisionError):
        return code.upper()


@cache
def standards() -> dict[str, Standard]:
    """Return every standard on file by its name, in the table's order.

    Raises
    ------
    TableError
        When a row of the table is incomplete, or an alias names no standard.
    """
    rows = {row.standard: row for row in load_table(FastenerStandardRow)}
    return {name: _standard_of(row, rows) for name, row in rows.items()}


@cache
def grip_rows(standard: str, diameter_code: str) -> tuple[BlindGripRow, ...]:
    """Return the stock lengths on file for one diameter of a (canonical) blind standard."""
    return tuple(
        row
        for row in load_table(BlindGripRow)
        if row.standard == standard and same_code(row.diameter_code, diameter_code)
    )


def _standard_of(row: FastenerStandardRow, rows: dict[str, FastenerStandardRow]) -> Standard:
    place = f"{row.table}: {row.standard}"
    full = row
    if row.alias_of:
        named = rows.get(row.alias_of)
        if named is None:
            raise TableError(
                f"alias of '{row.alias_of}', which is not in the table",
                where=place,
                mend="correct the row",
            )
        blank = {f.name for f in fields(row) if getattr(row, f.name) in (None, "")}
        full = replace(row, **{name: getattr(named, name) for name in blank})
    needed = (full.family, full.diameter_unit, full.length_unit)
    if not all(needed) or full.diameter_step is None or full.length_step is None:
        raise TableError(
            "family, diameter_step, length_step and their units are needed",
            where=place,
            mend="fill them in",
        )
    return Standard(
        name=row.standard,
        canonical=row.alias_of or row.standard,
        family=cast("Family", full.family),
        head=full.head,
        flush_angle_deg=full.flush_angle_deg,
        length_datum=full.length_datum,
        segments=_segments(full.template, place),
        diameters=tuple(full.diameters.split()),
        diameter_step=full.diameter_step,
        diameter_unit=cast("LengthUnit", full.diameter_unit),
        materials=tuple(full.materials.split()),
        length_step=full.length_step,
        length_unit=cast("LengthUnit", full.length_unit),
        half_lengths=bool(full.half_lengths),
        length_min=full.length_min,
        length_max=full.length_max,
        hole_scheme=full.hole_scheme,
        oversize_series=full.oversize_series,
        title=full.title,
        citation=row.citation(),
    )


def _segments(template: str, place: str) -> tuple[Segment, ...]:
    """Return the pieces of a template after the standard's name."""
    try:
        pieces = [
            Segment(literal, field or "", int(width or 0))
            for literal, field, width, _ in Formatter().parse(template)
        ]
    except ValueError:
        pieces = []
    known = {"standard", "material", "diameter", *LENGTH_FIELDS, ""}
    names = [piece.field for piece in pieces]
    lengths = [name for name in names if name in LENGTH_FIELDS]
    if names[:1] != ["standard"] or "diameter" not in names or len(lengths) != 1:
        raise TableError(
            f"template '{template}' does not start with {{standard}} or lacks {{diameter}} or one "
            "of {length}, {grip}",
            where=place,
            mend="correct the template",
        )
    if set(names) - known or len(set(names)) != len(names):
        raise TableError(
            f"template '{template}' has a field that is unknown or stands twice",
            where=place,
            mend="fields are {standard} {material} {diameter} {length} {grip}",
        )
    return tuple(pieces[1:])
