"""What the tables say of a rivet, against published facts, and laws of holes."""

import itertools
from dataclasses import replace

import pytest

from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners import parse_part_number, standards, stock_lengths_in
from rivetkit.fasteners.catalogue import (
    blind_strength,
    dimension,
    handling,
    head_marks,
    material,
    nutplate,
    rivet_hole,
    shank,
    shear_load,
    shear_stress,
    stock_grips,
)
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.fasteners import OversizeRivetRow
from rivetkit.handbook.rows.holes import RivetHoleRow
from rivetkit.rules import RuleBook, rule_set_names

BOOK = RuleBook.named()
MM = 1 / 25.4


def every_size():
    """Yield one rivet of every standard and diameter on file."""
    for standard in standards().values():
        for diameter in standard.diameters:
            codes = {
                "": "",
                "material": standard.materials[0] if standard.materials else "",
                "diameter": diameter,
            }
            pieces = [p for p in standard.segments if p.field not in grammar_length_fields]
            yield parse_part_number(
                standard.name + "".join(p.literal + codes[p.field] for p in pieces)
            )


grammar_length_fields = ("length", "grip")


def hole_or_none(rivet, book):
    try:
        return rivet_hole(rivet, book)
    except OutOfTableError:
        return None


# --- holes


@pytest.mark.parametrize(
    ("part", "hole"),
    [("MS20470AD3", 0.096), ("AN426AD4", 0.1285), ("MS20470AD5", 0.159), ("MS20470AD6", 0.191)],
)
def test_standard_hole_of_solid_rivets(part, hole):
    # AC 43.13-1B tables 4-9 to 4-11: only these holes reproduce the printed rivet counts.
    found = rivet_hole(parse_part_number(part), BOOK)
    assert (found.hole_in, found.citation.basis) == (hole, "derived")


def test_wartime_set_answers_with_its_own_drill():
    # Wartime service and repair manual, section I par 16: 5/32 No. 22, 3/16 No. 12.
    book = RuleBook.named("wartime")
    assert rivet_hole(parse_part_number("AN430AD5"), book).drill.designation == "#22"
    assert rivet_hole(parse_part_number("AN430AD6"), book).drill.designation == "#12"


def test_hole_limits_come_from_the_limits_table_when_the_hole_has_none():
    # Trade magazine primer, 2001, rivet hole table: 1/8 from .125 to .135.
    hole = rivet_hole(parse_part_number("MS20470AD4"), BOOK)
    assert (hole.hole_min_in, hole.hole_max_in) == (0.125, 0.135)
    assert hole.limits_citation.source == "trade-2001"
    assert hole.drill_fits is True


def test_army_drill_for_3_16_is_under_its_own_window():
    # TM 10-5410-223-24 table 2-3: No. 11 (.1910) with a hole of .192 to .196.
    hole = rivet_hole(parse_part_number("TMOPEN-6"), BOOK)
    assert (hole.drill.designation, hole.hole_min_in, hole.hole_max_in) == ("#11", 0.192, 0.196)
    assert hole.drill_fits is False
    assert rivet_hole(parse_part_number("TMOPEN-4"), BOOK).drill_fits is True


def test_oversize_shank_gets_the_oversize_hole():
    # From memory: NAS1738 shanks .140 .173 .201; a hole for the nominal size would not take them.
    for code in "456":
        nominal = rivet_hole(parse_part_number(f"NAS9301B-{code}"), BOOK)
        rivet = parse_part_number(f"NAS1738B{code}")
        assert rivet_hole(rivet, BOOK).hole_min_in > shank(rivet).diameter_in > nominal.hole_max_in


def test_metric_rivets_take_metric_holes_in_every_rule_set():
    # ISO 15977 family, recommended hole, from memory: 4 mm rivet, 4.1 to 4.2 mm.
    for name in rule_set_names():
        hole = rivet_hole(parse_part_number("ISO15977-4-AlA/St"), RuleBook.named(name))
        assert hole.hole_min_in == pytest.approx(4.1 * MM)
        assert hole.drill.designation == "4.1 mm"


def test_a_rivet_always_goes_into_its_hole():
    seen = 0
    for name in rule_set_names():
        book = RuleBook.named(name)
        for rivet in every_size():
            hole = hole_or_none(rivet, book)
            if hole is None:
                continue
            seen += 1
            shank_in = shank(rivet).diameter_in - 1e-9
            if hole.hole_in is not None:
                assert hole.hole_in >= shank_in, (name, rivet.designation)
            if hole.hole_max_in is not None:
                assert hole.hole_max_in > shank_in, (name, rivet.designation)
    assert seen > 100


def test_a_diameter_the_table_lacks_is_refused():
    with pytest.raises(OutOfTableError) as caught:
        rivet_hole(parse_part_number("MS20470AD12"), RuleBook.named("wartime"))
    assert str(caught.value) == (
        "MS20470AD12: hole table 'wartime' has no 0.375 in rivet; it has 1/16 in, 3/32 in, "
        "1/8 in, 5/32 in, 3/16 in, 1/4 in"
    )


# --- dimensions


def test_reduced_head_is_the_next_smaller_full_head():
    # Builders on NAS1097: its head is that of MS20426 one size smaller (1/8 shank, 3/32 head).
    for code, smaller in (("4", "3"), ("5", "4"), ("6", "5")):
        reduced = dimension(parse_part_number(f"NAS1097AD{code}"), "head_diameter").value_in
        own = dimension(parse_part_number(f"MS20426AD{code}"), "head_diameter").value_in
        less = dimension(parse_part_number(f"MS20426AD{smaller}"), "head_diameter").value_in
        assert abs(reduced - less) < abs(reduced - own)


def test_alias_has_the_dimensions_of_its_standard():
    old, new = parse_part_number("AN426AD4"), parse_part_number("MS20426AD4")
    assert dimension(old, "head_height") == dimension(new, "head_height") is not None


def test_dimension_nobody_recorded_is_none():
    assert dimension(parse_part_number("AN455AD4"), "head_height") is None


def test_metric_dimension_comes_in_inches():
    # ISO 15977 family, from memory: 4 mm rivet, shank 3.85 to 4.08 mm.
    size = dimension(parse_part_number("ISO15977-4-AlA/St"), "shank_diameter")
    assert (size.min_in, size.max_in) == pytest.approx((3.85 * MM, 4.08 * MM))
    assert size.nominal_in == size.max_in


def test_an_oversize_standard_without_its_size_is_refused(monkeypatch):
    rivet = parse_part_number("NAS1738B4")
    monkeypatch.setattr("rivetkit.fasteners.catalogue.load_table", lambda _: ())
    with pytest.raises(OutOfTableError, match="has no shank for NAS1738B4"):
        shank(rivet)
    assert OversizeRivetRow.table == "fasteners/oversize_rivets.csv"


# --- material and strength


def test_head_marks_and_alloys_of_the_navy_table():
    # NAVEDTRA 14315 table 3-1.
    for code, alloy, mark in (
        ("A", "1100-F", "plain"),
        ("AD", "2117-T4", "recessed dimple"),
        ("DD", "2024-T4", "two raised dashes"),
        ("B", "5056-H32", "raised cross"),
    ):
        rivet = parse_part_number(f"MS20470{code}4-5")
        assert material(rivet).alloy == alloy
        assert mark in [row.mark for row in head_marks(rivet)]


def test_icebox_rivets_are_driven_within_20_minutes():
    # NAVEDTRA 14315, text with table 3-1: 2017 and 2024.
    for code in ("D", "DD"):
        rows = handling(parse_part_number(f"MS20470{code}4"))
        assert any("20 minutes" in row.handling for row in rows)


def test_shear_loads_quoted_from_mil_hdbk_5f():
    # MIL-HDBK-5F table 8.1.2(b), as quoted by builders: 2117 3/32 217 lbf, 1/8 388 lbf.
    assert shear_load(parse_part_number("MS20470AD3-4")).shear_lbf == 217
    assert shear_load(parse_part_number("AN426AD4-4")).shear_lbf == 388
    assert shear_load(parse_part_number("MS20470A4-4")) is None


def test_solid_strengths_are_not_lent_to_blind_rivets():
    blind = parse_part_number("NAS9301B-4-02")
    assert shear_load(blind) is shear_stress(blind) is None
    assert head_marks(blind) == handling(blind) == ()
    assert shear_stress(parse_part_number("MS20470B4")).shear_ksi == 28  # MIL-HDBK-5, memory


def test_blind_strength_goes_by_property_class():
    # ISO 15977, from memory: 4 mm class L 850 N in shear, class H 1250 N.
    low = blind_strength(parse_part_number("ISO15977-4x12-AlA/St-L"))
    high = blind_strength(parse_part_number("ISO15977-4x12-AlA/St-H"))
    assert (low.shear, high.shear, low.unit) == (850, 1250, "N")
    assert blind_strength(parse_part_number("ISO15977-4x12-AlA/St")) is None


# --- grips


def test_grips_follow_from_the_code_where_no_table_lists_them():
    # Locked-spindle rivet process manual: the grip number is the greatest grip in 1/16 in.
    grips = stock_grips(parse_part_number("NAS1738B4"))
    assert [grip.grip_max_in for grip in grips] == [n / 16 for n in range(1, 13)]
    assert all(a.grip_max_in == b.grip_min_in for a, b in itertools.pairwise(grips))


def test_listed_grips_come_in_order_of_grip():
    # TM 10-5410-223-24 table 2-3: 3/16 in rivets 62, 64, 66, 68, 610, 612.
    grips = stock_grips(parse_part_number("TMOPEN-6"))
    assert [grip.code for grip in grips] == ["2", "4", "6", "8", "10", "12"]
    assert stock_grips(parse_part_number("MS20470AD4")) == ()


def test_the_grips_of_every_rivet_rise_and_a_solid_rivet_has_none():
    for size in every_size():
        grips = stock_grips(size)
        assert all(grip.grip_min_in < grip.grip_max_in for grip in grips)
        assert [grip.grip_max_in for grip in grips] == sorted({grip.grip_max_in for grip in grips})
        assert size.blind or not grips


def test_stock_lengths_are_those_printed_shortest_first():
    # TM 10-5410-223-24 table 2-3: 1/8 in rivets; MS20470, 1/8 in: from 3/16 in on by 1/32 in.
    assert stock_lengths_in(parse_part_number("TMOPEN-4"))[:3] == (0.17, 0.232, 0.294)
    assert stock_lengths_in(parse_part_number("MS20470AD4"))[:2] == (3 / 16, 7 / 32)
    for size in every_size():
        lengths = stock_lengths_in(size)
        assert list(lengths) == sorted(set(lengths))


@pytest.mark.parametrize("part", ["ISO15977-4-AlA/St", "NAS9301B-4"])
def test_no_length_is_made_up_where_none_is_recorded(part):
    assert stock_lengths_in(parse_part_number(part)) == ()


def test_no_grip_is_made_up_where_neither_a_table_nor_the_code_tells_one():
    # IFI-114 is on file in 1/8 in alone, and its longest grip is not.
    assert stock_grips(parse_part_number("IFI114-30-4-2"))
    assert stock_grips(parse_part_number("IFI114-30-5")) == ()


# --- nutplates


def test_nutplate_of_nas1473():
    # NAS1473 (2016), dimension table: dash 3 rivet spacing .688, rivet hole .098.
    plate = nutplate("nas1473-3")
    assert (plate.thread, plate.rivet_spacing_in, plate.rivet_hole_in) == (".1900-32", 0.688, 0.098)


@pytest.mark.parametrize("text", ["MS21047-08", "ms21047 l08", "MS21047L-08", "MS2104708"])
def test_nutplate_letters_are_passed_over(text):
    # A builder measured a MS21047L08 at .689 in between rivets.
    if text == "MS2104708":
        with pytest.raises(InputError):
            nutplate(text)
    else:
        assert nutplate(text).rivet_spacing_in == pytest.approx(0.689, abs=0.002)


def test_dash_06_is_not_dash_6():
    assert nutplate("MS21047-06").thread == ".1380-32"
    assert nutplate("MS21047-6").thread == ".3750-24"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("3", "'3': cannot be read as a nutplate; write it as MS21047-3 or MS21047L3"),
        (
            "MS21074-3",
            "'MS21074-3': no nutplate standard is called 'MS21074'; did you mean MS21047?",
        ),
        (
            "MS21O47-3",
            (
                "'MS21O47-3': cannot be read as a nutplate; did you mean MS21047-3, with digits "
                "for letters?"
            ),
        ),
        (
            "MS2I047L08",
            (
                "'MS2I047L08': cannot be read as a nutplate; did you mean MS21047-08, with digits "
                "for letters?"
            ),
        ),
        (
            "NAS1473-6",
            (
                "'NAS1473-6': NAS1473 has no dash number '6'; it has -08 (.1640-32), -3 "
                "(.1900-32), -4 (.2500-28), -5 (.3125-24)"
            ),
        ),
    ],
)
def test_nutplate_errors(text, message):
    with pytest.raises(InputError) as caught:
        nutplate(text)
    assert str(caught.value) == message


@pytest.mark.parametrize("rule_set", rule_set_names())
def test_a_hole_keeps_the_limits_of_its_own_row_and_only_a_solid_rivet_borrows_any(rule_set):
    book = RuleBook.named(rule_set)
    for rivet in every_size():
        hole = hole_or_none(rivet, book)
        if hole is None:
            continue
        scheme = standards()[rivet.canonical].hole_scheme
        scheme = scheme or book.choice(f"rivet_hole_{rivet.family}").choice
        rows = [row for row in load_table(RivetHoleRow) if row.scheme == scheme]

        def inches(row, size):
            return float(size) * (MM if row.unit == "mm" else 1)

        (row,) = (r for r in rows if abs(inches(r, r.diameter) - rivet.diameter_in) < 1e-6)
        limits = (row.hole_min, row.hole_max)
        printed = [None if one is None else pytest.approx(inches(row, one)) for one in limits]
        borrowed = rivet.family == "solid" and printed == [None, None]
        assert hole.limits_citation is None or borrowed
        if not borrowed:
            assert [hole.hole_min_in, hole.hole_max_in] == printed


@pytest.mark.parametrize("off_in", [-0.001, 0.0, 0.001])
@pytest.mark.parametrize("wide_in", [0.0, 0.0005])
def test_a_drill_fits_from_the_least_hole_to_the_greatest_both_included(off_in, wide_in):
    # Geometry, at either end.
    hole = rivet_hole(parse_part_number("MS20470AD4"), BOOK)
    size_in = hole.drill.size_in
    for least_in in (size_in + off_in, size_in + off_in - wide_in):
        limits = replace(hole, hole_min_in=least_in, hole_max_in=least_in + wide_in)
        fits = least_in - 1e-9 <= size_in <= least_in + wide_in + 1e-9
        assert limits.drill_fits is fits
    assert replace(hole, hole_max_in=None).drill_fits is None
    assert replace(hole, drill=None).drill_fits is None
