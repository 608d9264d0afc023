"""Questions to calculators that have no answer: they say so, and never guess."""

import math
from dataclasses import replace

import pytest

from rivetkit.calculators.cover_shape import round_shape
from rivetkit.calculators.expansion_coefficients import expansion_rows
from rivetkit.calculators.fit_temperature import temperature_of_change_degf
from rivetkit.calculators.joint_strength import StrengthLayer, joint_strength
from rivetkit.calculators.nutplate_place import screw_hole_size_in
from rivetkit.calculators.nutplate_ring import RingLayers, lay_out_ring
from rivetkit.calculators.screw_line import screws_on_circle
from rivetkit.errors import InputError
from rivetkit.fasteners import parse_part_number
from rivetkit.fasteners.nutplates import nutplate
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


def test_one_screw_is_no_ring():
    with pytest.raises(InputError, match="a ring needs two screws or more"):
        lay_out_ring(
            nutplate("MS21047-3"),
            rivet=parse_part_number("MS20426AD3"),
            screws=screws_on_circle(round_shape(6.0), count=6)[:1],
            layers=RingLayers(),
            book=RuleBook.named(),
        )


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
