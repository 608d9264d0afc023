"""The full-size template, read back from the PDF: distances on paper are those of the job."""

import builtins
import json
import math
import re
import shutil
import subprocess
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.cli.app import exit_code_of
from rivetkit.job.holes import lay_out
from rivetkit.job.read import read_job
from rivetkit.reports.template.labels import PageHole, hole_labels
from rivetkit.reports.template.marks import register_marks
from rivetkit.reports.template.pages import OVERLAP_MM, PAPERS_MM, tiling
from rivetkit.reports.template.pdf import printable

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


class Page:
    """What is drawn on a page, read back from the PDF [mm, y up]."""

    def __init__(self, page):
        self.strokes, self.crosses, self.marks = [], [], []
        self.text = page.extract_text()
        path, heads = [], []
        content = pypdf.generic.ContentStream(page["/Contents"].get_object(), page.pdf)
        for operands, operator in content.operations:
            if operator == b"m":
                path = [np.array(operands, dtype=float) * MM_PER_POINT]
            elif operator == b"l":
                path.append(np.array(operands, dtype=float) * MM_PER_POINT)
                self._stroke(path[-2], path[-1])
            elif operator == b"f":
                heads.append(np.array(path))
            elif operator == b"Tj":
                if len(heads) == 2 and " / " in str(operands[0]):
                    self.marks.append((tuple(map(int, operands[0].split(" / "))), heads))
                heads = []

    def _stroke(self, start, end):
        self.strokes.append((start, end))
        if len(self.strokes) > 1 and math.dist(start, end) == pytest.approx(6.0, abs=0.02):
            (a, b), (c, d) = self.strokes[-2:]
            if math.dist((a + b) / 2, (c + d) / 2) < 0.02 and abs(np.dot(b - a, d - c)) < 0.02:
                self.crosses.append((a + b) / 2)

    def marks_by_pages(self):
        """Return middles between two arrow heads by the pages they join, in the order drawn."""
        found = {}
        for pages, (one, other) in self.marks:
            found.setdefault(pages, []).append((one[0] + other[0]) / 2)
        return found


def pages_of(file):
    return [Page(page) for page in pypdf.PdfReader(file).pages]


def taped(pages, first, count):
    """Lay pages over each other by their register marks alone, and return where holes come."""
    shift = {first: np.zeros(2)}
    waiting = list(range(first + 1, first + count))
    while waiting:
        number = waiting.pop(0)
        for pair, spots in pages[number - 1].marks_by_pages().items():
            other = pair[0] if pair[1] == number else pair[1]
            if other in shift:
                theirs = pages[other - 1].marks_by_pages()[pair]
                shift[number] = shift[other] + theirs[0] - spots[0]
                fit = shift[other] + theirs[1] - spots[1]
                assert math.dist(fit, shift[number]) < 0.02  # both marks agree
                break
        else:
            waiting.append(number)
    found = []
    for number, offset in shift.items():
        for spot in pages[number - 1].crosses + offset if pages[number - 1].crosses else ():
            if all(math.dist(spot, place) > CLOSE_MM for place in found):
                found.append(spot)
    return np.array(found)


def places_mm(job_file, sheet):
    holes = lay_out(read_job(job_file))
    return holes.points[holes.in_layer(sheet)] * 25.4


def assert_same_shape(found, wanted):
    """No more holes on paper than in the job, and each where it is."""
    assert found.shape == wanted.shape
    offset = (found.min(axis=0) + found.max(axis=0) - wanted.min(axis=0) - wanted.max(axis=0)) / 2
    for spot in wanted + offset:
        assert np.hypot(*(found - spot).T).min() < CLOSE_MM


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
    wanted = places_mm(COVER, "ring") * [-1, 1]
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
    for number, (page, text) in enumerate(zip(pages, texts, strict=True), start=1):
        level = [math.dist(a, b) for a, b in page.strokes if a[1] == b[1]]
        upright = [math.dist(a, b) for a, b in page.strokes if a[0] == b[0]]
        for lengths, bar_mm in ((level, 100.0), (level, 101.6), (upright, 100.0)):
            nearest = min(lengths, key=lambda length: abs(length - bar_mm))
            assert nearest == pytest.approx(bar_mm, abs=0.01)
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


@settings(deadline=None)
@given(st.floats(0, 100), st.floats(0, 100), st.sampled_from(list(PAPERS_MM)))
def test_a_register_mark_is_on_both_its_pages(width_in, height_in, paper):
    laid = tiling(_View(width_in, height_in), paper)
    places = {
        laid.number(column, row): laid.corner_mm(column, row)
        for column in range(laid.columns)
        for row in range(laid.rows)
    }
    seams = (laid.columns - 1) * laid.rows + (laid.rows - 1) * laid.columns
    marks = register_marks(laid, np.zeros((0, 2)))
    assert len(marks) == 2 * seams
    for mark in marks:
        for number in mark.pages:
            left, top = places[number]
            across, down = mark.x_mm - left, top - mark.y_mm
            assert 4.0 <= across <= laid.window_mm[0] - 4.0  # with its heads and its numbers
            assert 1.7 <= down <= laid.window_mm[1] - 4.3


@settings(deadline=None)
@given(
    st.tuples(st.floats(8, 60), st.floats(6, 60)),
    st.tuples(st.floats(0, 30), st.floats(0, 30)),
    st.integers(2, 60),
    st.integers(1, 40),
    st.floats(-40, 40),
    st.booleans(),
)
@example((19.375, 6.0), (0.0, 0.0), 37, 34, 0.0, False)  # noqa: FBT003 - columns just off seams
@example((12.0, 4.0), (0.0, 0.0), 40, 40, 0.0, True)  # noqa: FBT003
def test_no_register_mark_is_near_a_hole(pitch_mm, start_mm, across, up, turn_deg, mirror):
    """Common practice, no source: what is not to be drilled is not drawn where holes are."""
    grid = np.array([(x, y) for x in range(across) for y in range(up)]) * pitch_mm + start_mm
    turn = np.exp(1j * np.radians(turn_deg)) * (grid @ (1, 1j))
    holes_mm = np.stack((turn.real, turn.imag), axis=1)
    view = _View(0, 0)
    view.holes = [_Spot(*spot) for spot in holes_mm / 25.4]
    laid = tiling(view, "a4", mirror=mirror)
    shown = holes_mm * (-1 if mirror else 1, 1)
    marks = register_marks(laid, shown)
    seams = {}
    for mark in marks:
        right, up = (shown - (mark.x_mm, mark.y_mm)).T
        # Heads 3.8 mm to either side, 1.5 high; the numbers under them or 8 mm after them.
        left, below, beyond, above = {
            "numbers under": (4.0, 4.3, 4.0, 1.7),
            "level": (4.0, 1.5, 12.8, 1.5),
            "upright": (1.5, 4.0, 1.5, 12.8),
        }[mark.form]
        beside = np.maximum(np.maximum(right - beyond, -left - right), 0)
        upright = np.maximum(np.maximum(up - above, -below - up), 0)
        assert np.hypot(beside, upright).min() >= 4.5 - 1e-9
        seams.setdefault(mark.pages, []).append(mark)
    for row in range(laid.rows):
        for column in range(laid.columns):
            for right, down in ((1, 0), (0, 1)):
                if column + right < laid.columns and row + down < laid.rows:
                    pages = laid.number(column, row), laid.number(column + right, row + down)
                    pair = seams.get(pages, [])
                    if len(pair) == 2:
                        spots = [(mark.x_mm, mark.y_mm) for mark in pair]
                        assert math.dist(*spots) >= 30.0
                    else:  # so many holes that they hold the pages square themselves
                        assert _seen_on_both(laid, shown, (column, row), right) >= 3


def _seen_on_both(laid, holes_mm, page, right):
    left, top = laid.corner_mm(*page)
    width, height = laid.window_mm
    across, down = holes_mm[:, 0] - left, top - holes_mm[:, 1]
    along = (down if right else across) / (height if right else width)
    over = (across - width if right else down - height) / -OVERLAP_MM
    return int(((along >= 0) & (along <= 1) & (over >= 0) & (over <= 1)).sum())


@pytest.mark.parametrize("arguments", [(ELEVATOR,), (ELEVATOR, "--mirror", "--paper", "letter")])
def test_no_mark_on_paper_is_near_a_cross(arguments, tmp_path):
    for page in pages_of(written(tmp_path, *arguments)):
        for _, heads in page.marks:
            corners = np.concatenate(heads)
            for spot in page.crosses:
                out = np.maximum(corners.min(axis=0) - spot, spot - corners.max(axis=0))
                assert np.hypot(*np.maximum(out, 0)) >= 4.5


# --- numbers of the holes ------------------------------------------------------------------------


def _boxes_meet(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["rib 1", "trailing edge", "spar"]), st.floats(0, 60)),
        min_size=1,
        max_size=40,
    ),
    st.floats(5, 80),
    st.sampled_from([0.0, 2.4]),
)
def test_a_label_hides_no_hole_no_edge_and_no_other_label(spots, high_mm, ring_mm):
    counts = Counter()
    holes = []
    for place, (row, across) in enumerate(spots):
        counts[row] += 1
        down = high_mm * ((place * 0.618) % 1.0)
        holes.append(PageHole(row, counts[row], (across, down), ring_mm))
    edge = [(0.0, high_mm / 2), (60.0, high_mm / 3)]
    mark = (30.0, 0.0, 38.0, 6.0)
    labels = hole_labels(
        holes,
        (0.0, 0.0, 60.0, high_mm),
        text_width_mm=lambda text: 1.3 * len(text),
        row_name=str,
        edges=[shapely.linestrings(edge)],
        taken=[mark],
    )
    for place, label in enumerate(labels):
        left, top, right, bottom = label.box
        assert left >= 0
        assert top >= 0
        assert right <= 60
        assert bottom <= high_mm
        assert not _boxes_meet(label.box, mark)
        for other in labels[:place]:
            assert not _boxes_meet(label.box, other.box)
        for hole in holes:
            x, y = hole.spot
            assert not _boxes_meet(label.box, (x - 3, y, x + 3, y))
            assert not _boxes_meet(label.box, (x, y - 3, x, y + 3))
            near = (min(max(x, left), right), min(max(y, top), bottom))
            assert math.dist(near, hole.spot) >= ring_mm * 0.99
        for share in np.linspace(0, 1, 200):  # a point on the edge is in no label
            x, y = np.array(edge[0]) * (1 - share) + np.array(edge[1]) * share
            assert not (left < x < right and top < y < bottom)
        if label.leader is not None:
            leader = shapely.linestrings(label.leader)
            for hole in holes:
                x, y = hole.spot
                arms = shapely.linestrings([[(x - 3, y), (x + 3, y)], [(x, y - 3), (x, y + 3)]])
                assert not shapely.intersects(arms, leader).any()
            for other in labels:
                assert not shapely.intersects(shapely.box(*other.box), leader)


@pytest.mark.parametrize(("pitch_mm", "all_numbered"), [(19.0, True), (2.0, False)])
def test_a_crowded_row_is_numbered_every_fifth(pitch_mm, all_numbered):
    """Common practice, no source: a scale that has no room numbers every fifth stroke."""
    holes = [PageHole("rib", n, (n * pitch_mm, 20.0)) for n in range(1, 21)]
    labels = hole_labels(
        holes,
        (0.0, 0.0, 500.0, 40.0),
        text_width_mm=lambda text: 2.0 * len(text),
        row_name=str,
        edges=[shapely.linestrings([(0, 21), (500, 21)])],  # no room below
    )
    shown = {int(label.text.rpartition(":")[2]) for label in labels}
    assert (len(shown) == len(holes)) is all_numbered
    assert {1, 5, 10, 15, 20} <= shown
    assert any(label.text.startswith("rib:") for label in labels)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) missing")
@pytest.mark.parametrize("arguments", [(ELEVATOR, "--sheet", "lower skin"), (COVER, "--mirror")])
def test_no_word_on_paper_is_written_over_a_cross(arguments, tmp_path):
    """An outside program says where each word stands; it can also be searched for."""
    file = written(tmp_path, *arguments)
    told = subprocess.run(
        ["pdftotext", "-bbox", file, "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = pages_of(file)
    sheets = told.split("<page ")[1:]
    assert len(sheets) == len(pages)
    rows = {row.name for row in read_job(arguments[0]).rows}
    for page, sheet in zip(pages, sheets, strict=True):
        height = float(re.search(r'height="([\d.]+)"', sheet)[1])
        words = re.findall(
            r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">', sheet
        )
        for word in words:
            left, top, right, bottom = map(float, word)
            line = (bottom - top) * 0.2  # of the letters' box, what no digit fills
            box = np.array((left, height - bottom + line, right, height - top - line))
            box *= MM_PER_POINT
            for x, y in page.crosses:
                assert not _boxes_meet(box, (x - 3, y, x + 3, y)), (word, x, y)
                assert not _boxes_meet(box, (x, y - 3, x, y + 3)), (word, x, y)
        assert not page.crosses or any(f"{row}:" in page.text for row in rows)


HOOP = """"wing skin", "ring", { layer = "hoop" }]
[[member]]
name = "hoop"
kind = "rib"
alloy = "2024-T3"
thickness = 0.025
flange = { width = 0.625 }"""


@pytest.mark.parametrize(
    ("old", "new", "verdict", "said"),
    [
        ("diameter = 7.25", "diameter = 7.25", "pass", "The plan of this job passes."),
        ("diameter = 7.25", "diameter = 7.496", "marginal", "but for marginal places"),
        ("diameter = 7.25", "diameter = 7.7", "fail", "THE PLAN OF THIS JOB FAILS"),
        ('"wing skin", "ring"]', HOOP, "not_checked", "NOT EVERYTHING WAS CHECKED; nothing"),
    ],
)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheet_says_what_the_plan_came_to(old, new, verdict, said, paper, tmp_path, capsys):
    """By hand: 8.0 in across, holes on 7.7 in: 0.15 in to the edge; on 7.496: 0.252, limit 0.25."""
    job = tmp_path / "job.toml"
    job.write_text(COVER.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    pages = pages_of(written(tmp_path, job, "--json", "--paper", paper))
    assert json.loads(capsys.readouterr().out)["result"]["verdict"] == verdict
    for page in pages:
        assert said in page.text
        assert "The aircraft maker's data come first." in page.text
        assert ("FAILS" in page.text) is (verdict == "fail")


def test_a_measured_hole_is_where_its_repair_puts_it_and_one_without_a_rivet_has_no_cross(
    tmp_path, capsys
):
    """Of 13 holes .75 in apart one gets no rivet, and one that grew toward the front edge has its
    middle nearer to it by what the plan says.
    """
    job, sheet = tmp_path / "job.toml", tmp_path / "holes.csv"
    text = JOB.replace(', { layer = "rib", row_from_edge = 0.3125 }', ', "rib"')
    text = text.replace("flange = { width = 0.625, end_distance = 0.3 }", "edge_distance = 0.6")
    job.write_text(text.replace("0.032", "0.05").replace("0.025", "0.05"), encoding="utf-8")
    sheet.write_text(
        "hole,measured least,measured greatest,long axis,grew\n"
        "row:7,.190,.190,,\nrow:10,.100,.120,edge,toward\n"
    )
    exit_code_of(["plan", str(job), "--measured", str(sheet), "--json"])
    planned = json.loads(capsys.readouterr().out)["result"]["measured"]
    moved_in = {hole["hole"]: hole["move_in"] for hole in planned}["row:10"]
    assert moved_in > 0.0
    file = written(tmp_path, job, "--measured", sheet, "--json")
    told = json.loads(capsys.readouterr().out)["result"]
    pages = pages_of(file)
    (laid,) = told["sheets"]
    wanted = lay_out(read_job(job)).points.copy()
    wanted[9, 1] -= moved_in
    found = taped(pages, laid["first_page"], laid["pages"])
    assert_same_shape(found, np.delete(wanted, 6, axis=0) * 25.4)
    assert told["measured"]["no_rivet_settled"] == [{"hole": "row:7", "undecided": False}]
    assert all("no rivet settled" in page.text for page in pages)
    plain = pages_of(written(tmp_path, job))
    assert not any("no rivet settled" in page.text for page in plain)
    capsys.readouterr()
    written(tmp_path, job, "--measured", sheet)
    flat = " ".join(capsys.readouterr().out.split())
    assert "no rivet fits: row:7" in flat
    assert re.search(r"MS20470AD4-[\d.]+: row:10", flat)


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
    assert any("na\u00efve ? ?:" in text for text in page_texts)


@given(st.text())
def test_any_text_is_printable(text):
    found = printable(text)
    assert len(found) == len(text)
    assert not any(ord(letter) < 32 or 126 < ord(letter) < 160 for letter in found)
    found.encode("latin-1")


@pytest.mark.parametrize("alone", [True, False])
def test_what_measured_holes_get_is_told_under_the_name_of_the_sheet_they_are_in(
    tmp_path, capsys, alone
):
    """A hole through both skins is on the paper of both: said twice, each says of which."""
    sheet = tmp_path / "holes.csv"
    sheet.write_text("hole,measured least,measured greatest\ntrailing edge:4,.190,.190\n")
    only = ["--sheet", "upper skin"] if alone else []
    written(tmp_path, ELEVATOR, "--measured", sheet, *only)
    flat = " ".join(capsys.readouterr().out.split())
    line = "no rivet fits: trailing edge:4"
    assert flat.count(line) == (1 if alone else 2)
    for name in ("upper skin", "lower skin"):
        assert (f"{name}: {line}" in flat) is not alone
