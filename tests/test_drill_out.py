"""The removal card: what each document says, and laws that keep the hole."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.calculators.removal.drill_out import drill_out
from rivetkit.checks import Verdict
from rivetkit.cli.app import exit_code_of
from rivetkit.errors import InputError
from rivetkit.fasteners import parse_part_number, standards
from rivetkit.job.read import parse_job
from rivetkit.planning.plan import plan_job
from rivetkit.rules import Override, RuleBook, rule_questions, rule_set_names

BOOK = RuleBook.named()
MM = 1 / 25.4


def card(part, book=BOOK, **options):
    return drill_out(parse_part_number(part), book, **options)


def methods(found):
    return {method.rule: method for method in (found.method, *found.alternatives)}


# --- what the documents say


def test_protruding_head_by_ac_43_13():
    # AC 43.13-1B p 4-12: drill of the rivet's own diameter, to the base of the head, pin punch.
    found = card("MS20470AD4-5")
    assert (found.drill.designation, found.method.citation.source) == ("1/8", "ac43")
    assert found.depth_in == 0.054  # head height from memory
    assert found.method.depth_datum == "top of the head"
    assert found.method.into_sheet_in == 0
    assert found.steps[2] == "Drill the head square with a 1/8 (0.125 in) bit."
    assert "Snap the head off with a 3/32 in pin punch." in found.steps


def test_protruding_head_by_the_handbook():
    # FAA-H-8083-31 series, from memory: one drill size smaller than the shank.
    found = card("MS20470AD4-5", RuleBook.named("amt"))
    assert (found.drill.designation, found.method.citation.basis) == ("#31", "memory")


def test_flush_countersunk_goes_to_half_the_near_sheet():
    # Wartime service and repair manual, section I par 9.
    found = card("AN426AD3-3", form="countersunk", near_sheet_in=0.040)
    assert (found.drill.designation, found.depth_in) == ("3/32", 0.020)
    assert found.method.depth.formula == "t / 2"
    assert found.method.depth.substituted() == "0.0400 in / 2"
    assert found.method.depth_datum == "face of the near sheet"


def test_dimpled_flush_is_drilled_under_the_shank_to_the_head_height():
    # FAA-H-8083-31 series, from memory: about .003 in under the shank, to head depth.
    found = card("AN426AD4-4", form="dimpled", stack_in=0.040)
    assert found.drill.size_in <= 0.125 - 0.003 < 0.1285
    assert found.depth_in == 0.042
    assert [check.name for check in found.checks] == ["head drill against the hole"]


def test_pull_rivet_is_drilled_with_the_bit_of_its_hole():
    # TM 10-5410-223-24 par 2-12: a bit equal to the original hole; table 2-3: 5/32 No. 20.
    found = card("TMOPEN-54")
    assert (found.drill.designation, found.method.citation.source) == ("#20", "tm-10-5410")


def test_locked_blind_rivet_is_drilled_at_shank_size():
    # FAA-H-8083-31 series, from memory: a bit of shank size, nearly through the head.
    assert card("NAS9301B-6-03").drill.designation == "3/16"


def test_oversize_blind_rivet_is_drilled_at_its_own_shank():
    # From memory: NAS1738 1/8 shank is .140.
    found = card("NAS1738B4-3")
    assert found.shank_in == 0.140
    assert 0.128 < found.drill.size_in <= 0.140


def test_other_documents_stand_beside_the_one_in_force():
    # Light-aircraft structural repair manual, page 50 of the scan: 1/32 in under the shank,
    # through the head only. Light-aircraft manual p 88: 0.6 mm under, two thirds of the stack.
    found = methods(card("MS20470AD4-5", near_sheet_in=0.032, stack_in=0.072))
    assert found["srm-protruding"].drill.designation == "3/32"
    assert found["srm-protruding"].depth_in == 0.054
    other = found["light-aircraft-protruding"]
    assert other.size.value == pytest.approx(0.125 - 0.6 * MM, abs=1e-6)
    assert other.depth_in == pytest.approx(0.048)
    assert "Go in to two thirds of the whole stack: 0.048 in." in other.steps()
    assert len({method.drill for method in found.values()}) > 2  # they do not agree


def test_drift_is_a_tenth_of_a_millimetre_under_the_shank():
    # Light-aircraft manual p 88: soft drift 0.1 mm under the shank.
    found = card("MS20470AD6-5")
    assert found.drift.value == pytest.approx(3 / 16 - 0.1 * MM)
    assert found.punch == Fraction(5, 32)


def test_no_stock_punch_passes_the_smallest_hole():
    found = card("MS20470AD2-4")
    assert found.punch is None
    assert "Snap the head off with a 0.0586 in or thinner pin punch." in found.steps


def test_a_punch_that_nobody_stocks_is_not_named_as_if_it_were(capsys):
    # A 1/16 shank less 0.1 mm (light-aircraft manual p 88); the least stock punch is 1/16 in.
    assert exit_code_of(["drill-out", "MS20470AD2-3", "--hole", ".070"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "none on file so thin the least is 1/16 in: grind one to 0.0586 in or less" in out
    assert "a 0.0586 in pin punch" not in out


def test_a_plan_lays_out_a_punch_for_every_shank_and_says_where_none_is_thin_enough():
    text = JOB.replace("MS20470AD3", "MS20470AD2").replace("0.025", "0.063")
    assert text.count("MS20470AD2") == 1
    tools = plan_job(parse_job(text)).tools.tools
    assert [tool.size for tool in tools if tool.tool == "pin punch"] == ["under 1/16 in"]


def test_thin_sheet_is_told_from_thick():
    # AC 43.13-1B p 4-27: rivet diameter three times the sheet. Past that the sheet counts as thin.
    assert card("MS20470AD4-5", near_sheet_in=0.040).backing.thin is True
    assert card("MS20470AD4-5", near_sheet_in=0.042).backing.thin is False
    assert card("MS20470AD4-5").backing.thin is None
    ratio = card("MS20470AD4-5", near_sheet_in=0.050).backing.diameter_over_sheet
    assert (ratio.value, ratio.formula) == (2.5, "D / t")


def test_nutplate_keeps_its_screw_hole():
    # From memory: hold the nutplate, leave the screw hole alone.
    notes = card("MS20426AD3-4", form="dimpled", nutplate=True).notes
    assert [note.basis for note in notes] == ["memory", "memory"]
    assert "cannot spin" in notes[0].text
    assert "screw hole" in notes[1].text
    assert card("MS20426AD3-4", form="dimpled").notes == ()


def test_closed_end_rivet_says_that_no_document_covers_it():
    found = card("ISO15973-4x10-AlA/St")
    assert found.method.rule == "tm-blind-open"
    assert found.notes[0].text.startswith("No document on file takes a closed-end rivet out")


@pytest.mark.skipif("pilot_drill_max" not in rule_questions(), reason="no pilot rule on file")
def test_pilot_is_at_most_half_the_shank():
    # Common practice, no source.
    for part in ("MS20470AD3", "MS20470AD4", "MS20470AD8", "ISO15977-4-AlA/St"):
        found = card(part)
        assert 0 < found.pilot.size_in <= found.shank_in / 2
    book = RuleBook.named(overrides=[Override("pilot_drill_max", 0.25, "D", "invented")])
    assert card("MS20470AD8", book).pilot.size_in <= 1 / 16


# --- what is missing is said


def test_depth_says_what_was_not_given():
    found = card("AN426AD3-3", form="countersunk")
    assert found.depth_in is None
    assert found.depth_reason == "the thickness of the near sheet was not given"
    assert found.steps[2].endswith(
        "near sheet: not known, the thickness of the near sheet was not given."
    )
    assert card("AN455AD4-5").depth_reason == "no head height of AN455 is on file"
    other = methods(card("MS20470AD4-5"))["light-aircraft-protruding"]
    assert other.depth_reason == "the thickness of the stack was not given"


def test_countersunk_head_deeper_than_the_stack_fails_and_is_not_drilled_past_it():
    book = RuleBook.named("amt")
    deep = card("MS20426AD5-5", book, form="countersunk", stack_in=0.050)
    assert [check.verdict for check in deep.checks] == [Verdict.PASS, Verdict.FAIL]
    assert deep.depth_in == 0.050
    assert deep.method.depth.formula == "least of H, T"
    unknown = card("MS20426AD5-5", book, form="countersunk", near_sheet_in=0.050)
    assert unknown.checks[1].verdict is Verdict.NOT_CHECKED
    assert unknown.checks[1].reason == "the thickness of the stack was not given"
    enough = card("MS20426AD5-5", book, form="countersunk", near_sheet_in=0.063)
    assert enough.checks[1].verdict is Verdict.PASS


def test_hole_no_table_has_is_not_checked():
    found = card("MS20470AD12-9", RuleBook.named("wartime"))
    assert found.checks[0].verdict is Verdict.NOT_CHECKED
    assert found.drill.designation == "3/8"
    measured = card("MS20470AD12-9", RuleBook.named("wartime"), hole_in=0.380)
    assert measured.checks[0].verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("part", "options", "message"),
    [
        (
            "MS20426AD4-4",
            {},
            (
                "'MS20426AD4-4' is flush: is the near sheet countersunk or dimpled?; say "
                "countersunk or dimpled"
            ),
        ),
        (
            "MS20470AD4-4",
            {"form": "dimpled"},
            (
                "'MS20470AD4-4' has a protruding head and cannot be dimpled; leave the form out, "
                "or name a flush rivet"
            ),
        ),
        (
            "MS20426AD4-4",
            {"form": "sunk"},
            "no hole form is called 'sunk'; say countersunk or dimpled",
        ),
        (
            "MS20470AD4-4",
            {"near_sheet_in": 0.06, "stack_in": 0.05},
            (
                "the near sheet (0.06 in) is thicker than the stack (0.05 in); count the near "
                "sheet in the stack"
            ),
        ),
        (
            "MS20470AD4-4",
            {"near_sheet_in": 0.0},
            "the near sheet is 0 in; give a length above zero",
        ),
        ("MS20470AD4-4", {"hole_in": -1.0}, "the hole is -1 in; give a length above zero"),
    ],
)
def test_errors(part, options, message):
    with pytest.raises(InputError) as caught:
        card(part, **options)
    assert str(caught.value) == message


# --- laws


@st.composite
def rivets(draw):
    """A rivet of any standard, without its length, and a form that suits it."""
    standard = standards()[draw(st.sampled_from(sorted(standards())))]
    codes = {
        "": "",
        "material": draw(st.sampled_from(standard.materials)) if standard.materials else "",
        "diameter": draw(st.sampled_from(standard.diameters)),
    }
    pieces = [piece for piece in standard.segments if piece.field in codes]
    text = standard.name + "".join(piece.literal + codes[piece.field] for piece in pieces)
    form = draw(st.sampled_from(["countersunk", "dimpled"]))
    return text, form if parse_part_number(text).flush else None


@given(
    rivets(),
    st.sampled_from(rule_set_names()),
    st.none() | st.floats(0.02, 0.5),
    st.floats(0.016, 0.25),
    st.floats(0.0, 0.25),
)
def test_hole_and_sheets_are_kept(rivet, rules, hole_in, near_in, rest_in):
    text, form = rivet
    stack_in = near_in + rest_in
    found = card(
        text,
        RuleBook.named(rules),
        near_sheet_in=near_in,
        stack_in=stack_in,
        form=form,
        hole_in=hole_in,
    )
    hole_check = found.checks[0]
    assert hole_check.verdict is not Verdict.FAIL
    for method in methods(found).values():
        if hole_in is not None:
            assert method.drill.size_in <= hole_in + 1e-9
        if hole_check.limit is not None:
            assert method.drill.size_in <= hole_check.limit + 1e-9
        if method.into_sheet_in is not None and form != "dimpled":
            assert method.into_sheet_in <= stack_in + 1e-9
        assert all("{" not in step for step in (*method.steps("in"), *method.steps("mm")))
    assert found.drift.value < found.shank_in
    assert found.punch is None or float(found.punch) <= found.drift.value


@given(st.sampled_from(["MS20470AD4", "NAS1097AD5", "TMOPEN-6"]), st.floats(0.05, 0.3))
def test_a_smaller_hole_never_gets_a_larger_drill(text, hole_in):
    form = "countersunk" if parse_part_number(text).flush else None
    drill = card(text, form=form, hole_in=hole_in).drill
    smaller = card(text, form=form, hole_in=hole_in * 0.9).drill
    assert smaller.size_in <= drill.size_in
