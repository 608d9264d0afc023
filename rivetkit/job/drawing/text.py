"""Write what a drawing holds as the beginning of a job file, or as a CSV file of holes."""

from __future__ import annotations

import json
import textwrap
from typing import TYPE_CHECKING, Literal

from rivetkit.job.drawing.chains import FLATTEN_IN, JOIN_IN
from rivetkit.quantities import length_words, to_unit, words_in_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.geometry.curves import Point
    from rivetkit.job.drawing.chains import Outline, Piece
    from rivetkit.job.drawing.parts import DrawingIn, DrawnSheet, HoleGroup

Unit = Literal["in", "mm"]

#: A drawing's unit in words.
UNIT_WORDS = {
    "in": "inches",
    "ft": "feet",
    "mm": "millimetres",
    "cm": "centimetres",
    "m": "metres",
}

#: Stands at the beginning of every line to be completed.
FILL_IN = "#FILL IN# "

#: Comments are folded to this many characters.
_WIDTH = 96


def job_fragment(drawing: DrawingIn, unit: Unit, rivet: str | None = None) -> str:
    """Return a job file that lacks what no drawing tells: each such line begins with FILL IN.

    Parameters
    ----------
    drawing
        What was read.
    unit
        Unit of the job file.
    rivet
        What sits in every hole; to be filled in when None.
    """
    lines = [
        *_head(drawing, unit),
        *_sheet(drawing.sheet, unit),
        *(line for group in drawing.groups for line in _row(group, unit, rivet)),
    ]
    return "\n".join(lines) + "\n"


def holes_csv(drawing: DrawingIn, unit: Unit) -> str:
    """Return the holes as CSV text, lengths in ``unit``; an unknown diameter is empty."""
    lines = ["x,y,diameter"]
    for group in drawing.groups:
        size = "" if group.diameter_in is None else _number(group.diameter_in, unit)
        lines += [f"{_number(x, unit)},{_number(y, unit)},{size}" for x, y in group.points]
    return "\n".join(lines) + "\n"


def drawing_notes(drawing: DrawingIn, unit: Unit) -> list[str]:
    """Return what a person has to know about how the drawing was read, lengths in ``unit``."""
    notes = [*drawing.notes]
    if drawing.sheet is not None:
        outlines = (drawing.sheet.outline, *drawing.sheet.cutouts)
        kinds = {piece.kind for outline in outlines for piece in outline.pieces}
        if "curve" in kinds:
            notes.append(
                length_words(
                    "A spline or an ellipse is short lines within {off} of it; a curve that was "
                    "drawn in short lines keeps them.",
                    off=FLATTEN_IN,
                )
            )
        if "arc" in kinds:
            notes.append(
                length_words(
                    "Short lines within {off} of an arc are read as that arc.", off=FLATTEN_IN
                )
            )
    if drawing.sheet is not None:
        notes.append(
            length_words("Ends of lines within {off} of each other are one corner.", off=JOIN_IN)
        )
    if drawing.groups:
        notes.append(
            "A row holds all holes of one layer and one size in the order they were drawn; pitch "
            "is judged along that order, so make a row of each line of rivets."
        )
    return [words_in_unit(note, unit) for note in notes]


def _head(drawing: DrawingIn, unit: Unit) -> Iterator[str]:
    said = [
        f"Read from {drawing.name}, drawn in {UNIT_WORDS[drawing.unit]}.",
        *drawing_notes(drawing, unit),
    ]
    said += [
        f"Skipped on layer {item.layer}: {item.count} {item.what}, {words_in_unit(item.why, unit)}."
        for item in drawing.skipped
    ]
    said.append("Before you drill by it, measure a length on the part and compare it with this.")
    said.append(f"Complete the lines that begin with {FILL_IN.strip()} and take those words away.")
    for text in said:
        folded = textwrap.wrap(_plain(text), _WIDTH)
        yield from (f"# {line}" for line in folded)
    yield ""
    yield f"{FILL_IN}name = {_text(drawing.name)}"
    yield f'units = "{unit}"'


def _sheet(sheet: DrawnSheet | None, unit: Unit) -> Iterator[str]:
    yield from ("", "[[sheet]]", 'name = "sheet"')
    yield f'{FILL_IN}old = {{ alloy = "2024-T3 clad", thickness = "0.032 in" }}'
    if sheet is None:
        yield "# No closed outline was found."
        yield f"{FILL_IN}outline = {{ rectangle = {{ corner = [0, 0], width = 0, height = 0 }} }}"
        return
    yield "[sheet.outline]"
    yield from _chain(sheet.outline, unit)
    for number, cutout in enumerate(sheet.cutouts, start=1):
        yield from ("[[sheet.cutouts]]", f'name = "cut-out {number}"', *_chain(cutout, unit))
    for number, circle in enumerate(sheet.circles, start=len(sheet.cutouts) + 1):
        at = _place(circle.centre, unit)
        diameter = _number(circle.diameter_in or 0.0, unit)
        yield from ("[[sheet.cutouts]]", f'name = "cut-out {number}"')
        yield f"circle = {{ at = {at}, diameter = {diameter} }}"


def _chain(outline: Outline, unit: Unit) -> Iterator[str]:
    yield f"start = {_place(outline.pieces[0].start, unit)}"
    yield "edges = ["
    for number, piece in enumerate(outline.pieces, start=1):
        yield f'  {{ name = "edge {number}", to = {_place(piece.end, unit)}{_way(piece, unit)} }},'
    yield "]"


def _way(piece: Piece, unit: Unit) -> str:
    between = [_place(point, unit) for point in piece.points[1:-1]]
    if piece.kind == "arc":
        return f", through = {between[0]}"
    return f", via = [{', '.join(between)}]" if between else ""


def _row(group: HoleGroup, unit: Unit, rivet: str | None) -> Iterator[str]:
    yield from ("", "[[row]]", f"name = {_text(group.name)}")
    size = ""
    if group.diameter_in is not None:
        size = f"  # drawn {_number(round(group.diameter_in, 5), unit)} {unit}"
    if rivet is None:
        yield f'{FILL_IN}rivet = ""{size}'
    else:
        yield f"rivet = {_text(rivet)}{size}"
    yield 'layers = ["sheet"]'
    yield "holes = ["
    yield from (f"  {_place(point, unit)}," for point in group.points)
    yield "]"


def _place(point: Point, unit: Unit) -> str:
    return f"[{_number(point[0], unit)}, {_number(point[1], unit)}]"


def _number(value_in: float, unit: Unit) -> str:
    """Return a length as a decimal without idle zeros, to a millionth of a thou."""
    value = value_in if unit == "in" else to_unit(value_in, unit)
    text = f"{value:.10f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _plain(text: str) -> str:
    return "".join(mark if mark.isprintable() else "?" for mark in text)


def _text(text: str) -> str:
    return json.dumps(_plain(text), ensure_ascii=False)
