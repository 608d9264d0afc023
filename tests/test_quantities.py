"""Text to numbers and back, against definitions, scipy's constants and exact fractions."""

import math
import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from rivetkit.checks import MM_PER_IN
from rivetkit.errors import InputError
from rivetkit.quantities import (
    MM_PER_IN_EXACT,
    format_length,
    from_unit,
    nearest_fraction_text,
    parse_force_lbf,
    parse_length_in,
    parse_mass_lb,
    parse_number,
    parse_stress_ksi,
    parse_temperature_degf,
    shown,
    to_unit,
)

PLAIN_LENGTHS = [
    ("3/32", Fraction(3, 32)),
    ("1 3/16", Fraction(19, 16)),
    ("1-3/16", Fraction(19, 16)),
    ("  1   3 / 16 ", Fraction(19, 16)),
    ("6/64", Fraction(3, 32)),
    ("5/4", Fraction(5, 4)),
    (".032", Fraction(32, 1000)),
    ("0.032", Fraction(32, 1000)),
    ("0.032 in", Fraction(32, 1000)),
    ("0.032 IN.", Fraction(32, 1000)),
    ("0.032 inch", Fraction(32, 1000)),
    ("2 inches", Fraction(2)),
    ('0.032"', Fraction(32, 1000)),
    ("0.032\N{DOUBLE PRIME}", Fraction(32, 1000)),
    ("0.032''", Fraction(32, 1000)),
    ('3/32"', Fraction(3, 32)),
    ("3/32in", Fraction(3, 32)),
    ("32 thou", Fraction(32, 1000)),
    ("32thou", Fraction(32, 1000)),
    ("3.2e-2", Fraction(32, 1000)),
    ("+2", Fraction(2)),
    ("2.", Fraction(2)),
    ("\N{VULGAR FRACTION ONE HALF}", Fraction(1, 2)),
    ("1\N{VULGAR FRACTION ONE HALF}", Fraction(3, 2)),
    ("1 \N{VULGAR FRACTION THREE EIGHTHS} in", Fraction(11, 8)),
    ("3\N{FRACTION SLASH}32", Fraction(3, 32)),
]
METRIC_AND_FEET = [
    ("2.4 mm", Fraction(24, 254)),
    ("2.4mm", Fraction(24, 254)),
    ("2.4 MM", Fraction(24, 254)),
    ("24 cm", Fraction(2400, 254)),
    ("1 m", Fraction(10000, 254)),
    ("5 um", Fraction(5, 25400)),
    ("5 \N{MICRO SIGN}m", Fraction(5, 25400)),
    ("5 \N{GREEK SMALL LETTER MU}m", Fraction(5, 25400)),
    ("1.5 ft", Fraction(18)),
    ("2'", Fraction(24)),
]


@pytest.mark.parametrize(("text", "inches"), PLAIN_LENGTHS + METRIC_AND_FEET)
def test_a_length_is_the_float_nearest_to_the_exact_value(text, inches):
    assert parse_length_in(text) == float(inches)


@pytest.mark.parametrize(
    ("text", "inches"),
    [("-0.5", -0.5), ("\N{MINUS SIGN}0.5", -0.5), ("-1 3/16", -1.1875), ("-3/32", -0.09375)],
)
def test_negative_lengths_where_they_make_sense(text, inches):
    assert parse_length_in(text, allow_negative=True) == inches


def test_zero_where_it_makes_sense():
    assert parse_length_in("0", allow_zero=True) == 0.0
    assert math.copysign(1.0, parse_length_in(-0.0, allow_zero=True)) == 1.0


def test_a_fraction_means_inches_whatever_the_default_unit():
    # common practice, no source
    assert parse_length_in("3/32", default_unit="mm") == 0.09375
    assert parse_length_in("1 3/16", default_unit="mm") == 1.1875


@pytest.mark.parametrize("value", [2.4, 3, 0.1, 1.1, 1.7, 1.9])
def test_a_bare_number_is_in_the_default_unit_and_counts_as_the_decimal_it_prints_as(value):
    assert parse_length_in(value) == float(value)
    assert parse_length_in(value, default_unit="mm") == parse_length_in(f"{value} mm")


def test_numpy_numbers_are_numbers():
    import numpy as np

    assert parse_length_in(np.float64(2.4), default_unit="mm") == parse_length_in("2.4 mm")


@given(st.decimals(min_value="0.001", max_value="2000", places=4))
def test_millimetres_are_exactly_254_tenths_to_the_inch(amount):
    # international inch, 1959: 25.4 mm exactly
    expected = float(Fraction(amount) / Fraction(254, 10))
    assert parse_length_in(f"{amount} mm") == expected
    assert parse_length_in(str(amount), default_unit="mm") == expected
    assert from_unit(float(amount), "mm") == expected


@given(st.integers(1, 100_000))
def test_inches_thou_and_millimetres_agree(thousandths):
    inches = parse_length_in(f"{Decimal(thousandths) / 1000} in")
    assert parse_length_in(f"{thousandths} thou") == inches
    assert parse_length_in(f"{Decimal(thousandths) * Decimal('0.0254')} mm") == inches


@given(st.integers(0, 40), st.integers(1, 64), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractions_are_exact_and_a_sign_only_turns_them_round(whole, top, bottom):
    if top >= bottom:
        top = 1
    text = f"{whole} {top}/{bottom}"
    assert parse_length_in(text) == whole + top / bottom
    assert parse_length_in(f"-{text}", allow_negative=True) == -(whole + top / bottom)


@given(st.floats(0.001, 1000))
def test_what_is_shown_reads_back_to_the_places_shown(inches):
    assert abs(parse_length_in(format_length(inches)) - inches) <= 0.00005 + 1e-12
    mm = parse_length_in(format_length(inches, "mm")) * 25.4
    assert abs(mm - inches * 25.4) <= 0.0005 + 1e-9
    assert parse_length_in(format_length(inches, places=15)) == pytest.approx(inches, abs=1e-15)


@given(st.integers(1, 64 * 40), st.sampled_from([64, 128]))
def test_a_fraction_shown_reads_back_as_itself(sixty_fourths, denominator):
    inches = sixty_fourths / 64
    assert parse_length_in(nearest_fraction_text(inches, denominator)) == inches


@given(st.floats(0.02, 50), st.sampled_from([8, 16, 32, 64]))
def test_a_fraction_is_the_nearest_and_its_mark_says_on_which_side_the_length_is(inches, finest):
    text = nearest_fraction_text(inches, finest)
    near = parse_length_in(text.rstrip("+-"), allow_zero=True)
    assert abs(inches - near) <= 1 / (2 * finest)
    assert near * finest == int(near * finest)
    mark = {True: "+", False: "-"}[inches > near] if abs(inches - near) > 1e-9 else ""
    assert text[len(text.rstrip("+-")) :] == mark


@pytest.mark.parametrize(
    ("inches", "text"),
    [
        (1.1875, "1 3/16"),
        (2.0, "2"),
        (0.0, "0"),
        (0.098, "3/32+"),
        (0.191, "3/16+"),
        (0.189, "3/16+"),
        (0.1285, "1/8+"),
        (0.096, "3/32+"),
        (0.093, "3/32-"),
        (0.999, "1-"),
        (-0.098, "-3/32+"),
        (-1.1875, "-1 3/16"),
        (0.002, "0+"),
        (1 / 128, "1/64-"),
        (0.1 + 0.15, "1/4"),
    ],
)
def test_fraction_texts(inches, text):
    assert nearest_fraction_text(inches) == text


@pytest.mark.parametrize(
    ("inches", "unit", "places", "text"),
    [
        (0.032, "in", None, "0.032 in"),
        (0.1285, "in", None, "0.1285 in"),
        (0.5, "in", None, "0.500 in"),
        (0.03125, "in", None, "0.0313 in"),
        (0.09375, "in", None, "0.0938 in"),
        (-0.03125, "in", None, "-0.0313 in"),
        (-0.00001, "in", None, "0.000 in"),
        (12.0, "in", None, "12.000 in"),
        (0.032, "in", 2, "0.03 in"),
        (0.5, "in", 0, "1 in"),
        (0.5, "mm", None, "12.70 mm"),
        (0.098, "mm", None, "2.489 mm"),
        (0.098, "mm", 1, "2.5 mm"),
        (0.032, "thou", None, "32 thou"),
        (24.0, "ft", None, "2.000 ft"),
    ],
)
def test_length_texts(inches, unit, places, text):
    assert format_length(inches, unit, places) == text
    assert format_length(inches, unit, places, with_unit=False) == text.split()[0]


def test_both_homes_of_the_inch_in_millimetres_agree():
    assert float(MM_PER_IN_EXACT) == MM_PER_IN == constants.inch * 1000


@pytest.mark.parametrize(
    ("unit", "metres"),
    [
        ("mm", constants.milli),
        ("cm", constants.centi),
        ("m", 1.0),
        ("um", constants.micro),
        ("thou", constants.mil),
        ("ft", constants.foot),
        ("in", constants.inch),
    ],
)
def test_length_units_against_scipy_constants(unit, metres):
    assert from_unit(1.0, unit) == pytest.approx(metres / constants.inch, rel=1e-15)
    assert to_unit(1.0, unit) == pytest.approx(constants.inch / metres, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "degf"),
    [
        ("70 F", 70.0),
        ("70F", 70.0),
        ("70 degF", 70.0),
        ("70 \N{DEGREE SIGN}F", 70.0),
        ("70 deg. f", 70.0),
        ("0 C", 32.0),
        ("100 degrees C", 212.0),
        ("-40 C", -40.0),
        ("21 \N{DEGREE SIGN}C", 69.8),
        ("-459.67 F", -459.67),
        ("0 K", -459.67),
        ("-273.15 C", -459.67),
        ("255.372222222222222 K", 0.0),
    ],
)
def test_temperatures(text, degf):
    # 0 C is 32 F, 100 C is 212 F, 0 K is -459.67 F: the definitions of the scales
    assert parse_temperature_degf(text) == pytest.approx(degf, abs=1e-12)


@given(st.decimals(min_value=-200, max_value=1000, places=2))
def test_temperatures_against_scipy(celsius):
    expected = constants.convert_temperature(float(celsius), "Celsius", "Fahrenheit")
    assert parse_temperature_degf(f"{celsius} C") == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("parse", "text", "expected"),
    [
        (parse_force_lbf, "500", 500.0),
        (parse_force_lbf, 500, 500.0),
        (parse_force_lbf, "500 lbf", 500.0),
        (parse_force_lbf, "1 N", 1 / constants.pound_force),
        (parse_force_lbf, "1 kN", 1000 / constants.pound_force),
        (parse_stress_ksi, "64", 64.0),
        (parse_stress_ksi, "64 ksi", 64.0),
        (parse_stress_ksi, "64000 psi", 64.0),
        (parse_stress_ksi, "1 MPa", 1e6 / constants.psi / 1000),
        (parse_mass_lb, "2.5", 2.5),
        (parse_mass_lb, "1/2 lb", 0.5),
        (parse_mass_lb, "16 oz", 1.0),
        (parse_mass_lb, "1 g", 0.001 / constants.lb),
        (parse_mass_lb, "1 kg", 1 / constants.lb),
    ],
)
def test_forces_stresses_and_masses_against_scipy_constants(parse, text, expected):
    assert parse(text) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "number"),
    [("3", 3.0), ("-0.5", -0.5), ("1/4", 0.25), (7, 7.0), (0.1, 0.1), ("0", 0.0), ("1e3", 1000.0)],
)
def test_bare_numbers(text, number):
    assert parse_number(text) == number


LENGTH_HINT = "write it as 3/32, 0.032 in or 2.4 mm"
LENGTH_UNITS = "use in, thou, ft, mm, cm or m"
DRILL_HINT = "is not a length; that is a drill name: give its size, in inches or mm"
MIL_HINT = "to some that is a thousandth of an inch, to others a mm: write thou, in or mm"
FRACTION_HINT = "a fraction means inches: write 3/32 in, or a decimal with mm"
MIXED_HINT = "write it as 1 3/16, the fraction below one"
NO_POINT = "is a whole number that starts with 0, as a gauge without its point"
ONE_NUMBER = "holds more than one number; write one number and one unit"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f"length is empty; {LENGTH_HINT}"),
        ("  ", f"length is empty; {LENGTH_HINT}"),
        ("thick", f"length 'thick' cannot be read; {LENGTH_HINT}"),
        ("in", f"length 'in' cannot be read; {LENGTH_HINT}"),
        ("5 -", f"length '5 -' cannot be read; {LENGTH_HINT}"),
        ("3/32+", f"length '3/32+' cannot be read; {LENGTH_HINT}"),
        ("2.4 mm/in", f"length '2.4 mm/in' cannot be read; {LENGTH_HINT}"),
        ("3\N{SUPERSCRIPT TWO}", f"length '3\N{SUPERSCRIPT TWO}' cannot be read; {LENGTH_HINT}"),
        ("0", "length '0' is zero; give one above zero"),
        (0, "length '0' is zero; give one above zero"),
        ("1e-999", "length '1e-999' is zero; give one above zero"),
        ("-0.5", "length '-0.5' is negative; give one above zero"),
        (-0.5, "length '-0.5' is negative; give one above zero"),
        ("nan", f"length 'nan' is not a finite number; {LENGTH_HINT}"),
        ("-inf", f"length '-inf' is not a finite number; {LENGTH_HINT}"),
        ("Infinity mm", f"length 'Infinity mm' is not a finite number; {LENGTH_HINT}"),
        (math.nan, f"length 'nan' is not a finite number; {LENGTH_HINT}"),
        (math.inf, f"length 'inf' is not a finite number; {LENGTH_HINT}"),
        (True, f"length 'True' is neither text nor a number; {LENGTH_HINT}"),
        (None, f"length 'None' is neither text nor a number; {LENGTH_HINT}"),
        ([1, 2], f"length '[1, 2]' is neither text nor a number; {LENGTH_HINT}"),
        (10**400, f"length is a number too great to reckon with; {LENGTH_HINT}"),
        ("9" * 61, f"length '{'9' * 57}...' is too long to be one number; {LENGTH_HINT}"),
        ("2,4 mm", "length '2,4 mm' has a decimal comma; write 2.4 mm"),
        (
            "1,000.5",
            "length '1,000.5' has a comma; write the number with a point and no commas",
        ),
        ("0.O32", "length '0.O32' has a letter for a digit; write 0.032"),
        ("O.032 in", "length 'O.032 in' has a letter for a digit; write 0.032 in"),
        ("2.4O mm", "length '2.4O mm' has a letter for a digit; write 2.40 mm"),
        ("1 l/8", "length '1 l/8' has a letter for a digit; write 1 1/8"),
        ("I/8", "length 'I/8' has a letter for a digit; write 1/8"),
        ("2 mm in", "length '2 mm in' has two units; keep one"),
        ("1 ft 3 in", f"length '1 ft 3 in' {ONE_NUMBER}"),
        ("3/32 5/16", f"length '3/32 5/16' {ONE_NUMBER}"),
        ("0.5/2", f"length '0.5/2' {ONE_NUMBER}"),
        ("1/2.5", f"length '1/2.5' {ONE_NUMBER}"),
        ("1_000", f"length '1_000' {ONE_NUMBER}"),
        ("1/3/4", "length '1/3/4' has more than one '/'; write one fraction, such as 3/32"),
        ("1/0", "length '1/0' divides by zero; write a fraction such as 3/32"),
        ("1 3/0", "length '1 3/0' divides by zero; write a fraction such as 3/32"),
        (
            "1 19/16",
            f"length '1 19/16' has a whole inch or more in 19/16; {MIXED_HINT}",
        ),
        ("100001", "length '100001' is over 100000 in; check the number and its unit"),
        ("1e999 mm", "length '1e999 mm' is over 100000 in; check the number and its unit"),
        (
            "3/32 mm",
            f"length '3/32 mm' is a fraction of mm; {FRACTION_HINT}",
        ),
        ("32 mil", f"length '32 mil' is in mil; {MIL_HINT}"),
        ("32 mils", f"length '32 mils' is in mils; {MIL_HINT}"),
        ("70 F", f"length '70 F' is a temperature, not a length; {LENGTH_UNITS}"),
        (
            "21 \N{DEGREE SIGN}C",
            f"length '21 \N{DEGREE SIGN}C' is a temperature, not a length; {LENGTH_UNITS}",
        ),
        ("5 lbf", f"length '5 lbf' is a force, not a length; {LENGTH_UNITS}"),
        ("5 lb", f"length '5 lb' is a mass, not a length; {LENGTH_UNITS}"),
        ("5 MPa", f"length '5 MPa' is a stress, not a length; {LENGTH_UNITS}"),
        ("3 D", f"length '3 D' has the unknown unit 'D'; {LENGTH_UNITS}"),
        ("3 %", f"length '3 %' has the unknown unit '%'; {LENGTH_UNITS}"),
        ("#40", f"length '#40' {DRILL_HINT}"),
        ("no. 40", f"length 'no. 40' {DRILL_HINT}"),
        ("F", f"length 'F' {DRILL_HINT}"),
        ("two\nlines", f"length 'two lines' cannot be read; {LENGTH_HINT}"),
        ("bell\a", f"length 'bell?' cannot be read; {LENGTH_HINT}"),
        ("032", f"length '032' {NO_POINT}; write .032"),
        (" 0063 ", f"length '0063' {NO_POINT}; write .0063"),
        ("-025", f"length '-025' {NO_POINT}; write -.025"),
        ("032 in", f"length '032 in' {NO_POINT}; write .032 in"),
        ('032"', f"length '032\"' {NO_POINT}; write .032 in"),
    ],
)
def test_refused_lengths(text, message):
    with pytest.raises(InputError) as refused:
        parse_length_in(text)
    assert str(refused.value) == message


def test_a_gauge_without_its_point_is_refused_in_millimetres_too():
    with pytest.raises(InputError) as refused:
        parse_length_in("032", default_unit="mm", what="--sheet")
    assert str(refused.value) == f"--sheet '032' {NO_POINT}; write .032 in, or 32 mm"


@pytest.mark.parametrize(
    ("text", "inches"),
    [("032 thou", 0.032), ("0.032", 0.032), ("00.5", 0.5), ("03/32", 3 / 32), ("32", 32), (32, 32)],
)
def test_a_leading_zero_is_no_matter_where_the_size_is_plain(text, inches):
    assert parse_length_in(text) == inches


def test_a_refusal_names_what_the_length_is_and_what_may_be_given():
    with pytest.raises(InputError) as refused:
        parse_length_in("-1", what="edge distance", allow_zero=True)
    assert str(refused.value) == "edge distance '-1' is negative; give zero or more"
    with pytest.raises(InputError) as refused:
        parse_length_in("0", what="offset", allow_negative=True)
    assert str(refused.value) == "offset '0' is zero; give any other"


@pytest.mark.parametrize("convert", [from_unit, to_unit, format_length])
def test_an_unknown_length_unit_is_refused(convert):
    with pytest.raises(InputError) as refused:
        convert(1.0, "furlong")
    assert str(refused.value) == f"no length unit is called 'furlong'; {LENGTH_UNITS}"


def test_an_unknown_default_unit_is_refused():
    with pytest.raises(InputError) as refused:
        parse_length_in("2.4", default_unit="mil")
    assert str(refused.value) == f"no length unit is called 'mil'; {LENGTH_UNITS}"


def test_a_fraction_needs_a_division():
    with pytest.raises(InputError) as refused:
        nearest_fraction_text(0.5, 0)
    assert str(refused.value) == "denominator 0 divides no inch; give one or more"


TEMPERATURE_HINT = "write it as 70 F or 21 C"


@pytest.mark.parametrize(
    ("parse", "text", "message"),
    [
        (parse_temperature_degf, "70", f"temperature '70' has no unit; {TEMPERATURE_HINT}"),
        (parse_temperature_degf, 70, f"temperature '70' has no unit; {TEMPERATURE_HINT}"),
        (
            parse_temperature_degf,
            "70 deg",
            "temperature '70 deg' has the unknown unit 'deg'; use F, C or K",
        ),
        (
            parse_temperature_degf,
            "70 in",
            "temperature '70 in' is a length, not a temperature; use F, C or K",
        ),
        (
            parse_temperature_degf,
            "-300 C",
            "temperature '-300 C' is below absolute zero; check the number and its unit",
        ),
        (
            parse_temperature_degf,
            "20000 F",
            "temperature '20000 F' is over 10000 F; check the number and its unit",
        ),
        (parse_temperature_degf, "warm", f"temperature 'warm' cannot be read; {TEMPERATURE_HINT}"),
        (parse_force_lbf, "5 lb", "force '5 lb' is a mass, not a force; use lbf, N or kN"),
        (parse_force_lbf, "-5", "force '-5' is negative; give one above zero"),
        (parse_force_lbf, "", "force is empty; write it as 500 lbf or 2.2 kN"),
        (
            parse_stress_ksi,
            "64000",
            "stress '64000' is over 1000 ksi; check the number and its unit",
        ),
        (parse_stress_ksi, "5 mm", "stress '5 mm' is a length, not a stress; use ksi, psi or MPa"),
        (parse_mass_lb, "5 N", "mass '5 N' is a force, not a mass; use lb, oz, g or kg"),
        (parse_mass_lb, "5 mil", "mass '5 mil' has the unknown unit 'mil'; use lb, oz, g or kg"),
        (parse_number, "3 in", "number '3 in' is no bare number; leave out 'in'"),
        (parse_number, "nan", "number 'nan' is not a finite number; write it as 3, 0.5 or 1/2"),
        (parse_number, "1e999", "number '1e999' is too great to reckon with; check the number"),
        (parse_number, "x", "number 'x' cannot be read; write it as 3, 0.5 or 1/2"),
        (parse_number, "", "number is empty; write it as 3, 0.5 or 1/2"),
    ],
)
def test_other_refusals(parse, text, message):
    with pytest.raises(InputError) as refused:
        parse(text)
    assert str(refused.value) == message


@given(
    st.one_of(
        st.text(max_size=20),
        st.text(alphabet="0123456789 /.-+eE,#\"'inmthoucfkFCµ½", max_size=12),
    )
)
def test_any_text_gives_a_finite_length_or_one_line(text):
    inches, line, mend = 1.0, "", "none needed"
    try:
        inches = parse_length_in(text)
    except InputError as refused:
        line, mend = str(refused), refused.mend
    assert 0 < inches <= 100_000
    assert line.isprintable()
    assert mend


def test_long_text_is_shortened_in_messages():
    assert shown("x" * 61) == "x" * 57 + "..."
    assert shown("x" * 60) == "x" * 60


def test_text_in_inches_imports_no_units_package():
    script = (
        "import sys\n"
        "from rivetkit import quantities as q\n"
        f"for text in {[text for text, _ in PLAIN_LENGTHS]!a}:\n"
        "    q.parse_length_in(text)\n"
        "q.parse_length_in(0.5), q.parse_length_in('3/32', default_unit='mm')\n"
        "q.parse_force_lbf('5 lbf'), q.parse_temperature_degf('70 F'), q.parse_number('3')\n"
        "q.format_length(0.5, 'mm'), q.nearest_fraction_text(0.5), q.from_unit(2.4, 'mm')\n"
        "print(sorted({'pint', 'numpy', 'shapely'} & set(sys.modules)))\n"
        "q.parse_length_in('2.4 mm')\n"
        "print('pint' in sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.split("\n")[:2] == ["[]", "True"]
