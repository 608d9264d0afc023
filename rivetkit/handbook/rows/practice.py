"""The columns of the tables of rules and workshop practice: one class a file."""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Literal

from rivetkit.handbook.load import Row


@dataclass(frozen=True, kw_only=True, eq=False)
class RuleRow(Row):
    """A numeric rule of the trade: the answer one document gives to one question.

    The limit is ``value`` times ``unit`` plus ``plus_in`` inches, where ``unit`` is ``D`` (rivet
    diameter), ``t`` (sheet thickness), ``in``, ``mm``, ``fraction``, ``percent`` or ``count``.
    """

    table: ClassVar[str] = "practice/rules.csv"
    rule: str
    question: str
    value: float
    unit: Literal["D", "t", "in", "mm", "fraction", "percent", "count", "degF"]
    plus_in: float
    applies: str


@dataclass(frozen=True, kw_only=True, eq=False)
class RuleChoiceRow(Row):
    """Which rule, or which scheme of a table, a named rule set picks for a question."""

    table: ClassVar[str] = "practice/rule_sets.csv"
    rule_set: str
    question: str
    choice: str


@dataclass(frozen=True, kw_only=True, eq=False)
class DrivenHeadRow(Row):
    """Shop-head limits. With an empty ``diameter`` the numbers are multiples of D.

    ``group`` is the rivets they are of; ``not stated`` where the document names no material.
    """

    table: ClassVar[str] = "practice/driven_heads.csv"
    scheme: str
    group: Literal["any", "not stated", "aluminium", "7050"]
    diameter: Fraction | None
    unit: Literal["in", "D"]
    width_min: float | None
    width_max: float | None
    height_min: float | None
    height_max: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class CountersinkMinimumRow(Row):
    """Thinnest sheet for a machine countersink. A ``refused`` cell is printed but not usable."""

    table: ClassVar[str] = "practice/countersink_minimum.csv"
    scheme: str
    head: Literal["flush", "flush_reduced"]
    diameter: Fraction
    sheet_min_in: float
    refused: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class RemovalRow(Row):
    """How one document takes one kind of rivet out.

    ``drill`` is ``shank`` (shank size plus ``offset_in``), ``next_below_shank`` or ``hole`` (the
    original hole's drill). ``depth`` says how deep: to the base of the head, the head's height,
    half the near sheet, two thirds of the stack, or right through.
    """

    table: ClassVar[str] = "practice/removal.csv"
    rule: str
    family: Literal["solid", "blind_open", "blind_locked"]
    form: Literal["protruding", "countersunk", "dimpled", "any"]
    drill: Literal["shank", "next_below_shank", "hole"]
    offset_in: float
    depth: Literal[
        "head_base", "head_height", "half_near_sheet", "two_thirds_stack", "nearly_through_head"
    ]
    steps: str


@dataclass(frozen=True, kw_only=True, eq=False)
class PinPunchRow(Row):
    """A stock pin punch."""

    table: ClassVar[str] = "practice/pin_punches.csv"
    diameter: Fraction


@dataclass(frozen=True, kw_only=True, eq=False)
class MetalContactRow(Row):
    """What a document asks where rivet and sheet, or two sheets, are of different metals.

    ``only``: a sheet of ``metal`` takes rivets of ``rivet_alloy`` and no others. ``protect``: what
    to do, in ``words``, where dissimilar metals meet and ``metal`` is one of them: a rivet and its
    sheet, or two sheets.
    """

    table: ClassVar[str] = "practice/metal_contacts.csv"
    metal: Literal["any", "magnesium"]
    demand: Literal["only", "protect"]
    between: Literal["rivet", "sheets"]
    rivet_alloy: str
    words: str
