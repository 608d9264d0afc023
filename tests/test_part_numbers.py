"""Part numbers both ways: what documents say of them, what the errors say, and round trips."""

import shutil
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.errors import InputError, TableError
from rivetkit.fasteners import (
    canonical_designation,
    format_part_number,
    grammar,
    parse_part_number,
    same_part,
    standards,
    stock_lengths_in,
    with_length,
    with_length_code,
)
from rivetkit.handbook import load, load_table
from rivetkit.handbook.rows.fasteners import BlindGripRow, BlindStrengthRow, FastenerDimensionRow

MM = 1 / 25.4


def refusal(text, **options):
    with pytest.raises(InputError) as caught:
        parse_part_number(text, **options)
    return str(caught.value)


# --- published facts


def test_diameter_counts_thirty_seconds_and_length_sixteenths():
    # Training text, sheet-metal lesson on rivets: first dash number 1/32 in, second 1/16 in.
    rivet = parse_part_number("MS20470AD4-5")
    assert (rivet.diameter_in, rivet.length_in) == (1 / 8, 5 / 16)
    assert (rivet.material, rivet.head, rivet.flush) == ("AD", "universal", False)


def test_half_length():
    # AC 43.13-1B p 4-16: .5 after the length; AD4-3.5 is 7/32 in long.
    assert parse_part_number("MS20470AD4-3.5").length_in == 7 / 32


def test_older_names_stand_for_the_same_part():
    # AC 43.13-1B p 4-16: MS20426 takes the place of AN426, MS20470 of AN470.
    assert same_part(parse_part_number("AN426AD3-3"), parse_part_number("MS20426AD3-3"))
    assert same_part(parse_part_number("AN470AD4-5"), parse_part_number("MS20470AD4-5"))
    assert not same_part(parse_part_number("AN470AD4-5"), parse_part_number("MS20470AD4-6"))
    assert not same_part(parse_part_number("AN470AD4-5"), parse_part_number("AN426AD4-5"))


def test_nasm_prefix_is_the_same_part():
    # Light-aircraft structural repair manual, rivet part numbers: MS20470AD4-6 = NASM20470AD4-6.
    rivet = parse_part_number("NASM20470AD4-6")
    assert rivet.designation == "NASM20470AD4-6"
    assert canonical_designation(rivet) == "MS20470AD4-6"


def test_length_is_measured_under_the_head_or_overall():
    # Two texts on rivet codes: flush rivets are measured overall, universal ones under the head.
    assert parse_part_number("MS20470AD4-5").length_datum == "under_head"
    assert parse_part_number("MS20426AD4-5").length_datum == "overall"


@pytest.mark.parametrize(
    ("number", "diameter", "grip", "length"),
    [  # TM 10-5410-221-14/1 table 4-3 and TM 10-5410-223-24 table 2-3.
        ("32", 3 / 32, (0.020, 0.125), 0.212),
        ("42", 1 / 8, (0.063, 0.125), 0.232),
        ("610", 3 / 16, (0.501, 0.625), 0.777),
        ("812", 1 / 4, (0.626, 0.750), 0.947),
    ],
)
def test_army_rivet_numbers(number, diameter, grip, length):
    rivet = parse_part_number(f"TMOPEN-{number}")
    assert (rivet.diameter_in, rivet.length_in) == (diameter, length)
    assert (rivet.grip_min_in, rivet.grip_max_in) == grip


def test_iso_designation_as_the_standard_writes_it():
    # ISO 15981:2002, length and grip table: 4 mm, 12 mm long, grip 6.5 to 8.5 mm. The form of
    # the designation is from memory.
    rivet = parse_part_number("Blind rivet ISO 15981 - 4 x 12 - AlA/AlA")
    assert rivet.designation == "ISO15981-4x12-AlA/AlA"
    assert rivet.diameter_in == pytest.approx(4 * MM)
    assert rivet.length_in == pytest.approx(12 * MM)
    assert rivet.grip_min_in == pytest.approx(6.5 * MM)
    assert rivet.grip_max_in == pytest.approx(8.5 * MM)


def test_grip_number_of_locked_spindle_rivets():
    # Locked-spindle rivet process manual: -04 takes up to .250; each covers 1/16 in.
    for text in ("NAS9301B-4-04", "NAS9302B-4-4", "NAS1738B4-4"):
        rivet = parse_part_number(text)
        assert (rivet.grip_min_in, rivet.grip_max_in) == (3 / 16, 1 / 4)
    assert parse_part_number("NAS9302B-4-4").designation == "NAS9302B-4-04"


def test_material_before_or_after_the_diameter():
    # From memory: nickel-copper MS20615-4M5 writes the material behind the diameter.
    rivet = parse_part_number("MS20615-4M5")
    assert (rivet.material, rivet.diameter_in, rivet.length_in) == ("M", 1 / 8, 5 / 16)


# --- tolerance and refusals


@pytest.mark.parametrize(
    "text", ["ms20470ad4-5", " MS20470 AD4-5 ", "ms 20470 ad 4 - 5", "MS20470AD4\u20135.0"]
)
def test_blanks_case_and_dashes_do_not_matter(text):
    assert parse_part_number(text).designation == "MS20470AD4-5"


@pytest.mark.parametrize("text", ["MS20470AD4", "MS20615-4M", "TMOPEN-4", "ISO15981-4-AlA/AlA"])
def test_length_may_be_left_out(text):
    rivet = parse_part_number(text)
    assert (rivet.length_code, rivet.length_in, rivet.grip_max_in) == ("", None, None)
    assert rivet.designation == text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "MS20470AX4-5",
            (
                "'MS20470AX4-5': cannot read 'X' (character 9) after material 'A'; material codes "
                "are A, AD, B, D, DD, E, KE; diameters are 2, 3, 4, 5, 6, 8, 10, 12"
            ),
        ),
        (
            "MS 20470 AX4-5",
            (
                "'MS 20470 AX4-5': cannot read 'X' (character 11) after material 'A'; material "
                "codes are A, AD, B, D, DD, E, KE; diameters are 2, 3, 4, 5, 6, 8, 10, 12"
            ),
        ),
        (
            "  MS20470AX4-5",
            (
                "'MS20470AX4-5': cannot read 'X' (character 9) after material 'A'; material codes "
                "are A, AD, B, D, DD, E, KE; diameters are 2, 3, 4, 5, 6, 8, 10, 12"
            ),
        ),
        (
            "MS20470-4-5",
            (
                "'MS20470-4-5': cannot read '-' (character 8) after standard 'MS20470'; material "
                "codes are A, AD, B, D, DD, E, KE"
            ),
        ),
        (
            "MS20470AD7-5",
            (
                "'MS20470AD7-5': diameter '7' (character 10) is not listed for MS20470; diameters "
                "are 2, 3, 4, 5, 6, 8, 10, 12, in steps of 1/32 in"
            ),
        ),
        (
            "MS20470AD4-5.25",
            (
                "'MS20470AD4-5.25': length '5.25' (character 12) is neither a whole nor a half "
                "step; lengths go by steps of 1/16 in, such as 5 or 5.5"
            ),
        ),
        (
            "MS20470AD4-0",
            (
                "'MS20470AD4-0': length '0' (character 12) is no length; lengths count steps of "
                "1/16 in, from 1 up"
            ),
        ),
        (
            "MS20470AD4-55",
            (
                "'MS20470AD4-55': length '55' (character 12) is longer than any on file; the "
                "longest is 32 (2 in)"
            ),
        ),
        ("MS20470AD4-", "'MS20470AD4-': ends after '-'; the length follows, in steps of 1/16 in"),
        (
            "MS20470AD4-5X",
            (
                "'MS20470AD4-5X': cannot read 'X' (character 13) after length '5'; the part number "
                "ends there, as in MS20470A4-5"
            ),
        ),
        (
            "MS20471AD4-5",
            (
                "'MS20471AD4-5': no standard is called 'MS20471' (character 1); did you mean "
                "MS20470 or MS20615 or MS20601?"
            ),
        ),
        (
            "TMOPEN-47",
            (
                "'TMOPEN-47': grip '7' (character 9) is not listed for diameter 4; listed are 1, "
                "2, 3, 4, 5, 6, 8"
            ),
        ),
        (
            "MS20600AD4-4",
            (
                "'MS20600AD4-4': cannot read '-' (character 11) after diameter '4'; 'W' and the "
                "grip follow there, as in MS20600AD6W5"
            ),
        ),
        (
            "ISO 15977 - 4 x 12.5 - AlA/St",
            (
                "'ISO 15977 - 4 x 12.5 - AlA/St': length '12.5' (character 17) is no whole step; "
                "lengths go by steps of 1 mm, such as 12 or 13"
            ),
        ),
        (
            "MS20470AD",
            "'MS20470AD': ends after material 'AD'; diameters are 2, 3, 4, 5, 6, 8, 10, 12",
        ),
        (
            "MS20470ADX4",
            (
                "'MS20470ADX4': cannot read 'X' (character 10) after material 'AD'; material "
                "codes are A, AD, B, D, DD, E, KE; diameters are 2, 3, 4, 5, 6, 8, 10, 12"
            ),
        ),
        (
            # Nothing but a dash ends a diameter here, so it is no 4 with something behind it.
            "MS20470AD45-5",
            (
                "'MS20470AD45-5': diameter '45' (character 10) is not listed for MS20470; "
                "diameters are 2, 3, 4, 5, 6, 8, 10, 12, in steps of 1/32 in"
            ),
        ),
        (
            "TMOPEN-x",
            "'TMOPEN-x': cannot read 'x' (character 8) after '-'; diameters are 3, 4, 5, 6, 8",
        ),
        ("", "'': the part number is empty; give one such as MS20470AD4-5"),
    ],
)
def test_error_names_the_character_and_the_mend(text, message):
    assert refusal(text) == message


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("MS2O470AD4-4", "MS20470AD4-4"),
        ("ms2o470ad4-4", "MS20470AD4-4"),
        ("AN47OAD4", "AN470AD4"),
        ("NAS1O97AD4-4", "NAS1097AD4-4"),
        ("MS20470AD4-O4", "MS20470AD4-4"),
        ("MSZ0470AD4-4", "MS20470AD4-4"),
        ("MS2O426AD3-3,5", "MS20426AD3-3.5"),
        ("MS20470-AD4-4", "MS20470AD4-4"),
        ("MS20470AD4/4", "MS20470AD4-4"),
        ("MS20470AD44", "MS20470AD4-4"),
        ("MS20426AD3-3\u00bd", "MS20426AD3-3.5"),
        ("20470AD4-4", "MS20470AD4-4"),
        ("470AD4-4", "AN470AD4-4"),
        ("AD4-4", "MS20470AD4-4 or MS20426AD4-4"),
    ],
)
def test_a_slip_of_the_pen_is_asked_about_and_never_guessed(typed, meant):
    message = refusal(typed)

    assert f"did you mean {meant}" in message
    assert message.endswith("?")
    letters = any(typed.upper().count(letter) > meant.count(letter) for letter in "OIZ")
    assert letters == ("digits for the letters that look like them" in message)


@pytest.mark.parametrize("typed", ["MS20470AD7-5", "MS20470-4-5", "MS20470AD4-55", "MS20470AD4-"])
def test_what_no_slip_explains_is_told_as_it_stands(typed):
    assert "did you mean MS20470AD" not in refusal(typed)


@pytest.mark.parametrize(("text", "standard"), [("QQ1", "QQ1"), ("CR3213-4-2", "CR3213")])
def test_a_standard_with_nothing_near_is_not_on_file_and_the_list_is_named(text, standard):
    assert refusal(text) == (
        f"'{text}': {standard} is not on file (character 1); 'rivetkit sources standards' lists "
        "what is"
    )


@pytest.mark.parametrize("text", ["1/8", ".125", "#30", "4"])
def test_a_size_is_no_part_number(text):
    assert refusal(text) == f"'{text}': is no part number; give one such as MS20470AD4"


def test_length_can_be_required():
    assert refusal("MS20470AD4", length_required=True) == (
        "'MS20470AD4': has no length; add it, as in MS20470A4-5"
    )
    assert parse_part_number("MS20470AD4-5", length_required=True).length_in == 5 / 16


@given(st.text(max_size=20) | st.builds("MS20470{}".format, st.text("AD48-.5 X", max_size=8)))
def test_anything_typed_is_a_rivet_or_a_plain_refusal(text):
    try:
        rivet = parse_part_number(text)
    except InputError as refused:
        error = str(refused)
    else:
        error = ""
        assert rivet.diameter_in > 0
    assert error.isprintable()


# --- laws


@st.composite
def part_numbers(draw):
    """A part number of any standard, put together from the table's own fields."""
    standard = standards()[draw(st.sampled_from(sorted(standards())))]
    diameter = draw(st.sampled_from(standard.diameters))
    rows = grammar.grip_rows(standard.canonical, diameter)
    if rows:
        length = draw(st.sampled_from([row.code for row in rows]))
    else:
        most = int((standard.length_max or 30) / standard.length_step)
        halves = draw(st.integers(1, 2 * most))
        halves += 0 if standard.half_lengths else halves % 2
        length = standard.code_of_steps(Fraction(halves, 2))
    codes = {
        "": "",
        "material": draw(st.sampled_from(standard.materials)) if standard.materials else "",
        "diameter": diameter,
        "length": length,
        "grip": length,
    }
    return standard.name + "".join(
        piece.literal + codes[piece.field] for piece in standard.segments
    )


@given(part_numbers(), st.booleans())
def test_a_part_number_survives_the_round_trip(text, lower):
    rivet = parse_part_number(text.lower() if lower else text)
    assert format_part_number(rivet) == text
    assert parse_part_number(rivet.designation) == rivet
    assert same_part(parse_part_number(canonical_designation(rivet)), rivet)


@given(part_numbers())
def test_length_and_grip_make_sense(text):
    rivet = parse_part_number(text)
    if rivet.length_in is not None:
        assert rivet.length_in > 0
    if rivet.grip_max_in is not None and rivet.grip_min_in is not None:
        assert 0 <= rivet.grip_min_in < rivet.grip_max_in
        assert rivet.length_in is None or rivet.length_in > rivet.grip_max_in


@given(part_numbers())
def test_every_stock_length_can_be_ordered_in_order(text):
    rivet = parse_part_number(text)
    lengths = stock_lengths_in(rivet)
    assert list(lengths) == sorted(set(lengths))
    if rivet.family == "solid":
        assert {with_length(rivet, length).length_in for length in lengths} == set(lengths)
        assert set(stock_lengths_in(rivet, half_lengths=False)) < set(lengths)


def test_shortest_stock_length():
    # Builders quoting the last AN470 revision: shortest tabulated length of -2 to -4 is 3/16 in;
    # MS20470 revision H, quoted there too, lets other 1/16 in steps be made.
    rivet = parse_part_number("AN470AD4")
    assert stock_lengths_in(rivet)[:3] == (3 / 16, 7 / 32, 1 / 4)
    assert parse_part_number("AN470AD4-2").length_in == 1 / 8


def test_with_length_refuses_what_is_no_step():
    rivet = parse_part_number("MS20470AD4")
    with pytest.raises(InputError, match=r"0\.33 in is no length of MS20470; lengths go by steps"):
        with_length(rivet, 0.33)
    with pytest.raises(InputError, match="NAS1738 is ordered by grip, not by length"):
        with_length(parse_part_number("NAS1738B4"), 0.25)
    with pytest.raises(InputError, match="grip '7' of TMOPEN is not listed for diameter 4"):
        with_length_code(parse_part_number("TMOPEN-4"), "7")


def test_every_table_names_standards_and_codes_the_grammar_knows():
    for table in (FastenerDimensionRow, BlindGripRow, BlindStrengthRow):
        for row in load_table(table):
            standard = standards()[row.standard]
            assert row.diameter_code in standard.diameters, row
            if table is FastenerDimensionRow:
                nominal_in = float(row.diameter) * (MM if row.unit == "mm" else 1.0)
                assert standard.diameter_in(row.diameter_code) == pytest.approx(nominal_in), row
            if table is BlindStrengthRow:
                assert row.material in standard.materials, row


# --- the grammar is data


@pytest.fixture
def with_rows(tmp_path, monkeypatch):
    """Return a function that adds rows to a copy of the standards table and uses that copy."""
    caches = (load.load_table, grammar.standards, grammar.grip_rows)
    root = tmp_path / "tables"
    shutil.copytree(load.tables_root(), root)

    def add(*rows):
        path = root / "fasteners" / "standards.csv"
        header = path.read_text(encoding="utf-8").splitlines()[0].split(",")
        lines = [",".join(row.get(name, "") for name in header) for row in rows]
        with path.open("a", encoding="utf-8") as file:
            file.write("\n".join(lines) + "\n")
        monkeypatch.setattr(load, "tables_root", lambda: root)
        for cached in caches:
            cached.cache_clear()

    yield add
    monkeypatch.undo()
    for cached in caches:
        cached.cache_clear()


MADE_UP = {"source": "common-practice", "locator": "this test", "basis": "practice"}
INVENTED = {
    "standard": "ZZ900",
    "family": "solid",
    "head": "round",
    "length_datum": "under_head",
    "template": "{standard}/{diameter}L{length}/{material}",
    "diameter_step": "1/64",
    "diameter_unit": "in",
    "length_step": "1/8",
    "length_unit": "in",
    "half_lengths": "no",
    "diameters": "6 8",
    "materials": "QQ Q",
    **MADE_UP,
}


def test_a_new_standard_is_a_table_edit_and_nothing_else(with_rows):
    with_rows(INVENTED, {"standard": "YY900", "alias_of": "ZZ900", **MADE_UP})
    rivet = parse_part_number("yy900/8l3/q")
    assert (rivet.diameter_in, rivet.length_in, rivet.material) == (1 / 8, 3 / 8, "Q")
    assert (rivet.designation, canonical_designation(rivet)) == ("YY900/8L3/Q", "ZZ900/8L3/Q")
    assert parse_part_number("ZZ900/8/QQ").designation == "ZZ900/8/QQ"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"template": "{standard}{diameter}"},
            r"lacks \{diameter\} or one of \{length\}, \{grip\}",
        ),
        ({"template": "{standard}{diameter}-{length}{colour}"}, "has a field that is unknown"),
        ({"diameter_step": ""}, "family, diameter_step, length_step and their units are needed"),
        ({"alias_of": "XX1"}, "alias of 'XX1', which is not in the table"),
    ],
)
def test_a_faulty_row_is_named(with_rows, change, message):
    with_rows(INVENTED | change)
    with pytest.raises(TableError, match=rf"fasteners/standards\.csv: ZZ900: .*{message}"):
        standards()
