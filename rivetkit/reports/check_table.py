"""Checks laid out for reading; the same cells serve every format."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from rivetkit.checks import Verdict, worst_verdict
from rivetkit.handbook.sources import BASIS_MEANING
from rivetkit.quantities import format_length, words_in_unit
from rivetkit.reports.amounts import amount_number, margin_number, shown_unit
from rivetkit.reports.check_lines import by_reason
from rivetkit.reports.check_words import VERDICT_WORDS, check_label
from rivetkit.reports.document import Column, Fact, Table, basis_mark, without_empty_columns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.checks import Check
    from rivetkit.reports.amounts import LengthUnit

_LIMIT_WORDS = {"at least": "min", "at most": "max"}


def check_table(checks: Sequence[Check], length_unit: LengthUnit) -> Table:
    """Return the table of some checks: what, value, limit, margin, verdict, and a word beside
    what rests on memory, practice or an override. Columns nobody needs are left away.
    """
    units = {shown_unit(check.unit, length_unit) for check in checks if check.unit}
    one_unit = units.pop() if len(units) == 1 else ""
    columns = (
        Column("where", weight=9, wrap=True),
        Column("check", wrap=True),
        Column("value", one_unit, align="right", weight=8),
        Column("limit", one_unit, align="right", weight=9),
        Column("margin", one_unit, align="right", weight=7),
        Column("unit", weight=8),
        Column("verdict"),
        Column("basis"),
    )
    rows = tuple(_row(check, length_unit, "" if one_unit else None) for check in checks)
    return without_empty_columns(Table(columns, rows))


def _row(check: Check, length_unit: LengthUnit, unit: str | None) -> tuple[str, ...]:
    value = limit = margin = ""
    if check.value is not None:
        value = amount_number(check.value, check.unit, length_unit)
    if check.limit is not None:
        number = amount_number(check.limit, check.unit, length_unit)
        limit = f"{_LIMIT_WORDS[check.comparison]} {number}"
    if check.margin is not None:
        margin = margin_number(check.margin, check.unit, length_unit)
    return (
        words_in_unit(check.where, length_unit),
        check.name,
        value,
        limit,
        margin,
        shown_unit(check.unit, length_unit) if unit is None else unit,
        VERDICT_WORDS[check.verdict],
        basis_mark(check.basis),
    )


#: Verdicts from the gravest on, as they are counted.
_GRAVEST_FIRST = (Verdict.FAIL, Verdict.NOT_CHECKED, Verdict.MARGINAL, Verdict.PASS)


def verdict_fact(checks: Sequence[Check]) -> Fact:
    """Return how some checks came out together, and how many came out how."""
    counts = Counter(check.verdict for check in checks)
    told = ", ".join(
        f"{counts[verdict]} {VERDICT_WORDS[verdict]}"
        for verdict in _GRAVEST_FIRST
        if counts[verdict]
    )
    word = VERDICT_WORDS[worst_verdict(check.verdict for check in checks)]
    count = f"{len(checks)} check{'s' if len(checks) > 1 else ''}"
    return Fact("verdict", word, f"{count}: {told}" if told else "no checks")


def accuracy_fact(accuracy_in: float, length_unit: LengthUnit, *, where: str) -> Fact:
    """Return how far off the measurements may be that some checks rest on.

    ``where`` tells a person where to say it, when nobody did.
    """
    if accuracy_in:
        return Fact("measured to", f"+/- {format_length(accuracy_in, length_unit)}")
    return Fact("measured to", "not told", f"every size is taken as it stands: {where}")


#: What a check that failed says of its value and its limit.
_MISSED = {"at least": "<", "at most": ">"}


def objection(check: Check, length_unit: LengthUnit) -> str:
    """Return why a check speaks against something: what failed by its numbers, else the reason.

    Examples
    --------
    >>> from rivetkit.calculators.heel_distance import check_heel_distance
    >>> from rivetkit.rules import RuleBook
    >>> book = RuleBook.named()
    >>> objection(check_heel_distance(0.28, diameter_in=5/32, book=book, where="spar"), "in")
    'distance from the bend, spar 0.2800 < 0.3125'
    """
    if check.verdict is not Verdict.FAIL or check.value is None or check.limit is None:
        return f"{check_label(check, length_unit)}: {words_in_unit(check.reason, length_unit)}"
    value, limit = (
        amount_number(one, check.unit, length_unit) for one in (check.value, check.limit)
    )
    return f"{check_label(check, length_unit)} {value} {_MISSED[check.comparison]} {limit}"


def reasons(checks: Sequence[Check], length_unit: LengthUnit) -> tuple[Fact, ...]:
    """Return why some checks could not be made, or what there is to say about them."""
    return tuple(
        Fact(check_label(check, length_unit), words_in_unit(check.reason, length_unit))
        for check in checks
        if check.reason
    )


def reason_table(checks: Sequence[Check], length_unit: LengthUnit) -> Table:
    """Return why some checks could not be made: each reason once, with all it holds for."""
    columns = (Column("check"), Column("where", wrap=True), Column("because", wrap=True))
    rows = tuple(
        (name, "; ".join(places), reason)
        for (name, reason), places in by_reason(checks, length_unit).items()
    )
    return Table(columns, rows)


def explanation(check: Check, length_unit: LengthUnit) -> tuple[Fact, ...]:
    """Return a check in full, for doing it again by hand."""
    facts = []
    if check.template:
        facts.append(Fact("formula", check.formula))
        facts.append(Fact("with numbers", check.substituted(length_unit)))
    if check.accuracy:
        accuracy = amount_number(check.accuracy, check.unit, length_unit)
        facts.append(Fact("measured to", f"+/- {accuracy} {shown_unit(check.unit, length_unit)}"))
    if check.reason:
        facts.append(Fact("because", words_in_unit(check.reason, length_unit)))
    if check.rule:
        facts.append(Fact("rule", check.rule))
    facts.extend(Fact("source", citation.words()) for citation in check.citations)
    if check.citations:
        facts.append(Fact("basis", f"{check.basis}: {BASIS_MEANING[check.basis]}"))
    return tuple(facts)
