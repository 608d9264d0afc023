"""As strong as before: rows that change, against what they were."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import HEAD, JOB, MEMBER, ROW, SKIN_STAYS

from rivetkit.calculators.strength.joint_strength import StrengthLayer
from rivetkit.checks import Verdict
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job, read_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.context import Context
from rivetkit.planning.plan import plan_job
from rivetkit.planning.strength.joint_loads import Load, Loads, Side
from rivetkit.planning.strength.not_weaker import not_weaker
from rivetkit.planning.strength.ratio import Part, judge_ratio, rivets_needed
from rivetkit.planning.strength.row_joints import AlikeHoles, RowJoints
from rivetkit.reports.formats.text_report import render_text
from rivetkit.reports.plans.plan_report import plan_report
from rivetkit.reports.plans.strength_tables import strength_table
from rivetkit.rules import RuleBook

# Both layers bare 2024-T3, so that every allowable is on file (MIL-HDBK-5J, from memory).
BARE = JOB.replace("thickness = 0.025\nflange", 'alloy = "2024-T3"\nthickness = 0.025\nflange')


def planned(text, *measured):
    return plan_job(parse_job(text), measured=measured)


def bench(hole, least, greatest):
    return BenchHole(hole, least, greatest, None, None, "", "sheet.csv: line 2")


def riveted(text, rivet, fit, count=13):
    """The row with another rivet in it, and with what goes in instead."""
    text = text.replace('rivet = "MS20470AD3-3"', f'rivet = "{rivet}"\nfit = "{fit}"')
    return text.replace("count = 13", f"count = {count}")


def dimpled(text):
    text = text.replace('layers = ["skin", {', 'layers = [{ layer = "skin", form = "dimpled" }, {')
    return text.replace('{ layer = "rib",', '{ form = "dimpled", layer = "rib",')


def new_sheet(thickness, alloy="2024-T3"):
    return BARE.replace(
        '{ alloy = "2024-T3", thickness = 0.032 }',
        f'{{ alloy = "{alloy}", thickness = {thickness} }}',
    )


def test_a_job_that_changes_nothing_has_nothing_to_compare():
    assert planned(new_sheet(0.025)).strength == ()


def test_a_row_that_stays_or_is_new_is_not_compared():
    assert planned(HEAD + SKIN_STAYS + MEMBER + ROW + "kept = true\n").strength == ()
    fresh = new_sheet(0.02).replace('rivet = "MS20470AD3-3"', 'fit = "MS20470AD3"')
    assert planned(fresh).strength == ()


def test_a_thicker_sheet_is_no_weaker_and_a_thinner_one_fails():
    (thicker,) = planned(new_sheet(0.032)).strength
    (thinner,) = planned(new_sheet(0.020)).strength

    assert thicker.check.verdict is Verdict.PASS
    assert thicker.check.value >= 1.0
    assert thinner.check.verdict is Verdict.FAIL
    assert thinner.check.value < 1.0


def test_the_numbers_by_hand():
    # Shear of a 3/32 AD rivet: 30 ksi (from memory) on a .096 hole (AC 43.13-1B tables, derived):
    # 217 lbf; D/t over 3 takes off .04 (D/t - 3): at t = .025 D/t is 3.75: 217.15 x .97 = 210.6.
    # At t = .020 it is 4.6875: 217.15 x .9325 = 202.5. Bearing of .020 bare 2024-T3 at e/D 2 and
    # more: 129 ksi x .096 x .020 = 247.7 lbf: shear goes first both times.
    (change,) = planned(new_sheet(0.020)).strength

    assert change.before_lbf == pytest.approx(217.147 * 0.97, abs=0.1)
    assert change.after_lbf == pytest.approx(217.147 * 0.9325, abs=0.1)
    assert change.critical_before == change.critical_after == "rivet shear"


def test_bearing_near_an_edge_by_hand():
    # 5052-H32 bears 50 ksi at 1.5 and 65 ksi at 2 hole diameters (memory): at 1.75 x .1285 =
    # .224875 in 57.5 ksi, on .1285 x .020 147.8 lbf, less than a 1/8 AD rivet's shear. Beyond 2
    # diameters none earns more: 65 ksi, 167.05 lbf.
    text = new_sheet(0.020, "5052-H32").replace("MS20470AD3-3", "MS20470AD4-3")
    near = text.replace("[[0.5, 0.5], [9.5, 0.5]]", "[[0.5, 0.224875], [9.5, 0.224875]]")

    (change,) = planned(near).strength
    assert change.critical_after == "bearing in skin"
    assert change.after_lbf == pytest.approx(57_500 * 0.1285 * 0.020, abs=0.01)
    (change,) = planned(text).strength
    assert change.after_lbf == pytest.approx(65_000 * 0.1285 * 0.020, abs=0.01)


def test_a_weaker_rivet_of_the_same_size_fails_and_the_step_up_makes_up_for_it():
    # AC 43.13-1B p 4-16 (seen): 2117 (AD) for 2017 (D) when 1/32 larger.
    d_rivet = new_sheet(0.040).replace("MS20470AD3-3", "MS20470D3-3").replace("0.025", "0.040")
    same_size = planned(d_rivet.replace("count = 13", 'count = 13\nfit = "MS20470AD3"'))
    step_up = planned(d_rivet.replace("count = 13", 'count = 13\nfit = "MS20470AD4"'))

    assert same_size.strength[0].check.verdict is Verdict.FAIL
    assert step_up.strength[0].check.verdict is Verdict.PASS


def test_what_nobody_knows_is_not_checked_unless_it_cannot_be_weaker():
    unknown = new_sheet(0.032, "unobtainium")
    alike = unknown.replace(
        'old = { alloy = "2024-T3", thickness = 0.025 }',
        'old = { alloy = "unobtainium", thickness = 0.025 }',
    )

    assert planned(unknown).strength[0].check.verdict is Verdict.NOT_CHECKED
    assert planned(unknown).strength[0].check.reason
    (like,) = planned(alike).strength
    assert like.like_for_like
    assert like.check.verdict is Verdict.PASS
    thinner = alike.replace("thickness = 0.032", "thickness = 0.024")
    assert planned(thinner).strength[0].check.verdict is Verdict.NOT_CHECKED


#: The usual rules let no 1/8 rivet into .025 in.
WIDE = (
    '[[override]]\nrule = "diameter_per_thickness_max"\nvalue = 6\nunit = "t"\n'
    'source = "invented maker"\n'
)


def test_a_repaired_hole_changes_its_row():
    text = new_sheet(0.025).replace("0.3125", "0.30") + WIDE
    (change,) = planned(text, bench("row:3", 0.104, 0.115)).strength

    # One hole of thirteen with a 1/8 rivet, the others as they were.
    assert change.count == 13
    assert change.check.verdict is Verdict.PASS
    assert 1.0 < change.check.value < 1.1


def test_another_ratio_may_be_asked_for():
    override = (
        '[[override]]\nrule = "strength_ratio_min"\nvalue = 0.9\nunit = "fraction"\n'
        'source = "Army AL0992 p 62 gives 0.8 for semicritical skin; invented maker says 0.9"\n'
    )

    assert planned(new_sheet(0.020) + override).strength[0].check.verdict is Verdict.PASS


def test_one_larger_rivet_in_thirteen_by_hand():
    # 30 ksi (memory) on .096 and .1285 holes (AC 43.13-1B tables, derived), D/t over 3 at .025
    # taking .04 each (memory): 217.147 x .97 = 210.632, 389.06 x .92 = 357.94;
    # (12 x 210.632 + 357.94) / (13 x 210.632) = 1.0538.
    (change,) = planned(new_sheet(0.025) + WIDE, bench("row:3", 0.104, 0.115)).strength

    assert change.check.value == pytest.approx(1.0538, abs=1e-4)
    assert change.after.rivets == (("MS20470AD3", 12), ("MS20470AD4", 1))
    assert change.after.whole_lbf == pytest.approx(12 * 210.632 + 357.936, abs=0.01)


def test_a_hole_for_which_nothing_is_settled_leaves_the_row_open():
    # Nobody measured how near the bend is, so nobody can tell whether 1/8 may go into hole 3.
    text = BARE.replace("row_from_edge = 0.3125", "edge_distance = 0.3")
    plan = planned(text.replace("0.032", "0.025") + WIDE, bench("row:3", 0.109, 0.109))
    (change,) = plan.strength

    assert plan.measured.fixes[0].undecided
    assert change.check.verdict is Verdict.NOT_CHECKED
    assert change.check.reason == "what goes into a measured hole is not settled"
    assert change.notes == ()


def test_a_hole_no_rivet_fits_carries_nothing():
    # AC 43.13-1B p 4-12 (seen): no larger hole in a stringer. Twelve rivets carry 12/13.
    text = new_sheet(0.025).replace('kind = "rib"', 'kind = "stringer"')
    (change,) = planned(text, bench("row:3", 0.104, 0.115)).strength

    assert change.check.verdict is Verdict.FAIL
    assert change.check.value == pytest.approx(12 / 13)
    assert change.after.count == 12
    assert change.notes == ("1 measured hole takes no rivet",)


@pytest.mark.parametrize(
    ("old", "new", "verdict"),
    [
        # AC 43.13-1B par 4-57b, p 4-16 (seen): 2117 for 2024 up to 5/32, when 1/32 larger.
        ("MS20470DD4-4", "MS20470AD4", Verdict.FAIL),
        ("MS20470DD4-4", "MS20470AD5", Verdict.PASS),
        ("MS20470AD4-4", "MS20470AD3", Verdict.FAIL),
        ("MS20470AD4-4", "MS20470DD4", Verdict.PASS),
        # An older name for the same rivet is no change.
        ("AN470AD4-4", "MS20470AD4", None),
    ],
)
def test_another_rivet_in_the_same_sheets(old, new, verdict):
    text = riveted(new_sheet(0.040).replace("0.025", "0.040"), old, new, count=11)
    changes = planned(text).strength

    assert [change.check.verdict for change in changes] == ([verdict] if verdict else [])


def test_the_number_that_would_make_up_for_a_weaker_rivet():
    # 41 ksi 2024 (memory) against 30 ksi 2117 in like holes: 13 x 41 / 30 = 17.8.
    text = riveted(new_sheet(0.040).replace("0.025", "0.040"), "MS20470DD4-4", "MS20470AD4")
    (change,) = planned(text).strength

    assert change.check.value == pytest.approx(30 / 41)
    assert change.needed == 18


@pytest.mark.parametrize(("share", "needed"), [(0.5, 26), (0.4999, 27), (0.5001, 26), (0.9999, 14)])
def test_just_enough_rivets_are_enough(share, needed):
    # Arithmetic: rivets of half the strength take twice as many, 26 for 13.
    side = Side(parse_part_number("MS20470AD3"), (StrengthLayer("skin", "2024-T3", 0.032),))
    holes = AlikeHoles(13, side, side, (), (), moved=False)
    part = Part(holes, Load(200.0, 200.0), Load(share * 200.0, share * 200.0), None)
    _, check = judge_ratio((part,), RuleBook.named())

    assert check.verdict is Verdict.FAIL
    assert rivets_needed((part,), check) == needed


@pytest.mark.parametrize(
    ("rivet", "sheet_in", "thin"),
    [
        # MIL-HDBK-5H p 8-9 (seen): bearing on file holds from .18 D up. 2024 rivets (41 ksi, from
        # memory) tear .025 of 2024-T3 before they shear: .16 of 5/32, .2 of 1/8. A 2117 one shears
        # before .0224 gives way, .179 D and so too thin for it.
        ("MS20470DD5", 0.025, True),
        ("MS20470DD4", 0.025, False),
        ("MS20470AD4", 0.0224, False),
    ],
)
def test_a_sheet_too_thin_for_its_bearing_is_minded_where_it_gives_way_first(rivet, sheet_in, thin):
    side = Side(
        parse_part_number(rivet),
        tuple(StrengthLayer(name, "2024-T3", sheet_in, 0.5) for name in ("skin", "rib")),
    )
    job = parse_job(JOB)
    load = Loads(Context(job, lay_out(job), RuleBook.named())).of(side)

    assert load.known
    assert ("bearing" in load.critical) is ("DD" in rivet)
    assert bool(load.note) is thin
    assert not thin or load.note.startswith("skin is thinner against the hole")


@pytest.mark.parametrize(
    ("old", "new", "sure"),
    [
        (0.3, 0.3, True),
        (0.3, 0.31, True),
        (0.3, 0.29, False),
        (None, None, True),
        (0.3, None, False),
        (None, 0.3, False),
    ],
)
def test_an_edge_known_on_one_side_only_proves_nothing(old, new, sure):
    was, now = (
        Side(parse_part_number("MS20470AD3"), (StrengthLayer("skin", "2024-T3", 0.032, edge),))
        for edge in (old, new)
    )
    found = not_weaker(AlikeHoles(1, was, now, (), (), moved=False), RuleBook.named())

    assert (found is not None) is sure


@pytest.mark.parametrize(("more", "verdict"), [(4, Verdict.FAIL), (5, Verdict.PASS)])
def test_new_rivets_through_the_same_layers_make_up_for_a_weaker_one(more, verdict):
    text = riveted(new_sheet(0.040).replace("0.025", "0.040"), "MS20470DD4-4", "MS20470AD4")
    text += f"""
[[row]]
name = "more"
fit = "MS20470AD4"
path = [[1, 1], [8, 1]]
count = {more}
layers = ["skin", {{ layer = "rib", row_from_edge = 0.3125 }}]
"""
    (change,) = planned(text).strength

    assert change.row == "row with more"
    assert change.check.value == pytest.approx((13 + more) / 13 * 30 / 41)
    assert change.check.verdict is verdict


def test_a_flush_rivet_without_a_tested_value_is_no_weaker_in_a_thicker_sheet():
    text = dimpled(new_sheet(0.032)).replace("MS20470AD3-3", "MS20426AD3-3")
    (change,) = planned(text).strength

    assert change.like_for_like
    assert change.check.verdict is Verdict.PASS
    assert (change.check.value, change.check.limit) == (1.0, 1.0)
    assert "derived" in {citation.basis for citation in change.check.citations}


def test_a_weaker_flush_rivet_is_not_checked_but_the_handbook_is_quoted():
    text = dimpled(new_sheet(0.040).replace("0.025", "0.040"))
    text = riveted(text, "MS20426DD4-4", "MS20426AD5", count=11)
    (change,) = planned(text).strength

    assert change.check.verdict is Verdict.NOT_CHECKED
    assert "no tested value" in change.check.reason
    assert "p 4-16 takes the new rivet" in change.check.reason


def test_a_larger_flush_rivet_of_the_same_kind_is_no_weaker_with_edge_enough():
    # AC 43.13-1B par 4-57b, p 4-16 (seen): a spoiled hole takes the next larger rivet where edge
    # distance still holds. 2 x 5/32 is .3125 in.
    text = dimpled(new_sheet(0.050).replace("0.025", "0.050"))
    text = riveted(text, "MS20426AD4-5", "MS20426AD5", count=11)
    roomy = text.replace("end_distance = 0.3", "end_distance = 0.3125")

    assert planned(text).strength[0].check.verdict is Verdict.NOT_CHECKED
    (change,) = planned(roomy).strength
    assert change.like_for_like
    assert "ac43" in {citation.source for citation in change.check.citations}


def test_edge_enough_is_edge_enough_at_the_hole_that_strays_most():
    # As above: 2 x 5/32 is .3125 in, and the row is told just so far from the edge of the flange.
    text = dimpled(new_sheet(0.050).replace("0.025", "0.050"))
    text = riveted(text, "MS20426AD4-5", "MS20426AD5", count=11)
    text = text.replace("end_distance = 0.3", "end_distance = 0.3125")
    for stray, alike in ((0.0, True), (0.01, False)):
        holes = [[0.5 + 0.9 * number, 0.5 + stray * (number == 5)] for number in range(11)]
        told = text.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 11", f"holes = {holes}")
        assert "holes =" in told
        assert planned(told).strength[0].like_for_like is alike


def test_a_blind_rivet_on_no_rating_is_not_checked():
    (change,) = planned(riveted(new_sheet(0.025), "MS20470AD3-3", "TMOPEN-4", 9)).strength

    assert change.check.verdict is Verdict.NOT_CHECKED
    assert "TMOPEN-4" in change.check.reason


@pytest.mark.parametrize(("grade", "verdict"), [("L", Verdict.FAIL), ("H", Verdict.NOT_CHECKED)])
def test_a_blind_rivets_rating_is_the_most_it_carries(grade, verdict):
    # ISO 15977, 4 mm: 850 N low, 1250 N high (memory): 191 and 281 lbf against 211. What thin
    # sheet leaves of a rating is on no file: more than before is not proven, less is.
    layers = tuple(StrengthLayer(name, "2024-T3", 0.025, 0.3) for name in ("skin", "rib"))
    old = Side(parse_part_number("MS20470AD3"), layers)
    new = Side(parse_part_number(f"ISO15977-4x6-AlA/St-{grade}"), layers)
    job = parse_job(JOB)
    loads = Loads(Context(job, lay_out(job), RuleBook.named()))
    holes = AlikeHoles(9, old, new, (), (), moved=False)
    parts = (Part(holes, loads.of(old), loads.of(new), None),)

    bound, check = judge_ratio(parts, RuleBook.named())
    assert (bound, check.verdict) == ("at most" if verdict is Verdict.FAIL else "", verdict)
    assert loads.of(new).most_lbf == pytest.approx({"L": 191.1, "H": 281.0}[grade], abs=0.05)


def test_a_hole_that_moved_may_have_come_nearer_to_an_edge_nobody_drew():
    # .0078 in along the row: see tests/test_measured_holes.py.
    job = parse_job(new_sheet(0.025) + WIDE)
    hole = BenchHole("row:3", 0.110, 0.126, "row", "toward", "", "sheet.csv: line 2")
    plan = plan_job(job, measured=[hole])
    contexts = (Context(job, holes, plan.book) for holes in (lay_out(job), plan.holes))
    (moved,) = (one for one in RowJoints(*contexts, plan.measured.fixes).row(0) if one.moved)

    assert moved.count == 1
    assert moved.before.layers[1].edge_in == pytest.approx(0.3)
    assert moved.after.layers[1].edge_in == pytest.approx(0.3 - 0.00775, abs=1e-6)


@pytest.mark.parametrize("moved", [False, True])
def test_a_hole_that_moved_toward_nobody_knows_what_may_be_weaker(moved):
    layers = (StrengthLayer("skin", "2024-T3", 0.032),)
    side = Side(parse_part_number("MS20470AD3"), layers)
    found = not_weaker(AlikeHoles(1, side, side, (), (), moved), RuleBook.named())

    assert (found is None) is moved


PATCH = """
[[sheet]]
name = "patch"
STATE = { alloy = "2024-T3", thickness = 0.016 }
outline = { rectangle = { corner = [0, 0], width = 10, height = 2 } }
"""


def test_a_layer_left_off_is_nobodys_guess():
    text = new_sheet(0.025).replace('layers = ["skin",', 'layers = ["patch", "skin",')
    (change,) = planned(text + PATCH.replace("STATE", "left_off = true\nold")).strength

    assert change.check.verdict is Verdict.NOT_CHECKED
    assert change.check.reason.startswith("patch is left off")


def test_an_added_layer_is_not_counted_on_and_does_no_harm():
    text = new_sheet(0.025).replace('layers = ["skin",', 'layers = ["patch", "skin",')
    (change,) = planned(text + PATCH.replace("STATE", "new")).strength

    assert change.check.value == 1.0
    assert change.notes == ("patch is added and not counted on",)


def test_a_joint_known_to_carry_less_fails_though_its_strength_is_not_known():
    # No bearing on file for it, but a 3/32 rivet cannot carry what a 1/8 one does.
    text = riveted(new_sheet(0.025, "unobtainium"), "MS20470AD4-4", "MS20470AD3")
    (change,) = planned(text).strength

    assert (change.check.verdict, change.bound) == (Verdict.FAIL, "at most")
    assert change.after_lbf is None


def test_an_edge_nobody_measured_leaves_it_open_unless_nothing_can_be_weaker():
    text = BARE.replace("flange = { width = 0.625, end_distance = 0.3 }", 'edge = "not measured"')
    text = text.replace('{ layer = "rib", row_from_edge = 0.3125 }', '"rib"')
    thinner = text.replace(
        '{ alloy = "2024-T3", thickness = 0.032 }', '{ alloy = "2024-T3", thickness = 0.024 }'
    )

    assert planned(text).strength[0].like_for_like
    assert planned(thinner).strength[0].check.verdict is Verdict.NOT_CHECKED


def test_ratios_both_sides_of_the_limit():
    # In shear the ratio of .032 over .025 by hand: D/t 2.93 takes nothing off, 3.75 takes .03.
    low, high = (0.97 - 0.001, 0.97 + 0.001)
    override = '[[override]]\nrule = "strength_ratio_min"\nvalue = {}\nunit = "fraction"\n'
    override += 'source = "invented"\n'
    text = (
        new_sheet(0.025)
        .replace(
            'old = { alloy = "2024-T3", thickness = 0.025 }',
            'old = { alloy = "2024-T3", thickness = 0.032 }',
        )
        .replace('alloy = "2024-T3"\nthickness = 0.025', 'alloy = "2024-T3"\nthickness = 0.032')
    )

    for limit, verdict in ((low, Verdict.PASS), (0.97, Verdict.PASS), (high, Verdict.FAIL)):
        (change,) = planned(text + override.format(limit)).strength
        assert change.check.value == pytest.approx(0.97)
        assert change.check.verdict is verdict


def test_the_report_and_the_data_carry_the_numbers():
    plan = planned(new_sheet(0.020))
    report = plan_report(plan, inputs={}, length_unit="in")
    text = render_text(report)
    (entry,) = report.result["strength"]

    assert "Strength before and after" in text
    assert "skin 0.025 to 0.020" in text
    assert "211 to 202" in text
    assert entry["before"]["each_lbf"] == pytest.approx(210.632, abs=0.01)
    assert entry["after"]["whole_row_lbf"] == pytest.approx(13 * entry["after"]["each_lbf"])
    # Thirteen holes at 9 / 12 in.
    assert entry["after"]["per_inch_lbf"] == pytest.approx(entry["after"]["each_lbf"] / 0.75)
    assert entry["ratio"] == pytest.approx(0.9325 / 0.97, abs=1e-6)
    assert (entry["verdict"], entry["ratio_is"]) == ("fail", "is")
    assert entry["sheets"] == [
        {
            "layer": "skin",
            "old_alloy": "2024-T3",
            "old_in": 0.025,
            "new_alloy": "2024-T3",
            "new_in": 0.02,
        }
    ]
    assert entry["before"]["critical"] == "rivet shear"


def test_like_rows_are_told_once():
    ribs = "".join(
        ROW.replace('name = "row"', f'name = "row {number}"').replace(
            "[[0.5, 0.5], [9.5, 0.5]]", f"[[0.5, {number}], [9.5, {number}]]"
        )
        for number in (2, 3, 4)
    )
    plan = planned(new_sheet(0.032) + ribs)

    assert len(plan.strength) == 4
    assert len(plan.strength_checks) == 1
    assert "row, row 2 and 2 more" in plan.strength_checks[0].where
    assert len(strength_table(plan.strength, "in").rows) == 1


@pytest.mark.parametrize("name", ["elevator.toml", "inspection_cover.toml"])
def test_the_examples_lose_no_strength(name):
    plan = plan_job(read_job(Path(__file__).parent.parent / "examples" / name))

    assert plan.strength
    assert {change.check.verdict for change in plan.strength} == {Verdict.PASS}


@settings(max_examples=30, deadline=None)
@given(thickness=st.floats(0.019, 0.09), more=st.floats(0.0005, 0.03))
def test_the_strength_never_rises_when_a_sheet_gets_thinner(thickness, more):
    loads = []
    for one in (thickness, thickness + more):
        changes = planned(new_sheet(repr(one))).strength
        loads.append(changes[0].after_lbf if changes else None)

    if None not in loads:
        assert loads[0] <= loads[1] + 1e-6


@settings(max_examples=30, deadline=None)
@given(
    old=st.sampled_from(["AD", "D", "DD"]),
    new=st.sampled_from(["AD", "D", "DD"]),
    size=st.integers(3, 5),
    thickness=st.floats(0.04, 0.06),
)
def test_there_and_back_is_no_gain(old, new, size, thickness):
    text = new_sheet(repr(thickness)).replace("0.025", repr(thickness))
    ratios = []
    for one, other in ((old, new), (new, old)):
        changes = planned(riveted(text, f"MS20470{one}{size}", f"MS20470{other}{size}", 9)).strength
        ratios.append(changes[0].check.value if changes else 1.0)

    assert ratios[0] * ratios[1] == pytest.approx(1.0)
    assert (ratios[0] == 1.0) or (old != new)


@settings(max_examples=30, deadline=None)
@given(edge=st.floats(0.15, 0.3), nearer=st.floats(0.0, 0.1))
def test_a_nearer_edge_never_makes_a_row_stronger(edge, nearer):
    loads = []
    for one in (edge, max(edge - nearer, 0.01)):
        text = new_sheet(0.020).replace("[[0.5, 0.5], [9.5, 0.5]]", f"[[0.5, {one}], [9.5, {one}]]")
        loads.append(planned(text).strength[0].after_lbf)

    if None not in loads:
        assert loads[1] <= loads[0] + 1e-6


@pytest.mark.parametrize(
    ("old", "new", "ratio", "verdict"),
    [
        ('"2024-T3", thickness = 0.040', '"2024-T3", thickness = 0.032', 0.8, Verdict.FAIL),
        ('"2024-T3", thickness = 0.032', '"2024-T3", thickness = 0.040', 1.25, Verdict.PASS),
        # MIL-HDBK-5 tables as on file: Ftu 63 ksi of 2024-T3, 42 ksi of 6061-T6.
        ('"2024-T3", thickness = 0.040', '"6061-T6", thickness = 0.040', 42 / 63, Verdict.FAIL),
        ('"2024-T3", thickness = 0.040', '"unobtainium", thickness = 0.040', None, None),
    ],
)
def test_a_weaker_sheet_is_told_whatever_the_rivets_carry(old, new, ratio, verdict):
    text = JOB.replace('"2024-T3", thickness = 0.025', old).replace(
        'new = { alloy = "2024-T3", thickness = 0.032', f"new = {{ alloy = {new}"
    )
    *_, check = plan_job(parse_job(text)).sheet_strength
    assert check.value == (None if ratio is None else pytest.approx(ratio))
    assert check.verdict is (verdict or Verdict.NOT_CHECKED)
    assert check.citations


@pytest.mark.parametrize("open_at", ["no hole", "one hole"])
def test_what_a_row_carries_is_told_only_where_every_hole_of_it_is_known(open_at):
    # One hole of thirteen goes through a strap besides, of an alloy that no table has.
    strap = (
        '[[member]]\nname = "strap"\nkind = "doubler"\nalloy = "unobtainium"\n'
        'thickness = 0.025\nedge_distance = 0.3\n[[row]]\nname = "tie"\n'
        'rivet = "MS20470AD3-3"\nholes = [[1.25, 0.5], [1.25, 2]]\nlayers = ["skin", "strap"]\n'
    )
    text = new_sheet(0.020) + (strap if open_at == "one hole" else "")
    change = next(one for one in planned(text).strength if one.row == "row")
    sure = open_at == "no hole"

    for side in (change.before, change.after):
        assert (side.whole_lbf is not None) is sure
        assert bool(side.critical) is sure
        assert bool(side.why) is not sure
    assert sure or "UNOBTAINIUM" in change.after.why


@pytest.mark.parametrize(("count", "pitch_in"), [(1, None), (2, 9.0), (3, 4.5), (13, 0.75)])
def test_a_row_of_two_has_a_pitch_and_one_of_one_has_none(count, pitch_in):
    # Arithmetic: what one rivet carries, by the inches it stands for.
    (change,) = planned(new_sheet(0.020).replace("count = 13", f"count = {count}")).strength

    for side in (change.before, change.after):
        assert side.whole_lbf == pytest.approx(count * side.each_lbf)
        per_in = None if pitch_in is None else pytest.approx(side.each_lbf / pitch_in)
        assert side.per_in_lbf == per_in
