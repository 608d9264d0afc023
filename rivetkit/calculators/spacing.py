"""Edge distance, pitch, row spacing, and the rivet's diameter against the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rivetkit.calculators.countersink import check_countersink
from rivetkit.calculators.limits import check_length, require_accuracy, require_length
from rivetkit.checks import Check, not_checked
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import Fastener
from rivetkit.rules import Rule, RuleBook

EDGE_LEAST = "edge distance"
EDGE_GREATEST = "edge distance, greatest"
PITCH_LEAST = "pitch"
PITCH_GREATEST = "pitch, greatest"
ROW_SPACING = "row spacing"
DIAMETER_LEAST = "diameter for the thickest sheet, least"
DIAMETER_GREATEST = "diameter for the thickest sheet, greatest"
DIAMETER_STRUCTURAL = "diameter in structure"


@dataclass(frozen=True, slots=True)
class LayerEdge:
    """A layer and its edge distance [in] at a rivet; none when nobody gave it."""

    layer: str
    edge_in: float | None


def edge_margin(edge_in: float, diameter_in: float) -> float:
    """Return the edge margin: edge distance over rivet diameter.

    Parameters
    ----------
    edge_in
        Rivet centre to the nearest free edge [in].
    diameter_in
        Rivet diameter [in].

    Returns
    -------
    float
        Multiple of the diameter.

    Raises
    ------
    InputError
        When either is no length.

    Examples
    --------
    >>> edge_margin(0.25, 0.125)
    2.0
    """
    require_length(edge_in, "the edge distance", zero_allowed=True)
    return edge_in / require_length(diameter_in, "the rivet diameter")


def edge_question(*, flush: bool) -> str:
    """Return the rule question that asks for the least edge distance of a head."""
    return "edge_distance_min_flush" if flush else "edge_distance_min_protruding"


def check_edge_distance(
    edge_in: float,
    *,
    diameter_in: float,
    flush: bool,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of an edge distance against the least one.

    Parameters
    ----------
    edge_in
        Rivet centre to the nearest free edge of this layer [in].
    diameter_in
        Rivet diameter [in].
    flush
        Whether the manufactured head is flush; it then needs more edge.
    book
        The rules in force.
    accuracy_in
        How far the measurement may be off [in].
    where
        The layer.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    Army AL0992 p 59: 2 D, flush 2.5 D, never over 4 D.

    Examples
    --------
    >>> book = RuleBook.named()
    >>> check = check_edge_distance(0.25, diameter_in=0.125, flush=False, book=book)
    >>> check.verdict.value, check.substituted()
    ('pass', '0.2500 in >= 2 x 0.1250 in')
    """
    require_length(edge_in, "the edge distance", zero_allowed=True)
    return check_length(
        EDGE_LEAST,
        edge_in,
        rule=book.rule(edge_question(flush=flush)),
        comparison="at least",
        symbol="e",
        diameter_in=require_length(diameter_in, "the rivet diameter"),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def check_edge_distance_greatest(
    edge_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of an edge distance against the greatest one; the sheet edge lifts past it.

    Parameters and errors are those of :func:`check_edge_distance`.
    """
    require_length(edge_in, "the edge distance", zero_allowed=True)
    return check_length(
        EDGE_GREATEST,
        edge_in,
        rule=book.rule("edge_distance_max"),
        comparison="at most",
        symbol="e",
        diameter_in=require_length(diameter_in, "the rivet diameter"),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def check_pitch(
    pitch_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    rows: int = 1,
    neighbour_diameter_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of the distance between two rivets of a row against the least one.

    Parameters
    ----------
    pitch_in
        Centre to centre [in].
    diameter_in
        Rivet diameter [in].
    book
        The rules in force.
    rows
        Rows in the seam. Three and more are held to the two-row rule: it is the greater, and no
        document on file was read on more.
    neighbour_diameter_in
        Diameter of the next rivet [in] where it differs; the larger of the two rules.
    accuracy_in
        How far the measurement may be off [in].
    where
        The row or the pair of holes.

    Raises
    ------
    InputError
        When a length is not one, or there is no row.
    """
    require_length(pitch_in, "the pitch", zero_allowed=True)
    sizes = _diameters(diameter_in, neighbour_diameter_in)
    return check_length(
        PITCH_LEAST,
        pitch_in,
        rule=book.rule(pitch_question(rows)),
        comparison="at least",
        symbol="p",
        diameter_in=max(sizes),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def pitch_question(rows: int) -> str:
    """Return the rule question that asks for the least pitch in a seam of so many rows.

    Raises
    ------
    InputError
        When there is no row.
    """
    if rows < 1:
        raise InputError(f"a seam of {rows} rows", mend="give 1 or more")
    return "pitch_min_one_row" if rows == 1 else "pitch_min_two_rows"


def check_pitch_greatest(
    pitch_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    neighbour_diameter_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of a pitch against the greatest one; between two sizes the smaller rules.

    Parameters and errors are those of :func:`check_pitch`.
    """
    require_length(pitch_in, "the pitch", zero_allowed=True)
    return check_length(
        PITCH_GREATEST,
        pitch_in,
        rule=book.rule("pitch_max"),
        comparison="at most",
        symbol="p",
        diameter_in=min(_diameters(diameter_in, neighbour_diameter_in)),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def check_row_spacing(
    row_spacing_in: float,
    *,
    diameter_in: float,
    book: RuleBook,
    neighbour_diameter_in: float | None = None,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of the distance between two rows against the least one.

    Parameters
    ----------
    row_spacing_in
        Row centre line to row centre line [in].
    diameter_in, book, neighbour_diameter_in, accuracy_in, where
        As for :func:`check_pitch`.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    TM 10-5410-229-13&P p 5-4: 2.5 D.
    """
    require_length(row_spacing_in, "the row spacing", zero_allowed=True)
    return check_length(
        ROW_SPACING,
        row_spacing_in,
        rule=book.rule("row_spacing_min"),
        comparison="at least",
        symbol="s",
        diameter_in=max(_diameters(diameter_in, neighbour_diameter_in)),
        accuracy_in=require_accuracy(accuracy_in),
        where=where,
    )


def check_diameter_for_sheet(
    diameter_in: float, *, sheets_in: Sequence[float], book: RuleBook, where: str = ""
) -> tuple[Check, ...]:
    """Return the checks of a rivet diameter against the thickest sheet and the structural least.

    Parameters
    ----------
    diameter_in
        Rivet diameter [in].
    sheets_in
        Thickness of every sheet of the stack [in].
    book
        The rules in force.
    where
        The row.

    Raises
    ------
    InputError
        When there is no sheet, or a length is not one.

    References
    ----------
    NAVEDTRA 14018 ch 13, rivet selection: at least the thickest sheet; 3/32 in structure.
    AC 43.13-1B p 4-27: 5/32 accepted on .032.
    """
    require_length(diameter_in, "the rivet diameter")
    if not sheets_in:
        raise InputError("no sheet is given", mend="give the thickness of every sheet")
    thickest_in = max(require_length(sheet, "a sheet thickness") for sheet in sheets_in)
    return (
        check_length(
            DIAMETER_LEAST,
            diameter_in,
            rule=book.rule("diameter_per_thickness_min"),
            comparison="at least",
            symbol="D",
            thickness_in=thickest_in,
            where=where,
        ),
        check_length(
            DIAMETER_GREATEST,
            diameter_in,
            rule=book.rule("diameter_per_thickness_max"),
            comparison="at most",
            symbol="D",
            thickness_in=thickest_in,
            where=where,
        ),
        check_length(
            DIAMETER_STRUCTURAL,
            diameter_in,
            rule=book.rule("diameter_min_structural"),
            comparison="at least",
            symbol="D",
            where=where,
        ),
    )


def spacing_checks(
    fastener: Fastener,
    book: RuleBook,
    *,
    edges: Sequence[LayerEdge] = (),
    pitch_in: float | None = None,
    row_spacing_in: float | None = None,
    rows: int = 1,
    sheets_in: Sequence[float] = (),
    countersunk_sheet_in: float | None = None,
    accuracy_in: float = 0.0,
) -> tuple[Check, ...]:
    """Return every check of a rivet's place that the given sizes allow.

    What belongs to the question and was not given is returned as not checked: the edge of a layer
    that was named, or of a sheet beyond the edges given; the pitch or the spacing of several rows.

    Parameters
    ----------
    fastener
        The rivet.
    book
        The rules in force.
    edges
        Edge distance in every layer.
    pitch_in, row_spacing_in
        Distances in and between the rows [in].
    rows
        Rows in the seam.
    sheets_in
        Thickness of every sheet [in].
    countersunk_sheet_in
        Thickness of the sheet that is machine countersunk [in].
    accuracy_in
        How far the measured distances may be off [in].

    Raises
    ------
    InputError
        When nothing is given to check, a length is not one, or a rivet that is not flush is
        countersunk.
    """
    checks = (
        *_edge_checks(fastener, book, edges, len(sheets_in), accuracy_in),
        *_row_checks(fastener, book, pitch_in, row_spacing_in, rows, accuracy_in),
    )
    if sheets_in:
        diameter_in = fastener.diameter_in
        checks += check_diameter_for_sheet(diameter_in, sheets_in=sheets_in, book=book)
    if countersunk_sheet_in is not None:
        checks += check_countersink(
            countersunk_sheet_in, fastener=fastener, book=book, accuracy_in=accuracy_in
        )
    if not checks:
        raise InputError(
            "nothing is given to check",
            mend="give an edge distance, a pitch or a sheet thickness",
        )
    return checks


def also_says(question: str, book: RuleBook) -> tuple[Rule, ...]:
    """Return what other documents answer to a question, where it differs from the rule in force.

    Parameters
    ----------
    question
        A rule question, for example ``edge_distance_max``.
    book
        The rules in force.
    """
    in_force = book.rule(question)
    return tuple(
        rule
        for rule in book.alternatives(question)
        if (rule.value, rule.unit, rule.plus_in)
        != (in_force.value, in_force.unit, in_force.plus_in)
    )


def _diameters(diameter_in: float, neighbour_diameter_in: float | None) -> tuple[float, ...]:
    own = require_length(diameter_in, "the rivet diameter")
    if neighbour_diameter_in is None:
        return (own,)
    return (own, require_length(neighbour_diameter_in, "the next rivet's diameter"))


def _edge_checks(
    fastener: Fastener,
    book: RuleBook,
    edges: Sequence[LayerEdge],
    sheets: int,
    accuracy_in: float,
) -> tuple[Check, ...]:
    checks: list[Check] = []
    for edge in edges:
        if edge.edge_in is None:
            checks.append(_edge_unknown(edge.layer, fastener, book))
            continue
        least = check_edge_distance(
            edge.edge_in,
            diameter_in=fastener.diameter_in,
            flush=fastener.flush,
            book=book,
            accuracy_in=accuracy_in,
            where=edge.layer,
        )
        greatest = check_edge_distance_greatest(
            edge.edge_in,
            diameter_in=fastener.diameter_in,
            book=book,
            accuracy_in=accuracy_in,
            where=edge.layer,
        )
        checks += [least, greatest]
    if edges:
        unnamed = range(len(edges) + 1, sheets + 1)
        checks += [_edge_unknown(f"sheet {number}", fastener, book) for number in unnamed]
    return tuple(checks)


def _edge_unknown(layer: str, fastener: Fastener, book: RuleBook) -> Check:
    return not_checked(
        EDGE_LEAST,
        "no edge distance was given for this layer",
        where=layer,
        citations=(book.rule(edge_question(flush=fastener.flush)).citation,),
    )


def _row_checks(
    fastener: Fastener,
    book: RuleBook,
    pitch_in: float | None,
    row_spacing_in: float | None,
    rows: int,
    accuracy_in: float,
) -> tuple[Check, ...]:
    question = pitch_question(rows)
    diameter_in = fastener.diameter_in
    checks: list[Check] = []
    if pitch_in is not None:
        checks += [
            check_pitch(
                pitch_in, diameter_in=diameter_in, book=book, rows=rows, accuracy_in=accuracy_in
            ),
            check_pitch_greatest(
                pitch_in, diameter_in=diameter_in, book=book, accuracy_in=accuracy_in
            ),
        ]
    elif rows > 1 or row_spacing_in is not None:
        citation = book.rule(question).citation
        checks.append(not_checked(PITCH_LEAST, "no pitch was given", citations=(citation,)))
    if row_spacing_in is not None:
        checks.append(
            check_row_spacing(
                row_spacing_in, diameter_in=diameter_in, book=book, accuracy_in=accuracy_in
            )
        )
    elif rows > 1:
        citation = book.rule("row_spacing_min").citation
        checks.append(not_checked(ROW_SPACING, "no row spacing was given", citations=(citation,)))
    return tuple(checks)
