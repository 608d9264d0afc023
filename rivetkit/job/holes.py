"""Rows to holes: a hole that two rows share is one hole, with the layers of both."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import InputError
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.fasteners.part_number import same_part
from rivetkit.geometry.neighbours import Pairs, close_pairs
from rivetkit.geometry.spots import Spots
from rivetkit.job.crowds import refuse_crowd
from rivetkit.job.model import CLOSES_IN, Job, RowLayer, seats_flush_head
from rivetkit.job.two_sides import refuse_two_sides

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Point, Points

Stack = tuple[RowLayer, ...]

#: Holes this near [in] have something to do with each other, whatever rivets they hold.
_NEIGHBOUR_IN = 0.5

#: How layers are formed under a flush head, from the head on.
_FROM_THE_HEAD = ("dimpled", "countersunk", "plain")


@dataclass(frozen=True, eq=False)
class Holes:
    """Every hole of a job once, in columns; n holes.

    ``row`` and ``number`` name a hole by the first row it belongs to. ``stack``, ``installed``
    and ``fit`` are positions in ``stacks``, ``installed_parts`` and ``fit_parts``. ``in_row``
    lists, for every row of the job, its holes in the row's order. ``empty`` holes get no rivet:
    measured ones for which none is settled.

    A hole that rows place differently stands where its first row has it; ``others`` are its other
    centres, ``(m, 2)`` [in], and ``other_of`` tells whose they are. Which one is right nobody
    knows, so every distance is judged from the least favourable.

    ``drilled_from`` are the centres before repairs moved some, ``(n, 2)`` [in]; None: none moved.
    """

    spots: Spots
    row: NDArray[np.int32]
    number: NDArray[np.int32]
    stack: NDArray[np.int32]
    installed: NDArray[np.int32]
    fit: NDArray[np.int32]
    stacks: tuple[Stack, ...]
    installed_parts: tuple[Fastener | None, ...]
    fit_parts: tuple[Fastener, ...]
    in_row: tuple[NDArray[np.intp], ...]
    row_names: tuple[str, ...]
    shared: int
    empty: NDArray[np.bool_]
    others: Points
    other_of: NDArray[np.intp]
    drilled_from: Points | None = None

    def __len__(self) -> int:
        return len(self.spots)

    @property
    def points(self) -> Points:
        """Centre of every hole, ``(n, 2)`` [in]."""
        return self.spots.points

    @property
    def laid_out(self) -> Points:
        """Where the rows run, ``(n, 2)`` [in]: a hole that a repair moved bends none of them."""
        return self.points if self.drilled_from is None else self.drilled_from

    def name(self, hole: int) -> str:
        """Return the id of a hole: row and number, ``rib 1:7``."""
        return f"{self.row_names[self.row[hole]]}:{self.number[hole]}"

    @property
    def placed_apart_in(self) -> float:
        """How far two rows place the same hole apart, at most [in]."""
        gap = self.others - self.points[self.other_of]
        return float(np.hypot(*gap.T).max(initial=0.0))

    def centres(self, hole: int) -> Points:
        """Every place rows give for a hole, ``(k, 2)`` [in]."""
        return np.concatenate((self.points[[hole]], self.others[self.other_of == hole]))

    def apart_in(
        self, one: NDArray[np.intp], other: NDArray[np.intp]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return the least and the greatest distance there can be between pairs of holes [in]."""
        gap = self.points[one] - self.points[other]
        least_in = np.hypot(gap[:, 0], gap[:, 1])
        if not len(self.other_of):
            return least_in, least_in
        greatest_in = least_in.copy()
        for pair in np.flatnonzero(self._manifold[one] | self._manifold[other]).tolist():
            here, there = self.centres(int(one[pair])), self.centres(int(other[pair]))
            every_in = np.hypot(*(here[:, None] - there[None]).reshape(-1, 2).T)
            least_in[pair], greatest_in[pair] = every_in.min(), every_in.max()
        return least_in, greatest_in

    def away_in(self, point: Point, holes: NDArray[np.intp]) -> NDArray[np.float64]:
        """Return the least distance there can be from a point to each of some holes [in]."""
        gap = self.points[holes] - np.asarray(point)
        away_in = np.hypot(gap[:, 0], gap[:, 1])
        for number in np.flatnonzero(self._manifold[holes]).tolist():
            gap = self.centres(int(holes[number])) - np.asarray(point)
            away_in[number] = np.hypot(gap[:, 0], gap[:, 1]).min()
        return np.asarray(away_in)

    def share_row(self, one: NDArray[np.intp], other: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Return which pairs of holes belong to one row, first or not."""
        same = self.row[one] == self.row[other]
        rows = self._rows_of_shared
        mine = self._in_rows > 1
        for pair in np.flatnonzero(~same & (mine[one] | mine[other])).tolist():
            sets = [
                rows.get(hole) or {int(self.row[hole])}
                for hole in (int(one[pair]), int(other[pair]))
            ]
            same[pair] = not sets[0].isdisjoint(sets[1])
        return np.asarray(same)

    @cached_property
    def _manifold(self) -> NDArray[np.bool_]:
        """Which holes have more than one centre."""
        found = np.zeros(len(self), dtype=bool)
        found[self.other_of] = True
        return found

    @cached_property
    def _in_rows(self) -> NDArray[np.intp]:
        """In how many rows each hole is."""
        members = [np.unique(members) for members in self.in_row]
        return np.bincount(np.concatenate(members), minlength=len(self))

    @cached_property
    def _rows_of_shared(self) -> dict[int, set[int]]:
        """The rows of each hole that more than one has."""
        found: dict[int, set[int]] = {}
        for row, members in enumerate(self.in_row):
            for hole in members[self._in_rows[members] > 1].tolist():
                found.setdefault(hole, set()).add(row)
        return found

    def in_layer(self, layer: str) -> NDArray[np.intp]:
        """Return the holes that pass through a layer, in order."""
        members = self._by_layer.get(layer, [])
        return np.sort(np.concatenate(members)) if members else np.zeros(0, dtype=np.intp)

    @cached_property
    def _by_layer(self) -> dict[str, list[NDArray[np.intp]]]:
        """The holes of every layer, stack by stack."""
        order = np.argsort(self.stack, kind="stable")
        splits = np.cumsum(np.bincount(self.stack, minlength=len(self.stacks)))[:-1]
        found: dict[str, list[NDArray[np.intp]]] = {}
        for stack, members in zip(self.stacks, np.split(order, splits), strict=True):
            for place in stack:
                found.setdefault(place.layer, []).append(members)
        return found


def lay_out(job: Job) -> Holes:
    """Return the holes of a job, each shared one counted once.

    Raises
    ------
    InputError
        When rows that share a hole disagree: on the rivet, on keeping it, on the order of the
        layers or on how one is formed; or when two skins are riveted to one member along one line.
    """
    spots = Spots.at(np.concatenate([row.points for row in job.rows]))
    lengths = [len(row.points) for row in job.rows]
    owner = np.repeat(np.arange(len(job.rows), dtype=np.int32), lengths)
    number = np.concatenate([row.numbers for row in job.rows])
    same = _same_holes(job, spots, owner)
    first = _first_of_each(len(spots), same)
    is_first = first == np.arange(len(spots))
    renumbered = np.cumsum(is_first) - 1
    place = renumbered[first]
    starts = np.cumsum([0, *lengths])
    in_row = tuple(place[start:stop] for start, stop in pairwise(starts))
    refuse_two_sides(job, in_row)
    table = _Interned(job, owner, number)
    for group in _groups(first, same):
        table.join(group)
    others = _placed_elsewhere(spots.points, first)
    return Holes(
        spots=spots if is_first.all() else spots.take(is_first),
        row=owner[is_first],
        number=number[is_first],
        stack=table.stack[is_first],
        installed=table.installed[is_first],
        fit=table.fit[is_first],
        stacks=tuple(table.stacks),
        installed_parts=tuple(table.installed_parts),
        fit_parts=tuple(table.fit_parts),
        in_row=in_row,
        row_names=tuple(row.name for row in job.rows),
        shared=_shared_by_rows(first, owner),
        empty=np.zeros(len(table.stack[is_first]), dtype=bool),
        others=spots.points[others],
        other_of=place[others],
    )


def share_layers(
    layers: Sequence[frozenset[str]], one: NDArray[Any], other: NDArray[Any], least: int = 1
) -> NDArray[np.bool_]:
    """Return which of some pairs, numbers into ``layers``, have so many layers in common.

    Each different pair is looked at once; there are few of them, however many holes there are.
    """
    count = len(layers)
    keys, place = np.unique(one.astype(np.int64) * count + other, return_inverse=True)
    shared = [len(layers[key // count] & layers[key % count]) >= least for key in keys.tolist()]
    return np.asarray(np.array(shared, dtype=bool)[place.reshape(-1)])


def _same_holes(job: Job, spots: Spots, owner: NDArray[np.int32]) -> Pairs:
    near_in = max(job.same_hole_in, _NEIGHBOUR_IN)
    refuse_crowd(spots.points, near_in, lambda hole: job.rows[owner[hole]].name)
    pairs = close_pairs(spots, job.same_hole_in + LIMIT_TOLERANCE)
    # Within a row only a path that closes on itself comes back to the same hole.
    elsewhere = owner[pairs.first] != owner[pairs.second]
    pairs = pairs.where(elsewhere | (pairs.distance_in <= CLOSES_IN))
    layers = [frozenset(place.layer for place in row.layers) for row in job.rows]
    return pairs.where(share_layers(layers, owner[pairs.first], owner[pairs.second]))


def _first_of_each(count: int, same: Pairs) -> NDArray[np.intp]:
    """Return for every hole the lowest-numbered one it is the same as."""
    first = np.arange(count)

    def find(hole: int) -> int:
        while first[hole] != hole:
            first[hole] = first[first[hole]]
            hole = int(first[hole])
        return hole

    for one, other in zip(same.first.tolist(), same.second.tolist(), strict=True):
        low, high = sorted((find(one), find(other)))
        first[high] = low
    while True:
        settled = first[first]
        if np.array_equal(settled, first):
            return first
        first = settled


def _placed_elsewhere(points: Points, first: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return which points stand elsewhere than the point they are the same hole as."""
    later = np.flatnonzero(first != np.arange(len(points)))
    gap = points[later] - points[first[later]]
    return later[np.hypot(gap[:, 0], gap[:, 1]) > CLOSES_IN]


def _shared_by_rows(first: NDArray[np.intp], owner: NDArray[np.int32]) -> int:
    """Return how many holes belong to more than one row; a closed row's own end is none."""
    other_row = owner != owner[first]
    return len(np.unique(first[other_row]))


def _groups(first: NDArray[np.intp], same: Pairs) -> list[list[int]]:
    members: dict[int, list[int]] = {}
    for hole in np.unique(np.concatenate((same.first, same.second))).tolist():
        members.setdefault(int(first[hole]), []).append(hole)
    return list(members.values())


class _Interned:
    """Stacks and parts as numbers, one list entry for each that differs."""

    def __init__(self, job: Job, owner: NDArray[np.int32], number: NDArray[np.int32]) -> None:
        self._rows = job.rows
        self._owner = owner
        self._number = number
        self.stacks: list[Stack] = []
        self.installed_parts: list[Fastener | None] = []
        self.fit_parts: list[Fastener] = []
        self._known: dict[object, int] = {}
        stack = [self._intern(row.layers, self.stacks) for row in job.rows]
        installed = [self._intern(row.installed, self.installed_parts) for row in job.rows]
        fit = [self._intern(row.fit, self.fit_parts) for row in job.rows]
        self.stack = np.array(stack, dtype=np.int32)[owner]
        self.installed = np.array(installed, dtype=np.int32)[owner]
        self.fit = np.array(fit, dtype=np.int32)[owner]

    def _intern(self, item: object, items: list[Any]) -> int:
        key = (id(items), item)
        if key not in self._known:
            self._known[key] = len(items)
            items.append(item)
        return self._known[key]

    def join(self, holes: list[int]) -> None:
        """Make some holes one: the first takes the layers of all."""
        rows = [self._rows[self._owner[hole]] for hole in holes]
        place = " and ".join(
            dict.fromkeys(
                f"row '{row.name}' hole {self._number[hole]}"
                for row, hole in zip(rows, holes, strict=True)
            )
        )
        installed, fit = rows[0].installed, rows[0].fit
        for row in rows[1:]:
            if row.kept != rows[0].kept:
                raise InputError(
                    "the same hole is kept in one row and drilled out in the other",
                    where=place,
                    mend="leave the hole out of one row with 'skip'",
                )
            if row.extra_grip_in != rows[0].extra_grip_in:
                raise InputError(
                    "the same hole has more sealant or lug under it in one row than in the other",
                    where=place,
                    mend="give both rows the same, or leave the hole out of one with 'skip'",
                )
            installed = _one_installed(installed, row.installed, place)
            fit = _one_fit(fit, row.fit, place)
        stack = merge_stacks([row.layers for row in rows], place)
        self.stack[holes[0]] = self._intern(stack, self.stacks)
        self.installed[holes[0]] = self._intern(installed, self.installed_parts)
        self.fit[holes[0]] = self._intern(fit, self.fit_parts)


def merge_stacks(stacks: Sequence[Stack], where: str) -> Stack:
    """Return the union of some stacks, each layer once, the order of all kept.

    What no stack orders stands as a flush head asks for: dimpled layers before the countersunk
    one, and that before plain ones; alike ones as the stacks tell them, the first one first.

    Raises
    ------
    InputError
        When the stacks order their layers differently or form one differently.
    """
    different = tuple(dict.fromkeys(stacks))
    if len(different) == 1:
        return different[0]
    places: dict[str, RowLayer] = {}
    above: dict[str, set[str]] = {}
    for stack in different:
        for place in stack:
            known = places.setdefault(place.layer, place)
            places[place.layer] = _one_place(known, place, where)
            above.setdefault(place.layer, set())
        for upper, lower in pairwise(stack):
            above[lower.layer].add(upper.layer)
    merged = []
    while above:
        free = [name for name, over in above.items() if over.isdisjoint(above)]
        if not free:
            raise InputError(
                f"the rows stack {' and '.join(above)} in different order",
                where=where,
                mend="list the layers of all of them from the same side",
            )
        name = min(free, key=lambda name: _FROM_THE_HEAD.index(places[name].form))
        merged.append(places[name])
        del above[name]
    if all(place.form == "plain" for place in merged) or seats_flush_head(merged):
        return tuple(merged)
    raise InputError(
        "together the rows leave the flush head no seat",
        where=where,
        mend="dimple or countersink whatever lies right under a dimple",
    )


def _one_place(one: RowLayer, other: RowLayer, where: str) -> RowLayer:
    if one.form != other.form:
        raise InputError(
            f"'{one.layer}' is {one.form} in one row and {other.form} in the other",
            where=where,
            mend="form the hole one way in both rows, or leave it out of one with 'skip'",
        )
    if one.old_form != other.old_form:
        raise InputError(
            f"the two rows tell different things of how '{one.layer}' was formed",
            where=where,
            mend="give both rows the same 'old_form', or leave the hole out of one with 'skip'",
        )
    return replace(
        one,
        row_from_edge_in=_least(one.row_from_edge_in, other.row_from_edge_in),
        edge_distance_in=_least(one.edge_distance_in, other.edge_distance_in),
    )


def _least(one: float | None, other: float | None) -> float | None:
    given = [value for value in (one, other) if value is not None]
    return min(given, default=None)


def _one_installed(one: Fastener | None, other: Fastener | None, where: str) -> Fastener | None:
    """Return the rivet that sits in a shared hole; its length is open unless both rows agree."""
    if one is None or other is None:
        return one or other
    _require_same_size(one, other, where, "rivet")
    return one if same_part(one, other) else without_length(one)


def _one_fit(one: Fastener, other: Fastener, where: str) -> Fastener:
    """Return the rivet to fit in a shared hole; its length is computed unless both agree."""
    _require_same_size(one, other, where, "fit")
    return one if same_part(one, other) else without_length(one)


def _require_same_size(one: Fastener, other: Fastener, where: str, key: str) -> None:
    if not same_part(without_length(one), without_length(other)):
        raise InputError(
            f"one hole, two rivets: {one.designation} and {other.designation}",
            where=where,
            mend=f"give both rows the same '{key}', or leave the hole out of one with 'skip'",
        )
