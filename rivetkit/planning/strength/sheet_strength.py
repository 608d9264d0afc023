"""Sheets that are replaced: what they carry themselves, against what was there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.materials import missing_words, tension_ultimate, unlisted_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rivetkit.handbook import Citation
    from rivetkit.job.model import Job, SheetState
    from rivetkit.rules import RuleBook

SHEET_STRENGTH = "new sheet against the old"


def sheet_strength(job: Job, book: RuleBook) -> tuple[Check, ...]:
    """Return the check of every sheet that comes back in another alloy or gauge.

    An alloy that no table has is told as not checked.
    Whatever the rivets carry, a skin of less thickness times strength is weaker than it was.
    """
    return (*_unlisted(job), *_changed(job, book))


def _unlisted(job: Job) -> Iterator[Check]:
    """Yield a check that was not made for every alloy no table knows: it may be a slip."""
    for layer in job.layers.values():
        states = (state for state in (layer.old, layer.new) if state is not None)
        for why in dict.fromkeys(unlisted_words(state.alloy) for state in states):
            if why:
                yield not_checked("alloy", why, where=layer.name)


def _changed(job: Job, book: RuleBook) -> Iterator[Check]:
    for layer in job.layers.values():
        old, new = layer.old, layer.new
        if old is not None and new is not None and old != new:
            yield _check(layer.name, old, new, book)


def _check(name: str, old: SheetState, new: SheetState, book: RuleBook) -> Check:
    rule = book.rule("strength_ratio_min")
    citations: tuple[Citation, ...] = (rule.citation,)
    terms = [Term("t2", new.thickness_in, "in"), Term("t1", old.thickness_in, "in")]
    template = "{t2} / {t1} >= {r}"
    ratio = new.thickness_in / old.thickness_in
    if old.alloy != new.alloy:
        stresses = [tension_ultimate(one.alloy, one.thickness_in) for one in (old, new)]
        for state, stress in zip((old, new), stresses, strict=True):
            if stress is None:
                reason = missing_words("tension", state.alloy, state.thickness_in)
                return not_checked(SHEET_STRENGTH, reason, where=name, citations=citations)
        was, is_now = (stress for stress in stresses if stress is not None)
        ratio *= is_now.value_ksi / was.value_ksi
        citations = tuple(dict.fromkeys((*citations, was.citation, is_now.citation)))
        terms += [Term("F2", is_now.value_ksi, "ksi"), Term("F1", was.value_ksi, "ksi")]
        template = "{F2} x {t2} / ({F1} x {t1}) >= {r}"
    return make_check(
        SHEET_STRENGTH,
        round(ratio, 9),
        rule.value,
        unit="",
        comparison="at least",
        citations=citations,
        template=template,
        terms=(*terms, Term("r", rule.value)),
        where=name,
    )
