"""What a new rivet asks of the places on a line, as arithmetic to show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.head_clearance import least_head_clearance
from rivetkit.calculators.limits import Working, limit_terms
from rivetkit.calculators.spacing import edge_question, pitch_question
from rivetkit.checks import Term

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import Rule, RuleBook


def limits_used(
    part: Fastener, sizes: Iterable[tuple[float, int]], book: RuleBook, *, beside: bool
) -> Iterator[Working]:
    """Yield the least distances of a rivet from edges and from every size of neighbour, and the
    sheets its diameter suits.

    ``sizes`` are the larger diameter [in] of the rivet and a neighbour, and the rows of its seam;
    ``beside`` tells whether there are layers the rivet may stand beside.
    """
    edge_rule = book.rule(edge_question(flush=part.flush))
    yield _least("least edge distance", "e", edge_rule, part.diameter_in)
    if beside:
        yield least_head_clearance(part, book)
    for diameter_in, rows in sizes:
        name = "least distance from a rivet"
        name = name if rows == 1 else f"{name}, seam of {rows} rows"
        yield _least(name, "p", book.rule(pitch_question(rows)), diameter_in)
    for name, question in (
        ("thickest sheet, at least", "diameter_per_thickness_max"),
        ("thickest sheet, at most", "diameter_per_thickness_min"),
    ):
        yield from _sheet_for(name, book.rule(question), part.diameter_in)


def _least(name: str, symbol: str, rule: Rule, diameter_in: float) -> Working:
    limit, terms = limit_terms(rule, diameter_in=diameter_in)
    value_in = rule.length_in(diameter_in=diameter_in)
    return Working(
        name,
        value_in,
        "in",
        f"{{{symbol}}} = {limit}",
        (Term(symbol, value_in, "in"), *terms),
        (rule.citation,),
    )


def _sheet_for(name: str, rule: Rule, diameter_in: float) -> Iterator[Working]:
    """Yield the sheet a diameter is the limit for, where the rule goes by the sheet."""
    if rule.unit != "t":
        return
    value_in = (diameter_in - rule.plus_in) / rule.value
    terms = (
        Term("t", value_in, "in"),
        Term("D", diameter_in, "in"),
        Term("c", rule.plus_in, "in"),
        Term("k", rule.value),
    )
    template = "{t} = ({D} - {c}) / {k}" if rule.plus_in else "{t} = {D} / {k}"
    yield Working(name, value_in, "in", template, terms, (rule.citation,))
