"""What every hole asks of the edges and holes round it, all holes at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rivetkit.calculators.oversize.sizes import head_size
from rivetkit.calculators.spacing import edge_question, held_to_row_spacing, pitch_question
from rivetkit.checks import MM_PER_IN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.planning.context import Context
    from rivetkit.planning.row_lines import PairsAcross
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


@dataclass(frozen=True, eq=False)
class Gaps:
    """What n pairs of holes that do not follow each other are held to.

    ``by_rows`` marks those held to the row spacing, the others keep a pitch. ``value_in`` is what
    is compared with ``limit_in`` [in]: the distance square to the rows, or from centre to centre.
    """

    by_rows: NDArray[np.bool_]
    value_in: NDArray[np.float64]
    limit_in: NDArray[np.float64]

    @property
    def spare_in(self) -> NDArray[np.float64]:
        """What each gap has over its limit, below nought where it is short, ``(n,)`` [in]."""
        return self.value_in - self.limit_in


def gaps_in(
    context: Context, pairs: PairsAcross, one_diameter_in: NDArray[np.float64] | None = None
) -> Gaps:
    """Return what pairs of holes that do not follow each other are held to.

    Holes of one row keep its pitch, holes of two rows the pitch or the row spacing, see
    :func:`rivetkit.calculators.pitch.held_to_row_spacing`; the larger rivet and the seam of more
    rows rule. ``one_diameter_in`` ``(n,)`` [in] puts other rivets into the first holes.
    """
    if one_diameter_in is None:
        one_diameter_in = context.diameter_in[pairs.first]
    diameter_in = np.fmax(one_diameter_in, context.diameter_in[pairs.second])
    pitch_in = pitch_limits_in(context, diameter_in, pairs.seam_rows)
    row_in = lengths_in(context.book.rule("row_spacing_min"), diameter_in)
    by_rows = np.asarray(
        held_to_row_spacing(
            pairs.distance_in,
            square_in=pairs.square_in,
            pitch_limit_in=pitch_in,
            row_limit_in=row_in,
        )
    )
    return Gaps(
        by_rows=by_rows,
        value_in=np.where(by_rows, pairs.square_in, pairs.distance_in),
        limit_in=np.where(by_rows, row_in, pitch_in),
    )


def heads_in(parts: Sequence[Fastener | None]) -> NDArray[np.float64]:
    """Return the greatest head diameters of some rivets [in]; not a number where not on file."""
    heads = [head_size(part) if part else None for part in parts]
    return np.array([np.nan if head is None else head[0] for head in heads])


def heads_apart_in(
    context: Context, one_head_in: NDArray[np.float64], other_head_in: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return how far apart rivets must be for their heads [in]; not a number where none is known.

    ``one_head_in`` and ``other_head_in`` are the heads' diameters ``(n,)`` [in].
    """
    share = context.book.rule("head_spacing_min").value
    return np.asarray(share * (one_head_in + other_head_in) / 2.0)
