"""A place for a new hole, or the stretches of a line, as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.checks import Verdict, worst_verdict
from rivetkit.reports.amounts import length_entry, length_in_unit, length_number
from rivetkit.reports.arithmetic import working_citations, working_data, working_section
from rivetkit.reports.cautions import BENCH_CAUTIONS
from rivetkit.reports.check_table import accuracy_fact, verdict_fact
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    collect_citations,
)
from rivetkit.reports.metal_tables import metal_cautions, metal_data, metal_section
from rivetkit.reports.rivet_facts import rivet_data

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.geometry.curves import Point
    from rivetkit.planning.new_hole.answers import EdgeThere, FreeStretches, NeighbourThere, NewHole
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block


def new_hole_report(
    answer: NewHole,
    at_nearest: NewHole | None,
    *,
    job_name: str,
    all_drawn: bool,
    accuracy_in: float,
    measured: int,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of one place, and of the nearest allowed one where it is another.

    ``all_drawn`` tells that nobody named the layers: those drawn there were taken.
    ``accuracy_in`` is how far off the job's measurements may be [in], ``measured`` how many old
    holes were measured.
    """
    facts = [
        verdict_fact(answer.checks),
        Fact("job", job_name),
        Fact("rivet", answer.part.designation),
        Fact("place", _point_words(answer.at, length_unit)),
        Fact("layers", ", ".join(answer.layers)),
    ]
    facts.append(accuracy_fact(accuracy_in, length_unit, where=_IN_JOB))
    facts += _measured_facts(measured)
    if answer.not_named:
        facts.append(Fact("not drilled", ", ".join(answer.not_named), "drawn there, not named"))
    sections = [
        _head(facts, all_drawn=all_drawn),
        Section("At this place", _told(answer)),
        *_nearest_sections(answer, at_nearest, length_unit),
        *metal_section(answer.metals),
    ]
    data: dict[str, object] = {
        "rivet": rivet_data(answer.part, length_unit),
        "verdict": str(answer.verdict),
        "at": _point_data(answer.at, length_unit),
        "layers": list(answer.layers),
        "not_named": list(answer.not_named),
        "edges": [_edge_data(edge, length_unit) for edge in answer.edges],
        "edges_beside": [_edge_data(edge, length_unit) for edge in answer.beside],
        "neighbours": [_neighbour_data(one, length_unit) for one in answer.neighbours],
        "nearest": None if answer.nearest is None else _point_data(answer.nearest, length_unit),
        "nearest_layers": None if at_nearest is None else list(at_nearest.layers),
        **length_entry("move", answer.move_in, length_unit),
        **length_entry("reach", answer.reach_in, length_unit),
        **metal_data(answer.metals),
    }
    return Report(
        command="new-hole",
        title=f"A new hole for {answer.part.designation}",
        inputs=inputs,
        result=data,
        sections=tuple(sections),
        checks=answer.checks,
        citations=collect_citations(answer.checks, answer.metals.citations),
        cautions=(*BENCH_CAUTIONS, *metal_cautions(answer.metals)),
        length_unit=length_unit,
    )


def _told(answer: NewHole) -> tuple[Block, ...]:
    """Return the checks a person is told of, and that there are more."""
    if len(answer.worst) == len(answer.checks):
        return (CheckList(answer.worst),)
    words = (
        "Of every layer the nearest edge, of the rivets those with the least to spare, and all "
        "that does not pass; --json lists every check."
    )
    return (CheckList(answer.worst), Paragraph(words))


def _nearest_sections(
    answer: NewHole, at_nearest: NewHole | None, unit: LengthUnit
) -> tuple[Section, ...]:
    if answer.verdict in (Verdict.PASS, Verdict.NOT_CHECKED):
        return ()
    if at_nearest is None or answer.move_in is None or answer.nearest is None:
        reach = f"{length_number(answer.reach_in, unit)} {unit}"
        words = f"No place within {reach} meets every limit. Look further with --reach."
        if not answer.suits:
            words = "Nowhere: this rivet does not suit the layers, see the checks above."
        return (Section("Nearest place where it may go", (Paragraph(words),)),)
    blocks: list[Block] = [
        Facts(
            (
                Fact("place", _point_words(answer.nearest, unit)),
                Fact("move", f"{length_number(answer.move_in, unit)} {unit}"),
                Fact("layers", ", ".join(at_nearest.layers), _other_layers(answer, at_nearest)),
            )
        ),
        *_told(at_nearest),
    ]
    return (Section("Nearest place where it may go", tuple(blocks)),)


def _measured_facts(measured: int) -> tuple[Fact, ...]:
    if not measured:
        return ()
    return (Fact("old holes", f"{measured} measured", "taken as their repairs leave them"),)


def _other_layers(answer: NewHole, at_nearest: NewHole) -> str:
    same = set(answer.layers) == set(at_nearest.layers)
    return "" if same else "other layers than at the place asked for"


_IN_JOB = "set 'accuracy' in the job"

#: Of two sides, drawn one over the other, both are taken.
_ALL_DRAWN = "Every layer drawn there is taken: name with --layers what the hole goes through."


def _head(facts: Sequence[Fact], *, all_drawn: bool) -> Section:
    blocks: tuple[Block, ...] = (Facts(tuple(facts)),)
    return Section("", (*blocks, Paragraph(_ALL_DRAWN)) if all_drawn else blocks)


def free_stretches_report(
    answer: FreeStretches,
    *,
    job_name: str,
    all_drawn: bool,
    accuracy_in: float,
    measured: int,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of where on a line a rivet may go; ``all_drawn``, ``accuracy_in`` and
    ``measured`` as for one place.
    """
    facts = (
        Fact("job", job_name),
        Fact("rivet", answer.part.designation),
        Fact("from", _point_words(answer.start, length_unit)),
        Fact("to", _point_words(answer.end, length_unit)),
        Fact("layers", ", ".join(answer.layers)),
        accuracy_fact(accuracy_in, length_unit, where=_IN_JOB),
        *_measured_facts(measured),
        *(Fact(one.name, one.substituted(length_unit)) for one in answer.limits),
    )
    rows = tuple(
        (
            length_number(stretch.start_in, length_unit),
            length_number(stretch.end_in, length_unit),
            length_number(stretch.end_in - stretch.start_in, length_unit),
            ", ".join(stretch.layers),
        )
        for stretch in answer.free
    )
    columns = (
        *(Column(name, length_unit, align="right") for name in ("from", "to", "length")),
        Column("through", wrap=True),
    )
    found: Block = Table(columns, rows, "Measured along the line from its start.")
    if not rows:
        found = Paragraph("Nowhere on this line does the rivet meet every limit.")
    sections = [
        _head(facts, all_drawn=all_drawn),
        Section("The rivet may go", (found,)),
        working_section(answer.limits, length_unit),
    ]
    if answer.unchecked:
        sections.append(Section("What stands against it", (CheckList(answer.unchecked),)))
    sections += metal_section(answer.metals)
    return Report(
        command="new-hole",
        title=f"Where {answer.part.designation} may go on a line",
        inputs=inputs,
        result={
            "rivet": rivet_data(answer.part, length_unit),
            "start": _point_data(answer.start, length_unit),
            "end": _point_data(answer.end, length_unit),
            "layers": list(answer.layers),
            "free": [
                {
                    **length_entry("from", stretch.start_in, length_unit),
                    **length_entry("to", stretch.end_in, length_unit),
                    "layers": list(stretch.layers),
                }
                for stretch in answer.free
            ],
            **metal_data(answer.metals),
            "limits": [working_data(working, length_unit) for working in answer.limits],
        },
        sections=tuple(sections),
        checks=answer.unchecked,
        citations=collect_citations(
            answer.unchecked, (*working_citations(answer.limits), *answer.metals.citations)
        ),
        cautions=(*BENCH_CAUTIONS, *metal_cautions(answer.metals)),
        length_unit=length_unit,
    )


def _edge_data(edge: EdgeThere, unit: LengthUnit) -> dict[str, object]:
    return {
        "layer": edge.layer,
        "edge": edge.edge,
        **length_entry("distance", edge.distance_in, unit),
        "verdict": str(edge.check.verdict),
    }


def _neighbour_data(one: NeighbourThere, unit: LengthUnit) -> dict[str, object]:
    return {
        "hole": one.hole,
        **length_entry("distance", one.distance_in, unit),
        "verdict": str(worst_verdict(check.verdict for check in one.checks)),
    }


def _point_words(point: Point, unit: LengthUnit) -> str:
    x, y = (length_number(value, unit) for value in point)
    return f"({x}, {y}) {unit}"


def _point_data(point: Point, unit: LengthUnit) -> list[float]:
    return [length_in_unit(value, unit) for value in point]
