"""What gets installed is what stands in the checkout: wheel, wheel from sdist, zip, editable."""

import hashlib
import os
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from importlib.util import find_spec
from pathlib import Path

import pytest

from rivetkit import __version__

CHECKOUT = Path(__file__).parent.parent

#: What a build finds. Copied, so that nothing a developer left lying about changes the outcome.
BUILD_INPUT = (
    "rivetkit",
    "tables",
    "tests",
    "examples",
    "pyproject.toml",
    "README.md",
    "LICENSE",
    ".gitignore",
)

#: Imports rivetkit, says from where, then runs it with the arguments given.
PROGRAM = """
import sys, rivetkit
print(rivetkit.__file__, file=sys.stderr)
from rivetkit.cli.app import exit_code_of
sys.exit(exit_code_of(sys.argv[1:]))
"""

pytestmark = [
    pytest.mark.skipif(
        not all((CHECKOUT / name).exists() for name in BUILD_INPUT),
        reason="builds the project, and these tests stand outside a checkout",
    ),
    pytest.mark.skipif(find_spec("hatchling") is None, reason="hatchling builds the wheel"),
]


def copy_checkout(target):
    """Copy what a build finds, and what no build may take along."""
    target.mkdir()
    unwanted = shutil.ignore_patterns("__pycache__", "*.pyc")
    for name in BUILD_INPUT:
        source = CHECKOUT / name
        if source.is_dir():
            shutil.copytree(source, target / name, ignore=unwanted)
        else:
            shutil.copy(source, target / name)
    (target / ".venv").mkdir()
    (target / ".venv" / "pyvenv.cfg").write_text("home = nowhere\n", encoding="utf-8")
    return target


def python(*words, folder):
    """Run a step of the preparation in a folder; what it says is shown when it fails."""
    done = subprocess.run(
        [sys.executable, *map(str, words)], cwd=folder, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def build(kind, project, target):
    """Build the project as a sdist or a wheel, without any network, and return the file."""
    python("-m", "hatchling", "build", "-t", kind, "-d", target, folder=project)
    (built,) = (path for path in target.iterdir() if path.is_file())
    return built


def build_by_way_of_sdist(project, target):
    """Build a sdist, unpack it, build a wheel from that, and return both files."""
    sdist = build("sdist", project, target / "sdist")
    with tarfile.open(sdist) as archive:
        archive.extractall(target / "unpacked", filter="data")
    (unpacked,) = (target / "unpacked").iterdir()
    return sdist, build("wheel", unpacked, target / "wheel")


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    return copy_checkout(tmp_path_factory.mktemp("packaging") / "checkout")


@pytest.fixture(scope="module")
def tree_wheel(project, tmp_path_factory):
    return build("wheel", project, tmp_path_factory.mktemp("tree") / "wheel")


@pytest.fixture(scope="module")
def by_way_of_sdist(project, tmp_path_factory):
    return build_by_way_of_sdist(project, tmp_path_factory.mktemp("sdist"))


@pytest.fixture(scope="module", params=["from the tree", "from the sdist"])
def wheel(request, tree_wheel, by_way_of_sdist):
    return tree_wheel if request.param == "from the tree" else by_way_of_sdist[1]


@pytest.fixture(scope="module")
def installed(tree_wheel, tmp_path_factory):
    """Folder into which pip installed the wheel, without its dependencies and offline."""
    if find_spec("pip") is None:
        pytest.skip("there is no pip here")
    target = tmp_path_factory.mktemp("installed") / "site"
    options = ["--quiet", "--no-index", "--no-deps", "--disable-pip-version-check", "--target"]
    python("-m", "pip", "install", *options, target, tree_wheel, folder=target.parent)
    return target


def digests_below(folder):
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def digests_in(wheel, prefix):
    with zipfile.ZipFile(wheel) as archive:
        return {
            name.removeprefix(prefix): hashlib.sha256(archive.read(name)).hexdigest()
            for name in archive.namelist()
            if name.startswith(prefix)
        }


def text_in(wheel, ending):
    with zipfile.ZipFile(wheel) as archive:
        (name,) = (name for name in archive.namelist() if name.endswith(ending))
        return archive.read(name).decode("utf-8")


def run(command, *, search_path, folder):
    """Run a command elsewhere, with nothing but ``search_path`` to find rivetkit before others."""
    return subprocess.run(
        [str(word) for word in command],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(search_path), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )


def expect_number_40(done, *, found_in):
    """The drill #40 is 0.0980 in (ASME B94.11M); it is read from the tables, so they are there."""
    assert done.returncode == 0, done.stderr
    assert done.stderr.splitlines()[0].startswith(str(found_in))
    assert "0.0980" in done.stdout


def test_the_wheel_holds_the_tables_byte_for_byte(wheel):
    assert digests_in(wheel, "rivetkit/_tables/") == digests_below(CHECKOUT / "tables")


def test_the_wheel_holds_every_module_byte_for_byte(wheel):
    modules = digests_in(wheel, "rivetkit/")
    ours = {name: digest for name, digest in modules.items() if not name.startswith("_tables/")}
    assert ours == digests_below(CHECKOUT / "rivetkit")


def test_the_wheel_brings_one_name_to_import(wheel):
    with zipfile.ZipFile(wheel) as archive:
        tops = {name.split("/")[0] for name in archive.namelist()}
    assert tops == {"rivetkit", f"rivetkit-{__version__}.dist-info"}


def test_the_wheel_is_typed_and_carries_its_licence(wheel):
    assert text_in(wheel, "rivetkit/py.typed") == ""
    metadata = text_in(wheel, ".dist-info/METADATA").splitlines()
    assert {"License-Expression: MIT", "License-File: LICENSE"} <= set(metadata)
    licence = text_in(wheel, ".dist-info/licenses/LICENSE")
    assert licence == (CHECKOUT / "LICENSE").read_text(encoding="utf-8")


def test_the_wheel_declares_version_python_and_command(wheel):
    declared = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    metadata = text_in(wheel, ".dist-info/METADATA").splitlines()
    assert f"Version: {__version__}" in metadata
    assert f"Requires-Python: {declared['requires-python']}" in metadata
    needed = [line for line in metadata if line.startswith("Requires-Dist:") and ";" not in line]
    assert len(needed) == len(declared["dependencies"])
    assert "rivetkit = rivetkit.cli.app:run" in text_in(wheel, ".dist-info/entry_points.txt")


def test_the_sdist_holds_the_project_and_no_rubbish(by_way_of_sdist):
    with tarfile.open(by_way_of_sdist[0]) as archive:
        names = {Path(name).relative_to(Path(name).parts[0]) for name in archive.getnames()}
    tops = {name.parts[0] for name in names}
    assert set(BUILD_INPUT) <= tops
    assert not tops & {".venv", ".git", "build", "dist"}
    assert not [name for name in names if "__pycache__" in name.parts]


def test_a_line_in_gitignore_cannot_drop_the_tables(tmp_path):
    project = copy_checkout(tmp_path / "checkout")
    with (project / ".gitignore").open("a", encoding="utf-8") as file:
        file.write("*.csv\n*.toml\n")
    _, built = build_by_way_of_sdist(project, tmp_path)
    expected = digests_below(CHECKOUT / "tables")
    data = {name for name in expected if name.endswith((".csv", ".toml"))}
    assert data <= set(digests_in(built, "rivetkit/_tables/"))


def test_it_runs_from_the_wheel_as_a_zip(wheel, tmp_path):
    done = run([sys.executable, "-c", PROGRAM, "drills", "#40"], search_path=wheel, folder=tmp_path)
    expect_number_40(done, found_in=wheel)


def test_it_runs_from_a_bare_checkout_and_another_folder(project, tmp_path):
    done = run(
        [sys.executable, "-c", PROGRAM, "drills", "#40"], search_path=project, folder=tmp_path
    )
    expect_number_40(done, found_in=project)


@pytest.mark.skipif(find_spec("editables") is None, reason="hatchling needs it to link a checkout")
def test_it_runs_editable(project, tmp_path):
    """An editable wheel is a .pth file that names the checkout; tables are read from there."""
    target = tmp_path / "wheels"
    target.mkdir()
    make = "import sys; from hatchling.build import build_editable; build_editable(sys.argv[1])"
    python("-c", make, target, folder=project)
    (editable,) = target.glob("*.whl")
    site = tmp_path / "site"
    shutil.unpack_archive(editable, site, "zip")
    assert not (site / "rivetkit").exists()
    (link,) = site.glob("*.pth")
    assert Path(link.read_text(encoding="utf-8").strip()) == project
    # -S leaves out the environment's own rivetkit; its other packages come back behind ours.
    opened = f"import site, sys; site.addsitedir({str(site)!r}); sys.path.extend({sys.path!r})"
    done = run(
        [sys.executable, "-S", "-c", opened + PROGRAM, "drills", "#40"],
        search_path="",
        folder=tmp_path,
    )
    expect_number_40(done, found_in=project)


def test_it_runs_installed(installed, tmp_path):
    done = run(
        [sys.executable, "-c", PROGRAM, "drills", "#40"], search_path=installed, folder=tmp_path
    )
    expect_number_40(done, found_in=installed)


def test_a_foreign_folder_called_tables_is_not_taken(installed, tmp_path):
    """A package of that name on the registry installs itself right beside ours."""
    site = tmp_path / "site"
    shutil.copytree(installed, site)
    foreign = site / "tables" / "drills"
    foreign.mkdir(parents=True)
    (site / "tables" / "sources.toml").write_text("", encoding="utf-8")
    (foreign / "drill_sizes.csv").write_text("designation\n#40\n", encoding="utf-8")
    done = run([sys.executable, "-c", PROGRAM, "drills", "#40"], search_path=site, folder=tmp_path)
    expect_number_40(done, found_in=site)


def test_a_foreign_folder_does_not_stand_in_for_lost_tables(installed, tmp_path):
    site = tmp_path / "site"
    shutil.copytree(installed, site)
    shutil.rmtree(site / "rivetkit" / "_tables")
    (site / "tables").mkdir()
    (site / "tables" / "__init__.py").write_text("", encoding="utf-8")
    done = run([sys.executable, "-m", "rivetkit", "drills"], search_path=site, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "the handbook tables are missing; install rivetkit again" in done.stderr


def test_both_front_doors_tell_the_version(installed, tmp_path):
    script = installed / "bin" / "rivetkit"
    for command in ([script, "--version"], [sys.executable, "-m", "rivetkit", "--version"]):
        done = run(command, search_path=installed, folder=tmp_path)
        assert (done.returncode, done.stdout) == (0, f"rivetkit {__version__}\n")
