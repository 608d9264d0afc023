"""Does the rivet suit the sheets: its diameter, a countersink, a dimple."""

from __future__ import annotations

from dataclasses import replace

from rivetkit.calculators.countersink import check_countersink, check_dimple_sheet
from rivetkit.calculators.spacing import check_diameter_for_sheet
from rivetkit.checks import Check
from rivetkit.planning.context import Context
from rivetkit.planning.lengths import FittedGroup


def sheet_checks(context: Context, fitted: tuple[FittedGroup, ...]) -> tuple[Check, ...]:
    """Return the checks of every rivet against the sheets it joins; like ones are made once.

    Each check names the rows it holds for.
    """
    rows_of: dict[Check, dict[str, None]] = {}
    for item in fitted:
        if item.kept:
            continue
        for check in _group_checks(context, item):
            rows_of.setdefault(check, {})[item.group.row.name] = None
    return tuple(
        replace(check, where=_where(check.where, list(rows))) for check, rows in rows_of.items()
    )


def _group_checks(context: Context, item: FittedGroup) -> tuple[Check, ...]:
    part = item.group.fit
    layers = context.new_layers(item.group.stack)
    checks = list(
        check_diameter_for_sheet(
            part.diameter_in,
            sheets_in=tuple(sorted(layer.thickness_in for layer in layers)),
            book=context.book,
        )
    )
    for layer in layers:
        if layer.form == "countersunk":
            checks += check_countersink(
                layer.thickness_in, fastener=part, book=context.book, where=layer.name
            )
        elif layer.form == "dimpled":
            checks.append(
                check_dimple_sheet(layer.thickness_in, book=context.book, where=layer.name)
            )
    return tuple(checks)


def _where(place: str, rows: list[str]) -> str:
    shown = ", ".join(rows[:2]) + (f" and {len(rows) - 2} more" if len(rows) > 2 else "")
    return f"{place}: {shown}" if place else shown
