"""One nutplate: the rivet it takes, where its rivet holes fall, and the room it needs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rivetkit.calculators.edge_distance import EDGE_LEAST, edge_question
from rivetkit.calculators.limits import Working, check_length, limit_terms, require_length
from rivetkit.calculators.pitch import pitch_question
from rivetkit.checks import Term
from rivetkit.errors import InputError
from rivetkit.fasteners.fastener import without_length
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.fasteners.screw_holes import nutplate_body, screw_diameter_in
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from rivetkit.calculators.nutplates.cover_shape import Point
    from rivetkit.checks import Check
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.rules import RuleBook

SCREW_EDGE_RULE = "screw_edge_distance_min"
SCREW_SPACING_RULE = "screw_spacing_min"
SCREW_SPACING = "screw spacing"

#: Common practice, no source: flush, so that the cover lies flat on the heads.
USUAL_RIVET = "MS20426AD"

_SAME_IN = 1e-6


def nutplate_rivet(plate: Nutplate, part: str | None = None) -> Fastener:
    """Return the rivet that holds a nutplate: the one named, else the usual flush one.

    Parameters
    ----------
    plate
        The nutplate.
    part
        A part number.

    Raises
    ------
    InputError
        When the part number cannot be read, or its diameter is not the nutplate's.

    Examples
    --------
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> nutplate_rivet(nutplate("MS21047-3")).designation
    'MS20426AD3'
    """
    own_in = float(plate.rivet_diameter)
    rivet = parse_part_number(part or f"{USUAL_RIVET}{own_in * 32.0:g}")
    require_lug_rivet(rivet, plate)
    return rivet


def require_lug_rivet(rivet: Fastener, plate: Nutplate) -> None:
    """See that a rivet is of the size of the holes in a nutplate's lugs.

    Parameters
    ----------
    rivet
        The rivet.
    plate
        The nutplate.

    Raises
    ------
    InputError
        When it is of another size.
    """
    if abs(rivet.diameter_in - float(plate.rivet_diameter)) > _SAME_IN:
        raise InputError(
            f"{without_length(rivet).designation} is not the size of the nutplate's rivet holes",
            mend=f"{plate.standard}-{plate.dash} takes a rivet of {plate.rivet_diameter} in",
        )


def rivet_holes_in(plate: Nutplate, at_in: Point, *, direction_deg: float) -> tuple[Point, Point]:
    """Return the centres of a nutplate's two rivet holes [in].

    Parameters
    ----------
    plate
        The nutplate.
    at_in
        Its screw's centre [in].
    direction_deg
        From one rivet hole to the other, from the x axis toward the y axis [deg].

    Examples
    --------
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> rivet_holes_in(nutplate("MS21047-4"), (3.0, 0.0), direction_deg=0.0)
    ((2.5, 0.0), (3.5, 0.0))
    """
    half_in = plate.rivet_spacing_in / 2.0
    angle = math.radians(direction_deg)
    across_in, up_in = half_in * math.cos(angle), half_in * math.sin(angle)
    x_in, y_in = at_in
    return (x_in - across_in, y_in - up_in), (x_in + across_in, y_in + up_in)


def screw_hole_size_in(plate: Nutplate, screw_hole_in: float | None = None) -> float:
    """Return the screw hole under a nutplate [in]: the one given, else the table's.

    Parameters
    ----------
    plate
        The nutplate.
    screw_hole_in
        Another size [in].

    Raises
    ------
    InputError
        When the hole is no length, is smaller than the screw, or is not on file and not given.
    """
    hole_in = plate.screw_hole_in if screw_hole_in is None else screw_hole_in
    if hole_in is None:
        raise InputError(
            f"the screw hole of {plate.standard}-{plate.dash} is not on file", mend="give its size"
        )
    screw_in = screw_diameter_in(plate)
    if require_length(hole_in, "the screw hole") < screw_in:
        raise InputError(
            length_words(
                "the screw hole of {hole} is smaller than the {screw} screw",
                hole=hole_in,
                screw=screw_in,
            ),
            mend="check the size",
        )
    return hole_in


def check_rivet_to_screw_hole(
    distance_in: float,
    *,
    screw_hole_in: float,
    rivet: Fastener,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "rivets to screw holes",
) -> Check:
    """Return the check of the metal between a rivet and the rim of a screw hole.

    Parameters
    ----------
    distance_in
        Rivet centre to screw centre [in].
    screw_hole_in
        Diameter of the hole for the screw [in].
    rivet
        The rivet.
    book
        The rules in force.
    accuracy_in
        How far off the places may be [in].
    where
        The two holes.

    References
    ----------
    Army AL0992 p 59: 2 D, flush 2.5 D; the rim of a hole is an edge.
    """
    return check_length(
        EDGE_LEAST,
        distance_in - screw_hole_in / 2.0,
        rule=book.rule(edge_question(flush=rivet.flush)),
        comparison="at least",
        symbol="e",
        diameter_in=rivet.diameter_in,
        accuracy_in=accuracy_in,
        where=where,
    )


def check_screw_edge(
    edge_in: float,
    *,
    screw_in: float,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of the distance from a screw's centre to an edge.

    Parameters
    ----------
    edge_in
        Screw centre to the edge [in].
    screw_in
        Diameter of the screw [in].
    book
        The rules in force.
    accuracy_in
        How far off the places may be [in].
    where
        The screw and the edge.

    References
    ----------
    Common practice, no source: 2 D of the screw.
    """
    return check_length(
        EDGE_LEAST,
        edge_in,
        rule=book.rule(SCREW_EDGE_RULE),
        comparison="at least",
        symbol="e",
        diameter_in=screw_in,
        accuracy_in=accuracy_in,
        where=where,
    )


def check_screw_spacing(
    spacing_in: float,
    *,
    screw_in: float,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check of the distance from screw to screw.

    Parameters
    ----------
    spacing_in
        Centre to centre [in].
    screw_in
        Diameter of the larger screw [in].
    book
        The rules in force.
    accuracy_in
        How far off the places may be [in].
    where
        The two screws.

    References
    ----------
    Common practice, no source: 4 D of the screw.
    """
    return check_length(
        SCREW_SPACING,
        spacing_in,
        rule=book.rule(SCREW_SPACING_RULE),
        comparison="at least",
        symbol="p",
        diameter_in=screw_in,
        accuracy_in=accuracy_in,
        where=where,
    )


def room_needed(plate: Nutplate, rivet: Fastener, book: RuleBook) -> tuple[Working, ...]:
    """Return the least distances round a nutplate, as lines of arithmetic.

    From the line of screws to an edge beside it (two: for rivets and for screws), from a screw to
    an edge past its nutplate's end, and from screw to screw with the nutplates end to end, for
    the rivets and, where the length over the lugs is on file, for the lugs.

    Parameters
    ----------
    plate
        The nutplate.
    rivet
        Its rivet.
    book
        The rules in force.

    Examples
    --------
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> from rivetkit.rules import RuleBook
    >>> plate = nutplate("MS21047-3")
    >>> needed = room_needed(plate, nutplate_rivet(plate), RuleBook.named())
    >>> [(one.name, round(one.value, 4)) for one in needed]  # doctest: +NORMALIZE_WHITESPACE
    [('edge beside the line, for rivets', 0.2344), ('edge beside the line, for screws', 0.38),
     ('edge past the end, from the screw', 0.5784), ('screw to screw, end to end', 0.9692)]
    """
    edge = book.rule(edge_question(flush=rivet.flush))
    screw_edge = book.rule(SCREW_EDGE_RULE)
    pitch = book.rule(pitch_question(1))
    own = (("s", plate.rivet_spacing_in),)
    cases = (
        ("edge beside the line, for rivets", "e", edge, rivet.diameter_in, (), "{0}"),
        ("edge beside the line, for screws", "e", screw_edge, screw_diameter_in(plate), (), "{0}"),
        ("edge past the end, from the screw", "e", edge, rivet.diameter_in, own, "{{s}} / 2 + {0}"),
        ("screw to screw, end to end", "p", pitch, rivet.diameter_in, own, "{{s}} + {0}"),
    )
    needed = []
    for name, symbol, rule, diameter_in, given, form in cases:
        limit, terms = limit_terms(rule, diameter_in=diameter_in)
        value_in = rule.length_in(diameter_in=diameter_in)
        if given:
            value_in += plate.rivet_spacing_in / (2.0 if "/ 2" in form else 1.0)
        own_terms = tuple(Term(letter, size_in, "in") for letter, size_in in given)
        cited = (rule.citation, plate.citation()) if given else (rule.citation,)
        needed.append(
            Working(
                name,
                value_in,
                "in",
                f"{{{symbol}}} = {form.format(limit)}",
                (Term(symbol, value_in, "in"), *own_terms, *terms),
                cited,
            )
        )
    body = nutplate_body(plate)
    if body is not None:
        length_in = body.overall_length_in
        terms = (Term("p", length_in, "in"), Term("L", length_in, "in"))
        name = "screw to screw, lugs end to end"
        needed.append(Working(name, length_in, "in", "{p} = {L}", terms, (body.citation(),)))
    return tuple(needed)
