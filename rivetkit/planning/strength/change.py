"""As strong as before: every row whose rivets, sheets or holes change, against what it was."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.checks import not_checked
from rivetkit.planning.strength.joint_loads import Load, Loads, Side
from rivetkit.planning.strength.not_weaker import not_weaker
from rivetkit.planning.strength.ratio import STRENGTH_RATIO, Bound, Part, judge_ratio, rivets_needed
from rivetkit.planning.strength.row_joints import AlikeHoles, RowJoints

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rivetkit.checks import Check
    from rivetkit.job.model import Row
    from rivetkit.planning.context import Context
    from rivetkit.planning.measured import HoleFix


@dataclass(frozen=True, slots=True)
class SheetChange:
    """A layer of a row that is another one afterwards: alloy and thickness [in], None for none."""

    layer: str
    old_alloy: str
    old_in: float | None
    new_alloy: str
    new_in: float | None


@dataclass(frozen=True, slots=True)
class RowSide:
    """What a row, or some rows together, carries on one side of the work.

    Loads [lbf] are none where nobody can tell; ``each_lbf`` is the whole by the rivets that were
    there before. ``per_in_lbf`` is none without a pitch. ``critical`` is what gives way first in
    the weakest joint, ``why`` what keeps the load from being known.
    """

    rivets: tuple[tuple[str, int], ...]
    whole_lbf: float | None
    each_lbf: float | None
    per_in_lbf: float | None
    critical: str
    why: str

    @property
    def count(self) -> int:
        """How many rivets carry."""
        return sum(count for _, count in self.rivets)


@dataclass(frozen=True, slots=True)
class StrengthChange:
    """One row's strength before and after, or that of a row and the new rows in its layers, or of
    rows that are taken out and of those that replace them.

    ``rows`` names those that have rivets afterwards. ``count`` is how many rivets there were.
    ``bound`` says how the check's value is to be read; ``like_for_like`` that no joint of it can be
    weaker, whatever its strength. ``needed`` is how many of the new rivets would carry as much,
    where they are too few.
    """

    row: str
    count: int
    before: RowSide
    after: RowSide
    sheets: tuple[SheetChange, ...]
    bound: Bound
    like_for_like: bool
    needed: int | None
    notes: tuple[str, ...]
    check: Check
    rows: tuple[str, ...]

    @property
    def before_lbf(self) -> float | None:
        """What one rivet carried [lbf]."""
        return self.before.each_lbf

    @property
    def after_lbf(self) -> float | None:
        """What the row will carry by each rivet there was [lbf]."""
        return self.after.each_lbf

    @property
    def critical_before(self) -> str:
        """What gave way first."""
        return self.before.critical

    @property
    def critical_after(self) -> str:
        """What will give way first."""
        return self.after.critical


def strength_changes(
    before: Context,
    after: Context,
    fixes: Iterable[HoleFix] = (),
    *,
    removed: Context | None = None,
) -> tuple[StrengthChange, ...]:
    """Return the rows that change, strength before and after.

    Rows whose rivets are kept are left out, and those that go back as they were. New rows through
    the very layers of a row that changes carry with it, unless they replace another. Rows that are
    taken out stand against all that replace them, together.

    Parameters
    ----------
    before, after
        The job as it is, and with every repair in it; the holes are the same ones.
    fixes
        What measured holes need.
    removed
        The rows whose rivets come out for good.

    References
    ----------
    AC 43.13-1B par 4-57b, p 4-16: no weaker type unless size or number makes up for it.
    """
    return tuple(_Judge(before, after, fixes, removed).changes())


class _Judge:
    """Compares row after row."""

    def __init__(
        self,
        before: Context,
        after: Context,
        fixes: Iterable[HoleFix],
        removed: Context | None,
    ) -> None:
        self._context = after
        self._removed = removed
        self._joints = RowJoints(before, after, fixes)
        self._loads = Loads(after)
        self._points = before.holes.points

    def changes(self) -> Iterator[StrengthChange]:
        """Yield the changes, rows in the job's order."""
        rows = self._context.job.rows
        added = self._new_rows()
        for number, row in enumerate(rows):
            if row.kept or row.installed is None or row.replaces:
                continue
            found = self._joints.row(number)
            if not any(one.changed for one in found):
                continue
            helpers = added.pop(_layers_of(row), []) if row.nutplate is None else []
            more = [one for helper in helpers for one in self._joints.row(helper)]
            carry = (row, *(rows[helper] for helper in helpers))
            name = " with ".join(one.name for one in carry)
            yield self._change(name, (*found, *more), carry, self._pitch_in(number))
        yield from self._replaced()

    def _replaced(self) -> Iterator[StrengthChange]:
        """Yield the rows that are taken out, each with all that are tied to it by 'replaces'."""
        if self._removed is None:
            return
        rows, gone = self._context.job.rows, self._removed.job.rows
        joints = RowJoints(self._removed, self._removed, ())
        for olds, numbers in _tied(gone, rows):
            was = [
                replace(one, after=None, taken_out=True) for old in olds for one in joints.row(old)
            ]
            now = [one for number in numbers for one in self._joints.row(number)]
            names = [", ".join(gone[old].name for old in olds)]
            names += [", ".join(rows[number].name for number in numbers)] if numbers else []
            members = (*(gone[old] for old in olds), *(rows[number] for number in numbers))
            change = self._change(" replaced by ".join(names), (*was, *now), members, None)
            yield change if numbers else _not_replaced(change)

    def _new_rows(self) -> dict[frozenset[str], list[int]]:
        """Return the new rows by the layers they go through."""
        found: dict[frozenset[str], list[int]] = {}
        for number, row in enumerate(self._context.job.rows):
            if row.installed is None and row.nutplate is None and not row.replaces:
                found.setdefault(_layers_of(row), []).append(number)
        return found

    def _change(
        self,
        name: str,
        holes: tuple[AlikeHoles, ...],
        rows: tuple[Row, ...],
        pitch_in: float | None,
    ) -> StrengthChange:
        parts = tuple(self._part(one) for one in holes)
        was = [(one.holes.before, one.before, one.holes.count) for one in parts]
        now = [(one.holes.after, one.after, one.holes.count) for one in parts]
        count = sum(n for side, _, n in was if side is not None)
        before = _row_side(was, count, pitch_in)
        after = _row_side(now, count, pitch_in)
        bound, check = judge_ratio(parts, self._context.book)
        like = all(one.not_weaker is not None for one in parts if one.holes.before is not None)
        return StrengthChange(
            row=name,
            count=count,
            before=before,
            after=after,
            sheets=self._sheets(rows),
            bound=bound,
            like_for_like=like and bound == "at least",
            needed=rivets_needed(parts, check),
            notes=_notes(parts),
            check=check,
            rows=tuple(row.name for row in rows if row in self._context.job.rows),
        )

    def _part(self, holes: AlikeHoles) -> Part:
        return Part(
            holes,
            self._loads.of(holes.before),
            self._loads.of(holes.after),
            not_weaker(holes, self._context.book),
        )

    def _sheets(self, rows: tuple[Row, ...]) -> tuple[SheetChange, ...]:
        """Return the layers of some rows that are not what they were."""
        names = dict.fromkeys(place.layer for row in rows for place in row.layers)
        layers = [self._context.job.layers[name] for name in names]
        return tuple(
            SheetChange(
                layer.name,
                layer.old.alloy if layer.old else "",
                layer.old.thickness_in if layer.old else None,
                layer.new.alloy if layer.new else "",
                layer.new.thickness_in if layer.new else None,
            )
            for layer in layers
            if layer.old != layer.new
        )

    def _pitch_in(self, number: int) -> float | None:
        """Return the mean pitch of a row [in]; none for a single hole and for nutplates."""
        places = self._context.holes.in_row[number]
        if len(places) < 2 or self._context.job.rows[number].nutplate is not None:  # noqa: PLR2004
            return None
        steps = np.diff(self._points[places], axis=0)
        return float(np.hypot(steps[:, 0], steps[:, 1]).sum()) / (len(places) - 1)


def _tied(gone: tuple[Row, ...], rows: tuple[Row, ...]) -> list[tuple[list[int], list[int]]]:
    """Return the rows that are taken out and those that replace them, tied ones together."""
    place = {row.name: number for number, row in enumerate(gone)}
    group = list(range(len(gone)))
    for row in rows:
        ties = {group[place[name]] for name in row.replaces}
        group = [min(ties) if one in ties else one for one in group]
    return [
        (
            [old for old in range(len(gone)) if group[old] == one],
            [
                number
                for number, row in enumerate(rows)
                if any(group[place[name]] == one for name in row.replaces)
            ],
        )
        for one in dict.fromkeys(group)
    ]


def _not_replaced(change: StrengthChange) -> StrengthChange:
    check = not_checked(
        STRENGTH_RATIO,
        "taken out and not replaced: name it in 'replaces' of the rows that take its load over",
        citations=change.check.citations,
    )
    return replace(change, bound="", like_for_like=False, needed=None, check=check)


def _layers_of(row: Row) -> frozenset[str]:
    return frozenset(place.layer for place in row.layers)


def _row_side(
    sides: list[tuple[Side | None, Load, int]], count: int, pitch_in: float | None
) -> RowSide:
    rivets: Counter[str] = Counter()
    for side, _, number in sides:
        if side is not None:
            rivets[side.part.designation] += number
    there = [(load, number) for side, load, number in sides if side is not None]
    known = all(load.known for load, _ in there)
    whole_lbf = sum(load.least_lbf * number for load, number in there) if known else None
    weakest = min((load for load, _ in there), key=lambda load: load.least_lbf, default=None)
    each_lbf = None if whole_lbf is None else round(whole_lbf / count, 6)
    per_in = None if whole_lbf is None or not pitch_in else whole_lbf / (count * pitch_in)
    return RowSide(
        rivets=tuple(rivets.items()),
        whole_lbf=whole_lbf,
        each_lbf=each_lbf,
        per_in_lbf=per_in,
        critical=weakest.critical if known and weakest is not None else "",
        why=next((load.why for load, _ in there if load.why), ""),
    )


def _notes(parts: tuple[Part, ...]) -> tuple[str, ...]:
    notes = dict.fromkeys(one.after.note for one in parts if one.after.note)
    open_holes = [one.holes for one in parts if one.holes.after is None]
    lost = sum(holes.count for holes in open_holes if not holes.taken_out)
    if lost:
        notes[f"{lost} measured hole{'s take' if lost > 1 else ' takes'} no rivet"] = None
    for name in dict.fromkeys(name for one in parts for name in one.holes.added):
        notes[f"{name} is added and not counted on"] = None
    return tuple(notes)
