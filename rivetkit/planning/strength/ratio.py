"""What a row carries against what it carried: the ratio, how far it is known, and its check."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.oversize.substitution import check_substitution
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, Verdict, make_check, not_checked
from rivetkit.errors import RivetkitError
from rivetkit.quantities import joined_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.handbook import Citation
    from rivetkit.planning.strength.joint_loads import Load
    from rivetkit.planning.strength.row_joints import AlikeHoles
    from rivetkit.rules import RuleBook

STRENGTH_RATIO = "strength, after against before"

#: How a ratio is known: the number itself, the least or the greatest it can be, or not at all.
Bound = Literal["", "is", "at least", "at most"]

#: More different joints than this are added up before the formula is written.
_MOST_TERMS = 4


@dataclass(frozen=True, slots=True)
class Part:
    """Holes that change alike, what one of them carries, and why that cannot be less."""

    holes: AlikeHoles
    before: Load
    after: Load
    not_weaker: Citation | None

    @property
    def gain(self) -> float:
        """What a joint carries against what it carried, at least."""
        if self.not_weaker is not None:
            return 1.0
        return self.after.least_lbf / self.before.most_lbf if self.before.most_lbf else math.inf


Parts = tuple[Part, ...]


def judge_ratio(parts: Parts, book: RuleBook) -> tuple[Bound, Check]:
    """Return the check of a row's strength against what it was, and how its value is known.

    What is known of the loads may do even where they are not: the least the ratio can be may
    pass, the greatest may fail.

    Parameters
    ----------
    parts
        All holes of the row.
    book
        The rules in force.
    """
    rule = book.rule("strength_ratio_min")
    low, high = _bounds(parts)
    if low == high:
        return _with_left_off(parts, "is", _check(parts, high, "is", book))
    if high < rule.value - LIMIT_TOLERANCE:
        return "at most", _check(parts, high, "at most", book)
    if low >= rule.value - LIMIT_TOLERANCE:
        return _with_left_off(parts, "at least", _check(parts, low, "at least", book))
    whys = [load.why for one in parts for load in (one.before, one.after) if load.why]
    known = whys[0] if whys else "its strength is not known"
    reason = joined_words("", [known, _substitution_words(parts, book)])
    return "", not_checked(STRENGTH_RATIO, reason, citations=(rule.citation, *_cited(parts)))


def rivets_needed(parts: Parts, check: Check) -> int | None:
    """Return how many of the new rivets would carry enough, where it takes more than there were.

    Rivets that come out for good are not among those that were: their holes are free to choose.

    Parameters
    ----------
    parts
        All holes of the row.
    check
        What :func:`judge_ratio` made of them.
    """
    loads = {one.after for one in parts if one.holes.after is not None}
    if check.verdict is not Verdict.FAIL or check.limit is None or len(loads) != 1:
        return None
    (load,) = loads
    wanted_lbf = check.limit * sum(one.before.most_lbf * one.holes.count for one in parts)
    if not load.least_lbf or math.isinf(wanted_lbf):
        return None
    count = math.ceil(wanted_lbf / load.least_lbf - LIMIT_TOLERANCE)
    there = sum(
        one.holes.count for one in parts if one.holes.before is not None and not one.holes.taken_out
    )
    return count if count > there else None


def _with_left_off(parts: Parts, bound: Bound, check: Check) -> tuple[Bound, Check]:
    """Take a pass back where a layer is left off: nobody can tell what it carried."""
    left_off = dict.fromkeys(name for one in parts for name in one.holes.left_off)
    if not left_off or check.verdict is not Verdict.PASS:
        return bound, check
    reason = (
        f"{', '.join(left_off)} is left off; what is left is no weaker, but whether it carries "
        "the load alone nobody can tell"
    )
    return "", not_checked(STRENGTH_RATIO, reason, citations=check.citations)


def _sums(parts: Parts) -> tuple[float, float]:
    """Return the least and the greatest ratio that the loads added up leave room for."""
    least_before = sum(one.before.least_lbf * one.holes.count for one in parts)
    most_before = sum(one.before.most_lbf * one.holes.count for one in parts)
    least_after = sum(one.after.least_lbf * one.holes.count for one in parts)
    most_after = sum(one.after.most_lbf * one.holes.count for one in parts)
    low = least_after / most_before if most_before else math.inf
    return low, most_after / least_before if least_before else math.inf


def _bounds(parts: Parts) -> tuple[float, float]:
    low, high = _sums(parts)
    if low != high:
        # Where no single joint loses anything, the row does not either.
        low = max(low, min(one.gain for one in parts if one.holes.before is not None))
    return low, max(low, high)


def _check(parts: Parts, value: float, bound: Bound, book: RuleBook) -> Check:
    rule = book.rule("strength_ratio_min")
    terms: tuple[Term, ...]
    if bound == "at least" and value != _sums(parts)[0]:
        argued = dict.fromkeys(one.not_weaker for one in parts if one.not_weaker is not None)
        cited = (*argued, *_cited(tuple(one for one in parts if one.not_weaker is None)))
        template, terms = "after / before, at least: {q} >= {r}", (Term("q", value),)
    else:
        cited = _cited(parts)
        template, terms = _formula(parts, bound)
    return make_check(
        STRENGTH_RATIO,
        round(value, 9),
        rule.value,
        unit="",
        comparison="at least",
        citations=tuple(dict.fromkeys((rule.citation, *cited))),
        template=template,
        terms=(*terms, Term("r", rule.value)),
    )


def _formula(parts: Parts, bound: Bound) -> tuple[str, tuple[Term, ...]]:
    """Return the ratio as a formula: load by load, or in one sum where there are many.

    Where only a bound is known, each load stands at the end that makes it one.
    """
    most_before, most_after = bound == "at least", bound == "at most"
    before = _groups(
        (one.before.most_lbf if most_before else one.before.least_lbf, one.holes.count)
        for one in parts
    )
    after = _groups(
        (one.after.most_lbf if most_after else one.after.least_lbf, one.holes.count)
        for one in parts
    )
    each = len(before) == len(after) == 1 and before[0][1] == after[0][1]
    top, top_terms = _sum_of(after, "1", each=each)
    bottom, bottom_terms = _sum_of(before, "0", each=each)
    return f"{top} / {bottom} >= {{r}}", (*top_terms, *bottom_terms)


def _groups(loads: Iterable[tuple[float, int]]) -> list[tuple[float, int]]:
    counts: Counter[float] = Counter()
    for load_lbf, number in loads:
        if load_lbf:
            counts[round(load_lbf, 6)] += number
    return sorted(counts.items())


def _sum_of(
    groups: list[tuple[float, int]], side: str, *, each: bool
) -> tuple[str, tuple[Term, ...]]:
    """Return what rivets carry together; ``each`` leaves out a count both sides have."""
    load = f"P{side}"
    if not 1 <= len(groups) <= _MOST_TERMS:
        whole_lbf = sum(load_lbf * number for load_lbf, number in groups)
        return f"{{{load}}}", (Term(load, whole_lbf, "lbf"),)
    if each:
        return f"{{{load}}}", (Term(load, groups[0][0], "lbf"),)
    pieces: list[str] = []
    terms: list[Term] = []
    for place, (load_lbf, number) in enumerate(groups):
        letter = chr(ord("a") + place) if len(groups) > 1 else ""
        pieces.append(f"{{n{side}{letter}}} x {{{load}{letter}}}")
        terms += [Term(f"n{side}{letter}", number), Term(f"{load}{letter}", load_lbf, "lbf")]
    return f"({' + '.join(pieces)})", tuple(terms)


def _substitution_words(parts: Parts, book: RuleBook) -> str:
    """Return that the handbook takes the new rivets for the old ones, where it does."""
    checks: list[Check] = []
    for one in parts:
        old, new = one.holes.before, one.holes.after
        if old is None or new is None or old.part.material == new.part.material:
            return ""
        try:
            checks += check_substitution(old.part, new.part, book)
        except RivetkitError:
            return ""
    if any(check.verdict is not Verdict.PASS for check in checks):
        return ""
    return "; for general repairs AC 43.13-1B p 4-16 takes the new rivet for the old one"


def _cited(parts: Parts) -> tuple[Citation, ...]:
    found = dict.fromkeys(c for one in parts for c in (*one.before.citations, *one.after.citations))
    return tuple(found)
