"""Standard output that may go away at any time."""

from __future__ import annotations

import os
import sys

import click

#: A line longer than this was not written to be read, nor was a word of it.
_LONGEST_LINE = 700
_LONGEST_WORD = 200
_KEPT_END = 250


def one_line(text: str) -> str:
    r"""Return a text as one line a terminal can show, with what is endless cut short.

    Its end stays, for the mend stands there.

    Examples
    --------
    >>> one_line("bad \x1b name;\n  write another")
    'bad ? name; write another'
    """
    words = (
        word if len(word) <= _LONGEST_WORD else f"{word[:_LONGEST_WORD]}..."
        for word in text.split()
    )
    line = "".join(letter if letter.isprintable() else "?" for letter in " ".join(words))
    if len(line) <= _LONGEST_LINE:
        return line
    return f"{line[: _LONGEST_LINE - _KEPT_END]} ... {line[-_KEPT_END:]}"


def note(text: str) -> None:
    """Tell a person something beside the answer, on standard error."""
    click.echo(f"note: {one_line(text)}", err=True)


def drop_stdout() -> None:
    """Let the interpreter's last flush go nowhere; the reader has gone or the disk is full."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (AttributeError, OSError, ValueError):  # a stand-in stream without a descriptor
        return


def print_text(text: str) -> None:
    """Write a text to standard output; a reader that leaves early is no error."""
    try:
        click.echo(text)
    except BrokenPipeError:
        drop_stdout()  # whoever read it has seen enough
