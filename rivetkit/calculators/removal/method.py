"""One document's way of taking a rivet out: drill, depth and steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working
from rivetkit.checks import LIMIT_TOLERANCE, Term
from rivetkit.drills import Drill, largest_at_or_below
from rivetkit.errors import OutOfTableError
from rivetkit.fasteners.catalogue import RivetHole, dimension, shank
from rivetkit.fasteners.grammar import standards
from rivetkit.quantities import format_length

if TYPE_CHECKING:
    from fractions import Fraction

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.handbook.rows.practice import RemovalRow

_INCH_SERIES = ("fraction", "number", "letter")
_HEAD_DEPTHS = ("head_base", "head_height", "nearly_through_head")
_STEP_MARK = "|"


@dataclass(frozen=True, slots=True)
class Sheets:
    """What is known of the metal under the head [in]."""

    near_sheet_in: float | None
    stack_in: float | None

    @property
    def contradict(self) -> bool:
        """Whether the near sheet is thicker than all layers together."""
        if self.near_sheet_in is None or self.stack_in is None:
            return False
        return self.near_sheet_in > self.stack_in + LIMIT_TOLERANCE


@dataclass(frozen=True, slots=True)
class RemovalMethod:
    """How one document takes the rivet out, with its own drill and depth."""

    rule: str
    drill: Drill
    #: How the drill's size follows from the shank or the hole.
    size: Working
    #: Depth from ``depth_datum`` and its formula; None when it cannot be told.
    depth: Working | None
    depth_datum: str
    #: Why there is no depth.
    depth_reason: str
    #: How far the bit goes into the sheets [in]; nought when it stays in a protruding head.
    into_sheet_in: float | None
    punch: Fraction | None
    drift_in: float
    step_templates: tuple[str, ...]
    citation: Citation

    @property
    def depth_in(self) -> float | None:
        """Drilling depth from ``depth_datum`` [in]."""
        return None if self.depth is None else self.depth.value

    def steps(self, length_unit: str = "in") -> tuple[str, ...]:
        """Return the steps of the work in order, sizes filled in."""
        depth = f"not known, {self.depth_reason}"
        if self.depth is not None:
            depth = format_length(self.depth.value, length_unit)
        punch = f"{format_length(self.drift_in, length_unit)} or thinner"
        if self.punch is not None:
            punch = f"{self.punch} in"
        words = {"drill": drill_words(self.drill, length_unit), "depth": depth, "punch": punch}
        return tuple(template.format(**words) for template in self.step_templates)


def drill_words(drill: Drill, length_unit: str = "in") -> str:
    """Return a drill's name and size: ``#30 (0.1285 in)``."""
    if drill.series == "metric" and length_unit == "mm":
        return drill.designation
    return f"{drill.designation} ({format_length(drill.size_in, length_unit)})"


def drill_series(fastener: Fastener) -> tuple[str, ...]:
    """Return the drills to choose among: metric ones for a metric rivet, else inch ones."""
    metric = standards()[fastener.canonical].diameter_unit == "mm"
    return ("metric",) if metric else _INCH_SERIES


def removal_method(
    row: RemovalRow,
    fastener: Fastener,
    *,
    hole: RivetHole | None,
    hole_limit_in: float | None,
    sheets: Sheets,
    punch: Fraction | None,
    drift_in: float,
) -> RemovalMethod:
    """Return a document's way of taking a rivet out.

    Parameters
    ----------
    row
        What the document says.
    fastener
        The rivet.
    hole
        The hole its size calls for; None when no table has it.
    hole_limit_in
        The hole it sits in [in]; the drill is taken no larger.
    sheets
        Near sheet and stack, as far as they are known.
    punch, drift_in
        Pin punch, and the drift it stands for [in].

    Raises
    ------
    OutOfTableError
        When the drill cannot be told: it is the hole's and no table has the hole, or no drill on
        the chart is small enough.
    """
    size = _drill_size(row, fastener, hole)
    drill = _drill(row, fastener, size)
    if hole_limit_in is not None and drill.size_in > hole_limit_in + LIMIT_TOLERANCE:
        drill = largest_at_or_below(hole_limit_in, drill_series(fastener))
    depth, reason = _depth(row, fastener, sheets)
    in_head = row.depth in _HEAD_DEPTHS and not fastener.flush
    return RemovalMethod(
        rule=row.rule,
        drill=drill,
        size=size,
        depth=depth,
        depth_datum=("top of the head" if row.depth in _HEAD_DEPTHS else "face of the near sheet"),
        depth_reason=reason,
        into_sheet_in=0.0 if in_head else None if depth is None else depth.value,
        punch=punch,
        drift_in=drift_in,
        step_templates=tuple(step.strip() for step in row.steps.split(_STEP_MARK)),
        citation=row.citation(row.rule),
    )


def head_height_enters_sheet(row: RemovalRow, fastener: Fastener) -> bool:
    """Return whether drilling to a head's height cuts down into the stack.

    In a dimple it does not: the sheets go down with the head.
    """
    return row.depth in _HEAD_DEPTHS and fastener.flush and row.form != "dimpled"


def _drill_size(row: RemovalRow, fastener: Fastener, hole: RivetHole | None) -> Working:
    name, cites = "head drill", row.citation(row.rule)
    if row.drill == "hole":
        if hole is None or hole.hole_in is None:
            raise OutOfTableError(
                f"'{row.rule}' drills with the hole's own bit, and no table has the hole",
                where=fastener.designation,
                mend="choose another rule set",
            )
        drilled = (Term("hole", hole.hole_in, "in"),)
        return Working(name, hole.hole_in, "in", "{hole}", drilled, (cites, hole.citation))
    size = shank(fastener)
    shank_in = size.diameter_in
    terms: tuple[Term, ...] = (Term("D", shank_in, "in"),)
    citations = (cites, size.citation)
    if row.drill == "next_below_shank":
        return Working(name, shank_in, "in", "next drill below {D}", terms, citations)
    if not row.offset_in:
        return Working(name, shank_in, "in", "{D}", terms, citations)
    sign = "-" if row.offset_in < 0 else "+"
    terms = (*terms, Term("c", abs(row.offset_in), "in"))
    return Working(name, shank_in + row.offset_in, "in", f"{{D}} {sign} {{c}}", terms, citations)


def _drill(row: RemovalRow, fastener: Fastener, size: Working) -> Drill:
    below_in = 2 * LIMIT_TOLERANCE if row.drill == "next_below_shank" else 0.0
    return largest_at_or_below(size.value - below_in, drill_series(fastener))


def _depth(row: RemovalRow, fastener: Fastener, sheets: Sheets) -> tuple[Working | None, str]:
    """Return the drilling depth, or why there is none; it stays in the stack."""
    name, cites = "drilling depth", row.citation(row.rule)
    if row.depth == "half_near_sheet":
        if sheets.near_sheet_in is None:
            return None, "the thickness of the near sheet was not given"
        near = (Term("t", sheets.near_sheet_in, "in"),)
        return Working(name, sheets.near_sheet_in / 2, "in", "{t} / 2", near, (cites,)), ""
    if row.depth == "two_thirds_stack":
        if sheets.stack_in is None:
            return None, "the thickness of the stack was not given"
        whole = (Term("T", sheets.stack_in, "in"),)
        return Working(name, sheets.stack_in * 2 / 3, "in", "2 / 3 x {T}", whole, (cites,)), ""
    height = dimension(fastener, "head_height")
    height_in = None if height is None else height.nominal_in
    if height is None or height_in is None:
        return None, f"no head height of {fastener.standard} is on file"
    citations = (cites, height.citation)
    terms: tuple[Term, ...] = (Term("H", height_in, "in"),)
    stack_in = sheets.stack_in
    if head_height_enters_sheet(row, fastener) and stack_in is not None and stack_in < height_in:
        terms = (*terms, Term("T", stack_in, "in"))
        return Working(name, stack_in, "in", "least of {H}, {T}", terms, citations), ""
    return Working(name, height_in, "in", "{H}", terms, citations), ""
