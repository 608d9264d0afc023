"""The drill chart: by name, at or above a size, at or below it, closest to it.

Where two drills have one size (``E`` and ``1/4``; ``1/2`` and ``12.7 mm``) the fraction comes
first, then the number, the letter and the metric drill: the fraction tells its size by its name.
"""

from __future__ import annotations

import difflib
import re
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import InputError, OutOfTableError, TableError
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.drills import DrillSizeRow
from rivetkit.handbook.rows.holes import RivetHoleRow
from rivetkit.quantities import (
    MM_PER_IN_EXACT,
    from_unit,
    joined_words,
    length_words,
    parse_length_in,
    shown,
)
from rivetkit.quantities.read import read_amount

if TYPE_CHECKING:
    from collections.abc import Iterable
    from fractions import Fraction

    from rivetkit.rules import RuleBook

#: The series of the chart, the one preferred among drills of one size first.
SERIES = ("fraction", "number", "letter", "metric")

#: A decimal names a drill when it is the drill's size rounded to four places [in].
_ROUNDING_IN = 0.00005

_EXAMPLE = "write it as '#40', no40, F, 3/32 or 2.5 mm"
_NUMBER_NAME = re.compile(r"(?:#|no\.?|number)\s*([0-9]+)", re.IGNORECASE)
_LETTER_NAME = re.compile(r"(?:letter\s+)?([a-z])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Drill:
    """A twist drill of the chart.

    ``designation`` is its name (``#40``, ``F``, ``3/32``, ``2.5 mm``), ``series`` one of
    :data:`SERIES`.
    """

    designation: str
    series: str
    size_in: float
    citation: Citation


@dataclass(frozen=True, slots=True)
class RivetDrill:
    """The drill and the hole for a rivet diameter [in] in one scheme."""

    diameter: Fraction
    drill: Drill
    hole_in: float
    citation: Citation


@cache
def chart() -> tuple[Drill, ...]:
    """Return every drill of the chart, smallest first.

    Raises
    ------
    TableError
        When the chart cannot be read.

    Examples
    --------
    >>> [drill.designation for drill in chart() if drill.size_in == 0.25]
    ['1/4', 'E']
    """
    drills = [
        Drill(row.designation, row.series, from_unit(row.size, row.unit), row.citation())
        for row in load_table(DrillSizeRow)
    ]
    return tuple(sorted(drills, key=_order))


def find_drill(text: object) -> Drill:
    """Return the drill a person names.

    Parameters
    ----------
    text
        ``#40``, ``no40``, ``No. 40``, ``F``, ``3/32``, ``2.5 mm``, or a size in decimals that is
        a drill's to four places of an inch. A bare whole number is refused: it may mean a number
        drill or a metric one. A bare number counts as its text.

    Raises
    ------
    InputError
        When no drill has that name or size; the message names the nearest ones.

    Examples
    --------
    >>> find_drill("no40").size_in
    0.098
    >>> find_drill("0.0984").designation
    '2.5 mm'
    """
    name = " ".join(str(text).split())
    number, letter = _NUMBER_NAME.fullmatch(name), _LETTER_NAME.fullmatch(name)
    if number or letter:
        designation = f"#{int(number[1])}" if number else name[-1].upper()
        drill = _by_name().get(designation)
        if drill is None:
            raise _unknown_number(designation) if number else _unknown(name)
        return drill
    if re.fullmatch(r"[0-9]{1,3}", name):
        raise _which_series(name)
    if name.startswith("#") or name[:1].isalpha():
        raise _unknown(name)
    return _by_size(name)


def smallest_at_or_above(size_in: float, series: Iterable[str] | None = None) -> Drill:
    """Return the smallest drill that is no smaller than a size [in].

    Parameters
    ----------
    size_in
        The size [in]; a drill within 1e-9 in of it counts as of that size.
    series
        Look only among these series; all by default.

    Raises
    ------
    OutOfTableError
        When the chart ends below the size.
    InputError
        When the size is no positive number, or a series has an unknown name.

    Examples
    --------
    >>> smallest_at_or_above(0.0965, ("number",)).designation
    '#40'
    """
    drills, sizes = _among(_series_key(series))
    index = bisect_left(sizes, _positive(size_in) - LIMIT_TOLERANCE)
    if index == len(drills):
        raise _past_the_end("at or above", size_in, "largest", drills[-1])
    return drills[index]


def largest_at_or_below(size_in: float, series: Iterable[str] | None = None) -> Drill:
    """Return the largest drill that is no larger than a size [in].

    Parameters
    ----------
    size_in
        The size [in]; a drill within 1e-9 in of it counts as of that size.
    series
        Look only among these series; all by default.

    Raises
    ------
    OutOfTableError
        When the chart begins above the size.
    InputError
        When the size is no positive number, or a series has an unknown name.

    Examples
    --------
    >>> largest_at_or_below(0.0965, ("number",)).designation
    '#41'
    """
    drills, sizes = _among(_series_key(series))
    index = bisect_right(sizes, _positive(size_in) + LIMIT_TOLERANCE) - 1
    if index < 0:
        raise _past_the_end("at or below", size_in, "smallest", drills[0])
    return drills[bisect_left(sizes, sizes[index])]


def closest(size_in: float, series: Iterable[str] | None = None) -> Drill:
    """Return the drill closest to a size [in], the smaller of two equally close.

    Parameters
    ----------
    size_in
        The size [in], between the ends of the chart.
    series
        Look only among these series; all by default.

    Raises
    ------
    OutOfTableError
        When the size lies outside the chart.
    InputError
        When the size is no positive number, or a series has an unknown name.

    Examples
    --------
    >>> closest(0.0969, ("number",)).designation
    '#41'
    """
    chosen = _series_key(series)
    below = largest_at_or_below(size_in, chosen)
    above = smallest_at_or_above(size_in, chosen)
    nearer_above = (above.size_in - size_in) + LIMIT_TOLERANCE < size_in - below.size_in
    return above if nearer_above else below


def neighbours(
    size_in: float, series: Iterable[str] | None = None
) -> tuple[Drill | None, Drill | None]:
    """Return the next smaller and the next larger drill than a size [in].

    Neither has the size itself: asked with a drill's size, it gives one step down and one step
    up. None stands past an end of the chart.

    Parameters
    ----------
    size_in
        The size [in].
    series
        Look only among these series; all by default.

    Raises
    ------
    InputError
        When the size is no positive number, or a series has an unknown name.

    Examples
    --------
    >>> [drill.designation for drill in neighbours(0.098, ("number",)) if drill]
    ['#41', '#39']
    """
    drills, sizes = _among(_series_key(series))
    lower = bisect_left(sizes, _positive(size_in) - LIMIT_TOLERANCE) - 1
    upper = bisect_right(sizes, size_in + LIMIT_TOLERANCE)
    smaller = drills[bisect_left(sizes, sizes[lower])] if lower >= 0 else None
    return smaller, drills[upper] if upper < len(drills) else None


def drill_names_near(text: str, count: int = 3) -> tuple[str, ...]:
    """Return the names on the chart most like some text, the likest first.

    Examples
    --------
    >>> drill_names_near("3/31", 1)
    ('3/32',)
    >>> drill_names_near("#4O")
    ('#40',)
    """
    name = " ".join(text.split())
    digits = re.sub(r"(?<=[0-9])[oO]", "0", name)
    number = _NUMBER_NAME.fullmatch(digits)
    if number and digits != name and f"#{number[1]}" in _by_name():
        return (f"#{number[1]}",)
    number = _NUMBER_NAME.fullmatch(name)
    wanted = f"#{number[1]}" if number else name
    return tuple(difflib.get_close_matches(wanted, _by_name(), n=count, cutoff=0.5))


def rivet_drill_table(book: RuleBook) -> tuple[RivetDrill, ...]:
    """Return drill and hole for each solid-rivet diameter, in the scheme a rule book picks.

    A hole the scheme does not print is the drill's own size; a row that names no drill is left
    out.

    Raises
    ------
    TableError
        When the scheme names no drill at all, or one that is not on the chart.
    """
    scheme = book.choice("rivet_hole_solid").choice
    table = []
    for row in load_table(RivetHoleRow):
        if row.scheme != scheme or row.family != "solid" or not row.drill:
            continue
        drill = _by_name().get(row.drill)
        if drill is None:
            raise TableError(
                f"scheme '{scheme}' names a drill '{row.drill}' that is not on the chart",
                where=row.table,
                mend="correct the row",
            )
        hole_in = drill.size_in if row.hole is None else from_unit(row.hole, row.unit)
        diameter = row.diameter if row.unit == "in" else row.diameter / MM_PER_IN_EXACT
        table.append(RivetDrill(diameter, drill, hole_in, row.citation()))
    if not table:
        raise TableError(
            f"scheme '{scheme}' names no drill for solid rivets",
            where=RivetHoleRow.table,
            mend="choose a rule set with another scheme",
        )
    return tuple(sorted(table, key=lambda entry: entry.diameter))


def _order(drill: Drill) -> tuple[float, int, str]:
    return drill.size_in, SERIES.index(drill.series), drill.designation


@cache
def _by_name() -> dict[str, Drill]:
    return {drill.designation: drill for drill in chart()}


@cache
def _among(series: tuple[str, ...]) -> tuple[tuple[Drill, ...], tuple[float, ...]]:
    drills = tuple(drill for drill in chart() if drill.series in series)
    return drills, tuple(drill.size_in for drill in drills)


def _series_key(series: Iterable[str] | None) -> tuple[str, ...]:
    if series is None:
        return SERIES
    asked = {series} if isinstance(series, str) else set(series)
    for name in sorted(asked - set(SERIES)):
        raise InputError(
            f"no drill series is called '{shown(name)}'", mend=f"choose among {', '.join(SERIES)}"
        )
    if not asked:
        raise InputError("no drill series is named", mend=f"choose among {', '.join(SERIES)}")
    return tuple(name for name in SERIES if name in asked)


def _positive(size_in: float) -> float:
    if not 0 < size_in < float("inf"):
        raise InputError(
            length_words("no drill can be {size}", size=size_in), mend="give a size above zero"
        )
    return size_in


def _size_text(drill: Drill) -> str:
    return length_words("{name} ({size})", name=drill.designation, size=drill.size_in)


def _past_the_end(side: str, size_in: float, end: str, drill: Drill) -> OutOfTableError:
    return OutOfTableError(
        length_words("no drill on the chart is {side} {size}", side=side, size=size_in),
        mend=length_words("the {end} is {drill}", end=end, drill=_size_text(drill)),
    )


def _unknown(text: str) -> InputError:
    near = drill_names_near(text)
    hint = f"did you mean {' or '.join(near)}?" if near else _EXAMPLE
    return InputError(f"no drill is called '{shown(text)}'", mend=hint)


def _unknown_number(designation: str) -> InputError:
    numbers = sorted(int(drill.designation[1:]) for drill in _among(("number",))[0])
    return InputError(
        f"no drill is called '{designation}'",
        mend=f"number drills run from #{numbers[0]} to #{numbers[-1]}",
    )


def _which_series(text: str) -> InputError:
    said = {f"#{int(text)}": "the number drill", f"{int(text)}.0 mm": "the metric one"}
    known = [f"{name} for {series}" for name, series in said.items() if name in _by_name()]
    if not known:
        return _unknown(text)
    return InputError(f"drill '{text}' names no series", mend=f"write {' or '.join(known)}")


def _by_size(text: str) -> Drill:
    """Return the drill whose size the text gives, of the series it is written in if it can be."""
    amount, is_fraction, word = read_amount(text, what="drill", example=_EXAMPLE)
    metric = word.lower() == "mm" and not is_fraction and amount > 0
    # millimetres here and not through pint: a look-up has to start fast
    size_in = float(amount / MM_PER_IN_EXACT) if metric else parse_length_in(text, what="drill")
    allowed_in = LIMIT_TOLERANCE + (0.0 if is_fraction else _ROUNDING_IN)
    fits = [drill for drill in chart() if abs(drill.size_in - size_in) <= allowed_in]
    if not fits:
        raise _no_such_size(text, size_in, bare=not word and not is_fraction)
    return min(
        fits,
        key=lambda drill: (
            round(abs(drill.size_in - size_in), 9),
            metric and drill.series != "metric",
            *_order(drill),
        ),
    )


def _no_such_size(text: str, size_in: float, *, bare: bool) -> InputError:
    smaller, larger = neighbours(size_in)
    near = joined_words(" and ", [_size_text(drill) for drill in (smaller, larger) if drill])
    mend = length_words(
        "next to it: {near}{also}",
        near=near,
        also=f"; for millimetres write {text} mm" if bare and larger is None else "",
    )
    return InputError(f"no drill on the chart is '{shown(text)}'", mend=mend)
