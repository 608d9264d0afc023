"""What is known of a row's strength before and after, and what may be said of the ratio."""

import contextlib
import math
from itertools import product

import pytest
from formulas import see_that_it_adds_up
from hypothesis import given, settings
from hypothesis import strategies as st
from job_texts import JOB

from rivetkit.calculators.strength.joint_strength import StrengthLayer, joint_strength
from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job
from rivetkit.planning.context import Context
from rivetkit.planning.strength.joint_loads import Load, Loads, Side
from rivetkit.planning.strength.not_weaker import SAME_RIVET
from rivetkit.planning.strength.ratio import Part, judge_ratio, rivets_needed
from rivetkit.planning.strength.row_joints import AlikeHoles
from rivetkit.rules import RuleBook

BOOK = RuleBook.named()
LAYERS = tuple(StrengthLayer(name, "2024-T3", 0.04, 0.4) for name in ("skin", "rib"))


def side(part="MS20470AD4", layers=LAYERS, **more):
    return Side(parse_part_number(part), layers, **more)


def part(before, after, *, count=1, not_weaker=None, old="MS20470AD4", new="MS20470AD4", **more):
    was, now = (None if one is None else side(one) for one in (old, new))
    holes = AlikeHoles(count, was, now, (), (), moved=False, **more)
    return Part(holes, before, after, not_weaker)


def loads():
    job = parse_job(JOB)
    return Loads(Context(job, lay_out(job), BOOK))


LOAD = st.tuples(st.integers(1, 400), st.integers(1, 400)).flatmap(
    lambda ends: st.sampled_from(
        [
            Load(ends[0], ends[0]),
            Load(min(ends), max(ends), why="one cannot tell"),
            Load(0.0, ends[0], why="no bearing on file"),
            Load(0.0, math.inf, why="nothing on file"),
        ]
    )
)
PART = st.builds(
    part,
    LOAD,
    LOAD,
    count=st.integers(1, 9),
    not_weaker=st.sampled_from([None, None, SAME_RIVET]),
).filter(lambda one: one.not_weaker is None or one.after.most_lbf >= one.before.least_lbf)


@settings(max_examples=200, deadline=None)
@given(st.lists(PART, min_size=1, max_size=3))
def test_a_ratio_passes_or_fails_only_where_every_load_within_the_bounds_says_so(parts):
    # Arithmetic: the loads are any within their bounds; a joint said to be no weaker carries at
    # least what it did, whatever that is.
    limit = BOOK.rule("strength_ratio_min").value
    bound, check = judge_ratio(tuple(parts), BOOK)

    ratios = []
    for ends in product((0, 1), repeat=2 * len(parts)):
        was = now = 0.0
        for one, (a, b) in zip(parts, zip(ends[::2], ends[1::2], strict=True), strict=True):
            before = (max(one.before.least_lbf, 1e-3), min(one.before.most_lbf, 1e7))[a]
            after = (one.after.least_lbf, min(one.after.most_lbf, 1e7))[b]
            was += one.holes.count * before
            now += one.holes.count * (max(before, after) if one.not_weaker else after)
        ratios.append(now / was)
    if check.verdict is Verdict.PASS:
        assert min(ratios) >= limit - 1e-9
        assert bound in {"is", "at least"}
    elif check.verdict is Verdict.FAIL:
        assert min(ratios) < limit
        assert any(one.not_weaker for one in parts) or max(ratios) < limit
        assert bound in {"is", "at most"}
    else:
        assert bound == ""
        whys = {one.why for p in parts for one in (p.before, p.after)} - {""}
        assert check.reason in whys
        assert not all(p.before.known and p.after.known for p in parts)
    if all(p.before.known and p.after.known for p in parts):
        assert bound == "is"
        assert check.value == pytest.approx(
            sum(p.after.least_lbf * p.holes.count for p in parts)
            / sum(p.before.least_lbf * p.holes.count for p in parts)
        )


@settings(max_examples=100, deadline=None)
@given(
    before=st.integers(50, 400),
    after=st.integers(50, 400),
    count=st.integers(1, 30),
    more=st.integers(0, 5),
)
def test_the_number_needed_is_the_least_that_carries_as_much_and_only_told_where_it_fails(
    before, after, count, more
):
    # Arithmetic. Rivets in new holes carry, and are not among those that were.
    added = [part(Load(0, 0), Load(after, after), count=more, old=None)] if more else []
    parts = (part(Load(before, before), Load(after, after), count=count), *added)
    _, check = judge_ratio(parts, BOOK)
    needed = rivets_needed(parts, check)

    enough = next(n for n in range(1, 1000) if n * after >= count * before)
    assert (check.verdict is Verdict.PASS) == (count + more >= enough)
    assert needed == (enough if count + more < enough and enough > count else None)


def test_no_number_is_told_where_the_new_rivets_differ_or_nobody_knows_what_one_carries():
    fails = part(Load(200, 200), Load(100, 100), count=4)
    other = part(Load(200, 200), Load(120, 120), count=4)
    gone = part(Load(200, 200), Load(0, 0), count=4, new=None)
    out = part(Load(200, 200), Load(0, 0), count=4, new=None, taken_out=True)
    new = part(Load(0, 0), Load(100, 100), count=4, old=None)
    least = part(Load(200, 200), Load(0, 100), count=4)
    same = part(Load(200, 200), Load(200, 200), count=12)
    lost = part(Load(200, 200), Load(0, 0), new=None)  # as many would do: none is too few
    wanted = {
        (same, lost): None,
        (fails, other): None,
        (gone,): None,
        (least,): None,
        (fails, gone): 16,
        (out, new): 8,
    }

    for parts, needed in wanted.items():
        _, check = judge_ratio(parts, BOOK)
        assert check.verdict is Verdict.FAIL
        assert rivets_needed(parts, check) == needed


@pytest.mark.parametrize(
    ("old", "new", "quoted"),
    [
        # AC 43.13-1B par 4-57b, p 4-16 (seen): 2117 for 2017 up to 3/16 and for 2024 up to 5/32,
        # one 1/32 larger; for no other, and not for like by like.
        ("MS20426D4", "MS20426AD5", True),
        ("MS20426DD5", "MS20426AD6", True),
        ("MS20426D4", "MS20426AD4", False),
        ("MS20426DD6", "MS20426AD8", False),
        ("MS20426AD4", "MS20426AD5", False),
        ("MS20426AD4", "MS20426D5", False),
        (None, "MS20426AD5", False),
        ("MS20426D4", None, False),
    ],
)
def test_the_handbook_is_quoted_only_where_it_takes_every_new_rivet_for_the_old_one(
    old, new, quoted
):
    unknown = Load(0.0, math.inf, why="no tested value")
    sure = part(unknown, unknown, old="MS20426D4", new="MS20426AD5")
    asked = part(unknown, unknown, old=old, new=new)
    for parts in ((sure, asked), (asked, sure)):
        bound, check = judge_ratio(parts, BOOK)

        assert (bound, check.verdict) == ("", Verdict.NOT_CHECKED)
        assert check.reason.startswith("no tested value")
        assert ("AC 43.13-1B p 4-16 takes the new rivet" in check.reason) is quoted


@pytest.mark.parametrize(
    "asked",
    [
        side(),
        side(hole_in=0.1405),
        side(layers=(StrengthLayer("skin", "2024-T3", 0.02, 0.2), LAYERS[1])),
        side("TMOPEN-4"),
        side("MS20470AD4", (StrengthLayer("skin", "unobtainium", 0.04, 0.4), LAYERS[1])),
        side("MS20470AD4", (StrengthLayer("skin", "2024-T3", 0.04, None), LAYERS[1])),
        side(why="not settled"),
        side(hole_in=0.1),  # the rivet does not go in
        side("MS20426AD4"),  # a flush head with nowhere to sit
        None,
    ],
)
def test_a_load_that_is_not_known_may_be_nothing_and_is_at_most_what_gives_way_first(asked):
    # What cannot be told may be nothing at all: 0 is the only least load that is sure.
    found = loads().of(asked)
    if asked is None:
        assert (found.least_lbf, found.most_lbf, found.why) == (0.0, 0.0, "")
        return
    joint = None
    with contextlib.suppress(InputError):
        joint = joint_strength(asked.part, asked.layers, BOOK, hole_in=asked.hole_in)
    if joint is None:
        assert (found.least_lbf, found.most_lbf) == (0.0, math.inf)
        assert found.why
        return
    known = [mode.load_lbf for mode in joint.modes if mode.load_lbf is not None]
    sure = len(known) == len(joint.modes) and not asked.why
    sure &= all(check.verdict is not Verdict.NOT_CHECKED for check in joint.checks)

    assert found.known is sure
    assert bool(found.why) is not sure
    assert found.least_lbf == (min(known) if sure else 0.0)
    assert found.most_lbf == (math.inf if asked.why or not known else min(known))
    assert bool(found.critical) is sure
    assert asked.why in {"", found.why}


@settings(max_examples=100, deadline=None)
@given(
    edges=st.tuples(st.floats(0.22, 0.4), st.floats(0.22, 0.4)),
    hole_in=st.sampled_from([None, 0.1285, 0.1405]),
    thickness_in=st.sampled_from([0.025, 0.04, 0.063]),
)
def test_a_joint_worked_out_once_carries_what_it_does_worked_out_alone(
    edges, hole_in, thickness_in
):
    # MIL-HDBK-5H p 8-9 (seen): the smaller of shear and bearing governs; names of layers and an
    # edge past two diameters change nothing.
    shared = loads()
    for names in (("skin", "rib"), ("rib", "skin"), ("a", "b")):
        layers = tuple(
            StrengthLayer(name, "2024-T3", thickness_in, edge_in)
            for name, edge_in in zip(names, edges, strict=True)
        )
        found = shared.of(side(layers=layers, hole_in=hole_in))
        alone = joint_strength(parse_part_number("MS20470AD4"), layers, BOOK, hole_in=hole_in)

        assert found.least_lbf == pytest.approx(alone.allowable_lbf)
        assert found.known
        assert found.critical == alone.critical
        assert set(found.citations) == set(alone.citations)


@pytest.mark.parametrize("kinds", range(1, 8))
def test_the_ratio_of_many_different_loads_adds_up_as_it_is_shown(kinds):
    # Arithmetic: load by load, or in one sum where there are many; the stronger the more of them.
    loads = [(100.0 + one, 90.0 + 2 * one, 1 + one) for one in range(kinds)]
    parts = tuple(
        part(Load(before, before), Load(after, after), count=count)
        for before, after, count in loads
    )
    bound, check = judge_ratio(parts, BOOK)

    assert bound == "is"
    was = sum(before * count for before, _, count in loads)
    assert check.value == pytest.approx(sum(after * count for _, after, count in loads) / was)
    see_that_it_adds_up(check)
