"""Lines of arithmetic as reports show them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.handbook.sources import weakest_basis
from rivetkit.reports.amounts import in_unit, shown_unit
from rivetkit.reports.document import Fact, Facts, Section, place_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.limits import Working
    from rivetkit.handbook import Citation
    from rivetkit.reports.amounts import LengthUnit


def working_basis(working: Working) -> str:
    """Return the weakest basis among what a line of arithmetic rests on."""
    return weakest_basis(tuple(citation.basis for citation in working.citations))


def working_data(working: Working, length_unit: LengthUnit) -> dict[str, object]:
    """Return a line of arithmetic as plain JSON data."""
    return {
        "name": working.name,
        "value": in_unit(working.value, working.unit, length_unit)[0],
        "unit": shown_unit(working.unit, length_unit),
        "formula": working.formula,
        "substituted": working.substituted(length_unit),
        "basis": working_basis(working),
    }


def working_section(workings: Sequence[Working], length_unit: LengthUnit) -> Section:
    """Return the arithmetic in full, for a reader who does it again by hand."""
    facts = []
    for working in workings:
        facts.append(Fact(working.name, working.formula))
        if working.substituted(length_unit) != working.formula:
            facts.append(Fact("", working.substituted(length_unit)))
        facts += [
            Fact("", f"{place_words(citation)} [{citation.basis}]")
            for citation in working.citations
        ]
    return Section("The arithmetic", (Facts(tuple(facts)),), detail=True)


def working_citations(workings: Sequence[Working]) -> list[Citation]:
    """Return what lines of arithmetic rest on."""
    return [citation for working in workings for citation in working.citations]
