"""A module imports only from lower layers or from its own folder (DEVELOPERS.md, layers)."""

import ast
from pathlib import Path

import pytest

import rivetkit

PACKAGE = Path(rivetkit.__file__).parent

#: Lowest first; what stands in one line does not know its neighbours either.
LAYERS = (
    ("errors",),
    ("quantities", "handbook"),
    ("checks",),
    ("rules",),
    ("drills", "materials"),
    ("fasteners",),
    ("calculators", "geometry"),
    ("job",),
    ("planning",),
    ("reports",),
    ("cli",),
)
LEVEL = {part: level for level, parts in enumerate(LAYERS) for part in parts}

#: The package's own front: version, and `python -m rivetkit`.
FRONT = {"__init__", "__main__"}


def part_of(path):
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_parts(source, own_part=""):
    """Yield line and part of rivetkit for every import in a source text, inner ones too."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level:
            names = [f"rivetkit.{own_part}"]  # ruff's TID keeps these inside the folder
        elif isinstance(node, ast.ImportFrom) and node.module == "rivetkit":
            names = [f"rivetkit.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [node.module]
        else:
            continue
        for name in names:
            parts = name.split(".")
            if parts[0] == "rivetkit" and len(parts) > 1 and parts[1] != "__version__":
                yield node.lineno, parts[1]


def faults(path):
    own = part_of(path)
    for line, part in imported_parts(path.read_text(encoding="utf-8"), own):
        if part != own and LEVEL[part] >= LEVEL[own]:
            yield f"{path.relative_to(PACKAGE)}:{line} imports rivetkit.{part}"


MODULES = [path for path in sorted(PACKAGE.rglob("*.py")) if part_of(path) not in FRONT]


def test_every_part_has_a_layer():
    assert {part_of(path) for path in MODULES} <= set(LEVEL)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_only_lower_layers(path):
    assert list(faults(path)) == []


@pytest.mark.parametrize(
    "line",
    [
        "import rivetkit.cli.app",
        "from rivetkit.cli import app",
        "from rivetkit import cli",
        "def f():\n    from rivetkit.cli.app import run",
    ],
)
def test_the_reader_of_imports_sees_each_form(line):
    assert [part for _, part in imported_parts(line)] == ["cli"]
