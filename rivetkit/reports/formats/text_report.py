"""A report as aligned text for a terminal, a pipe or a sheet of paper."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rivetkit.checks import Verdict
from rivetkit.handbook import load_sources
from rivetkit.reports.check_table import (
    check_table,
    explanation,
    reasons,
)
from rivetkit.reports.check_words import VERDICT_WORDS, check_label
from rivetkit.reports.document import (
    PICTURES,
    CheckList,
    Fact,
    Facts,
    Paragraph,
    Steps,
    Table,
    basis_mark,
    without_empty_columns,
)
from rivetkit.reports.formats.text_table import fold, table_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.checks import Check
    from rivetkit.handbook import Citation
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block, Report

#: Widest line of a text report.
PAGE_WIDTH = 100

_INDENT = "  "
_COLOURS = {
    Verdict.PASS: "green",
    Verdict.MARGINAL: "yellow",
    Verdict.FAIL: "red",
    Verdict.NOT_CHECKED: "magenta",
}
#: Letters that steer a terminal or turn the writing round: control characters, line ends of other
#: alphabets, direction marks. A name may hold them; a page of text may not.
_STEERS = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
#: The colours that verdicts are painted with.
_PAINT = re.compile("(\x1b\\[(?:0|1|3[1-5])m)")
#: What stands in place of an edition that nobody knows.
_NO_EDITION = {"", "-", "not stated", "not read"}
_VERDICT_OF_WORD = {word: verdict for verdict, word in VERDICT_WORDS.items()}


def render_text(
    report: Report, *, explain: bool = False, colour: bool = False, width: int = PAGE_WIDTH
) -> str:
    """Return the report as text.

    Parameters
    ----------
    report
        What to set.
    explain
        Whether to show the formula, the numbers put in, the rule and the source of each check.
    colour
        Whether verdict words are coloured; the caller knows whether this is a terminal.
    width
        Most characters in a line.
    """
    writer = _Writer(report.length_unit, width, colour=colour)
    writer.line(report.title)
    for section in report.sections:
        if section.detail and not explain:
            continue
        if all(isinstance(block, PICTURES) for block in section.blocks):
            continue
        writer.heading(section.heading)
        for block in section.blocks:
            writer.block(block)
    if explain and report.checks:
        writer.heading("Each check in full")
        for check in report.checks:
            writer.explain(check)
    if report.citations:
        writer.heading("Sources")
        writer.sources(report.citations)
    if report.cautions:
        writer.heading("Before you drill")
        for caution in report.cautions:
            writer.lines.extend(fold(caution, width, "  ", "  ").splitlines())
    return _harmless("\n".join(writer.lines), colour=colour)


def _harmless(text: str, *, colour: bool) -> str:
    """Return text in which nothing but our own colours steers a terminal."""
    pieces = _PAINT.split(text) if colour else [text]
    return "".join(
        piece if number % 2 else _STEERS.sub("?", piece) for number, piece in enumerate(pieces)
    )


class _Writer:
    """Collects the lines of one report."""

    def __init__(self, length_unit: LengthUnit, width: int, *, colour: bool) -> None:
        self.lines: list[str] = []
        self.length_unit = length_unit
        self.width = width
        self.colour = colour

    def line(self, text: str) -> None:
        self.lines.extend(fold(text, self.width).splitlines() or [""])

    def heading(self, text: str) -> None:
        self.lines.append("")
        if text:
            self.line(text)

    def block(self, block: Block) -> None:
        if isinstance(block, Paragraph):
            self.lines.extend(fold(block.text, self.width, _INDENT, _INDENT).splitlines())
        elif isinstance(block, Facts):
            self.facts(block.rows)
        elif isinstance(block, Steps):
            self.steps(block)
        elif isinstance(block, Table):
            self.table(block)
        elif isinstance(block, CheckList):
            self.checks(block)

    def facts(self, rows: Sequence[Fact], indent: str = _INDENT) -> None:
        if not rows:
            return
        label_width = max(len(row.label) for row in rows)
        beside = [row for row in rows if row.note or row.basis]
        value_width = max((len(row.value) for row in beside), default=0)
        hanging = indent + " " * (label_width + 3)
        for row in rows:
            note = "; ".join(part for part in (row.note, basis_mark(row.basis)) if part)
            start = f"{indent}{row.label:<{label_width}}   "
            whole = f"{start}{row.value:<{value_width}}   {note}" if note else start + row.value
            if len(whole) <= self.width:
                self.lines.append(whole.rstrip())
                continue
            self.lines.extend(fold(row.value, self.width, start, hanging).splitlines())
            self.lines.extend(fold(note, self.width, hanging, hanging).splitlines())

    def steps(self, block: Steps) -> None:
        digits = len(str(len(block.items)))
        for number, item in enumerate(block.items, start=1):
            start = f"{_INDENT}{number:>{digits}}. "
            self.lines.extend(fold(item, self.width, start, " " * len(start)).splitlines())

    def table(self, table: Table) -> None:
        if not table.rows:
            return
        shown = without_empty_columns(table)
        lines, left_out = table_lines(shown, self.width, self.painted if self.colour else None)
        if table.caption:
            self.lines.extend(fold(table.caption, self.width, _INDENT, _INDENT).splitlines())
        self.lines.extend(lines)
        if left_out:
            note = f"Left out to fit the page: {', '.join(left_out)}; --json has everything."
            self.lines.extend(fold(note, self.width, _INDENT, _INDENT).splitlines())

    def checks(self, block: CheckList) -> None:
        self.table(check_table(block.checks, self.length_unit))
        why = reasons(block.checks, self.length_unit)
        if why:
            self.lines.append("")
            for fact in why:
                text = f"{fact.label}: {fact.value}"
                self.lines.extend(fold(text, self.width, _INDENT, _INDENT * 2).splitlines())

    def explain(self, check: Check) -> None:
        verdict = self.painted(VERDICT_WORDS[check.verdict])
        called = check_label(check, self.length_unit)
        label = fold(called, self.width - len(_INDENT) - 13, _INDENT, _INDENT)
        self.lines.extend(f"{label}: {verdict}".splitlines())
        self.facts(explanation(check, self.length_unit), _INDENT * 2)

    def sources(self, citations: Sequence[Citation]) -> None:
        places: dict[str, dict[str, None]] = {}
        for citation in citations:
            cited = f"{citation.locator} [{citation.basis}]".strip()
            places.setdefault(citation.source, {})[cited] = None
        for key, found in places.items():
            listed = "; ".join(found)
            text = f"{_document(key)}{' ' if listed.startswith('[') else ': '}{listed}"
            self.lines.extend(fold(text, self.width, _INDENT, _INDENT * 2).splitlines())

    def painted(self, text: str) -> str:
        if not self.colour or text not in _VERDICT_OF_WORD:
            return text
        import click

        return click.style(text, fg=_COLOURS[_VERDICT_OF_WORD[text]], bold=True)


def _document(key: str) -> str:
    source = load_sources().get(key)
    if source is None:
        return key
    if source.edition in _NO_EDITION or source.edition in source.title:
        return source.title
    return f"{source.title} ({source.edition})"
