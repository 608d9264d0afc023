"""Geometry against closed forms, scipy, and slow loops written here."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from rivetkit.geometry.curves import ARC_SAGITTA_IN, arc_points, points_along, polyline_length_in
from rivetkit.geometry.neighbours import close_pairs
from rivetkit.geometry.outline import Boundary, Circle, Edge, Loop, Rims, signed_distance_in
from rivetkit.geometry.spots import Spots


def polygon_loop(corners):
    closed = [*corners, corners[0]]
    return Loop(
        tuple(
            Edge(f"edge {number}", np.array(closed[number : number + 2], dtype=float))
            for number in range(len(corners))
        )
    )


def slow_segment_distance(point, start, end):
    """Point to segment, by the textbook: project, clamp, measure."""
    along = (end[0] - start[0], end[1] - start[1])
    offset = (point[0] - start[0], point[1] - start[1])
    share = (offset[0] * along[0] + offset[1] * along[1]) / (along[0] ** 2 + along[1] ** 2)
    share = min(1.0, max(0.0, share))
    foot = (start[0] + share * along[0], start[1] + share * along[1])
    return math.dist(point, foot)


ANGLES = st.floats(0.2, 6.0)
SIZES = st.floats(0.05, 60.0)


@given(radius=SIZES, first=st.floats(0, 6.28), turn=ANGLES, left=st.booleans())
def test_an_arc_keeps_its_radius_and_its_ends(radius, first, turn, left):
    sign = 1.0 if left else -1.0
    at = [
        (
            radius * math.cos(first + sign * share * turn),
            radius * math.sin(first + sign * share * turn),
        )
        for share in (0.0, 0.5, 1.0)
    ]
    points = arc_points(*at)

    assert tuple(points[0]) == at[0]
    assert tuple(points[-1]) == at[2]
    assert np.hypot(*points.T) == pytest.approx(radius, rel=1e-6)
    middles = (points[:-1] + points[1:]) / 2
    assert radius - np.hypot(*middles.T).min() <= ARC_SAGITTA_IN * 1.01
    # Length of an arc is radius times angle; chords fall short of it by less than a part in 1e3.
    assert polyline_length_in(points) == pytest.approx(radius * turn, rel=5e-3)


def test_three_points_on_a_line_are_no_arc():
    with pytest.raises(ValueError, match="on a line"):
        arc_points((0, 0), (1, 1), (2, 2))
    with pytest.raises(ValueError, match="on a line"):
        arc_points((0, 0), (0, 0), (0, 0))


def test_points_along_a_bent_path_are_measured_along_it():
    path = np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 4.0]])

    assert polyline_length_in(path) == 7.0
    assert points_along(path, [0.0, 2.0, 3.0, 5.0, 7.0]).tolist() == [
        [0.0, 0.0],
        [2.0, 0.0],
        [3.0, 0.0],
        [3.0, 2.0],
        [3.0, 4.0],
    ]


CORNERS = [(0.0, 0.0), (9.0, 1.0), (12.0, 7.0), (5.0, 4.0), (1.0, 9.0)]


@given(st.lists(st.tuples(st.floats(-2, 14), st.floats(-2, 11)), min_size=1, max_size=30))
def test_nearest_edge_agrees_with_a_slow_loop(spots):
    boundary = Boundary(polygon_loop(CORNERS), circles=(Circle("hole", (4.0, 2.0), 0.5),))
    points = np.array(spots)
    nearest = boundary.nearest_edge(Spots.at(points))
    per_edge = boundary.closest_point_to_each_edge(Spots.at(points))
    closed = [*CORNERS, CORNERS[0]]
    table = [
        [slow_segment_distance(spot, closed[k], closed[k + 1]) for k in range(len(CORNERS))]
        + [math.dist(spot, (4.0, 2.0)) - 0.5]
        for spot in spots
    ]

    assert nearest.distance_in == pytest.approx([min(row) for row in table], abs=1e-9)
    for row, edge in zip(table, nearest.edge, strict=True):
        assert row[edge] == pytest.approx(min(row), abs=1e-9)
    for edge, (distance, spot) in enumerate(zip(per_edge.distance_in, per_edge.edge, strict=True)):
        column = [row[edge] for row in table]
        assert distance == pytest.approx(min(column), abs=1e-9)
        assert column[spot] == pytest.approx(min(column), abs=1e-9)


@given(st.lists(st.tuples(st.floats(-2, 14), st.floats(-2, 11)), min_size=1, max_size=30))
def test_outside_agrees_with_shapely_on_the_whole_shape(spots):
    boundary = Boundary(
        polygon_loop(CORNERS),
        cutouts=(polygon_loop([(2.0, 1.5), (3.0, 1.5), (3.0, 2.5)]),),
        circles=(Circle("hole", (5.0, 2.5), 0.5),),
    )
    hole = [(5.0 + 0.5 * math.cos(a), 2.5 + 0.5 * math.sin(a)) for a in np.linspace(0, 6.28, 4000)]
    metal = shapely.Polygon(CORNERS, [[(2.0, 1.5), (3.0, 1.5), (3.0, 2.5)], hole])
    points = np.array(spots)
    clear = shapely.distance(metal.boundary, shapely.points(points)) > 1e-3

    off = ~shapely.contains(metal, shapely.points(points))
    assert (boundary.outside(Spots.at(points))[clear] == off[clear]).all()


def test_a_point_on_the_edge_is_on_the_metal():
    boundary = Boundary(polygon_loop(CORNERS), circles=(Circle("hole", (4.0, 2.0), 0.5),))
    on_edge = np.array([[4.5, 0.5], [0.0, 0.0], [4.5, 2.0]])

    assert not boundary.outside(Spots.at(on_edge)).any()
    assert boundary.nearest_edge(Spots.at(on_edge)).distance_in == pytest.approx(0.0, abs=1e-12)


def test_area_and_centre_of_a_plate_with_holes_by_hand():
    plate = polygon_loop([(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (0.0, 4.0)])
    window = polygon_loop([(6.0, 1.0), (8.0, 1.0), (8.0, 3.0), (6.0, 3.0)])
    boundary = Boundary(plate, (window,), (Circle("hole", (2.0, 2.0), 1.0),))
    area = 40.0 - 4.0 - math.pi

    assert boundary.area_in2 == pytest.approx(area)
    assert boundary.centroid == pytest.approx(
        ((40.0 * 5 - 4.0 * 7 - math.pi * 2) / area, 2.0), abs=1e-9
    )


def test_signed_distance_is_positive_on_the_left():
    points = np.array([[1.0, 2.0], [5.0, -3.0], [7.0, 0.0]])

    assert signed_distance_in(points, (0, 0), (10, 0)).tolist() == [2.0, -3.0, 0.0]
    assert signed_distance_in(points, (10, 0), (0, 0)).tolist() == [-2.0, 3.0, 0.0]


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.floats(0, 3), st.floats(0, 3)), min_size=1, max_size=40),
    st.floats(0.05, 2.0),
)
def test_close_pairs_agrees_with_scipy(spots, within):
    points = np.array(spots)
    pairs = close_pairs(Spots.at(points), within)
    found = set(zip(pairs.first.tolist(), pairs.second.tolist(), strict=True))

    assert found == {tuple(sorted(pair)) for pair in cKDTree(points).query_pairs(within)}
    for one, other, distance in zip(pairs.first, pairs.second, pairs.distance_in, strict=True):
        assert distance == pytest.approx(math.dist(points[one], points[other]))


RIMS = (Circle("one", (0.0, 0.0), 0.5), Circle("two", (3.0, 1.0), 0.25))


@given(SIZES, ANGLES, st.sampled_from(RIMS))
def test_the_foot_on_the_nearest_rim_is_where_shapely_finds_it(out_in, angle, start):
    reach_in = start.radius_in + out_in
    x, y = start.centre
    points = np.array([(x + reach_in * math.cos(angle), y + reach_in * math.sin(angle))])
    rings = [shapely.Point(one.centre).buffer(one.radius_in, 2048).exterior for one in RIMS]
    slow_in = min(ring.distance(shapely.Point(points[0])) for ring in rings)
    assume(not any(math.dist(points[0], one.centre) < one.radius_in for one in RIMS))

    rims = Rims(RIMS)
    nearest = rims.nearest_edge(Spots.at(points))
    (foot,) = rims.feet(Spots.at(points), nearest)
    assert nearest.distance_in == pytest.approx([slow_in], abs=1e-6)
    assert math.dist(points[0], foot) == pytest.approx(slow_in, abs=1e-6)
    assert rings[nearest.edge[0]].distance(shapely.Point(foot)) < 1e-6


@settings(max_examples=150)
@given(
    centre=st.tuples(st.floats(-20, 20), st.floats(-20, 20)),
    radius=st.floats(0.3, 40.0),
    first=st.floats(0.0, 6.28),
    turn=st.floats(0.3, 5.5),
    share=st.floats(-0.5, 1.5),
    off=st.floats(0.0, 1.9),
)
def test_an_arc_is_as_far_off_as_its_circle(centre, radius, first, turn, share, off):
    """Not as its chords are: at the very limit those few hundredths of a thou failed a hole."""

    def on_circle(angle, times=1.0):
        x, y = centre
        return (x + times * radius * math.cos(angle), y + times * radius * math.sin(angle))

    ends = [on_circle(first + turn * part) for part in (0.0, 0.5, 1.0)]
    chord = np.array([ends[2], ends[0]])
    boundary = Boundary(Loop((Edge.arc("arc", *ends), Edge("chord", chord))))
    point = on_circle(first + turn * share, off)
    spots = Spots.at(np.array([point]))
    arc_in, chord_in = boundary.closest_point_to_each_edge(spots).distance_in
    # Abreast of the arc only its circle tells, elsewhere the nearer of its ends.
    abreast = (turn * share) % math.tau <= turn
    ends_in = min(math.dist(point, ends[0]), math.dist(point, ends[2]))
    exact_in = min(abs(off - 1.0) * radius, ends_in) if abreast else ends_in

    assert arc_in == pytest.approx(exact_in, abs=1e-9)
    assert chord_in == pytest.approx(slow_segment_distance(point, ends[2], ends[0]))
    assert boundary.nearest_edge(spots).distance_in[0] == pytest.approx(
        min(arc_in, chord_in), abs=2 * ARC_SAGITTA_IN
    )
