"""The skins of a job that are cut new, with the boxes their blanks are sized by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.blank import Box
from rivetkit.errors import InputError
from rivetkit.job.holes import lay_out

if TYPE_CHECKING:
    from rivetkit.geometry.curves import Points
    from rivetkit.job.model import Job, SheetState


@dataclass(frozen=True, slots=True)
class NewSkin:
    """A layer to be cut new: boxes round its holes and its outline; none where it has none."""

    name: str
    state: SheetState | None
    holes: Box | None
    outline: Box | None


def new_skins(job: Job, name: str | None = None) -> tuple[NewSkin, ...]:
    """Return the sheets of a job that are cut new, or the one layer that is named.

    Parameters
    ----------
    job
        The job.
    name
        One layer, sheet or member; every new sheet when not given.

    Raises
    ------
    InputError
        When no layer has that name, it has neither holes nor an outline, or no sheet is new.
    """
    if name is None:
        layers = [layer for layer in job.layers.values() if layer.kind == "sheet" and layer.new]
        if not layers:
            raise InputError("no sheet of the job is new", mend="name a layer with --sheet")
    elif name in job.layers:
        layers = [job.layers[name]]
    else:
        raise InputError(f"there is no layer '{name}'", mend=f"layers are {', '.join(job.layers)}")
    holes = lay_out(job)
    skins = []
    for layer in layers:
        points = holes.points[holes.in_layer(layer.name)]
        outline = None
        if layer.boundary is not None:
            outline = _box(layer.boundary.outer.ring)
        box = _box(points) if len(points) else None
        if box is None and outline is None:
            raise InputError(
                f"'{layer.name}' has neither holes nor an outline",
                mend="name another layer, or give it an outline",
            )
        skins.append(NewSkin(layer.name, layer.new, box, outline))
    return tuple(skins)


def _box(points: Points) -> Box:
    (x_min, y_min), (x_max, y_max) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Box(x_min, y_min, x_max, y_max)
