"""The tables of a plan, one function each; the same cells serve every format."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from rivetkit.calculators.mass import rivet_mass_lb
from rivetkit.handbook.sources import weakest_basis
from rivetkit.reports.amounts import (
    bought_size,
    length_number,
    margin_number,
    mass_number,
    mass_unit,
    moment_number,
    moment_unit,
)
from rivetkit.reports.arithmetic import working_basis
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import Column, Table, basis_mark

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rivetkit.planning.balance import Balance
    from rivetkit.planning.edges import EdgeMargin
    from rivetkit.planning.plan import Plan
    from rivetkit.planning.removal import RemovalLine
    from rivetkit.reports.amounts import LengthUnit

#: Longest table a person reads; of a longer one the worst lines are shown.
MOST_LINES = 60

_GUESSED = "? = length not given in the job, computed from the old stack."

LineT = TypeVar("LineT")


def worst_lines(
    lines: Sequence[LineT], badness: Callable[[LineT], float] | None = None
) -> tuple[Sequence[LineT], str]:
    """Return the lines to print, and what to say of those left out; the first ones if all alike."""
    if len(lines) <= MOST_LINES:
        return lines, ""
    shown = lines if badness is None else sorted(lines, key=badness)
    which = "first" if badness is None else "closest"
    return shown[:MOST_LINES], f"The {MOST_LINES} {which} of {len(lines)}; --json has them all."


def drill_out_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Rivets to take out, by part and row."""
    rows = []
    for line in plan.removal:
        depth = "see drill-out"
        if line.card.depth_in is not None:
            depth = length_number(line.card.depth_in, length_unit)
        part = line.part.designation + (" ?" if line.length_computed else "")
        rows.append(
            (
                part,
                line.row,
                str(line.count),
                bought_size(line.card.drill.designation, length_unit),
                depth,
                "none" if line.card.punch is None else str(line.card.punch),
                basis_mark(_removal_basis(line)),
            )
        )
    caption = ""
    if any(line.length_computed for line in plan.removal):
        caption = _GUESSED
    columns = (
        Column("part"),
        Column("row", wrap=True),
        Column("count", align="right"),
        Column("head drill", weight=9),
        Column("depth", length_unit, align="right", weight=8),
        Column("punch", "in", align="right", weight=7),
        Column("rests on", weight=6),
    )
    return Table(columns, tuple(rows), caption)


def _removal_basis(line: RemovalLine) -> str:
    """Return the weakest basis among the method, its drill and its depth."""
    method = line.card.method
    workings = [method.size, *([method.depth] if method.depth is not None else [])]
    return weakest_basis((method.citation.basis, *(working_basis(one) for one in workings)))


def fit_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Rivets to fit and to order, by part."""
    rows = []
    for line in plan.parts:
        mass = "" if line.net_mass_lb is None else mass_number(line.net_mass_lb, length_unit)
        rows.append(
            (
                line.part.designation,
                str(line.quantity.net),
                str(line.quantity.spares),
                str(line.quantity.order),
                mass,
                _row_words(line.rows),
            )
        )
    total = sum(line.quantity.net for line in plan.parts)
    spares = sum(line.quantity.spares for line in plan.parts)
    order = sum(line.quantity.order for line in plan.parts)
    known = [line.net_mass_lb for line in plan.parts if line.net_mass_lb is not None]
    mass = "" if len(known) < len(plan.parts) else mass_number(sum(known), length_unit)
    if len(rows) > 1:
        rows.append(("all", str(total), str(spares), str(order), mass, ""))
    columns = (
        Column("part"),
        Column("to fit", align="right"),
        Column("spares", align="right", weight=8),
        Column("order", align="right"),
        Column("mass computed", mass_unit(length_unit), align="right", weight=7),
        Column("where", weight=6, wrap=True),
    )
    unknown = [line.part.designation for line in plan.parts if line.net_mass_lb is None]
    caption = f"No mass can be computed for {', '.join(unknown)}." if unknown else ""
    masses = [mass for mass in (rivet_mass_lb(line.part) for line in plan.parts) if mass]
    mark = basis_mark(weakest_basis(tuple(c.basis for mass in masses for c in mass.citations)))
    if masses and mark:
        caption = f"Masses rest on sizes and densities {mark}. {caption}".strip()
    return Table(columns, tuple(rows), caption)


def _row_words(rows: Sequence[tuple[str, int]], most: int = 4) -> str:
    shown = ", ".join(f"{name} {count}" for name, count in rows[:most])
    more = len(rows) - most
    return shown + (f" and {more} more row{'s' if more > 1 else ''}" if more > 0 else "")


def length_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Where another part goes back than came out."""
    counts: dict[tuple[str, ...], int] = {}
    for item in plan.fitted:
        if not item.length_changes or item.old_part is None:
            continue
        key = (
            item.group.row.name,
            item.old_part.designation + (" ?" if item.old_computed else ""),
            item.new_part.designation,
            length_number(item.old_grip_in, length_unit),
            length_number(item.new_grip_in, length_unit),
        )
        counts[key] = counts.get(key, 0) + item.group.count
    columns = (
        Column("row", wrap=True),
        Column("came out"),
        Column("goes back"),
        Column("old grip", length_unit, align="right", weight=8),
        Column("new grip", length_unit, align="right", weight=8),
        Column("count", align="right"),
    )
    rows = tuple((*key, str(count)) for key, count in counts.items())
    return Table(columns, rows, _GUESSED if any(" ?" in key[1] for key in counts) else "")


def edge_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Least edge distance of every row in every layer."""
    lines, caption = worst_lines(plan.edges.by_row, _edge_badness)
    return _edge_table("layer", lines, caption, length_unit)


def per_edge_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Least distance to every edge of every sheet."""
    lines, caption = worst_lines(plan.edges.by_edge, _edge_badness)
    return _edge_table("sheet", lines, caption, length_unit)


def _edge_table(
    first: str, lines: Sequence[EdgeMargin], caption: str, length_unit: LengthUnit
) -> Table:
    columns = (
        Column(first, wrap=True),
        Column("row:hole", wrap=True),
        Column("nearest edge", weight=9, wrap=True),
        Column("edge", length_unit, align="right"),
        Column("edge", "D", align="right"),
        Column("least", length_unit, align="right", weight=8),
        Column("margin", length_unit, align="right", weight=7),
        Column("verdict"),
    )
    rows = tuple((line.layer, *_edge_cells(line, length_unit)) for line in lines)
    return Table(columns, rows, caption)


def _edge_badness(line: EdgeMargin) -> float:
    return float("-inf") if line.check.margin is None else line.check.margin


def _edge_cells(line: EdgeMargin, length_unit: LengthUnit) -> tuple[str, ...]:
    distance = multiple = limit = margin = ""
    if line.distance_in is not None and line.multiple is not None:
        distance = length_number(line.distance_in, length_unit)
        multiple = f"{line.multiple:.2f}"
    if line.check.limit is not None and line.check.margin is not None:
        limit = length_number(line.check.limit, length_unit)
        margin = margin_number(line.check.margin, "in", length_unit)
    verdict = VERDICT_WORDS[line.check.verdict]
    return (_hole_words(line), line.edge, distance, multiple, limit, margin, verdict)


def _hole_words(line: EdgeMargin) -> str:
    """Return a hole's name; of one that two rows share, whose nearest it is as well."""
    if not line.hole or line.hole.startswith(f"{line.row}:"):
        return line.hole or line.row
    return f"{line.row} at {line.hole}"


def pitch_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Least and greatest pitch of every row."""

    def badness(line: object) -> float:
        return min(check.margin or 0.0 for check in line.checks)  # type: ignore[attr-defined]

    lines, caption = worst_lines(plan.pitches.along, badness)
    rows = []
    for line in lines:
        least, greatest = line.checks
        rows.append(
            (
                line.row,
                str(line.count),
                length_number(line.least_in, length_unit),
                f"min {length_number(least.limit or 0.0, length_unit)}",
                VERDICT_WORDS[least.verdict],
                length_number(line.greatest_in, length_unit),
                f"max {length_number(greatest.limit or 0.0, length_unit)}",
                VERDICT_WORDS[greatest.verdict],
                " to ".join(line.greatest_between)
                if greatest.verdict != "pass"
                else " to ".join(line.least_between),
            )
        )
    columns = (
        Column("row", wrap=True),
        Column("holes", align="right", weight=8),
        Column("least", length_unit, align="right"),
        Column("limit", length_unit, align="right", weight=7),
        Column("verdict"),
        Column("greatest", length_unit, align="right"),
        Column("limit", length_unit, align="right", weight=7),
        Column("verdict"),
        Column("between", weight=5, wrap=True),
    )
    return Table(columns, tuple(rows), caption)


def across_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Where holes of two rows come near each other, and what they are held to there."""
    lines, caption = worst_lines(plan.pitches.across, lambda gap: gap.check.margin or 0.0)
    rows = [
        (
            line.holes[0],
            line.holes[1],
            length_number(line.distance_in, length_unit),
            line.check.name,
            length_number(line.check.value or 0.0, length_unit),
            length_number(line.check.limit or 0.0, length_unit),
            margin_number(line.check.margin or 0.0, "in", length_unit),
            VERDICT_WORDS[line.check.verdict],
        )
        for line in lines
    ]
    columns = (
        Column("hole", wrap=True),
        Column("nearest hole", wrap=True),
        Column("distance", length_unit, align="right", weight=7),
        Column("held to", weight=7),
        Column("value", length_unit, align="right", weight=7),
        Column("least", length_unit, align="right", weight=9),
        Column("margin", length_unit, align="right", weight=8),
        Column("verdict"),
    )
    return Table(columns, tuple(rows), caption)


def tool_table(plan: Plan, length_unit: LengthUnit) -> Table:
    """Tools to lay out."""
    columns = (
        Column("tool"),
        Column("size", wrap=True),
        Column("count", align="right", weight=8),
        Column("for", weight=9, wrap=True),
    )
    rows = tuple(
        (
            tool.tool,
            bought_size(tool.size, length_unit),
            "" if tool.count is None else str(tool.count),
            tool.purpose,
        )
        for tool in plan.tools.tools
    )
    return Table(columns, rows)


def balance_table(balance: Balance, length_unit: LengthUnit) -> Table:
    """Change of mass and moment about the hinge."""
    rows = [
        (
            line.what,
            mass_number(line.mass_lb, length_unit, sign="+", more=1),
            length_number(line.arm_in, length_unit),
            moment_number(line.moment_lb_in, length_unit),
        )
        for line in balance.lines
    ]
    mass_lb, moment_lb_in = balance.mass_lb, balance.moment_lb_in
    if mass_lb is not None and moment_lb_in is not None:
        mass = mass_number(mass_lb, length_unit, sign="+", more=1)
        rows.append(("all", mass, "", moment_number(moment_lb_in, length_unit)))
    columns = (
        Column("part"),
        Column("mass", mass_unit(length_unit), align="right"),
        Column("arm", length_unit, align="right", weight=8),
        Column("moment", moment_unit(length_unit), align="right"),
    )
    mark = basis_mark(weakest_basis(tuple(citation.basis for citation in balance.citations)))
    caption = f"Rests on sizes and densities {mark}." if mark else ""
    return Table(columns, tuple(rows), caption)
