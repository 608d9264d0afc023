"""Checks and verdicts as a person calls them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.checks import Check, Verdict
from rivetkit.quantities import words_in_unit

if TYPE_CHECKING:
    from rivetkit.reports.amounts import LengthUnit

VERDICT_WORDS: dict[Verdict, str] = {
    Verdict.PASS: "pass",
    Verdict.MARGINAL: "marginal",
    Verdict.FAIL: "FAIL",
    Verdict.NOT_CHECKED: "not checked",
}


def check_label(check: Check, length_unit: LengthUnit) -> str:
    """Return what was checked, and where."""
    where = words_in_unit(check.where, length_unit)
    return f"{check.name}, {where}" if where else check.name
