"""The sheet for the bench: holes go out to be measured, and the measurements come back."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from rivetkit.errors import InputError, RivetkitError
from rivetkit.job.fields import nearest_word
from rivetkit.job.files import STANDARD_INPUT, read_text_file
from rivetkit.job.worksheet.cells import as_typed, in_column_of, safe, unsafe
from rivetkit.job.worksheet.lines import (
    AXIS,
    BOXES,
    GREATEST,
    GREW,
    GREW_WORDS,
    HOLE,
    LEAST,
    PRINTED,
    REMARK,
    FilledLine,
    SheetColumns,
    X,
    Y,
    head_of_holes,
    plain_job_name,
    read_lines,
)

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from pathlib import Path


def sheet_columns(unit: str) -> tuple[tuple[str, str], ...]:
    """Return the columns of the sheet, printed ones and then boxes: name, and its unit or words.

    The unit, ``in`` or ``mm``, is read back from the heads of the columns.

    Examples
    --------
    >>> sheet_columns("mm")[8:10]
    (('measured least', 'mm'), ('measured greatest', 'mm'))
    """
    return tuple((name, _NOTES.get(name, unit)) for name in (*PRINTED, *BOXES))


#: What stands in brackets in the head of a column that holds no length.
#: Sides that only an edge or the row gives a meaning.
_TO_A_SIDE = {"toward", "away"}

_NOTES = {
    HOLE: "",
    "nearest edge": "",
    "rivet": "",
    AXIS: "edge, row or degrees",
    GREW: "toward, away or both",
    REMARK: "",
}


@dataclass(frozen=True, slots=True)
class BenchHole:
    """What was measured at one hole; ``where`` is file and line, for messages.

    ``axis`` is ``edge``, ``row``, an angle [deg] from the x axis, or None when nobody noted it.
    ``grew`` tells to which side along the axis, None when it cannot be told. ``taken_as_round``
    marks a hole of which one diameter alone was written.
    """

    hole: str
    least_in: float
    greatest_in: float
    axis: str | float | None
    grew: str | None
    remark: str
    where: str
    taken_as_round: bool = False


@dataclass(frozen=True, slots=True)
class BenchNote:
    """A hole somebody wrote about without measuring it; ``words`` say what."""

    hole: str
    words: str
    where: str


@dataclass(frozen=True, slots=True)
class TypedLine:
    """What stands in the boxes of one line and in the person's own columns, as typed."""

    boxes: Mapping[str, str]
    own: tuple[str, ...]
    where: str

    def text(self, box: str) -> str:
        """Return what stands in a box, without blanks around it."""
        return unsafe(self.boxes[box].strip())


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """A filled sheet: holes measured, holes only written about, and every line as typed.

    ``typed`` is by hole. ``own_columns`` are the heads of the columns the person added, and
    ``units`` the unit of a bare number in a box of sizes.
    """

    measured: tuple[BenchHole, ...] = ()
    noted: tuple[BenchNote, ...] = ()
    typed: Mapping[str, TypedLine] = field(default_factory=dict)
    own_columns: tuple[str, ...] = ()
    units: Mapping[str, str] = field(default_factory=dict)

    def size_as_typed(self, line: TypedLine, box: str, unit: str) -> str:
        """Return a size of one line as typed, with its unit where the new sheet has another."""
        return in_column_of(line.boxes[box], self.units.get(box, unit), unit)

    def only_for(self, holes: Collection[str]) -> None:
        """See that no entry is lost on a sheet that has only some of the holes.

        Raises
        ------
        InputError
            When a hole was filled in that is not among them.
        """
        for hole, line in self.typed.items():
            if hole not in holes:
                raise InputError(
                    f"hole '{hole}' is filled in, and the new sheet has no line for it",
                    where=line.where,
                    mend="name its row as well (--row), or take the entry out if its rivet stays",
                )


@dataclass(frozen=True, slots=True)
class Measurements:
    """What all the sheets of one job say: holes measured, and holes only written about."""

    measured: tuple[BenchHole, ...] = ()
    noted: tuple[BenchNote, ...] = ()


def together(sheets: Iterable[BenchSheet]) -> Measurements:
    """Return what several sheets of one job say.

    Raises
    ------
    InputError
        When two of them have an entry for the same hole.
    """
    measured: list[BenchHole] = []
    noted: list[BenchNote] = []
    seen: dict[str, TypedLine] = {}
    for sheet in sheets:
        for hole, line in sheet.typed.items():
            if hole in seen:
                raise _filled_again(hole, first=seen[hole].where, again=line.where)
        seen.update(sheet.typed)
        measured += sheet.measured
        noted += sheet.noted
    return Measurements(tuple(measured), tuple(noted))


def _filled_again(hole: str, *, first: str, again: str) -> InputError:
    return InputError(
        f"hole '{hole}' is filled in again (first in {first})",
        where=again,
        mend="keep one of the two lines",
    )


@dataclass(frozen=True, slots=True)
class KnownHole:
    """A hole of the job, to hold against what the sheet says: where it is, and its size.

    ``nominal_in`` are the holes [in] of the rivet that is there and of the one that goes in.
    """

    x_in: float
    y_in: float
    nominal_in: tuple[float, ...] = ()


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


@dataclass(frozen=True, slots=True)
class FilledSheet:
    """A sheet as it came back, not yet held against a job: ``name`` is its file, for messages."""

    name: str
    columns: SheetColumns
    lines: tuple[FilledLine, ...]

    @property
    def job_name(self) -> str:
        """The job it says it is of; empty where it says nothing."""
        return self.columns.job_name

    @property
    def head_place(self) -> str:
        """Where it says so, for messages."""
        return f"{self.name}: line 1: column '{HOLE}'"

    def misfits(self, known: Mapping[str, KnownHole]) -> tuple[InputError, ...]:
        """Return why it is not of the job with these holes, an error for each line that is not."""
        found = []
        for line in self.lines:
            try:
                _hole_of(line, known)
            except InputError as error:
                found.append(error)
        return tuple(found)


def open_bench_sheet(path: str | Path) -> FilledSheet:
    """Return a filled sheet as it came back; lines in which nobody wrote anything are left out.

    Parameters
    ----------
    path
        The CSV file; ``-`` is standard input.

    Raises
    ------
    InputError
        When the file cannot be read or is no such sheet. File, line and column are named.
    """
    name = str(path) if str(path) != STANDARD_INPUT else "standard input"
    try:
        text = read_text_file(path)
    except RivetkitError as error:
        raise error.at(name) from None
    return FilledSheet(name, *read_lines(text, name))


def read_bench_sheet(
    sheet: FilledSheet, known: Mapping[str, KnownHole], *, job_name: str
) -> BenchSheet:
    """Read the entries of a filled sheet.

    Parameters
    ----------
    sheet
        The sheet.
    known
        The job's holes by their ids.
    job_name
        What the job is called; a sheet that says no job may be of any.

    Raises
    ------
    InputError
        When the sheet is of another job, a hole is unknown, stands somewhere else or is filled in
        twice, a size is no size or far from the rivet's hole, a least is above its greatest, or a
        spreadsheet turned a size into a date. File, line and column are named.
    """
    if sheet.job_name and sheet.job_name != plain_job_name(job_name):
        raise InputError(
            f"the sheet is of job '{sheet.job_name}', and this one is '{plain_job_name(job_name)}'",
            where=sheet.head_place,
            mend="give the sheet of this job; if it was only renamed, write its new name there",
        )
    measured: list[BenchHole] = []
    noted: list[BenchNote] = []
    typed: dict[str, TypedLine] = {}
    columns = sheet.columns
    for line in sheet.lines:
        hole = _hole_of(line, known)
        if hole in typed:
            raise _filled_again(hole, first=typed[hole].where, again=line.where)
        boxes = {box: line.cell(box) for box in BOXES}
        typed[hole] = TypedLine(boxes, tuple(map(line.at, columns.own)), line.where)
        read = _read_line(line, hole, known[hole].nominal_in)
        if isinstance(read, BenchHole):
            measured.append(read)
        elif read is not None:
            noted.append(read)
    return BenchSheet(
        tuple(measured),
        tuple(noted),
        typed,
        columns.own_heads,
        {box: columns.unit(box) for box in (LEAST, GREATEST)},
    )


def write_bench_sheet(
    lines: Sequence[SheetLine], unit: str, filled: BenchSheet | None = None, *, job_name: str
) -> str:
    """Return the sheet as CSV text, what was filled in before in its boxes as it was typed.

    Parameters
    ----------
    lines
        The holes, in the order to print them.
    unit
        ``in`` or ``mm``; it stands in the heads of the columns and is read from there.
    filled
        Entries to carry over, and the columns the person added.
    job_name
        What the job is called; it stands in the head of the holes and is read from there.
    """
    from rivetkit.quantities import to_unit

    def size(value_in: float | None) -> str:
        return "" if value_in is None else f"{to_unit(value_in, unit):.4f}"

    filled = filled or BenchSheet()
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    heads = [f"{name} ({note})" if note else name for name, note in sheet_columns(unit)]
    heads[PRINTED.index(HOLE)] = head_of_holes(job_name)
    writer.writerow([*heads, *(as_typed(head) for head in filled.own_columns)])
    empty = TypedLine(dict.fromkeys(BOXES, ""), ("",) * len(filled.own_columns), "")
    for line in lines:
        entry = filled.typed.get(line.hole, empty)
        writer.writerow(
            [
                safe(line.hole),
                size(line.x_in),
                size(line.y_in),
                safe(line.edge),
                safe(line.part),
                size(line.hole_in),
                size(line.least_in),
                size(line.greatest_in),
                *(filled.size_as_typed(entry, box, unit) for box in (LEAST, GREATEST)),
                *(as_typed(entry.boxes[box]) for box in (AXIS, GREW, REMARK)),
                *(as_typed(cell) for cell in entry.own),
            ]
        )
    return out.getvalue()


def _hole_of(line: FilledLine, known: Mapping[str, KnownHole]) -> str:
    """Return the hole a line is about, having seen that it stands where the job has it."""
    name = unsafe(line.text(HOLE))
    if not name:
        raise InputError(
            "an entry without a hole", where=line.place(HOLE), mend="write the hole's id"
        )
    if name not in known:
        raise InputError(
            f"the job has no hole '{name}'",
            where=line.place(HOLE),
            mend=nearest_word(name, tuple(known)) or "make a new worksheet from the job",
        )
    line.require_stands_at(X, known[name].x_in)
    line.require_stands_at(Y, known[name].y_in)
    return name


def _read_line(
    line: FilledLine, hole: str, nominal_in: Sequence[float]
) -> BenchHole | BenchNote | None:
    sizes = (line.text(LEAST), line.text(GREATEST))
    axis, grew = line.axis(), line.word(GREW, GREW_WORDS)
    remark = unsafe(line.text(REMARK))
    if not any(sizes):
        if remark:
            said = " ".join(remark.split())
            return BenchNote(hole, f'remarked, not measured: "{said}"', line.where)
        if axis is None and grew is None:
            return None
        what = GREW if axis is None else AXIS
        return BenchNote(hole, f"noted, not measured: {what} '{line.text(what)}'", line.where)
    if isinstance(axis, float) and grew in _TO_A_SIDE:
        raise InputError(
            f"'{grew}' is toward nothing with the long axis in degrees",
            where=line.place(GREW),
            mend="write edge or row as the long axis, or leave it empty: the worst counts then",
        )
    # One diameter alone is a round hole.
    least_in = line.size_in(LEAST if sizes[0] else GREATEST, nominal_in)
    greatest_in = line.size_in(GREATEST if sizes[1] else LEAST, nominal_in)
    if least_in > greatest_in:
        raise InputError(
            f"the least {sizes[0]} is above the greatest {sizes[1]}",
            where=line.place(LEAST),
            mend="swap them, or measure again",
        )
    return BenchHole(
        hole=hole,
        least_in=least_in,
        greatest_in=greatest_in,
        axis=axis,
        grew=grew,
        remark=remark,
        where=line.where,
        taken_as_round=not all(sizes),
    )
