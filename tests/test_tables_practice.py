"""The practice tables against the documents they quote, and the rule sets against their tables."""

from __future__ import annotations

import string
from fractions import Fraction

import pytest

from rivetkit.checks import MM_PER_IN
from rivetkit.errors import InputError, TableError
from rivetkit.handbook import BASIS_ORDER, load_sources, load_table
from rivetkit.handbook.rows.every import TABLES
from rivetkit.handbook.rows.fasteners import ScrewHoleRow
from rivetkit.handbook.rows.holes import RivetHoleRow
from rivetkit.handbook.rows.practice import (
    CountersinkMinimumRow,
    DrivenHeadRow,
    PinPunchRow,
    RemovalRow,
    RuleChoiceRow,
    RuleRow,
)
from rivetkit.handbook.rows.strength import InterRivetFixityRow, RivetsPerInchRow
from rivetkit.rules import DEFAULT_RULE_SET, Override, RuleBook, rule_questions, rule_set_names

NUMERIC_QUESTIONS = [
    "edge_distance_min_protruding",
    "edge_distance_min_flush",
    "edge_distance_max",
    "pitch_min_one_row",
    "pitch_min_two_rows",
    "pitch_max",
    "pitch_usual_least",
    "pitch_usual_greatest",
    "row_spacing_min",
    "row_spacing_usual",
    "diameter_per_thickness_min",
    "diameter_per_thickness_max",
    "diameter_per_thickness_target",
    "diameter_min_structural",
    "length_allowance",
    "shop_head_target_width",
    "shop_head_target_height",
    "countersink_land_min",
    "countersink_depth_fraction_max",
    "dimple_thickness_max",
    "oversize_step_small",
    "oversize_step_large",
    "oversize_step_small_limit",
    "oversize_quota_percent",
    "oversize_quota_count",
    "oversize_adjacent_max",
    "clean_up_allowance",
    "head_spacing_min",
    "head_layer_edge_min",
    "temporary_fastener_every",
    "temperature_swing",
    "expansion_alike_max",
    "strength_ratio_min",
    "pilot_drill_max",
    "drift_clearance",
    "hole_over_shank_min",
    "hole_over_shank_max",
    "substitution_2117_for_2017_max",
    "substitution_2117_for_2024_max",
    "substitution_step",
    "blank_allowance_min",
    "blank_allowance_max",
    "bearing_thickness_ratio_min",
    "bearing_edge_least",
    "bearing_edge_credited",
    "thin_sheet_single_start",
    "thin_sheet_single_slope",
    "thin_sheet_double_start",
    "thin_sheet_double_slope",
    "splice_factor_single_lap",
    "splice_factor_stringer",
    "splice_factor_frame",
    "screw_edge_distance_min",
    "screw_spacing_min",
    "nutplate_room_sure",
    "stringer_leg_width_min",
    "heel_distance_min",
    "match_drill_movement_max",
]

#: What each scheme question chooses from: the row class, and the column that holds the choice.
SCHEME_QUESTIONS = {
    "rivet_hole_solid": (RivetHoleRow, "scheme"),
    "shear_hole_solid": (RivetHoleRow, "scheme"),
    "inter_rivet_fixity_protruding": (InterRivetFixityRow, "scheme"),
    "inter_rivet_fixity_round": (InterRivetFixityRow, "scheme"),
    "inter_rivet_fixity_flush": (InterRivetFixityRow, "scheme"),
    "inter_rivet_fixity_shop_head": (InterRivetFixityRow, "scheme"),
    "rivet_hole_limits_solid": (RivetHoleRow, "scheme"),
    "rivet_hole_blind_open": (RivetHoleRow, "scheme"),
    "rivet_hole_blind_closed": (RivetHoleRow, "scheme"),
    "rivet_hole_blind_locked": (RivetHoleRow, "scheme"),
    "driven_head_least": (DrivenHeadRow, "scheme"),
    "driven_head_greatest": (DrivenHeadRow, "scheme"),
    "countersink_minimum": (CountersinkMinimumRow, "scheme"),
    "countersink_minimum_reduced": (CountersinkMinimumRow, "scheme"),
    "removal_protruding": (RemovalRow, "rule"),
    "removal_flush_countersunk": (RemovalRow, "rule"),
    "removal_flush_dimpled": (RemovalRow, "rule"),
    "removal_blind_open": (RemovalRow, "rule"),
    "removal_blind_locked": (RemovalRow, "rule"),
    "screw_hole_cover": (ScrewHoleRow, "scheme"),
}
WORD_QUESTIONS = {
    "length_rounding": {"nearest", "up"},
    "oversize_refused_members": {"primary-members"},
}
ALL_QUESTIONS = [*NUMERIC_QUESTIONS, *SCHEME_QUESTIONS, *WORD_QUESTIONS]

SIZES = [Fraction(size) for size in ("3/32", "1/8", "5/32", "3/16", "1/4")]


def value_of(rule_set: str, question: str) -> tuple[float, str]:
    rule = RuleBook.named(rule_set).rule(question)
    assert rule.plus_in == 0.0
    return rule.value, rule.unit


# --- the rule sets hold together -----------------------------------------------------------------


def test_the_rule_sets_are_the_five_the_readme_explains():
    assert rule_set_names()[0] == DEFAULT_RULE_SET == "usual"
    assert set(rule_set_names()) == {"usual", "army", "navy", "amt", "wartime"}


def test_usual_itself_answers_every_question_and_nothing_else():
    answered = [row.question for row in load_table(RuleChoiceRow) if row.rule_set == "usual"]
    assert sorted(answered) == sorted(ALL_QUESTIONS)


def test_every_numeric_question_has_rules_and_no_rule_answers_an_unknown_question():
    assert sorted(rule_questions()) == sorted(NUMERIC_QUESTIONS)


def test_rule_ids_are_unique_and_no_set_answers_twice():
    ids = [row.rule for row in load_table(RuleRow)] + [row.rule for row in load_table(RemovalRow)]
    assert len(set(ids)) == len(ids)
    choices = [(row.rule_set, row.question) for row in load_table(RuleChoiceRow)]
    assert len(set(choices)) == len(choices)


@pytest.mark.parametrize("rule_set", ["usual", "army", "navy", "amt", "wartime"])
def test_each_rule_set_resolves_every_question(rule_set):
    book = RuleBook.named(rule_set)
    for question in NUMERIC_QUESTIONS:
        rule = book.rule(question)
        assert rule.question == question
        assert rule.value > 0
        assert rule.rule_set in {rule_set, "usual"}
    for question in [*SCHEME_QUESTIONS, *WORD_QUESTIONS]:
        assert book.choice(question).question == question


@pytest.mark.parametrize(
    "row", load_table(RuleChoiceRow), ids=lambda r: f"{r.rule_set}-{r.question}"
)
def test_each_choice_exists_and_is_never_claimed_firmer_than_its_rows(row):
    if row.question in WORD_QUESTIONS:
        assert row.choice in WORD_QUESTIONS[row.question]
        return
    if row.question in SCHEME_QUESTIONS:
        row_type, column = SCHEME_QUESTIONS[row.question]
        chosen = [entry for entry in load_table(row_type) if getattr(entry, column) == row.choice]
    else:
        chosen = [entry for entry in load_table(RuleRow) if entry.rule == row.choice]
        assert [entry.question for entry in chosen] == [row.question]
        assert (row.locator, row.basis) == (chosen[0].locator, chosen[0].basis)
    assert chosen, row.choice
    assert row.source in {entry.source for entry in chosen}
    assert BASIS_ORDER.index(row.basis) >= min(BASIS_ORDER.index(e.basis) for e in chosen)


@pytest.mark.parametrize("question", NUMERIC_QUESTIONS)
def test_all_answers_to_one_question_are_in_units_that_can_be_compared(question):
    lengths_of_rivet, lengths_of_sheet = {"D", "in", "mm"}, {"t", "in", "mm"}
    units = {row.unit for row in load_table(RuleRow) if row.question == question}
    assert len(units) == 1 or units <= lengths_of_rivet or units <= lengths_of_sheet


@pytest.mark.parametrize("question", rule_questions())
def test_an_override_is_in_inches_or_as_some_document_prints_the_rule(question):
    # A blank is cut by inches: nobody asks how large a rivet it is for, so none can be told in D.
    printed = {row.unit for row in load_table(RuleRow) if row.question == question}
    lengths = {"D", "t", "in", "mm"}
    right = printed | {"in", "mm"} if printed & lengths else printed
    for unit in lengths | printed | {"percent", "fraction", "count"}:
        override = Override(question, 1.0, unit, "invented maker")
        if unit in right:
            assert RuleBook.named(overrides=[override]).rule(question).unit == unit
        else:
            with pytest.raises(InputError, match=f"'{question}' is in '{unit}'; give it in .*"):
                RuleBook.named(overrides=[override])


@pytest.mark.parametrize("rule_set", ["usual", "army", "navy", "amt", "wartime"])
def test_least_stays_below_greatest_in_every_rule_set(rule_set):
    book = RuleBook.named(rule_set)

    def length(question: str) -> float:
        return book.rule(question).length_in(diameter_in=0.125, thickness_in=0.040)

    assert length("edge_distance_min_protruding") <= length("edge_distance_min_flush")
    assert length("edge_distance_min_flush") < length("edge_distance_max")
    assert length("pitch_min_one_row") <= length("pitch_usual_least")
    assert length("pitch_usual_least") < length("pitch_usual_greatest") <= length("pitch_max")
    assert length("diameter_per_thickness_min") < length("diameter_per_thickness_max")
    assert length("hole_over_shank_min") < length("hole_over_shank_max")
    assert length("blank_allowance_min") < length("blank_allowance_max")
    assert length("oversize_step_small") < length("oversize_step_large")


# --- numbers against the documents ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "published"),
    [
        ("edge_distance_min_protruding", 2.0),
        ("edge_distance_min_flush", 2.5),
        ("edge_distance_max", 4.0),
        ("pitch_min_one_row", 3.0),
        ("pitch_usual_least", 6.0),
        ("pitch_usual_greatest", 8.0),
        ("pitch_max", 10.0),
    ],
)
def test_army_set_is_army_subcourse_al0992_page_59(question, published):
    # AL0992 p 59 (seen).
    assert value_of("army", question) == (published, "D")


def test_army_blank_is_one_to_two_inches_al0992_page_67():
    # AL0992 p 67 (seen).
    assert value_of("army", "blank_allowance_min") == (1.0, "in")
    assert value_of("army", "blank_allowance_max") == (2.0, "in")


def test_army_rounds_the_length_up_and_spaces_rows_2_5_d_tm_10_5410_229_page_5_4():
    # TM 10-5410-229-13&P p 5-4 (seen).
    assert RuleBook.named("army").choice("length_rounding").choice == "up"
    assert value_of("army", "row_spacing_min") == (2.5, "D")


@pytest.mark.parametrize(
    ("question", "published"),
    [
        ("pitch_min_one_row", (3.0, "D")),
        ("pitch_usual_least", (4.0, "D")),
        ("pitch_usual_greatest", (8.0, "D")),
        ("diameter_per_thickness_min", (1.0, "t")),
        ("diameter_per_thickness_max", (3.0, "t")),
        ("diameter_min_structural", (0.09375, "in")),
    ],
)
def test_navy_set_is_navedtra_14018_chapter_13(question, published):
    # NAVEDTRA 14018 ch 13 (seen).
    assert value_of("navy", question) == published


def test_length_is_grip_plus_1_5_d_navedtra_14018_figure_13_43():
    # NAVEDTRA 14018 fig 13-43 (seen): a 1/8 rivet through .100 in of stack is .100 + .1875.
    allowance = RuleBook.named("navy").rule("length_allowance").length_in(diameter_in=0.125)
    assert 0.100 + allowance == pytest.approx(0.2875, abs=1e-12)


def test_two_row_pitch_reproduces_the_40_rivets_of_ac_43_13_1b_page_4_27():
    # AC 43.13-1B p 4-27 (derived).
    # Two rows of 1/8 rivets at the least pitch and edge distance, in a splice 10 in wide.
    book = RuleBook.named("usual")
    pitch = book.rule("pitch_min_two_rows").length_in(diameter_in=0.125)
    edge = book.rule("edge_distance_min_protruding").length_in(diameter_in=0.125)
    assert 2 * ((10.0 - 2 * edge) / pitch + 1) == 40


def test_no_cell_of_ac_43_13_1b_tables_4_9_to_4_11_is_blank_up_to_the_greatest_diameter():
    # AC 43.13-1B p 4-37 to 4-39 (derived): on the thin side, that is from twice the sheet on.
    greatest = RuleBook.named("usual").rule("diameter_per_thickness_max").value
    printed, blank = set(), set()
    for cell in load_table(RivetsPerInchRow):
        if cell.fastener.startswith("AN"):
            continue
        multiple = float(Fraction(cell.fastener)) / cell.thickness_in
        (blank if cell.per_inch is None else printed).add(multiple)
    assert max(m for m in printed if m < min(m for m in blank if m > 2)) == pytest.approx(greatest)


def test_ac_43_13_1b_page_4_27_accepts_5_32_on_032_sheet_and_targets_three_times_the_sheet():
    # AC 43.13-1B p 4-27 (seen).
    greatest = RuleBook.named("usual").rule("diameter_per_thickness_max")
    assert greatest.length_in(thickness_in=0.032) >= 0.15625
    target = RuleBook.named("usual").rule("diameter_per_thickness_target")
    assert target.length_in(thickness_in=0.032) == pytest.approx(0.096, abs=1e-12)


def test_substitution_limits_are_ac_43_13_1b_page_4_16():
    # AC 43.13-1B p 4-16 (seen).
    assert value_of("usual", "substitution_2117_for_2017_max") == (0.1875, "in")
    assert value_of("usual", "substitution_2117_for_2024_max") == (0.15625, "in")
    assert value_of("usual", "substitution_step") == (0.03125, "in")


def test_oversize_quota_is_mil_r_47196a_as_quoted():
    # MIL-R-47196A, as quoted.
    assert value_of("usual", "oversize_step_small") == (1 / 32, "in")
    assert value_of("usual", "oversize_step_large") == (1 / 16, "in")
    assert value_of("usual", "oversize_step_small_limit") == (0.25, "in")
    assert value_of("usual", "oversize_quota_percent") == (20.0, "percent")
    assert value_of("usual", "oversize_quota_count") == (10.0, "count")
    assert value_of("usual", "oversize_adjacent_max") == (2.0, "count")
    quota = RuleBook.named("usual").rule("oversize_quota_percent")
    assert quota.citation.basis == "secondary"  # nobody has read the document itself


def test_recalled_preferred_edge_distances_add_a_sixteenth_from_memory():
    preferred = [row for row in load_table(RuleRow) if "preferred" in row.rule]
    assert preferred
    assert {row.plus_in for row in preferred} == {1 / 16}
    assert {row.basis for row in preferred} == {"memory"}
    assert not {row.rule for row in preferred} & {c.choice for c in load_table(RuleChoiceRow)}


def test_driven_head_least_is_mil_hdbk_5h_page_8_9():
    # MIL-HDBK-5H p 8-9 (seen).
    scheme = RuleBook.named("usual").choice("driven_head_least").choice
    rows = {row.group: row for row in load_table(DrivenHeadRow) if row.scheme == scheme}
    assert {row.unit for row in rows.values()} == {"D"}
    assert (rows["any"].width_min, rows["any"].height_min) == (1.3, 0.3)
    assert (rows["7050"].width_min, rows["7050"].height_min) == (1.4, 0.3)
    assert value_of("usual", "bearing_thickness_ratio_min") == (0.18, "D")


def test_training_shop_heads_bracket_the_wartime_target_of_1_5_d_by_0_5_d():
    # Training paper, shop head table (seen); wartime repair manual, par 14 (derived).
    # Two documents that do not quote each other: a digit typed wrong leaves the bracket.
    width, width_unit = value_of("wartime", "shop_head_target_width")
    height, height_unit = value_of("wartime", "shop_head_target_height")
    assert (width, width_unit, height, height_unit) == (1.5, "D", 0.5, "D")
    rows = [row for row in load_table(DrivenHeadRow) if row.scheme == "training"]
    assert len(rows) == 8
    for row in rows:
        diameter_in = float(row.diameter)
        assert row.width_min < width * diameter_in < row.width_max
        assert row.height_min < height * diameter_in < row.height_max


def test_mil_r_47196a_widths_are_the_1_3_d_of_mil_hdbk_5h_to_the_printed_digit():
    # MIL-R-47196A, as quoted; MIL-HDBK-5H p 8-9 (seen).
    rows = [row for row in load_table(DrivenHeadRow) if row.scheme.startswith("mil-r-47196a")]
    assert len(rows) == 5
    for row in rows:
        assert row.width_min == pytest.approx(1.3 * float(row.diameter), abs=0.0006)
        assert row.basis == ("memory" if row.scheme.endswith("-recalled") else "secondary")


def countersinks(scheme: str, head: str = "flush") -> dict[Fraction, CountersinkMinimumRow]:
    rows = load_table(CountersinkMinimumRow)
    return {row.diameter: row for row in rows if (row.scheme, row.head) == (scheme, head)}


def test_countersink_minimum_is_tm_9_2320_363_34_2_page_22_18():
    # TM 9-2320-363-34-2 p 22-18 table 4 (seen).
    rows = countersinks(RuleBook.named("usual").choice("countersink_minimum").choice)
    assert [rows[size].sheet_min_in for size in SIZES] == [0.040, 0.050, 0.064, 0.072, 0.072]


def test_a_quarter_inch_countersink_thinner_than_its_head_is_refused():
    # MS20426 1/4 head about .095 in high (from memory) against .072 and .071 printed.
    refused = {(r.scheme, r.diameter) for r in load_table(CountersinkMinimumRow) if r.refused}
    assert refused == {("army-tm", Fraction(1, 4)), ("srm", Fraction(1, 4))}
    assert not any(row.refused for row in countersinks("srm", "flush_reduced").values())


def test_the_usual_countersink_set_is_the_thicker_of_the_two_that_were_read():
    army, srm = countersinks("army-tm"), countersinks("srm")
    assert all(army[size].sheet_min_in > srm[size].sheet_min_in for size in SIZES)


def test_reduced_heads_reuse_the_printed_table_and_say_it_is_inference():
    printed, reduced = countersinks("srm"), countersinks("srm", "flush_reduced")
    assert {s: r.sheet_min_in for s, r in reduced.items()} == {
        s: r.sheet_min_in for s, r in printed.items()
    }
    assert {row.basis for row in reduced.values()} == {"derived"}
    assert all("inference" in row.note for row in reduced.values())


def test_misprints_are_not_among_the_rules():
    # TM 10-7360-209-13&P p 5-2 prints rows 1/2 D apart and TM 10-5410-229-13&P p 5-4 a shop-head
    # allowance of 1/2 D; both have lost a leading figure.
    for row in load_table(RuleRow):
        if row.question in {"row_spacing_min", "length_allowance"} and row.unit == "D":
            assert row.value >= 1.5, row.rule
        assert "not used" not in row.note


# --- removal and tools ---------------------------------------------------------------------------


@pytest.mark.parametrize("row", load_table(RemovalRow), ids=lambda row: row.rule)
def test_removal_steps_are_short_and_name_only_the_numbers_the_code_fills_in(row):
    steps = row.steps.split(" | ")
    fields = {name for _, name, _, _ in string.Formatter().parse(row.steps) if name is not None}
    assert fields == {"drill", "depth", "punch"}
    assert len(steps) >= 4
    for step in steps:
        assert step == step.strip()
        assert step.endswith(".")
        assert len(step) <= 100


def test_removal_drills_follow_their_documents():
    rows = {row.rule: row for row in load_table(RemovalRow)}
    # AC 43.13-1B p 4-12: the rivet's own size, to the base of the head.
    ac43 = rows["ac43-protruding"]
    assert (ac43.drill, ac43.offset_in, ac43.depth) == ("shank", 0.0, "head_base")
    # Period repair manual, section I par 9: about shank size, half the near sheet.
    wartime = rows["wartime-flush"]
    assert (wartime.drill, wartime.offset_in, wartime.depth) == ("shank", 0.0, "half_near_sheet")
    # A light-aircraft maintenance manual, chapter 20 p 88: 0.6 mm under, two thirds of the stack.
    light = rows["light-aircraft-protruding"]
    assert light.offset_in * MM_PER_IN == pytest.approx(-0.6, abs=1e-4)
    assert light.depth == "two_thirds_stack"
    # A light-aircraft structural repair manual: 1/32 in under the shank.
    assert rows["srm-protruding"].offset_in == -1 / 32
    # TM 10-5410-223-24 par 2-12: the drill of the original hole, only to free the head.
    assert (rows["tm-blind-open"].drill, rows["tm-blind-open"].depth) == ("hole", "head_base")
    # FAA-H-8083-31 series, from memory: one size below the shank.
    assert rows["amt-protruding"].drill == "next_below_shank"
    assert rows["amt-protruding"].basis == "memory"


def test_usual_removal_fits_the_kind_of_rivet_it_is_asked_for():
    rows = {row.rule: row for row in load_table(RemovalRow)}
    wanted = {
        "removal_protruding": ("solid", "protruding"),
        "removal_flush_countersunk": ("solid", "countersunk"),
        "removal_flush_dimpled": ("solid", "dimpled"),
        "removal_blind_open": ("blind_open", "any"),
        "removal_blind_locked": ("blind_locked", "any"),
    }
    for rule_set in rule_set_names():
        for question, (family, form) in wanted.items():
            row = rows[RuleBook.named(rule_set).choice(question).choice]
            assert (row.family, row.form) == (family, form)


def test_stock_pin_punches_leave_one_for_every_rivet():
    # Common practice, no source: sets run from 1/16 to 5/16 in.
    punches = [row.diameter for row in load_table(PinPunchRow)]
    assert punches == [Fraction(n, 32) for n in (2, 3, 4, 5, 6, 8, 10)]
    for size in SIZES:
        assert max(punch for punch in punches if punch < size) >= size * Fraction(2, 3)


# --- provenance ----------------------------------------------------------------------------------


@pytest.mark.parametrize("row_type", TABLES, ids=lambda row_type: row_type.table)
def test_every_row_names_a_listed_document_and_no_web_address(row_type):
    sources = load_sources()
    rows = load_table(row_type)
    assert rows
    for row in rows:
        assert row.source in sources
        assert row.locator
        for mark in ("http", "www.", ".com", "://"):
            assert mark not in row.locator + row.note


def test_every_document_has_a_short_title_and_a_known_kind():
    kinds = {"government", "standard", "trade", "maker", "forum", "calculation", "practice"}
    titles = [source.title for source in load_sources().values()]
    assert len(set(titles)) == len(titles)
    for source in load_sources().values():
        assert 0 < len(source.title) <= 45
        assert source.kind in kinds
        assert source.edition
        assert source.publisher


def test_what_nobody_has_read_is_never_marked_seen():
    # The keys are documents known only by quotation or by recollection.
    unread = {"mil-hdbk-5", "mil-hdbk-5f", "mil-r-47196a", "amt-handbook", "ac65-15a"}
    for row_type in TABLES:
        for row in load_table(row_type):
            assert not (row.source in unread and row.basis == "seen"), (row_type.table, row)


@pytest.mark.parametrize("rule_set", rule_set_names())
def test_a_question_that_nobody_answers_is_an_error_and_no_silence(rule_set):
    book = RuleBook.named(rule_set)
    for ask in (book.rule, book.choice):
        with pytest.raises(TableError, match="no rule set answers 'colour_of_the_rivet'"):
            ask("colour_of_the_rivet")
    # A choice among documents is no number.
    with pytest.raises(TableError, match=r"answers 'length_rounding' with '.*', which is no rule"):
        book.rule("length_rounding")


@pytest.mark.parametrize(("value", "taken"), [(10_000.0, True), (10_000.1, False)])
def test_an_override_is_no_greater_than_any_limit_could_be(value, taken):
    # Our own bound: a slip of the point or the unit, and no limit, is greater.
    override = Override("pitch_max", value, "D", "invented maker")
    if taken:
        assert RuleBook.named(overrides=[override]).rule("pitch_max").value == value
    else:
        with pytest.raises(InputError, match="check the number and its unit"):
            RuleBook.named(overrides=[override])
