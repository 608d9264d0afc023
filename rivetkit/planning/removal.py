"""Rivets to take out: by part and row, with drill, depth and punch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.removal.drill_out import DrillOut, drill_out
from rivetkit.errors import RivetkitError

if TYPE_CHECKING:
    from rivetkit.calculators.lengths.grip import Layer as GripLayer
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.planning.context import Context
    from rivetkit.planning.lengths import FittedGroup


@dataclass(frozen=True, slots=True)
class RemovalLine:
    """So many rivets of one part to take out of one row, and how."""

    row: str
    part: Fastener
    length_computed: bool
    count: int
    nutplate: bool
    card: DrillOut


def removal_lines(context: Context, fitted: tuple[FittedGroup, ...]) -> tuple[RemovalLine, ...]:
    """Return what to drill out, rows in the job's order.

    Raises
    ------
    InputError, OutOfTableError
        When the drill of a rivet cannot be told; the row is named.
    """
    lines: dict[object, RemovalLine] = {}
    cards: dict[object, DrillOut] = {}  # most rows of a large skin come out alike
    for item in fitted:
        if item.kept or item.old_part is None:
            continue
        layers = context.old_layers(item.group.stack, item.old_part)
        if not layers:
            continue
        row = item.group.row
        form, nutplate = _form(layers, item.old_part), row.nutplate is not None
        sheets_in = (layers[0].thickness_in, item.old_grip_in)
        alike = (item.old_part, *sheets_in, form, nutplate)
        if alike not in cards:
            try:
                cards[alike] = drill_out(
                    item.old_part,
                    context.book,
                    near_sheet_in=sheets_in[0],
                    stack_in=sheets_in[1],
                    form=form,
                    nutplate=nutplate,
                )
            except RivetkitError as error:
                raise error.at(f"row '{row.name}'") from None
        card = cards[alike]
        key = (row.name, item.old_part, card.drill.designation, card.depth_in)
        so_far = lines[key].count if key in lines else 0
        lines[key] = RemovalLine(
            row=row.name,
            part=item.old_part,
            length_computed=item.old_computed,
            count=so_far + item.group.count,
            nutplate=nutplate,
            card=card,
        )
    return tuple(lines.values())


def _form(layers: tuple[GripLayer, ...], part: Fastener) -> str | None:
    if not part.flush or layers[0].form == "plain":
        return None
    return layers[0].form
