"""Metals that meet at rivets and must not touch bare, as a section, data and a caution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.handbook.sources import weakest_basis
from rivetkit.reports.document import (
    Column,
    Paragraph,
    Section,
    Table,
    basis_mark,
    place_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.metal_contact import MetalContact, MetalReview, Touching

_DISSIMILAR = "no bare metal may touch bare metal of the other kind. Seal or insulate them."

_PLATING = (
    "Plating counts and not the metal under it; what a rivet or a sheet is plated with is not on "
    "file."
)


def metal_section(review: MetalReview, wheres: Sequence[str] = ()) -> tuple[Section, ...]:
    """Return the section on dissimilar metals; none where no two meet.

    Parameters
    ----------
    review
        What was found.
    wheres
        The rows each contact is in; none for a single rivet.
    """
    if not review.contacts:
        return ()
    places = list(wheres) or [""] * len(review.contacts)
    columns = (
        Column("where", wrap=True),
        Column("between", wrap=True),
        Column("and", wrap=True),
        Column("corrodes", wrap=True),
        Column("basis", weight=6),
    )
    rows = tuple(
        (place, _words(contact.one), _words(contact.other), _corrodes(contact), _basis(contact))
        for place, contact in zip(places, review.contacts, strict=True)
    )
    asked = "; ".join(f"{one.words} ({place_words(one.citation)})" for one in review.advice)
    words = f"Documents ask: {asked}. {_PLATING}"
    return (Section("Dissimilar metals", (Table(columns, rows), Paragraph(words))),)


def metal_cautions(review: MetalReview) -> tuple[str, ...]:
    """Return the caution on dissimilar metals; none where no two meet."""
    if not review.contacts:
        return ()
    meet = "meet" if any(contact.known for contact in review.contacts) else "may meet"
    return (f"Dissimilar metals {meet} here: {_DISSIMILAR}",)


def metal_data(review: MetalReview, wheres: Sequence[str] = ()) -> dict[str, object]:
    """Return the contacts and what the documents ask as JSON data; see :func:`metal_section`."""
    places = list(wheres) or [""] * len(review.contacts)
    return {
        "dissimilar_metals": [
            {
                **({"where": place} if place else {}),
                "between": [contact.one.name, contact.other.name],
                "metals": [contact.one.metal, contact.other.metal],
                "known": contact.known,
                "corrodes": contact.corrodes or None,
            }
            for place, contact in zip(places, review.contacts, strict=True)
        ],
        "metals_advice": [
            {
                "asks": one.words,
                "source": one.citation.source,
                "locator": one.citation.locator,
                "basis": one.citation.basis,
            }
            for one in review.advice
        ],
    }


def _words(one: Touching) -> str:
    return f"{one.name} ({one.metal or 'metal not known'})"


def _corrodes(contact: MetalContact) -> str:
    return contact.corrodes if contact.known else "not known"


def _basis(contact: MetalContact) -> str:
    return basis_mark(weakest_basis(tuple(one.basis for one in contact.citations)))
