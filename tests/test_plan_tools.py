"""What to lay out before the work: every tool that is used, and none that is not."""

import pytest
from job_texts import HEAD, MEMBER, SHEET, SKIN_STAYS

from rivetkit.drills import find_drill
from rivetkit.errors import OutOfTableError
from rivetkit.job.read import parse_job
from rivetkit.planning.plan import plan_job


def row(name, y, rivet, *, count=13, more="", layers='"skin"'):
    return (
        f'[[row]]\nname = "{name}"\n{rivet}\npath = [[0.5, {y}], [9.5, {y}]]\ncount = {count}\n'
        f"{more}\nlayers = [{layers}]\n"
    )


OUT_AND_IN = 'rivet = "MS20470AD3-3"'


def tools(*rows, sheets=SHEET, override=""):
    return plan_job(parse_job(HEAD + sheets + "".join(rows) + override)).tools


def of(found, kind, purpose=""):
    return [tool for tool in found.tools if tool.tool == kind and tool.purpose.startswith(purpose)]


PILOT = '[[override]]\nrule = "pilot_drill_max"\nvalue = {}\nunit = "D"\nsource = "invented shop"\n'


def test_a_pilot_of_half_the_shank_goes_before_the_drill_for_the_head():
    # Common practice, no source: a pilot of at most half the shank. AC 43.13-1B p 4-12 (seen): the
    # head is drilled with a drill the size of the shank.
    found = tools(row("one", 1, OUT_AND_IN), row("two", 2, 'rivet = "MS20470AD5-4"'))
    pilots, heads = of(found, "drill", "pilot for heads of"), of(found, "drill", "heads off")

    assert [tool.purpose.rsplit(" ", 1)[1] for tool in pilots] == ["-3", "-5"]
    assert [tool.size for tool in heads] == ["3/32", "5/32"]
    for tool, shank_in in zip(pilots, (3 / 32, 5 / 32), strict=True):
        assert 0.9 * shank_in / 2 < find_drill(tool.size).size_in <= shank_in / 2


def test_a_pilot_smaller_than_any_drill_is_refused_with_the_row_that_asks_for_it():
    # 0.05 D of 3/32 is .0047 in; the smallest drill of the number series, #80, is .0135 in.
    with pytest.raises(OutOfTableError, match=r"row 'one': .*0\.0047 in; the smallest is #80"):
        tools(row("one", 1, OUT_AND_IN), override=PILOT.format(0.05))


def test_a_size_that_many_rows_share_is_laid_out_once_the_smallest_first():
    rows = [
        row(f"row {y}", y, f'rivet = "MS20470{part}"')
        for y, part in ((1, "AD5-4"), (2, "AD3-3"), (3, "AD5-4"), (4, "AD4-3"))
    ]
    found = tools(*rows)

    assert [tool.size for tool in of(found, "drill", "heads off")] == ["3/32", "1/8", "5/32"]
    assert [tool.purpose.rsplit(" ", 1)[1] for tool in of(found, "drill", "holes for")] == [
        "-3",
        "-4",
        "-5",
    ]
    # The holes of the tables behind AC 43.13-1B tables 4-9 to 4-11 (derived): #41, #30, #21.
    assert [tool.size for tool in of(found, "drill", "holes for")] == ["#41", "#30", "#21"]


@pytest.mark.parametrize(("count", "fasteners"), [(12, 3), (13, 4)])
def test_one_hole_in_four_gets_a_temporary_fastener(count, fasteners):
    # Common practice, no source: one in four while a skin is fitted, a part of one is one.
    (tool,) = of(tools(row("one", 1, OUT_AND_IN, count=count)), "temporary fastener")

    assert (tool.size, tool.count) == ("#41 hole", fasteners)


def test_temporary_fasteners_go_by_all_holes_of_a_size_together():
    # 13 and 13 holes of 3/32: 26 in all, 7 and not 4 + 4; 13 of 5/32: 4.
    rows = [row("a", 1, OUT_AND_IN), row("b", 2, 'rivet = "MS20470AD5-4"'), row("c", 3, OUT_AND_IN)]
    found = of(tools(*rows), "temporary fastener")

    assert [(tool.size, tool.count) for tool in found] == [("#41 hole", 7), ("#21 hole", 4)]


def test_rivets_that_stay_in_need_no_tools():
    sheets = SKIN_STAYS + MEMBER.replace("flange", "# flange").replace("0.025", "0.032")
    sheets += "outline = { rectangle = { corner = [0, 0], width = 10, height = 6 } }\n"
    both = '"skin", "rib"'
    stays = row("stays", 1, 'rivet = "MS20470AD5-4"', more="kept = true", layers=both)
    changes = row("changes", 3, OUT_AND_IN, layers=both)
    found = tools(stays, changes, sheets=sheets)

    assert found == tools(changes, sheets=sheets)
    assert "-5" not in " ".join(f"{tool.size} {tool.purpose}" for tool in found.tools)


def test_only_sheets_that_come_new_are_cut_or_dimpled():
    # A member that stays has its dimples already.
    def formed(form, under):
        layers = f'{{ layer = "skin", form = "{form}" }}, '
        layers += f'{{ layer = "rib", form = "{under}", row_from_edge = 0.3125 }}'
        rows = row("one", 0.5, 'rivet = "MS20426AD3-3"', layers=layers)
        return tools(rows, sheets=SHEET.replace("0.032", "0.050") + MEMBER)

    (die,) = of(formed("dimpled", "dimpled"), "dimple dies")
    (cutter,) = of(formed("countersunk", "plain"), "countersink")
    # MS20426 heads are 100 degrees (from memory, as on file).
    assert (die.size, die.purpose) == ("MS20426 -3, 100 deg", "form skin")
    assert (cutter.size, cutter.purpose) == ("MS20426 -3, 100 deg", "cut skin")
    assert of(formed("dimpled", "dimpled"), "countersink") == []
    assert of(formed("countersunk", "plain"), "dimple dies") == []


@pytest.mark.parametrize(("sheets", "named"), [(3, "skin a, skin b, skin c"), (4, " and 1 more")])
def test_three_layers_are_named_and_further_ones_counted(sheets, named):
    names = [f"skin {letter}" for letter in "abcd"[:sheets]]
    skins = "".join(SHEET.replace('"skin"', f'"{name}"') for name in names)
    rows = [
        row(name, 1, 'rivet = "MS20426AD3-3"', layers=f'{{ layer = "{name}", form = "dimpled" }}')
        for name in names
    ]
    (die,) = of(tools(*rows, sheets=skins), "dimple dies")

    assert die.purpose.startswith("form skin a, skin b, skin c")
    assert die.purpose.endswith(named)


def test_every_size_that_is_laid_out_says_where_it_comes_from():
    cited = {citation.source for citation in tools(row("one", 1, OUT_AND_IN)).citations}

    # The hole and the way the head comes off: AC 43.13-1B; pilot and temporary fasteners: practice.
    assert {"ac43", "common-practice"} <= cited
