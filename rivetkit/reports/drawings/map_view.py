"""A hole map as data: what is to be seen on one piece of a job, and in what state."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from rivetkit.planning.hole_verdicts import HoleVerdicts, hole_verdicts
from rivetkit.planning.reserve import hole_spans
from rivetkit.planning.tightest_place import TightPlace, tightest_place
from rivetkit.quantities import format_length, words_in_unit
from rivetkit.reports.amounts import amount_number, shown_unit
from rivetkit.reports.check_words import VERDICT_WORDS, check_label
from rivetkit.reports.plans.bench_fates import FATE_WORDS, Fate, hole_fates
from rivetkit.reports.plans.bench_tables import spans_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.checks import Check, Verdict
    from rivetkit.geometry.curves import Point, Points
    from rivetkit.geometry.outline import Boundary
    from rivetkit.job.model import Row
    from rivetkit.planning.plan import Plan
    from rivetkit.reports.amounts import LengthUnit

#: Outlines this near each other are one line on a drawing [in].
_SAME_IN = 1e-3

#: What goes into a measured hole when none is settled for it.
EMPTY = "no rivet settled"

#: What becomes of the rivet in a hole: it comes out, it stays, or the hole is new.
HoleState = Literal["out", "stays", "new"]


@dataclass(frozen=True, eq=False)
class Plate:
    """A layer with an outline."""

    name: str
    boundary: Boundary


@dataclass(frozen=True, eq=False)
class Strip:
    """A flange of which only the width is known [in], along the rows through it."""

    name: str
    width_in: float
    beyond_in: float
    lines: tuple[Points, ...]


@dataclass(frozen=True, eq=False)
class RowLine:
    """A row by its name and the lines through its holes, each ``(n, 2)`` [in].

    A nutplate has a line of its own: its two rivets.
    """

    name: str
    lines: tuple[Points, ...]


@dataclass(frozen=True, slots=True)
class MapHole:
    """One hole [in]: what it is called, what to say of it, and how it came out.

    ``fate`` is None where no hole of the job was looked at, and of a rivet that stays.
    """

    name: str
    row: str
    x_in: float
    y_in: float
    diameter_in: float
    state: HoleState
    verdict: Verdict
    words: str
    part_number: str
    edge_in: float | None
    edge: str
    fate: Fate | None = None


@dataclass(frozen=True, slots=True)
class Dimension:
    """The distance with the least to spare: its ends [in], its length and what to say of it."""

    start: Point
    end: Point
    measure: str
    lines: tuple[str, ...]
    verdict: Verdict


@dataclass(frozen=True, eq=False)
class MapView:
    """One piece of a job seen from above, x to the right and y up, lengths in inches.

    ``sheet`` is the piece itself; None for members that no sheet lies on. ``hinge`` is two points
    of the hinge line of a control surface. ``bench`` are lines that tell what measured holes get.
    """

    name: str
    sheet: Plate | None
    members: tuple[Plate, ...]
    strips: tuple[Strip, ...]
    rows: tuple[RowLine, ...]
    holes: tuple[MapHole, ...]
    tightest: Dimension | None
    length_unit: LengthUnit
    hinge: tuple[Point, Point] | None = None
    bench: tuple[str, ...] = ()

    @property
    def fates(self) -> dict[Fate, int]:
        """How many holes get what, in the order to tell it; empty where none was looked at."""
        found = Counter(hole.fate for hole in self.holes if hole.fate is not None)
        return {fate: found[fate] for fate in FATE_WORDS if found[fate]}

    @property
    def counts(self) -> Counter[Verdict]:
        """How many holes came out how."""
        return Counter(hole.verdict for hole in self.holes)


def map_views(plan: Plan, length_unit: LengthUnit) -> tuple[MapView, ...]:
    """Return a view of every sheet with holes, and of the members that no sheet lies on.

    Sheets on either side of a frame are never drawn over each other: each shows the rows that go
    through it.
    """
    verdicts = hole_verdicts(plan)
    names = [layer.name for layer in plan.job.layers.values() if layer.kind == "sheet"]
    views = []
    seen: set[int] = set()
    for name in names:
        holes = plan.holes.in_layer(name).tolist()
        if holes:
            seen.update(holes)
            views.append(_view(plan, verdicts, name, holes, length_unit))
    rest = [hole for hole in range(len(plan.holes)) if hole not in seen]
    for layers, holes in _apart(plan, rest):
        views.append(_view(plan, verdicts, layers[0], holes, length_unit))
    return tuple(views)


def _apart(plan: Plan, holes: list[int]) -> Iterator[tuple[list[str], list[int]]]:
    """Yield sets of layers joined by some holes, with the holes of each."""
    sets: list[tuple[dict[str, None], list[int]]] = []
    for hole in holes:
        names = dict.fromkeys(place.layer for place in plan.holes.stacks[plan.holes.stack[hole]])
        joined = [entry for entry in sets if entry[0].keys() & names.keys()]
        layers = {name: None for entry in joined for name in entry[0]} | names
        members = [number for entry in joined for number in entry[1]] + [hole]
        sets = [entry for entry in sets if entry not in joined] + [(layers, members)]
    for layers, members in sets:
        yield list(layers), members


def _view(
    plan: Plan, verdicts: HoleVerdicts, name: str, holes: list[int], unit: LengthUnit
) -> MapView:
    here = set(holes)
    rows = [
        (row, members)
        for row, members in zip(plan.job.rows, plan.holes.in_row, strict=True)
        if not here.isdisjoint(members.tolist())
    ]
    names = dict.fromkeys(place.layer for row, _ in rows for place in row.layers)
    layers = [plan.job.layers[other] for other in names]
    plates = [Plate(layer.name, layer.boundary) for layer in layers if layer.boundary is not None]
    is_sheet = plan.job.layers[name].kind == "sheet"
    sheet = next((plate for plate in plates if plate.name == name and is_sheet), None)
    drawn = [plate.name for plate in plates]
    place = tightest_place(plan, layers=drawn, holes=holes)
    parts = _parts(plan)
    fates = hole_fates(plan)
    return MapView(
        name=name,
        sheet=sheet,
        members=tuple(
            plate
            for plate in plates
            if plate is not sheet
            and not (plan.job.layers[plate.name].kind == "sheet" and _same_outline(plate, sheet))
        ),
        strips=tuple(_strips(plan, [row for row, _ in rows], list(names))),
        rows=tuple(
            RowLine(row.name, _lines(row, plan.holes.points[members])) for row, members in rows
        ),
        holes=tuple(
            _hole(plan, verdicts, hole, parts[hole], fates.get(hole), unit) for hole in holes
        ),
        tightest=None if place is None else _dimension(plan, verdicts, place, unit),
        length_unit=unit,
        hinge=None if plan.job.hinge is None else (plan.job.hinge.start, plan.job.hinge.end),
        bench=tuple(_bench_lines(plan, holes, parts, fates)),
    )


def _lines(row: Row, points: Points) -> tuple[Points, ...]:
    if row.nutplate is None:
        return (points,)
    plates: dict[int, list[int]] = {}
    for place, number in enumerate(row.numbers.tolist()):
        plates.setdefault((number - 1) // 2, []).append(place)
    return tuple(points[places] for places in plates.values())


def _same_outline(plate: Plate, other: Plate | None) -> bool:
    """Whether one sheet lies on the other's outline, as the two sides of a surface do."""
    if other is None:
        return False
    ring, other_ring = plate.boundary.outer.ring, other.boundary.outer.ring
    return ring.shape == other_ring.shape and bool((abs(ring - other_ring) < _SAME_IN).all())


def _strips(plan: Plan, rows: list[Row], names: list[str]) -> Iterator[Strip]:
    for name in names:
        flange = plan.job.layers[name].flange
        if flange is not None:
            through = [row for row in rows if any(place.layer == name for place in row.layers)]
            lines = tuple(
                row.points for row in through if len(row.points) > 1 and row.nutplate is None
            )
            yield Strip(name, flange.width_in, flange.end_distance_in or 0.0, lines)


def _parts(plan: Plan) -> dict[int, tuple[str, HoleState]]:
    """Return what goes into every hole, and whether a rivet comes out or stays."""
    parts: dict[int, tuple[str, HoleState]] = {}
    for item in plan.fitted:
        state: HoleState = "stays" if item.kept else "new" if item.old_part is None else "out"
        told = (EMPTY if item.group.empty else item.new_part.designation, state)
        parts.update(dict.fromkeys(item.group.holes.tolist(), told))
    return parts


def _bench_lines(
    plan: Plan, holes: list[int], parts: dict[int, tuple[str, HoleState]], fates: dict[int, Fate]
) -> Iterator[str]:
    """Yield which holes get another rivet, and which none."""
    found: dict[tuple[Fate, str], list[int]] = {}
    for hole in holes:
        fate = fates.get(hole)
        if fate in _NAMED:
            part = parts[hole][0] if fate == "another" else ""
            found.setdefault((fate, part), []).append(hole)
    for fate, part in sorted(found, key=lambda key: (_NAMED.index(key[0]), key[1])):
        spans = spans_words(list(hole_spans(plan.holes, np.array(found[fate, part]))))
        yield f"{part or FATE_WORDS[fate]}: {spans}"


#: What a picture names hole by hole.
_NAMED: tuple[Fate, ...] = ("another", "none", "undecided", "noted")


def _hole(
    plan: Plan,
    verdicts: HoleVerdicts,
    hole: int,
    part: tuple[str, HoleState],
    fate: Fate | None,
    unit: LengthUnit,
) -> MapHole:
    holes = plan.holes
    diameter_in = holes.fit_parts[holes.fit[hole]].diameter_in
    edge_in = float(verdicts.edge_in[hole])
    known = edge_in != float("inf")
    words = [f"{holes.name(hole)}: {VERDICT_WORDS[verdicts.verdicts[hole]]}"]
    if hole in verdicts.gravest:
        words.append(_reason(verdicts.gravest[hole], unit))
    words.append(part[0])
    if fate is not None:
        words.append(FATE_WORDS[fate])
    if known:
        distance = format_length(edge_in, unit)
        words.append(f"{distance} ({edge_in / diameter_in:.2f} D) to {verdicts.edges[hole]}")
    x_in, y_in = holes.points[hole].tolist()
    return MapHole(
        name=holes.name(hole),
        row=holes.row_names[holes.row[hole]],
        x_in=x_in,
        y_in=y_in,
        diameter_in=diameter_in,
        state=part[1],
        verdict=verdicts.verdicts[hole],
        words="; ".join(words),
        part_number=part[0],
        edge_in=edge_in if known else None,
        edge=verdicts.edges[hole],
        fate=fate,
    )


def _reason(check: Check, unit: LengthUnit) -> str:
    if check.value is None or check.limit is None:
        return f"{check.name}: {words_in_unit(check.reason, unit)}"
    return f"{check_label(check, unit)}: {_against(check, unit)}"


def _against(check: Check, unit: LengthUnit) -> str:
    value = amount_words(check.value or 0.0, check.unit, unit)
    limit = amount_words(check.limit or 0.0, check.unit, unit)
    return f"{value}, {'min' if check.comparison == 'at least' else 'max'} {limit}"


def amount_words(value: float, unit: str, length_unit: LengthUnit) -> str:
    """Return an amount with its unit, as on a drawing."""
    return f"{amount_number(value, unit, length_unit)} {shown_unit(unit, length_unit)}".rstrip()


def _dimension(
    plan: Plan, verdicts: HoleVerdicts, place: TightPlace, unit: LengthUnit
) -> Dimension:
    check = place.check
    drawn_in = math.dist(place.start, place.end)  # a row spacing is less: it is square to the rows
    value = drawn_in if len(place.holes) > 1 else check.value or 0.0
    measure = amount_words(value, check.unit, unit)
    lines = [
        check.name,
        words_in_unit(check.where, unit),
        _against(check, unit),
        VERDICT_WORDS[check.verdict],
    ]
    for hole in place.holes:  # what else is wrong there must not hide behind a margin that passes
        verdict = verdicts.verdicts[hole]
        if verdict is not check.verdict and hole in verdicts.gravest:
            lines.append(f"But {plan.holes.name(hole)}: {VERDICT_WORDS[verdict]}")
            lines.append(_reason(verdicts.gravest[hole], unit))
    return Dimension(place.start, place.end, measure, tuple(lines), check.verdict)
