"""Drills: a look-up, the chart, and the wall chart of rivet holes, each as a report."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from rivetkit.handbook.sources import source_title
from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.cautions import LOOKUP_CAUTIONS
from rivetkit.reports.document import (
    Column,
    Fact,
    Facts,
    Report,
    Section,
    Table,
    basis_mark,
    collect_citations,
)
from rivetkit.reports.rivet_facts import span_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.drills import Drill, RivetDrill
    from rivetkit.handbook import Citation
    from rivetkit.reports.amounts import LengthUnit

_WITHIN_WORDS = {True: "within", False: "outside", None: "limits not on file"}

#: Two table sizes closer than this are one size [in].
_SAME_SIZE_IN = 1e-6
#: Drills side by side on one line of the chart.
_CHART_GROUPS = 3


@dataclass(frozen=True, slots=True)
class FoundDrill:
    """A drill, how it answers the question, and how far it is from the size asked [in]."""

    answers: str
    drill: Drill
    difference_in: float
    #: Names of other drills of the same size.
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NamedDrill:
    """The drill a document names for a rivet, and the hole limits to hold it against [in]."""

    diameter: str
    drill: Drill
    hole_min_in: float | None
    hole_max_in: float | None
    citation: Citation
    limits_citation: Citation | None

    @property
    def within(self) -> bool | None:
        """Whether it lies in the hole limits; None when one of them is missing."""
        if self.hole_min_in is None or self.hole_max_in is None:
            return None
        least_in, most_in = self.hole_min_in - _SAME_SIZE_IN, self.hole_max_in + _SAME_SIZE_IN
        return least_in <= self.drill.size_in <= most_in


def look_up_report(
    asked_in: float,
    found: Sequence[FoundDrill],
    used_for: Sequence[tuple[str, RivetDrill]],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a look-up.

    Parameters
    ----------
    asked_in
        The size looked for [in].
    found
        The drills that answer.
    used_for
        Rivets whose hole one of them makes, each with the rule set that says so.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    blocks: list[Table | Facts] = [_found_table(found, length_unit)]
    uses = tuple(
        Fact(
            entry.drill.designation,
            f"for {entry.diameter} in solid rivets",
            f"rule set {rule_set}",
            entry.citation.basis,
        )
        for rule_set, entry in used_for
    )
    sections = [Section("", tuple(blocks))]
    if uses:
        sections.append(Section("Used for", (Facts(uses),)))
    return Report(
        command="drills",
        title=f"Drills for {_both_units(asked_in, length_unit)}",
        inputs=inputs,
        result={
            **length_entry("asked", asked_in, length_unit),
            "drills": [
                {
                    "answers": entry.answers,
                    **drill_data(entry.drill, length_unit),
                    **length_entry("difference", entry.difference_in, length_unit),
                    "same_size": list(entry.also),
                }
                for entry in found
            ],
            "used_for": [
                {"rule_set": rule_set, **_rivet_drill_data(entry, length_unit)}
                for rule_set, entry in used_for
            ],
        },
        sections=tuple(sections),
        citations=collect_citations(
            others=[
                *(entry.drill.citation for entry in found),
                *(entry.citation for _, entry in used_for),
            ]
        ),
        length_unit=length_unit,
    )


def chart_report(
    drills: Sequence[Drill], *, inputs: Mapping[str, object], length_unit: LengthUnit
) -> Report:
    """Return the drill chart, to be read down the columns."""
    height = -(-len(drills) // _CHART_GROUPS)
    cells = [
        (
            drill.designation,
            length_number(drill.size_in, "in"),
            length_number(drill.size_in, "mm"),
        )
        for drill in drills
    ]
    group = (Column("drill"), Column("in", align="right"), Column("mm", align="right"))
    rows = tuple(
        tuple(
            cell
            for at in range(line, height * _CHART_GROUPS, height)
            for cell in (cells[at] if at < len(cells) else ("", "", ""))
        )
        for line in range(height)
    )
    return Report(
        command="drills",
        title=f"Drill chart, {len(drills)} sizes; read down the columns",
        inputs=inputs,
        result={"drills": [drill_data(drill, length_unit) for drill in drills]},
        sections=(Section("", (Table(group * _CHART_GROUPS, rows),)),),
        citations=collect_citations(others=[drill.citation for drill in drills]),
        length_unit=length_unit,
    )


def rivet_chart_report(
    charts: Mapping[str, Sequence[RivetDrill]],
    differing: Sequence[NamedDrill] = (),
    blind: Mapping[str, Sequence[NamedDrill]] = MappingProxyType({}),
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the wall chart: drill and hole for each rivet, by rule set.

    Parameters
    ----------
    charts
        The holes of each rule set.
    differing
        What every document names for a solid rivet where they do not agree.
    blind
        The drills of blind rivets by table of holes.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    columns = (
        Column("rivet", "in", align="right"),
        Column("drill"),
        Column("drill size", length_unit, align="right"),
        Column("hole", length_unit, align="right"),
        Column("basis"),
    )
    sections = tuple(
        Section(
            f"Solid rivets, rule set {rule_set}",
            (
                Table(
                    columns,
                    tuple(
                        (
                            str(entry.diameter),
                            entry.drill.designation,
                            length_number(entry.drill.size_in, length_unit),
                            length_number(entry.hole_in, length_unit),
                            basis_mark(entry.citation.basis),
                        )
                        for entry in entries
                    ),
                ),
            ),
        )
        for rule_set, entries in charts.items()
    )
    return Report(
        command="drills",
        title="Drills and holes for rivets",
        inputs=inputs,
        result={
            "rule_sets": {
                rule_set: [_rivet_drill_data(entry, length_unit) for entry in entries]
                for rule_set, entries in charts.items()
            },
            "documents_differ": [_named_data(entry, length_unit) for entry in differing],
            "blind": {
                scheme: [_named_data(entry, length_unit) for entry in entries]
                for scheme, entries in blind.items()
            },
        },
        sections=(*sections, *_differing(differing, length_unit), *_blind(blind, length_unit)),
        citations=collect_citations(
            others=[
                *(entry.citation for entries in charts.values() for entry in entries),
                *(entry.citation for entry in differing),
                *(entry.limits_citation for entry in differing if entry.limits_citation),
                *(entry.citation for entries in blind.values() for entry in entries),
            ]
        ),
        cautions=LOOKUP_CAUTIONS,
        length_unit=length_unit,
    )


def _differing(entries: Sequence[NamedDrill], length_unit: LengthUnit) -> tuple[Section, ...]:
    if not entries:
        return ()
    columns = (
        Column("rivet"),
        Column("drill"),
        Column("drill size", length_unit, align="right", weight=9),
        Column("hole limits", weight=8),
        Column("drill is"),
        Column("named by", wrap=True),
    )
    named: dict[tuple[str, str], list[NamedDrill]] = {}
    for entry in entries:
        named.setdefault((entry.diameter, entry.drill.designation), []).append(entry)
    limits = dict.fromkeys(entry.limits_citation for entry in entries if entry.limits_citation)
    words = "; ".join(citation.words() for citation in limits)
    rows = tuple(
        (
            entry.diameter,
            entry.drill.designation,
            length_number(entry.drill.size_in, length_unit),
            ""
            if entry.hole_min_in is None or entry.hole_max_in is None
            else span_text(entry.hole_min_in, entry.hole_max_in, length_unit),
            _WITHIN_WORDS[entry.within],
            "; ".join(
                f"{source_title(one.citation.source)} [{one.citation.basis}]" for one in same
            ),
        )
        for same in named.values()
        for entry in same[:1]
    )
    caption = f"Hole limits: {words}." if words else ""
    return (Section("Where documents name different drills", (Table(columns, rows, caption),)),)


def _blind(
    blind: Mapping[str, Sequence[NamedDrill]], length_unit: LengthUnit
) -> tuple[Section, ...]:
    columns = (
        Column("rivet"),
        Column("drill"),
        Column("drill size", length_unit, align="right"),
        Column("hole limits"),
        Column("drill is"),
        Column("basis"),
    )
    return tuple(
        Section(
            f"Blind rivets, holes of {source_title(entries[0].citation.source)}: {scheme}",
            (Table(columns, tuple(_blind_row(entry, length_unit) for entry in entries)),),
        )
        for scheme, entries in blind.items()
    )


def _blind_row(entry: NamedDrill, length_unit: LengthUnit) -> tuple[str, ...]:
    known = entry.hole_min_in is not None and entry.hole_max_in is not None
    return (
        entry.diameter,
        entry.drill.designation,
        length_number(entry.drill.size_in, length_unit),
        span_text(entry.hole_min_in or 0.0, entry.hole_max_in or 0.0, length_unit) if known else "",
        _WITHIN_WORDS[entry.within],
        basis_mark(entry.citation.basis),
    )


def _named_data(entry: NamedDrill, length_unit: LengthUnit) -> dict[str, object]:
    return {
        "rivet": entry.diameter,
        "drill": entry.drill.designation,
        **length_entry("size", entry.drill.size_in, length_unit),
        **length_entry("hole_min", entry.hole_min_in, length_unit),
        **length_entry("hole_max", entry.hole_max_in, length_unit),
        "within_limits": entry.within,
        "source": entry.citation.source,
        "locator": entry.citation.locator,
        "basis": entry.citation.basis,
    }


def drill_data(drill: Drill, length_unit: LengthUnit) -> dict[str, object]:
    """Return a drill as plain JSON data."""
    return {
        "drill": drill.designation,
        "series": drill.series,
        **length_entry("size", drill.size_in, length_unit),
    }


def _rivet_drill_data(entry: RivetDrill, length_unit: LengthUnit) -> dict[str, object]:
    return {
        "rivet": str(entry.diameter),
        **length_entry("rivet_diameter", float(entry.diameter), length_unit),
        "drill": entry.drill.designation,
        **length_entry("hole", entry.hole_in, length_unit),
        "basis": entry.citation.basis,
    }


def _found_table(found: Sequence[FoundDrill], length_unit: LengthUnit) -> Table:
    difference_width = 5 if length_unit == "in" else 3
    return Table(
        columns=(
            Column(""),
            Column("drill"),
            Column("in", align="right"),
            Column("mm", align="right"),
            Column("difference", length_unit, align="right", weight=8),
            Column("same size", weight=6),
        ),
        rows=tuple(
            (
                entry.answers,
                entry.drill.designation,
                length_number(entry.drill.size_in, "in"),
                length_number(entry.drill.size_in, "mm"),
                _signed(entry.difference_in, length_unit, difference_width),
                ", ".join(entry.also),
            )
            for entry in found
        ),
    )


def _signed(value_in: float, length_unit: LengthUnit, decimals: int) -> str:
    text = length_number(value_in, length_unit, decimals)
    return f"+{text}" if value_in > 0 and text.strip("0.") else text


def _both_units(size_in: float, length_unit: LengthUnit) -> str:
    inches, metric = format_length(size_in, "in"), format_length(size_in, "mm")
    return f"{inches} ({metric})" if length_unit == "in" else f"{metric} ({inches})"
