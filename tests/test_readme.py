"""The README shows what the tool prints, and its Python lines run."""

import contextlib
import doctest
import importlib.util

import pytest
from readme_blocks import BLOCK, CHECKOUT, COMMANDS, README, command_list, shown

pytestmark = pytest.mark.skipif(not README.exists(), reason="stands in the checkout only")


def blocks():
    return BLOCK.findall(README.read_text(encoding="utf-8")) if README.exists() else []


@pytest.mark.parametrize(("lines", "command", "text"), [b[1:4] for b in blocks()])
def test_shown_output_is_what_the_tool_prints(lines, command, text):
    # Out of date? python tests/readme_blocks.py puts it right.
    assert text == shown(command, lines)


def test_there_are_blocks_to_check():
    assert len(blocks()) >= 5


def test_the_command_list_is_complete():
    found = COMMANDS.search(README.read_text(encoding="utf-8"))

    assert found[2] == command_list()


def test_the_python_lines_run():
    with contextlib.chdir(CHECKOUT):
        result = doctest.testfile(str(README), module_relative=False)

    assert result.attempted >= 7
    assert result.failed == 0


def test_pictures_are_there():
    for line in README.read_text(encoding="utf-8").splitlines():
        if line.startswith("!["):
            assert (CHECKOUT / line.split("(")[1].rstrip(")")).is_file(), line


@pytest.fixture(scope="module")
def pictures():
    spec = importlib.util.spec_from_file_location(
        "make_pictures", CHECKOUT / "examples" / "make_pictures.py"
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_pictures_are_of_the_example_as_it_is_now(pictures):
    # Out of date? python examples/make_pictures.py takes them again.
    folder = pictures.PICTURES

    assert (folder / "hole_map.svg").read_text(encoding="utf-8") == pictures.hole_map()
    taken_of = (folder / "traveller.txt").read_text(encoding="utf-8").strip()
    assert taken_of == pictures.digest(pictures.traveller())
