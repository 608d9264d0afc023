"""Rows to holes: shared holes are one, with the layers of both rows."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import HEAD, SHEET

from rivetkit.calculators.oversize.hole_move import STILL
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.near_edges import near_edges_in
from rivetkit.planning.plan import plan_job


def member(name):
    return f'[[member]]\nname = "{name}"\nkind = "rib"\nthickness = 0.025\nedge_distance = 0.3\n'


def row(name, path, layers, count=3, rivet="MS20470AD3-3", more=""):
    return (
        f'[[row]]\nname = "{name}"\nrivet = "{rivet}"\npath = {path}\ncount = {count}\n'
        f"layers = {layers}\n{more}\n"
    )


ALONG = "[[1, 2], [5, 2]]"
UP = "[[3, 2], [3, 5]]"
BASE = HEAD + SHEET + member("spar") + member("rib")


def test_crossing_rows_share_one_hole_with_the_layers_of_both():
    holes = lay_out(
        parse_job(BASE + row("a", ALONG, '["skin", "spar"]') + row("b", UP, '["skin", "rib"]'))
    )

    assert len(holes) == 5
    assert holes.shared == 1
    assert [holes.name(hole) for hole in range(5)] == ["a:1", "a:2", "a:3", "b:2", "b:3"]
    assert [[p.layer for p in holes.stacks[holes.stack[hole]]] for hole in (0, 1, 3)] == [
        ["skin", "spar"],
        ["skin", "spar", "rib"],
        ["skin", "rib"],
    ]
    assert [members.tolist() for members in holes.in_row] == [[0, 1, 2], [1, 3, 4]]
    assert holes.in_layer("rib").tolist() == [1, 3, 4]


@pytest.mark.parametrize("other", [0.4, 0.25])
def test_a_shared_hole_stands_where_the_nearer_row_says(other):
    # Of two distances told for one hole the lesser is the one that cannot be too much.
    spar = '{{ layer = "spar", edge_distance = {} }}'
    holes = lay_out(
        parse_job(
            BASE
            + row("a", ALONG, f'["skin", {spar.format(0.3)}]')
            + row("b", UP, f'["skin", {spar.format(other)}]')
        )
    )
    told = [holes.stacks[holes.stack[hole]][1].edge_distance_in for hole in range(5)]

    assert told == [0.3, min(0.3, other), 0.3, other, other]


def test_rows_without_a_common_layer_do_not_share():
    holes = lay_out(parse_job(BASE + row("a", ALONG, '["skin"]') + row("b", UP, '["rib"]')))

    assert len(holes) == 6
    assert holes.shared == 0


def two_sides(members, count=5, up="[[1, 2], [5, 2]]"):
    """Two skins, each with a row to its member; one above the other in the plan view."""
    other = SHEET.replace('"skin"', '"far skin"')
    return (
        HEAD
        + SHEET
        + other
        + "".join(member(name) for name in sorted(set(members)))
        + row("near", ALONG, f'["skin", "{members[0]}"]', count)
        + row("far", up, f'["far skin", "{members[1]}"]', count)
    )


def test_two_skins_on_one_member_hole_for_hole_are_asked_about():
    # A spar has two flanges. Told as one member, its two rows were taken for one row through both
    # skins: half the rivets, and each too long. Common practice, no source.
    with pytest.raises(InputError) as error:
        lay_out(parse_job(two_sides(["spar", "spar"])))

    assert error.value.where == "rows 'near' and 'far'"
    assert "5 holes in common through 'spar'" in error.value.what
    assert "'skin' and 'far skin' together" in error.value.what
    assert "[[member]] of its own" in error.value.mend
    assert "one row" in error.value.mend


def test_two_rivets_a_side_on_one_member_are_asked_about_too():
    # A clip with two rivets in each skin: told as one member it got two rivets in place of four,
    # each through both skins, and passed. Common practice, no source.
    with pytest.raises(InputError, match="2 holes in common through 'spar'"):
        lay_out(parse_job(two_sides(["spar", "spar"], count=2)))


@pytest.mark.parametrize(
    "far",
    [
        "path = [[1, 2], [5, 2]]\ncount = 6",  # pitches 1 and .8 in: the ends alone meet
        "path = [[1, 2], [5, 2]]\npitch = 0.7",  # the first hole alone
        "path = [[1.4, 2], [5.4, 2]]\ncount = 5",  # none
        "path = [[5, 2.05], [1, 1.95]]\ncount = 6",  # not quite one line, the other way round
        "holes = [[2.3, 2], [2.9, 2]]",  # two holes within one step
    ],
)
def test_two_skins_along_one_line_of_one_member_are_asked_about(far):
    # The rows of two flanges need not have one pitch; told as one member, they failed by a pitch
    # that is none, or were merged where they meet. Common practice, no source.
    text = two_sides(["spar", "spar"]).replace(
        'name = "far"\nrivet = "MS20470AD3-3"\npath = [[1, 2], [5, 2]]\ncount = 5',
        f'name = "far"\nrivet = "MS20470AD3-3"\n{far}',
    )
    with pytest.raises(InputError, match="run along one line through 'spar'") as error:
        lay_out(parse_job(text))

    assert error.value.where == "rows 'near' and 'far'"
    # with a member a side all rivets count
    count = lay_out(
        parse_job(text.replace('["far skin", "spar"]', '["far skin", "rib"]') + member("rib"))
    )
    assert len(count) == 5 + len(parse_job(text).rows[1].points)


@pytest.mark.parametrize(
    "far",
    [
        "path = [[1, 2.13], [5, 2.13]]\ncount = 6",  # further off than a 1/8 rivet is wide
        "path = [[4, 2], [8, 2]]\ncount = 5",  # a lap: where both run they have all holes
        "path = [[5, 2], [9, 2]]\ncount = 5",  # end to end
        "path = [[2.5, 1.5], [3.5, 2.5]]\ncount = 2",  # it crosses between two holes
        "path = [[3, 2], [4, 3]]\ncount = 2",  # it starts from a hole of the other
    ],
)
def test_two_skins_that_lap_meet_or_cross_on_one_member_stay(far):
    text = (
        two_sides(["spar", "spar"])
        .replace("MS20470AD3-3", "MS20470AD4-4")
        .replace(
            'name = "far"\nrivet = "MS20470AD4-4"\npath = [[1, 2], [5, 2]]\ncount = 5',
            f'name = "far"\nrivet = "MS20470AD4-4"\n{far}',
        )
    )

    assert len(lay_out(parse_job(text))) > 5


def test_a_hatch_in_the_gap_of_a_skin_s_row_is_no_second_side():
    # The skin is cut out under the hatch; both are riveted to the one member, in one line.
    hatch = two_sides(["spar", "spar"], count=9).replace(
        'name = "far"\nrivet = "MS20470AD3-3"\npath = [[1, 2], [5, 2]]\ncount = 9',
        'name = "far"\nrivet = "MS20470AD3-3"\npath = [[2.6, 2], [3.4, 2]]\ncount = 3',
    )
    gap = hatch.replace("count = 9\n", "count = 9\nskip = [4, 5, 6]\n")

    assert len(lay_out(parse_job(gap))) == 6 + 3
    with pytest.raises(InputError, match="run along one line"):
        lay_out(parse_job(hatch))


def test_rows_of_one_hole_are_stacked_as_any_of_them_says():
    # Three rows: two say nothing of rib and spar, the third does. None contradicts another.
    layers = [["skin", "rib"], ["skin", "spar"], ["skin", "spar", "rib"]]
    for order in itertools.permutations(layers):
        holes = crossing_job([(f"row {n}", [(2, 2)], 0.0, some) for n, some in enumerate(order)])
        assert [place.layer for place in holes.stacks[holes.stack[0]]] == ["skin", "spar", "rib"]

    # Three that go round in a circle contradict each other, though no two of them do.
    circle = [["skin", "spar"], ["spar", "rib"], ["rib", "skin"]]
    with pytest.raises(InputError, match="stack skin and spar and rib in different order"):
        crossing_job([(f"row {n}", [(2, 2)], 0.0, some) for n, some in enumerate(circle)])


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_what_no_row_orders_stands_so_that_the_flush_head_has_its_seat(order):
    # A dimple nests in a dimple or in the one countersink below it (common practice, no source).
    formed = [dimpled("skin"), dimpled("skin", "spar"), f"{dimpled('skin')[:-1]}, {SUNK}]"]
    rows = [
        row(f"row {n}", ALONG, formed[which], rivet="MS20426AD3-3") for n, which in enumerate(order)
    ]
    holes = lay_out(parse_job(BASE + "".join(rows)))

    assert [(place.layer, place.form) for place in holes.stacks[holes.stack[0]]] == [
        ("skin", "dimpled"),
        ("spar", "dimpled"),
        ("rib", "countersunk"),
    ]


SUNK = '{ layer = "rib", form = "countersunk" }'


@pytest.mark.parametrize("near", range(2, 8))
@pytest.mark.parametrize("far", range(2, 8))
def test_rows_of_two_skins_that_have_half_of_the_shorter_in_common_are_asked_about(near, far):
    # Rows that cross meet at one hole or two; those that run along each other have half the holes
    # of the shorter one in common, or more. Common practice, no source.
    for common in range(min(near, far) + 1):
        places = {
            "near": [[x, 2] for x in range(1, near + 1)],
            "far": [[x, 2 if x <= common else 4] for x in range(1, far + 1)],
        }
        text = two_sides(["spar", "spar"], 9)
        for one, path in (("near", ALONG), ("far", "[[1, 2], [5, 2]]")):
            text = text.replace(f"path = {path}\ncount = 9", f"holes = {places[one]}", 1)
        job = parse_job(text)
        whole = common == min(near, far)
        if common >= 2 and (common > 2 or whole) and common >= min(near, far) / 2:
            with pytest.raises(InputError, match=f"they have {common} holes in common"):
                lay_out(job)
        else:
            assert lay_out(job).shared == common


def test_two_skins_on_two_flanges_are_two_rows():
    holes = lay_out(parse_job(two_sides(["near flange", "far flange"])))

    assert len(holes) == 10
    assert holes.shared == 0


def test_two_skins_may_cross_on_one_member():
    # As at the corner of a trailing edge, where a rib's row of one side ends on the strip.
    holes = lay_out(parse_job(two_sides(["spar", "spar"], count=3, up=UP)))

    assert len(holes) == 5
    assert holes.shared == 1


def test_a_doubler_s_row_may_run_along_another_row():
    # One skin: the layers add up to one stack, and nothing is counted short.
    text = (
        BASE
        + row("a", ALONG, '["skin", "spar"]', 5)
        + row("b", "[[2, 2], [4, 2]]", '["skin", "rib"]', 3)
    )
    holes = lay_out(parse_job(text))

    assert len(holes) == 5
    assert holes.shared == 3


def test_three_rows_through_one_hole():
    text = (
        BASE
        + row("a", ALONG, '["skin", "spar"]')
        + row("b", UP, '["skin", "rib"]')
        + row("c", "[[3, 2], [5, 4]]", '["skin"]')
    )
    holes = lay_out(parse_job(text))

    assert len(holes) == 7
    assert holes.shared == 1


def test_a_ring_counts_its_first_hole_once():
    text = BASE + (
        '[[row]]\nname = "ring"\nrivet = "MS20470AD3-3"\nlayers = ["skin"]\n'
        "circle = { at = [5, 3], diameter = 4, count = 8 }\n"
    )
    holes = lay_out(parse_job(text))

    assert len(holes) == 8
    assert holes.shared == 0
    assert holes.in_row[0].tolist() == [0, 1, 2, 3, 4, 5, 6, 7, 0]


@pytest.mark.parametrize(("gap", "count"), [(0.0199, 5), (0.0201, 6)])
def test_how_near_means_the_same_hole(gap, count):
    text = BASE + row("a", ALONG, '["skin"]') + row("b", f"[[3, {2 + gap}], [3, 5]]", '["skin"]')

    assert len(lay_out(parse_job(text))) == count


def test_the_job_may_say_how_near_means_the_same_hole():
    text = BASE + row("a", ALONG, '["skin"]') + row("b", "[[3, 2.05], [3, 5]]", '["skin"]')

    assert len(lay_out(parse_job(text))) == 6
    assert len(lay_out(parse_job("same_hole_within = 0.06\n" + text))) == 5


# Two rows that give the same nine holes, one .02 in above the other, below an edge at y = 3.2.
TWICE = (
    HEAD
    + SHEET
    + (
        '[[member]]\nname = "ring"\nkind = "doubler"\nalloy = "2024-T3"\nthickness = 0.025\n'
        "outline = { rectangle = { corner = [0, 0], width = 10, height = 3.2 } }\n"
    )
)
LOW = row("low", "[[1, 2.993], [5, 2.993]]", '["skin"]', count=9)
HIGH = row("high", "[[1, 3.013], [5, 3.013]]", '["skin", "ring"]', count=9)


@pytest.mark.parametrize("rows", [(LOW, HIGH), (HIGH, LOW)])
def test_a_hole_placed_twice_is_judged_where_it_is_worse_off(rows):
    # Army AL0992 p 59 (seen): 2 D of 3/32 is .1875. The edge at 3.2 is .187 from the upper place,
    # .207 from the lower one.
    plan = plan_job(parse_job(TWICE + "".join(rows)))
    (ring,) = (margin for margin in plan.edges.by_row if margin.layer == "ring")
    (top,) = (m for m in plan.edges.by_edge if m.layer == "skin" and m.edge == "back")
    (front,) = (m for m in plan.edges.by_edge if m.layer == "skin" and m.edge == "front")
    first, second = plan.pitches.along

    assert (len(plan.holes), plan.holes.shared) == (9, 9)
    assert plan.holes.placed_apart_in == pytest.approx(0.02)
    assert ring.distance_in == pytest.approx(0.187)
    assert ring.check.verdict is Verdict.FAIL
    assert set(hole_verdicts(plan).verdicts) == {Verdict.FAIL}
    assert (top.distance_in, front.distance_in) == pytest.approx((6 - 3.013, 2.993))
    # From hole to hole .5 along the row, but one may stand .02 higher than the next.
    assert first.least_in == second.least_in == pytest.approx(0.5)
    assert first.greatest_in == second.greatest_in == pytest.approx(math.hypot(0.5, 0.02))


@pytest.mark.parametrize("rows", [(LOW, HIGH), (HIGH, LOW)])
def test_a_moved_hole_is_looked_at_from_all_its_places(rows):
    # Still at its upper place it is .187 from the edge at 3.2; a move of .3 at most sees that edge
    # from both places, and no other.
    job = parse_job(TWICE + "".join(rows))
    near = near_edges_in(job.layers["ring"], lay_out(job))
    for move_in in (0.0, 0.3):
        seen = near.stretches(np.array([4]), np.array([move_in]))[4]
        gaps = sorted(round(STILL.centres.gap_in(edge), 9) for edge in seen)
        assert gaps == [pytest.approx(0.187), pytest.approx(0.207)]


def test_a_place_off_the_metal_is_the_worse_one():
    high = HIGH.replace("3.013", "3.209")
    low = LOW.replace("2.993", "3.195")  # nearer to the edge, but inside it
    for rows in (low + high, high + low):
        with pytest.raises(InputError, match=r"at \(1, 3\.209\) in lies off 'ring'"):
            plan_job(parse_job(TWICE + rows))


@pytest.mark.parametrize("order", [1, -1])
def test_a_shared_hole_keeps_the_pitch_of_both_its_rows(order):
    # NAVEDTRA 14018 ch 13 (seen): in one row 3 D, .28125; TM 10-5410-229-13&P p 5-4 (seen): between
    # rows 2.5 D, .234375. The second row comes back to within .25 of the hole it shares.
    back = row("b", UP, '["skin", "rib"]').replace(
        f"path = {UP}\ncount = 3", "holes = [[3, 2], [5, 4], [3, 2.25]]"
    )
    rows = (row("a", ALONG, '["skin", "spar"]'), back)[::order]
    plan = plan_job(parse_job(BASE + "".join(rows)))
    (gap,) = plan.pitches.across

    assert (gap.check.name, gap.check.verdict) == ("pitch", Verdict.FAIL)
    assert gap.check.limit == pytest.approx(0.28125)


def test_a_measured_hole_moves_with_all_its_places():
    job = parse_job(TWICE + LOW.replace("2.993", "2.0") + HIGH.replace("3.013", "2.02"))
    worn = BenchHole("low:3", 0.104, 0.126, 0.0, "toward", "", "sheet.csv: line 2")
    plan = plan_job(job, measured=(worn,))
    before = lay_out(job)
    step = plan.holes.points - before.points

    assert np.abs(step).max() > 0.004
    assert plan.holes.others - before.others == pytest.approx(step[before.other_of])


def found(plan):
    """What a plan comes to, without the names of its holes."""
    edges = sorted(
        (m.layer, m.row, m.edge, round(m.distance_in, 9), str(m.check.verdict))
        for m in plan.edges.by_row
    )
    along = sorted(
        (p.row, round(p.least_in, 9), round(p.greatest_in, 9), *(str(c.verdict) for c in p.checks))
        for p in plan.pitches.along
    )
    gaps = {(round(g.distance_in, 9), g.check.limit) for g in plan.pitches.across}
    nearest = min(gaps, key=lambda gap: gap[0] - gap[1], default=None)
    spare = sorted(round(x, 9) for x in plan.reserve.steps.tolist())
    return plan.verdict, len(plan.holes), edges, along, nearest, spare


@settings(max_examples=60, deadline=None)
@given(
    off=st.lists(st.tuples(st.integers(-7, 7), st.integers(-7, 7)), min_size=3, max_size=3),
    seam=st.integers(1, 2),
    order=st.permutations(range(3)),
)
def test_the_order_of_rows_changes_nothing(off, seam, order):
    (ax, ay), (bx, by), (cx, cy) = [(x / 1000, y / 1000) for x, y in off]
    layers = [
        '["skin", "spar"]',
        '["skin", "rib"]',
        '["skin"]',
    ]
    rows = [
        row("a", f"[[{1 + ax}, {0.4 + ay}], [{5 + ax}, {0.4 + ay}]]", layers[0], count=9),
        row("b", f"[[{3 + bx}, {0.4 + by}], [{3 + bx}, {5.6 + by}]]", layers[1], count=9),
        row("c", f"[[{3 + cx}, {0.4 + cy}], [{4 + cx}, {1.9 + cy}]]", layers[2], count=5),
    ]
    rows[1] += f"seam_rows = {seam}\n"
    plain = plan_job(parse_job(BASE + "".join(rows)))
    mixed = plan_job(parse_job(BASE + "".join(rows[number] for number in order)))

    assert plain.holes.shared == 1
    assert found(mixed) == found(plain)


def test_an_older_name_of_the_same_part_is_no_conflict():
    text = (
        BASE
        + row("a", ALONG, '["skin", "spar"]')
        + row("b", UP, '["skin", "rib"]', rivet="AN470AD3-4")
    )
    holes = lay_out(parse_job(text))
    shared = holes.installed_parts[holes.installed[1]]

    # The rows name different lengths: what sits in the thicker shared stack is left open.
    assert shared.designation == "MS20470AD3"


@pytest.mark.parametrize(
    ("second", "message"),
    [
        (
            row("b", UP, '["skin", "rib"]', rivet="MS20470AD4-4"),
            "one hole, two rivets: MS20470AD3-3 and MS20470AD4-4; give both rows the same",
        ),
        (
            row("b", UP, '["rib", "spar"]', more="kept = true"),
            "row 'a' hole 2 and row 'b' hole 1: the same hole is kept in one row and drilled out",
        ),
        (
            row("b", UP, '["spar", "skin"]'),
            "the rows stack skin and spar in different order; list the layers of all of them from",
        ),
        (
            row("b", UP, '["skin", "rib"]', more='fit = "MS20470DD3"'),
            "one hole, two rivets: MS20470AD3 and MS20470DD3; give both rows the same 'fit'",
        ),
    ],
)
def test_rows_that_disagree_about_a_hole_are_named(second, message):
    with pytest.raises(InputError) as caught:
        lay_out(parse_job(BASE + row("a", ALONG, '["skin", "spar"]') + second))

    assert message in str(caught.value)


def dimpled(*names):
    return "[" + ", ".join(f'{{ layer = "{name}", form = "dimpled" }}' for name in names) + "]"


def test_a_shared_flush_hole_keeps_a_seat_for_the_head():
    sunk = '[{ layer = "skin", form = "dimpled" }, { layer = "spar", form = "countersunk" }]'
    text = (
        BASE
        + row("a", ALONG, sunk, rivet="MS20426AD3-3")
        + row("b", UP, dimpled("skin", "rib"), rivet="MS20426AD3-3")
    )
    holes = lay_out(parse_job(text))

    # The dimpled rib must lie between the dimpled skin and the countersunk spar.
    assert [p.layer for p in holes.stacks[holes.stack[1]]] == ["skin", "rib", "spar"]


def test_a_layer_formed_two_ways_is_named():
    sunk = '[{ layer = "skin", form = "countersunk" }, "rib"]'
    text = (
        BASE
        + row("a", ALONG, dimpled("skin", "spar"), rivet="MS20426AD3-3")
        + row("b", UP, sunk, rivet="MS20426AD3-3")
    )
    with pytest.raises(InputError, match="'skin' is dimpled in one row and countersunk in the"):
        lay_out(parse_job(text))


def test_a_shared_hole_with_sealant_in_one_row_only_is_named():
    text = BASE + row("a", ALONG, '["skin", "rib"]') + row("b", UP, '["skin", "rib"]')
    lay_out(parse_job(text))

    with pytest.raises(InputError, match="more sealant or lug under it in one row"):
        lay_out(parse_job(text + "sealant = 0.06\n"))


def ring(more, count=8):
    return parse_job(
        BASE + '[[row]]\nname = "ring"\nrivet = "MS20470AD3-3"\nlayers = ["skin"]\n'
        f"circle = {{ at = [5, 3], diameter = 4, count = {count} }}\n{more}\n"
    )


def test_skipping_the_first_hole_of_a_ring_leaves_it_out():
    holes = lay_out(ring("skip = [1]"))

    assert [holes.name(hole) for hole in range(len(holes))] == [f"ring:{n}" for n in range(2, 9)]
    assert holes.in_row[0].tolist() == [0, 1, 2, 3, 4, 5, 6, 0]  # still closed


def test_a_ring_has_no_hole_past_its_last():
    with pytest.raises(InputError, match=r"skip: there is no hole 9; the row has holes 1 to 8"):
        ring("skip = [9]")


def test_a_ring_of_one_is_one_hole():
    assert lay_out(ring("", count=1)).in_row[0].tolist() == [0]


PLACES = [(x, y) for x in (2, 4, 6) for y in (2, 4)]


@st.composite
def crossing_rows(draw):
    """Rows of a few holes each on a coarse grid, each a hair off it, some through more layers."""
    rows = []
    for number in range(draw(st.integers(2, 5))):
        places = draw(st.lists(st.sampled_from(PLACES), min_size=1, max_size=4, unique=True))
        off = draw(st.sampled_from([0.0, 0.004, 0.008]))
        more = draw(st.sampled_from([[], ["spar"], ["rib"], ["spar", "rib"]]))
        rows.append((f"row {number}", places, off, ["skin", *more]))
    return rows


def crossing_job(rows):
    text = BASE
    for name, places, off, layers in rows:
        holes = [[x + off, y] for x, y in places]
        text += row(name, [[0, 0], [1, 1]], layers).replace(
            "path = [[0, 0], [1, 1]]\ncount = 3", f"holes = {holes}"
        )
    return lay_out(parse_job(text.replace("'", '"')))


@settings(max_examples=60, deadline=None)
@given(crossing_rows())
def test_rows_that_meet_at_a_place_have_one_hole_there_with_all_that_each_row_says(rows):
    holes = crossing_job(rows)
    at = {}  # place: the rows that have it, in order
    for number, (_, places, _, _) in enumerate(rows):
        for place in places:
            at.setdefault(place, []).append(number)
    place_of = {
        int(hole): place
        for members, (_, places, _, _) in zip(holes.in_row, rows, strict=True)
        for hole, place in zip(members, places, strict=True)
    }

    assert len(holes) == len(at) == len(place_of)
    assert holes.shared == sum(len(numbers) > 1 for numbers in at.values())
    for hole, place in place_of.items():
        first, *_ = at[place]
        assert holes.name(hole) == f"row {first}:{rows[first][1].index(place) + 1}"
        wanted = {layer for number in at[place] for layer in rows[number][3]}
        assert {one.layer for one in holes.stacks[holes.stack[hole]]} == wanted
    for layer in ("skin", "spar", "rib"):
        through = {h for h, p in place_of.items() if any(layer in rows[n][3] for n in at[p])}
        assert set(holes.in_layer(layer).tolist()) == through

    one, other = np.triu_indices(len(holes), 1)
    least, greatest = holes.apart_in(one, other)
    said = {p: [(p[0] + rows[n][2], p[1]) for n in numbers] for p, numbers in at.items()}
    for pair, (a, b) in enumerate(zip(one.tolist(), other.tolist(), strict=True)):
        mine, theirs = at[place_of[a]], at[place_of[b]]
        assert holes.share_row(one, other)[pair] == bool(set(mine) & set(theirs))
        every = [math.dist(p, q) for p in said[place_of[a]] for q in said[place_of[b]]]
        assert (least[pair], greatest[pair]) == pytest.approx((min(every), max(every)))
    everywhere = [min(math.dist(p, (1, 1)) for p in said[place_of[h]]) for h in range(len(holes))]
    assert holes.away_in((1, 1), np.arange(len(holes))) == pytest.approx(everywhere)
    apart = [math.dist(said[p][0], q) for p in said for q in said[p]]
    assert holes.placed_apart_in == pytest.approx(max(apart))


@pytest.mark.parametrize(
    ("one", "other", "installed", "fit"),
    [
        # What sits in a hole is what either row says; where both do and differ, its length is open.
        ('rivet = "MS20470AD3-3"', 'fit = "MS20470AD3"', "MS20470AD3-3", "MS20470AD3"),
        ('rivet = "MS20470AD3-3"', 'rivet = "MS20470AD3-4"', "MS20470AD3", "MS20470AD3"),
        ('rivet = "MS20470AD3-3"', 'rivet = "MS20470AD3-3"', "MS20470AD3-3", "MS20470AD3"),
        ('fit = "MS20470AD3-5"', 'fit = "MS20470AD3-5"', None, "MS20470AD3-5"),
        ('fit = "MS20470AD3-5"', 'fit = "MS20470AD3-4"', None, "MS20470AD3"),
    ],
)
def test_the_rivet_of_a_shared_hole_is_what_both_rows_agree_on(one, other, installed, fit):
    for first, second in ((one, other), (other, one)):
        text = BASE + row("a", ALONG, '["skin", "spar"]') + row("b", UP, '["skin", "rib"]')
        for part in (first, second):
            text = text.replace('rivet = "MS20470AD3-3"\npath', f"{part} \npath", 1)
        holes = lay_out(parse_job(text))
        shared = int(holes.in_row[0][1])

        assert shared == holes.in_row[1][0]
        there = holes.installed_parts[holes.installed[shared]]
        assert (there.designation if there else None) == installed
        assert holes.fit_parts[holes.fit[shared]].designation == fit
