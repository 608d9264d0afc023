"""Let tests import the helper modules that stand beside them, keep clocks out, draw drawings."""

import sys
from pathlib import Path

import pytest
from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

# A law holds on a slow machine too: no case has a deadline.
settings.register_profile("no clock", parent=settings.default, deadline=None)
settings.load_profile("no clock")


@pytest.fixture
def drawn(tmp_path):
    """Return a function that saves what another one draws, and reads it as rivetkit does."""
    import ezdxf

    from rivetkit.job.drawing_in import read_drawing

    def read(draw, *, units=ezdxf.units.IN, version="R2010", **options):
        document = ezdxf.new(version, units=units)
        document.header["$INSUNITS"] = units
        draw(document.modelspace())
        path = tmp_path / "drawing.dxf"
        document.saveas(path)
        return read_drawing(str(path), **options)

    return read
