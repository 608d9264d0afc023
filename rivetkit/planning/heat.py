"""Parts that grow apart with heat by more than their holes leave room for."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.heat.coefficients import expansion_per_degf
from rivetkit.calculators.heat.expansion import differences, rows_out_of_range
from rivetkit.calculators.heat.match_drilling import check_match_drilling
from rivetkit.checks import Check, Term, Verdict
from rivetkit.errors import OutOfTableError, RivetkitError
from rivetkit.fasteners.catalogue import rivet_hole
from rivetkit.materials import sheet_metal
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.calculators.heat.expansion import Difference
    from rivetkit.handbook import Citation
    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context

_PPM = 1e6


@dataclass(frozen=True, slots=True)
class HeatPair:
    """Two layers of different materials, at the row where heat takes up most of the room.

    ``movement_in`` is that of the row's ends against its middle, for ``change_degf`` of warming or
    cooling since the holes were drilled; ``room_in`` is what its holes leave. ``also`` names other
    rows of the same two materials that leave too little. ``outside`` tells that a coefficient is
    used beyond the temperatures its document gives it for.
    """

    row: str
    layers: tuple[str, str]
    materials: tuple[str, str]
    half_length_in: float
    change_degf: float
    movement_in: float
    room_in: float
    also: tuple[str, ...]
    outside: bool
    check: Check

    @property
    def too_much(self) -> bool:
        """Whether the parts move further than the holes allow."""
        return self.check.verdict is not Verdict.PASS


@dataclass(frozen=True, slots=True)
class Heat:
    """What heat does between the parts of a job.

    ``told`` says that the job, or an override, tells the temperatures: then the movements are
    judged. Without it they are warned of only, for nobody knows how warm it will be. ``notes``
    tell which parts could not be looked at.
    """

    pairs: tuple[HeatPair, ...] = ()
    notes: tuple[str, ...] = ()
    told: bool = False

    @property
    def warnings(self) -> tuple[HeatPair, ...]:
        """The pairs to be drilled and closed at one temperature."""
        return tuple(pair for pair in self.pairs if pair.too_much)

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check that counts."""
        return tuple(pair.check for pair in self.pairs) if self.told else ()


def heat_between_parts(context: Context) -> Heat:
    """Return which parts of a job move against each other with heat.

    Only layers that holes are drilled through together are looked at: one of them changes, or the
    row is new. Alloys of one family move alike and are left out. Where documents differ on a
    material, the pair that differs most counts.
    """
    swing = context.book.rule("temperature_swing")
    told = context.job.temperatures
    finder = _Finder(
        context,
        swing.value if told is None else told.greatest_change_degf,
        None if told is not None else swing.citation,
    )
    pairs = tuple(finder.pairs())
    judged = told is not None or swing.citation.overridden
    return Heat(pairs, tuple(finder.notes), judged)


class _Finder:
    """Goes through the rows, and keeps the worst one of every two materials."""

    def __init__(self, context: Context, change_degf: float, swing: Citation | None) -> None:
        self._context = context
        self._change_degf = change_degf
        self._swing = swing
        self._differences: dict[tuple[str, str], Difference | None] = {}
        self.notes: dict[str, None] = {}

    def pairs(self) -> Iterator[HeatPair]:
        """Yield the worst row of every two materials, in the order of the job."""
        found: dict[frozenset[str], list[HeatPair]] = {}
        for row in self._context.job.rows:
            if row.kept:
                continue
            for pair in self._row(row):
                found.setdefault(frozenset(pair.materials), []).append(pair)
        for pairs in found.values():
            worst = min(pairs, key=lambda pair: pair.room_in - pair.movement_in)
            rows = dict.fromkeys(pair.row for pair in pairs if pair.too_much)
            yield replace(worst, also=tuple(name for name in rows if name != worst.row))

    def _row(self, row: Row) -> Iterator[HeatPair]:
        layers = [self._context.job.layers[place.layer] for place in row.layers]
        states = [(layer, layer.new) for layer in layers if layer.new is not None]
        for (one, first), (other, second) in itertools.combinations(states, 2):
            if row.installed is not None and not (one.changed or other.changed):
                continue
            names, materials = (one.name, other.name), (first.alloy, second.alloy)
            difference = self._difference(materials, names)
            if difference is not None:
                pair = self._pair(row, names, materials, difference)
                if pair is not None:
                    yield pair

    def _difference(self, materials: tuple[str, str], layers: tuple[str, str]) -> Difference | None:
        """Return how two materials differ; None where they move alike, or nobody knows."""
        if materials not in self._differences:
            self._differences[materials] = self._look_up(materials, layers)
        return self._differences[materials]

    def _look_up(self, materials: tuple[str, str], layers: tuple[str, str]) -> Difference | None:
        metals = [sheet_metal(name) for name in materials]
        aluminium = [metal is not None and metal[0] == "aluminium" for metal in metals]
        if materials[0] == materials[1] or all(aluminium):
            return None
        if "" in materials:
            if not any(aluminium):
                untold = layers[materials.index("")]
                self._note(f"nobody told the alloy of {untold}", layers)
            return None
        try:
            difference = differences(*materials)[0]
        except OutOfTableError as error:
            self._note(error.what, layers)
            return None
        other = difference.other
        greatest = max(expansion_per_degf(row) for row in (difference.row, other or difference.row))
        alike = self._context.book.rule("expansion_alike_max").value / 100.0
        return difference if abs(difference.per_degf) > alike * greatest else None

    def _pair(
        self,
        row: Row,
        layers: tuple[str, str],
        materials: tuple[str, str],
        difference: Difference,
    ) -> HeatPair | None:
        # Held in the middle, both ends of the row move: the farthest hole counts.
        half_in = float(np.hypot(*(row.points - row.points.mean(axis=0)).T).max())
        try:
            hole_in = rivet_hole(row.fit, self._context.book).hole_in
        except RivetkitError as error:
            self._note(error.what, layers)
            return None
        if hole_in is None:
            self._note(f"no hole is on file for {row.fit.designation}", layers)
            return None
        moved_in = abs(difference.per_degf) * half_in * self._change_degf
        cited = (
            difference.citations if self._swing is None else (self._swing, *difference.citations)
        )
        check = check_match_drilling(
            moved_in,
            hole_in=hole_in,
            fastener_in=min(row.fit.diameter_in, hole_in),
            book=self._context.book,
            citations=cited,
            where=f"{layers[0]} and {layers[1]}: {row.name}",
        )
        check = _with_movement(check, difference, half_in, self._change_degf)
        assert check.limit is not None  # noqa: S101 - the check was made
        return HeatPair(
            row=row.name,
            layers=layers,
            materials=materials,
            half_length_in=half_in,
            change_degf=self._change_degf,
            movement_in=moved_in,
            room_in=check.limit,
            also=(),
            outside=self._outside(difference),
            check=check,
        )

    def _outside(self, difference: Difference) -> bool:
        told = self._context.job.temperatures
        if told is None:
            return False
        rows = [row for row in (difference.row, difference.other) if row is not None]
        return bool(rows_out_of_range(rows, from_degf=told.coldest_degf, to_degf=told.warmest_degf))

    def _note(self, what: str, layers: tuple[str, str]) -> None:
        one, other = layers
        note = length_words(
            "{what}: how {one} and {other} move is not known", what=what, one=one, other=other
        )
        self.notes[note] = None


def _with_movement(
    check: Check, difference: Difference, length_in: float, change_degf: float
) -> Check:
    """Return the check with the arithmetic of its movement before it."""
    terms = (
        Term("c", abs(difference.per_degf) * _PPM),
        Term("L", length_in, "in"),
        Term("T", change_degf, "F"),
    )
    template = f"{{c}} / 1000000 x {{L}} x {{T}} = {check.template}"
    return replace(check, template=template, terms=(*terms, *check.terms))
