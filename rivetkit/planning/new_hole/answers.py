"""What the search for a new hole's place comes to."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.checks import Check, Verdict, worst_verdict

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.limits import Working
    from rivetkit.calculators.metal_contact import MetalReview
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.geometry.curves import Point

#: How many of the nearest holes a person is told one by one.
_NEIGHBOURS_TOLD = 6


@dataclass(frozen=True, slots=True)
class EdgeThere:
    """An edge of a layer and its distance from the place [in]."""

    layer: str
    edge: str
    distance_in: float
    check: Check


@dataclass(frozen=True, slots=True)
class NeighbourThere:
    """A rivet and its distance from the place [in]: pitch, and head beside head if they meet."""

    hole: str
    distance_in: float
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class NewHole:
    """A place for a new rivet, judged.

    ``edges`` are those of the layers the hole goes through, by layer, the nearest first;
    ``beside`` the nearest edge of every other drawn layer within reach; ``neighbours`` the rivets
    within reach, the one with the least to spare first; ``sheets`` the rivet's diameter against
    the sheets; ``others`` every other check; ``metals`` which metals the rivet meets.
    ``not_named`` are drawn layers that lie there and were not named. ``suits`` tells whether the
    rivet may go into the layers at all. ``nearest`` is the place nearest to ``at`` where every
    limit holds, ``at`` itself when it is one, None when there is none within ``reach_in``.
    """

    part: Fastener
    at: Point
    layers: tuple[str, ...]
    not_named: tuple[str, ...]
    edges: tuple[EdgeThere, ...]
    beside: tuple[EdgeThere, ...]
    neighbours: tuple[NeighbourThere, ...]
    sheets: tuple[Check, ...]
    others: tuple[Check, ...]
    metals: MetalReview
    suits: bool
    nearest: Point | None
    reach_in: float

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check made."""
        return self._gathered(self.edges, self.neighbours, self.sheets)

    @property
    def worst(self) -> tuple[Check, ...]:
        """What a person is told: of every layer the nearest edge, of the rivets the first few, and
        whatever does not pass.
        """
        seen: set[str] = set()
        edges = []
        for edge in self.edges:
            if edge.layer not in seen or edge.check.verdict is not Verdict.PASS:
                edges.append(edge)
            seen.add(edge.layer)
        neighbours = [
            one
            for number, one in enumerate(self.neighbours)
            if number < _NEIGHBOURS_TOLD
            or any(check.verdict is not Verdict.PASS for check in one.checks)
        ]
        sheets = [check for check in self.sheets if check.verdict is not Verdict.PASS]
        return self._gathered(edges, neighbours, sheets)

    def _gathered(
        self,
        edges: Sequence[EdgeThere],
        neighbours: Sequence[NeighbourThere],
        sheets: Sequence[Check],
    ) -> tuple[Check, ...]:
        return (
            *(edge.check for edge in edges),
            *(edge.check for edge in self.beside),
            *(check for one in neighbours for check in one.checks),
            *sheets,
            *self.others,
        )

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict of all checks."""
        return worst_verdict(check.verdict for check in self.checks)

    @property
    def move_in(self) -> float | None:
        """How far the nearest allowed place is [in]."""
        return None if self.nearest is None else math.dist(self.at, self.nearest)


@dataclass(frozen=True, slots=True)
class FreeStretch:
    """A stretch of a line where the rivet may go, from the line's start [in], and what it goes
    through there.
    """

    start_in: float
    end_in: float
    layers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FreeStretches:
    """Where on a line a new rivet may go; ``metals`` of all layers that the line meets."""

    part: Fastener
    start: Point
    end: Point
    layers: tuple[str, ...]
    free: tuple[FreeStretch, ...]
    unchecked: tuple[Check, ...]
    metals: MetalReview
    limits: tuple[Working, ...]
