"""Dissimilar metals at a rivet, against the documents that warn of them."""

import json
from dataclasses import replace
from typing import get_args

import pytest
from job_texts import JOB

from rivetkit.calculators.lengths import head_volume
from rivetkit.calculators.lengths.head_volume import HEAD_GREATEST, HEAD_LEAST
from rivetkit.calculators.lengths.solid_length import solid_length
from rivetkit.calculators.metal_contact import RIVET_ALLOY, review_metals
from rivetkit.calculators.stack import Layer
from rivetkit.checks import Verdict
from rivetkit.cli.app import main
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.common import Metal
from rivetkit.handbook.rows.materials import MetalGroupRow, SheetMetalRow
from rivetkit.handbook.rows.practice import MetalContactRow
from rivetkit.job.read import parse_job
from rivetkit.materials import sheet_metal
from rivetkit.planning.new_hole.search import NewHoleFinder
from rivetkit.planning.plan import plan_job
from rivetkit.reports.plans.plan_report import plan_report
from rivetkit.rules import RuleBook

BOOK = RuleBook.named()
NICKEL_COPPER = parse_part_number("MS20615-4M")


def review(part, *alloys):
    layers = [Layer(f"layer {n}", 0.04, alloy=alloy) for n, alloy in enumerate(alloys, 1)]
    return review_metals(parse_part_number(part), layers)


def pairs(part, *alloys):
    return [(one.one.name, one.other.name) for one in review(part, *alloys).contacts]


@pytest.mark.parametrize("part", ["MS20470AD4", "MS20470D4", "MS20470DD4", "MS20615-4M"])
def test_magnesium_takes_no_rivet_but_5056(part):
    # AC 43.13-1B par 7-2 d, p 7-1 (read as page text): 5056 is used exclusively in magnesium.
    (check,) = review(part, "AZ31B-H24").checks

    assert (check.name, check.verdict, check.where) == (RIVET_ALLOY, Verdict.FAIL, "layer 1")
    assert "5056 alone" in check.reason
    assert (check.citations[0].source, check.citations[0].locator) == (
        "ac43",
        "par 7-2 d, p 7-1",
    )


@pytest.mark.parametrize("part", ["MS20470B4", "MS20426B4", "NAS1097B4", "NAS9301B-4-02"])
def test_5056_in_magnesium_passes_and_needs_no_primer(part):
    # TM 55-1500-345-23, attaching parts (read as page text): 5056 in magnesium needs none.
    found = review(part, "AZ31B-H24", "magnesium")

    assert [check.verdict for check in found.checks] == [Verdict.PASS] * 2
    assert found.contacts == ()
    assert found.advice == ()


def test_a_rivet_of_no_listed_alloy_in_magnesium_is_not_checked():
    (check,) = review("TMOPEN-42", "AZ31B").checks

    assert check.verdict is Verdict.NOT_CHECKED
    assert "TMOPEN-42 is not on file" in check.reason


@pytest.mark.parametrize(
    ("metal", "group"),
    [
        ("magnesium", 1),
        ("aluminium", 2),
        ("steel", 3),
        ("stainless", 4),
        ("nickel-copper", 4),
        ("titanium", 4),
        ("copper", 4),
    ],
)
def test_groups_are_those_of_the_design_text(metal, group):
    # Electromotive groups of an airframe design text of 1988, read on a university's page that
    # quotes them: I magnesium; II aluminium; III steel; IV the 300 series, nickel-copper,
    # titanium, copper.
    (row,) = [row for row in load_table(MetalGroupRow) if row.metal == metal]

    assert row.group == group


def test_every_metal_a_sheet_or_a_rivet_may_be_of_has_a_group():
    grouped = [row.metal for row in load_table(MetalGroupRow)]
    sheets = {row.metal for row in load_table(SheetMetalRow)} - {"none"}

    assert sorted(grouped) == sorted(get_args(Metal))
    assert sheets <= set(grouped)
    assert {"aluminium", "magnesium", "steel", "stainless"} <= sheets


@pytest.mark.parametrize(
    "part",
    ["MS20615-4M", "MS20435C4", "ISO15979-4x8-St/St", "ISO15983-4x8-A2/A2", "IFI114-51-4-2"],
)
def test_a_rivet_nobler_than_its_aluminium_sheet_is_told(part):
    # MIL-STD-889C table I, as a public data base quotes it, asks protection of aluminium against
    # copper and nickel alloys; TM 1-1500-344-23-2 par 6-9.1 (seen) sets parts wet with sealant.
    (contact,) = review(part, "2024-T3").contacts

    assert contact.known
    assert contact.corrodes == "layer 1"
    assert "set the rivet wet with sealant" in [one.words for one in review(part, "2024-T3").advice]


@pytest.mark.parametrize(
    "part", ["MS20470A4", "MS20470AD4", "MS20470B4", "MS20470KE4", "ISO15981-4-AlA/AlA"]
)
@pytest.mark.parametrize("alloy", ["2024-T3 clad", "6061-T6", "5052-H32", "7075-T6", "2219-T87"])
def test_aluminium_in_aluminium_is_not_told(part, alloy):
    assert review(part, alloy, "2024-T3").contacts == ()


def test_an_aluminium_rivet_in_steel_corrodes_itself():
    contact, faying = review("MS20470AD4", "4130", "2024-T3").contacts

    assert contact.corrodes == "MS20470AD4"
    assert (faying.between, faying.corrodes) == ("sheets", "layer 2")


def test_nickel_copper_in_stainless_is_of_one_group():
    assert pairs("MS20615-4M", "304", "17-7PH") == []
    assert pairs("MS20615-4M", "304", "4130") == [("MS20615-4M", "layer 2"), ("layer 1", "layer 2")]


def test_what_is_not_on_file_is_not_guessed():
    # Nobody told what the sheet is: an aluminium rivet says nothing, another one says so.
    assert pairs("MS20470AD4", "", "unobtainium") == []
    assert pairs("TMOPEN-42", "2024-T3") == []
    (contact,) = review("MS20615-4M", "").contacts

    assert not contact.known
    assert (contact.corrodes, contact.other.metal) == ("", None)


@pytest.mark.parametrize("plastic", ["acrylic", "acrylic cast", "polycarbonate", "G-10"])
def test_a_plastic_is_no_metal(plastic):
    assert pairs("MS20615-4M", plastic, plastic) == []


def test_sheets_are_told_apart_from_rivets_in_what_is_asked():
    # TM 55-1500-345-23 (seen): facing sheets get two coats of primer, magnesium a barrier.
    sheets = review("MS20470B4", "AZ31B", "2024-T3")
    rivet = review("MS20615-4M", "2024-T3")

    assert [one.between for one in sheets.contacts] == ["sheets"]
    assert {one.words.split(" ")[0] for one in sheets.advice} == {"give", "keep"}
    assert {one.words.split(" ")[0] for one in rivet.advice} == {"set", "coat"}
    assert "keep" not in {
        one.words.split(" ")[0] for one in review("MS20470AD4", "4130", "2024-T3").advice
    }


@pytest.mark.parametrize("one", ["2024-T3", "AZ31B", "4130", "304", "titanium", "copper"])
@pytest.mark.parametrize("other", ["2024-T3", "AZ31B", "4130", "304", "titanium", "copper"])
def test_two_sheets_meet_the_same_way_round(one, other):
    def corroding(*alloys):
        found = [c for c in review("MS20470AD4", *alloys).contacts if c.between == "sheets"]
        return [alloys[int(c.corrodes[-1]) - 1] for c in found]

    assert corroding(one, other) == corroding(other, one)
    assert (corroding(one, other) == []) == (one == other or {one, other} <= NOBLE)


#: One group of the design text.
NOBLE = {"304", "titanium", "copper"}


def test_the_contact_table_says_what_it_cannot_leave_empty():
    for row in load_table(MetalContactRow):
        assert bool(row.rivet_alloy) == (row.demand == "only")
        assert bool(row.words) == (row.demand == "protect")


@pytest.mark.parametrize(
    ("name", "metal"),
    [
        ("2024-T3", "aluminium"),
        ("Alclad 7075-T6", "aluminium"),
        ("6063-T5", "aluminium"),
        ("az31b-h24", "magnesium"),
        ("magnesium AZ31B", "magnesium"),
        ("4130 steel", "steel"),
        ("304 stainless steel", "stainless"),
        ("stainless steel", "stainless"),
        ("Ti-6Al-4V", "titanium"),
        ("PMMA", "none"),
    ],
)
def test_names_of_metals(name, metal):
    assert sheet_metal(name)[0] == metal


@pytest.mark.parametrize(
    "name", ["", "aluminium bronze", "4130-aluminium", "2024x", "1", "steel 2"]
)
def test_names_that_tell_no_metal(name):
    assert sheet_metal(name) is None


def test_a_cited_metal_is_where_the_table_has_it():
    assert sheet_metal("6063-T5")[1].basis == "memory"
    assert sheet_metal("2024-T3")[1].basis == "seen"


# --- Shop heads of rivets that are not of aluminium


def head_checks(part):
    result = solid_length(parse_part_number(part), [Layer("skin", 0.032), Layer("rib", 0.04)], BOOK)
    return {check.name: check for check in result.checks}


def test_a_nickel_copper_head_says_that_its_greatest_size_is_of_no_named_material():
    # MIL-HDBK-5H p 8-9 (seen) bounds the least head of solid rivets of every material; the
    # training paper's table of greatest heads (seen) names none.
    checks = head_checks("MS20615-4M")

    assert "names no material" in checks[HEAD_GREATEST].reason
    assert "nickel-copper" in checks[HEAD_GREATEST].reason
    assert checks[HEAD_LEAST].reason == ""


@pytest.mark.parametrize("part", ["MS20470AD4", "MS20470KE4", "MS20470B4"])
def test_an_aluminium_head_says_nothing_of_it(part):
    checks = head_checks(part)

    assert checks[HEAD_GREATEST].reason == ""
    assert checks[HEAD_GREATEST].verdict is Verdict.PASS


def test_a_limit_of_every_material_needs_no_such_word(monkeypatch):
    stated = replace(head_volume._limits("driven_head_greatest", NICKEL_COPPER, BOOK), group="any")
    monkeypatch.setattr(head_volume, "_limits", lambda *_: stated)

    assert head_checks("MS20615-4M")[HEAD_GREATEST].reason == ""


# --- In the commands


def called(arguments, capsys):
    code = main([*arguments, "--json"], standalone_mode=False)
    return code, json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    "arguments",
    [
        ["grip", "MS20470AD4", "skin=.032:AZ31B", "rib=.04:2024-T3"],
        ["strength", "MS20470AD4", "skin=.032:AZ31B", "rib=.04:2024-T3", "--edge", ".25"],
        ["spacing", "MS20470AD4", "--pitch", "1", "--sheet", "skin=.032:AZ31B"],
    ],
)
def test_commands_fail_the_wrong_rivet_in_magnesium(arguments, capsys):
    code, told = called(arguments, capsys)
    (check,) = [one for one in told["checks"] if one["name"] == RIVET_ALLOY]

    assert (code, check["verdict"], check["where"]) == (1, "fail", "skin")


@pytest.mark.parametrize(
    "arguments",
    [
        ["grip", "MS20615-4M", "skin=.032:2024-T3", "rib=.04:2024-T3"],
        ["strength", "MS20615-4M", "skin=.063:2024-T3", "rib=.063:2024-T3", "--edge", ".26"],
        ["spacing", "MS20615-4M", "--pitch", "1", "--sheet", "skin=.063:2024-T3"],
    ],
)
def test_commands_warn_of_dissimilar_metals_and_do_not_fail(arguments, capsys):
    code, told = called(arguments, capsys)

    assert code == 0
    first = told["result"]["dissimilar_metals"][0]
    assert first["metals"] == ["nickel-copper", "aluminium"]
    assert first["corrodes"] == "skin"
    assert any("Dissimilar metals meet here" in words for words in told["cautions"])
    assert "tm-1-1500-344-23-2" in json.dumps(told["sources"])


@pytest.mark.parametrize(
    "arguments",
    [
        ["grip", "MS20470AD4", "skin=.032:2024-T3", "rib=.04"],
        ["spacing", "MS20470AD4", "--pitch", "1", "--sheet", ".032:2024-T3"],
    ],
)
def test_commands_are_silent_where_the_metals_are_alike(arguments, capsys):
    _, told = called(arguments, capsys)

    assert told["result"]["dissimilar_metals"] == []
    assert told["result"]["metals_advice"] == []
    assert not any("issimilar" in words for words in told["cautions"])


def test_a_metal_nobody_named_may_be_dissimilar(capsys):
    _, told = called(["grip", "MS20615-4M", ".032", ".04"], capsys)

    assert [one["known"] for one in told["result"]["dissimilar_metals"]] == [False, False]
    assert any("may meet here" in words for words in told["cautions"])


@pytest.mark.parametrize(
    "arguments",
    [
        ["grip", "MS20470AD4", ".032:dimpeld", ".04"],
        ["strength", "MS20470AD4", ".032:2024-T3:plain:plain", ".04:2024-T3"],
        ["spacing", "MS20470AD4", "--sheet", ".032:bare"],
    ],
)
def test_a_word_that_is_no_alloy_is_refused(arguments):
    with pytest.raises(InputError, match="no alloy"):
        main(arguments, standalone_mode=False)


# --- In a plan


def job(skin, member, rivet="MS20470AD3-3"):
    text = JOB.replace('"2024-T3"', f'"{skin}"').replace("MS20470AD3-3", rivet)
    return parse_job(text.replace('kind = "rib"\n', f'kind = "rib"\nalloy = "{member}"\n'))


def test_a_plan_fails_the_wrong_rivet_in_magnesium():
    checks = [
        one for one in plan_job(job("AZ31B-H24", "AZ31B-H24")).checks if one.name == RIVET_ALLOY
    ]

    assert {one.verdict for one in checks} == {Verdict.FAIL}
    assert {one.where for one in checks} == {"skin: row", "rib: row"}


def test_a_plan_names_the_rows_where_metals_meet():
    plan = plan_job(job("2024-T3", "4130"))
    report = plan_report(plan, inputs={}, length_unit="in")
    found = report.result["dissimilar_metals"]

    assert [(one["where"], one["between"]) for one in found] == [
        ("row", ["MS20470AD3", "rib"]),
        ("row", ["skin", "rib"]),
    ]
    assert "Dissimilar metals" in [section.heading for section in report.sections]
    assert any("Dissimilar metals meet here" in words for words in report.cautions)
    assert {one.source for one in plan.metals.review.citations} <= {
        one.source for one in report.citations
    }


def test_a_plan_of_one_metal_has_no_such_section():
    report = plan_report(plan_job(job("2024-T3", "6061-T6")), inputs={}, length_unit="in")

    assert "Dissimilar metals" not in [section.heading for section in report.sections]


def test_a_new_hole_in_magnesium_is_nowhere_for_another_rivet():
    finder = NewHoleFinder(
        job("AZ31B", "AZ31B", "MS20470B3-3"), parse_part_number("MS20470AD3"), ["skin"]
    )
    answer = finder.at((5.0, 3.0), reach_in=2.0)

    assert [one.verdict for one in answer.others if one.name == RIVET_ALLOY] == [Verdict.FAIL]
    assert not answer.suits
    assert answer.nearest is None


def test_no_place_is_free_where_every_drawn_layer_is_of_magnesium():
    right, wrong = (
        NewHoleFinder(job("AZ31B", "AZ31B", "MS20470B3-3"), parse_part_number(part))
        for part in ("MS20470B3", "MS20470AD3")
    )

    assert right.along((2.0, 3.0), (8.0, 3.0)).free
    assert wrong.along((2.0, 3.0), (8.0, 3.0)).free == ()


def test_a_new_hole_tells_the_metals_the_rivet_meets():
    finder = NewHoleFinder(job("4130", "4130"), parse_part_number("MS20470AD3"), ["skin"])

    assert [one.corrodes for one in finder.at((5.0, 3.0), reach_in=2.0).metals.contacts] == [
        "MS20470AD3"
    ]
    assert finder.along((2.0, 3.0), (8.0, 3.0)).metals.contacts
