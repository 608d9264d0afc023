"""A layout as rows of a job file, ready to paste."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from rivetkit.fasteners.fastener import without_length
from rivetkit.reports.amounts import length_in_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.row_layout.answer import Seam
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.reports.amounts import LengthUnit

#: Decimals of a coordinate: far finer than anyone drills, coarse enough to read.
_PLACES = {"in": 5, "mm": 4}
_UNIT_WORDS = {"in": "inches", "mm": 'millimetres: the job says units = "mm"'}
#: Holes on a line: the line fits a page.
_HOLES_A_LINE = 4
#: Layers to put in place of a stack that was not named.
_STAND_INS = ("skin", "member")


def job_rows(
    seam: Seam,
    *,
    fastener: Fastener,
    layers: Sequence[str],
    name: str,
    length_unit: LengthUnit,
) -> list[str]:
    """Return the lines of TOML that hold the seam's rows.

    A row of one pitch is told by its path and count, any other hole by hole.

    Parameters
    ----------
    seam
        The layout.
    fastener
        The rivet to fit; its length is left to the job.
    layers
        The stack from the manufactured head down; stand-ins when empty.
    name
        Name of the seam.
    length_unit
        Unit of the job the rows go into.
    """
    lines = [f"# bare numbers are {_UNIT_WORDS[length_unit]}"]
    if not layers:
        lines.append("# put your own layers in place of skin and member, manufactured head first")
    if fastener.flush:
        lines.append('# flush: write form = "countersunk" where a layer is not dimpled')
    rows = len(seam.points_in)
    for number, points in enumerate(seam.points_in, start=1):
        lines += ["[[row]]", f"name = {_text(name if rows == 1 else f'{name}, row {number}')}"]
        lines.append(f"fit = {_text(without_length(fastener).designation)}")
        if rows > 1:
            lines.append(f"seam_rows = {rows}")
        if len(seam.layout.stretches) == 1 and len(points) > 1:
            ends = [_point(point, length_unit) for point in (points[0], points[-1])]
            lines += [f"path = [{', '.join(ends)}]", f"count = {len(points)}"]
        else:
            lines += ["holes = [", *_hole_lines(points, length_unit), "]"]
        lines += [_stack(layers or _STAND_INS, flush=fastener.flush), ""]
    return lines[:-1]


def _hole_lines(points: Sequence[tuple[float, float]], length_unit: LengthUnit) -> list[str]:
    holes = [f"{_point(point, length_unit)}," for point in points]
    starts = range(0, len(holes), _HOLES_A_LINE)
    return [f"  {' '.join(holes[start : start + _HOLES_A_LINE])}" for start in starts]


def _stack(layers: Sequence[str], *, flush: bool) -> str:
    names = [_text(layer) for layer in layers]
    if flush:
        names = [f'{{ layer = {name}, form = "dimpled" }}' for name in names]
    return f"layers = [{', '.join(names)}]"


def _text(words: str) -> str:
    # A JSON string is a TOML basic string, save for DEL, which nobody types.
    return json.dumps(words, ensure_ascii=False)


def _point(point: tuple[float, float], length_unit: LengthUnit) -> str:
    numbers = [
        f"{length_in_unit(value_in, length_unit):.{_PLACES[length_unit]}f}" for value_in in point
    ]
    return f"[{', '.join(_short(number) for number in numbers)}]"


def _short(number: str) -> str:
    short = number.rstrip("0").rstrip(".")
    return "0" if short == "-0" else short
