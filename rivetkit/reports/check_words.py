"""Checks and verdicts as a person calls them."""

from __future__ import annotations

from rivetkit.checks import Check, Verdict

VERDICT_WORDS: dict[Verdict, str] = {
    Verdict.PASS: "pass",
    Verdict.MARGINAL: "marginal",
    Verdict.FAIL: "FAIL",
    Verdict.NOT_CHECKED: "not checked",
}


def check_label(check: Check) -> str:
    """Return what was checked, and where."""
    return f"{check.name}, {check.where}" if check.where else check.name
