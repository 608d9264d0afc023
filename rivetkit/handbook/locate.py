"""Find the tables: inside an installed package, or beside the package in a checkout."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from rivetkit.errors import TableError

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

# The folder beside an installed package may belong to another project: only this file proves ours.
_MARK = "sources.toml"


@cache
def tables_root() -> Traversable:
    """Return the folder that holds the tables, readable also inside a zip.

    Raises
    ------
    TableError
        When neither the package nor the checkout holds them.
    """
    package = files("rivetkit")
    shipped = package / "_tables"
    if (shipped / _MARK).is_file():
        return shipped
    beside = Path(str(package)).parent / "tables"
    if (beside / _MARK).is_file():
        return beside
    raise TableError(
        "the handbook tables are missing",
        where=f"looked in {shipped} and {beside}",
        mend="install rivetkit again, or run it from a complete checkout",
    )
