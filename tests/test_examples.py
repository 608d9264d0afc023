"""The shipped examples, counted by hand. The jobs are invented; the counting is not."""

from pathlib import Path

import pytest

from rivetkit.checks import Verdict
from rivetkit.job.read import read_job
from rivetkit.planning.plan import plan_job

EXAMPLES = Path(__file__).parent.parent / "examples"


@pytest.fixture(scope="module")
def elevator():
    return plan_job(read_job(EXAMPLES / "elevator.toml"))


def test_the_elevator_counts():
    """Counted from the job file with pencil and paper.

    Upper side: the spar row has 64 holes. Each of 7 rib rows has 17, the first of which is a hole
    of the spar row: 7 x 16 = 112 more. 64 + 112 = 176 flush.
    Lower side: the same rows with universal heads: 176.
    Trailing edge, through both skins: 64 flush, counted once.
    Hatch: 8 nutplates of 2 rivets: 16 flush.
    Together 176 + 176 + 64 + 16 = 432. Shared: 7 on each side, 14.
    """
    plan = plan_job(read_job(EXAMPLES / "elevator.toml"))

    assert len(plan.holes) == 432
    assert plan.holes.shared == 14
    assert plan.to_drill_out == 432
    assert plan.to_fit == 432
    assert plan.verdict is Verdict.PASS


def test_the_elevator_parts(elevator):
    """Lengths by L = G + 1.5 D with D = 3/32, nearest 1/32 (NAVEDTRA 14018 ch 13; rounding is
    common practice).

    ribs       .025 + .025                = .050 + .1406 = .1906 -> 3/16  (-3)    7 x 16 a side
    spar       .025 + .040                = .065 + .1406 = .2056 -> 7/32  (-3.5)  57 a side
    spar + rib .025 + .040 + .025         = .090 + .1406 = .2306 -> 7/32  (-3.5)   7 a side
    trailing   .025 + .063 + .025         = .113 + .1406 = .2536 -> 1/4   (-4)    64
    hatch      .025 + .032 + .025 (lug)   = .082 + .1406 = .2226 -> 7/32  (-3.5)  16
    """
    assert {line.part.designation: line.quantity.net for line in elevator.parts} == {
        "MS20426AD3-3": 112,
        "MS20426AD3-3.5": 57 + 7 + 16,
        "MS20426AD3-4": 64,
        "MS20470AD3-3": 112,
        "MS20470AD3-3.5": 57 + 7,
    }


def test_the_elevator_order(elevator):
    """Ten percent, at least ten, packs of 50: 112 + 12 -> 150, 80 + 10 -> 100, 64 + 10 -> 100."""
    assert [line.quantity.order for line in elevator.parts] == [150, 100, 100, 150, 100]


def test_the_elevator_edges(elevator):
    told = {(m.layer, m.edge): m.distance_in for m in elevator.edges.by_edge}

    # The trailing edge falls 2 in over 48: square to it, .4 in is .4 x 48 / sqrt(48^2 + 2^2).
    assert told["upper skin", "trailing"] == pytest.approx(0.4 * 48 / (48**2 + 4) ** 0.5, abs=1e-4)
    assert told["upper skin", "front"] == pytest.approx(0.375)
    assert told["upper skin", "root"] == pytest.approx(0.375)
    # Hatch nutplates stand .5 in outside the hatch, its rivets on the same line.
    assert told["lower skin", "hatch front"] == pytest.approx(0.5)
    # Tip: the circle through (48, 0), (49.5, 6), (48, 12) has radius (6^2 + 1.5^2) / (2 x 1.5) =
    # 12.75 about (36.75, 6). Of rib 7's holes at x = 47.625 the one nearest to it is the spar's,
    # y = .375: 12.75 - sqrt(10.875^2 + 5.625^2).
    by_hand = 12.75 - (10.875**2 + 5.625**2) ** 0.5
    assert told["upper skin", "tip"] == pytest.approx(by_hand, abs=1e-4)


def test_the_elevator_grows_heavier_by_its_skins(elevator):
    # Each skin: .005 in more of 2024 at about .1 lb/in3 over its area. The outline is a trapezium
    # of 48 x (14 + 12) / 2 = 624 in2 and a circular segment at the tip: r = 12.75, chord 12.
    import math

    half = math.asin(6 / 12.75)
    segment = 12.75**2 / 2 * (2 * half - math.sin(2 * half))
    upper = next(line for line in elevator.balance.lines if line.what == "sheet upper skin")
    lower = next(line for line in elevator.balance.lines if line.what == "sheet lower skin")

    assert upper.mass_lb == pytest.approx((624 + segment) * 0.005 * 0.1, rel=0.02)
    # The hatch, 4 x 3 in, and eight screw holes are missing below.
    screws = 8 * math.pi * 0.072**2
    assert upper.mass_lb / lower.mass_lb == pytest.approx(
        (624 + segment) / (624 + segment - 12 - screws), rel=1e-3
    )


def test_the_inspection_cover():
    """24 rivets on a ring of 7.25 in: the chord is 7.25 sin(180 / 24 deg) = .9463 in. Four
    nutplates: 8 rivets. The ring's rim is (8 - 7.25) / 2 = .375 in away, 3 D of a 1/8 rivet."""
    plan = plan_job(read_job(EXAMPLES / "inspection_cover.toml"))
    (ring,) = plan.pitches.along
    rim = next(m for m in plan.edges.by_row if m.layer == "ring" and m.row == "ring to skin")

    assert plan.to_fit == 32
    assert ring.count == 24
    assert ring.least_in == pytest.approx(0.94632, abs=1e-5)
    assert rim.distance_in == pytest.approx(0.375, abs=1e-4)
    assert rim.multiple == pytest.approx(3.0, abs=1e-3)
    assert plan.verdict is Verdict.PASS
