"""Which metals meet at a rivet, and what the documents ask where they are dissimilar."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, Protocol

from rivetkit.calculators.limits import unique_citations
from rivetkit.checks import Check, not_checked, word_check
from rivetkit.fasteners.catalogue import base_alloy, material, rivet_metal
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.materials import MetalGroupRow
from rivetkit.handbook.rows.practice import MetalContactRow
from rivetkit.materials import sheet_metal

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation

RIVET_ALLOY = "rivet alloy for the metal"

_ALUMINIUM, _NO_METAL = "aluminium", "none"


class NamedAlloy(Protocol):
    """A sheet by name, and its alloy, which is empty where nobody told it."""

    @property
    def name(self) -> str:
        """What the sheet is called."""

    @property
    def alloy(self) -> str:
        """Its alloy."""


@dataclass(frozen=True, slots=True)
class Touching:
    """One of the two that touch: what it is called, and its metal; None where that is not known."""

    name: str
    metal: str | None
    citations: tuple[Citation, ...] = ()


@dataclass(frozen=True, slots=True)
class MetalContact:
    """A rivet in a sheet, or a sheet on a sheet, of metals of different groups.

    ``between`` tells which of the two. ``known`` is false where the metal of one is not known and
    that of the other is not aluminium, so that they may be dissimilar. ``corrodes`` is the one that
    does, where known.
    """

    between: Literal["rivet", "sheets"]
    one: Touching
    other: Touching
    known: bool
    corrodes: str
    citations: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class Advice:
    """What a document asks where dissimilar metals meet."""

    words: str
    citation: Citation


@dataclass(frozen=True, slots=True)
class MetalReview:
    """What a rivet's metals come to: the contacts to protect, how, and the checks."""

    contacts: tuple[MetalContact, ...] = ()
    checks: tuple[Check, ...] = ()

    @property
    def advice(self) -> tuple[Advice, ...]:
        """What the documents ask for these contacts."""
        return tuple(
            Advice(row.words, row.citation())
            for row in load_table(MetalContactRow)
            if row.demand == "protect" and any(_asked(row, contact) for contact in self.contacts)
        )

    @property
    def citations(self) -> tuple[Citation, ...]:
        """Where the contacts and the advice come from."""
        cited = [citation for contact in self.contacts for citation in contact.citations]
        return unique_citations((*cited, *(one.citation for one in self.advice)))


def _asked(row: MetalContactRow, contact: MetalContact) -> bool:
    metals = {"any", contact.one.metal, contact.other.metal}
    return row.between == contact.between and row.metal in metals


def review_metals(fastener: Fastener, layers: Sequence[NamedAlloy]) -> MetalReview:
    """Return which dissimilar metals meet at a rivet, and whether its alloy may go there.

    A metal that is not on file is not guessed. Where neither is known, or one is and is
    aluminium, as nearly all sheets and rivets are, nothing is said.

    Parameters
    ----------
    fastener
        The rivet; the metal is that of its shank, or of a blind rivet's body.
    layers
        The sheets, in the order they lie on each other.

    Examples
    --------
    >>> from rivetkit.calculators.stack import Layer
    >>> from rivetkit.fasteners.part_number import parse_part_number
    >>> stack = [Layer("skin", 0.032, alloy="2024-T3"), Layer("rib", 0.04, alloy="4130")]
    >>> review = review_metals(parse_part_number("MS20470AD4"), stack)
    >>> [(contact.one.name, contact.other.name) for contact in review.contacts]
    [('MS20470AD4', 'rib'), ('skin', 'rib')]

    References
    ----------
    AC 43.13-1B par 7-2 d, p 7-1: magnesium is riveted with 5056 alone. The groups of metals and
    what to do where two meet stand in the tables, each with its document.
    """
    rivet = _rivet(fastener)
    sheets = [_sheet(layer) for layer in layers]
    contacts = [
        contact
        for sheet in sheets
        # A metal that takes one rivet alloy alone has a check of its own.
        if not _only(sheet.metal)
        for contact in _contact("rivet", rivet, sheet)
    ]
    for one, other in pairwise(sheets):
        contacts += _contact("sheets", one, other)
    checks = [
        _alloy_check(fastener, sheet.name, only) for sheet in sheets if (only := _only(sheet.metal))
    ]
    return MetalReview(tuple(contacts), tuple(checks))


def _rivet(fastener: Fastener) -> Touching:
    row = material(fastener)
    if row is None:
        return Touching(fastener.designation, None)
    return Touching(fastener.designation, rivet_metal(fastener), (row.citation(),))


def _sheet(layer: NamedAlloy) -> Touching:
    found = sheet_metal(layer.alloy)
    if found is None:
        return Touching(layer.name, None)
    metal, citation = found
    return Touching(layer.name, metal, (citation,))


def _only(metal: str | None) -> tuple[MetalContactRow, ...]:
    """Return the rows that name the one rivet alloy a metal takes."""
    rows = load_table(MetalContactRow)
    return tuple(row for row in rows if row.demand == "only" and row.metal == metal)


@cache
def _groups() -> dict[str, MetalGroupRow]:
    return {row.metal: row for row in load_table(MetalGroupRow)}


def _contact(
    between: Literal["rivet", "sheets"], one: Touching, other: Touching
) -> Iterator[MetalContact]:
    """Yield the contact of two that touch, unless their metals are alike or there is one only."""
    metals = {one.metal, other.metal}
    if _NO_METAL in metals or metals <= {None, _ALUMINIUM}:
        return
    cited = (*one.citations, *other.citations)
    if one.metal is None or other.metal is None:
        yield MetalContact(between, one, other, known=False, corrodes="", citations=cited)
        return
    first, second = _groups()[one.metal], _groups()[other.metal]
    if first.group != second.group:
        corrodes = one if first.group < second.group else other
        cited = (*cited, first.citation(), second.citation())
        yield MetalContact(between, one, other, known=True, corrodes=corrodes.name, citations=cited)


def _alloy_check(fastener: Fastener, name: str, only: tuple[MetalContactRow, ...]) -> Check:
    """Return the check of a rivet in a sheet whose metal takes one alloy and no other."""
    citations = tuple(row.citation() for row in only)
    said = f"{only[0].metal} takes rivets of {only[0].rivet_alloy} alone"
    alloy = base_alloy(fastener)
    if not alloy:
        reason = f"{said}, and the alloy of {fastener.designation} is not on file"
        return not_checked(RIVET_ALLOY, reason, where=name, citations=citations)
    fits = alloy in {row.rivet_alloy for row in only}
    reason = said if fits else f"{said}, and {fastener.designation} is {alloy}"
    return word_check(RIVET_ALLOY, holds=fits, reason=reason, where=name, citations=citations)
