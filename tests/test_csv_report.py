"""CSV: the JSON document's numbers, units in the headers, nothing a spreadsheet would run."""

import csv
import io
import json
import re

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from map_jobs import hostile_job, planned

from rivetkit import __version__
from rivetkit.cli.app import main
from rivetkit.reports.document import Report
from rivetkit.reports.formats.csv_report import render_csv
from rivetkit.reports.formats.json_report import report_data
from rivetkit.reports.plans.plan_report import plan_report

JOBS = ["examples/inspection_cover.toml", "examples/elevator.toml"]
COMMANDS = [
    *(["plan", job] for job in JOBS),
    ["map", JOBS[0]],
    ["drills", "#40"],
    ["drills", "--rivets"],
    ["fastener", "MS20470AD4-5"],
    ["grip", "MS20470AD4", ".032 in", ".040 in"],
    ["drill-out", "MS20470AD4", "--sheet", ".032 in"],
    ["spacing", "MS20470AD4", "--edge", ".25 in", "--pitch", "1 in"],
    ["sources"],
]
#: First characters by which spreadsheets know a formula: the usual list of security guides.
RUNS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def output(arguments):
    return CliRunner().invoke(main, arguments, standalone_mode=False).output


def tables(text):
    """Every table by its name, as dictionaries; the first line of a name is its header."""
    found = {}
    for name, *cells in csv.reader(io.StringIO(text), strict=True):
        found.setdefault(name, []).append(cells)
    return {
        name: [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]
        for name, lines in found.items()
    }


def leaves(value, path=""):
    """Every single value of a JSON document with its path, list places left out."""
    if isinstance(value, dict):
        for key, entry in value.items():
            yield from leaves(entry, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and any(isinstance(entry, dict) for entry in value):
        for entry in value:
            yield from leaves(entry, path)
    else:
        yield path, value


def number_text(value):
    return isinstance(value, int | float) and not isinstance(value, bool)


@pytest.mark.parametrize("arguments", COMMANDS, ids=" ".join)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_every_number_of_the_json_document_is_there(arguments, unit):
    """Unrounded, but for masses and moments, which are computed: to six places."""
    data = json.loads(output([*arguments, "--units", unit, "--format", "json"]))
    read = tables(output([*arguments, "--units", unit, "--format", "csv"]))
    parts = {**data["inputs"], **data["result"], "checks": data["checks"]}
    numbers = sorted(
        round(float(value), 6) if re.search("mass_|moment_", path) else float(value)
        for path, value in leaves(parts)
        if number_text(value)
    )
    cells = [
        cell
        for lines in read.values()
        for line in lines
        for key, cell in line.items()
        if not (key == "line" or line.get("what") == "version")
    ]
    found = []
    for cell in cells:
        try:
            found.append(float(cell))
        except ValueError:
            continue
    for value in numbers:
        assert value in found
    assert len(numbers) <= len(found)


@pytest.mark.parametrize("job", JOBS)
def test_tables_line_by_line(job):
    data = json.loads(output(["plan", job, "--format", "json"]))
    read = tables(output(["plan", job, "--format", "csv"]))

    for name in ("drill_out", "fit", "lengths", "edge_margins", "sheet_edges", "pitch", "tools"):
        assert len(read[name]) == len(data["result"][name])
    for line, record in zip(read["edge_margins"], data["result"]["edge_margins"], strict=True):
        assert (line["layer"], line["row"], line["edge"], line["verdict"]) == (
            record["layer"], record["row"], record["edge"], record["verdict"],
        )  # fmt: skip
        assert float(line["distance_in"]) == record["distance_in"]
    for line, check in zip(read["checks"], data["checks"], strict=True):
        assert float(line["margin"]) == check["margin"]
        assert (line["unit"], line["verdict"]) == (check["unit"], check["verdict"])
    assert {line["what"]: line["value"] for line in read["report"]}["to_fit"] == str(
        data["result"]["to_fit"]
    )
    rows = [row for record in data["result"]["fit"] for row in record["rows"]]
    assert [int(line["count"]) for line in read["fit.rows"]] == [row["count"] for row in rows]


@pytest.mark.parametrize(("unit", "other"), [("in", "mm"), ("mm", "in")])
def test_headers_carry_the_unit(unit, other):
    read = tables(output(["plan", JOBS[0], "--units", unit, "--format", "csv"]))
    for name in ("distance", "least"):
        assert f"{name}_{unit}" in read["edge_margins"][0]
        assert f"{name}_{other}" not in read["edge_margins"][0]


@given(text=st.text() | st.builds("{}{}".format, st.sampled_from(RUNS), st.text()))
def test_no_text_is_a_formula(text):
    report = Report(
        command="test",
        title="test",
        inputs={"asked": text},
        result={"list": [{"name": text, "size_in": -0.5}]},
        sections=(),
        cautions=(text,),
    )
    read = tables(render_csv(report))
    cells = [read["report"][3]["value"], read["list"][0]["name"], read["cautions"][0]["caution"]]
    for cell in cells:
        assert cell == "-" or not cell.lstrip(" \x00").startswith(RUNS)
        for part in cell.split(";")[1:]:
            assert not part.lstrip(" \x00").startswith(RUNS)
    assert read["list"][0]["size_in"] == "-0.5"  # a number may be below zero


@pytest.mark.parametrize("text", ["1/8", "3/32", "3-4", "1.2.2024"])
def test_a_fraction_does_not_become_a_date(text):
    report = Report(command="t", title="t", inputs={}, result={"drill": text}, sections=())
    assert tables(render_csv(report))["report"][3]["value"] == f"'{text}"


def test_hostile_names_are_only_text():
    plan = planned(hostile_job())
    report = plan_report(plan, inputs={}, length_unit="in")
    text = render_csv(report)
    cells = [cell for line in csv.reader(io.StringIO(text)) for cell in line]
    assert "'=HYPERLINK(0)" in " ".join(cells)
    assert not [cell for cell in cells if re.match(r"\s*[=+@]", cell)]
    assert json.dumps(report_data(report))


def test_a_computed_mass_has_no_more_places_than_a_scale():
    read = tables(output(["plan", JOBS[1], "--format", "csv"]))
    masses = [line["net_mass_lb"] for line in read["fit"]]
    facts = {line["what"]: line["value"] for line in read["report"]}
    for text in (*masses, facts["balance.mass_lb"], facts["balance.moment_lb_in"]):
        assert re.fullmatch(r"-?\d+\.\d{1,6}", text)


def test_the_version_is_the_version():
    facts = {
        line["what"]: line["value"]
        for line in tables(output(["drills", "-o", "-", "--format", "csv"]))["report"]
    }
    assert facts["version"] == __version__


def test_two_formats_at_once_are_refused():
    done = CliRunner().invoke(main, ["drills", "--json", "--format", "csv"], standalone_mode=False)
    assert re.search(r"--json and --format csv exclude each other; give one", str(done.exception))


def test_json_is_short_for_format_json():
    assert output(["drills", "#40", "--json"]) == output(["drills", "#40", "--format", "json"])
    assert output(["drills", "#40", "--json"]) == output(
        ["drills", "#40", "--json", "--format", "json"]
    )


@pytest.mark.parametrize(
    ("name", "arguments", "says"),
    [
        ("list.csv", [], "add --format csv"),
        ("page.html", ["--json"], "add --format html"),
        ("data.json", ["--format", "csv"], "add --format json"),
    ],
)
def test_a_file_name_that_promises_another_format_is_refused(name, arguments, says, tmp_path):
    arguments = ["drills", *arguments, "-o", str(tmp_path / name)]
    done = CliRunner().invoke(main, arguments, standalone_mode=False)
    assert says in str(done.exception)
    assert not list(tmp_path.iterdir())
