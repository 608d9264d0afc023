"""The blanks of new skins as a report."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.arithmetic import working_citations, working_data, working_section
from rivetkit.reports.cautions import LOOKUP_CAUTIONS
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    basis_mark,
    collect_citations,
)
from rivetkit.reports.rivet_facts import span_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.blank import Blank, Box, SheetFit
    from rivetkit.checks import Check
    from rivetkit.reports.amounts import LengthUnit

_FLAT = (
    "Sizes are flat, in the plan the holes are given in: add what bends, curvature and flanges "
    "take up, and mind which way the maker's drawing has the grain."
)
_GRAIN = (
    "The grain runs along the sheet's length, the way it was rolled; a dealer may have turned it."
)


@dataclass(frozen=True, slots=True)
class SkinBlank:
    """One skin with its blank and the stock it fits on."""

    name: str
    material: str
    thickness_in: float | None
    holes: Box | None
    outline: Box | None
    blank: Blank
    fits: tuple[SheetFit, ...]


def blank_report(
    skins: Sequence[SkinBlank],
    checks: tuple[Check, ...],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of some blanks.

    Parameters
    ----------
    skins
        The skins.
    checks
        What was judged.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    workings = [item for skin in skins for item in (*skin.blank.least, *skin.blank.generous)]
    sections = [section for skin in skins for section in _skin_sections(skin, length_unit)]
    return Report(
        command="blank",
        title="New skin blank" if len(skins) == 1 else "New skin blanks",
        inputs=inputs,
        result={"blanks": [_skin_data(skin, length_unit) for skin in skins]},
        sections=(
            *sections,
            Section("", (Paragraph(_FLAT), Paragraph(_GRAIN))),
            Section("Checks", (CheckList(checks),)),
            working_section(workings, length_unit),
        ),
        checks=checks,
        citations=collect_citations(checks, working_citations(workings)),
        cautions=LOOKUP_CAUTIONS,
        length_unit=length_unit,
    )


def _skin_sections(skin: SkinBlank, length_unit: LengthUnit) -> tuple[Section, ...]:
    facts = []
    if skin.thickness_in is not None:
        thickness = format_length(skin.thickness_in, length_unit)
        facts.append(Fact("material", f"{skin.material}, {thickness}"))
    for label, box in (("outermost holes", skin.holes), ("finished outline", skin.outline)):
        if box is not None:
            facts.append(Fact(label, _size_words(_box_size(box), length_unit)))
    least, generous = skin.blank.least_in, skin.blank.generous_in
    facts.append(Fact("blank, at least", _size_words(least, length_unit)))
    facts.append(Fact("blank, generous", _size_words(generous, length_unit)))
    return (
        Section(skin.name, (Facts(tuple(facts)),)),
        Section(
            "Stock sheets it fits on" if skin.fits else "No stock sheet on file is this large",
            (_fit_table(skin.fits, length_unit),),
        ),
    )


def _box_size(box: Box) -> tuple[float, float]:
    return box.x_max_in - box.x_min_in, box.y_max_in - box.y_min_in


def _size_words(size_in: tuple[float, float], length_unit: LengthUnit) -> str:
    return span_text(*size_in, length_unit).replace(" to ", " x ") + " (width x height)"


def _fit_table(fits: Sequence[SheetFit], length_unit: LengthUnit) -> Table:
    columns = (
        Column("sheet"),
        Column("width", length_unit, align="right", weight=7),
        Column("length", length_unit, align="right", weight=7),
        Column("grain along"),
        Column("left across", length_unit, align="right", weight=8),
        Column("left along", length_unit, align="right", weight=8),
        Column("generous"),
        Column("basis", weight=9),
    )
    rows = tuple(
        (
            fit.sheet.size,
            length_number(fit.sheet_width_in, length_unit, 2),
            length_number(fit.sheet_length_in, length_unit, 2),
            fit.grain,
            length_number(fit.left_across_in, length_unit, 2),
            length_number(fit.left_along_in, length_unit, 2),
            "fits" if fit.generous else "too large",
            basis_mark(fit.sheet.basis),
        )
        for fit in fits
    )
    return Table(columns, rows)


def _skin_data(skin: SkinBlank, length_unit: LengthUnit) -> dict[str, object]:
    sizes = {"least": skin.blank.least_in, "generous": skin.blank.generous_in}
    if skin.holes is not None:
        sizes["holes"] = _box_size(skin.holes)
    if skin.outline is not None:
        sizes["outline"] = _box_size(skin.outline)
    lengths: dict[str, object] = {}
    for name, (width_in, height_in) in sizes.items():
        lengths |= length_entry(f"{name}_width", width_in, length_unit)
        lengths |= length_entry(f"{name}_height", height_in, length_unit)
    return {
        "skin": skin.name,
        "material": skin.material or None,
        **length_entry("thickness", skin.thickness_in, length_unit),
        **lengths,
        "fits": [
            {
                "sheet": fit.sheet.size,
                **length_entry("sheet_width", fit.sheet_width_in, length_unit),
                **length_entry("sheet_length", fit.sheet_length_in, length_unit),
                "grain_along": fit.grain,
                **length_entry("left_of_width", fit.left_across_in, length_unit),
                **length_entry("left_of_length", fit.left_along_in, length_unit),
                "generous_fits": fit.generous,
                "basis": fit.sheet.basis,
                "note": fit.sheet.note,
            }
            for fit in skin.fits
        ],
        "arithmetic": [
            working_data(item, length_unit) for item in (*skin.blank.least, *skin.blank.generous)
        ],
    }
