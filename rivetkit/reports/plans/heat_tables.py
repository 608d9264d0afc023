"""What heat does between the parts of a job, as words, a table and data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.heat.coefficients import DEGF_PER_DEGC
from rivetkit.quantities import format_length, words_in_unit
from rivetkit.reports.amounts import length_entry, length_number
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import Column, Paragraph, Section, Table, basis_mark
from rivetkit.reports.temperatures import temperature_number

if TYPE_CHECKING:
    from rivetkit.planning.heat import Heat, HeatPair
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block


def heat_section(heat: Heat, unit: LengthUnit) -> tuple[Section, ...]:
    """Return the section on heat; none where there is nothing to say.

    Parameters
    ----------
    heat
        What was found.
    unit
        Unit for lengths.
    """
    blocks: list[Block] = []
    if heat.pairs:
        whose = "told by the job" if heat.told else "taken from practice: the job tells none"
        change = heat.pairs[0].change_degf
        basis = basis_mark(heat.pairs[0].check.basis)
        blocks.append(
            Paragraph(
                f"Movement of a row's ends against its middle, for a change of {_change(change)} "
                f"({whose}), and the room the holes leave{f' ({basis})' if basis else ''}."
            )
        )
        blocks.append(_table(heat, unit))
        blocks += [
            Paragraph(f"{' and '.join(pair.materials)}: coefficients given for other temperatures.")
            for pair in heat.pairs
            if pair.outside
        ]
    notes = [words_in_unit(note, unit) for note in heat.notes]
    blocks += [Paragraph(f"{note[0].upper()}{note[1:]}.") for note in notes]
    return (Section("Heat between the parts", tuple(blocks)),) if blocks else ()


def heat_lines(heat: Heat, unit: LengthUnit) -> tuple[str, ...]:
    """Return what to do about parts that move too much, a line for every two materials.

    Parameters
    ----------
    heat
        What was found.
    unit
        Unit for lengths.
    """
    return tuple(_warning(pair, unit) for pair in heat.warnings)


def _warning(pair: HeatPair, unit: LengthUnit) -> str:
    moved, room = (format_length(size_in, unit) for size_in in (pair.movement_in, pair.room_in))
    more = f" and {len(pair.also)} more like it" if pair.also else ""
    return (
        f"Heat: row {pair.row}{more} ties {pair.materials[0]} to {pair.materials[1]}. Over "
        f"{_change(pair.change_degf)} its ends move {moved} against each other, more than the "
        f"{room} its holes leave: drill and close it at one temperature, or give the holes room "
        "(rivetkit expansion)."
    )


def _change(change_degf: float) -> str:
    celsius = temperature_number(change_degf / DEGF_PER_DEGC)
    return f"{temperature_number(change_degf)} F ({celsius} C)"


def _table(heat: Heat, unit: LengthUnit) -> Table:
    columns = (
        Column("parts", wrap=True),
        Column("materials", wrap=True),
        Column("worst row", wrap=True),
        Column("movement", unit, align="right"),
        Column("room", unit, align="right"),
        Column("verdict"),
    )
    return Table(columns, tuple(_cells(pair, heat, unit) for pair in heat.pairs))


def _cells(pair: HeatPair, heat: Heat, unit: LengthUnit) -> tuple[str, ...]:
    verdict = VERDICT_WORDS[pair.check.verdict]
    if not heat.told:
        verdict = "take care" if pair.too_much else "fits"
    return (
        " and ".join(pair.layers),
        " and ".join(pair.materials),
        pair.row,
        length_number(pair.movement_in, unit),
        length_number(pair.room_in, unit),
        verdict,
    )


def heat_data(heat: Heat, unit: LengthUnit) -> dict[str, object]:
    """Return what heat does between the parts as JSON data, lengths in ``unit``.

    Parameters
    ----------
    heat
        What was found.
    unit
        Unit for lengths.
    """
    return {
        "temperatures_told": heat.told,
        "pairs": [_pair(pair, unit) for pair in heat.pairs],
        "notes": [words_in_unit(note, unit) for note in heat.notes],
    }


def _pair(pair: HeatPair, unit: LengthUnit) -> dict[str, object]:
    return {
        "row": pair.row,
        "layers": list(pair.layers),
        "materials": list(pair.materials),
        "change_degf": pair.change_degf,
        **length_entry("half_length", pair.half_length_in, unit),
        **length_entry("movement", pair.movement_in, unit),
        **length_entry("room", pair.room_in, unit),
        "too_much": pair.too_much,
        "also": list(pair.also),
        "outside_the_documents_temperatures": pair.outside,
        "verdict": str(pair.check.verdict),
    }
