"""What every hole asks of the edges and holes round it, all holes at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.spacing import edge_question, pitch_question
from rivetkit.checks import MM_PER_IN

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rivetkit.planning.context import Context
    from rivetkit.rules import Rule


def lengths_in(rule: Rule, diameter_in: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a rule's limit for each of some rivet diameters ``(n,)`` [in]."""
    scale = {"D": diameter_in, "in": np.ones(()), "mm": np.full((), 1.0 / MM_PER_IN)}
    return np.broadcast_to(rule.value * scale[rule.unit] + rule.plus_in, diameter_in.shape)


def edge_limits_in(context: Context) -> NDArray[np.float64]:
    """Return the least edge distance of each hole, for the rivet it will hold, ``(n,)`` [in]."""
    limits = [
        context.book.rule(edge_question(flush=part.flush)).length_in(diameter_in=part.diameter_in)
        for part in context.holes.fit_parts
    ]
    return np.asarray(np.array(limits)[context.holes.fit])


def pitch_limits_in(
    context: Context, diameter_in: NDArray[np.float64], rows: int | NDArray[np.intp] = 1
) -> NDArray[np.float64]:
    """Return the least pitch for each of some rivet diameters ``(n,)`` [in].

    ``rows`` is the number of rows in the seam, one for all or one for each.
    """
    limits_in = np.empty(diameter_in.shape)
    seams = np.broadcast_to(np.asarray(rows), diameter_in.shape)
    for seam in np.unique(seams).tolist():
        chosen = seams == seam
        rule = context.book.rule(pitch_question(seam))
        limits_in[chosen] = lengths_in(rule, diameter_in[chosen])
    return limits_in


def greatest_pitches_in(context: Context, diameter_in: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the greatest pitch for each of some rivet diameters ``(n,)`` [in]."""
    return lengths_in(context.book.rule("pitch_max"), diameter_in)


def gap_limits_in(
    context: Context,
    one: NDArray[np.intp],
    other: NDArray[np.intp],
    one_diameter_in: NDArray[np.float64] | None = None,
) -> NDArray[np.float64]:
    """Return how far apart pairs of holes that do not follow each other must be, ``(n,)`` [in].

    Holes of two rows keep the row spacing, holes of one row its pitch; the larger rivet rules.
    ``one_diameter_in`` puts other rivets into the first holes.
    """
    if one_diameter_in is None:
        one_diameter_in = context.diameter_in[one]
    diameter_in = np.fmax(one_diameter_in, context.diameter_in[other])
    same_row = context.holes.row[one] == context.holes.row[other]
    return np.where(
        same_row,
        pitch_limits_in(context, diameter_in, context.seam_rows[one]),
        lengths_in(context.book.rule("row_spacing_min"), diameter_in),
    )
