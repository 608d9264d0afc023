"""The clean-up hole against closed-form cases and against a search over a grid of centres."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.oversize.cleanup_hole import (
    MeasuredHole,
    clean_up_with,
    clean_up_working,
    grown_hole,
    least_clean_up_in,
    middle_move,
    smallest_clean_up,
)
from rivetkit.calculators.oversize.hole_move import Move
from rivetkit.drills import Drill, chart, find_drill
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()
#: The allowance of the usual rules: common practice, no source.
ALLOWANCE_IN = 0.002

sizes = st.floats(0.06, 0.3)
ovals = st.floats(0.0, 0.05)
degrees = st.floats(-180.0, 180.0)


def drill_of(size_in):
    return Drill("cutter", "fraction", size_in, find_drill("1/4").citation)


def slot_edge(hole, extra_in, points=720):
    """Points on the rim of the measured slot, grown all round, its middle at the origin."""
    half, radius = hole.oval_in / 2, hole.least_in / 2 + extra_in
    for number in range(points):
        angle = 2 * math.pi * number / points
        end = half if math.cos(angle) >= 0 else -half
        yield end + radius * math.cos(angle), radius * math.sin(angle)


def searched_move(hole, drill_in, allowance_in, *, steps=48):
    """Least distance from the old centre to a centre at which the drill takes in every point."""
    rim = list(slot_edge(hole, allowance_in / 2))
    reach = max(drill_in - hole.greatest_in, 0.001)
    best = math.inf
    for column in range(-steps, steps + 1):
        for line in range(-steps // 4, steps // 4 + 1):
            x, y = column * reach / steps, line * reach / steps
            if all(math.hypot(px - x, py - y) <= drill_in / 2 + 1e-9 for px, py in rim):
                best = min(best, math.hypot(x + hole.middle_from_true_in, y))
    return best, reach / steps


@pytest.mark.parametrize(
    ("least", "greatest", "middle", "drill_in"),
    [
        (0.128, 0.141, 0.0065, 0.144),
        (0.128, 0.141, 0.0065, 0.147),
        (0.128, 0.141, 0.0065, 0.159),
        (0.128, 0.141, -0.0065, 0.150),
        (0.128, 0.141, 0.0, 0.159),
        (0.130, 0.130, 0.01, 0.140),
        (0.100, 0.150, 0.02, 0.160),
        (0.100, 0.150, -0.03, 0.1545),
    ],
)
def test_no_centre_on_a_grid_moves_less_than_the_closed_form(least, greatest, middle, drill_in):
    hole = MeasuredHole(least, greatest, 90.0, middle)
    clean = clean_up_with(hole, drill_of(drill_in), allowance_in=ALLOWANCE_IN)
    searched_in, step_in = searched_move(hole, drill_in, ALLOWANCE_IN)
    moved_in = abs(clean.move.along_in)
    assert moved_in <= searched_in + 1e-9
    assert searched_in <= moved_in + 1.5 * step_in


@given(sizes, ovals, st.floats(-0.03, 0.03), st.floats(0.0, 0.05))
def test_the_drill_takes_in_the_whole_slot_from_the_centre_given(least, oval, middle, excess):
    hole = MeasuredHole(least, least + oval, 0.0, middle)
    drill_in = least_clean_up_in(hole, allowance_in=ALLOWANCE_IN) + excess
    clean = clean_up_with(hole, drill_of(drill_in), allowance_in=ALLOWANCE_IN)
    for x, y in slot_edge(hole, ALLOWANCE_IN / 2, 64):
        assert math.hypot(x - clean.centre_from_middle_in, y) <= drill_in / 2 + 1e-9
    assert clean.move.along_in == pytest.approx(middle + clean.centre_from_middle_in)


@given(sizes, ovals, st.floats(0.0001, 0.02))
def test_no_smaller_circle_takes_in_the_slot(least, oval, less):
    # Its two ends are the greatest diameter apart, and no circle holds two points further apart
    # than its own diameter.
    hole = MeasuredHole(least, least + oval)
    xs = [x for x, _ in slot_edge(hole, 0.0)]
    assert max(xs) - min(xs) == pytest.approx(least_clean_up_in(hole))
    with pytest.raises(InputError, match="does not take out"):
        clean_up_with(hole, drill_of(hole.greatest_in - less))


@pytest.mark.parametrize(
    ("grown", "drill_in", "moved"),
    [
        ("both", 0.141, 0.0),
        ("toward", 0.141, 0.0065),  # no room: the centre is the middle of the slot
        ("away", 0.141, -0.0065),
        ("toward", 0.147, 0.0035),  # half of .006 to spare
        ("toward", 0.154, 0.0),  # .013 to spare: concentric with the old hole
        ("toward", 0.159, 0.0),
    ],
)
def test_closed_form_cases(grown, drill_in, moved):
    hole = grown_hole(0.128, 0.141, axis_deg=90.0, grown=grown)
    clean = clean_up_with(hole, drill_of(drill_in))
    assert clean.move.along_in == pytest.approx(moved, abs=1e-12)
    assert clean.move.side_known


def test_without_the_old_centre_the_drill_goes_to_the_middle_and_may_be_half_the_oval_off():
    clean = clean_up_with(MeasuredHole(0.128, 0.141), drill_of(0.159))
    assert clean.centre_from_middle_in == 0.0
    assert clean.move == Move(pytest.approx(0.0065), None, side_known=False)
    assert middle_move(MeasuredHole(0.13, 0.13)).along_in == 0.0


@given(sizes, ovals)
def test_the_smallest_clean_up_drill_is_the_first_of_the_chart_that_is_large_enough(least, oval):
    hole = MeasuredHole(least, least + oval)
    inch = [drill for drill in chart() if drill.series != "metric"]
    first = min(d.size_in for d in inch if d.size_in >= least + oval + ALLOWANCE_IN - 1e-9)
    assert smallest_clean_up(hole, USUAL).drill.size_in == first


def test_the_series_and_the_allowance_can_be_chosen():
    hole = MeasuredHole(0.128, 0.141)
    assert smallest_clean_up(hole, USUAL).drill.designation == "#27"  # .144
    assert smallest_clean_up(hole, USUAL, series=["fraction"]).drill.designation == "5/32"
    maker = Override("clean_up_allowance", 0.006, "in", "drawing 12")
    assert (
        smallest_clean_up(hole, RuleBook.named("usual", [maker])).drill.designation == "#26"
    )  # .147
    working = clean_up_working(hole, USUAL)
    assert working.substituted() == "0.1430 in = 0.1410 in + 0.0020 in"
    assert working.citations[0].basis == "practice"


def test_a_hole_past_the_chart_has_no_drill():
    with pytest.raises(OutOfTableError, match="no drill on the chart is at or above"):
        smallest_clean_up(MeasuredHole(3.0, 3.0), USUAL)


@given(st.floats(-0.03, 0.03), degrees, degrees, st.floats(0.1, 2.0))
def test_a_known_move_against_plane_geometry(along, axis, direction, distance):
    move = Move(along, axis)
    cx, cy = along * math.cos(math.radians(axis)), along * math.sin(math.radians(axis))
    ux, uy = math.cos(math.radians(direction)), math.sin(math.radians(direction))
    assert move.toward_in(direction) == pytest.approx(cx * ux + cy * uy, abs=1e-12)
    there = math.hypot(distance * ux - cx, distance * uy - cy)
    opposite = math.hypot(-distance * ux - cx, -distance * uy - cy)
    assert move.distance_after_in(distance, direction) == pytest.approx(there)
    both = move.distance_after_in(distance, direction, either_side=True)
    assert both == pytest.approx(min(there, opposite))


@given(st.floats(0.0, 0.03), degrees, degrees, st.floats(0.1, 2.0))
def test_an_unknown_side_is_the_worst_of_all_places_along_the_axis(most, axis, direction, distance):
    move = Move(most, axis, side_known=False)
    places = [Move(most * step / 200, axis) for step in range(-200, 201)]
    assert move.toward_in(direction) == pytest.approx(
        max(place.toward_in(direction) for place in places)
    )
    worst = min(place.distance_after_in(distance, direction) for place in places)
    assert move.distance_after_in(distance, direction) == pytest.approx(worst, abs=1e-6)
    assert move.distance_after_in(distance, direction) <= worst + 1e-12


@given(st.floats(-0.03, 0.03), degrees, degrees)
def test_a_direction_nobody_noted_is_the_worst_direction(along, axis, direction):
    for unknown in (Move(along).toward_in(direction), Move(along, axis).toward_in(None)):
        assert unknown == abs(along) >= Move(along, axis).toward_in(direction) - 1e-15
    assert Move(along).distance_after_in(0.5, direction) == 0.5 - abs(along)


def test_a_move_along_the_row_leaves_an_edge_across_it_alone_exactly():
    assert Move(0.02, 0.0).toward_in(90.0) == 0.0
    assert Move(0.02, 90.0).toward_in(90.0) == 0.02
    assert Move(0.02, 90.0).toward_in(-90.0) == -0.02
    assert Move(0.02, 90.0).toward_in(-90.0, either_side=True) == 0.02


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.141, 0.128), "least diameter 0.141 in is above its greatest 0.128 in"),
        ((0.0, 0.128), "the hole's least diameter is 0 in"),
        ((0.128, math.inf), "the hole's greatest diameter is inf in"),
        ((0.128, 0.14, math.nan), "the direction of the long axis is nan"),
        ((0.128, 0.14, 0.0, math.inf), "the move of the hole's middle is inf"),
    ],
)
def test_what_is_no_hole(arguments, message):
    with pytest.raises(InputError) as caught:
        MeasuredHole(*arguments)
    assert message in str(caught.value)
    assert caught.value.mend
