"""Rivets a splice needs: as printed, from the tables' formula, and from the allowables.

The ways are shown beside each other. They differ, and the one that asks for the most rivets is
named; nothing decides silently which of them an approval will rest on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.edge_distance import edge_question
from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.calculators.splice.formula import formula_per_inch
from rivetkit.calculators.splice.rivet_counts import Method, RivetCount, counted
from rivetkit.calculators.splice.tables import BOLT, size_name, splice_cell, tables_for_alloy
from rivetkit.calculators.strength.joint_strength import JointStrength, joint_strength
from rivetkit.calculators.strength.layer_bearing import StrengthLayer
from rivetkit.calculators.strength.row_strength import formula_citation
from rivetkit.checks import Check, Term, not_checked
from rivetkit.errors import InputError
from rivetkit.materials import missing_words, split_alloy, tension_ultimate

if TYPE_CHECKING:
    from fractions import Fraction

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.handbook.rows.strength import SpliceAlloyRow
    from rivetkit.rules import RuleBook

Joint = Literal["single-lap", "stringer", "frame", "full"]

#: Which rule answers for the share of the count a joint needs; the rest take all of it.
_FACTOR_QUESTIONS = {
    "single-lap": "splice_factor_single_lap",
    "stringer": "splice_factor_stringer",
    "frame": "splice_factor_frame",
}
#: The rivet the tables are made for: material code AD, 2117.
_TABLE_MATERIAL = "AD"


@dataclass(frozen=True, slots=True)
class RivetsRequired:
    """Every count for one splice; ``factor`` is the share of the full count this joint needs."""

    width_in: float
    thickness_in: float
    alloy: str
    joint: Joint
    factor: float
    size: str
    counts: tuple[RivetCount, ...]
    strength: JointStrength | None
    checks: tuple[Check, ...]
    citations: tuple[Citation, ...]

    @property
    def printed(self) -> RivetCount | None:
        """The printed table's count, rounded as its notes say; of two tables the larger."""
        found = [one for one in self.counts if one.method == "notes" and one.count is not None]
        return max(found, key=lambda one: one.count or 0, default=None)

    @property
    def strictest(self) -> RivetCount | None:
        """The count that asks for the most rivets; the first of equals."""
        found = [one for one in self.counts if one.count is not None]
        return max(found, key=lambda one: one.count or 0, default=None)


def rivets_required(
    width_in: float,
    *,
    thickness_in: float,
    joint: Joint,
    fastener: Fastener | None,
    book: RuleBook,
    alloy: str = "",
    table_name: str | None = None,
    edge_in: float | None = None,
) -> RivetsRequired:
    """Return the rivets a splice needs, every way they can be counted.

    Parameters
    ----------
    width_in
        Width of the splice, or of a stringer laid flat [in].
    thickness_in
        Sheet thickness [in].
    joint
        What is spliced; ``full`` takes the whole count.
    fastener
        The rivet; none for the AN-3 bolt column.
    book
        The rules in force.
    alloy
        Sheet alloy; left out, the table must be named.
    table_name
        The table to use; left out, every one whose title names the alloy.
    edge_in
        Edge distance of the rivets [in], for the allowables; left out, the least one.

    Raises
    ------
    InputError
        When a length is not one, neither alloy nor table is named, or no table is called so.
    OutOfTableError
        When no table has a hole for the rivet's diameter.

    References
    ----------
    AC 43.13-1B par 4-58g and tables 4-9 to 4-11.
    """
    require_length(width_in, "the width")
    require_length(thickness_in, "the thickness")
    if not alloy.strip() and table_name is None:
        raise InputError("neither alloy nor table is named", mend="name the sheet's alloy")
    question = _FACTOR_QUESTIONS.get(joint)
    rule = book.rule(question) if question else None
    factor = rule.value if rule else 1.0
    cited = (rule.citation,) if rule else ()
    size = size_name(fastener.diameter_in) if fastener else BOLT
    splice = _Splice(width_in, thickness_in, alloy, factor, fastener, size, book, cited)
    counts: list[RivetCount] = []
    for name, title, reason in _tables_asked(alloy, table_name):
        refusal = reason or _unsuited_words(fastener)
        counts += _table_counts(splice, name, title, refusal)
    strength = _strength(splice, edge_in)
    # Whoever names a table and no alloy, or the bolt, asked for the table alone.
    if fastener is not None and alloy.strip():
        counts.append(_allowables_count(splice, fastener, strength))
    checks = [_not_counted(one) for one in counts if one.count is None and one.method != "example"]
    if strength is not None:
        checks += strength.checks
    return RivetsRequired(
        width_in=width_in,
        thickness_in=thickness_in,
        alloy=alloy,
        joint=joint,
        factor=factor,
        size=size,
        counts=tuple(counts),
        strength=strength,
        checks=tuple(checks),
        citations=unique_citations((*cited, *(c for one in counts for c in one.citations))),
    )


@dataclass(frozen=True, slots=True)
class _Splice:
    width_in: float
    thickness_in: float
    alloy: str
    factor: float
    fastener: Fastener | None
    size: str
    book: RuleBook
    factor_citation: tuple[Citation, ...]

    def counted(
        self,
        method: Method,
        name: str,
        per_inch: Fraction | float,
        remarks: tuple[str, ...],
        citations: tuple[Citation, ...],
        lines: tuple[Working, ...] = (),
    ) -> RivetCount:
        return counted(
            method,
            name,
            per_inch,
            width_in=self.width_in,
            factor=self.factor,
            remarks=remarks,
            citations=unique_citations((*citations, *self.factor_citation)),
            lines=lines,
        )


def _tables_asked(
    alloy: str, table_name: str | None
) -> list[tuple[str, SpliceAlloyRow | None, str]]:
    """Return name, title row and reason against it of each table to be read."""
    titles = {row.table_name: row for row in tables_for_alloy(alloy)} if alloy.strip() else {}
    name, clad = split_alloy(alloy)
    shown = f"{name} clad" if clad else name
    if table_name is None:
        if not titles:
            return [("", None, f"no title of tables 4-9 to 4-11 names {shown}")]
        return [(key, row, "") for key, row in titles.items()]
    if alloy.strip() and table_name not in titles:
        reason = f"the title of table {table_name} does not name {shown}"
        return [(table_name, None, reason)]
    return [(table_name, titles.get(table_name), "")]


def _unsuited_words(fastener: Fastener | None) -> str:
    if fastener is None:
        return ""
    if fastener.blind or fastener.flush:
        return f"the tables are for protruding solid rivets, not {fastener.designation}"
    if fastener.material != _TABLE_MATERIAL:
        return f"the tables are for 2117 rivets (AD), not {fastener.designation}"
    return ""


def _table_counts(
    splice: _Splice, name: str, title: SpliceAlloyRow | None, refusal: str
) -> list[RivetCount]:
    cited = (title.citation(),) if title else ()
    if refusal:
        return [RivetCount("notes", name, None, None, refusal, (), (), cited)]
    cell = splice_cell(name, thickness_in=splice.thickness_in, size=splice.size)
    citations = unique_citations((*cell.citations, *cited))
    counts: list[RivetCount] = []
    methods: tuple[Method, ...] = ("notes", "example") if splice.factor != 1 else ("notes",)
    for method in methods:
        if cell.per_inch is None:
            counts.append(RivetCount(method, name, None, None, cell.reason, (), (), citations))
            continue
        counts.append(splice.counted(method, name, cell.per_inch, cell.remarks, citations))
    formula = formula_per_inch(
        name, thickness_in=splice.thickness_in, size=splice.size, book=splice.book
    )
    if formula.per_inch is None:
        lines, cited_here = formula.workings, formula.citations
        counts.append(
            RivetCount("formula", name, None, None, formula.reason, (), lines, cited_here)
        )
        return counts
    remarks = (f"{formula.critical} governs",)
    by_formula = splice.counted(
        "formula", name, formula.per_inch, remarks, formula.citations, formula.workings
    )
    return [*counts, by_formula]


def _strength(splice: _Splice, edge_in: float | None) -> JointStrength | None:
    fastener = splice.fastener
    if fastener is None or fastener.flush or not splice.alloy.strip():
        return None
    if edge_in is None:
        rule = splice.book.rule(edge_question(flush=False))
        edge_in = rule.length_in(diameter_in=fastener.diameter_in)
    sheet = StrengthLayer("sheet", splice.alloy, splice.thickness_in, edge_in)
    return joint_strength(fastener, [sheet], splice.book)


def _allowables_count(
    splice: _Splice, fastener: Fastener, strength: JointStrength | None
) -> RivetCount:
    reason = ""
    tension = None
    if fastener.flush:
        reason = "a flush joint's strength depends on how each sheet is formed"
    else:
        tension = tension_ultimate(splice.alloy, splice.thickness_in)
        if tension is None:
            reason = missing_words("tension", splice.alloy, splice.thickness_in)
        elif strength is None or strength.allowable_lbf is None:
            reason = "the strength of one rivet's joint is not known"
        elif strength.allowable_lbf <= 0:
            reason = "the sheet is too thin for this rivet to carry anything"
    if tension is None or strength is None or not strength.allowable_lbf:
        return RivetCount("allowables", "", None, None, reason, (), (), ())
    sheet_psi = tension.value_ksi * 1000.0
    per_inch = splice.thickness_in * sheet_psi / strength.allowable_lbf
    per_inch_line = Working(
        "rivets per inch from the allowables",
        per_inch,
        "per inch",
        "{n} = {t} x {Ftu} / {P}",
        (
            Term("n", per_inch, "per inch"),
            Term("t", splice.thickness_in, "inch"),
            Term("Ftu", sheet_psi, "psi"),
            Term("P", strength.allowable_lbf, "lbf"),
        ),
        (formula_citation("splice-count-strength"), tension.citation),
    )
    remarks = (f"{strength.critical} at {strength.allowable_lbf:.0f} lbf a rivet",)
    return splice.counted(
        "allowables",
        "",
        per_inch,
        remarks,
        unique_citations((*per_inch_line.citations, *strength.citations)),
        (*strength.workings, per_inch_line),
    )


def _not_counted(count: RivetCount) -> Check:
    return not_checked(f"rivets, {count.title}", count.reason, citations=count.citations)
