"""The drill chart, against exact fractions, the inch in millimetres, and a plain search."""

import re
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from string import ascii_uppercase

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.drills import (
    SERIES,
    chart,
    closest,
    drill_names_near,
    find_drill,
    largest_at_or_below,
    neighbours,
    rivet_drill_table,
    smallest_at_or_above,
)
from rivetkit.errors import InputError, OutOfTableError, TableError
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.holes import RivetHoleRow
from rivetkit.rules import RuleBook, rule_set_names

SMALLEST_IN = Fraction(1, 254)
LARGEST_IN = Fraction(130, 254)

sizes_in = st.one_of(
    st.floats(float(SMALLEST_IN), float(LARGEST_IN)),
    st.integers(40, 5118).map(lambda tenths: tenths / 10_000),
    st.sampled_from([drill.size_in for drill in chart()]),
    st.sampled_from([drill.size_in for drill in chart()[1:-1]]).map(lambda size: size + 1e-11),
    st.sampled_from([drill.size_in for drill in chart()[1:-1]]).map(lambda size: size - 1e-11),
)
some_series = st.one_of(
    st.none(), st.lists(st.sampled_from(SERIES), min_size=1, unique=True).map(tuple)
)


def of(series):
    return [drill for drill in chart() if series is None or drill.series in series]


@pytest.mark.parametrize("text", ["0 mm", "0.0 mm", "0 in", "-2.5 mm"])
def test_no_drill_has_no_size(text):
    with pytest.raises(InputError, match=r"is (zero|negative); give one above zero"):
        find_drill(text)


def test_the_chart_runs_from_small_to_large_and_no_name_stands_twice():
    sizes = [drill.size_in for drill in chart()]
    assert sizes == sorted(sizes)
    names = [drill.designation for drill in chart()]
    assert len(set(names)) == len(names)
    assert chart() is chart()


def test_fraction_drills_are_sixty_fourths():
    names = {drill.designation: drill.size_in for drill in of(("fraction",))}
    expected = {str(Fraction(n, 64)): n / 64 for n in range(1, 33)}
    assert names == expected


def test_metric_drills_are_what_their_name_says_in_millimetres():
    # international inch, 1959: 25.4 mm exactly
    for drill in of(("metric",)):
        size_mm = Fraction(re.fullmatch(r"([0-9.]+) mm", drill.designation)[1])
        assert drill.size_in == float(size_mm / Fraction(254, 10))


def test_letter_and_number_drills_follow_their_order():
    letters = of(("letter",))
    assert "".join(drill.designation for drill in letters) == ascii_uppercase
    numbers = [int(drill.designation[1:]) for drill in of(("number",))]
    assert numbers == list(range(80, 0, -1))
    assert of(("number",))[-1].size_in < letters[0].size_in


@pytest.mark.parametrize(
    ("name", "size_in"),
    [("#52", 0.0635), ("#41", 0.096), ("#30", 0.1285), ("#22", 0.157), ("#12", 0.189)],
)
def test_sizes_printed_in_the_wartime_repair_manual(name, size_in):
    # period repair manual, section I par 16: rivet drills with their decimal sizes
    assert find_drill(name).size_in == size_in


@pytest.mark.parametrize(
    ("name", "size_in"),
    [
        ("#80", 0.0135),
        ("#51", 0.067),
        ("#40", 0.098),
        ("#21", 0.159),
        ("#11", 0.191),
        ("#1", 0.228),
        ("A", 0.234),
        ("F", 0.257),
        ("P", 0.323),
        ("W", 0.386),
        ("Z", 0.413),
    ],
)
def test_sizes_every_shop_chart_prints(name, size_in):
    # ASME B94.11M number and letter series; from memory
    assert find_drill(name).size_in == size_in


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("#40", "#40"),
        ("# 40", "#40"),
        ("#040", "#40"),
        ("no40", "#40"),
        ("no.40", "#40"),
        ("No. 40", "#40"),
        (" NO 40 ", "#40"),
        ("number 40", "#40"),
        ("F", "F"),
        ("f", "F"),
        ("letter f", "F"),
        ("E", "E"),
        ("3/32", "3/32"),
        ("6/64", "3/32"),
        ("3/32 in", "3/32"),
        ('3/32"', "3/32"),
        ("1/4", "1/4"),
        ("2.5 mm", "2.5 mm"),
        ("2.5mm", "2.5 mm"),
        ("2.50 MM", "2.5 mm"),
        ("3 mm", "3.0 mm"),
        ("12.7 mm", "12.7 mm"),
        ("3.175 mm", "1/8"),
        ("0.098", "#40"),
        (".098 in", "#40"),
        (0.098, "#40"),
        ("98 thou", "#40"),
        ("0.0984", "2.5 mm"),
        ("0.25", "1/4"),
        ("0.5", "1/2"),
        ("0.0937", "3/32"),
        ("0.0938", "3/32"),
        ("0.09375", "3/32"),
    ],
)
def test_names_a_person_may_use(text, name):
    assert find_drill(text).designation == name


@pytest.mark.parametrize("drill", chart(), ids=lambda drill: drill.designation)
def test_every_drill_is_found_by_its_own_name_and_size(drill):
    assert find_drill(drill.designation) is drill
    # 4.7 and 4.8 mm print as #13 and #12 do, which have that size exactly
    by_size = find_drill(f"{drill.size_in:.4f}")
    assert abs(by_size.size_in - drill.size_in) <= (
        4e-5 if drill.designation in {"4.7 mm", "4.8 mm"} else 0
    )


NAME_HINT = "write it as '#40', no40, F, 3/32 or 2.5 mm"
FRACTION_HINT = "a fraction means inches: write 3/32 in, or a decimal with mm"
LARGEST = "13.0 mm (0.5118 in)"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("40", "drill '40' names no series; write #40 for the number drill"),
        (40, "drill '40' names no series; write #40 for the number drill"),
        (
            "3",
            "drill '3' names no series; write #3 for the number drill or 3.0 mm for the metric one",
        ),
        ("#0", "no drill is called '#0'; number drills run from #1 to #80"),
        ("no101", "no drill is called '#101'; number drills run from #1 to #80"),
        ("#4O", "no drill is called '#4O'; did you mean #40?"),
        ("no 3o", "no drill is called 'no 3o'; did you mean #30?"),
        ("#9O", "no drill is called '#9O'; did you mean #9 or #79 or #69?"),
        ("99", "no drill is called '99'; did you mean 9.9 mm or #9?"),
        ("drill", f"no drill is called 'drill'; {NAME_HINT}"),
        (None, f"no drill is called 'None'; {NAME_HINT}"),
        ("", f"drill is empty; {NAME_HINT}"),
        (
            "0.097",
            "no drill on the chart is '0.097'; next to it: #41 (0.096 in) and #40 (0.098 in)",
        ),
        (
            "2.47 mm",
            "no drill on the chart is '2.47 mm'; next to it: #41 (0.096 in) and #40 (0.098 in)",
        ),
        (
            "1/3",
            "no drill on the chart is '1/3'; next to it: Q (0.332 in) and 8.5 mm (0.3346 in)",
        ),
        ("33/64", f"no drill on the chart is '33/64'; next to it: {LARGEST}"),
        (
            "2.5",
            f"no drill on the chart is '2.5'; next to it: {LARGEST}; for millimetres write 2.5 mm",
        ),
        ("0.001", "no drill on the chart is '0.001'; next to it: 0.1 mm (0.0039 in)"),
        ("2,5 mm", "drill '2,5 mm' has a decimal comma; write 2.5 mm"),
        ("-1 mm", "drill '-1 mm' is negative; give one above zero"),
        ("0.0", "drill '0.0' is zero; give one above zero"),
        ("5 lb", "drill '5 lb' is a mass, not a length; use in, thou, ft, mm, cm or m"),
        (
            "3/32 mm",
            f"drill '3/32 mm' is a fraction of mm; {FRACTION_HINT}",
        ),
    ],
)
def test_names_that_are_refused(text, message):
    with pytest.raises(InputError) as refused:
        find_drill(text)
    assert str(refused.value) == message


@given(st.text(max_size=15))
def test_any_text_gives_a_drill_or_one_line(text):
    line = ""
    try:
        assert find_drill(text) in chart()
    except InputError as refused:
        line = str(refused)
    assert line.isprintable()


@given(sizes_in, some_series)
def test_at_or_above_is_the_smallest_that_is_not_below(size_in, series):
    fits = [drill for drill in of(series) if drill.size_in >= size_in - 1e-9]
    if not fits:
        with pytest.raises(OutOfTableError):
            smallest_at_or_above(size_in, series)
        return
    found = smallest_at_or_above(size_in, series)
    assert found.size_in >= size_in - 1e-9
    assert found.size_in == min(drill.size_in for drill in fits)


@given(sizes_in, some_series)
def test_at_or_below_is_the_largest_that_is_not_above(size_in, series):
    fits = [drill for drill in of(series) if drill.size_in <= size_in + 1e-9]
    if not fits:
        with pytest.raises(OutOfTableError):
            largest_at_or_below(size_in, series)
        return
    found = largest_at_or_below(size_in, series)
    assert found.size_in <= size_in + 1e-9
    assert found.size_in == max(drill.size_in for drill in fits)


@given(sizes_in, some_series)
def test_closest_is_closer_than_any_other(size_in, series):
    drills = of(series)
    if not drills[0].size_in - 1e-9 <= size_in <= drills[-1].size_in + 1e-9:
        with pytest.raises(OutOfTableError):
            closest(size_in, series)
        return
    found = closest(size_in, series)
    least = min(abs(drill.size_in - size_in) for drill in drills)
    assert abs(found.size_in - size_in) <= least + 2e-9
    assert found in drills


@given(sizes_in, some_series)
def test_neighbours_stand_on_both_sides_with_nothing_between(size_in, series):
    smaller, larger = neighbours(size_in, series)
    below = [drill.size_in for drill in of(series) if drill.size_in < size_in - 1e-9]
    above = [drill.size_in for drill in of(series) if drill.size_in > size_in + 1e-9]
    assert (smaller.size_in if smaller else None) == max(below, default=None)
    assert (larger.size_in if larger else None) == min(above, default=None)


@given(sizes_in, sizes_in)
def test_a_larger_size_never_gets_a_smaller_drill(one_in, other_in):
    lower_in, upper_in = sorted((one_in, other_in))
    for look_up in (smallest_at_or_above, largest_at_or_below, closest):
        assert look_up(lower_in).size_in <= look_up(upper_in).size_in


def test_of_two_equally_close_the_smaller():
    # halfway between #41 (.096) and #40 (.098)
    assert closest(0.097).designation == "#41"
    assert closest(0.0970001).designation == "#40"


@pytest.mark.parametrize("look_up", [smallest_at_or_above, largest_at_or_below, closest])
def test_of_two_drills_of_one_size_the_order_of_preference_decides(look_up):
    assert look_up(0.25).designation == "1/4"
    assert look_up(0.25, ("metric", "letter")).designation == "E"
    assert look_up(0.25, ("number", "letter", "fraction")).designation == "1/4"
    assert look_up(0.5).designation == "1/2"
    assert look_up(0.5, ("metric",)).designation == "12.7 mm"
    assert look_up(0.5, "metric").designation == "12.7 mm"


def test_stepping_past_a_shared_size_takes_the_preferred_drill():
    assert [drill.designation for drill in neighbours(0.251)] == ["1/4", "6.4 mm"]
    assert [drill.designation for drill in neighbours(0.249)] == ["6.3 mm", "1/4"]
    assert [drill.designation for drill in neighbours(0.25)] == ["6.3 mm", "6.4 mm"]


@pytest.mark.parametrize(
    ("look_up", "size_in", "series", "message"),
    [
        (
            smallest_at_or_above,
            0.6,
            None,
            f"no drill on the chart is at or above 0.6 in; the largest is {LARGEST}",
        ),
        (
            smallest_at_or_above,
            0.2281,
            ("number",),
            "no drill on the chart is at or above 0.2281 in; the largest is #1 (0.228 in)",
        ),
        (
            largest_at_or_below,
            0.003,
            None,
            "no drill on the chart is at or below 0.003 in; the smallest is 0.1 mm (0.0039 in)",
        ),
        (
            closest,
            0.6,
            None,
            f"no drill on the chart is at or above 0.6 in; the largest is {LARGEST}",
        ),
        (
            closest,
            0.2,
            ("letter",),
            "no drill on the chart is at or below 0.2 in; the smallest is A (0.234 in)",
        ),
    ],
)
def test_past_the_ends_nothing_is_guessed(look_up, size_in, series, message):
    with pytest.raises(OutOfTableError) as refused:
        look_up(size_in, series)
    assert str(refused.value) == message


@pytest.mark.parametrize(
    "look_up", [smallest_at_or_above, largest_at_or_below, closest, neighbours]
)
def test_sizes_and_series_that_are_none(look_up):
    for size_in, text in [(0.0, "0"), (-0.1, "-0.1"), (float("nan"), "nan"), (1e999, "inf")]:
        with pytest.raises(InputError) as refused:
            look_up(size_in)
        assert str(refused.value) == f"no drill can be {text} in; give a size above zero"
    with pytest.raises(InputError) as refused:
        look_up(0.1, ("number", "gauge"))
    message = "no drill series is called 'gauge'; choose among fraction, number, letter, metric"
    assert str(refused.value) == message
    with pytest.raises(InputError) as refused:
        look_up(0.1, ())
    message = "no drill series is named; choose among fraction, number, letter, metric"
    assert str(refused.value) == message


def test_names_near_a_mistyped_one():
    assert drill_names_near("3/31", 1) == ("3/32",)
    assert drill_names_near("2.5mm", 1) == ("2.5 mm",)
    assert drill_names_near("No. 40", 1) == ("#40",)
    assert drill_names_near("nothing like it") == ()


def test_the_usual_rivet_drills():
    # AC 43.13-1B tables 4-9 to 4-11 reproduce only with these holes (derived)
    table = {entry.diameter: entry for entry in rivet_drill_table(RuleBook.named())}
    expected = {
        Fraction(3, 32): ("#41", 0.096),
        Fraction(1, 8): ("#30", 0.1285),
        Fraction(5, 32): ("#21", 0.159),
        Fraction(3, 16): ("#11", 0.191),
        Fraction(1, 4): ("F", 0.257),
    }
    found = {size: (table[size].drill.designation, table[size].hole_in) for size in expected}
    assert found == expected
    assert list(table) == sorted(table)
    assert all(entry.citation.source for entry in table.values())


@pytest.mark.parametrize("rule_set", rule_set_names())
def test_a_rivet_drill_is_no_smaller_than_the_rivet_and_makes_the_hole_printed(rule_set):
    # two tables typed from different documents: hole sizes by scheme, and the drill chart
    for entry in rivet_drill_table(RuleBook.named(rule_set)):
        assert entry.drill.size_in >= float(entry.diameter)
        assert entry.hole_in == pytest.approx(entry.drill.size_in, abs=0.0005)


class _Picking:
    """A rule book that picks one scheme."""

    def __init__(self, scheme):
        self.scheme = scheme

    def choice(self, question):
        assert question == "rivet_hole_solid"
        return type("Row", (), {"choice": self.scheme})


def test_a_rivet_in_millimetres_is_on_the_table_in_inches(monkeypatch):
    # Invented row: 1 in is 25.4 mm, whatever the row is for.
    inches = next(row for row in load_table(RivetHoleRow) if row.drill and row.family == "solid")
    metric = replace(inches, diameter=Fraction(3), unit="mm", drill="3.1 mm", hole=3.1)
    # The drills are read before.
    find_drill("#40")
    tables = {RivetHoleRow: (metric,)}
    monkeypatch.setattr("rivetkit.drills.load_table", lambda kind: tables[kind])
    (found,) = rivet_drill_table(_Picking(inches.scheme))

    assert found.diameter * Fraction("25.4") == 3
    assert found.hole_in * 25.4 == pytest.approx(3.1)
    assert found.drill.designation == "3.1 mm"


def test_a_hole_that_is_not_printed_is_the_drill_s_own():
    table = {entry.diameter: entry for entry in rivet_drill_table(_Picking("trade-2001"))}
    assert table[Fraction(3, 32)].hole_in == 0.098


def test_a_scheme_without_drills_is_refused():
    with pytest.raises(TableError) as refused:
        rivet_drill_table(_Picking("mil-r-47196a"))
    assert str(refused.value) == (
        "holes/rivet_holes.csv: scheme 'mil-r-47196a' names no drill for solid rivets; "
        "choose a rule set with another scheme"
    )


def test_a_look_up_imports_no_heavy_package():
    script = (
        "import sys\n"
        "from rivetkit import drills\n"
        "from rivetkit.rules import RuleBook\n"
        "for text in ['#40', 'F', '3/32', '2.5 mm', '0.098']:\n"
        "    drills.find_drill(text)\n"
        "drills.closest(0.1), drills.rivet_drill_table(RuleBook.named())\n"
        "print(sorted({'pint', 'numpy', 'shapely'} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
