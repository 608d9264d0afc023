"""What can go into a hole that has grown: larger, substituted, oversize-shank and blind rivets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.oversize.sizes import (
    HoleLimits,
    all_sizes,
    handbook_steps,
    hole_limits,
    size_steps,
)
from rivetkit.calculators.oversize.substitution import (
    check_not_weaker,
    check_substitution,
    substitute_material,
)
from rivetkit.checks import LIMIT_TOLERANCE, Check, Verdict, not_checked, worst_verdict
from rivetkit.drills import find_drill
from rivetkit.fasteners.catalogue import rivet_metal, shank
from rivetkit.fasteners.grammar import standards
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.fasteners import OversizeRivetRow

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.fasteners.grammar import Standard
    from rivetkit.rules import RuleBook

Access = Literal["both", "blind"]
#: What a candidate is to the rivet taken out, in the order of preference at one diameter.
Kind = Literal["same", "larger", "substitute", "oversize_shank", "blind", "blind_oversize_shank"]
_KINDS: tuple[Kind, ...] = (
    "same",
    "larger",
    "substitute",
    "oversize_shank",
    "blind",
    "blind_oversize_shank",
)

ACCESS = "access"
PART_NUMBER = "part number"
_PRACTICE = Citation(rule="", source="common-practice", locator="shop practice", basis="practice")


@dataclass(frozen=True, slots=True)
class Replacement:
    """A rivet that may go into some hole larger than its own.

    ``checks`` are those that do not depend on the hole. ``steps`` counts the handbook's steps up
    from the rivet taken out.
    """

    kind: Kind
    fastener: Fastener
    #: Diameter of the shank [in].
    diameter_in: float
    steps: int
    hole: HoleLimits | None
    checks: tuple[Check, ...]

    @property
    def may_fit(self) -> bool:
        """Whether it can pass every check in some hole."""
        verdict = worst_verdict(check.verdict for check in self.checks)
        return verdict in {Verdict.PASS, Verdict.MARGINAL} and self.hole is not None


@lru_cache(maxsize=512)
def hopeful_first(
    fastener: Fastener, book: RuleBook, access: Access, further_steps: int
) -> tuple[Replacement, ...]:
    """Return :func:`replacements`, those that can fit no hole at all last."""
    choices = replacements(fastener, book, access, further_steps)
    return tuple(sorted(choices, key=lambda choice: not choice.may_fit))


@lru_cache(maxsize=512)
def replacements(
    fastener: Fastener, book: RuleBook, access: Access, further_steps: int
) -> tuple[Replacement, ...]:
    """Return what may replace a rivet, the smallest shank first, with what needs no hole to judge.

    Parameters
    ----------
    fastener
        The rivet taken out, without its length.
    book
        The rules in force.
    access
        ``both`` sides, or ``blind``: one only.
    further_steps
        How many larger diameters of its standard are looked at.
    """
    steps = size_steps(fastener)[:further_steps]
    found = [_replacement("same", fastener, fastener, book, access)]
    found += [_replacement("larger", fastener, rivet, book, access) for rivet in steps]
    code = substitute_material(fastener)
    if code is not None:
        found += [
            _replacement("substitute", fastener, replace(rivet, material=code), book, access)
            for rivet in steps
        ]
    sizes = (fastener, *steps)
    if not fastener.blind:
        found += _oversize_solids(fastener, sizes, book, access)
    largest_in = sizes[-1].diameter_in
    for standard in _blind_standards(fastener):
        found += _blind_rivets(fastener, standard, largest_in, book, access)
    return tuple(
        sorted(found, key=lambda one: (one.diameter_in, _KINDS.index(one.kind), _name(one)))
    )


def _name(one: Replacement) -> str:
    return one.fastener.designation


def _replacement(
    kind: Kind,
    original: Fastener,
    rivet: Fastener,
    book: RuleBook,
    access: Access,
    row: OversizeRivetRow | None = None,
) -> Replacement:
    checks: list[Check] = []
    if access == "blind" and not rivet.blind:
        checks.append(_out_of_reach())
    if kind != "same":
        checks.append(check_not_weaker(original, rivet, book))
    if kind == "substitute":
        checks += check_substitution(original, rivet, book)
    limits = hole_limits(rivet, book)
    diameter_in = rivet.diameter_in
    if row is not None:
        diameter_in = row.shank_in
        drill = find_drill(row.drill) if row.drill else None
        limits = HoleLimits(row.hole_min_in, row.hole_max_in, drill, (row.citation(),))
        checks.append(
            not_checked(
                PART_NUMBER,
                "none of this series is on file, and its sizes are recalled",
                citations=(row.citation(),),
            )
        )
    elif rivet.blind:
        diameter_in = shank(rivet).diameter_in
    return Replacement(
        kind=kind,
        fastener=rivet,
        diameter_in=diameter_in,
        steps=_steps_up(original, rivet, book),
        hole=limits,
        checks=tuple(checks),
    )


def _steps_up(original: Fastener, rivet: Fastener, book: RuleBook) -> int:
    """Return the handbook's steps between two rivets; metric ones go by the sizes on the list."""
    if standards()[original.standard].diameter_unit == "mm":
        larger = size_steps(original)
        return sum(size.diameter_in <= rivet.diameter_in + LIMIT_TOLERANCE for size in larger)
    return handbook_steps(original.diameter_in, rivet.diameter_in, book=book)


def _out_of_reach() -> Check:
    return Check(
        name=ACCESS,
        verdict=Verdict.FAIL,
        value=None,
        limit=None,
        unit="",
        comparison="at least",
        citations=(_PRACTICE,),
        reason="a solid rivet needs both sides to be reached",
    )


def _oversize_solids(
    original: Fastener, sizes: tuple[Fastener, ...], book: RuleBook, access: Access
) -> Iterator[Replacement]:
    for row in load_table(OversizeRivetRow):
        for rivet in sizes:
            same_size = abs(float(row.diameter) - rivet.diameter_in) < LIMIT_TOLERANCE
            if row.family == "solid" and same_size:
                yield _replacement("oversize_shank", original, rivet, book, access, row)


def _blind_standards(original: Fastener) -> Iterator[Standard]:
    """Yield the standards of locked blind rivets with the same kind of head."""
    if original.family not in {"solid", "blind_locked"}:
        return
    own = standards()[original.canonical]
    for standard in standards().values():
        alike = standard.flush_angle_deg == original.flush_angle_deg
        if standard.name != standard.canonical or not alike:
            continue
        if standard.family != "blind_locked" or standard is own:
            continue
        # one locked blind rivet in place of another: only for the larger shank of its hole
        if original.blind and (own.oversize_series or not standard.oversize_series):
            continue
        yield standard


def _blind_rivets(
    original: Fastener, standard: Standard, largest_in: float, book: RuleBook, access: Access
) -> Iterator[Replacement]:
    code = _like_material(original, standard)
    if code is None:
        return
    pattern = replace(
        original,
        standard=standard.name,
        canonical=standard.canonical,
        family=standard.family,
        head=standard.head,
        material=code,
        length_datum=standard.length_datum,
    )
    kind: Kind = "blind_oversize_shank" if standard.oversize_series else "blind"
    if original.blind:
        kind = "oversize_shank"
    for rivet in all_sizes(pattern):
        least_in, most_in = original.diameter_in, largest_in
        if least_in - LIMIT_TOLERANCE <= rivet.diameter_in <= most_in + LIMIT_TOLERANCE:
            yield _replacement(kind, original, rivet, book, access)


def _like_material(original: Fastener, standard: Standard) -> str | None:
    """Return the standard's code for a material of the same kind as the rivet taken out."""
    if original.material in standard.materials:
        return original.material
    wanted = rivet_metal(original)
    for code in standard.materials:
        if rivet_metal(replace(original, material=code)) == wanted:
            return code
    return None
