"""The removal card: how to take one rivet out without opening its hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.calculators.removal.checks import (
    Backing,
    backing,
    check_head_depth,
    check_head_drill,
)
from rivetkit.calculators.removal.method import (
    RemovalMethod,
    Sheets,
    drill_series,
    removal_method,
)
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term
from rivetkit.drills import Drill, largest_at_or_below
from rivetkit.errors import InputError, OutOfTableError, TableError
from rivetkit.fasteners.catalogue import RivetHole, rivet_hole, shank
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.practice import PinPunchRow, RemovalRow
from rivetkit.quantities import length_words
from rivetkit.rules import rule_questions

if TYPE_CHECKING:
    from fractions import Fraction

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

FORMS = ("countersunk", "dimpled")
_PILOT = "pilot_drill_max"


@dataclass(frozen=True, slots=True)
class Note:
    """A word of advice, and how far to trust it."""

    text: str
    basis: str


@dataclass(frozen=True, slots=True)
class DrillOut:
    """How to take a rivet out: tools, depth, steps, and what the other documents say."""

    fastener: Fastener
    #: ``protruding``, ``countersunk``, ``dimpled``, or ``any`` for a blind rivet.
    form: str
    #: Shank diameter [in].
    shank_in: float
    #: Drill to start with; None when no rule for it is on file.
    pilot: Drill | None
    method: RemovalMethod
    drift: Working
    #: Stock pin punch at or below the drift [in]; None when the smallest is larger.
    punch: Fraction | None
    backing: Backing
    notes: tuple[Note, ...]
    #: What every other document on file says of this kind of rivet.
    alternatives: tuple[RemovalMethod, ...]
    checks: tuple[Check, ...]
    citations: tuple[Citation, ...]

    @property
    def drill(self) -> Drill:
        """The drill for the head."""
        return self.method.drill

    @property
    def depth_in(self) -> float | None:
        """How deep to drill, from ``method.depth_datum`` [in]; None with ``depth_reason``."""
        return self.method.depth_in

    @property
    def depth_reason(self) -> str:
        """Why there is no depth; empty when there is one."""
        return self.method.depth_reason

    @property
    def steps(self) -> tuple[str, ...]:
        """The steps of the work in order, lengths in inches."""
        return self.method.steps()


def drill_out(
    fastener: Fastener,
    book: RuleBook,
    *,
    near_sheet_in: float | None = None,
    stack_in: float | None = None,
    form: str | None = None,
    hole_in: float | None = None,
    nutplate: bool = False,
) -> DrillOut:
    """Return how to take a rivet out.

    Parameters
    ----------
    fastener
        The rivet; its length does not matter.
    book
        The rules in force; they pick the document.
    near_sheet_in
        Thickness of the sheet under the manufactured head [in].
    stack_in
        Thickness of all layers together [in].
    form
        How a flush solid rivet sits: ``countersunk`` or ``dimpled``.
    hole_in
        The hole as measured [in], where that is known better than the table.
    nutplate
        Whether the rivet holds a nutplate.

    Raises
    ------
    InputError
        When a size is not one, the near sheet is thicker than the stack, or ``form`` does not
        suit the head.
    OutOfTableError
        When the drill cannot be told from the tables.

    Examples
    --------
    >>> from rivetkit.fasteners import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> card = drill_out(parse_part_number("MS20470AD4-5"), RuleBook.named())
    >>> card.drill.designation, card.depth_in
    ('1/8', 0.054)

    References
    ----------
    ``tables/practice/removal.csv``: one row a document and kind of rivet.
    """
    sheets = _sheets(near_sheet_in, stack_in)
    if hole_in is not None:
        require_length(hole_in, "the hole")
    form = _form(fastener, form)
    row, others = _rows(fastener, form, book)
    hole = _hole(fastener, book)
    limit_in = _hole_limit(hole, hole_in)
    shank_in, drift = _drift(fastener, book)
    punch = _punch_at_or_below(drift.value)
    method, *alternatives = (
        removal_method(
            one,
            fastener,
            hole=hole,
            hole_limit_in=limit_in,
            sheets=sheets,
            punch=None if punch is None else punch.diameter,
            drift_in=drift.value,
        )
        for one in (row, *others)
    )
    pilot, pilot_citations = _pilot(fastener, book, shank_in)
    thinness = backing(book, sheets, shank_in)
    checks = (
        check_head_drill(method, hole, limit_in, hole_in),
        *check_head_depth(row, fastener, sheets),
    )
    punch_citations = () if punch is None else (punch.citation(),)
    cited = (*drift.citations, *punch_citations, *pilot_citations, thinness.citation)
    return DrillOut(
        fastener=fastener,
        form=form,
        shank_in=shank_in,
        pilot=pilot,
        method=method,
        drift=drift,
        punch=None if punch is None else punch.diameter,
        backing=thinness,
        notes=_notes(fastener, nutplate=nutplate),
        alternatives=tuple(alternatives),
        checks=checks,
        citations=_citations(method, cited, checks),
    )


def _citations(
    method: RemovalMethod, others: tuple[Citation, ...], checks: tuple[Check, ...]
) -> tuple[Citation, ...]:
    depth = () if method.depth is None else method.depth.citations
    checked = (citation for check in checks for citation in check.citations)
    return unique_citations((method.citation, *method.size.citations, *depth, *others, *checked))


def _sheets(near_sheet_in: float | None, stack_in: float | None) -> Sheets:
    if near_sheet_in is not None:
        require_length(near_sheet_in, "the near sheet")
    if stack_in is not None:
        require_length(stack_in, "the stack")
    sheets = Sheets(near_sheet_in, stack_in)
    if near_sheet_in is not None and stack_in is not None and sheets.contradict:
        raise InputError(
            length_words(
                "the near sheet ({near}) is thicker than the stack ({stack})",
                near=near_sheet_in,
                stack=stack_in,
            ),
            mend="count the near sheet in the stack",
        )
    return sheets


def _form(fastener: Fastener, form: str | None) -> str:
    if form is not None and form not in FORMS:
        raise InputError(f"no hole form is called '{form}'", mend=f"say {' or '.join(FORMS)}")
    if form is not None and not fastener.flush:
        raise InputError(
            f"'{fastener.designation}' has a protruding head and cannot be {form}",
            mend="leave the form out, or name a flush rivet",
        )
    if fastener.blind:
        return "any"
    if not fastener.flush:
        return "protruding"
    if form is None:
        raise InputError(
            f"'{fastener.designation}' is flush: is the near sheet countersunk or dimpled?",
            mend=f"say {' or '.join(FORMS)}",
        )
    return form


def _rows(
    fastener: Fastener, form: str, book: RuleBook
) -> tuple[RemovalRow, tuple[RemovalRow, ...]]:
    """Return the row in force, and every other one for this kind of rivet."""
    family = "blind_open" if fastener.family == "blind_closed" else fastener.family
    kind = family if fastener.blind else form if form == "protruding" else f"flush_{form}"
    choice = book.choice(f"removal_{kind}")
    every: tuple[RemovalRow, ...] = load_table(RemovalRow)
    rows = {row.rule: row for row in every if row.family == family and row.form in {form, "any"}}
    if choice.choice not in rows:
        raise TableError(
            f"rule set '{choice.rule_set}' answers 'removal_{kind}' with '{choice.choice}', "
            "which is no row for it",
            where=RemovalRow.table,
            mend="correct the row",
        )
    chosen = rows.pop(choice.choice)
    return chosen, tuple(rows.values())


def _hole(fastener: Fastener, book: RuleBook) -> RivetHole | None:
    try:
        return rivet_hole(fastener, book)
    except OutOfTableError:
        return None


def _hole_limit(hole: RivetHole | None, hole_in: float | None) -> float | None:
    """Return the hole the drill must not open: as measured, else as drilled, else the least."""
    if hole_in is not None or hole is None:
        return hole_in
    return hole.hole_min_in if hole.hole_in is None else hole.hole_in


def _drift(fastener: Fastener, book: RuleBook) -> tuple[float, Working]:
    size = shank(fastener)
    shank_in = size.diameter_in
    rule = book.rule("drift_clearance")
    clearance_in = rule.length_in(diameter_in=shank_in)
    terms = (Term("D", shank_in, "in"), Term("c", clearance_in, "in"))
    citations = (rule.citation, size.citation)
    drift = Working("drift", shank_in - clearance_in, "in", "{D} - {c}", terms, citations)
    return shank_in, drift


def least_punch() -> Fraction:
    """Return the thinnest stock pin punch on file [in]."""
    return min(row.diameter for row in _punches())


def _punches() -> tuple[PinPunchRow, ...]:
    return load_table(PinPunchRow)


def _punch_at_or_below(size_in: float) -> PinPunchRow | None:
    fits = [row for row in _punches() if row.diameter <= size_in + LIMIT_TOLERANCE]
    return max(fits, key=lambda row: row.diameter, default=None)


def _pilot(
    fastener: Fastener, book: RuleBook, shank_in: float
) -> tuple[Drill | None, tuple[Citation, ...]]:
    if _PILOT not in rule_questions():
        return None, ()
    rule = book.rule(_PILOT)
    most_in = rule.length_in(diameter_in=shank_in)
    return largest_at_or_below(most_in, drill_series(fastener)), (rule.citation,)


def _notes(fastener: Fastener, *, nutplate: bool) -> tuple[Note, ...]:
    notes = []
    if fastener.family == "blind_closed":
        text = (
            "No document on file takes a closed-end rivet out; this is the open-end way. "
            "Its stem is shut in, harder than the body, and cannot be driven out: leave that step."
        )
        notes.append(Note(text, "practice"))
    if nutplate:
        notes += [
            Note("Hold the nutplate so that it cannot spin with the bit.", "memory"),
            Note("Keep bit and punch out of the screw hole: it stays as it is.", "memory"),
        ]
    return tuple(notes)
