"""Read a job file and plan it, with the rules chosen on the command line on top."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.errors import InputError, OutOfTableError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rivetkit.cli.options import Bench, Shared
    from rivetkit.job.model import Job
    from rivetkit.job.worksheet.sheet import FilledSheet
    from rivetkit.planning.plan import Plan
    from rivetkit.rules import RuleBook


def planned_job(
    job_file: str, shared: Shared, *, bench: Bench | None = None, assume_oversize: int = 0
) -> Plan:
    """Return the plan of a job file; ``-`` is standard input.

    Parameters
    ----------
    job_file
        Path of the job file.
    shared
        The shared options.
    bench
        Filled worksheets of the job.
    assume_oversize
        What if every hole went up so many sizes.

    Raises
    ------
    InputError
        When the job file, a worksheet, the rule set or an override cannot be used.
    """
    job = job_of(job_file, shared)
    plan = None if bench is None else measured_plan(job, job_file, bench, assume_oversize)
    return plan or plan_of(job, job_file, assume_oversize=assume_oversize)


def measured_plan(job: Job, job_file: str, bench: Bench, assume_oversize: int = 0) -> Plan | None:
    """Return the plan of a job that was read with its filled worksheets, None when there are none.

    Raises
    ------
    InputError
        When the job or a worksheet cannot be used; its file is named.
    """
    if not bench.files:
        return None
    from rivetkit.job.worksheet.sheet import open_bench_sheet

    return plan_of(
        job,
        job_file,
        sheets=[open_bench_sheet(file) for file in bench.files],
        sizes_up=bench.sizes_up,
        assume_oversize=assume_oversize,
    )


def plan_of(
    job: Job,
    job_file: str,
    *,
    sheets: Sequence[FilledSheet] = (),
    sizes_up: int | None = None,
    assume_oversize: int = 0,
) -> Plan:
    """Return the plan of a job that was read, with what its filled worksheets say.

    Raises
    ------
    InputError
        When the job or a worksheet cannot be used; its file is named.
    """
    from rivetkit.planning.plan import plan_job

    tell = _progress(sum(len(row.points) for row in job.rows))
    if not sheets:
        with naming_file(job_file):
            return plan_job(job, assume_oversize=assume_oversize, tell=tell)
    from rivetkit.calculators.oversize.candidates import FURTHER_STEPS
    from rivetkit.job.worksheet.sheet import read_bench_sheet, together
    from rivetkit.planning.worksheet import known_holes

    with naming_file(job_file):
        known = known_holes(job)
    told = together(read_bench_sheet(sheet, known, job_name=job.name) for sheet in sheets)
    with naming_file(job_file, worksheets=[sheet.name for sheet in sheets]):
        return plan_job(
            job,
            measured=told.measured,
            noted=told.noted,
            sizes_up=FURTHER_STEPS if sizes_up is None else sizes_up,
            assume_oversize=assume_oversize,
            tell=tell,
        )


@contextmanager
def naming_file(job_file: str, *, worksheets: Sequence[str] = ()) -> Iterator[None]:
    """Put a job's file before what is wrong with it.

    Parameters
    ----------
    job_file
        The file; ``-`` is standard input.
    worksheets
        What worksheets are called, whose lines name them themselves.

    Raises
    ------
    RivetkitError
        The one that was raised inside, with the file.
    """
    try:
        yield
    except (InputError, OutOfTableError) as error:
        named = ("--", *worksheets)
        raise (error if error.where.startswith(named) else error.at(file_words(job_file))) from None


def file_words(file: str) -> str:
    """Return what to call a file in a message."""
    return "standard input" if file == "-" else file


def job_of(job_file: str, shared: Shared) -> Job:
    """Return the job of a file, as :func:`jobs_of` does."""
    return jobs_of((job_file,), shared)[0]


def jobs_of(job_files: Sequence[str], shared: Shared) -> list[Job]:
    """Return the jobs of some files, with the rules chosen on the command line.

    From here on ``shared.units`` is settled: --units, else the unit all jobs have in common.

    Raises
    ------
    InputError
        When a job file, the rule set or an override cannot be used.
    """
    from rivetkit.job.read import read_job

    jobs = [read_job(file) for file in job_files]
    shared.follow_jobs(job.units for job in jobs)
    book = shared.rule_book()
    return [_under_rules(job, book, shared) for job in jobs]


def _under_rules(job: Job, book: RuleBook, shared: Shared) -> Job:
    if shared.rule_set is not None:
        job = replace(job, rule_set=shared.rule_set)
    if book.overrides:
        replaced = {override.question for override in book.overrides}
        kept = tuple(item for item in job.overrides if item.question not in replaced)
        job = replace(job, overrides=(*kept, *book.overrides))
    return job


#: With fewer holes a plan is there before anybody could read what it is doing.
_MANY_HOLES = 50_000


def _progress(holes: int) -> Callable[[str], None]:
    """Return what tells a person at a terminal, on standard error, how far a long plan is."""
    import click

    if holes < _MANY_HOLES or not sys.stderr.isatty():
        return lambda _stage: None
    return lambda stage: click.echo(f"{holes} holes: {stage} ...", err=True)
