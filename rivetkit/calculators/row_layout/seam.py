"""A row layout for a rivet under the rules in force: its demands and its checks."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from rivetkit.calculators.edge_distance import (
    check_edge_distance,
    check_edge_distance_greatest,
    edge_question,
)
from rivetkit.calculators.limits import Working, require_length
from rivetkit.calculators.pitch import (
    check_pitch,
    check_pitch_greatest,
    check_row_spacing,
    pitch_question,
)
from rivetkit.calculators.row_layout.demands import Hit, KeepClear, Pattern, RowDemands
from rivetkit.checks import Check, Term, Verdict, make_check

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.row_layout.layout import Layout
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook


#: Two rivets make a row; asking for them is no demand [count].
_FEWEST = 2


def demands_for(
    fastener: Fastener,
    book: RuleBook,
    *,
    length_in: float,
    start_end_in: float | None = None,
    far_end_in: float | None = None,
    pitch_min_in: float | None = None,
    pitch_max_in: float | None = None,
    wished_pitch_in: float | None = None,
    hits: Sequence[Hit] = (),
    clears: Sequence[KeepClear] = (),
    breaks_in: Sequence[float] = (),
    at_least: int = 2,
    rows: int = 1,
    pattern: Pattern = "chain",
) -> RowDemands:
    """Return the demands on a row of a rivet, the rules filling in what is not given.

    Parameters
    ----------
    fastener
        The rivet.
    book
        The rules in force.
    length_in
        Length of the part along the row, end to end [in].
    start_end_in, far_end_in
        Distance of the first and the last hole from their ends [in]; the least edge distance.
    pitch_min_in, pitch_max_in
        Least and greatest pitch [in]; those of the rules.
    wished_pitch_in
        The pitch to come nearest to [in]; the middle of the usual ones. One outside the usual
        pitches widens them.
    hits, clears, breaks_in, at_least, rows, pattern
        As for :class:`RowDemands`; places in [in].

    Raises
    ------
    InputError
        When a length is not one.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> found = demands_for(parse_part_number("MS20470AD4"), RuleBook.named(), length_in=12.0)
    >>> found.first_in, found.pitch_min_in, found.wished_pitch_in, found.pitch_max_in
    (0.25, 0.375, 0.75, 1.25)
    """
    require_length(length_in, "the length of the part")

    def limit_in(question: str) -> float:
        return book.rule(question).length_in(diameter_in=fastener.diameter_in)

    end_in = limit_in(edge_question(flush=fastener.flush))
    least_in = limit_in(pitch_question(rows)) if pitch_min_in is None else pitch_min_in
    most_in = limit_in("pitch_max") if pitch_max_in is None else pitch_max_in
    usual_in = (limit_in("pitch_usual_least"), limit_in("pitch_usual_greatest"))
    if wished_pitch_in is None:
        wished_pitch_in = min(max(sum(usual_in) / 2.0, least_in), most_in)
    else:  # what a person wishes for is no unusual pitch to them
        usual_in = (min(usual_in[0], wished_pitch_in), max(usual_in[1], wished_pitch_in))
    return RowDemands(
        length_in=length_in,
        first_in=end_in if start_end_in is None else start_end_in,
        last_in=length_in - (end_in if far_end_in is None else far_end_in),
        pitch_min_in=least_in,
        pitch_max_in=most_in,
        wished_pitch_in=wished_pitch_in,
        usual_least_in=usual_in[0],
        usual_greatest_in=usual_in[1],
        hits=tuple(hits),
        clears=tuple(clears),
        breaks_in=tuple(breaks_in),
        at_least=at_least,
        rows=rows,
        pattern=pattern,
    )


def usual_row_spacing(pitch_in: float, *, diameter_in: float, book: RuleBook) -> Working:
    """Return the spacing of rows: the usual share of the pitch, never under the least one.

    Parameters
    ----------
    pitch_in
        The pitch of the row [in].
    diameter_in
        Rivet diameter [in].
    book
        The rules in force.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    Trade magazine riveting review: 75 percent of the pitch, never under 2.5 D.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> usual_row_spacing(0.75, diameter_in=0.125, book=RuleBook.named()).value
    0.5625
    """
    require_length(pitch_in, "the pitch")
    require_length(diameter_in, "the rivet diameter")
    usual, least = book.rule("row_spacing_usual"), book.rule("row_spacing_min")
    least_in = least.length_in(diameter_in=diameter_in)
    return Working(
        name="row spacing",
        value=max(usual.value / 100.0 * pitch_in, least_in),
        unit="in",
        template="s = larger of {k} / 100 x {p} and {least}",
        terms=(
            Term("k", usual.value),
            Term("p", pitch_in, "in"),
            Term("least", least_in, "in"),
        ),
        citations=(usual.citation, least.citation),
    )


def least_width(row_spacing_in: float, *, rows: int, fastener: Fastener, book: RuleBook) -> Working:
    """Return the least width of a flange, free on both sides, that takes the rows.

    Parameters
    ----------
    row_spacing_in
        Row to row [in].
    rows
        How many rows.
    fastener
        The rivet.
    book
        The rules in force.

    Raises
    ------
    InputError
        When the spacing is no length.
    """
    require_length(row_spacing_in, "the row spacing", zero_allowed=True)
    rule = book.rule(edge_question(flush=fastener.flush))
    edge_in = rule.length_in(diameter_in=fastener.diameter_in)
    return Working(
        name="least flange width",
        value=2.0 * edge_in + (rows - 1) * row_spacing_in,
        unit="in",
        template="w = 2 x {e} + {gaps} x {s}",
        terms=(
            Term("e", edge_in, "in"),
            Term("gaps", rows - 1),
            Term("s", row_spacing_in, "in"),
        ),
        citations=(rule.citation,),
    )


def layout_checks(
    layout: Layout,
    demands: RowDemands,
    *,
    fastener: Fastener,
    book: RuleBook,
    row_spacing_in: float | None = None,
) -> tuple[Check, ...]:
    """Return the checks of a layout against the rules, whatever was asked of it.

    Parameters
    ----------
    layout
        The layout.
    demands
        What it was asked to meet.
    fastener
        The rivet.
    book
        The rules in force.
    row_spacing_in
        Row to row [in], for a seam of several.

    Raises
    ------
    InputError
        When a length is not one.
    """
    diameter_in = fastener.diameter_in
    ends = {"start": demands.first_in, "far end": demands.length_in - demands.last_in}
    checks: list[Check] = []
    for where, end_in in ends.items():
        checks += [
            check_edge_distance(
                end_in, diameter_in=diameter_in, flush=fastener.flush, book=book, where=where
            ),
            check_edge_distance_greatest(end_in, diameter_in=diameter_in, book=book, where=where),
        ]
    spaces = [other - one for row in layout.rows_in for one, other in itertools.pairwise(row)]
    checks += [
        check_pitch(min(spaces), diameter_in=diameter_in, book=book, rows=demands.rows),
        check_pitch_greatest(max(spaces), diameter_in=diameter_in, book=book),
    ]
    if demands.rows > 1 and row_spacing_in is not None:
        checks.append(check_row_spacing(row_spacing_in, diameter_in=diameter_in, book=book))
    if demands.at_least > _FEWEST:
        checks.append(_rivet_count(layout.rivets, demands.at_least))
    return tuple(checks)


def _rivet_count(rivets: int, at_least: int) -> Check:
    return make_check(
        "rivets",
        rivets,
        at_least,
        unit="count",
        comparison="at least",
        citations=(),
        template="{n} >= {asked}",
        terms=(Term("n", rivets), Term("asked", at_least)),
    )


def no_layout_check() -> Check:
    """Return the failed check of demands that no layout meets."""
    return Check(
        name="row layout",
        verdict=Verdict.FAIL,
        value=None,
        limit=None,
        unit="",
        comparison="at least",
        citations=(),
        reason="no row of even stretches meets every demand",
    )
