"""A layer as a person types it: name, thickness, alloy, and what is formed at the hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, get_args

from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.calculators.stack import Form
    from rivetkit.cli.options import Shared


@dataclass(frozen=True, slots=True)
class LayerText:
    """What ``[name=]thickness[:alloy][:form]`` says; the alloy is empty where it says none."""

    name: str
    thickness_in: float
    alloy: str
    form: Form


def read_layer(text: str, number: int, shared: Shared) -> LayerText:
    """Return what a layer's text says.

    Parameters
    ----------
    text
        As it was typed.
    number
        Its place in the stack, from one on: a layer without a name is called by it.
    shared
        The options that say the unit.

    Raises
    ------
    InputError
        When a part of the text is none of these.
    """
    where = f"layer {number} '{text}'"
    name, equals, rest = text.partition("=")
    thickness, *words = (rest if equals else text).split(":")
    alloy, form = alloy_and_form(words, where)
    try:
        thickness_in = shared.thickness_in(thickness.strip(), "thickness")
    except InputError as error:
        raise error.at(where) from None
    name = (name.strip() if equals else "") or f"layer {number}"
    return LayerText(name, thickness_in, alloy, form or "plain")


def alloy_and_form(words: Sequence[str], where: str) -> tuple[str, Form | None]:
    """Return what the words after a thickness say: an alloy, a form, both in this order, or none.

    Raises
    ------
    InputError
        When a word is neither, or an alloy misspelt; ``where`` tells its place.
    """
    from rivetkit.calculators.stack import Form

    said = [word.strip() for word in words]
    forms: tuple[Form, ...] = get_args(Form)
    form = next((known for known in forms if said and said[-1] == known), None)
    alloy, *more = said[: len(said) - (form is not None)] or [""]
    if more or (alloy and not _may_be_alloy(alloy)):
        from rivetkit.job.fields import nearest_word

        word = more[-1] if more else alloy
        told = f"write thickness:alloy, or thickness:alloy:form with {', '.join(forms)}"
        raise InputError(
            f"'{word}' is nothing done to a layer, and no alloy",
            where=where,
            mend=nearest_word(word, forms) or told,
        )
    if not alloy:
        return "", form
    from rivetkit.materials import require_spelling

    try:
        return require_spelling(alloy), form
    except InputError as error:
        raise error.at(where) from None


def _may_be_alloy(word: str) -> bool:
    """Whether a word may name an alloy: it has a digit, or a table has it as a metal."""
    from rivetkit.materials import sheet_metal

    return any(letter.isdigit() for letter in word) or sheet_metal(word) is not None
