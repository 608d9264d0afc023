"""The errors a person can cause or meet. Each is one line: where, what, and the mend."""

from __future__ import annotations


class RivetkitError(Exception):
    """Base of every error rivetkit raises on purpose.

    Parameters
    ----------
    what
        What is wrong, with the value given.
    where
        File, key, line or option it was found at; empty when the caller knows it better.
    mend
        What the person can do about it.
    """

    def __init__(self, what: str, *, where: str = "", mend: str = "") -> None:
        super().__init__(what, where, mend)
        self.what = what
        self.where = where
        self.mend = mend

    def __str__(self) -> str:
        text = f"{self.where}: {self.what}" if self.where else self.what
        return f"{text}; {self.mend}" if self.mend else text

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild, (type(self), self.what, self.where, self.mend))

    def at(self, where: str) -> RivetkitError:
        """Return the same error with an outer place put before its own."""
        place = f"{where}: {self.where}" if self.where else where
        return type(self)(self.what, where=place, mend=self.mend)


class InputError(RivetkitError, ValueError):
    """Raised when something a person typed, or a file they wrote, cannot be used."""


class OutOfTableError(RivetkitError, LookupError):
    """Raised when a look-up leaves the range a table covers; nothing is extrapolated."""


class TableError(RivetkitError, LookupError):
    """Raised when a handbook table itself is missing or cannot be read."""


def _rebuild(kind: type[RivetkitError], what: str, where: str, mend: str) -> RivetkitError:
    return kind(what, where=where, mend=mend)
