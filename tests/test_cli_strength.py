"""``rivetkit strength`` and ``rivetkit splice`` as a mechanic types them."""

import json

import pytest

from rivetkit.cli.app import exit_code_of

JOINT = ["strength", "MS20470AD4", ".032 in:2024-T3", "rib=.040 in:2024-T3", "--edge", "1/4"]
LAP = ["splice", "--table", "4-10", "--thickness", ".032 in", "--diameter", "1/8"]
LAP += ["--width", "10 in", "--joint", "single-lap"]


def called(arguments, capsys):
    code = exit_code_of(arguments)
    seen = capsys.readouterr()
    return code, seen.out, seen.err


def document(arguments, capsys):
    code, out, err = called([*arguments, "--json"], capsys)
    assert err == ""
    return code, json.loads(out)


GOOD = [
    JOINT,
    [*JOINT, "--pitch", "1 in", "--rows", "2", "--load", "1 kN"],
    [*JOINT, "--pitch", "5/8", "--compression", "12 ksi", "--hole", "#30 in"][:-2],
    ["strength", "MS20426AD3", ".032 in:2024-T3:dimpled", ".04 in:2024-T3:dimpled"],
    ["strength", "MS20470AD4", "a=.05 in:2024-T3", "b=.1 in:2024-T3", "c=.05 in:2024-T3",
     "--edge-in-layer", "a=.3 in", "--edge", ".5 in", "--double-shear"],
    LAP,
    ["splice", "--alloy", "2024-T3-clad", "--thickness", ".04 in", "--rivet", "MS20470AD4",
     "--width", "6 in", "--joint", "stringer", "--rows", "4", "--edge", ".25 in"],
    ["splice", "--table", "4-9", "--thickness", ".102 in", "--diameter", "an3", "--width", "4 in",
     "--joint", "frame"],
]  # fmt: skip


@pytest.mark.parametrize("arguments", GOOD, ids=" ".join)
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_good_command_exits_0_and_fits_the_page(arguments, units, capsys):
    code, out, err = called([*arguments, "--units", units, "--explain"], capsys)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100
    assert "Before you drill" in out
    assert "Left out" not in out


@pytest.mark.parametrize("arguments", GOOD, ids=" ".join)
@pytest.mark.parametrize("form", ["json", "csv", "html"])
def test_every_format_can_be_written(arguments, form, capsys):
    code, out, err = called([*arguments, "--format", form], capsys)
    assert (code, err) == (0, "")
    assert out.strip()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([*JOINT[:-2]], "no edge distance was given"),
        (["strength", "MS20470AD4", ".032 in", "--edge", ".3"], "no alloy was named"),
        (["strength", "MS20470AD4", ".040:3003-H14", "--edge", ".3"], "3003-H14"),
        (["strength", "MS20470AD4", ".020:2024-T3", "--edge", ".3"], "FAIL"),
        ([*JOINT, "--load", "400"], "FAIL"),
        ([*JOINT, "--pitch", "1", "--compression", "yield"], "FAIL"),
        (["splice", "--table", "4-9", "--thickness", ".128", "--diameter", "AN-3", "--width", "4",
          "--joint", "full"], "3.2 is refused"),
        (["splice", "--alloy", "6061-T6", "--thickness", ".04", "--diameter", "1/8", "--width",
          "4", "--joint", "full"], "names 6061-T6"),
        ([*LAP, "--rows", "1"], "FAIL"),
    ],
)  # fmt: skip
def test_what_fails_or_cannot_be_checked_exits_1_and_says_why(arguments, words, capsys):
    code, out, err = called(arguments, capsys)
    assert (code, err) == (1, "")
    assert words in " ".join(out.split())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["strength", "MS20470AD4"], "LAYER"),
        (["strength", "XX", ".032"], "XX"),
        (["strength", "MS20470AD4", "thin:2024-T3"], "layer 1 'thin:2024-T3'"),
        (["strength", "MS20470AD4", ".032:2024-T3:bent"], "plain, dimpled, countersunk"),
        (["strength", "MS20470AD4", ".032:2024-T3:dimpled"], "flush"),
        (["strength", "MS20470AD4", "a=.032", "a=.032"], "two layers are called 'a'"),
        ([*JOINT, "--edge-in-layer", "spar=.25"], "no layer is called 'spar'"),
        ([*JOINT, "--edge-in-layer", "rib"], "rib=.25"),
        ([*JOINT, "--edge-in-layer", "rib=1/4", "--edge-in-layer", "rib=1"], "given twice"),
        ([*JOINT, "--hole", ".1"], "does not take MS20470AD4"),
        ([*JOINT, "--double-shear"], "give three"),
        ([*JOINT, "--load", "heavy"], "--load"),
        ([*JOINT, "--compression", "yield"], "--compression: buckling"),
        ([*JOINT, "--pitch", "1", "--compression", "much"], "--compression"),
        (["splice"], "--thickness"),
        ([*LAP, "--rivet", "MS20470AD4"], "both are given"),
        ([word for word in LAP if word not in {"--diameter", "1/8"}], "neither rivet nor diameter"),
        ([*LAP, "--table", "4-12"], "choose one of 4-9, 4-10, 4-11"),
        ([*LAP, "--joint", "glued"], "glued"),
        ([*LAP, "--diameter", ".130 in"], "no rivet has a diameter of 0.13 in"),
        ([*LAP, "--diameter", "7/32"], "7"),
        ([*LAP, "--width", "0"], "--width"),
        ([word for word in LAP if word not in {"--table", "4-10"}], "neither alloy nor table"),
    ],
)
def test_what_cannot_be_used_exits_2_with_one_line(arguments, words, capsys):
    code, out, err = called(arguments, capsys)
    assert (code, out) == (2, "")
    assert words in err
    assert err.count("\n") == 1


def test_inches_and_millimetres_give_one_strength(capsys):
    _, inches = document(JOINT, capsys)
    _, metric = document([*JOINT, "--units", "mm"], capsys)
    for key in ("allowable_lbf", "critical", "modes", "thin_sheet_factor"):
        assert metric["result"][key] == inches["result"][key]
    edge = metric["result"]["layers"][0]["edge_distance_mm"]
    assert edge == pytest.approx(6.35)


@pytest.mark.parametrize(("joint", "count"), [("frame", 3), ("stringer", 4), ("full", 4)])
def test_a_splice_over_a_cut_says_that_each_side_of_it_takes_the_count(joint, count, capsys):
    """AC 43.13-1B fig 4-20, p 4-41: 3 rivets ON EACH SIDE OF THE CUT; both sides take twice as
    many. Its lap of par 4-58g(2), p 4-27, takes 37 in all.
    """
    cut = ["splice", "--table", "4-10", "--thickness", ".040 in", "--diameter", "1/8"]
    cut += ["--width", ".6 in", "--joint", joint]
    _, out, _ = called(cut, capsys)
    assert "counted for one side of the cut the other side takes as many again" in _flat(out)
    result = document(cut, capsys)[1]["result"]
    assert (result["printed_count"], result["counted_for"]) == (count, "one side of the cut")
    _, out, _ = called(LAP, capsys)
    assert "counted for the whole lap" in _flat(out)
    assert document(LAP, capsys)[1]["result"]["counted_for"] == "the whole lap"


def _flat(text):
    return " ".join(text.split())


def test_the_printed_splice_example_reaches_the_screen(capsys):
    # AC 43.13-1B p 4-27: 37 rivets, two rows of 19.
    code, out, _ = called(LAP, capsys)
    assert code == 0
    assert "37 rivets" in out
    assert "2 rows of 19" in out
    _, data = document(LAP, capsys)
    assert data["result"]["printed_count"] == 37
    ways = {entry["method"]: entry for entry in data["result"]["counts"]}
    assert ways["notes"]["layout"]["per_row"] == 19
    assert ways["notes"]["layout"]["row_holds"] == 20


def test_two_titles_are_told_and_the_larger_count_is_taken(capsys):
    _, out, _ = called(["splice", "--alloy", "2024-T3 clad", *LAP[3:]], capsys)
    told = " ".join(out.split())
    assert "table 4-9 and table 4-10 both name this sheet" in told
    assert "larger count, of table 4-9" in told


def test_the_critical_mode_and_its_basis_stand_beside_the_strength(capsys):
    _, out, _ = called(JOINT, capsys)
    line = next(line for line in out.splitlines() if line.startswith("  strength"))
    assert "375 lbf" in line
    assert "rivet shear" in line
    assert "from memory" in line


def test_an_edge_in_one_layer_goes_before_the_common_one(capsys):
    _, data = document([*JOINT, "--edge-in-layer", "rib=.2 in"], capsys)
    edges = {entry["layer"]: entry["edge_distance_in"] for entry in data["result"]["layers"]}
    assert edges == {"layer 1": 0.25, "rib": 0.2}


def test_an_override_is_marked(capsys):
    own = ["--override", "splice_factor_single_lap", "1 fraction", "maker's sheet 4"]
    code, data = document([*LAP, *own], capsys)
    assert code == 0
    assert data["result"]["printed_count"] == 49
    assert any(entry["key"] == "override" for entry in data["sources"])
