"""Where a measured hole may stand now: every edge, the bend, both of two holes that moved."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import HEAD, JOB, SHEET

from rivetkit.calculators.oversize.hole_move import Bow, Move, Stretch
from rivetkit.checks import Verdict, worst_verdict
from rivetkit.geometry.curves import arc_points
from rivetkit.geometry.outline import Bend, Boundary, Circle, Edge, Loop
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.plan import plan_job
from rivetkit.quantities import format_length
from rivetkit.reports.plans.bench_tables import empty_words, measured_data, measured_table
from rivetkit.reports.plans.plan_report import plan_report

ROW = """
[[row]]
name = "row"
rivet = "{rivet}"
{holes}
layers = ["skin"]
"""


def bench(hole, least, greatest=None, axis=None, grew=None):
    return BenchHole(hole, least, greatest or least, axis, grew, "", "sheet.csv: line 2")


def one_row(holes, rivet="MS20470AD3-3", sheet_in=0.064, more=""):
    text = (HEAD + SHEET).replace("0.032", f"{sheet_in}")
    return text + ROW.format(rivet=rivet, holes=holes) + more


def planned(text, *measured):
    return plan_job(parse_job(text), measured=measured)


def fix_of(plan, hole):
    return next(fix for fix in plan.measured.fixes if fix.name == hole)


def chosen(plan, hole):
    candidate = fix_of(plan, hole).chosen
    return None if candidate is None else candidate.fastener.designation


def checked(plan, hole, name, where=""):
    """Return the one check of a hole by its name and place."""
    (check,) = [
        check
        for check in fix_of(plan, hole).checks
        if check.name == name and check.where == (f"{hole}: {where}" if where else hole)
    ]
    return check


# ---------------------------------------------------------------- edges

CORNER = one_row("path = [[0.2515, 0.252], [9.5, 0.252]]\ncount = 13", sheet_in=0.063)


@pytest.mark.parametrize(
    ("axis", "grew", "left_in"),
    [
        # Army AL0992 p 59: 2 D of 1/8 is .250 in. The slot .104 x .124 moved by .010 at most, and
        # with .1285 - .124 - .002 = .0025 to spare the drill brings it .00125 back where the side
        # is known. .2515 to the left edge, .252 to the front one.
        (90, None, 0.252 - 0.010),
        (0, None, 0.2515 - 0.010),
        (None, None, 0.2515 - 0.010),
        (90, "away", 0.252 - 0.00875),
        (90, "toward", 0.2515),
        (45, "away", 0.2515 - 0.00875 * math.sqrt(0.5)),
    ],
)
def test_a_hole_in_a_corner_is_held_to_both_edges(axis, grew, left_in):
    plan = planned(CORNER, bench("row:1", 0.104, 0.124, axis, grew))
    check = checked(plan, "row:1", "edge distance", "skin")

    assert check.value == pytest.approx(left_in, abs=1e-9)
    assert check.verdict is (Verdict.PASS if left_in >= 0.25 else Verdict.FAIL)
    assert chosen(plan, "row:1") == ("MS20470AD4" if left_in >= 0.25 else None)


NOTCHED = Boundary(
    Loop(
        tuple(
            Edge(f"edge {number}", np.array([start, end], dtype=float))
            for number, (start, end) in enumerate(
                [
                    ((0, 0), (4, 0)),
                    ((4, 0), (4, 1.5)),
                    ((4, 1.5), (2, 1.5)),
                    ((2, 1.5), (2, 3)),
                    ((2, 3), (0, 3)),
                    ((0, 3), (0, 0)),
                ]
            )
        )
    ),
    circles=(Circle("hole", (1.0, 1.0), 0.3),),
)


def reach_of(move):
    """Return every place of a moved centre as shapely has it, from the old one."""
    if move.axis_deg is None:
        return shapely.buffer(shapely.points(0, 0), abs(move.along_in), quad_segs=256)
    angle = math.radians(move.axis_deg)
    far = np.array([math.cos(angle), math.sin(angle)]) * move.along_in
    return shapely.points(far) if move.side_known else shapely.linestrings([-far, far])


moves = st.builds(
    Move,
    st.integers(-50, 50).filter(bool).map(lambda thou: thou / 1000),
    st.one_of(st.none(), st.floats(-180, 180)),
    st.booleans(),
)


@settings(max_examples=200, deadline=None)
@given(x=st.floats(0.06, 3.9), y=st.floats(0.06, 2.9), move=moves)
def test_the_nearest_edge_after_a_move_against_shapely(x, y, move):
    # Outside reference: shapely's distance from all places the centre may be at to all edges.
    from rivetkit.geometry.spots import Spots
    from rivetkit.planning.near_edges import NearEdges

    spots = Spots.at(np.array([[x, y]]))
    if NOTCHED.outside(spots)[0] or NOTCHED.nearest_edge(spots).distance_in[0] < 0.051:
        return
    near = NearEdges("skin", NOTCHED, np.array([0]), spots, spots, np.array([0]))
    drawn = near.stretches(np.array([0]), np.array([abs(move.along_in)]))[0]
    found = min(move.centres.gap_in(edge) for edge in drawn)
    rim = shapely.buffer(shapely.points(1.0, 1.0), 0.3, quad_segs=4096)
    edges = shapely.union_all([shapely.linearrings(NOTCHED.outer.ring), rim])
    moved = shapely.transform(reach_of(move), lambda points: points + np.array([x, y]))

    assert found == pytest.approx(shapely.distance(moved, edges), abs=2e-6)


@given(
    st.lists(st.integers(-40, 40).map(lambda n: n / 40), min_size=8, max_size=8),
    st.floats(0, 0.1),
    st.floats(0, 0.1),
)
def test_the_gap_between_two_stretches_against_shapely(ends, one_in, other_in):
    a, b, c, d = ((ends[k], ends[k + 1]) for k in (0, 2, 4, 6))
    lines = [
        shapely.points(p) if p == q else shapely.linestrings([p, q]) for p, q in ((a, b), (c, d))
    ]
    apart = shapely.distance(*lines)
    gap = Stretch(a, b, one_in).gap_in(Stretch(c, d, other_in))

    assert gap == pytest.approx(max(apart - one_in - other_in, 0.0), abs=1e-9)


def test_an_edge_nobody_measured_stays_unknown_beside_one_that_was_drawn():
    member = """
[[member]]
name = "rib"
kind = "rib"
thickness = 0.04
edge = "not measured"
"""
    text = one_row("path = [[1, 1], [9, 1]]\ncount = 9", more=member)
    text = text.replace('layers = ["skin"]', 'layers = ["skin", "rib"]')
    plan = planned(text, bench("row:3", 0.104, 0.115))
    check = checked(plan, "row:3", "edge distance", "rib")

    assert (check.verdict, check.reason) == (Verdict.NOT_CHECKED, "its edge was not measured")
    assert checked(plan, "row:3", "edge distance", "skin").verdict is Verdict.PASS
    assert fix_of(plan, "row:3").undecided
    (cells,) = measured_table(plan.measured.fixes, (), "in").rows
    assert "NOT SETTLED" in cells
    assert "MS20470AD4: edge distance, rib: its edge was not measured" in cells


RIB = """
[[member]]
name = "rib"
kind = "rib"
thickness = 0.063
{edge}
"""


@pytest.mark.parametrize(
    ("edge", "place", "hole", "unknown"),
    [
        # The skin's own edge is .50 in from every hole, square to the row.
        ("flange = { width = 0.9, end_distance = 0.3 }", "row_from_edge = 0.49", 5, "flange edge"),
        ("flange = { width = 1.2, end_distance = 0.3 }", "row_from_edge = 0.5", 5, ""),
        ("flange = { width = 1.2, end_distance = 0.3 }", "row_from_edge = 0.5", 1, "flange end"),
        ("flange = { width = 1.2, end_distance = 0.6 }", "row_from_edge = 0.5", 1, ""),
        ("flange = { width = 1.2, end_distance = 0.6 }", "", 5, "flange edge"),
        ("edge_distance = 0.45", "", 5, "measured edge"),
        ('edge = "not measured"', "", 5, "measured edge"),
    ],
)
def test_toward_the_edge_is_no_direction_when_a_told_edge_is_nearer(edge, place, hole, unknown):
    text = one_row("path = [[1, 0.5], [8, 0.5]]\ncount = 8", more=RIB.format(edge=edge))
    layer = f'{{ layer = "rib"{", " * bool(place)}{place} }}'
    text = text.replace('layers = ["skin"]', f'layers = ["skin", {layer}]')
    plan = planned(text, bench(f"row:{hole}", 0.104, 0.120, "edge", "toward"))
    fix = fix_of(plan, f"row:{hole}")
    nearest = next(one for one in fix.result.candidates if one.kind == "larger")
    moved = nearest.clean_up.move.along_in
    pitch = next(c for c in nearest.checks if c.name == "pitch")

    # #30 (.1285) leaves .00325 on either side of .120 + .002: .008 off, .00475 left.
    assert moved == pytest.approx(0.00475)
    if unknown:
        words = f"which way the {unknown} of rib lies is not told"
        assert (fix.axis_unknown, fix.result.measured.axis_deg) == (words, None)
        assert pitch.value == pytest.approx(1.0 - moved)  # it may lie any way
    else:
        assert (fix.axis_unknown, fix.result.measured.axis_deg) == ("", pytest.approx(-90.0))
        assert pitch.value == pytest.approx(math.hypot(1.0, moved))
    (cells,) = measured_table(plan.measured.fixes, (), "in").rows
    assert ("long axis: which way the" in cells[-1]) is bool(unknown)
    assert measured_data(plan.measured, "in")[0]["axis_unknown"] == fix.axis_unknown
    # what is round has no long axis
    round_one = planned(text, bench(f"row:{hole}", 0.120, None, "edge"))
    assert fix_of(round_one, f"row:{hole}").axis_unknown == ""


# ---------------------------------------------------------------- the bend of a flange


def flanged(width, pitch=0.48):
    member = f"""
[[member]]
name = "rib"
kind = "rib"
thickness = 0.040
flange = {{ width = {width}, end_distance = 0.5 }}
"""
    text = one_row(f"path = [[1, 3], [7, 3]]\npitch = {pitch}", "MS20470AD4-4", 0.04, member)
    return text.replace('["skin"]', '["skin", { layer = "rib", row_from_edge = 0.5 }]')


@pytest.mark.parametrize(
    ("width", "grew", "left_in"),
    [
        # Common practice: 2 D of 5/32 is .3125 in. The slot .130 x .150 moved by .010 at most;
        # #21 is .159, which leaves .0035 on either side of .150 + .002: .0065 where the side is
        # known. On which side the bend lies is not told.
        (0.82, None, 0.32 - 0.010),
        (0.8225, None, 0.3225 - 0.010),
        (0.82, "toward", 0.32 - 0.0065),
        (0.78, "both", 0.28),
    ],
)
def test_a_larger_rivet_is_held_to_the_bend_from_where_it_stands_now(width, grew, left_in):
    plan = planned(flanged(width), bench("row:5", 0.130, 0.150, "row", grew))
    check = checked(plan, "row:5", "distance from the bend", "rib")

    assert check.value == pytest.approx(left_in, abs=1e-9)
    assert check.limit == pytest.approx(0.3125)
    assert chosen(plan, "row:5") == ("MS20470AD5" if left_in >= 0.3125 else None)
    assert (plan.verdict is Verdict.FAIL) == (left_in < 0.3125)


def test_a_bend_nobody_told_the_distance_of_is_not_checked():
    text = flanged(0.82).replace("row_from_edge = 0.5", "edge_distance = 0.5")
    plan = planned(text, bench("row:5", 0.130, 0.150, "row"))
    check = checked(plan, "row:5", "distance from the bend", "rib")

    assert check.verdict is Verdict.NOT_CHECKED
    assert chosen(plan, "row:5") is None


# ---------------------------------------------------------------- two holes that both moved


@pytest.mark.parametrize(("pitch", "verdict"), [(0.3909, Verdict.FAIL), (0.391, Verdict.PASS)])
def test_two_neighbours_of_unknown_side_may_close_up(pitch, verdict):
    # NAVEDTRA 14018: 3 D of 1/8 is .375 in. Each slot .104 x .120 may have moved by .008.
    text = one_row(f"path = [[1, 1], [9, 1]]\npitch = {pitch}")
    plan = planned(text, *(bench(f"row:{n}", 0.104, 0.120, "row") for n in (4, 5)))
    check = checked(plan, "row:4", "pitch", "row:5")

    assert check.value == pytest.approx(pitch - 0.016, abs=1e-9)
    assert check.verdict is verdict
    assert (plan.verdict is Verdict.FAIL) == (verdict is Verdict.FAIL)
    assert checked(plan, "row:4", "pitch", "row:3").value == pytest.approx(pitch - 0.008)


def test_neighbours_as_they_were_reported_fail():
    # .384 - .008 - .008 = .368 < .375; and .48 - .010 - .010 = .460 < .46875, 3 D of 5/32.
    close = one_row("path = [[1, 1], [8.68, 1]]\npitch = 0.384")
    plan = planned(close, *(bench(f"row:{n}", 0.104, 0.120, "row") for n in (4, 5)))
    assert plan.verdict is Verdict.FAIL
    assert checked(plan, "row:5", "pitch", "row:4").value == pytest.approx(0.368)

    plan = planned(flanged(0.9), *(bench(f"row:{n}", 0.130, 0.150, "row") for n in (5, 6)))
    assert plan.verdict is Verdict.FAIL
    assert checked(plan, "row:5", "pitch", "row:6").value == pytest.approx(0.460)


def test_neighbours_that_grew_apart_are_further_apart():
    text = one_row("path = [[1, 1], [9, 1]]\npitch = 0.376")
    apart = (bench("row:4", 0.104, 0.120, "row", "away"), bench("row:5", 0.104, 0.120, "row"))
    # #30 (.1285) leaves .00325 on either side of .120 + .002: hole 4 moves .00475 back from 5.
    plan = planned(text, *apart)
    check = checked(plan, "row:5", "pitch", "row:4")
    assert check.value == pytest.approx(0.376 - 0.008)  # nothing is in hole 4, it is too near to 3

    wide = one_row("holes = [[1, 1], [2, 1], [2.376, 1], [3.4, 1]]")
    plan = planned(
        wide,
        bench("row:2", 0.104, 0.120, 0, "away"),
        bench("row:3", 0.104, 0.120, 0, "toward"),
    )
    assert chosen(plan, "row:2") == chosen(plan, "row:3") == "MS20470AD4"
    check = checked(plan, "row:3", "pitch", "row:2")
    assert check.value == pytest.approx(0.376 + 2 * 0.00475, abs=1e-9)


def test_holes_that_the_drill_brings_back_are_both_saved_whatever_the_order_of_the_sheet():
    # Toward each other by .008 each: .3855 - .016 is too near for 1/8, .3855 - .0095 = .376 is not.
    text = one_row("holes = [[1, 1], [2, 1], [2.3855, 1], [3.4, 1]]")
    lines = (
        bench("row:2", 0.104, 0.120, 0, "toward"),
        bench("row:3", 0.104, 0.120, 0, "away"),
    )
    plans = [planned(text, *order) for order in (lines, lines[::-1])]

    for plan in plans:
        assert chosen(plan, "row:2") == chosen(plan, "row:3") == "MS20470AD4"
        verdicts = {check.verdict for fix in plan.measured.fixes for check in fix.checks}
        assert verdicts == {Verdict.PASS}
    steps = np.diff(plans[0].holes.points[:, 0])
    assert steps[1] == pytest.approx(0.376, abs=1e-9)
    assert [fix.name for fix in plans[1].measured.fixes] == ["row:3", "row:2"]


def test_two_holes_too_near_for_both_are_not_both_filled():
    # As above, but .3835 - .0095 = .374 is short of .375: one of the two has to wait.
    text = one_row("holes = [[1, 1], [2, 1], [2.3835, 1], [3.4, 1]]")
    lines = (
        bench("row:2", 0.104, 0.120, 0, "toward"),
        bench("row:3", 0.104, 0.120, 0, "away"),
    )
    for order in (lines, lines[::-1]):
        plan = planned(text, *order)
        assert {chosen(plan, "row:2"), chosen(plan, "row:3")} == {"MS20470AD4", None}
        assert plan.verdict is Verdict.FAIL


def test_a_neighbour_within_its_limits_has_not_moved():
    # Trade text of 2001 (seen): a 3/32 hole is good from .093 to .103 in, a play of .005.
    text = one_row("holes = [[1, 1], [2, 1], [2.384, 1], [3.4, 1]]")
    lines = bench("row:2", 0.104, 0.120, 0), bench("row:3", 0.094, 0.103, 0)
    plan = planned(text, *lines)

    assert checked(plan, "row:2", "pitch", "row:3").value == pytest.approx(0.384 - 0.008)
    assert chosen(plan, "row:2") == "MS20470AD4"


def test_two_larger_heads_side_by_side_are_held_to_each_other():
    # Recalled heads of MS20426: .229 for 1/8, .290 for 5/32. One larger: .2595 apart; both: .290.
    # The pitch is overridden only to let the heads meet first.
    override = (
        '[[override]]\nrule = "pitch_min_one_row"\nvalue = 1.0\nunit = "D"\nsource = "drawing 1"\n'
    )
    text = one_row("holes = [[1, 1], [2, 1], [2.28, 1], [3.4, 1]]", "MS20426AD4-3") + override
    text = text.replace('["skin"]', '[{ layer = "skin", form = "dimpled" }]')
    text = text.replace("0.064", "0.032")
    one = planned(text, bench("row:2", 0.140))
    both = planned(text, bench("row:2", 0.140), bench("row:3", 0.140))

    assert chosen(one, "row:2") == "MS20426AD5"
    assert {chosen(both, "row:2"), chosen(both, "row:3")} == {"MS20426AD5", None}
    assert checked(both, "row:3", "head beside head", "row:2").limit == pytest.approx(0.290)


def test_two_holes_that_moved_alike_are_as_far_apart_as_before():
    move = Move(0.01, 30.0)
    assert move.distance_after_in(0.5, 80.0, other=move) == pytest.approx(0.5, abs=1e-12)
    assert Move(0.01).distance_after_in(0.5, 80.0, other=Move(0.01)) == pytest.approx(0.48)


def test_the_head_beside_a_hole_is_that_of_its_own_standard():
    # Recalled heads: .229 for MS20426AD4 over the sharp edge; a universal one is wider.
    row = ROW.format(rivet="MS20426AD4-4", holes="holes = [[2, 1.4], [4, 3]]")
    row = row.replace('"row"', '"flush"')
    row = row.replace('["skin"]', '[{ layer = "skin", form = "dimpled" }]')
    text = one_row("path = [[2, 1], [9, 1]]\ncount = 8", more=row)
    plan = planned(text, bench("row:1", 0.104))
    check = checked(plan, "row:1", "head beside head", "flush:1")

    assert [term.value for term in check.terms if term.symbol == "A0"] == [0.229]


@pytest.mark.parametrize(("apart", "expected"), [(0.3906, None), (0.3907, "MS20470AD4")])
def test_beside_a_larger_rivet_of_another_row_the_larger_one_rules(apart, expected):
    # TM 10-5410-229-13&P p 5-4: 2.5 D between rows; .390625 in of 5/32, .3125 in of 1/8.
    row = ROW.format(rivet="MS20470AD5-4", holes=f"holes = [[2, {1 + apart}], [3, {1 + apart}]]")
    text = one_row("path = [[2, 1], [9, 1]]\ncount = 8") + row.replace('"row"', '"big"')
    plan = planned(text, bench("row:1", 0.104))

    assert checked(plan, "row:1", "row spacing", "big:1").limit == pytest.approx(0.390625)
    assert chosen(plan, "row:1") == expected


@pytest.mark.parametrize(
    ("pitch", "expected", "limit"), [(0.4687, None, 0.375), (0.4688, "MS20470AD5", 0.46875)]
)
def test_beside_a_larger_rivet_chosen_for_the_next_hole_that_one_rules(pitch, expected, limit):
    # NAVEDTRA 14018: 3 D; .46875 in of 5/32, where 1/8 alone asks for .375 in.
    text = one_row(f"path = [[1, 1], [9, 1]]\npitch = {pitch}")
    plan = planned(text, bench("row:5", 0.104), bench("row:4", 0.140))

    assert chosen(plan, "row:4") == expected
    assert chosen(plan, "row:5") == "MS20470AD4"
    assert checked(plan, "row:5", "pitch", "row:4").limit == pytest.approx(limit)


def test_holes_of_one_row_that_do_not_follow_each_other_keep_its_pitch():
    # NAVEDTRA 14018: 3 D of 1/8 is .375 in; the row spacing would be .3125 in.
    turned = "holes = [[2, 1], [3, 1], [3, {y}], [2, {y}]]"
    for y, expected in ((1.3749, None), (1.375, "MS20470AD4")):
        plan = planned(one_row(turned.format(y=y)), bench("row:1", 0.104))
        assert checked(plan, "row:1", "pitch", "row:4").limit == pytest.approx(0.375)
        assert chosen(plan, "row:1") == expected


def test_along_the_row_is_the_way_it_is_numbered_at_its_last_hole_too():
    text = one_row("path = [[1, 1], [9, 1]]\ncount = 9")
    for number in (1, 5, 9):
        plan = planned(text, bench(f"row:{number}", 0.104, 0.120, "row", "toward"))
        moved = plan.holes.points[number - 1] - parse_job(text).rows[0].points[number - 1]
        assert moved == pytest.approx((0.00475, 0.0), abs=1e-9)


@pytest.mark.parametrize(
    ("count", "skip"), [(3, ""), (4, "skip = [2]\n"), (8, ""), (8, "skip = [2, 4, 5]\n"), (24, "")]
)
def test_along_a_ring_is_square_to_its_radius_however_few_its_holes(count, skip):
    # Geometry: the tangent of a circle. By the chord to the next of 8 holes the centre would come
    # sin 22.5 deg = .38 of its move nearer to an edge outside the ring.
    text = one_row(f"circle = {{ at = [5, 3], diameter = 3.0, count = {count} }}\n{skip}")
    centre = np.array([5.0, 3.0])
    for number in {1, 3, count}:
        plan = planned(text, bench(f"row:{number}", 0.104, 0.120, "row", "toward"))
        hole = plan.holes.number.tolist().index(number)
        was, now = (points[hole] - centre for points in (plan.holes.laid_out, plan.holes.points))
        step = now - was
        assert step @ was == pytest.approx(0.0, abs=1e-9)
        assert was[0] * step[1] - was[1] * step[0] == pytest.approx(1.5 * 0.00475, abs=1e-9)


def test_along_listed_holes_on_a_curve_is_its_tangent_and_at_a_corner_the_way_on():
    # Geometry: holes unevenly round a circle of 4 in, no more than 30 deg from one to the next.
    angles = np.radians([200, 215, 240, 265, 275, 290])
    spots = np.column_stack((5 + 4 * np.cos(angles), 5 + 4 * np.sin(angles)))
    listed = ", ".join(f"[{x:.9f}, {y:.9f}]" for x, y in spots)
    curve = one_row(f"holes = [{listed}]")
    corner = one_row("holes = [[2, 1], [3, 1], [3, 2], [3, 3]]")

    def step(text, number):
        plan = planned(text, bench(f"row:{number}", 0.104, 0.120, "row", "toward"))
        return (plan.holes.points - plan.holes.laid_out)[number - 1]

    for number in (2, 3, 4, 5):
        way = (-np.sin(angles[number - 1]), np.cos(angles[number - 1]))
        assert step(curve, number) == pytest.approx(0.00475 * np.array(way), abs=1e-8)
    chord = spots[1] - spots[0]
    assert step(curve, 1) == pytest.approx(0.00475 * chord / np.hypot(*chord), abs=1e-8)
    assert step(corner, 2) == pytest.approx((0.0, 0.00475), abs=1e-9)


# ---------------------------------------------------------------- the quota


def test_at_most_ten_holes_however_large_the_pattern():
    # MIL-R-47196A (secondary): the lesser of 20 percent and 10; 20 percent of 110 is 22.
    text = one_row(
        "holes = ["
        + ", ".join(f"[{0.5 * (k % 11) + 1}, {0.5 * (k // 11) + 0.7}]" for k in range(110))
        + "]"
    )
    for count, verdict in ((10, Verdict.PASS), (11, Verdict.FAIL)):
        holes = [bench(f"row:{10 * k + 1}", 0.104) for k in range(count)]
        share, _ = planned(text, *holes).measured.quota
        assert (share.value, share.limit, share.verdict) == (count, 10, verdict)


@pytest.mark.parametrize(
    ("holes", "run"),
    [
        ((20, 1, 2), 3),
        ((19, 20, 1), 3),
        ((1, 2, 3), 3),
        ((20, 1), 2),
        ((1, 20, 3), 2),
        (tuple(range(1, 21)), 20),
    ],
)
def test_a_run_goes_on_past_the_start_of_a_closed_row(holes, run):
    # MIL-R-47196A (secondary): more than two adjacent is flagged.
    circle = "circle = { at = [5, 3], diameter = 4, count = 20 }"
    plan = planned(one_row(circle), *(bench(f"row:{number}", 0.104) for number in holes))
    _, longest = plan.measured.quota

    assert longest.value == run
    assert longest.verdict is (Verdict.FAIL if run > 2 else Verdict.PASS)


def test_a_row_that_is_open_has_two_ends():
    path = "path = [[1, 1], [9, 1]]\ncount = 20"
    plan = planned(one_row(path), *(bench(f"row:{number}", 0.104) for number in (20, 1, 2)))
    assert plan.measured.quota[1].value == 2
    gap = "circle = { at = [5, 3], diameter = 4, count = 20 }\nskip = [1]"
    plan = planned(one_row(gap), *(bench(f"row:{number}", 0.104) for number in (19, 20, 3)))
    assert plan.measured.quota[1].value == 2


# ---------------------------------------------------------------- holes that take no rivet

LOST = (
    bench("row:3", 0.2, 0.25),
    bench("row:5", 0.104),
)


def test_a_hole_that_takes_no_rivet_is_not_counted_ordered_or_weighed():
    text = one_row("path = [[1, 1], [9, 1]]\ncount = 10") + "[spares]\npercent = 0\n"
    hinge = text.replace(HEAD, HEAD + "hinge = { from = [0, 0], to = [10, 0] }\n")
    plan = planned(hinge, *LOST)
    report = plan_report(plan, inputs={}, length_unit="in")

    # .064 + 1.5 x 3/32 = .2046: -3.5; .064 + 1.5 x 1/8 = .2515: -4.
    counts = {line.part.designation: line.quantity.net for line in plan.parts}
    assert counts == {"MS20470AD3-3.5": 8, "MS20470AD4-4": 1}
    assert (plan.to_drill_out, plan.to_fit, plan.empty) == (10, 9, 1)
    assert sum(line.quantity.order for line in plan.parts) == 9
    assert report.result["to_fit"] == 9
    assert [line["fit"] for line in report.result["lengths"]].count(None) == 1
    # one temporary fastener in 4 holes: 2 for the 8 of 3/32, 1 for the one of 1/8
    assert [tool.count for tool in plan.tools.tools if tool.count] == [2, 1]
    assert "row:3: no rivet is settled" in [one.words for one in plan.balance.unknown]
    assert "row:3. No rivet is settled for it" in empty_words(plan)
    assert empty_words(planned(text, LOST[1])) == ""
    assert plan.reserve.steps[2] == -1
    assert "row:3" not in {entry["hole"] for entry in report.result["reserve"]["holes"]}


@pytest.mark.parametrize(
    ("rivet", "least", "greatest", "sheet_in", "expected"),
    [
        # 3/16 is the largest that is looked at from 1/8 up: its hole ends at .202 in.
        ("MS20470AD4-4", 0.2, 0.25, 0.063, "MS20470AD6: clean-up hole 0.2520 > 0.2020"),
        # 5/32 is the smallest that takes the hole out: .3 less a move of .005, 2 D is .3125 in.
        ("MS20470AD4-4", 0.140, 0.150, 0.063, "MS20470AD5: edge distance, skin 0.2950 < 0.3125"),
    ],
)
def test_the_reason_is_that_of_the_rivet_that_comes_nearest(
    rivet, least, greatest, sheet_in, expected
):
    text = one_row("path = [[1, 0.3], [9, 0.3]]\ncount = 9", rivet, sheet_in)
    plan = planned(text, bench("row:3", least, greatest))
    (cells,) = measured_table(plan.measured.fixes, (), "in").rows

    assert "NO RIVET FITS" in cells
    assert expected in cells
    data = measured_data(plan.measured, "mm")[0]
    assert data["fit"] is None
    assert data["undecided"] is False
    spoken = expected.split(": ")[0]
    objections = [entry for entry in data["rejected"] if entry["fit"] == spoken]
    value, _, limit = expected.split()[-3:]
    assert format_length(objections[0]["value"] / 25.4, "in", 4, with_unit=False) == value
    assert format_length(objections[0]["limit"] / 25.4, "in", 4, with_unit=False) == limit
    assert objections[0]["unit"] == "mm"
    assert plan.verdict is Verdict.FAIL


def test_a_land_that_is_too_thin_is_told_with_its_numbers():
    text = one_row("path = [[1, 1], [9, 1]]\ncount = 9", "MS20426AD4-4", 0.051)
    text = text.replace('["skin"]', '[{ layer = "skin", form = "countersunk" }]')
    plan = planned(text, bench("row:3", 0.140, 0.150))
    (cells,) = measured_table(plan.measured.fixes, (), "in").rows

    assert cells[-1].startswith("MS20426AD5: ")
    assert "land" in cells[-1]
    assert " < " in cells[-1]


# ---------------------------------------------------------------- nutplates


def plates(hole_in):
    layers = 'layers = [{ layer = "skin", form = "dimpled" }]'
    holes = 'nutplate = "MS21047-3"\nscrews = [{ at = [3, 3] }, { at = [6, 3] }]\nlug = 0.032'
    text = one_row(holes, "MS20426AD3-4", 0.032).replace('layers = ["skin"]', layers)
    return planned(text, bench("row:1", hole_in))


def test_a_rivet_of_a_nutplate_goes_up_no_size_for_the_lug_has_its_hole():
    # MS21047 (recalled): the lug's rivet hole is .098 in. Trade text of 2001: .103 for 3/32.
    good, grown = plates(0.103), plates(0.104)

    assert chosen(good, "row:1") == "MS20426AD3"
    assert chosen(grown, "row:1") is None
    assert grown.verdict is Verdict.FAIL
    check = checked(grown, "row:1", "rivet in the lugs")
    assert (check.value, check.limit, check.verdict) == (0.125, 0.098, Verdict.FAIL)
    lug = [
        entry
        for entry in measured_data(grown.measured, "in")[0]["rejected"]
        if "lug" in entry["check"]
    ]
    assert {entry["fit"] for entry in lug} >= {"MS20426AD4", "MS20426AD5"}


def test_a_hole_that_a_plain_row_shares_with_a_nutplate_is_bound_by_the_lug():
    plain = ROW.format(rivet="MS20426AD3-4", holes="holes = [[2.656, 3], [1.5, 3]]")
    plate = ROW.format(
        rivet="MS20426AD3-4",
        holes='nutplate = "MS21047-3"\nscrews = [{ at = [3, 3] }]',
    ).replace('"row"', '"plate"')
    text = (HEAD + SHEET + plain + plate).replace(
        '["skin"]', '[{ layer = "skin", form = "dimpled" }]'
    )
    plan = planned(text, bench("row:1", 0.104))

    assert plan.holes.shared == 1
    assert checked(plan, "row:1", "rivet in the lugs").limit == 0.098


def test_a_plan_of_nothing_but_lost_holes_is_told():
    text = one_row("holes = [[2, 2]]")
    report = plan_report(planned(text, bench("row:1", 0.3)), inputs={}, length_unit="in")

    assert report.result["to_fit"] == 0
    assert report.result["fit"] == []


def test_a_sound_job_stays_sound():
    assert planned(JOB, bench("row:3", 0.098)).verdict is planned(JOB).verdict


RIM = """
name = "round cover"
[[sheet]]
name = "cover"
old = {{ alloy = "2024-T3", thickness = 0.064 }}
[sheet.outline]
start = [4, 0]
edges = [
  {{ name = "fore", to = [-4, 0], through = [0, 4] }},
  {{ name = "aft", to = [4, 0], through = [0, -4] }},
]
[[member]]
name = "skin"
kind = "skin"
alloy = "2024-T3"
thickness = 0.064
outline = {{ rectangle = {{ corner = [-9, -9], width = 18, height = 18 }} }}
[[member.cutouts]]
name = "opening"
start = [3, 0]
edges = [
  {{ name = "opening, fore", to = [-3, 0], through = [0, 3] }},
  {{ name = "opening, aft", to = [3, 0], through = [0, -3] }},
]
[[row]]
name = "ring"
fit = "MS20470AD4"
circle = {{ at = [0, 0], diameter = {diameter}, count = 19 }}
layers = ["cover", "skin"]
"""


@pytest.mark.parametrize(
    ("diameter", "verdict"),
    [(7.5, Verdict.PASS), (7.50001, Verdict.FAIL), (6.5, Verdict.PASS), (6.49999, Verdict.FAIL)],
)
def test_a_row_just_the_edge_distance_from_a_round_edge_passes(diameter, verdict):
    # 2 D of a 1/8 in rivet is .25 in (NAVEDTRA 14018 ch 13, read): within 4 in, outside of 3 in.
    plan = planned(RIM.format(diameter=diameter))
    edges = [check.verdict for check in plan.edges.checks]
    assert worst_verdict(edges) is verdict


def test_a_measured_hole_just_the_edge_distance_from_a_round_edge_is_saved():
    # 2 D of 3/16 in is .375 in: 3.625 in from the centre of a rim of 4 in.
    plan = planned(RIM.format(diameter=7.25), bench("ring:6", 0.187))
    (fix,) = plan.measured.fixes
    assert fix.chosen.fastener.designation.startswith("MS20470AD6")
    edge = next(c for c in fix.chosen.checks if c.name == "edge distance" and "cover" in c.where)
    assert (edge.value, edge.limit) == (pytest.approx(0.375, abs=1e-9), 0.375)


@settings(max_examples=150)
@given(
    spot=st.tuples(st.floats(-1.6, 1.6), st.floats(-1.6, 1.6)),
    move=st.tuples(st.floats(-0.02, 0.02), st.floats(-0.02, 0.02)),
    turn=st.floats(0.4, 5.0),
)
def test_the_pieces_of_an_arc_are_as_near_as_the_arc(spot, move, turn):
    """A moved hole against a slow loop over where its centre may be; the arc is 1 in in radius."""
    ends = [(math.cos(turn * part), math.sin(turn * part)) for part in (0.0, 0.5, 1.0)]
    chords = arc_points(*ends).tolist()
    bow = Bow((0.0, 0.0), 1.0)
    pieces = [Stretch(tuple(a), tuple(b), 0.0, bow) for a, b in pairwise(chords)]
    (x, y), (dx, dy) = spot, move
    now = Stretch((x - dx, y - dy), (x + dx, y + dy))
    shares = np.linspace(-1.0, 1.0, 201)
    places = np.column_stack((x + shares * dx, y + shares * dy))
    slow_in = Bend.through(*ends).distance_in(places).min()
    step_in = math.hypot(dx, dy) / 100.0

    assert slow_in - step_in - 1e-9 <= min(now.gap_in(piece) for piece in pieces) <= slow_in + 1e-9
