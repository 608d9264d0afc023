"""Run one command line in this process and say what is wrong with how it ended."""

import contextlib
import io
import json
import re
import signal
import sys
import time
import traceback
from typing import NamedTuple

from rivetkit.cli.app import exit_code_of

#: No case may take longer [s]; on a busy machine a sound one stays far below.
SLOW_S = 10.0


class Outcome(NamedTuple):
    """How a command ended."""

    code: int
    out: str
    err: str
    seconds: float


class Hang(BaseException):
    """Raised when a case takes more processor time than it may; a busy machine is no hang."""


class _Text(io.StringIO):
    """A stream that takes what a real one takes: text that can be written as bytes."""

    def write(self, text):
        text.encode("utf-8", "backslashreplace")
        return super().write(text)


def run(arguments, stdin=""):
    """Run a command and return how it ended.

    Raises
    ------
    Hang
        When it takes longer than it may.
    """
    out, err = _Text(), _Text()
    start = time.perf_counter()
    keyboard = sys.stdin
    sys.stdin = io.StringIO(stdin)
    try:
        with _time_limit(), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = exit_code_of(arguments)
    finally:
        sys.stdin = keyboard
    return Outcome(code, out.getvalue(), err.getvalue(), time.perf_counter() - start)


@contextlib.contextmanager
def _time_limit():
    if not hasattr(signal, "setitimer"):
        yield
        return

    def stop(*_):
        raise Hang(f"over {SLOW_S:g} s of processor time")

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, SLOW_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def wrong(arguments, outcome):
    """Return what is wrong with how a command ended, or an empty text."""
    if outcome.code not in {0, 1, 2}:
        return f"exit code {outcome.code}"
    if "Traceback" in outcome.err:
        return "a traceback"
    if outcome.code == 2:
        return wrong_complaint(outcome.err)
    notes = outcome.err.splitlines()
    if any(not line.startswith("note: ") for line in notes):
        return f"standard error holds {outcome.err[:200]!r}"
    if re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]", outcome.out):
        return "output with letters that steer a terminal"
    if "--json" in arguments and outcome.out.startswith("{"):
        return _wrong_json(outcome.out)
    return ""


def wrong_complaint(text):
    """Return what is wrong with the words of a refusal, or an empty text."""
    lines = text.splitlines()
    if len(lines) != 1 or not text.endswith("\n"):
        return f"{len(lines)} lines on standard error: {text[:300]!r}"
    line = lines[0]
    if not re.match(r"error: \S.{8}", line):
        return f"a complaint that says nothing: {line!r}"
    if len(line) > 1000:
        return f"a complaint of {len(line)} letters: {line[:200]!r}"
    if not line.isprintable():
        return f"a complaint with unprintable letters: {line[:200]!r}"
    # What is quoted, or stands in brackets as one argument too many, is the person's own.
    ours = re.sub(r"'[^']*'|extra arguments? \(.*\)", "", line)
    if re.search(r"None\b|Errno|errno|<class|object at 0x|Error\(", ours):
        return f"a complaint in programmer's words: {line!r}"
    return ""


def _wrong_json(text):
    def refuse(constant):
        raise ValueError(constant)

    try:
        json.loads(text, parse_constant=refuse)
    except ValueError as error:
        return f"JSON that cannot be read: {error}"
    return ""


def trouble(arguments, stdin=""):
    """Run a command and return what is wrong with it, with the traceback if there was one."""
    try:
        return wrong(arguments, run(arguments, stdin))
    except Hang:
        return f"hangs: {traceback.format_exc()}"
    except Exception:  # noqa: BLE001 - whatever comes out is the finding
        return traceback.format_exc()
