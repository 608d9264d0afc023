"""``rivetkit start``: a first job file, by questions or by options."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rivetkit.cli.output import write_file
from rivetkit.cli.param_types import FILE, OneOfNames
from rivetkit.cli.streams import print_text
from rivetkit.errors import InputError, RivetkitError
from rivetkit.job.starter_questions import QUESTIONS, unit_of
from rivetkit.quantities import error_in_unit

if TYPE_CHECKING:
    from collections.abc import Callable

    from rivetkit.job.starter_questions import Question

_EXAMPLES = """\b
Examples:
  $ rivetkit start --yes
  $ rivetkit start --yes --units mm --width 900 --height 450 --rivet MS20426AD4 --edges top,left
"""

#: Typed at a question, it goes to the one before: an earlier answer may be the wrong one.
_BACK = "back"


def _question_options(function: Callable[..., int]) -> Callable[..., int]:
    for question in reversed(QUESTIONS):
        function = click.option(
            question.option,
            question.key,
            type=OneOfNames(question.words) if question.words else None,
            metavar=question.takes,
            help=f"{question.ask}{_words(question)}.",
        )(function)
    return function


def _words(question: Question) -> str:
    return f" ({', '.join(question.words)})" if question.words else ""


@click.command("start", epilog=_EXAMPLES)
@click.option(
    "--output",
    "-o",
    type=FILE,
    metavar="FILE",
    help="Write to FILE instead of the screen; - is the screen.",
)
@click.option("--force", is_flag=True, help="Overwrite FILE when it is there already.")
@click.option(
    "--yes", is_flag=True, help="Ask nothing: what no option tells is assumed, and marked."
)
@_question_options
def start(*, output: str | None, force: bool, yes: bool, **given: str | None) -> int:
    """Write a first job file: a rectangular skin with rows of rivets along its edges.

    On a terminal it asks for what no option tells; Enter takes the value in brackets. The file
    has a comment at every key, can be planned as it is, and is meant to be edited from there.
    """
    from rivetkit.job.read import parse_job
    from rivetkit.job.starter import starter_text

    file = None if output in {None, "-"} else Path(str(output))
    _refuse_existing(file, force=force)
    asks = not yes and sys.stdin is not None and sys.stdin.isatty()
    if asks:
        click.echo(
            f"Enter takes what stands in brackets; '{_BACK}' goes to the question before; Ctrl-C "
            "leaves, nothing written.",
            err=True,
        )
    answers, assumed = _answers(given, yes=yes, asks=asks)
    # The name goes into a comment, where a line break would end it.
    name = file.name if file and file.name.isprintable() else "JOB.toml"
    text = starter_text(answers, assumed, name)
    try:
        parse_job(text, name=name)
    except RivetkitError as error:
        raise error.at("what these answers make") from None
    if file is None:
        print_text(text.removesuffix("\n"))
    else:
        _refuse_existing(file, force=force)
        write_file(file, text.encode())
        if asks:
            click.echo(f"wrote {file}; next: rivetkit plan {file}", err=True)
    return 0


def _refuse_existing(file: Path | None, *, force: bool) -> None:
    if file is not None and file.is_file() and not force:
        raise InputError(
            "is there already",
            where=f"--output {file}",
            mend="name another file, or add --force to overwrite it",
        )


def _answers(given: dict[str, Any], *, yes: bool, asks: bool) -> tuple[dict[str, str], set[str]]:
    """Return the answers to all questions that apply, and the keys that nobody answered."""
    answers: dict[str, str] = {}
    assumed: set[str] = set()
    missing: list[str] = []
    asked: list[int] = []
    number = 0
    while number < len(QUESTIONS):
        question = QUESTIONS[number]
        number += 1
        typed = given[question.key]
        if not question.applies(answers):
            if typed is not None:
                raise InputError(
                    "has nothing to tell here", where=question.option, mend="leave it out"
                )
            continue
        if typed is not None:
            answers[question.key] = _read(question, typed, answers)
        elif asks:
            answer = _asked(question, answers)
            if answer is None:
                number = asked.pop() if asked else number - 1
                for later in QUESTIONS[number:]:
                    answers.pop(later.key, None)
                continue
            answers[question.key] = answer
            asked.append(number - 1)
        else:
            answers[question.key] = _read(question, question.usual(answers), answers)
            assumed.add(question.key)
            if question.measured:
                missing.append(question.option)
        _remark(question, answers)
    if missing and not yes:
        raise InputError(
            f"nobody to ask, and {', '.join(missing)} not given",
            mend="give them, or add --yes to have values assumed and marked",
        )
    return answers, assumed - {"units", "name"}


def _remark(question: Question, answers: dict[str, str]) -> None:
    remark = question.remark(answers[question.key], answers)
    if remark:
        click.echo(f"note: {question.option}: {remark}", err=True)


def _read(question: Question, text: str, answers: dict[str, str]) -> str:
    try:
        return question.read(text, answers)
    except RivetkitError as error:
        raise error_in_unit(error, unit_of(answers)).at(question.option) from None


def _asked(question: Question, answers: dict[str, str]) -> str | None:
    """Ask until the answer can be used; None to go back to the question before.

    On standard error, for the file may go to the screen.
    """
    usual = question.usual(answers)
    while True:
        click.echo(f"{question.ask}{_words(question)} [{usual}]: ", nl=False, err=True)
        line = sys.stdin.readline()
        if not line:
            raise InputError("the questions were not all answered", mend="nothing was written")
        if line.strip().lower() == _BACK:
            return None
        try:
            return question.read(line.strip() or usual, answers)
        except RivetkitError as error:
            click.echo(f"  {error_in_unit(error, unit_of(answers))}", err=True)
