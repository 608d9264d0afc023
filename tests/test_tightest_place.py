"""The place with the least room, and the hole of a row that is worst off, against plain loops."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import HEAD, SHEET

from rivetkit.checks import Verdict
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.plan import plan_job
from rivetkit.planning.tightest_place import tightest_place

DRAIN, DRAIN_IN = (5.0, 3.0), 0.5
#: One sheet .063 in thick, 10 by 6 in, with a round hole of 1 in in the middle.
PLATE = (
    HEAD
    + SHEET.replace("thickness = 0.032", "thickness = 0.063")
    + f'[[sheet.holes]]\nname = "drain"\nat = {list(DRAIN)}\ndiameter = {2 * DRAIN_IN}\n'
)


def row(name, holes):
    return f'[[row]]\nname = "{name}"\nrivet = "MS20470AD3-3"\nlayers = ["skin"]\nholes = {holes}\n'


def to_edges(x, y):
    """Distance of a point of the plate from each of its edges [in]."""
    return (y, 10 - x, 6 - y, x, math.dist((x, y), DRAIN) - DRAIN_IN)


HOLES = st.lists(
    st.tuples(st.integers(2, 98), st.integers(2, 58)), min_size=2, max_size=4, unique=True
).map(lambda spots: [[x / 10, y / 10] for x, y in spots])


@settings(max_examples=80, deadline=None)
@given(ones=HOLES, others=HOLES)
def test_the_tightest_place_is_drawn_where_it_is_and_nothing_is_tighter(ones, others):
    # Army AL0992 p 59 (seen): edge distance 2 D, pitch at most 10 D. NAVEDTRA 14018 ch 13 (seen):
    # pitch 3 D. Geometry, by plain loops.
    at = {f"one:{number}": hole for number, hole in enumerate(ones, 1)}
    at |= {f"two:{number}": hole for number, hole in enumerate(others, 1) if hole not in ones}
    at = {name: hole for name, hole in at.items() if to_edges(*hole)[4] > 0}
    rows = {
        name: [hole for key, hole in at.items() if key.startswith(name)] for name in ("one", "two")
    }
    text = PLATE + "".join(row(name, holes) for name, holes in rows.items() if holes)
    if not at:
        return
    plan = plan_job(parse_job(text))
    place = tightest_place(plan, layers=["skin"], holes=range(len(plan.holes)))
    check = place.check

    first = plan.holes.points[place.holes[0]]
    assert place.start == pytest.approx(tuple(first))
    if check.name == "edge distance":
        assert math.dist(place.start, place.end) == pytest.approx(check.value)
        assert min(map(abs, to_edges(*place.end))) < 1e-9
    else:
        assert place.end == pytest.approx(tuple(plan.holes.points[place.holes[1]]))
    edges = [min(to_edges(*hole)) / (2 * 3 / 32) - 1 for hole in at.values()]
    fails = [spare for spare in edges if spare < -1e-9]
    if fails:
        assert check.verdict is Verdict.FAIL
        assert check.margin / check.limit <= min(fails) + 1e-9
    elif check.verdict is Verdict.PASS:
        assert check.margin / check.limit <= min(edges) + 1e-9
    # Only what is named counts.
    assert tightest_place(plan, layers=["skin"], holes=()) is None
    for some in (range(1), range(0, len(plan.holes), 2)):
        found = tightest_place(plan, layers=["skin"], holes=some)
        assert found is None or set(found.holes) <= set(some)
    between = tightest_place(plan, layers=(), holes=range(len(plan.holes)))
    assert between is None or len(between.holes) == 2


@settings(max_examples=40, deadline=None)
@given(
    rises=st.lists(st.integers(0, 12), min_size=3, max_size=6),
    larger=st.integers(0, 2),
)
def test_the_hole_of_a_row_that_is_told_has_the_least_to_spare_not_the_least_edge(rises, larger):
    # Army AL0992 p 59 (seen): 2 D, so a hole for a 1/8 rivet needs .0625 in more than others.
    spots = [[1 + number, 0.26 + 0.01 * rise] for number, rise in enumerate(rises)]
    grown = BenchHole(f"one:{larger + 1}", 0.126, 0.126, None, None, "", "sheet.csv: line 2")
    plan = plan_job(parse_job(PLATE + row("one", spots)), measured=[grown])
    assert plan.measured.fixes[0].chosen.diameter_in == 0.125
    spare = [y - (0.25 if number == larger else 0.1875) for number, (_, y) in enumerate(spots)]

    (margin,) = plan.edges.by_row
    front = next(margin for margin in plan.edges.by_edge if margin.edge == "front")
    for told in (margin, front):
        assert told.check.margin == pytest.approx(min(spare))
        assert spare[int(told.hole.split(":")[1]) - 1] == pytest.approx(min(spare))


@pytest.mark.parametrize("angle_deg", [0, 70, 160, 250])
def test_beside_a_round_hole_the_tightest_place_ends_on_its_near_rim(angle_deg):
    # Geometry: the rim is nearest on the way to the middle of the hole.
    way = (math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))
    hole = [DRAIN[0] + 0.75 * way[0], DRAIN[1] + 0.75 * way[1]]
    plan = plan_job(parse_job(PLATE + row("one", [hole])))
    place = tightest_place(plan, layers=["skin"], holes=[0])

    assert place.check.value == pytest.approx(0.25)
    assert place.end == pytest.approx((DRAIN[0] + 0.5 * way[0], DRAIN[1] + 0.5 * way[1]))
