"""What a plan's tables say, read as a mechanic reads them. The jobs are invented."""

import json
import math
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from scipy import constants

from rivetkit.cli.app import main
from rivetkit.reports.amounts import mass_in_unit, moment_in_unit
from rivetkit.reports.plans.plan_tables import _row_words

ELEVATOR = "examples/elevator.toml"
COVER = "examples/inspection_cover.toml"


def output(*arguments):
    return CliRunner().invoke(main, arguments, standalone_mode=False).output


def section(text, heading):
    return text[text.index(f"\n{heading}\n") :].split("\n\n")[0]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (4, "r0 1, r1 1, r2 1, r3 1"),
        (5, "r0 1, r1 1, r2 1, r3 1 and 1 more row"),
        (6, "r0 1, r1 1, r2 1, r3 1 and 2 more rows"),
    ],
)
def test_more_rows_are_counted_in_words(rows, words):
    assert _row_words([(f"r{number}", 1) for number in range(rows)]) == words


@pytest.mark.parametrize("job", [ELEVATOR, COVER])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_limit_stays_when_the_page_is_narrow(job, unit):
    text = output("plan", job, "--units", unit)
    for heading in (
        "Edge margins by layer and row",
        "Edge margins along every edge of the new sheets",
        "Rivet, sheet and shop head",
    ):
        assert re.search(rf"(least|limit) \({unit}\)", section(text, heading))
    assert max(map(len, text.splitlines())) <= 100


def test_every_plan_says_that_a_control_surface_is_balanced_again():
    """Whoever tells no hinge line may still have a rudder on the bench. Common practice."""
    cautions = {
        job: " ".join(output("plan", job).split("Before you drill")[1].split())
        for job in (ELEVATOR, COVER)
    }

    for text in cautions.values():
        assert "balance" in text
        assert "flutter destroys aircraft" in text
    assert "[hinge]" in cautions[COVER]
    assert "[hinge]" not in cautions[ELEVATOR]


def test_no_two_lines_of_the_edge_margins_look_alike(tmp_path):
    """A corner hole is the nearest of both rows it belongs to: the line says of which."""
    job = tmp_path / "job.toml"
    job.write_text(output("start", "--yes"), encoding="utf-8")
    text = section(output("plan", str(job)), "Edge margins by layer and row")
    lines = [" ".join(line.split()) for line in text.splitlines()]
    assert len(set(lines)) == len(lines)
    assert re.search(r"skin +left row at bottom", text)


def test_pitches_stand_beside_their_limits():
    text = section(output("plan", COVER), "Pitch along the rows")
    assert re.search(r"least \(in\) +limit \(in\) +verdict +greatest \(in\) +limit \(in\)", text)
    assert re.search(r"min 0\.3750 +pass +[\d.]+ +max 1\.2500 +pass", text)


def test_a_metric_plan_weighs_in_grams():
    """The pound and the inch are those of scipy.constants."""
    inch, metric = (
        json.loads(output("plan", ELEVATOR, "--units", unit, "--json"))["result"]
        for unit in ("in", "mm")
    )
    grams = constants.lb * 1000
    for one, other in zip(inch["fit"], metric["fit"], strict=True):
        assert other["net_mass_g"] == pytest.approx(one["net_mass_lb"] * grams)
        assert "net_mass_lb" not in other
    balance, metric_balance = inch["balance"], metric["balance"]
    assert metric_balance["mass_g"] == pytest.approx(balance["mass_lb"] * grams)
    assert metric_balance["moment_g_mm"] == pytest.approx(
        balance["moment_lb_in"] * grams * constants.inch * 1000
    )
    text = output("plan", ELEVATOR, "--units", "mm")
    assert "mass computed (g)" in text
    assert "moment (g mm)" in text
    assert not re.search(r"\blb\b", text)


def test_masses_stay_as_they_are_among_inches():
    assert (mass_in_unit(0.3, "in"), moment_in_unit(0.3, "in")) == (0.3, 0.3)
    text = output("plan", ELEVATOR)
    assert "mass computed (lb)" in text
    assert "moment (lb in)" in text


def test_bits_bought_by_the_inch_say_so_among_millimetres():
    text = output("plan", COVER, "--units", "mm")
    tools = section(text, "Tools to lay out")
    assert re.search(r"drill +1/8 in +heads off", tools)
    assert not re.search(r"\b\d+/\d+\b(?! in)", tools)


def test_rivets_sold_singly_have_no_packs():
    plan = json.loads(output("plan", COVER, "--json"))["result"]
    order = json.loads(output("order", COVER, "--json"))["result"]
    assert {line["packs"] for line in (*plan["fit"], *order["parts"], order["totals"])} == {None}
    packed = json.loads(output("order", COVER, "--pack", "25", "--json"))["result"]
    assert [line["packs"] for line in packed["parts"]] == [
        -(-line["order"] // 25) for line in packed["parts"]
    ]
    assert "sold singly" in output("plan", COVER)


def test_a_rivet_on_file_twice_is_told_twice_under_two_names():
    text = output("fastener", "AN426AD3-4")
    assert text.count("before driving") == 1
    assert "another document says" in text


def test_the_short_plan_says_what_could_not_be_checked_and_that_no_accuracy_was_told(tmp_path):
    job = tmp_path / "job.toml"
    text = output("start", "--yes").replace("end_distance", "# end_distance")
    job.write_text(re.sub(r"(?m)^accuracy.*\n", "", text), encoding="utf-8")
    short = output("plan", str(job), "--quiet")
    assert "What could not be checked" in short
    assert re.search(r"measured to +not told", short)
    assert "Edge margins" not in short
    assert "What could not be checked" not in output("plan", COVER, "--quiet")


@pytest.mark.parametrize(
    ("width", "height", "units", "asked"),
    [
        (380, 300, "in", True),  # a rib bay in mm
        (121, 120.5, "in", True),
        (400, 119, "in", False),  # a wing's skin drawn in one
        (380, 300, "mm", False),
        (3500, 3100, "mm", True),
    ],
)
def test_a_skin_wider_than_any_sheet_is_asked_about(tmp_path, width, height, units, asked):
    # common practice, no source: twice the widest sheet that dealers keep, 5 ft; turned or not
    job = tmp_path / "job.toml"
    turn, scale = math.radians(30), 25.4 if units == "mm" else 1.0

    def corner(x, y):
        return [x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)]

    corners = [corner(*at) for at in ((width, 0), (width, height), (0, height), (0, 0))]
    edges = ", ".join(
        f'{{ name = "{name}", to = {at} }}' for name, at in zip("abcd", corners, strict=True)
    )
    job.write_text(
        f'name = "wide"\nunits = "{units}"\n[[sheet]]\nname = "skin"\n'
        'new = { alloy = "2024-T3", thickness = "0.032 in" }\n[sheet.outline]\nstart = [0, 0]\n'
        f"edges = [{edges}]\n"
        f'[[row]]\nname = "row"\nfit = "MS20470AD4"\npath = [{corner(50, 50)}, '
        f'{corner(50 + 10 * scale, 50)}]\npitch = "1 in"\nlayers = ["skin"]\n',
        encoding="utf-8",
    )
    plan = output("plan", str(job), "--quiet")

    assert ("no sheet is so wide" in " ".join(plan.split())) == asked
    assert ('Then write units = "mm"' in " ".join(plan.split())) == (asked and units == "in")
    found = json.loads(output("plan", str(job), "--json"))["result"]["wide_layers"]
    assert [layer["layer"] for layer in found] == ["skin"] * asked


def test_what_rests_on_memory_is_marked_where_it_is_drilled_and_weighed_by():
    """Heads of MS20470 are recalled: the depth to drill to, and the mass, rest on memory."""
    text = output("plan", COVER)
    universal = next(line for line in text.splitlines() if re.match(r" +MS20470AD4-4 +ring", line))
    assert universal.endswith("from memory")
    assert "Masses rest on sizes and densities from memory." in text


def test_an_alloy_no_table_has_is_named(tmp_path):
    job = tmp_path / "job.toml"
    known = (Path(__file__).parent.parent / COVER).read_text(encoding="utf-8")
    job.write_text(known.replace("2024-T3 clad", "2042-T3"), encoding="utf-8")
    text = output("plan", str(job))
    assert "no table has the alloy '2042-T3'; is 2024-T3 meant?" in text
    assert "not checked" in section(text, "Summary")


def test_an_old_alloy_no_table_has_is_named_as_well(tmp_path):
    job = tmp_path / "job.toml"
    known = (Path(__file__).parent.parent / COVER).read_text(encoding="utf-8")
    job.write_text(
        known.replace('old = { alloy = "2024-T3', 'old = { alloy = "2042-T3'), encoding="utf-8"
    )
    assert "no table has the alloy '2042-T3 clad'" in output("plan", str(job))


@pytest.mark.parametrize("job", [ELEVATOR, "start"])
def test_a_shop_head_is_named_with_its_grip(job, tmp_path):
    """One part in two stacks makes two shop heads: the grip tells which is which."""
    if job == "start":
        job = str(tmp_path / "job.toml")
        output("start", "--yes", "-o", job)
    checks = json.loads(output("plan", job, "--json"))["checks"]
    heads = [
        (check["where"], check["name"]) for check in checks if check["name"].startswith("shop head")
    ]

    assert heads
    assert all(re.search(r", grip 0\.[0-9]+ in: ", where) for where, _ in heads)
    assert len(set(heads)) == len(heads)


def test_a_strength_that_is_not_known_is_said_in_words(tmp_path):
    """A question mark beside a part number is a computed length; it stands for nothing else."""
    job = tmp_path / "job.toml"
    text = output("start", "--yes").replace(
        'old = { alloy = "2024-T3 clad"', 'old = { alloy = "mystery"'
    )
    job.write_text(text, encoding="utf-8")
    table = section(output("plan", str(job)), "Strength before and after")

    assert re.search(r"not known; after: +[0-9]+", table)
    assert "?" not in table
