"""Nutplates in the plan, and rows whose rivets stand off the line their edge was told of."""

import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from job_texts import HEAD, JOB, MEMBER, SHEET

from rivetkit.calculators.nutplates.lugs import check_lug_room, lug_gap, placed_plate
from rivetkit.calculators.nutplates.place import nutplate_rivet
from rivetkit.checks import Verdict, worst_verdict
from rivetkit.cli.app import exit_code_of, main
from rivetkit.errors import InputError
from rivetkit.fasteners.nutplates import nutplate
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.plan import plan_job
from rivetkit.planning.stray import row_stray
from rivetkit.rules import RuleBook

USUAL = RuleBook.named()

FLANGE = "flange = { width = 0.625, end_distance = 0.3 }"


def plates(
    name="np", part="MS21047-08", fit="MS20470AD3", screws="{ at = [3, 3] }", layers='["skin"]'
):
    return (
        f'[[row]]\nname = "{name}"\nnutplate = "{part}"\nfit = "{fit}"\nlug = 0.03\n'
        f"screws = [{screws}]\nlayers = {layers}\n"
    )


def bench(hole, size_in):
    return BenchHole(hole, size_in, size_in, None, None, "", where="holes.csv")


def planned(rows, *, flange="", **options):
    rib = MEMBER.replace(FLANGE, flange) if flange else ""
    return plan_job(parse_job(HEAD + SHEET + rib + rows), **options)


def beside(plan, row):
    """Return verdict and distance at the flange's edge and at its heel, of a row in the rib."""
    found = [
        margin
        for margin in plan.edges.by_row
        if (margin.layer, margin.row) == ("rib", row) and margin.edge.split(" (")[0] != "flange end"
    ]
    found = [margin for margin in found if not margin.edge.startswith("screw")]
    return [(margin.check.verdict, margin.distance_in) for margin in found]


# --- the rivet and the lugs ------------------------------------------------------------------


@pytest.mark.parametrize("key", ["fit", "rivet"])
def test_a_rivet_that_does_not_go_through_the_lugs_is_refused_as_the_command_does(key):
    # MS21047-4: 3/32 rivets, .098 in lug holes (from memory).
    row = plates(part="MS21047-4", fit="MS20470AD4-4").replace("fit =", f"{key} =")
    with pytest.raises(InputError) as refused:
        planned(row)
    with pytest.raises(InputError) as command:
        nutplate_rivet(nutplate("MS21047-4"), "MS20470AD4-4")

    assert str(refused.value) == f"job: row 'np': {key}: {command.value}"
    assert planned(row.replace("AD4-4", "AD3-4")).fitted


def test_no_rivet_of_a_nutplate_goes_up_a_size():
    # 3/32 goes through a .098 in hole, 1/8 does not.
    plan = planned(plates())
    larger = planned(plates(), assume_oversize=1)
    (now,), (then,) = (
        [check for check in one.sheets if check.name == "rivet in the lugs"]
        for one in (plan, larger)
    )

    assert (now.verdict, now.value, now.limit) == (Verdict.PASS, 0.09375, 0.098)
    assert (then.verdict, then.value, then.where) == (Verdict.FAIL, 0.125, "np")
    assert plan.reserve.steps.tolist() == [0, 0]
    (obstacle,) = {plan.reserve.obstacles[number] for number in plan.reserve.obstacle}
    assert (obstacle.kind, obstacle.what) == ("lug", "MS21047-08")


def test_a_spoiled_hole_of_a_nutplate_is_not_mended_with_a_larger_rivet():
    job = parse_job(HEAD + SHEET + plates())
    plan = plan_job(job, measured=[bench("np:1", 0.126)])

    (fix,) = plan.measured.fixes
    larger = [one for one in fix.result.candidates if one.kind != "same"]
    failed = [
        {check.verdict for check in one.checks if check.name == "rivet in the lugs"}
        for one in larger
    ]
    assert fix.chosen is None
    assert larger
    assert failed == [{Verdict.FAIL}] * len(larger)


# --- lugs that meet --------------------------------------------------------------------------


@pytest.mark.parametrize("apart", ["one row", "two rows"])
@pytest.mark.parametrize(("step", "verdict"), [(0.989, Verdict.PASS), (0.98, Verdict.FAIL)])
def test_lugs_that_meet_fail_in_the_plan_as_in_the_ring(apart, step, verdict):
    # NAS1473-3 is .989 in over its lugs, rivets .688 apart: end to end, screws .989 in apart.
    first, second = "{ at = [3, 3] }", f"{{ at = [{3 + step}, 3] }}"
    rows = plates(part="NAS1473-3", screws=f"{first}, {second}")
    if apart == "two rows":
        rows = plates("a", "NAS1473-3", screws=first) + plates("b", "NAS1473-3", screws=second)
    plan = planned(rows)
    (gap,) = plan.screws.lugs

    assert gap.check.verdict is verdict
    assert gap.distance_in == pytest.approx(step - 0.688)
    assert gap.check.limit == pytest.approx(0.989 - 0.688)
    assert gap.check in plan.checks
    assert worst_verdict(hole_verdicts(plan).verdicts) is plan.verdict


def test_every_nutplate_that_meets_another_is_told_hole_by_hole():
    # Three .98 in apart meet, all of them; one far off does not.
    screws = ", ".join(f"{{ at = [{x}, 3] }}" for x in (2, 2.98, 3.96, 8))
    plan = planned(plates(part="NAS1473-3", screws=screws))
    verdicts = hole_verdicts(plan).verdicts

    assert verdicts == (Verdict.FAIL,) * 6 + (Verdict.PASS,) * 2
    assert len(plan.screws.lugs) == 1
    assert plan.screws.lugs[0].check.verdict is Verdict.FAIL


def test_nutplates_that_share_no_layer_cannot_meet():
    rows = plates("a", "NAS1473-3") + plates(
        "b", "NAS1473-3", screws="{ at = [3.8, 3.1] }", layers='["rib"]'
    )
    assert planned(rows, flange=FLANGE).screws.lugs == ()


@pytest.mark.parametrize(
    ("part", "other", "angle", "verdict"),
    [
        # End to end, no length on file: .688 in between the rivets is the rivets' own spacing.
        ("MS21047-08", (6 - 0.001, 3), 0, Verdict.PASS),
        ("MS21047-08", (4.3, 3), 0, Verdict.NOT_CHECKED),
        # Rivets nearer than two half lug holes, .098: no lug goes round them.
        ("MS21047-08", (3.78, 3), 0, Verdict.FAIL),
        # Across the first, its rivet line .4 in past the first one's rivet: a lug beside a body.
        ("NAS1473-3", (3.744, 3), 90, Verdict.NOT_CHECKED),
        ("NAS1473-3", (3.6, 3), 90, Verdict.FAIL),
        # The bodies cross.
        ("MS21047-08", (3.1, 3.1), 90, Verdict.FAIL),
        # Side by side: rivets .5 apart, and no width on file.
        ("NAS1473-3", (3, 3.5), 0, Verdict.NOT_CHECKED),
        ("NAS1473-3", (3, 3.688), 0, Verdict.PASS),
    ],
)
def test_lugs_and_bodies_at_every_angle(part, other, angle, verdict):
    plate = nutplate(part)
    gap = lug_gap(placed_plate(plate, (3, 3), 0), placed_plate(plate, other, angle))
    check = check_lug_room(gap, plate, plate, book=USUAL)
    assert check.verdict is verdict
    assert bool(check.reason) is (verdict is Verdict.NOT_CHECKED)


def test_unlike_nutplates_meet_half_way():
    # NAS1473-3 reaches (.989 - .688) / 2 past its rivet, -4 (1.296 - 1.000) / 2: .2985 together.
    small, large = nutplate("NAS1473-3"), nutplate("NAS1473-4")
    for between_in, verdict in ((0.2986, Verdict.PASS), (0.2984, Verdict.FAIL)):
        at = (0.344 + between_in + 0.5, 0.0)
        gap = lug_gap(placed_plate(small, (0.0, 0.0), 0.0), placed_plate(large, at, 0.0))
        assert check_lug_room(gap, small, large, book=USUAL).verdict is verdict


def test_two_nutplates_lie_as_far_apart_as_many_points_on_them_tell():
    @settings(max_examples=60, deadline=None)
    @given(st.floats(-2, 2), st.floats(-2, 2), st.floats(0, 180), st.floats(0, 180))
    def law(x, y, turn, other_turn):
        plate = nutplate("MS21047-3")
        placed = placed_plate(plate, (0, 0), turn), placed_plate(plate, (x, y), other_turn)
        lines = [np.linspace(one.rivets_in[0], one.rivets_in[1], 300) for one in placed]
        slow_in = np.hypot(*(lines[0][:, None] - lines[1][None, :]).transpose(2, 0, 1)).min()
        gap = lug_gap(*placed)
        assert gap.distance_in <= slow_in + 1e-9
        assert slow_in - gap.distance_in < 0.688 / 299
        assert lug_gap(*reversed(placed)).end_to_end is gap.end_to_end

    law()


def test_the_command_says_so_where_no_length_is_on_file():
    def lugs(count):
        line = f"{1.3 / math.sin(math.pi / count):.4f}"  # screws 1.3 in apart, straight
        run = CliRunner().invoke(
            main,
            ["nutplate", "MS21047-08", "--round", line, "--count", str(count), "--format", "csv"],
            standalone_mode=False,
        )
        return [
            words
            for words in run.output.splitlines()
            if words.startswith('"checks","room for the lugs"')
        ]

    (unknown,) = lugs(30)
    assert "not_checked" in unknown
    assert "the length over the lugs is not on file" in unknown


# --- heads under the cover -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fit", "form", "told"), [("MS20470AD3", "plain", True), ("MS20426AD3", "dimpled", False)]
)
def test_a_head_that_stands_out_under_the_cover_is_told(fit, form, told, tmp_path):
    layers = f'[{{ layer = "skin", form = "{form}" }}]'
    (tmp_path / "job.toml").write_text(HEAD + SHEET + plates(fit=fit, layers=layers))
    for words in (["plan", str(tmp_path / "job.toml")], ["nutplate", "MS21047-08", "--rivet", fit]):
        run = CliRunner().invoke(main, words, standalone_mode=False)
        assert (f"The heads of {fit} stand out" in run.output) is told


# --- rivets off the line of their row --------------------------------------------------------


def zigzag(rise_in, from_edge_in):
    holes = [[1, 2], [1.9, 2 + rise_in], [2.8, 2], [3.7, 2 + rise_in], [4.6, 2]]
    return (
        f'[[row]]\nname = "z"\nrivet = "MS20470AD3-3"\nholes = {holes}\n'
        f'layers = ["skin", {{ layer = "rib", row_from_edge = {from_edge_in} }}]\n'
    )


@pytest.mark.parametrize(
    ("rise", "from_edge", "edge", "heel"),
    [
        # AD3: 2 D is .1875 to the edge (Army AL0992 p 59), 2 D to the heel (common practice).
        (0.0, 0.4, (Verdict.PASS, 0.4), (Verdict.PASS, 0.4)),
        (0.2, 0.4, (Verdict.PASS, 0.2), (Verdict.PASS, 0.2)),
        (0.3, 0.4, (Verdict.NOT_CHECKED, None), (Verdict.NOT_CHECKED, None)),
        (0.3, 0.5, (Verdict.PASS, 0.2), (Verdict.NOT_CHECKED, None)),
        (0.3, 0.18, (Verdict.FAIL, 0.18), (Verdict.PASS, 0.32)),
    ],
)
def test_a_row_of_holes_is_held_to_the_hole_that_may_be_nearest(rise, from_edge, edge, heel):
    plan = planned(zigzag(rise, from_edge), flange="flange = { width = 0.8, end_distance = 0.4 }")
    told = beside(plan, "z")

    assert [verdict for verdict, _ in told] == [edge[0], heel[0]]
    assert [distance for _, distance in told] == [
        None if one[1] is None else pytest.approx(one[1]) for one in (edge, heel)
    ]
    if Verdict.NOT_CHECKED in (edge[0], heel[0]):
        reasons = {check.reason for check in plan.checks if check.reason}
        assert any("stray 0.3 in from a straight line" in reason for reason in reasons)


@pytest.mark.parametrize("turn", [0.0, 27.0, 90.0, 143.0])
def test_turning_the_whole_row_changes_nothing(turn):
    angle = math.radians(turn)
    holes = [[1, 2], [1.9, 2.2], [2.8, 2], [3.7, 2.2], [4.6, 2]]
    cosine, sine = math.cos(angle), math.sin(angle)
    turned = [
        [5 + (x - 2.8) * cosine - (y - 2) * sine, 3 + (x - 2.8) * sine + (y - 2) * cosine]
        for x, y in holes
    ]
    row = zigzag(0.2, 0.4).replace(str(holes), str(turned))
    plan = planned(row, flange="flange = { width = 0.8, end_distance = 0.4 }")

    assert beside(plan, "z") == [(Verdict.PASS, pytest.approx(0.2))] * 2


def test_a_path_is_its_own_line_however_it_bends():
    bent = JOB.replace("[[0.5, 0.5], [9.5, 0.5]]", "[[0.5, 0.5], [4.5, 0.9], [9.5, 0.5]]")
    plan = plan_job(parse_job(bent))
    assert beside(plan, "row") == [(Verdict.PASS, 0.3125)] * 2


@pytest.mark.parametrize(
    ("screws", "edge_in", "verdict"),
    [
        # All along the row: its rivets stand on the line.
        ("{ at = [4, 2] }, { at = [6, 2] }", 0.4, Verdict.PASS),
        # One across: its rivets stand .344 in off, on both sides. That is known, and fails.
        ("{ at = [4, 2], angle = 90 }, { at = [6, 2] }", 0.056, Verdict.FAIL),
        # Turned by 30 degrees: .172 in.
        ("{ at = [4, 2], angle = 30 }, { at = [6, 2] }", 0.228, Verdict.PASS),
        # The screws stray themselves: nobody knows along which way the flange runs.
        ("{ at = [4, 2] }, { at = [6, 2.3] }, { at = [8, 2] }", None, Verdict.NOT_CHECKED),
        # One alone tells no line.
        ("{ at = [4, 2] }", None, Verdict.NOT_CHECKED),
    ],
)
def test_a_row_of_nutplates_stands_where_its_screws_are(screws, edge_in, verdict):
    layers = '["skin", { layer = "rib", row_from_edge = 0.4 }]'
    flange = "flange = { width = 0.8, end_distance = 0.4 }"
    plan = planned(plates(screws=screws, layers=layers), flange=flange)
    wanted = None if edge_in is None else pytest.approx(edge_in)

    assert beside(plan, "np") == [(verdict, wanted)] * 2


@pytest.mark.parametrize(("angle", "turned"), [(0, 0.0), (90, 0.344)])
def test_nutplates_stray_by_their_screws_and_by_their_own_turn(angle, turned):
    # The best line through three screws in a zigzag of .2 in runs along x. The rivets of a
    # MS21047-08 stand .344 in off their screw (from memory, as on file), along it or across.
    screws = ", ".join(f"{{ at = [{x}, {y}], angle = {angle} }}" for x, y in ZIGZAG)
    (row,) = parse_job(HEAD + SHEET + plates(screws=screws)).rows

    assert row_stray(row).known_in == 0.0
    assert row_stray(row).unsure_in == pytest.approx(0.2 + turned, abs=1e-3)


@pytest.mark.parametrize(("away_in", "verdict"), [(0.24, Verdict.PASS), (0.23, Verdict.FAIL)])
def test_a_row_beside_a_nutplate_keeps_the_row_spacing_from_the_line_of_its_rivets(
    away_in, verdict
):
    # TM 10-5410-229-13&P p 5-4 (seen): rows 2.5 D apart, .234 in; in line 3 D, .281 in, were asked.
    beside = (
        f'[[row]]\nname = "beside"\nfit = "MS20470AD3"\nlayers = ["skin"]\n'
        f"path = [[2.656, {3 + away_in}], [3.344, {3 + away_in}]]\ncount = 2\n"
    )
    (gap,) = planned(plates() + beside).pitches.across

    assert gap.rows == ("np", "beside")
    assert gap.check.verdict is verdict
    assert gap.check.limit == pytest.approx(2.5 * 3 / 32)


@pytest.mark.parametrize("small_first", [True, False])
def test_nutplates_of_two_sizes_are_each_held_to_their_own(small_first):
    # Common practice: screws 4 D apart, 1 in for 1/4; rivets of two nutplates further apart than
    # those of one, 1 in of a MS21047-4 (from memory, as on file), leave room for any lugs.
    large = plates("large", "MS21047-4", screws="{ at = [3, 2] }, { at = [4.9, 2] }")
    small = plates("small", screws="{ at = [3, 5] }, { at = [6, 5] }")
    met = planned(small + large if small_first else large + small).screws
    apart = planned((small + large).replace("4.9", "5.01")).screws
    near = planned((small + large).replace("4.9", "3.99").replace("2] }", "2], angle = 90 }"))

    assert [(gap.rows, gap.check.verdict) for gap in met.lugs] == [
        (("large", "large"), Verdict.NOT_CHECKED)
    ]
    assert Verdict.NOT_CHECKED not in {gap.check.verdict for gap in apart.lugs}
    assert [(gap.rows, gap.check.verdict) for gap in near.screws.gaps] == [
        (("large", "large"), Verdict.FAIL)
    ]


ZIGZAG = ((4, 2), (5, 2.2), (6, 2))


@given(st.floats(0.0, 0.4), st.floats(0.2, 0.6))
@settings(max_examples=40, deadline=None)
def test_more_stray_never_turns_a_bad_verdict_into_a_pass(rise, from_edge):
    flange = "flange = { width = 0.8, end_distance = 0.4 }"
    less = beside(planned(zigzag(rise / 2, from_edge), flange=flange), "z")
    more = beside(planned(zigzag(rise, from_edge), flange=flange), "z")
    for (before, _), (after, _) in zip(less, more, strict=True):
        assert before is Verdict.PASS or after is not Verdict.PASS


@pytest.mark.parametrize(("rise", "steps"), [(0.0, 1), (0.14, 1), (0.16, 0)])
def test_the_reserve_takes_the_stray_off_too(rise, steps):
    # 1/8 asks .25 of edge and heel, 5/32 .3125: from .4 in, .15 in of stray leaves .25.
    flange = "flange = { width = 0.8, end_distance = 0.4 }"
    plan = planned(zigzag(rise, 0.4).replace("[1, 2]", "[1, 2]"), flange=flange)
    floor = [min(one, 1) for one in plan.reserve.steps.tolist()]
    assert floor == [steps] * 5


def test_a_bend_nobody_measured_stops_the_reserve():
    text = JOB.replace("row_from_edge = 0.3125", "edge_distance = 0.3")
    free = text.replace("width = 0.625", "width = 0.625, heel_free = true")
    stopped, climbs = (plan_job(parse_job(one)).reserve for one in (text, free))

    assert set(stopped.steps.tolist()) == {0}
    assert {stopped.obstacles[number].what for number in stopped.obstacle} == {
        "heel of rib, not measured"
    }
    assert set(climbs.steps.tolist()) == {1}


@pytest.mark.parametrize(("accuracy", "steps"), [(0.0, 1), (0.005, 1), (0.006, 0)])
def test_the_reserve_keeps_off_the_bend_by_what_a_tape_may_be_off(accuracy, steps):
    # Common practice: 2 D from the bend, .25 in for 1/8; the row stands .255 in from it.
    text = JOB.replace("width = 0.625, end_distance = 0.3", "width = 0.755, end_distance = 0.5")
    text = text.replace("row_from_edge = 0.3125", "row_from_edge = 0.5")
    found = plan_job(parse_job(f"accuracy = {accuracy}\n" + text)).reserve

    assert set(found.steps.tolist()) == {steps}
    assert {found.obstacles[number].what for number in found.obstacle} == {"heel of rib"}


@pytest.mark.parametrize("rise", [0.0, 0.2, 0.35])
def test_a_measured_hole_has_no_more_edge_than_its_row_is_sure_of(rise):
    # .15 in left of .5 to the edge, .25 asked for: nobody knows whether this is the near hole.
    flange = "flange = { width = 1.0, end_distance = 0.5 }"
    job = parse_job(HEAD + SHEET + MEMBER.replace(FLANGE, flange) + zigzag(rise, 0.5))
    (fix,) = plan_job(job, measured=[bench("z:2", 0.120)]).measured.fixes
    edges = {
        (check.verdict, check.value)
        for candidate in fix.result.candidates[:1]
        for check in candidate.checks
        if check.name == "edge distance" and "rib" in check.where
    }
    (edge,) = edges
    assert edge[0] is (Verdict.NOT_CHECKED if rise == 0.35 else Verdict.PASS)


@pytest.mark.parametrize(
    "command", [["plan"], ["new-hole", "--rivet", "MS20470AD3", "--at", "6,4"]]
)
def test_what_is_not_judged_beside_a_nutplate_is_said(command, capsys):
    cover = str(Path(__file__).parent.parent / "examples" / "inspection_cover.toml")
    exit_code_of([command[0], cover, *command[1:]])
    assert "not to its body and lugs" in " ".join(capsys.readouterr().out.split())


SCREW_PLACES = st.lists(
    st.tuples(st.integers(1, 15), st.integers(2, 18)), min_size=1, max_size=3, unique=True
)


@settings(max_examples=60, deadline=None)
@given(SCREW_PLACES, SCREW_PLACES)
@example([(2, 2)], [(2, 7)])  # 1.5 in: within twice what the larger screw asks for, not the other
def test_screws_are_held_to_their_edges_and_to_each_other_as_a_slow_loop_finds(ones, others):
    # Common practice, no source: 2 D of the screw from an edge, 4 D of the larger from another.
    assume(not set(ones) & set(others))
    size_in = {"a": 0.164, "b": 0.190}  # #8 and #10 screws, from memory
    at = {
        (row, number): (0.6 * x, 0.3 * y)
        for row, places in (("a", ones), ("b", others))
        for number, (x, y) in enumerate(places, 1)
    }
    rows = "".join(
        plates(
            row,
            part,
            screws=", ".join(f"{{ at = [{x}, {y}] }}" for (r, _), (x, y) in at.items() if r == row),
        )
        for row, part in (("a", "MS21047-08"), ("b", "NAS1473-3"))
    )
    plan = planned(rows)

    for margin in plan.screws.edges:
        to_edge = {
            number: min(x, 10 - x, y, 6 - y)
            for (row, number), (x, y) in at.items()
            if row == margin.row
        }
        assert margin.distance_in == pytest.approx(min(to_edge.values()))
        assert to_edge[int(margin.hole.rpartition("-")[2])] == pytest.approx(margin.distance_in)
        assert margin.check.limit == pytest.approx(2 * size_in[margin.row])
    spare = {}
    for (one, first), (other, second) in itertools.combinations(at.items(), 2):
        limit_in = 4 * max(size_in[one[0]], size_in[other[0]])
        if math.dist(first, second) <= 2 * 4 * 0.19:
            spare.setdefault((one[0], other[0]), []).append(math.dist(first, second) - limit_in)
    found = {gap.rows: gap.check.margin for gap in plan.screws.gaps}
    assert found == pytest.approx({rows: min(some) for rows, some in spare.items()})
    short = sum(one < 0 for some in spare.values() for one in some)
    assert sum(gap.check.name == "screw spacing" for gap in plan.screws.tight) == short


def test_the_first_screw_that_lies_off_a_layer_is_named_with_its_place():
    # The sheet ends at x = 10; the plates stand across, so that their rivets are on the metal.
    screws = "{ at = [3, 3], angle = 0 }, { at = [4.5, 3], angle = 0 }, { at = [4.9, 1.2] }"
    hole = '[[sheet.cutouts]]\nname = "gap"\nrectangle = { corner = [4.3, 2.9], width = 0.4, '
    text = HEAD + SHEET + hole + "height = 0.2 }\n" + plates(screws=screws)
    with pytest.raises(InputError, match=r"np-2 at \(4\.5, 3\) in lies off 'skin'") as refused:
        plan_job(parse_job(text))
    assert refused.value.where == "row 'np'"
