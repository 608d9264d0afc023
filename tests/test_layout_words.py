"""What ``rivetkit layout`` says would do does, when it is typed in again."""

import re

import pytest

from rivetkit.cli.app import exit_code_of


@pytest.fixture
def laid_out(capsys):
    """Return a function that lays a row out and returns the exit code and the words of it."""

    def run(*arguments):
        code = exit_code_of(["layout", "MS20470AD3", *arguments])
        return code, " ".join(capsys.readouterr().out.split())

    return run


def test_the_count_that_would_do_does_and_one_more_does_not(laid_out):
    code, words = laid_out("--length", "3", "--at-least", "40")
    asked, needed, by = re.search(r"rivets asked for (\d+) (\d+) (\d+)", words).groups()
    assert code == 1
    assert int(asked) - int(needed) == int(by)
    assert laid_out("--length", "3", "--at-least", needed)[0] == 0
    assert laid_out("--length", "3", "--at-least", str(int(needed) + 1))[0] == 1


def test_chain_rows_do_where_they_would_do(laid_out):
    seam = ["--length", "10", "--rows", "2", "--pitch-min", ".5", "--pitch-max", ".75"]
    seam += ["--clear-of", "5:.3", "--clear-of", "2.2:.3"]
    code, words = laid_out(*seam)
    assert code == 1
    assert "staggered rows chain rows would do" in words
    assert laid_out(*seam, "--pattern", "chain")[0] == 0


def test_where_no_single_demand_is_to_blame_it_says_where_to_begin(laid_out):
    # A part of .9 in less .3 in at both ends leaves .3 in, and no pitch of 2 in goes into that.
    code, words = laid_out(
        "--length", ".9", "--end", ".3", "--pitch-min", "2", "--pitch-max", "2.1"
    )
    assert code == 1
    assert "Change the pitch limits or the count first." in words
    assert "give way asked" not in words


def test_fewer_different_pitches_come_before_the_wished_one(laid_out):
    code, words = laid_out("--length", "1.58", "--hit", ".58", "--break", ".99")
    assert code == 0
    assert "it has 3 different pitches, the best has 2." in words
