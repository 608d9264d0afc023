"""The lugs of nutplates: the rivet they take, and the room two of them leave each other."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.nutplates.place import rivet_holes_in
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, Verdict, make_check, not_checked
from rivetkit.fasteners.screw_holes import nutplate_body

if TYPE_CHECKING:
    from rivetkit.calculators.nutplates.cover_shape import Point
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

LUG_HOLE = "rivet in the lugs"
LUG_ROOM = "room for the lugs"
ROOM_SURE_RULE = "nutplate_room_sure"


@dataclass(frozen=True, slots=True)
class PlacedPlate:
    """A nutplate in its place: screw and rivet holes [in], and its direction [deg]."""

    screw_in: Point
    direction_deg: float
    rivets_in: tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class LugGap:
    """Two nutplates near each other: how far from one line of rivet, screw, rivet to the other.

    ``end_to_end`` when each lies wholly past the other's end, so that only lugs can meet;
    otherwise a lug or a body stands beside a body.
    """

    distance_in: float
    end_to_end: bool


def placed_plate(plate: Nutplate, screw_in: Point, direction_deg: float) -> PlacedPlate:
    """Return a nutplate in its place.

    Parameters
    ----------
    plate
        The nutplate.
    screw_in
        Its screw's centre [in].
    direction_deg
        From one rivet hole to the other, from the x axis toward the y axis [deg].
    """
    rivets_in = rivet_holes_in(plate, screw_in, direction_deg=direction_deg)
    return PlacedPlate(screw_in, direction_deg, rivets_in)


def lug_gap(one: PlacedPlate, other: PlacedPlate) -> LugGap:
    """Return how far apart two nutplates lie.

    Parameters
    ----------
    one, other
        The nutplates.

    Examples
    --------
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> plate = nutplate("NAS1473-3")
    >>> first = placed_plate(plate, (0.0, 0.0), 0.0)
    >>> gap = lug_gap(first, placed_plate(plate, (1.0, 0.0), 0.0))
    >>> round(gap.distance_in, 3), gap.end_to_end
    (0.312, True)
    >>> lug_gap(first, placed_plate(plate, (0.0, 0.5), 0.0))
    LugGap(distance_in=0.5, end_to_end=False)
    """
    lines = (one.rivets_in, other.rivets_in)
    distance_in = 0.0
    if not _cross(*lines):
        distance_in = min(
            _to_line_in(point, line) for points, line in (lines, lines[::-1]) for point in points
        )
    return LugGap(distance_in, _past_an_end(*lines) and _past_an_end(*lines[::-1]))


def check_lug_room(
    gap: LugGap,
    plate: Nutplate,
    other: Nutplate,
    *,
    book: RuleBook,
    accuracy_in: float = 0.0,
    where: str = "",
) -> Check:
    """Return the check that two nutplates do not meet.

    Lugs end to end are held to the length over the lugs, where it is on file. Where it is not,
    and where a body lies beside (no document that was read tells its width), nearer than a lug
    reaches fails, and only a distance that no nutplate reaches passes.

    Parameters
    ----------
    gap
        How they lie.
    plate, other
        The two nutplates.
    book
        The rules in force.
    accuracy_in
        How far off the places may be [in].
    where
        The two nutplates.

    References
    ----------
    NAS1473, dimension table: the length over the lugs. Common practice, no source: a nutplate is
    no wider than its rivets are apart, nor does a lug reach past its rivet by more than half that.
    """
    known = _length_limit(plate, other)
    reason = "a body lies beside it, and its width is not on file"
    limit = known or _hole_limit(plate, other)
    if known is None:
        reason = "the length over the lugs is not on file"
    check = _held_to(limit, gap, accuracy_in, where)
    if (known and gap.end_to_end) or check.verdict is Verdict.FAIL:
        return check
    sure = _held_to(_sure_limit(plate, other, book), gap, accuracy_in, where)
    if sure.verdict is Verdict.PASS:
        return sure
    reason = f"{reason}: lay two in place and look"
    return not_checked(LUG_ROOM, reason, where=where, citations=_cited(plate, other))


def check_lug_hole(shank_in: float, plate: Nutplate) -> Check:
    """Return the check that a rivet goes through the holes in a nutplate's lugs.

    Parameters
    ----------
    shank_in
        Diameter of its shank [in].
    plate
        The nutplate.

    References
    ----------
    NAS1473, dimension table: rivet hole. MS21047, MS21059: the same, from memory.

    Examples
    --------
    >>> from rivetkit.fasteners.nutplates import nutplate
    >>> check = check_lug_hole(0.125, nutplate("MS21047-3"))
    >>> check.verdict.value, check.substituted()
    ('fail', '0.1250 in <= 0.0980 in')
    """
    return make_check(
        LUG_HOLE,
        shank_in,
        plate.rivet_hole_in,
        unit="in",
        comparison="at most",
        citations=(plate.citation(),),
        template="{D} <= {h}",
        terms=(Term("D", shank_in, "in"), Term("h", plate.rivet_hole_in, "in")),
    )


@dataclass(frozen=True, slots=True)
class _Limit:
    """A least distance [in], as it is spelled out, and where it comes from."""

    limit_in: float
    template: str
    terms: tuple[Term, ...]
    citations: tuple[Citation, ...]


def _held_to(limit: _Limit, gap: LugGap, accuracy_in: float, where: str) -> Check:
    return make_check(
        LUG_ROOM,
        gap.distance_in,
        limit.limit_in,
        unit="in",
        comparison="at least",
        citations=limit.citations,
        template=f"{{p}} >= {limit.template}",
        terms=(Term("p", gap.distance_in, "in"), *limit.terms),
        accuracy=accuracy_in,
        where=where,
    )


def _length_limit(plate: Nutplate, other: Nutplate) -> _Limit | None:
    """Return how far two lugs reach past their rivets; None where a length is not on file."""
    body, other_body = nutplate_body(plate), nutplate_body(other)
    if body is None or other_body is None:
        return None
    reach_in = body.overall_length_in - plate.rivet_spacing_in
    terms = [Term("L", body.overall_length_in, "in"), Term("s", plate.rivet_spacing_in, "in")]
    template = "{L} - {s}"
    if other != plate:
        reach_in = (reach_in + other_body.overall_length_in - other.rivet_spacing_in) / 2.0
        terms += [
            Term("M", other_body.overall_length_in, "in"),
            Term("t", other.rivet_spacing_in, "in"),
        ]
        template = "({L} - {s} + {M} - {t}) / 2"
    bodies = (body.citation(), other_body.citation())
    cited = tuple(dict.fromkeys((*bodies, *_cited(plate, other))))
    return _Limit(reach_in, template, tuple(terms), cited)


def _hole_limit(plate: Nutplate, other: Nutplate) -> _Limit:
    """Return the least that two lugs reach past their rivets: they go round their rivet holes."""
    holes_in = (plate.rivet_hole_in, other.rivet_hole_in)
    terms = tuple(
        Term(symbol, hole_in, "in") for symbol, hole_in in zip("hk", holes_in, strict=True)
    )
    return _Limit(sum(holes_in) / 2.0, "({h} + {k}) / 2", terms, _cited(plate, other))


def _sure_limit(plate: Nutplate, other: Nutplate, book: RuleBook) -> _Limit:
    rule = book.rule(ROOM_SURE_RULE)
    spacings_in = (plate.rivet_spacing_in, other.rivet_spacing_in)
    terms = (
        Term("f", rule.value),
        *(Term(symbol, size_in, "in") for symbol, size_in in zip("st", spacings_in, strict=True)),
    )
    limit_in = rule.value * sum(spacings_in) / 2.0
    cited = (rule.citation, *_cited(plate, other))
    return _Limit(limit_in, "{f} x ({s} + {t}) / 2", terms, cited)


def _cited(plate: Nutplate, other: Nutplate) -> tuple[Citation, ...]:
    return tuple(dict.fromkeys((plate.citation(), other.citation())))


_Line = tuple["Point", "Point"]


def _cross(one: _Line, other: _Line) -> bool:
    return all(
        _side(start, end, first) * _side(start, end, second) < 0.0
        for (start, end), (first, second) in ((one, other), (other, one))
    )


def _side(start: Point, end: Point, point: Point) -> float:
    """Return on which side of a line a point lies, by its sign, and how far, times its length."""
    (ax, ay), (bx, by), (px, py) = start, end, point
    return (bx - ax) * (py - ay) - (by - ay) * (px - ax)


def _along(start: Point, end: Point, point: Point) -> float:
    """Return how far along a line a point lies: 0 at its start, 1 at its end."""
    (ax, ay), (bx, by), (px, py) = start, end, point
    return ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)


def _to_line_in(point: Point, line: _Line) -> float:
    (ax, ay), (bx, by) = line
    share = min(1.0, max(0.0, _along(*line, point)))
    return math.dist(point, (ax + share * (bx - ax), ay + share * (by - ay)))


def _past_an_end(line: _Line, other: _Line) -> bool:
    """Return whether a line lies wholly past one end of another."""
    places = [_along(*line, point) for point in other]
    return max(places) <= LIMIT_TOLERANCE or min(places) >= 1.0 - LIMIT_TOLERANCE
