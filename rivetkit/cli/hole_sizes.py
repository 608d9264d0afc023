"""The size of a hole as typed: a length, or the drill that makes it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rivetkit.errors import RivetkitError

if TYPE_CHECKING:
    from rivetkit.cli.options import Shared

_DRILL_NAME = re.compile(r"\s*(?:(?:#|no\.?\s*)\d+|(?:letter\s+)?[a-z])\s*", re.IGNORECASE)


def optional_hole_in(shared: Shared, text: str | None, option: str) -> float | None:
    """Return the size of a hole [in], or None when the option was not given.

    Parameters
    ----------
    shared
        Whose unit a bare number is in.
    text
        A length, or a number or letter drill.
    option
        The option, for the message.

    Raises
    ------
    InputError
        When it is neither.
    """
    if text is None or not _DRILL_NAME.fullmatch(text):
        return shared.optional_length_in(text, option)
    from rivetkit.drills import find_drill

    try:
        return find_drill(text).size_in
    except RivetkitError as error:
        raise error.at(option) from None
