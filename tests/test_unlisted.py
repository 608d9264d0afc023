"""A layer drawn under a row whose stack leaves it out."""

from pathlib import Path

import pytest
from job_texts import HEAD, MEMBER, ROW, SHEET

from rivetkit.checks import Verdict
from rivetkit.errors import InputError
from rivetkit.job.read import parse_job, read_job
from rivetkit.planning.hole_verdicts import hole_verdicts
from rivetkit.planning.plan import plan_job

EXAMPLES = Path(__file__).parent.parent / "examples"


def doubler(corner, width, height):
    """An added doubler under the skin, held by a row of its own well inside it."""
    x, y = corner
    row = (
        '[[row]]\nname = "own"\nfit = "MS20470AD3"\nlayers = ["skin", "doubler"]\n'
        f"holes = [[{x + 0.3}, {y + height - 0.3}], [{x + 0.9}, {y + height - 0.3}]]\n"
    )
    size = f"corner = [{x}, {y}], width = {width}, height = {height}"
    sheet = '[[sheet]]\nname = "doubler"\nnew = { alloy = "2024-T3", thickness = 0.063 }\n'
    return f"{sheet}outline = {{ rectangle = {{ {size} }} }}\n{row}"


# The row's thirteen holes stand at y = .5, x = .5, 1.25, 2 ... 9.5.
def job(corner, width, height, more="", stack=None):
    row = ROW if stack is None else ROW.replace('"skin", ', stack)
    return HEAD + SHEET + MEMBER + row + more + doubler(corner, width, height)


def planned(text):
    return plan_job(parse_job(text))


def told(plan):
    return [check for check in plan.checks if check.name == "layer drawn under the row"]


def test_a_doubler_under_part_of_a_row_is_not_a_pass():
    plan = planned(job((3, 0.2), 2.5, 2))
    (check,) = told(plan)

    assert plan.verdict is check.verdict is Verdict.NOT_CHECKED
    assert check.where == "doubler under row"
    # 3.5 to 5 on its metal: holes 5, 6 and 7.
    assert check.reason.startswith("3 of its holes, row:5 first, may go through it")
    (found,) = plan.unlisted
    assert [plan.holes.name(hole) for hole in found.holes] == ["row:5", "row:6", "row:7"]
    names = map(plan.holes.name, range(len(plan.holes)))
    verdicts = dict(zip(names, hole_verdicts(plan).verdicts, strict=True))
    assert [verdicts[name] for name in ("row:4", "row:5", "row:7", "row:8")] == [
        Verdict.PASS,
        Verdict.NOT_CHECKED,
        Verdict.NOT_CHECKED,
        Verdict.PASS,
    ]


def test_a_doubler_under_one_hole_names_it():
    # From 3.3 to 3.9, so within .1875 in of the hole at 3.5 alone.
    (check,) = told(planned(job((3.3, 0.2), 0.6, 2).replace("3.9", "3.6").replace("4.2", "3.7")))

    assert check.reason.startswith("a hole of it, row:5 first, may go through it")


@pytest.mark.parametrize(
    ("bottom", "count"),
    [
        # Army AL0992 p 59 (seen): 2 D of 3/32, .1875 in; so near its edge a hole may be over it.
        (0.5 + 0.187, 1),
        (0.5 + 0.1875, 0),
        (0.5 + 0.188, 0),
    ],
)
def test_a_doubler_beside_the_row_counts_within_its_edge_distance(bottom, count):
    assert len(told(planned(job((3, bottom), 2.5, 2)))) == count


@pytest.mark.parametrize(("reach", "count"), [(0.187, 1), (0.1875, 0), (0.188, 0)])
def test_a_sheet_that_covers_the_whole_row_is_the_other_side(reach, count):
    corner, width = (0.5 - reach, 0.5 - reach), 9 + 2 * reach
    assert len(told(planned(job(corner, width, 3)))) == count


def test_the_row_may_say_that_it_passes():
    assert told(planned(job((3, 0.2), 2.5, 2, 'not_through = ["doubler"]\n'))) == []


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("doublet", "there is no layer 'doublet'; did you mean 'doubler'"),
        ("skin", "'skin' is one of the row's layers"),
        ("rib", "'rib' is one of the row's layers"),
    ],
)
def test_what_a_row_passes_is_a_layer_of_the_job_and_none_of_its_own(name, message):
    with pytest.raises(InputError, match=f"row 'row': not_through: {message}"):
        parse_job(job((3, 0.2), 2.5, 2, f'not_through = ["{name}"]\n'))


def test_a_layer_that_lies_against_none_of_the_rows_layers_is_no_matter():
    far = job((3, 0.2), 2.5, 2).replace('layers = ["skin", "doubler"]', 'layers = ["doubler"]')
    assert told(planned(far)) == []
    # What lies between them is left off: then it lies against the skin after all.
    patch = SHEET.replace('"skin"', '"patch"')
    patch = patch.replace('new = { alloy = "2024-T3", thickness = 0.032 }', "left_off = true")
    between = job((3, 0.2), 2.5, 2).replace('["skin", "doubler"]', '["skin", "patch", "doubler"]')
    assert len(told(planned(between + patch))) == 1
    stays = patch.replace("left_off = true", "")
    assert [check.where for check in told(planned(between + stays))] == []


def test_holes_another_row_takes_through_it_are_told_there():
    shared = (
        '[[row]]\nname = "same holes"\nrivet = "MS20470AD3-3"\n'
        'holes = [[3.5, 0.5], [4.25, 0.5], [5, 0.5]]\nlayers = ["skin", "doubler"]\n'
    )
    assert told(planned(job((3, 0.2), 2.5, 2) + shared)) == []


@pytest.mark.parametrize("name", ["elevator.toml", "inspection_cover.toml"])
def test_the_examples_leave_nothing_out(name):
    assert plan_job(read_job(EXAMPLES / name)).unlisted == ()
