"""A part number read out: what the rivet is, its hole, its lengths and its strength."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.handbook.sources import weakest_basis
from rivetkit.quantities import format_length, words_in_unit
from rivetkit.reports.amounts import (
    length_entry,
    length_number,
    mass_in_unit,
    mass_number,
    mass_unit,
)
from rivetkit.reports.arithmetic import working_section
from rivetkit.reports.cautions import LOOKUP_CAUTIONS
from rivetkit.reports.document import (
    Column,
    Fact,
    Facts,
    Report,
    Section,
    Table,
    collect_citations,
)
from rivetkit.reports.rivet_facts import rivet_data, rivet_words, size_text, span_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.calculators.lengths.head_volume import ShopHeadLimits
    from rivetkit.calculators.mass import ComputedMass
    from rivetkit.calculators.strength.rivet_shear import RivetShear
    from rivetkit.fasteners.catalogue import Dimension, RivetHole, StockGrip
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.handbook import Citation
    from rivetkit.handbook.rows.fasteners import (
        BlindStrengthRow,
        HeadMarkRow,
        RivetHandlingRow,
        RivetMaterialRow,
        RivetShearLoadRow,
    )
    from rivetkit.reports.amounts import LengthUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownRivet:
    """Everything on file about a rivet; what nobody has recorded is None or empty."""

    fastener: Fastener
    canonical: str
    title: str
    citation: Citation
    material: RivetMaterialRow | None
    head_marks: Sequence[HeadMarkRow]
    handling: Sequence[RivetHandlingRow]
    dimensions: Mapping[str, Dimension]
    #: The hole, or why there is none.
    hole: RivetHole | str
    shear_load: RivetShearLoadRow | None
    blind_strength: BlindStrengthRow | None
    stock_grips: Sequence[StockGrip]
    stock_lengths_in: Sequence[float]
    shop_head: ShopHeadLimits | None
    mass: ComputedMass | None
    #: Single shear by stress and hole, where no table prints it.
    computed_shear: RivetShear | None


def fastener_report(
    known: KnownRivet, *, inputs: Mapping[str, object], length_unit: LengthUnit
) -> Report:
    """Return the report of a rivet."""
    fastener = known.fastener
    sections = [
        Section("", (Facts(_identity(known, length_unit)),)),
        Section("Hole", (Facts(_hole_facts(known.hole, length_unit)),)),
    ]
    sizes = _dimension_facts(known.dimensions, length_unit)
    if sizes:
        sections.append(Section("Sizes", (Facts(sizes),)))
    if known.shop_head is not None:
        facts = _shop_head_facts(known.shop_head, length_unit)
        sections.append(Section("Shop head, wide by high", (Facts(facts),)))
    if known.mass is not None:
        sections.append(Section("Mass", (Facts(_mass_facts(known.mass, length_unit)),)))
    strength = _strength_facts(known)
    if strength:
        sections.append(Section("Strength of one rivet", (Facts(strength),)))
    if known.stock_grips and not fastener.length_code:
        table = _grip_table(known.stock_grips, length_unit)
        sections.append(Section("Stock lengths and the stack they take", (table,)))
    if known.computed_shear is not None:
        sections.append(working_section(known.computed_shear.workings, length_unit))
    return Report(
        command="fastener",
        title=f"{fastener.designation}: {known.title[:1].lower()}{known.title[1:]}",
        inputs=inputs,
        result=_data(known, length_unit),
        sections=tuple(sections),
        citations=collect_citations(others=_citations(known)),
        cautions=LOOKUP_CAUTIONS,
        length_unit=length_unit,
    )


def hole_data(hole: RivetHole, length_unit: LengthUnit) -> dict[str, object]:
    """Return a rivet's hole as plain JSON data."""
    return {
        "drill": hole.drill.designation if hole.drill else None,
        **length_entry("drill_size", hole.drill.size_in if hole.drill else None, length_unit),
        **length_entry("hole", hole.hole_in, length_unit),
        **length_entry("hole_min", hole.hole_min_in, length_unit),
        **length_entry("hole_max", hole.hole_max_in, length_unit),
        "drill_fits": hole.drill_fits,
        "basis": hole.citation.basis,
    }


def _identity(known: KnownRivet, length_unit: LengthUnit) -> tuple[Fact, ...]:
    fastener = known.fastener
    facts = [
        Fact("rivet", rivet_words(fastener), basis=known.citation.basis),
        Fact("diameter", size_text(fastener.diameter_in, length_unit)),
    ]
    if known.canonical != fastener.designation:
        facts.insert(0, Fact("same as", known.canonical))
    if fastener.length_in is not None:
        measured = "head included" if fastener.length_datum == "overall" else "under the head"
        facts.append(Fact("length", size_text(fastener.length_in, length_unit), measured))
    elif known.stock_lengths_in:
        first, last = known.stock_lengths_in[0], known.stock_lengths_in[-1]
        facts.append(
            Fact(
                "stock lengths",
                f"{size_text(first, length_unit)} to {size_text(last, length_unit)}",
                basis=known.citation.basis,
            )
        )
    if fastener.grip_min_in is not None and fastener.grip_max_in is not None:
        least, most = (
            length_number(size, length_unit)
            for size in (fastener.grip_min_in, fastener.grip_max_in)
        )
        facts.append(Fact("takes a stack of", f"{least} to {most} {length_unit}"))
    if known.material is not None:
        words = f"{fastener.material}: {known.material.alloy}"
        facts.append(Fact("material", words, basis=known.material.basis))
    facts.extend(Fact("head mark", row.mark, basis=row.basis) for row in known.head_marks)
    facts.extend(
        Fact("another document says" if number else "before driving", row.handling, basis=row.basis)
        for number, row in enumerate(known.handling)
    )
    return tuple(facts)


def _hole_facts(hole: RivetHole | str, length_unit: LengthUnit) -> tuple[Fact, ...]:
    if isinstance(hole, str):
        return (Fact("hole", "not on file", words_in_unit(hole, length_unit)),)
    facts = []
    if hole.drill is not None:
        size = format_length(hole.drill.size_in, length_unit)
        facts.append(Fact("drill", hole.drill.designation, size, hole.citation.basis))
    if hole.hole_in is not None:
        facts.append(
            Fact("hole", format_length(hole.hole_in, length_unit), basis=hole.citation.basis)
        )
    limits = (hole.limits_citation or hole.citation).basis
    least, most = hole.hole_min_in, hole.hole_max_in
    if least is not None and most is not None:
        span = span_text(least, most, length_unit)
        note = "" if hole.drill_fits is not False else "the drill is outside them: measure a hole"
        facts.append(Fact("hole limits", span, note, limits))
    elif most is not None:
        facts.append(Fact("hole at most", format_length(most, length_unit), basis=limits))
    else:
        facts.append(Fact("hole limits", "not on file for this diameter"))
    return tuple(facts)


def _dimension_facts(
    dimensions: Mapping[str, Dimension], length_unit: LengthUnit
) -> tuple[Fact, ...]:
    facts = []
    for name, size in dimensions.items():
        value = "" if size.value_in is None else format_length(size.value_in, length_unit)
        limits = ""
        if size.min_in is not None and size.max_in is not None:
            limits = span_text(size.min_in, size.max_in, length_unit)
        elif size.max_in is not None:
            limits = f"at most {format_length(size.max_in, length_unit)}"
        elif size.min_in is not None:
            limits = f"at least {format_length(size.min_in, length_unit)}"
        shown, note = (value, limits) if value else (limits, "")
        facts.append(Fact(name.replace("_", " "), shown, note, size.citation.basis))
    return tuple(facts)


def _shop_head_facts(limits: ShopHeadLimits, unit: LengthUnit) -> tuple[Fact, ...]:
    def sizes(width_in: float | None, height_in: float | None) -> str:
        told = [
            "not on file" if one is None else length_number(one, unit)
            for one in (width_in, height_in)
        ]
        return f"{' by '.join(told)} {unit}"

    return (
        Fact(
            "at least",
            sizes(limits.width_min_in, limits.height_min_in),
            basis=limits.least.basis if limits.least else "",
        ),
        Fact(
            "target",
            sizes(limits.target_width_in, limits.target_height_in),
            basis=limits.target[0].basis,
        ),
        Fact(
            "at most",
            sizes(limits.width_max_in, limits.height_max_in),
            basis=limits.greatest.basis if limits.greatest else "",
        ),
    )


def _mass_facts(mass: ComputedMass, length_unit: LengthUnit) -> tuple[Fact, ...]:
    number = mass_number(mass.mass_lb_per_1000, length_unit)
    return (
        Fact(
            "1000 rivets",
            f"{number} {mass_unit(length_unit)}",
            "computed from its sizes and density",
            weakest_basis(tuple(citation.basis for citation in mass.citations)),
        ),
    )


def _strength_facts(known: KnownRivet) -> tuple[Fact, ...]:
    facts = []
    if known.shear_load is not None:
        load = known.shear_load
        facts.append(Fact("single shear", f"{load.shear_lbf:g} lbf", basis=load.basis))
    computed = known.computed_shear
    if computed is not None and computed.load_lbf is not None:
        basis = weakest_basis(tuple(citation.basis for citation in computed.citations))
        load_text = f"{computed.load_lbf:.0f} lbf"
        facts.append(Fact("single shear", load_text, "computed from stress and hole", basis))
    rated = known.blind_strength
    if rated is not None and rated.shear is not None:
        facts.append(Fact("shear", f"{rated.shear:g} {rated.unit}", basis=rated.basis))
    if rated is not None and rated.tension is not None:
        facts.append(Fact("tension", f"{rated.tension:g} {rated.unit}", basis=rated.basis))
    return tuple(facts)


def _grip_table(grips: Sequence[StockGrip], length_unit: LengthUnit) -> Table:
    return Table(
        columns=(
            Column("code"),
            Column("length", length_unit, align="right"),
            Column("stack from", length_unit, align="right"),
            Column("to", length_unit, align="right"),
        ),
        rows=tuple(
            (
                grip.code,
                "" if grip.length_in is None else length_number(grip.length_in, length_unit),
                length_number(grip.grip_min_in, length_unit),
                length_number(grip.grip_max_in, length_unit),
            )
            for grip in grips
        ),
    )


def _citations(known: KnownRivet) -> list[Citation]:
    rows = [
        known.material,
        *known.head_marks,
        *known.handling,
        known.shear_load,
        known.blind_strength,
    ]
    found = [known.citation, *(row.citation() for row in rows if row is not None)]
    if not isinstance(known.hole, str):
        found.append(known.hole.citation)
        if known.hole.limits_citation is not None:
            found.append(known.hole.limits_citation)
    found.extend(size.citation for size in known.dimensions.values())
    if known.shop_head is not None:
        heads = (known.shop_head.least, *known.shop_head.target, known.shop_head.greatest)
        found.extend(citation for citation in heads if citation is not None)
    if known.mass is not None:
        found.extend(known.mass.citations)
    if known.computed_shear is not None:
        found.extend(known.computed_shear.citations)
    if not known.fastener.length_code:
        found.extend(grip.citation for grip in known.stock_grips)
    return found


def _data(known: KnownRivet, length_unit: LengthUnit) -> dict[str, object]:
    load, rated = known.shear_load, known.blind_strength
    return {
        "rivet": rivet_data(known.fastener, length_unit),
        "canonical": known.canonical,
        "title": known.title,
        "alloy": known.material.alloy if known.material else None,
        "head_marks": [row.mark for row in known.head_marks],
        "handling": [row.handling for row in known.handling],
        "hole": None if isinstance(known.hole, str) else hole_data(known.hole, length_unit),
        "dimensions": {
            name: {
                **length_entry("nominal", size.value_in, length_unit),
                **length_entry("min", size.min_in, length_unit),
                **length_entry("max", size.max_in, length_unit),
                "basis": size.citation.basis,
            }
            for name, size in known.dimensions.items()
        },
        "shop_head": known.shop_head and _shop_head_data(known.shop_head, length_unit),
        f"mass_{mass_unit(length_unit)}_per_1000_computed": known.mass
        and mass_in_unit(known.mass.mass_lb_per_1000, length_unit),
        "shear_load_lbf": load.shear_lbf if load else None,
        "shear_load_lbf_computed": known.computed_shear and known.computed_shear.load_lbf,
        "rated": rated and {"shear": rated.shear, "tension": rated.tension, "unit": rated.unit},
        "stock_grips": [
            {
                "code": grip.code,
                **length_entry("length", grip.length_in, length_unit),
                **length_entry("grip_min", grip.grip_min_in, length_unit),
                **length_entry("grip_max", grip.grip_max_in, length_unit),
            }
            for grip in known.stock_grips
        ],
    }


def _shop_head_data(limits: ShopHeadLimits, unit: LengthUnit) -> dict[str, object]:
    return {
        **length_entry("width_min", limits.width_min_in, unit),
        **length_entry("height_min", limits.height_min_in, unit),
        **length_entry("target_width", limits.target_width_in, unit),
        **length_entry("target_height", limits.target_height_in, unit),
        **length_entry("width_max", limits.width_max_in, unit),
        **length_entry("height_max", limits.height_max_in, unit),
    }
