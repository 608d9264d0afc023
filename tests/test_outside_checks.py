"""The README's page on outside checks is whole, and is what the tests found this very time."""

import ast
import re
import sys
from types import SimpleNamespace

import outside
import pytest
from outside import DOCUMENTS, LIBRARIES, TESTS, Named, Outcome, Run, named_in, read_module

from rivetkit.handbook import load_sources

MODULES = [read_module(path) for path in sorted(TESTS.glob("test_*.py"))]

#: Words of a test's name that tell a document.
_DOCUMENT_WORDS = re.compile(
    r"al0992|navedtra|hdbk|ac_?43|ac_?65|_tm_\d|mil_[rs]|nas1473|asme|esdu|training_|wartime"
)
#: Words by which a comment says that something was read somewhere.
_READ_WORDS = re.compile(r"\(seen|\(read\)|, seen\b|\(secondary\)")
#: What the tests use besides the libraries that judge: the tools they are written with.
TOOLS = {"pytest", "hypothesis", "numpy", "click", "rivetkit"}


@pytest.mark.skipif(not outside.README.exists(), reason="stands in the checkout only")
def test_the_page_is_what_the_tests_found():
    # Out of date? python tests/outside.py writes it again.
    found = outside.RUN.outcomes if outside.RUN.whole else outside.run_them()

    missing = set(outside.outside_checks()) - set(found)
    if missing:  # one that fails says so itself; one may want a tool that is not here
        pytest.skip(f"without {', '.join('::'.join(test) for test in sorted(missing))}")
    assert outside.shown_page() == outside.page(found)


def test_every_document_is_one_of_the_tables():
    assert set(DOCUMENTS) <= set(load_sources())


def test_no_document_of_the_tables_is_called_by_a_title_that_is_not_known():
    # A test may use a document's printed title: it must be found by it.
    for key in DOCUMENTS:
        title = load_sources()[key].title
        called = {one.key for one in named_in(title)}
        assert not called or key in called, title


def said_in(module):
    return [(module.path.name, test.name, module.said_of(test)) for test in module.tests()]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.path.stem)
def test_a_test_that_tells_a_document_by_its_name_or_a_place_names_it_in_words(module):
    for file, name, said in said_in(module):
        told = (
            _DOCUMENT_WORDS.search(name) or _READ_WORDS.search(said) or outside.PLACE.search(said)
        )
        if told:
            assert named_in(said), f"{file}: {name} names no document in a comment ({told[0]})"


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.path.stem)
def test_every_library_the_tests_use_is_listed(module):
    known = {
        *LIBRARIES,
        *TOOLS,
        *sys.stdlib_module_names,
        *(one.stem for one in TESTS.rglob("*.py")),
    }
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            used = {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            used = {node.module.split(".")[0]}
        else:
            continue
        assert used <= known, f"{module.path.name}, line {node.lineno}: {used - known}"


def test_every_library_listed_judges_something():
    assert set(LIBRARIES) <= {
        one.key for named in outside.outside_checks().values() for one in named
    }


@pytest.mark.parametrize(
    ("comment", "named"),
    [
        ("AC 43.13-1B par 4-57b, p 4-16 (seen): 2117", [("ac43", ("par 4-57b", "p 4-16"))]),
        ("MIL-HDBK-5 table 8.1.2(b), recalled: Fsu", [("mil-hdbk-5", ("table 8.1.2(b)",))]),
        ("A text quoting MIL-HDBK-5J: 64", [("MIL-HDBK-5J", ())]),
        (
            "MIL-HDBK-5H p 8-9; AL0992 page 59.",
            [("mil-hdbk-5h", ("p 8-9",)), ("army-al0992", ("p 59",))],
        ),
        ("TM 10-5410-229-13&P p 5-4", [("tm-10-5410-229", ("p 5-4",))]),
        ("TM 10-5410-223-24 table 2-3", [("tm-10-5410", ("table 2-3",))]),
        ("common practice, no source", []),
    ],
)
def test_documents_and_places_are_read_off_a_comment(comment, named):
    assert named_in(comment) == [Named(*one) for one in named]


def some_case(key, *, random=False):
    file, test = key
    return SimpleNamespace(
        path=TESTS / file,
        name=test,
        originalname=test,
        obj=SimpleNamespace(is_hypothesis_test=random),
    )


@pytest.fixture
def run(monkeypatch):
    run = Run()
    monkeypatch.setattr(outside, "RUN", run)
    return run


KEY = ("test_shop_head_limits.py", "test_the_greatest_head_is_that_of_the_training_table")


def test_a_case_counts_when_it_passes_with_the_number_that_was_furthest_off(run):
    for ours in (1.0, 1.2, 0.9):
        with run.noted(some_case(KEY)):
            assert ours == pytest.approx(1.0, abs=0.3)

    assert run.outcomes[KEY] == Outcome(3, (1.2, 1.0))


def test_numbers_in_lists_count_one_by_one(run):
    with run.noted(some_case(KEY)):
        assert pytest.approx([1.0, 4.0], rel=0.2) == [1.0, 4.4]

    assert run.outcomes[KEY].worst == (4.4, 4.0)


def test_a_case_that_fails_does_not_count(run):
    def failing():
        with run.noted(some_case(KEY)):
            assert len([]) == pytest.approx(0.1, abs=0.2)
            raise AssertionError

    with pytest.raises(AssertionError):
        failing()
    assert KEY not in run.outcomes


def test_a_case_of_random_inputs_tells_what_it_is_held_to(run):
    with run.noted(some_case(KEY, random=True)):
        assert pytest.approx(2.1, rel=0, abs=0.2) == 2.0

    assert run.outcomes[KEY] == Outcome(1, None, {(0.0, 0.2)})


def test_what_is_no_outside_check_is_not_noted(run):
    with run.noted(some_case(("test_errors.py", "test_nothing"))):
        assert pytest.approx(2.0) == 2.0

    assert run.outcomes == {}


def test_another_case_or_another_difference_is_another_page():
    def shown(cases, worst):
        found = {key: Outcome(1) for key in outside.outside_checks()}
        return outside.page({**found, KEY: Outcome(cases, worst)})

    pages = {shown(1, None), shown(2, None), shown(1, (0.21, 0.2)), shown(1, (0.2, 0.2 + 1e-12))}
    assert len(pages) == 4
    assert "5 % (0.21 for 0.2)" in shown(1, (0.21, 0.2))


def test_outcomes_go_to_another_process_and_come_back():
    told = {KEY: Outcome(3, (1.2, 1.0), {(0.0, 1e-9)}), ("a.py", "test_b"): Outcome(1)}

    assert outside.read_outcomes(outside.written_outcomes(told)) == told
