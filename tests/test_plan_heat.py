"""The plan warns where heat moves two materials by more than their holes leave room for.

Coefficients by document, in millionths a degC: acrylic sheet 72 cast, 79.2 impact-modified, 75.6
(42 a degF) of untold grade; 2024 23.2 and 22.9; 4130 12.2. All were read in the documents that
tables/materials/thermal_expansion.csv names.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job
from rivetkit.planning.context import Context
from rivetkit.planning.heat import heat_between_parts
from rivetkit.planning.plan import plan_job
from rivetkit.reports.formats.text_report import render_text
from rivetkit.reports.plans.plan_report import plan_report
from rivetkit.rules import RuleBook


def job(skin, member, length="9.5", more=""):
    text = JOB.replace('"2024-T3"', f'"{skin}"')
    text = text.replace('kind = "rib"\n', f'kind = "rib"\nalloy = "{member}"\n')
    return more + text.replace("[9.5, 0.5]", f"[{length}, 0.5]")


def planned(skin, member, length="9.5", more=""):
    return plan_job(parse_job(job(skin, member, length, more)))


def told(drilled, least, greatest):
    return (
        f'temperatures = {{ drilled = "{drilled}", least = "{least}", greatest = "{greatest}" }}\n'
    )


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("2024-T3", "6061-T6"),
        ("2024-T3 clad", "2024-T3"),
        ("2024-T3", "7075-T6"),
        ("alclad 2024-T3", "6063-T5"),  # 6063 is on no file, but its temper tells aluminium
        ("2024", "6061"),
        ("acrylic cast", "acrylic"),
        ("304", "304"),
        ("unobtainium", "unobtainium"),
    ],
)
def test_one_family_makes_no_noise(one, other):
    plan = planned(one, other, length="9.5")

    assert plan.heat.pairs == ()
    assert plan.heat.notes == ()


def test_a_cast_acrylic_panel_by_hand():
    # Half of 9 in, 60 degF (practice): 4.5 x 60 x (75.6 - 22.9) / 1.8 millionths = .00790 in.
    (pair,) = planned("acrylic cast", "2024-T3").heat.pairs

    assert pair.movement_in == pytest.approx(4.5 * 60 * (75.6 - 22.9) / 1.8e6)
    assert not pair.outside  # nobody told how warm it will be
    assert pair.materials == ("acrylic cast", "2024-T3")
    # Half of what a .096 hole leaves a 3/32 shank (practice).
    assert pair.room_in == pytest.approx(0.5 * (0.096 - 0.09375))
    assert pair.too_much


def test_where_documents_differ_the_greater_movement_counts():
    (cast,) = planned("acrylic cast", "2024-T3").heat.pairs
    (any_grade,) = planned("PMMA", "2024-T3").heat.pairs

    assert any_grade.movement_in > cast.movement_in
    assert any_grade.movement_in == pytest.approx(4.5 * 60 * (79.2 - 22.9) / 1.8e6)


def test_practice_only_warns_told_temperatures_are_judged():
    warned = planned("2024-T3", "4130")
    judged = planned("2024-T3", "4130", more=told("68 F", "68 F", "128 F"))

    assert warned.heat.pairs[0].movement_in == pytest.approx(judged.heat.pairs[0].movement_in)
    assert warned.heat.warnings
    assert "movement against the room in the hole" not in {c.name for c in warned.checks}
    (check,) = judged.heat.checks
    assert check in judged.checks
    assert check.verdict is Verdict.FAIL
    assert judged.verdict is Verdict.FAIL


def test_the_practice_swing_is_cited_where_the_job_tells_no_temperatures():
    def cited(more=""):
        (pair,) = planned("2024-T3", "4130", more=more).heat.pairs
        return {citation.rule for citation in pair.check.citations}

    assert "practice-temperature-swing" in cited()
    assert "practice-temperature-swing" not in cited(told("68 F", "68 F", "128 F"))


def test_rivets_whose_hole_no_table_has_are_noted():
    # A mechanics' handbook's drill figure (from memory) ends at 1/4 in.
    text = job("acrylic cast", "2024-T3", more='rule_set = "amt"\n')
    parsed = parse_job(text.replace("MS20470AD3-3", "MS20470AD10-6").replace("= 13", "= 5"))
    heat = heat_between_parts(Context(parsed, lay_out(parsed), RuleBook.named("amt")))

    assert heat.pairs == ()
    assert heat.notes == (
        "hole table 'amt' has no 0.3125 in rivet: how skin and rib move is not known",
    )


def test_of_several_rows_the_one_with_the_least_room_left_is_told():
    # 4.5 in of a row move .0079 in, 1.5 in a third of it; the same holes leave both the same room.
    text = job("acrylic", "2024-T3")
    long = text[text.index("[[row]]") :]
    short = long.replace('name = "row"', 'name = "short"').replace(
        "0.5], [9.5, 0.5]", "2], [3.5, 2]"
    )
    for rows in (long + short, short + long):
        (pair,) = plan_job(parse_job(text[: text.index("[[row]]")] + rows)).heat.pairs
        assert (pair.row, pair.half_length_in) == ("row", pytest.approx(4.5))


def test_an_override_of_the_swing_is_told_as_well():
    override = (
        '\n[[override]]\nrule = "temperature_swing"\nvalue = 5\nunit = "degF"\nsource = "shop"\n'
    )
    plan = plan_job(parse_job(job("2024-T3", "4130") + override))

    assert plan.heat.told
    assert plan.heat.pairs[0].change_degf == 5


def test_both_sides_of_the_room():
    # 4.5 in x (23.2 - 12.2) / 1.8 millionths a degF against .001125 in: 40.9 degF.
    least_degf = 0.5 * (0.096 - 0.09375) / (4.5 * (23.2 - 12.2) / 1.8e6)
    for change, verdict in ((0.99, Verdict.PASS), (1.01, Verdict.FAIL)):
        warm = told("60 F", "60 F", f"{60 + change * least_degf} F")
        cold = told("60 F", f"{60 - change * least_degf} F", "60 F")
        for more in (warm, cold):
            (check,) = planned("2024-T3", "4130", more=more).heat.checks
            assert check.verdict is verdict


def test_drilled_and_closed_at_one_temperature_nothing_moves():
    (pair,) = planned("acrylic", "4130", more=told("20 C", "20 C", "68 F")).heat.pairs

    assert pair.movement_in == pytest.approx(0.0, abs=1e-12)
    assert not pair.too_much


def test_a_short_row_moves_less_than_its_room():
    assert planned("acrylic cast", "2024-T3", length="0.9").heat.warnings == ()


def test_a_material_on_no_file_is_noted_and_fails_nothing():
    plan = planned("unobtainium", "2024-T3")
    (note,) = plan.heat.notes

    assert "'unobtainium' is not on file" in note
    assert "skin and rib" in note
    assert plan.heat.checks == ()


@pytest.mark.parametrize(("skin", "notes"), [("2024-T3", 0), ("acrylic", 1)])
def test_an_alloy_nobody_told_is_noted_beside_anything_but_aluminium(skin, notes):
    plan = plan_job(parse_job(JOB.replace('"2024-T3"', f'"{skin}"')))

    assert len(plan.heat.notes) == notes


def test_holes_that_are_not_drilled_together_are_left_alone():
    # Both layers stay and the holes are old: they matched long ago.
    stays = job("acrylic", "2024-T3").replace('layers = ["skin"', 'layers = ["window"')
    stays += """
[[member]]
name = "window"
kind = "skin"
alloy = "acrylic"
thickness = 0.06
outline = { rectangle = { corner = [0, 0], width = 10, height = 6 } }
"""
    new = stays.replace('rivet = "MS20470AD3-3"', 'fit = "MS20470AD3"')

    kept = stays.replace("count = 13", "count = 13\nkept = true")

    assert plan_job(parse_job(kept)).heat.pairs == ()
    assert plan_job(parse_job(stays)).heat.pairs == ()
    assert len(plan_job(parse_job(new)).heat.pairs) == 1


def test_one_line_for_two_materials_however_many_rows():
    text = job("acrylic", "2024-T3")
    row = text[text.index("[[row]]") :]
    other = row.replace('name = "row"', 'name = "short"').replace("0.5], [9.5, 0.5]", "2], [5, 2]")
    (pair,) = plan_job(parse_job(text + other)).heat.pairs

    assert pair.row == "row"
    assert pair.also == ("short",)


def test_the_report_and_the_data_carry_the_numbers():
    plan = planned("acrylic cast", "2024-T3", more=told("68 F", "50 F", "95 F"))
    report = plan_report(plan, inputs={}, length_unit="in")
    text = render_text(report, explain=True)
    (entry,) = report.result["heat"]["pairs"]

    assert "Heat between the parts" in text
    assert "27 F (15 C) (told by the job)" in text
    assert entry["movement_in"] == pytest.approx(4.5 * 27 * (75.6 - 22.9) / 1.8e6)
    assert entry["room_in"] == pytest.approx(0.001125)
    assert entry["verdict"] == "fail"
    assert report.result["heat"]["temperatures_told"] is True
    assert "29.2778 / 1000000 x 4.5000 in x 27 F = 0.0036 in <= 0.5 x" in text


def test_a_coefficient_used_outside_its_documents_range_is_told():
    # 2024 at 23.2 is printed for 68 to 212 F.
    inside = planned("2024-T3", "4130", more=told("70 F", "70 F", "100 F")).heat.pairs[0]
    outside = planned("2024-T3", "4130", more=told("70 F", "0 F", "100 F"))

    assert not inside.outside
    assert outside.heat.pairs[0].outside
    assert "other temperatures" in render_text(plan_report(outside, inputs={}, length_unit="in"))


@pytest.mark.parametrize(
    ("temperatures", "message"),
    [
        ('{ drilled = "68", least = "50 F", greatest = "95 F" }', "temperatures: drilled: "),
        ('{ drilled = "68 F", least = "95 F", greatest = "50 F" }', "exchange the two"),
        ('{ drilled = "68 F", least = "50 F" }', "no 'greatest' is given"),
        ('{ drilled = "68 F", least = "-500 F", greatest = "50 F" }', "absolute zero"),
        ('{ drilled = "68 F", coldest = "50 F", least = "1 F", greatest = "2 F" }', "coldest"),
    ],
)
def test_temperatures_that_are_none_are_refused(temperatures, message):
    with pytest.raises(InputError, match=message):
        parse_job(f"temperatures = {temperatures}\n" + JOB)


@settings(max_examples=20, deadline=None)
@given(length=st.floats(1.0, 9.0), more=st.floats(0.0, 0.5), change=st.floats(0.0, 100.0))
def test_a_longer_row_and_a_greater_change_never_move_less(length, more, change):
    def moved(end, degf):
        pairs = planned("2024-T3", "4130", str(end), told("60 F", "60 F", f"{60 + degf} F"))
        return pairs.heat.pairs[0].movement_in

    assert moved(length, change) <= moved(length + more, change) + 1e-12
    assert moved(length, change) <= moved(length, change + more) + 1e-12
