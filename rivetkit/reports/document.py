"""The report as data: every writer renders this one model, and none computes a number."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from rivetkit.handbook.sources import source_title

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from rivetkit.checks import Check
    from rivetkit.handbook import Citation
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.drawings.map_view import MapView

Align = Literal["left", "right"]

#: Columns of this weight stay however narrow the page is.
ALWAYS_SHOWN = 10


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True, slots=True)
class Fact:
    """One labelled value. ``basis`` is the basis word of the value, empty when it has none."""

    label: str
    value: str
    note: str = ""
    basis: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """Labelled values under each other."""

    rows: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """What to do, in order."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    header, unit
        What stands above it.
    align
        Side the cells are set to; numbers go right.
    weight
        Importance: the least is left out first when the page is too narrow, and
        ``ALWAYS_SHOWN`` never is.
    wrap
        Whether its text may run over several lines; never for numbers.
    boxed
        Whether its cells are boxes to be filled in by pen: shown though empty, and with room.
    """

    header: str
    unit: str = ""
    align: Align = "left"
    weight: int = ALWAYS_SHOWN
    wrap: bool = False
    boxed: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cell text under headed columns.

    ``ticks`` heads empty boxes in front of every row, to be ticked by pen on paper. ``headline``
    stands above the columns and ``blanks`` beside it are filled in by pen; on paper both are on
    every page that the table runs over.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    ticks: tuple[str, ...] = ()
    headline: str = ""
    blanks: tuple[str, ...] = ()


def without_empty_columns(table: Table) -> Table:
    """Return the table without the columns that no row has anything in; boxes stay."""
    used = [
        place
        for place, column in enumerate(table.columns)
        if column.boxed or any(row[place] for row in table.rows)
    ]
    return replace(
        table,
        columns=tuple(table.columns[place] for place in used),
        rows=tuple(tuple(row[place] for place in used) for row in table.rows),
    )


@dataclass(frozen=True, slots=True)
class CheckList:
    """Checks to be shown as one table."""

    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class SignOff:
    """Blanks to be filled in by pen: what the work is on, and who did each step.

    Only paper has them: a screen, a spreadsheet and a program leave them out.
    """

    blanks: tuple[str, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture of a piece of the job, for the formats that can show one."""

    view: MapView


Block = Paragraph | Facts | Steps | Table | CheckList | SignOff | Drawing

#: What only paper and pictures show; a writer of text leaves these out.
PICTURES = (SignOff, Drawing)


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, which may be empty, and what stands under it.

    ``detail`` marks what only a reader who wants every number explained needs.
    """

    heading: str
    blocks: tuple[Block, ...]
    detail: bool = False


@dataclass(frozen=True, slots=True)
class Report:
    """What one command found out.

    Parameters
    ----------
    command
        Name of the command.
    title
        First line of the report.
    inputs
        What the person asked, as plain JSON data.
    result
        The answer as plain JSON data, unrounded, lengths in ``length_unit``.
    sections
        The same answer laid out for reading.
    checks
        Every judgement made.
    citations
        Where the numbers come from, each once.
    cautions
        What to keep in mind before drilling.
    length_unit
        Unit a person reads lengths in.
    landscape
        Whether its page is printed across.
    """

    command: str
    title: str
    inputs: Mapping[str, object]
    result: Mapping[str, object]
    sections: tuple[Section, ...]
    checks: tuple[Check, ...] = ()
    citations: tuple[Citation, ...] = ()
    cautions: tuple[str, ...] = ()
    length_unit: LengthUnit = field(default="in")
    landscape: bool = False


def collect_citations(
    checks: Iterable[Check] = (), others: Iterable[Citation] = ()
) -> tuple[Citation, ...]:
    """Return the citations of some checks and of a result, each once, in order of appearance."""
    found = dict.fromkeys(citation for check in checks for citation in check.citations)
    found.update(dict.fromkeys(others))
    return tuple(found)


def place_words(citation: Citation) -> str:
    """Return document and place of a citation, for a table that has a column for its basis."""
    if citation.overridden:
        return citation.locator
    title = source_title(citation.source)
    return f"{title}, {citation.locator}" if citation.locator else title


#: What stands beside a number that no document was read for; other bases need no mark.
_MARKS = {
    "memory": "from memory",
    "practice": "common practice",
    "override": "your override",
}


def basis_mark(basis: str) -> str:
    """Return the words to put beside a number that rests on this basis; mostly none."""
    return _MARKS.get(basis, "")
