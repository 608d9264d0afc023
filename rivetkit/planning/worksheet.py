"""What stands on the sheet for the bench: every hole to be drilled out, and its limits."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rivetkit.calculators.oversize.candidates import HoleLimits, hole_limits
from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.catalogue import rivet_hole
from rivetkit.fasteners.fastener import without_length
from rivetkit.job.holes import lay_out
from rivetkit.job.worksheet.sheet import KnownHole, SheetLine
from rivetkit.planning.context import Context
from rivetkit.planning.near_edges import nearest_of
from rivetkit.planning.told_edges import told_at
from rivetkit.rules import RuleBook

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.job.model import Job


def worksheet_lines(job: Job, rows: Sequence[str] = ()) -> tuple[SheetLine, ...]:
    """Return the lines of the worksheet, holes in the job's order; kept rivets are left out.

    Raises
    ------
    InputError
        When the job has no such row.
    """
    names = [row.name for row in job.rows]
    for row in rows:
        if row not in names:
            raise InputError(
                f"the job has no row '{row}'", where="--row", mend=f"rows are {', '.join(names)}"
            )
    book = RuleBook.named(job.rule_set, job.overrides)
    holes = lay_out(job)
    context = Context(job, holes, book)
    told = _Told(context)
    sizes = [_sizes(without_length(part), book) for part in holes.fit_parts]
    lines = []
    for hole in range(len(holes)):
        row = job.rows[holes.row[hole]]
        if row.kept or (rows and row.name not in rows):
            continue
        edge = _nearest_edge(context, told, hole)
        part, nominal_in, limits = sizes[holes.fit[hole]]
        lines.append(
            SheetLine(
                hole=holes.name(hole),
                x_in=float(holes.points[hole, 0]),
                y_in=float(holes.points[hole, 1]),
                edge=edge,
                part=part.designation,
                hole_in=nominal_in,
                least_in=None if limits is None else limits.least_in,
                greatest_in=None if limits is None else limits.most_in,
            )
        )
    return tuple(lines)


def known_holes(job: Job) -> dict[str, KnownHole]:
    """Return every hole of a job by its id, kept rivets too, to hold a filled sheet against.

    Raises
    ------
    InputError
        When rows that share a hole disagree.
    """
    book = RuleBook.named(job.rule_set, job.overrides)
    holes = lay_out(job)
    fit_in = [_nominal_in(part, book) for part in holes.fit_parts]
    old_in = [_nominal_in(part, book) for part in holes.installed_parts]
    return {
        holes.name(hole): KnownHole(x_in, y_in, (*fit_in[fit], *old_in[old]))
        for hole, ((x_in, y_in), fit, old) in enumerate(
            zip(holes.points.tolist(), holes.fit.tolist(), holes.installed.tolist(), strict=True)
        )
    }


def _nominal_in(part: Fastener | None, book: RuleBook) -> tuple[float, ...]:
    """Return the hole of a rivet [in], its shank where no table has one; nothing for no rivet."""
    if part is None:
        return ()
    try:
        hole_in = rivet_hole(without_length(part), book).hole_in
    except OutOfTableError:
        hole_in = None
    return (part.diameter_in if hole_in is None else hole_in,)


class _Told:
    """The nearest edge at a hole that is told by its distance alone; looked up once a stack."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._known: dict[tuple[int, int, bool], tuple[float, str]] = {}

    def nearest(self, hole: int) -> tuple[float, str]:
        """Return the least distance the edge may have [in], infinite for none, and its name."""
        context, holes = self._context, self._context.holes
        at_end = bool(context.at_row_ends[hole])
        key = (int(holes.row[hole]), int(holes.stack[hole]), at_end)
        if key not in self._known:
            told = (
                (edge.least_in, f"{edge.kind} of {layer}")
                for layer, edge in told_at(context, *key[:2])
                if edge.least_in is not None and (at_end or not edge.at_ends)
            )
            self._known[key] = min(told, default=(math.inf, ""))
        return self._known[key]


def _nearest_edge(context: Context, told: _Told, hole: int) -> str:
    """Return the nearest edge by name, drawn or told; empty when none is known."""
    told_in, name = told.nearest(hole)
    nearest = nearest_of(context.near_edges.values(), hole)
    if nearest is None:
        return name
    near, place = nearest
    if told_in < near.distance_in[place] - LIMIT_TOLERANCE:
        return name
    return f"{near.names[near.edge[place]]} of {near.layer}"


def _sizes(part: Fastener, book: RuleBook) -> tuple[Fastener, float | None, HoleLimits | None]:
    return part, rivet_hole(part, book).hole_in, hole_limits(part, book)
