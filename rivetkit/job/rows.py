"""Read one row of rivets of a job file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, cast, get_args

from rivetkit.calculators.lengths.grip import Form
from rivetkit.calculators.nutplates.place import require_lug_rivet
from rivetkit.errors import InputError
from rivetkit.fasteners.catalogue import Nutplate, nutplate
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.fields import Fields, nearest_word, told
from rivetkit.job.model import Access, Layer, Row, RowLayer, seats_flush_head
from rivetkit.job.places import (
    read_circle_holes,
    read_holes_csv,
    read_nutplate_holes,
    read_path_holes,
    skip_holes,
)
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from rivetkit.calculators.nutplates.lugs import PlacedPlate
    from rivetkit.geometry.curves import Points


def read_row(fields: Fields, name: str, layers: Mapping[str, Layer], folder: Path | None) -> Row:
    """Return the row a table describes.

    Raises
    ------
    InputError
        When the table is no row: an unknown layer or part, holes given twice or not at all, a
        stack that the rivet's head cannot sit in.
    """
    installed = _read_part(fields, "rivet") if "rivet" in fields else None
    kept = fields.flag("kept", default=False)
    if fields.flag("removed", default=False):
        fit = _check_removed(fields, installed, kept=kept)
    else:
        fit = _read_fit(fields, installed, kept=kept)
    stack = _read_stack(fields, layers)
    _check_forms(fields, stack, fit, installed)
    _check_old_forms(fields, stack, layers, None if kept else installed)
    if kept:
        _check_stays(fields, stack, layers)
    access = cast("Access", fields.choice("access", get_args(Access), "both"))
    if access == "blind" and fit.family == "solid" and not kept:
        raise fields.refuse(
            "access",
            f"{fit.designation} is a solid rivet and cannot be bucked from one side",
            "give a blind rivet in 'fit', or access = \"both\"",
        )
    holes = _read_holes(fields, folder)
    plate = holes.nutplate
    if plate is not None:
        part = "fit" if "fit" in fields else "rivet"
        fields.place(part, lambda: require_lug_rivet(fit, plate))
    points, numbers = skip_holes(fields, holes.points)
    return Row(
        name=name,
        points=points,
        numbers=numbers,
        layers=stack,
        installed=installed,
        fit=fit,
        kept=kept,
        access=access,
        seam_rows=fields.whole("seam_rows", 1, least=1),
        seam_told="seam_rows" in fields,
        sealant_in=fields.length_in("sealant", 0.0, allow_zero=True),
        lug_in=fields.length_in("lug", None) if plate else None,
        nutplate=plate,
        plates=holes.plates,
        on_line=holes.on_line,
        ring=holes.ring,
        left_over_in=holes.left_over_in,
        not_through=_read_not_through(fields, stack, layers),
        replaces=fields.texts("replaces"),
    )


def _read_part(fields: Fields, key: str) -> Fastener:
    text = fields.text(key)
    return fields.place(key, lambda: parse_part_number(text))


def _read_fit(fields: Fields, installed: Fastener | None, *, kept: bool) -> Fastener:
    if installed is None and (kept or "fit" not in fields):
        raise InputError(
            "no rivet is given",
            where=fields.where,
            mend="say in 'rivet' what is installed, or in 'fit' what goes into new holes",
        )
    if installed is not None and "fit" not in fields:
        return installed if kept else without_length(installed)
    if kept:
        raise fields.refuse("fit", "the row's rivets are kept", "leave out 'fit' or 'kept'")
    return _read_part(fields, "fit")


def _check_removed(fields: Fields, installed: Fastener | None, *, kept: bool) -> Fastener:
    """Return the rivet of a row that comes out for good."""
    if installed is None:
        raise fields.refuse("removed", "no rivet is installed", "say in 'rivet' what comes out")
    for key in ("fit", "replaces", "not_through"):
        if key in fields:
            raise fields.refuse(key, "the row's rivets come out for good", "leave it out")
    if kept:
        raise fields.refuse("kept", "the row's rivets come out for good", "leave one of them out")
    return installed


def _read_stack(fields: Fields, layers: Mapping[str, Layer]) -> tuple[RowLayer, ...]:
    value: Any = fields.raw("layers")
    if not isinstance(value, list) or not value:
        raise fields.refuse(
            "layers",
            f"{told(value)} is no stack",
            "list the layers from the manufactured head down",
        )
    stack: list[RowLayer] = []
    for number, item in enumerate(value):
        key = f"layers {number + 1}"
        place = _read_row_layer(item, fields, key)
        if place.layer not in layers:
            raise fields.refuse(
                key,
                f"there is no layer '{place.layer}'",
                nearest_word(place.layer, list(layers)) or f"layers are {', '.join(layers)}",
            )
        if any(place.layer == other.layer for other in stack):
            raise fields.refuse(key, f"'{place.layer}' is listed twice", "list each layer once")
        _check_flange_place(fields, key, place, layers[place.layer])
        stack.append(place)
    return tuple(stack)


def _read_not_through(
    fields: Fields, stack: tuple[RowLayer, ...], layers: Mapping[str, Layer]
) -> tuple[str, ...]:
    names = fields.texts("not_through")
    for name in names:
        if name not in layers:
            raise fields.refuse(
                "not_through",
                f"there is no layer '{name}'",
                nearest_word(name, list(layers)) or f"layers are {', '.join(layers)}",
            )
        if any(place.layer == name for place in stack):
            raise fields.refuse(
                "not_through", f"'{name}' is one of the row's layers", "leave it out of one"
            )
    return names


def _read_row_layer(item: Any, fields: Fields, key: str) -> RowLayer:
    if isinstance(item, str):
        return RowLayer(item)
    if not isinstance(item, dict):
        raise fields.refuse(
            key, f"{told(item)} is no layer", 'write "name" or { layer = "name", form = "dimpled" }'
        )
    entry = Fields(item, fields.at(key), fields.unit)
    place = RowLayer(
        layer=entry.text("layer"),
        form=cast("Form", entry.choice("form", get_args(Form), "plain")),
        row_from_edge_in=entry.length_in("row_from_edge", None),
        edge_distance_in=entry.length_in("edge_distance", None),
        old_form=(
            cast("Form", entry.choice("old_form", get_args(Form))) if "old_form" in entry else None
        ),
    )
    entry.done()
    return place


def _check_flange_place(fields: Fields, key: str, place: RowLayer, layer: Layer) -> None:
    if place.row_from_edge_in is not None and layer.flange is None:
        raise fields.refuse(
            key,
            f"'row_from_edge' is given, but '{layer.name}' has no flange width",
            "give the member flange = { width = ... }, or use 'edge_distance' here",
        )
    if layer.boundary is not None and place.edge_distance_in is not None:
        raise fields.refuse(
            key,
            f"'edge_distance' is given, but '{layer.name}' has an outline to measure from",
            "leave out 'edge_distance', or correct the outline",
        )
    if layer.flange is None:
        return
    if place.row_from_edge_in is not None and place.edge_distance_in is not None:
        raise fields.refuse(
            key, "'row_from_edge' and 'edge_distance' are both given", "give one of them"
        )
    if (place.row_from_edge_in or 0.0) >= layer.flange.width_in:
        raise fields.refuse(
            key,
            length_words(
                "the row stands {away:.4g} from the edge of '{layer}', whose flange is "
                "{width:.4g} wide",
                away=place.row_from_edge_in or 0.0,
                layer=layer.name,
                width=layer.flange.width_in,
            ),
            "measure again",
        )


def _check_stays(fields: Fields, stack: tuple[RowLayer, ...], layers: Mapping[str, Layer]) -> None:
    for place in stack:
        layer = layers[place.layer]
        if not layer.changed:
            continue
        if layer.kind == "sheet" and layer.old is not None:
            raise fields.refuse(
                "kept",
                f"sheet '{layer.name}' comes off, and cannot with the row's rivets in",
                "leave out 'kept'; a skin that stays on is a [[member]] of kind \"skin\"",
            )
        raise fields.refuse(
            "kept",
            f"'{layer.name}' is added, and cannot be with the row's rivets in",
            "leave out 'kept', or take the layer out of the row's stack",
        )


def _check_forms(
    fields: Fields, stack: tuple[RowLayer, ...], fit: Fastener, installed: Fastener | None
) -> None:
    if fit.flush and not seats_flush_head(stack):
        _refuse_flush_shop_head(fields, stack)
        raise fields.refuse(
            "layers",
            f"the flush head of {fit.designation} has no seat in this stack",
            "dimple or countersink the first layer, and whatever lies right under a dimple",
        )
    if not fit.flush and any(place.form != "plain" for place in stack):
        raise fields.refuse(
            "layers",
            f"{fit.designation} has a protruding head, yet a layer is dimpled or countersunk",
            f"say with 'old_form' how it was formed for {installed.designation}, and leave 'form' "
            "out; or fit a flush rivet"
            if installed is not None and installed.flush
            else "leave the layers plain, or fit a flush rivet",
        )


def _refuse_flush_shop_head(fields: Fields, stack: tuple[RowLayer, ...]) -> None:
    """Refuse a stack whose far layers are formed for a shop head that is driven flush as well."""
    for number, place in enumerate(stack):
        plain = tuple(replace(one, form="plain") for one in stack[number:])
        if number and place.form != "plain" and seats_flush_head((*stack[:number], *plain)):
            raise fields.refuse(
                "layers",
                f"'{place.layer}' is formed as for a shop head driven flush, of which no length is "
                "on file",
                "leave its 'form' out for edges, pitches and counts, and take the rivet's length "
                "from the maker's data, not from here",
            )


def _check_old_forms(
    fields: Fields,
    stack: tuple[RowLayer, ...],
    layers: Mapping[str, Layer],
    coming_out: Fastener | None,
) -> None:
    """See that a flush rivet that comes out had a seat, and that only one is asked for its."""
    if coming_out is None or not coming_out.flush:
        if any(place.old_form is not None for place in stack):
            raise fields.refuse(
                "layers", "'old_form' is given, but no flush rivet comes out", "leave it out"
            )
        return
    for place in stack:
        if place.old_form is not None and layers[place.layer].old is None:
            raise fields.refuse(
                "layers", f"'old_form' is given, but '{place.layer}' is added", "leave it out"
            )
    there = [place for place in stack if layers[place.layer].old is not None]
    before = [RowLayer(place.layer, place.form_under(coming_out)) for place in there]
    if before and not seats_flush_head(before):
        raise fields.refuse(
            "layers",
            f"how the layers were formed for the flush head of {coming_out.designation} is not "
            "told",
            f'say it: {{ layer = "{before[0].layer}", old_form = "countersunk" }}; or "dimpled", '
            "and of the layer under it as well",
        )


@dataclass(frozen=True, eq=False)
class _RowHoles:
    """The holes of a row ``(n, 2)`` [in], as they were told."""

    points: Points
    on_line: bool = False
    ring: bool = False
    left_over_in: float = 0.0
    nutplate: Nutplate | None = None
    plates: tuple[PlacedPlate, ...] = ()


def _read_holes(fields: Fields, folder: Path | None) -> _RowHoles:
    how = fields.only_one_of("path", "circle", "holes", "holes_csv", "nutplate")
    if how == "path":
        points, left_over_in = read_path_holes(fields)
        return _RowHoles(points, on_line=True, left_over_in=left_over_in)
    if how == "circle":
        return _RowHoles(read_circle_holes(fields), on_line=True, ring=True)
    if how == "holes":
        import numpy as np

        return _RowHoles(np.array(fields.points("holes"), dtype=np.float64))
    if how == "holes_csv":
        return _RowHoles(read_holes_csv(fields, folder))
    name = fields.text("nutplate")
    plate = fields.place("nutplate", lambda: nutplate(name))
    points, plates = read_nutplate_holes(fields, plate)
    return _RowHoles(points, nutplate=plate, plates=plates)
