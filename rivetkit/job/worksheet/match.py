"""Which of several jobs a filled worksheet is of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.errors import InputError
from rivetkit.job.worksheet.lines import head_of_holes, plain_job_name

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rivetkit.job.worksheet.sheet import FilledSheet, KnownHole


@dataclass(frozen=True, slots=True)
class SheetsJob:
    """A job a sheet may be of: its name, its file and its holes by their ids."""

    name: str
    file: str
    holes: Mapping[str, KnownHole]


def job_of_sheet(sheet: FilledSheet, jobs: Sequence[SheetsJob]) -> int:
    """Return the number of the job a sheet is of.

    A sheet that says its job is of that one. One that says none, or whose job's name two jobs
    have, is of the job that has every hole filled in, where the sheet prints it.

    Parameters
    ----------
    sheet
        The sheet.
    jobs
        The jobs, at least one.

    Raises
    ------
    InputError
        When it fits no job, or more than one.
    """
    named = [
        number
        for number, job in enumerate(jobs)
        if sheet.job_name in ("", plain_job_name(job.name))
    ]
    if not named:
        raise InputError(
            f"the sheet is of job '{sheet.job_name}', and no such job is given",
            where=sheet.head_place,
            mend=f"name that job's file too; if it was only renamed, write its new name there: "
            f"jobs are {_listed(jobs)}",
        )
    if len(named) == 1:
        return named[0]
    misfits = {number: sheet.misfits(jobs[number].holes) for number in named}
    fitting = [number for number in named if not misfits[number]]
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        nearest = min(named, key=lambda number: len(misfits[number]))
        first = misfits[nearest][0]
        raise InputError(
            f"it fits none of the jobs given, {_listed(jobs)}; of the nearest, {first.what}",
            where=first.where,
            mend=f"name the file of its job too, or see what changed in {jobs[nearest].file}",
        )
    raise _fits_several(sheet, [jobs[number] for number in fitting])


def _fits_several(sheet: FilledSheet, jobs: Sequence[SheetsJob]) -> InputError:
    files = " and ".join(job.file for job in jobs)
    mend = f"tell its job in the head of its holes, as in {head_of_holes(jobs[0].name)}"
    if len({plain_job_name(job.name) for job in jobs}) < len(jobs):
        mend = "give each job a name of its own, and tell it in the head: hole (job: NAME)"
    return InputError(f"it fits {files}", where=sheet.head_place, mend=mend)


def _listed(jobs: Sequence[SheetsJob]) -> str:
    return ", ".join(f"'{job.name}'" for job in jobs)
