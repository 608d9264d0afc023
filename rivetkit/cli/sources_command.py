"""``rivetkit sources``: what the numbers rest on."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Shared, output_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.handbook.rows.practice import RuleChoiceRow
    from rivetkit.reports.document import Report
    from rivetkit.rules import Rule

_EXAMPLES = """\b
Examples:
  $ rivetkit sources
  $ rivetkit sources rivet-holes
  $ rivetkit sources ac43
  $ rivetkit sources rules                     (every limit, by the name --override takes)
  $ rivetkit sources rule-sets
"""


@click.command("sources", epilog=_EXAMPLES)
@click.argument("name", required=False, metavar="[TABLE|DOCUMENT]")
@output_options
def sources(*, name: str | None, shared: Shared) -> int:
    """Show where the numbers come from and how far to trust them.

    Name a table or a document for what was taken from where.
    """
    inputs = {"name": name, **shared.described()}
    return emit(_report(name, inputs, shared), shared)


def _report(name: str | None, inputs: dict[str, object], shared: Shared) -> Report:
    from rivetkit.handbook import load_table
    from rivetkit.handbook.ledger import documents, table_ledger
    from rivetkit.handbook.rows.every import TABLES
    from rivetkit.reports.lookups import rules_report
    from rivetkit.reports.lookups import sources_report as reports

    unit = shared.units
    if name is None:
        return reports.overview_report(table_ledger(), documents(), inputs=inputs, length_unit=unit)
    tables = {reports.short_name(row_type.table): row_type for row_type in TABLES}
    wanted = reports.short_name(name.strip().lower())
    if wanted == "rules":
        return rules_report.rules_report(_rules(), inputs=inputs, length_unit=unit)
    if wanted == "rule-sets":
        return rules_report.rule_sets_report(_choices(), inputs=inputs, length_unit=unit)
    if wanted in tables:
        row_type = tables[wanted]
        ledger = next(entry for entry in table_ledger() if entry.table == row_type.table)
        rows = load_table(row_type)  # type: ignore[arg-type]  # a class is hashable
        return reports.table_report(ledger, rows, inputs=inputs, length_unit=unit)
    for document in documents():
        if name.strip().lower() in {document.source.key, document.source.title.lower()}:
            cited = [
                row
                for kind in TABLES
                for row in load_table(kind)  # type: ignore[arg-type]
                if row.source == document.source.key
            ]
            return reports.document_report(document, cited, inputs=inputs, length_unit=unit)
    known = [*tables, *(document.source.key for document in documents())]
    near = difflib.get_close_matches(wanted, known, n=3)
    raise InputError(
        f"no table or document is called '{name}'",
        mend=f"did you mean {' or '.join(near)}?" if near else "'rivetkit sources' lists them all",
    )


def _rules() -> dict[str, list[tuple[Rule, list[str]]]]:
    """Return every answer to every question, with the rule sets that pick it, picked ones first."""
    from rivetkit.rules import RuleBook, rule_questions, rule_set_names

    books = [RuleBook.named(name) for name in rule_set_names()]
    listed: dict[str, list[tuple[Rule, list[str]]]] = {}
    for question in rule_questions():
        in_force = books[0].rule(question)
        answers = [in_force, *books[0].alternatives(question)]
        picked = {
            book.rule_set: book.choice(question).choice
            for book in books
            if book.choice(question).rule_set == book.rule_set
        }
        listed[question] = [
            (rule, [name for name, choice in picked.items() if choice == rule.citation.rule])
            for rule in answers
        ]
    return listed


def _choices() -> dict[str, list[tuple[RuleChoiceRow, str]]]:
    """Return what each rule set picks, with the limit in words where it is a number."""
    from rivetkit.handbook import load_table
    from rivetkit.handbook.rows.practice import RuleChoiceRow
    from rivetkit.rules import RuleBook, rule_questions, rule_set_names

    numeric = set(rule_questions())
    listed: dict[str, list[tuple[RuleChoiceRow, str]]] = {name: [] for name in rule_set_names()}
    for row in load_table(RuleChoiceRow):
        answer = row.choice
        if row.question in numeric:
            answer = RuleBook.named(row.rule_set).rule(row.question).words()
        listed[row.rule_set].append((row, answer))
    return listed
