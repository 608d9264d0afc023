"""Clearance holes for screws, and the screw a nutplate takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.drills import Drill, find_drill
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.fasteners import NutplateBodyRow, ScrewHoleRow
from rivetkit.quantities import length_words, shown

if TYPE_CHECKING:
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.rules import RuleBook

#: The scheme question that says which clearance hole a cover gets.
COVER_HOLE = "screw_hole_cover"

#: Two diameters this close are one screw [in]: binary rounding.
_SAME_IN = 1e-6


@dataclass(frozen=True, slots=True)
class ScrewHole:
    """The clearance hole for a screw in one scheme [in]."""

    scheme: str
    size: str
    drill: Drill
    hole_in: float
    citation: Citation


def screw_diameter_in(plate: Nutplate) -> float:
    """Return the major diameter of the screw a nutplate takes [in].

    Parameters
    ----------
    plate
        The nutplate.

    Examples
    --------
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> screw_diameter_in(nutplate("MS21047-3"))
    0.19
    """
    return float(plate.thread.partition("-")[0])


def screw_holes(diameter_in: float) -> tuple[ScrewHole, ...]:
    """Return the clearance holes of a screw by every scheme that lists it.

    Parameters
    ----------
    diameter_in
        The screw's major diameter [in].

    Examples
    --------
    >>> [hole.drill.designation for hole in screw_holes(0.190)]
    ['#9', '#7', '#5', '#2', 'B']
    """
    found = []
    for row in load_table(ScrewHoleRow):
        if abs(row.diameter_in - diameter_in) > _SAME_IN:
            continue
        drill = find_drill(row.drill)
        hole_in = drill.size_in if row.hole_in is None else row.hole_in
        found.append(ScrewHole(row.scheme, row.size, drill, hole_in, row.citation()))
    return tuple(found)


def screw_hole_schemes() -> tuple[str, ...]:
    """Return the names of the schemes of clearance holes, in the table's order."""
    return tuple(dict.fromkeys(row.scheme for row in load_table(ScrewHoleRow)))


def cover_hole(plate: Nutplate, book: RuleBook, *, scheme: str | None = None) -> ScrewHole:
    """Return the clearance hole a cover gets over a nutplate.

    Parameters
    ----------
    plate
        The nutplate.
    book
        The rules in force; they pick the scheme.
    scheme
        Another scheme instead.

    Raises
    ------
    InputError
        When no scheme has that name.
    OutOfTableError
        When the scheme does not list the screw.

    Examples
    --------
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> from rivetkit.rules import RuleBook
    >>> cover_hole(nutplate("MS21047-08"), RuleBook.named()).drill.designation
    '#16'
    """
    if scheme is not None and scheme not in screw_hole_schemes():
        raise InputError(
            f"no scheme of screw holes is called '{shown(scheme)}'",
            mend=f"choose among {', '.join(screw_hole_schemes())}",
        )
    chosen = scheme or book.choice(COVER_HOLE).choice
    diameter_in = screw_diameter_in(plate)
    for hole in screw_holes(diameter_in):
        if hole.scheme == chosen:
            return hole
    raise OutOfTableError(
        length_words(
            "scheme '{scheme}' has no hole for a {size} screw", scheme=chosen, size=diameter_in
        ),
        where=ScrewHoleRow.table,
        mend="choose another scheme",
    )


def nutplate_body(plate: Nutplate) -> NutplateBodyRow | None:
    """Return the length of a nutplate over its lugs, or None when no document on file tells it.

    Parameters
    ----------
    plate
        The nutplate.
    """
    rows: tuple[NutplateBodyRow, ...] = load_table(NutplateBodyRow)
    for row in rows:
        if (row.standard, row.dash) == (plate.standard, plate.dash):
            return row
    return None
