"""Like checks are told once, with what they hold for."""

import pytest

from rivetkit.checks import not_checked, word_check
from rivetkit.planning.gather import gather_checks


def check(where=""):
    return word_check("metals", holds=True, reason="both bare", citations=(), where=where)


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (["rib 1"], "rib 1"),
        (["rib 1", "rib 2"], "rib 1, rib 2"),
        (["rib 1", "rib 2", "rib 3"], "rib 1, rib 2 and 1 more"),
        (["rib 1", "rib 2", "rib 3", "rib 4"], "rib 1, rib 2 and 2 more"),
        (["rib 1", "rib 2", "rib 1", "rib 2"], "rib 1, rib 2"),
    ],
)
@pytest.mark.parametrize("place", ["", "skin"])
def test_two_names_are_listed_further_ones_counted_and_none_twice(names, told, place):
    (one,) = gather_checks((name, check(place)) for name in names)

    assert one.where == (f"{place}: {told}" if place else told)


def test_checks_that_differ_stay_apart():
    found = gather_checks([("rib 1", check("skin")), ("rib 1", check("web"))])

    assert [one.where for one in found] == ["skin: rib 1", "web: rib 1"]


@pytest.mark.parametrize("place", ["", "skin"])
def test_what_did_not_pass_names_everything_it_holds_for(place):
    names = [f"rib {number}" for number in range(9)]
    for missed in (
        not_checked("edge distance", "not measured", where=place),
        word_check("metals", holds=False, reason="one is bare", citations=(), where=place),
    ):
        (one,) = gather_checks((name, missed) for name in names)
        assert one.where.split(": ")[-1] == ", ".join(names)
