"""Rivet mass: geometry against integration, masses worked out by hand, laws."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from rivetkit.calculators.mass import frustum_volume, rivet_mass_lb, spherical_cap_volume
from rivetkit.fasteners import parse_part_number

SIZES = st.floats(0.05, 2.0)


@given(SIZES, SIZES)
def test_cap_is_the_solid_of_a_turned_arc(diameter, height):
    # Outside reference: scipy quadrature over the sphere through rim and crown.
    radius = (diameter**2 / 4 + height**2) / (2 * height)
    centre = height - radius
    volume, _ = quad(lambda z: math.pi * (radius**2 - (z - centre) ** 2), 0, height)
    assert spherical_cap_volume(diameter, height) == pytest.approx(volume, rel=1e-9)


@given(SIZES, SIZES, SIZES)
def test_frustum_is_the_solid_of_a_turned_line(wide, narrow, height):
    def area(z):
        return math.pi / 4 * (narrow + (wide - narrow) * z / height) ** 2

    volume, _ = quad(area, 0, height)
    assert frustum_volume(wide, narrow, height) == pytest.approx(volume, rel=1e-9)


@pytest.mark.parametrize(
    ("part", "lb_per_1000"),
    [  # Basis: derived. Worked out apart from this code from recalled head sizes and .0993 lb/in3
        # (2117, read in a density chart); no published mass was found. Good to about 8 percent.
        ("MS20470AD2-4", 0.094),
        ("MS20470AD2-8", 0.170),
        ("MS20470AD5-2", 0.508),
        ("MS20470AD5-8", 1.222),
        ("MS20470AD6-6", 1.494),
        ("MS20470AD8-16", 5.981),
        ("MS20426AD2-4", 0.083),
        ("MS20426AD4-12", 0.966),
        ("MS20426AD5-5", 0.705),
        ("MS20426AD6-10", 1.931),
        ("MS20426AD8-9", 3.286),
    ],
)
def test_masses_worked_out_apart(part, lb_per_1000):
    mass = rivet_mass_lb(parse_part_number(part))
    assert mass.mass_lb_per_1000 == pytest.approx(lb_per_1000, rel=0.01)


def test_metal_and_old_name():
    # Densities: 2117 .0993 (density chart, read), 2024 .100 (aluminium structures text, read).
    light = rivet_mass_lb(parse_part_number("AN470AD4-6"))
    heavy = rivet_mass_lb(parse_part_number("MS20470DD4-6"))
    assert heavy.mass_lb / light.mass_lb == pytest.approx(0.100 / 0.0993)


def test_it_shows_its_working_and_its_weakest_source():
    mass = rivet_mass_lb(parse_part_number("MS20426AD4-6"))
    assert [working.name for working in mass.workings] == ["head", "shank", "mass"]
    assert mass.workings[1].substituted() == "pi / 4 x 0.1250 in^2 x 0.3330 in"
    assert mass.mass_lb == pytest.approx((mass.head_in3 + mass.shank_in3) * 0.0993)
    assert "memory" in {citation.basis for citation in mass.citations}


@pytest.mark.parametrize(
    "part",
    [
        "MS20470AD4",  # no length
        "AN455AD4-5",  # no head size on file
        "TMOPEN-42",  # blind
        "MS20426AD8-1",  # shorter than its own head
    ],
)
def test_unknown_mass_is_none(part):
    assert rivet_mass_lb(parse_part_number(part)) is None


@given(
    st.sampled_from(["MS20470AD", "MS20426AD", "NAS1097KE"]),
    st.sampled_from(["3", "4", "5", "6", "8"]),
    st.integers(4, 31),
)
def test_longer_and_thicker_rivets_weigh_more(head, diameter, length):
    mass = rivet_mass_lb(parse_part_number(f"{head}{diameter}-{length}"))
    longer = rivet_mass_lb(parse_part_number(f"{head}{diameter}-{length + 1}"))
    assert longer.mass_lb > mass.mass_lb
    if diameter != "8":
        thicker = rivet_mass_lb(
            parse_part_number(f"{head}{int(diameter) + 1 + (diameter == '6')}-{length}")
        )
        assert thicker.mass_lb > mass.mass_lb
