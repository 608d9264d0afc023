"""Holes and outlines of a drawing: what is a rivet hole, what the sheet, what cut out of it."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from rivetkit.errors import InputError, RivetkitError
from rivetkit.geometry.outline import Boundary, Circle, Loop
from rivetkit.geometry.spots import Spots
from rivetkit.job.drawing.chains import Outline, Piece, SkipList, Skipped, as_edges
from rivetkit.job.drawing.dxf import DrawnCircle, Traced, trace_dxf
from rivetkit.job.drawing.rounds import with_rounds_apart
from rivetkit.job.files import STANDARD_INPUT, read_text_file, require_plain_file
from rivetkit.job.places import read_holes_text
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rivetkit.geometry.curves import Point

#: A file larger than this [bytes] is no drawing of a sheet.
_LARGEST_BYTES = 256 * 1024 * 1024

#: Common practice, no source: a circle wider than this is no rivet's hole [in].
LARGEST_HOLE_IN = 0.5

#: Centres and diameters that differ by less are the same [in].
_SAME_IN = 1e-5

_LIKE_THE_OUTLINE = 1.0 - 1e-6


@dataclass(frozen=True, slots=True)
class HoleGroup:
    """The holes of one layer and one diameter [in], in the order they were drawn."""

    name: str
    layer: str
    diameter_in: float | None
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class DrawnSheet:
    """A sheet's outline with what is cut out of it; round cut-outs are kept as circles."""

    outline: Outline
    cutouts: tuple[Outline, ...]
    circles: tuple[DrawnCircle, ...]

    @property
    def boundary(self) -> Boundary:
        """The same for geometry, every cut-out and edge without a name."""
        loops = [
            Loop(tuple(piece.edge() for piece in outline.pieces))
            for outline in (self.outline, *self.cutouts)
        ]
        rounds = tuple(
            Circle("", circle.centre, (circle.diameter_in or 0.0) / 2.0) for circle in self.circles
        )
        return Boundary(loops[0], tuple(loops[1:]), rounds)


@dataclass(frozen=True, slots=True)
class DrawingIn:
    """What was found in a drawing, lengths in inches."""

    name: str
    unit: str
    groups: tuple[HoleGroup, ...]
    sheet: DrawnSheet | None
    skipped: tuple[Skipped, ...]
    notes: tuple[str, ...]

    @property
    def holes(self) -> int:
        """How many holes there are."""
        return sum(len(group.points) for group in self.groups)


def read_drawing(
    path: str,
    *,
    layers: Sequence[str] = (),
    drawing_unit: str | None = None,
    bare_unit: str = "in",
    largest_hole_in: float = LARGEST_HOLE_IN,
) -> DrawingIn:
    """Return the holes and the sheet of a DXF or CSV file.

    Parameters
    ----------
    path
        The file; ``-`` is standard input, and holds DXF.
    layers
        The only layers of a DXF file to look at; all that are not hidden when empty.
    drawing_unit
        Unit of the drawing; for DXF the file's own when None.
    bare_unit
        Unit of a CSV file's bare numbers when ``drawing_unit`` is None.
    largest_hole_in
        Circles wider than this [in] are cut-outs.

    Raises
    ------
    InputError
        When the file cannot be read, or holds neither holes nor an outline.
    """
    name = "standard input" if path == "-" else PurePath(path).name
    skips = SkipList()
    ending = ".dxf" if path == "-" else PurePath(path).suffix.lower()
    if ending == ".csv":
        if layers:
            raise InputError("a CSV file has no layers", where="--layer", mend="leave it out")
        unit = drawing_unit or bare_unit
        traced = Traced(_csv_circles(path, name, unit), (), unit, "")
    elif ending == ".dxf":
        if path != STANDARD_INPUT:
            _require_drawing(path)
        traced = trace_dxf(path, layers=layers, drawing_unit=drawing_unit, skips=skips)
    else:
        raise InputError(
            "neither .dxf nor .csv", where=path, mend="save the drawing as DXF, or holes as CSV"
        )
    rounds, outlines = with_rounds_apart(traced.outlines)
    small, large = _sorted_circles((*traced.circles, *rounds), largest_hole_in, skips)
    sheet = _sheet(outlines, large, skips)
    if not small and sheet is None:
        left = "; ".join(f"{item.count} {item.what} on {item.layer}" for item in skips.listed())
        raise InputError(
            f"no circle and no closed outline{f' (skipped: {left})' if left else ''}",
            where=name,
            mend="check the file and --layer",
        )
    notes = tuple(note for note in (traced.unit_note, *_doubts(small, sheet)) if note)
    return DrawingIn(name, traced.unit, _groups(small), sheet, skips.listed(), notes)


def _doubts(holes: Sequence[DrawnCircle], sheet: DrawnSheet | None) -> Iterator[str]:
    """Yield what a person has to look at before trusting what was read."""
    if sheet is None:
        return
    if sheet.cutouts or sheet.circles:
        yield (
            "The largest outline was taken as the sheet and what lies inside it as cut out of it; "
            "where several parts lie over each other, read each with --layer."
        )
    if holes:
        spots = Spots.at(np.array([hole.centre for hole in holes]))
        off = int(sheet.boundary.outside(spots).sum())
        if off:
            yield f"{off} of {len(holes)} holes lie off the sheet: outside it or in a cut-out."


def _require_drawing(path: str) -> None:
    try:
        require_plain_file(path, _LARGEST_BYTES)
    except RivetkitError as error:
        raise error.at(path) from None


def _csv_circles(path: str, name: str, unit: str) -> tuple[DrawnCircle, ...]:
    try:
        text = read_text_file(path)
    except RivetkitError as error:
        raise error.at(path) from None
    layer = PurePath(path).stem
    circles = []
    for x, y, *size in read_holes_text(text, name, unit, also="diameter").tolist():
        diameter_in = None if not size or math.isnan(size[0]) else size[0]
        if diameter_in is not None and diameter_in <= 0.0:
            raise InputError(
                length_words(
                    "the hole at {place} has a diameter of {size}", place=(x, y), size=diameter_in
                ),
                where=name,
                mend="give its size, or leave the cell empty",
            )
        circles.append(DrawnCircle(layer, (x, y), diameter_in))
    return tuple(circles)


def _sorted_circles(
    circles: Iterable[DrawnCircle], largest_hole_in: float, skips: SkipList
) -> tuple[list[DrawnCircle], list[DrawnCircle]]:
    """Return holes and larger circles; what is drawn twice or round a hole is left out."""
    holes: list[DrawnCircle] = []
    large: list[DrawnCircle] = []
    at: dict[tuple[int, int], float | None] = {}
    drawn = list(circles)
    small = [circle for circle in drawn if (circle.diameter_in or 0.0) <= largest_hole_in]
    for circle in small:
        key = _place_key(circle)
        best = at.get(key, math.inf)
        size = circle.diameter_in or 0.0
        at[key] = size if best is None else min(best, size)
    taken: set[tuple[str, tuple[int, int]]] = set()
    for circle in drawn:
        if (circle.diameter_in or 0.0) > largest_hole_in:
            large.append(circle)
            continue
        key = _place_key(circle)
        if (circle.diameter_in or 0.0) > (at[key] or 0.0) + _SAME_IN:
            skips.add("CIRCLE", circle.layer, "round a smaller circle, as a countersink is drawn")
        elif (circle.layer, key) in taken:
            skips.add("CIRCLE", circle.layer, "drawn twice")
        else:
            taken.add((circle.layer, key))
            holes.append(circle)
    return holes, large


def _place_key(circle: DrawnCircle) -> tuple[int, int]:
    x, y = circle.centre
    return (round(x / _SAME_IN), round(y / _SAME_IN))


def _groups(holes: Sequence[DrawnCircle]) -> tuple[HoleGroup, ...]:
    members: dict[tuple[str, float | None], list[DrawnCircle]] = defaultdict(list)
    for hole in holes:
        size = None if hole.diameter_in is None else round(hole.diameter_in, 5)
        members[hole.layer, size].append(hole)
    layers = [layer for layer, _ in members]
    used: set[str] = set()
    groups = []
    for (layer, size), own in members.items():
        plain = "".join(mark if mark.isprintable() else "?" for mark in layer).strip() or "holes"
        several = layers.count(layer) > 1
        name = stem = f"{plain} {size:g}" if several and size is not None else plain
        while name in used:
            name = f"{stem} ({len(used) + 1})"
        used.add(name)
        points = tuple(hole.centre for hole in own)
        groups.append(HoleGroup(name, layer, own[0].diameter_in, points))
    return tuple(groups)


def _sheet(
    outlines: Sequence[Outline], circles: Sequence[DrawnCircle], skips: SkipList
) -> DrawnSheet | None:
    """Return the largest outline with what lies inside it."""
    good: list[tuple[Outline, DrawnCircle | None]] = []
    for outline in outlines:
        if outline.polygon is None or outline.area_in2 <= 0.0:
            skips.add("outline", outline.layer, "it encloses nothing")
        elif not shapely.is_valid(outline.polygon):
            skips.add("outline", outline.layer, "it crosses itself")
        else:
            good.append((Outline(outline.layer, as_edges(outline.pieces)), None))
    good += [(_round_outline(circle), circle) for circle in circles]
    if not good:
        return None
    good.sort(key=lambda pair: -pair[0].area_in2)
    (outer, _), *others = good
    kept: list[tuple[Outline, DrawnCircle | None]] = []
    for outline, circle in others:
        why = _why_no_cutout(outline, outer.polygon, [pair[0].polygon for pair in kept])
        if why:
            skips.add("CIRCLE" if circle else "outline", outline.layer, why)
        else:
            kept.append((outline, circle))
    return DrawnSheet(
        outer,
        tuple(outline for outline, circle in kept if circle is None),
        tuple(circle for _, circle in kept if circle is not None),
    )


def _why_no_cutout(outline: Outline, outer: Any, kept: Sequence[Any]) -> str:
    if not shapely.contains(outer, outline.polygon):
        return "not inside the largest outline"
    if outline.area_in2 > _LIKE_THE_OUTLINE * float(shapely.area(outer)):
        return "drawn twice"
    if any(shapely.intersects(other, outline.polygon) for other in kept):
        return "it touches or lies in another cut-out"
    return ""


def _round_outline(circle: DrawnCircle) -> Outline:
    """Return a circle as an outline of two arcs."""
    x, y = circle.centre
    radius_in = (circle.diameter_in or 0.0) / 2.0
    east, north, west, south = (
        (x + radius_in, y),
        (x, y + radius_in),
        (x - radius_in, y),
        (x, y - radius_in),
    )
    arcs = (Piece("arc", (east, north, west)), Piece("arc", (west, south, east)))
    return Outline(circle.layer, arcs)
