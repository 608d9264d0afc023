"""The report model and its text and JSON writers. All data here is invented."""

import dataclasses
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rivetkit.checks import MM_PER_IN, Term, make_check, not_checked
from rivetkit.handbook import Citation, load_sources
from rivetkit.reports.amounts import length_number, margin_number
from rivetkit.reports.check_table import check_table
from rivetkit.reports.document import (
    CheckList,
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Steps,
    Table,
    collect_citations,
)
from rivetkit.reports.formats.json_report import render_json
from rivetkit.reports.formats.text_report import render_text
from rivetkit.reports.formats.text_table import fold, table_lines

ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


def a_source():
    return next(iter(load_sources()))


def edge_check(edge_in=0.25, *, limit_in=0.25, basis="seen", where="skin"):
    return make_check(
        "edge distance",
        edge_in,
        limit_in,
        unit="in",
        comparison="at least",
        citations=(Citation("edge-min", a_source(), "p 59", basis),),
        template="{edge} >= {factor} x {diameter}",
        terms=(Term("edge", edge_in, "in"), Term("factor", 2.0), Term("diameter", 0.125, "in")),
        where=where,
    )


def a_report(checks, *, length_unit="in", blocks=()):
    return Report(
        command="spacing",
        title="Invented joint",
        inputs={"units": length_unit},
        result={"answer": 1.5},
        sections=(Section("Distances", (*blocks, CheckList(tuple(checks)))),),
        checks=tuple(checks),
        citations=collect_citations(checks),
        cautions=("Look first.",),
        length_unit=length_unit,
    )


def test_text_shows_value_limit_margin_and_verdict():
    text = render_text(a_report([edge_check(0.24)]))
    row = next(line for line in text.splitlines() if "edge distance" in line)
    assert re.split(r"\s{2,}", row.strip()) == [
        "skin",
        "edge distance",
        "0.2400",
        "min 0.2500",
        "-0.0100",
        "FAIL",
    ]


def test_millimetres_are_converted_everywhere_the_check_is_shown():
    text = render_text(a_report([edge_check(0.24)], length_unit="mm"), explain=True)
    assert "6.096 mm >= 2 x 3.175 mm" in text
    assert "min 6.350" in text
    assert "0.2400" not in text


@pytest.mark.parametrize(
    ("basis", "mark"),
    [("memory", "from memory"), ("practice", "common practice"), ("seen", None), ("derived", None)],
)
def test_a_limit_nobody_read_says_so_beside_the_number(basis, mark):
    text = render_text(a_report([edge_check(basis=basis)]))
    row = next(line for line in text.splitlines() if "edge distance" in line)
    assert row.endswith(mark or "pass")


def test_a_basis_mark_stands_beside_a_fact():
    text = render_text(a_report([], blocks=(Facts((Fact("drill", "#40", basis="memory"),)),)))
    assert re.search(r"drill +#40 +from memory", text)


def test_explain_gives_all_it_takes_to_check_by_hand():
    text = render_text(a_report([edge_check()]), explain=True)
    for piece in (
        "edge >= factor x diameter",
        "0.2500 in >= 2 x 0.1250 in",
        "edge-min",
        load_sources()[a_source()].title,
        "p 59",
        "read in the named document",
    ):
        assert piece in text.replace("\n", " ")


def test_a_check_that_could_not_be_made_says_why():
    check = not_checked("edge distance", "no edge given", where="rib")
    text = render_text(a_report([check]))
    assert "not checked" in text
    assert "edge distance, rib: no edge given" in text


def test_colour_is_for_verdicts_only_and_changes_no_column():
    report = a_report([edge_check(0.24), edge_check(0.26)])
    plain = render_text(report)
    coloured = render_text(report, colour=True)
    assert "\x1b" not in plain
    assert ESCAPE.sub("", coloured) == plain
    assert re.findall(r"\x1b\[[0-9;]*m(\w+)\x1b\[0m", coloured) == ["FAIL", "pass"]


def test_a_margin_too_small_to_see_is_shown_with_more_digits():
    assert margin_number(-0.00003, "in", "in") == "-0.00003"
    assert margin_number(0.0, "in", "in") == "0.0000"


WORDS = st.text(alphabet="abcdefgh 0123456789./", max_size=60)


@settings(deadline=None)
@given(
    rows=st.lists(st.tuples(WORDS, WORDS, WORDS), min_size=1, max_size=6),
    width=st.integers(60, 100),
)
def test_tables_keep_to_the_page(rows, width):
    columns = (
        Column("what", wrap=True),
        Column("detail", weight=3),
        Column("note", weight=1),
    )
    lines, left_out = table_lines(Table(columns, tuple(rows)), width)
    longest = max(len(word) for row in rows for word in row[0].split() or [""])
    assert max(map(len, lines)) <= max(width, longest + 2)
    assert left_out in ([], ["note"], ["note", "detail"])


def test_least_important_columns_go_first_and_are_named():
    table = Table(
        (Column("part", weight=10), Column("value", weight=8), Column("remark", weight=1)),
        (("A" * 30, "0.125", "x" * 40),),
    )
    lines, left_out = table_lines(table, 50)
    assert left_out == ["remark"]
    assert "0.125" in lines[-1]
    text = render_text(a_report([], blocks=(table,)), width=50)
    assert "Left out to fit the page: remark" in text


@settings(deadline=None)
@given(number=st.decimals(0, 10, places=4), width=st.integers(10, 40))
def test_folding_never_parts_a_number_from_its_unit(number, width):
    text = fold(f"drill the hole to {number} in and no wider than {number} mm", width)
    assert f"{number} in" in text
    assert f"{number} mm" in text


def test_every_block_stays_within_the_page():
    long_words = "open the hole up to the next size and look at the edge again " * 4
    blocks = (
        Paragraph(long_words),
        Steps((long_words, long_words)),
        Facts((Fact("a label", long_words), Fact("b", "0.125 in", note=long_words))),
        Table((Column("step", wrap=True), Column("text", wrap=True)), ((long_words, long_words),)),
    )
    checks = [edge_check(where=f"a rather long place number {n} " * 3) for n in range(3)]
    text = render_text(a_report(checks, blocks=blocks), explain=True)
    assert max(map(len, text.splitlines())) <= 100


def test_mixed_units_get_a_unit_column():
    count = make_check(
        "rivets",
        5,
        4,
        unit="count",
        comparison="at most",
        citations=(),
        template="{n} <= {limit}",
        terms=(Term("n", 5), Term("limit", 4)),
    )
    headers = [column.header for column in check_table([edge_check(), count], "in").columns]
    assert "unit" in headers
    single = check_table([edge_check()], "mm").columns
    assert {column.unit for column in single if column.header == "value"} == {"mm"}


def test_json_has_exactly_the_agreed_keys():
    data = json.loads(render_json(a_report([edge_check()])))
    assert list(data) == [
        "tool",
        "version",
        "command",
        "inputs",
        "result",
        "checks",
        "sources",
        "cautions",
    ]
    assert set(data["checks"][0]) == {
        "name",
        "where",
        "value",
        "limit",
        "unit",
        "comparison",
        "margin",
        "accuracy",
        "verdict",
        "reason",
        "formula",
        "substituted",
        "rule",
        "source",
        "locator",
        "basis",
        "citations",
    }


@settings(deadline=None)
@given(edge_in=st.floats(0.01, 4))
def test_json_lengths_are_unrounded_and_converted(edge_in):
    inches = json.loads(render_json(a_report([edge_check(edge_in)])))["checks"][0]
    metric = json.loads(render_json(a_report([edge_check(edge_in)], length_unit="mm")))["checks"][0]
    assert inches["value"] == edge_in
    assert (inches["unit"], metric["unit"]) == ("in", "mm")
    assert metric["value"] == pytest.approx(edge_in * MM_PER_IN, rel=1e-12)
    assert metric["limit"] == pytest.approx(inches["limit"] * MM_PER_IN, rel=1e-12)
    assert metric["verdict"] == inches["verdict"]


def test_json_holds_no_number_that_is_none():
    check = not_checked("edge distance", "no edge given")
    report = a_report([check])
    data = render_json(
        Report(
            **{**{f: getattr(report, f) for f in report.__slots__}, "result": {"a": [float("nan")]}}
        )
    )
    assert json.loads(data)["result"] == {"a": [None]}
    assert json.loads(data)["checks"][0]["value"] is None


def test_each_source_stands_once_with_all_its_places():
    check = edge_check()
    other = Citation("pitch-min", a_source(), "p 60", "seen")
    report = a_report([check, check])
    cited = collect_citations([check, check], [other, other])
    data = json.loads(render_json(dataclasses.replace(report, citations=cited)))
    (source,) = data["sources"]
    assert [place["locator"] for place in source["cited"]] == ["p 59", "p 60"]


def test_a_column_of_lengths_keeps_its_decimals():
    assert [length_number(size, "in") for size in (0.098, 0.25)] == ["0.0980", "0.2500"]
    assert [length_number(size, "mm") for size in (0.098, 0.25)] == ["2.489", "6.350"]
