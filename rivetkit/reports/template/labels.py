"""Numbers beside the holes of a template page, where they hide no hole, edge, mark or each other.

Places are on the paper [mm], x to the right and y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from rivetkit.reports.template.pages import Spot

    Box = tuple[float, float, float, float]

#: Half the length of a hole's cross [mm].
HOLE_ARM_MM = 3.0
#: Size of the letters [pt], and how far they reach over and under their line [mm].
LABEL_PT = 7.0
OVER_MM, UNDER_MM = 1.9, 0.5
#: From the middle of a hole to a label between the arms of its cross, and from an arm's end.
_BETWEEN_ARMS_MM = 0.8
_BEYOND_ARM_MM = 0.6
#: Where no place beside a hole is free, a row's name stands this far off, on a line to its hole.
_FAR_MM = (7.0, 10.0, 14.0, 19.0, 25.0)
#: Where there is no room for every number, every so many come first.
_EVERY = 5
_AROUND_MM = 0.3


@dataclass(frozen=True, slots=True)
class PageHole:
    """A hole on a page: its row, its number in it, and its middle [mm]; a ring where it stays."""

    row: str
    number: int
    spot: Spot
    ring_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Label:
    """A text from its left end on its line [mm]; ``leader`` is a line from it to its hole."""

    text: str
    start: Spot
    box: Box
    leader: tuple[Spot, Spot] | None = None


def hole_labels(
    holes: Sequence[PageHole],
    window: Box,
    *,
    text_width_mm: Callable[[str], float],
    row_name: Callable[[str], str],
    edges: Iterable[shapely.Geometry] = (),
    faint: Iterable[shapely.Geometry] = (),
    taken: Iterable[Box] = (),
) -> tuple[Label, ...]:
    """Return the labels of a page: every row by name at its ends, numbers at the other holes.

    Parameters
    ----------
    holes
        The holes on the page.
    window
        What of the page is drawn on: left, top, right, bottom.
    text_width_mm
        How long a text comes out.
    row_name
        How a row is written.
    edges
        Lines no label may touch.
    faint
        Lines a label is kept off where there is a choice.
    taken
        Boxes no label may touch.

    Returns
    -------
    labels
        None touches a cross, an edge, a taken box or another label. A row has its name at the
        first hole where there is room, and at its last if there is. Where there is no room for
        every number, the first, the last and every fifth of a row come first.
    """
    page = _Page(holes, window, text_width_mm, edges, faint, taken)
    rows: dict[str, list[PageHole]] = {}
    for hole in holes:
        rows.setdefault(hole.row, []).append(hole)
    named: set[int] = set()
    for row, members in rows.items():
        wanted = [(hole, far) for far in ((0.0,), _FAR_MM) for hole in (*_first(members), *members)]
        for ends in (wanted, [(members[-1], (0.0,))]):
            for hole, far in ends:
                if id(hole) in named or page.put(f"{row_name(row)}:{hole.number}", hole, far):
                    named.add(id(hole))
                    break
    for chosen in (_first, list):
        for members in rows.values():
            for hole in chosen(members):
                if id(hole) not in named and page.put(str(hole.number), hole, (0.0,)):
                    named.add(id(hole))
    return tuple(page.labels)


def _first(members: Sequence[PageHole]) -> list[PageHole]:
    """Return the holes of a row whose numbers are wanted most."""
    ends = {members[0].number, members[-1].number}
    return [hole for hole in members if hole.number % _EVERY == 0 or hole.number in ends]


class _Page:
    """A page being labelled: knows what is in the way."""

    def __init__(
        self,
        holes: Sequence[PageHole],
        window: Box,
        text_width_mm: Callable[[str], float],
        edges: Iterable[shapely.Geometry],
        faint: Iterable[shapely.Geometry],
        taken: Iterable[Box],
    ) -> None:
        self.window = window
        self.text_width_mm = text_width_mm
        solid = [*edges, *(line for hole in holes for line in _sign(hole))]
        solid += [shapely.box(*box) for box in taken]
        self.solid = shapely.STRtree(solid)
        self.faint = shapely.STRtree(list(faint))
        self.labels: list[Label] = []

    def put(self, text: str, hole: PageHole, distances_mm: Iterable[float]) -> bool:
        """Place a text at a hole and tell whether there was room."""
        wide = self.text_width_mm(text)
        second = None
        for start, leader in _places(hole, wide, distances_mm):
            x, y = start
            box = (x, y - OVER_MM, x + wide, y + UNDER_MM)
            if not self._free(box, leader):
                continue
            label = Label(text, start, box, leader)
            if not len(self.faint.query(_around(box), predicate="intersects")):
                self.labels.append(label)
                return True
            second = second or label
        if second is not None:
            self.labels.append(second)
        return second is not None

    def _free(self, box: Box, leader: tuple[Spot, Spot] | None) -> bool:
        left, top, right, bottom = self.window
        if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
            return False
        around = _around(box)
        if len(self.solid.query(around, predicate="intersects")):
            return False
        if any(_meet(box, label.box) for label in self.labels):
            return False
        lines = [shapely.linestrings(label.leader) for label in self.labels if label.leader]
        if any(shapely.intersects(around, line) for line in lines):
            return False
        if leader is None:
            return True
        line = shapely.linestrings(leader)
        boxes = [shapely.box(*label.box) for label in self.labels]
        return not len(self.solid.query(line, predicate="intersects")) and not any(
            shapely.intersects(line, other) for other in (*boxes, *lines)
        )


def _sign(hole: PageHole) -> Iterator[shapely.Geometry]:
    (x, y), arm = hole.spot, HOLE_ARM_MM
    yield shapely.linestrings([(x - arm, y), (x + arm, y)])
    yield shapely.linestrings([(x, y - arm), (x, y + arm)])
    if hole.ring_mm:
        yield shapely.points(x, y).buffer(hole.ring_mm)


def _places(
    hole: PageHole, wide_mm: float, distances_mm: Iterable[float]
) -> Iterator[tuple[Spot, tuple[Spot, Spot] | None]]:
    """Yield where a text could start, and the line that leads to its hole from further off."""
    x, y = hole.spot
    for far in distances_mm:
        near = max(far, hole.ring_mm + _BETWEEN_ARMS_MM)
        high = near + OVER_MM
        for side in (1, -1):
            for down in (-near - UNDER_MM, high):
                start = x + near if side > 0 else x - near - wide_mm
                yield (start, y + down), _leader(hole, far, side, 1 if down > 0 else -1)
        if not far:
            beyond = HOLE_ARM_MM + _BEYOND_ARM_MM
            middle = (OVER_MM - UNDER_MM) / 2
            yield (x + beyond, y + middle), None
            yield (x - beyond - wide_mm, y + middle), None
            yield (x - wide_mm / 2, y - beyond - UNDER_MM), None
            yield (x - wide_mm / 2, y + beyond + OVER_MM), None


def _leader(hole: PageHole, far_mm: float, side: int, down: int) -> tuple[Spot, Spot] | None:
    if not far_mm:
        return None
    x, y = hole.spot
    near, end = hole.ring_mm + _BETWEEN_ARMS_MM, far_mm - _AROUND_MM
    return (x + side * near, y + down * near), (x + side * end, y + down * end)


def _around(box: Box) -> shapely.Geometry:
    around = _AROUND_MM
    return shapely.box(box[0] - around, box[1] - around, box[2] + around, box[3] + around)


def _meet(box: Box, other: Box) -> bool:
    around = _AROUND_MM
    return (
        box[0] - around < other[2]
        and other[0] - around < box[2]
        and box[1] - around < other[3]
        and other[1] - around < box[3]
    )
