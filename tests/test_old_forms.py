"""A flush rivet comes out and another head goes in: how its hole was formed, and what stays."""

import pytest
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET, SKIN_STAYS

from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.plan import plan_job

NEW = 'new = { alloy = "2024-T3", thickness = 0.032 }'
STACK = 'layers = ["skin", { layer = "rib", row_from_edge = 0.3125 }]'


def row(skin="", rib="", rivet="MS20426AD3-4", fit="MS20470AD3"):
    """The row with other rivets and the layers formed so."""
    text = ROW.replace('"MS20470AD3-3"', f'"{rivet}"\nfit = "{fit}"')
    stack = (
        f'layers = [{{ layer = "skin"{skin} }}, {{ layer = "rib", row_from_edge = 0.3125{rib} }}]'
    )
    return text.replace(STACK, stack)


def planned(text):
    return plan_job(parse_job(text))


def left(plan):
    return [check for check in plan.checks if check.name == "hole formed for the old rivet"]


WAS_DIMPLED = ', old_form = "dimpled"'
WAS_SUNK = ', old_form = "countersunk"'
DIMPLED = ', form = "dimpled"'
SUNK = ', form = "countersunk"'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            row(),
            r'formed for the flush head of MS20426AD3-4 is not told; say it: \{ layer = "skin"',
        ),
        (
            row(SUNK),
            r"a layer is dimpled or countersunk; say with 'old_form' how it was formed for",
        ),
        (row(rib=WAS_SUNK), r"how the layers were formed .* is not told"),  # under a plain skin
        (row(WAS_SUNK, rivet="MS20470AD3-3"), "'old_form' is given, but no flush rivet comes out"),
        (row(WAS_SUNK) + "kept = true\n", "kept"),
        (row(', old_form = "flat"'), "old_form: 'flat' is not known here"),
    ],
)
def test_every_dead_end_names_the_row_and_the_way_on(text, message):
    with pytest.raises(InputError, match=rf"row 'row': .*{message}"):
        parse_job(HEAD + SHEET + MEMBER + text)


def test_following_the_mend_leads_to_a_plan():
    plan = planned(HEAD + SHEET + MEMBER + row(WAS_SUNK))
    (line,) = plan.removal

    assert line.card.form == "countersunk"
    assert left(plan) == []  # the countersink leaves with the old skin
    dimpled = planned(HEAD + SHEET + MEMBER + row(WAS_DIMPLED, WAS_SUNK))
    assert dimpled.removal[0].card.form == "dimpled"


@pytest.mark.parametrize(
    ("sheet", "skin", "rib", "verdicts"),
    [
        (SHEET, WAS_DIMPLED, WAS_DIMPLED, {"rib": Verdict.FAIL}),
        (SHEET, WAS_DIMPLED, WAS_SUNK, {"rib": Verdict.NOT_CHECKED}),
        (SHEET.replace(NEW, ""), WAS_SUNK, "", {"skin": Verdict.NOT_CHECKED}),  # goes back
        (SKIN_STAYS, WAS_SUNK, "", {"skin": Verdict.NOT_CHECKED}),
        (SHEET.replace("0.032", "0.025"), WAS_SUNK, "", {}),  # one like it goes on
    ],
)
def test_what_stays_keeps_its_dimples_and_countersinks(sheet, skin, rib, verdicts):
    # Common practice, no source: a flat sheet does not lie on a dimple.
    plan = planned(HEAD + sheet + MEMBER + row(skin, rib))

    assert {check.where.split()[0]: check.verdict for check in left(plan)} == verdicts
    if verdicts:
        assert set(hole_verdicts(plan).verdicts) == set(verdicts.values())


def test_a_hole_that_stays_as_it_was_or_is_formed_anew_is_no_matter():
    text = HEAD + SHEET + MEMBER
    assert left(planned(text + row(DIMPLED, DIMPLED, fit="MS20426AD3"))) == []
    assert left(planned(text + row(DIMPLED, DIMPLED, "MS20470AD3-3", "MS20426AD3"))) == []
    (rib,) = left(planned(text + row(DIMPLED, SUNK + WAS_DIMPLED, fit="MS20426AD3")))
    assert rib.verdict is Verdict.FAIL


def test_the_strength_before_is_that_of_the_old_form():
    # The tested values on file are of dimpled and of countersunk sheets: not one and the same.
    def before(form):
        skin = SHEET.replace("0.025", "0.050").replace("0.032", "0.050")
        return planned(HEAD + skin + MEMBER + row(*form)).strength[0].before

    assert before([WAS_SUNK]).why != before([WAS_DIMPLED, WAS_DIMPLED]).why


def test_rows_that_share_a_hole_tell_the_same_of_it():
    both = row(WAS_SUNK) + row(WAS_SUNK).replace('"row"', '"again"')
    assert lay_out(parse_job(HEAD + SHEET + MEMBER + both)).shared == 13
    differ = row(WAS_SUNK) + row(WAS_DIMPLED, WAS_SUNK).replace('"row"', '"again"')
    with pytest.raises(InputError, match="tell different things of how 'skin' was formed"):
        lay_out(parse_job(HEAD + SHEET + MEMBER + differ))


def test_an_added_layer_was_not_formed():
    added = MEMBER.replace('"rib"\n', '"rib"\nadded = true\n', 1)
    with pytest.raises(InputError, match="'old_form' is given, but 'rib' is added"):
        parse_job(HEAD + SHEET + added + row(WAS_SUNK, WAS_DIMPLED))


def test_a_countersink_goes_into_the_layer_that_is_added_over_the_old_one():
    # A skin that was countersunk, below a strip that is added and takes the countersink now.
    over = '[[member]]\nname = "over"\nkind = "strip"\nthickness = 0.05\nadded = true\n'
    over += "edge_distance = 1\n"
    text = row(WAS_SUNK, fit="MS20426AD3")
    text = text.replace("layers = [", f'layers = [{{ layer = "over"{SUNK} }}, ')
    plan = planned(HEAD + SKIN_STAYS + over + MEMBER + text)
    assert plan.removal[0].card.form == "countersunk"
    assert [check.verdict for check in left(plan)] == [Verdict.NOT_CHECKED]


def test_a_job_without_flush_rivets_is_as_before():
    assert left(planned(JOB)) == []
