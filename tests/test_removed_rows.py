"""Rows whose rivets come out for good, the holes they leave, and the rows that replace them."""

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import HEAD, MEMBER

from rivetkit.calculators.mass import rivet_mass_lb
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.read import parse_job
from rivetkit.planning.hole_verdicts import hole_verdicts, on_no_hole
from rivetkit.planning.plan import plan_job
from rivetkit.reports.formats.json_report import render_json
from rivetkit.reports.formats.text_report import render_text
from rivetkit.reports.plans.plan_report import plan_report

SKIN = """
[[member]]
name = "skin"
kind = "skin"
alloy = "2024-T3"
thickness = 0.032
outline = { rectangle = { corner = [0, 0], width = 12, height = 6 } }
"""
RIB = MEMBER.replace("thickness = 0.025", 'alloy = "2024-T3"\nthickness = 0.032')
NEW_SKIN = """
[[sheet]]
name = "skin"
old = { alloy = "2024-T3", thickness = 0.032 }
new = { alloy = "2024-T3", thickness = 0.032 }
outline = { rectangle = { corner = [0, 0], width = 12, height = 6 } }
"""
BOTH = 'layers = ["skin", { layer = "rib", row_from_edge = 0.3125 }]\n'


def row(name, where, more="", layers=BOTH):
    return f'[[row]]\nname = "{name}"\n{where}\n{more}\n{layers}'


def line(count, y=1.0):
    return f"path = [[1, {y}], [9, {y}]]\ncount = {count}"


def old(count=17, more="", rivet="MS20470AD3-3", name="old"):
    return row(name, line(count), f'rivet = "{rivet}"\nremoved = true\n{more}')


def new(count, more='replaces = ["old"]', fit="MS20470AD4", name="new", y=1.0, layers=BOTH):
    return row(name, line(count, y), f'fit = "{fit}"\n{more}', layers)


def planned(*rows, sheet=SKIN, rib=RIB, head=HEAD):
    return plan_job(parse_job(head + sheet + rib + "".join(rows)))


def change(plan):
    (only,) = plan.strength
    return only


# 30 ksi (from memory) on the hole of AC 43.13-1B's tables (derived): .096 for 3/32, .1285 for 1/8;
# .032 is thin for 1/8: D/t is 3.906, and .04 for each unit over 3 comes off (from memory).
OLD_LBF = 30_000 * math.pi / 4 * 0.096**2
NEW_LBF = 30_000 * math.pi / 4 * 0.1285**2 * (1 - 0.04 * (0.125 / 0.032 - 3))


@pytest.mark.parametrize(("count", "verdict"), [(9, Verdict.FAIL), (10, Verdict.PASS)])
def test_fewer_and_larger_rivets_against_the_row_they_replace(count, verdict):
    plan = planned(old(), new(count, y=3.0))
    found = change(plan)

    assert found.row == "old replaced by new"
    assert found.check.value == pytest.approx(count * NEW_LBF / (17 * OLD_LBF), rel=1e-6)
    assert found.check.verdict is verdict
    assert found.needed == (None if verdict is Verdict.PASS else 10)
    assert (found.count, found.before.rivets, found.after.rivets) == (
        17,
        (("MS20470AD3", 17),),
        (("MS20470AD4", count),),
    )
    assert found.notes == ()
    assert (plan.to_drill_out, plan.to_fit) == (17, count)
    assert [(gone.row, gone.count) for gone in plan.removal] == [("old", 17)]


def test_a_row_that_nobody_replaces_is_not_a_pass():
    plan = planned(old(), new(20, more="", y=3.0))
    found = change(plan)

    assert found.row == "old"
    assert found.check.verdict is plan.verdict is Verdict.NOT_CHECKED
    assert found.check.reason.startswith("taken out and not replaced")
    assert found.before.whole_lbf == pytest.approx(17 * OLD_LBF, rel=1e-6)
    assert (found.like_for_like, found.bound, found.needed) == (False, "", None)
    # No hole that gets a rivet is to blame for it.
    assert set(hole_verdicts(plan).verdicts) == {Verdict.PASS}
    assert on_no_hole(plan) == (found.check,)


def test_a_row_that_replaces_too_little_is_marked():
    plan = planned(old(), new(9, y=3.0))

    assert change(plan).rows == ("new",)
    assert set(hole_verdicts(plan).verdicts) == {Verdict.FAIL}
    assert on_no_hole(plan) == ()


def test_rows_that_are_tied_stand_together():
    ties = 'replaces = ["old", "older"]'
    older = old(5, name="older", rivet="MS20470AD4-4").replace("1.0]", "2.0]")
    plan = planned(old(), older, new(10, more=ties, y=4.0), new(6, more=ties, y=3.0, name="more"))
    found = change(plan)

    assert found.row == "old, older replaced by new, more"
    assert found.check.value == pytest.approx(16 * NEW_LBF / (17 * OLD_LBF + 5 * NEW_LBF), rel=1e-6)
    apart = planned(old(), older, new(10), new(6, more='replaces = ["older"]', y=3.0, name="more"))
    assert [one.row for one in apart.strength] == ["old replaced by new", "older replaced by more"]


def test_a_row_that_stays_may_take_the_load_over():
    refit = row("refit", line(17, 2.0), 'rivet = "MS20470AD3-3"\nfit = "MS20470AD4"\n' + BOTH, "")
    plan = planned(old(), refit.replace("fit =", 'replaces = ["old"]\nfit ='))
    found = change(plan)

    assert found.check.value == pytest.approx(17 * NEW_LBF / (34 * OLD_LBF), rel=1e-6)
    assert found.check.verdict is Verdict.FAIL


def test_what_replaces_a_row_is_not_counted_for_another():
    refit = row("refit", line(17, 2.0), 'rivet = "MS20470AD3-3"\nfit = "MS20470AD4"')
    plan = planned(old(), refit, new(10, y=3.0), new(4, more="", y=4.0, name="more"))

    assert [one.row for one in plan.strength] == ["refit with more", "old replaced by new"]


@settings(max_examples=20, deadline=None)
@given(fewer=st.integers(2, 20), more=st.integers(1, 10))
def test_more_rivets_are_never_weaker(fewer, more):
    def ratio(count):
        return change(planned(old(), new(count, y=3.0))).check.value

    assert ratio(fewer + more) > ratio(fewer)


@pytest.mark.parametrize(("gap", "verdict"), [(0.235, Verdict.FAIL), (0.236, Verdict.PASS)])
@pytest.mark.parametrize("layers", ['layers = ["skin"]\n', 'layers = ["rib"]\n'])
def test_an_open_hole_is_an_edge_in_what_stays(gap, verdict, layers):
    # Army AL0992 p 59 (seen): 2 D of 3/32, .1875, and half of the old hole of .096.
    near = new(17, y=1 + gap, fit="MS20470AD3", layers=layers)
    plan = planned(old(), near)
    edges = [m for m in plan.edges.by_row if m.edge.startswith("old hole old:")]

    assert [m.check.verdict for m in edges] == [verdict]
    assert edges[0].distance_in == pytest.approx(gap - 0.048)
    assert plan.left_open == 17


def test_what_comes_off_takes_the_holes_with_it():
    plan = planned(
        old(), new(17, y=1.1, fit="MS20470AD3", layers='layers = ["skin"]\n'), sheet=NEW_SKIN
    )

    assert not [m for m in plan.edges.by_row if m.edge.startswith("old hole")]
    assert plan.job.layers["skin"].open_holes == ()
    assert len(plan.job.layers["rib"].open_holes) == 17


def test_a_hole_used_again_is_not_left_open():
    plan = planned(old(), new(9, fit="MS20470AD3"))

    assert plan.left_open == 8
    assert {m.edge for m in plan.edges.by_row if m.layer == "skin"} == {"old hole old:2"}
    # Through the skin alone it leaves the rib's holes open.
    skin_only = planned(old(), new(9, fit="MS20470AD3", layers='layers = ["skin"]\n'))
    assert len(skin_only.job.layers["skin"].open_holes) == 8
    assert len(skin_only.job.layers["rib"].open_holes) == 17


@pytest.mark.parametrize(("off_in", "again"), [(0.05, True), (0.0501, False)])
def test_a_hole_as_near_as_the_job_says_is_the_old_one(off_in, again):
    # The job's own word; at the limit is within it. AC 43.13-1B p 4-12 (seen): no larger hole in a
    # spar, so the old hole that takes a larger rivet is told, and another one is not.
    head = HEAD + "same_hole_within = 0.05\n"
    one = row("new", f"holes = [[1, {1 + off_in}]]", 'fit = "MS20470AD4"\nreplaces = ["old"]')
    plan = planned(old(), one, rib=RIB.replace('kind = "rib"', 'kind = "spar"'), head=head)
    told = [check for check in plan.checks if check.name == "oversize hole in this member"]

    assert plan.left_open == (16 if again else 17)
    assert len(told) == (1 if again else 0)


def test_a_rivet_on_no_hole_table_leaves_a_hole_of_its_own_size():
    # A mechanics' handbook's drill figure (from memory) ends at 1/4; a 5/16 shank is .3125 in.
    head = HEAD + 'rule_set = "amt"\n'
    plan = planned(
        old(5, rivet="MS20470AD10-6"),
        new(9, y=3.0),
        sheet=SKIN.replace("0.032", "0.08"),
        rib=RIB.replace("0.032", "0.08"),
        head=head,
    )

    assert {hole.radius_in for hole in plan.job.layers["skin"].open_holes} == {0.3125 / 2}
    assert plan.left_open == 5


@pytest.mark.parametrize("sheet", [SKIN, NEW_SKIN])
def test_nutplates_that_come_out_for_good_leave_their_screw_holes_as_well(sheet):
    # MS21047-08 (from memory, as on file): rivets .688 in apart; a No. 8 screw goes through a #18
    # hole, .1695 in. What stays keeps all three holes, a new skin none.
    plates = row(
        "plates",
        'nutplate = "MS21047-08"\nlug = 0.03\nscrews = [{ at = [3, 4] }, { at = [5, 4] }]',
        'rivet = "MS20470AD3-4"\nremoved = true',
    )
    plan = planned(plates, new(9, more=""), sheet=sheet)
    holes = {
        name: {hole.name: hole for hole in plan.job.layers[name].open_holes}
        for name in ("skin", "rib")
    }
    rivets = [f"old hole plates:{number}" for number in (1, 2, 3, 4)]

    assert sorted(holes["rib"]) == [*rivets, "screw plates-1", "screw plates-2"]
    assert list(holes["skin"]) == (list(holes["rib"]) if sheet == SKIN else [])
    assert holes["rib"]["screw plates-2"].centre == (5, 4)
    assert holes["rib"]["screw plates-2"].radius_in == pytest.approx(0.1695 / 2)
    places = [holes["rib"][name].centre for name in rivets[:2]]
    assert math.dist(*places) == pytest.approx(0.688, abs=1e-3)
    assert plan.left_open == 6
    assert [(line.row, line.count, line.nutplate) for line in plan.removal] == [("plates", 4, True)]


def test_holes_used_again_in_a_spar_keep_to_the_old_size():
    # AC 43.13-1B p 4-12 (seen): no oversize holes in spar caps.
    def refused(*rows):
        spar = RIB.replace('kind = "rib"', 'kind = "spar"')
        checks = planned(*rows, rib=spar).checks
        return [c.verdict for c in checks if c.name == "oversize hole in this member"]

    assert refused(old(), new(9)) == [Verdict.FAIL]
    assert refused(old(), new(9, fit="MS20470AD3")) == []
    assert refused(old(), new(9, y=3.0)) == []


def test_the_balance_counts_what_comes_out():
    hinge = "[hinge]\nfrom = [0, 0]\nto = [12, 0]\n"
    plan = planned(old(), new(5, fit="MS20470AD3", more="", y=3.0), head=HEAD + hinge)
    (rivets,) = (one for one in plan.balance.lines if one.what == "rivets")

    out_lb = rivet_mass_lb(parse_part_number("MS20470AD3-3")).mass_lb
    in_lb = rivet_mass_lb(plan.parts[0].part).mass_lb
    assert rivets.mass_lb == pytest.approx(5 * in_lb - 17 * out_lb)
    assert rivets.moment_lb_in == pytest.approx(5 * 3 * in_lb - 17 * 1 * out_lb)


DIMPLED = (
    'layers = [{ layer = "skin", form = "dimpled" }, '
    '{ layer = "rib", form = "dimpled", row_from_edge = 0.3125 }]\n'
)


@pytest.mark.parametrize("fit", ["MS20470AD4", "MS20426AD4"])
def test_a_dimple_that_stays_open_is_told(fit):
    # Common practice, no source: a flat sheet does not lie on a dimple.
    gone = old(rivet="MS20426AD3-3").replace(BOTH, DIMPLED)
    layers = DIMPLED if "426" in fit else BOTH
    plan = planned(gone, new(17, fit=fit, layers=layers), sheet=NEW_SKIN)
    left = [c for c in plan.checks if c.name == "hole formed for the old rivet"]

    assert plan.removal[0].card.form == "dimpled"
    assert [c.where for c in left] == ([] if "426" in fit else ["rib (old)"])


STAYS = row("spar row", line(17), 'rivet = "MS20470AD3-3"')


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ((old(),), "every row is removed: no rivet is left to plan"),
        ((old(more='fit = "MS20470AD4"'), new(9)), "row 'old': fit: .*for good; leave it out"),
        ((old(more="kept = true"), new(9)), "row 'old': kept: .*for good; leave one of them out"),
        ((old(more='replaces = ["new"]'), new(9)), "row 'old': replaces: .*for good"),
        ((old(more='not_through = ["rib"]'), new(9)), "row 'old': not_through: .*for good"),
        ((old().replace('rivet = "MS20470AD3-3"', ""), new(9)), "row 'old': removed: no rivet"),
        ((old(), new(9, more='replaces = ["odd"]')), r"row 'new': replaces\[0\]: no row 'odd'"),
        ((STAYS, new(9, more='replaces = ["spar row"]', y=3.0)), "row 'spar row' is not removed"),
        (
            (old(), STAYS),
            "row 'old' hole 1 and row 'spar row' hole 1: the same hole is removed in one .* 'skip'",
        ),
    ],
)
def test_what_contradicts_itself_is_named(rows, message):
    with pytest.raises(InputError, match=message):
        planned(*rows)


def test_every_report_tells_of_them():
    plan = planned(old(), new(9))
    report = plan_report(plan, inputs={}, length_unit="in")
    data = json.loads(render_json(report))["result"]

    assert "old replaced by new" in render_text(report)
    assert (data["to_drill_out"], data["left_open"]) == (17, 8)
    assert data["strength"][0]["before"]["rivets"] == [{"part_number": "MS20470AD3", "count": 17}]
