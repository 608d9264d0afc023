"""A measured hole beside another row: held as the plan holds it, pitch in line or row spacing."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_row_gaps import PLATES, line, override, row

from rivetkit.checks import Verdict
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole
from rivetkit.planning.context import Context
from rivetkit.planning.nearby import pairs_across
from rivetkit.planning.pitches import check_across
from rivetkit.planning.plan import plan_job

# Rivets are 1/8 in, the next larger ones 5/32. NAVEDTRA 14018 ch 13 (seen): pitch 3 D, of 5/32
# .46875 in. TM 10-5410-229-13&P p 5-4 (seen): rows 2.5 D apart, .390625 in.
LARGER = 0.15625
#: Over the limits of 1/8, and #21 takes it out for 5/32.
ROUND = 0.14


def bench(hole, least, greatest=None, axis=None, grew=None):
    return BenchHole(hole, least, greatest or least, axis, grew, "", "sheet.csv: line 2")


def planned(rows, *measured, more=""):
    return plan_job(parse_job(PLATES + "".join(rows) + more), measured=measured)


def across(plan):
    """Return what the plan itself says of every two holes that do not follow each other."""
    context = Context(plan.job, plan.holes, plan.book)
    pairs = pairs_across(context)
    found = {}
    for number in range(len(pairs.first)):
        one, other = (plan.holes.name(int(ends[number])) for ends in (pairs.first, pairs.second))
        found[one, other] = found[other, one] = check_across(context, pairs, number)
    return found


@pytest.mark.parametrize(
    ("gap", "expected"), [(2.64, None), (2.99, None), (3.0, "MS20470AD5"), (3.2, "MS20470AD5")]
)
def test_a_measured_hole_end_to_end_with_another_row_keeps_the_pitch(gap, expected):
    rows = (
        row("a", line((0, 0), (1, 0), 5)),
        row("b", line((4 + gap * LARGER, 0), (1, 0), 4)),
    )
    plan = planned(rows, bench("a:5", ROUND))
    (fix,) = plan.measured.fixes
    larger = next(
        one
        for one in fix.result.candidates
        if one.fastener.material == "AD" and one.diameter_in == LARGER
    )
    (check,) = [
        check
        for check in larger.checks
        if check.where == "b:1" and check.unit == "in" and check.name in ("pitch", "row spacing")
    ]

    assert planned(rows).verdict is Verdict.PASS
    assert (check.name, check.limit) == ("pitch", pytest.approx(3 * LARGER))
    assert check.value == pytest.approx(gap * LARGER)
    assert larger.fits == (expected is not None)
    if expected:
        assert fix.chosen.fastener.designation == expected
        assert across(plan)["a:5", "b:1"].verdict is Verdict.PASS
    else:
        assert fix.chosen is None or fix.chosen.diameter_in < LARGER


def test_the_seam_of_the_neighbours_row_rules_where_it_has_more_rows():
    # AC 43.13-1B p 4-27 (derived): 4 D in two rows; of 5/32 .625 in.
    for seam, fits in (("", True), ("seam_rows = 2", False)):
        rows = (
            row("a", line((0, 0), (1, 0), 5)),
            row("b", line((4.6, 0), (1, 0), 4), more=seam),
        )
        (fix,) = planned(rows, bench("a:5", ROUND)).measured.fixes
        assert any(one.kind == "larger" and one.fits for one in fix.result.candidates) is fits


@pytest.mark.parametrize(("apart", "fits"), [(0.4105, False), (0.4107, True)])
def test_side_by_side_the_whole_of_both_moves_may_close_the_rows_up(apart, fits):
    # Slots .135 x .155: the middle is up to .010 off, of both holes; .390625 has to be left.
    rows = (
        row("a", line((0, 0), (1, 0), 5)),
        row("b", line((0, apart), (1, 0), 5)),
    )
    measured = [bench(f"{name}:3", 0.135, 0.155) for name in "ab"]
    plan = planned(rows, *measured)
    larger = [
        next(one for one in fix.result.candidates if one.kind == "larger")
        for fix in plan.measured.fixes
    ]
    assert larger[0].fits is fits
    (check,) = [one for one in larger[0].checks if one.name == "row spacing" and one.where == "b:3"]
    assert check.value == pytest.approx(apart - 0.02)
    assert check.formula.startswith("s - m >=")
    assert check.verdict is (Verdict.PASS if fits else Verdict.FAIL)


degrees = st.floats(-180, 180)
moved = st.tuples(
    st.integers(0, 14).map(lambda thou: 0.1365 + thou / 1000),
    st.integers(0, 12).map(lambda thou: thou / 1000),
    st.one_of(st.none(), degrees),
    st.sampled_from(["toward", "away", "both", None]),
)


@settings(max_examples=60, deadline=None)
@given(
    start=st.tuples(st.floats(-0.7, 0.7), st.floats(0.2, 0.7)),
    turn=st.one_of(st.just(0.0), st.just(math.pi / 2), st.floats(-math.pi, math.pi)),
    pitch=st.sampled_from([0.5, 0.7, 1.0]),
    seams=st.sampled_from(["", "seam_rows = 2"]),
    maker=st.sampled_from(["", override("row_spacing_min", 3.5)]),
    measured=st.dictionaries(
        st.sampled_from(["a:1", "a:3", "a:5", "b:1", "b:2"]), moved, min_size=1, max_size=3
    ),
)
def test_what_is_chosen_passes_the_plan_between_rows(start, turn, pitch, seams, maker, measured):
    along = (pitch * math.cos(turn), pitch * math.sin(turn))
    a = line((0, 0), (pitch, 0), 5)
    b = line((2 * pitch + start[0], start[1]), along, 4)
    gaps = np.hypot(*(np.array(a)[:, None] - np.array(b)[None]).reshape(-1, 2).T)
    assume(gaps.min() > 0.25)
    sheet = [
        bench(hole, least, least + oval, axis, grew if axis is not None or grew == "both" else None)
        for hole, (least, oval, axis, grew) in measured.items()
    ]
    plan = planned((row("a", a), row("b", b, more=seams)), *sheet, more=maker)
    found = across(plan)
    for fix in plan.measured.fixes:
        if fix.chosen is None or not fix.oversize:
            continue
        still = abs(fix.chosen.clean_up.move.along_in) < 1e-12
        for check in fix.chosen.checks:
            if check.name not in ("pitch", "row spacing") or (fix.name, check.where) not in found:
                continue
            told = found[fix.name, check.where]
            assert told.verdict is not Verdict.FAIL
            if check.where in measured:
                continue  # judged beside what was in it then
            assert told.margin >= check.margin - 1e-9
            if still:
                assert (told.name, told.verdict) == (check.name, check.verdict)
                assert told.value == pytest.approx(check.value)
                assert told.limit == pytest.approx(check.limit)


@pytest.mark.parametrize(("axis", "grew"), [(90.0, "away"), (35.0, "toward"), (35.0, "both")])
def test_which_row_the_job_names_first_changes_nothing_for_a_measured_hole(axis, grew):
    rows = (
        row("a", line((0, 0), (0.6, 0), 5)),
        row("b", line((0.1, 0.45), (0.6, 0.05), 5)),
        row("c", line((1.2, 0.6), (0, 0.7), 3), more="seam_rows = 2"),
    )
    told = []
    for order in (rows, rows[::-1], (rows[1], rows[0], rows[2])):
        (fix,) = planned(order, bench("a:3", 0.130, 0.150, axis, grew)).measured.fixes
        checks = [check for one in fix.result.candidates for check in one.checks]
        told.append(sorted((c.name, c.where, c.value, c.limit) for c in checks if c.value))

    assert {where for _, where, _, _ in told[0]} >= {"b:3", "c:1"}
    for other in told[1:]:
        for one, same in zip(told[0], other, strict=True):
            assert same[:2] == one[:2]
            assert same[2:] == pytest.approx(one[2:], abs=1e-12)


def test_a_makers_wider_row_spacing_is_not_escaped_by_moving():
    # A maker's 3.5 D of 5/32 is .546875 in, above the pitch; rivets .51 in off each other's rows at
    # 45 degrees keep it. A slot that may have moved along its row does not put them in line.
    rows = (row("a", line((0, 0), (0.5, 0), 5)), row("b", line((0.51, 0.51), (0.5, 0), 2)))
    maker = override("row_spacing_min", 3.5)
    (fix,) = planned(rows, bench("a:1", 0.137, 0.1475), more=maker).measured.fixes
    larger = next(one for one in fix.result.candidates if one.kind == "larger")
    (check,) = [one for one in larger.checks if one.where == "b:1" and "head" not in one.name]

    assert planned(rows, more=maker).verdict is Verdict.PASS
    assert (check.name, check.verdict) == ("row spacing", Verdict.FAIL)
    assert check.value == pytest.approx(0.51 - 0.00525)
    assert check.limit == pytest.approx(3.5 * LARGER)


def test_a_hole_that_moved_bends_no_row():
    # Slot .130 x .150 grown square to its row: #21 leaves it .0065 off; the rows are .45 in apart.
    rows = (row("a", line((0, 0), (0.6, 0), 5)), row("b", line((0, 0.45), (0.6, 0), 5)))
    plan = planned(rows, bench("a:3", 0.130, 0.150, 90.0, "away"))
    context = Context(plan.job, plan.holes, plan.book)
    pairs = pairs_across(context)
    square = {
        (int(one), int(other)): apart
        for one, other, apart in zip(pairs.first, pairs.second, pairs.square_in, strict=True)
    }

    assert plan.measured.fixes[0].oversize
    assert plan.holes.points[2, 1] == pytest.approx(-0.0065)
    assert square[2, 7] == pytest.approx(0.4565)
    assert square[1, 6] == pytest.approx(0.45, abs=1e-12)
