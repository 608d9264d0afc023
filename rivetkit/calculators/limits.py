"""What the calculators share: a length against a rule, and a line of arithmetic to show."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.checks import (
    LIMIT_TOLERANCE,
    Check,
    Comparison,
    Term,
    make_check,
    not_checked,
)
from rivetkit.errors import InputError
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.handbook.sources import Citation
    from rivetkit.rules import Rule

#: Nothing that is riveted by hand in a light aircraft is thicker [in]: a larger number is a wrong
#: unit or a slipped point. Common practice.
THICKEST_IN = 0.5

#: No sheet, flange or shim that is riveted is thinner [in]: a smaller number is a wrong unit or a
#: slipped point. Common practice.
THINNEST_IN = 0.004

#: A tape read by eye tells distances better than this [in]: what is worse was not measured, or has
#: a wrong unit or a slipped point. Common practice.
COARSEST_IN = 0.125

_SIGN: dict[Comparison, str] = {"at least": ">=", "at most": "<="}


@dataclass(frozen=True, slots=True)
class Working:
    """One line of arithmetic, shown with its symbols, with its numbers and with its source."""

    name: str
    value: float
    unit: str
    template: str
    terms: tuple[Term, ...]
    citations: tuple[Citation, ...] = ()

    @property
    def formula(self) -> str:
        """The formula with its symbols."""
        return self._spelled().formula

    def substituted(self, length_unit: str = "in") -> str:
        """Return the formula with the numbers in place of the symbols."""
        return self._spelled().substituted(length_unit)

    def _spelled(self) -> Check:
        # A Check already knows how to spell a template; nothing is judged here.
        spelled = not_checked(self.name, "arithmetic only")
        return replace(spelled, template=self.template, terms=self.terms)


def limit_terms(
    rule: Rule, *, diameter_in: float | None = None, thickness_in: float | None = None
) -> tuple[str, tuple[Term, ...]]:
    """Return the right-hand side a rule stands for, as a template and its terms.

    A rule in ``D`` reads ``{k} x {D}``, in ``t`` ``{k} x {t}``, in a length ``{c}``; an addition
    in inches is written after it.

    Parameters
    ----------
    rule
        The rule in force.
    diameter_in, thickness_in
        Rivet diameter and sheet thickness [in], as the rule needs them.
    """
    if rule.unit in {"in", "mm"}:
        return "{c}", (Term("c", rule.length_in(), "in"),)
    size = diameter_in if rule.unit == "D" else thickness_in
    terms = (Term("k", rule.value), Term(rule.unit, size if size is not None else 0.0, "in"))
    template = f"{{k}} x {{{rule.unit}}}"
    if rule.plus_in:
        return f"{template} + {{c}}", (*terms, Term("c", rule.plus_in, "in"))
    return template, terms


def check_length(
    name: str,
    value_in: float,
    *,
    rule: Rule,
    comparison: Comparison,
    symbol: str,
    diameter_in: float | None = None,
    thickness_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of a length against a rule.

    Parameters
    ----------
    name
        What is checked, in trade words.
    value_in
        The length [in].
    rule
        The rule in force.
    comparison
        Which side of the limit passes.
    symbol
        The letter the formula uses for the length.
    diameter_in, thickness_in
        Rivet diameter and sheet thickness [in], as the rule needs them.
    accuracy_in
        How far the measurement may be off [in].
    where
        Layer, row or hole.

    Raises
    ------
    InputError
        When the rule needs a size that was not given, or gives no length.
    """
    limit_in = rule.length_in(diameter_in=diameter_in, thickness_in=thickness_in)
    template, terms = limit_terms(rule, diameter_in=diameter_in, thickness_in=thickness_in)
    return make_check(
        name,
        value_in,
        limit_in,
        unit="in",
        comparison=comparison,
        citations=(rule.citation,),
        template=f"{{{symbol}}} {_SIGN[comparison]} {template}",
        terms=(Term(symbol, value_in, "in"), *terms),
        accuracy=accuracy_in,
        where=where,
    )


def require_length(value_in: float, what: str, *, zero_allowed: bool = False) -> float:
    """Return a length, having seen that it is one.

    Parameters
    ----------
    value_in
        The length [in].
    what
        What it is, for the message.
    zero_allowed
        Whether nought will do.

    Raises
    ------
    InputError
        When it is not a finite number above (or, where allowed, at) zero.
    """
    if not math.isfinite(value_in) or value_in < 0 or (value_in == 0 and not zero_allowed):
        least = "of zero or more" if zero_allowed else "above zero"
        raise InputError(
            length_words("{what} is {value}", what=what, value=value_in),
            mend=f"give a length {least}",
        )
    return value_in


def require_thickness(thickness_in: float) -> float:
    """Return the thickness of a layer [in], having seen that hand tools may rivet such a one.

    Raises
    ------
    InputError
        When it is not above zero, under :data:`THINNEST_IN` or over :data:`THICKEST_IN`.
    """
    if require_length(thickness_in, "the thickness") < THINNEST_IN:
        raise InputError(
            length_words(
                "{told} is thinner than any sheet, flange or shim that is riveted",
                told=thickness_in,
            ),
            mend="write its unit, as in 32 thou or 0.8 mm, or set the point right",
        )
    if thickness_in > THICKEST_IN:
        raise InputError(
            length_words(
                "{told} is thicker than any sheet or flange that is riveted by hand",
                told=thickness_in,
            ),
            mend="write its unit, as in 0.8 mm, or set the point right, as in 0.032",
        )
    return thickness_in


def require_accuracy(accuracy_in: float) -> float:
    """Return a measuring accuracy [in], having seen that somebody may have measured so.

    Raises
    ------
    InputError
        When it is below zero or over :data:`COARSEST_IN`.
    """
    return require_accuracy_within(
        accuracy_in, COARSEST_IN, "the measuring accuracy", "a tape read by eye"
    )


def require_accuracy_within(accuracy_in: float, most_in: float, what: str, tool: str) -> float:
    """Return an accuracy [in] of zero or more, having seen that it is ``most_in`` [in] at most.

    Parameters
    ----------
    accuracy_in
        The accuracy [in].
    most_in
        What the coarsest tool tells [in].
    what, tool
        What it is and what that tool is, for the message.

    Raises
    ------
    InputError
        When it is neither.
    """
    if require_length(accuracy_in, what, zero_allowed=True) > most_in + LIMIT_TOLERANCE:
        raise InputError(
            length_words(
                "{what} is {value}, where {tool} is off by {most} at most",
                what=what,
                value=accuracy_in,
                tool=tool,
                most=most_in,
            ),
            mend="write its unit, as in 0.1 mm, or set the point right, as in 0.005",
        )
    return accuracy_in


def unique_citations(citations: Iterable[Citation]) -> tuple[Citation, ...]:
    """Return the citations in their order, each once."""
    return tuple(dict.fromkeys(citations))
