"""Works out the arithmetic that a check or a line of working shows, by the text a person reads."""

import math
import re

import pytest

from rivetkit.calculators.limits import Working

#: Words about the sum that are no part of it.
WORDS = re.compile(
    r"^(next drill below |after / before, at least: |\w+ = )"
    r"| is the stock length nearest to .*$|, (for \{|as rated|more edge earns nothing).*$"
)
CHOICE = re.compile(r"(larger|smaller|least) of ([^()]+) and ([^()]+)")
ROUNDED = re.compile(r"\(([^()]+) (rounded up|to 0\.1): ([^()]+)\)")
NAMES = {"pi": math.pi, "sqrt": math.sqrt, "max": max, "min": min, "ceil": math.ceil}


def reckoned(side):
    """Return what a sum with the numbers in place comes to."""
    side = CHOICE.sub(
        lambda found: f"{'max' if found[1] == 'larger' else 'min'}({found[2]}, {found[3]})", side
    )
    return eval(side.replace(" x ", " * ").replace("^", "**"), NAMES)  # noqa: S307 - our own text


def with_numbers(text, terms):
    numbers = {term.symbol: term.value for term in terms}
    assert len(numbers) == len(terms), "a letter stands for two things"
    return re.sub(r"\{(\w+)\}", lambda found: f"{numbers[found[1]]!r}", text)


def sides(shown):
    """Yield what each side of a shown line comes to, first to last."""
    text = with_numbers(WORDS.sub("", shown.template), shown.terms)
    for inner, how, told in ROUNDED.findall(text):
        found, told_value = reckoned(inner), float(told)
        if how == "rounded up":
            assert told_value == math.ceil(round(found, 9))
        else:
            assert told_value == pytest.approx(found, abs=0.05 + 1e-9)
    text = ROUNDED.sub(r"\3", text)
    up = text.endswith(", rounded up")
    for part in re.split(r" >= | <= | = ", text.removesuffix(", rounded up")):
        value = reckoned(part)
        yield math.ceil(round(value, 9)) if up else value


def see_that_it_adds_up(shown):
    came = list(sides(shown))
    close = {"rel": 1e-8, "abs": 1e-9}  # some values are kept to nine places
    if isinstance(shown, Working):
        assert came == pytest.approx([shown.value] * len(came), **close), shown
        return
    before_sign = re.split(" >= | <= ", WORDS.sub("", shown.template))[0]
    count = 1 + before_sign.count(" = ")
    values, limits = came[:count], came[count:]
    assert values == pytest.approx([shown.value] * count, **close), shown
    assert limits, shown
    assert limits == pytest.approx([shown.limit] * len(limits), **close), shown
    assert (" >= " in shown.template) == (shown.comparison == "at least"), shown
    assert (" <= " in shown.template) == (shown.comparison == "at most"), shown
