"""The holes of a row that change alike: rivet, layers and edges before and after the work."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.strength.joint_strength import StrengthLayer
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.planning.strength.joint_loads import Side
from rivetkit.planning.told_edges import nearest_told_in, told_edges

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from rivetkit.job.holes import Stack
    from rivetkit.job.model import RowLayer
    from rivetkit.planning.context import Context
    from rivetkit.planning.measured import HoleFix
    from rivetkit.planning.near_edges import NearEdges

#: Edges this much apart [in] are one edge: rounding of coordinates, no more.
_SAME_EDGE_DECIMALS = 9

#: What is known of a measured hole: it takes no rivet, or nobody can tell yet; else it takes one.
_NO_RIVET, _UNDECIDED = 1, 2

UNDECIDED = "what goes into a measured hole is not settled"


@dataclass(frozen=True, slots=True)
class AlikeHoles:
    """Holes of a row that change alike.

    ``before`` is None where there was no rivet, ``after`` where none will be. ``left_off`` and
    ``added`` name layers that are there on one side only: both sides are reckoned without them.
    ``moved`` holes have another centre afterwards. ``taken_out`` tells that the job leaves them
    without a rivet.
    """

    count: int
    before: Side | None
    after: Side | None
    left_off: tuple[str, ...]
    added: tuple[str, ...]
    moved: bool
    taken_out: bool = False

    @property
    def changed(self) -> bool:
        """Whether anything that carries load differs."""
        return self.before != self.after or bool(self.left_off or self.added)


class RowJoints:
    """Reads the holes of every row out of a job as it is and as it will be.

    Parameters
    ----------
    before, after
        The job as it is, and with every repair in it; the holes are the same ones.
    fixes
        What measured holes need.
    """

    def __init__(self, before: Context, after: Context, fixes: Iterable[HoleFix]) -> None:
        self._before, self._after = before, after
        count = len(after.holes)
        self._state = np.zeros(count, dtype=np.intp)
        self._drilled_in = np.zeros(count)
        for fix in fixes:
            if fix.chosen is None:
                self._state[fix.hole] = _UNDECIDED if fix.undecided else _NO_RIVET
            elif fix.oversize and fix.chosen.clean_up and fix.chosen.clean_up.drill:
                self._drilled_in[fix.hole] = fix.chosen.clean_up.diameter_in

    @cached_property
    def _moved(self) -> NDArray[np.bool_]:
        return np.asarray((self._before.holes.points != self._after.holes.points).any(axis=1))

    @cached_property
    def _likeness(self) -> NDArray[np.intp]:
        """A number for every hole; holes of one row with the same number change alike."""
        was, now = self._before.holes, self._after.holes
        sizes, size = np.unique(self._drilled_in, return_inverse=True)
        shape = (
            len(now.stacks),
            len(was.installed_parts),
            len(now.fit_parts),
            _UNDECIDED + 1,
            len(sizes),
            2,
        )
        columns = (now.stack, was.installed, now.fit, self._state, size.reshape(-1), self._moved)
        return np.asarray(np.ravel_multi_index(columns, shape))

    def row(self, number: int) -> tuple[AlikeHoles, ...]:
        """Return the holes of a row, those shared with an earlier row left to that one."""
        members = np.unique(self._after.holes.in_row[number])
        members = members[self._after.holes.row[members] == number]
        likeness = self._likeness[members]
        return tuple(self._alike(members[likeness == one]) for one in np.unique(likeness))

    def _alike(self, holes: NDArray[np.intp]) -> AlikeHoles:
        one = int(holes[0])
        was, now, layers = self._before.holes, self._after.holes, self._after.job.layers
        new_part, old_part = now.fit_parts[now.fit[one]], was.installed_parts[was.installed[one]]
        stack = now.stacks[now.stack[one]]
        left_off = tuple(p.layer for p in stack if layers[p.layer].new is None)
        # New holes have nothing to be held against: every layer counts.
        added = tuple(p.layer for p in stack if old_part and layers[p.layer].old is None)
        shared = tuple(p for p in stack if p.layer not in left_off and p.layer not in added)
        edges_in = {place.layer: self._edges_in(place, holes) for place in shared}
        before = after = None
        if self._state[one] != _NO_RIVET:
            after = self._side(new_part, 1, shared, edges_in)
            why = UNDECIDED if self._state[one] == _UNDECIDED else after.why
            after = replace(after, hole_in=float(self._drilled_in[one]) or None, why=why)
        if old_part is not None:
            before = self._side(old_part, 0, shared, edges_in)
        moved = bool(self._moved[one])
        return AlikeHoles(len(holes), before, after, left_off, added, moved)

    def _edges_in(
        self, place: RowLayer, holes: NDArray[np.intp]
    ) -> tuple[float | None, float | None]:
        """Return the least edge distance of some holes in a layer, before and after [in]."""
        layer = self._after.job.layers[place.layer]
        moved = self._moved[holes[0]]
        if layer.boundary is not None:
            before_in = _least_in(self._before.near_edges[place.layer], holes)
            after = self._after.near_edges[place.layer]
            return before_in, _least_in(after, holes) if moved else before_in
        stray = self._after.strays[self._after.holes.row[holes[0]]]
        told_in = nearest_told_in(told_edges(layer, place, stray))
        if told_in is None:
            return None, None
        told = told_in[1]
        # Nobody drew the edge: the holes may have moved straight toward it.
        step = self._after.holes.points[holes] - self._before.holes.points[holes]
        step_in = float(np.hypot(*step.T).max()) if moved else 0.0
        return told, max(told - step_in, 0.0)

    def _side(
        self,
        part: Fastener,
        side: int,
        stack: Stack,
        edges_in: dict[str, tuple[float | None, float | None]],
    ) -> Side:
        """Return one side: nought for before, one for after."""
        layers = []
        for place in stack:
            layer = self._after.job.layers[place.layer]
            state = (layer.old, layer.new)[side]
            assert state is not None  # noqa: S101 - layers there on one side only are left out
            form = place.form if side else place.form_under(part)
            edge_in = edges_in[place.layer][side]
            layers.append(
                StrengthLayer(place.layer, state.alloy, state.thickness_in, edge_in, form)
            )
        why = "" if stack else "no layer is there both before and after"
        # Two names of one standard are one part.
        part = replace(without_length(part), standard=part.canonical)
        return Side(part, tuple(layers), why=why)


def _least_in(near: NearEdges, holes: NDArray[np.intp]) -> float:
    return round(float(near.distance_in[near.places(holes)].min()), _SAME_EDGE_DECIMALS)
