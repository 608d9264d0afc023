"""Rules as data: a named rule set picks one document's answer, an override replaces it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from rivetkit.checks import MM_PER_IN
from rivetkit.errors import InputError, TableError
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.practice import RuleChoiceRow, RuleRow

if TYPE_CHECKING:
    from collections.abc import Iterable

DEFAULT_RULE_SET = "usual"


@dataclass(frozen=True, slots=True)
class Rule:
    """The answer in force to one question, and where it comes from.

    The limit is ``value`` times ``unit`` (``D``, ``t``, ``in``, ``mm``, ``fraction``, ``percent``
    or ``count``), plus ``plus_in`` inches.
    """

    question: str
    value: float
    unit: str
    plus_in: float
    citation: Citation
    applies: str = ""
    #: The rule set that answered; it differs from the one asked when that one is silent.
    rule_set: str = ""

    def length_in(
        self, *, diameter_in: float | None = None, thickness_in: float | None = None
    ) -> float:
        """Return the limit as a length [in].

        Parameters
        ----------
        diameter_in
            Rivet diameter [in], for a rule in ``D``.
        thickness_in
            Sheet thickness [in], for a rule in ``t``.

        Raises
        ------
        InputError
            When the rule needs a size that was not given, or is not a length at all.
        """
        scale = {"D": diameter_in, "t": thickness_in, "in": 1.0, "mm": 1.0 / MM_PER_IN}
        factor = scale.get(self.unit)
        if factor is None:
            raise InputError(
                f"rule '{self.question}' in '{self.unit}' gives no length here",
                mend="give it in D, t, in or mm as the question asks",
            )
        return self.value * factor + self.plus_in

    def words(self) -> str:
        """Return the limit as a person writes it: ``2.5 D``, ``2 D + 0.0625 in``."""
        text = f"{self.value:g} {self.unit}"
        return f"{text} + {self.plus_in:g} in" if self.plus_in else text


@dataclass(frozen=True, slots=True)
class Override:
    """A rule the person replaced with the aircraft maker's own figure, and the source for it."""

    question: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class RuleBook:
    """A named rule set together with the overrides in force."""

    rule_set: str
    overrides: tuple[Override, ...] = ()

    @classmethod
    def named(
        cls, rule_set: str = DEFAULT_RULE_SET, overrides: Iterable[Override] = ()
    ) -> RuleBook:
        """Return the rule book of a named set.

        Raises
        ------
        InputError
            When no set has that name, or an override names no known question, has no source, or
            is in a unit that cannot answer the question.
        """
        if rule_set not in rule_set_names():
            raise InputError(
                f"no rule set is called '{rule_set}'",
                mend=f"choose one of {', '.join(rule_set_names())}",
            )
        overrides = tuple(overrides)
        for override in overrides:
            _check_override(override)
        return cls(rule_set, overrides)

    def rule(self, question: str) -> Rule:
        """Return the numeric rule in force for a question.

        Raises
        ------
        TableError
            When neither this set nor the default one answers it.
        """
        for override in self.overrides:
            if override.question == question:
                return _overriding_rule(override)
        return _rule_of(self.rule_set, question)

    def choice(self, question: str) -> RuleChoiceRow:
        """Return the row of the rule set (else of the default set) that answers a question.

        Raises
        ------
        TableError
            When neither answers it.
        """
        return _choice_of(self.rule_set, question)

    def alternatives(self, question: str) -> tuple[Rule, ...]:
        """Return what every document on file says to a question, the rule in force left out."""
        in_force = self.rule(question).citation
        return tuple(
            _as_rule(row)
            for row in load_table(RuleRow)
            if row.question == question and row.rule != in_force.rule
        )


@cache
def rule_set_names() -> tuple[str, ...]:
    """Return the names of the rule sets, the default first."""
    names = dict.fromkeys(row.rule_set for row in load_table(RuleChoiceRow))
    return tuple(sorted(names, key=lambda name: (name != DEFAULT_RULE_SET, name)))


@cache
def rule_questions() -> tuple[str, ...]:
    """Return every question that a numeric rule answers, for overriding."""
    return tuple(dict.fromkeys(row.question for row in load_table(RuleRow)))


@cache
def _choices() -> dict[tuple[str, str], RuleChoiceRow]:
    return {(row.rule_set, row.question): row for row in load_table(RuleChoiceRow)}


@cache
def _rules_by_id() -> dict[str, RuleRow]:
    return {row.rule: row for row in load_table(RuleRow)}


#: No limit on file comes near it, in whatever unit.
_GREATEST_OVERRIDE = 10_000.0

#: A limit in inches can be told in place of any other length; one in diameters or thicknesses only
#: where a document tells it so: for others nobody asks for those.
_FIXED_UNITS = {"in", "mm"}
_LENGTH_UNITS = {"D", "t", *_FIXED_UNITS}


def _check_override(override: Override) -> None:
    import difflib

    questions = rule_questions()
    if override.question not in questions:
        near = [name for name in questions if name.startswith(override.question)]
        near = near or difflib.get_close_matches(override.question, questions)
        meant = " or ".join(f"'{name}'" for name in near)
        hint = f"did you mean {meant}?" if near else f"rules are {', '.join(questions)}"
        raise InputError(f"override of an unknown rule '{override.question}'", mend=hint)
    if not override.source.strip():
        raise InputError(
            f"the override of '{override.question}' names no source",
            mend="say which document of the aircraft maker it comes from",
        )
    if not override.value > 0:
        raise InputError(
            f"the override of '{override.question}' is {override.value:g}",
            mend="give a number above zero",
        )
    if override.value > _GREATEST_OVERRIDE:
        raise InputError(
            f"the override of '{override.question}' is {override.value:g}",
            mend="check the number and its unit",
        )
    printed = {row.unit for row in load_table(RuleRow) if row.question == override.question}
    fits = printed | _FIXED_UNITS if printed & _LENGTH_UNITS else printed
    if override.unit not in fits:
        raise InputError(
            f"the override of '{override.question}' is in '{override.unit}'",
            mend=f"give it in {' or '.join(sorted(fits))}",
        )


def _overriding_rule(override: Override) -> Rule:
    citation = Citation(
        rule=f"override:{override.question}",
        source="override",
        locator=override.source,
        basis="override",
        overridden=True,
    )
    return Rule(override.question, override.value, override.unit, 0.0, citation)


def _choice_of(rule_set: str, question: str) -> RuleChoiceRow:
    choices = _choices()
    for name in (rule_set, DEFAULT_RULE_SET):
        row = choices.get((name, question))
        if row is not None:
            return row
    raise TableError(
        f"no rule set answers '{question}'", where=RuleChoiceRow.table, mend="add a row"
    )


@cache  # every check asks
def _rule_of(rule_set: str, question: str) -> Rule:
    choice = _choice_of(rule_set, question)
    row = _rules_by_id().get(choice.choice)
    if row is None or row.question != question:
        raise TableError(
            f"rule set '{choice.rule_set}' answers '{question}' with '{choice.choice}', "
            "which is no rule for it",
            where=RuleChoiceRow.table,
            mend="correct the row",
        )
    return _as_rule(row, choice.rule_set)


def _as_rule(row: RuleRow, rule_set: str = "") -> Rule:
    return Rule(
        question=row.question,
        value=row.value,
        unit=row.unit,
        plus_in=row.plus_in,
        citation=row.citation(row.rule),
        applies=row.applies,
        rule_set=rule_set,
    )
