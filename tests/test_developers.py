"""DEVELOPERS.md is true: its layers, its libraries, the files it points to."""

import re
import tomllib
from pathlib import Path

import pytest
from test_layering import LAYERS

CHECKOUT = Path(__file__).parent.parent
GUIDE = CHECKOUT / "DEVELOPERS.md"

pytestmark = pytest.mark.skipif(not GUIDE.exists(), reason="stands in the checkout only")


@pytest.fixture(scope="module")
def guide():
    return GUIDE.read_text(encoding="utf-8")


def test_the_layer_picture_is_the_one_that_is_enforced(guide):
    picture = guide.split("<!-- layers -->\n```\n")[1].split("```")[0]
    shown = [re.split(r"\s{2,}", line)[0].split(", ") for line in picture.splitlines()]
    assert shown == [list(parts) for parts in LAYERS]


def test_the_folders_inside_the_layers_are_those_it_names(guide):
    _, _, told = guide.partition("a folder holds the modules of one question")
    told = told.partition("`tables/` holds data only")[0]
    items = re.findall(r"^- `(\w+)`: (.*?)(?=^- |\Z)", told, re.MULTILINE | re.DOTALL)
    named = {part: set(re.findall(r"`(\w+)`", words)) for part, words in items}
    folders = (CHECKOUT / "rivetkit" / part for part in named)
    assert named == {
        one.name: {path.parent.name for path in one.glob("*/__init__.py")} for one in folders
    }
    assert {"calculators", "reports"} < set(named)


def test_every_library_says_why_it_is_here(guide):
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))
    lists = [project["project"]["dependencies"], project["build-system"]["requires"]]
    lists += project["project"]["optional-dependencies"].values()
    needed = {re.split(r"[<>=\[ ]", needs)[0] for every in lists for needs in every} - {"rivetkit"}
    table = guide.split("## Libraries")[1].split("\n## ")[0]
    told = {
        re.sub(r" \(.*\)", "", name)
        for names in re.findall(r"^\| ([^|]+) \|", table, re.MULTILINE)
        for name in names.split(", ")
    }
    assert needed - told == set()


def test_the_files_it_points_to_are_there(guide):
    named = {
        name for name in re.findall(r"`([\w./]+/[\w.]+)`", guide) if not name.startswith("dist/")
    }
    named -= {"rivetkit/_tables"}  # made by the build
    known = (CHECKOUT, CHECKOUT / "rivetkit", CHECKOUT / "tables" / "practice")
    assert len(named) > len(LAYERS)
    assert [name for name in sorted(named) if not any((at / name).exists() for at in known)] == []
