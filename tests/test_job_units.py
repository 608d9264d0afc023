"""A job is reported in its own unit, and says the same in mm as in inches. Invented jobs."""

import json
import re

import pytest

from rivetkit.checks import MM_PER_IN
from rivetkit.cli.app import exit_code_of

#: A job whose lengths stand between <>, in inches; no two distances alike, so that none is a tie.
TOLD = """
name = "panel"
units = "UNIT"
accuracy = <0.004>
[[sheet]]
name = "skin"
old = { alloy = "2024-T3 clad", thickness = <0.025> }
new = { alloy = "2024-T3 clad", thickness = <0.032> }
outline = { rectangle = { corner = [<0>, <0>], width = <12>, height = <6> } }
cutouts = [{ name = "port", circle = { at = [<6>, <3>], diameter = <1.5> } }]
[[member]]
name = "spar"
kind = "spar"
alloy = "2024-T3"
thickness = <0.04>
outline = { rectangle = { corner = [<0>, <0>], width = <12>, height = <1> } }
[[member]]
name = "rib"
kind = "rib"
alloy = "2024-T3"
thickness = <0.04>
edge_distance = <0.3>
[[row]]
name = "front"
rivet = "MS20470AD4"
holes = [
  [<0.71>, <0.452>], [<1.64>, <0.463>], [<2.53>, <0.471>], [<3.56>, <0.484>], [<4.47>, <0.497>],
  [<5.42>, <0.506>], [<6.39>, <0.513>], [<7.41>, <0.527>], [<8.27>, <0.532>], [<9.26>, <0.541>],
]
layers = ["skin", "spar"]
[[row]]
name = "side"
rivet = "MS20426AD3"
holes = [[<0.203>, <1.62>], [<0.217>, <2.64>], [<0.223>, <3.67>], [<0.236>, <4.61>]]
layers = [{ layer = "skin", form = "dimpled" }, { layer = "rib", form = "dimpled" }]
"""

ORDER_UNITS = (("in", "in", "in"), ("mm", "mm", "mm"), ("in", "mm", "in"))


def told_in(unit):
    """Return the job with its bare numbers in a unit."""
    factor = {"in": 1.0, "mm": MM_PER_IN}[unit]
    text = TOLD.replace("UNIT", unit)
    return re.sub("<(.*?)>", lambda found: repr(float(found[1]) * factor), text)


@pytest.fixture(params=["in", "mm"])
def unit(request):
    return request.param


@pytest.fixture
def job(unit, tmp_path):
    path = tmp_path / "job.toml"
    path.write_text(told_in(unit), encoding="utf-8")
    return str(path)


def words_of(command, job, folder):
    """Return a command line that reads a job, and needs no unit told."""
    return {
        "new-hole": [command, job, "--rivet", "MS20470AD4", "--at", "50 mm,50 mm"],
        "template": [command, job, "-o", str(folder / "template.pdf")],
        "export-dxf": [command, job, "-o", str(folder / "map.dxf")],
    }.get(command, [command, job])


JOB_COMMANDS = ("plan", "map", "worksheet", "new-hole", "order", "blank", "template", "export-dxf")


def said(words, capsys):
    code = exit_code_of(words)
    out, err = capsys.readouterr()
    assert code in {0, 1}, err
    return out


@pytest.mark.parametrize("form", ["text", "json", "csv", "html"])
@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_a_job_is_reported_in_its_own_unit_where_none_is_asked(
    command, form, unit, job, tmp_path, capsys
):
    words = [*words_of(command, job, tmp_path), "--format", form]
    other = {"in": "mm", "mm": "in"}[unit]
    plain = said(words, capsys)
    assert plain == said([*words, "--units", unit], capsys)
    if command not in {"template", "export-dxf"}:  # their reports are of counts alone
        assert plain != said([*words, "--units", other], capsys)
    if form == "json":
        assert json.loads(plain)["inputs"]["units"] == unit


@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_a_job_says_the_same_in_millimetres_as_in_inches(command, tmp_path, capsys):
    """International inch, 1959: exactly 25.4 mm."""
    answers = []
    for unit in ("in", "mm"):
        path = tmp_path / "job.toml"
        path.write_text(told_in(unit), encoding="utf-8")
        words = [*words_of(command, str(path), tmp_path), "--format", "json", "--units", "mm"]
        answers.append(json.loads(said(words, capsys)))
    assert_alike(*answers)


def assert_alike(one, other, where=""):
    """Hold two answers to each other: words to the letter, numbers but for rounding."""
    assert type(one) is type(other), where
    if isinstance(one, dict):
        assert list(one) == list(other), where
        for key, value in one.items():
            assert_alike(value, other[key], f"{where}.{key}")
    elif isinstance(one, list):
        assert len(one) == len(other), where
        for number, (left, right) in enumerate(zip(one, other, strict=True)):
            assert_alike(left, right, f"{where}[{number}]")
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-9), where
    else:
        assert one == other, where


@pytest.mark.parametrize("command", ["plan", "map", "new-hole", "blank"])
def test_every_length_told_in_millimetres_is_25_4_of_that_in_inches(command, job, tmp_path, capsys):
    """Keys end in the unit, in every answer; what has no length is the same."""
    words = [*words_of(command, job, tmp_path), "--format", "json", "--units"]
    inches, metric = (json.loads(said([*words, unit], capsys))["result"] for unit in ("in", "mm"))
    pairs = list(paired(inches, metric))
    assert pairs
    for key, length_in, length_mm in pairs:
        assert length_mm == pytest.approx(length_in * MM_PER_IN, abs=1e-9), key


def paired(inches, metric):
    """Yield key, inches and millimetres of every length of two answers."""
    if isinstance(inches, dict):
        for (key, value), other in zip(inches.items(), metric.values(), strict=True):
            if key.endswith("_in") and isinstance(value, int | float):
                yield key, value, other
            else:
                yield from paired(value, other)
    elif isinstance(inches, list):
        for value, other in zip(inches, metric, strict=True):
            yield from paired(value, other)


@pytest.mark.parametrize(("first", "second", "meant"), ORDER_UNITS)
def test_an_order_is_in_the_unit_its_jobs_share_and_else_in_inches(
    first, second, meant, tmp_path, capsys
):
    files = []
    for number, unit in enumerate((first, second)):
        path = tmp_path / f"{number}.toml"
        path.write_text(told_in(unit), encoding="utf-8")
        files.append(str(path))
    told = json.loads(said(["order", *files, "--json"], capsys))
    assert told["inputs"]["units"] == meant
    asked = json.loads(said(["order", *files, "--json", "--units", "mm"], capsys))
    assert asked["inputs"]["units"] == "mm"


def test_a_drawing_for_other_programs_says_the_job_s_unit(unit, job, tmp_path, capsys):
    """DXF reference, $INSUNITS: 1 inches, 4 millimetres."""
    ezdxf = pytest.importorskip("ezdxf", reason="the extra dxf is not installed")
    said(words_of("export-dxf", job, tmp_path), capsys)
    document = ezdxf.readfile(tmp_path / "map.dxf")
    assert document.header["$INSUNITS"] == {"in": 1, "mm": 4}[unit]
    (skin,) = document.modelspace().query('LWPOLYLINE[layer=="OUTLINE_skin"]')
    across = max(x for x, _ in skin.get_points("xy"))
    assert across == pytest.approx({"in": 12.0, "mm": 304.8}[unit])


def test_bare_numbers_on_the_command_line_are_in_the_job_s_unit(unit, job, capsys):
    """A trim of 1 is 1 in of a job in inches and 1 mm of one in millimetres."""
    words = ["blank", job, "--json", "--trim"]
    bare, told, none = (
        json.loads(said([*words, trim], capsys))["result"] for trim in ("1", f"1 {unit}", "0")
    )
    assert bare == told != none


def test_a_blank_without_a_job_is_in_inches(capsys):
    told = json.loads(said(["blank", "--width", "30", "--height", "20", "--json"], capsys))
    assert told["inputs"]["units"] == "in"
