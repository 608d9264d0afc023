"""The plan: laws of the trade, hand counts, and a slow loop that knows nothing of the planner."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET, SKIN_STAYS

from rivetkit.checks import Verdict
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.job.read import parse_job
from rivetkit.planning.limits import lengths_in
from rivetkit.planning.plan import plan_job
from rivetkit.rules import RuleBook


def planned(text):
    return plan_job(parse_job(text))


def every_check(plan):
    """The plan's checks, those of a row and of an edge each for itself: which two are one may hang
    on the last digit where two edges are as near."""
    edges = [margin.check for margin in (*plan.edges.by_row, *plan.edges.by_edge)]
    return [*edges, *(check for check in plan.checks if check not in plan.edges.checks)]


def verdicts(plan):
    return [(check.name, check.verdict) for check in every_check(plan)]


def test_the_small_job_by_hand():
    plan = planned(JOB)
    by_row = {(margin.layer, margin.edge): margin for margin in plan.edges.by_row}

    assert plan.verdict is Verdict.PASS
    assert (plan.to_drill_out, plan.to_fit, plan.kept) == (13, 13, 0)
    # Hole 1 stands at (.5, .5): .5 from the front edge, 5.33 D of a 3/32 rivet; 2 D is the least.
    (skin,) = (margin for margin in plan.edges.by_row if margin.layer == "skin")
    assert skin.distance_in == pytest.approx(0.5)
    assert skin.multiple == pytest.approx(0.5 / 0.09375)
    assert skin.check.limit == pytest.approx(0.1875)
    assert by_row["rib", "flange edge"].distance_in == 0.3125
    assert by_row["rib", "flange end"].distance_in == 0.3
    # 13 holes over 9 in: 12 spaces of .75 in, 8 D.
    (pitch,) = plan.pitches.along
    assert pitch.least_in == pytest.approx(0.75)
    assert pitch.greatest_in == pytest.approx(0.75)
    # .032 + .025 + 1.5 x .09375 = .1976: -3 (.1875) is nearer than -3.5 (.21875).
    (line,) = plan.parts
    assert line.part.designation == "MS20470AD3-3"
    assert not any(item.length_changes for item in plan.fitted)


def test_every_edge_of_a_new_sheet_is_told():
    plan = planned(JOB)
    told = {margin.edge: (margin.hole, margin.distance_in) for margin in plan.edges.by_edge}

    assert told == {
        "front": ("row:1", pytest.approx(0.5)),
        "tip": ("row:13", pytest.approx(0.5)),
        "back": ("row:1", pytest.approx(5.5)),
        "root": ("row:1", pytest.approx(0.5)),
    }


def test_only_the_edges_of_sheets_are_told_one_by_one():
    # A member, drawn or not, and a skin that stays have their nearest edge told row by row.
    drawn = MEMBER.replace(
        "flange = { width = 0.625, end_distance = 0.3 }",
        "outline = { rectangle = { corner = [0, 0], width = 10, height = 1 } }",
    )
    row = ROW.replace('{ layer = "rib", row_from_edge = 0.3125 }', '"rib"')
    one, other = planned(HEAD + SHEET + drawn + row), planned(HEAD + SKIN_STAYS + drawn + row)

    assert {margin.layer for margin in one.edges.by_row} == {"skin", "rib"}
    assert {margin.layer for margin in one.edges.by_edge} == {"skin"}
    assert {margin.layer for margin in other.edges.by_row} == {"skin", "rib"}
    assert other.edges.by_edge == ()


@pytest.mark.parametrize(
    ("edge_in", "verdict"),
    [(0.18, Verdict.FAIL), (0.1875, Verdict.PASS), (0.19, Verdict.PASS)],
)
def test_both_sides_of_the_edge_limit(edge_in, verdict):
    # Army AL0992 p 59 (seen): at least 2 D, and 2 D of 3/32 is .1875 in.
    plan = planned(JOB.replace("[[0.5, 0.5], [9.5, 0.5]]", f"[[0.5, {edge_in}], [9.5, {edge_in}]]"))
    (skin,) = (margin for margin in plan.edges.by_row if margin.layer == "skin")

    assert skin.check.verdict is verdict
    assert plan.verdict is verdict


def test_accuracy_makes_a_close_call_marginal():
    text = JOB.replace("[[0.5, 0.5], [9.5, 0.5]]", "[[0.5, 0.19], [9.5, 0.19]]")

    assert planned(text).verdict is Verdict.PASS
    assert planned("accuracy = 0.01\n" + text).verdict is Verdict.MARGINAL


@pytest.mark.parametrize(("count", "verdict"), [(33, Verdict.PASS), (34, Verdict.FAIL)])
def test_both_sides_of_the_pitch_limit(count, verdict):
    # NAVEDTRA 14018 ch 13 (seen): at least 3 D = .28125 in; 9 in / 32 = .28125, 9 in / 33 = .2727.
    plan = planned(JOB.replace("count = 13", f"count = {count}"))

    assert plan.pitches.along[0].checks[0].verdict is verdict


@pytest.mark.parametrize(("count", "verdict"), [(11, Verdict.PASS), (10, Verdict.FAIL)])
def test_both_sides_of_the_greatest_pitch(count, verdict):
    # Army AL0992 p 59 (seen): at most 10 D = .9375 in; 9 in / 10 = .9, 9 in / 9 = 1.0.
    plan = planned(JOB.replace("count = 13", f"count = {count}"))

    assert plan.pitches.along[0].checks[1].verdict is verdict


def test_a_seam_of_two_rows_asks_for_more_pitch():
    # AC 43.13-1B p 4-27 (derived from its splice example): two rows, 4 D.
    text = JOB.replace("count = 13", "count = 29\nseam_rows = 2")  # .3214 in = 3.43 D

    assert planned(text.replace("seam_rows = 2", "")).verdict is Verdict.PASS
    assert planned(text).verdict is Verdict.FAIL


NEAR_ROW = """
[[row]]
name = "second"
rivet = "MS20470AD3-3"
path = [[{x}, {y}], [9.5, {y}]]
count = 12
layers = ["skin"]
"""


@pytest.mark.parametrize(("gap", "verdict"), [(0.23, Verdict.FAIL), (0.234375, Verdict.PASS)])
def test_rows_too_near_each_other_are_named(gap, verdict):
    # TM 10-5410-229-13&P p 5-4 (seen): rows at least 2.5 D apart = .234375 in.
    plan = planned(JOB + NEAR_ROW.format(x=1.25, y=0.5 + gap))
    (across,) = plan.pitches.across

    assert across.check.verdict is verdict
    assert across.rows == ("row", "second")
    assert across.distance_in == pytest.approx(gap)
    assert across.check.where == "row:2 to second:1"


def test_rows_in_different_layers_do_not_disturb_each_other():
    second = NEAR_ROW.format(x=1.25, y=0.6)
    other = MEMBER.replace('"rib"\nkind', '"other"\nkind').replace("0.025", "0.05")
    apart = second.replace('["skin"]', '[{ layer = "other", row_from_edge = 0.3 }]')

    assert planned(JOB + other + apart).pitches.across == ()
    assert planned(JOB + other + second).verdict is Verdict.FAIL


def test_holes_of_one_row_that_come_back_to_each_other_are_found():
    text = JOB.replace(
        "path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", "holes = [[1,1],[1.5,1],[1.5,1.5],[1.1,1.1]]"
    )
    (across,) = planned(text).pitches.across

    assert across.rows == ("row", "row")
    assert across.check.where == "row:1 to row:4"
    assert across.check.verdict is Verdict.FAIL


def test_a_row_off_its_sheet_is_an_error_that_names_row_hole_and_layer():
    text = JOB.replace("[9.5, 0.5]]", "[10.5, 0.5]]").replace("count = 13", "count = 11")

    with pytest.raises(InputError) as caught:
        planned(text)
    # Holes 1 in apart from .5: the last, at 10.5, lies past the tip at 10.
    assert str(caught.value) == (
        "row 'row': hole row:11 at (10.5, 0.5) in lies off 'skin'; move the row, correct the "
        "outline, or take the layer out of the row's stack"
    )


def test_a_hole_in_a_cut_out_is_off_the_sheet():
    cutout = '[[sheet.cutouts]]\nname = "hatch"\ncircle = { at = [5, 0.5], diameter = 1 }\n'

    with pytest.raises(InputError, match=r"hole row:7 at \(5, 0\.5\) in lies off 'skin'"):
        planned(HEAD + SHEET + cutout + MEMBER + ROW)


def test_a_member_nobody_measured_is_not_a_pass():
    text = JOB.replace("flange = { width = 0.625, end_distance = 0.3 }", 'edge = "not measured"')
    text = text.replace(', { layer = "rib", row_from_edge = 0.3125 }', ', "rib"')
    plan = planned(text)
    (check,) = (check for check in plan.checks if check.verdict is Verdict.NOT_CHECKED)

    assert plan.verdict is Verdict.NOT_CHECKED
    assert check.where == "row in rib"
    assert check.reason == "its edge was not measured"


def test_what_a_flange_does_not_tell_is_not_a_pass():
    text = JOB.replace(", end_distance = 0.3", "").replace(", row_from_edge = 0.3125", "")
    reasons = {c.reason for c in planned(text).checks if c.verdict is Verdict.NOT_CHECKED}

    assert reasons == {
        "the row's place on the flange was not given (row_from_edge)",
        "how far the last rivet is from the flange's end was not given (end_distance)",
    }


@pytest.mark.parametrize(("heel", "edge_in"), [("false", 0.45), ("true", 0.175)])
def test_a_strip_has_two_free_edges_a_flange_one(heel, edge_in):
    text = JOB.replace("end_distance = 0.3", f"end_distance = 0.3, heel_free = {heel}")
    plan = planned(text.replace("row_from_edge = 0.3125", "row_from_edge = 0.45"))
    flange = next(m for m in plan.edges.by_row if m.edge == "flange edge")

    assert flange.distance_in == pytest.approx(edge_in)


def test_a_measured_edge_is_used_as_measured():
    text = JOB.replace("flange = { width = 0.625, end_distance = 0.3 }", "edge_distance = 0.2")
    text = text.replace(', { layer = "rib", row_from_edge = 0.3125 }', ', "rib"')
    one = planned(text)
    other = planned(text.replace(', "rib"]', ', { layer = "rib", edge_distance = 0.1 }]'))

    assert [m.distance_in for m in one.edges.by_row if m.layer == "rib"] == [0.2]
    assert [m.distance_in for m in other.edges.by_row if m.layer == "rib"] == [0.1]
    assert other.verdict is Verdict.FAIL


def test_kept_rivets_stay_but_still_take_up_room():
    kept = NEAR_ROW.format(x=1.25, y=0.7).replace("count = 12", "count = 12\nkept = true")
    plan = planned(HEAD + SKIN_STAYS + MEMBER + ROW + kept)

    assert (plan.to_drill_out, plan.to_fit, plan.kept) == (13, 13, 12)
    assert plan.pitches.across[0].check.verdict is Verdict.FAIL


def test_new_holes_have_nothing_to_drill_out():
    plan = planned(JOB.replace('rivet = "MS20470AD3-3"', 'fit = "MS20470AD3"'))

    assert (plan.to_drill_out, plan.to_fit) == (0, 13)


def test_a_thicker_sheet_takes_a_longer_rivet_back():
    # .050 + .025 + .1406 = .2156 in: -3.5 (7/32 = .21875) is the nearest.
    plan = planned(JOB.replace("thickness = 0.032", "thickness = 0.050"))
    (item,) = plan.fitted

    assert item.length_changes
    assert (item.old_part.designation, item.new_part.designation) == (
        "MS20470AD3-3",
        "MS20470AD3-3.5",
    )


def test_a_sheet_that_is_left_off_makes_the_stack_thinner():
    patch = SHEET.replace('"skin"', '"patch"').replace("0.025", "0.040")
    patch = patch.replace('new = { alloy = "2024-T3", thickness = 0.032 }', "left_off = true")
    layers = '["patch", "skin", { layer = "rib", row_from_edge = 0.3125 }]'
    text = (
        HEAD
        + SHEET
        + patch
        + MEMBER
        + ROW.replace('["skin", { layer = "rib", row_from_edge = 0.3125 }]', layers)
    )
    plan = planned(text.replace("MS20470AD3-3", "MS20470AD3"))
    (item,) = plan.fitted

    assert item.old_grip_in == pytest.approx(0.040 + 0.025 + 0.025)
    assert item.new_grip_in == pytest.approx(0.032 + 0.025)
    assert "patch" not in {margin.layer for margin in plan.edges.by_row}
    with pytest.raises(InputError, match="left_off: a new sheet is given as well"):
        planned(
            text.replace(
                "left_off = true", 'left_off = true\nnew = { alloy = "x", thickness = 0.1 }'
            )
        )


def test_a_length_the_job_names_is_kept_and_judged():
    good = planned(JOB.replace("count = 13", 'count = 13\nfit = "MS20470AD3-3"'))
    short = planned(JOB.replace("count = 13", 'count = 13\nfit = "MS20470AD3-1"'))

    assert good.verdict is Verdict.PASS
    assert short.parts[0].part.designation == "MS20470AD3-1"
    assert short.verdict is not Verdict.PASS


def test_a_stack_that_no_stock_length_covers_names_the_row():
    blind = JOB.replace('rivet = "MS20470AD3-3"', 'rivet = "MS20470AD3-3"\nfit = "TMOPEN-3"')
    with pytest.raises(OutOfTableError, match=r"^row 'row': no stock length of 'TMOPEN-3'"):
        planned(blind.replace("thickness = 0.032", "thickness = 0.5"))


@pytest.mark.parametrize(
    ("typed", "than"),
    [
        ("25", "thicker"),
        ("0.8", "thicker"),
        ('"0.51 in"', "thicker"),
        ('"0.032 mm"', "thinner"),  # an inch gauge in a job of millimetres
        ("0.0032", "thinner"),
    ],
)
def test_a_thickness_that_lost_its_unit_or_point_is_refused_where_it_stands(typed, than):
    with pytest.raises(
        InputError, match=rf"sheet 'skin': new: thickness: .* {than} than any sheet"
    ):
        planned(JOB.replace("thickness = 0.032", f"thickness = {typed}"))


@pytest.mark.parametrize("typed", ["0.5", "0.004"])
def test_the_thickest_and_the_thinnest_that_is_riveted_are_read(typed):
    # common practice, no source
    text = JOB.replace("thickness = 0.032", f"thickness = {typed}", 1)

    assert parse_job(text).layers["skin"].new.thickness_in == float(typed)


def test_an_older_part_name_is_ordered_under_the_standard_that_covers_it():
    plan = planned(JOB + NEAR_ROW.format(x=1.25, y=3).replace("MS20470AD3-3", "AN470AD3-3"))

    # One layer of .032: .1726 in, -3 is nearest (.1875 against .15625).
    assert [(line.part.designation, line.quantity.net) for line in plan.parts] == [
        ("MS20470AD3-3", 25)
    ]


def test_an_override_rules_and_is_marked():
    override = (
        '[[override]]\nrule = "edge_distance_min_protruding"\nvalue = 6\nunit = "D"\n'
        'source = "invented maker, drawing 7"\n'
    )
    plan = planned(JOB + override)
    (skin,) = (margin for margin in plan.edges.by_row if margin.layer == "skin")

    assert skin.check.limit == pytest.approx(6 * 0.09375)
    assert skin.check.verdict is Verdict.FAIL
    assert skin.check.citations[0].words() == "override: invented maker, drawing 7"


def test_spares_and_packs_are_counted():
    plan = planned(JOB + "[spares]\npercent = 10\nminimum = 5\npack = 25\n")
    (line,) = plan.parts

    # 10 percent of 13 is 2, at least 5: 18, in packs of 25.
    assert (line.quantity.net, line.quantity.spares, line.quantity.order) == (13, 5, 25)


def test_weight_and_moment_of_a_heavier_skin_by_hand():
    plan = planned(JOB + "[hinge]\nfrom = [0, -1]\nto = [10, -1]\n")
    sheet, rivets = plan.balance.lines
    # 60 in2 x .007 in x .1 lb/in3 (2024, an aluminium structures text, seen), centre 3 + 1 in aft.
    assert sheet.mass_lb == pytest.approx(60 * 0.007 * 0.1, rel=0.02)
    assert sheet.arm_in == pytest.approx(4.0)
    assert sheet.moment_lb_in == pytest.approx(sheet.mass_lb * 4.0)
    assert rivets.mass_lb == 0.0
    turned = planned(JOB + "[hinge]\nfrom = [10, -1]\nto = [0, -1]\n")
    assert turned.balance.moment_lb_in == pytest.approx(plan.balance.moment_lb_in)


def test_a_doubler_ahead_of_the_hinge_makes_the_nose_heavier():
    """The skin that stays tells which side is aft, not the only new sheet.

    4 x 1.2 x .040 in of 2024 at .1 lb/in3 is .0192 lb, 1.2 in ahead of the hinge: -.023 lb in.
    """
    plan = planned(
        """
name = "horn"
hinge = { from = [0, 2], to = [30, 2] }
[[member]]
name = "skin"
kind = "skin"
thickness = 0.025
outline = { rectangle = { corner = [0, 0], width = 30, height = 12 } }
[[sheet]]
name = "doubler"
new = { alloy = "2024-T3", thickness = 0.040 }
outline = { rectangle = { corner = [0.3, 0.2], width = 4, height = 1.2 } }
[[row]]
name = "r"
fit = "MS20470AD3"
path = [[0.7, 0.8], [3.9, 0.8]]
max_pitch = 0.8
layers = ["skin", "doubler"]
"""
    )
    sheet = plan.balance.lines[0]
    assert sheet.arm_in == pytest.approx(-1.2)
    assert sheet.moment_lb_in == pytest.approx(-0.023, rel=0.02)
    assert plan.balance.moment_lb_in < 0


def test_an_unknown_alloy_is_not_weighed_in_silence():
    text = JOB.replace('"2024-T3", thickness = 0.032', '"unobtainium", thickness = 0.032')
    plan = planned(text + "[hinge]\nfrom = [0, -1]\nto = [10, -1]\n")

    (unknown,) = plan.balance.unknown
    assert unknown.words == "skin: no density on file for alloy 'unobtainium'"
    assert plan.balance.mass_lb is None  # a sum without the skin would be taken for the whole
    assert plan.balance.moment_lb_in is None
    assert plan.verdict in {Verdict.NOT_CHECKED, Verdict.FAIL}
    assert (unknown.what, unknown.why) in [(check.where, check.reason) for check in plan.checks]


# ---------------------------------------------------------------- laws


def job_text(corners, rows, unit="in", scale=1.0):
    edges = ",".join(
        f'{{ name = "e{k}", to = [{x * scale!r}, {y * scale!r}] }}'
        for k, (x, y) in enumerate([*corners[1:], corners[0]])
    )
    (x0, y0) = corners[0]
    text = f"""
name = "law"
units = "{unit}"
same_hole_within = {0.02 * scale!r}
[[sheet]]
name = "skin"
old = {{ alloy = "2024-T3", thickness = {0.05 * scale!r} }}
[sheet.outline]
start = [{x0 * scale!r}, {y0 * scale!r}]
edges = [{edges}]
"""
    for number, (start, end, count) in enumerate(rows):
        text += f"""
[[row]]
name = "r{number}"
rivet = "MS20470AD3"
path = [[{start[0] * scale!r}, {start[1] * scale!r}], [{end[0] * scale!r}, {end[1] * scale!r}]]
count = {count}
layers = ["skin"]
"""
    return text


PLATE = [(0.0, 0.0), (12.0, 0.0), (12.0, 8.0), (0.0, 8.0)]
SPOT = st.tuples(st.integers(2, 118), st.integers(2, 78)).map(lambda p: (p[0] / 10, p[1] / 10))
ROWS = st.lists(
    st.tuples(SPOT, SPOT, st.integers(2, 12)).filter(lambda row: row[0] != row[1]),
    min_size=1,
    max_size=3,
)


def moved(point, angle, shift):
    x, y = point
    return (
        x * math.cos(angle) - y * math.sin(angle) + shift[0],
        x * math.sin(angle) + y * math.cos(angle) + shift[1],
    )


@settings(max_examples=40, deadline=None)
@given(
    rows=ROWS,
    angle=st.floats(0, 6.28),
    shift=st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
)
def test_moving_and_turning_a_job_changes_no_verdict(rows, angle, shift):
    plain = planned(job_text(PLATE, rows))
    turned = planned(
        job_text(
            [moved(point, angle, shift) for point in PLATE],
            [(moved(a, angle, shift), moved(b, angle, shift), count) for a, b, count in rows],
        )
    )

    assert verdicts(turned) == verdicts(plain)
    assert len(turned.holes) == len(plain.holes)


@settings(max_examples=40, deadline=None)
@given(rows=ROWS)
def test_millimetres_and_inches_agree(rows):
    inches = planned(job_text(PLATE, rows))
    millimetres = planned(job_text(PLATE, rows, unit="mm", scale=25.4))

    assert verdicts(millimetres) == verdicts(inches)
    for one, other in zip(every_check(inches), every_check(millimetres), strict=True):
        assert one.margin == pytest.approx(other.margin, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(rows=ROWS, wider=st.floats(0.01, 5.0))
def test_more_sheet_round_the_holes_never_turns_a_pass_into_a_fail(rows, wider):
    small = planned(job_text(PLATE, rows))
    large = planned(
        job_text(
            [(-wider, -wider), (12 + wider, -wider), (12 + wider, 8 + wider), (-wider, 8 + wider)],
            rows,
        )
    )

    for before, after in zip(small.edges.by_row, large.edges.by_row, strict=True):
        assert after.distance_in > before.distance_in
        if before.check.verdict is Verdict.PASS:
            assert after.check.verdict is Verdict.PASS


@settings(max_examples=60, deadline=None)
@given(rows=ROWS)
def test_edges_and_gaps_agree_with_a_slow_loop(rows):
    plan = planned(job_text(PLATE, rows))
    laid = [
        [
            (a[0] + (b[0] - a[0]) * k / (count - 1), a[1] + (b[1] - a[1]) * k / (count - 1))
            for k in range(count)
        ]
        for a, b, count in rows
    ]

    # A hole that two rows place .02 in apart or less is one, and the worse place counts.
    apart_in = 0.02 if plan.holes.shared else 0.0
    for margin, row in zip(plan.edges.by_row, laid, strict=True):
        slow = min(min(x, y, 12 - x, 8 - y) for x, y in row)
        assert slow - apart_in - 1e-9 <= margin.distance_in <= slow + 1e-9
    if plan.holes.shared:  # a shared hole goes by the name of one row only
        return
    for one, other in itertools.combinations(range(len(laid)), 2):
        gaps = [math.dist(p, q) for p in laid[one] for q in laid[other]]
        apart = [gap for gap in gaps if gap > 0.02 + 1e-9]
        if len(apart) == len(gaps) and min(gaps) < 2.5 * 0.09375 - 1e-9:
            found = [
                gap for gap in plan.pitches.across if set(gap.rows) == {f"r{one}", f"r{other}"}
            ]
            assert found[0].check.margin <= min(gaps) - 2.5 * 0.09375 + 1e-9
            assert found[0].check.verdict is Verdict.FAIL


def test_an_edge_told_by_the_row_leaves_the_end_of_the_flange_to_be_checked():
    # 0.05 in is 0.53 D of a 3/32 rivet: no rule allows it, whatever the side of the flange.
    text = JOB.replace("end_distance = 0.3", "end_distance = 0.05")
    text = text.replace("row_from_edge = 0.3125", "edge_distance = 0.3")

    assert plan_job(parse_job(text)).verdict is Verdict.FAIL


@pytest.mark.parametrize("apart", ["one row", "two rows"])
def test_rivets_of_neighbouring_nutplates_are_held_apart(apart):
    # Screws 0.8 in apart; the plates' rivets face each other at 0.8 - 0.688 = 0.112 in, 1.2 D.
    def plates(name, *screws):
        return (
            f'[[row]]\nname = "{name}"\nnutplate = "MS21047-08"\nfit = "MS20470AD3"\n'
            f'lug = 0.03\nscrews = [{", ".join(screws)}]\nlayers = ["skin"]\n'
        )

    one, other = "{ at = [3, 3] }", "{ at = [3.8, 3] }"
    rows = plates("np", one, other) if apart == "one row" else plates("a", one) + plates("b", other)
    gaps = plan_job(parse_job(HEAD + SHEET + rows)).pitches.across

    assert [gap.check.verdict for gap in gaps] == [Verdict.FAIL]
    assert gaps[0].distance_in == pytest.approx(0.112, abs=1e-3)


@pytest.mark.parametrize(
    "new",
    [
        'new = { alloy = "2024-T3", thickness = 0.032 }',
        'new = { alloy = "2024-T3", thickness = 0.025 }',  # one like it
        "left_off = true",
        "",  # goes back as it was
    ],
)
def test_a_rivet_cannot_stay_in_while_its_sheet_comes_off(new):
    text = JOB.replace('new = { alloy = "2024-T3", thickness = 0.032 }', new)
    parse_job(text)

    with pytest.raises(InputError, match=r"kept: sheet 'skin' comes off.* of kind .skin"):
        parse_job(text.replace("count = 13", "count = 13\nkept = true"))


def test_a_rivet_cannot_stay_in_while_a_layer_comes_under_it():
    kept = ROW.replace("count = 13", "count = 13\nkept = true")
    parse_job(HEAD + SKIN_STAYS + MEMBER + kept)

    with pytest.raises(InputError, match="kept: 'rib' is added"):
        parse_job(HEAD + SKIN_STAYS + MEMBER.replace('"rib"\n', '"rib"\nadded = true\n', 1) + kept)


def test_a_check_that_holds_for_a_row_and_for_an_edge_is_counted_once():
    # Of the four edges of the skin the row is nearest to the front one: row:1, .5 in from it.
    plan = planned(JOB)
    named = [(check.name, check.where) for check in plan.checks]

    assert [m.edge for m in plan.edges.by_row if m.layer == "skin"] == ["front"]
    assert "front" in {margin.edge for margin in plan.edges.by_edge}
    assert len(plan.edges.checks) == len(plan.edges.by_row) + len(plan.edges.by_edge) - 1
    assert named.count(("edge distance", "row:1 to front of skin")) == 1


@pytest.mark.parametrize(("from_edge", "verdict"), [(0.4375, Verdict.PASS), (0.438, Verdict.FAIL)])
def test_a_row_keeps_off_the_bend_of_its_flange(from_edge, verdict):
    # Common practice: 2 D from the heel, .1875 in for 3/32; the flange is .625 in wide.
    text = JOB.replace("row_from_edge = 0.3125", f"row_from_edge = {from_edge}")
    plan = planned(text)
    (heel,) = (margin for margin in plan.edges.by_row if margin.edge == "heel")

    assert heel.distance_in == pytest.approx(0.625 - from_edge)
    assert heel.check.verdict is verdict
    strip = planned(text.replace("width = 0.625", "width = 0.625, heel_free = true"))
    assert not [margin for margin in strip.edges.by_row if margin.edge == "heel"]


def test_the_reserve_holds_the_bend_to_its_own_rule():
    # 3 D from the bend, an override: 1/8 in would ask for .375 in and has .3125.
    told = (
        '[[override]]\nrule = "heel_distance_min"\nvalue = 3.0\nunit = "D"\nsource = "invented"\n'
    )
    reserve = planned(JOB + told).reserve
    assert set(reserve.steps.tolist()) == {0}
    assert {reserve.obstacles[number].what for number in reserve.obstacle} == {"heel of rib"}


def test_a_measured_edge_does_not_say_how_near_the_bend_is():
    plan = planned(JOB.replace("row_from_edge = 0.3125", "edge_distance = 0.3"))

    assert {check.name for check in plan.checks if check.verdict is Verdict.NOT_CHECKED} == {
        "distance from the bend"
    }


def test_an_edge_distance_beside_an_outline_is_refused():
    text = JOB.replace('layers = ["skin"', 'layers = [{ layer = "skin", edge_distance = 0.05 }')

    with pytest.raises(InputError, match="'skin' has an outline to measure from"):
        parse_job(text)


@pytest.mark.parametrize(("other", "verdict"), [(3, Verdict.FAIL), (4, Verdict.FAIL)])
def test_a_seam_asks_its_pitch_of_every_two_of_its_holes(other, verdict):
    # .4 in between AD4 rivets: 3 D is .375, 4 D in two rows .5 (AC 43.13-1B p 4-27, worked back).
    holes = [[2, 2], [3, 2], [3, 3]]
    holes.insert(other - 1, [2, 2.4])
    text = (
        HEAD
        + SHEET
        + (
            f'[[row]]\nname = "z"\nrivet = "MS20470AD4-4"\nholes = {holes}\n'
            'seam_rows = 2\nlayers = ["skin"]\n'
        )
    )
    assert planned(text).pitches.across[0].check.verdict is verdict
    assert planned(text.replace("seam_rows = 2", "")).pitches.across == () or (
        planned(text.replace("seam_rows = 2", "")).pitches.across[0].check.verdict is Verdict.PASS
    )


NUTPLATES = """
[[row]]
name = "np"
nutplate = "MS21047-08"
fit = "MS20470AD3"
lug = 0.03
screws = [{ at = [3, 3] }]
layers = ["skin"]
"""


def test_without_the_lug_no_length_is_sure():
    text = HEAD + SHEET + NUTPLATES
    bare = planned(text.replace("lug = 0.03\n", ""))
    told = planned(text)

    assert told.verdict is Verdict.PASS
    # .032 + .030 + 1.5 x .09375 = .2026 in is -3; the sheet alone, .1726 in, would take the same.
    assert [check.verdict for check in bare.shop_heads] == [Verdict.NOT_CHECKED]
    assert "lug" in bare.shop_heads[0].reason


@pytest.mark.parametrize(("y", "verdict"), [(0.328, Verdict.PASS), (0.327, Verdict.FAIL)])
def test_a_screw_keeps_its_own_edge_distance(y, verdict):
    # Common practice: 2 D of the screw, .328 in for No. 8 (.164).
    plan = planned(HEAD + SHEET + NUTPLATES.replace("[3, 3]", f"[3, {y}]"))

    (screw,) = plan.screws.edges
    assert (screw.edge, screw.check.verdict) == ("front", verdict)


@pytest.mark.parametrize(("x", "verdict"), [(3.656, Verdict.PASS), (3.655, Verdict.FAIL)])
def test_screws_keep_their_spacing(x, verdict):
    # Common practice: 4 D of the screw, .656 in; the plates stand across, rivets apart.
    other = NUTPLATES.replace('"np"', '"other"').replace(
        "at = [3, 3]", f"at = [{x}, 3], angle = 90"
    )
    text = HEAD + SHEET + NUTPLATES.replace("at = [3, 3]", "at = [3, 3], angle = 90") + other
    (gap,) = planned(text).screws.gaps

    assert gap.check.verdict is verdict


def test_a_screw_off_the_sheet_is_named():
    text = HEAD + SHEET.replace(
        "[sheet.outline]",
        'cutouts = [{ name = "opening", circle = { at = [3, 3], diameter = 0.3 } }]\n'
        "[sheet.outline]",
    )
    with pytest.raises(InputError, match=r"row 'np': screw np-1 at \(3, 3\) in lies off 'skin'"):
        planned(text + NUTPLATES)


def test_a_screw_hole_is_an_edge_in_a_layer_nobody_drew_too():
    # A #18 hole, .1695 in: its rim is .0847 in from the centre, the rivet .100 in: .0153 in.
    rib = MEMBER.replace("flange = { width = 0.625, end_distance = 0.3 }", "edge_distance = 0.3")
    rib = rib.replace("0.025", "0.05")
    rows = NUTPLATES.replace('["skin"]', '["skin", "rib"]') + (
        '[[row]]\nname = "near"\nfit = "MS20470AD3"\nholes = [[3.1, 3]]\nlayers = ["rib"]\n'
    )
    plan = planned(HEAD + SHEET + rib + rows)
    (rim,) = (m for m in plan.edges.by_row if (m.row, m.edge) == ("near", "screw np-1"))

    assert rim.distance_in == pytest.approx(0.1 - 0.1695 / 2)
    assert rim.check.verdict is Verdict.FAIL
    assert [m.check.verdict for m in plan.screws.edges] == [Verdict.PASS, Verdict.NOT_CHECKED]


def test_an_old_joint_that_no_stock_length_fits_is_told_without_its_length():
    # MS20470AD2 begins at 3/16 (from memory); .025 + .025 + 1.5 x 1/16 is .144 in. What sits there
    # may be anything: it comes out all the same.
    text = JOB.replace("MS20470AD3-3", "MS20470AD2").replace('AD2"', 'AD2"\nfit = "MS20470AD3"')
    (item,) = planned(text).fitted

    assert (item.old_part.designation, item.old_computed) == ("MS20470AD2", False)
    assert planned(text).to_drill_out == 13
    (longer,) = planned(text.replace("thickness = 0.025", "thickness = 0.040")).fitted
    assert (longer.old_part.designation, longer.old_computed) == ("MS20470AD2-3", True)


def test_where_nothing_was_the_old_stack_is_nought():
    text = HEAD + SHEET.replace('old = { alloy = "2024-T3", thickness = 0.025 }\n', "")
    row = ROW.replace("rivet", "fit").replace('"MS20470AD3-3"', '"MS20470AD3"\nsealant = 0.01')
    row = row.replace(', { layer = "rib", row_from_edge = 0.3125 }', "")
    (item,) = planned(text + row).fitted

    assert (item.old_grip_in, item.old_part) == (0.0, None)
    assert item.new_grip_in == pytest.approx(0.042)


@given(
    sizes=st.lists(st.floats(1 / 16, 3 / 8), min_size=1, max_size=5),
    question=st.sampled_from(
        ["edge_distance_min_protruding", "pitch_min_one_row", "pitch_max", "pitch_min_two_rows"]
    ),
)
def test_a_rule_asks_many_rivets_for_what_it_asks_each(sizes, question):
    # Those on file in D, in inches, and in D and inches more.
    book = RuleBook.named()
    rules = (book.rule(question), *book.alternatives(question))
    for rule in (*rules, *RuleBook.named("army").alternatives(question)):
        each = [rule.length_in(diameter_in=size) for size in sizes]
        assert lengths_in(rule, np.array(sizes)).tolist() == pytest.approx(each, abs=1e-12)


def test_what_was_assumed_is_told_and_proves_nothing():
    plan = planned('assumed = ["the rib\'s flange"]\n' + JOB)

    assert planned(JOB).verdict is Verdict.PASS
    assert plan.verdict is Verdict.NOT_CHECKED
    assert [check.where for check in plan.assumptions] == ["the rib's flange"]


@pytest.mark.parametrize(
    ("alloy", "meant"),
    [
        ("2024T3", "2024-T3"),
        ("2024 T3 alclad", "2024-T3 clad"),
        ("2O24-T3", "2024-T3"),
        ("6O61-T6 clad", "6061-T6 clad"),
        ("2024-T3 bare", "2024-T3"),  # the trade's word for sheet that is not clad
    ],
)
def test_an_alloy_that_is_only_misspelt_is_asked_about(alloy, meant):
    with pytest.raises(InputError, match=rf"sheet 'skin'.*alloy: .*did you mean '{meant}'\?"):
        parse_job(JOB.replace('new = { alloy = "2024-T3"', f'new = {{ alloy = "{alloy}"'))
    parse_job(JOB.replace('new = { alloy = "2024-T3"', 'new = { alloy = "a maker\'s own"'))
