"""Where the holes of a row are: along a path, listed, in a file beside the job, or by nutplates."""

from __future__ import annotations

import csv
import math
import re
from typing import TYPE_CHECKING, Any

import numpy as np

from rivetkit.calculators.nutplates.lugs import PlacedPlate, placed_plate
from rivetkit.errors import InputError, RivetkitError
from rivetkit.geometry.curves import Points, points_along, polyline_length_in
from rivetkit.job.fields import told
from rivetkit.job.files import read_text_file
from rivetkit.job.model import CLOSES_IN, FARTHEST_IN, MAX_HOLES, SAME_POINT_IN
from rivetkit.quantities import length_words, parse_length_in

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from rivetkit.fasteners.catalogue import Nutplate
    from rivetkit.job.fields import Fields

#: A last space shorter than this is no left-over, only rounding [in].
_EVEN_IN = 1e-6


def read_path_holes(row: Fields) -> tuple[Points, float]:
    """Return the holes ``(n, 2)`` [in] along a row's path, and what is left over at its end [in].

    ``count`` spaces holes evenly from end to end; ``pitch`` steps exactly so far from the start;
    ``max_pitch`` spaces evenly, no wider than that; ``count`` with ``pitch`` counts off exact
    steps from the start.
    """
    corners = np.array(row.points("path", least=2), dtype=np.float64)
    if not (np.hypot(*np.diff(corners, axis=0).T) > SAME_POINT_IN).all():
        raise row.refuse("path", "two points after one another are the same", "leave one out")
    start_in = row.length_in("start_offset", 0.0, allow_zero=True)
    end_in = row.length_in("end_offset", 0.0, allow_zero=True)
    span_in = polyline_length_in(corners) - start_in - end_in
    if span_in < -_EVEN_IN:
        raise row.refuse(
            "path",
            length_words("the end offsets are longer than the path by {by:.4g}", by=-span_in),
            "shorten the offsets or lengthen the path",
        )
    steps, left_over_in = _steps(row, max(span_in, 0.0))
    return points_along(corners, start_in + steps), left_over_in


def _steps(row: Fields, span_in: float) -> tuple[Points, float]:
    count = row.whole("count", 0, least=1)
    pitch_in = row.length_in("pitch", 0.0)
    max_pitch_in = row.length_in("max_pitch", 0.0)
    if max_pitch_in and (count or pitch_in):
        raise row.refuse("max_pitch", "it stands beside 'count' or 'pitch'", "give one of them")
    if not (count or pitch_in or max_pitch_in):
        raise InputError(
            "nothing says how the holes are spaced",
            where=row.where,
            mend="give count, pitch or max_pitch",
        )
    if count and pitch_in:
        _limit(row, "count", count)
        return _counted(row, count, pitch_in, span_in)
    if pitch_in:
        spaces = math.floor(span_in / pitch_in + _EVEN_IN)
        _limit(row, "pitch", spaces + 1)
        left_over_in = _left_over_in(span_in, spaces * pitch_in)
        return np.arange(spaces + 1) * np.float64(pitch_in), left_over_in
    if max_pitch_in:
        count = math.ceil(span_in / max_pitch_in - _EVEN_IN) + 1
    _limit(row, "count" if "count" in row else "max_pitch", count)
    return np.linspace(0.0, span_in, count), 0.0


def _counted(row: Fields, count: int, pitch_in: float, span_in: float) -> tuple[Points, float]:
    left_over_in = span_in - (count - 1) * pitch_in
    if left_over_in < -_EVEN_IN:
        raise row.refuse(
            "count",
            length_words(
                "{count} holes at {pitch:.4g} are {over:.4g} longer than the path",
                count=str(count),
                pitch=pitch_in,
                over=-left_over_in,
            ),
            "check the count, the pitch and the path",
        )
    steps = np.arange(count) * np.float64(pitch_in)
    return steps, _left_over_in(span_in, (count - 1) * pitch_in)


def _left_over_in(span_in: float, stepped_in: float) -> float:
    """Return what is left of a path past its last step [in]; nothing where only rounding is."""
    left_over_in = span_in - stepped_in
    return left_over_in if left_over_in > _EVEN_IN else 0.0


def _limit(row: Fields, key: str, count: int) -> None:
    if count > MAX_HOLES:
        raise row.refuse(
            key,
            f"that makes {count} holes, more than the {MAX_HOLES} a job may have",
            "check the unit and the decimal point",
        )


def read_circle_holes(row: Fields) -> Points:
    """Return evenly spaced holes round a circle ``(n + 1, 2)`` [in]; the last is the first again.

    So the pitch is checked all the way round; the hole itself is counted once. One hole alone
    comes once.
    """
    circle = row.table("circle")
    x, y = circle.point("at")
    diameter_in = circle.length_in("diameter")
    count = circle.whole("count", least=1)
    start = math.radians(circle.number("start_angle", 0.0))
    circle.done()
    _limit(circle, "count", count)
    angles = start + math.tau * np.arange(count + 1 if count > 1 else 1) / count
    radius_in = diameter_in / 2.0
    return np.column_stack((x + radius_in * np.cos(angles), y + radius_in * np.sin(angles)))


def read_holes_csv(row: Fields, folder: Path | None) -> Points:
    """Return the holes of a CSV file beside the job: columns ``x`` and ``y``, in any order."""
    name = row.text("holes_csv")
    if folder is None:
        raise row.refuse(
            "holes_csv", "the job came from standard input", "read the job from a file"
        )
    path = folder / name
    if not _lies_in(path, folder):
        raise row.refuse(
            "holes_csv", f"'{name}' lies outside the job's folder", "put the file beside the job"
        )
    text = row.place(f"holes_csv: '{name}'", lambda: read_text_file(path))
    return read_holes_text(text, name, row.unit)


def _lies_in(path: Path, folder: Path) -> bool:
    """Return whether a file lies in a folder once every link is followed."""
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):  # a link to itself, or no name: reading says so
        return True


def read_holes_text(text: str, name: str, unit: str, *, also: str = "") -> Points:
    """Return the holes ``(n, 2)`` [in] of CSV text: columns ``x`` and ``y``, in any order.

    Commas, semicolons or tabs divide the cells.

    Parameters
    ----------
    text
        The file's text.
    name
        What to call it in messages.
    unit
        Unit of bare numbers in a column whose name, such as ``x (mm)`` or ``x_in``, tells none.
    also
        A further column to read; where the file has it the result is ``(n, 3)``, and an empty
        cell is not a number.

    Raises
    ------
    InputError
        When a column is missing, a cell is no length, or there is no hole.
    """
    if text.count("\n") > MAX_HOLES + _IDLE_LINES:
        raise InputError(
            f"it has more lines than the {MAX_HOLES} holes a job may have",
            where=name,
            mend="is it the right file?",
        )
    lines = text.splitlines()
    first = lines[0] if lines else ""
    reader = csv.reader(lines, delimiter=max(_DELIMITERS, key=first.count))
    points: list[list[float]] = []
    try:
        columns = _HoleColumns(next(reader, []), name, unit, also)
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            place = f"{name}: line {reader.line_num}"
            points.append(columns.read(cells, place))
            if len(points) > MAX_HOLES:
                raise InputError(
                    f"more than the {MAX_HOLES} holes a job may have", where=place, mend="split it"
                )
    except csv.Error as error:
        raise InputError(
            f"is no CSV ({error})", where=f"{name}: line {reader.line_num}", mend="save it as CSV"
        ) from None
    if not points:
        raise InputError("the file holds no hole", where=name, mend="add a line for each hole")
    return np.array(points, dtype=np.float64)


#: A list may have so many lines without a hole before it is called too long unread.
_IDLE_LINES = 1000
_DELIMITERS = (",", ";", "\t")
#: A column's name with the unit after it: ``x (mm)``, ``x_in``.
_HEAD = re.compile(r"(?P<word>.+?)\s*(?:\(\s*(?P<told>in|mm)\s*\)|[_ ](?P<end>in|mm))")
#: A plain decimal, which float() reads as parse_length_in would.
_PLAIN = re.compile(r"\s*[-+]?(\d{1,7}(\.\d*)?|\.\d+)\s*", re.ASCII)


class _HoleColumns:
    """Which columns of a CSV file hold what, and in what unit."""

    def __init__(self, header: list[str], name: str, unit: str, also: str) -> None:
        self._titles = [cell.strip().lower() for cell in header]
        self._also = also
        found: dict[str, tuple[int, str]] = {}
        for number, title in enumerate(self._titles):
            match = _HEAD.fullmatch(title)
            word = match["word"] if match else title
            if word not in {"x", "y", also} - {""}:
                continue
            if word in found:
                raise InputError(
                    f"two columns are called '{word}'",
                    where=f"{name}: line 1",
                    mend="keep one of them",
                )
            found[word] = (number, (match["told"] or match["end"]) if match else unit)
        if "x" not in found or "y" not in found:
            raise InputError(
                f"the first line names {', '.join(self._titles) or 'no columns'}",
                where=f"{name}: line 1",
                mend="name the columns x and y there",
            )
        self._columns = [(word, *found[word]) for word in ("x", "y", also) if word in found]
        self._last = max(number for number, _ in found.values())

    def read(self, cells: list[str], place: str) -> list[float]:
        """Return the lengths of one line [in]; an empty further cell is not a number."""
        if len(cells) <= self._last:
            raise InputError(
                f"{len(cells)} cells, the first line has {len(self._titles)}",
                where=place,
                mend=f"give {' and '.join(word for word, _, _ in self._columns)}",
            )
        if any(cell.strip() for cell in cells[len(self._titles) :]):
            raise InputError(
                f"{len(cells)} cells, the first line has {len(self._titles)}",
                where=place,
                mend="write decimals with a point, and a text that has a comma in quotes",
            )
        return [
            math.nan
            if word == self._also and not cells[number].strip()
            else _read_cell(cells[number], unit, f"{place}: column '{self._titles[number]}'")
            for word, number, unit in self._columns
        ]


def _read_cell(cell: str, unit: str, place: str) -> float:
    if unit == "in" and _PLAIN.fullmatch(cell):  # thousands of holes: the quick way
        inches = float(cell)
    else:
        try:
            inches = parse_length_in(cell, default_unit=unit, allow_zero=True, allow_negative=True)
        except RivetkitError as error:
            raise error.at(place) from None
    if abs(inches) > FARTHEST_IN:
        raise InputError(
            length_words("{told} is no place on a skin", told=inches),
            where=place,
            mend=length_words("stay within {most}", most=FARTHEST_IN),
        )
    return inches


def read_nutplate_holes(row: Fields, nutplate: Nutplate) -> tuple[Points, tuple[PlacedPlate, ...]]:
    """Return the two rivet holes of each nutplate ``(2 n, 2)`` [in], and the nutplates."""
    plates: list[PlacedPlate] = []
    for screw in row.tables("screws"):
        plates.append(placed_plate(nutplate, screw.point("at"), screw.number("angle", 0.0)))
        screw.done()
    if not plates:
        raise row.refuse("screws", "no screw is given", "add { at = [x, y], angle = 0 } for each")
    holes = [hole for plate in plates for hole in plate.rivets_in]
    return np.array(holes, dtype=np.float64), tuple(plates)


def skip_holes(row: Fields, points: Points) -> tuple[Points, NDArray[np.int32]]:
    """Return the holes a row keeps when its ``skip`` numbers are left out, and their numbers.

    Holes are numbered from 1 as laid out, so a number stays when another hole is skipped. A row
    that closes on itself still does without its first hole.
    """
    closes = len(points) > 1 and math.dist(points[0], points[-1]) <= CLOSES_IN
    count = len(points) - 1 if closes else len(points)
    value: Any = row.raw("skip", [])
    skipped = value if isinstance(value, list) else [value]
    for number in skipped:
        if isinstance(number, bool) or not isinstance(number, int):
            raise row.refuse("skip", f"{told(number)} is no hole number", "write whole numbers")
        if not 1 <= number <= count:
            raise row.refuse(
                "skip", f"there is no hole {told(number)}", f"the row has holes 1 to {count}"
            )
    numbers = np.delete(
        np.arange(1, count + 1, dtype=np.int32), [number - 1 for number in set(skipped)]
    )
    if not len(numbers):
        raise row.refuse("skip", "every hole is skipped", "leave the row out")
    if closes and len(numbers) > 1:
        numbers = np.append(numbers, numbers[0])
    return points[numbers - 1], numbers
