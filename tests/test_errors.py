"""An error reads 'where: what; mend', whatever happens to it on the way to the person."""

import copy
import inspect
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit import errors
from rivetkit.errors import InputError, OutOfTableError, RivetkitError, TableError

KINDS = [
    kind
    for _, kind in inspect.getmembers(errors, inspect.isclass)
    if issubclass(kind, RivetkitError)
]
WORDS = st.text(min_size=1, max_size=20)


@pytest.mark.parametrize(
    ("where", "mend", "expected"),
    [
        ("", "", "no drill is called 'foo'"),
        ("--size", "", "--size: no drill is called 'foo'"),
        ("", "write #40", "no drill is called 'foo'; write #40"),
        ("--size", "write #40", "--size: no drill is called 'foo'; write #40"),
    ],
)
def test_the_message_leaves_out_what_is_not_known(where, mend, expected):
    assert str(InputError("no drill is called 'foo'", where=where, mend=mend)) == expected


@given(kind=st.sampled_from(KINDS), what=WORDS, where=WORDS, mend=WORDS)
def test_an_error_survives_copying_and_another_process(kind, what, where, mend):
    error = kind(what, where=where, mend=mend)
    for twin in (pickle.loads(pickle.dumps(error)), copy.copy(error)):  # noqa: S301 - our own
        assert type(twin) is kind
        assert (twin.what, twin.where, twin.mend) == (what, where, mend)
        assert str(twin) == str(error)


@given(kind=st.sampled_from(KINDS), places=st.lists(WORDS, min_size=1, max_size=4))
def test_places_are_told_from_the_outside_in(kind, places):
    """``skin.toml: row 'rib 1': pitch: ...`` however deep the fault was found."""
    error = kind("too short", mend="measure again")
    for place in reversed(places):
        error = error.at(place)
    assert type(error) is kind
    assert str(error) == f"{': '.join(places)}: too short; measure again"


def test_naming_a_place_leaves_the_first_error_as_it_was():
    error = InputError("too short")
    error.at("pitch")
    assert str(error) == "too short"


@pytest.mark.parametrize(
    ("kind", "builtin"),
    [(InputError, ValueError), (OutOfTableError, LookupError), (TableError, LookupError)],
)
def test_each_error_can_be_caught_as_the_builtin_it_is(kind, builtin):
    with pytest.raises(builtin, match=r"^skin: too short$"):
        raise kind("too short", where="skin")


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_each_error_says_when_it_is_raised(kind):
    words = inspect.getdoc(kind)
    assert words.startswith("Raised when" if kind is not RivetkitError else "Base of every error")
