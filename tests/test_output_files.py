"""What a command reads is never written over."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from rivetkit.cli.app import exit_code_of

EXAMPLE = Path(__file__).parent.parent / "examples" / "inspection_cover.toml"


@pytest.mark.parametrize("command", ["plan", "map", "export-dxf", "order", "blank"])
def test_a_job_is_not_written_over(command, tmp_path, capsys):
    job = Path(shutil.copy(EXAMPLE, tmp_path / "job.toml"))
    code = exit_code_of([command, str(job), "-o", str(tmp_path / "." / "job.toml")])
    assert code == 2
    assert "is what the command reads; name another file" in capsys.readouterr().err
    assert job.read_bytes() == EXAMPLE.read_bytes()


def test_a_job_is_not_written_over_through_a_link_to_it(tmp_path, capsys):
    job = Path(shutil.copy(EXAMPLE, tmp_path / "job.toml"))
    link = tmp_path / "report.txt"
    link.symlink_to(job)
    assert exit_code_of(["plan", str(job), "-o", str(link)]) == 2
    assert "is what the command reads" in capsys.readouterr().err
    assert job.read_bytes() == EXAMPLE.read_bytes()


def test_a_filled_worksheet_is_not_written_over(tmp_path, capsys):
    sheet = tmp_path / "filled.csv"
    assert exit_code_of(["worksheet", str(EXAMPLE), "-o", str(sheet)]) == 0
    typed = sheet.read_bytes()
    wanted = ["plan", str(EXAMPLE), "--measured", str(sheet), "--format", "csv", "-o", str(sheet)]
    assert exit_code_of(wanted) == 2
    assert "is what the command reads" in capsys.readouterr().err
    assert sheet.read_bytes() == typed


def test_another_file_may_be_written_over(tmp_path):
    report = tmp_path / "report.txt"
    report.write_text("old", encoding="utf-8")
    assert exit_code_of(["plan", str(EXAMPLE), "-o", str(report)]) == 0
    assert report.read_text(encoding="utf-8") != "old"
