"""A row layout as a report: the best, the runner-up, the tape, or why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.edge_distance import edge_question
from rivetkit.calculators.pitch import pitch_question
from rivetkit.quantities import format_length
from rivetkit.reports.amounts import length_number
from rivetkit.reports.arithmetic import (
    working_basis,
    working_citations,
    working_data,
    working_section,
)
from rivetkit.reports.cautions import BENCH_CAUTIONS
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
from rivetkit.reports.layout.data import layout_data, relaxation_data, seam_data
from rivetkit.reports.layout.none import relaxation_section
from rivetkit.reports.layout.rows import job_rows
from rivetkit.reports.layout.tape import tape_sections
from rivetkit.reports.rivet_facts import rivet_data, rivet_facts, span_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.limits import Working
    from rivetkit.calculators.row_layout.answer import Seam, SeamAnswer
    from rivetkit.calculators.row_layout.demands import RowDemands
    from rivetkit.calculators.row_layout.layout import Layout, Ranking
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.rules import RuleBook

_RANKING = (
    "Ranked by: fewest spaces outside the usual pitches, fewest different pitches, least "
    "departure from the wished pitch summed over the spaces, fewest rivets. Every row of even "
    "stretches that meets the demands was weighed."
)
_USUAL_RULES = ("pitch_usual_least", "pitch_usual_greatest")


def layout_report(
    answer: SeamAnswer,
    *,
    book: RuleBook,
    layers: Sequence[str],
    name: str,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a layout, or of why there is none.

    Parameters
    ----------
    answer
        What was worked out.
    book
        The rules in force.
    layers, name
        Stack and name for the job file's rows.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    seam, fastener = answer.seam, answer.fastener
    asked = Section("", (Facts((*rivet_facts(fastener, length_unit, with_length=False),
                                *_asked(answer.demands, length_unit))),))  # fmt: skip
    workings: list[Working] = []
    rules = [*_USUAL_RULES]
    if seam is None:
        rules += [pitch_question(answer.demands.rows), "pitch_max"]
        rules.append(edge_question(flush=fastener.flush))
        sections = [
            asked,
            relaxation_section(answer, length_unit),
            Section("Checks", (CheckList(answer.checks),)),
        ]
        result: dict[str, object] = {"layout": None}
    else:
        rows = job_rows(seam, fastener=fastener, layers=layers, name=name, length_unit=length_unit)
        workings = [item for item in (seam.row_spacing, seam.width) if item is not None]
        sections = [
            asked,
            *_seam_sections(seam, answer.demands, fastener.diameter_in, length_unit),
            Section("Rows for the job file", tuple(Paragraph(line) for line in rows if line)),
            Section("Checks", (CheckList(answer.checks),)),
            working_section(workings, length_unit),
        ]
        result = {**seam_data(seam, length_unit), "job_rows": "\n".join(rows) + "\n"}
    return Report(
        command="layout",
        title=f"Row layout, {fastener.designation}",
        inputs=inputs,
        result={
            "rivet": rivet_data(fastener, length_unit),
            **result,
            "runner_up": layout_data(seam.runner_up, length_unit)
            if seam and seam.runner_up
            else None,
            "relax": [relaxation_data(item, length_unit) for item in answer.relaxations],
            "arithmetic": [working_data(working, length_unit) for working in workings],
        },
        sections=tuple(sections),
        checks=answer.checks,
        citations=collect_citations(
            answer.checks,
            [*(book.rule(rule).citation for rule in rules), *working_citations(workings)],
        ),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _asked(demands: RowDemands, length_unit: LengthUnit) -> tuple[Fact, ...]:
    length = format_length(demands.length_in, length_unit)
    ends = [
        format_length(end_in, length_unit)
        for end_in in (demands.first_in, demands.length_in - demands.last_in)
    ]
    facts = [
        Fact("part", f"{length} long", f"holes {ends[0]} and {ends[1]} from its ends"),
        Fact("pitch allowed", span_text(demands.pitch_min_in, demands.pitch_max_in, length_unit)),
        Fact(
            "pitch wished",
            format_length(demands.wished_pitch_in, length_unit),
            f"usual {span_text(demands.usual_least_in, demands.usual_greatest_in, length_unit)}",
        ),
    ]
    if demands.rows > 1:
        facts.append(Fact("rows", str(demands.rows), demands.pattern))
    if demands.at_least > 2:  # noqa: PLR2004 - two make a row and are no demand
        facts.append(Fact("strength asks for", f"{demands.at_least} rivets"))
    return tuple(facts)


def _seam_sections(
    seam: Seam, demands: RowDemands, diameter_in: float, length_unit: LengthUnit
) -> tuple[Section, ...]:
    layout = seam.layout
    facts = [Fact("rivets", str(layout.rivets), _by_row(layout))]
    facts.append(Fact(*_pitch_words(layout, length_unit), _pitch_note(layout, diameter_in)))
    if demands.rows > 1:
        spacing = format_length(seam.row_spacing_in, length_unit)
        basis = working_basis(seam.row_spacing) if seam.row_spacing else ""
        facts.append(Fact("row spacing", spacing, "", basis))
    width = format_length(seam.width.value, length_unit)
    facts.append(Fact("flange width", f"at least {width}", "free on both sides, rivets midway"))
    stretches = _stretch_table(layout, length_unit)
    met = _met_table(layout, demands, length_unit)
    return (
        Section("Best layout", (Facts(tuple(facts)),)),
        *([Section("Even stretches", (stretches,))] if len(stretches.rows) > 1 else []),
        *([Section("How the places are met", (met,))] if met.rows else []),
        Section("Why this one", (Paragraph(_RANKING), *_runner_up(seam, length_unit))),
        *tape_sections(seam, length_unit),
    )


def _by_row(layout: Layout) -> str:
    counts = [len(row) for row in layout.rows_in]
    return " + ".join(map(str, counts)) if len(counts) > 1 else ""


def _pitch_words(layout: Layout, length_unit: LengthUnit) -> tuple[str, str]:
    pitches_in = layout.pitches_in
    if layout.different_pitches == 1:
        return "pitch", format_length(pitches_in[0], length_unit)
    words = span_text(min(pitches_in), max(pitches_in), length_unit)
    return f"{layout.different_pitches} pitches", words


def _pitch_note(layout: Layout, diameter_in: float) -> str:
    least, most = (pick(layout.pitches_in) / diameter_in for pick in (min, max))
    words = f"{least:.1f} D" if layout.different_pitches == 1 else f"{least:.1f} to {most:.1f} D"
    odd = layout.unusual_spaces
    if odd:
        words += f"; {odd} {'spaces' if odd > 1 else 'space'} outside the usual pitches"
    return words


def _stretch_table(layout: Layout, length_unit: LengthUnit) -> Table:
    columns = (
        Column("from", length_unit, align="right"),
        Column("to", length_unit, align="right"),
        Column("spaces", align="right"),
        Column("pitch", length_unit, align="right"),
    )
    return Table(
        columns,
        tuple(
            (
                length_number(stretch.start_in, length_unit),
                length_number(stretch.stop_in, length_unit),
                str(stretch.spaces),
                length_number(stretch.pitch_in, length_unit),
            )
            for stretch in layout.stretches
        ),
    )


def _met_table(layout: Layout, demands: RowDemands, length_unit: LengthUnit) -> Table:
    rows = []
    for hit in demands.hits:
        hole, place_in = nearest_hole(layout.rows_in[0], hit.at_in)
        asked = f"a hole at {format_length(hit.at_in, length_unit)}"
        if hit.within_in:
            asked += f", give or take {format_length(hit.within_in, length_unit)}"
        rows.append((asked, f"hole {hole}", length_number(place_in, length_unit)))
    for clear in demands.clears:
        middle_in = (clear.start_in + clear.stop_in) / 2.0
        hole, place_in = min(
            (nearest_hole(row, middle_in) for row in layout.rows_in),
            key=lambda found: abs(found[1] - middle_in),
        )
        asked = f"clear from {span_text(clear.start_in, clear.stop_in, length_unit)}"
        rows.append((asked, f"nearest hole {hole}", length_number(place_in, length_unit)))
    columns = (
        Column("asked", wrap=True),
        Column("met by"),
        Column("which stands at", length_unit, align="right"),
    )
    return Table(columns, tuple(rows))


def nearest_hole(row_in: Sequence[float], place_in: float) -> tuple[int, float]:
    """Return number and place [in] of the hole of a row that is nearest to a place [in]."""
    number = min(range(len(row_in)), key=lambda hole: abs(row_in[hole] - place_in))
    return number + 1, row_in[number]


def _runner_up(seam: Seam, length_unit: LengthUnit) -> tuple[Paragraph, ...]:
    if seam.runner_up is None or seam.decided is None:
        return (Paragraph("There is no other layout that meets every demand."),)
    second = seam.runner_up
    label, pitch = _pitch_words(second, length_unit)
    words = f"Runner-up: {second.rivets} rivets, {label} {pitch}; "
    return (Paragraph(words + _decided_words(seam.decided, length_unit)),)


def _decided_words(decided: Ranking, length_unit: LengthUnit) -> str:
    best, second = (f"{figure:g}" for figure in (decided.best, decided.second))
    if decided.by == "unusual spaces":
        return f"it has {second} spaces outside the usual pitches, the best has {best}."
    if decided.by == "different pitches":
        return f"it has {second} different pitches, the best has {best}."
    if decided.by == "departure from the wish":
        best, second = (
            format_length(figure, length_unit) for figure in (decided.best, decided.second)
        )
        return (
            f"its spaces together depart {second} from the wished pitch, those of the best {best}."
        )
    if decided.by == "rivets":
        return "as near to the wished pitch, with more rivets."
    return "it is as good: take whichever suits the structure."
