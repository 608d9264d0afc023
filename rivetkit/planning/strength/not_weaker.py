"""Joints that cannot be weaker than they were, whatever their strength is."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.handbook import Citation
from rivetkit.materials import split_alloy

if TYPE_CHECKING:
    from rivetkit.calculators.strength.joint_strength import StrengthLayer
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.planning.strength.row_joints import AlikeHoles
    from rivetkit.rules import RuleBook

SAME_RIVET = Citation(
    rule="not-weaker",
    source="rivetkit-derived",
    locator="like rivets in like places, every sheet as thick or thicker, of the same alloy",
    basis="derived",
)
LARGER_RIVET = Citation(
    rule="next-size-up",
    source="ac43",
    locator="par 4-57b, p 4-16: a spoiled hole takes the next larger rivet of its kind where edge "
    "and spacing still hold",
    basis="derived",
)


def not_weaker(holes: AlikeHoles, book: RuleBook) -> Citation | None:
    """Return why a joint cannot carry less than before, or None where that cannot be said.

    Every way a joint gives way gets no easier when the rivet is the same or a larger one of its
    kind, no sheet thinner or of another alloy, no edge nearer, and the forms the same. A larger
    rivet must also keep the edge distance at which bearing is credited in full.

    Parameters
    ----------
    holes
        Holes that change alike.
    book
        The rules in force.
    """
    before, after = holes.before, holes.after
    if before is None or after is None or before.why or after.why or holes.left_off:
        return None
    larger = after.part.diameter_in - before.part.diameter_in
    if not _same_kind(before.part, after.part) or larger < -LIMIT_TOLERANCE:
        return None
    if not all(map(_no_worse, before.layers, after.layers)):
        return None
    if holes.moved and any(one.edge_in is None for one in after.layers):
        return None  # it may have moved toward an edge nobody measured
    if larger <= LIMIT_TOLERANCE:
        return SAME_RIVET if before.hole_in == after.hole_in else None
    full = book.rule("bearing_edge_credited")
    hole_in = max(after.part.diameter_in, after.hole_in or 0.0)
    full_in = full.length_in(diameter_in=hole_in)
    roomy = all(one.edge_in is not None and one.edge_in >= full_in for one in after.layers)
    return LARGER_RIVET if roomy else None


def _same_kind(one: Fastener, other: Fastener) -> bool:
    """Return whether two rivets differ in size at most."""
    sized = replace(
        other, diameter_code=one.diameter_code, diameter_in=one.diameter_in, standard=one.standard
    )
    return sized == one


def _no_worse(old: StrengthLayer, new: StrengthLayer) -> bool:
    if (old.name, old.form) != (new.name, new.form):
        return False
    if split_alloy(old.alloy) != split_alloy(new.alloy):
        return False
    if new.thickness_in < old.thickness_in - LIMIT_TOLERANCE:
        return False
    if old.edge_in is None or new.edge_in is None:
        return old.edge_in is None and new.edge_in is None
    return new.edge_in >= old.edge_in - LIMIT_TOLERANCE
