"""Read a job file and plan it, with the rules chosen on the command line on top."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from rivetkit.errors import InputError, OutOfTableError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rivetkit.cli.options import Shared
    from rivetkit.job.model import Job
    from rivetkit.planning.plan import Plan


def planned_job(
    job_file: str, shared: Shared, *, measured: str | None = None, assume_oversize: int = 0
) -> Plan:
    """Return the plan of a job file; ``-`` is standard input.

    Parameters
    ----------
    job_file
        Path of the job file.
    shared
        The shared options.
    measured
        A filled worksheet, or None.
    assume_oversize
        What if every hole went up so many sizes.

    Raises
    ------
    InputError
        When the job file, the worksheet, the rule set or an override cannot be used.
    """
    from rivetkit.planning.plan import plan_job

    job = job_of(job_file, shared)
    tell = _progress(sum(len(row.points) for row in job.rows))
    if measured is None:
        with naming_file(job_file):
            return plan_job(job, assume_oversize=assume_oversize, tell=tell)
    from rivetkit.job.bench_sheet import read_bench_sheet
    from rivetkit.planning.worksheet import known_holes

    with naming_file(job_file):
        known = known_holes(job)
    bench = read_bench_sheet(measured, known)
    with naming_file(job_file, worksheet=measured):
        return plan_job(
            job,
            measured=bench.measured,
            noted=bench.noted,
            assume_oversize=assume_oversize,
            tell=tell,
        )


@contextmanager
def naming_file(job_file: str, *, worksheet: str | None = None) -> Iterator[None]:
    """Put a job's file before what is wrong with it.

    Parameters
    ----------
    job_file
        The file; ``-`` is standard input.
    worksheet
        The file of a worksheet, whose lines name it themselves.

    Raises
    ------
    RivetkitError
        The one that was raised inside, with the file.
    """
    try:
        yield
    except (InputError, OutOfTableError) as error:
        named = ("--", *([] if worksheet is None else [_file_words(worksheet)]))
        raise (
            error if error.where.startswith(named) else error.at(_file_words(job_file))
        ) from None


def _file_words(file: str) -> str:
    return "standard input" if file == "-" else file


def job_of(job_file: str, shared: Shared) -> Job:
    """Return the job of a file, with the rules chosen on the command line.

    Raises
    ------
    InputError
        When the job file, the rule set or an override cannot be used.
    """
    from rivetkit.job.read import read_job

    job = read_job(job_file)
    book = shared.rule_book()
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
