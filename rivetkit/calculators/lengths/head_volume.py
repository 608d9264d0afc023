"""The shop head a length of shank will make: metal is moved, none is lost."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import require_length, unique_citations
from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.fasteners.catalogue import material, rivet_metal
from rivetkit.handbook import Citation, load_table
from rivetkit.handbook.rows.practice import DrivenHeadRow
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from fractions import Fraction

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

HEAD_LEAST = "shop head height at the target width"
HEAD_GREATEST = "shop head width at the greatest height"

#: Limits of every solid rivet, and those of a document that names no material.
_ANY, _NOT_STATED = "any", "not stated"


@dataclass(frozen=True, slots=True)
class ShopHead:
    """The shop head a rivet is expected to make, driven as a plain cylinder."""

    volume_in3: float
    target_width_in: float
    #: Height when driven to the target width [in].
    height_at_target_width_in: float
    target_height_in: float
    #: Width when driven to the target height [in].
    width_at_target_height_in: float
    #: Where the sizes behind the volume come from.
    citations: tuple[Citation, ...]


def cylinder_volume(diameter_in: float, length_in: float) -> float:
    """Return the volume of a cylinder [in3] of so much diameter and length [in].

    Examples
    --------
    >>> round(cylinder_volume(0.1875, 0.0625) / cylinder_volume(0.125, 0.125), 12)
    1.125
    """
    return math.pi / 4 * diameter_in**2 * length_in


def cylinder_length(volume_in3: float, diameter_in: float) -> float:
    """Return how long [in] a cylinder of that volume [in3] and diameter [in] is."""
    return volume_in3 / (math.pi / 4 * diameter_in**2)


def cylinder_diameter(volume_in3: float, length_in: float) -> float:
    """Return how wide [in] a cylinder of that volume [in3] and length [in] is."""
    return math.sqrt(volume_in3 / (math.pi / 4 * length_in))


def shop_head_volume(
    *,
    shank_length_in: float,
    shank_diameter_in: float,
    hole_length_in: float,
    hole_diameter_in: float,
) -> float:
    """Return the metal left for the shop head [in3] once the hole is filled; nought if none is.

    Parameters
    ----------
    shank_length_in
        Shank below the manufactured head [in].
    shank_diameter_in
        Shank diameter [in].
    hole_length_in
        Length of hole the shank fills [in].
    hole_diameter_in
        Hole diameter [in].

    Raises
    ------
    InputError
        When a length is not one.
    """
    require_length(shank_length_in, "the shank below the head")
    require_length(shank_diameter_in, "the shank diameter")
    require_length(hole_length_in, "the hole's length")
    require_length(hole_diameter_in, "the hole diameter")
    shank_in3 = cylinder_volume(shank_diameter_in, shank_length_in)
    return max(shank_in3 - cylinder_volume(hole_diameter_in, hole_length_in), 0.0)


def predict_shop_head(
    volume_in3: float,
    *,
    diameter_in: float,
    book: RuleBook,
    citations: tuple[Citation, ...] = (),
) -> ShopHead:
    """Return the shop head that a volume of metal makes, at the target width and height.

    Parameters
    ----------
    volume_in3
        Metal left for the head [in3].
    diameter_in
        Rivet diameter [in].
    book
        The rules in force; they hold the targets.
    citations
        Where the sizes behind the volume come from.
    """
    width_in = book.rule("shop_head_target_width").length_in(diameter_in=diameter_in)
    height_in = book.rule("shop_head_target_height").length_in(diameter_in=diameter_in)
    return ShopHead(
        volume_in3=volume_in3,
        target_width_in=width_in,
        height_at_target_width_in=cylinder_length(volume_in3, width_in),
        target_height_in=height_in,
        width_at_target_height_in=cylinder_diameter(volume_in3, height_in),
        citations=citations,
    )


def check_predicted_head(
    head: ShopHead, *, fastener: Fastener, book: RuleBook, where: str = ""
) -> tuple[Check, Check]:
    """Return the checks of a predicted shop head: not too little metal, not too much.

    Too little: driven to the target width it is under the least height. Too much: driven down to
    the greatest height it is still over the greatest width, so no head in the limits is left.

    Parameters
    ----------
    head
        The predicted head.
    fastener
        The rivet; its material picks the limits.
    book
        The rules in force.
    where
        The part number it is for.

    References
    ----------
    MIL-HDBK-5H p 8-9: height at least 0.3 D.
    """
    return _least(head, fastener, book, where), _greatest(head, fastener, book, where)


def _least(head: ShopHead, fastener: Fastener, book: RuleBook, where: str) -> Check:
    question = "driven_head_least"
    row = _limits(question, fastener, book)
    if row is None or row.height_min is None:
        return _no_limits(HEAD_LEAST, question, fastener, book, where)
    limit_in = row.height_min * _scale(row, fastener)
    limit = "{h_min}"
    terms: tuple[Term, ...] = (Term("h_min", limit_in, "in"),)
    if row.unit == "D":
        limit = "{k} x {D}"
        terms = (Term("k", row.height_min), Term("D", fastener.diameter_in, "in"))
    width = book.rule("shop_head_target_width").citation
    return make_check(
        HEAD_LEAST,
        head.height_at_target_width_in,
        limit_in,
        unit="in",
        comparison="at least",
        citations=unique_citations((row.citation(question), width, *head.citations)),
        template=f"{{V}} / (pi/4 x {{w}} x {{w}}) >= {limit}",
        terms=(
            Term("V", head.volume_in3, "in3"),
            Term("w", head.target_width_in, "in"),
            *terms,
        ),
        where=where,
    )


def _greatest(head: ShopHead, fastener: Fastener, book: RuleBook, where: str) -> Check:
    question = "driven_head_greatest"
    row = _limits(question, fastener, book)
    if row is None or row.height_max is None or row.width_max is None:
        return _no_limits(HEAD_GREATEST, question, fastener, book, where)
    height_in = row.height_max * _scale(row, fastener)
    limit_in = row.width_max * _scale(row, fastener)
    check = make_check(
        HEAD_GREATEST,
        cylinder_diameter(head.volume_in3, height_in),
        limit_in,
        unit="in",
        comparison="at most",
        citations=unique_citations((row.citation(question), *head.citations)),
        template="sqrt({V} / (pi/4 x {h_max})) <= {w_max}",
        terms=(
            Term("V", head.volume_in3, "in3"),
            Term("h_max", height_in, "in"),
            Term("w_max", limit_in, "in"),
        ),
        where=where,
    )
    return replace(check, reason=_not_stated(row, fastener))


def _not_stated(row: DrivenHeadRow, fastener: Fastener) -> str:
    """Return what to say of limits that name no material, for a rivet that is not of aluminium."""
    if row.group != _NOT_STATED or rivet_metal(fastener) == "aluminium":
        return ""
    alloy = material(fastener)
    return (
        "the document names no material, and no greatest shop head of "
        f"{alloy.alloy if alloy else 'this'} rivets is on file: ask the maker's data"
    )


@dataclass(frozen=True, slots=True)
class ShopHeadLimits:
    """What a shop head should measure [in]; None where no limit is on file.

    The least width and height, the greatest, and the target, each with where it comes from.
    """

    width_min_in: float | None
    height_min_in: float | None
    width_max_in: float | None
    height_max_in: float | None
    target_width_in: float
    target_height_in: float
    least: Citation | None
    greatest: Citation | None
    target: tuple[Citation, ...]


def shop_head_limits(fastener: Fastener, book: RuleBook) -> ShopHeadLimits:
    """Return what the shop head of a rivet should measure.

    Parameters
    ----------
    fastener
        The rivet; its material and diameter pick the limits.
    book
        The rules in force.

    Examples
    --------
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> from rivetkit.rules import RuleBook
    >>> limits = shop_head_limits(parse_part_number("MS20470AD4"), RuleBook.named())
    >>> limits.width_min_in, limits.height_min_in, limits.width_max_in, limits.height_max_in
    (0.1625, 0.0375, 0.21, 0.08)

    References
    ----------
    MIL-HDBK-5H p 8-9: at least 1.3 D wide (7050: 1.4 D) and 0.3 D high.
    """
    least = _limits("driven_head_least", fastener, book)
    greatest = _limits("driven_head_greatest", fastener, book)

    def size(row: DrivenHeadRow | None, value: float | None) -> float | None:
        return None if row is None or value is None else round(value * _scale(row, fastener), 12)

    width, height = book.rule("shop_head_target_width"), book.rule("shop_head_target_height")
    return ShopHeadLimits(
        width_min_in=size(least, least.width_min if least else None),
        height_min_in=size(least, least.height_min if least else None),
        width_max_in=size(greatest, greatest.width_max if greatest else None),
        height_max_in=size(greatest, greatest.height_max if greatest else None),
        target_width_in=width.length_in(diameter_in=fastener.diameter_in),
        target_height_in=height.length_in(diameter_in=fastener.diameter_in),
        least=least.citation("driven_head_least") if least else None,
        greatest=greatest.citation("driven_head_greatest") if greatest else None,
        target=unique_citations((width.citation, height.citation)),
    )


def _limits(question: str, fastener: Fastener, book: RuleBook) -> DrivenHeadRow | None:
    """Return the scheme's row for a rivet: its own material group before any, its own size too.

    A row of a document that names no material comes last.
    """
    scheme = book.choice(question).choice
    alloy = material(fastener)
    for group in (alloy.group if alloy else _ANY, _ANY, _NOT_STATED):
        rows: list[DrivenHeadRow] = [
            row
            for row in load_table(DrivenHeadRow)
            if row.scheme == scheme
            and row.group == group
            and (row.diameter is None or _is(row.diameter, fastener.diameter_in))
        ]
        if rows:
            # A row for this very diameter goes before one in multiples of D.
            return min(rows, key=lambda row: row.diameter is None)
    return None


def _is(diameter: Fraction, diameter_in: float) -> bool:
    return math.isclose(float(diameter), diameter_in, abs_tol=1e-9)


def _scale(row: DrivenHeadRow, fastener: Fastener) -> float:
    return fastener.diameter_in if row.unit == "D" else 1.0


def _no_limits(name: str, question: str, fastener: Fastener, book: RuleBook, where: str) -> Check:
    size, alloy = fastener.diameter_in, fastener.material or "unnamed material"
    return not_checked(
        name,
        length_words("no such limit on file for a {size} rivet of {alloy}", size=size, alloy=alloy),
        where=where,
        citations=(book.choice(question).citation(question),),
        comparison="at least" if name == HEAD_LEAST else "at most",
    )
