"""Rows to holes: shared holes are one, with the layers of both rows."""

import pytest
from job_texts import HEAD, SHEET

from rivetkit.errors import InputError
from rivetkit.job.holes import lay_out
from rivetkit.job.read import parse_job


def member(name):
    return f'[[member]]\nname = "{name}"\nkind = "rib"\nthickness = 0.025\nedge_distance = 0.3\n'


def row(name, path, layers, count=3, rivet="MS20470AD3-3", more=""):
    return (
        f'[[row]]\nname = "{name}"\nrivet = "{rivet}"\npath = {path}\ncount = {count}\n'
        f"layers = {layers}\n{more}\n"
    )


ALONG = "[[1, 2], [5, 2]]"
UP = "[[3, 2], [3, 5]]"
BASE = HEAD + SHEET + member("spar") + member("rib")


def test_crossing_rows_share_one_hole_with_the_layers_of_both():
    holes = lay_out(
        parse_job(BASE + row("a", ALONG, '["skin", "spar"]') + row("b", UP, '["skin", "rib"]'))
    )

    assert len(holes) == 5
    assert holes.shared == 1
    assert [holes.name(hole) for hole in range(5)] == ["a:1", "a:2", "a:3", "b:2", "b:3"]
    assert [[p.layer for p in holes.stacks[holes.stack[hole]]] for hole in (0, 1, 3)] == [
        ["skin", "spar"],
        ["skin", "spar", "rib"],
        ["skin", "rib"],
    ]
    assert [members.tolist() for members in holes.in_row] == [[0, 1, 2], [1, 3, 4]]
    assert holes.in_layer("rib").tolist() == [1, 3, 4]


def test_rows_without_a_common_layer_do_not_share():
    holes = lay_out(parse_job(BASE + row("a", ALONG, '["skin"]') + row("b", UP, '["rib"]')))

    assert len(holes) == 6
    assert holes.shared == 0


def test_three_rows_through_one_hole():
    text = (
        BASE
        + row("a", ALONG, '["skin", "spar"]')
        + row("b", UP, '["skin", "rib"]')
        + row("c", "[[3, 2], [5, 4]]", '["skin"]')
    )
    holes = lay_out(parse_job(text))

    assert len(holes) == 7
    assert holes.shared == 1


def test_a_ring_counts_its_first_hole_once():
    text = BASE + (
        '[[row]]\nname = "ring"\nrivet = "MS20470AD3-3"\nlayers = ["skin"]\n'
        "circle = { at = [5, 3], diameter = 4, count = 8 }\n"
    )
    holes = lay_out(parse_job(text))

    assert len(holes) == 8
    assert holes.shared == 0
    assert holes.in_row[0].tolist() == [0, 1, 2, 3, 4, 5, 6, 7, 0]


@pytest.mark.parametrize(("gap", "count"), [(0.0199, 5), (0.0201, 6)])
def test_how_near_means_the_same_hole(gap, count):
    text = BASE + row("a", ALONG, '["skin"]') + row("b", f"[[3, {2 + gap}], [3, 5]]", '["skin"]')

    assert len(lay_out(parse_job(text))) == count


def test_the_job_may_say_how_near_means_the_same_hole():
    text = BASE + row("a", ALONG, '["skin"]') + row("b", "[[3, 2.05], [3, 5]]", '["skin"]')

    assert len(lay_out(parse_job(text))) == 6
    assert len(lay_out(parse_job("same_hole_within = 0.06\n" + text))) == 5


def test_an_older_name_of_the_same_part_is_no_conflict():
    text = (
        BASE
        + row("a", ALONG, '["skin", "spar"]')
        + row("b", UP, '["skin", "rib"]', rivet="AN470AD3-4")
    )
    holes = lay_out(parse_job(text))
    shared = holes.installed_parts[holes.installed[1]]

    # The rows name different lengths: what sits in the thicker shared stack is left open.
    assert shared.designation == "MS20470AD3"


@pytest.mark.parametrize(
    ("second", "message"),
    [
        (
            row("b", UP, '["skin", "rib"]', rivet="MS20470AD4-4"),
            "one hole, two rivets: MS20470AD3-3 and MS20470AD4-4; give both rows the same",
        ),
        (
            row("b", UP, '["rib", "spar"]', more="kept = true"),
            "row 'a' hole 2 and row 'b' hole 1: the same hole is kept in one row and drilled out",
        ),
        (
            row("b", UP, '["spar", "skin"]'),
            "the rows stack skin and spar in different order; list the layers of both rows from",
        ),
        (
            row("b", UP, '["skin", "rib"]', more='fit = "MS20470DD3"'),
            "one hole, two rivets: MS20470AD3 and MS20470DD3; give both rows the same 'fit'",
        ),
    ],
)
def test_rows_that_disagree_about_a_hole_are_named(second, message):
    with pytest.raises(InputError) as caught:
        lay_out(parse_job(BASE + row("a", ALONG, '["skin", "spar"]') + second))

    assert message in str(caught.value)


def dimpled(*names):
    return "[" + ", ".join(f'{{ layer = "{name}", form = "dimpled" }}' for name in names) + "]"


def test_a_shared_flush_hole_keeps_a_seat_for_the_head():
    sunk = '[{ layer = "skin", form = "dimpled" }, { layer = "spar", form = "countersunk" }]'
    text = (
        BASE
        + row("a", ALONG, sunk, rivet="MS20426AD3-3")
        + row("b", UP, dimpled("skin", "rib"), rivet="MS20426AD3-3")
    )
    holes = lay_out(parse_job(text))

    # The dimpled rib must lie between the dimpled skin and the countersunk spar.
    assert [p.layer for p in holes.stacks[holes.stack[1]]] == ["skin", "rib", "spar"]


def test_a_layer_formed_two_ways_is_named():
    sunk = '[{ layer = "skin", form = "countersunk" }, "rib"]'
    text = (
        BASE
        + row("a", ALONG, dimpled("skin", "spar"), rivet="MS20426AD3-3")
        + row("b", UP, sunk, rivet="MS20426AD3-3")
    )
    with pytest.raises(InputError, match="'skin' is dimpled in one row and countersunk in the"):
        lay_out(parse_job(text))


def test_a_shared_hole_with_sealant_in_one_row_only_is_named():
    text = BASE + row("a", ALONG, '["skin", "rib"]') + row("b", UP, '["skin", "rib"]')
    lay_out(parse_job(text))

    with pytest.raises(InputError, match="more sealant or lug under it in one row"):
        lay_out(parse_job(text + "sealant = 0.06\n"))


def ring(more, count=8):
    return parse_job(
        BASE + '[[row]]\nname = "ring"\nrivet = "MS20470AD3-3"\nlayers = ["skin"]\n'
        f"circle = {{ at = [5, 3], diameter = 4, count = {count} }}\n{more}\n"
    )


def test_skipping_the_first_hole_of_a_ring_leaves_it_out():
    holes = lay_out(ring("skip = [1]"))

    assert [holes.name(hole) for hole in range(len(holes))] == [f"ring:{n}" for n in range(2, 9)]
    assert holes.in_row[0].tolist() == [0, 1, 2, 3, 4, 5, 6, 0]  # still closed


def test_a_ring_has_no_hole_past_its_last():
    with pytest.raises(InputError, match=r"skip: there is no hole 9; the row has holes 1 to 8"):
        ring("skip = [9]")


def test_a_ring_of_one_is_one_hole():
    assert lay_out(ring("", count=1)).in_row[0].tolist() == [0]
