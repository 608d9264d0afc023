"""The blank of a new skin: never smaller than the holes and their allowance, on what it fits."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.blank import (
    SIDES,
    Box,
    check_stock,
    size_blank,
    stock_fits,
)
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.materials import StockSheetRow
from rivetkit.job.read import parse_job, read_job
from rivetkit.planning.blanks import new_skins
from rivetkit.rules import Override, RuleBook

USUAL = RuleBook.named()

places = st.floats(-50, 50)
sizes = st.floats(0.5, 80)


@st.composite
def boxes(draw):
    x_in, y_in = draw(places), draw(places)
    return Box(x_in, y_in, x_in + draw(sizes), y_in + draw(sizes))


def test_the_allowance_is_one_to_two_inches_outside_the_rivet_holes():
    # Army subcourse AL0992 p 67.
    blank = size_blank(USUAL, holes=Box(2, 3, 22, 13))
    assert blank.least_in == (22.0, 12.0)
    assert blank.generous_in == (24.0, 14.0)


@given(holes=boxes(), outline=st.none() | boxes(), trim_in=st.floats(0, 3))
def test_a_blank_is_never_smaller_than_holes_and_allowance_nor_than_outline_and_trim(
    holes, outline, trim_in
):
    blank = size_blank(USUAL, holes=holes, outline=outline, trim_in=trim_in)
    for number, side in enumerate(SIDES):
        low_in, high_in = holes.span_in(side)
        least_in = blank.least_in[number]
        assert least_in >= high_in - low_in + 2.0 - 1e-9
        assert blank.generous_in[number] >= high_in - low_in + 4.0 - 1e-9
        assert blank.generous_in[number] >= least_in
        if outline is not None:
            start_in, stop_in = outline.span_in(side)
            assert least_in >= stop_in - start_in + 2 * trim_in - 1e-9


@given(holes=boxes(), outline=boxes(), dx_in=places, dy_in=places)
def test_moving_the_job_changes_no_size(holes, outline, dx_in, dy_in):
    def moved(box):
        return Box(
            box.x_min_in + dx_in, box.y_min_in + dy_in, box.x_max_in + dx_in, box.y_max_in + dy_in
        )

    here = size_blank(USUAL, holes=holes, outline=outline)
    there = size_blank(USUAL, holes=moved(holes), outline=moved(outline))
    assert there.least_in == pytest.approx(here.least_in)


def test_an_overhang_on_one_side_only_grows_that_side():
    # Holes 1 in + allowance reach to x = 11; the outline stands out to 14 and wins there.
    blank = size_blank(USUAL, holes=Box(0, 0, 10, 5), outline=Box(-0.5, -0.5, 14, 5.5))
    assert blank.least_in == (15.0, 7.0)


def test_an_override_replaces_the_allowance():
    book = RuleBook.named(overrides=[Override("blank_allowance_min", 0.5, "in", "manual 51-10")])
    blank = size_blank(book, holes=Box(0, 0, 10, 5))
    assert blank.least_in == (11.0, 6.0)
    assert blank.least[0].citations[0].overridden


@given(box=boxes())
def test_what_fits_really_fits_and_what_does_not_is_too_large(box):
    blank = size_blank(USUAL, holes=box)
    width_in, height_in = blank.least_in
    fits = {(fit.sheet.size, fit.grain): fit for fit in stock_fits(blank)}
    for row in load_table(StockSheetRow):
        per_in = 1.0 if row.unit == "in" else 25.4
        sheet_in = (float(row.length) / per_in, float(row.width) / per_in)
        for grain, size_in in (("width", (width_in, height_in)), ("height", (height_in, width_in))):
            room_in = [sheet - blank_in for sheet, blank_in in zip(sheet_in, size_in, strict=True)]
            fit = fits.get((row.size, grain))
            if fit is None:
                assert min(room_in) < 1e-8
            else:
                assert min(room_in) > -1e-8
                assert [fit.left_along_in, fit.left_across_in] == pytest.approx(room_in, abs=1e-8)
                assert (
                    fit.generous is (min(room_in) >= 2.0 - 1e-9) or abs(min(room_in) - 2.0) < 1e-8
                )


@given(box=boxes(), grain=st.sampled_from(SIDES))
def test_asking_for_the_grain_only_takes_sheets_away(box, grain):
    blank = size_blank(USUAL, holes=box)
    asked, free = stock_fits(blank, grain=grain), stock_fits(blank)
    assert [fit for fit in free if fit.grain == grain] == list(asked)


def test_a_blank_as_large_as_a_sheet_fits_it_exactly():
    blank = size_blank(USUAL, holes=Box(0, 0, 94, 46))
    fit = next(fit for fit in stock_fits(blank) if fit.sheet.size == "4 x 8 ft")
    assert (fit.left_along_in, fit.left_across_in, fit.generous) == (0.0, 0.0, False)


def test_the_smallest_sheet_comes_first_and_none_is_a_failure():
    fits = stock_fits(size_blank(USUAL, holes=Box(0, 0, 20, 10)))
    areas = [fit.sheet_width_in * fit.sheet_length_in for fit in fits]
    assert areas == sorted(areas)
    assert check_stock(fits).verdict is Verdict.PASS
    assert check_stock(()).verdict is Verdict.FAIL
    assert stock_fits(size_blank(USUAL, holes=Box(0, 0, 300, 10))) == ()


def test_every_stock_size_is_marked_as_practice_and_longer_than_wide():
    rows = load_table(StockSheetRow)
    assert {row.basis for row in rows} == {"practice"}
    assert all(row.width <= row.length for row in rows)
    # A foot is 12 in: the name of an inch size says its numbers.
    for row in rows:
        if row.unit == "in":
            width, _, length, _ = row.size.split()
            assert (row.width, row.length) == (int(width) * 12, int(length) * 12)
        else:
            width, _, length, _ = row.size.split()
            assert (row.width, row.length) == (float(width) * 1000, float(length) * 1000)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: size_blank(USUAL), "neither holes nor an outline"),
        (lambda: size_blank(USUAL, holes=Box(0, 0, 1, 1), trim_in=-1), "the trim is -1 in"),
    ],
)
def test_a_blank_without_sense_is_refused(call, message):
    with pytest.raises(InputError, match=message):
        call()


# --- from a job --------------------------------------------------------------------------------

JOB = """
name = "skin"
[[sheet]]
name = "skin"
old = { alloy = "2024-T3", thickness = 0.025 }
outline = { rectangle = { corner = [0, 0], width = 20, height = 10 } }
[[member]]
name = "rib"
kind = "rib"
thickness = 0.032
edge_distance = 0.3
[[row]]
name = "rib"
rivet = "MS20470AD3-4"
path = [[0.5, 2], [19, 2]]
count = 20
layers = ["skin", "rib"]
"""


def test_the_job_tells_holes_and_outline():
    (skin,) = new_skins(parse_job(JOB))
    assert (skin.name, skin.holes, skin.outline) == (
        "skin",
        Box(0.5, 2.0, 19.0, 2.0),
        Box(0.0, 0.0, 20.0, 10.0),
    )
    blank = size_blank(USUAL, holes=skin.holes, outline=skin.outline)
    # x: from 0.5 - 1 to 20 (19 + 1); y: the outline, 0 to 10, is wider than 1 to 3.
    assert blank.least_in == pytest.approx((20.5, 10.0))


def test_a_member_can_be_named_and_an_unknown_layer_is_refused():
    (rib,) = new_skins(parse_job(JOB), "rib")
    assert rib.outline is None
    assert rib.holes == Box(0.5, 2.0, 19.0, 2.0)
    with pytest.raises(InputError, match="there is no layer 'wing'; layers are skin, rib"):
        new_skins(parse_job(JOB), "wing")


def test_every_new_sheet_of_the_example_gets_a_blank_round_all_its_holes():
    skins = new_skins(read_job("examples/elevator.toml"))
    assert [skin.name for skin in skins] == ["upper skin", "lower skin"]
    for skin in skins:
        blank = size_blank(USUAL, holes=skin.holes, outline=skin.outline)
        width_in = skin.holes.x_max_in - skin.holes.x_min_in
        assert blank.least_in[0] >= width_in + 2.0
