"""A larger head at an old hole: the heads beside it, and the sheet cut or dimpled anew for it."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from rivetkit.calculators.countersink import DIMPLE, SHEET, check_countersink, check_dimple_sheet
from rivetkit.calculators.limits import unique_citations
from rivetkit.calculators.oversize.place import OversizeLayer
from rivetkit.calculators.oversize.sizes import all_sizes, head_size, rule_in_force
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, make_check, not_checked

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.oversize.place import Near, Neighbour
    from rivetkit.calculators.stack import Form
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

HEADS = "head beside head"


def head_checks(
    original: Fastener,
    fastener: Fastener,
    *,
    near: Sequence[Near] | None,
    book: RuleBook,
    accuracy_in: float,
) -> tuple[Check, ...]:
    """Return the checks of the new head against the heads beside it.

    A flush head cuts or dimples the sheet as wide as it is, so for it the check is owed even when
    a head diameter is not on file; a protruding head only lies on the sheet.

    Parameters
    ----------
    original
        The rivet taken out.
    fastener
        The rivet to go in.
    near
        What stands next to it, and how near it may be now; None when nobody said.
    book
        The rules in force.
    accuracy_in
        How far the measured distances may be off [in].
    """
    own = head_size(fastener)
    checks = []
    for one, away_in, *_ in near or ():
        if one.kind == "row":
            continue
        other = _head_of(one, original)
        if own is not None and other is not None:
            checks.append(
                check_heads(
                    away_in,
                    own=own,
                    other=other,
                    book=book,
                    accuracy_in=accuracy_in,
                    where=one.name,
                )
            )
        elif fastener.flush:
            whose = fastener.designation if own is None else one.name
            citation = rule_in_force("head_spacing_min", book).citation
            reason = f"the head diameter of {whose} is not on file"
            checks.append(not_checked(HEADS, reason, where=one.name, citations=(citation,)))
    return tuple(checks)


@lru_cache(maxsize=4096)
def form_checks(
    fastener: Fastener,
    layer: OversizeLayer,
    book: RuleBook,
) -> tuple[Check, ...]:
    """Return the checks of a layer that is countersunk or dimpled anew for a flush head.

    Its thickness is that of its gauge: how far off edges are measured says nothing of it.

    Parameters
    ----------
    fastener
        The flush rivet to go in.
    layer
        The layer.
    book
        The rules in force.
    """
    if layer.thickness_in is None and layer.form != "plain":
        name = SHEET if layer.form == "countersunk" else DIMPLE
        return (not_checked(name, "the thickness was not given", where=layer.name),)
    if layer.thickness_in is None:
        return ()
    if layer.form == "countersunk":
        return check_countersink(layer.thickness_in, fastener=fastener, book=book, where=layer.name)
    if layer.form == "dimpled":
        return (check_dimple_sheet(layer.thickness_in, book=book, where=layer.name),)
    return ()


def flush_checks(
    fastener: Fastener,
    layers: Sequence[OversizeLayer],
    book: RuleBook,
) -> tuple[Check, ...]:
    """Return :func:`form_checks` of all layers; a flush head that nothing is formed for is not
    checked.

    Parameters
    ----------
    fastener
        The rivet to go in.
    layers
        The layers.
    book
        The rules in force.
    """
    if not fastener.flush:
        return ()
    if all(layer.form == "plain" for layer in layers):
        return (not_checked(SHEET, "how the flush head sits was not given"),)
    return tuple(
        check
        for layer in layers
        if layer.form != "plain"
        for check in form_checks(
            fastener, _formed_only(layer.name, layer.thickness_in, layer.form), book
        )
    )


@lru_cache(maxsize=4096)
def _formed_only(name: str, thickness_in: float | None, form: Form) -> OversizeLayer:
    # without its edge, so that holes that differ by it alone share one answer
    return OversizeLayer(name, thickness_in, form)


def _head_of(one: Neighbour, original: Fastener) -> tuple[float, Citation | None] | None:
    if one.head_diameter_in is not None:
        return one.head_diameter_in, None
    if one.diameter_in is None:
        return head_size(original)
    return _head_at(original, one.diameter_in)


@lru_cache(maxsize=1024)
def _head_at(original: Fastener, diameter_in: float) -> tuple[float, Citation] | None:
    for rivet in all_sizes(original):
        if abs(rivet.diameter_in - diameter_in) < LIMIT_TOLERANCE:
            return head_size(rivet)
    return None


def check_heads(
    away_in: float,
    *,
    own: tuple[float, Citation],
    other: tuple[float, Citation | None],
    book: RuleBook,
    accuracy_in: float,
    where: str = "",
) -> Check:
    """Return the check that two manufactured heads do not overlap.

    Parameters
    ----------
    away_in
        Centre to centre [in].
    own, other
        Their head diameters [in] and where those come from.
    book
        The rules in force; ``head_spacing_min`` is common practice.
    accuracy_in
        How far the distance may be off [in].
    where
        The neighbour.

    References
    ----------
    No document: heads may touch, not overlap (common practice).
    """
    rule = rule_in_force("head_spacing_min", book)
    citations = [citation for _, citation in (own, other) if citation is not None]
    return make_check(
        HEADS,
        away_in,
        rule.value * (own[0] + other[0]) / 2,
        unit="in",
        comparison="at least",
        citations=unique_citations((rule.citation, *citations)),
        template="{p} >= {k} x ({A} + {A0}) / 2",
        terms=(
            Term("p", away_in, "in"),
            Term("k", rule.value),
            Term("A", own[0], "in"),
            Term("A0", other[0], "in"),
        ),
        accuracy=accuracy_in,
        where=where,
    )
