"""The tape-measure list of a layout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.quantities import nearest_fraction_text
from rivetkit.reports.amounts import length_number
from rivetkit.reports.document import Column, Paragraph, Section, Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.row_layout.answer import Seam
    from rivetkit.calculators.row_layout.places import TapeMark
    from rivetkit.reports.amounts import LengthUnit

_STEP_WORDS = {"in": "1/64 in", "mm": "0.5 mm"}


def tape_sections(seam: Seam, length_unit: LengthUnit) -> tuple[Section, ...]:
    """Return a running list for every row; rows abreast share one where they are not placed."""
    lists: dict[object, list[int]] = {}
    for number, marks in enumerate(seam.marks, start=1):
        places = _places(marks, seam.points_in[number - 1])
        lists.setdefault((marks, places), []).append(number)
    sections = []
    for numbers in lists.values():
        which = f", row {' and '.join(map(str, numbers))}" if len(seam.marks) > 1 else ""
        row = numbers[0] - 1
        table = _table(seam.marks[row], _places(seam.marks[row], seam.points_in[row]), length_unit)
        words = Paragraph(
            "Running dimensions from the start, tape hooked once; marks to the nearest "
            f"{_STEP_WORDS[length_unit]}, the first and the last away from the ends."
        )
        sections.append(Section(f"Tape{which}", (words, table)))
    return tuple(sections)


def _places(
    marks: Sequence[TapeMark], points: tuple[tuple[float, float], ...]
) -> tuple[tuple[float, float], ...]:
    """Return a row's coordinates; none where they only repeat the running dimensions."""
    plain = all(
        x_in == mark.running_in and y_in == points[0][1]
        for mark, (x_in, y_in) in zip(marks, points, strict=True)
    )
    return () if plain else points


def _table(
    marks: Sequence[TapeMark],
    points: Sequence[tuple[float, float]],
    length_unit: LengthUnit,
) -> Table:
    columns = (
        Column("hole", align="right"),
        Column("running", length_unit, align="right"),
        Column("tape", length_unit, align="right"),
        Column("tape off by", length_unit, align="right", weight=8),
        Column("space before", length_unit, align="right", weight=7),
        Column("x", length_unit, align="right", weight=6),
        Column("y", length_unit, align="right", weight=6),
    )
    rows = []
    for number, mark in enumerate(marks):
        space = ""
        if number:
            space = length_number(mark.running_in - marks[number - 1].running_in, length_unit)
        place = points[number] if points else ()
        x_y = [length_number(value_in, length_unit) for value_in in place] or ["", ""]
        rows.append(
            (
                str(number + 1),
                length_number(mark.running_in, length_unit),
                _mark_words(mark, length_unit),
                _off_words(mark, length_unit),
                space,
                *x_y,
            )
        )
    return Table(columns, tuple(rows))


def _mark_words(mark: TapeMark, length_unit: LengthUnit) -> str:
    if length_unit == "mm":
        return length_number(mark.mark_in, length_unit, 1)
    return nearest_fraction_text(mark.mark_in)


def _off_words(mark: TapeMark, length_unit: LengthUnit) -> str:
    number = length_number(mark.off_in, length_unit)
    return number if number.startswith("-") or not number.strip("0.") else f"+{number}"
