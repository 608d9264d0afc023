"""Nutplates round an opening, against trigonometry done here and shapely's distances."""

import itertools
import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rivetkit.calculators.nutplates.cover_shape import CoverShape, rectangle, round_shape
from rivetkit.calculators.nutplates.place import nutplate_rivet, rivet_holes_in, room_needed
from rivetkit.calculators.nutplates.ring import RingLayers, lay_out_ring
from rivetkit.calculators.nutplates.screw_line import (
    MOST_SCREWS,
    screws_on_circle,
    screws_on_rectangle,
    steps_round_in,
)
from rivetkit.checks import Verdict, worst_verdict
from rivetkit.errors import InputError, OutOfTableError
from rivetkit.fasteners.nutplates import nutplate, nutplates
from rivetkit.fasteners.screw_holes import (
    cover_hole,
    nutplate_body,
    screw_diameter_in,
    screw_hole_schemes,
    screw_holes,
)
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.fasteners import NutplateBodyRow, ScrewHoleRow
from rivetkit.rules import RuleBook

USUAL = RuleBook.named()
PLATE = nutplate("MS21047-08")
RIVET = nutplate_rivet(PLATE)

SIDES = st.floats(min_value=2.0, max_value=30.0)
ANGLES = st.floats(min_value=-360.0, max_value=360.0)


@st.composite
def rectangles(draw):
    width_in, height_in = draw(SIDES), draw(SIDES)
    share = draw(st.just(0.0) | st.floats(min_value=0.01, max_value=1.0))
    return rectangle(width_in, height_in, corner_radius_in=share * min(width_in, height_in) / 2)


def polygon(shape):
    """The outline as shapely draws it: a small rectangle grown by the corner radius."""
    half_w = shape.width_in / 2 - shape.corner_radius_in
    half_h = shape.height_in / 2 - shape.corner_radius_in
    core = [(-half_w, -half_h), (half_w, -half_h), (half_w, half_h), (-half_w, half_h)]
    if half_w <= 1e-9 or half_h <= 1e-9:
        kernel = shapely.LineString([core[0], core[2]])
    else:
        kernel = shapely.Polygon(core)
    return kernel.buffer(shape.corner_radius_in, quad_segs=256)


def ring_of(screws, layers=None, **options):
    settings_ = {"rivet": RIVET, "book": USUAL, "layers": layers or RingLayers(), **options}
    return lay_out_ring(PLATE, screws=screws, **settings_)


def checks_of(ring, name, where=""):
    return [check for check in ring.checks if (check.name, check.where) == (name, where)]


# --- tables ----------------------------------------------------------------------------------


def test_traditional_chart_as_printed():
    # Public screw clearance chart: #8 #18/#16, #10 #9/#7, 1/4 F/H.
    printed = {0.164: ("#18", "#16"), 0.190: ("#9", "#7"), 0.250: ("F", "H")}
    for diameter_in, (close, free) in printed.items():
        holes = {hole.scheme: hole for hole in screw_holes(diameter_in)}
        assert holes["traditional-close"].drill.designation == close
        assert holes["traditional-free"].drill.designation == free


def test_a_printed_hole_is_its_drill():
    for diameter_in in {row.diameter_in for row in load_table(ScrewHoleRow)}:
        for hole in screw_holes(diameter_in):
            # 5/16 and 3/8 are printed to three places.
            assert hole.hole_in == pytest.approx(hole.drill.size_in, abs=0.0005)
            assert hole.hole_in > diameter_in


def test_a_looser_fit_is_never_a_smaller_hole():
    for diameter_in in {row.diameter_in for row in load_table(ScrewHoleRow)}:
        sizes = {hole.scheme: hole.hole_in for hole in screw_holes(diameter_in)}
        assert sizes["traditional-close"] < sizes["traditional-free"]
        if "classes-close" in sizes:
            assert sizes["classes-close"] < sizes["classes-normal"] < sizes["classes-loose"]


def test_the_screw_hole_of_every_nutplate_is_the_close_one_of_the_chart():
    for plate in nutplates():
        close = cover_hole(plate, USUAL, scheme="traditional-close")
        assert plate.screw_drill == close.drill.designation
        assert plate.screw_hole_in == pytest.approx(close.hole_in)
        assert cover_hole(plate, USUAL).hole_in > plate.screw_hole_in


def test_nas1473_lugs_reach_past_its_rivets():
    # NAS1473 dimension table: .989 over all with rivets .688 apart, 1.296 with 1.000.
    for row in load_table(NutplateBodyRow):
        plate = nutplate(f"{row.standard}-{row.dash}")
        assert nutplate_body(plate).overall_length_in > plate.rivet_spacing_in
    assert nutplate_body(nutplate("NAS1473-3")).overall_length_in == 0.989
    assert nutplate_body(PLATE) is None


def test_unknown_schemes_and_screws_are_refused():
    with pytest.raises(InputError, match="no scheme of screw holes is called 'tight'; choose"):
        cover_hole(PLATE, USUAL, scheme="tight")
    assert "classes-loose" in screw_hole_schemes()
    plate = next(plate for plate in nutplates() if plate.dash == "6")
    assert cover_hole(plate, USUAL, scheme="classes-loose").drill.designation == "27/64"
    assert screw_holes(0.19) != ()
    assert screw_holes(0.2) == ()
    odd = replace(plate, thread=".2000-30")
    with pytest.raises(OutOfTableError, match=r"no hole for a 0\.2 in screw"):
        cover_hole(odd, USUAL)


# --- outlines --------------------------------------------------------------------------------


@given(rectangles(), st.tuples(st.floats(-20, 20), st.floats(-20, 20)))
def test_distance_to_the_outline_is_shapelys(shape, point):
    drawn = polygon(shape)
    spot = shapely.Point(point)
    expected = drawn.exterior.distance(spot) * (1 if drawn.contains(spot) else -1)
    assert shape.inside_in(point) == pytest.approx(expected, abs=2e-3)


@given(rectangles())
def test_length_of_the_outline_is_shapelys(shape):
    assert shape.length_in == pytest.approx(polygon(shape).exterior.length, rel=1e-3)


def test_a_rectangle_with_full_corners_is_round():
    assert rectangle(4.0, 4.0, corner_radius_in=2.0) == round_shape(4.0)
    assert round_shape(4.0).round
    assert not rectangle(4.0, 4.0, corner_radius_in=1.9).round
    assert not rectangle(5.0, 4.0, corner_radius_in=2.0).round
    with pytest.raises(InputError, match="more than half the shorter side; give 2 in or less"):
        rectangle(6.0, 4.0, corner_radius_in=2.1)


# --- the line of screws ----------------------------------------------------------------------


@given(SIDES, st.integers(3, 60), ANGLES)
def test_screws_on_a_circle_by_trigonometry(diameter_in, count, start_deg):
    screws = screws_on_circle(round_shape(diameter_in), count=count, start_angle_deg=start_deg)
    assert len(screws) == count
    chord_in = diameter_in * math.sin(math.pi / count)
    assert steps_round_in(screws) == pytest.approx([chord_in] * count)
    for number, screw in enumerate(screws):
        angle = math.radians(start_deg) + number * math.tau / count
        assert screw.at_in == pytest.approx(
            (diameter_in / 2 * math.cos(angle), diameter_in / 2 * math.sin(angle)), abs=1e-9
        )
        # The tangent is square to the radius.
        along = math.radians(screw.direction_deg)
        assert screw.at_in[0] * math.cos(along) + screw.at_in[1] * math.sin(along) == pytest.approx(
            0.0, abs=1e-6
        )
        assert 0.0 <= screw.direction_deg < 180.0


@given(SIDES, st.floats(min_value=0.5, max_value=40.0))
def test_a_circle_takes_the_fewest_screws_the_pitch_allows(diameter_in, pitch_in):
    screws = screws_on_circle(round_shape(diameter_in), max_pitch_in=pitch_in)
    count = len(screws)
    assert max(steps_round_in(screws)) <= pitch_in + 1e-6
    if count > 3:
        assert diameter_in * math.sin(math.pi / (count - 1)) > pitch_in - 1e-6


@given(rectangles(), st.integers(2, 30), st.booleans())
def test_screws_stand_on_the_line_and_opposite_sides_are_alike(line, half, corner_screws):
    screws = screws_on_rectangle(line, count=2 * half, corner_screws=corner_screws)
    assert len(screws) == 2 * half
    for screw in screws:
        assert line.inside_in(screw.at_in) == pytest.approx(0.0, abs=1e-9)
        assert 0.0 <= screw.direction_deg < 180.0
    places = [screw.at_in for screw in screws]
    assert min(math.dist(*pair) for pair in itertools.combinations(places, 2)) > 1e-3
    for x, y in places:
        for mirrored in ((-x, y), (x, -y)):
            assert min(math.dist(mirrored, place) for place in places) < 1e-9


@given(rectangles(), st.integers(2, 30), st.booleans())
def test_a_nutplate_lies_along_the_line(line, half, corner_screws):
    # A hair's step along the direction stays on the line, to second order; a sharp corner has none.
    assume(line.corner_radius_in > 0.05)
    step_in = 1e-4
    for screw in screws_on_rectangle(line, count=2 * half, corner_screws=corner_screws):
        angle = math.radians(screw.direction_deg)
        x, y = screw.at_in
        ahead = (x + step_in * math.cos(angle), y + step_in * math.sin(angle))
        assert abs(line.inside_in(ahead)) < 1e-2 * step_in


@given(rectangles(), st.integers(2, 20))
def test_corner_screws_stand_in_the_corners(line, half):
    screws = screws_on_rectangle(line, count=2 * half)
    # The middle of a corner's arc lies on the diagonal through the arc's centre.
    centre = (
        line.width_in / 2 - line.corner_radius_in,
        line.height_in / 2 - line.corner_radius_in,
    )
    reach_in = line.corner_radius_in / math.sqrt(2.0)
    corner = (centre[0] + reach_in, centre[1] + reach_in)
    nearest = min(screws, key=lambda screw: math.dist(screw.at_in, corner))
    assert math.dist(nearest.at_in, corner) == pytest.approx(0.0, abs=1e-9)
    assert nearest.direction_deg == pytest.approx(135.0)


@settings(max_examples=60, deadline=None)
@given(rectangles(), st.floats(min_value=1.5, max_value=12.0))
def test_a_rectangle_takes_the_fewest_screws_the_pitch_allows(line, pitch_in):
    screws = screws_on_rectangle(line, max_pitch_in=pitch_in)
    assert max(steps_round_in(screws)) <= pitch_in + 1e-6
    for fewer in range(4, len(screws), 2):
        for upright in range(1, fewer // 2):
            steps_in = chords_of(line, upright, fewer // 2 - upright)
            assert max(steps_in) > pitch_in - 1e-6


def chords_of(line, upright, level):
    """Straight steps of one right and one upper side, walked along a fine polyline drawn here."""
    steps = []
    for spaces, points in ((upright, side_of(line)), (level, side_of(line, turned=True))):
        drawn = shapely.LineString(points)
        marks = [drawn.interpolate(n / spaces, normalized=True) for n in range(spaces + 1)]
        steps += [a.distance(b) + 1e-4 for a, b in itertools.pairwise(marks)]
    return steps


def side_of(line, *, turned=False):
    wide, high = (line.height_in, line.width_in) if turned else (line.width_in, line.height_in)
    radius = line.corner_radius_in
    x, y = wide / 2 - radius, high / 2 - radius
    bend = [math.radians(45.0 * n / 200) for n in range(201)]
    lower = [(x + radius * math.cos(a), -y - radius * math.sin(a)) for a in reversed(bend)]
    upper = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in bend]
    return lower + upper


@given(rectangles(), st.floats(min_value=0.8, max_value=12.0))
def test_free_corners_keep_the_pitch_and_stay_free(line, pitch_in):
    screws = screws_on_rectangle(line, max_pitch_in=pitch_in, corner_screws=False)
    assert max(steps_round_in(screws)) <= pitch_in + 1e-6
    reach_in = line.corner_radius_in / math.sqrt(2.0)
    corner = (
        line.width_in / 2 - line.corner_radius_in + reach_in,
        line.height_in / 2 - line.corner_radius_in + reach_in,
    )
    assert min(math.dist(screw.at_in, corner) for screw in screws) > 0.05


@given(rectangles(), st.integers(2, 30))
def test_turning_a_rectangle_a_quarter_turns_its_screws(line, half):
    flat = screws_on_rectangle(line, count=2 * half)
    upright = screws_on_rectangle(
        CoverShape(line.height_in, line.width_in, line.corner_radius_in), count=2 * half
    )
    assume(abs(line.width_in - line.height_in) > 1e-6)
    # Equally good divisions may fall either way; the steps are the same when they do not.
    widest = [max(steps_round_in(screws)) for screws in (flat, upright)]
    assert widest[0] == pytest.approx(widest[1], rel=0.25)


def test_a_square_line_by_hand():
    screws = screws_on_rectangle(rectangle(6.0, 4.0), count=10)
    assert [screw.at_in for screw in screws] == [
        (3.0, -2.0), (3.0, 0.0), (3.0, 2.0), (1.0, 2.0), (-1.0, 2.0),
        (-3.0, 2.0), (-3.0, 0.0), (-3.0, -2.0), (-1.0, -2.0), (1.0, -2.0),
    ]  # fmt: skip
    assert [screw.direction_deg for screw in screws] == [45, 90, 135, 0, 0, 45, 90, 135, 0, 0]


@pytest.mark.parametrize(
    ("how", "complaint"),
    [
        ({}, "nothing says how many screws"),
        ({"count": 8, "max_pitch_in": 2.0}, "count and pitch are both given"),
        ({"count": 7}, "7 screws cannot stand alike.*give an even number, 6 or 8"),
        ({"count": 2}, "2 screws do not go round it; give 4 or more"),
        ({"count": MOST_SCREWS + 2}, "past the 400"),
        ({"max_pitch_in": 0.001}, "past the 400"),
        ({"max_pitch_in": 0.0}, "the greatest pitch is 0 in"),
    ],
)
def test_numbers_no_rectangle_can_have(how, complaint):
    with pytest.raises(InputError, match=complaint):
        screws_on_rectangle(rectangle(8.0, 6.0), **how)


# --- the nutplates ---------------------------------------------------------------------------


@given(SIDES, st.integers(3, 40), ANGLES)
def test_rivets_of_a_round_ring_by_trigonometry(diameter_in, count, turn_deg):
    screws = screws_on_circle(round_shape(diameter_in), count=count)
    ring = ring_of(screws, turn_deg=turn_deg)
    half_in = PLATE.rivet_spacing_in / 2
    for placed, screw in zip(ring.plates, screws, strict=True):
        first, second = placed.rivets_in
        assert math.dist(first, second) == pytest.approx(PLATE.rivet_spacing_in)
        assert [(a + b) / 2 for a, b in zip(first, second, strict=True)] == pytest.approx(
            list(screw.at_in), abs=1e-9
        )
        # Along the line both rivets stand sqrt(R^2 + (s/2)^2) from the middle; across it R -+ s/2;
        # between them the law of cosines.
        square = (diameter_in / 2) ** 2 + half_in**2
        skew = diameter_in * half_in * math.sin(math.radians(turn_deg))
        reaches = sorted(math.hypot(*rivet) for rivet in placed.rivets_in)
        expected = sorted(math.sqrt(max(square + sign * skew, 0.0)) for sign in (1, -1))
        assert reaches == pytest.approx(expected, abs=1e-6)


@given(rectangles(), st.integers(2, 12), ANGLES, st.booleans())
def test_least_distances_are_those_of_a_plain_loop(line, half, turn_deg, corner_screws):
    screws = screws_on_rectangle(line, count=2 * half, corner_screws=corner_screws)
    opening, doubler = rectangle(1.0, 0.8), rectangle(40.0, 36.0, corner_radius_in=2.0)
    layers = RingLayers(opening=opening, doubler=doubler, cover=round_shape(50.0))
    ring = ring_of(screws, layers, turn_deg=turn_deg)
    rivets = [(number, rivet) for number, placed in enumerate(ring.plates)
              for rivet in placed.rivets_in]  # fmt: skip
    between = min(
        math.dist(one, other) for (a, one), (b, other) in itertools.combinations(rivets, 2)
        if a != b
    )  # fmt: skip
    assert ring.between_plates_in == pytest.approx(between)
    by_edge = {(edge.layer, edge.edge, edge.kind): edge.nearest_in for edge in ring.edges}
    rim, hole = polygon(doubler).exterior, polygon(opening).exterior
    for kind, points in (("rivets", [p for _, p in rivets]),
                         ("screws", [screw.at_in for screw in screws])):  # fmt: skip
        spots = [shapely.Point(point) for point in points]
        outside = min(rim.distance(spot) for spot in spots)
        inside = min(hole.distance(spot) for spot in spots)
        assert by_edge["doubler", "outside", kind] == pytest.approx(outside, abs=2e-3)
        assert by_edge["doubler", "opening", kind] == pytest.approx(inside, abs=2e-3)
        assert by_edge["skin", "opening", kind] == pytest.approx(inside, abs=2e-3)
    (to_hole,) = checks_of(ring, "edge distance", "rivets to screw holes")
    nearest = min(math.dist(rivet, screw.at_in) for _, rivet in rivets for screw in screws)
    assert to_hole.value == pytest.approx(nearest - PLATE.screw_hole_in / 2)


def test_limits_are_2_5_d_of_the_flush_rivet_and_2_d_of_the_screw():
    # Army AL0992 p 59: flush at least 2.5 D. Screws 2 D: common practice, no source.
    screws = screws_on_circle(round_shape(5.75), count=6)
    ring = ring_of(screws, RingLayers(opening=round_shape(5.0), cover=round_shape(6.5)))
    (rivets,) = checks_of(ring, "edge distance", "skin: rivets to opening")
    (cover,) = checks_of(ring, "edge distance", "cover: screws to outside")
    assert rivets.limit == pytest.approx(2.5 * 3 / 32)
    assert (cover.limit, cover.basis) == (pytest.approx(2 * 0.164), "practice")
    assert cover.value == pytest.approx(0.375)
    protruding = ring_of(screws, rivet=nutplate_rivet(PLATE, "MS20470AD3"))
    (to_hole,) = checks_of(protruding, "edge distance", "rivets to screw holes")
    assert to_hole.limit == pytest.approx(2 * 3 / 32)


@pytest.mark.parametrize(
    ("cover_in", "verdict"),
    [(5.75 + 4 * 0.164, Verdict.PASS), (5.75 + 4 * 0.164 - 0.002, Verdict.FAIL)],
)
def test_a_cover_at_its_limit_and_just_inside(cover_in, verdict):
    ring = ring_of(
        screws_on_circle(round_shape(5.75), count=6), RingLayers(cover=round_shape(cover_in))
    )
    assert checks_of(ring, "edge distance", "cover: screws to outside")[0].verdict is verdict


@given(st.floats(min_value=1.0, max_value=6.0), st.floats(min_value=0.0, max_value=3.0))
def test_a_larger_cover_and_a_smaller_opening_never_turn_pass_into_fail(opening_in, more_in):
    screws = screws_on_circle(round_shape(6.5), count=8)

    def verdicts(opening, outside):
        layers = RingLayers(
            opening=round_shape(opening), doubler=round_shape(outside), cover=round_shape(outside)
        )
        edges = [check for check in ring_of(screws, layers).checks if ":" in check.where]
        return [check.verdict is Verdict.PASS for check in edges]

    near = verdicts(opening_in, 7.0)
    far = verdicts(opening_in * (1 - more_in / 6.0), 7.0 + more_in)
    assert all(after or not before for before, after in zip(near, far, strict=True))


def test_what_nobody_measured_is_not_checked():
    ring = ring_of(screws_on_circle(round_shape(6.0), count=6))
    unknown = [check for check in ring.checks if check.verdict is Verdict.NOT_CHECKED]
    assert {check.where.partition(":")[0] for check in unknown} == {"cover", "skin", "doubler"}
    assert worst_verdict(check.verdict for check in ring.checks) is Verdict.NOT_CHECKED


def test_a_skin_cut_away_past_every_hole_is_no_part_of_the_stack():
    screws = screws_on_circle(round_shape(6.0), count=6)
    # The rivets reach sqrt(3^2 + .344^2) and half of 3/32 from the middle, the screw holes 3 and
    # half of .1695, which is more.
    rim_in = 2 * max(math.hypot(3.0, 0.344) + 3 / 64, 3.0 + 0.1695 / 2)
    clear = RingLayers(opening=round_shape(5.0), skin_opening=round_shape(rim_in + 0.001))
    touched = RingLayers(opening=round_shape(5.0), skin_opening=round_shape(rim_in - 0.001))
    assert ring_of(screws, clear).stack == ("doubler",)
    assert ring_of(screws, touched).stack == ("skin", "doubler")
    (fails,) = checks_of(ring_of(screws, touched), "edge distance", "skin: rivets to opening")
    assert fails.verdict is Verdict.FAIL
    with pytest.raises(InputError, match="there is no doubler"):
        ring_of(screws, RingLayers(skin_opening=round_shape(7.0), has_doubler=False))


def test_without_a_doubler_the_skin_alone_is_judged():
    layers = RingLayers(opening=round_shape(5.0), has_doubler=False, cover=round_shape(7.0))
    ring = ring_of(screws_on_circle(round_shape(6.0), count=6), layers)
    assert ring.stack == ("skin",)
    assert not any(check.where.startswith("doubler") for check in ring.checks)


def test_crowded_nutplates_fail_on_pitch_and_on_lugs():
    # NAS1473-3: .989 over its lugs, rivets .688 apart: neighbours' rivets at least .301 apart.
    plate = nutplate("NAS1473-3")
    rivet = nutplate_rivet(plate)

    def ring(pitch_in):
        count = 40
        line = round_shape(pitch_in / math.sin(math.pi / count))
        return lay_out_ring(
            plate, rivet=rivet, screws=screws_on_circle(line, count=count),
            layers=RingLayers(), book=USUAL,
        )  # fmt: skip

    for pitch_in, lugs, pitch in (
        (1.02, Verdict.PASS, Verdict.PASS),
        (0.98, Verdict.FAIL, Verdict.PASS),
        (0.96, Verdict.FAIL, Verdict.FAIL),
    ):
        laid = ring(pitch_in)
        assert checks_of(laid, "room for the lugs", "between nutplates")[0].verdict is lugs
        assert checks_of(laid, "pitch", "between nutplates")[0].verdict is pitch


def test_screws_closer_than_4_d_fail():
    # 4 D of a #8 screw: .656 in. Common practice, no source.
    for pitch_in, verdict in ((0.66, Verdict.PASS), (0.65, Verdict.FAIL)):
        line = round_shape(pitch_in / math.sin(math.pi / 30))
        ring = ring_of(screws_on_circle(line, count=30), turn_deg=90.0)
        assert checks_of(ring, "screw spacing")[0].verdict is verdict


def test_accuracy_makes_a_close_call_marginal():
    layers = RingLayers(cover=round_shape(5.75 + 4 * 0.164))
    screws = screws_on_circle(round_shape(5.75), count=6)
    ring = ring_of(screws, layers, accuracy_in=0.005)
    (cover,) = checks_of(ring, "edge distance", "cover: screws to outside")
    assert cover.verdict is Verdict.MARGINAL


def test_a_larger_screw_hole_comes_nearer_the_rivets():
    screws = screws_on_circle(round_shape(6.0), count=6)
    # .344 less half of .220 is .234, just under 2.5 D = .2344.
    ring = ring_of(screws, screw_hole_in=0.220)
    (to_hole,) = checks_of(ring, "edge distance", "rivets to screw holes")
    assert (to_hole.value, to_hole.verdict) == (pytest.approx(0.234), Verdict.FAIL)
    with pytest.raises(InputError, match=r"0\.16 in is smaller than the 0\.164 in screw"):
        ring_of(screws, screw_hole_in=0.160)


# --- one nutplate ----------------------------------------------------------------------------


@pytest.mark.parametrize("plate", nutplates(), ids=lambda row: f"{row.standard}-{row.dash}")
def test_every_nutplate_has_a_rivet_that_fits_and_room_by_hand(plate):
    rivet = nutplate_rivet(plate)
    size_in = float(plate.rivet_diameter)
    assert rivet.diameter_in == pytest.approx(size_in)
    assert rivet.flush
    needed = {one.name: one.value for one in room_needed(plate, rivet, USUAL)}
    spacing_in, screw_in = plate.rivet_spacing_in, screw_diameter_in(plate)
    assert needed["edge beside the line, for rivets"] == pytest.approx(2.5 * size_in)
    assert needed["edge beside the line, for screws"] == pytest.approx(2.0 * screw_in)
    assert needed["edge past the end, from the screw"] == pytest.approx(
        spacing_in / 2 + 2.5 * size_in
    )
    assert needed["screw to screw, end to end"] == pytest.approx(spacing_in + 3.0 * size_in)


def test_the_room_told_is_room_enough_for_the_lugs():
    # NAS1473-3 is .989 in over its lugs; its rivets alone would do with .688 + 3 x 3/32 = .969.
    plate = nutplate("NAS1473-3")
    needed = {one.name: one.value for one in room_needed(plate, nutplate_rivet(plate), USUAL)}
    assert needed["screw to screw, end to end"] == pytest.approx(0.96925)
    assert needed["screw to screw, lugs end to end"] == 0.989


def test_a_rivet_of_another_size_is_refused():
    with pytest.raises(InputError, match="MS21047-08 takes a rivet of 3/32 in"):
        nutplate_rivet(PLATE, "MS20426AD4")
    assert nutplate_rivet(PLATE, "MS20470AD3-4").designation == "MS20470AD3-4"


@given(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), ANGLES)
def test_two_rivets_either_side_of_the_screw(at_in, direction_deg):
    first, second = rivet_holes_in(PLATE, at_in, direction_deg=direction_deg)
    angle = math.radians(direction_deg)
    assert second[0] - first[0] == pytest.approx(0.688 * math.cos(angle), abs=1e-9)
    assert second[1] - first[1] == pytest.approx(0.688 * math.sin(angle), abs=1e-9)


def test_a_nutplate_is_turned_against_the_clock():
    screws = screws_on_circle(round_shape(6.0), count=4)
    # The line runs straight up at the first screw, 3 in to the right.
    first = ring_of(screws, turn_deg=30.0).plates[0]
    assert first.direction_deg == pytest.approx(120.0)
    assert first.rivets_in[1] == pytest.approx(
        (3.0 + 0.344 * math.cos(math.radians(120)), 0.344 * math.sin(math.radians(120)))
    )
