"""Nutplates round an opening: closed-form distances, the row in a job file, the command."""

import cmath
import json
import math

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import assume, given
from hypothesis import strategies as st

from rivetkit.calculators.nutplates.cover_shape import rectangle, round_shape
from rivetkit.calculators.nutplates.place import nutplate_rivet
from rivetkit.calculators.nutplates.ring import RingLayers, lay_out_ring
from rivetkit.calculators.nutplates.screw_line import (
    screws_on_circle,
    screws_on_rectangle,
)
from rivetkit.cli.app import main
from rivetkit.errors import InputError
from rivetkit.fasteners.nutplates import nutplate
from rivetkit.job.read import parse_job
from rivetkit.reports.lookups.nutplate_rows import nutplate_row
from rivetkit.rules import RuleBook

USUAL = RuleBook.named()
PLATE = nutplate("MS21047-08")
RIVET = nutplate_rivet(PLATE)
#: MS21047: rivets .688 in apart for a .164 screw (recalled; NAS1473, which was read, agrees).
SPACING_IN = 0.688

counts = st.integers(3, 40)
diameters = st.floats(3.0, 60.0)
starts = st.floats(-360.0, 360.0)


def near(value, abs_tol=1e-9):
    return pytest.approx(value, rel=1e-9, abs=abs_tol)


def ring_of(screws, **options):
    sizes = {name: options.pop(name) for name in ("opening", "doubler", "cover") if name in options}
    return lay_out_ring(
        PLATE, rivet=RIVET, screws=screws, layers=RingLayers(**sizes), book=USUAL, **options
    )


def check_of(ring, name, where):
    (check,) = (one for one in ring.checks if one.name == name and one.where == where)
    return check


def edge_in(ring, where):
    return check_of(ring, "edge distance", where).value


@given(count=counts, diameter_in=diameters, start_deg=starts)
def test_distances_of_a_round_ring(count, diameter_in, start_deg):
    # Every rivet is hypot(R, s / 2) from the middle. Seen from there two rivets of neighbours are
    # 2 pi / n less twice atan(s / 2 R) apart.
    radius_in, half_in = diameter_in / 2, SPACING_IN / 2
    between = math.pi / count - math.atan(half_in / radius_in)
    assume(between > 0.0)
    out_in = math.hypot(radius_in, half_in)
    ring = ring_of(
        screws_on_circle(round_shape(diameter_in), count=count, start_angle_deg=start_deg),
        opening=round_shape(diameter_in - 1.0),
        doubler=round_shape(diameter_in + 2.0),
        cover=round_shape(diameter_in + 0.75),
    )
    assert edge_in(ring, "skin: rivets to opening") == near(out_in - radius_in + 0.5)
    assert edge_in(ring, "doubler: rivets to opening") == near(out_in - radius_in + 0.5)
    assert edge_in(ring, "doubler: rivets to outside") == near(radius_in + 1.0 - out_in)
    assert edge_in(ring, "skin: screws to opening") == near(0.5)
    assert edge_in(ring, "doubler: screws to outside") == near(1.0)
    assert edge_in(ring, "cover: screws to outside") == near(0.375)
    assert check_of(ring, "pitch", "between nutplates").value == near(
        2 * out_in * math.sin(between)
    )
    assert check_of(ring, "screw spacing", "").value == near(
        diameter_in * math.sin(math.pi / count)
    )


def test_a_nutplate_turns_against_the_clock():
    # The first screw of the ring has the line going straight up: 90 and 30 are 120 degrees.
    ring = ring_of(screws_on_circle(round_shape(6.0), count=6), turn_deg=30.0)
    across_in, up_in = SPACING_IN / 4, SPACING_IN / 4 * math.sqrt(3)
    expected = [(3.0 - across_in, up_in), (3.0 + across_in, -up_in)]
    assert sorted(ring.plates[0].rivets_in) == near(np.array(expected))


def test_nutplates_of_a_rectangle_lie_along_its_sides_and_across_its_corners():
    line = rectangle(8.0, 6.0, corner_radius_in=0.75)
    ring = ring_of(screws_on_rectangle(line, max_pitch_in=2.5), opening=rectangle(6.5, 4.5))
    half_in = SPACING_IN / 2
    for plate in ring.plates:
        x, y = plate.screw_in
        if abs(x) == 4.0:
            expected = [(x, y - half_in), (x, y + half_in)]
        elif abs(y) == 3.0:
            expected = [(x - half_in, y), (x + half_in, y)]
        else:
            # The middle of a corner: the line runs at 45 degrees, against the diagonal.
            part_in = half_in / math.sqrt(2)
            lean = -math.copysign(part_in, x * y)
            expected = [(x - part_in, y - lean), (x + part_in, y + lean)]
            assert (abs(x), abs(y)) == near(
                (3.25 + 0.75 / math.sqrt(2), 2.25 + 0.75 / math.sqrt(2))
            )
        assert sorted(plate.rivets_in) == near(np.array(sorted(expected)))
    # Sides run .75 outside the opening, and nowhere is a rivet nearer.
    assert edge_in(ring, "skin: rivets to opening") == near(0.75)


@pytest.mark.parametrize(
    "bad",
    [
        {},
        {"count": 2},
        {"count": 6, "max_pitch_in": 2.0},
        {"max_pitch_in": 0.0},
        {"max_pitch_in": 1e-6},
        {"count": 10**6},
    ],
)
def test_a_ring_nobody_can_drill_is_refused_in_one_line(bad):
    with pytest.raises(InputError) as caught:
        screws_on_circle(round_shape(6.0), **bad)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("start_deg", [90.0 - 1e-11, 90.0, 90.0 + 1e-11, -90.0 - 1e-11])
def test_a_line_along_x_runs_at_0_degrees_and_never_at_180(start_deg):
    screws = screws_on_circle(round_shape(6.0), count=4, start_angle_deg=start_deg)

    assert screws[0].direction_deg == screws[2].direction_deg == 0.0


@pytest.mark.parametrize("corner_screws", [True, False])
def test_400_screws_round_a_cover_are_believed_and_no_more(corner_screws):
    # Geometry: a square of 100 in has 400 in of sides, so a screw an inch is 400.
    square = rectangle(100.0, 100.0)
    most = screws_on_rectangle(square, max_pitch_in=1.0, corner_screws=corner_screws)
    assert len(most) == 400
    with pytest.raises(InputError, match="404 screws or more, past the 400"):
        screws_on_rectangle(square, max_pitch_in=0.995, corner_screws=corner_screws)


def test_400_screws_round_a_circle_are_believed_and_no_more():
    # Geometry: straight from screw to screw d sin(pi / n).
    pitch_in = 100.0 * math.sin(math.pi / 400)
    assert len(screws_on_circle(round_shape(100.0), max_pitch_in=pitch_in)) == 400
    assert len(screws_on_circle(round_shape(100.0), count=400)) == 400
    for bad in ({"max_pitch_in": pitch_in - 1e-4}, {"count": 401}):
        with pytest.raises(InputError, match="401 screws or more, past the 400"):
            screws_on_circle(round_shape(100.0), **bad)


# Into a job file

JOB_HEAD = """
name = "cover"
[[sheet]]
name = "skin"
old = {{ alloy = "2024-T3", thickness = {thickness} }}
[sheet.outline]
start = [-{side}, -{side}]
edges = [
  {{ name = "front", to = [{side}, -{side}] }},
  {{ name = "tip", to = [{side}, {side}] }},
  {{ name = "back", to = [-{side}, {side}] }},
  {{ name = "root", to = [-{side}, -{side}] }},
]
[[member]]
name = "ring"
kind = "doubler"
thickness = {thickness}
edge_distance = {edge}
"""


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize(
    "screws",
    [
        screws_on_circle(round_shape(5.75), count=7, start_angle_deg=11.0),
        screws_on_rectangle(rectangle(8.0, 6.0, corner_radius_in=0.75), max_pitch_in=2.5),
    ],
    ids=["round", "rectangle"],
)
def test_the_row_reads_back_into_a_job(screws, unit):
    ring = ring_of(screws)
    lines = nutplate_row(
        ring,
        name="cover nutplates",
        layer_names={"skin": "skin", "doubler": "ring"},
        lug_in=0.03,
        length_unit=unit,
    )
    scale = 25.4 if unit == "mm" else 1.0
    head = JOB_HEAD.format(thickness=0.032 * scale, side=10 * scale, edge=0.5 * scale)
    job = parse_job("\n".join([f'units = "{unit}"', head, *lines]))

    (row,) = job.rows
    assert row.nutplate == PLATE
    assert row.fit.designation == RIVET.designation
    assert row.lug_in == pytest.approx(0.03, abs=1e-5)
    assert [place.layer for place in row.layers] == ["skin", "ring"]
    # A coordinate is written to .00001 in, an angle to .0001 degree.
    assert row.screws == pytest.approx(np.array([p.screw_in for p in ring.plates]), abs=2e-5)
    rivets = np.array([rivet for plate in ring.plates for rivet in plate.rivets_in])
    assert row.points == pytest.approx(rivets, abs=2e-5)


# At the shell


def told(*arguments):
    run = CliRunner().invoke(main, ["nutplate", *arguments, "--json"], standalone_mode=False)
    assert run.exception is None
    return json.loads(run.stdout), run.return_value


ROUND = ("MS21047-08", "--round", "5.75", "--count", "8", "--opening", "5", "--cover", "6.5")


def test_the_command_tells_the_ring():
    document, code = told(*ROUND, "--doubler", "8")
    assert code == 0
    places = document["result"]["ring"]["places"]
    assert len(places) == 8
    for number, place in enumerate(places):
        turn = 2.875 * cmath.exp(2j * math.pi * number / 8)
        assert complex(place["screw"]["x_in"], place["screw"]["y_in"]) == near(turn)


def test_a_doubler_that_is_too_narrow_fails_and_one_nobody_gave_does_not_pass():
    failed, code = told(*ROUND, "--doubler", "6.25")
    assert code == 1
    assert "fail" in {check["verdict"] for check in failed["checks"]}
    open_question, code = told(*ROUND)
    assert code == 1
    assert "not_checked" in {check["verdict"] for check in open_question["checks"]}


def test_inches_and_millimetres_give_one_ring():
    inches, _ = told(*ROUND, "--doubler", "8")
    metric, _ = told(
        "MS21047-08", "--round", "146.05", "--count", "8", "--opening", "127", "--cover", "165.1",
        "--doubler", "203.2", "--units", "mm",
    )  # fmt: skip
    verdicts = [[check["verdict"] for check in found["checks"]] for found in (inches, metric)]
    assert verdicts[0] == verdicts[1]
    for one, other in zip(
        inches["result"]["ring"]["places"], metric["result"]["ring"]["places"], strict=True
    ):
        assert other["screw"]["x_mm"] == near(one["screw"]["x_in"] * 25.4)


def test_one_nutplate_is_told_with_its_rivet_and_screw():
    document, code = told("MS21047-3")
    assert code == 0
    told_plate = document["result"]["nutplate"]
    assert told_plate["part_number"] == "MS21047-3"
    assert told_plate["rivet_spacing_in"] == SPACING_IN
    assert document["result"]["rivet"]["diameter_in"] == 3 / 32
