"""Tables that fit a page: least important columns left out by name, words folded, numbers whole."""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING

from tabulate import DataRow, TableFormat, tabulate

from rivetkit.reports.document import ALWAYS_SHOWN

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rivetkit.reports.document import Column, Table

_GAP = "   "
_INDENT = "  "
# The rule below the header is a row of ours: tabulate would widen every column by its header.
_FORMAT = TableFormat(
    lineabove=None,
    linebelowheader=None,
    linebetweenrows=None,
    linebelow=None,
    headerrow=DataRow(_INDENT, _GAP, ""),
    datarow=DataRow(_INDENT, _GAP, ""),
    padding=0,
    with_header_hide=None,
)

#: A folding column is never made narrower than this.
_NARROWEST_WORDS = 15
#: In a form a header of several words is folded to this.
_NARROWEST_HEAD = 10

#: What stands in a box to be filled in.
_EMPTY_BOX = "____"

#: A number and its unit are one word when a line is folded.
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:in|mm|D|t|lbf|ksi|lb|percent|deg)\b)")
_JOINED = "\u00a0"


def fold(text: str, width: int, indent: str = "", hanging: str = "") -> str:
    """Return text broken into lines of at most ``width``, a number kept with its unit.

    Examples
    --------
    >>> print(fold("drill with no. 40, 0.098 in wide", 24))
    drill with no. 40,
    0.098 in wide
    """
    lines = textwrap.wrap(
        _NUMBER_AND_UNIT.sub(_JOINED, text),
        width=max(width, len(hanging) + 1),
        initial_indent=indent,
        subsequent_indent=hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return "\n".join(lines).replace(_JOINED, " ")


def table_lines(
    table: Table, width: int, style: Callable[[str], str] | None = None
) -> tuple[list[str], list[str]]:
    """Return a table as lines, and the headers of the columns left out to make it fit.

    Parameters
    ----------
    table
        What to set.
    width
        Most characters in a line.
    style
        Applied to each cell of the finished rows, for colour.
    """
    shown = list(range(len(table.columns)))
    left_out: list[str] = []
    while (widths := _widths(table, shown, width)) is None:
        candidates = [index for index in shown if table.columns[index].weight < ALWAYS_SHOWN]
        if not candidates:
            widths = _natural_widths(table, shown)
            break
        # Of equally light columns the rightmost goes first.
        least = min(candidates, key=lambda index: (table.columns[index].weight, -index))
        shown.remove(least)
        left_out.append(table.columns[least].header)
    columns = [table.columns[index] for index in shown]
    cells = [
        line
        for row in table.rows
        for line in _row_lines([_cell(table, row, index) for index in shown], columns, widths)
    ]
    if style:
        cells = [[style(cell) for cell in line] for line in cells]
    headers = _header_lines(columns, widths)
    rules = ["-" * wide for wide in widths]
    text = tabulate(
        [*headers, rules, *cells],
        tablefmt=_FORMAT,
        disable_numparse=True,
        colalign=[column.align for column in columns],
    )
    return [line.rstrip() for line in text.splitlines()], left_out


def _header(column: Column) -> str:
    return f"{column.header} ({column.unit})" if column.unit else column.header


def _natural_widths(table: Table, shown: Sequence[int]) -> list[int]:
    return [
        max(
            [
                _header_width(table, index),
                *(len(_cell(table, row, index)) for row in table.rows),
            ]
        )
        for index in shown
    ]


def _cell(table: Table, row: Sequence[str], index: int) -> str:
    """Return what stands in a cell: a line to write on in a box that is empty."""
    return row[index] or (_EMPTY_BOX if table.columns[index].boxed else "")


def _header_width(table: Table, index: int) -> int:
    """Return how wide a header is; in a form, whose boxes are narrow, it may be folded."""
    header = _header(table.columns[index])
    if not any(column.boxed for column in table.columns):
        return len(header)
    return max(map(len, fold(header, _NARROWEST_HEAD).splitlines()))


def _header_lines(columns: Sequence[Column], widths: Sequence[int]) -> list[list[str]]:
    folded = [
        fold(_header(column), wide).splitlines()
        for column, wide in zip(columns, widths, strict=True)
    ]
    height = max(map(len, folded))
    return [[[*[""] * height, *lines][len(lines) + at] for lines in folded] for at in range(height)]


def _widths(table: Table, shown: Sequence[int], width: int) -> list[int] | None:
    """Return column widths that fit the page; None when folding words is not enough."""
    widths = _natural_widths(table, shown)
    room = width - len(_INDENT) - len(_GAP) * (len(shown) - 1)
    least = {
        place: max(_NARROWEST_WORDS, _longest_word(table, index))
        for place, index in enumerate(shown)
        if table.columns[index].wrap
    }
    while sum(widths) > room:
        wide = [place for place, floor in least.items() if widths[place] > floor]
        if not wide:
            return None
        widths[max(wide, key=widths.__getitem__)] -= 1
    return widths


def _longest_word(table: Table, index: int) -> int:
    cells = [_header(table.columns[index]), *(row[index] for row in table.rows)]
    return max(len(line) for cell in cells for line in fold(cell, 1).splitlines() or [""])


def _row_lines(
    row: Sequence[str], columns: Sequence[Column], widths: Sequence[int]
) -> list[list[str]]:
    folded = [
        fold(cell, width).splitlines() or [""] if column.wrap else [cell]
        for cell, column, width in zip(row, columns, widths, strict=True)
    ]
    height = max(map(len, folded))
    return [[lines[at] if at < len(lines) else "" for lines in folded] for at in range(height)]
