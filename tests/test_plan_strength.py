"""As strong as before: rows that change, against what they were."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.checks import Verdict
from rivetkit.job.bench_sheet import BenchHole
from rivetkit.job.read import parse_job
from rivetkit.planning.plan import plan_job

# Both layers bare 2024-T3, so that every allowable is on file (MIL-HDBK-5J, from memory).
BARE = JOB.replace("thickness = 0.025\nflange", 'alloy = "2024-T3"\nthickness = 0.025\nflange')


def planned(text, *measured):
    return plan_job(parse_job(text), measured=measured)


def new_sheet(thickness, alloy="2024-T3"):
    return BARE.replace(
        '{ alloy = "2024-T3", thickness = 0.032 }',
        f'{{ alloy = "{alloy}", thickness = {thickness} }}',
    )


def test_a_job_that_changes_nothing_has_nothing_to_compare():
    assert planned(new_sheet(0.025)).strength == ()


def test_a_row_that_stays_or_is_new_is_not_compared():
    assert planned(new_sheet(0.02).replace("count = 13", "count = 13\nkept = true")).strength == ()
    fresh = new_sheet(0.02).replace('rivet = "MS20470AD3-3"', 'fit = "MS20470AD3"')
    assert planned(fresh).strength == ()


def test_a_thicker_sheet_is_no_weaker_and_a_thinner_one_fails():
    (thicker,) = planned(new_sheet(0.032)).strength
    (thinner,) = planned(new_sheet(0.020)).strength

    assert thicker.check.verdict is Verdict.PASS
    assert thicker.check.value >= 1.0
    assert thinner.check.verdict is Verdict.FAIL
    assert thinner.check.value < 1.0


def test_the_numbers_by_hand():
    # Shear of a 3/32 AD rivet: 30 ksi (from memory) on a .096 hole (AC 43.13-1B tables, derived):
    # 217 lbf; D/t over 3 takes off .04 (D/t - 3): at t = .025 D/t is 3.75: 217.15 x .97 = 210.6.
    # At t = .020 it is 4.6875: 217.15 x .9325 = 202.5. Bearing of .020 bare 2024-T3 at e/D 2 and
    # more: 129 ksi x .096 x .020 = 247.7 lbf: shear goes first both times.
    (change,) = planned(new_sheet(0.020)).strength

    assert change.before_lbf == pytest.approx(217.147 * 0.97, abs=0.1)
    assert change.after_lbf == pytest.approx(217.147 * 0.9325, abs=0.1)
    assert change.critical_before == change.critical_after == "rivet shear"


def test_a_weaker_rivet_of_the_same_size_fails_and_the_step_up_makes_up_for_it():
    # AC 43.13-1B p 4-16 (seen): 2117 (AD) for 2017 (D) when 1/32 larger.
    d_rivet = new_sheet(0.040).replace("MS20470AD3-3", "MS20470D3-3").replace("0.025", "0.040")
    same_size = planned(d_rivet.replace("count = 13", 'count = 13\nfit = "MS20470AD3"'))
    step_up = planned(d_rivet.replace("count = 13", 'count = 13\nfit = "MS20470AD4"'))

    assert same_size.strength[0].check.verdict is Verdict.FAIL
    assert step_up.strength[0].check.verdict is Verdict.PASS


def test_what_nobody_knows_is_not_checked_unless_it_cannot_be_weaker():
    unknown = new_sheet(0.032, "unobtainium")
    alike = unknown.replace(
        'old = { alloy = "2024-T3", thickness = 0.025 }',
        'old = { alloy = "unobtainium", thickness = 0.025 }',
    )

    assert planned(unknown).strength[0].check.verdict is Verdict.NOT_CHECKED
    assert planned(unknown).strength[0].check.reason
    (like,) = planned(alike).strength
    assert like.like_for_like
    assert like.check.verdict is Verdict.PASS
    thinner = alike.replace("thickness = 0.032", "thickness = 0.024")
    assert planned(thinner).strength[0].check.verdict is Verdict.NOT_CHECKED


def test_a_repaired_hole_changes_its_row():
    bench = BenchHole("row:3", 0.104, 0.115, None, None, "", "sheet.csv: line 2")
    (change,) = planned(new_sheet(0.025).replace("0.3125", "0.30"), bench).strength

    # One hole of thirteen with a 1/8 rivet, the others as they were.
    assert change.count == 13
    assert change.check.verdict is Verdict.PASS
    assert 1.0 < change.check.value < 1.1


def test_another_ratio_may_be_asked_for():
    override = (
        '[[override]]\nrule = "strength_ratio_min"\nvalue = 0.9\nunit = "fraction"\n'
        'source = "Army AL0992 p 62 gives 0.8 for semicritical skin; invented maker says 0.9"\n'
    )

    assert planned(new_sheet(0.020) + override).strength[0].check.verdict is Verdict.PASS


@settings(max_examples=30, deadline=None)
@given(thickness=st.floats(0.019, 0.09), more=st.floats(0.0005, 0.03))
def test_the_strength_never_rises_when_a_sheet_gets_thinner(thickness, more):
    loads = []
    for one in (thickness, thickness + more):
        changes = planned(new_sheet(repr(one))).strength
        loads.append(changes[0].after_lbf if changes else None)

    if None not in loads:
        assert loads[0] <= loads[1] + 1e-6
