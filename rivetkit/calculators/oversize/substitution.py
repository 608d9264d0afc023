"""One rivet in place of another: alloy substitution, and whether the new one is weaker."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import check_length, unique_citations
from rivetkit.calculators.strength.rivet_shear import blind_shear
from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.catalogue import base_alloy, rivet_hole, shear_stress
from rivetkit.fasteners.grammar import standards

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

NOT_WEAKER = "shear against the old rivet"
SIZE = "substitute, diameter"
CEILING = "substitute, rivet it stands for"

_SUBSTITUTE_ALLOY = "2117"
#: Alloys 2117 may stand for, and the question that bounds the rivet it replaces.
_CEILINGS = {
    "2017": "substitution_2117_for_2017_max",
    "2024": "substitution_2117_for_2024_max",
}
_PSI_PER_KSI = 1000.0


def substitute_material(fastener: Fastener) -> str | None:
    """Return the material code of the alloy that may stand for a solid rivet's; None for none.

    Parameters
    ----------
    fastener
        The rivet called for.

    References
    ----------
    AC 43.13-1B par 4-57b, p 4-16: 2117 for 2017 and for 2024.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> substitute_material(parse_part_number("MS20470D4"))
    'AD'
    >>> substitute_material(parse_part_number("MS20470AD4")) is None
    True
    """
    if fastener.blind or base_alloy(fastener) not in _CEILINGS:
        return None
    from dataclasses import replace

    for code in standards()[fastener.standard].materials:
        if base_alloy(replace(fastener, material=code)) == _SUBSTITUTE_ALLOY:
            return code
    return None


def check_substitution(
    original: Fastener, replacement: Fastener, book: RuleBook
) -> tuple[Check, ...]:
    """Return the checks of a 2117 rivet in place of a 2017 or 2024 one.

    Parameters
    ----------
    original
        The rivet called for.
    replacement
        The rivet to go in.
    book
        The rules in force.

    Returns
    -------
    tuple of Check
        That it is so much larger, and that the rivet it stands for is not too large; empty where
        the alloy stays.

    Raises
    ------
    InputError
        When no rule lets the one alloy stand for the other.

    References
    ----------
    AC 43.13-1B par 4-57b, p 4-16: one 1/32 in larger; 2017 up to 3/16, 2024 up to 5/32.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> rivets = [parse_part_number(part) for part in ("MS20470D4", "MS20470AD5")]
    >>> [check.verdict.value for check in check_substitution(*rivets, RuleBook.named())]
    ['pass', 'pass']
    """
    if original.material == replacement.material:
        return ()
    called, fitted = base_alloy(original), base_alloy(replacement)
    if original.blind or replacement.blind or called not in _CEILINGS or fitted != "2117":
        raise InputError(
            f"no rule on file lets {replacement.designation} stand for {original.designation}",
            mend="keep the alloy, or ask the aircraft maker",
        )
    step = book.rule("substitution_step")
    least_in = original.diameter_in + step.length_in(diameter_in=original.diameter_in)
    size = make_check(
        SIZE,
        replacement.diameter_in,
        least_in,
        unit="in",
        comparison="at least",
        citations=(step.citation,),
        template="{D} >= {D0} + {c}",
        terms=(
            Term("D", replacement.diameter_in, "in"),
            Term("D0", original.diameter_in, "in"),
            Term("c", least_in - original.diameter_in, "in"),
        ),
    )
    ceiling = check_length(
        CEILING,
        original.diameter_in,
        rule=book.rule(_CEILINGS[called]),
        comparison="at most",
        symbol="D0",
        diameter_in=original.diameter_in,
    )
    return size, ceiling


@lru_cache(maxsize=1024)
def check_not_weaker(original: Fastener, replacement: Fastener, book: RuleBook) -> Check:
    """Return the check of a rivet's single-shear strength against the one it replaces.

    Solid rivets: driven shear stress times the circle of the standard hole; a hole drilled larger
    than that earns nothing. One material: the stress cancels out and is not needed. Blind rivets:
    the ratings of their standards; within one standard and material the larger shank.

    Parameters
    ----------
    original
        The rivet taken out.
    replacement
        The rivet to go in.
    book
        The rules in force; they pick the holes.

    Returns
    -------
    Check
        Not checked when a strength is not on file.

    References
    ----------
    MIL-HDBK-5H p 8-9, sec 8.1.2: the driven shear area is the circle of the hole.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> rivets = [parse_part_number(part) for part in ("MS20470DD5", "MS20470AD5")]
    >>> check_not_weaker(*rivets, RuleBook.named()).verdict.value
    'fail'
    """
    if original.blind and replacement.blind:
        return _blind_against_blind(original, replacement)
    if original.blind or replacement.blind:
        return not_checked(NOT_WEAKER, "no strength on file sets a blind rivet beside a solid one")
    try:
        holes = [_standard_hole(rivet, book) for rivet in (replacement, original)]
    except OutOfTableError as error:
        return not_checked(NOT_WEAKER, error.what)
    sizes = (Term("d", holes[0][0], "in"), Term("d0", holes[1][0], "in"))
    areas = [math.pi / 4 * size.value**2 for size in sizes]
    hole_citations = unique_citations((holes[0][1], holes[1][1]))
    if original.material == replacement.material:
        return make_check(
            NOT_WEAKER,
            *areas,
            unit="in2",
            comparison="at least",
            citations=hole_citations,
            template="pi/4 x {d}^2 >= pi/4 x {d0}^2",
            terms=sizes,
        )
    new, old = shear_stress(replacement), shear_stress(original)
    if new is None or old is None:
        missing = replacement if new is None else original
        return not_checked(
            NOT_WEAKER, f"the driven shear stress of {missing.material} is not on file"
        )
    stresses = [row.shear_ksi * _PSI_PER_KSI for row in (new, old)]
    return make_check(
        NOT_WEAKER,
        *(stress * area for stress, area in zip(stresses, areas, strict=True)),
        unit="lbf",
        comparison="at least",
        citations=unique_citations((new.citation(), old.citation(), *hole_citations)),
        template="pi/4 x {F} x {d}^2 >= pi/4 x {F0} x {d0}^2",
        terms=(*sizes, Term("F", stresses[0], "psi"), Term("F0", stresses[1], "psi")),
    )


def _standard_hole(fastener: Fastener, book: RuleBook) -> tuple[float, Citation]:
    hole = rivet_hole(fastener, book)
    if hole.hole_in is None:
        raise OutOfTableError(f"the hole of '{fastener.designation}' is not on file")
    return hole.hole_in, hole.citation


def _blind_against_blind(original: Fastener, replacement: Fastener) -> Check:
    new, old = blind_shear(replacement), blind_shear(original)
    if new.load_lbf is not None and old.load_lbf is not None:
        return make_check(
            NOT_WEAKER,
            new.load_lbf,
            old.load_lbf,
            unit="lbf",
            comparison="at least",
            citations=unique_citations((*new.citations, *old.citations)),
            template="{P} >= {P0}",
            terms=(Term("P", new.load_lbf, "lbf"), Term("P0", old.load_lbf, "lbf")),
        )
    same_make = original.canonical == replacement.canonical
    if same_make and original.material == replacement.material:
        sizes = (
            Term("D", replacement.diameter_in, "in"),
            Term("D0", original.diameter_in, "in"),
        )
        return make_check(
            NOT_WEAKER,
            *(math.pi / 4 * size.value**2 for size in sizes),
            unit="in2",
            comparison="at least",
            citations=(standards()[original.canonical].citation,),
            template="pi/4 x {D}^2 >= pi/4 x {D0}^2",
            terms=sizes,
        )
    missing = replacement if new.load_lbf is None else original
    return not_checked(NOT_WEAKER, f"no rating of {missing.designation} is on file")
