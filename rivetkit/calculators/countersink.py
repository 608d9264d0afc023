"""Whether a sheet may be machine countersunk or dimpled for a flush head.

The limits are of gauges, and a sheet is told by its gauge: how far measured distances may be off is
not taken off its thickness.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import check_length, require_length, unique_citations
from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.errors import InputError
from rivetkit.fasteners.catalogue import dimension
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.practice import CountersinkMinimumRow
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.calculators.lengths.grip import Layer
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

SHEET = "sheet for a machine countersink"
LAND = "land below the countersink"
DIMPLE = "sheet for a dimple"


def check_countersink_sheet(
    sheet_in: float,
    *,
    fastener: Fastener,
    book: RuleBook,
    where: str = "",
) -> Check:
    """Return the check of a sheet against the thinnest one a table allows to be countersunk.

    Parameters
    ----------
    sheet_in
        Thickness of the countersunk sheet [in].
    fastener
        A flush rivet; a reduced head has a table of its own.
    book
        The rules in force; they pick the table.
    where
        The layer.

    Returns
    -------
    Check
        Not checked when the table has no such diameter, or its cell is known to be unusable.

    Raises
    ------
    InputError
        When the rivet is not flush or a length is not one.

    References
    ----------
    TM 9-2320-363-34-2 p 22-18 table 4, for the full-size 100 degree head.
    """
    _require_flush(fastener)
    require_length(sheet_in, "the sheet thickness")
    reduced = fastener.head == "flush_reduced"
    head = "flush_reduced" if reduced else "flush"
    question = "countersink_minimum_reduced" if reduced else "countersink_minimum"
    choice = book.choice(question)
    rows = [
        row
        for row in load_table(CountersinkMinimumRow)
        if row.scheme == choice.choice
        and row.head == head
        and math.isclose(float(row.diameter), fastener.diameter_in, abs_tol=1e-9)
    ]
    if not rows:
        return not_checked(
            SHEET,
            length_words("the table has no {size} rivet with this head", size=fastener.diameter_in),
            where=where,
            citations=(choice.citation(question),),
        )
    row = rows[0]
    if row.refused:
        reason = length_words(
            "the table's cell for this diameter ({cell}) is not to be used{note}",
            cell=row.sheet_min_in,
            note=f": {row.note}" if row.note else "",
        )
        return not_checked(SHEET, reason, where=where, citations=(row.citation(question),))
    return make_check(
        SHEET,
        sheet_in,
        row.sheet_min_in,
        unit="in",
        comparison="at least",
        citations=(row.citation(question),),
        template="{t} >= {t_min}",
        terms=(Term("t", sheet_in, "in"), Term("t_min", row.sheet_min_in, "in")),
        where=where,
    )


def check_countersink_land(
    sheet_in: float,
    *,
    fastener: Fastener,
    book: RuleBook,
    where: str = "",
) -> Check:
    """Return the check of the straight hole left below the cone: sheet less head height.

    The head height's own source joins the check, so that a recalled height shows.

    Parameters and errors are those of :func:`check_countersink_sheet`.

    References
    ----------
    A light-aircraft maintenance manual, chapter 20: at least 0.3 mm.
    """
    _require_flush(fastener)
    require_length(sheet_in, "the sheet thickness")
    rule = book.rule("countersink_land_min")
    height = dimension(fastener, "head_height")
    height_in = None if height is None else height.largest_in
    if height is None or height_in is None:
        reason = "the head height of this rivet is not on file"
        return not_checked(LAND, reason, where=where, citations=(rule.citation,))
    limit_in = rule.length_in(diameter_in=fastener.diameter_in, thickness_in=sheet_in)
    return make_check(
        LAND,
        sheet_in - height_in,
        limit_in,
        unit="in",
        comparison="at least",
        citations=unique_citations((rule.citation, height.citation)),
        template="{t} - {h} >= {c}",
        terms=(
            Term("t", sheet_in, "in"),
            Term("h", height_in, "in"),
            Term("c", limit_in, "in"),
        ),
        where=where,
    )


def check_countersink(
    sheet_in: float,
    *,
    fastener: Fastener,
    book: RuleBook,
    where: str = "",
) -> tuple[Check, Check]:
    """Return both checks of a machine countersink: the table's least sheet, and the land.

    Parameters and errors are those of :func:`check_countersink_sheet`.
    """
    return (
        check_countersink_sheet(sheet_in, fastener=fastener, book=book, where=where),
        check_countersink_land(sheet_in, fastener=fastener, book=book, where=where),
    )


def check_dimple_sheet(sheet_in: float, *, book: RuleBook, where: str = "") -> Check:
    """Return the check of a sheet against the thickest one that is dimpled.

    Parameters
    ----------
    sheet_in
        Sheet thickness [in].
    book
        The rules in force.
    where
        The layer.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    AC 65-15A ch 5, as a public text quotes it: dimpling works best up to .040.
    """
    return check_length(
        DIMPLE,
        require_length(sheet_in, "the sheet thickness"),
        rule=book.rule("dimple_thickness_max"),
        comparison="at most",
        symbol="t",
        where=where,
    )


def check_formed_layers(
    layers: Iterable[Layer], *, fastener: Fastener, book: RuleBook
) -> tuple[Check, ...]:
    """Return the checks of every layer of a stack that is countersunk or dimpled.

    Errors are those of :func:`check_countersink_sheet`.

    References
    ----------
    AC 65-15A ch 5, as a public text quotes it, for dimples; ``practice/countersink_minimum.csv``.
    """
    checks: list[Check] = []
    for layer in layers:
        if layer.form == "countersunk":
            checks += check_countersink(
                layer.thickness_in, fastener=fastener, book=book, where=layer.name
            )
        elif layer.form == "dimpled":
            checks.append(check_dimple_sheet(layer.thickness_in, book=book, where=layer.name))
    return tuple(checks)


def _require_flush(fastener: Fastener) -> None:
    if not fastener.flush:
        raise InputError(
            f"'{fastener.designation}' does not have a flush head",
            mend="countersink only for a flush rivet, or name the flush one",
        )
