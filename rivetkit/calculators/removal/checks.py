"""What the removal card judges: the bit against the hole, the head against the sheets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working
from rivetkit.calculators.removal.method import RemovalMethod, Sheets, head_height_enters_sheet
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, make_check, not_checked
from rivetkit.fasteners.catalogue import RivetHole, dimension

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.handbook.rows.practice import RemovalRow
    from rivetkit.rules import RuleBook

HEAD_DRILL = "head drill against the hole"
DRILL_DEPTH = "head height against the stack"


@dataclass(frozen=True, slots=True)
class Backing:
    """How thin the near sheet is for its rivet: thin sheet bends under punch and drill."""

    diameter_over_sheet: Working | None
    #: The sheet counts as thin for any larger rivet [in]; None when it was not given.
    thin_above_in: float | None
    #: None when the near sheet was not given.
    thin: bool | None
    citation: Citation


def backing(book: RuleBook, sheets: Sheets, shank_in: float) -> Backing:
    """Return how thin the near sheet is: past the usual shank [in] for it, it wants backing."""
    rule = book.rule("diameter_per_thickness_target")
    near_in = sheets.near_sheet_in
    if near_in is None:
        return Backing(None, None, None, rule.citation)
    terms = (Term("D", shank_in, "in"), Term("t", near_in, "in"))
    ratio = Working("D over near sheet", shank_in / near_in, "", "{D} / {t}", terms)
    most_in = rule.length_in(diameter_in=shank_in, thickness_in=near_in)
    return Backing(ratio, most_in, shank_in > most_in + LIMIT_TOLERANCE, rule.citation)


def check_head_drill(
    method: RemovalMethod,
    hole: RivetHole | None,
    limit_in: float | None,
    measured_in: float | None,
) -> Check:
    """Return the check that the bit does not open the hole.

    Parameters
    ----------
    method
        The way in force.
    hole, limit_in
        The table's hole, and the size the bit must not pass [in].
    measured_in
        The hole as measured [in], where it was.

    References
    ----------
    ``tables/practice/removal.csv``: each document's drill; ``tables/holes/rivet_holes.csv``.
    """
    if limit_in is None:
        reason = "no table in force has the hole, and it was not measured"
        return not_checked(HEAD_DRILL, reason, citations=(method.citation,), comparison="at most")
    citations: tuple[Citation, ...] = (method.citation,)
    if measured_in is None and hole is not None:
        citations = (hole.citation, method.citation)
    return make_check(
        HEAD_DRILL,
        method.drill.size_in,
        limit_in,
        unit="in",
        comparison="at most",
        citations=citations,
        template="{drill} <= {hole}",
        terms=(Term("drill", method.drill.size_in, "in"), Term("hole", limit_in, "in")),
    )


def check_head_depth(row: RemovalRow, fastener: Fastener, sheets: Sheets) -> tuple[Check, ...]:
    """Return the check that a countersunk head drilled to its height stays in the stack.

    None for any other depth, and none in a dimple: there the sheets go down with the head.

    References
    ----------
    ``tables/practice/removal.csv``: each document's depth; ``tables/fasteners/dimensions.csv``.
    """
    height = dimension(fastener, "head_height")
    height_in = None if height is None else height.nominal_in
    if not head_height_enters_sheet(row, fastener) or height is None or height_in is None:
        return ()
    citations = (row.citation(row.rule), height.citation)
    deep_in, symbol = sheets.stack_in, "T"
    near_in = sheets.near_sheet_in
    if deep_in is None and near_in is not None and near_in >= height_in - LIMIT_TOLERANCE:
        deep_in, symbol = near_in, "t"
    if deep_in is None:
        reason = "the thickness of the stack was not given"
        return (not_checked(DRILL_DEPTH, reason, citations=citations, comparison="at most"),)
    check = make_check(
        DRILL_DEPTH,
        height_in,
        deep_in,
        unit="in",
        comparison="at most",
        citations=citations,
        template=f"{{H}} <= {{{symbol}}}",
        terms=(Term("H", height_in, "in"), Term(symbol, deep_in, "in")),
    )
    return (check,)
