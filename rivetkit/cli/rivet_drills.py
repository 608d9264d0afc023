"""The drills documents name for rivets: where they differ for solid ones, all for blind ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rivetkit.handbook.rows.holes import RivetHoleRow
    from rivetkit.reports.lookups.drills_report import NamedDrill
    from rivetkit.rules import RuleBook


def drills_that_differ(book: RuleBook) -> tuple[NamedDrill, ...]:
    """Return every document's drill for the solid rivets whose drill they do not agree on.

    Parameters
    ----------
    book
        Picks the document whose hole limits the drills are held to.
    """
    from rivetkit.fasteners.grammar import to_inches
    from rivetkit.handbook import load_table
    from rivetkit.handbook.rows.holes import RivetHoleRow

    rows = [row for row in load_table(RivetHoleRow) if row.family == "solid"]
    scheme = book.choice("rivet_hole_limits_solid").choice
    limits = {_size(row): row for row in rows if row.scheme == scheme}
    drills: dict[object, set[str]] = {}
    for row in rows:
        drills.setdefault(_size(row), set()).update({row.drill} - {""})
    found = []
    for row in sorted(rows, key=lambda row: to_inches(row.diameter, row.unit)):
        bounds = limits.get(_size(row))
        if not row.drill or len(drills[_size(row)]) == 1:
            continue
        found.append(_named(row, bounds))
    return tuple(found)


def blind_drills() -> dict[str, tuple[NamedDrill, ...]]:
    """Return the drills of blind rivets by table of holes, each with its own hole limits."""
    from rivetkit.handbook import load_table
    from rivetkit.handbook.rows.holes import RivetHoleRow

    found: dict[str, list[NamedDrill]] = {}
    for row in load_table(RivetHoleRow):
        if row.family != "solid" and row.drill:
            found.setdefault(row.scheme, []).append(_named(row, row))
    return {scheme: tuple(drills) for scheme, drills in found.items()}


def _named(row: RivetHoleRow, bounds: RivetHoleRow | None) -> NamedDrill:
    from rivetkit.drills import find_drill
    from rivetkit.fasteners.grammar import to_inches
    from rivetkit.reports.lookups.drills_report import NamedDrill

    least, most = (bounds.hole_min, bounds.hole_max) if bounds else (None, None)
    return NamedDrill(
        diameter=f"{row.diameter} in" if row.unit == "in" else f"{float(row.diameter):g} mm",
        drill=find_drill(row.drill),
        hole_min_in=None if least is None else to_inches(least, row.unit),
        hole_max_in=None if most is None else to_inches(most, row.unit),
        citation=row.citation(),
        limits_citation=bounds.citation() if bounds else None,
    )


def _size(row: RivetHoleRow) -> tuple[object, str]:
    return row.diameter, row.unit
