"""A plan made ready for the bench: hole maps, boxes to tick by pen, blanks to sign."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.reports.document import CheckList, Drawing, Section, SignOff, Table
from rivetkit.reports.drawings.map_view import map_views

if TYPE_CHECKING:
    from rivetkit.planning.plan import Plan
    from rivetkit.reports.document import Block, Report

#: Boxes in front of the lines of a section, by its heading.
_TICKS: dict[str, tuple[str, ...]] = {
    "Rivets to drill out": ("out", "holes good"),
    "Rivets to fit": ("in store", "fitted"),
    "Tools to lay out": ("laid out",),
}

_BLANKS = (
    "aircraft",
    "serial number",
    "part or position",
    "job or work order",
    "drawing, revision",
)
_STEPS = (
    "old rivets out, holes measured",
    "holes deburred, parts protected and fitted up",
    "new rivets set, heads measured",
    "inspected by someone entitled to sign",
)


def as_traveller(report: Report, plan: Plan) -> Report:
    """Return a plan's report with hole maps after its first section, boxes and a sign-off.

    Sections that hold nothing but checks are left out: each of those is told further down, where
    its formula and sources are.

    Parameters
    ----------
    report
        The report of the plan; its numbers stay as they are.
    plan
        The plan it was made from.
    """
    views = map_views(plan, report.length_unit)
    maps = Section("Hole map" if len(views) == 1 else "Hole maps", tuple(map(Drawing, views)))
    sections = [
        _ticked(section)
        for section in report.sections
        if not all(isinstance(block, CheckList) for block in section.blocks)
    ]
    sign_off = Section("Sign-off", (SignOff(_BLANKS, _STEPS),))
    return replace(report, sections=(*sections[:1], maps, *sections[1:], sign_off))


def _ticked(section: Section) -> Section:
    ticks = _TICKS.get(section.heading, ())
    blocks: list[Block] = [
        replace(block, ticks=ticks) if isinstance(block, Table) else block
        for block in section.blocks
    ]
    return replace(section, blocks=tuple(blocks))
