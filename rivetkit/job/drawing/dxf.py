"""Read the circles and lines of a DXF file; what they mean for a job is told elsewhere."""

from __future__ import annotations

import logging
import math
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rivetkit.errors import InputError
from rivetkit.job.drawing.chains import FLATTEN_IN, Outline, Piece, SkipList, joined, plain_piece
from rivetkit.job.drawing.curves import stretches
from rivetkit.job.model import FARTHEST_IN, MAX_HOLES
from rivetkit.quantities import from_unit, length_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.geometry.curves import Point

#: DXF reference, header variable $INSUNITS: 1 inches, 2 feet, 4 millimetres, 5 centimetres,
#: 6 metres (from memory; the tests have ezdxf's own list beside it).
_UNIT_CODES = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}

#: Blocks inside blocks inside blocks, deeper than anybody draws.
_DEEPEST_BLOCK = 8

#: Rounding of angles and of coordinates that should be equal.
_FLAT = 1e-6

#: Why a layer that the person did not choose is left out.
NOT_ASKED_FOR = "layer not asked for"

_NOT_FLAT = "not flat in the xy plane"
_TOO_FAR = length_words("it reaches farther than {most}, beyond any skin", most=FARTHEST_IN)


@dataclass(frozen=True, slots=True)
class DrawnCircle:
    """A circle as drawn [in]; a hole without a size has None."""

    layer: str
    centre: Point
    diameter_in: float | None


@dataclass(frozen=True, slots=True)
class Traced:
    """What a drawing holds, lengths in inches; ``unit`` is what it was drawn in."""

    circles: tuple[DrawnCircle, ...]
    outlines: tuple[Outline, ...]
    unit: str
    unit_note: str


def trace_dxf(
    path: str, *, layers: Sequence[str], drawing_unit: str | None, skips: SkipList
) -> Traced:
    """Return the circles and closed outlines of a DXF file.

    Parameters
    ----------
    path
        The file; ``-`` is standard input.
    layers
        The only layers to look at, letter case apart; all that are not hidden when empty.
    drawing_unit
        Unit of the drawing; the file's own when None.
    skips
        Takes what is left out.

    Raises
    ------
    InputError
        When ezdxf is missing, the file is no DXF, it has no unit, or a layer is not in it.
    """
    damages: tuple[type[Exception], ...] = (
        *_damages(path),
        ValueError,
        TypeError,
        AttributeError,
        LookupError,
        StopIteration,
    )
    damages += (ArithmeticError, AssertionError, RecursionError)
    try:
        document = _opened(path)
        unit, note = _unit_of(document, path, drawing_unit)
        tracer = _Tracer(from_unit(1.0, unit), _ChosenLayers(document, layers, path), skips)
        for entity in document.modelspace():
            _take(tracer, entity, skips, damages)
    except InputError:
        raise
    except damages:
        raise InputError(
            "this is not a whole DXF file",
            where=path,
            mend="save the drawing as DXF again, in the form of the year 2000 or later",
        ) from None
    outlines = (*tracer.outlines, *joined(tracer.pieces, skips, unit))
    return Traced(tuple(tracer.circles), outlines, unit, note)


def _take(
    tracer: _Tracer, entity: Any, skips: SkipList, damages: tuple[type[Exception], ...]
) -> None:
    try:
        tracer.take(entity, entity.dxf.layer)
    except InputError:
        raise
    except damages:
        skips.add(entity.dxftype(), entity.dxf.layer, "its numbers make no shape")


def _damages(path: str) -> tuple[type[Exception], ...]:
    """Return what ezdxf raises of its own on a damaged file."""
    try:
        from ezdxf.lldxf.const import DXFError
    except ImportError:
        raise InputError(
            "DXF needs the package ezdxf", where=path, mend="pip install 'rivetkit[dxf]'"
        ) from None
    return (DXFError,)


def _opened(path: str) -> Any:
    from ezdxf.filemanagement import read, readfile

    logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # what matters is said by us
    try:
        return read(sys.stdin) if path == "-" else readfile(path)
    except OSError as error:
        if not error.strerror:  # how ezdxf refuses a file that does not begin as DXF does
            raise ValueError from None
        raise InputError(
            f"cannot be read ({error.strerror})", where=path, mend="check the file's name"
        ) from None


def _unit_of(document: Any, path: str, asked: str | None) -> tuple[str, str]:
    code = document.header.get("$INSUNITS", 0)
    own = _UNIT_CODES.get(code)
    if asked is not None:
        if own not in (None, asked):
            return asked, f"The file says it is drawn in {own}; --drawing-units {asked} was used."
        return asked, ""
    if own is None:
        says = f"it is drawn in a unit of code {code}" if code else "it does not say its unit"
        raise InputError(
            f"{says} ($INSUNITS)",
            where=path,
            mend="measure one length in it, then add --drawing-units in or --drawing-units mm",
        )
    return own, ""


class _ChosenLayers:
    """Tells whether a layer is looked at, and why not."""

    def __init__(self, document: Any, names: Sequence[str], path: str) -> None:
        self._names = {name.casefold() for name in names}
        self._hidden = {
            layer.dxf.name.casefold()
            for layer in document.layers
            if layer.is_off() or layer.is_frozen()
        }
        there = {layer.dxf.name.casefold(): layer.dxf.name for layer in document.layers}
        for entity in document.modelspace():
            there.setdefault(entity.dxf.layer.casefold(), entity.dxf.layer)
        for block in document.blocks:
            for entity in block:
                there.setdefault(entity.dxf.layer.casefold(), entity.dxf.layer)
        for name in names:
            if name.casefold() not in there:
                raise InputError(
                    f"there is no layer '{name}'",
                    where=path,
                    mend=f"layers are {', '.join(sorted(there.values()))}",
                )

    def why_not(self, layer: str) -> str:
        """Return why a layer is left out; nothing when it is not."""
        if self._names:
            return "" if layer.casefold() in self._names else NOT_ASKED_FOR
        return "the layer is hidden" if layer.casefold() in self._hidden else ""


class _Tracer:
    """Collects the circles, the closed outlines and the loose pieces of a drawing."""

    def __init__(self, scale: float, chosen: _ChosenLayers, skips: SkipList) -> None:
        self._scale = scale
        self._chosen = chosen
        self._skips = skips
        self.circles: list[DrawnCircle] = []
        self.outlines: list[Outline] = []
        self.pieces: list[tuple[str, Piece]] = []

    def take(self, entity: Any, layer: str, depth: int = 0) -> None:
        """Take one thing that was drawn; a block is taken apart."""
        kind = entity.dxftype()
        if kind == "INSERT" and depth < _DEEPEST_BLOCK:
            for whole in entity.multi_insert() if entity.mcount > 1 else (entity,):
                for part in whole.virtual_entities():
                    # What a block draws on layer 0 lies on the layer the block is put on.
                    own = part.dxf.layer
                    self.take(part, layer if own == "0" else own, depth + 1)
            return
        why_not = self._chosen.why_not(layer)
        if why_not:
            self._skips.add(kind, layer, why_not)
        elif kind == "CIRCLE":
            self._circle(entity, layer)
        elif kind in {"LINE", "ARC", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}:
            self._line(kind, entity, layer)
        else:
            self._skips.add(kind, layer, "neither a circle nor a line")
        if len(self.circles) + len(self.pieces) > MAX_HOLES:
            raise InputError(
                f"more than the {MAX_HOLES} things a job may have", mend="choose layers: --layer"
            )

    def _circle(self, entity: Any, layer: str) -> None:
        x, y, z = entity.dxf.extrusion
        if math.hypot(x, y) > _FLAT * abs(z):
            self._skips.add("CIRCLE", layer, _NOT_FLAT)
            return
        (centre,) = entity.ocs().points_to_wcs([entity.dxf.center])
        self._add_circle(layer, centre, entity.dxf.radius)

    def _add_circle(self, layer: str, centre: Any, radius: float) -> None:
        if not (radius > 0.0 and math.isfinite(centre.x + centre.y + radius)):
            self._skips.add("CIRCLE", layer, "it has no size")
            return
        place = (centre.x * self._scale, centre.y * self._scale)
        if max(abs(place[0]), abs(place[1]), radius * self._scale) > FARTHEST_IN:
            self._skips.add("CIRCLE", layer, _TOO_FAR)
            return
        self.circles.append(DrawnCircle(layer, place, 2.0 * radius * self._scale))

    def _is_far(self, point: Any) -> bool:
        reach_in = max(abs(point.x), abs(point.y)) * self._scale
        return not reach_in <= FARTHEST_IN  # so that what is no number is far as well

    def _line(self, kind: str, entity: Any, layer: str) -> None:
        if kind == "ARC" and _is_full_turn(entity.dxf.start_angle, entity.dxf.end_angle):
            self._circle(entity, layer)
            return
        if kind == "ELLIPSE" and _is_circle(entity):
            self._add_circle(layer, entity.dxf.center, entity.dxf.major_axis.magnitude)
            return
        if kind == "ELLIPSE" and self._is_far(entity.dxf.major_axis):  # endless short lines
            self._skips.add(kind, layer, _TOO_FAR)
            return
        drawn = list(stretches(kind, entity, FLATTEN_IN / self._scale))
        if any(self._is_far(point) for _, points in drawn for point in points):
            self._skips.add(kind, layer, _TOO_FAR)
            return
        heights = {round(point.z, 6) for _, points in drawn for point in points}
        if len(heights) > 1:
            self._skips.add(kind, layer, _NOT_FLAT)
            return
        made = (
            plain_piece(
                "arc" if how == "arc" else "curve",
                [(point.x * self._scale, point.y * self._scale) for point in points],
            )
            for how, points in drawn
        )
        pieces = [piece for piece in made if piece is not None]
        if not pieces:
            self._skips.add(kind, layer, "it has no length")
        elif kind in {"LWPOLYLINE", "POLYLINE"} and pieces[0].start == pieces[-1].end:
            self.outlines.append(Outline(layer, tuple(pieces)))
        else:
            self.pieces.extend((layer, piece) for piece in pieces)


def _is_full_turn(start_deg: float, end_deg: float) -> bool:
    return start_deg != end_deg and abs((end_deg - start_deg) % 360.0) < _FLAT


def _is_circle(ellipse: Any) -> bool:
    turn = float(ellipse.dxf.end_param - ellipse.dxf.start_param)
    x, y, z = ellipse.dxf.extrusion
    if math.hypot(x, y) > _FLAT * abs(z):
        return False
    return abs(float(ellipse.dxf.ratio) - 1.0) < _FLAT and abs(abs(turn) - math.tau) < _FLAT
