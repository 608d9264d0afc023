"""``rivetkit oversize`` at the bench: what it prints, what it refuses, how it leaves."""

import json

import pytest

from rivetkit.cli.app import exit_code_of

GOOD = ["--edge-in-layer", "skin=.35", "--pitch", "1.0"]


def run(capsys, *arguments):
    code = exit_code_of(["oversize", *arguments])
    out, err = capsys.readouterr()
    return code, out, err


def data(capsys, *arguments):
    code, out, err = run(capsys, *arguments, "--json")
    assert err == ""
    return code, json.loads(out)


def test_it_says_what_to_do_first(capsys):
    code, out, _ = run(capsys, "MS20470AD4", "--hole", ".128x.141", *GOOD)
    assert code == 0
    assert "its limits       0.125 to 0.135 in   too large" in out
    assert "#27 (0.144 in)      the smallest to take in 0.143 in; common practice" in out
    assert "may be 0.0065 in off, either way" in out
    assert "1. Drill #21 (0.159 in), set on the middle of the hole as it is now." in out
    assert "2. Fit MS20470AD5 in place of MS20470AD4;" in out
    assert out.index("What to do") < out.index("Candidates") < out.index("Checks of MS20470AD5")
    assert max(map(len, out.splitlines())) <= 100
    assert out.splitlines()[-1].strip().startswith("Wear eye protection")


def test_every_rejected_one_says_why(capsys):
    code, out, _ = run(capsys, "MS20470AD4", "--hole", ".128x.141", *GOOD)
    flat = " ".join(out.split())
    assert "MS20470AD4 same rivet FAIL hole as it is 0.1410 > 0.1350" in flat
    assert "MS20470AD6 larger #11 FAIL edge distance, skin 0.3435 < 0.3750" in flat
    assert code == 0


def test_a_good_hole_takes_the_same_rivet(capsys):
    code, out, _ = run(capsys, "MS20470AD4-5", "--hole", ".130", *GOOD)
    assert code == 0
    assert "within them" in out
    assert "Use the hole as it is" in out
    assert "Fit MS20470AD4 again" in out


def test_a_narrow_hole_is_drilled_to_the_standard_hole(capsys):
    # AC 43.13-1B tables 4-9 to 4-11 (derived): #30, .1285 in, for 1/8
    code, out, _ = run(capsys, "MS20470AD4", "--hole", ".110x.112", *GOOD)
    assert code == 0
    assert "0.125 to 0.135 in   under them: to be drilled to the standard hole" in out
    assert "standard drill   #30 (0.1285 in)" in out
    assert "clean-up drill" not in out
    assert "1. Drill #30 (0.1285 in), the standard hole of the rivet, set on the middle" in out
    _, found = data(capsys, "MS20470AD4", "--hole", ".110x.112", *GOOD)
    assert found["result"]["hole_to_its_limits"] == "under"


def test_a_good_hole_too_near_an_edge_is_no_pass(capsys):
    # Army AL0992 p 59: 2 D, .25; NAVEDTRA 14018: 3 D, .375: what 'spacing' says as well
    near = ["--edge-in-layer", "skin=.2", "--pitch", ".3"]
    code, out, _ = run(capsys, "MS20470AD4", "--hole", ".134x.135", *near)
    flat = " ".join(out.split())
    assert code == 1
    assert "within them, but see the checks" in flat
    assert "edge distance, skin 0.2000 < 0.2500; pitch, next rivet 0.3000 < 0.3750" in flat
    assert "Checks of MS20470AD4 (same rivet)" in out


def test_a_layer_may_have_several_edges(capsys):
    edges = ["--edge-in-layer", "skin=.35@edge", "--edge-in-layer", "skin=.3@row"]
    code, found = data(capsys, "MS20470AD4", "--hole", ".14", *edges, "--pitch", "1")
    larger = next(c for c in found["result"]["candidates"] if c["part_number"] == "MS20470AD5")
    verdicts = {c["where"]: c["verdict"] for c in larger["checks"] if c["name"] == "edge distance"}
    assert code == 1
    assert verdicts == {"skin, edge 1 (edge)": "pass", "skin, edge 2 (row)": "fail"}


def test_json_holds_the_whole_answer(capsys):
    code, found = data(
        capsys,
        *("MS20470D4", "--hole", ".130x.146", "--axis", "edge", "--moved", "toward"),
        *("--edge-in-layer", "skin=.40@edge", "--edge-in-layer", "rib=.36@back"),
        *("--pitch", ".75"),
    )
    result = found["result"]
    assert code == 0
    assert result["best"] == "MS20470D5"
    assert result["measured"]["middle_from_old_centre_in"] == pytest.approx(0.008)
    larger = next(c for c in result["candidates"] if c["part_number"] == "MS20470D5")
    assert larger["hole"]["drill"] == "#21"
    assert larger["hole"]["centre_from_middle_in"] == pytest.approx(-(0.159 - 0.148) / 2)
    edges = {c["where"]: c["value"] for c in larger["checks"] if c["name"] == "edge distance"}
    assert edges == pytest.approx({"skin": 0.3975, "rib": 0.3625})
    assert found["checks"] == larger["checks"]
    assert found["inputs"]["moved"] == "toward"
    assert any(source["key"] == "army-al0992" for source in found["sources"])


def test_nothing_fits_leaves_with_1_and_says_whom_to_ask(capsys):
    arguments = ["MS20470AD4", "--hole", ".128x.141", "--edge-in-layer", "spar=.5"]
    code, out, _ = run(capsys, *arguments, "--pitch", "1", "--no-oversize", "spar")
    assert code == 1
    assert "Nothing passes every check" in out
    assert "spar takes no oversize hole: ask the aircraft maker's engineer." in out
    code, out, _ = run(capsys, "MS20470AD4", "--hole", ".128x.141", "--edge-in-layer", "rib=.2")
    assert code == 1
    assert "doubler" in out


def test_an_unknown_edge_is_not_a_pass(capsys):
    arguments = ["MS20470AD4", "--hole", ".14", "--edge-in-layer", "rib=?", "--pitch", "1"]
    code, found = data(capsys, *arguments)
    assert code == 1
    assert found["result"]["best"] is None
    assert found["checks"][-3]["verdict"] in {"pass", "not_checked"}


def test_millimetres_and_inches_agree(capsys):
    inch = data(capsys, "MS20470AD4", "--hole", ".128x.141", *GOOD)[1]["result"]
    metric = data(
        capsys,
        *("MS20470AD4", "--hole", "3.2512x3.5814mm", "--units", "mm"),
        *("--edge-in-layer", "skin=8.89", "--pitch", "25.4"),
    )[1]["result"]
    assert metric["best"] == inch["best"]
    assert metric["measured"]["greatest_mm"] == pytest.approx(3.5814)
    assert [c["verdict"] for c in metric["candidates"]] == [
        c["verdict"] for c in inch["candidates"]
    ]


def test_one_unit_stands_for_both_diameters(capsys):
    _, found = data(capsys, "MS20470AD4", "--hole", "3.25x3.6 mm", *GOOD)
    assert found["result"]["measured"]["least_in"] == pytest.approx(3.25 / 25.4)


def test_a_moved_middle_can_be_measured(capsys):
    arguments = ["MS20470AD4", "--hole", ".140", "--axis", "edge", "--moved=-.02", *GOOD]
    _, found = data(capsys, *arguments)
    assert found["result"]["measured"]["middle_from_old_centre_in"] == -0.02


def test_the_next_rivet_may_be_another(capsys):
    arguments = ["MS20470AD4", "--hole", ".140", "--edge-in-layer", "a=1", "--pitch", ".56"]
    assert data(capsys, *arguments)[1]["result"]["best"] == "MS20470AD5"
    assert data(capsys, *arguments, "--neighbour", "MS20470AD6")[1]["result"]["best"] is None


def test_two_rows(capsys):
    arguments = ["MS20470AD4", "--hole", ".140", "--edge-in-layer", "a=1", "--pitch", ".7"]
    for spacing, best in ((".391", "MS20470AD5"), (".39", None)):
        _, found = data(capsys, *arguments, "--rows", "2", "--row-spacing", spacing)
        assert found["result"]["best"] == best


def test_a_flush_head_and_its_form(capsys):
    arguments = ["MS20426AD3", "--hole", ".104", "--edge-in-layer", "skin=.35", "--pitch", ".75"]
    _, out, _ = run(capsys, *arguments, "--sheet", "skin=.032:dimpled")
    assert "2. Dimple skin again, with dies of the new size." in out


def test_sheets_of_which_all_are_known_hold_the_diameter(capsys):
    # AC 43.13-1B p 4-37 (derived): 1/4 is counted on .036; .0175 takes .1215.
    arguments = ["MS20470AD3", "--hole", ".109", "--edge-in-layer", "b=.4", *GOOD]
    one, both = ["--sheet", "skin=.0175"], ["--sheet", "skin=.0175", "--sheet", "b=.0175"]
    assert data(capsys, *arguments, *one)[1]["result"]["best"] == "MS20470AD4"
    code, out, _ = run(capsys, *arguments, *both)
    flat = " ".join(out.split())
    assert code == 1
    assert "diameter for the thickest sheet, greatest 0.1250 > 0.1215" in flat


def test_explain_shows_the_clean_up_and_every_candidate(capsys):
    _, out, _ = run(capsys, "MS20470AD4", "--hole", ".128x.141", *GOOD, "--explain")
    assert "0.1430 in = 0.1410 in + 0.0020 in" in out
    assert "Checks of MS20470AD6 (larger)" in out
    assert "0.3500 in - 0.0065 in >= 2 x 0.1562 in" in out
    # and those of every other candidate, with who says so
    larger = " ".join(out.split("Checks of MS20470AD6 (larger)")[1].split())
    assert (
        "edge distance, skin 0.3500 in - 0.0065 in >= 2 x 0.1875 in Army subcourse AL0992, p 59"
    ) in larger


def test_an_override_is_used_and_marked(capsys):
    arguments = ["MS20470AD4", "--hole", ".128x.141", *GOOD]
    override = ["--override", "clean_up_allowance", "0.01 in", "drawing 12"]
    code, found = data(capsys, *arguments, *override)
    assert found["result"]["clean_up_arithmetic"]["value"] == pytest.approx(0.151)
    assert found["result"]["clean_up_arithmetic"]["basis"] == "override"
    assert code == 0


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--hole", ".141x.128"], "--hole: the hole's least diameter 0.141 in is above its great"),
        (["--hole", "a"], "--hole 'a' is not a length"),
        (["--hole", ".1x.2x.3"], "--hole: '.1x.2x.3' is not LEASTxGREATEST"),
        (["--hole", ".130-.141"], "--hole: '.130-.141' is not LEASTxGREATEST; write the least"),
        (["--hole", ".130/.141"], "--hole: '.130/.141' is not LEASTxGREATEST"),
        (["--hole", ".130 .141"], "--hole: '.130 .141' is not LEASTxGREATEST"),
        (["--hole", ".12x"], "--hole: '.12x' is not LEASTxGREATEST"),
        (["--hole", "5"], "--hole: '5' is 5.000 in, over twice the rivet's hole of 0.1285 in; if"),
        (
            ["--hole", ".27"],
            "--hole: '.27' is 0.270 in, over twice the rivet's hole of 0.1285 in; m",
        ),
        (["--hole", ".27"], "if it is torn so wide, write the unit as well: 0.270 in"),
        (["--hole", ".010x.011"], "--hole: '.010' is 0.010 in, under half the rivet's hole"),
        (["--hole", "3.2x3.3"], "if it was measured in mm, write 3.2 mm"),
        (["--hole", ".128x1.41"], "if the decimal point slipped, write 0.141 in"),
        (["--hole", ".14", "--axis", "up"], "--axis: 'up' is no direction; write edge, row"),
        (["--hole", ".14", "--axis", "nan"], "--axis: 'nan' is no direction"),
        (["--hole", ".12x.14", "--moved", "toward"], "--moved: 'toward' has no direction"),
        (["--hole", ".14", "--moved", "up"], "--moved 'up' cannot be read"),
        (["--hole", ".14", "--sheet", ".032"], "--sheet: '.032' names no layer or gives no value"),
        (["--hole", ".14", "--sheet", "a=.03", "--sheet", "a=.04"], "layer 'a' is given twice"),
        (["--hole", ".14", "--edge-in-layer", "a=.3@up"], "--edge-in-layer a: 'up' is no direct"),
        (["--hole", ".14", "--sheet", "a=.03:bent"], "--sheet a: 'bent' is no way to seat a head"),
        (["--hole", ".14", "--sheet", "a=.03:dimpled"], "does not have a flush head"),
        (["--hole", ".14", "--sheet", "a=0"], "--sheet a"),
        (["--hole", ".14", "--row-spacing", ".5"], "--row-spacing without --pitch"),
        (["--hole", ".14", "--neighbour", "MS20470AD5"], "--neighbour without --pitch"),
        (["--hole", ".14", "--rows", "2", "--pitch", "1"], "give --row-spacing as well"),
        (["--hole", ".14", "--accuracy", ".2"], "--accuracy: the measuring accuracy is 0.2 in, wh"),
        (["--hole", ".14", "--hole-accuracy", ".05"], "--hole-accuracy: the measuring accuracy of"),
        ([], "Missing option '--hole'"),
    ],
)
def test_bad_input_is_one_line_with_a_mend(capsys, arguments, message):
    code, out, err = run(capsys, "MS20470AD4", *arguments)
    assert (code, out) == (2, "")
    assert message in err
    assert err.count("\n") == 1


def test_no_rivet_goes_into_a_torn_hole_and_that_is_said(capsys):
    # Two sizes up is 3/16, whose hole is .191 in: what goes into .27 is a repair of the sheet.
    code, out, _ = run(capsys, "MS20470AD4", "--hole", ".13x.27 in", *GOOD)

    assert code == 1
    assert "No rivet of the sizes looked at goes in as it stands: a doubler" in out


def test_a_hole_over_its_limit_is_never_called_within_it(capsys):
    # Trade text of 2001 (seen): a 3/32 hole is good to .103 in.
    arguments = ["MS20470AD3", "--hole", ".118", *GOOD, "--accuracy", "1/64"]
    code, out, _ = run(capsys, *arguments, "--hole-accuracy", "1/64")
    flat = " ".join(out.split())
    assert code == 0
    assert "over them by 0.0150 in, no more than the measuring accuracy: measure again" in flat
    assert "1. The hole is over its limit by 0.0150 in, no more than the measuring" in flat
    assert "it is within the limits" not in flat
    assert "MS20470AD3 same rivet as it is marginal" in flat

    _, out, _ = run(capsys, *arguments)
    assert "too large" in out
    assert "2. Fit MS20470AD4 in place of MS20470AD3" in out
    code, _, err = run(capsys, *arguments, "--hole-accuracy", "-1")
    assert (code, err.count("\n")) == (2, 1)
    assert "--hole-accuracy" in err
