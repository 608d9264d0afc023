"""Sheets and new members that no row goes through: somebody forgot to write their rivets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.checks import Check, not_checked

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.job.model import Job, Layer

UNHELD = "rows of the sheet"


def unheld_sheets(job: Job) -> tuple[Check, ...]:
    """Return a check that was not made for every layer that comes off or is added without a row.

    What goes on needs a row that goes in, what is left off one that comes out.
    """
    return tuple(_unheld(job))


def _unheld(job: Job) -> Iterator[Check]:
    held = {place.layer for row in job.rows for place in row.layers}
    undone = held | {place.layer for row in job.removed for place in row.layers}
    for layer in job.layers.values():
        if layer.changed and layer.name not in (undone if layer.new is None else held):
            yield not_checked(UNHELD, _reason(layer), where=layer.name)


def _reason(layer: Layer) -> str:
    goes = "comes out" if layer.new is None else "goes in"
    return (
        f"no row goes through it, so nothing that {goes} there is counted: write its rows, or take "
        "it out of the job"
    )
