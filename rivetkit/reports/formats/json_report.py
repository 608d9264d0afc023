"""A report as one JSON document."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

from rivetkit import __version__
from rivetkit.handbook import load_sources
from rivetkit.quantities import words_in_unit
from rivetkit.reports.amounts import in_unit

if TYPE_CHECKING:
    from rivetkit.checks import Check
    from rivetkit.handbook import Citation
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Report


def render_json(report: Report) -> str:
    """Return the report as JSON text: tool, version, command, inputs, result, checks, sources,
    cautions.
    """
    return json.dumps(report_data(report), indent=2, ensure_ascii=False, allow_nan=False)


def report_data(report: Report) -> dict[str, object]:
    """Return the report as plain data, ready to be written as JSON."""
    return {
        "tool": "rivetkit",
        "version": __version__,
        "command": report.command,
        "inputs": _plain(report.inputs),
        "result": _plain(report.result),
        "checks": [check_data(check, report.length_unit) for check in report.checks],
        "sources": sources_data(report.citations),
        "cautions": list(report.cautions),
    }


def check_data(check: Check, length_unit: LengthUnit) -> dict[str, object]:
    """Return a check as plain data, its lengths in the unit asked for."""
    first = check.citations[0] if check.citations else None
    return {
        "name": check.name,
        "where": words_in_unit(check.where, length_unit),
        "value": _amount(check.value, check.unit, length_unit),
        "limit": _amount(check.limit, check.unit, length_unit),
        "unit": in_unit(0.0, check.unit, length_unit)[1],
        "comparison": check.comparison,
        "margin": _amount(check.margin, check.unit, length_unit),
        "accuracy": _amount(check.accuracy, check.unit, length_unit),
        "verdict": str(check.verdict),
        "reason": words_in_unit(check.reason, length_unit),
        "formula": check.formula,
        "substituted": check.substituted(length_unit),
        "rule": check.rule,
        "source": first.source if first else "",
        "locator": first.locator if first else "",
        "basis": check.basis,
        "citations": [dataclasses.asdict(citation) for citation in check.citations],
    }


def sources_data(citations: tuple[Citation, ...]) -> list[dict[str, object]]:
    """Return the documents behind some citations, each once with the places cited in it."""
    cited: dict[str, list[dict[str, object]]] = {}
    for citation in citations:
        place: dict[str, object] = {
            "rule": citation.rule,
            "locator": citation.locator,
            "basis": citation.basis,
        }
        places = cited.setdefault(citation.source, [])
        if place not in places:
            places.append(place)
    return [_source_data(key, places) for key, places in cited.items()]


def _source_data(key: str, places: list[dict[str, object]]) -> dict[str, object]:
    source = load_sources().get(key)
    described = (
        {name: value for name, value in dataclasses.asdict(source).items() if name != "key"}
        if source
        else {}
    )
    return {"key": key, **described, "cited": places}


def _amount(value: float | None, unit: str, length_unit: LengthUnit) -> object:
    return None if value is None else _plain(in_unit(value, unit, length_unit)[0])


def _plain(value: object) -> object:
    """Return data that JSON can hold; a number that is none becomes null."""
    if isinstance(value, Mapping):
        return {str(key): _plain(entry) for key, entry in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(entry) for entry in value]
    if isinstance(value, Fraction):
        return float(value)
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
