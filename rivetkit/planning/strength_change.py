"""As strong as before: every row whose rivets, sheets or holes change, against what it was."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.joint_strength import JointStrength, StrengthLayer, joint_strength
from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.errors import RivetkitError
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.fasteners.part_number import canonical_designation
from rivetkit.handbook import Citation
from rivetkit.planning.nearby import NearEdges, near_edges
from rivetkit.planning.told_edges import told_edges

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from rivetkit.job.holes import Stack
    from rivetkit.planning.context import Context, HoleGroup

STRENGTH_RATIO = "strength, after against before"

#: Edges this much apart [in] are one edge: rounding of coordinates, no more.
_SAME_EDGE_DECIMALS = 9

_NOT_WEAKER = Citation(
    rule="not-weaker",
    source="rivetkit-derived",
    locator="like rivets in like places, every sheet as thick or thicker, of the same alloy",
    basis="derived",
)


@dataclass(frozen=True, slots=True)
class StrengthChange:
    """One row's strength a rivet [lbf] before and after, and what gives way first each time.

    A strength nobody can tell is None; ``like_for_like`` says that it cannot be less all the same.
    """

    row: str
    count: int
    before_lbf: float | None
    after_lbf: float | None
    critical_before: str
    critical_after: str
    like_for_like: bool
    check: Check


@dataclass(frozen=True, slots=True)
class _Group:
    """Holes of a row that carry alike."""

    part: Fastener
    layers: tuple[StrengthLayer, ...]
    count: int


def strength_changes(before: Context, after: Context) -> tuple[StrengthChange, ...]:
    """Return the rows that change, strength before and after.

    Rows whose rivets are kept or new are left out, and those that go back as they were.

    Parameters
    ----------
    before, after
        The job as it is, and with every repair in it; the holes are the same ones.
    """
    judge = _Judge(before, after)
    return tuple(
        change
        for number, row in enumerate(after.job.rows)
        if not row.kept and row.installed is not None
        for change in judge.row(number)
    )


class _Judge:
    """Looks every different joint up once."""

    def __init__(self, before: Context, after: Context) -> None:
        self._before, self._after = before, after
        contexts = {id(before): before, id(after): after}
        self._edges = {key: near_edges(context) for key, context in contexts.items()}
        self._joints: dict[object, JointStrength | str] = {}
        self._by_row: dict[int, dict[int, list[HoleGroup]]] = {id(before): {}, id(after): {}}
        for context in contexts.values():
            for group in context.groups:
                self._by_row[id(context)].setdefault(id(group.row), []).append(group)

    def row(self, number: int) -> Iterator[StrengthChange]:
        """Yield the change of one row, if it changes."""
        old = self._groups(self._before, number, new=False)
        new = self._groups(self._after, number, new=True)
        if sorted(map(_likeness, old)) == sorted(map(_likeness, new)):
            return
        name = self._after.job.rows[number].name
        before_lbf, critical_before, why_before = self._total(old)
        after_lbf, critical_after, why_after = self._total(new)
        count = sum(group.count for group in new)
        like = before_lbf is None or after_lbf is None
        like = like and self._like_for_like(number)
        yield StrengthChange(
            row=name,
            count=count,
            before_lbf=before_lbf,
            after_lbf=after_lbf,
            critical_before=critical_before,
            critical_after=critical_after,
            like_for_like=like,
            check=self._check(before_lbf, after_lbf, why_before or why_after, like=like),
        )

    def _groups(self, context: Context, number: int, *, new: bool) -> list[_Group]:
        groups = []
        for group in self._by_row[id(context)].get(id(context.job.rows[number]), []):
            part = group.fit if new else group.installed
            if part is None:
                continue
            layers = tuple(self._layers(context, group.stack, group.holes, new=new))
            groups.append(_Group(without_length(part), layers, group.count))
        return groups

    def _layers(
        self, context: Context, stack: Stack, holes: NDArray[np.intp], *, new: bool
    ) -> Iterator[StrengthLayer]:
        edges: dict[str, NearEdges] = self._edges[id(context)]
        for place in stack:
            layer = context.job.layers[place.layer]
            state = layer.new if new else layer.old
            if state is None:
                continue
            near = edges.get(place.layer)
            told_in = [edge.distance_in for edge in told_edges(layer, place)]
            known_in = [one_in for one_in in told_in if one_in is not None]
            edge_in = min(known_in) if len(known_in) == len(told_in) else None
            if near is not None:
                edge_in = round(float(near.distance_in[holes].min()), _SAME_EDGE_DECIMALS)
            yield StrengthLayer(place.layer, state.alloy, state.thickness_in, edge_in, place.form)

    def _joint(self, group: _Group) -> JointStrength | str:
        """Return the joint of one rivet, or why there is none."""
        key = (group.part, group.layers)
        if key not in self._joints:
            try:
                self._joints[key] = joint_strength(group.part, group.layers, self._after.book)
            except RivetkitError as error:
                self._joints[key] = error.what
        return self._joints[key]

    def _total(self, groups: list[_Group]) -> tuple[float | None, str, str]:
        """Return strength a rivet [lbf], what gives way first, and why the strength is unknown."""
        total_lbf, weakest, why = 0.0, ("", np.inf), ""
        for group in groups:
            joint = self._joint(group)
            load_lbf = None if isinstance(joint, str) else joint.allowable_lbf
            if isinstance(joint, str) or load_lbf is None:
                reasons = [joint] if isinstance(joint, str) else [c.reason for c in joint.checks]
                why = why or next((reason for reason in reasons if reason), "strength not on file")
                continue
            total_lbf += load_lbf * group.count
            if load_lbf < weakest[1]:
                weakest = (joint.critical or "", load_lbf)
        if why:
            return None, "", why
        count = sum(group.count for group in groups)
        return round(total_lbf / count, 6), weakest[0], ""

    def _like_for_like(self, number: int) -> bool:
        """Return whether no hole of a row can carry less.

        That is so where rivet, alloys and edges stay and no sheet gets thinner.
        """
        members = np.unique(self._after.holes.in_row[number])
        moved = self._before.holes.points[members] != self._after.holes.points[members]
        if moved.any():
            return False
        return all(
            self._hole_like_for_like(installed, fit, self._after.holes.stacks[stack])
            for installed, fit, stack in {
                (int(a), int(b), int(c))
                for a, b, c in zip(
                    self._before.holes.installed[members],
                    self._after.holes.fit[members],
                    self._after.holes.stack[members],
                    strict=True,
                )
            }
        )

    def _hole_like_for_like(self, installed: int, fit: int, stack: Stack) -> bool:
        old = self._before.holes.installed_parts[installed]
        new = self._after.holes.fit_parts[fit]
        if old is None or _name(old) != _name(new):
            return False
        for place in stack:
            layer = self._after.job.layers[place.layer]
            if layer.old is None or layer.new is None or layer.old.alloy != layer.new.alloy:
                return False
            if layer.new.thickness_in < layer.old.thickness_in:
                return False
        return True

    def _check(
        self, before_lbf: float | None, after_lbf: float | None, why: str, *, like: bool
    ) -> Check:
        rule = self._after.book.rule("strength_ratio_min")
        if before_lbf and after_lbf is not None:
            return make_check(
                STRENGTH_RATIO,
                round(after_lbf / before_lbf, 9),
                rule.value,
                unit="",
                comparison="at least",
                citations=(rule.citation,),
                template="{P1} / {P0} >= {r}",
                terms=(
                    Term("P1", after_lbf, "lbf"),
                    Term("P0", before_lbf, "lbf"),
                    Term("r", rule.value),
                ),
            )
        if like:
            return make_check(
                STRENGTH_RATIO,
                1.0,
                rule.value,
                unit="",
                comparison="at least",
                citations=(rule.citation, _NOT_WEAKER),
                template="after / before, at least: {q} >= {r}",
                terms=(Term("q", 1.0), Term("r", rule.value)),
            )
        return not_checked(STRENGTH_RATIO, why, citations=(rule.citation,))


def _likeness(group: _Group) -> tuple[str, str, int]:
    return (
        _name(group.part),
        repr([(x.alloy, x.thickness_in, x.edge_in, x.form) for x in group.layers]),
        group.count,
    )


def _name(part: Fastener) -> str:
    return canonical_designation(without_length(part))
