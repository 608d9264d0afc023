"""What the tests hold the results to from outside: documents and libraries, read off the tests.

A test names its document in a comment or in its docstring, with the place; or it uses a library.
This module reads that, and while the tests run it notes how many cases pass and how far a number
that was compared with a tolerance was off. The README's page is made of it.
"""

import ast
import io
import json
import re
import subprocess
import sys
import tempfile
import tokenize
from collections import Counter, defaultdict
from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import NamedTuple

TESTS = Path(__file__).parent

#: Libraries that judge results, and what they judge.
LIBRARIES = {
    "scipy": "integrals, constants of conversion, nearest neighbours",
    "shapely": "shapes, distances, areas",
    "pint": "conversion of units",
    "ezdxf": "drawings it writes, and ours that it reads",
    "pypdf": "the printed template, read back and measured",
    "jsonschema": "the schema of job files",
}

#: How tests call the documents of tables/sources.toml. Of two that fit the longer comes first.
DOCUMENTS = {
    "ac43": r"AC 43\.13-1B(?: Chg 1)?",
    "ac65-15a": r"AC 65-15A",
    "mil-hdbk-5h": r"MIL-HDBK-5H",
    "mil-hdbk-5f": r"MIL-HDBK-5F",
    "mil-hdbk-5": r"MIL-HDBK-5(?![A-Z])",
    "mil-r-47196a": r"MIL-R-47196A",
    "navy-14315": r"NAVEDTRA 14315",
    "navy-14018": r"NAVEDTRA 14018",
    "army-al0992": r"AL0992",
    "tm-10-5410-229": r"TM 10-5410-229-13&P",
    "tm-10-5410": r"TM 10-5410(?:-22\d-[\d/]+)?",
    "tm-9-2320-363": r"TM 9-2320-363-34-2",
    "tm-9-2320-302": r"TM 9-2320-302-34",
    "tm-9-2320-303": r"TM 9-2320-303-24-2|[Tt]he cab manual",
    "tm-1-1520-240-bd": r"TM 1-1520-240-BD",
    "tm-1-1500-204-23-6": r"TM 1-1500-204-23-6",
    "tm-1-1500-344-23-2": r"TM 1-1500-344-23-2",
    "tm-55-1500-345-23": r"TM 55-1500-345-23",
    "amt-handbook": r"FAA-H-8083-31|FAA handbook|mechanics' handbook|[Hh]andbook proportion",
    "wartime-manual": r"(?:[Ww]artime|[Pp]eriod)(?: service and)?(?: repair)? manual",
    "ifi-114": r"IFI-114",
    "iso-15981": r"ISO 15981",
    "iso-15977-family": r"ISO 15977",
    "iso-15973": r"ISO 15973",
    "nas9313": r"NAS9313",
    "nas1473": r"NAS1473",
    "drill-charts": r"ASME B94\.11M",
    "trade-2001": r"[Tt]rade (?:magazine primer|text)",
    "trade-review": r"[Tt]rade (?:magazine )?riveting review",
    "srm": r"[Ss]tructural repair manual",
    "light-aircraft-manual": r"[Ll]ight-aircraft (?:maintenance )?manual",
    "training-paper": r"[Tt]raining (?:paper|document)",
    "locked-spindle-process": r"[Ll]ocked-spindle rivet process manual",
    "rivet-code-card": r"[Rr]ivet code card",
    "aluminium-structures-text": r"[Aa]luminium structures text",
    "aluminium-design-manual": r"[Aa]luminium design manual",
    "density-chart": r"density chart",
    "clearance-chart": r"[Ss]crew clearance chart|public chart",
    "clearance-data": r"ASME B18\.2\.8",
    "esdu-02-01-09": r"ESDU 02\.01\.09",
    "vehicle-manual": r"[Vv]ehicle manual",
    "builders-forum": r"[Bb]uilders' (?:forum|rule)",
    "airframe-design-text": r"airframe design text",
    "materials-textbook": r"a textbook",
    "material-property-pages": r"property page",
    "plastic-sheet-maker": r"sheet maker",
    "nist-cryogenic": r"NIST",
}

#: Documents that no table takes a value from, and a test is held to all the same: how each was
#: read.
OTHER_DOCUMENTS = {
    "MIL-HDBK-5J": "secondary",
    "MIL-STD-889C": "secondary",
    "ISO 216": "memory",
    "TM 10-7360-209-13&P": "seen",
}

_KEYS = (*DOCUMENTS, *OTHER_DOCUMENTS)
_NAMED = re.compile(
    "|".join(
        f"(?P<d{number}>{pattern})"
        for number, pattern in enumerate((*DOCUMENTS.values(), *map(re.escape, OTHER_DOCUMENTS)))
    )
)
#: A place in a document: page, table, paragraph.
PLACE = re.compile(
    r"\b(?:tables?|pp?|pages?|par|ch|chapter|fig|figure|sec|section) "
    r"(?:[IVX]+\b|\d[\w./&-]*(?:\([\w]+\))*|[A-Z]\.?\d[\w.()-]*)"
    r"(?: (?:to|and) \d[\w.()-]*)*"
)
_SHORT = {"page": "p", "pages": "p", "pp": "p", "chapter": "ch", "figure": "fig", "section": "sec"}


class Named(NamedTuple):
    """A document with the places in it, or a library."""

    key: str
    places: tuple[str, ...] = ()


def named_in(text):
    """Return every document a text names, with its places."""
    hits = list(_NAMED.finditer(text))
    found = []
    for number, hit in enumerate(hits):
        end = hits[number + 1].start() if number + 1 < len(hits) else len(text)
        after = text[hit.end() : end]
        places = tuple(dict.fromkeys(_place(place) for place in PLACE.findall(after)))
        found.append(Named(_KEYS[int(hit.lastgroup[1:])], places))
    return found


def _place(text):
    word, _, where = text.rstrip(".,;").partition(" ")
    return f"{_SHORT.get(word, word)} {where}"


class Module:
    """A test module, read: its functions, its comments, and what the names in it stand for."""

    def __init__(self, path):
        text = path.read_text(encoding="utf-8")
        self.path = path
        self.tree = ast.parse(text)
        self.comments = {
            token.start[0]: token.string.lstrip("# ")
            for token in tokenize.generate_tokens(io.StringIO(text).readline)
            if token.type == tokenize.COMMENT
        }
        self.functions = {
            node.name: node for node in self.tree.body if isinstance(node, ast.FunctionDef)
        }
        self.constants = {
            target.id: node
            for node in self.tree.body
            if isinstance(node, ast.Assign)
            for target in node.targets
            if isinstance(target, ast.Name)
        }
        self.libraries = _libraries_of(self.tree.body)
        self.helpers = {
            alias.asname or alias.name: (node.module, alias.name)
            for node in self.tree.body
            if isinstance(node, ast.ImportFrom) and (TESTS / f"{node.module}.py").exists()
            for alias in node.names
        }

    def tests(self):
        """Return every test of the module."""
        return [node for name, node in self.functions.items() if name.startswith("test_")]

    def said_of(self, test):
        """Return what a test's comments and its docstring say, its cases' lists, its heading."""
        spans = [test]
        for decorator in test.decorator_list:
            names = {node.id for node in ast.walk(decorator) if isinstance(node, ast.Name)}
            spans += [self.constants[name] for name in names & set(self.constants)]
        said = [text for span in spans for text in self._comments_in(span)]
        said += [name for span in spans for name in _case_names(span)]
        headings = [line for line in self.comments if line < test.lineno and self._heads(line)]
        said += [self.comments[line] for line in headings[-1:]]
        return " ".join([*said, (ast.get_docstring(test) or "").replace("\n", " ")])

    def _heads(self, line):
        """Whether a comment is the heading of all that follows it."""
        return self.comments[line].startswith("---")

    def _comments_in(self, node):
        decorators = getattr(node, "decorator_list", [])
        start = min([node.lineno, *(one.lineno for one in decorators)])
        while start - 1 in self.comments and not self._heads(start - 1):
            start -= 1
        return [text for line, text in self.comments.items() if start <= line <= node.end_lineno]

    def libraries_in(self, function, seen):
        """Return the libraries a function uses, itself or by way of its helpers and fixtures."""
        if (self.path, function.name) in seen:
            return set()
        seen.add((self.path, function.name))
        names = {node.id for node in ast.walk(function) if isinstance(node, ast.Name)}
        fixtures = {argument.arg for argument in function.args.args} - _drawn_by_hypothesis(
            function
        )
        for name in names & set(self.constants):
            value = self.constants[name].value
            names |= {node.id for node in ast.walk(value) if isinstance(node, ast.Name)}
        found = set(_libraries_of(ast.walk(function)).values())
        found |= {library for name, library in self.libraries.items() if name in names}
        for name in names | fixtures:
            module, inner = self._home(name, fixture=name in fixtures)
            if module is not None and inner in module.functions:
                found |= module.libraries_in(module.functions[inner], seen)
        return found

    def _home(self, name, *, fixture):
        if name in self.functions:
            return self, name
        if name in self.helpers:
            module, inner = self.helpers[name]
            return read_module(TESTS / f"{module}.py"), inner
        conftest = read_module(TESTS / "conftest.py")
        return (conftest if fixture else None), name


def _drawn_by_hypothesis(function):
    """Return the arguments that hypothesis draws; they are no fixtures."""
    return {
        keyword.arg
        for decorator in function.decorator_list
        if isinstance(decorator, ast.Call) and ast.unparse(decorator.func) == "given"
        for keyword in decorator.keywords
    }


def _case_names(node):
    """Return what the cases of a list are called."""
    for keyword in (one for one in ast.walk(node) if isinstance(one, ast.keyword)):
        if keyword.arg == "id" and isinstance(keyword.value, ast.Constant):
            yield keyword.value.value


def _libraries_of(nodes):
    """Return the names that import statements bind to libraries that judge."""
    found = {}
    for node in nodes:
        if isinstance(node, ast.Import):
            modules = [
                (alias.asname or alias.name.split(".")[0], alias.name) for alias in node.names
            ]
        elif isinstance(node, ast.ImportFrom):
            modules = [(alias.asname or alias.name, node.module or "") for alias in node.names]
        elif isinstance(node, ast.Assign) and "importorskip" in ast.unparse(node.value):
            modules = [(node.targets[0].id, node.value.args[0].value)]
        else:
            continue
        for name, module in modules:
            if module.split(".")[0] in LIBRARIES:
                found[name] = module.split(".")[0]
    return found


@cache
def read_module(path):
    """Return a test module, read once."""
    return Module(path)


@cache
def outside_checks():
    """Return what every test is held to from outside, by file name and test; none for most."""
    found = {}
    for path in sorted(TESTS.glob("test_*.py")):
        module = read_module(path)
        for test in module.tests():
            named = named_in(module.said_of(test))
            named += [Named(one) for one in sorted(module.libraries_in(test, set()))]
            if named:
                found[path.name, test.name] = named
    return found


# --- while the tests run ---------------------------------------------------------------------


@dataclass
class Outcome:
    """How many cases of a test passed, and the number that was the furthest off.

    ``worst`` is ours and theirs, none where nothing was compared with a tolerance. ``held_to`` are
    the tolerances, relative and absolute, of comparisons on inputs drawn at random.
    """

    cases: int = 0
    worst: tuple[float, float] | None = None
    held_to: set[tuple[float, float]] = field(default_factory=set)


def is_one(item):
    """Whether a case is of an outside check."""
    return _key(item) in outside_checks()


def _key(item):
    return item.path.name, getattr(item, "originalname", item.name)


class Run:
    """What a run of the tests has found so far, by file name and test."""

    def __init__(self):
        self.outcomes = {}
        #: Whether every case of every outside check is among those to be run.
        self.whole = False
        #: Whether one was left out by name or mark.
        self.left_out = False
        self._noting = None
        self._random = False

    @contextmanager
    def noted(self, item):
        """Count a case when it passes, and note the numbers it compares."""
        key = _key(item)
        if key not in outside_checks():
            yield
            return
        before = self.outcomes.get(key, Outcome())
        trial = Outcome(before.cases + 1, before.worst, set(before.held_to))
        self._noting = trial
        self._random = getattr(getattr(item, "obj", None), "is_hypothesis_test", False)
        try:
            yield
        finally:
            self._noting = None
        self.outcomes[key] = trial

    def compared(self, ours, theirs, tolerances):
        """Note two numbers that were found equal within a tolerance."""
        if self._noting is None:
            return
        if self._random:
            self._noting.held_to.add(tolerances)
        elif self._noting.worst is None or off(ours, theirs) > off(*self._noting.worst):
            self._noting.worst = (float(ours), float(theirs))


RUN = Run()


def off(ours, theirs):
    """Return how far off a number is, as a share of the other one; nought counts as one."""
    return abs(ours - theirs) / (abs(theirs) or 1.0)


def watch_approx(approx):
    """Have every number that ``pytest.approx`` finds equal noted while an outside check runs."""
    scalar = type(approx(1.0))
    judge = scalar.__eq__

    def judged(self, actual):
        equal = judge(self, actual)
        if equal is True and _is_number(actual) and _is_number(self.expected):
            RUN.compared(actual, self.expected, (self.rel or 0.0, self.abs or 0.0))
        return equal

    scalar.__eq__ = judged


def _is_number(value):
    return isinstance(value, (int, float, Fraction)) and not isinstance(value, bool)


# --- the page ----------------------------------------------------------------------------------

#: Less than this share of a number is rounding of binary numbers.
_ROUNDING = 1e-9


def page(outcomes):
    """Return the README's page on outside checks, of what a run of all of them found."""
    lines = [
        "",
        _total(outcomes),
        "The run of the tests counts them itself, and a test fails when this page is out of date:",
        "`python tests/outside.py` writes it again. A test may name several documents, and counts",
        "for each. The difference is the largest of all, as a share of the printed number, ours",
        "for theirs; most of it is the print's last digit. `equal` needed no tolerance. Inputs",
        "drawn at random tell only what they are held to.",
        "",
        "| document | values of it in the tables are | where in it | cases | largest difference |",
        "|---|---|---|---|---|",
        *_rows(outcomes, libraries=False),
        "",
        "| library | what it judges | cases | largest difference |",
        "|---|---|---|---|",
        *_rows(outcomes, libraries=True),
        "",
        "A row of a table counts as one value. How far they can be trusted:",
        "",
        "| basis | values | share | what it means |",
        "|---|---|---|---|",
        *_basis_rows(),
        "",
    ]
    return "\n".join(lines)


def _total(outcomes):
    cases = sum(outcome.cases for outcome in outcomes.values())
    return f"{len(outcomes)} tests in {cases:,} cases hold the results to something from outside."


def _rows(outcomes, *, libraries):
    by_key = defaultdict(list)
    places = defaultdict(dict)
    for test, named in outside_checks().items():
        for one in named:
            by_key[one.key].append(outcomes[test])
            places[one.key].update(dict.fromkeys(one.places))
    for key in LIBRARIES if libraries else _KEYS:
        found = by_key.get(key)
        if found:
            middle = (
                [LIBRARIES[key]] if libraries else [_read(key), "; ".join(_sorted(places[key]))]
            )
            cases = sum(one.cases for one in {id(one): one for one in found}.values())
            yield _row(key if libraries else _title(key), *middle, f"{cases:,}", _difference(found))


def _row(*cells):
    return f"| {' | '.join(cells)} |"


def _sorted(places):
    def numbers(place):
        return [int(part) if part.isdigit() else part for part in re.split(r"(\d+)", place)]

    return sorted(places, key=lambda place: [str(part).zfill(6) for part in numbers(place)])


def _title(key):
    from rivetkit.handbook import load_sources

    source = load_sources().get(key)
    return key if source is None else source.title


def _read(key):
    from rivetkit.handbook.ledger import documents

    if key in OTHER_DOCUMENTS:
        return f"none; {OTHER_DOCUMENTS[key]}"
    bases = next(one.by_basis for one in documents() if one.source.key == key)
    return ", ".join(basis for basis, count in bases if count)


def _difference(found):
    worst = [one.worst for one in found if one.worst is not None]
    said = []
    if worst:
        ours, theirs = max(worst, key=lambda pair: off(*pair))
        share = off(ours, theirs)
        said.append(
            "rounding of binary numbers"
            if share <= _ROUNDING
            else f"{_digits(100 * share, 2)} % ({_digits(ours, 6)} for {_digits(theirs, 6)})"
        )
    held = [tolerances for one in found for tolerances in one.held_to if any(tolerances)]
    if held:
        shares, amounts = zip(*held, strict=True)
        most = [f"{_digits(100 * max(shares), 2)} %"] if max(shares) else []
        most += [_digits(max(amounts), 2)] if max(amounts) else []
        said.append(f"at random within {' or '.join(most)}")
    return "; ".join(said) or "equal"


def _digits(value, count):
    return f"{value:.{count}g}"


def _basis_rows():
    from rivetkit.handbook.ledger import TABLE_BASES, table_ledger
    from rivetkit.handbook.sources import BASIS_MEANING

    counts = Counter()
    for entry in table_ledger():
        counts.update(dict(entry.by_basis))
    for basis in TABLE_BASES:
        share = 100 * counts[basis] / counts.total()
        yield _row(f"`{basis}`", f"{counts[basis]:,}", f"{share:.0f} %", BASIS_MEANING[basis])


README = TESTS.parent / "README.md"
_PAGE = re.compile(r"(<!-- outside checks -->\n)(.*?)(<!-- end of outside checks -->)", re.DOTALL)


def shown_page():
    """Return the page as the README has it."""
    return _PAGE.search(README.read_text(encoding="utf-8"))[2]


def write_page(text):
    """Put a page into the README."""
    whole = README.read_text(encoding="utf-8")
    README.write_text(_PAGE.sub(lambda found: found[1] + text + found[3], whole), encoding="utf-8")


def run_them(*more):
    """Run every outside check in a process of its own and return what it found."""
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder) / "outcomes.json"
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(TESTS)]
        command += ["--only-outside", "--tell-outside", str(told), *more]
        done = subprocess.run(
            command, capture_output=True, text=True, check=False, cwd=TESTS.parent
        )
        if done.returncode:
            raise RuntimeError(done.stdout[-2000:] + done.stderr[-2000:])
        return read_outcomes(told.read_text(encoding="utf-8"))


def written_outcomes(outcomes):
    """Return outcomes as text for another process."""
    listed = [
        [*key, one.cases, one.worst, sorted(one.held_to)] for key, one in sorted(outcomes.items())
    ]
    return json.dumps(listed)


def read_outcomes(text):
    """Return the outcomes another process has written."""
    return {
        (file, test): Outcome(cases, None if worst is None else tuple(worst), set(map(tuple, held)))
        for file, test, cases, worst, held in json.loads(text)
    }


if __name__ == "__main__":
    write_page(page(run_them()))
