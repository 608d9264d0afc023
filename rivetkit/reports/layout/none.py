"""Why no layout meets every demand, and what would have to give."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING

from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_in_unit
from rivetkit.reports.document import Column, Paragraph, Section, Table
from rivetkit.reports.rivet_facts import span_text

if TYPE_CHECKING:
    from rivetkit.calculators.row_layout.answer import SeamAnswer
    from rivetkit.calculators.row_layout.demands import RowDemands
    from rivetkit.calculators.row_layout.relax import Relaxation
    from rivetkit.reports.amounts import LengthUnit

_HEADING = "No layout meets every demand"
_ONE = "Any one of these, given up so far and no less, lets a layout exist while the rest stand."
_GROUP = "No single demand given up would do. These would:"
_NOTHING = (
    "No single demand given up would do, nor would all the places to hit or to keep clear: at "
    "least two demands have to give way. Change the pitch limits or the count first."
)
#: A limit to be typed again is rounded away from what was asked, that it still does.
_PLACES = {"in": 4, "mm": 3}
_NOISE = Decimal("1e-9")


def relaxation_section(answer: SeamAnswer, length_unit: LengthUnit) -> Section:
    """Return what would have to give for a layout to exist."""
    items = answer.relaxations
    if not items:
        return Section(_HEADING, (Paragraph(_NOTHING),))
    grouped = all(item.demand.startswith("all ") for item in items)
    columns = (
        Column("give way", wrap=True),
        Column("asked", align="right"),
        Column("would do", align="right"),
        Column("by", align="right"),
        Column("note", wrap=True, weight=9),
    )
    rows = tuple(_row(item, answer, length_unit) for item in items)
    return Section(_HEADING, (Paragraph(_GROUP if grouped else _ONE), Table(columns, rows)))


def _row(item: Relaxation, answer: SeamAnswer, length_unit: LengthUnit) -> tuple[str, ...]:
    name = _name(item, answer.demands, length_unit)
    note = _note(item, answer, length_unit)
    if item.unit == "count":
        return (name, f"{item.asked:g}", f"{item.needed:g}", f"{item.by:g}", note)
    if not item.unit:
        return (name, "", "", "", note)
    asked_in, needed_in = item.asked, item.needed
    if item.demand == "end of the row":  # told like the option: from that end
        length_in = answer.demands.length_in
        asked_in, needed_in = length_in - asked_in, length_in - needed_in
    asked = format_length(asked_in, length_unit)
    needed = _rounded_away(asked_in, needed_in, length_unit)
    return (name, asked, needed, _rounded_away(0.0, item.by, length_unit), note)


def _name(item: Relaxation, demands: RowDemands, length_unit: LengthUnit) -> str:
    if item.demand == "keep clear":
        clear = demands.clears[item.number]
        span = span_text(clear.start_in, clear.stop_in, length_unit)
        return f"clearance either side of the middle of {span}"
    if item.demand == "hole to hit":
        at = format_length(demands.hits[item.number].at_in, length_unit)
        return f"hole at {at}: may be missed by"
    return {
        "greatest pitch": "greatest pitch",
        "least pitch": "least pitch",
        "rivets": "rivets asked for",
        "start of the row": "first hole to the start",
        "end of the row": "last hole to the far end",
        "pattern": "staggered rows",
        "all places to keep clear": "all places to keep clear",
        "all holes to hit": "all holes to hit",
    }[item.demand]


def _note(item: Relaxation, answer: SeamAnswer, length_unit: LengthUnit) -> str:
    if item.demand == "pattern":
        return "chain rows would do"
    if item.breaks_in:
        places = " and ".join(format_length(place_in, length_unit) for place_in in item.breaks_in)
        return f"with --break at {places}"
    if item.demand in {"greatest pitch", "least pitch"}:
        return f"{item.needed / answer.fastener.diameter_in:.3g} D"
    return ""


def _rounded_away(asked_in: float, needed_in: float, length_unit: LengthUnit) -> str:
    """Return a length rounded away from the one asked, so that typing it again is enough."""
    up = needed_in > asked_in
    exact = Decimal(length_in_unit(needed_in, length_unit)) + (-_NOISE if up else _NOISE)
    step = Decimal(1).scaleb(-_PLACES[length_unit])
    rounded = exact.quantize(step, ROUND_CEILING if up else ROUND_FLOOR)
    return f"{rounded} {length_unit}"
