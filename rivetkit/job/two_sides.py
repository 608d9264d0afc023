"""Two rows that hold two skins to one member along one line: the two sides of a structure."""

from __future__ import annotations

from collections import Counter
from itertools import chain, combinations
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from rivetkit.geometry.curves import Points
    from rivetkit.job.model import Job

#: What covers a structure; a row through two of them holds both.
_SKINS = ("sheet", "skin")

#: Rows that cross have at most so many holes in common; with more they run along each other.
_MOST_CROSSINGS = 2

#: A step so much longer than a row's others leaves a gap, for an opening perhaps: what stands in it
#: does not stand in the row.
_GAP = 1.5


def refuse_two_sides(job: Job, in_row: Sequence[NDArray[np.intp]]) -> None:
    """Refuse two rows that run along each other, each through a skin that the other has not.

    These are the two sides of one structure with one member told for both. Where their holes meet
    they would be one hole each, which halves the count and lengthens the rivets; where they do not,
    they would be held to a pitch that is none. Rows that cross share a hole or two, and have more.

    Parameters
    ----------
    job
        The job.
    in_row
        The holes of every row of it in the row's order, each shared one under one number.

    Raises
    ------
    InputError
        When two rows do.
    """
    skins = [
        [place.layer for place in row.layers if job.layers[place.layer].kind in _SKINS]
        for row in job.rows
    ]
    if len({name for names in skins for name in names}) == 1:
        return
    sets = [frozenset(names) for names in skins]
    for one, other, said in chain(_hole_on_hole(in_row), _on_one_line(job, in_row, sets)):
        mine = [name for name in skins[one] if name not in skins[other]]
        theirs = [name for name in skins[other] if name not in skins[one]]
        through = {place.layer for place in job.rows[other].layers}
        common = [place.layer for place in job.rows[one].layers if place.layer in through]
        if not (mine and theirs and common):
            continue
        raise InputError(
            f"they {said} through '{common[0]}', which would rivet '{mine[0]}' and '{theirs[0]}' "
            "together",
            where=f"rows '{job.rows[one].name}' and '{job.rows[other].name}'",
            mend="if the skins lie on two sides, give each side a [[member]] of its own, one for "
            "each flange; if one rivet holds both, write one row with all its layers",
        )


def _hole_on_hole(in_row: Sequence[NDArray[np.intp]]) -> Iterator[tuple[int, int, str]]:
    """Yield the rows half of whose holes, of the shorter one, are the same; they do not cross."""
    rows_of: dict[int, list[int]] = {}
    holes_of = [np.unique(holes) for holes in in_row]
    met = np.bincount(np.concatenate(holes_of))
    for row, holes in enumerate(holes_of):
        for hole in holes[met[holes] > 1].tolist():
            rows_of.setdefault(hole, []).append(row)
    shared = Counter(pair for rows in rows_of.values() for pair in combinations(rows, 2))
    for (one, other), count in shared.items():
        shorter = min(len(holes_of[one]), len(holes_of[other]))
        crossing = count < 2 or (count <= _MOST_CROSSINGS and count < shorter)  # noqa: PLR2004
        if not crossing and 2 * count >= shorter:
            yield one, other, f"have {count} holes in common"


def _on_one_line(
    job: Job, in_row: Sequence[NDArray[np.intp]], skins: Sequence[frozenset[str]]
) -> Iterator[tuple[int, int, str]]:
    """Yield the rows that go from hole to hole where another row does, no rivet's width beside it.

    Where both go between the same two holes they do not count: skins that lap have them in common.
    """
    watched = _watched(job, skins)
    if not watched:
        return
    row, start, step, holes = (
        np.concatenate(parts)
        for parts in zip(*(_steps(job, number, in_row[number]) for number in watched), strict=True)
    )
    width_in = np.array([one.fit.diameter_in for one in job.rows])[row]
    lines = shapely.linestrings(np.stack((start, start + step), axis=1))
    first, second = shapely.STRtree(lines).query(
        lines, predicate="dwithin", distance=width_in.max(initial=0.0)
    )
    other = (row[first] < row[second]) & (holes[first] != holes[second]).any(axis=1)
    first, second = first[other], second[other]
    wide_in = np.maximum(width_in[first], width_in[second])
    along = _along_in(start[first], step[first], start[second], step[second], wide_in) > wide_in
    rows = np.unique(np.column_stack((row[first[along]], row[second[along]])), axis=0)
    for one, two in rows.tolist():
        yield one, two, "run along one line"


def _watched(job: Job, skins: Sequence[frozenset[str]]) -> list[int]:
    """Return the rows that have a layer in common with one through another skin than theirs."""
    layers: dict[frozenset[str], set[str]] = {}
    for names, row in zip(skins, job.rows, strict=True):
        layers.setdefault(names, set()).update(place.layer for place in row.layers)
    common: dict[frozenset[str], set[str]] = {}
    for one, other in combinations(layers, 2):
        if one - other and other - one:
            both = layers[one] & layers[other]
            common.setdefault(one, set()).update(both)
            common.setdefault(other, set()).update(both)
    return [
        number
        for number, (names, row) in enumerate(zip(skins, job.rows, strict=True))
        if row.nutplate is None
        and any(place.layer in common.get(names, ()) for place in row.layers)
    ]


def _steps(
    job: Job, number: int, holes: NDArray[np.intp]
) -> tuple[NDArray[np.intp], Points, Points, NDArray[np.intp]]:
    """Return the steps of a row from hole to hole, without gaps: its number for each, ``(k,)``.

    With where they start ``(k, 2)`` and how far they go ``(k, 2)`` [in], and the two holes of each
    ``(k, 2)``, the lower number first.
    """
    points = job.rows[number].points
    step = np.diff(points, axis=0)
    length_in = np.hypot(step[:, 0], step[:, 1])
    ends = np.sort(np.column_stack((holes[:-1], holes[1:])), axis=1)
    if len(step):
        kept = (length_in <= _GAP * np.median(length_in)) & (ends[:, 0] != ends[:, 1])
        return np.full(kept.sum(), number), points[:-1][kept], step[kept], ends[kept]
    return np.zeros(0, dtype=np.intp), points[:0], step, ends


def _along_in(
    start: Points,
    step: Points,
    other_start: Points,
    other_step: Points,
    wide_in: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return how far pairs of steps lie along each other, ``(n,)`` [in].

    Nought where they are apart by more than ``wide_in`` [in] at an end of what they have abreast.
    """
    length_in = np.hypot(step[:, 0], step[:, 1])
    way = step / length_in[:, np.newaxis]
    gap, end = other_start - start, other_start + other_step - start
    ahead, ahead_end = (gap * way).sum(axis=1), (end * way).sum(axis=1)
    off, off_end = (way[:, 0] * to[:, 1] - way[:, 1] * to[:, 0] for to in (gap, end))
    low_in = np.maximum(np.minimum(ahead, ahead_end), 0.0)
    high_in = np.minimum(np.maximum(ahead, ahead_end), length_in)
    run_in = np.where(ahead == ahead_end, np.inf, ahead_end - ahead)  # square to it: no length
    near = np.ones(len(length_in), dtype=bool)
    for at_in in (low_in, high_in):
        near &= np.abs(off + (off_end - off) * (at_in - ahead) / run_in) <= wide_in
    return np.where(near, np.maximum(high_in - low_in, 0.0), 0.0)
