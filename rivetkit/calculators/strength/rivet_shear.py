"""How much shear one rivet carries: hole area, material, and what a thin sheet takes off it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.checks import LIMIT_TOLERANCE, Term
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.catalogue import blind_strength, rivet_hole, shear_stress
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.holes import RivetHoleRow
from rivetkit.quantities import length_words, parse_force_lbf

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

ShearPlanes = Literal[1, 2]

_PSI_PER_KSI = 1000.0
#: Two sizes closer than this are one; absorbs the rounding of unit conversion [in].
_SAME_SIZE_IN = 1e-6


@dataclass(frozen=True, slots=True)
class CreditedHole:
    """A rivet's hole [in], and the diameter its strength is worked out on [in]."""

    hole_in: float
    credited_in: float
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class RivetShear:
    """Ultimate shear load of one rivet over all its shear planes [lbf].

    ``load_lbf`` is none where the tables have no value, and ``reason`` says so.
    ``thin_sheet_factor`` is what is left of the shear of thick sheet; 1 when nothing is taken off.
    """

    load_lbf: float | None
    thin_sheet_factor: float
    workings: tuple[Working, ...]
    citations: tuple[Citation, ...]
    reason: str = ""


def credited_hole(
    fastener: Fastener, book: RuleBook, *, hole_in: float | None = None
) -> CreditedHole:
    """Return the hole of a solid rivet and the diameter its strength may be worked out on.

    A driven rivet fills its hole, but no hole is credited beyond the standard one.

    Parameters
    ----------
    fastener
        The rivet.
    book
        The rules in force.
    hole_in
        The hole as drilled [in]; left out, the one the rule set drills.

    Raises
    ------
    InputError
        When the hole is smaller than the rivet, or no length.
    OutOfTableError
        When no table has a hole for this diameter.

    References
    ----------
    MIL-HDBK-5H p 8-9: shear area is the hole's, at most that of the tabulated hole.
    """
    standard = standard_hole(fastener, book)
    citations: tuple[Citation, ...] = (standard.citation(),)
    if hole_in is None:
        usual = rivet_hole(fastener, book)
        citations = unique_citations((*citations, usual.citation))
        hole_in = usual.hole_in
    assert standard.hole is not None  # noqa: S101 - standard_hole() sees to it
    drilled_in = require_length(standard.hole if hole_in is None else hole_in, "the hole")
    if drilled_in < fastener.diameter_in - _SAME_SIZE_IN:
        raise InputError(
            length_words(
                "a hole of {hole} does not take {rivet}, which is {size}",
                hole=drilled_in,
                rivet=fastener.designation,
                size=fastener.diameter_in,
            ),
            mend="give the hole as drilled",
        )
    return CreditedHole(drilled_in, min(drilled_in, standard.hole), citations)


def standard_hole(fastener: Fastener, book: RuleBook) -> RivetHoleRow:
    """Return the row of the standard hole that bounds a rivet's strength.

    Parameters
    ----------
    fastener
        A solid rivet.
    book
        The rules in force.

    Raises
    ------
    OutOfTableError
        When the table has no hole for this diameter.
    """
    scheme = book.choice("shear_hole_solid").choice
    rows: tuple[RivetHoleRow, ...] = load_table(RivetHoleRow)
    for row in rows:
        same = abs(float(row.diameter) - fastener.diameter_in) < _SAME_SIZE_IN
        if row.scheme == scheme and same and row.hole is not None:
            return row
    raise OutOfTableError(
        length_words("no standard hole is on file for a {size} rivet", size=fastener.diameter_in),
        where=fastener.designation,
        mend="work its strength out from the maker's data",
    )


def thin_sheet_factor(
    diameter_in: float, *, sheet_in: float, planes: ShearPlanes, book: RuleBook
) -> tuple[float, Working]:
    """Return what a thin sheet leaves of a rivet's shear strength, and the arithmetic.

    Parameters
    ----------
    diameter_in
        Nominal rivet diameter [in].
    sheet_in
        The thinnest sheet, in double shear the middle one [in].
    planes
        1 for single shear, 2 for double shear.
    book
        The rules in force.

    Raises
    ------
    InputError
        When a length is not one.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> factor, line = thin_sheet_factor(0.125, sheet_in=0.025, planes=1, book=RuleBook.named())
    >>> factor, line.substituted()
    (0.92, '0.92 = 1 - 0.04 x (0.1250 in / 0.0250 in - 3)')

    References
    ----------
    MIL-HDBK-5 table 8.1.2(b), recalled: 1 - 0.04 (D/t - 3), in double shear 1 - 0.13 (D/t - 1.5).
    """
    require_length(diameter_in, "the rivet diameter")
    require_length(sheet_in, "the sheet thickness")
    word = "single" if planes == 1 else "double"
    start = book.rule(f"thin_sheet_{word}_start")
    slope = book.rule(f"thin_sheet_{word}_slope")
    from_ratio = start.length_in(thickness_in=sheet_in) / sheet_in
    reduced = 1.0 - slope.value * (diameter_in / sheet_in - from_ratio)
    citations = unique_citations((start.citation, slope.citation))
    sizes = (Term("D", diameter_in, "in"), Term("t", sheet_in, "in"), Term("k", from_ratio))
    if reduced >= 1.0 - LIMIT_TOLERANCE:
        template = "{f} = 1, for {D} is no more than {k} x {t}"
        return 1.0, Working(
            "thin-sheet factor", 1.0, "", template, (Term("f", 1), *sizes), citations
        )
    factor = max(0.0, reduced)
    terms = (Term("f", factor), Term("s", slope.value), *sizes)
    template = "{f} = 1 - {s} x ({D} / {t} - {k})"
    return factor, Working("thin-sheet factor", factor, "", template, terms, citations)


def solid_shear(
    fastener: Fastener,
    book: RuleBook,
    *,
    hole: CreditedHole,
    planes: ShearPlanes = 1,
    sheet_in: float | None = None,
) -> RivetShear:
    """Return the shear load of a driven solid rivet.

    Parameters
    ----------
    fastener
        The rivet.
    book
        The rules in force.
    hole
        Its hole, from :func:`credited_hole`.
    planes
        1 for single shear, 2 for double shear.
    sheet_in
        The sheet that reduces it [in]: the thinnest, in double shear the middle one; none where
        nothing is to be taken off.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> rivet, book = parse_part_number("MS20470AD4"), RuleBook.named()
    >>> shear = solid_shear(rivet, book, hole=credited_hole(rivet, book))
    >>> round(shear.load_lbf, 1)
    389.1

    References
    ----------
    MIL-HDBK-5H p 8-9: driven shear area is that of the hole.
    """
    stress = shear_stress(fastener)
    if stress is None:
        reason = f"no shear stress is on file for material {fastener.material or 'unnamed'}"
        return RivetShear(None, 1.0, (), hole.citations, reason)
    factor, workings = 1.0, []
    if sheet_in is not None:
        factor, line = thin_sheet_factor(
            fastener.diameter_in, sheet_in=sheet_in, planes=planes, book=book
        )
        workings.append(line)
    stress_psi = stress.shear_ksi * _PSI_PER_KSI
    area_in2 = math.pi / 4 * hole.credited_in**2
    load_lbf = planes * stress_psi * area_in2 * factor
    terms = [
        Term("P", load_lbf, "lbf"),
        Term("Fsu", stress_psi, "psi"),
        Term("d", hole.credited_in, "inch"),
    ]
    template = "{P} = {Fsu} x pi/4 x ({d})^2"
    if planes > 1:
        terms.append(Term("planes", planes))
        template += " x {planes}"
    if factor < 1:
        terms.append(Term("f", factor))
        template += " x {f}"
    cited = unique_citations((stress.citation(), *hole.citations))
    workings.insert(0, Working("rivet shear", load_lbf, "lbf", template, tuple(terms), cited))
    citations = unique_citations(c for line in workings for c in line.citations)
    return RivetShear(load_lbf, factor, tuple(workings), citations)


def blind_shear(fastener: Fastener, *, planes: ShearPlanes = 1) -> RivetShear:
    """Return the shear load a blind rivet's standard rates it at.

    Parameters
    ----------
    fastener
        The rivet.
    planes
        1 for single shear; ratings say nothing on double shear.
    """
    rated = blind_strength(fastener)
    if rated is None or rated.shear is None:
        return RivetShear(None, 1.0, (), (), f"no rated load is on file for {fastener.designation}")
    if planes != 1:
        reason = "a blind rivet is rated in single shear only"
        return RivetShear(None, 1.0, (), (rated.citation(),), reason)
    load_lbf = parse_force_lbf(f"{rated.shear:g} {rated.unit}")
    cited = (rated.citation(),)
    terms = (Term("P", load_lbf, "lbf"), Term("rated", rated.shear, rated.unit))
    line = Working("rated shear", load_lbf, "lbf", "{P} = {rated}, as rated", terms, cited)
    return RivetShear(load_lbf, 1.0, (line,), cited)
