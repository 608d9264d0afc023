"""Write a report to the terminal, a pipe or a file, and say how it came out."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rivetkit.checks import Verdict
from rivetkit.cli.streams import note, print_text
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rivetkit.checks import Check
    from rivetkit.cli.options import Shared
    from rivetkit.reports.document import Report


def exit_code(checks: Iterable[Check]) -> int:
    """Return 0 when nothing failed, 1 when a check failed or could not be made."""
    bad = {Verdict.FAIL, Verdict.NOT_CHECKED}
    return int(any(check.verdict in bad for check in checks))


def emit(report: Report, shared: Shared, *, whole: Report | None = None) -> int:
    """Write a report as the shared options ask and return the exit code.

    Parameters
    ----------
    report
        What to write.
    shared
        The shared options.
    whole
        The whole of it where only a part is written: it tells what an override replaced.

    Raises
    ------
    InputError
        When the file cannot be written.
    """
    text = _rendered(report, shared)
    if shared.output is None:
        print_text(text)
    else:
        write_file(Path(shared.output), f"{text}\n".encode("utf-8", "backslashreplace"))
    _tell_unused_overrides(whole or report, shared)
    return exit_code(report.checks)


def _rendered(report: Report, shared: Shared) -> str:
    """Return the report in the format asked for; only its writer is imported."""
    if shared.format == "json":
        from rivetkit.reports.formats.json_report import render_json

        return render_json(report)
    if shared.format == "csv":
        from rivetkit.reports.formats.csv_report import render_csv

        return render_csv(report).removesuffix("\n")
    if shared.format == "html":
        from rivetkit.reports.formats.html_report import render_html

        return render_html(report, explain=shared.explain)
    if shared.format == "svg":
        from rivetkit.reports.drawings.svg_map import render_svg

        return render_svg(report)
    from rivetkit.reports.formats.text_report import render_text

    to_screen = shared.output is None and wants_colour()
    return render_text(report, explain=shared.explain, colour=to_screen)


def wants_colour() -> bool:
    """Return whether standard output is a terminal whose owner has not asked for plain text."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return not plain and sys.stdout is not None and sys.stdout.isatty()


def write_file(path: Path, content: bytes) -> None:
    """Write a file aside and move it into place, so that no one ever sees half of it.

    Raises
    ------
    InputError
        When the folder is missing, the file cannot be written, or is one the command reads.
    """
    where = f"--output {path}"
    _refuse_input(path, where)
    try:
        is_folder, has_folder = path.is_dir(), path.parent.is_dir()
        if is_folder or not has_folder:
            what = "is a folder" if is_folder else f"the folder '{path.parent}' does not exist"
            mend = "name a file in it" if is_folder else "make it first"
            raise InputError(what, where=where, mend=mend)  # noqa: TRY301 - both need the try
        target = Path(os.path.realpath(path))
        if target.is_symlink():  # what is followed to its end is a link only where it has none
            raise OSError(errno.ELOOP, "it is a link that leads back to itself")  # noqa: TRY301
        if path.exists() and not path.is_file():
            path.write_bytes(content)  # a device or a named pipe cannot be replaced
        else:
            _replace(target, content)
    except InputError:
        raise
    except (OSError, ValueError) as error:
        raise InputError(
            f"cannot be written: {_why_not(error)}",
            where=where,
            mend="choose a place you may write to",
        ) from error


def _refuse_input(path: Path, where: str) -> None:
    """Refuse to write over a file the command was given to read: a job, a filled worksheet."""
    context = click.get_current_context(silent=True)
    for name, value in context.params.items() if context else ():
        for text in value if isinstance(value, tuple) else (value,):
            if name != "output" and isinstance(text, str) and _is_same_file(Path(text), path):
                mend = "name another file: this one would be lost"
                raise InputError("is what the command reads", where=where, mend=mend)


def _is_same_file(one: Path, other: Path) -> bool:
    try:
        return one.is_file() and one.samefile(other)
    except (OSError, ValueError):
        return False


def _why_not(error: OSError | ValueError) -> str:
    if isinstance(error, OSError):
        return error.strerror or str(error)
    return "it is no name of a file"


def _tell_unused_overrides(report: Report, shared: Shared) -> None:
    """Say so when an override replaced nothing: the person counts on it."""
    used = {citation.rule for citation in report.citations}
    for question, _, _ in shared.overrides:
        if f"override:{question}" not in used:
            note(f"the override of '{question}' had nothing to replace here")


def _replace(path: Path, content: bytes) -> None:
    aside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        aside.write_bytes(content)
        if path.exists():
            shutil.copymode(path, aside)
        aside.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            aside.unlink()
        raise
