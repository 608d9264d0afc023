"""The Check: the one record of a judgement, and the one place that decides pass or fail."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Literal

from rivetkit.handbook.sources import Citation, weakest_basis

if TYPE_CHECKING:
    from collections.abc import Iterable

#: A value this close to its limit counts as exactly at it; absorbs binary rounding only, and is
#: far below what any tool can measure.
LIMIT_TOLERANCE = 1e-9

#: One inch is exactly this many millimetres (international inch, 1959).
MM_PER_IN = 25.4

Comparison = Literal["at least", "at most"]


class Verdict(StrEnum):
    """What a check came to."""

    PASS = "pass"  # noqa: S105 - a verdict
    MARGINAL = "marginal"
    FAIL = "fail"
    NOT_CHECKED = "not_checked"


_SEVERITY = {Verdict.PASS: 0, Verdict.MARGINAL: 1, Verdict.NOT_CHECKED: 2, Verdict.FAIL: 3}


def judge(value: float, limit: float, comparison: Comparison, accuracy: float = 0.0) -> Verdict:
    """Return the verdict of a value against its limit.

    A value exactly at its limit passes. With a measuring accuracy, pass means it would hold even
    if the measurement were off by that much, fail means it would miss even then.

    Parameters
    ----------
    value, limit
        In one unit.
    comparison
        Which side of the limit passes.
    accuracy
        How far the measured value may be off, same unit, zero or more.
    """
    margin = signed_margin(value, limit, comparison)
    if margin - accuracy >= -LIMIT_TOLERANCE:
        return Verdict.PASS
    if margin + accuracy < -LIMIT_TOLERANCE:
        return Verdict.FAIL
    return Verdict.MARGINAL


def signed_margin(value: float, limit: float, comparison: Comparison) -> float:
    """Return value against limit, positive on the passing side, in their unit."""
    return value - limit if comparison == "at least" else limit - value


def worst_verdict(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the gravest of some verdicts (fail, not checked, marginal, pass); pass for none."""
    return max(verdicts, key=_SEVERITY.__getitem__, default=Verdict.PASS)


@dataclass(frozen=True, slots=True)
class Term:
    """A symbol of a formula with the number put in for it.

    ``unit`` is ``in`` for a length, ``D`` for a multiple of the diameter, or any other unit word;
    empty for a bare number.
    """

    symbol: str
    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """A judgement: what was compared with what, how it came out, and who says so.

    ``row`` and ``hole`` name what a plan made it for, where it makes many alike: a report tells
    those together. ``where`` says the same, and more, in words.
    """

    name: str
    verdict: Verdict
    value: float | None
    limit: float | None
    unit: str
    comparison: Comparison
    citations: tuple[Citation, ...]
    template: str = ""
    terms: tuple[Term, ...] = ()
    accuracy: float = 0.0
    where: str = ""
    reason: str = ""
    row: str = ""
    hole: str = ""

    @property
    def margin(self) -> float | None:
        """Value against limit, positive when the check passes, in ``unit``."""
        if self.value is None or self.limit is None:
            return None
        return signed_margin(self.value, self.limit, self.comparison)

    @property
    def rule(self) -> str:
        """Id of the rule row the limit comes from."""
        return self.citations[0].rule if self.citations else ""

    @property
    def basis(self) -> str:
        """The weakest basis among everything the judgement rests on."""
        return weakest_basis(tuple(citation.basis for citation in self.citations))

    @property
    def formula(self) -> str:
        """The formula with its symbols."""
        return self.template.format(**{term.symbol: term.symbol for term in self.terms})

    def substituted(self, length_unit: str = "in") -> str:
        """Return the formula with the numbers in place of the symbols."""
        shown = {term.symbol: _term_text(term, length_unit) for term in self.terms}
        return self.template.format(**shown)


def _term_text(term: Term, length_unit: str) -> str:
    if term.unit == "in":
        if length_unit == "mm":
            return f"{term.value * MM_PER_IN:.3f} mm"
        return f"{term.value:.4f} in"
    number = f"{term.value:.6g}"
    return f"{number} {term.unit}" if term.unit else number


def make_check(
    name: str,
    value: float,
    limit: float,
    *,
    unit: str,
    comparison: Comparison,
    citations: tuple[Citation, ...],
    template: str,
    terms: tuple[Term, ...],
    accuracy: float = 0.0,
    where: str = "",
) -> Check:
    """Return the Check of a value against its limit, judged by :func:`judge`."""
    return Check(
        name=name,
        verdict=judge(value, limit, comparison, accuracy),
        value=value,
        limit=limit,
        unit=unit,
        comparison=comparison,
        citations=citations,
        template=template,
        terms=terms,
        accuracy=accuracy,
        where=where,
    )


def word_check(
    name: str, *, holds: bool, reason: str, citations: tuple[Citation, ...], where: str = ""
) -> Check:
    """Return the Check of something that no number tells: it holds or it does not, and why."""
    return Check(
        name=name,
        verdict=Verdict.PASS if holds else Verdict.FAIL,
        value=None,
        limit=None,
        unit="",
        comparison="at least",
        citations=citations,
        where=where,
        reason=reason,
    )


def gravest(checks: Iterable[Check]) -> Check:
    """Return the gravest of some checks, one at least; among equals the one with least to spare."""
    return max(
        checks,
        key=lambda check: (
            _SEVERITY[check.verdict],
            float("-inf") if check.margin is None else -check.margin,
        ),
    )


def not_checked(
    name: str,
    reason: str,
    *,
    where: str = "",
    citations: tuple[Citation, ...] = (),
    comparison: Comparison = "at least",
) -> Check:
    """Return a Check that could not be made, and why. It never counts as a pass."""
    return Check(
        name=name,
        verdict=Verdict.NOT_CHECKED,
        value=None,
        limit=None,
        unit="",
        comparison=comparison,
        citations=citations,
        where=where,
        reason=reason,
    )
