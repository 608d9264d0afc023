"""A rivet as every report names it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.quantities import format_length, nearest_fraction_text
from rivetkit.reports.amounts import length_entry
from rivetkit.reports.document import Fact

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.reports.amounts import LengthUnit

_FAMILY_WORDS = {
    "solid": "solid rivet",
    "blind_open": "open-end blind rivet",
    "blind_closed": "closed-end blind rivet",
    "blind_locked": "locked-spindle blind rivet",
}

_HEAD_WORDS = {
    "protruding": "protruding head",
    "universal": "universal head",
    "round": "round head",
    "flat": "flat head",
    "brazier": "brazier head",
    "flush": "flush head",
    "flush_reduced": "reduced flush head",
}


def size_text(size_in: float, length_unit: LengthUnit) -> str:
    """Return a nominal size as the trade names it: by its fraction where it has one.

    Examples
    --------
    >>> size_text(0.125, "in"), size_text(0.125, "mm"), size_text(0.098, "in")
    ('1/8 in (0.125 in)', '1/8 in (3.175 mm)', '0.098 in')
    """
    decimal = format_length(size_in, length_unit)
    fraction = nearest_fraction_text(size_in)
    if fraction[-1] in "+-":
        return decimal
    return f"{fraction} in ({decimal})"


def span_text(least_in: float, most_in: float, length_unit: LengthUnit) -> str:
    """Return two lengths as a span: ``0.125 to 0.135 in``."""
    least = format_length(least_in, length_unit, with_unit=False)
    return f"{least} to {format_length(most_in, length_unit)}"


def rivet_words(fastener: Fastener) -> str:
    """Return what kind of rivet it is: ``solid rivet, 100 degree flush head``."""
    head = _HEAD_WORDS.get(fastener.head, fastener.head)
    if fastener.flush_angle_deg is not None:
        head = f"{fastener.flush_angle_deg:g} degree {head}"
    return f"{_FAMILY_WORDS[fastener.family]}, {head}"


def rivet_facts(
    fastener: Fastener, length_unit: LengthUnit, *, with_length: bool = True
) -> tuple[Fact, ...]:
    """Return the lines that name a rivet at the top of a report."""
    facts = [
        Fact("rivet", fastener.designation, rivet_words(fastener)),
        Fact("diameter", size_text(fastener.diameter_in, length_unit)),
    ]
    if fastener.length_in is not None and with_length:
        facts.append(Fact("length", size_text(fastener.length_in, length_unit)))
    return tuple(facts)


def rivet_data(fastener: Fastener, length_unit: LengthUnit) -> dict[str, object]:
    """Return a rivet as plain JSON data."""
    return {
        "part_number": fastener.designation,
        "standard": fastener.canonical,
        "family": fastener.family,
        "head": fastener.head,
        "flush_angle_deg": fastener.flush_angle_deg,
        "material": fastener.material,
        **length_entry("diameter", fastener.diameter_in, length_unit),
        **length_entry("length", fastener.length_in, length_unit),
        "length_measured": fastener.length_datum,
        **length_entry("grip_min", fastener.grip_min_in, length_unit),
        **length_entry("grip_max", fastener.grip_max_in, length_unit),
    }
