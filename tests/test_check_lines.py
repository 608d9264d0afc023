"""What many holes have in common is told once, and no hole that did not pass is lost by it."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from job_texts import HEAD, JOB
from page_reader import read_page, rows, section

from rivetkit.checks import Term, Verdict, make_check, not_checked
from rivetkit.job.read import parse_job
from rivetkit.job.worksheet.sheet import BenchHole, BenchNote
from rivetkit.planning.plan import plan_job
from rivetkit.reports.check_lines import by_reason, closest_lines, gathered
from rivetkit.reports.drawings.map_view import map_views
from rivetkit.reports.formats.html_report import render_html
from rivetkit.reports.formats.text_report import render_text
from rivetkit.reports.plans.bench_tables import empty_words
from rivetkit.reports.plans.plan_report import in_short, plan_report
from rivetkit.reports.plans.traveller import as_traveller

PASSED = Verdict.PASS


def edge(row, number, value, place="skin"):
    hole = f"{row}:{number}"
    check = make_check(
        "edge distance",
        value,
        0.25,
        unit="in",
        comparison="at least",
        citations=(),
        template="{e} >= {least}",
        terms=(Term("e", value, "in"), Term("least", 0.25, "in")),
        where=f"{hole}: {place}",
    )
    return replace(check, row=row, hole=hole)


def holes_in(words):
    """The holes a line names, read as a person reads them: ``rib 1:3, 7-9; rib 2:4: skin``."""
    found = set()
    for part in (part for part in words.split("; ") if ":" in part):
        row, numbers, *_ = part.split(":")
        for run in numbers.split(", "):
            first, _, last = run.partition("-")
            found |= {f"{row}:{n}" for n in range(int(first), int(last or first) + 1)}
    return found


CHECKS = st.lists(
    st.builds(
        edge,
        st.sampled_from(["rib 1", "rib 2", "spar"]),
        st.integers(1, 12),
        st.sampled_from([0.2, 0.21, 0.25, 0.26, 0.3]),
        st.sampled_from(["skin", "rib flange"]),
    ),
    max_size=40,
    unique_by=lambda check: check.where,
)


@given(checks=CHECKS)
def test_every_hole_that_fails_is_named_with_its_own_number(checks):
    failed = [check for check in checks if check.verdict is Verdict.FAIL]
    for lines in (
        [(one.where, one) for one in gathered(failed, "in")],
        [
            ("; ".join(line.places), line.check)
            for line in closest_lines(checks, "in")
            if line.check.verdict is not PASSED
        ],
    ):
        told = {
            (hole, place, one.value)
            for where, one in lines
            for hole in holes_in(where)
            for place in re.findall(r": (skin|rib flange)", where)
        }
        assert told >= {(check.hole, check.where.split(": ")[-1], check.value) for check in failed}
        assert {hole for hole, _, _ in told} == {check.hole for check in failed}


@given(checks=CHECKS)
def test_of_what_passed_in_a_row_the_least_margin_stands_for_all(checks):
    passed = [check for check in checks if check.verdict is PASSED]
    lines = [line for line in closest_lines(checks, "in") if line.check.verdict is PASSED]
    by_row = {check.row: [one.margin for one in passed if one.row == check.row] for check in passed}
    assert sum(line.rows for line in lines) == len(by_row)
    assert sum(line.closest_of for line in lines) == len(passed)
    for row, margins in by_row.items():
        (line,) = (one for one in lines if any(at.startswith(f"{row}:") for at in one.places))
        assert line.check.margin == min(margins)


def test_holes_of_one_reason_share_a_line_whatever_their_row():
    notes = [("rib 1", 3), ("rib 1", 7), ("rib 1", 8), ("rib 2", 4)]
    checks = [
        replace(not_checked("measurement", "burr", where=f"{row}:{number}"), hole=f"{row}:{number}")
        for row, number in notes
    ]
    checks += [not_checked("measurement", "crack", where="rib 2:5"), not_checked("x", "unknown")]
    assert by_reason(checks, "in") == {
        ("measurement", "burr"): ("rib 1:3, 7-8; rib 2:4",),
        ("measurement", "crack"): ("rib 2:5",),
        ("x", "unknown"): (),
    }


# ---------------------------------------------------------------- a measured job on paper

#: The row of 13, all but the last hole measured and too large for any rivet, each in its own way.
SIZES = [0.2 + 0.004 * number for number in range(12)]


def measured_plan(sizes):
    bench = [
        BenchHole(f"row:{number}", size, size, None, None, "", "by hand")
        for number, size in enumerate(sizes, start=1)
    ]
    noted = [BenchNote(f"row:{len(sizes) + 1}", "remarked, not measured: burr", "by hand")]
    return plan_job(parse_job(JOB), measured=bench, noted=noted)


@pytest.fixture(scope="module")
def plan():
    return measured_plan(SIZES)


def report_of(plan):
    return plan_report(plan, inputs={}, length_unit="in")


def page_of(plan, **options):
    return read_page(render_html(as_traveller(report_of(plan), plan), **options))


def test_nothing_that_did_not_pass_falls_out_of_the_summary_or_the_page(plan):
    """Of a row with bad holes the page and the short text name every one, however many."""
    missed = [check for check in plan.checks if check.verdict in (Verdict.FAIL, Verdict.MARGINAL)]
    assert len(missed) > len(SIZES)
    page = page_of(plan)
    full = [
        line
        for line in rows(section(page, "The closest checks in full").all("table")[0])
        if line["verdict"] != "pass"
    ]
    summary = rows(section(page, "Summary").all("table")[0])
    for check in missed:
        if check.hole:
            assert any(check.hole in holes_in(line["where"]) for line in full)
            assert any(
                check.hole in holes_in(line["where"]) and line["check"] == check.name
                for line in summary
            )
    short = render_text(in_short(report_of(plan)))
    assert "more, below" not in short
    assert short.count("FAIL") > 1


def test_the_page_of_a_row_grows_with_its_kinds_of_checks_not_with_its_holes():
    few, many = (measured_plan([0.096] * count) for count in (2, 12))
    assert len(many.checks) >= len(few.checks) + 10
    lines = [
        len(rows(section(page_of(one), "The closest checks in full").all("table")[0]))
        for one in (few, many)
    ]
    assert lines[0] == lines[1]
    every = rows(section(page_of(many, explain=True), "Each check in full").all("table")[0])
    assert len(every) == len(many.checks)


def test_holes_that_were_not_measured_share_a_reason(plan):
    text = render_text(report_of(plan))
    table = text[text.index("What could not be checked") :].split("\n\n")[0]
    assert re.search(r"measurement +row:13 +remarked, not measured: burr", table)
    hinged = parse_job(JOB.replace(HEAD, HEAD + "hinge = { from = [0, 0], to = [10, 0] }\n"))
    lost = [
        BenchHole(f"row:{number}", 0.25, 0.25, None, None, "", "by hand") for number in (3, 7, 8, 9)
    ]
    text = render_text(report_of(plan_job(hinged, measured=lost)))
    table = text[text.index("What could not be checked") :].split("\n\n")[0]
    assert table.count("no rivet is settled") == 1
    assert re.search(r"change about the hinge +row:3, 7-9 +no rivet is settled", table)


def test_every_hole_without_a_rivet_is_named_where_the_order_leaves_it_out():
    """Every other hole of two rows, twenty runs each: none is hidden behind "and 3 more"."""
    second = JOB[JOB.index("[[row]]") :].replace('name = "row"', 'name = "other"')
    text = JOB.replace("count = 13", "count = 40") + second.replace("count = 13", "count = 40")
    text = text.replace("[[0.5, 0.5], [9.5, 0.5]]", "[[0.5, 4.5], [9.5, 4.5]]", 1)
    text = text.replace(', { layer = "rib", row_from_edge = 0.3125 }', "")
    lost = [f"{row}:{number}" for row in ("row", "other") for number in range(1, 41, 2)]
    bench = [BenchHole(name, 0.25, 0.25, None, None, "", "by hand") for name in lost]
    plan = plan_job(parse_job(text), measured=bench)
    assert plan.empty == len(lost)
    told = empty_words(plan).split("weighed: ")[1].split(". No rivet")[0]
    assert holes_in(told) == set(lost)
    (line,) = [
        text
        for view in map_views(plan, "in")
        for text in view.bench
        if text.startswith("no rivet fits: ")
    ]
    assert holes_in(line.removeprefix("no rivet fits: ")) == set(lost)
