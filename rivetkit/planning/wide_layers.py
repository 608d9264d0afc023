"""Layers drawn wider than any sheet: mostly the numbers are of another unit than the job tells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.geometry.outline import Loop
    from rivetkit.job.model import Job

#: Twice the widest sheet that dealers keep [in]; no panel of a light aircraft is so wide in both
#: directions (common practice, no source).
WIDEST_IN = 120.0


@dataclass(frozen=True, slots=True)
class WideLayer:
    """A layer with the sides of the smallest rectangle round it, the shorter one first [in]."""

    name: str
    width_in: float
    length_in: float


def wide_layers(job: Job) -> tuple[WideLayer, ...]:
    """Return the layers of a job that are drawn wider than :data:`WIDEST_IN` in all directions."""
    return tuple(layer for layer in _drawn(job) if layer.width_in > WIDEST_IN)


def _drawn(job: Job) -> Iterator[WideLayer]:
    for layer in job.layers.values():
        if layer.boundary is not None:
            yield WideLayer(layer.name, *_sides_in(layer.boundary.outer))


def _sides_in(loop: Loop) -> tuple[float, float]:
    """Return the sides of the smallest rectangle round an outline, the shorter one first [in]."""
    box = shapely.get_coordinates(shapely.oriented_envelope(loop.polygon))
    sides = np.hypot(*np.diff(box[:3], axis=0).T)
    return float(sides.min()), float(sides.max())
