"""The traveller in a real browser without a screen: it opens, is seen, and prints whole."""

import collections
import functools
import re
import shutil
import struct
import subprocess
import zlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from map_jobs import MIXED, hostile_job, many_holes, planned
from page_reader import read_page

from rivetkit.job.read import parse_job, read_job
from rivetkit.job.worksheet.sheet import BenchSheet
from rivetkit.planning.plan import plan_job
from rivetkit.planning.worksheet import worksheet_lines
from rivetkit.reports.document import Paragraph, Section
from rivetkit.reports.drawings.palette import DARK, LIGHT
from rivetkit.reports.drawings.svg_map import render_svg
from rivetkit.reports.formats.html_report import render_html
from rivetkit.reports.plans.map_report import map_report
from rivetkit.reports.plans.plan_report import plan_report
from rivetkit.reports.plans.traveller import as_traveller
from rivetkit.reports.plans.worksheet_report import worksheet_report

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "chrome"))), None)
PDF_READER = shutil.which("pdftotext")

pytestmark = pytest.mark.skipif(
    BROWSER is None, reason="no chromium on the path: the page was not opened in a browser"
)
needs_pdf_reader = pytest.mark.skipif(
    PDF_READER is None, reason="no pdftotext on the path: the printed page was not read"
)

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--enable-logging=stderr",
]

#: A margin of the printed page [pt]; the style asks for 12 mm.
MARGIN_PT = 12.0 / 25.4 * 72.0


def browse(tmp_path, page, *flags):
    """Open a file in a browser of its own and return what it wrote."""
    profile = tmp_path / "profile"
    shutil.rmtree(profile, ignore_errors=True)
    done = subprocess.run(
        [BROWSER, *FLAGS, f"--user-data-dir={profile}", *flags, page.as_uri()],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    complaints = [line for line in done.stderr.splitlines() if "CONSOLE" in line]
    return done.stdout, complaints


def traveller(plan):
    report = plan_report(plan, inputs={}, length_unit="in")
    return render_html(as_traveller(report, plan))


JOBS = {
    "inspection cover": lambda: plan_job(read_job("examples/inspection_cover.toml")),
    "elevator": lambda: plan_job(read_job("examples/elevator.toml")),
    "every verdict": lambda: planned(MIXED),
    "hostile names": lambda: planned(hostile_job()),
}


@pytest.fixture(params=JOBS)
def page(request, tmp_path):
    file = tmp_path / "traveller.html"
    file.write_text(traveller(JOBS[request.param]()), encoding="utf-8")
    return file


def test_the_browser_tells_of_an_error(tmp_path):
    # The proof that silence in the next test means something.
    file = tmp_path / "bad.html"
    file.write_text("<!DOCTYPE html><title>t</title><script>nothing.here()</script>")
    _, complaints = browse(tmp_path, file, "--dump-dom")
    assert "nothing is not defined" in " ".join(complaints)


def test_it_opens_without_a_complaint_and_says_what_was_written(page, tmp_path):
    dom, complaints = browse(tmp_path, page, "--dump-dom")
    assert complaints == []
    seen, written = read_page(dom), read_page(page.read_text(encoding="utf-8"))
    assert seen.words == written.words
    assert [len(seen.all(tag)) for tag in ("use", "tr", "li")] == [
        len(written.all(tag)) for tag in ("use", "tr", "li")
    ]
    assert not seen.all("script")


def test_five_thousand_holes_open(tmp_path):
    file = tmp_path / "large.html"
    file.write_text(traveller(planned(many_holes())), encoding="utf-8")
    dom, complaints = browse(tmp_path, file, "--dump-dom")
    assert complaints == []
    assert dom.count("<use") == 5000


# ---------------------------------------------------------------- what is seen


def pixels(png):
    """The colours of a picture, ``(height, width, 3)``: PNG (ISO/IEC 15948) of 8 bits."""
    place, data = 8, b""
    while place < len(png):
        length, kind = struct.unpack(">I4s", png[place : place + 8])
        body = png[place + 8 : place + 8 + length]
        if kind == b"IHDR":
            width, height, depth, colour, *_, interlaced = struct.unpack(">IIBBBBB", body)
        data += body if kind == b"IDAT" else b""
        place += 12 + length
    assert (depth, interlaced) == (8, 0)
    size = {2: 3, 6: 4}[colour]
    lines = np.frombuffer(zlib.decompress(data), np.uint8).reshape(height, 1 + width * size)
    shown = np.zeros((height + 1, width + 1, size), np.uint8)
    for number, line in enumerate(lines):
        shown[number + 1, 1:] = unfiltered(
            int(line[0]), line[1:].reshape(width, size), shown[number]
        )
    return shown[1:, 1:, :3]


def unfiltered(how, line, above):
    if how == 0:
        return line
    if how == 1:
        return np.cumsum(line, axis=0, dtype=np.uint8)
    if how == 2:
        return line + above[1:]
    done = np.zeros((len(line) + 1, line.shape[1]), int)
    over = above.astype(int)
    for number, value in enumerate(line.astype(int)):
        left, up, corner = done[number], over[number + 1], over[number]
        if how == 3:
            guess = (left + up) // 2
        else:
            far = np.abs(np.stack((up - corner, left - corner, left + up - 2 * corner)))
            guess = np.choose(np.argmin(far, axis=0), (left, up, corner))
        done[number + 1] = (value + guess) % 256
    return done[1:].astype(np.uint8)


def count(picture, colour):
    wanted = [int(colour[place : place + 2], 16) for place in (1, 3, 5)]
    return int((picture == wanted).all(axis=2).sum())


@pytest.mark.parametrize(("scheme", "colours"), [(1, LIGHT), (0, DARK)], ids=["light", "dark"])
def test_the_map_is_seen_by_day_and_by_night(scheme, colours, tmp_path):
    plan = planned(MIXED)
    file, shot = tmp_path / "map.svg", tmp_path / "map.png"
    file.write_text(render_svg(map_report(plan, inputs={}, length_unit="in")), encoding="utf-8")
    browse(
        tmp_path,
        file,
        f"--screenshot={shot}",
        "--window-size=720,370",
        "--force-device-scale-factor=2",
        f"--blink-settings=preferredColorScheme={scheme}",
    )
    picture = pixels(shot.read_bytes())
    assert count(picture, colours["metal"]) > 100_000
    assert count(picture, colours["paper"]) > 50_000
    for sign in ("pass", "marginal", "fail", "not_checked"):
        assert count(picture, colours[sign]) > 50, sign
    # A sign whose style did not reach it is filled with black.
    assert count(picture, "#000000") < 20


def test_the_map_in_the_page_is_as_wide_as_the_page(tmp_path):
    file, shot = tmp_path / "page.html", tmp_path / "page.png"
    file.write_text(traveller(planned(MIXED)), encoding="utf-8")
    browse(tmp_path, file, f"--screenshot={shot}", "--window-size=1000,900")
    metal = [int(LIGHT["metal"][place : place + 2], 16) for place in (1, 3, 5)]
    columns = np.flatnonzero((pixels(shot.read_bytes()) == metal).all(axis=2).any(axis=0))
    assert columns.max() - columns.min() > 0.8 * 1000


# ---------------------------------------------------------------- on paper


def print_page(folder, text, paper):
    """Print to PDF and return its pages: size [pt] and words with their boxes [pt]."""
    sized, pdf = folder / "sized.html", folder / "page.pdf"
    sized.write_text(text.replace("@page{", f"@page{{size:{paper};", 1), encoding="utf-8")
    browse(folder, sized, "--no-pdf-header-footer", f"--print-to-pdf={pdf}")
    done = subprocess.run(
        [PDF_READER, "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True
    )
    pages = []
    for line in done.stdout.splitlines():
        box = dict(re.findall(r'(\w+)="([^"]+)"', line))
        if "<page" in line:
            pages.append(((float(box["width"]), float(box["height"])), []))
        elif "<word" in line:
            word = re.sub(r"<[^>]+>", "", line).strip()
            pages[-1][1].append((word, float(box["xMin"]), float(box["xMax"]), float(box["yMax"])))
    return pages


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """Print a job's traveller, each job on each paper only once."""

    @functools.cache
    def once(job, paper):
        text = traveller(JOBS[job]())
        return text, print_page(tmp_path_factory.mktemp("print"), text, paper)

    return once


@needs_pdf_reader
@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("job", ["elevator", "every verdict"])
def test_it_prints_with_nothing_cut_off(job, paper, printed):
    text, pages = printed(job, paper)

    size = {"A4": (595, 842), "letter": (612, 792)}[paper]
    for (width, height), words in pages:
        assert (width, height) == pytest.approx(size, abs=1.5)
        assert words
        for word, left, right, bottom in words:
            assert left >= MARGIN_PT - 2.0, word
            assert right <= width - MARGIN_PT + 2.0, word
            assert bottom <= height
    on_paper = collections.Counter(word for _, words in pages for word, *_ in words)
    page = read_page(text)
    cells = [
        cell for table in page.all("table") for kind in ("td", "th") for cell in table.all(kind)
    ]
    written = collections.Counter(word for cell in cells for word in cell.words.split())
    for word, times in written.items():
        if re.fullmatch(r"[+-]?\d+\.\d+|pass|FAIL|marginal", word):
            assert on_paper[word] >= times, word


@needs_pdf_reader
def test_a_table_over_two_pages_has_its_head_on_both(printed):
    _, pages = printed("elevator", "A4")
    margins = [words for _, words in pages if sum(word == "pass" for word, *_ in words) > 20]
    assert len(margins) > 2
    for words in margins:
        assert "verdict" in [word for word, *_ in words]


@needs_pdf_reader
def test_no_head_of_a_table_is_left_alone_at_the_foot_of_a_page(printed):
    for paper in ("A4", "letter"):
        for (_, height), words in printed("elevator", paper)[1]:
            above_foot = [entry for entry in words if entry[3] < height - MARGIN_PT - 8.0]
            lowest = max(bottom for *_, bottom in above_foot)
            last_line = [word for word, *_, bottom in above_foot if bottom > lowest - 2.0]
            assert "verdict" not in last_line


@needs_pdf_reader
def test_cautions_and_sign_off_are_on_one_page_wherever_it_ends(tmp_path):
    """Common practice, no source: who signs has the cautions before his eyes."""
    bench = plan_report(planned(MIXED), inputs={}, length_unit="in")
    signed = as_traveller(bench, planned(MIXED)).sections[-1]
    for lines in range(14, 38, 4):
        words = Section("", (Paragraph("Line."),) * lines)
        report = replace(bench, checks=(), citations=(), sections=(words, signed))
        pages = print_page(tmp_path, render_html(report), "A4")
        last = " ".join(word for word, *_ in pages[-1][1])
        assert "Sign-off" in last
        assert 0 <= last.index("Before you drill") < last.index("Sign-off")


def worksheet(job):
    lines = worksheet_lines(job)
    report = worksheet_report(
        lines, BenchSheet(), job_name=job.name, file="job.toml", inputs={}, length_unit="in"
    )
    return render_html(report)


@needs_pdf_reader
@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm (poppler-utils) is missing")
@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("job", ["elevator", "long names", "hostile"])
def test_the_worksheet_prints_with_room_to_write(job, paper, tmp_path):
    """Common practice, no source: a hand writes a size in 18 by 7 mm and not in less."""
    text = hostile_job()
    if job != "hostile":
        text = Path("examples/elevator.toml").read_text(encoding="utf-8")
    if job == "long names":
        text = text.replace('"root"', '"root, along the closing rib and its doubler inside"')
        text = text.replace('"upper spar"', '"upper spar, from the root to the last bracket"')
    text = worksheet(parse_job(text))
    pages = print_page(tmp_path, text.replace("size:landscape", f"size:{paper} landscape"), paper)
    high = {"A4": 595, "letter": 612}[paper]
    for (width, height), words in pages:
        assert height == pytest.approx(high, abs=1.5)
        assert width > height
        for word, left, right, _ in words:
            assert left >= MARGIN_PT - 2.0, word
            assert right <= width - MARGIN_PT + 2.0, word
        if "remark" in [word for word, *_ in words]:
            assert {"date", "name", "signature"} <= {word for word, *_ in words}  # on every page
    if job == "hostile":
        return
    lows = sorted({bottom for word, _, _, bottom in pages[0][1] if word == "0.0930"})
    assert min(np.diff(lows)) >= 7 / 25.4 * 72
    dpi = 150
    subprocess.run(
        ["pdftoppm", "-r", str(dpi), "-gray", "-singlefile", tmp_path / "page.pdf", tmp_path / "p"],
        check=True,
    )
    _, size, _, data = (tmp_path / "p.pgm").read_bytes().split(b"\n", 3)
    across, down = map(int, size.split())
    dark = np.frombuffer(data, np.uint8).reshape(down, across) < 170
    band = dark[int(lows[0] * dpi / 72) : int(lows[4] * dpi / 72)]  # over four lines of holes
    (lines,) = np.nonzero(band.mean(axis=0) > 0.9)
    edges = [line for line, before in zip(lines, [-9, *lines], strict=False) if line - before > 3]
    assert len(edges) == 6
    assert min(np.diff(edges)) >= 18 / 25.4 * dpi
