"""Join the lines and arcs of a drawing into closed outlines."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import shapely

from rivetkit.geometry.curves import Point, arc_points
from rivetkit.geometry.outline import Edge
from rivetkit.quantities import to_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

#: Ends of lines that lie this near are one corner [in]: a drawing program's rounding, and no more
#: than a caliper reads.
JOIN_IN = 0.001

#: Where short lines stand for a curve, they leave it by no more than this [in].
FLATTEN_IN = 0.0005

#: Common practice, no source: lines that turn by less are one edge, drawn in short pieces [rad].
_CORNER_RAD = math.radians(10.0)

#: And only those about as long as each other, so many times at most ...
_ALIKE = 2.5
#: ... and at least so many on end.
_SHORTEST_RUN = 4

#: What meets in a corner of a simple outline.
_ENDS_AT_A_CORNER = 2


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a drawn line, points in inches.

    A ``line`` has its two ends; an ``arc`` one more point between them; a ``curve`` as many as it
    takes to follow it.
    """

    kind: Literal["line", "arc", "curve"]
    points: tuple[Point, ...]

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.points[0]

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.points[-1]

    def turned(self) -> Piece:
        """Return the same stretch, drawn from its end to its start."""
        return Piece(self.kind, self.points[::-1])

    def edge(self) -> Edge:
        """Return it as an edge of a boundary, without a name."""
        if self.kind != "arc":
            return Edge("", np.array(self.points))
        start, through, end = self.points
        return Edge.arc("", start, through, end)

    def corners(self) -> list[Point]:
        """Return points that follow it, first and last included."""
        return [(float(x), float(y)) for x, y in self.edge().points]


@dataclass(frozen=True)
class Outline:
    """A closed chain of pieces, each beginning where the one before ends."""

    layer: str
    pieces: tuple[Piece, ...]

    @cached_property
    def polygon(self) -> Any:
        """What it encloses, as a shapely polygon; None when there are too few points."""
        ring = [point for piece in self.pieces for point in piece.corners()[:-1]]
        return shapely.polygons(np.array(ring)) if len(ring) > _ENDS_AT_A_CORNER else None

    @property
    def area_in2(self) -> float:
        """What it encloses [in2]."""
        return 0.0 if self.polygon is None else float(shapely.area(self.polygon))


@dataclass(frozen=True, slots=True)
class Skipped:
    """Things of a drawing that were not taken over, and why."""

    what: str
    layer: str
    count: int
    why: str


class SkipList:
    """Counts what is left out."""

    def __init__(self) -> None:
        self._counts: Counter[tuple[str, str, str]] = Counter()

    def add(self, what: str, layer: str, why: str, count: int = 1) -> None:
        """Count things that were left out."""
        self._counts[what, layer, why] += count

    def listed(self) -> tuple[Skipped, ...]:
        """Return what was left out, by layer."""
        return tuple(
            Skipped(what, layer, count, why)
            for (what, layer, why), count in sorted(
                self._counts.items(), key=lambda item: (item[0][1], item[0][0], item[0][2])
            )
        )


def plain_piece(kind: Literal["arc", "curve"], points: Iterable[Point]) -> Piece | None:
    """Return a piece without points that stand twice; an arc as flat as a line is a line."""
    kept: list[Point] = []
    for point in points:
        if not kept or math.dist(kept[-1], point) > 0.0:
            kept.append(point)
    if len(kept) < _ENDS_AT_A_CORNER:
        return None
    if len(kept) == _ENDS_AT_A_CORNER:
        return Piece("line", tuple(kept))
    if kind == "arc":
        try:
            arc_points(kept[0], kept[1], kept[2])
        except ValueError:
            return Piece("line", (kept[0], kept[2]))
    return Piece(kind, tuple(kept))


def as_edges(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """Return pieces with runs of short lines that hardly turn made one edge: an arc where all
    their ends lie on it and they hardly leave it, else a curve with the same points.
    """
    runs: list[list[Piece]] = []
    for piece in pieces:
        if runs and _goes_on(runs[-1][-1], piece):
            runs[-1].append(piece)
        else:
            runs.append([piece])
    return tuple(made for run in runs for made in _one_edge(run))


def _goes_on(before: Piece, after: Piece) -> bool:
    if before.kind != "line" or after.kind != "line":
        return False
    (ax, ay), (bx, by), (cx, cy) = before.start, after.start, after.end
    shorter, longer = sorted((math.dist(before.start, before.end), math.dist((bx, by), (cx, cy))))
    cross = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
    along = (bx - ax) * (cx - bx) + (by - ay) * (cy - by)
    return longer <= _ALIKE * shorter and abs(math.atan2(cross, along)) <= _CORNER_RAD


def _one_edge(run: Sequence[Piece]) -> list[Piece]:
    if len(run) < _SHORTEST_RUN:
        return list(run)
    points = [run[0].start, *(piece.end for piece in run)]
    halves = [points]
    if points[0] == points[-1]:  # a full circle is two arcs
        halves = [points[: len(points) // 2 + 1], points[len(points) // 2 :]]
    arcs = [_as_arc(half) for half in halves]
    if all(arc is not None for arc in arcs):
        return [arc for arc in arcs if arc is not None]
    return [Piece("curve", tuple(points))]


def _as_arc(points: Sequence[Point]) -> Piece | None:
    """Return the arc that points lie on, when the lines between them keep near it."""
    start, through, end = points[0], points[len(points) // 2], points[-1]
    try:
        arc = shapely.linestrings(arc_points(start, through, end))
    except ValueError:
        return None
    ends = np.array(points)
    spots = np.concatenate((ends, (ends[1:] + ends[:-1]) / 2.0))
    if shapely.distance(shapely.points(spots), arc).max() > FLATTEN_IN:
        return None
    return Piece("arc", (start, through, end))


def joined(pieces: Sequence[tuple[str, Piece]], skips: SkipList, unit: str = "in") -> list[Outline]:
    """Return the closed outlines that loose pieces make, each layer for itself.

    Parameters
    ----------
    pieces
        Layer and piece.
    skips
        Takes what closes no outline, with a place where the chain is open.
    unit
        Unit of that place: the drawing's own.
    """
    found: list[Outline] = []
    by_layer: dict[str, list[Piece]] = defaultdict(list)
    drawn: set[tuple[str, frozenset[Point]]] = set()
    for layer, piece in ((layer, part) for layer, whole in pieces for part in _halves(whole)):
        points = frozenset((round(x, 6), round(y, 6)) for x, y in piece.points)
        if all(math.dist(piece.start, point) <= JOIN_IN for point in piece.points):
            continue  # a dot: its ends are one corner
        if (layer, points) in drawn:
            skips.add("line or arc", layer, "drawn twice")
            continue
        drawn.add((layer, points))
        by_layer[layer].append(piece)
    for layer, own in by_layer.items():
        ends = _corner_numbers(own)
        for group in _connected(ends):
            meeting = Counter(end for number in group for end in ends[number])
            odd = [end for end, count in meeting.items() if count != _ENDS_AT_A_CORNER]
            if odd:
                x, y = (to_unit(value, unit) for value in _place_of(odd[0], own, ends))
                words = "open" if meeting[odd[0]] == 1 else "branching"
                why = f"no closed outline: {words} at ({x:.6g}, {y:.6g}) {unit}"
                skips.add("line or arc", layer, why, len(group))
            else:
                found.append(Outline(layer, tuple(_walk(group, own, ends))))
    return found


def _halves(piece: Piece) -> tuple[Piece, ...]:
    """Return an arc that ends where it starts as two: its three points would lie on a line."""
    if piece.kind != "arc" or math.dist(piece.start, piece.end) > JOIN_IN:
        return (piece,)
    points = [(float(x), float(y)) for x, y in arc_points(*piece.points)]
    quarters = [points[len(points) * part // 4] for part in (1, 2, 3)]
    ends = (piece.start, *quarters, piece.end)
    return Piece("arc", ends[:3]), Piece("arc", ends[2:])


def _corner_numbers(pieces: Sequence[Piece]) -> list[tuple[int, int]]:
    """Return for each piece the numbers of the corners it starts and ends at."""
    spots = np.array([point for piece in pieces for point in (piece.start, piece.end)])
    tree = shapely.STRtree(shapely.points(spots))
    one, other = tree.query(shapely.points(spots), predicate="dwithin", distance=JOIN_IN)
    owner = np.arange(len(spots))
    for first, second in zip(one.tolist(), other.tolist(), strict=True):
        if second < first:
            owner[first] = min(owner[first], owner[second])
    return [(int(start), int(end)) for start, end in owner.reshape(-1, 2)]


def _connected(ends: Sequence[tuple[int, int]]) -> Iterator[list[int]]:
    """Yield the numbers of the pieces that hang together."""
    at: dict[int, list[int]] = defaultdict(list)
    for number, both in enumerate(ends):
        for end in both:
            at[end].append(number)
    seen: set[int] = set()
    for first in range(len(ends)):
        if first in seen:
            continue
        group, waiting = [], [first]
        seen.add(first)
        while waiting:
            number = waiting.pop()
            group.append(number)
            new = {other for end in ends[number] for other in at[end]} - seen
            seen |= new
            waiting.extend(sorted(new))
        yield sorted(group)


def _place_of(corner: int, pieces: Sequence[Piece], ends: Sequence[tuple[int, int]]) -> Point:
    spots = [point for piece in pieces for point in (piece.start, piece.end)]
    return spots[[end for both in ends for end in both].index(corner)]


def _walk(
    group: Sequence[int], pieces: Sequence[Piece], ends: Sequence[tuple[int, int]]
) -> Iterator[Piece]:
    """Yield the pieces of one closed chain in order, each turned to follow the one before."""
    at: dict[int, list[int]] = defaultdict(list)
    for number in group:
        for end in ends[number]:
            at[end].append(number)
    number = group[0]
    here = pieces[number].start
    start, corner = ends[number]
    piece = pieces[number]
    for _ in group:
        last = corner == start
        there = pieces[group[0]].start if last else piece.end
        yield replace(piece, points=(here, *piece.points[1:-1], there))
        if last:
            return
        here = there
        number = next(other for other in at[corner] if other != number)
        piece = pieces[number]
        if ends[number][0] != corner:
            piece = piece.turned()
        corner = ends[number][1] if ends[number][0] == corner else ends[number][0]
