"""Whether a rivet may stand there: edge distance, pitch, row spacing, diameter, countersink."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.countersink import check_countersink
from rivetkit.calculators.edge_distance import (
    EDGE_LEAST,
    LayerEdge,
    check_edge_distance,
    check_edge_distance_greatest,
    edge_margin,
    edge_question,
)
from rivetkit.calculators.pitch import (
    PITCH_LEAST,
    ROW_SPACING,
    check_apart,
    check_pitch,
    check_pitch_greatest,
    check_row_spacing,
    held_to_row_spacing,
    pitch_question,
)
from rivetkit.calculators.rivet_diameter import check_diameter_for_sheet
from rivetkit.checks import Check, not_checked
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import Rule, RuleBook

__all__ = [
    "LayerEdge",
    "also_says",
    "check_apart",
    "check_diameter_for_sheet",
    "check_edge_distance",
    "check_edge_distance_greatest",
    "check_pitch",
    "check_pitch_greatest",
    "check_row_spacing",
    "edge_margin",
    "edge_question",
    "held_to_row_spacing",
    "pitch_question",
    "spacing_checks",
]


def spacing_checks(
    fastener: Fastener,
    book: RuleBook,
    *,
    edges: Sequence[LayerEdge] = (),
    pitch_in: float | None = None,
    row_spacing_in: float | None = None,
    rows: int = 1,
    sheets_in: Sequence[float] = (),
    countersunk_sheet_in: float | None = None,
    accuracy_in: float = 0.0,
    inner: bool = False,
) -> tuple[Check, ...]:
    """Return every check of a rivet's place that the given sizes allow.

    What belongs to the question and was not given is returned as not checked: the edge of a layer
    that was named, or of a sheet beyond the edges given; the pitch or the spacing of several rows.

    Parameters
    ----------
    fastener
        The rivet.
    book
        The rules in force.
    edges
        Edge distance in every layer.
    pitch_in, row_spacing_in
        Distances in and between the rows [in].
    rows
        Rows in the seam.
    sheets_in
        Thickness of every sheet [in].
    countersunk_sheet_in
        Thickness of the sheet that is machine countersunk [in].
    accuracy_in
        How far the measured distances may be off [in]; sheets are gauges, and as told.
    inner
        Whether the hole stands inside the sheet: it does not have to hold the edge down, and no
        edge distance is too great.

    Raises
    ------
    InputError
        When nothing is given to check, a length is not one, or a rivet that is not flush is
        countersunk.
    """
    checks = (
        *_edge_checks(fastener, book, edges, len(sheets_in), accuracy_in, inner=inner),
        *_row_checks(
            fastener.diameter_in,
            book,
            pitch_in=pitch_in,
            row_spacing_in=row_spacing_in,
            rows=rows,
            accuracy_in=accuracy_in,
        ),
    )
    if sheets_in:
        diameter_in = fastener.diameter_in
        checks += check_diameter_for_sheet(diameter_in, sheets_in=sheets_in, book=book)
    if countersunk_sheet_in is not None:
        checks += check_countersink(countersunk_sheet_in, fastener=fastener, book=book)
    if not checks:
        raise InputError(
            "nothing is given to check",
            mend="give an edge distance, a pitch or a sheet thickness",
        )
    return checks


def also_says(question: str, book: RuleBook) -> tuple[Rule, ...]:
    """Return what other documents answer to a question, where it differs from the rule in force.

    Parameters
    ----------
    question
        A rule question, for example ``edge_distance_max``.
    book
        The rules in force.
    """
    in_force = book.rule(question)
    return tuple(
        rule
        for rule in book.alternatives(question)
        if (rule.value, rule.unit, rule.plus_in)
        != (in_force.value, in_force.unit, in_force.plus_in)
    )


def _edge_checks(
    fastener: Fastener,
    book: RuleBook,
    edges: Sequence[LayerEdge],
    sheets: int,
    accuracy_in: float,
    *,
    inner: bool,
) -> tuple[Check, ...]:
    checks: list[Check] = []
    for edge in edges:
        if edge.edge_in is None:
            checks.append(_edge_unknown(edge.layer, fastener, book))
            continue
        least = check_edge_distance(
            edge.edge_in,
            diameter_in=fastener.diameter_in,
            flush=fastener.flush,
            book=book,
            accuracy_in=accuracy_in,
            where=edge.layer,
        )
        checks.append(least)
        if inner:
            continue
        greatest = check_edge_distance_greatest(
            edge.edge_in,
            diameter_in=fastener.diameter_in,
            book=book,
            accuracy_in=accuracy_in,
            where=edge.layer,
        )
        checks.append(greatest)
    if edges:
        unnamed = range(len(edges) + 1, sheets + 1)
        checks += [_edge_unknown(f"sheet {number}", fastener, book) for number in unnamed]
    return tuple(checks)


def _edge_unknown(layer: str, fastener: Fastener, book: RuleBook) -> Check:
    return not_checked(
        EDGE_LEAST,
        "no edge distance was given for this layer",
        where=layer,
        citations=(book.rule(edge_question(flush=fastener.flush)).citation,),
    )


def _row_checks(
    diameter_in: float,
    book: RuleBook,
    *,
    pitch_in: float | None,
    row_spacing_in: float | None,
    rows: int,
    accuracy_in: float,
) -> tuple[Check, ...]:
    question = pitch_question(rows)
    checks: list[Check] = []
    if pitch_in is not None:
        checks += [
            check_pitch(
                pitch_in, diameter_in=diameter_in, book=book, rows=rows, accuracy_in=accuracy_in
            ),
            check_pitch_greatest(
                pitch_in, diameter_in=diameter_in, book=book, accuracy_in=accuracy_in
            ),
        ]
    elif rows > 1 or row_spacing_in is not None:
        citation = book.rule(question).citation
        checks.append(not_checked(PITCH_LEAST, "no pitch was given", citations=(citation,)))
    if row_spacing_in is not None:
        checks.append(
            check_row_spacing(
                row_spacing_in, diameter_in=diameter_in, book=book, accuracy_in=accuracy_in
            )
        )
    elif rows > 1:
        citation = book.rule("row_spacing_min").citation
        checks.append(not_checked(ROW_SPACING, "no row spacing was given", citations=(citation,)))
    return tuple(checks)
