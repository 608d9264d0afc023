"""The formula behind the rivets-required tables of AC 43.13-1B."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.calculators.splice.tables import BOLT, table_gauges_in
from rivetkit.calculators.strength.row_strength import formula_citation
from rivetkit.checks import Term
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.holes import RivetHoleRow
from rivetkit.handbook.rows.strength import SpliceBasisRow

if TYPE_CHECKING:
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

_PSI_PER_KSI = 1000.0


@dataclass(frozen=True, slots=True)
class FormulaCount:
    """What a table's own basis asks for, unrounded; ``critical`` names what governs.

    ``per_inch`` is none where the document does not give the basis; ``reason`` says so.
    """

    per_inch: float | None
    critical: str
    reason: str
    workings: tuple[Working, ...]
    citations: tuple[Citation, ...]


def formula_per_inch(
    table_name: str, *, thickness_in: float, size: str, book: RuleBook
) -> FormulaCount:
    """Return the rivets per inch that a table's own basis asks for.

    The sheet's strength cancels: rivet shear and sheet bearing are shares of it.

    Parameters
    ----------
    table_name
        Such as ``4-10``.
    thickness_in
        Sheet thickness [in].
    size
        Rivet diameter as a fraction, such as ``1/8``, or ``AN-3``.
    book
        The rules in force; they pick the hole.

    Raises
    ------
    InputError
        When there is no such table, or the thickness is no length.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> count = formula_per_inch("4-10", thickness_in=0.040, size="1/8", book=RuleBook.named())
    >>> round(count.per_inch, 2), count.critical
    (6.17, 'shear')

    References
    ----------
    AC 43.13-1B, engineering notes of tables 4-9 to 4-11: max(t / (ks pi/4 d^2), 1 / (kb d)), the
    shares of table 4-10's shear and table 4-11's bearing found by fitting the printed cells.
    """
    table_gauges_in(table_name)
    require_length(thickness_in, "the thickness")
    basis = {r.figure: r for r in load_table(SpliceBasisRow) if r.table_name == table_name}
    if size == BOLT:
        return _bolt_formula(table_name, thickness_in, basis)
    hole = _hole_row(size, book)
    if hole is None or hole.hole is None:
        return FormulaCount(None, "", f"no standard hole is on file for {size}", (), ())
    ks, kb = basis["rivet_shear_fraction"], basis["sheet_bearing_fraction"]
    shear = thickness_in / (ks.value * math.pi / 4 * hole.hole**2)
    sizes = (Term("t", thickness_in, "inch"), Term("d", hole.hole, "inch"))
    cited = (formula_citation("rivets-per-inch"), hole.citation())
    shear_line = Working(
        f"table {table_name} formula, rivet shear",
        shear,
        "per inch",
        "{n} = {t} / ({ks} x pi/4 x ({d})^2)",
        (Term("n", shear, "per inch"), Term("ks", ks.value), *sizes),
        (*cited, ks.citation()),
    )
    bearing_line = _bearing_line(table_name, kb, hole.hole, (*cited, kb.citation()))
    return _governed(shear_line, bearing_line)


def _hole_row(size: str, book: RuleBook) -> RivetHoleRow | None:
    scheme = book.choice("shear_hole_solid").choice
    rows: tuple[RivetHoleRow, ...] = load_table(RivetHoleRow)
    return next((r for r in rows if r.scheme == scheme and str(r.diameter) == size), None)


def _bearing_line(
    table_name: str, kb: SpliceBasisRow, diameter_in: float, citations: tuple[Citation, ...]
) -> Working:
    value = 1 / (kb.value * diameter_in)
    return Working(
        f"table {table_name} formula, sheet bearing",
        value,
        "per inch",
        "{n} = 1 / ({kb} x {d})",
        (Term("n", value, "per inch"), Term("kb", kb.value), Term("d", diameter_in, "inch")),
        citations,
    )


def _governed(shear: Working, bearing: Working) -> FormulaCount:
    critical = "shear" if shear.value >= bearing.value else "bearing"
    citations = unique_citations((*shear.citations, *bearing.citations))
    per_inch = max(shear.value, bearing.value)
    return FormulaCount(per_inch, critical, "", (shear, bearing), citations)


def _bolt_formula(
    table_name: str, thickness_in: float, basis: dict[str, SpliceBasisRow]
) -> FormulaCount:
    kb, size = basis["sheet_bearing_fraction"], basis["bolt_diameter_in"]
    cited = (formula_citation("rivets-per-inch"), kb.citation(), size.citation())
    bearing = _bearing_line(table_name, kb, size.value, cited)
    if "bolt_sheet_ksi" not in basis:
        reason = f"the notes of table {table_name} give the bolt no sheet stress"
        return FormulaCount(None, "", reason, (bearing,), cited)
    load, stress = basis["bolt_shear_lbf"], basis["bolt_sheet_ksi"]
    per_inch = stress.value * _PSI_PER_KSI * thickness_in / load.value
    shear = Working(
        f"table {table_name} formula, bolt shear",
        per_inch,
        "per inch",
        "{n} = {F} x {t} / {P}",
        (
            Term("n", per_inch, "per inch"),
            Term("F", stress.value * _PSI_PER_KSI, "psi"),
            Term("t", thickness_in, "inch"),
            Term("P", load.value, "lbf"),
        ),
        (cited[0], load.citation(), stress.citation()),
    )
    return _governed(shear, bearing)
