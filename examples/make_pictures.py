"""Make the README's pictures from the example job: ``python examples/make_pictures.py``.

The traveller is photographed with Chromium; ``traveller.txt`` holds the digest of the page it was
taken of, so that a test can tell when the picture is out of date.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
PICTURES = HERE / "pictures"
JOB = "examples/elevator.toml"
SHEET = "lower skin"

#: Size of the photograph [px]: the page from its title to the first tables.
WIDTH, HEIGHT = 1000, 1500

CHROMIUM = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    f"--window-size={WIDTH},{HEIGHT}",
)


def rivetkit(*words: str) -> str:
    """Return what a command prints, run from the checkout."""
    return subprocess.run(
        [sys.executable, "-m", "rivetkit", *words],
        capture_output=True,
        text=True,
        cwd=HERE.parent,
        check=True,
    ).stdout


def hole_map() -> str:
    """Return the hole map as SVG."""
    return rivetkit("map", JOB, "--sheet", SHEET)


def traveller() -> str:
    """Return the traveller as HTML."""
    return rivetkit("plan", JOB, "--format", "html")


def digest(page: str) -> str:
    """Return the digest that tells one page from another."""
    return hashlib.sha256(page.encode()).hexdigest()


def main() -> None:
    """Write the pictures."""
    PICTURES.mkdir(exist_ok=True)
    (PICTURES / "hole_map.svg").write_text(hole_map(), encoding="utf-8")
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        sys.exit("the traveller needs Chromium to be photographed; hole_map.svg is written")
    page = traveller()
    with tempfile.TemporaryDirectory() as folder:
        html = Path(folder) / "traveller.html"
        html.write_text(page, encoding="utf-8")
        subprocess.run(
            [
                browser,
                *CHROMIUM,
                f"--user-data-dir={folder}/profile",
                f"--screenshot={PICTURES / 'traveller.png'}",
                html.as_uri(),
            ],
            check=True,
            capture_output=True,
        )
    (PICTURES / "traveller.txt").write_text(digest(page) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
