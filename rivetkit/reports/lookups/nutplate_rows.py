"""A ring of nutplates as a row of a job file, ready to paste."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from rivetkit.fasteners.fastener import without_length
from rivetkit.reports.amounts import length_in_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rivetkit.calculators.nutplates.ring import NutplateRing
    from rivetkit.reports.amounts import LengthUnit

#: Decimals of a coordinate: far finer than anyone drills, coarse enough to read.
_PLACES = {"in": 5, "mm": 4}
_ANGLE_PLACES = 4
_UNIT_WORDS = {"in": "inches", "mm": 'millimetres: the job says units = "mm"'}


def nutplate_row(
    ring: NutplateRing,
    *,
    name: str,
    layer_names: Mapping[str, str],
    lug_in: float | None,
    length_unit: LengthUnit,
) -> list[str]:
    """Return the lines of TOML that hold the nutplates' rivets and screws.

    Parameters
    ----------
    ring
        The nutplates.
    name
        Name of the row.
    layer_names
        What the job calls the skin and the doubler.
    lug_in
        Thickness of the lugs [in]; left for the person to add when None.
    length_unit
        Unit of the job the row goes into.
    """
    lines = [f"# bare numbers are {_UNIT_WORDS[length_unit]}, from the middle of the opening"]
    if lug_in is None:
        lines.append("# add lug = the thickness of the nutplate's lugs: the rivet holds it too")
    if ring.rivet.flush:
        lines.append('# flush: write form = "countersunk" where a layer is not dimpled')
    lines += [
        "[[row]]",
        f"name = {_text(name)}",
        f"fit = {_text(without_length(ring.rivet).designation)}",
        f"nutplate = {_text(f'{ring.plate.standard}-{ring.plate.dash}')}",
    ]
    if lug_in is not None:
        lines.append(f"lug = {_number(length_in_unit(lug_in, length_unit), _PLACES[length_unit])}")
    lines.append("screws = [")
    for plate in ring.plates:
        at = ", ".join(
            _number(length_in_unit(value_in, length_unit), _PLACES[length_unit])
            for value_in in plate.screw_in
        )
        angle = _number(plate.direction_deg, _ANGLE_PLACES)
        lines.append(f"  {{ at = [{at}], angle = {angle} }},")
    return [*lines, "]", _stack(ring, layer_names)]


def _stack(ring: NutplateRing, layer_names: Mapping[str, str]) -> str:
    names = [_text(layer_names.get(layer, layer)) for layer in ring.stack]
    if ring.rivet.flush:
        names = [f'{{ layer = {name}, form = "dimpled" }}' for name in names]
    return f"layers = [{', '.join(names)}]"


def _text(words: str) -> str:
    # A JSON string is a TOML basic string, save for DEL, which nobody types.
    return json.dumps(words, ensure_ascii=False)


def _number(value: float, places: int) -> str:
    short = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if short == "-0" else short
