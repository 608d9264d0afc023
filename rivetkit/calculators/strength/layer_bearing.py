"""How much load one rivet puts into one layer: bearing, and the edge distance it needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.limits import Working, require_length, unique_citations
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, make_check, not_checked
from rivetkit.materials import bearing_ultimate, missing_words
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from rivetkit.calculators.stack import Form
    from rivetkit.handbook import Citation
    from rivetkit.materials import BearingStress
    from rivetkit.rules import RuleBook

BEARING = "bearing"
BEARING_EDGE = "edge for bearing"
BEARING_SHEET = "sheet for bearing"

_PSI_PER_KSI = 1000.0


@dataclass(frozen=True, slots=True)
class StrengthLayer:
    """One layer of a joint: name, alloy, thickness [in], edge distance [in], what is formed.

    ``edge_in`` is the rivet centre to the nearest free edge, none when nobody gave it.
    """

    name: str
    alloy: str
    thickness_in: float
    edge_in: float | None = None
    form: Form = "plain"


@dataclass(frozen=True, slots=True)
class LayerBearing:
    """What a layer carries under one rivet.

    ``load_lbf`` is none where it is not known; the checks say why. ``least_edge_lbf`` and
    ``full_edge_lbf`` are what it would carry at 1.5 and at 2 hole diameters from the edge.
    ``share`` is the part of the joint's load that goes through this layer.
    """

    layer: StrengthLayer
    edge_ratio: float | None
    stress_ksi: float | None
    load_lbf: float | None
    least_edge_lbf: float | None
    full_edge_lbf: float | None
    allowable: str
    share: float
    checks: tuple[Check, ...]
    workings: tuple[Working, ...]
    citations: tuple[Citation, ...]


def layer_bearing(
    layer: StrengthLayer,
    book: RuleBook,
    *,
    diameter_in: float,
    hole_in: float,
    credited_in: float,
    share: float,
) -> LayerBearing:
    """Return what one layer carries in bearing under one rivet.

    Parameters
    ----------
    layer
        The layer.
    book
        The rules in force.
    diameter_in
        Nominal rivet diameter [in].
    hole_in
        The hole as drilled [in]; the edge distance is counted in it.
    credited_in
        The diameter the load is worked out on [in].
    share
        The part of the joint's load that goes through this layer.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    MIL-HDBK-5H p 8-9: bearing load is stress times hole times thickness, from 0.18 hole diameters
    of thickness on. Interpolation between 1.5 D and 2 D, and none credited beyond, is recalled.
    """
    require_length(layer.thickness_in, f"the thickness of '{layer.name}'")
    if layer.edge_in is not None:
        require_length(layer.edge_in, f"the edge distance in '{layer.name}'", zero_allowed=True)
    stress = bearing_ultimate(layer.alloy, layer.thickness_in)
    ratio = None if layer.edge_in is None else layer.edge_in / hole_in
    sheet = check_bearing_sheet(layer.thickness_in, hole_in=hole_in, book=book, where=layer.name)
    checks, workings = [sheet], []
    stress_ksi = None
    if stress is None:
        reason = missing_words("bearing", layer.alloy, layer.thickness_in)
        checks.append(not_checked(BEARING, reason, where=layer.name))
    else:
        edge, line = _credited_stress(layer, stress, book, diameter_in=diameter_in, hole_in=hole_in)
        checks.append(edge)
        if line is not None:
            stress_ksi = line.value
            workings = [line, _load_working(layer, stress_ksi, credited_in, stress.citation)]
    area_in2 = credited_in * layer.thickness_in
    per_ksi_lbf = area_in2 * _PSI_PER_KSI
    least_ksi = stress.least_edge_ksi if stress else None
    cited = [c for line in workings for c in line.citations]
    cited += [c for check in checks for c in check.citations]
    return LayerBearing(
        layer=layer,
        edge_ratio=ratio,
        stress_ksi=stress_ksi,
        load_lbf=None if stress_ksi is None else stress_ksi * per_ksi_lbf,
        least_edge_lbf=None if least_ksi is None else least_ksi * per_ksi_lbf,
        full_edge_lbf=None if stress is None else stress.full_edge_ksi * per_ksi_lbf,
        allowable=stress.allowable if stress else "",
        share=share,
        checks=tuple(checks),
        workings=tuple(workings),
        citations=unique_citations(cited),
    )


def check_bearing_sheet(
    thickness_in: float, *, hole_in: float, book: RuleBook, where: str = ""
) -> Check:
    """Return the check that a sheet is thick enough for tabulated bearing stresses to hold.

    Parameters
    ----------
    thickness_in
        Sheet thickness [in].
    hole_in
        Hole diameter [in].
    book
        The rules in force.
    where
        The layer.

    Raises
    ------
    InputError
        When a length is not one.

    References
    ----------
    MIL-HDBK-5H p 8-9: below t/D 0.18 yield and ultimate load are to be found by test.
    """
    require_length(thickness_in, "the sheet thickness")
    require_length(hole_in, "the hole")
    rule = book.rule("bearing_thickness_ratio_min")
    least_in = rule.length_in(diameter_in=hole_in)
    if rule.unit == "D":
        template = "{t} >= {k} x {d}"
        terms: tuple[Term, ...] = (Term("k", rule.value), Term("d", hole_in, "in"))
    else:
        template, terms = "{t} >= {c}", (Term("c", least_in, "in"),)
    return make_check(
        BEARING_SHEET,
        thickness_in,
        least_in,
        unit="in",
        comparison="at least",
        citations=(rule.citation,),
        template=template,
        terms=(Term("t", thickness_in, "in"), *terms),
        where=where,
    )


def _credited_stress(
    layer: StrengthLayer,
    stress: BearingStress,
    book: RuleBook,
    *,
    diameter_in: float,
    hole_in: float,
) -> tuple[Check, Working | None]:
    """Return the check of the edge distance and, where it is enough, the stress it earns [ksi]."""
    least, full = book.rule("bearing_edge_least"), book.rule("bearing_edge_credited")
    if layer.edge_in is None:
        reason = "no edge distance was given for this layer"
        return not_checked(
            BEARING_EDGE, reason, where=layer.name, citations=(least.citation,)
        ), None
    # A document that states one figure asks for the edge in rivet diameters, not in holes.
    one_figure = stress.least_edge_ksi is None
    rule, size_in, symbol = (full, diameter_in, "D") if one_figure else (least, hole_in, "d")
    needed_in = rule.length_in(diameter_in=size_in)
    if layer.edge_in < needed_in - LIMIT_TOLERANCE:
        reason = _too_near_words(layer.edge_in, needed_in, one_figure=one_figure)
        cited = unique_citations((rule.citation, stress.citation))
        return not_checked(BEARING_EDGE, reason, where=layer.name, citations=cited), None
    check = make_check(
        BEARING_EDGE,
        layer.edge_in,
        needed_in,
        unit="in",
        comparison="at least",
        citations=(rule.citation,),
        template=f"{{e}} >= {{k}} x {{{symbol}}}",
        terms=(
            Term("e", layer.edge_in, "in"),
            Term("k", needed_in / size_in),
            Term(symbol, size_in, "in"),
        ),
        where=layer.name,
    )
    ratios = tuple(r.length_in(diameter_in=hole_in) / hole_in for r in (least, full))
    cited = unique_citations((stress.citation, least.citation, full.citation))
    return check, _stress_working(layer, stress, layer.edge_in / hole_in, ratios, cited)


def _too_near_words(edge_in: float, needed_in: float, *, one_figure: bool) -> str:
    if one_figure:
        return length_words(
            "the bearing stress on file is credited from an edge distance of {needed:.4g} on, not "
            "at {edge}: its document gives no lower one",
            needed=needed_in,
            edge=edge_in,
        )
    return length_words(
        "an edge distance of {edge} is under the {needed:.4g} where the bearing stresses begin; it "
        "takes a test or a lug analysis",
        edge=edge_in,
        needed=needed_in,
    )


def _stress_working(
    layer: StrengthLayer,
    stress: BearingStress,
    ratio: float,
    ratios: tuple[float, ...],
    citations: tuple[Citation, ...],
) -> Working:
    name = f"bearing stress, {layer.name}"
    low, high = ratios
    if stress.least_edge_ksi is None or ratio >= high:
        terms: tuple[Term, ...] = (Term("Fbru", stress.full_edge_ksi, "ksi"),)
        template = "{Fbru}, more edge earns nothing"
        return Working(name, stress.full_edge_ksi, "ksi", template, terms, citations)
    step_ksi = stress.full_edge_ksi - stress.least_edge_ksi
    # The check lets an edge pass that is short by rounding only.
    part = max(0.0, ratio - low) / (high - low)
    value_ksi = stress.least_edge_ksi + part * step_ksi
    terms = (
        Term("Fbru", value_ksi, "ksi"),
        Term("F1", stress.least_edge_ksi, "ksi"),
        Term("F2", stress.full_edge_ksi, "ksi"),
        Term("x", ratio),
        Term("x1", low),
        Term("x2", high),
    )
    template = "{Fbru} = {F1} + ({F2} - {F1}) x ({x} - {x1}) / ({x2} - {x1})"
    return Working(name, value_ksi, "ksi", template, terms, citations)


def _load_working(
    layer: StrengthLayer, stress_ksi: float, credited_in: float, citation: Citation
) -> Working:
    stress_psi = stress_ksi * _PSI_PER_KSI
    load_lbf = stress_psi * credited_in * layer.thickness_in
    terms = (
        Term("P", load_lbf, "lbf"),
        Term("Fbru", stress_psi, "psi"),
        Term("d", credited_in, "inch"),
        Term("t", layer.thickness_in, "inch"),
    )
    template = "{P} = {Fbru} x {d} x {t}"
    return Working(f"bearing load, {layer.name}", load_lbf, "lbf", template, terms, (citation,))
