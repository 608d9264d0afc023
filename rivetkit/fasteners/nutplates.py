"""The nutplates on file."""

from __future__ import annotations

import difflib
import re
from functools import cache

from rivetkit.errors import InputError
from rivetkit.fasteners.misread import with_digits
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.fasteners import NutplateRow
from rivetkit.quantities import shown

#: A nutplate is its row of the table.
Nutplate = NutplateRow


@cache
def nutplates() -> tuple[Nutplate, ...]:
    """Return every nutplate on file."""
    return load_table(NutplateRow)


def nutplate(text: str) -> Nutplate:
    """Return the nutplate a part number names.

    Parameters
    ----------
    text
        Such as ``MS21047-3``; letters for material and finish (``MS21047L3``) are passed over.

    Raises
    ------
    InputError
        When it cannot be read, or names no nutplate on file.

    Examples
    --------
    >>> nutplate("ms21047 l08").rivet_spacing_in
    0.688
    """
    try:
        return _named(text)
    except InputError as error:
        meant = [one for one in map(_known, with_digits(text)) if one is not None]
        if not meant:
            raise
        hint = f"did you mean {meant[0].standard}-{meant[0].dash}, with digits for letters?"
        raise InputError(error.what, where=error.where, mend=hint) from None


def _known(text: str) -> Nutplate | None:
    try:
        return _named(text)
    except InputError:
        return None


def _named(text: str) -> Nutplate:
    where = f"'{shown(text)}'"
    known = tuple(dict.fromkeys(row.standard for row in nutplates()))
    parts = re.fullmatch(r"([A-Z]+[0-9]+)-?[A-Z]*-?([0-9]+)", "".join(text.split()).upper())
    if parts is None:
        raise InputError(
            "cannot be read as a nutplate", where=where, mend="write it as MS21047-3 or MS21047L3"
        )
    standard, dash = parts[1], parts[2]
    if standard not in known:
        near = difflib.get_close_matches(standard, known, n=1)
        hint = f"did you mean {near[0]}?" if near else f"on file are {', '.join(known)}"
        raise InputError(
            f"no nutplate standard is called '{shown(standard)}'", where=where, mend=hint
        )
    rows = {row.dash: row for row in nutplates() if row.standard == standard}
    if dash not in rows:
        sizes = ", ".join(f"-{name} ({row.thread})" for name, row in rows.items())
        raise InputError(
            f"{standard} has no dash number '{shown(dash)}'", where=where, mend=f"it has {sizes}"
        )
    return rows[dash]
