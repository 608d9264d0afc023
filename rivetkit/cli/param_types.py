"""Kinds of argument a shell can complete; what they hold is judged where it is used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from click.shell_completion import CompletionItem
from click.types import StringParamType

if TYPE_CHECKING:
    from collections.abc import Callable

    import click


class FileName(StringParamType):
    """A file's name, to read or to write; ``-`` is standard input or the screen."""

    name = "file"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> str:
        """Return the name; an empty one, as an unset variable of a script leaves, is refused."""
        text = str(super().convert(value, param, ctx))
        if not text.strip():
            self.fail("the name of the file is empty", param, ctx)
        return text

    def shell_complete(
        self,
        ctx: click.Context,  # noqa: ARG002 - click's signature
        param: click.Parameter,  # noqa: ARG002
        incomplete: str,
    ) -> list[CompletionItem]:
        """Leave the names to the shell, which knows the folders."""
        return [CompletionItem(incomplete, type="file")]


class OneOfNames(StringParamType):
    """One of some names; those that tables hold are read only when a shell asks.

    Parameters
    ----------
    names
        The names, or a function that reads them.
    """

    name = "name"

    def __init__(self, names: tuple[str, ...] | Callable[[], tuple[str, ...]]) -> None:
        self._names = names

    def shell_complete(
        self,
        ctx: click.Context,  # noqa: ARG002 - click's signature
        param: click.Parameter,  # noqa: ARG002
        incomplete: str,
    ) -> list[CompletionItem]:
        """Return the names that begin with what was typed."""
        names = self._names() if callable(self._names) else self._names
        return [CompletionItem(name) for name in names if name.startswith(incomplete)]


def _rule_sets() -> tuple[str, ...]:
    from rivetkit.rules import rule_set_names

    return rule_set_names()


FILE = FileName()
RULE_SET = OneOfNames(_rule_sets)
