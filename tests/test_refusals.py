"""Slips of the hand that no other test makes: one line, where, what and the mend; exit code 2."""

import pytest
from job_texts import JOB, ROW

from rivetkit.cli.app import exit_code_of
from rivetkit.errors import InputError
from rivetkit.job import places
from rivetkit.job.files import require_plain_file

#: The sheet comes off for good, so there is no new one to cut.
LEFT_OFF = JOB.replace('new = { alloy = "2024-T3", thickness = 0.032 }', "left_off = true")
#: A member without edges, and no row goes through it.
SPARE = JOB + '[[member]]\nname = "spare"\nkind = "rib"\nthickness = 0.025\nedge_distance = 0.3\n'


@pytest.fixture
def refused(tmp_path, capsys, monkeypatch):
    """Return a function that runs a command beside ``job.toml`` and returns its complaint."""
    monkeypatch.chdir(tmp_path)

    def run(*arguments, job=JOB):
        (tmp_path / "job.toml").write_text(job, encoding="utf-8")
        assert exit_code_of(list(arguments)) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert err.count("\n") == 1
        return err.removeprefix("error: ").removesuffix("\n")

    return run


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (
            ["plan", "job.toml", "--quiet", "--json"],
            "--quiet: --quiet and --format json exclude each other; leave one of them out",
        ),
        (
            ["worksheet", "job.toml", "--row", "seam"],
            "--row: the job has no row 'seam'; rows are row",
        ),
        (
            ["new-hole", "job.toml", "--rivet", "MS20470AD3", "--along", "1,1:1,1"],
            "--along: the line has no length; give two points",
        ),
        (
            ["new-hole", "job.toml", "--rivet", "MS20470AD3", "--at", "1,1", "--layers", "skn"],
            "the job has no layer 'skn'; split by ;, the layers are skin; rib",
        ),
        (["blank", "job.toml", "--sheet", "skn"], "there is no layer 'skn'; layers are skin, rib"),
        (
            ["oversize", "MS20470AD4", "--hole", ".13x.14", "--axis", "400"],
            "--axis: '400' is no direction; write edge, row, back or degrees from the row",
        ),
        (
            ["expansion", "2024", "--length", "36", "--from", "70F", "--to", "90F", "--hole", ".2"],
            "--fastener",
        ),
        (["expansion", "2024", "--length", "36", "--from", "70F"], "--to"),
        (["expansion", " ", "--length", "36", "--from", "70F", "--to", "90F"], "no material"),
        (["nutplate", "MS21047-3", "--round", "6", "--count", "1"], "--count"),
    ],
)
def test_a_command_that_cannot_be_done(refused, arguments, complaint):
    assert complaint in refused(*arguments)


def test_a_blank_for_a_job_without_a_new_sheet(refused):
    assert "no sheet of the job is new; name a layer" in refused("blank", "job.toml", job=LEFT_OFF)


def test_a_blank_for_a_layer_that_is_nowhere(refused):
    said = refused("blank", "job.toml", "--sheet", "spare", job=SPARE)
    assert "'spare' has neither holes nor an outline; name another layer" in said


def test_a_job_with_more_holes_than_a_job_may_have(refused, tmp_path, monkeypatch):
    monkeypatch.setattr(places, "MAX_HOLES", 2)
    (tmp_path / "holes.csv").write_text("x,y\n1,1\n2,1\n3,1\n", encoding="utf-8")
    row = ROW.replace("path = [[0.5, 0.5], [9.5, 0.5]]\ncount = 13", 'holes_csv = "holes.csv"')
    said = refused("plan", "job.toml", job=JOB.replace(ROW, row))
    assert "holes.csv: line 4: more than the 2 holes a job may have; split it" in said


def test_a_worksheet_with_an_endless_cell(refused, tmp_path):
    (tmp_path / "holes.csv").write_text(
        f"hole,measured least,measured greatest\n{'1' * 200_000},1,1\n", encoding="utf-8"
    )
    said = refused("plan", "job.toml", "--measured", "holes.csv")
    assert "is no CSV (field larger than field limit" in said
    assert said.endswith("save it as CSV")


@pytest.mark.parametrize(
    ("name", "complaint"),
    [("", "no file is named; name a file"), ("a\0b", "is no name of a file; check")],
)
def test_a_name_that_no_system_takes(name, complaint):
    with pytest.raises(InputError, match=complaint):
        require_plain_file(name, 10)
