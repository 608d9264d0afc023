"""Rivet removal and replacement in light-aircraft sheet metal, every number with its source.

The names below are the front door of the library; each is imported when it is first used, so that
``import rivetkit`` costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rivetkit.calculators.lengths.grip import Layer, choose_length
    from rivetkit.calculators.order import SparesPolicy, order_quantity
    from rivetkit.calculators.oversize.candidates import (
        MeasuredHole,
        OversizeLayer,
        oversize_options,
    )
    from rivetkit.calculators.removal.drill_out import drill_out
    from rivetkit.calculators.spacing import LayerEdge, spacing_checks
    from rivetkit.calculators.strength.joint_strength import StrengthLayer, joint_strength
    from rivetkit.checks import Check, Verdict
    from rivetkit.drills import find_drill
    from rivetkit.errors import InputError, OutOfTableError, RivetkitError
    from rivetkit.fasteners.part_number import parse_part_number
    from rivetkit.job.read import parse_job, read_job
    from rivetkit.planning.new_hole.search import NewHoleFinder
    from rivetkit.planning.plan import plan_job
    from rivetkit.quantities import parse_length_in
    from rivetkit.rules import Override, RuleBook

__version__ = "0.1.0"

#: Public name -> the module it lives in.
_HOME = {
    "Check": "checks",
    "InputError": "errors",
    "Layer": "calculators.grip",
    "LayerEdge": "calculators.spacing",
    "MeasuredHole": "calculators.oversize",
    "NewHoleFinder": "planning.new_hole",
    "OutOfTableError": "errors",
    "Override": "rules",
    "OversizeLayer": "calculators.oversize",
    "RivetkitError": "errors",
    "RuleBook": "rules",
    "SparesPolicy": "calculators.order",
    "StrengthLayer": "calculators.joint_strength",
    "Verdict": "checks",
    "choose_length": "calculators.grip",
    "drill_out": "calculators.drill_out",
    "find_drill": "drills",
    "joint_strength": "calculators.joint_strength",
    "order_quantity": "calculators.order",
    "oversize_options": "calculators.oversize",
    "parse_job": "job.read",
    "parse_length_in": "quantities",
    "parse_part_number": "fasteners.part_number",
    "plan_job": "planning.plan",
    "read_job": "job.read",
    "spacing_checks": "calculators.spacing",
}

__all__ = [
    "Check",
    "InputError",
    "Layer",
    "LayerEdge",
    "MeasuredHole",
    "NewHoleFinder",
    "OutOfTableError",
    "Override",
    "OversizeLayer",
    "RivetkitError",
    "RuleBook",
    "SparesPolicy",
    "StrengthLayer",
    "Verdict",
    "__version__",
    "choose_length",
    "drill_out",
    "find_drill",
    "joint_strength",
    "order_quantity",
    "oversize_options",
    "parse_job",
    "parse_length_in",
    "parse_part_number",
    "plan_job",
    "read_job",
    "spacing_checks",
]


def __getattr__(name: str) -> object:
    if name not in _HOME:
        message = f"module 'rivetkit' has no attribute '{name}'"
        raise AttributeError(message)
    return getattr(import_module(f"rivetkit.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
