"""Lines of the sheet for the bench: its columns, the person's own, and what stands in them."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.calculators.oversize.measured_size import require_near_nominal
from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import InputError, RivetkitError
from rivetkit.job.worksheet.cells import DATE, unsafe
from rivetkit.quantities import format_length, parse_length_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

#: What the person fills in, and what each box is called in the sheet's first line.
LEAST, GREATEST, AXIS, GREW, REMARK = (
    "measured least",
    "measured greatest",
    "long axis",
    "grew",
    "remark",
)
BOXES = (LEAST, GREATEST, AXIS, GREW, REMARK)
#: What stands printed in the sheet; a column of another name is the person's own.
HOLE, X, Y = "hole", "x", "y"
PRINTED = (HOLE, X, Y, "nearest edge", "rivet", "nominal hole", "limit least", "limit greatest")

#: A hole this much [in] from where the sheet prints it is another hole: far above what a
#: spreadsheet rounds a coordinate by, far below any pitch.
MOVED_IN = 0.01

#: The head of the column of holes tells which job they are of.
_OF_JOB = re.compile(rf"{HOLE} \(job:(.*)\)", re.IGNORECASE | re.DOTALL)

GREW_WORDS = ("toward", "away", "both")
AXIS_WORDS = ("edge", "row")


def plain_job_name(name: str) -> str:
    """Return a job's name as a sheet writes it: on one line, nothing in it that divides cells."""
    return " ".join(name.replace(";", ",").split())


def head_of_holes(job_name: str) -> str:
    """Return the head of the column of holes, which tells the job they are of.

    Examples
    --------
    >>> head_of_holes("Left elevator")
    'hole (job: Left elevator)'
    """
    return f"{HOLE} (job: {plain_job_name(job_name)})"


def _require_no_more(cells: Sequence[str], header: Sequence[str], where: str) -> None:
    """Refuse a line with more cells than the first: 0,101 for 0.101 would be two of them."""
    if any(cell.strip() for cell in cells[len(header) :]):
        raise InputError(
            f"{len(cells)} cells, the first line has {len(header)}",
            where=where,
            mend="write decimals with a point, and a remark that has a comma in quotes",
        )


@dataclass(frozen=True, slots=True)
class SheetColumns:
    """Where the columns stand: those the sheet had by name, and the person's own."""

    header: Sequence[str]
    places: Mapping[str, int]
    own: tuple[int, ...]

    @property
    def job_name(self) -> str:
        """The job the sheet says it is of; empty where it says nothing."""
        told = _OF_JOB.fullmatch(self.header[self.places[HOLE]].strip())
        return plain_job_name(told[1]) if told else ""

    @property
    def own_heads(self) -> tuple[str, ...]:
        """What the person called the columns of their own."""
        return tuple(self.header[place] for place in self.own)

    def without_blank_heads(self, lines: Iterable[FilledLine]) -> SheetColumns:
        """Return the columns less those a spreadsheet leaves at the end: no head, no cell."""
        used = {place for line in lines for place in self.own if line.at(place).strip()}
        kept = (place for place in self.own if place in used or self.header[place].strip())
        return replace(self, own=tuple(kept))

    def unit(self, what: str) -> str:
        """Return the unit of a bare number in a column, by its head."""
        place = self.places.get(what)
        return "mm" if place is not None and "(mm)" in self.header[place].lower() else "in"


def _columns(header: Sequence[str], where: str) -> SheetColumns:
    heads = [cell.strip().lower() for cell in header]
    places = {}
    for what in (*PRINTED, *BOXES):
        place = _column(heads, what)
        if place is not None:
            places[what] = place
    for what in (HOLE, LEAST, GREATEST):
        if what not in places:
            raise InputError(
                f"no column '{what}'",
                where=where,
                mend="keep the first line as the worksheet had it",
            )
    taken = set(places.values())
    own = tuple(place for place in range(len(header)) if place not in taken)
    return SheetColumns(header, places, own)


def _column(heads: Sequence[str], what: str) -> int | None:
    for number, cell in enumerate(heads):
        if cell == what or cell.startswith(f"{what} ("):
            return number
    return None


@dataclass(frozen=True, slots=True)
class FilledLine:
    """The cells of one line by column."""

    cells: Sequence[str]
    columns: SheetColumns
    where: str

    @property
    def filled(self) -> bool:
        """Whether somebody wrote something in a box or a column of their own."""
        return any(map(self.text, BOXES)) or any(self.at(p).strip() for p in self.columns.own)

    def at(self, place: int) -> str:
        """Return the cell of a column by its number, letter for letter."""
        return self.cells[place] if place < len(self.cells) else ""

    def cell(self, what: str) -> str:
        """Return the cell of a column by its name, letter for letter."""
        return self.at(self.columns.places.get(what, len(self.cells)))

    def text(self, what: str) -> str:
        """Return the cell of a column by its name, without blanks around it."""
        return self.cell(what).strip()

    def place(self, what: str) -> str:
        """Return file, line and column, for messages."""
        return f"{self.where}: column '{what}'"

    def size_in(self, what: str, nominal_in: Sequence[float]) -> float:
        """Return a measured size [in], having seen that it can be meant."""
        text = self.text(what)
        if DATE.fullmatch(text):
            raise InputError(
                f"'{text}' is a date: a spreadsheet made it of a size such as 1/8",
                where=self.place(what),
                mend="type the size again as a decimal, 0.128, or format the column as text",
            )
        unit = self.columns.unit(what)
        try:
            size_in = parse_length_in(text, default_unit=unit)
            return require_near_nominal(size_in, nominal_in=nominal_in, text=text, unit=unit)
        except RivetkitError as error:
            raise error.at(self.place(what)) from None

    def require_stands_at(self, what: str, job_in: float) -> None:
        """Refuse a line whose hole is printed somewhere else than the job has it."""
        text = self.text(what)
        if not text:
            return
        unit = self.columns.unit(what)
        try:
            sheet_in = parse_length_in(
                text, default_unit=unit, allow_zero=True, allow_negative=True
            )
        except RivetkitError as error:
            raise error.at(self.place(what)) from None
        if abs(sheet_in - job_in) > MOVED_IN + LIMIT_TOLERANCE:
            there, most = format_length(job_in, unit), format_length(MOVED_IN, unit)
            raise InputError(
                f"the sheet has hole '{unsafe(self.text(HOLE))}' at {what} = "
                f"{format_length(sheet_in, unit)} and the job at {there}, over {most} apart",
                where=self.place(what),
                mend="the sheet was printed before the job changed: print a new one, see at the "
                "metal which hole each entry belongs to, and write it there",
            )

    def word(self, what: str, words: Sequence[str], *, or_else: str = "") -> str | None:
        """Return what was chosen of some words, None when left empty.

        ``or_else`` is what else may be written, for the message.
        """
        text = self.text(what).lower()
        if not text:
            return None
        if text not in words:
            raise InputError(
                f"'{text}' is not known here",
                where=self.place(what),
                mend=f"write {', '.join(words)}{or_else}, or leave it empty",
            )
        return text

    def axis(self) -> str | float | None:
        """Return the direction of the long axis: a word, degrees, or None when left empty."""
        text = self.text(AXIS).lower()
        try:
            degrees = float(text.removesuffix("deg").strip())
        except ValueError:
            return self.word(AXIS, AXIS_WORDS, or_else=" or degrees from the x axis, as in 45")
        if not -360.0 <= degrees <= 360.0:  # noqa: PLR2004
            raise InputError(
                f"'{text}' is no direction", where=self.place(AXIS), mend="give degrees up to 360"
            )
        return degrees


def read_lines(text: str, name: str) -> tuple[SheetColumns, tuple[FilledLine, ...]]:
    """Return the columns of a sheet, and the lines in which somebody wrote something.

    Parameters
    ----------
    text
        The CSV text.
    name
        The file, for messages.

    Raises
    ------
    InputError
        When it is no CSV, a column is missing, or a line has more cells than the first.
    """
    first = text.split("\n", 1)[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    lines = []
    try:
        header = next(reader, [])
        columns = _columns(header, f"{name}: line 1")
        for cells in reader:
            where = f"{name}: line {reader.line_num}"
            _require_no_more(cells, header, where)
            line = FilledLine(cells, columns, where)
            if line.filled:
                lines.append(line)
    except csv.Error as error:
        raise InputError(
            f"is no CSV ({error})", where=f"{name}: line {reader.line_num}", mend="save it as CSV"
        ) from None
    return columns.without_blank_heads(lines), tuple(lines)
