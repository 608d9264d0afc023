"""The full-size template, read back from the PDF: distances on paper are those of the job."""

import builtins
import json
import math
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.cli.app import exit_code_of
from rivetkit.job.holes import lay_out
from rivetkit.job.read import read_job
from rivetkit.reports.template_pages import OVERLAP_MM, PAPERS_MM, tiling
from rivetkit.reports.template_pdf import printable

pytest.importorskip("fpdf", reason="a PDF takes fpdf2 (extra pdf)")
pypdf = pytest.importorskip("pypdf", reason="reading the PDF back takes pypdf")

EXAMPLES = Path(__file__).parent.parent / "examples"
COVER = EXAMPLES / "inspection_cover.toml"
ELEVATOR = EXAMPLES / "elevator.toml"

MM_PER_POINT = 25.4 / 72
#: What a careful person can still see on paper.
CLOSE_MM = 0.1


def written(tmp_path, *arguments):
    file = tmp_path / "template.pdf"
    code = exit_code_of(["template", *map(str, arguments), "-o", str(file)])
    assert code in {0, 1}
    return file


def segments_and_crosses(page):
    """Return straight strokes [mm, y up] and the crosses with the text written right after."""
    strokes, crosses, start = [], [], None
    content = pypdf.generic.ContentStream(page["/Contents"].get_object(), page.pdf)
    for operands, operator in content.operations:
        if operator == b"m":
            start = np.array(operands, dtype=float) * MM_PER_POINT
        elif operator == b"l":
            end = np.array(operands, dtype=float) * MM_PER_POINT
            strokes.append((start, end))
            start = end
        elif operator == b"Tj" and len(strokes) > 1:
            (a, b), (c, d) = strokes[-2:]
            centre = (a + b) / 2
            alike = math.dist(centre, (c + d) / 2) < 0.02 and abs(np.dot(b - a, d - c)) < 0.02
            if alike and math.dist(a, b) > 1.0:
                crosses.append((str(operands[0]), centre, math.dist(a, b)))
            strokes.append((centre, centre))  # text further on belongs to no cross
            strokes.append((centre, centre))
    return strokes, crosses


def pages_of(file):
    return [segments_and_crosses(page) for page in pypdf.PdfReader(file).pages]


def holes_on(crosses):
    return {text: centre for text, centre, _ in crosses if " / " not in text}


def marks_on(crosses):
    """Return register marks by the pages they join; the two on a seam in the order drawn."""
    found = {}
    for text, centre, _ in crosses:
        if " / " in text:
            found.setdefault(tuple(map(int, text.split(" / "))), []).append(centre)
    return found


def taped(pages, first, count):
    """Lay pages over each other by their register marks alone, and return every hole's place."""
    shift = {first: np.zeros(2)}
    waiting = list(range(first + 1, first + count))
    while waiting:
        number = waiting.pop(0)
        for pair, spots in marks_on(pages[number - 1][1]).items():
            other = pair[0] if pair[1] == number else pair[1]
            if other in shift:
                theirs = marks_on(pages[other - 1][1])[pair]
                shift[number] = shift[other] + theirs[0] - spots[0]
                fit = shift[other] + theirs[1] - spots[1]
                assert math.dist(fit, shift[number]) < 0.02  # both marks agree
                break
        else:
            waiting.append(number)
    found = {}
    for number, offset in shift.items():
        for name, spot in holes_on(pages[number - 1][1]).items():
            place = spot + offset
            assert math.dist(found.setdefault(name, place), place) < CLOSE_MM
    return found


def places_mm(job_file, sheet):
    holes = lay_out(read_job(job_file))
    return {holes.name(hole): holes.points[hole] * 25.4 for hole in holes.in_layer(sheet)}


def assert_same_shape(found, wanted):
    assert found.keys() == wanted.keys()
    names = list(wanted)
    offsets = np.array([found[name] - wanted[name] for name in names])
    assert np.hypot(*(offsets - offsets[0]).T).max() < CLOSE_MM


# --- full size -----------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_taped_pages_have_every_hole_at_its_distance(paper, tmp_path, capsys):
    file = written(tmp_path, ELEVATOR, "--paper", paper, "--json")
    told = json.loads(capsys.readouterr().out)["result"]
    pages = pages_of(file)
    assert len(pages) == told["pages"]
    for sheet in told["sheets"]:
        found = taped(pages, sheet["first_page"], sheet["pages"])
        assert_same_shape(found, places_mm(ELEVATOR, sheet["sheet"]))


def test_mirrored_pages_are_the_sheet_from_its_other_side(tmp_path, capsys):
    file = written(tmp_path, COVER, "--mirror", "--json")
    count = json.loads(capsys.readouterr().out)["result"]["pages"]
    wanted = {name: spot * [-1, 1] for name, spot in places_mm(COVER, "ring").items()}
    assert_same_shape(taped(pages_of(file), 1, count), wanted)
    assert "mirrored" in pypdf.PdfReader(file).pages[0].extract_text()


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_paper_has_its_size(paper, tmp_path):
    """ISO 216 A4: 210 by 297 mm; Letter: 8 1/2 by 11 in."""
    sides = {"a4": (210.0, 297.0), "letter": (8.5 * 25.4, 11 * 25.4)}[paper]
    for page in pypdf.PdfReader(written(tmp_path, COVER, "--paper", paper)).pages:
        box = page.mediabox
        assert sorted((float(box.width) * MM_PER_POINT, float(box.height) * MM_PER_POINT)) == (
            pytest.approx(sides, abs=0.02)
        )


def test_every_page_has_scale_bars_warning_and_its_number(tmp_path):
    file = written(tmp_path, ELEVATOR, "--sheet", "upper skin")
    pages = pages_of(file)
    texts = [page.extract_text() for page in pypdf.PdfReader(file).pages]
    for number, ((strokes, _), text) in enumerate(zip(pages, texts, strict=True), start=1):
        level = [math.dist(a, b) for a, b in strokes if a[1] == b[1]]
        upright = [math.dist(a, b) for a, b in strokes if a[0] == b[0]]
        assert min(abs(length - 100.0) for length in level) < 0.01
        assert min(abs(length - 101.6) for length in level) < 0.01
        assert min(abs(length - 100.0) for length in upright) < 0.01
        assert "100 percent" in text
        assert f"page {number} of {len(pages)}" in text
        assert {str(n) for n in range(1, len(pages) + 1)} <= set(text.split())


def test_the_pdf_asks_not_to_be_scaled(tmp_path):
    catalogue = pypdf.PdfReader(written(tmp_path, COVER)).trailer["/Root"]
    assert catalogue["/ViewerPreferences"]["/PrintScaling"] == "/None"


def runs(dark, least, most):
    """Return centre (row, middle) of every dark run of a length along the rows [pixels]."""
    padded = np.pad(dark.astype(np.int8), ((0, 0), (1, 1)))
    step = np.diff(padded, axis=1)
    row, start = np.nonzero(step == 1)
    _, end = np.nonzero(step == -1)
    fits = (end - start >= least) & (end - start <= most)
    return np.stack((row[fits], (start[fits] + end[fits] - 1) / 2), axis=1), (end - start)[fits]


def longest_run(dark, near, dpi):
    pixel = 25.4 / dpi
    _, lengths = runs(dark, (near - 1) / pixel, (near + 1) / pixel)
    return lengths * pixel


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm (poppler-utils) is missing")
def test_crosses_and_bars_measured_on_the_rendered_page(tmp_path, capsys):
    """An outside program draws the page; crosses are found as dark runs, no PDF is parsed."""
    job = tmp_path / "small.toml"
    job.write_text(
        "name = 'Patch'\n[[sheet]]\nname = 'patch'\n"
        "old = { alloy = '2024-T3', thickness = 0.032 }\n"
        "new = { alloy = '2024-T3', thickness = 0.032 }\n"
        "outline = { rectangle = { corner = [0, 0], width = 6, height = 7 } }\n"
        "[[row]]\nname = 'a'\nrivet = 'MS20470AD4-4'\n"
        "path = [[0.5, 0.5], [5.5, 1.1]]\ncount = 5\nlayers = ['patch']\n"
        "[[row]]\nname = 'b'\nrivet = 'MS20470AD4-4'\n"
        "path = [[0.7, 3.0], [5.3, 6.4]]\ncount = 4\nlayers = ['patch']\n",
        encoding="utf-8",
    )
    file = written(tmp_path, job)
    capsys.readouterr()
    dpi = 400
    subprocess.run(
        ["pdftoppm", "-r", str(dpi), "-gray", "-singlefile", file, tmp_path / "page"], check=True
    )
    _, size, _, pixels = (tmp_path / "page.pgm").read_bytes().split(b"\n", 3)
    width, height = map(int, size.split())
    dark = np.frombuffer(pixels, dtype=np.uint8).reshape(height, width) < 200
    pixel = 25.4 / dpi
    level, _ = runs(dark, 5.8 / pixel, 6.3 / pixel)
    upright = runs(dark.T, 5.8 / pixel, 6.3 / pixel)[0][:, ::-1]
    centres = []
    for row, column in level:
        near = upright[np.abs(upright - (row, column)).max(axis=1) * pixel < 0.3]
        if len(near) and all(math.dist(near[0], other) > 5 for other in centres):
            beside = level[np.abs(level - near[0]).max(axis=1) * pixel < 0.3]
            centres.append((beside[:, 0].mean(), near[:, 1].mean()))
    found = np.array([(column * pixel, -row * pixel) for row, column in centres])
    wanted = lay_out(read_job(job)).points * 25.4
    assert len(found) == len(wanted) == 9
    order = [
        np.lexsort(spots.round(0).T) for spots in (found - found.min(0), wanted - wanted.min(0))
    ]
    found, wanted = found[order[0]], wanted[order[1]]
    for one, other in zip(found, wanted, strict=True):
        apart = np.hypot(*(found - one).T) - np.hypot(*(wanted - other).T)
        assert np.abs(apart).max() < CLOSE_MM
    assert min(abs(longest_run(dark, 100.0, dpi) - 100.0)) < 2 * pixel + 0.25
    assert min(abs(longest_run(dark, 101.6, dpi) - 101.6)) < 2 * pixel + 0.25
    assert min(abs(longest_run(dark.T, 100.0, dpi) - 100.0)) < 2 * pixel + 0.25


# --- pages ---------------------------------------------------------------------------------------


class _Spot:
    def __init__(self, x_in, y_in):
        self.x_in, self.y_in = x_in, y_in


class _View:
    sheet = None
    members = ()

    def __init__(self, width_in, height_in):
        self.holes = [_Spot(0.0, 0.0), _Spot(width_in, height_in)]


@given(st.floats(0, 100), st.floats(0, 100), st.sampled_from(list(PAPERS_MM)), st.booleans())
def test_every_place_of_a_sheet_is_on_a_page(width_in, height_in, paper, mirror):
    laid = tiling(_View(width_in, height_in), paper, mirror=mirror)
    window = laid.window_mm
    side = -1 if mirror else 1
    for share in (0.0, 0.31, 0.5, 0.77, 1.0):
        x, y = side * share * width_in * 25.4, share * height_in * 25.4
        corners = [
            laid.corner_mm(column, row)
            for column in range(laid.columns)
            for row in range(laid.rows)
        ]
        assert any(
            left <= x <= left + window[0] and top - window[1] <= y <= top for left, top in corners
        )


@given(st.floats(0, 100), st.floats(0, 100), st.sampled_from(list(PAPERS_MM)))
def test_a_register_mark_is_on_both_its_pages(width_in, height_in, paper):
    laid = tiling(_View(width_in, height_in), paper)
    places = {
        laid.number(column, row): laid.corner_mm(column, row)
        for column in range(laid.columns)
        for row in range(laid.rows)
    }
    seams = (laid.columns - 1) * laid.rows + (laid.rows - 1) * laid.columns
    marks = list(laid.marks())
    assert len(marks) == 2 * seams
    for mark in marks:
        for number in mark.pages:
            left, top = places[number]
            across, down = mark.x_mm - left, top - mark.y_mm
            assert OVERLAP_MM / 2 - 1e-6 <= across <= laid.window_mm[0] - OVERLAP_MM / 2 + 1e-6
            assert OVERLAP_MM / 2 - 1e-6 <= down <= laid.window_mm[1] - OVERLAP_MM / 2 + 1e-6


# --- what people get wrong -----------------------------------------------------------------------


def refused(arguments, capsys):
    assert exit_code_of(["template", *map(str, arguments)]) == 2
    seen = capsys.readouterr()
    assert seen.out == ""
    assert seen.err.count("\n") == 1
    return seen.err


def test_a_file_has_to_be_named(capsys):
    assert "-o template.pdf" in refused([COVER], capsys)
    assert "-o template.pdf" in refused([COVER, "-o", "-"], capsys)


def test_another_ending_is_refused(tmp_path, capsys):
    assert ".pdf" in refused([COVER, "-o", tmp_path / "template.txt"], capsys)
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_sheet_is_refused_with_the_known(tmp_path, capsys):
    said = refused([ELEVATOR, "--sheet", "roof", "-o", tmp_path / "t.pdf"], capsys)
    assert "upper skin, lower skin" in said


def test_without_the_library_the_mend_is_told(tmp_path, capsys, monkeypatch):
    real = builtins.__import__

    def without_fpdf(name, *arguments, **keywords):
        if name.split(".")[0] == "fpdf":
            raise ImportError(name)
        return real(name, *arguments, **keywords)

    monkeypatch.setattr(builtins, "__import__", without_fpdf)
    said = refused([COVER, "-o", tmp_path / "t.pdf"], capsys)
    assert "pip install 'rivetkit[pdf]'" in said
    assert list(tmp_path.iterdir()) == []


def test_too_much_paper_is_refused(tmp_path, capsys):
    text = COVER.read_text(encoding="utf-8").replace("[4, 0]", "[400, 0]")
    for old, new in (("[-4, 0]", "[-400, 0]"), ("[0, 4]", "[0, 400]"), ("[0, -4]", "[0, -400]")):
        text = text.replace(old, new)
    job = tmp_path / "huge.toml"
    job.write_text(text, encoding="utf-8")
    assert "more than 200" in refused([job, "-o", tmp_path / "t.pdf"], capsys)


def test_names_the_fonts_lack_are_replaced(tmp_path):
    text = COVER.read_text(encoding="utf-8")
    job = tmp_path / "names.toml"
    job.write_text(text.replace('"nutplates"', '"na\u00efve \u2192 \u94c6"'), encoding="utf-8")
    page_texts = [page.extract_text() for page in pypdf.PdfReader(written(tmp_path, job)).pages]
    assert any("na\u00efve ? ?:1" in text for text in page_texts)


@given(st.text())
def test_any_text_is_printable(text):
    found = printable(text)
    assert len(found) == len(text)
    assert not any(ord(letter) < 32 or 126 < ord(letter) < 160 for letter in found)
    found.encode("latin-1")
