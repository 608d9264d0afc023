"""The end of a flange: near the outermost rivets of a straight row, not those in its middle.

That flanges are cut square at their ends, or slanted by no more than 45 degrees, is common
practice, no source. AC 43.13-1B and NAVEDTRA 14018 ch 13 (seen): 2 D of edge distance.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.checks import Verdict
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.context import Context
from rivetkit.planning.plan import plan_job
from rivetkit.planning.stray import near_row_ends

# 13 rivets of 3/32, 0.75 in apart; 0.2 in from the end is 2.13 D of them and 1.6 D of 1/8.
NEAR_END = JOB.replace("end_distance = 0.3", "end_distance = 0.2")
RING = "circle = { at = [5, 3], diameter = 4, count = 13 }"


def goes_in(text, hole):
    torn = BenchHole(f"row:{hole}", 0.115, 0.115, None, None, "", "sheet.csv: line 2")
    plan = plan_job(parse_job(text), measured=[torn])
    (fix,) = plan.measured.fixes
    return fix.chosen.fastener.diameter_in if fix.chosen else None, plan


@pytest.mark.parametrize("hole", [2, 7, 12])
def test_a_hole_in_the_middle_goes_up_a_size_whatever_the_ends_of_the_flange(hole):
    size_in, plan = goes_in(NEAR_END, hole)

    assert size_in == 1 / 8
    assert plan.verdict is not Verdict.FAIL


@pytest.mark.parametrize("hole", [1, 13])
def test_the_outermost_holes_are_held_to_the_ends_of_the_flange(hole):
    assert goes_in(NEAR_END, hole)[0] is None
    assert goes_in(JOB, hole)[0] == 1 / 8


def test_of_a_row_that_is_not_straight_any_hole_may_be_at_the_end():
    ring = NEAR_END.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", RING)

    assert goes_in(ring, 7)[0] is None


def test_only_the_outermost_holes_have_no_reserve():
    steps = plan_job(parse_job(NEAR_END)).reserve.steps

    assert np.flatnonzero(steps == 0).tolist() == [0, 12]


def test_where_rows_meet_the_hole_is_at_the_end_of_the_one_that_ends():
    other = """
[[row]]
name = "across"
rivet = "MS20470AD3-3"
path = [[5, 0.5], [5, 5]]
count = 7
layers = ["skin", { layer = "rib", row_from_edge = 0.3125 }]
"""
    job = parse_job(NEAR_END + other)
    plan = plan_job(job)
    held = Context(plan.job, plan.holes, plan.book).at_row_ends

    assert [plan.holes.name(hole) for hole in np.flatnonzero(held).tolist()] == [
        "row:1",
        "row:7",
        "row:13",
        "across:7",
    ]


@given(
    along=st.lists(st.integers(0, 40), min_size=2, max_size=12, unique=True),
    turn=st.floats(0, math.tau),
    slant=st.floats(math.pi / 4, math.pi / 2),
    past=st.floats(0.04, 1.0),
)
def test_a_hole_let_off_stands_over_the_greatest_edge_distance_from_any_end(
    along, turn, slant, past
):
    # 1/8 in rivets on a grid of 1/10 in; the flange is cut at `slant`, `past` beyond the last
    # hole. Of the next larger rivet the handbooks ask for 2.5 D at most: 0.391 in. Even where the
    # last hole is all but cut into, those let off have that.
    places = np.array(along) / 10.0
    ways = np.array([math.cos(turn), math.sin(turn)])
    let_off = ~near_row_ends(places[:, None] * ways, 1 / 8)

    from_ends = np.minimum(places - places.min(), places.max() - places)
    to_cut = past + from_ends * math.sin(slant)
    assert np.all(to_cut[let_off] >= 0.391)
    assert not let_off[np.argmin(places)]
    assert not let_off[np.argmax(places)]
    assert let_off[from_ends > 0.51].all()
