"""Standard output that may go away at any time."""

from __future__ import annotations

import os
import sys

import click


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
