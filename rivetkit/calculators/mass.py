"""What a solid rivet weighs, from its shape and its metal's density."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working, unique_citations
from rivetkit.checks import Term
from rivetkit.fasteners.catalogue import dimension
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.materials import DensityRow

if TYPE_CHECKING:
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation


_DOMED = ("universal", "round", "brazier")


@dataclass(frozen=True, slots=True)
class ComputedMass:
    """The mass of one rivet, computed; no published mass stands behind it."""

    mass_lb: float
    volume_in3: float
    head_in3: float
    #: The straight part of the shank, the head's cone left out.
    shank_in3: float
    density_lb_per_in3: float
    workings: tuple[Working, ...]
    citations: tuple[Citation, ...]

    @property
    def mass_lb_per_1000(self) -> float:
        """Mass of a thousand [lb]."""
        return self.mass_lb * 1000.0


def spherical_cap_volume(diameter_in: float, height_in: float) -> float:
    """Return the volume of a spherical cap [in3], for domed heads.

    Parameters
    ----------
    diameter_in
        Across its flat face [in].
    height_in
        Its height [in].

    Examples
    --------
    Half a ball of 2 in diameter:

    >>> round(spherical_cap_volume(2.0, 1.0) / (2 / 3 * math.pi), 12)
    1.0
    """
    return math.pi * height_in / 6 * (3 * (diameter_in / 2) ** 2 + height_in**2)


def frustum_volume(wide_in: float, narrow_in: float, height_in: float) -> float:
    """Return the volume of a cone cut off square [in3], for flush heads.

    Parameters
    ----------
    wide_in, narrow_in
        Diameters of its two faces [in].
    height_in
        Its height [in].

    Examples
    --------
    With equal faces it is a cylinder:

    >>> round(frustum_volume(1.0, 1.0, 1.0) / (math.pi / 4), 12)
    1.0
    """
    return math.pi * height_in / 12 * (wide_in**2 + wide_in * narrow_in + narrow_in**2)


def rivet_mass_lb(fastener: Fastener) -> ComputedMass | None:
    """Return the mass of a solid rivet, undriven or driven.

    Domed heads are taken as spherical caps, flush heads as cone frustums that begin at the shank,
    flat heads as discs. The shank is a cylinder of nominal diameter.

    Parameters
    ----------
    fastener
        A solid rivet with its length.

    Returns
    -------
    ComputedMass or None
        None when its length, its head's size or its metal's density is not known, or it is blind.

    Examples
    --------
    >>> from rivetkit.fasteners import parse_part_number
    >>> round(rivet_mass_lb(parse_part_number("MS20470AD5-5")).mass_lb_per_1000, 2)
    0.86
    """
    density = _density(fastener)
    sizes = _head_sizes(fastener)
    if fastener.blind or fastener.length_in is None or density is None or sizes is None:
        return None
    head = _head(fastener, sizes)
    straight_in = fastener.length_in
    if fastener.length_datum == "overall":
        straight_in -= sizes.height_in
    if head is None or straight_in < 0:
        return None
    shank = _shank(fastener, straight_in)
    volume_in3 = head.value + shank.value
    mass = Working(
        "mass",
        volume_in3 * density.density_lb_per_in3,
        "lb",
        "({V_head} + {V_shank}) x {rho}",
        (
            Term("V_head", head.value, "in3"),
            Term("V_shank", shank.value, "in3"),
            Term("rho", density.density_lb_per_in3, "lb/in3"),
        ),
        (density.citation(),),
    )
    return ComputedMass(
        mass_lb=mass.value,
        volume_in3=volume_in3,
        head_in3=head.value,
        shank_in3=shank.value,
        density_lb_per_in3=density.density_lb_per_in3,
        workings=(head, shank, mass),
        citations=unique_citations((*sizes.citations, density.citation())),
    )


@dataclass(frozen=True, slots=True)
class _HeadSizes:
    width_in: float
    height_in: float
    citations: tuple[Citation, ...]


def _head_sizes(fastener: Fastener) -> _HeadSizes | None:
    width = dimension(fastener, "head_diameter")
    height = dimension(fastener, "head_height")
    if width is None or height is None or width.nominal_in is None or height.nominal_in is None:
        return None
    citations = unique_citations((width.citation, height.citation))
    return _HeadSizes(width.nominal_in, height.nominal_in, citations)


def _head(fastener: Fastener, sizes: _HeadSizes) -> Working | None:
    width = Term("A", sizes.width_in, "in")
    height = Term("H", sizes.height_in, "in")
    terms: tuple[Term, ...] = (height, width)
    if fastener.flush:
        value = frustum_volume(sizes.width_in, fastener.diameter_in, sizes.height_in)
        template = "pi x {H} / 12 x ({A}^2 + {A} x {D} + {D}^2)"
        terms = (*terms, Term("D", fastener.diameter_in, "in"))
    elif fastener.head in _DOMED:
        value = spherical_cap_volume(sizes.width_in, sizes.height_in)
        template = "pi x {H} / 6 x (3 x ({A} / 2)^2 + {H}^2)"
    elif fastener.head == "flat":
        value = math.pi / 4 * sizes.width_in**2 * sizes.height_in
        template = "pi / 4 x {A}^2 x {H}"
    else:
        return None
    return Working("head", value, "in3", template, terms, sizes.citations)


def _shank(fastener: Fastener, straight_in: float) -> Working:
    value = math.pi / 4 * fastener.diameter_in**2 * straight_in
    terms = (Term("D", fastener.diameter_in, "in"), Term("L", straight_in, "in"))
    return Working("shank", value, "in3", "pi / 4 x {D}^2 x {L}", terms)


def _density(fastener: Fastener) -> DensityRow | None:
    rows: tuple[DensityRow, ...] = load_table(DensityRow)
    return next(
        (row for row in rows if row.kind == "rivet" and row.material == fastener.material), None
    )
