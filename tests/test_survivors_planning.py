"""Plans: laws that a small change to the code once left standing."""

import itertools
import math
from types import SimpleNamespace

import pytest
from job_texts import HEAD, MEMBER, SHEET, SKIN_STAYS

from rivetkit.calculators.mass import rivet_mass_lb
from rivetkit.calculators.order import SparesPolicy, order_quantity
from rivetkit.calculators.oversize.sizes import size_steps
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.holes import lay_out
from rivetkit.job.model import Flange, RowLayer
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.cells import as_typed, safe, unsafe
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.balance import balance_change
from rivetkit.planning.context import Context
from rivetkit.planning.edges import edge_margins
from rivetkit.planning.lengths import fit_groups
from rivetkit.planning.limits import gaps_in
from rivetkit.planning.measured import fix_holes
from rivetkit.planning.nearby import Neighbours, pairs_across
from rivetkit.planning.new_hole.search import NewHoleFinder
from rivetkit.planning.order_list import order_list
from rivetkit.planning.parts import FitLine
from rivetkit.planning.pitches import pitches
from rivetkit.planning.plan import plan_job
from rivetkit.planning.reserve import reserve
from rivetkit.planning.stray import Stray
from rivetkit.planning.strength.taken_out import came_out_of, taken_out
from rivetkit.planning.told_edges import told_edges, told_heel
from rivetkit.planning.worksheet import worksheet_lines
from rivetkit.rules import RuleBook


def plate(y):
    """A sheet with one row through it alone, so that its holes may be drilled larger."""
    return HEAD + SHEET + row("row", y)


def row(name, y):
    return (
        f'[[row]]\nname = "{name}"\nrivet = "MS20470AD3-3"\npath = [[0.5, {y}], [9.5, {y}]]\n'
        'count = 13\nlayers = ["skin"]\n'
    )


@pytest.mark.parametrize("y", [0.19, 0.5])
def test_holes_without_reserve_are_those_counted_at_nought(y):
    context = shown(plate(y))
    found = reserve(context, Neighbours(context))

    assert len(found.without()) == dict(found.tally()).get(0, 0)
    assert sum(number for _, number in found.tally()) == 13


def test_one_row_keeps_its_pitch_and_two_rows_the_row_spacing():
    # NAVEDTRA 14018 ch 13 (seen): pitch 3 D. TM 10-5410-229-13&P p 5-4 (seen): rows 2.5 D apart.
    # A path that turns back .5 in off itself, and a row .25 in under its first run, hole over hole.
    text = plate(0.5).replace(
        "path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13",
        "holes = [[1, 1], [1.8, 1], [1.8, 1.5], [1, 1.5]]",
    )
    second = row("second", 0.75).replace(
        "path = [[0.5, 0.75], [9.5, 0.75]]\ncount = 13", "holes = [[1, 0.75], [1.8, 0.75]]"
    )
    job = parse_job(text + second)
    context = Context(job, lay_out(job), RuleBook.named())
    pairs = pairs_across(context)
    gaps = gaps_in(context, pairs)
    found = {
        (int(one), int(other)): (limit_in, value_in)
        for one, other, limit_in, value_in in zip(
            pairs.first, pairs.second, gaps.limit_in, gaps.value_in, strict=True
        )
    }

    assert found[0, 3] == pytest.approx((3 * 3 / 32, 0.5))
    assert found[0, 4] == pytest.approx((2.5 * 3 / 32, 0.25))


@pytest.mark.parametrize(("gap_in", "overlap"), [(0.75 / 2, False), (0.1, True)])
def test_heads_are_spoken_of_only_where_they_would_overlap(gap_in, overlap):
    # Geometry: two heads of one width overlap when their centres are nearer than that.
    finder = NewHoleFinder(parse_job(plate(0.5)), parse_part_number("MS20470AD3"))
    answer = finder.at((0.5 + gap_in, 0.5), reach_in=1.0)
    heads = [check for check in answer.checks if "head" in check.name]

    assert bool(heads) is overlap
    assert all(check.verdict is Verdict.FAIL for check in heads)


@pytest.mark.parametrize(("y", "off"), [(4.0, False), (6.5, True)])
def test_a_place_off_the_metal_has_no_edge_distance_and_says_so(y, off):
    finder = NewHoleFinder(parse_job(plate(0.5)), parse_part_number("MS20470AD3"), ["skin"])
    edge = finder.at((5.0, y), reach_in=1.0).checks[0]

    assert edge.where == ("off the metal of skin" if off else "back of skin")
    assert edge.value == (0.0 if off else pytest.approx(2.0))


def test_an_order_weighs_the_mass_of_one_rivet_times_their_number():
    # Arithmetic: 100 rivets weigh a hundred times one.
    part = parse_part_number("MS20470AD4-4")
    mass = rivet_mass_lb(part)
    line = FitLine(part, (("row", 100),), order_quantity(100, SparesPolicy()), mass)
    (ordered,) = order_list({"job": [line]}, SparesPolicy())

    assert ordered.net_mass_lb == pytest.approx(100 * mass.mass_lb)
    assert ordered.order_mass_lb >= ordered.net_mass_lb


def test_heavier_rivets_bear_on_the_hinge_line_by_their_distance_from_it():
    # Statics: a moment is a weight times its arm; every hole is .5 + 1 in behind the hinge line.
    text = plate(0.5).replace('AD3-3"', 'AD3-3"\nfit = "MS20470AD4-6"')
    plan = plan_job(parse_job(text + "[hinge]\nfrom = [0, -1]\nto = [10, -1]\n"))
    (rivets,) = [line for line in plan.balance.lines if line.what == "rivets"]
    old, new = (
        rivet_mass_lb(parse_part_number(part)).mass_lb for part in ("MS20470AD3-3", "MS20470AD4-6")
    )

    assert rivets.mass_lb == pytest.approx(13 * (new - old))
    assert rivets.arm_in == pytest.approx(1.5)
    assert rivets.moment_lb_in == pytest.approx(rivets.mass_lb * 1.5)


@pytest.mark.parametrize("remark", ["=1+1", "5:1", "+7", "@here", "plain", "a;=1", "-"])
def test_a_remark_made_safe_for_a_spreadsheet_comes_back_as_it_was(remark):
    assert unsafe(safe(remark)) == remark
    assert as_typed(as_typed(remark)) == as_typed(remark)


@pytest.mark.parametrize(("gap_in", "holes"), [(0.0625, 25), (0.0626, 26)])
def test_holes_of_two_rows_just_as_near_as_the_job_says_are_one(gap_in, holes):
    # The job's own word: at the limit is within it, as everywhere.
    second = row("second", 0.5 + gap_in).replace("[9.5, ", "[9.625, ")
    job = parse_job("same_hole_within = 0.0625\n" + plate(0.5) + second)

    assert len(lay_out(job)) == holes


def test_the_plan_weighs_a_line_of_rivets_by_their_number():
    # Arithmetic: 13 rivets weigh thirteen times one.
    (line,) = plan_job(parse_job(plate(0.5))).parts

    assert line.net_mass_lb == pytest.approx(13 * rivet_mass_lb(line.part).mass_lb)


def test_in_an_uneven_row_the_tightest_and_the_widest_step_are_the_ones_judged():
    # NAVEDTRA 14018 ch 13 (seen): at least 3 D = .28125; Army AL0992 p 59 (seen): at most 10 D.
    text = plate(0.5).replace(
        "path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13",
        "holes = [[1, 1], [1.5, 1], [1.75, 1], [2.25, 1], [3.25, 1], [4, 1]]",
    )
    plan = plan_job(parse_job(text))
    (pitch,) = plan.pitches.along
    least, greatest = pitch.checks

    assert (pitch.least_in, pitch.least_between) == (0.25, ("row:2", "row:3"))
    assert (pitch.greatest_in, pitch.greatest_between) == (1.0, ("row:4", "row:5"))
    assert (least.value, least.verdict) == (0.25, Verdict.FAIL)
    assert (greatest.value, greatest.verdict) == (1.0, Verdict.FAIL)


def test_of_two_rows_the_pair_with_the_least_to_spare_is_the_one_told():
    # Geometry: hole 1 of both rows is .24 in apart, the far end .5 in.
    slanted = row("second", 0.74).replace("[9.5, 0.74]", "[9.5, 1.0]")
    (gap,) = plan_job(parse_job(plate(0.5) + slanted)).pitches.across

    assert gap.distance_in == pytest.approx(0.24)
    assert gap.holes == ("row:1", "second:1")


@pytest.mark.parametrize("large_first", [True, False])
def test_the_largest_rivet_of_the_job_says_how_far_a_neighbour_is_looked_for(large_first):
    # Law: a pair is found whatever smaller rivets the job holds besides; 3 D of 1/4 is .75 in.
    large = [
        row("one", 0.8).replace("AD3-3", "AD8-6").replace("count = 13", "count = 7"),
        row("two", 1.35).replace("AD3-3", "AD8-6").replace("count = 13", "count = 7"),
    ]
    small = [row("small", 4.5)]
    rows = large + small if large_first else small + large
    found = plan_job(parse_job(HEAD + SHEET + "".join(rows))).pitches.across

    verdicts = {gap.rows: gap.check.verdict for gap in found}
    assert verdicts["one", "two"] is Verdict.FAIL  # .55 in, and 2.5 D is .625 in


def test_a_place_that_fails_every_check_still_gets_the_nearest_good_one():
    text = plate(0.5).replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", "holes = [[5, 0.19]]")
    answer = NewHoleFinder(parse_job(text), parse_part_number("MS20470AD3")).at(
        (5.05, 0.05), reach_in=2.0
    )

    assert {answer.edges[0].check.verdict, answer.neighbours[0].checks[0].verdict} == {Verdict.FAIL}
    assert answer.nearest is not None
    assert answer.move_in > 0.1


def shown(text):
    job = parse_job(text)
    return Context(job, lay_out(job), RuleBook.named())


@pytest.mark.parametrize(("off_in", "verdict"), [(0.0, Verdict.PASS), (0.01, Verdict.FAIL)])
def test_beside_a_hole_that_two_rows_place_apart_no_row_has_a_line(off_in, verdict):
    # NAVEDTRA 14018 ch 13 (seen): pitch 3 D, .28125 in. TM 10-5410-229-13&P p 5-4 (seen): rows
    # 2.5 D, .234 in. Rows .25 in apart do side by side; not where nobody knows how one runs.
    rows = {
        "a": [[1, 2], [2, 2], [3, 2]],
        "b": [[2 + off_in, 2], [2, 3]],
        "c": [[1, 2.25], [0.4, 2.25]],
    }
    text = HEAD + SHEET
    for name, holes in rows.items():
        text += row(name, 1).replace("path = [[0.5, 1], [9.5, 1]]\ncount = 13", f"holes = {holes}")
    context = shown(text)
    across = pitches(context, Neighbours(context)).across

    (gap,) = [gap for gap in across if gap.rows == ("a", "c")]
    assert gap.holes == ("a:1", "c:1")
    assert gap.check.verdict is verdict


@pytest.mark.parametrize("hinge_y", [-0.4, 0.3, 0.7, 2.0])
def test_a_hinge_line_has_no_direction(hinge_y):
    # Statics: the moment about a line is that about the same line told from its other end.
    small = SHEET.replace("[10, 0]", "[1, 0]").replace("[10, 6]", "[1, 0.9]")
    small = small.replace("[0, 6]", "[0, 0.9]")
    text = HEAD + small + row("row", 0.45).replace("[9.5, ", "[0.8, ").replace("13", "2")
    contexts = (
        shown(f"{text}[hinge]\nfrom = {ends[0]}\nto = {ends[1]}\n")
        for ends in ([[0, hinge_y], [1, hinge_y]], [[1, hinge_y], [0, hinge_y]])
    )
    one, other = (balance_change(context, fit_groups(context)) for context in contexts)

    assert one == other
    # The skin lies behind its hinge: more of it is heavier there.
    (sheet,) = [line for line in one.lines if line.what == "sheet skin"]
    assert sheet.arm_in == pytest.approx(abs(0.45 - hinge_y))


@pytest.mark.parametrize("fewer", [0, 1])
def test_a_search_is_cut_short_only_while_a_larger_rivet_is_made(fewer):
    made = len(size_steps(parse_part_number("MS20470AD3")))
    hole = BenchHole("row:3", 0.9, 0.9, None, None, "", "sheet.csv: line 2")
    found = fix_holes(shown(plate(0.5)), [hole], sizes_up=made - fewer)

    assert found.fixes[0].chosen is None
    assert found.cut_short is (fewer > 0)


ADDED = SHEET.replace('"skin"', '"patch"').replace(
    'old = { alloy = "2024-T3", thickness = 0.025 }\n', ""
)


@pytest.mark.parametrize(
    ("layer", "words"),
    [
        (SHEET, "sheet 'skin' comes off, and cannot with the row's rivets in"),
        (SKIN_STAYS + ADDED, "'patch' is added, and cannot be with the row's rivets in"),
        (
            SKIN_STAYS + SKIN_STAYS.replace('"skin"', '"patch"', 1) + "added = true\n",
            "'patch' is added, and cannot be with the row's rivets in",
        ),
    ],
)
def test_rivets_that_stay_in_hold_what_stays(layer, words):
    layers = '["skin", "patch"]' if '"patch"' in layer else '["skin"]'
    text = HEAD + layer + row("row", 0.5).replace('["skin"]', layers) + "kept = true\n"
    with pytest.raises(InputError) as refused:
        parse_job(text)
    assert refused.value.what == words


@pytest.mark.parametrize(("pitch", "left_in"), [(0.75, 0.0), (0.7, 0.6), (0.8, 0.2)])
def test_what_is_left_of_a_path_is_told_and_nothing_else(pitch, left_in):
    # Arithmetic: 9 in are 12 spaces of .75, 12 of .7 and .6 in, 11 of .8 and .2 in.
    text = plate(0.5).replace("count = 13", f"pitch = {pitch}") + row("even", 3.0)
    left = {one.row: one.length_in for one in plan_job(parse_job(text)).left_over}

    assert left == (pytest.approx({"row": left_in}) if left_in else {})


def test_the_nearest_edge_lies_square_to_it():
    # Geometry: of a rectangle the edges lie below, right, above and left; a round hole its middle.
    holes = [[5, 0.4], [9.7, 2], [5, 5.5], [0.6, 3], [4.3, 3.3]]
    text = HEAD + SHEET + '[[sheet.holes]]\nname = "drain"\nat = [5, 3]\ndiameter = 1\n'
    text += row("row", 1).replace("path = [[0.5, 1], [9.5, 1]]\ncount = 13", f"holes = {holes}")
    near = shown(text).near_edges["skin"]

    assert [near.names[edge] for edge in near.edge] == ["front", "tip", "back", "root", "drain"]
    toward_drain = math.degrees(math.atan2(3 - 3.3, 5 - 4.3))
    assert near.direction_deg % 360 == pytest.approx([270, 0, 90, 180, toward_drain % 360])


@pytest.mark.parametrize("drawn", [True, False])
@pytest.mark.parametrize("y", [0.2, 0.28, 0.4])
@pytest.mark.parametrize("row_from_edge", [0.25, 0.3125])
def test_the_worksheet_names_the_edge_that_is_nearest_whether_drawn_or_told(
    drawn, y, row_from_edge
):
    # MEMBER tells a flange that ends .3 in from the last rivet: near the ends of a row alone.
    text = HEAD + (SHEET if drawn else MEMBER.replace('"rib"', '"skin"').replace(FLANGE, NO_EDGE))
    text += MEMBER + row("row", y).replace(
        '["skin"]', f'["skin", {{ layer = "rib", row_from_edge = {row_from_edge} }}]'
    )
    lines = worksheet_lines(parse_job(text))

    for line in lines:
        ways = {"flange edge of rib": row_from_edge}
        if drawn:
            ways |= {"front of skin": y, "root of skin": line.x_in, "tip of skin": 10 - line.x_in}
        if line in (lines[0], lines[-1]):
            ways["flange end of rib"] = 0.3
        assert line.edge == min(ways, key=ways.get)


FLANGE = "flange = { width = 0.625, end_distance = 0.3 }"
NO_EDGE = 'edge = "not measured"'


def test_an_order_runs_by_standard_diameter_and_length():
    # A length of -10 is longer than one of -4, whatever letters come first.
    wanted = ["MS20426AD3-4", "MS20470AD3-6", "MS20470AD4-4", "MS20470AD4-5.5", "MS20470AD4-10"]
    for names in itertools.permutations(wanted):
        fitted = [
            FitLine(part, (("row", 1),), order_quantity(1, SparesPolicy()), rivet_mass_lb(part))
            for part in map(parse_part_number, names)
        ]
        found = order_list({"job": fitted}, SparesPolicy())
        assert [line.part.designation for line in found] == wanted


@pytest.mark.parametrize("form", ["countersunk", "dimpled"])
def test_only_a_layer_that_is_countersunk_is_too_thin_for_a_countersink(form):
    # The strap under it is .02 in thick and plain, or dimpled with it.
    under = "plain" if form == "countersunk" else "dimpled"
    thick = SHEET.replace("0.032", "0.25").replace("0.025", "0.25")
    strap = MEMBER.replace('"rib"', '"strap"', 1).replace("0.025", "0.02").replace(FLANGE, ROOMY)
    text = HEAD + thick + strap + row("row", 1.5).replace("MS20470AD3-3", "MS20426AD8")
    text = text.replace(
        '["skin"]',
        f'[{{ layer = "skin", form = "{form}" }}, {{ layer = "strap", form = "{under}" }}]',
    ).replace("count = 13", "count = 5")
    context = shown(text)
    found = reserve(context, Neighbours(context))

    assert found.steps.min() >= 0
    kinds = {(one.kind, one.what) for one in found.obstacles}
    assert not any(kind == "countersink" and what == "strap" for kind, what in kinds)


ROOMY = "edge_distance = 2"


@pytest.mark.parametrize("angle_deg", [0, 30, 90, 135, 200, 290])
def test_along_the_row_is_the_way_to_the_next_hole_and_from_the_last_straight_on(angle_deg):
    # Geometry: a row of five from the middle of the sheet outward, .4 in apart.
    way = (math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))
    holes = [[5 + 0.4 * k * way[0], 3 + 0.4 * k * way[1]] for k in range(5)]
    text = plate(1).replace("path = [[0.5, 1], [9.5, 1]]\ncount = 13", f"holes = {holes}")
    measured = [
        BenchHole(f"row:{k}", 0.104, 0.115, "row", "toward", "", "sheet.csv: line 2")
        for k in (1, 3, 5)
    ]
    for fix in fix_holes(shown(text), measured).fixes:
        axis_deg = fix.result.measured.axis_deg
        assert (axis_deg - angle_deg + 90) % 180 == pytest.approx(90)


@pytest.mark.parametrize("nearest", range(4))
def test_the_hole_nearest_to_an_edge_is_the_one_told_of_its_row(nearest):
    # Geometry: three holes stand .6 in from the front edge, one .3 in.
    holes = [[2 + number, 0.3 if number == nearest else 0.6] for number in range(4)]
    text = plate(1).replace("path = [[0.5, 1], [9.5, 1]]\ncount = 13", f"holes = {holes}")
    found = edge_margins(shown(text))
    (margin,) = found.by_row

    assert (margin.hole, margin.edge) == (f"row:{nearest + 1}", "front")
    assert margin.distance_in == pytest.approx(0.3)
    ends = {"front": (nearest, 0.3), "tip": (3, 5.0), "root": (0, 2.0)}
    for one in found.by_edge:
        if one.edge in ends:
            assert one.hole == f"row:{ends[one.edge][0] + 1}"
            assert one.distance_in == pytest.approx(ends[one.edge][1])


@pytest.mark.parametrize("apart_in", [0.3, -0.25])
@pytest.mark.parametrize("turn_deg", [0, 4, 11])
def test_two_rings_about_one_centre_stand_apart_by_their_radii_at_every_hole(apart_in, turn_deg):
    # Geometry: a point is as far from a circle as its distance from the centre is from the radius.
    text = HEAD + SHEET
    for name, radius_in, turn in (("a", 1.6, 0), ("b", 1.6 + apart_in, turn_deg)):
        circle = f"circle = {{ at = [5, 3], diameter = {2 * radius_in}, start_angle = {turn} }}"
        text += row(name, 1).replace("path = [[0.5, 1], [9.5, 1]]\ncount = 13", circle)
    text = text.replace(", start_angle", ", count = 24, start_angle")
    context = shown(text)
    pairs = pairs_across(context)
    rows = context.holes.row
    between = rows[pairs.first] != rows[pairs.second]

    assert between.sum() >= 24
    assert pairs.square_in[between] == pytest.approx(abs(apart_in))
    assert (pairs.square_in[~between] == -math.inf).all()


@pytest.mark.parametrize(("layers", "again"), [('["skin", "strap"]', True), ('["strap"]', False)])
def test_a_hole_is_used_again_where_the_new_row_goes_through_what_the_old_one_did(layers, again):
    strap = MEMBER.replace('"rib"', '"strap"', 1).replace(FLANGE, ROOMY)
    old = row("old", 1).replace("count = 13", "count = 3") + "removed = true\n"
    new = row("new", 1).replace("count = 13", "count = 3").replace("rivet =", "fit =")
    context = shown(HEAD + SHEET + strap + old + new.replace('["skin"]', layers))
    came = came_out_of(context, taken_out(context))

    assert {part.designation for part in came.values()} == ({"MS20470AD3-3"} if again else set())
    assert sorted(came) == ([0, 1, 2] if again else [])


@pytest.mark.parametrize("heel_free", [True, False])
@pytest.mark.parametrize("from_edge_in", [0.2, 0.3125, 0.4])
@pytest.mark.parametrize("stray", [Stray(), Stray(known_in=0.05), Stray(unsure_in=0.05)])
def test_a_flange_has_its_free_edge_its_end_and_its_bend_where_it_has_one(
    heel_free, from_edge_in, stray
):
    # Geometry: .625 in wide, and what the rivets stray comes off on either side.
    layer = SimpleNamespace(
        flange=Flange(0.625, 0.3, heel_free=heel_free), edge_distance_in=None, name="rib"
    )
    place = RowLayer("rib", row_from_edge_in=from_edge_in)
    side, end = told_edges(layer, place, stray)
    heel = told_heel(layer, place, stray)
    far_in = 0.625 - from_edge_in

    nearer_in = min(from_edge_in, far_in) if heel_free else from_edge_in
    assert (side.kind, end.kind) == ("flange edge", "flange end")
    assert side.distance_in == pytest.approx(nearer_in - stray.known_in)
    assert side.least_in == pytest.approx(nearer_in - stray.known_in - stray.unsure_in)
    assert (end.distance_in, end.at_ends, side.at_ends) == (0.3, True, False)
    assert (heel is None) is heel_free
    if heel is not None:
        assert heel.distance_in == pytest.approx(far_in - stray.known_in)
        assert heel.least_in == pytest.approx(far_in - stray.known_in - stray.unsure_in)
