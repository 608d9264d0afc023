"""One order over several jobs: against sums done by hand, and what must hold of any order."""

import csv
import io
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rivetkit.calculators.mass import rivet_mass_lb
from rivetkit.calculators.order import SparesPolicy, order_quantity
from rivetkit.cli.app import exit_code_of
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.planning.order_list import joint_policy, order_list
from rivetkit.planning.parts import FitLine

EXAMPLES = Path(__file__).parent.parent / "examples"
BOTH = [str(EXAMPLES / "elevator.toml"), str(EXAMPLES / "inspection_cover.toml")]
ELEVATOR = "Left elevator, both skins replaced"
COVER = "Inspection cover, new doubler ring"

PARTS = ("MS20470AD4-4", "MS20470AD4-5", "MS20426AD3-3.5", "MS20470AD3-10")


def line(part_number, count):
    part = parse_part_number(part_number)
    quantity = order_quantity(count, SparesPolicy())
    return FitLine(part, (("row", count),), quantity, rivet_mass_lb(part))


def called(arguments, capsys):
    code = exit_code_of(arguments)
    seen = capsys.readouterr()
    return code, seen.out, seen.err


def ordered(arguments, capsys):
    code, out, err = called(["order", *arguments, "--json"], capsys)
    assert err == ""
    return code, json.loads(out)["result"]


needs = st.dictionaries(st.sampled_from(PARTS), st.integers(1, 5000), max_size=len(PARTS))
jobs_of = st.lists(needs, min_size=1, max_size=5)
policies = st.builds(SparesPolicy, st.integers(0, 100), st.integers(0, 50), st.integers(1, 500))


def lines_of(jobs):
    return {
        f"job {number}": [line(part, count) for part, count in job.items()]
        for number, job in enumerate(jobs)
    }


# --- by hand -----------------------------------------------------------------------------------


def test_the_two_examples_summed_by_hand(capsys):
    """Elevator: each of ribs 2 to 7 has 17 holes less the spar's, so 7 x 16 = 112 of the -3 on
    either side; 64 + 8 x 2 nutplate rivets = 80; trailing edge 64 and the cover's 4 x 2 = 72.
    Spares are 10 percent rounded up or 10, packs 50: the more generous of both job files.
    """
    code, result = ordered(BOTH, capsys)
    assert code == 0
    found = {
        part["part_number"]: (part["net"], part["spares"], part["packs"], part["order"])
        for part in result["parts"]
    }
    assert found == {
        "MS20426AD3-3": (112, 12, 3, 150),
        "MS20426AD3-3.5": (80, 10, 2, 100),
        "MS20426AD3-4": (72, 10, 2, 100),
        "MS20470AD3-3": (112, 12, 3, 150),
        "MS20470AD3-3.5": (64, 10, 2, 100),
        "MS20470AD4-4": (24, 10, 1, 50),
    }
    assert result["spares"]["jobs_differed_in"] == ["minimum", "pack"]
    (shared,) = (part for part in result["parts"] if part["part_number"] == "MS20426AD3-4")
    assert shared["jobs"] == [{"job": ELEVATOR, "count": 64}, {"job": COVER, "count": 8}]
    assert result["totals"]["order"] == 150 + 100 + 100 + 150 + 100 + 50


def test_options_come_before_the_jobs_own_policy(capsys):
    _, result = ordered([*BOTH, "--percent", "25", "--minimum", "0", "--pack", "1"], capsys)
    assert result["spares"]["jobs_differed_in"] == []
    found = {part["part_number"]: part["order"] for part in result["parts"]}
    assert found["MS20426AD3-4"] == 90  # 72 and a quarter
    assert found["MS20470AD4-4"] == 30


def test_the_report_says_that_the_jobs_differ(capsys):
    _, out, _ = called(["order", *BOTH], capsys)
    assert "differ in minimum and pack" in " ".join(out.split())
    _, out, _ = called(["order", BOTH[0]], capsys)
    assert "differ" not in out


def test_text_and_csv_tell_the_same_pieces(capsys):
    _, result = ordered(BOTH, capsys)
    _, text, _ = called(["order", *BOTH], capsys)
    _, out, _ = called(["order", *BOTH, "--format", "csv"], capsys)
    rows = list(csv.reader(io.StringIO(out)))
    header = next(row for row in rows if row[:2] == ["parts", "part_number"])
    in_csv = [dict(zip(header, row, strict=True)) for row in rows if row[0] == "parts"][1:]
    for part, sheet in zip(result["parts"], in_csv, strict=True):
        assert [sheet["part_number"], int(sheet["order"])] == [part["part_number"], part["order"]]
        printed = next(row for row in text.splitlines() if part["part_number"] in row.split())
        assert str(part["order"]) in printed.split()


# --- laws --------------------------------------------------------------------------------------


@given(jobs_of, policies)
def test_the_needs_add_up(jobs, policy):
    parts = {part.part.designation: part for part in order_list(lines_of(jobs), policy)}
    for number in PARTS:
        need = sum(job.get(number, 0) for job in jobs)
        assert (number in parts) == (need > 0)
        if need:
            assert parts[number].quantity.net == need == sum(n for _, n in parts[number].jobs)
            assert parts[number].quantity.order >= need + parts[number].quantity.spares


@given(jobs_of, policies, st.randoms())
def test_the_order_of_the_jobs_does_not_matter(jobs, policy, random):
    told = list(lines_of(jobs).items())
    shuffled = random.sample(told, len(told))
    one, other = order_list(dict(told), policy), order_list(dict(shuffled), policy)
    assert [(part.part, part.quantity) for part in one] == [
        (part.part, part.quantity) for part in other
    ]
    assert [sorted(part.jobs) for part in one] == [sorted(part.jobs) for part in other]


@given(jobs_of, policies)
def test_one_order_is_never_more_than_an_order_for_each_job(jobs, policy):
    together = sum(part.quantity.order for part in order_list(lines_of(jobs), policy))
    apart = sum(order_quantity(count, policy).order for job in jobs for count in job.values())
    assert together <= apart


@given(st.lists(policies, min_size=1, max_size=4), st.integers(1, 3000))
def test_the_joint_policy_serves_every_job(own, need):
    joint = joint_policy(own)
    spares = order_quantity(need, joint.policy).spares
    assert all(spares >= order_quantity(need, policy).spares for policy in own)
    assert (joint.differed == ()) == (len(set(own)) == 1)


def test_parts_of_an_older_standard_are_one_line_with_the_one_that_covers_it():
    """MS20470 replaced AN470 (as rivetkit's own reader of part numbers knows it, from memory)."""
    jobs = {"a": [line("AN470AD4-4", 10)], "b": [line("MS20470AD4-4", 5)]}
    (part,) = order_list(jobs, SparesPolicy())
    assert part.quantity.net == 15


# --- what people get wrong ---------------------------------------------------------------------


@pytest.mark.parametrize("second", ["elevator.toml", "./elevator.toml", "../{name}/elevator.toml"])
def test_a_job_given_twice_is_an_error(second, capsys, monkeypatch):
    monkeypatch.chdir(EXAMPLES)
    second = second.format(name=EXAMPLES.name)
    code, out, err = called(["order", "elevator.toml", second], capsys)
    assert (code, out) == (2, "")
    assert "given twice" in err
    assert err.count("\n") == 1


def test_two_files_with_one_name_are_told_apart(tmp_path, capsys):
    text = (EXAMPLES / "inspection_cover.toml").read_text(encoding="utf-8")
    files = [tmp_path / "left.toml", tmp_path / "right.toml"]
    for file in files:
        file.write_text(text, encoding="utf-8")
    _, result = ordered([str(file) for file in files], capsys)
    assert [job["job"] for job in result["jobs"]] == [f"{COVER} ({file})" for file in files]
    assert [part["net"] for part in result["parts"]] == [16, 48]


def test_a_job_that_fails_is_told_and_exits_1(tmp_path, capsys):
    text = (EXAMPLES / "inspection_cover.toml").read_text(encoding="utf-8")
    file = tmp_path / "tight.toml"
    file.write_text(text.replace("diameter = 7.25", "diameter = 7.7"), encoding="utf-8")
    code, out, err = called(["order", BOTH[0], str(file)], capsys)
    assert (code, err) == (1, "")
    assert "Settle before ordering" in out
    assert "FAIL" in out


def test_an_error_in_a_job_names_its_file(tmp_path, capsys):
    text = (EXAMPLES / "inspection_cover.toml").read_text(encoding="utf-8")
    file = tmp_path / "off.toml"
    file.write_text(text.replace("diameter = 7.25", "diameter = 9"), encoding="utf-8")
    code, _, err = called(["order", BOTH[0], str(file)], capsys)
    assert code == 2
    assert "off.toml" in err


def test_no_job_is_refused():
    with pytest.raises(InputError, match="at least one"):
        joint_policy([])
