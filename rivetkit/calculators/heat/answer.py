"""A whole question about heat answered: growth, movement, holes, and the temperature of a fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.heat.coefficients import expansion_name, expansion_rows
from rivetkit.calculators.heat.expansion import Movement, movement, rows_out_of_range
from rivetkit.calculators.heat.fit_temperature import TemperatureSpan, temperature_of_change_degf
from rivetkit.calculators.heat.match_drilling import check_match_drilling, hole_for_movement_in
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.checks import Check
    from rivetkit.handbook.rows.materials import ThermalExpansionRow
    from rivetkit.rules import RuleBook

Held = Literal["end", "middle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatQuestion:
    """What a person asks: a part, what it is held to, how, and between which temperatures.

    Lengths in inches, temperatures in degF. Without ``against`` the part is held to something
    that does not move. ``gap_in`` is the room at its free end at ``from_degf``; ``off_by_in`` by
    how much it is too long there, negative when it is too short.
    """

    material: str
    against: tuple[str, ...] = ()
    length_in: float
    held: Held = "end"
    from_degf: float
    to_degf: tuple[float, ...] = ()
    hole_in: float | None = None
    fastener_in: float | None = None
    gap_in: float | None = None
    off_by_in: float | None = None

    @property
    def free_length_in(self) -> float:
        """From where the part is held to its free end [in]."""
        return self.length_in if self.held == "end" else self.length_in / 2.0

    @property
    def partners(self) -> tuple[str | None, ...]:
        """What the part is held to, one after the other."""
        return self.against or (None,)


@dataclass(frozen=True, slots=True)
class Growth:
    """A whole part's growth to one temperature [degF]."""

    name: str
    to_degf: float
    grown: Movement


@dataclass(frozen=True, slots=True)
class Move:
    """The free end's movement past a partner at one temperature, and what it asks of the hole."""

    partner: str
    to_degf: float
    moved: Movement
    hole_in: float | None
    check: Check | None


@dataclass(frozen=True, slots=True)
class Fit:
    """The temperatures a gap closes at, and that holes which are off now were drilled at."""

    partner: str
    closes: TemperatureSpan | None
    matched: TemperatureSpan | None


@dataclass(frozen=True, slots=True)
class HeatAnswer:
    """Everything the question comes to."""

    question: HeatQuestion
    name: str
    growths: tuple[Growth, ...]
    moves: tuple[Move, ...]
    fits: tuple[Fit, ...]
    rows: tuple[ThermalExpansionRow, ...]
    out_of_range: tuple[ThermalExpansionRow, ...]

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every judgement made."""
        return tuple(move.check for move in self.moves if move.check is not None)


def answer_heat(question: HeatQuestion, book: RuleBook) -> HeatAnswer:
    """Return growth, movement, holes and fit temperatures.

    Parameters
    ----------
    question
        What is asked.
    book
        The rules in force.

    Raises
    ------
    InputError
        When a length or a temperature is none, a hole comes without its fastener, or nothing is
        asked.
    OutOfTableError
        When no document on file tells the expansion of a material.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> question = HeatQuestion(
    ...     material="acrylic cast", against=("2024",), length_in=30.0, held="middle",
    ...     from_degf=70.0, to_degf=(120.0,), fastener_in=0.138,
    ... )
    >>> answer = answer_heat(question, RuleBook.named())
    >>> round(answer.moves[0].moved.greatest_in, 4), round(answer.moves[0].hole_in, 3)
    (0.022, 0.182)
    """
    if question.hole_in is not None and question.fastener_in is None:
        raise InputError("the hole's fastener is not given", mend="give its diameter too")
    if not question.to_degf and question.gap_in is None and question.off_by_in is None:
        raise InputError("nothing is asked", mend="give a temperature to go to, or a gap")
    names = dict.fromkeys(expansion_name(name) for name in (question.material, *question.against))
    rows = tuple(dict.fromkeys(row for name in names for row in expansion_rows(name)))
    span = (question.from_degf, *question.to_degf)
    return HeatAnswer(
        question=question,
        name=expansion_name(question.material),
        growths=tuple(
            Growth(name, to_degf, _moved(question, name, None, question.length_in, to_degf))
            for to_degf in question.to_degf
            for name in names
        ),
        moves=tuple(
            _move(question, partner, to_degf, book)
            for partner in question.partners
            for to_degf in question.to_degf
        ),
        fits=_fits(question),
        rows=rows,
        out_of_range=rows_out_of_range(rows, from_degf=min(span), to_degf=max(span)),
    )


def _moved(
    question: HeatQuestion, name: str, partner: str | None, length_in: float, to_degf: float
) -> Movement:
    return movement(
        name, partner, length_in=length_in, from_degf=question.from_degf, to_degf=to_degf
    )


def _move(question: HeatQuestion, partner: str | None, to_degf: float, book: RuleBook) -> Move:
    moved = _moved(question, question.material, partner, question.free_length_in, to_degf)
    fastener_in = question.fastener_in
    hole_in, check = None, None
    if fastener_in is not None:
        hole_in = hole_for_movement_in(moved.greatest_in, fastener_in=fastener_in, book=book)
    if fastener_in is not None and question.hole_in is not None:
        check = check_match_drilling(
            moved.greatest_in,
            hole_in=question.hole_in,
            fastener_in=fastener_in,
            book=book,
            citations=moved.taken.citations,
            where=f"{_partner_name(partner)}, {to_degf:g} F" if partner else f"{to_degf:g} F",
        )
    return Move(_partner_name(partner), to_degf, moved, hole_in, check)


def _partner_name(partner: str | None) -> str:
    return "" if partner is None else expansion_name(partner)


def _fits(question: HeatQuestion) -> tuple[Fit, ...]:
    if question.gap_in is None and question.off_by_in is None:
        return ()

    def at(change_in: float | None, partner: str | None) -> TemperatureSpan | None:
        if change_in is None:
            return None
        return temperature_of_change_degf(
            change_in,
            question.material,
            partner,
            length_in=question.free_length_in,
            from_degf=question.from_degf,
        )

    off_by_in = question.off_by_in
    return tuple(
        Fit(
            _partner_name(partner),
            at(question.gap_in, partner),
            at(None if off_by_in is None else -off_by_in, partner),
        )
        for partner in question.partners
    )
