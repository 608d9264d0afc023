"""The rivets of a splice as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.quantities import format_length, words_in_unit
from rivetkit.reports.amounts import length_entry
from rivetkit.reports.arithmetic import working_citations, working_data, working_section
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
from rivetkit.reports.rivet_facts import rivet_facts

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.splice.rivet_counts import RivetCount
    from rivetkit.calculators.splice.rivets_required import RivetsRequired
    from rivetkit.calculators.splice.rows import SpliceRows
    from rivetkit.checks import Check
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.reports.amounts import LengthUnit

_JOINT_WORDS = {
    "single-lap": ("single lap", "sheet joint"),
    "stringer": ("stringer", "upper wing surface or fuselage"),
    "frame": ("frame", "intermediate"),
    "full": ("full count", "no reduction"),
}

#: A lap is one joint; whatever is cut through is joined twice over, once on each side of the cut.
_WHOLE_LAP = "the whole lap"
_ONE_SIDE = "one side of the cut"


def _counted_for(splice: RivetsRequired) -> str:
    return _WHOLE_LAP if splice.joint == "single-lap" else _ONE_SIDE


def splice_report(
    splice: RivetsRequired,
    *,
    fastener: Fastener | None,
    layouts: Sequence[SpliceRows | None],
    remarks: Sequence[str],
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of a splice.

    Parameters
    ----------
    splice
        The counts.
    fastener
        The rivet; none for the bolt.
    layouts
        The rows each count makes, in their order; none where there is no count.
    remarks
        What to say about the choices made.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    checks = (*splice.checks, *_row_checks(splice, layouts))
    workings = [line for one in splice.counts for line in one.workings]
    sections = [
        Section("", (Facts(_facts(splice, fastener, layouts, length_unit)),)),
        Section("Counted each way", (_count_table(splice, layouts, length_unit),)),
    ]
    said = [*remarks, *_count_remarks(splice.counts, length_unit)]
    if said:
        sections.append(Section("Mind", tuple(Paragraph(text) for text in said)))
    sections += [
        Section("Checks", (CheckList(checks),)),
        working_section(tuple(workings), length_unit),
    ]
    width = format_length(splice.width_in, length_unit)
    others = [*splice.citations, *working_citations(workings)]
    return Report(
        command="splice",
        title=f"Rivets for a splice {width} wide",
        inputs=inputs,
        result=_data(splice, layouts, length_unit),
        sections=tuple(sections),
        checks=checks,
        citations=collect_citations(checks, others),
        cautions=BENCH_CAUTIONS,
        length_unit=length_unit,
    )


def _facts(
    splice: RivetsRequired,
    fastener: Fastener | None,
    layouts: Sequence[SpliceRows | None],
    length_unit: LengthUnit,
) -> tuple[Fact, ...]:
    facts = [Fact("fastener", f"{splice.size} bolt")]
    if fastener is not None:
        facts = list(rivet_facts(fastener, length_unit, with_length=False))
    sheet = f"{format_length(splice.thickness_in, length_unit)} {splice.alloy}".strip()
    joint, where = _JOINT_WORDS[splice.joint]
    facts += [
        Fact("sheet", sheet),
        Fact("joint", joint, f"{where}; factor {splice.factor:g}"),
        Fact("counted for", _counted_for(splice), _again(splice)),
    ]
    if splice.printed is not None:
        facts.append(_answer("by the printed table", splice.printed, splice, layouts))
    if splice.strictest is not None and splice.strictest is not splice.printed:
        facts.append(_answer("strictest count", splice.strictest, splice, layouts))
    return tuple(facts)


def _again(splice: RivetsRequired) -> str:
    return "" if _counted_for(splice) == _WHOLE_LAP else "the other side takes as many again"


def _answer(
    label: str, count: RivetCount, splice: RivetsRequired, layouts: Sequence[SpliceRows | None]
) -> Fact:
    rows = layouts[splice.counts.index(count)]
    laid_out = f", in {_rows_words(rows)}" if rows is not None else ""
    return Fact(label, f"{count.count} rivets", f"{count.title}{laid_out}")


def _rows_words(rows: SpliceRows) -> str:
    return f"{rows.rows} row{'' if rows.rows == 1 else 's'} of {rows.per_row}"


def _count_table(
    splice: RivetsRequired, layouts: Sequence[SpliceRows | None], length_unit: LengthUnit
) -> Table:
    columns = (
        Column("way", wrap=True),
        Column("per inch", align="right"),
        Column("rivets", align="right"),
        Column("rows"),
        Column("pitch", length_unit, align="right", weight=8),
        Column(""),
        Column("governed by", weight=7, wrap=True),
    )
    rows = []
    for count, layout in zip(splice.counts, layouts, strict=True):
        strictest = "strictest" if count is splice.strictest else ""
        pitch = ""
        if layout is not None and layout.pitch_in is not None:
            pitch = format_length(layout.pitch_in, length_unit, with_unit=False)
        rows.append(
            (
                count.title,
                "" if count.per_inch is None else _per_inch_text(count),
                "not known" if count.count is None else str(count.count),
                "" if layout is None else f"{layout.rows} x {layout.per_row}",
                pitch,
                strictest,
                ", ".join(count.remarks) if count.method in {"formula", "allowables"} else "",
            )
        )
    caption = "per inch: before the factor; rivets: with it."
    return Table(columns, tuple(rows), caption)


def _per_inch_text(count: RivetCount) -> str:
    places = 1 if count.method in {"notes", "example"} else 2
    return f"{count.per_inch:.{places}f}"


def _count_remarks(counts: Sequence[RivetCount], unit: LengthUnit) -> list[str]:
    printed = [one for one in counts if one.method == "notes"]
    return [
        f"{one.title}: {words_in_unit(remark, unit)}." for one in printed for remark in one.remarks
    ]


def _row_checks(splice: RivetsRequired, layouts: Sequence[SpliceRows | None]) -> tuple[Check, ...]:
    """Return the pitch checks of the counts that are answers, each layout once."""
    answers = [one for one in (splice.printed, splice.strictest) if one is not None]
    found = [layouts[splice.counts.index(one)] for one in answers]
    laid_out = [rows for rows in found if rows is not None]
    checks = [check for rows in laid_out for check in (rows.check, *rows.other_checks)]
    return tuple(dict.fromkeys(checks))


def _data(
    splice: RivetsRequired, layouts: Sequence[SpliceRows | None], length_unit: LengthUnit
) -> dict[str, object]:
    return {
        **length_entry("width", splice.width_in, length_unit),
        **length_entry("thickness", splice.thickness_in, length_unit),
        "alloy": splice.alloy,
        "joint": splice.joint,
        "factor": splice.factor,
        "counted_for": _counted_for(splice),
        "fastener_size": splice.size,
        "printed_count": splice.printed.count if splice.printed else None,
        "strictest_count": splice.strictest.count if splice.strictest else None,
        "strictest_way": splice.strictest.title if splice.strictest else None,
        "joint_strength_lbf": splice.strength.allowable_lbf if splice.strength else None,
        "counts": [
            _count_data(count, layout, length_unit)
            for count, layout in zip(splice.counts, layouts, strict=True)
        ],
    }


def _count_data(
    count: RivetCount, layout: SpliceRows | None, length_unit: LengthUnit
) -> dict[str, object]:
    rows: dict[str, object] | None = None
    if layout is not None:
        rows = {
            "rows": layout.rows,
            "per_row": layout.per_row,
            "row_holds": layout.row_holds,
            **length_entry("pitch", layout.pitch_in, length_unit),
            **length_entry("edge_distance", layout.edge_in, length_unit),
            "fits": layout.fits,
        }
    return {
        "way": count.title,
        "method": count.method,
        "table": count.table_name or None,
        "per_inch": count.per_inch,
        "count": count.count,
        "reason": words_in_unit(count.reason, length_unit),
        "remarks": [words_in_unit(remark, length_unit) for remark in count.remarks],
        "layout": rows,
        "arithmetic": [working_data(line, length_unit) for line in count.workings],
    }
