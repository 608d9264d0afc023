"""What every part of the planning works from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.lengths.grip import Layer as GripLayer
from rivetkit.calculators.oversize.candidates import size_steps
from rivetkit.fasteners.fastener import without_length
from rivetkit.planning.near_edges import near_edges_in
from rivetkit.planning.stray import Stray, near_row_ends, row_stray

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.job.holes import Holes, Stack
    from rivetkit.job.model import Job, Row, RowLayer
    from rivetkit.planning.near_edges import NearEdges
    from rivetkit.rules import RuleBook


@dataclass(frozen=True, eq=False)
class HoleGroup:
    """Holes of one row with the same stack and the same rivet: they are worked alike.

    ``empty`` ones get no rivet: none is settled for them.
    """

    row: Row
    stack: Stack
    installed: Fastener | None
    fit: Fastener
    holes: NDArray[np.intp]
    empty: bool = False

    @property
    def count(self) -> int:
        """How many holes there are."""
        return len(self.holes)


@dataclass(frozen=True, eq=False)
class Context:
    """A job with its holes laid out and its rules opened."""

    job: Job
    holes: Holes
    book: RuleBook

    @cached_property
    def diameter_in(self) -> NDArray[np.float64]:
        """Diameter of the rivet each hole will hold, ``(n,)`` [in]."""
        sizes = np.array([part.diameter_in for part in self.holes.fit_parts])
        return np.asarray(sizes[self.holes.fit])

    @cached_property
    def largest_diameter_in(self) -> float:
        """Diameter of the largest rivet that any hole may come to hold [in]."""
        return max(
            size.diameter_in
            for part in self.holes.fit_parts
            for size in (part, *size_steps(without_length(part)))
        )

    @cached_property
    def seam_rows(self) -> NDArray[np.intp]:
        """Rows in the seam each hole belongs to, ``(n,)``; of several seams the largest."""
        seams = np.ones(len(self.holes), dtype=np.intp)
        for row, members in zip(self.job.rows, self.holes.in_row, strict=True):
            seams[members] = np.maximum(seams[members], row.seam_rows)
        return seams

    @cached_property
    def groups(self) -> tuple[HoleGroup, ...]:
        """All holes, in groups that are worked alike, rows in the job's order."""
        holes = self.holes
        shape = (
            len(self.job.rows),
            len(holes.stacks),
            len(holes.installed_parts),
            len(holes.fit_parts),
            2,
        )
        columns = (holes.row, holes.stack, holes.installed, holes.fit, holes.empty)
        keys, group_of = np.unique(np.ravel_multi_index(columns, shape), return_inverse=True)
        unique = np.column_stack(np.unravel_index(keys, shape))
        order = np.argsort(group_of.reshape(-1), kind="stable")
        splits = np.cumsum(np.bincount(group_of.reshape(-1), minlength=len(unique)))[:-1]
        return tuple(
            HoleGroup(
                row=self.job.rows[row],
                stack=holes.stacks[stack],
                installed=holes.installed_parts[installed],
                fit=holes.fit_parts[fit],
                holes=members,
                empty=bool(empty),
            )
            for (row, stack, installed, fit, empty), members in zip(
                unique.tolist(), np.split(order, splits), strict=True
            )
        )

    @cached_property
    def near_edges(self) -> dict[str, NearEdges]:
        """The nearest edges in every layer that stays or comes, as far as places are known."""
        found = {
            layer.name: near_edges_in(layer, self.holes)
            for layer in self.job.layers.values()
            if layer.new is not None
        }
        return {layer: near for layer, near in found.items() if near is not None}

    @cached_property
    def at_row_ends(self) -> NDArray[np.bool_]:
        """Which holes the end of a flange may be nearest to, ``(n,)``: those at ends of rows."""
        at_ends = np.zeros(len(self.holes), dtype=bool)
        for members in self.holes.in_row:
            if len(members):
                largest_in = float(self.diameter_in[members].max())
                near = near_row_ends(self.holes.points[members], largest_in)
                at_ends[members[near]] = True
        return at_ends

    @cached_property
    def rows_through(self) -> dict[str, tuple[tuple[int, RowLayer], ...]]:
        """For every layer: the numbers of the rows through it, and their place on it."""
        found: dict[str, list[tuple[int, RowLayer]]] = {}
        for number, row in enumerate(self.job.rows):
            for place in row.layers:
                found.setdefault(place.layer, []).append((number, place))
        return {layer: tuple(rows) for layer, rows in found.items()}

    @cached_property
    def strays(self) -> tuple[Stray, ...]:
        """For every row: how far its rivets stand off its line."""
        return tuple(row_stray(row) for row in self.job.rows)

    def old_layers(self, stack: Stack, installed: Fastener | None) -> tuple[GripLayer, ...]:
        """Return a stack as it is now, formed for the rivet in it, for the grip."""
        states = [(place, self.job.layers[place.layer].old) for place in stack]
        return tuple(
            GripLayer(place.layer, state.thickness_in, place.form_under(installed), state.alloy)
            for place, state in states
            if state is not None
        )

    def new_layers(self, stack: Stack) -> tuple[GripLayer, ...]:
        """Return a stack as it will be, for the grip."""
        states = [(place, self.job.layers[place.layer].new) for place in stack]
        return tuple(
            GripLayer(place.layer, state.thickness_in, place.form, state.alloy)
            for place, state in states
            if state is not None
        )
