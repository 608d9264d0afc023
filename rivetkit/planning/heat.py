"""Parts that grow apart with heat by more than their holes leave room for."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.expansion import movement
from rivetkit.calculators.match_drilling import MATCH_DRILLING_RULE
from rivetkit.errors import OutOfTableError
from rivetkit.fasteners.catalogue import rivet_hole

if TYPE_CHECKING:
    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context


@dataclass(frozen=True, slots=True)
class HeatWarning:
    """Two layers of a row that move against each other by more than its holes allow.

    ``movement_in`` is that of the row's ends against its middle, for ``swing_degf`` of warming.
    """

    row: str
    layers: tuple[str, str]
    materials: tuple[str, str]
    half_length_in: float
    swing_degf: float
    movement_in: float
    room_in: float


def heat_warnings(context: Context) -> tuple[HeatWarning, ...]:
    """Return the rows to be drilled and closed at one temperature, the worst of each row.

    Materials without a coefficient on file say nothing; the same material moves alike.
    """
    swing_degf = context.book.rule("temperature_swing").value
    found = []
    for row in context.job.rows:
        if row.kept:
            continue
        worst = max(
            _warnings(context, row, swing_degf), key=lambda one: one.movement_in, default=None
        )
        if worst is not None:
            found.append(worst)
    return tuple(found)


def _warnings(context: Context, row: Row, swing_degf: float) -> list[HeatWarning]:
    hole = rivet_hole(row.fit, context.book)
    if hole.hole_in is None:
        return []
    share = context.book.rule(MATCH_DRILLING_RULE).value
    room_in = share * max(hole.hole_in - row.fit.diameter_in, 0.0)
    # Held in the middle, both ends of the row move: the farthest hole counts.
    half_in = float(np.hypot(*(row.points - row.points.mean(axis=0)).T).max())
    alloys = {
        place.layer: state.alloy
        for place in row.layers
        if (state := context.job.layers[place.layer].new) is not None and state.alloy
    }
    found = []
    for (one, first), (other, second) in itertools.combinations(alloys.items(), 2):
        moved_in = _movement_in(first, second, half_in, swing_degf)
        if moved_in is not None and moved_in > room_in:
            found.append(
                HeatWarning(
                    row.name, (one, other), (first, second), half_in, swing_degf, moved_in, room_in
                )
            )
    return found


def _movement_in(one: str, other: str, length_in: float, swing_degf: float) -> float | None:
    if not length_in:
        return 0.0
    try:
        moved = movement(one, other, length_in=length_in, from_degf=0.0, to_degf=swing_degf)
    except OutOfTableError:
        return None
    # Documents that differ about one alloy are no reason to warn: the least difference counts.
    return abs(moved.least_in)
