"""Tools to lay out before the work starts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.removal.drill_out import least_punch
from rivetkit.fasteners.catalogue import rivet_hole

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.drills import Drill
    from rivetkit.handbook import Citation
    from rivetkit.planning.context import Context
    from rivetkit.planning.lengths import FittedGroup
    from rivetkit.planning.removal import RemovalLine


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool, what it is for, and how many where that counts."""

    tool: str
    size: str
    purpose: str
    count: int | None = None


@dataclass(frozen=True, slots=True)
class ToolList:
    """Everything to lay out, and where the sizes come from."""

    tools: tuple[Tool, ...]
    citations: tuple[Citation, ...]


#: More layer names than this are counted, not listed.
_MOST_NAMES = 3


def tool_list(
    context: Context, removal: Iterable[RemovalLine], fitted: Iterable[FittedGroup]
) -> ToolList:
    """Return drills, punches, countersinks, dimple dies and temporary fasteners for a job."""
    citations: dict[Citation, None] = {}
    tools = [*_removal_tools(removal, citations), *_hole_tools(context, fitted, citations)]
    return ToolList(tuple(tools), tuple(citations))


def _removal_tools(removal: Iterable[RemovalLine], citations: dict[Citation, None]) -> list[Tool]:
    pilots: dict[Drill, dict[str, None]] = {}
    heads: dict[Drill, dict[str, None]] = {}
    punches: dict[str, dict[str, None]] = {}
    for line in removal:
        size = _rivet_name(line.part.diameter_code, line.part.canonical)
        if line.card.pilot is not None:
            pilots.setdefault(line.card.pilot, {})[size] = None
        heads.setdefault(line.card.drill, {})[size] = None
        punch = f"under {least_punch()}" if line.card.punch is None else str(line.card.punch)
        punches.setdefault(punch, {})[size] = None
        citations.update(dict.fromkeys(line.card.citations))
    return [
        *(_drill("pilot for heads of", drill, sizes) for drill, sizes in _by_size(pilots)),
        *(_drill("heads off", drill, sizes) for drill, sizes in _by_size(heads)),
        *(
            Tool("pin punch", f"{size} in", f"shanks of {', '.join(sizes)}")
            for size, sizes in punches.items()
        ),
    ]


def _by_size(drills: dict[Drill, dict[str, None]]) -> list[tuple[Drill, dict[str, None]]]:
    return sorted(drills.items(), key=lambda item: item[0].size_in)


def _drill(purpose: str, drill: Drill, sizes: Iterable[str]) -> Tool:
    return Tool("drill", drill.designation, f"{purpose} {', '.join(sizes)}")


def _rivet_name(code: str, standard: str) -> str:
    return f"{standard} -{code}"


def _hole_tools(
    context: Context, fitted: Iterable[FittedGroup], citations: dict[Citation, None]
) -> list[Tool]:
    drills: dict[Drill, dict[str, None]] = {}
    holes: dict[Drill, int] = {}
    cutters: dict[str, dict[str, None]] = {}
    dies: dict[str, dict[str, None]] = {}
    for item in fitted:
        part = item.new_part
        if not item.fills:
            continue
        size = _rivet_name(part.diameter_code, part.canonical)
        hole = rivet_hole(part, context.book)
        citations[hole.citation] = None
        if hole.drill is not None:
            drills.setdefault(hole.drill, {})[size] = None
            holes[hole.drill] = holes.get(hole.drill, 0) + item.group.count
        for place in item.group.stack:
            if part.flush and context.job.layers[place.layer].changed:
                formed = {"countersunk": cutters, "dimpled": dies}.get(place.form)
                if formed is not None:
                    formed.setdefault(f"{size}, {part.flush_angle_deg:g} deg", {})[place.layer] = (
                        None
                    )
    every = context.book.rule("temporary_fastener_every")
    citations[every.citation] = None
    return [
        *(_drill("holes for", drill, sizes) for drill, sizes in _by_size(drills)),
        *(Tool("countersink", size, f"cut {_some(layers)}") for size, layers in cutters.items()),
        *(Tool("dimple dies", size, f"form {_some(layers)}") for size, layers in dies.items()),
        *(
            Tool(
                "temporary fastener",
                f"{drill.designation} hole",
                f"one hole in {every.value:g} of {holes[drill]}",
                math.ceil(holes[drill] / every.value),
            )
            for drill in sorted(holes, key=lambda drill: drill.size_in)
        ),
    ]


def _some(layers: Iterable[str]) -> str:
    names = list(layers)
    more = len(names) - _MOST_NAMES
    return ", ".join(names[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")
