"""The plan warns where heat moves two materials by more than their holes leave room for."""

import pytest
from job_texts import JOB

from rivetkit.job.read import parse_job
from rivetkit.planning.plan import plan_job


def planned(skin, member, length="9.5"):
    text = JOB.replace('"2024-T3"', f'"{skin}"')
    text = text.replace('kind = "rib"\n', f'kind = "rib"\nalloy = "{member}"\n')
    return plan_job(parse_job(text.replace("[9.5, 0.5]", f"[{length}, 0.5]")))


def test_one_family_of_aluminium_makes_no_noise():
    assert planned("2024-T3", "6061-T6").heat == ()
    assert planned("2024-T3 clad", "2024-T3").heat == ()


def test_an_acrylic_panel_on_aluminium_is_named_with_its_movement():
    (warning,) = planned("PMMA", "2024-T3").heat

    # Half of 9 in, 60 degF; PMMA sheet at 40 and 2024 at 12.9 millionths a degF are seen values:
    # 4.5 x 60 x 27.1e-6 = .0073 in. The documents that differ least are taken, none below 38.
    assert warning.materials == ("PMMA", "2024-T3")
    assert 4.5 * 60 * (38.0 - 12.95) * 1e-6 < warning.movement_in < 4.5 * 60 * 28e-6
    # Half of what a .096 hole leaves a 3/32 shank.
    assert warning.room_in == pytest.approx(0.5 * (0.096 - 0.09375))


def test_a_short_row_moves_less_than_its_room():
    assert planned("PMMA", "2024-T3", length="0.9").heat == ()


def test_a_material_nobody_measured_says_nothing():
    assert planned("unobtainium", "2024-T3").heat == ()
