"""Questions to calculators that have no answer: they say so, and never guess."""

import math
from dataclasses import replace

import pytest

from rivetkit.calculators.heat.answer import HeatQuestion, answer_heat
from rivetkit.calculators.heat.coefficients import expansion_rows
from rivetkit.calculators.heat.fit_temperature import temperature_of_change_degf
from rivetkit.calculators.nutplates.cover_shape import round_shape
from rivetkit.calculators.nutplates.place import screw_hole_size_in
from rivetkit.calculators.nutplates.ring import RingLayers, lay_out_ring
from rivetkit.calculators.nutplates.screw_line import screws_on_circle
from rivetkit.calculators.strength.joint_strength import StrengthLayer, joint_strength
from rivetkit.calculators.strength.row_strength import (
    check_net_section,
    check_shear_out,
    row_lbf_per_in,
)
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners import parse_part_number
from rivetkit.fasteners.nutplates import nutplate
from rivetkit.planning.strength.not_weaker import _no_worse
from rivetkit.rules import Override, RuleBook

ACRYLIC = ("acrylic cast", "2024")


@pytest.mark.parametrize("name", ["", "  "])
def test_no_material_expands(name):
    with pytest.raises(InputError, match="no material is named; name one"):
        expansion_rows(name)


def test_a_change_without_a_size_has_no_temperature():
    with pytest.raises(InputError, match="the change is nan in; give a length"):
        temperature_of_change_degf(math.nan, *ACRYLIC, length_in=36.0, from_degf=70.0)


def test_no_cold_is_deep_enough_for_a_change_past_absolute_zero():
    # Physics: nothing is colder than -459.67 F, so a gap that wants more is never closed.
    def span(change_in):
        return temperature_of_change_degf(change_in, *ACRYLIC, length_in=36.0, from_degf=70.0)

    per_degf = 0.05 / (span(0.05).nearest_degf - 70.0)
    enough_in = 400.0 * per_degf
    assert span(-enough_in).nearest_degf == pytest.approx(-330.0)
    assert span(-600.0 * per_degf) is None


def test_a_blind_rivet_does_not_go_through_a_smaller_hole():
    sheets = [StrengthLayer(name, "2024-T3", 0.04) for name in ("skin", "rib")]
    rivet = parse_part_number("NAS9301B-4-03")
    joint = joint_strength(rivet, sheets, RuleBook.named(), hole_in=0.125)
    assert joint.hole_in == 0.125
    with pytest.raises(InputError, match=r"a hole of 0.12 in does not take NAS9301B-4-03"):
        joint_strength(rivet, sheets, RuleBook.named(), hole_in=0.12)


SHEETS = [StrengthLayer(name, "2024-T3", 0.04, 0.3) for name in ("skin", "rib")]


def row_checks(joint, layer):
    return [
        check_shear_out(joint, layer),
        check_net_section(joint, layer, pitch_in=1.0, at_edge=True),
    ]


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"alloy": "unobtainium"}, "on file for UNOBTAINIUM"),
        ({"edge_in": None}, "no edge distance was given for this layer"),
    ],
)
def test_a_sheet_is_not_passed_where_alloy_or_edge_is_unknown(change, reason):
    joint = joint_strength(parse_part_number("MS20470AD4"), SHEETS, RuleBook.named())
    assert {check.verdict for check in row_checks(joint, SHEETS[0])} == {Verdict.PASS}
    for check in row_checks(joint, replace(SHEETS[0], **change)):
        assert check.verdict is Verdict.NOT_CHECKED
        assert reason in check.reason


def test_a_sheet_is_not_passed_where_no_load_is_known():
    nameless = [replace(sheet, alloy="unobtainium") for sheet in SHEETS]
    joint = joint_strength(parse_part_number("NAS9301B-4-03"), nameless, RuleBook.named())
    assert joint.at_most_lbf is None
    for check in row_checks(joint, SHEETS[0]):
        assert check.verdict is Verdict.NOT_CHECKED
        assert check.reason == "no load is known to hold it against"


def test_a_seam_has_a_row():
    joint = joint_strength(parse_part_number("MS20470AD4"), SHEETS, RuleBook.named())
    with pytest.raises(InputError, match="a seam of 0 rows; give 1 or more"):
        row_lbf_per_in(joint, pitch_in=1.0, rows=0)


@pytest.mark.parametrize("change", [{"name": "other"}, {"form": "dimpled"}, {"edge_in": 0.29}])
def test_another_layer_or_form_or_a_nearer_edge_is_never_no_worse(change):
    old = SHEETS[0]
    assert _no_worse(old, old)
    assert not _no_worse(old, replace(old, **change))


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"fastener_in": None}, "the hole's fastener is not given"),
        ({"to_degf": ()}, "nothing is asked; give a temperature to go to, or a gap"),
    ],
)
def test_half_a_question_about_heat_is_refused(change, complaint):
    whole = HeatQuestion(
        material="acrylic cast",
        against=("2024",),
        length_in=30.0,
        held="middle",
        from_degf=70.0,
        to_degf=(120.0,),
        fastener_in=0.138,
        hole_in=0.2,
    )
    assert answer_heat(whole, RuleBook.named()).moves
    with pytest.raises(InputError, match=complaint):
        answer_heat(replace(whole, **change), RuleBook.named())


def test_one_screw_is_no_ring_and_two_are():
    def ring(count):
        return lay_out_ring(
            nutplate("MS21047-3"),
            rivet=parse_part_number("MS20426AD3"),
            screws=screws_on_circle(round_shape(6.0), count=6)[:count],
            layers=RingLayers(),
            book=RuleBook.named(),
        )

    with pytest.raises(InputError, match="a ring needs two screws or more"):
        ring(1)
    assert len(ring(2).plates) == 2


def test_a_screw_hole_that_is_not_on_file_is_asked_for():
    plate = replace(nutplate("MS21047-3"), screw_hole_in=None)
    with pytest.raises(InputError, match="not on file; give its size"):
        screw_hole_size_in(plate)
    assert screw_hole_size_in(plate, 0.2) == 0.2


def test_a_figure_of_another_kind_does_not_replace_a_rule():
    # The rules on file: a rivet's diameter is told in sheet thicknesses, an edge distance in D.
    def book(question, unit):
        return RuleBook.named(overrides=[Override(question, 2.0, unit, "maker's drawing 12")])

    with pytest.raises(InputError, match=r"is in 'D'; give it in in or mm or t$"):
        book("diameter_per_thickness_min", "D")
    with pytest.raises(InputError, match=r"is in 't'; give it in D or in or mm$"):
        book("edge_distance_max", "t")
    assert book("diameter_per_thickness_min", "t").rule("diameter_per_thickness_min").value == 2.0
