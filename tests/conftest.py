"""Let tests import the helper modules that stand beside them, keep clocks out, draw drawings."""

import sys
from pathlib import Path

import pytest
from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

import outside

outside.watch_approx(pytest.approx)

# A law holds on a slow machine too: no case has a deadline.
settings.register_profile("no clock", parent=settings.default, deadline=None)
settings.load_profile("no clock")


def pytest_addoption(parser):
    """Add what ``tests/outside.py`` runs the outside checks with."""
    group = parser.getgroup("outside checks")
    group.addoption("--only-outside", action="store_true", help="Leave out all other tests.")
    group.addoption("--tell-outside", metavar="FILE", help="Write to a file what they found.")


def pytest_collection_modifyitems(config, items):
    """Leave out other tests if told to; judge the page on outside checks when they have run."""
    if config.getoption("--only-outside"):
        items[:] = [item for item in items if outside.is_one(item)]
    items.sort(key=lambda item: item.path.name == "test_outside_checks.py")


def pytest_collection_finish(session):
    """Tell whether every outside check is among what is run."""
    args = [str(argument) for argument in session.config.args]
    files = {item.path.name for item in session.items}
    outside.RUN.whole = (
        not outside.RUN.left_out
        and not any("::" in argument for argument in args)
        and {file for file, _ in outside.outside_checks()} <= files
    )


def pytest_deselected(items):
    """Note that a case was left out by name or mark."""
    outside.RUN.left_out |= any(map(outside.is_one, items))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item):
    """Note what an outside check finds."""
    with outside.RUN.noted(item):
        return (yield)


def pytest_sessionfinish(session):
    """Write down what the outside checks found, if told to."""
    told = session.config.getoption("--tell-outside")
    if told:
        Path(told).write_text(outside.written_outcomes(outside.RUN.outcomes), encoding="utf-8")


@pytest.fixture
def drawn(tmp_path):
    """Return a function that saves what another one draws, and reads it as rivetkit does."""
    import ezdxf

    from rivetkit.job.drawing.parts import read_drawing

    def read(draw, *, units=ezdxf.units.IN, version="R2010", **options):
        document = ezdxf.new(version, units=units)
        document.header["$INSUNITS"] = units
        draw(document.modelspace())
        path = tmp_path / "drawing.dxf"
        document.saveas(path)
        return read_drawing(str(path), **options)

    return read
