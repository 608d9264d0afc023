"""The full-size template: read back from the PDF's own drawing operators and measured."""

import builtins
import io
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from rivetkit.cli.app import main
from rivetkit.errors import InputError
from rivetkit.job.read import read_job
from rivetkit.planning.plan import plan_job
from rivetkit.reports.template_pdf import CROSS_MM, template_pages

pypdf = pytest.importorskip("pypdf")
pytest.importorskip("fpdf")

EXAMPLES = Path(__file__).parent.parent / "examples"
MM_PER_POINT = 25.4 / 72.0
LINE = re.compile(r"([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l S")


@pytest.fixture(scope="module")
def plan():
    return plan_job(read_job(EXAMPLES / "elevator.toml"))


def pages_of(data):
    return pypdf.PdfReader(io.BytesIO(data)).pages


def lines_mm(page):
    """Return every single straight line of a page ``(n, 4)`` [mm]: x and y of both ends."""
    text = page.get_contents().get_data().decode("latin-1")
    return np.array([[float(v) for v in found] for found in LINE.findall(text)]) * MM_PER_POINT


def crosses_mm(page):
    """Return the centres of the hole crosses of a page [mm]: level lines of the cross's length."""
    lines = lines_mm(page)
    level = np.abs(lines[:, 1] - lines[:, 3]) < 1e-3
    right = np.abs(np.abs(lines[:, 2] - lines[:, 0]) - 2 * CROSS_MM) < 0.02
    chosen = lines[level & right]
    return np.column_stack(((chosen[:, 0] + chosen[:, 2]) / 2, chosen[:, 1]))


def labels_mm(page):
    """Return hole ids of a page and where they are printed [mm]."""
    found = {}

    def visit(text, _cm, matrix, _font, _size):
        if re.fullmatch(r".+:\d+", text.strip()):
            found[text.strip()] = (matrix[4] * MM_PER_POINT, matrix[5] * MM_PER_POINT)

    page.extract_text(visitor_text=visit)
    return found


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_printed_centres_are_as_far_apart_as_the_holes(plan, paper):
    data = template_pages(plan, "upper skin", paper)
    holes_mm = {
        plan.holes.name(int(hole)): plan.holes.points[hole] * 25.4
        for hole in plan.holes.in_layer("upper skin")
    }
    seen = set()
    for page in pages_of(data):
        crosses = crosses_mm(page)
        printed, meant = [], []
        for name, place in labels_mm(page).items():
            nearest = np.argmin(np.hypot(*(crosses - place).T))
            printed.append(crosses[nearest])
            meant.append(holes_mm[name])
            seen.add(name)
        if printed:
            # One shift takes the whole page to the sheet, to a tenth of a millimetre.
            shift = np.array(printed) - np.array(meant)
            assert np.ptp(shift, axis=0) == pytest.approx([0.0, 0.0], abs=0.1)
    assert seen == set(holes_mm)


def test_every_page_has_both_bars_at_full_length(plan):
    for page in pages_of(template_pages(plan, "lower skin", "a4")):
        lines = lines_mm(page)
        lengths = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])

        assert (np.abs(lengths - 100.0) < 0.02).any()
        assert (np.abs(lengths - 101.6) < 0.02).any()


def test_pages_are_of_the_paper_asked_for_and_numbered(plan):
    for paper, size in (("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))):
        pages = pages_of(template_pages(plan, "upper skin", paper))
        told = [page.extract_text() for page in pages]
        for number, (page, text) in enumerate(zip(pages, told, strict=True), start=1):
            box = sorted(float(side) * MM_PER_POINT for side in page.mediabox[2:])
            assert box == pytest.approx(sorted(size), abs=0.1)
            assert f"page {number} of {len(pages)}" in text
            assert "Print at 100 percent" in text


def test_hole_ids_stand_beside_their_crosses(plan):
    text = "".join(p.extract_text() for p in pages_of(template_pages(plan, "lower skin", "a4")))

    for hole in plan.holes.in_layer("lower skin")[::17]:
        assert plan.holes.name(int(hole)) in text


def run(*words):
    return CliRunner().invoke(main, words)


def test_the_command_writes_a_pdf(tmp_path):
    target = tmp_path / "t.pdf"
    result = run("template", str(EXAMPLES / "inspection_cover.toml"), "-o", str(target))

    assert result.exit_code == 0
    assert target.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ((), "--output: a template goes to a file; name it: -o template.pdf"),
        (("-o", "x.pdf", "--sheet", "keel"), "--sheet: there is no outline of 'keel'; name one of"),
    ],
)
def test_what_cannot_be_printed_is_one_line(more, message):
    result = run("template", str(EXAMPLES / "elevator.toml"), *more)

    assert isinstance(result.exception, InputError)
    assert message in str(result.exception)


def test_too_large_a_sheet_is_refused(tmp_path):
    text = (EXAMPLES / "elevator.toml").read_text(encoding="utf-8")
    big = text.replace(
        '{ name = "trailing", to = [0, 14] }', '{ name = "trailing", to = [0, 900] }'
    )
    job = tmp_path / "big.toml"
    job.write_text(big)
    result = run("template", str(job), "-o", str(tmp_path / "t.pdf"))

    assert isinstance(result.exception, InputError)
    assert "pages are the most" in str(result.exception)
    assert not (tmp_path / "t.pdf").exists()


def test_without_fpdf_the_mend_is_named(monkeypatch, tmp_path):
    real = builtins.__import__

    def without(name, *more):
        if name == "fpdf":
            raise ImportError(name)
        return real(name, *more)

    monkeypatch.setattr(builtins, "__import__", without)
    job = str(EXAMPLES / "inspection_cover.toml")
    result = run("template", job, "-o", str(tmp_path / "t.pdf"))

    assert "pip install 'rivetkit[pdf]'" in str(result.exception)
