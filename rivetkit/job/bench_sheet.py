"""The sheet for the bench: holes go out to be measured, and the measurements come back."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.errors import InputError, RivetkitError
from rivetkit.job.fields import nearest_word
from rivetkit.job.files import STANDARD_INPUT, read_text_file
from rivetkit.quantities import parse_length_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

#: What the person fills in, and what each box is called in the sheet's first line.
LEAST, GREATEST, AXIS, GREW, REMARK = (
    "measured least",
    "measured greatest",
    "long axis",
    "grew",
    "remark",
)
HOLE = "hole"

GREW_WORDS = ("toward", "away", "both")
AXIS_WORDS = ("edge", "row")

#: What a spreadsheet makes of 1/8 or 3-16 when nobody stops it.
_DATE = re.compile(
    r"\d{1,4}[-/.]\d{1,2}[-/.]\d{2,4}"
    r"|\d{1,2}[-. ]?(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*([-. ]?\d{2,4})?"
    r"|(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[-. ]?\d{1,4}",
    re.IGNORECASE,
)


_SIGNS = r"=+\-@\uff1d\uff0b\uff0d\uff20|%"
#: A cell that a spreadsheet runs as a formula or reads as a time; and one that has our mark.
_TAKEN_AMISS = re.compile(rf"[\s'{_SIGNS}]|[\d:.]+$")
#: Where a semicolon divides cells, a formula may begin after one.
_LATER_FORMULA = re.compile(rf";(?=\s*'*[{_SIGNS}])")
_SAFE_FORMULA = re.compile(rf";'(?=\s*'*[{_SIGNS}])")


@dataclass(frozen=True, slots=True)
class BenchHole:
    """What was measured at one hole; ``where`` is file and line, for messages.

    ``axis`` is ``edge``, ``row``, an angle [deg] from the x axis, or None when nobody noted it.
    ``grew`` tells to which side along the axis, None when it cannot be told.
    """

    hole: str
    least_in: float
    greatest_in: float
    axis: str | float | None
    grew: str | None
    remark: str
    where: str


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One hole of the sheet to be filled: what stands printed in its line."""

    hole: str
    x_in: float
    y_in: float
    edge: str
    part: str
    hole_in: float | None
    least_in: float | None
    greatest_in: float | None


def read_bench_sheet(path: str | Path, known: Iterable[str]) -> tuple[BenchHole, ...]:
    """Read the measurements of a filled sheet; lines with empty boxes are passed over.

    Parameters
    ----------
    path
        The CSV file; ``-`` is standard input.
    known
        Ids of the job's holes.

    Raises
    ------
    InputError
        When the file cannot be read, a hole is unknown or measured twice, a size is no size, a
        least is above its greatest, or a spreadsheet turned a size into a date. File, line and
        column are named.
    """
    name = str(path) if str(path) != STANDARD_INPUT else "standard input"
    try:
        text = read_text_file(path)
    except RivetkitError as error:
        raise error.at(name) from None
    known = frozenset(known)
    found: dict[str, BenchHole] = {}
    for hole in _read_lines(text, name):
        if hole.hole not in known:
            raise InputError(
                f"the job has no hole '{hole.hole}'",
                where=f"{hole.where}: column '{HOLE}'",
                mend=nearest_word(hole.hole, tuple(known)) or "make a new worksheet from the job",
            )
        if hole.hole in found:
            raise InputError(
                f"hole '{hole.hole}' is measured again (first in {found[hole.hole].where})",
                where=hole.where,
                mend="keep one of the two lines",
            )
        found[hole.hole] = hole
    return tuple(found.values())


def write_bench_sheet(
    lines: Sequence[SheetLine], unit: str, filled: Iterable[BenchHole] = ()
) -> str:
    """Return the sheet as CSV text, measurements already made in their boxes.

    Parameters
    ----------
    lines
        The holes, in the order to print them.
    unit
        ``in`` or ``mm``; it stands in the heads of the columns and is read from there.
    filled
        Measurements to carry over.
    """
    from rivetkit.quantities import to_unit

    def size(value_in: float | None) -> str:
        return "" if value_in is None else f"{to_unit(value_in, unit):.4f}"

    done = {hole.hole: hole for hole in filled}
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(
        [
            HOLE,
            f"x ({unit})",
            f"y ({unit})",
            "nearest edge",
            "rivet",
            f"nominal hole ({unit})",
            f"limit least ({unit})",
            f"limit greatest ({unit})",
            f"{LEAST} ({unit})",
            f"{GREATEST} ({unit})",
            f"{AXIS} (edge, row or degrees)",
            f"{GREW} (toward, away or both)",
            REMARK,
        ]
    )
    for line in lines:
        hole = done.get(line.hole)
        writer.writerow(
            [
                _safe(line.hole),
                size(line.x_in),
                size(line.y_in),
                _safe(line.edge),
                _safe(line.part),
                size(line.hole_in),
                size(line.least_in),
                size(line.greatest_in),
                *(_typed_again(hole, unit) if hole else ("", "", "", "", "")),
            ]
        )
    return out.getvalue()


def _typed_again(hole: BenchHole, unit: str) -> tuple[str, ...]:
    from rivetkit.quantities import to_unit

    least, greatest = (f"{to_unit(v, unit):.6g}" for v in (hole.least_in, hole.greatest_in))
    axis = "" if hole.axis is None else str(hole.axis)
    return (least, greatest, axis, hole.grew or "", _safe(hole.remark))


def _safe(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula, nor hole 5 of row 1 for a time."""
    text = _LATER_FORMULA.sub(";'", text)
    return f"'{text}" if text != "-" and _TAKEN_AMISS.match(text) else text


def _unsafe(text: str) -> str:
    """Return what :func:`_safe` made safe."""
    text = text[1:] if text[:1] == "'" else text
    return _SAFE_FORMULA.sub(";", text)


def _read_lines(text: str, name: str) -> Iterator[BenchHole]:
    first = text.split("\n", 1)[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        header = [cell.strip().lower() for cell in next(reader, [])]
        columns = {what: _column(header, what) for what in (HOLE, LEAST, GREATEST, AXIS, GREW)}
        columns[REMARK] = _column(header, REMARK)
        for what in (HOLE, LEAST, GREATEST):
            if columns[what] is None:
                raise InputError(
                    f"no column '{what}'",
                    where=f"{name}: line 1",
                    mend="keep the first line as the worksheet had it",
                )
        for cells in reader:
            _require_no_more(cells, header, f"{name}: line {reader.line_num}")
            hole = _read_line(_Line(cells, header, columns, f"{name}: line {reader.line_num}"))
            if hole is not None:
                yield hole
    except csv.Error as error:
        raise InputError(
            f"is no CSV ({error})", where=f"{name}: line {reader.line_num}", mend="save it as CSV"
        ) from None


def _require_no_more(cells: Sequence[str], header: Sequence[str], where: str) -> None:
    """Refuse a line with more cells than the first: 0,101 for 0.101 would be two of them."""
    if any(cell.strip() for cell in cells[len(header) :]):
        raise InputError(
            f"{len(cells)} cells, the first line has {len(header)}",
            where=where,
            mend="write decimals with a point, and a remark that has a comma in quotes",
        )


def _column(header: Sequence[str], what: str) -> int | None:
    for number, cell in enumerate(header):
        if cell == what or cell.startswith(f"{what} ("):
            return number
    return None


@dataclass(frozen=True, slots=True)
class _Line:
    """The cells of one line by column."""

    cells: Sequence[str]
    header: Sequence[str]
    columns: dict[str, int | None]
    where: str

    def text(self, what: str) -> str:
        number = self.columns[what]
        if number is None or number >= len(self.cells):
            return ""
        return self.cells[number].strip()

    def place(self, what: str) -> str:
        return f"{self.where}: column '{what}'"

    def length_in(self, what: str) -> float:
        text = self.text(what)
        if _DATE.fullmatch(text):
            raise InputError(
                f"'{text}' is a date: a spreadsheet made it of a size such as 1/8",
                where=self.place(what),
                mend="type the size again as a decimal, 0.128, or format the column as text",
            )
        unit = "mm" if "(mm)" in self.header[self.columns[what] or 0] else "in"
        try:
            return parse_length_in(text, default_unit=unit)
        except RivetkitError as error:
            raise error.at(self.place(what)) from None

    def word(self, what: str, words: Sequence[str]) -> str | None:
        text = self.text(what).lower()
        if not text:
            return None
        if text not in words:
            raise InputError(
                f"'{text}' is not known here",
                where=self.place(what),
                mend=f"write {', '.join(words)}, or leave it empty",
            )
        return text


def _read_line(line: _Line) -> BenchHole | None:
    sizes = (line.text(LEAST), line.text(GREATEST))
    name = _unsafe(line.text(HOLE))
    if not any(sizes):
        return None
    if not name:
        raise InputError("sizes without a hole", where=line.place(HOLE), mend="write the hole's id")
    # One diameter alone is a round hole.
    least_in = line.length_in(LEAST if sizes[0] else GREATEST)
    greatest_in = line.length_in(GREATEST if sizes[1] else LEAST)
    if least_in > greatest_in:
        raise InputError(
            f"the least {sizes[0]} is above the greatest {sizes[1]}",
            where=line.place(LEAST),
            mend="swap them, or measure again",
        )
    return BenchHole(
        hole=name,
        least_in=least_in,
        greatest_in=greatest_in,
        axis=_axis(line),
        grew=line.word(GREW, GREW_WORDS),
        remark=_unsafe(line.text(REMARK)),
        where=line.where,
    )


def _axis(line: _Line) -> str | float | None:
    text = line.text(AXIS).lower()
    try:
        degrees = float(text.removesuffix("deg").strip())
    except ValueError:
        return line.word(AXIS, AXIS_WORDS)
    if not -360.0 <= degrees <= 360.0:  # noqa: PLR2004
        raise InputError(
            f"'{text}' is no direction", where=line.place(AXIS), mend="give degrees up to 360"
        )
    return degrees
