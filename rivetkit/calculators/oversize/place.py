"""Whether a larger rivet may stand where an old hole was: members, edges, bends, neighbours.

Distances are given from the old centre; every check is made from the new one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, NamedTuple

from rivetkit.calculators.edge_distance import EDGE_LEAST, check_strayed, edge_question
from rivetkit.calculators.heel_distance import HEEL_LEAST, HEEL_RULE
from rivetkit.calculators.limits import check_length, require_length
from rivetkit.calculators.oversize.hole_move import ALONG_ROW_DEG, STILL, TOWARD_EDGE_DEG
from rivetkit.calculators.oversize.sizes import rule_in_force
from rivetkit.calculators.pitch import (
    PITCH_LEAST,
    ROW_SPACING,
    check_apart,
    check_row_spacing,
    pitch_question,
)
from rivetkit.calculators.rivet_diameter import check_stringer_leg
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, Verdict, make_check, not_checked
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.oversize.hole_move import Move, Stretch
    from rivetkit.calculators.stack import Form
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import Rule, RuleBook

REFUSED = "oversize hole in this member"


@dataclass(frozen=True, slots=True)
class LayerEdge:
    """One free edge of a layer.

    Parameters
    ----------
    distance_in
        Old centre to the edge [in]; None when nobody measured it.
    direction_deg
        Where it lies [deg]: 0 along the row, 90 toward the edge; None when not known.
    either_side
        Whether it may as well lie on the opposite side.
    name
        What it is called in the checks, beside the layer.
    stray_in
        How much nearer it may be, nobody knows whether it is [in].
    """

    distance_in: float | None
    direction_deg: float | None = TOWARD_EDGE_DEG
    either_side: bool = True
    name: str = ""
    stray_in: float = 0.0

    def __post_init__(self) -> None:
        if self.distance_in is not None:
            require_length(self.distance_in, "an edge distance", zero_allowed=True)


@dataclass(frozen=True, slots=True)
class OversizeLayer:
    """A layer at the hole.

    Parameters
    ----------
    name, thickness_in, form
        As in a stack [in]; a thickness of None was not given.
    edge_in
        Old centre to the nearest free edge [in]; None when nobody measured it.
    edge_direction_deg
        Where that edge lies [deg]: 0 along the row, 90 toward the edge; None when not known.
    either_side
        Whether the edge may as well lie on the opposite side.
    edge_stray_in
        How much nearer the edge may be, nobody knows whether it is [in].
    no_oversize
        Whether the member refuses larger holes.
    drawn
        The edges near the hole whose place is known, from the old centre; with ``edge_in``, or
        instead.
    edge_unknown
        Why the distance to some edge is not known; empty where it is.
    heel_in
        Old centre to the bend of a flange, on whichever side [in]; None where there is none.
    heel_stray_in
        How much nearer the bend may be, nobody knows whether it is [in].
    heel_unknown
        Why the distance to the bend is not known; empty where it is, or where there is none.
    edge_name
        What that edge is called in the checks, where the layer has others.
    further_edges
        Its other free edges.
    leg_width_in
        How wide the leg is, where the layer is a stringer [in]; None where it is none, or nobody
        told.
    """

    name: str
    thickness_in: float | None
    form: Form = "plain"
    edge_in: float | None = None
    edge_direction_deg: float | None = TOWARD_EDGE_DEG
    either_side: bool = True
    edge_stray_in: float = 0.0
    no_oversize: bool = False
    drawn: tuple[Stretch, ...] = ()
    edge_unknown: str = ""
    heel_in: float | None = None
    heel_stray_in: float = 0.0
    heel_unknown: str = ""
    edge_name: str = ""
    further_edges: tuple[LayerEdge, ...] = ()
    leg_width_in: float | None = None

    @property
    def edges(self) -> tuple[LayerEdge, ...]:
        """Every measured edge of the layer; the first is there even when nobody measured it, but
        where all edges are drawn.
        """
        if self.drawn and self.edge_in is None and not self.edge_unknown:
            return self.further_edges
        first = LayerEdge(
            self.edge_in,
            self.edge_direction_deg,
            self.either_side,
            self.edge_name,
            self.edge_stray_in,
        )
        return (first, *self.further_edges)

    def __post_init__(self) -> None:
        if self.thickness_in is not None:
            require_length(self.thickness_in, f"the thickness of '{self.name}'")
        if self.heel_in is not None:
            require_length(self.heel_in, f"the distance to the bend of '{self.name}'")
        if self.edge_in is not None:
            require_length(self.edge_in, f"the edge distance in '{self.name}'", zero_allowed=True)
        require_length(self.edge_stray_in, f"the stray in '{self.name}'", zero_allowed=True)


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A rivet, or a row, next to the hole.

    Parameters
    ----------
    name
        What it is called in the checks.
    distance_in
        From the old centre to the rivet, or square to the row [in].
    diameter_in
        Diameter of its rivets [in]; None: as the rivet taken out.
    head_diameter_in
        Of their manufactured heads [in]; None: as the same standard has them.
    direction_deg
        Where it lies [deg]; None when not known.
    either_side
        Whether another one lies on the opposite side.
    kind
        ``rivet``, or ``row``: a whole row, held to the row spacing.
    move
        How far its own hole moved; a row does not.
    square_in
        Of a rivet of another row, how far both stand off each other's rows, the smaller of the two
        distances [in]: it is held to the pitch or to the row spacing, as :func:`check_apart` says.
        None: it keeps the pitch.
    rows
        Rows in the seam, for the pitch from it; None: as the seam of the hole.
    """

    name: str
    distance_in: float
    diameter_in: float | None = None
    head_diameter_in: float | None = None
    direction_deg: float | None = ALONG_ROW_DEG
    either_side: bool = True
    kind: Literal["rivet", "row"] = "rivet"
    move: Move = STILL
    square_in: float | None = None
    rows: int | None = None

    def __post_init__(self) -> None:
        require_length(self.distance_in, f"the distance to {self.name}", zero_allowed=True)
        for size_in in (self.diameter_in, self.head_diameter_in):
            if size_in is not None:
                require_length(size_in, f"a diameter of {self.name}")
        if self.square_in is not None:
            require_length(self.square_in, f"the rows' distance at {self.name}", zero_allowed=True)


class Near(NamedTuple):
    """A neighbour, and the least it may be away now: from centre to centre, and square to the rows.

    All are lengths [in]; ``square_in`` is None where the neighbour has none, ``square_most_in`` the
    most it may be.
    """

    one: Neighbour
    away_in: float
    square_in: float | None = None
    square_most_in: float | None = None


def near_after(one: Neighbour, move: Move) -> Near:
    """Return how near a neighbour may be to a moved hole.

    Rows run on as they were laid out, whatever a hole of theirs did. Which way square to them lies
    is not told: the whole of both moves may go toward it.

    Parameters
    ----------
    one
        The neighbour.
    move
        How far the centre of the hole moved.

    Examples
    --------
    >>> from rivetkit.calculators.oversize.hole_move import Move
    >>> beside = Neighbour("b:3", 0.33, direction_deg=90.0, either_side=False, square_in=0.33)
    >>> near = near_after(beside, Move(0.01, 90.0))
    >>> round(near.away_in, 6), round(near.square_in, 6)
    (0.32, 0.32)
    """
    away_in = _distance_to(one, move)
    if one.square_in is None:
        return Near(one, away_in)
    moved_in = move.toward_in(None) + one.move.toward_in(None)
    return Near(one, away_in, max(one.square_in - moved_in, 0.0), one.square_in + moved_in)


def require_forms(fastener: Fastener, layers: Sequence[OversizeLayer]) -> None:
    """See that no layer is formed for a head that is not flush, and no name stands twice.

    Raises
    ------
    InputError
        When one is.
    """
    names: set[str] = set()
    for layer in layers:
        if layer.form != "plain" and not fastener.flush:
            raise InputError(
                f"layer '{layer.name}' is {layer.form}, but '{fastener.designation}' does not "
                "have a flush head",
                mend="make the layer plain, or name a flush rivet",
            )
        if layer.name in names:
            raise InputError(f"layer '{layer.name}' is given twice", mend="give each layer once")
        names.add(layer.name)


def leg_checks(
    diameter_in: float, *, layers: Sequence[OversizeLayer], book: RuleBook, accuracy_in: float
) -> tuple[Check, ...]:
    """Return the checks of a larger rivet against the legs of stringers it goes through.

    Parameters
    ----------
    diameter_in
        Diameter of the rivet to go in [in].
    layers
        The layers.
    book
        The rules in force.
    accuracy_in
        How far a measured width may be off [in].

    References
    ----------
    AC 43.13-1B par 4-58l, p 4-36.
    """
    return tuple(
        check_stringer_leg(
            layer.leg_width_in,
            diameter_in=diameter_in,
            book=book,
            accuracy_in=accuracy_in,
            where=layer.name,
        )
        for layer in layers
        if layer.leg_width_in is not None
    )


def member_checks(
    hole_in: float,
    *,
    original_most_in: float | None,
    layers: Sequence[OversizeLayer],
    book: RuleBook,
) -> tuple[Check, ...]:
    """Return the check of the new hole in every member that refuses larger ones.

    Parameters
    ----------
    hole_in
        The hole after the repair [in].
    original_most_in
        The greatest hole of the rivet taken out [in]; None when no table has it.
    layers
        The layers.
    book
        The rules in force.

    References
    ----------
    AC 43.13-1B p 4-12: spar capstrips, longitudinal stringers, highly stressed tension members.
    """
    question = "oversize_refused_members"
    checks = []
    for layer in layers:
        if not layer.no_oversize:
            continue
        citations = (book.choice(question).citation(question),)
        if original_most_in is None:
            reason = "the greatest hole of the rivet taken out is not on file"
            checks.append(not_checked(REFUSED, reason, where=layer.name, citations=citations))
            continue
        check = make_check(
            REFUSED,
            hole_in,
            original_most_in,
            unit="in",
            comparison="at most",
            citations=citations,
            template="{H} <= {H0}",
            terms=(Term("H", hole_in, "in"), Term("H0", original_most_in, "in")),
            where=layer.name,
        )
        if check.verdict is Verdict.FAIL:
            check = replace(
                check,
                reason="it takes the aircraft maker's or the authority's approval",
            )
        checks.append(check)
    return tuple(checks)


def edge_checks(
    fastener: Fastener,
    diameter_in: float,
    move: Move,
    *,
    layers: Sequence[OversizeLayer],
    book: RuleBook,
    accuracy_in: float,
) -> tuple[Check, ...]:
    """Return the check of every edge distance in every layer, from the new centre.

    Parameters
    ----------
    fastener, diameter_in
        The rivet to go in, and the diameter of its shank [in].
    move
        How far the centre moved.
    layers
        The layers.
    book
        The rules in force.
    accuracy_in
        How far the measured distances may be off [in].
    """
    rule = rule_in_force(edge_question(flush=fastener.flush), book)
    if not layers:
        return (not_checked(EDGE_LEAST, "no layer was given", citations=(rule.citation,)),)
    checks = []
    for layer in layers:
        if layer.drawn:
            drawn_in = _nearest_drawn_in(layer.drawn, move)
            checks.append(
                _distance_check(
                    EDGE_LEAST,
                    "e",
                    *drawn_in,
                    rule,
                    diameter_in=diameter_in,
                    accuracy_in=accuracy_in,
                    where=layer.name,
                )
            )
    for layer, edge in [(one, edge) for one in layers for edge in one.edges]:
        where = f"{layer.name}, {edge.name}" if edge.name else layer.name
        if edge.distance_in is None:
            reason = layer.edge_unknown or "no edge distance was given for this layer"
            citations = (rule.citation,)
            checks.append(not_checked(EDGE_LEAST, reason, where=where, citations=citations))
            continue
        toward_in = move.toward_in(edge.direction_deg, either_side=edge.either_side)

        def check_at(old_in: float, toward_in: float = toward_in, where: str = where) -> Check:
            return _distance_check(
                EDGE_LEAST,
                "e",
                old_in,
                max(old_in - toward_in, 0.0),
                rule,
                diameter_in=diameter_in,
                accuracy_in=accuracy_in,
                where=where,
            )

        checks.append(check_strayed(check_at, edge.distance_in, stray_in=edge.stray_in))
    return tuple(checks)


def _nearest_drawn_in(drawn: Sequence[Stretch], move: Move) -> tuple[float, float]:
    """Return the distance [in], before and after, of the edge that may be the nearest after."""
    now, old = move.centres, STILL.centres
    after_in, before_in = min((now.gap_in(edge), old.gap_in(edge)) for edge in drawn)
    return before_in, after_in


def heel_checks(
    diameter_in: float,
    move: Move,
    *,
    layers: Sequence[OversizeLayer],
    book: RuleBook,
    accuracy_in: float,
) -> tuple[Check, ...]:
    """Return the check of the distance from the bend of every flange, from the new centre.

    On which side of the row the bend lies is not told: the whole move may go toward it.

    Parameters
    ----------
    diameter_in, move
        Of the rivet to go in [in].
    layers
        The layers.
    book
        The rules in force.
    accuracy_in
        How far the measured distances may be off [in].
    """
    rule = rule_in_force(HEEL_RULE, book)
    checks = []
    for layer in layers:
        if layer.heel_unknown:
            why, citations = layer.heel_unknown, (rule.citation,)
            checks.append(not_checked(HEEL_LEAST, why, where=layer.name, citations=citations))
        elif layer.heel_in is not None:

            def check_at(old_in: float, where: str = layer.name) -> Check:
                return _distance_check(
                    HEEL_LEAST,
                    "b",
                    old_in,
                    max(old_in - move.toward_in(None), 0.0),
                    rule,
                    diameter_in=diameter_in,
                    accuracy_in=accuracy_in,
                    where=where,
                )

            checks.append(check_strayed(check_at, layer.heel_in, stray_in=layer.heel_stray_in))
    return tuple(checks)


def neighbour_checks(
    original: Fastener,
    diameter_in: float,
    *,
    near: Sequence[Near] | None,
    book: RuleBook,
    rows: int,
    accuracy_in: float,
) -> tuple[Check, ...]:
    """Return the checks of pitch and row spacing, from the new centre, the larger rivet ruling.

    Parameters
    ----------
    original
        The rivet taken out; its neighbours are like it unless they say otherwise.
    diameter_in
        Of the rivet to go in [in].
    near
        What stands next to it, and how near it may be now; None when nobody said.
    book
        The rules in force.
    rows
        Rows in the seam.
    accuracy_in
        How far the measured distances may be off [in].
    """
    if near is None:
        citations = (rule_in_force(pitch_question(rows), book).citation,)
        return (not_checked(PITCH_LEAST, "no pitch was given", citations=citations),)
    checks = []
    for place in near:
        one = place.one
        other_in = original.diameter_in if one.diameter_in is None else one.diameter_in
        larger_in = max(diameter_in, other_in)
        if one.kind == "row":
            check = check_row_spacing(
                place.away_in,
                diameter_in=larger_in,
                book=book,
                accuracy_in=accuracy_in,
                where=one.name,
            )
        else:
            seam = rows if one.rows is None else one.rows
            check = _check_apart(place, larger_in, book, rows=seam, accuracy_in=accuracy_in)
        before_in = one.distance_in
        if check.name == ROW_SPACING and one.square_in is not None:
            before_in = one.square_in
        checks.append(_showing_move(check, before_in))
    return tuple(checks)


def _check_apart(
    place: Near, diameter_in: float, book: RuleBook, *, rows: int, accuracy_in: float
) -> Check:
    """Return the check of two rivets by whichever of pitch and row spacing they may be held to."""

    def check_at(square_in: float | None) -> Check:
        return check_apart(
            place.away_in,
            square_in=square_in,
            diameter_in=diameter_in,
            book=book,
            rows=rows,
            accuracy_in=accuracy_in,
            where=place.one.name,
        )

    check = check_at(place.square_in)
    if place.square_in is None or place.square_most_in == place.square_in:
        return check
    most = check_at(place.square_most_in)
    stricter = (most.limit or 0.0) > (check.limit or 0.0)
    if most.name == check.name or most.name != ROW_SPACING or not stricter:
        return check
    # a maker's row spacing above the pitch rules those that may stand beside each other
    return check_row_spacing(
        place.square_in,
        diameter_in=diameter_in,
        book=book,
        accuracy_in=accuracy_in,
        where=place.one.name,
    )


def _distance_to(one: Neighbour, move: Move) -> float:
    """Return the least distance there can be now between a moved hole and its neighbour [in]."""
    if one.kind == "row":
        toward_in = move.toward_in(one.direction_deg, either_side=one.either_side)
        return max(one.distance_in - toward_in, 0.0)
    return move.distance_after_in(
        one.distance_in, one.direction_deg, either_side=one.either_side, other=one.move
    )


def _distance_check(
    name: str,
    symbol: str,
    before_in: float,
    after_in: float,
    rule: Rule,
    *,
    diameter_in: float,
    accuracy_in: float,
    where: str,
) -> Check:
    """Return the check of a distance, its formula showing what the move of the centre takes off."""
    check = check_length(
        name,
        after_in,
        rule=rule,
        comparison="at least",
        symbol=symbol,
        diameter_in=diameter_in,
        accuracy_in=accuracy_in,
        where=where,
    )
    return _showing_move(check, before_in)


def _showing_move(check: Check, before_in: float) -> Check:
    """Return the check of a distance with its formula beginning at what it was before the move."""
    first, *rest = check.terms
    moved_in = first.value - before_in
    if abs(moved_in) <= LIMIT_TOLERANCE:
        return check
    shown = f"{{{first.symbol}}}"
    sign = "+" if moved_in > 0 else "-"
    return replace(
        check,
        template=check.template.replace(shown, f"{shown} {sign} {{m}}", 1),
        terms=(replace(first, value=before_in), Term("m", abs(moved_in), "in"), *rest),
    )
