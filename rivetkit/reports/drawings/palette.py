"""Colours of pages and pictures: ink on paper, by day and by night."""

from __future__ import annotations

#: Ink, faint ink, rules, paper and tints, and one colour for each verdict.
LIGHT: dict[str, str] = {
    "ink": "#1f2328",
    "faint": "#565c63",
    "rule": "#8b8f88",
    "paper": "#fcfaf4",
    "tint": "#f1ede2",
    "metal": "#e4e8ea",
    "flange": "#f3ead2",
    "pass": "#1d5f46",
    "marginal": "#7c4a00",
    "fail": "#a3161a",
    "not_checked": "#4d3f8f",
}

DARK: dict[str, str] = {
    "ink": "#e9e6dd",
    "faint": "#b3b0a6",
    "rule": "#74766f",
    "paper": "#1b1c1e",
    "tint": "#26282b",
    "metal": "#2d3337",
    "flange": "#3b3524",
    "pass": "#86d3b0",
    "marginal": "#f0bd66",
    "fail": "#ff9a93",
    "not_checked": "#c3b6ff",
}

#: What is put on white paper by a printer.
PRINT: dict[str, str] = LIGHT | {"ink": "#000000", "faint": "#3c4045", "paper": "#ffffff"}


def as_variables(colours: dict[str, str]) -> str:
    """Return colours as CSS variables.

    Examples
    --------
    >>> as_variables({"ink": "#000000", "not_checked": "#4d3f8f"})
    '--ink:#000000;--not-checked:#4d3f8f'
    """
    return ";".join(f"--{name.replace('_', '-')}:{value}" for name, value in colours.items())
