"""A hole that is no longer round, or no longer in its limits: what may go into it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import require_accuracy
from rivetkit.calculators.nutplates.lugs import check_lug_hole
from rivetkit.calculators.oversize.cleanup_hole import (
    INCH_SERIES,
    CleanUp,
    MeasuredHole,
    clean_up_working,
    grown_hole,
    middle_move,
    smallest_clean_up,
)
from rivetkit.calculators.oversize.heads import flush_checks, head_checks
from rivetkit.calculators.oversize.hole import new_hole, same_hole
from rivetkit.calculators.oversize.hole_move import STILL, Move
from rivetkit.calculators.oversize.measured_size import hole_accuracy
from rivetkit.calculators.oversize.place import (
    LayerEdge,
    Neighbour,
    OversizeLayer,
    edge_checks,
    heel_checks,
    leg_checks,
    member_checks,
    near_after,
    neighbour_checks,
    require_forms,
)
from rivetkit.calculators.oversize.replacements import (
    Access,
    Kind,
    Replacement,
    hopeful_first,
    replacements,
)
from rivetkit.calculators.oversize.result import Candidate, OversizeResult, advice_for, rank
from rivetkit.calculators.oversize.sizes import (
    HoleLimits,
    handbook_steps,
    hole_limits,
    next_size_up,
    size_steps,
)
from rivetkit.calculators.rivet_diameter import check_diameter_for_sheet
from rivetkit.checks import LIMIT_TOLERANCE, Check
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.fastener import without_length
from rivetkit.fasteners.grammar import standards

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.rules import RuleBook

__all__ = [
    "Access",
    "Candidate",
    "CleanUp",
    "HoleLimits",
    "Kind",
    "LayerEdge",
    "MeasuredHole",
    "Neighbour",
    "OversizeLayer",
    "OversizeResult",
    "beyond_its_play",
    "clean_up_working",
    "grown_hole",
    "handbook_steps",
    "hole_limits",
    "next_size_up",
    "oversize_options",
    "size_steps",
    "smallest_clean_up",
]

#: How many larger diameters of the rivet's own standard are looked at when nobody says.
FURTHER_STEPS = 2


@dataclass(frozen=True, slots=True)
class _Question:
    """Everything a candidate is judged against."""

    original: Fastener
    measured: MeasuredHole
    book: RuleBook
    layers: tuple[OversizeLayer, ...]
    neighbours: tuple[Neighbour, ...] | None
    rows: int
    series: tuple[str, ...]
    further_series: tuple[str, ...]
    nutplate: Nutplate | None
    limits: HoleLimits | None
    accuracy_in: float
    hole_accuracy_in: float
    same_place_judged: bool
    first_fit_only: bool

    @property
    def sheets_in(self) -> tuple[float, ...]:
        """Thickness of every layer [in]; none where that of one is not known."""
        known = [one.thickness_in for one in self.layers if one.thickness_in is not None]
        return tuple(sorted(known)) if len(known) == len(self.layers) else ()


def oversize_options(
    fastener: Fastener,
    measured: MeasuredHole,
    book: RuleBook,
    *,
    layers: Sequence[OversizeLayer] = (),
    pitch_in: float | None = None,
    neighbour_diameter_in: float | None = None,
    neighbour_head_diameter_in: float | None = None,
    neighbours: Sequence[Neighbour] | None = None,
    rows: int = 1,
    access: Access = "both",
    nutplate: Nutplate | None = None,
    series: Iterable[str] | None = None,
    further_steps: int = FURTHER_STEPS,
    accuracy_in: float = 0.0,
    hole_accuracy_in: float | None = None,
    same_place_judged: bool = False,
    first_fit_only: bool = False,
) -> OversizeResult:
    """Return what may go into a hole that has grown, each with all its checks, the best first.

    The rivet's own hole is good while it keeps to its limits; one below them is opened with its
    own drill. Otherwise the whole measured hole is drilled out, to a hole the new rivet allows.
    Where every layer's thickness is known, the diameter is held to the thickest. Edges, pitches,
    heads and countersinks are checked for every candidate, the same rivet too:
    from the new centre with the new diameter; from the old centre where the hole is within its
    limits and has moved no further than they let it; from the middle of the hole as it is where a
    candidate is turned down at its hole. The greatest edge distance and pitch are not asked
    again: a larger rivet only comes nearer to them.

    Parameters
    ----------
    fastener
        The rivet taken out; its length does not matter.
    measured
        The hole.
    book
        The rules in force.
    layers
        Every layer at the hole. An edge nobody measured leaves a candidate open.
    pitch_in, neighbour_diameter_in, neighbour_head_diameter_in
        Distance to the next rivets of the row, either way, from the old centre, their diameter
        and head [in]; a rivet like the one taken out when not given.
    neighbours
        All that stands near instead, or besides. None and no pitch: nobody said; an empty one:
        nothing is near.
    rows
        Rows in the seam.
    access
        ``both`` sides, or ``blind``.
    nutplate
        The nutplate the rivet holds: a larger one must go through its lugs.
    series
        Drills to choose among; number, letter and fraction drills, and the metric ones for a
        metric rivet or a hole that no inch drill makes.
    further_steps
        How many larger diameters of the rivet's standard are looked at.
    accuracy_in
        How far the measured distances may be off [in].
    hole_accuracy_in
        How far the measured diameters of the hole may be off [in]; None: as :func:`hole_accuracy`
        has it.
    same_place_judged
        Whether the caller has judged the rivet where it stood, as a plan does: the same rivet is
        then not held to its sheets again, nor to edges, pitch and heads in a hole that kept its
        place.
    first_fit_only
        Stop at the first candidate that fits; for many holes. Those that can never fit (no part
        number, no strength on file) are then judged last, and only when nothing fits; those turned
        down at their hole are judged no further.

    Raises
    ------
    InputError
        When a layer is formed for a rivet that is not flush, stands twice, or a size is none.

    References
    ----------
    AC 43.13-1B par 4-57b, p 4-16: an enlarged hole takes the next larger rivet while edge distance
    and spacing still hold. P 4-12: no oversize holes in spar capstrips and the like.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> result = oversize_options(
    ...     parse_part_number("MS20470AD4"), MeasuredHole(0.128, 0.141), RuleBook.named(),
    ...     layers=[OversizeLayer("skin", 0.032, edge_in=0.35)], pitch_in=1.0)
    >>> result.best.fastener.designation, result.best.clean_up.drill.designation
    ('MS20470AD5', '#21')
    """
    original = without_length(fastener)
    require_forms(original, layers)
    if further_steps < 0:
        raise InputError(f"{further_steps} further sizes", mend="give 0 or more")
    limits = hole_limits(original, book)
    near = None if neighbours is None else tuple(neighbours)
    if pitch_in is not None:
        near = (
            Neighbour("next rivet", pitch_in, neighbour_diameter_in, neighbour_head_diameter_in),
            *(near or ()),
        )
    question = _Question(
        original=original,
        measured=measured,
        book=book,
        layers=tuple(layers),
        neighbours=near,
        rows=rows,
        nutplate=nutplate,
        series=_series(fastener, series),
        further_series=_further_series(fastener, series),
        limits=limits,
        accuracy_in=require_accuracy(accuracy_in),
        hole_accuracy_in=hole_accuracy(accuracy_in, told_in=hole_accuracy_in),
        same_place_judged=same_place_judged,
        first_fit_only=first_fit_only,
    )
    found = _candidates(question, access, further_steps)
    ranked = tuple(sorted(found, key=rank))
    try:
        smallest = smallest_clean_up(measured, book, series=question.series)
    except OutOfTableError:
        smallest = None
    return OversizeResult(
        fastener, measured, limits, smallest, ranked, advice_for(ranked, question.layers, book)
    )


def _series(fastener: Fastener, series: Iterable[str] | None) -> tuple[str, ...]:
    if series is not None:
        return (series,) if isinstance(series, str) else tuple(series)
    metric = standards()[fastener.standard].diameter_unit == "mm"
    return (*INCH_SERIES, "metric") if metric else INCH_SERIES


def _further_series(fastener: Fastener, series: Iterable[str] | None) -> tuple[str, ...]:
    """Return the drills to look at where no other makes a hole: none where somebody named his."""
    return () if series is not None or "metric" in _series(fastener, None) else ("metric",)


def _candidates(question: _Question, access: Access, further_steps: int) -> Iterator[Candidate]:
    # those that cannot fit whatever the hole are judged only when nothing else did
    choices = hopeful_first if question.first_fit_only else replacements
    for choice in choices(question.original, question.book, access, further_steps):
        candidate = _candidate(choice, question)
        yield candidate
        if question.first_fit_only and candidate.fits:
            return


def _candidate(replacement: Replacement, question: _Question) -> Candidate:
    if replacement.kind == "same":
        clean_up, checks = same_hole(
            replacement,
            question.measured,
            series=question.series,
            further=question.further_series,
            accuracy_in=question.hole_accuracy_in,
        )
    else:
        clean_up, checks = new_hole(
            replacement,
            question.measured,
            question.book,
            series=question.series,
            further=question.further_series,
            accuracy_in=question.hole_accuracy_in,
        )
    checks += replacement.checks
    if replacement.kind != "same" or not question.same_place_judged:
        checks += _sheet_checks(replacement.fastener.diameter_in, question.sheets_in, question.book)
    if question.nutplate is not None and replacement.kind != "same":
        checks += (check_lug_hole(replacement.diameter_in, question.nutplate),)
    place = _place(replacement, clean_up, question)
    if place is not None:
        checks += _place_checks(replacement, *place, question)
    return Candidate(
        kind=replacement.kind,
        fastener=replacement.fastener,
        diameter_in=replacement.diameter_in,
        steps=replacement.steps,
        limits=replacement.hole,
        clean_up=clean_up,
        checks=checks,
        notes=_notes(replacement, question),
    )


@lru_cache(maxsize=4096)
def _sheet_checks(
    diameter_in: float, sheets_in: tuple[float, ...], book: RuleBook
) -> tuple[Check, ...]:
    """Return the checks of a diameter against the thickest sheet; none where that is not known."""
    if not sheets_in:
        return ()
    return check_diameter_for_sheet(diameter_in, sheets_in=sheets_in, book=book)


def _place(
    replacement: Replacement, clean_up: CleanUp | None, question: _Question
) -> tuple[float, Move] | None:
    """Return the hole to judge the place by [in] and how far it moved; None: not to be judged."""
    measured = question.measured
    if clean_up is None:
        here = (measured.greatest_in, middle_move(measured))
        return None if question.first_fit_only else here
    if replacement.kind != "same" or beyond_its_play(clean_up.move, question.limits):
        return clean_up.diameter_in, clean_up.move
    return None if question.same_place_judged else (clean_up.diameter_in, STILL)


def beyond_its_play(move: Move, limits: HoleLimits | None) -> bool:
    """Return whether a centre moved further than a hole within its limits lets it.

    Parameters
    ----------
    move
        The move.
    limits
        The hole of the rivet that was in it; None when no table has it.
    """
    play_in = 0.0 if limits is None else (limits.most_in - limits.least_in) / 2
    return abs(move.along_in) > play_in + LIMIT_TOLERANCE


def _place_checks(
    replacement: Replacement, hole_in: float, move: Move, question: _Question
) -> tuple[Check, ...]:
    rivet, book = replacement.fastener, question.book
    accuracy_in = question.accuracy_in
    most_in = None if question.limits is None else question.limits.most_in
    neighbours = question.neighbours
    near = None if neighbours is None else [near_after(one, move) for one in neighbours]
    return (
        *member_checks(hole_in, original_most_in=most_in, layers=question.layers, book=book),
        *(
            leg_checks(
                replacement.diameter_in,
                layers=question.layers,
                book=book,
                accuracy_in=accuracy_in,
            )
            if replacement.diameter_in > question.original.diameter_in + LIMIT_TOLERANCE
            else ()
        ),
        *edge_checks(
            rivet,
            replacement.diameter_in,
            move,
            layers=question.layers,
            book=book,
            accuracy_in=accuracy_in,
        ),
        *heel_checks(
            replacement.diameter_in,
            move,
            layers=question.layers,
            book=book,
            accuracy_in=accuracy_in,
        ),
        *neighbour_checks(
            question.original,
            replacement.diameter_in,
            near=near,
            book=book,
            rows=question.rows,
            accuracy_in=accuracy_in,
        ),
        *head_checks(
            question.original,
            rivet,
            near=near,
            book=book,
            accuracy_in=accuracy_in,
        ),
        *flush_checks(rivet, question.layers, book),
    )


def _notes(replacement: Replacement, question: _Question) -> tuple[str, ...]:
    if replacement.kind == "same":
        return ()
    notes = []
    if replacement.steps > 1:
        notes.append(
            f"{replacement.steps} of the handbook's steps up, where the documents speak of the "
            "next larger size"
        )
    for layer in question.layers:
        if replacement.fastener.flush and layer.form == "dimpled":
            notes.append(f"dimple {layer.name} again, with dies of the new size")
        if replacement.fastener.flush and layer.form == "countersunk":
            notes.append(f"countersink {layer.name} anew for the larger head")
    return tuple(notes)
