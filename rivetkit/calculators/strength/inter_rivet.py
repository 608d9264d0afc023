"""Buckling of a sheet between two rivets of a row, under compression along the row."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.calculators.strength.row_strength import formula_citation
from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.strength import InterRivetFixityRow
from rivetkit.materials import elastic_modulus, missing_words, tension_yield

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.strength.layer_bearing import StrengthLayer
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

INTER_RIVET = "buckling between rivets"

HoldingHead = Literal["protruding", "round", "flush", "shop_head"]

_ROUND_HEADS = {"round", "brazier"}


@dataclass(frozen=True, slots=True)
class FixitySpread:
    """What one document says of the head, and the stress that follows [ksi]."""

    fixity: float
    stress_ksi: float
    citation: Citation


@dataclass(frozen=True, slots=True)
class InterRivet:
    """The compressive stress at which one sheet buckles between its rivets [ksi].

    ``stress_ksi`` is the elastic figure and may exceed ``yield_ksi``; ``credited_ksi`` does not.
    ``spread`` holds what every document on file says of this head, the one in force included.
    """

    layer: str
    head: HoldingHead
    fixity: float
    stress_ksi: float
    yield_ksi: float | None
    spread: tuple[FixitySpread, ...]
    working: Working
    citations: tuple[Citation, ...]

    @property
    def credited_ksi(self) -> float | None:
        """The stress the sheet may be credited with [ksi]; none where its yield is not known."""
        return None if self.yield_ksi is None else min(self.stress_ksi, self.yield_ksi)


def buckling_stress_ksi(
    thickness_in: float, *, pitch_in: float, fixity: float, modulus_ksi: float
) -> float:
    """Return the elastic buckling stress of a sheet between two rivets [ksi].

    Parameters
    ----------
    thickness_in
        Sheet thickness [in].
    pitch_in
        Rivet to rivet [in].
    fixity
        End fixity: 1 pinned, 4 clamped.
    modulus_ksi
        Elastic modulus [ksi].

    Raises
    ------
    InputError
        When a length is not one.

    Examples
    --------
    >>> round(buckling_stress_ksi(0.032, pitch_in=1.0, fixity=4, modulus_ksi=10_500), 1)
    35.4

    References
    ----------
    Public aerospace stress notes, column form: c pi^2 E / 12 (t/p)^2. The plate form is
    1/(1 - nu^2), about 12 percent, higher.
    """
    require_length(thickness_in, "the sheet thickness")
    require_length(pitch_in, "the pitch")
    return fixity * math.pi**2 * modulus_ksi / 12 * (thickness_in / pitch_in) ** 2


def holding_head(
    fastener: Fastener, layers: Sequence[StrengthLayer], place: int
) -> HoldingHead | None:
    """Return what holds a layer down at the rivet; None for a blind rivet, which no text covers.

    Parameters
    ----------
    fastener
        The rivet.
    layers
        From the manufactured head on.
    place
        Which of them, counted from 0.
    """
    if fastener.blind:
        return None
    if layers[place].form != "plain":
        return "flush"
    if place == len(layers) - 1 and place > 0:
        return "shop_head"
    return "round" if fastener.head in _ROUND_HEADS else "protruding"


def inter_rivet(
    layer: StrengthLayer, *, pitch_in: float, head: HoldingHead, book: RuleBook
) -> InterRivet | None:
    """Return the stress at which a layer buckles between its rivets; None without its modulus.

    Parameters
    ----------
    layer
        The layer.
    pitch_in
        Rivet to rivet [in].
    head
        What holds it down, from :func:`holding_head`.
    book
        The rules in force.

    Raises
    ------
    InputError
        When a length is not one.
    """
    modulus = elastic_modulus(layer.alloy, layer.thickness_in)
    if modulus is None:
        return None
    rows = [row for row in load_table(InterRivetFixityRow) if row.head == head]
    scheme = book.choice(f"inter_rivet_fixity_{head}").choice
    chosen = next(row for row in rows if row.scheme == scheme)

    def stress_ksi(fixity: float) -> float:
        return buckling_stress_ksi(
            layer.thickness_in, pitch_in=pitch_in, fixity=fixity, modulus_ksi=modulus.value_ksi
        )

    spread = [FixitySpread(row.fixity, stress_ksi(row.fixity), row.citation()) for row in rows]
    found = tension_yield(layer.alloy, layer.thickness_in)
    cited = [formula_citation("inter-rivet-buckling"), chosen.citation(), modulus.citation]
    if found is not None:
        cited.append(found.citation)
    terms = (
        Term("F", stress_ksi(chosen.fixity), "ksi"),
        Term("c", chosen.fixity),
        Term("E", modulus.value_ksi, "ksi"),
        Term("t", layer.thickness_in, "in"),
        Term("p", pitch_in, "in"),
    )
    template = "{F} = {c} x pi^2 x {E} / 12 x ({t} / {p})^2"
    name = f"{INTER_RIVET}, {layer.name}"
    citations = unique_citations(cited)
    return InterRivet(
        layer=layer.name,
        head=head,
        fixity=chosen.fixity,
        stress_ksi=stress_ksi(chosen.fixity),
        yield_ksi=None if found is None else found.value_ksi,
        spread=tuple(sorted(spread, key=lambda one: one.fixity)),
        working=Working(name, stress_ksi(chosen.fixity), "ksi", template, terms, citations[:3]),
        citations=citations,
    )


def check_inter_rivet(
    buckling: InterRivet | None,
    layer: StrengthLayer,
    *,
    applied_ksi: float | None = None,
) -> Check:
    """Return the check that a layer does not buckle between its rivets.

    Parameters
    ----------
    buckling
        From :func:`inter_rivet`; none where it could not be worked out.
    layer
        The layer.
    applied_ksi
        The compressive stress in it [ksi]; left out, its yield stress, so that the sheet is good
        for all it can carry. The tensile yield stands in for the compressive one.

    References
    ----------
    Public aerospace stress notes, inter-rivet buckling: the column form.
    """
    if buckling is None:
        reason = missing_words("modulus", layer.alloy, layer.thickness_in)
        return not_checked(INTER_RIVET, reason, where=layer.name)
    if buckling.yield_ksi is None or buckling.credited_ksi is None:
        reason = missing_words("tension yield", layer.alloy, layer.thickness_in)
        return not_checked(INTER_RIVET, reason, where=layer.name, citations=buckling.citations)
    if applied_ksi is None:
        value_ksi, limit_ksi, symbol = buckling.stress_ksi, buckling.yield_ksi, "Fty"
    else:
        value_ksi, limit_ksi, symbol = buckling.credited_ksi, applied_ksi, "f"
    terms = (*buckling.working.terms[1:], Term(symbol, limit_ksi, "ksi"))
    left = "{c} x pi^2 x {E} / 12 x ({t} / {p})^2"
    if applied_ksi is not None and buckling.stress_ksi > buckling.yield_ksi:
        left, terms = "{Fty}", (Term("Fty", buckling.yield_ksi, "ksi"), terms[-1])
    return make_check(
        INTER_RIVET,
        value_ksi,
        limit_ksi,
        unit="ksi",
        comparison="at least",
        citations=buckling.citations,
        template=f"{left} >= {{{symbol}}}",
        terms=terms,
        where=layer.name,
    )
