"""Reading the tables: where they are found, and what is said when one is wrong."""

import os
import shutil
import subprocess
import sys
import zipfile
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import ClassVar, Literal

import pytest

import rivetkit
from rivetkit.errors import TableError
from rivetkit.handbook import Row, ledger, load, load_table, sources
from rivetkit.handbook.ledger import documents, table_ledger
from rivetkit.handbook.locate import tables_root
from rivetkit.handbook.rows.every import TABLES
from rivetkit.handbook.sources import BASIS_ORDER, load_sources


@dataclass(frozen=True, kw_only=True)
class BarRow(Row):
    """A made-up table: bucking bars."""

    table: ClassVar[str] = "practice/bucking_bars.csv"
    name: str
    shape: Literal["block", "foot"]
    mass_lb: float
    slot_in: Fraction | None
    polished: bool


HEADER = "name,shape,mass_lb,slot_in,polished,source,locator,basis,note"
GOOD = "small,block,1/2,3/32,yes,common-practice,the bench,practice,"


@pytest.fixture
def read_bars(tmp_path, monkeypatch):
    """Return a function that reads the given lines as the table of bucking bars."""
    monkeypatch.setattr(load, "tables_root", lambda: tmp_path)
    (tmp_path / "practice").mkdir()

    def read(*lines: str):
        text = "\n".join(lines) + "\n"
        (tmp_path / BarRow.table).write_text(text, encoding="utf-8")
        return load_table.__wrapped__(BarRow)

    return read


def test_cells_become_typed_values_and_an_empty_optional_cell_none(read_bars):
    rows = read_bars(
        HEADER, GOOD, '"long, narrow",foot,2.25,,no,common-practice,"p 3, foot",seen,"a, b"'
    )
    first, second = rows
    assert (first.mass_lb, first.slot_in, first.polished) == (0.5, Fraction(3, 32), True)
    assert (second.name, second.slot_in, second.polished) == ("long, narrow", None, False)
    assert (second.locator, second.note) == ("p 3, foot", "a, b")


def test_a_note_column_may_be_left_out(read_bars):
    rows = read_bars(HEADER.removesuffix(",note"), GOOD.removesuffix(","))
    assert rows[0].note == ""


@pytest.mark.parametrize(
    ("good", "bad", "column", "expected"),
    [
        ("1/2", "heavy", "mass_lb", "'heavy' should be a number"),
        ("1/2", "1/0", "mass_lb", "'1/0' should be a number"),
        ("1/2", "nan", "mass_lb", "'nan' should be a number"),
        ("1/2", "inf", "mass_lb", "'inf' should be a number"),
        ("1/2", "", "mass_lb", "'' should be a number"),
        ("3/32", "3/32 in", "slot_in", "'3/32 in' should be a number or a fraction"),
        ("yes", "true", "polished", "'true' should be yes or no"),
        ("block", "cube", "shape", "'cube' should be one of block, foot"),
        (
            "common-practice",
            "hearsay",
            "source",
            "'hearsay' should be the key of a document in sources.toml",
        ),
        (
            "the bench",
            "",
            "locator",
            "'' should be where in the document it stands; 'shop practice' for common practice",
        ),
        (
            "practice",
            "certain",
            "basis",
            "'certain' should be one of seen, derived, secondary, practice, memory",
        ),
    ],
)
def test_a_bad_cell_is_named_by_file_line_and_column(read_bars, good, bad, column, expected):
    split = GOOD.rsplit if good == "practice" else GOOD.split
    before, after = split(good, 1)
    with pytest.raises(TableError) as caught:
        read_bars(HEADER, GOOD, before + bad + after)
    where = f"practice/bucking_bars.csv: line 3: column '{column}'"
    assert str(caught.value) == f"{where}: {expected}; correct the cell"


def test_a_missing_column_is_named(read_bars):
    header = HEADER.replace("mass_lb,", "")
    with pytest.raises(TableError) as caught:
        read_bars(header, GOOD.replace("1/2,", ""))
    assert str(caught.value) == "practice/bucking_bars.csv: no column 'mass_lb'; add it"


def test_an_unknown_column_is_named_and_the_known_ones_listed(read_bars):
    with pytest.raises(TableError) as caught:
        read_bars(HEADER + ",colour", GOOD + ",red")
    assert "practice/bucking_bars.csv: unknown column 'colour'; columns are " in str(caught.value)
    assert "mass_lb, slot_in, polished" in str(caught.value)


def test_a_column_that_stands_twice_is_named(read_bars):
    with pytest.raises(TableError) as caught:
        read_bars(HEADER + ",shape", GOOD + ",foot")
    assert str(caught.value) == "practice/bucking_bars.csv: two columns 'shape'; keep one"


def test_a_quote_left_open_is_named_by_line(read_bars):
    with pytest.raises(TableError) as caught:
        read_bars(HEADER, GOOD, '"small,block')
    assert str(caught.value) == (
        "practice/bucking_bars.csv: line 3: the row cannot be read (unexpected end of data); "
        "correct its quotes"
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[one\n", "correct the file"),
        ('[one]\ntitle = "Chart"\n', "entry 'one': .*; an entry has title, edition, publisher"),
    ],
)
def test_a_bad_list_of_documents_is_named(tmp_path, monkeypatch, text, words):
    monkeypatch.setattr(sources, "tables_root", lambda: tmp_path)
    (tmp_path / "sources.toml").write_text(text, encoding="utf-8")
    with pytest.raises(TableError, match=f"^sources.toml: {words}|^sources.toml: .*; {words}"):
        load_sources.__wrapped__()


@pytest.mark.parametrize("row", ["small,block,1/2", GOOD + "heavy, with a comma"])
def test_a_row_of_the_wrong_width_is_named_by_line(read_bars, row):
    with pytest.raises(TableError) as caught:
        read_bars(HEADER, GOOD, row)
    assert str(caught.value) == (
        "practice/bucking_bars.csv: line 3: the row does not have 9 cells; "
        "quote a cell that holds a comma"
    )


def test_a_missing_file_is_named(tmp_path, monkeypatch):
    monkeypatch.setattr(load, "tables_root", lambda: tmp_path)
    with pytest.raises(TableError) as caught:
        load_table.__wrapped__(BarRow)
    assert "practice/bucking_bars.csv: the table cannot be read" in str(caught.value)


@pytest.mark.parametrize("row_type", TABLES, ids=lambda row_type: row_type.table)
def test_every_table_loads(row_type):
    assert load_table(row_type)


@pytest.mark.parametrize("row_type", TABLES, ids=lambda row_type: row_type.table)
def test_what_was_inferred_is_not_marked_as_read(row_type):
    for row in load_table(row_type):
        assert row.basis != "seen" or "inferred" not in row.note, row


# --- where the tables are found ------------------------------------------------------------------

PACKAGE = Path(rivetkit.__file__).parent
COUNT_PUNCHES = (
    "import rivetkit; from rivetkit.handbook import load_table, load_sources; "
    "from rivetkit.handbook.rows.practice import PinPunchRow; "
    "print(rivetkit.__file__); print(len(load_table(PinPunchRow)), len(load_sources()))"
)


def copy_package(target: Path) -> None:
    shutil.copytree(PACKAGE, target, ignore=shutil.ignore_patterns("__pycache__", "_tables"))


def copy_tables(target: Path) -> None:
    shutil.copytree(Path(str(tables_root())), target)


def run_python(code: str, *, search_path: Path, folder: Path) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(search_path), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        [sys.executable, "-c", code],
        env=environment,
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def expect_tables_read(run: subprocess.CompletedProcess[str], search_path: Path) -> None:
    assert run.returncode == 0, run.stderr
    imported_from, counts = run.stdout.splitlines()
    assert imported_from.startswith(str(search_path))
    # Seven stock pin punches: common practice, no source.
    assert counts == f"7 {len(load_sources())}"


def test_tables_are_read_from_inside_a_zip(tmp_path):
    tree = tmp_path / "tree"
    copy_package(tree / "rivetkit")
    copy_tables(tree / "rivetkit" / "_tables")
    archive = tmp_path / "rivetkit.zip"
    with zipfile.ZipFile(archive, "w") as bundle:
        for file in sorted(tree.rglob("*")):
            bundle.write(file, file.relative_to(tree))
    shutil.rmtree(tree)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    run = run_python(COUNT_PUNCHES, search_path=archive, folder=elsewhere)
    expect_tables_read(run, archive)


def test_tables_are_read_from_a_bare_checkout_and_another_folder(tmp_path):
    checkout = tmp_path / "checkout"
    copy_package(checkout / "rivetkit")
    copy_tables(checkout / "tables")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    run = run_python(COUNT_PUNCHES, search_path=checkout, folder=elsewhere)
    expect_tables_read(run, checkout)


def test_a_folder_called_tables_that_is_not_ours_is_not_taken(tmp_path):
    copy_package(tmp_path / "site" / "rivetkit")
    foreign = tmp_path / "site" / "tables"
    (foreign / "practice").mkdir(parents=True)
    (foreign / "practice" / "pin_punches.csv").write_text("diameter\n1\n", encoding="utf-8")
    code = (
        "from rivetkit.errors import TableError; from rivetkit.handbook.locate import tables_root\n"
        "try: tables_root()\n"
        "except TableError as error: print(error)"
    )
    run = run_python(code, search_path=tmp_path / "site", folder=tmp_path)
    assert run.returncode == 0, run.stderr
    assert "the handbook tables are missing; install rivetkit again" in run.stdout
    assert str(tmp_path / "site" / "rivetkit" / "_tables") in run.stdout
    assert str(foreign) in run.stdout


def test_shipped_tables_win_over_a_folder_beside_the_package(tmp_path):
    site = tmp_path / "site"
    copy_package(site / "rivetkit")
    copy_tables(site / "rivetkit" / "_tables")
    (site / "tables" / "practice").mkdir(parents=True)
    (site / "tables" / "sources.toml").write_text("", encoding="utf-8")
    run = run_python(COUNT_PUNCHES, search_path=site, folder=tmp_path)
    expect_tables_read(run, site)


# --- the ledger ----------------------------------------------------------------------------------


def bar(basis: str, source: str) -> BarRow:
    return BarRow(
        name="bar",
        shape="block",
        mass_lb=1.0,
        slot_in=None,
        polished=True,
        source=source,
        locator="",
        basis=basis,  # type: ignore[arg-type]
    )


@pytest.fixture
def one_table(monkeypatch):
    """Make the ledger see one table of four rows."""
    rows = (
        bar("memory", "common-practice"),
        bar("seen", "ac43"),
        bar("seen", "ac43"),
        bar("derived", "ac43"),
    )
    monkeypatch.setattr(ledger, "TABLES", (BarRow,))
    monkeypatch.setattr(ledger, "load_table", lambda _: rows)


@pytest.mark.usefixtures("one_table")
def test_the_ledger_counts_rows_by_basis_and_ranks_the_documents():
    (entry,) = table_ledger()
    assert (entry.table, entry.rows) == ("practice/bucking_bars.csv", 4)
    assert entry.by_basis == (
        ("seen", 2),
        ("derived", 1),
        ("secondary", 0),
        ("practice", 0),
        ("memory", 1),
    )
    assert entry.sources == ("ac43", "common-practice")
    assert entry.seen_share == 0.5


@pytest.mark.usefixtures("one_table")
def test_documents_are_ranked_by_the_values_they_back():
    first, second, *rest = documents()
    assert (first.source.key, first.values) == ("ac43", 3)
    assert dict(first.by_basis)["derived"] == 1
    assert first.tables == ("practice/bucking_bars.csv",)
    assert (second.source.key, second.values) == ("common-practice", 1)
    assert {entry.values for entry in rest} == {0}
    assert len(rest) == len(load_sources()) - 2


def test_a_row_with_an_unlisted_document_is_refused(monkeypatch):
    monkeypatch.setattr(ledger, "TABLES", (BarRow,))
    monkeypatch.setattr(ledger, "load_table", lambda _: (bar("seen", "hearsay"),))
    for count in (table_ledger, documents):
        with pytest.raises(TableError, match="no document has the key 'hearsay'"):
            count()


def test_the_ledger_covers_every_table_once_and_loses_no_row():
    entries = table_ledger()
    assert [entry.table for entry in entries] == [row_type.table for row_type in TABLES]
    assert all(sum(count for _, count in entry.by_basis) == entry.rows for entry in entries)
    assert sum(entry.values for entry in documents()) == sum(entry.rows for entry in entries)
    assert [word for word, _ in entries[0].by_basis] == list(BASIS_ORDER[1:])
