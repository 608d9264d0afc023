"""What ``rivetkit fastener`` tells of a rivet's strength and hole."""

from __future__ import annotations

import json
import math

import pytest
from click.testing import CliRunner

from rivetkit.cli.app import main


def known(part):
    """Return the result of ``fastener PART`` as JSON."""
    done = CliRunner().invoke(main, ["fastener", part, "--json"])
    assert done.exit_code == 0, done.output
    return json.loads(done.output)["result"]


@pytest.mark.parametrize(
    ("part", "shear_ksi", "hole_in"),
    [("MS20470KE5", 43, 0.159), ("MS20470DD5", 41, 0.159), ("MS20470B4", 28, 0.1285)],
)
def test_a_shear_no_table_prints_is_stress_times_the_standard_hole(part, shear_ksi, hole_in):
    # MIL-HDBK-5 table 8.1.2(b), recalled: Fsu; MIL-HDBK-5H p 8-9: the area is the hole's.
    load = known(part)["shear_load_lbf_computed"]
    assert load == pytest.approx(1000 * shear_ksi * math.pi / 4 * hole_in**2)


def test_a_printed_shear_is_not_computed_again():
    rivet = known("MS20470AD4")
    assert rivet["shear_load_lbf"] is not None
    assert rivet["shear_load_lbf_computed"] is None


def test_hole_limits_that_no_table_has_are_said_to_be_missing():
    text = CliRunner().invoke(main, ["fastener", "MS20470AD10-8"]).output
    assert "hole limits   not on file for this diameter" in text


def test_a_blind_rivet_loses_its_stem_first():
    text = CliRunner().invoke(main, ["drill-out", "TMOPEN-4"]).output
    assert "1. Drive what is left of the stem out" in text
    closed = CliRunner().invoke(main, ["drill-out", "ISO15973-4x10-AlA/St"]).output
    assert "cannot be driven out: leave that step" in " ".join(closed.split())


def test_the_wall_chart_has_every_blind_rivet_with_its_hole_limits():
    done = CliRunner().invoke(main, ["drills", "--rivets", "--json"])
    blind = json.loads(done.output)["result"]["blind"]
    # TM 10-5410-221-14/1 table 4-3: 1/8 in, #30, .128 to .132 in.
    eighth = next(row for row in blind["tm-open-end"] if row["rivet"] == "1/8 in")
    assert (eighth["drill"], eighth["within_limits"]) == ("#30", True)
    assert (eighth["hole_min_in"], eighth["hole_max_in"]) == (0.128, 0.132)
    assert any(row["rivet"] == "2.4 mm" for rows in blind.values() for row in rows)
