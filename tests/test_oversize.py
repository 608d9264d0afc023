"""What may go into a hole that has grown: both sides of each limit, and the laws of the trade."""

import subprocess
import sys
import time
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from rivetkit.calculators.oversize.candidates import (
    LayerEdge,
    Neighbour,
    OversizeLayer,
    handbook_steps,
    next_size_up,
    oversize_options,
    size_steps,
)
from rivetkit.calculators.oversize.cleanup_hole import MeasuredHole, grown_hole
from rivetkit.calculators.oversize.heads import form_checks
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number as rivet
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()
WIDE = OversizeLayer("skin", 0.063, edge_in=2.0)
#: Trade primer of 2001, rivet hole table: least and greatest hole, by diameter code.
PRIMER = {"3": (0.093, 0.103), "4": (0.125, 0.135), "5": (0.156, 0.171), "6": (0.187, 0.202)}


def options(part, hole, **given_):
    given_ = {"layers": [WIDE], "pitch_in": 2.0, **given_}
    measured = hole if isinstance(hole, MeasuredHole) else MeasuredHole(hole, hole)
    return oversize_options(rivet(part), measured, given_.pop("book", USUAL), **given_)


def best(part, hole, **given_):
    found = options(part, hole, **given_).best
    return found.fastener.designation if found else None


def candidate(result, part, kind):
    found = [c for c in result.candidates if (c.fastener.designation, c.kind) == (part, kind)]
    assert len(found) == 1
    return found[0]


def failed(one):
    return {(c.name, c.where) for c in one.checks if c.verdict is Verdict.FAIL}


def check_of(one, name, where=""):
    (check,) = [c for c in one.checks if (c.name, c.where) == (name, where)]
    return check


# --- the hole's own limits -----------------------------------------------------------------------


@pytest.mark.parametrize(("code", "limits"), PRIMER.items())
def test_the_same_rivet_while_the_hole_keeps_to_the_primers_limits(code, limits):
    part = f"MS20470AD{code}"
    assert best(part, limits[0]) == best(part, limits[1]) == part
    assert options(part, limits[1]).reusable
    assert best(part, limits[1] + 0.0001) != part


@pytest.mark.parametrize("part", ["MS20600AD4", "NAS9301B-4"])
def test_a_hole_that_no_inch_drill_makes_is_opened_with_a_metric_one(part):
    """From memory: a locked-spindle blind rivet of 1/8 in asks for .129 to .132 in.

    Of inch drills #30 (.1285) is under it, where solid rivets leave their hole, and #29 (.136) over
    it; 3.3 mm (.1299) is in it. Whoever named his drills is not given another.
    """
    found = options(part, 0.1285).best
    assert (found.fastener.designation, found.kind) == (part, "same")
    assert found.clean_up.drill.designation == "3.3 mm"
    assert not options(part, 0.1285, series=("number", "letter", "fraction")).reusable
    assert options("MS20470AD4", 0.120).best.clean_up.drill.designation == "#30"


@pytest.mark.parametrize(("code", "limits"), PRIMER.items())
def test_only_a_hole_under_the_primers_least_is_opened(code, limits):
    def drilled(least_in):
        found = options(f"MS20470AD{code}", MeasuredHole(least_in, limits[1])).best
        return found.kind, found.clean_up.drill is not None

    assert drilled(limits[0]) == ("same", False)
    assert drilled(limits[0] - 0.0001) == ("same", True)


def test_a_narrow_hole_is_opened_with_the_rivets_own_drill():
    found = options("MS20470AD4", MeasuredHole(0.120, 0.130)).best
    assert (found.kind, found.clean_up.drill.designation) == ("same", "#30")
    assert options("MS20470AD4", 0.130).best.clean_up.drill is None
    # TM 10-5410: #11 (.1910) is printed for 3/16, below its own least hole of .192
    assert options("TMOPEN-62", 0.190).best.clean_up.drill.designation == "#10"
    assert not options("TMOPEN-62", 0.190, series="fraction").reusable


def test_where_a_hole_stands_to_the_primers_limits():
    for least, greatest, fit in (
        (0.125, 0.135, "within"),
        (0.1249, 0.135, "under"),
        (0.110, 0.112, "under"),
        (0.125, 0.1351, "over"),
        (0.110, 0.1351, "over"),
    ):
        assert options("MS20470AD4", MeasuredHole(least, greatest)).fit == fit


@pytest.mark.parametrize(
    ("greatest", "over"), [(0.130, 0.0), (0.135, 0.0), (0.1351, 0.0001), (0.300, 0.165)]
)
def test_how_far_a_hole_is_over_the_primers_limit(greatest, over):
    # A layer without edge leaves no replacement: the limit is that of the rivet taken out.
    bare = [OversizeLayer("skin", 0.063, edge_in=0.0)]
    found = options("MS20470AD4", MeasuredHole(0.128, greatest), layers=bare)

    assert found.best is None
    assert found.over_in == pytest.approx(over)


def test_a_hole_is_over_nothing_where_no_table_has_its_limits():
    found = options("MS20470AD4", 0.3, layers=[OversizeLayer("skin", 0.063, edge_in=0.0)])
    unlisted = replace(found, limits=None)

    assert (unlisted.fit, unlisted.over_in) == ("unknown", 0.0)


@pytest.mark.parametrize(
    ("edge_in", "pitch_in", "wanting"),
    [
        # Army AL0992 p 59: 2 D, .250 for 1/8; NAVEDTRA 14018: 3 D, .375
        (0.250, 0.375, set()),
        (0.2499, 0.375, {("edge distance", "skin")}),
        (0.250, 0.3749, {("pitch", "next rivet")}),
        (0.2, 0.3, {("edge distance", "skin"), ("pitch", "next rivet")}),
    ],
)
def test_the_same_rivet_goes_back_only_where_it_has_its_edge_and_pitch(edge_in, pitch_in, wanting):
    # within its limits, the hole's middle counts as where it was: as the rules judge any rivet
    layers = [OversizeLayer("skin", 0.032, edge_in=edge_in)]
    result = options("MS20470AD4", MeasuredHole(0.134, 0.135), layers=layers, pitch_in=pitch_in)
    one = candidate(result, "MS20470AD4", "same")

    assert failed(one) == wanting
    assert result.reusable == (not wanting)
    assert result.leading is one
    assert ("head beside head", "next rivet") in {(c.name, c.where) for c in one.checks}


def test_the_same_rivet_with_an_edge_nobody_gave_is_not_checked():
    result = options("MS20470AD4", 0.13, layers=[OversizeLayer("rib", 0.032)])

    assert result.leading.kind == "same"
    assert result.leading.verdict is Verdict.NOT_CHECKED
    (advice,) = result.advice
    assert advice.startswith("The hole does for the same rivet: measure or look up what could not")


def test_where_a_plan_has_judged_the_place_only_a_hole_that_wandered_is_asked_again():
    tight = OversizeLayer("rib", 0.032, edge_in=0.1)
    judged = {"layers": [tight], "same_place_judged": True}
    assert options("MS20470AD4", MeasuredHole(0.126, 0.134), **judged).reusable
    wandered = MeasuredHole(0.130, 0.130, 90.0, 0.05)
    assert options("MS20470AD4", wandered, layers=[WIDE]).reusable
    one = candidate(options("MS20470AD4", wandered, **judged), "MS20470AD4", "same")
    assert failed(one) == {("edge distance", "rib")}


def test_a_candidate_turned_down_at_its_hole_is_judged_at_its_place_too():
    layers = [OversizeLayer("rib", 0.032, edge_in=0.26)]
    hole = MeasuredHole(0.128, 0.152, 90.0, 0.012)
    one = candidate(options("MS20470AD4", hole, layers=layers), "MS20470AD4", "same")

    # the hole's middle is .012 nearer to an edge .260 away of which 1/8 asks .250
    assert one.clean_up is None
    assert failed(one) == {("hole as it is", ""), ("edge distance", "rib")}
    assert check_of(one, "edge distance", "rib").value == pytest.approx(0.248)
    assert {c.name for c in one.checks} >= {"edge distance", "pitch", "head beside head"}


# --- the next size -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "greatest", "expected"),
    [
        # .002 in over the greatest diameter there must be a drill within the primer's limits: the
        # largest ones are #30 (.1285) for 1/8, #18 (.1695) for 5/32, #7 (.201) for 3/16
        ("MS20470AD3", 0.1035, "MS20470AD4"),
        ("MS20470AD3", 0.1265, "MS20470AD4"),
        ("MS20470AD3", 0.1266, "MS20470AD5"),
        ("MS20470AD4", 0.1675, "MS20470AD5"),
        ("MS20470AD4", 0.1676, "MS20470AD6"),
        ("MS20470AD4", 0.199, "MS20470AD6"),
        ("MS20470AD4", 0.1991, None),
    ],
)
def test_the_next_size_takes_in_the_clean_up_hole(part, greatest, expected):
    inch = ("number", "letter", "fraction")
    assert best(part, MeasuredHole(0.09375, greatest), series=inch) == expected


@pytest.mark.parametrize("accuracy", [0.0, 0.0005, 0.001])
def test_a_hole_no_drill_of_the_next_size_takes_out_is_not_called_marginal(accuracy):
    """The primer's 5/32 in hole goes to .171; .1697 and .002 to cut (common practice) are .1717.

    Whatever the caliper may be off, there is no drill to name for it, and a rivet of .15625 does
    not go into a hole .1547 wide.
    """
    near = [OversizeLayer("skin", 0.063, edge_in=0.27)]
    result = options("MS20470AD4", MeasuredHole(0.1547, 0.1697), accuracy_in=accuracy)
    assert failed(candidate(result, "MS20470AD5", "larger")) == {("clean-up hole", "")}
    assert result.best.fastener.designation == "MS20470AD6"
    judged = options(
        "MS20470AD4",
        MeasuredHole(0.1547, 0.1697),
        accuracy_in=accuracy,
        layers=near,
        first_fit_only=True,
    )
    assert judged.best is None


@given(
    part=st.sampled_from(["MS20470AD3", "MS20470AD4", "MS20470D5", "NAS9301B-4"]),
    least=st.floats(0.09, 0.21),
    oval=st.floats(0.0, 0.03),
    accuracy=st.sampled_from([0.0, 0.001, 0.005]),
)
@example(part="MS20470AD4", least=0.1547, oval=0.015, accuracy=0.001)
def test_whatever_goes_in_has_a_hole_made_for_it(part, least, oval, accuracy):
    """Of every rivet that fits it is known how its hole is made: as it is, or with which drill."""
    result = options(part, MeasuredHole(least, least + oval), accuracy_in=accuracy)
    for one in result.candidates:
        assert not one.fits or one.clean_up is not None


@pytest.mark.parametrize(
    ("greatest", "expected", "drill"),
    [
        # 3.3 mm is .1299, 3.4 mm .1339: .002 more than .1279 and .1318
        (0.1265, "MS20470AD4", "#30"),
        (0.1276, "MS20470AD4", "3.3 mm"),
        (0.1318, "MS20470AD4", "3.4 mm"),
        (0.1319, "MS20470AD5", "#21"),
    ],
)
def test_a_metric_drill_saves_a_size_where_no_inch_drill_makes_the_hole(greatest, expected, drill):
    """The primer's 1/8 in hole goes to .135: with .125 by .1318 it is used as it is, and one that
    is narrower need not go up two sizes to 5/32.
    """
    found = options("MS20470AD3", MeasuredHole(0.12, greatest)).best
    assert (found.fastener.designation, found.clean_up.drill.designation) == (expected, drill)


def test_a_hole_already_within_the_limits_of_the_next_size_is_used_as_it_is():
    # the primer's 5/32: .156 to .171
    for least, greatest, drill in ((0.156, 0.171, None), (0.1559, 0.160, "#19")):
        found = options("MS20470AD4", MeasuredHole(least, greatest)).best
        assert found.fastener.designation == "MS20470AD5"
        assert (found.clean_up.drill and found.clean_up.drill.designation) == drill
    assert best("MS20470AD4", MeasuredHole(0.156, 0.1711)) == "MS20470AD6"


def test_the_drill_is_the_tables_own_until_the_hole_outgrows_it():
    # .155 + .002 is below #21 (.159); .158 + .002 is above it, #20 (.161) takes it in
    assert (
        options("MS20470AD4", MeasuredHole(0.128, 0.155)).best.clean_up.drill.designation == "#21"
    )
    found = options("MS20470AD4", MeasuredHole(0.128, 0.158)).best
    assert found.fastener.designation == "MS20470AD5"
    assert found.clean_up.drill.designation == "#20"


def test_a_standard_drill_may_be_missing_where_the_hole_would_fit():
    # The oversize shank of 5/32 wants .1739 to .1759: #17 is .1730 and #16 is .1770.
    one = candidate(options("MS20470AD5", 0.1715), "MS20470AD5", "oversize_shank")
    assert failed(one) == {("drill for the hole", "")}
    check = check_of(one, "drill for the hole")
    assert (check.value, check.limit) == (0.1770, 0.1759)
    assert "no number, letter, fraction or metric drill is small enough; #16" in check.reason
    assert one.clean_up is None


@pytest.mark.parametrize(
    ("series", "words"),
    [
        (("number",), "no number drill"),
        (("number", "letter"), "no number or letter drill"),
        (("number", "letter", "fraction"), "no number, letter or fraction drill"),
    ],
)
def test_a_missing_drill_is_told_by_the_drills_at_hand(series, words):
    one = candidate(options("MS20470AD5", 0.1715, series=series), "MS20470AD5", "oversize_shank")

    assert check_of(one, "drill for the hole").reason.startswith(f"{words} is small enough")


def test_the_drills_at_hand_can_be_named():
    found = options("MS20470AD4", 0.145, series=["fraction"]).best
    assert found.clean_up.drill.designation == "5/32"
    nothing = options("MS20470AD4", MeasuredHole(0.128, 0.16), series="fraction").best
    assert nothing.fastener.designation == "MS20470AD6"  # no fraction lies in .162 to .171


# --- edges, pitch, heads, from the new centre ----------------------------------------------------


@pytest.mark.parametrize(
    ("edge_in", "expected"), [(0.3125, "MS20470AD5"), (0.3124, None), (0.375, "MS20470AD5")]
)
def test_army_al0992_two_diameters_of_the_new_rivet(edge_in, expected):
    # Army AL0992 p 59 (seen).
    layers = [WIDE, OversizeLayer("rib", 0.04, edge_in=edge_in)]
    assert best("MS20470AD4", 0.14, layers=layers) == expected


def test_the_edge_counts_from_the_new_centre():
    # Grown .024 toward the edge, cleaned up .002 wider by #21: .006 or so of the way comes back.
    hole = grown_hole(0.128, 0.152, axis_deg=90.0, grown="toward")
    moved_in = 0.012 - (0.159 - 0.154) / 2

    def verdict(edge_in, **side):
        layer = OversizeLayer("rib", 0.04, edge_in=edge_in, **side)
        one = candidate(options("MS20470AD4", hole, layers=[layer]), "MS20470AD5", "larger")
        assert one.clean_up.move.along_in == pytest.approx(moved_in)
        return check_of(one, "edge distance", "rib").verdict.value

    toward = {"edge_direction_deg": 90.0, "either_side": False}
    back = {"edge_direction_deg": 270.0, "either_side": False}
    along = {"edge_direction_deg": 0.0, "either_side": False}
    assert verdict(0.3125 + moved_in, **toward) == "pass"
    assert verdict(0.3125 + moved_in - 0.0001, **toward) == "fail"
    assert verdict(0.3125 - moved_in, **back) == "pass"
    assert verdict(0.3125 - moved_in - 0.0001, **back) == "fail"
    assert verdict(0.3125, **along) == "pass"
    assert verdict(0.3125 + moved_in - 0.0001) == "fail"  # the side of the edge is not known

    def shown(hole, **side):
        layer = OversizeLayer("rib", 0.04, edge_in=0.4, **side)
        one = candidate(options("MS20470AD4", hole, layers=[layer]), "MS20470AD5", "larger")
        return check_of(one, "edge distance", "rib").substituted()

    assert shown(hole) == "0.4000 in - 0.0095 in >= 2 x 0.1562 in"
    assert shown(hole, **back) == "0.4000 in + 0.0095 in >= 2 x 0.1562 in"
    # A move that rounds to nothing, either way, is not written at all.
    nowhere = MeasuredHole(0.157, 0.157, 90.0, -5e-11)
    assert shown(nowhere, **toward) == shown(nowhere, **back) == "0.4000 in >= 2 x 0.1562 in"


def test_every_edge_of_a_layer_is_judged_from_the_new_centre():
    # grown .024 toward the edge: with #21 the centre moves .0095 that way, and none along the row
    hole = grown_hole(0.128, 0.152, axis_deg=90.0, grown="toward")
    edges = (
        LayerEdge(0.3125, 0.0, either_side=False, name="end"),
        LayerEdge(0.3029, 270.0, either_side=False, name="back"),
    )
    layer = OversizeLayer(
        "rib", 0.04, edge_in=0.35, either_side=False, edge_name="front", further_edges=edges
    )
    one = candidate(options("MS20470AD4", hole, layers=[layer]), "MS20470AD5", "larger")
    values = {c.where: round(c.value, 4) for c in one.checks if c.name == "edge distance"}

    # Army AL0992 p 59: 2 D, .3125 for 5/32
    assert values == {"rib, front": 0.3405, "rib, end": 0.3125, "rib, back": 0.3124}
    assert failed(one) == {("edge distance", "rib, back")}


def test_where_the_old_centre_is_lost_half_the_oval_is_taken_off():
    hole = MeasuredHole(0.128, 0.148, 90.0)
    for edge_in, expected in ((0.3225, "MS20470AD5"), (0.3224, None)):
        layer = OversizeLayer("rib", 0.04, edge_in=edge_in)
        assert best("MS20470AD4", hole, layers=[layer]) == expected


@pytest.mark.parametrize(
    ("pitch_in", "rows", "other_in", "expected"),
    [
        (0.46875, 1, None, "MS20470AD5"),  # NAVEDTRA 14018: 3 D of the larger rivet
        (0.4687, 1, None, None),
        (0.5625, 1, 0.1875, "MS20470AD5"),  # the neighbour is the larger one
        (0.5624, 1, 0.1875, None),
        (0.625, 2, None, "MS20470AD5"),  # AC 43.13-1B two-row example: 4 D
        (0.6249, 2, None, None),
    ],
)
def test_pitch_with_the_larger_of_two_rivets(pitch_in, rows, other_in, expected):
    given_ = {"pitch_in": pitch_in, "rows": rows, "neighbour_diameter_in": other_in}
    assert best("MS20470AD4", 0.14, **given_) == expected


def test_a_row_nearby_is_held_to_the_row_spacing():
    # TM 10-5410-229-13&P p 5-4: 2.5 D, .390625 for 5/32
    for spacing_in, expected in ((0.390625, "MS20470AD5"), (0.3906, None)):
        row = Neighbour("next row", spacing_in, direction_deg=90.0, kind="row")
        assert best("MS20470AD4", 0.14, neighbours=[row]) == expected


def test_heads_may_touch_but_not_overlap():
    close = Override("pitch_min_one_row", 1.0, "D", "only to let the heads meet first")
    book = RuleBook.named("usual", [close])
    # recalled heads of MS20426, over the sharp edge: .229 for 1/8, .290 for 5/32
    for pitch_in, verdict in (((0.229 + 0.290) / 2, "pass"), (0.2594, "fail")):
        result = options(
            "MS20426AD4",
            0.14,
            book=book,
            pitch_in=pitch_in,
            layers=[OversizeLayer("skin", 0.032, "dimpled", edge_in=2.0)],
        )
        check = check_of(
            candidate(result, "MS20426AD5", "larger"), "head beside head", "next rivet"
        )
        assert check.verdict.value == verdict


def test_nothing_near_is_not_the_same_as_nobody_said():
    assert best("MS20470AD4", 0.14, pitch_in=None, neighbours=[]) == "MS20470AD5"
    silent = options("MS20470AD4", 0.14, pitch_in=None)
    assert silent.best is None
    assert silent.leading.verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize("layers", [[], [OversizeLayer("rib", 0.04)]])
def test_an_edge_nobody_measured_leaves_it_open(layers):
    result = options("MS20470AD4", 0.14, layers=layers)
    one = candidate(result, "MS20470AD5", "larger")
    assert result.best is None
    assert [check.name for check in one.objections] == ["edge distance"]
    assert result.advice[0].startswith("Measure or look up what could not be checked")


# --- flush heads ---------------------------------------------------------------------------------


def test_a_new_countersink_against_the_sheet():
    # TM 9-2320-363-34-2 p 22-18 table 4: .064 for 5/32
    for sheet_in, outcome in ((0.064, set()), (0.063, {"sheet for a machine countersink"})):
        layer = OversizeLayer("skin", sheet_in, "countersunk", edge_in=2.0)
        one = candidate(options("MS20426AD4", 0.14, layers=[layer]), "MS20426AD5", "larger")
        names = {name for name, _ in failed(one)}
        assert names - {"land below the countersink"} == outcome


def test_a_sheet_too_thin_to_countersink_may_be_thin_enough_to_dimple():
    for sheet_in, said in ((0.040, True), (0.0401, False)):
        layer = OversizeLayer("skin", sheet_in, "countersunk", edge_in=2.0)
        result = options("MS20426AD4", 0.14, layers=[layer])
        assert result.best is None
        assert any("thin enough to be dimpled" in words for words in result.advice) == said


def test_dimpled_sheet_is_dimpled_again():
    # AC 65-15A ch 5, as quoted: up to .040
    for sheet_in, expected in ((0.040, "MS20426AD5"), (0.041, None)):
        layer = OversizeLayer("skin", sheet_in, "dimpled", edge_in=2.0)
        result = options("MS20426AD4", 0.14, layers=[layer])
        assert (result.best and result.best.fastener.designation) == expected
    assert candidate(result, "MS20426AD5", "larger").notes == (
        "dimple skin again, with dies of the new size",
    )


def test_how_a_flush_head_sits_must_be_said():
    result = options("MS20426AD4", 0.14)
    assert candidate(result, "MS20426AD5", "larger").verdict is Verdict.NOT_CHECKED
    unknown = [OversizeLayer("skin", None, "dimpled", edge_in=2.0)]
    result = options("MS20426AD4", 0.14, layers=unknown)
    assert (
        "the thickness was not given"
        in candidate(result, "MS20426AD5", "larger").objections[0].reason
    )


# --- members, access, other rivets ---------------------------------------------------------------


def test_ac_43_13_1b_p_4_12_members_that_take_no_larger_hole():
    # AC 43.13-1B p 4-12 (seen).
    spar = OversizeLayer("spar cap", 0.125, edge_in=2.0, no_oversize=True)
    result = options("MS20470AD4", 0.14, layers=[WIDE, spar])
    one = candidate(result, "MS20470AD5", "larger")
    assert result.best is None
    assert failed(one) == {("oversize hole in this member", "spar cap")}
    check = check_of(one, "oversize hole in this member", "spar cap")
    assert (check.citations[0].source, check.citations[0].locator) == ("ac43", "p 4-12")
    assert result.advice == ("spar cap takes no oversize hole: ask the aircraft maker's engineer.",)
    assert options("MS20470AD4", 0.134, layers=[spar]).reusable


def test_blind_access_rejects_every_solid_rivet_and_says_why():
    result = options("MS20470AD4", 0.14, access="blind")
    for one in result.candidates:
        if not one.fastener.blind:
            assert ("access", "") in failed(one)
    assert result.best is None  # a blind rivet's strength beside a solid one is on no file
    open_ones = [one for one in result.candidates if one.verdict is Verdict.NOT_CHECKED]
    assert {one.kind for one in open_ones} == {"blind", "blind_oversize_shank"}


@pytest.mark.parametrize("part", ["MS20470AD4", "MS20426AD4", "NAS9301B-4", "NAS9302B-4"])
def test_a_blind_rivet_in_its_place_sits_as_the_old_head_did_and_is_named_once(part):
    old = rivet(part)
    blind = [
        one.fastener
        for one in options(part, 0.1415, access="both").candidates
        if one.fastener.blind and one.fastener.canonical != old.canonical
    ]

    assert blind
    assert {one.flush_angle_deg for one in blind} == {old.flush_angle_deg}
    assert all(one.standard == one.canonical for one in blind)
    assert len({one.designation for one in blind}) == len(blind)


def test_a_locked_blind_rivet_has_its_oversize_shank():
    # recalled: 1/64 class, hole .143 to .146 for 1/8
    result = options("NAS9301B-4", 0.141)
    one = candidate(result, "NAS1738B4", "oversize_shank")
    assert (one.diameter_in, one.clean_up.drill.designation) == (0.140, "#27")
    assert best("NAS9301B-4", 0.141) == "NAS9301B-5"


def test_an_open_end_blind_rivet_goes_up_in_its_own_standard():
    assert best("TMOPEN-42", 0.14) == "TMOPEN-5"
    assert best("ISO15981-4-AlA/AlA", 0.170) == "ISO15981-4.8-AlA/AlA"


def test_2017_may_go_to_2117_one_size_up_and_never_at_its_own():
    result = options("MS20470D4", 0.14)
    assert candidate(result, "MS20470D5", "larger").fits
    assert candidate(result, "MS20470AD5", "substitute").fits
    assert result.best.fastener.designation == "MS20470D5"
    assert all(c.fastener.designation != "MS20470AD4" for c in result.candidates)
    high = candidate(options("MS20470DD6", 0.21), "MS20470AD8", "substitute")
    assert ("substitute, rivet it stands for", "") in failed(high)


def test_measured_within_its_accuracy_is_marginal():
    result = options("MS20470AD4", 0.1352, accuracy_in=0.001)
    assert (result.best.kind, result.best.verdict) == ("same", Verdict.MARGINAL)
    assert not options("MS20470AD4", 0.1362, accuracy_in=0.001).reusable


@pytest.mark.parametrize(
    ("given_", "hole", "kind", "verdict"),
    [
        # Trade text of 2001 (seen): a 3/32 hole is good from .093 to .103 in.
        ({"accuracy_in": 1 / 64}, 0.118, "larger", Verdict.PASS),
        ({"accuracy_in": 1 / 64}, 0.099, "same", Verdict.PASS),
        ({"accuracy_in": 1 / 64}, 0.1039, "same", Verdict.MARGINAL),
        ({"accuracy_in": 1 / 64}, 0.1041, "larger", Verdict.PASS),
        ({"accuracy_in": 0.0004}, 0.1035, "larger", Verdict.PASS),
        ({"accuracy_in": 1 / 64, "hole_accuracy_in": 0.0}, 0.1031, "larger", Verdict.PASS),
        ({"accuracy_in": 0.0, "hole_accuracy_in": 0.002}, 0.1049, "same", Verdict.MARGINAL),
    ],
)
def test_a_hole_is_measured_to_a_thou_whatever_the_rule_for_edges_tells(
    given_, hole, kind, verdict
):
    # common practice, no source: pin gauges or a caliper, .001 in
    result = options("MS20470AD3", hole, **given_)
    assert (result.best.kind, result.best.verdict) == (kind, verdict)
    # the accuracy of edges stays what was told
    near = options(
        "MS20470AD3", 0.12, layers=[OversizeLayer("skin", 0.032, edge_in=0.26)], **given_
    )
    (edge,) = [check for check in near.best.checks if check.name == "edge distance"]
    short = given_["accuracy_in"] > 0.01
    assert edge.verdict is (Verdict.MARGINAL if short else Verdict.PASS)


@settings(max_examples=60)
@given(st.floats(0.09, 0.2), st.floats(0, 0.05), st.floats(0, 0.05))
def test_the_accuracy_of_edges_says_nothing_of_the_hole(size, one, other):
    fits = [
        options("MS20470AD4", size, accuracy_in=accuracy, hole_accuracy_in=0.0005).candidates
        for accuracy in (one, other)
    ]
    holes = [
        {(cand.kind, cand.fastener.designation): cand.clean_up for cand in found} for found in fits
    ]
    assert holes[0] == holes[1]


@pytest.mark.parametrize(
    ("layers", "message"),
    [
        ([WIDE, WIDE], "layer 'skin' is given twice"),
        ([OversizeLayer("a", 0.032, "dimpled")], "does not have a flush head"),
    ],
)
def test_layers_that_cannot_be(layers, message):
    with pytest.raises(InputError, match=message):
        options("MS20470AD4", 0.14, layers=layers)


def test_sizes_that_are_none():
    with pytest.raises(InputError, match="the thickness of 'a' is 0 in"):
        OversizeLayer("a", 0.0)
    with pytest.raises(InputError, match="the edge distance in 'a' is -1 in"):
        OversizeLayer("a", 0.032, edge_in=-1.0)
    with pytest.raises(InputError, match="-1 further sizes"):
        options("MS20470AD4", 0.14, further_steps=-1)


# --- size steps ----------------------------------------------------------------------------------


def test_size_steps_follow_the_standards_list():
    names = [one.designation for one in size_steps(rivet("AN426AD3-5"))]
    assert names[:4] == ["AN426AD4", "AN426AD5", "AN426AD6", "AN426AD8"]
    assert next_size_up(rivet("MS20470AD12")) is None
    assert next_size_up(rivet("MS20470AD3-4")).designation == "MS20470AD4"


@pytest.mark.parametrize(
    ("from_in", "to_in", "steps"),
    [(3 / 32, 1 / 8, 1), (1 / 8, 3 / 16, 2), (3 / 16, 1 / 4, 2), (1 / 4, 5 / 16, 1), (0.1, 0.1, 0)],
)
def test_mil_r_47196a_steps_of_1_32_to_a_quarter_and_1_16_above(from_in, to_in, steps):
    # MIL-R-47196A (secondary).
    assert handbook_steps(from_in, to_in, book=USUAL) == steps


# --- laws ----------------------------------------------------------------------------------------

parts = st.sampled_from(["MS20470AD4", "MS20426AD4", "MS20470D5", "NAS9301B-4", "MS20470AD3"])
growths = st.sampled_from([None, "toward", "away", "both"])
axes = st.sampled_from([None, 0.0, 30.0, 90.0])
edges = st.floats(0.15, 0.6)


def layer_of(part, edge_in):
    form = "dimpled" if rivet(part).flush else "plain"
    return OversizeLayer("rib", 0.032, form, edge_in=edge_in)


def reach(result):
    return float("inf") if result.best is None else result.best.diameter_in


@given(parts, st.floats(0.0, 0.06), st.floats(0.0, 0.02), growths, axes, edges, st.floats(0.3, 1.0))
def test_a_bigger_hole_never_gets_a_smaller_replacement(
    part, oval, more, grown, axis, edge_in, pitch_in
):
    least = rivet(part).diameter_in + 0.003
    given_ = {"layers": [layer_of(part, edge_in)], "pitch_in": pitch_in}
    results = [
        options(part, grown_hole(least, least + size, axis_deg=axis, grown=grown), **given_)
        for size in (oval, oval + more)
    ]
    assert reach(results[0]) <= reach(results[1])
    holes = [r.best.clean_up.diameter_in if r.best else float("inf") for r in results]
    assert holes[0] <= holes[1] + 1e-12


@given(parts, st.floats(0.0, 0.06), growths, axes, edges, st.floats(0.0, 0.3))
def test_more_edge_never_rejects(part, oval, grown, axis, edge_in, more):
    least = rivet(part).diameter_in + 0.003
    hole = grown_hole(least, least + oval, axis_deg=axis, grown=grown)
    near, far = (
        {
            (one.kind, one.fastener.designation): failed(one)
            for one in options(part, hole, layers=[layer_of(part, edge)]).candidates
        }
        for edge in (edge_in, edge_in + more)
    )
    for key, failures in far.items():
        assert failures <= near[key]


@given(parts, st.floats(0.0, 0.06), st.floats(0.2, 1.0), st.floats(0.0, 1.0))
def test_more_pitch_never_rejects(part, oval, pitch_in, more):
    least = rivet(part).diameter_in + 0.003
    hole = MeasuredHole(least, least + oval)
    given_ = {"layers": [layer_of(part, 1.0)]}
    near = options(part, hole, pitch_in=pitch_in, **given_)
    far = options(part, hole, pitch_in=pitch_in + more, **given_)
    assert reach(far) <= reach(near)


@given(parts, st.floats(0.09, 0.25), st.floats(0.0, 0.06), growths, axes, edges)
def test_every_hole_made_takes_in_the_old_one_and_lies_within_its_limits(
    part, least, oval, grown, axis, edge_in
):
    hole = grown_hole(least, least + oval, axis_deg=axis, grown=grown)
    result = options(part, hole, layers=[layer_of(part, edge_in)])
    for one in result.candidates:
        if one.clean_up is not None:
            assert one.clean_up.diameter_in >= hole.greatest_in - 1e-9
            assert one.clean_up.diameter_in <= one.limits.most_in + 1e-9
        assert one.verdict is not Verdict.FAIL or failed(one)
        if one.fits and one.kind != "same":
            assert one.diameter_in >= rivet(part).diameter_in


@given(parts, st.floats(0.09, 0.25), st.floats(0.0, 0.06), edges)
def test_stopping_at_the_first_fit_finds_the_same_one(part, least, oval, edge_in):
    given_ = {"layers": [layer_of(part, edge_in)]}
    hole = MeasuredHole(least, least + oval)
    full = options(part, hole, **given_)
    quick = options(part, hole, first_fit_only=True, **given_)
    assert quick.best == full.best
    if full.best is None:
        assert len(quick.candidates) == len(full.candidates)


@settings(max_examples=30)
@given(st.floats(0.136, 0.16), st.floats(0.0, 0.03), st.floats(-180, 180), st.floats(-180, 180))
def test_turning_the_whole_place_changes_no_verdict(least, oval, axis, turn):
    def verdicts(angle):
        hole = MeasuredHole(least, least + oval, axis + angle, oval / 2)
        layer = OversizeLayer(
            "rib", 0.04, edge_in=0.34, edge_direction_deg=90.0 + angle, either_side=False
        )
        near = Neighbour("next rivet", 0.48, direction_deg=angle)
        result = options("MS20470AD4", hole, layers=[layer], pitch_in=None, neighbours=[near])
        return [
            (one.fastener.designation, round(check.margin, 9))
            for one in result.candidates
            for check in one.checks
            if check.margin is not None
        ]

    assert verdicts(0.0) == verdicts(turn)


# --- cost ----------------------------------------------------------------------------------------


def test_nothing_heavy_is_imported():
    code = (
        "import sys; import rivetkit.calculators.oversize.candidates as o;"
        "print({'numpy', 'shapely', 'pint'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


@pytest.mark.benchmark
def test_many_holes_are_judged_quickly():
    start = time.perf_counter()
    for number in range(2000):
        hole = MeasuredHole(0.128, 0.130 + number * 5e-6, 90.0)
        layers = [OversizeLayer("rib", 0.032, edge_in=0.36 + number * 1e-6), WIDE]
        options("MS20470AD4", hole, layers=layers, first_fit_only=True)
    print(f"{2000 / (time.perf_counter() - start):.0f} holes a second")


@pytest.mark.parametrize(
    ("heel_in", "stray_in", "verdict"),
    [
        # Common practice, no source: 2 D from the bend; 3/16 in of the 3/32 rivet.
        (0.1875, 0.0, Verdict.PASS),
        (0.1874, 0.0, Verdict.FAIL),
        (0.1975, 0.01, Verdict.PASS),
        (0.1974, 0.01, Verdict.NOT_CHECKED),
    ],
)
def test_a_bend_is_as_far_as_told_less_only_what_it_may_stray(heel_in, stray_in, verdict):
    stray = {"heel_stray_in": stray_in} if stray_in else {}
    layer = OversizeLayer("rib", 0.04, edge_in=1.0, heel_in=heel_in, **stray)
    result = oversize_options(
        rivet("MS20470AD3"), MeasuredHole(0.098, 0.098), USUAL, layers=[layer], pitch_in=1
    )
    (check,) = (c for c in result.candidates[0].checks if c.name == "distance from the bend")

    assert check.verdict is verdict


@pytest.mark.parametrize(("square_in", "name"), [(0.05, "pitch"), (0.26, "row spacing")])
@pytest.mark.parametrize("moved_in", [0.0, 0.004])
def test_the_formula_begins_at_what_was_before_the_centre_moved(square_in, name, moved_in):
    # Arithmetic: a distance less the way the centre went is the distance that is judged.
    hole = grown_hole(0.104, 0.104 + 2 * moved_in, axis_deg=90.0, grown="toward")
    beside = Neighbour("b:3", 0.27, direction_deg=90.0, either_side=False, square_in=square_in)
    found = options("MS20470AD3", hole, neighbours=[beside], layers=[OversizeLayer("skin", 0.04)])
    checks = [
        check
        for one in found.candidates
        for check in one.checks
        if check.where == "b:3" and "head" not in check.name
    ]

    assert {check.name for check in checks} == {name}
    for check in checks:
        terms = {term.symbol: term.value for term in check.terms}
        before_in = 0.27 if name == "pitch" else square_in
        assert check.value == pytest.approx(before_in - terms.get("m", 0.0))
        assert ("m" in terms) is (check.value != pytest.approx(before_in))
        if not moved_in:
            assert "m" not in terms


@pytest.mark.parametrize("form", ["plain", "countersunk", "dimpled"])
def test_a_check_that_lacks_the_thickness_is_one_that_is_made_with_it(form):
    known, unknown = (
        form_checks(rivet("MS20426AD4"), OversizeLayer("skin", thickness_in, form), USUAL)
        for thickness_in in (0.063, None)
    )

    assert len(unknown) == (form != "plain") == bool(known)
    for check in unknown:
        assert check.verdict is Verdict.NOT_CHECKED
        assert check.name in {one.name for one in known}
