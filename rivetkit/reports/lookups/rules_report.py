"""The limits on file and the rule sets that pick among them, as reports."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.reports.document import (
    Column,
    Paragraph,
    Report,
    Section,
    Table,
    place_words,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.handbook.rows.practice import RuleChoiceRow
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.rules import Rule


def rules_report(
    rules: Mapping[str, Sequence[tuple[Rule, Sequence[str]]]],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of every limit: what each document answers, and which sets pick it.

    Parameters
    ----------
    rules
        For each question, its answers with the rule sets that pick them.
    inputs
        What was asked.
    length_unit
        Unit for lengths.
    """
    columns = (
        Column("limit", align="right"),
        Column("picked by", wrap=True),
        Column("applies to", weight=5, wrap=True),
        Column("document", wrap=True),
        Column("basis"),
    )
    sections = tuple(
        Section(
            question,
            (
                Table(
                    columns,
                    tuple(
                        (
                            rule.words(),
                            ", ".join(sets),
                            rule.applies,
                            place_words(rule.citation),
                            rule.citation.basis,
                        )
                        for rule, sets in answers
                    ),
                ),
            ),
        )
        for question, answers in rules.items()
    )
    return Report(
        command="sources",
        title="Limits on file, by the name that --override takes",
        inputs=inputs,
        result={
            "rules": [
                {
                    "question": question,
                    "rule": rule.citation.rule,
                    "limit": rule.value,
                    "unit": rule.unit,
                    "plus_in": rule.plus_in,
                    "applies": rule.applies,
                    "source": rule.citation.source,
                    "locator": rule.citation.locator,
                    "basis": rule.citation.basis,
                    "picked_by": list(sets),
                }
                for question, answers in rules.items()
                for rule, sets in answers
            ]
        },
        sections=sections,
        length_unit=length_unit,
    )


def rule_sets_report(
    choices: Mapping[str, Sequence[tuple[RuleChoiceRow, str]]],
    *,
    inputs: Mapping[str, object],
    length_unit: LengthUnit,
) -> Report:
    """Return the report of the rule sets: what each answers, the limit in words, and from where."""
    columns = (
        Column("question"),
        Column("answer"),
        Column("document", wrap=True),
        Column("basis"),
    )
    sections = tuple(
        Section(
            f"Rule set {name}",
            (
                Table(
                    columns,
                    tuple(
                        (
                            row.question,
                            answer,
                            place_words(row.citation()),
                            row.basis,
                        )
                        for row, answer in rows
                    ),
                ),
            ),
        )
        for name, rows in choices.items()
    )
    silent = Paragraph("A set that does not answer a question leaves it to the first one.")
    return Report(
        command="sources",
        title=f"Rule sets: {', '.join(choices)}",
        inputs=inputs,
        result={
            "rule_sets": {
                name: [
                    {
                        "question": row.question,
                        "choice": row.choice,
                        "answer": answer,
                        "source": row.source,
                        "locator": row.locator,
                        "basis": row.basis,
                    }
                    for row, answer in rows
                ]
                for name, rows in choices.items()
            }
        },
        sections=(Section("", (silent,)), *sections),
        length_unit=length_unit,
    )
