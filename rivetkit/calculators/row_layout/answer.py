"""Lay out a row, or a seam of rows, of a rivet: everything there is to say about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.row_layout.layout import Layout, lay_out_row, what_decided
from rivetkit.calculators.row_layout.places import TAPE_STEP_IN, TapeMark, place_rows, tape_marks
from rivetkit.calculators.row_layout.relax import Relaxation, why_none
from rivetkit.calculators.row_layout.seam import (
    layout_checks,
    least_width,
    no_layout_check,
    usual_row_spacing,
)

if TYPE_CHECKING:
    from fractions import Fraction

    from rivetkit.calculators.limits import Working
    from rivetkit.calculators.row_layout.demands import RowDemands
    from rivetkit.calculators.row_layout.layout import Ranking
    from rivetkit.checks import Check
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook


#: Pitches that agree to this many decimals of an inch are one pitch, rounded in binary.
_SAME_PITCH_PLACES = 9


@dataclass(frozen=True, slots=True)
class Seam:
    """The best layout, ready to be marked out.

    ``points_in`` and ``marks`` go row by row; ``row_spacing`` is the arithmetic of the spacing,
    none when it was given or there is one row; ``decided`` tells the best from the runner-up.
    """

    layout: Layout
    row_spacing_in: float
    row_spacing: Working | None
    width: Working
    points_in: tuple[tuple[tuple[float, float], ...], ...]
    marks: tuple[tuple[TapeMark, ...], ...]
    runner_up: Layout | None
    decided: Ranking | None


@dataclass(frozen=True, slots=True)
class SeamAnswer:
    """What came of some demands: a seam, or why there is none."""

    fastener: Fastener
    demands: RowDemands
    seam: Seam | None
    relaxations: tuple[Relaxation, ...]
    checks: tuple[Check, ...]


def commonest_pitch_in(layout: Layout) -> float:
    """Return the pitch that most spaces of a layout have [in]; of equals the greatest.

    Parameters
    ----------
    layout
        The layout.
    """
    spaces: dict[float, int] = {}
    for stretch in layout.stretches:
        pitch_in = round(stretch.pitch_in, _SAME_PITCH_PLACES)
        spaces[pitch_in] = spaces.get(pitch_in, 0) + stretch.spaces
    return max(spaces, key=lambda pitch_in: (spaces[pitch_in], pitch_in))


def lay_out_seam(
    demands: RowDemands,
    *,
    fastener: Fastener,
    book: RuleBook,
    row_spacing_in: float | None = None,
    at_in: tuple[float, float] = (0.0, 0.0),
    angle_deg: float = 0.0,
    tape_step_in: Fraction = TAPE_STEP_IN["in"],
) -> SeamAnswer:
    """Return the best layout with its places and checks, or what stands in the way of one.

    Parameters
    ----------
    demands
        What the row has to meet.
    fastener
        The rivet.
    book
        The rules in force.
    row_spacing_in
        Row to row [in]; the usual one when not given.
    at_in
        Coordinates of the end the running dimensions start from [in].
    angle_deg
        Direction of the row, anticlockwise from the x axis [deg].
    tape_step_in
        Finest division of the tape [in].

    Raises
    ------
    InputError
        When a demand makes no sense, or there are more than can be weighed.
    """
    layouts = lay_out_row(demands)
    if not layouts:
        return SeamAnswer(fastener, demands, None, why_none(demands), (no_layout_check(),))
    best, *others = layouts
    spacing = None
    if demands.rows == 1:
        row_spacing_in = 0.0
    elif row_spacing_in is None:
        pitch_in = commonest_pitch_in(best)
        spacing = usual_row_spacing(pitch_in, diameter_in=fastener.diameter_in, book=book)
        row_spacing_in = spacing.value
    seam = Seam(
        layout=best,
        row_spacing_in=row_spacing_in,
        row_spacing=spacing,
        width=least_width(row_spacing_in, rows=demands.rows, fastener=fastener, book=book),
        points_in=place_rows(
            best.rows_in, row_spacing_in=row_spacing_in, at_in=at_in, angle_deg=angle_deg
        ),
        marks=tuple(tape_marks(row, step_in=tape_step_in) for row in best.rows_in),
        runner_up=others[0] if others else None,
        decided=what_decided(best, others[0]) if others else None,
    )
    checks = layout_checks(
        best, demands, fastener=fastener, book=book, row_spacing_in=row_spacing_in
    )
    return SeamAnswer(fastener, demands, seam, (), checks)
