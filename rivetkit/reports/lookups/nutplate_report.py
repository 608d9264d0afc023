"""One nutplate, or a ring of them, as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_number
from rivetkit.reports.arithmetic import (
    working_basis,
    working_section,
)
from rivetkit.reports.cautions import BENCH_CAUTIONS, proud_head
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    basis_mark,
    collect_citations,
)
from rivetkit.reports.lookups.nutplate_data import plate_data, ring_data
from rivetkit.reports.rivet_facts import rivet_words, span_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.nutplates.cover_shape import CoverShape
    from rivetkit.calculators.nutplates.ring import NutplateRing, RingLayers
    from rivetkit.checks import Check
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.lookups.nutplate_data import KnownNutplate


def single_report(
    known: KnownNutplate,
    checks: tuple[Check, ...],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of one nutplate.

    Parameters
    ----------
    known
        What is on file.
    checks
        What was judged.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    sections = (
        Section("", (Facts(_plate_facts(known, length_unit)),)),
        *_hole_sections(known, length_unit),
        Section("Room it needs", (Facts(_room_facts(known, length_unit)),)),
        Section("Checks", (CheckList(checks),)),
        working_section(known.room, length_unit),
    )
    return Report(
        command="nutplate",
        title=f"Nutplate {known.name}",
        inputs=inputs,
        result=plate_data(known, length_unit),
        sections=sections,
        checks=checks,
        citations=collect_citations(checks, known.citations),
        cautions=_cautions(known),
        length_unit=length_unit,
    )


def ring_report(
    known: KnownNutplate,
    ring: NutplateRing,
    *,
    line: CoverShape,
    layers: RingLayers,
    row: Sequence[str],
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of nutplates round an opening.

    Parameters
    ----------
    known
        What is on file about the nutplate.
    ring
        The nutplates in their places.
    line, layers
        The line of screws, and the sizes of what they join.
    row
        The lines for the job file.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    sections = (
        Section("", (Facts((*_ring_facts(ring, line, layers, length_unit),
                            *_plate_facts(known, length_unit))),)),
        *_hole_sections(known, length_unit),
        Section("Places", (Paragraph(_places_words(line)), _place_table(ring, length_unit))),
        Section("Checks", (CheckList(ring.checks),)),
        Section("Row for the job file", tuple(Paragraph(text) for text in row)),
    )  # fmt: skip
    return Report(
        command="nutplate",
        title=f"{len(ring.plates)} nutplates {known.name} round an opening",
        inputs=inputs,
        result={
            **plate_data(known, length_unit),
            "ring": ring_data(ring, line, length_unit),
            "job_rows": "\n".join(row) + "\n",
        },
        sections=sections,
        checks=ring.checks,
        citations=collect_citations(ring.checks, known.citations),
        cautions=_cautions(known),
        length_unit=length_unit,
    )


def _cautions(known: KnownNutplate) -> tuple[str, ...]:
    if known.rivet.flush:
        return BENCH_CAUTIONS
    return (*BENCH_CAUTIONS, proud_head(known.rivet.designation))


def _plate_facts(known: KnownNutplate, length_unit: LengthUnit) -> tuple[Fact, ...]:
    plate = known.plate
    facts = [
        Fact("nutplate", known.name, plate.style, plate.basis),
        Fact("screw", _screw_words(known)),
        Fact(
            "rivet holes apart",
            format_length(plate.rivet_spacing_in, length_unit),
            "screw midway",
            plate.basis,
        ),
    ]
    lug_hole = format_length(plate.rivet_hole_in, length_unit)
    facts.append(Fact("rivet hole in the lugs", lug_hole, basis=plate.basis))
    if known.body is not None:
        overall = format_length(known.body.overall_length_in, length_unit)
        facts.append(Fact("length over lugs", overall, basis=known.body.basis))
    note = rivet_words(known.rivet)
    basis = "practice" if known.usual_rivet else ""
    facts.append(Fact("rivet", known.rivet.designation, note, basis))
    return tuple(facts)


def _screw_words(known: KnownNutplate) -> str:
    threads = known.plate.thread.partition("-")[2]
    return f"{known.cover.size}-{threads}"


def _hole_sections(known: KnownNutplate, length_unit: LengthUnit) -> tuple[Section, ...]:
    columns = (
        Column("hole", wrap=True),
        Column("drill"),
        Column("size", length_unit, align="right"),
        Column("basis"),
    )
    rows = []
    if isinstance(known.hole, str):
        rows.append(("rivets", "not on file", "", ""))
    else:
        drill = known.hole.drill.designation if known.hole.drill else ""
        size_in = known.hole.hole_in
        number = "" if size_in is None else length_number(size_in, length_unit)
        rows.append(("rivets", drill, number, basis_mark(known.hole.citation.basis)))
    plate = known.plate
    own = known.screw_hole_in == plate.screw_hole_in
    screw = length_number(known.screw_hole_in, length_unit)
    mark = basis_mark(plate.basis) if own else "as you gave it"
    rows.append(("screw, under the nutplate", plate.screw_drill if own else "", screw, mark))
    cover = known.cover
    rows.append(
        (
            f"screw, in the cover ({cover.scheme})",
            cover.drill.designation,
            length_number(cover.hole_in, length_unit),
            basis_mark(cover.citation.basis),
        )
    )
    words = []
    if "floating" in plate.style and own:
        words.append(
            "A floating nut moves: the screw hole under it may have to be as large as the hole in "
            "the nutplate's underside. Measure that and give it with --screw-hole."
        )
    others = [
        (hole.scheme, hole.drill.designation, length_number(hole.hole_in, length_unit))
        for hole in known.other_covers
    ]
    table = Table(
        (Column("scheme"), Column("drill"), Column("size", length_unit, align="right")),
        tuple(others),
    )
    return (
        Section("Holes to drill", (Table(columns, tuple(rows)), *map(Paragraph, words))),
        Section("Other clearance holes for the screw", (table,), detail=True),
    )


def _room_facts(known: KnownNutplate, length_unit: LengthUnit) -> tuple[Fact, ...]:
    return tuple(
        Fact(
            working.name,
            f"at least {format_length(working.value, length_unit)}",
            basis=working_basis(working),
        )
        for working in known.room
    )


def shape_words(shape: CoverShape, length_unit: LengthUnit) -> str:
    """Return an outline in words: ``round, 5.000 in across``."""
    if shape.round:
        return f"round, {format_length(shape.width_in, length_unit)} across"
    width = format_length(shape.width_in, length_unit, with_unit=False)
    words = f"{width} x {format_length(shape.height_in, length_unit)}"
    if not shape.corner_radius_in:
        return f"{words}, sharp corners"
    return f"{words}, corner radius {format_length(shape.corner_radius_in, length_unit)}"


def _ring_facts(
    ring: NutplateRing, line: CoverShape, layers: RingLayers, length_unit: LengthUnit
) -> tuple[Fact, ...]:
    least, most = min(ring.steps_in), max(ring.steps_in)
    steps = format_length(least, length_unit)
    if format_length(most, length_unit) != steps:
        steps = span_text(least, most, length_unit)
    facts = [
        Fact("line of screws", shape_words(line, length_unit)),
        Fact("screws", str(len(ring.plates)), f"{steps} from one to the next, straight"),
    ]
    sizes = {
        "cover": layers.cover,
        "opening": layers.opening,
        "opening in the skin": layers.skin_opening,
        "doubler": layers.doubler,
    }
    facts += [
        Fact(name, shape_words(shape, length_unit))
        for name, shape in sizes.items()
        if shape is not None
    ]
    facts.append(Fact("rivets go through", " and ".join(ring.stack)))
    return tuple(facts)


def _places_words(line: CoverShape) -> str:
    start = "" if line.round else " The first is in the lower right corner or next above it."
    return (
        "From the middle of the opening, x to the right and y up, counted against the clock."
        f"{start} x and y are the screw's, x1, y1 and x2, y2 those of its two rivets; the angle is "
        "that of the line through them, from the x axis."
    )


def _place_table(ring: NutplateRing, length_unit: LengthUnit) -> Table:
    def column(name: str) -> Column:
        return Column(name, length_unit, align="right")

    columns = (
        Column("no.", align="right"),
        column("x"),
        column("y"),
        Column("angle", "deg", align="right"),
        *(column(name) for name in ("x1", "y1", "x2", "y2")),
    )
    rows = []
    for number, plate in enumerate(ring.plates, start=1):
        first, second = plate.rivets_in
        places = [length_number(value, length_unit) for value in (*first, *second)]
        rows.append(
            (
                str(number),
                *(length_number(value, length_unit) for value in plate.screw_in),
                f"{plate.direction_deg:.2f}",
                *places,
            )
        )
    return Table(columns, tuple(rows))
