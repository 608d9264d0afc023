"""Refusals tell lengths in the unit asked for, or in the job's own. Invented jobs.

International inch, 1959: exactly 25.4 mm. Limits: farthest place on a skin and thickest layer,
common practice, no source.
"""

import ast
import copy
import pickle
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from job_texts import HEAD, JOB, MEMBER, ROW, SHEET

import rivetkit
from rivetkit.checks import MM_PER_IN
from rivetkit.cli.app import exit_code_of
from rivetkit.drills import find_drill
from rivetkit.errors import InputError
from rivetkit.job.read import parse_job
from rivetkit.quantities import error_in_unit, joined_words, length_words, words_in_unit, words_of

#: A command line, and what it is refused with in millimetres.
COMMANDS = [
    (["grip", "MS20470AD4", "32"], "32 mm is thicker than any sheet"),
    (["grip", "MS20470AD4", "12", "12", "12", "12", "12"], "stock runs from 4.763 mm to 50.8 mm"),
    (["grip", "TMOPEN-4", ".3"], "takes a grip of 0.3 mm; on file the least is 0.508 mm"),
    (
        ["grip", "TMOPEN-4", "1.59"],
        "a grip of 1.59 mm falls between 'TMOPEN-41' (0.508 mm to 1.575 mm) and",
    ),
    (["grip", "MS20470AD4", "3e6"], "'3e6' is over 2540000 mm"),
    (["spacing", "MS20470AD4", "--sheet", "32"], "32 mm is thicker than any sheet"),
    (["grip", "MS20470AD4", ".032", ".040"], "0.032 mm is thinner than any sheet"),
    (
        ["oversize", "MS20470AD4", "--hole", "3.3x3.2"],
        "least diameter 3.3 mm is above its greatest 3.2 mm",
    ),
    (["oversize", "MS20470AD4", "--hole", "33"], "'33' is 33.00 mm, over twice the rivet's hole"),
    (
        ["oversize", "MS20470AD4", "--hole", "3.3", "--sheet", "skin=32"],
        "32 mm is thicker than any sheet",
    ),
    (
        ["strength", "MS20470AD4", "a=.8", "b=.8", "--hole", "2"],
        "a hole of 2 mm does not take MS20470AD4, which is 3.175 mm",
    ),
    (
        ["drill-out", "MS20470AD4", "--sheet", "2", "--stack", "1"],
        "the near sheet (2 mm) is thicker than the stack (1 mm)",
    ),
    (
        ["layout", "MS20470AD4", "--length", "100", "--end", "60"],
        "the first hole, at 60 mm, is not before the last, at 40 mm",
    ),
    (
        ["layout", "MS20470AD4", "--length", "100", "--hit", "120"],
        "the place to hit at 120 mm lies",
    ),
    (
        ["layout", "MS20470AD4", "--length", "100", "--pitch-min", "30", "--pitch-max", "20"],
        "the least pitch, 30 mm, is over the greatest, 20 mm",
    ),
    (
        ["layout", "MS20470AD4", "--length", "100", "--clear", "30:20"],
        "the place to keep clear from 30 mm to 20 mm is none",
    ),
    (
        ["splice", "--thickness", "1", "--width", "100", "--diameter", "3.3", "--joint", "full"],
        "no rivet has a diameter of 3.3 mm",
    ),
    (
        ["nutplate", "MS21047-08", "--screw-hole", "2"],
        "the screw hole of 2 mm is smaller than the 4.166 mm screw",
    ),
    (
        ["nutplate", "MS21047-08", "--rectangle", "100x80r60", "--count", "8"],
        "a corner radius of 60 mm is more than half the shorter side; give 40 mm or less",
    ),
]

FAR = JOB.replace("[9.5, 0.5]]", "[1e6, 0.5]]")
PITCHED = JOB.replace("count = 13", "count = 13\npitch = {}")
#: A job in inches and what it is refused with in millimetres when its numbers are of those.
JOBS = [
    ("thickness = 0.032", "thickness = 2", "50.8 mm is thicker than any sheet or flange"),
    ("[9.5, 0.5]]", "[20000, 0.5]]", "508000.0 is no place on a skin; stay within 254000 mm"),
    ("row_from_edge = 0.3125", "row_from_edge = 0.75", "stands 19.05 mm from the edge of 'rib'"),
    ("row_from_edge = 0.3125", "row_from_edge = 0.75", "whose flange is 15.88 mm wide"),
    ("count = 13", "count = 13\npitch = 1", "13 holes at 25.4 mm are 76.2 mm longer than the path"),
    ("count = 13", "count = 13\nend_offset = 10", "longer than the path by 25.4 mm"),
    ("to = [0, 0]", "to = [0.5, 0]", "ends at (12.7, 0) mm, the outline starts at (0, 0) mm"),
    ("[9.5, 0.5]]", "[10.5, 0.5]]", "hole row:13 at (266.7, 12.7) mm lies off 'skin'"),
]


def in_mm(text):
    """Return a job in inches with its bare lengths in millimetres."""
    head, *lines = text.splitlines()
    keys = r"(?:thickness|width|end_distance|row_from_edge|pitch|end_offset) = "
    number = r"[0-9]*\.?[0-9]+"

    def scaled(found):
        return re.sub(number, lambda one: repr(float(one[0]) * MM_PER_IN), found[0])

    told = [re.sub(rf"{keys}{number}|\[\[?{number}, [^\]]*\]", scaled, line) for line in lines]
    return "\n".join([head, 'units = "mm"', *told]) + "\n"


@pytest.fixture
def refused(tmp_path, capsys):
    """Return a function that runs a command, beside a job if there is one, to its complaint."""

    def run(arguments, job=None):
        if job is not None:
            path = tmp_path / "job.toml"
            path.write_text(job, encoding="utf-8")
            arguments = [arguments[0], str(path), *arguments[1:]]
        assert exit_code_of(arguments) == 2
        out, err = capsys.readouterr()
        assert out == ""
        return err.removeprefix("error: ").removesuffix("\n")

    return run


def inches_told(said):
    """Return the lengths in inches in a message, but for what the person typed."""
    return re.findall(r"[0-9)] in\b", re.sub(r"'[^']*'", "", said))


@pytest.mark.parametrize(("arguments", "words"), COMMANDS)
def test_a_refusal_is_in_millimetres_where_those_are_asked_for(arguments, words, refused):
    said = refused([*arguments, "--units", "mm"])
    assert words in said
    assert not inches_told(said)


@pytest.mark.parametrize(("old", "new", "words"), JOBS)
def test_a_job_in_millimetres_is_refused_in_millimetres(old, new, words, refused):
    assert JOB.count(old) == 1
    metric = in_mm(JOB.replace(old, new))
    said = refused(["plan"], metric)
    assert words in said
    assert not inches_told(said)
    assert inches_told(refused(["plan"], JOB.replace(old, new))), "the same job in inches"
    assert inches_told(refused(["plan", "--units", "in"], metric)), "asked for in inches"
    assert not inches_told(refused(["plan", "--units", "mm"], JOB.replace(old, new)))


def test_a_job_in_millimetres_that_is_sound_is_the_same_job():
    one, other = parse_job(JOB), parse_job(in_mm(JOB))
    assert other.rows[0].points == pytest.approx(one.rows[0].points)
    assert other.layers["rib"].flange.width_in == pytest.approx(one.layers["rib"].flange.width_in)


def test_python_is_told_of_a_job_in_its_unit_as_well():
    with pytest.raises(InputError, match=r"50\.8 mm is thicker"):
        parse_job(in_mm(JOB.replace("thickness = 0.032", "thickness = 2")))


def test_drills_next_to_a_size_are_told_in_the_unit_asked_for():
    with pytest.raises(InputError) as caught:
        find_drill("0.097")
    # ASME B94.11M sizes, as a drill chart has them: #41 0.0960, #40 0.0980 in
    assert str(error_in_unit(caught.value, "mm")) == (
        "no drill on the chart is '0.097'; next to it: #41 (2.438 mm) and #40 (2.489 mm)"
    )


def test_no_layer_there_is_told_in_the_job_s_unit(refused):
    said = refused(["new-hole", "--rivet", "MS20470AD4", "--at", "600,50"], in_mm(JOB))
    assert "no drawn layer lies under (600, 50) mm" in said


def test_a_list_of_holes_too_far_off_is_told_in_the_job_s_unit(refused, tmp_path):
    (tmp_path / "holes.csv").write_text("x,y\n300000,5\n", encoding="utf-8")
    listed = re.sub(r"path = .*\ncount = 13", 'holes_csv = "holes.csv"', ROW)
    said = refused(["plan"], in_mm(HEAD + SHEET + MEMBER + listed))
    assert "300000 mm is no place on a skin; stay within 254000 mm" in said


# --- the texts themselves

LENGTHS = st.floats(1e-3, 1e4)


@given(length_in=LENGTHS)
def test_a_length_in_a_text_is_the_same_in_both_units(length_in):
    """But for the last digit told: a tenth of a thou, a micrometre."""
    text = length_words("{told}", told=length_in)
    inches, metric = (float(words_in_unit(text, unit).split()[0]) for unit in ("in", "mm"))
    assert inches == pytest.approx(length_in, abs=0.5001e-4)
    assert metric == pytest.approx(length_in * MM_PER_IN, abs=0.5001e-3)


@given(length_in=st.floats(-1e-3, 1e-3).filter(bool))
def test_no_length_but_nought_is_told_as_nought(length_in):
    assert float(length_words("{told}", told=length_in).split()[0]) != 0.0
    assert length_words("{told}", told=0.0) == "0 in"


@given(name=st.text())
def test_what_a_person_typed_stands_as_it_is(name):
    assert words_in_unit(length_words("{name}", name=name), "mm") == name


def test_a_text_keeps_its_lengths_through_all_that_is_done_with_errors():
    inner = length_words("a rib of {width}", width=1.0)
    both = joined_words(" and ", [inner, inner])
    error = InputError(both, where="rib", mend=length_words("give {least}", least=2.0))
    reborn = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own
    for one in (error, error.at("job"), copy.deepcopy(error), reborn):
        assert str(error_in_unit(one, "mm")).endswith(
            "rib: a rib of 25.4 mm and a rib of 25.4 mm; give 50.8 mm"
        )
        assert words_in_unit(words_of(one), "mm") == str(error_in_unit(one, "mm"))
        assert str(error_in_unit(error_in_unit(one, "mm"), "in")) == str(one)
        assert type(error_in_unit(one, "mm")) is InputError


#: They know the unit they are in, or write the limit as its rule does.
_KNOW_THEIR_UNIT = {"checks.py", "rules.py", "calculators/oversize/measured_size.py"}
_PACKAGE = Path(rivetkit.__file__).parent
_MODULES = sorted(
    path.relative_to(_PACKAGE).as_posix()
    for path in _PACKAGE.rglob("*.py")
    if "reports" not in path.parts
)


@pytest.mark.parametrize("module", sorted({*_MODULES} - _KNOW_THEIR_UNIT))
def test_no_text_holds_a_number_of_inches_that_cannot_be_told_in_millimetres(module):
    """A number formatted before a literal ``in`` is a length whose unit is lost."""
    found = []
    for node in ast.walk(ast.parse((_PACKAGE / module).read_text(encoding="utf-8"))):
        if isinstance(node, ast.JoinedStr):
            for one, after in zip(node.values, node.values[1:], strict=False):
                says = isinstance(after, ast.Constant) and re.match(r"\)? in\b", str(after.value))
                if isinstance(one, ast.FormattedValue) and says and _is_number(one):
                    found.append(f"line {one.lineno}: {ast.unparse(one.value)}")
    assert found == []


def _is_number(told):
    return told.format_spec is not None or ast.unparse(told.value).endswith(("_in", ".value"))


# --- why a check could not be made

BAND = (
    "is for 1.016 mm to 3.175 mm, not 0.3 mm"  # MIL-HDBK-5 table of 7075-T6, from memory: .04 in on
)
SPLICE = ["splice", "--table", "4-10", "--diameter", "1/8"]
REASONS = [
    (["strength", "MS20470AD4", "a=.3:7075-T6", "b=.3:7075-T6", "--edge", "10"], BAND),
    (
        [*SPLICE, "--joint", "full", "--thickness", "1.3", "--width", "100"],
        "no row for 1.3 mm sheet and none is interpolated; the next thicker is 1.6",
    ),
    (["grip", "MS20426AD10", "2:countersunk", "5"], "the table has no 7.938 mm rivet with this"),
    (["spacing", "MS20426AD10", "--countersunk-sheet", "2"], "the table has no 7.938 mm rivet"),
    (["grip", "MS20426AD3", ".4:countersunk", ".4"], "head is 0.914 mm high and the stack 0.8 mm"),
]


def said(arguments, capsys):
    """Return what a command says, in one line, without the marks of a page."""
    assert exit_code_of(arguments) in {0, 1}
    out = capsys.readouterr().out
    return " ".join((re.sub(r"<[^>]*>", " ", out) if "html" in arguments else out).split())


@pytest.mark.parametrize("form", ["text", "json", "html"])
@pytest.mark.parametrize("explain", [[], ["--explain"]])
@pytest.mark.parametrize(("arguments", "words"), REASONS)
def test_why_a_check_was_not_made_is_in_the_unit_as_well(arguments, words, form, explain, capsys):
    told = said([*arguments, "--units", "mm", "--format", form, *explain], capsys)
    assert words in told


@pytest.mark.parametrize("form", ["text", "json", "html"])
@pytest.mark.parametrize("command", ["plan", "map"])
def test_a_plan_tells_in_the_job_s_unit_what_it_could_not_check(command, form, tmp_path, capsys):
    """Strength and bearing of a sheet thinner than its alloy's figures are for."""
    job = tmp_path / "job.toml"
    thin = JOB.replace('"2024-T3", thickness = 0.025', '"7075-T6", thickness = 0.032')
    thin = thin.replace('"2024-T3", thickness = 0.032', '"7075-T6", thickness = 0.025')
    job.write_text(in_mm(thin), encoding="utf-8")
    told = said([command, str(job), "--format", form], capsys)
    words = "on file for 7075-T6 is for 1.016 mm to 3.175 mm, not 0."
    assert (words in told) == ((command, form) != ("map", "text"))
    assert "on file for 7075-T6 is for 0.04 in" not in told


def test_a_layer_nobody_drew_is_told_with_its_distance_in_the_job_s_unit(tmp_path, capsys):
    job = tmp_path / "job.toml"
    job.write_text(in_mm(JOB), encoding="utf-8")
    told = said(["new-hole", str(job), "--rivet", "MS20470AD3", "--at", "20,20"], capsys)
    assert re.search(r"it may lie there, [0-9.]+ mm from its row 'row'", told)
