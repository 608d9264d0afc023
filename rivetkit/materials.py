"""Sheet alloys: density, and the names the tables know."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from rivetkit.handbook import load_table
from rivetkit.handbook.rows import DensityRow, SheetAlloyRow

if TYPE_CHECKING:
    from rivetkit.handbook import Citation


@cache
def sheet_densities() -> dict[str, DensityRow]:
    """Return the density rows of sheet alloys, by name in lower case."""
    return {row.material.lower(): row for row in load_table(DensityRow) if row.kind == "sheet"}


def sheet_density(alloy: str) -> tuple[float, Citation] | None:
    """Return the density of a sheet alloy [lb/in3] and where it comes from.

    Parameters
    ----------
    alloy
        Alloy and temper, such as ``2024-T3`` or ``2024-T3 clad``; case does not matter.

    Returns
    -------
    tuple or None
        None when the tables do not have the alloy.
    """
    row = sheet_densities().get(" ".join(alloy.lower().split()))
    return (row.density_lb_per_in3, row.citation()) if row else None


def sheet_alloys() -> tuple[str, ...]:
    """Return the alloys and tempers with allowables on file, each once."""
    return tuple(dict.fromkeys(row.alloy for row in load_table(SheetAlloyRow)))
