"""Documents behind the numbers, and how far each number can be trusted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, get_args

from rivetkit.errors import TableError
from rivetkit.handbook.locate import tables_root

Basis = Literal["seen", "derived", "secondary", "practice", "memory"]

#: From the firmest basis to the weakest. ``override`` is a figure the person gave with a source.
BASIS_ORDER: tuple[str, ...] = ("override", *get_args(Basis))

#: What a person should read into each basis word.
BASIS_MEANING: dict[str, str] = {
    "override": "given by the person, with the source they named",
    "seen": "read in the named document",
    "derived": "computed from values that were read",
    "secondary": "read in another text that quotes the document",
    "practice": "common practice, no source",
    "memory": "recalled, not read: check it before you rely on it",
}


@dataclass(frozen=True, slots=True)
class Source:
    """One document: key, what it is, and where the text that was read can be found."""

    key: str
    title: str
    edition: str
    publisher: str
    kind: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Citation:
    """Where one value comes from.

    ``rule`` is the id of the rule row, or the table the value stands in. ``overridden`` is true
    when the person replaced the handbook's value; ``locator`` then holds the source they named.
    """

    rule: str
    source: str
    locator: str
    basis: str
    overridden: bool = False

    def words(self) -> str:
        """Return the citation as a person reads it: document, locator, basis."""
        if self.overridden:
            return f"override: {self.locator}"
        title = source_title(self.source)
        place = f", {self.locator}" if self.locator else ""
        return f"{title}{place} [{self.basis}]"


def weakest_basis(bases: tuple[str, ...]) -> str:
    """Return the least trustworthy of some basis words; ``seen`` when there is none."""
    return max(bases, key=BASIS_ORDER.index, default="seen")


@cache
def load_sources() -> dict[str, Source]:
    """Return every document by key.

    Raises
    ------
    TableError
        When ``sources.toml`` cannot be read, or an entry lacks a field.
    """
    import tomllib

    text = (tables_root() / "sources.toml").read_text(encoding="utf-8")
    try:
        entries = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TableError(str(error), where="sources.toml", mend="correct the file") from error
    sources: dict[str, Source] = {}
    for key, fields in entries.items():
        try:
            sources[key] = Source(key=key, **fields)
        except TypeError as error:
            raise TableError(
                f"entry '{key}': {error}",
                where="sources.toml",
                mend="an entry has title, edition, publisher, kind and at most a note",
            ) from error
    return sources


def source_title(key: str) -> str:
    """Return the short title of a document.

    Raises
    ------
    TableError
        When no document has that key.
    """
    try:
        return load_sources()[key].title
    except KeyError:
        raise TableError(
            f"no document has the key '{key}'", where="sources.toml", mend="add an entry for it"
        ) from None
