"""The traveller: the JSON document's numbers on one page that fetches and runs nothing."""

import itertools
import json
import re
from collections import Counter

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from map_jobs import HOSTILE, MIXED, hostile_job, many_holes, planned
from page_reader import read_page, rows, section

from rivetkit.cli.app import main
from rivetkit.reports.document import Column, Fact, Facts, Paragraph, Report, Section, Steps, Table
from rivetkit.reports.formats.html_report import render_html
from rivetkit.reports.plans.plan_report import plan_report
from rivetkit.reports.plans.plan_tables import MOST_LINES
from rivetkit.reports.plans.traveller import as_traveller

JOBS = ["examples/inspection_cover.toml", "examples/elevator.toml"]
VERDICTS = {"pass": "pass", "FAIL": "fail", "marginal": "marginal", "not checked": "not_checked"}


def output(arguments):
    return CliRunner().invoke(main, arguments, standalone_mode=False).output


def traveller(text, unit="in"):
    plan = planned(text)
    report = plan_report(plan, inputs={}, length_unit=unit)
    return render_html(as_traveller(report, plan))


@pytest.fixture(scope="module", params=[(job, unit) for job in JOBS for unit in ("in", "mm")])
def page_and_data(request):
    job, unit = request.param
    page = read_page(output(["plan", job, "--units", unit, "--format", "html"]))
    data = json.loads(output(["plan", job, "--units", unit, "--format", "json"]))
    return page, data, unit


def rounded(value, unit):
    return f"{value:.{4 if unit == 'in' else 3}f}"


def test_edge_margins_are_those_of_the_json_document(page_and_data):
    page, data, unit = page_and_data
    for heading, key in (
        ("Edge margins by layer and row", "edge_margins"),
        ("Edge margins along every edge of the new sheets", "sheet_edges"),
    ):
        (table,) = section(page, heading).all("table")
        shown = [
            (line["nearest edge"], line[f"edge ({unit})"], VERDICTS[line["verdict"]])
            for line in rows(table)
        ]
        told = [
            (entry["edge"], rounded(entry[f"distance_{unit}"], unit), entry["verdict"])
            for entry in data["result"][key]
        ]
        assert len(shown) == min(len(told), MOST_LINES)
        assert shown == told if len(told) <= MOST_LINES else set(shown) <= set(told)


def test_the_order_is_that_of_the_json_document(page_and_data):
    page, data, _ = page_and_data
    (table,) = section(page, "Rivets to fit").all("table")
    shown = {line["part"]: (line["to fit"], line["order"]) for line in rows(table)}
    for line in data["result"]["fit"]:
        assert shown[line["part_number"]] == (str(line["net"]), str(line["order"]))
    assert len(shown) == len(data["result"]["fit"]) + (len(shown) > 1)


def test_every_rivet_to_drill_out_has_its_boxes(page_and_data):
    page, data, _ = page_and_data
    (table,) = section(page, "Rivets to drill out").all("table")
    assert sum(int(line["count"]) for line in rows(table)) == data["result"]["to_drill_out"]
    boxes = [len(row.all("i")) for row in table.all("tbody")[0].all("tr")]
    assert boxes == [2] * len(data["result"]["drill_out"])


def full_lines(page, heading):
    return [line for table in section(page, heading).all("table") for line in rows(table)]


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_each_check_is_there_in_full_where_it_is_asked_for(job, unit):
    options = ["plan", job, "--units", unit]
    page = read_page(output([*options, "--format", "html", "--explain"]))
    checks = json.loads(output([*options, "--format", "json"]))["checks"]
    lines = full_lines(page, "Each check in full")
    assert len(lines) == len(checks)
    shown = Counter((line["where"], line["with numbers"]) for line in lines)
    assert shown == Counter((check["where"], check["substituted"]) for check in checks)


def test_the_page_explains_every_kind_of_check(page_and_data):
    page, data, _unit = page_and_data
    text = section(page, "The closest checks in full").words
    for check in data["checks"]:
        assert check["formula"] in text
        assert check["rule"] in text
        assert check["locator"] in text


def test_every_source_and_caution_is_there(page_and_data):
    page, data, _ = page_and_data
    text = page.all("main")[0].words
    for source in data["sources"]:
        assert source["title"] in text
    for caution in data["cautions"]:
        assert text.count(caution) == 1  # said once, at the end
    (said,) = page.all("main")[0].all("aside")
    assert text.endswith(f"{said.words} {section(page, 'Sign-off').words}")


def test_who_signs_has_read_the_cautions(page_and_data):
    """Nobody signs above a caution that he turns the page for: both stand in one unbroken box."""
    page, data, _ = page_and_data
    (closing,) = (node for node in page.all("div") if node.attributes.get("class") == "closing")
    assert closing.words == page.all("main")[0].words[-len(closing.words) :]
    assert closing.words.index(data["cautions"][-1]) < closing.words.index("Sign-off")
    (name,) = (node.words for node in page.all("h1"))
    assert f"Sign-off {name}" in closing.words  # a page that comes loose says what it signs for


def test_the_hole_map_shows_every_hole(page_and_data):
    page, data, _ = page_and_data
    figures = page.all("figure")
    uses = [use for figure in figures for use in figure.all("use")]
    names = {use.words.split(": ")[0] for use in uses}
    assert len(names) == data["result"]["holes"]
    ids = [node.attributes["id"] for node in every(page) if "id" in node.attributes]
    assert len(ids) == len(set(ids))
    assert {use.attributes["href"][1:] for use in uses} <= set(ids)


def every(node):
    for child in node.children:
        if not isinstance(child, str):
            yield child
            yield from every(child)


def test_it_can_be_signed(page_and_data):
    page, _, _ = page_and_data
    (table,) = section(page, "Sign-off").all("table")
    lines = rows(table)
    assert len(lines) >= 3
    assert all(line[blank] == "" for line in lines for blank in ("date", "name"))


def test_nothing_is_fetched_and_nothing_runs(page_and_data):
    page, _, _ = page_and_data
    tags = {node.tag for node in every(page)}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "form", "base"}
    for node in every(page):
        for name, value in node.attributes.items():
            assert not name.startswith("on")
            if name in ("href", "src", "xlink:href"):
                assert value.startswith("#")
    style = "".join(node.text for node in page.all("style"))
    assert "@import" not in style
    assert re.findall(r"url\((?!#)", style) == []
    (policy,) = (
        node.attributes["content"]
        for node in page.all("meta")
        if node.attributes.get("http-equiv") == "Content-Security-Policy"
    )
    assert "default-src 'none'" in policy


# ---------------------------------------------------------------- who cannot see it, or see it all


def test_it_reads_well_aloud(page_and_data):
    page, data, _ = page_and_data
    (html,) = page.all("html")
    assert html.attributes["lang"] == "en"
    (title,) = page.all("head")[0].all("title")
    assert data["result"]["job"] in title.text
    assert len(page.all("h1")) == len(page.all("main")) == 1
    for table in page.all("table"):
        assert table.all("caption")[0].words
        heads = table.all("thead")[0].all("th")
        assert all(cell.attributes["scope"] == "col" for cell in heads)
        for row in (row for body in table.all("tbody") for row in body.all("tr")):
            (head,) = row.all("th")
            assert head.attributes["scope"] in ("row", "rowgroup")
    for svg in page.all("svg"):
        hidden = svg.attributes.get("aria-hidden") == "true"
        assert hidden or svg.attributes["role"] == "img"
        if not hidden:
            assert svg.attributes["aria-labelledby"] == svg.all("title")[0].attributes["id"]
    for box in page.all("div"):
        if "tabindex" in box.attributes:  # what scrolls can be scrolled by keyboard, and is named
            assert box.attributes["role"] == "region"
            assert box.attributes["aria-label"]


def test_headings_leave_no_step_out(page_and_data):
    page, _, _ = page_and_data
    levels = [int(node.tag[1]) for node in every(page) if re.fullmatch(r"h\d", node.tag)]
    assert levels[0] == 1
    assert all(later <= earlier + 1 for earlier, later in itertools.pairwise(levels))


def test_links_of_the_contents_lead_somewhere(page_and_data):
    page, _, _ = page_and_data
    ids = {node.attributes.get("id") for node in every(page)}
    links = [link.attributes["href"] for link in page.all("nav")[0].all("a")]
    assert links
    assert {link[1:] for link in links} <= ids


def luminance(colour):
    """Relative luminance of sRGB, WCAG 2.1."""
    parts = [int(colour[place : place + 2], 16) / 255.0 for place in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """Contrast ratio, WCAG 2.1."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_against_its_own_document():
    # WCAG 2.1: black on white is 21:1; #767676 on white is the lightest grey of 4.5:1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.fixture(scope="module")
def colours():
    page = read_page(traveller(MIXED))
    style = "".join(node.text for node in page.all("style"))
    found = [
        dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6})", block))
        for block in re.findall(r":root\{([^}]*)\}", style)
    ]
    assert len(found) == 3
    return dict(zip(("light", "dark", "print"), found, strict=True))


@pytest.mark.parametrize("mode", ["light", "dark", "print"])
def test_text_stands_out(colours, mode):
    # WCAG 2.1, 1.4.3: text 4.5:1; 1.4.11: what must be told apart in a picture 3:1.
    used = colours[mode]
    for text in ("ink", "faint", "pass", "marginal", "fail", "not-checked"):
        for ground in ("paper", "tint"):
            assert contrast(used[text], used[ground]) >= 4.5, (text, ground)
    for sign in ("pass", "marginal", "fail", "not-checked", "ink"):
        for ground in ("metal", "flange"):
            assert contrast(used[sign], used[ground]) >= 3.0, (sign, ground)


def test_a_verdict_is_told_by_word_and_shape():
    page = read_page(traveller(MIXED))
    signs = {}
    for span in page.all("span"):
        if span.attributes.get("class", "").startswith("verdict"):
            (svg,) = span.all("svg")
            (shape,) = (child for child in svg.children if not isinstance(child, str))
            signs[span.words] = (shape.tag, shape.attributes.get("d", "")[:4])
    assert {"pass", "FAIL", "not checked"} <= set(signs)
    assert len(set(signs.values())) == len(signs)


# ---------------------------------------------------------------- text a person typed


def test_hostile_names_stay_text():
    text = traveller(hostile_job())
    page = read_page(text)
    assert {node.tag for node in every(page)} == {
        node.tag for node in every(read_page(traveller(MIXED)))
    }
    assert page.all("h1")[0].text == f"Plan: {HOSTILE[0]}"
    words = page.text
    for name in HOSTILE[:3] + HOSTILE[4:]:
        assert name in words
    assert "{{ 7 * 7 }}" in words


#: HTML knows no control characters but the ends of lines, and no code points that are no letters.
ANY = st.text(
    st.characters(codec="utf-8", exclude_characters="\ufffe\uffff", exclude_categories=("Cc",))
    | st.just("\n")
)


def running_foot(page):
    """What stands at the foot of every printed page, its codes read as CSS 2.1, 4.1.3 has them."""
    style = "".join(node.text for node in page.all("style"))
    (written,) = re.findall(r"@bottom-left\{content:\"([^\"]*)\"", style)
    assert re.fullmatch(r"(?:[A-Za-z0-9 ]|\\[0-9a-f]{6} )*", written)
    return re.sub(r"\\([0-9a-f]{6}) ", lambda code: chr(int(code.group(1), 16)), written)


@pytest.mark.parametrize("text", [MIXED, hostile_job()], ids=["plain", "hostile"])
def test_every_printed_page_says_which_job_it_is_of(text):
    page = read_page(traveller(text))
    foot = running_foot(page)
    assert len(foot) > len("Plan: ")
    assert foot == page.all("h1")[0].text[: len(foot)]


def test_a_name_that_is_too_long_for_the_foot_is_cut_and_shows_it():
    report = Report(command="test", title="n" * 200, inputs={}, result={}, sections=())
    foot = running_foot(read_page(render_html(report)))
    assert len(foot) < 100
    assert re.fullmatch(r"n+\.\.\.", foot)


@settings(max_examples=60)
@given(text=ANY)
def test_any_text_comes_back_as_it_was(text):
    report = Report(
        command="test",
        title=text,
        inputs={},
        result={},
        sections=(
            Section(
                text,
                (
                    Paragraph(text),
                    Facts((Fact(text, text, text),)),
                    Steps((text,)),
                    Table((Column(text, text), Column("b")), ((text, "x"),), caption=text),
                ),
            ),
        ),
        cautions=(text,),
    )
    page = read_page(render_html(report))
    assert page.all("p")[1].text == text
    assert page.all("dt")[0].text == text
    assert page.all("title")[0].text == text
    assert not page.all("script")
    if text:
        assert text in page.all("tbody")[0].text
        assert page.all("aside")[0].all("li")[0].text == text


def test_a_section_without_heading_is_shown():
    report = Report(
        command="test",
        title="t",
        inputs={},
        result={},
        sections=(
            Section("", (Paragraph("words"),)),
            Section("more", (Paragraph("x"),), detail=True),
        ),
    )
    assert "words" in read_page(render_html(report)).text
    assert "more" not in read_page(render_html(report)).text
    assert "more" in read_page(render_html(report, explain=True)).text


def test_five_thousand_holes_stay_a_small_file():
    page = traveller(many_holes())
    assert page.count("<use") == 5000
    assert len(page) < 1_100_000


@pytest.mark.parametrize(
    "arguments",
    [
        ["drills", "#40"],
        ["fastener", "MS20470AD4-5"],
        ["sources"],
        ["spacing", "MS20470AD4", "--edge", ".25"],
    ],
    ids=" ".join,
)
def test_every_command_can_be_a_page(arguments):
    page = read_page(output([*arguments, "--format", "html"]))
    assert page.all("main")[0].words


def test_a_file_is_written_whole(tmp_path):
    file = tmp_path / "traveller.html"
    arguments = ["plan", JOBS[0], "--format", "html", "-o", str(file)]
    done = CliRunner().invoke(main, arguments, standalone_mode=False)
    assert (done.return_value, done.output) == (0, "")
    text = file.read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert text.endswith("</html>\n")
    assert [path.name for path in tmp_path.iterdir()] == ["traveller.html"]
