"""Read a text file somebody names; what is no file, endless or no text is refused in one line."""

from __future__ import annotations

import codecs
import errno
import stat
import sys
from pathlib import Path

from rivetkit.errors import InputError

#: A list of holes or a job that is larger [bytes] is neither.
LARGEST_BYTES = 64 * 1024 * 1024

STANDARD_INPUT = "-"

_CHECK_NAME = "check its name and the folder"
#: What keeps a file from being read, in plain words, and the mend.
_WHY = {
    errno.ENOENT: ("there is no such file", _CHECK_NAME),
    errno.ENOTDIR: ("there is no such folder", _CHECK_NAME),
    errno.EISDIR: ("it is a folder", "name a file in it"),
    errno.ELOOP: ("it is a link that leads back to itself", "name the file itself"),
    errno.ENAMETOOLONG: ("no file can have so long a name", _CHECK_NAME),
    errno.EACCES: ("you may not read it", "ask for the right to, or copy it"),
    errno.EPERM: ("you may not read it", "ask for the right to, or copy it"),
}


def read_text_file(path: str | Path) -> str:
    """Return the text of a UTF-8 file; of standard input when ``path`` is ``-``.

    Raises
    ------
    InputError
        When it is no regular file, over :data:`LARGEST_BYTES`, or no UTF-8 text.
    """
    if str(path) == STANDARD_INPUT:
        return _standard_input()
    require_plain_file(path, LARGEST_BYTES)
    try:
        with Path(path).open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise unreadable(error) from None
    return _decoded(content)


def require_plain_file(path: str | Path, largest_bytes: int) -> None:
    """Refuse what is no regular file or too large, before any of it is read.

    Raises
    ------
    InputError
        When the file is missing, is a folder, a device or a pipe, or is larger [bytes].
    """
    if not str(path):
        raise InputError("no file is named", mend="name a file")
    try:
        status = Path(path).stat()
    except OSError as error:
        raise unreadable(error) from None
    except ValueError:  # a name with a letter that no file system takes
        raise InputError("is no name of a file", mend=_CHECK_NAME) from None
    if stat.S_ISDIR(status.st_mode):
        raise unreadable(OSError(errno.EISDIR, ""))
    if not stat.S_ISREG(status.st_mode):
        raise InputError(
            "is a device or a pipe, not a file", mend="name a file, or - for standard input"
        )
    if status.st_size > largest_bytes:
        raise _too_large(largest_bytes)


def unreadable(error: OSError) -> InputError:
    """Return the error for a file that the system would not read, in plain words."""
    why, mend = _WHY.get(
        error.errno or 0, (error.strerror or "it cannot be opened", "check the file")
    )
    return InputError(f"cannot be read: {why}", mend=mend)


def _standard_input() -> str:
    if sys.stdin is None:
        raise InputError("there is no standard input", mend="name a file")
    binary = getattr(sys.stdin, "buffer", None)
    try:
        if binary is not None:
            return _decoded(binary.read(LARGEST_BYTES + 1))
        return sys.stdin.read()
    except OSError as error:
        raise unreadable(error) from None


def _decoded(content: bytes) -> str:
    if len(content) > LARGEST_BYTES:  # it grew while it was read, or has no end
        raise _too_large(LARGEST_BYTES)
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise InputError("is UTF-16, not UTF-8 text", mend="save it as UTF-8")
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"is not UTF-8 text, from line {line} on", mend="save it as UTF-8"
        ) from None


def _too_large(largest_bytes: int) -> InputError:
    return InputError(
        f"the file is over {largest_bytes // 1024**2} MB",
        mend="is it the right one? A skin with a million holes takes less",
    )
