"""Public functions tell their units, their errors and their sources, and their examples run."""

import ast
import doctest
import importlib
import re
from pathlib import Path

import pytest

import rivetkit
from rivetkit.handbook import load_sources
from rivetkit.handbook.locate import tables_root

PACKAGE = Path(rivetkit.__file__).parent

#: What a person calls from Python. Job readers, reports and commands serve rivetkit itself.
CALLED_FROM_PYTHON = {
    "calculators",
    "checks.py",
    "drills.py",
    "fasteners",
    "geometry",
    "materials.py",
    "planning",
    "quantities",
    "rules.py",
}

#: Ending of a parameter's name -> what stands in its description.
UNITS = {
    "_in": "[in]",
    "_in2": "[in2]",
    "_in3": "[in3]",
    "_lbf": "[lbf]",
    "_lb": "[lb]",
    "_lb_in": "[lb in]",
    "_ksi": "[ksi]",
    "_psi": "[psi]",
    "_deg": "[deg]",
    "_degf": "[degF]",
}

#: A docstring may point to a neighbour that takes the same arguments and fails in the same way.
POINTER = re.compile(r"[Pp]arameters and errors are those of\s+:func:`(\w+)`")


# --- reading a docstring ---------------------------------------------------------------------


def unit_of(name):
    """Return the unit that the ending of a parameter's name promises, None if it promises none."""
    endings = [ending for ending in UNITS if name.lower().endswith(ending)]
    return UNITS[max(endings, key=len)] if endings else None


def sections_of(text):
    """Return the sections of a numpydoc text; what stands before the first has the title ''."""
    found = {"": []}
    title = ""
    for line in text.splitlines():
        if line and set(line) == {"-"}:
            title = found[title].pop()
            found[title] = []
        else:
            found[title].append(line)
    return {title: "\n".join(lines) for title, lines in found.items()}


def entries_of(section):
    """Return name -> description of a Parameters section; 'a, b' share one description."""
    found = {}
    names = []
    for line in section.splitlines():
        if re.fullmatch(r"\w+(, \w+)*", line):
            names = line.split(", ")
            found.update(dict.fromkeys(names, ""))
        else:
            found.update({name: f"{found[name]}{line}\n" for name in names})
    return found


def told_by(function, functions):
    """Return the text that tells the parameters and errors of a function, pointers followed."""
    text = ast.get_docstring(function) or ""
    pointer = POINTER.search(text)
    if pointer is None:
        return text
    return told_by(functions[pointer[1]], functions) if pointer[1] in functions else ""


# --- reading a function ----------------------------------------------------------------------


def parameters_of(function):
    given = function.args
    names = [one.arg for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
    return [name for name in names if name not in {"self", "cls"}]


def errors_of(function):
    """Return the names of the errors a function makes and raises; '' for one it is handed."""
    names = set()
    for node in ast.walk(function):
        if isinstance(node, ast.Raise) and node.exc is not None:
            made = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            name = made.id if isinstance(made, ast.Name) else ""
            names.add(name if name[:1].isupper() else "")
    return names


def public_functions(tree):
    """Yield name and node of the public functions and of the public methods of public classes."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for method in node.body:
                if isinstance(method, ast.FunctionDef) and not method.name.startswith("_"):
                    yield f"{node.name}.{method.name}", method


# --- what a docstring leaves untold ----------------------------------------------------------


def faults(function, functions):
    if not ast.get_docstring(function):
        return ["no docstring"]
    text = told_by(function, functions)
    if not text:
        return ["points to a function that is not there"]
    own = text == ast.get_docstring(function)
    told = sections_of(text)
    return [*parameter_faults(function, told, own=own), *error_faults(function, told)]


def parameter_faults(function, told, *, own):
    names = parameters_of(function)
    if "Parameters" not in told:
        for name in names:
            if unit_of(name) and unit_of(name) not in told[""]:
                yield f"{name}: no {unit_of(name)}"
            several = sum(unit_of(other) is not None for other in names) > 1
            if unit_of(name) and several and name.split("_")[0] not in told[""].lower():
                yield f"{name}: not explained"
        return
    entries = entries_of(told["Parameters"])
    if own and list(entries) != names:
        yield f"takes {', '.join(names)}; describes {', '.join(entries)}"
    for name in names:
        # Where another function describes them, the first may be called after this one's subject.
        if name not in entries and (own or name != names[0]):
            yield f"{name}: not described"
        text = entries.get(name)
        if text is not None and unit_of(name) and not re.search(r"\bAs for :func:", text):
            yield from () if unit_of(name) in text else (f"{name}: no {unit_of(name)}",)


def error_faults(function, told):
    raised = errors_of(function)
    if raised and "Raises" not in told:
        yield "raises, and no Raises section tells when"
    for name in raised:
        if name not in told.get("Raises", name):
            yield f"raises {name}, and does not tell when"


# --- the package -----------------------------------------------------------------------------

MODULES = [
    path
    for path in sorted(PACKAGE.rglob("*.py"))
    if path.relative_to(PACKAGE).parts[0] in CALLED_FROM_PYTHON
]
TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in MODULES}
FUNCTIONS = {name: node for tree in TREES.values() for name, node in public_functions(tree)}


def module_name(path):
    return str(path.relative_to(PACKAGE))


@pytest.mark.parametrize("path", MODULES, ids=module_name)
def test_public_functions_tell_their_units_and_errors(path):
    untold = [
        f"line {node.lineno} {name}: {fault}"
        for name, node in public_functions(TREES[path])
        for fault in faults(node, FUNCTIONS)
    ]
    assert untold == []


def test_pointers_are_not_ambiguous():
    """A pointer names a function, so two functions of one name must not both be pointed to."""
    pointed = {
        pointer[1]
        for node in FUNCTIONS.values()
        for pointer in POINTER.finditer(ast.get_docstring(node) or "")
    }
    names = [name for tree in TREES.values() for name, _ in public_functions(tree)]
    assert [name for name in pointed if names.count(name) != 1] == []


GOOD = '''
def edge_left_in(edge_in: float, *, diameter_in: float) -> float:
    """Return what is left of an edge.

    Parameters
    ----------
    edge_in
        Centre to edge [in].
    diameter_in
        Of the hole [in].

    Raises
    ------
    InputError
        When the hole breaks out.
    """
    if edge_in < diameter_in / 2:
        raise InputError("the hole breaks out")
    return edge_in - diameter_in / 2
'''


@pytest.mark.parametrize(
    ("good", "bad", "fault"),
    [
        ("Return what is left", "Return what is left", None),
        ("Centre to edge [in].", "Centre to edge.", "edge_in: no [in]"),
        ("    edge_in\n        Centre", "    edge\n        Centre", "edge_in: not described"),
        ("    Raises\n    ------", "    Notes\n    -----", "raises, and no Raises section"),
        ("    InputError\n", "    KeyError\n", "raises InputError, and does not tell when"),
        ("*, diameter_in", "*, spare, diameter_in", "takes edge_in, spare, diameter_in; describes"),
        ("Return what is left of an edge.", "Parameters and errors are those of :func:`gone`.",
         "points to a function that is not there"),
    ],
)  # fmt: skip
def test_a_planted_fault_is_found(good, bad, fault):
    assert good in GOOD
    (function,) = ast.parse(GOOD.replace(good, bad)).body
    found = faults(function, {"edge_left_in": function})
    assert found == [] if fault is None else any(fault in one for one in found)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("Return the sum of edge [in] and pitch.", []),
        ("Return the sum of edge and pitch.", ["edge_in: no [in]", "pitch_in: no [in]"]),
        ("Return the sum of edge [in] and another.", ["pitch_in: not explained"]),
    ],
)
def test_a_short_docstring_still_explains_each_quantity(words, found):
    source = f'def total(edge_in, pitch_in):\n    """{words}"""'
    (function,) = ast.parse(source).body
    assert faults(function, {}) == found


# --- sources ---------------------------------------------------------------------------------


def marks_of_documents():
    """Return a piece of each document's title that a reference to it cannot do without."""
    for source in load_sources().values():
        numbers = [word for word in source.title.split() if any(map(str.isdigit, word))]
        yield (numbers[0] if numbers else source.title.split(",")[0]).lower()


def names_a_source(reference):
    table = re.search(r"tables/([\w/]+\.csv)", reference)
    if table:
        return (tables_root() / table[1]).is_file()
    return any(mark in reference.lower() for mark in marks_of_documents())


REFERENCES = {
    f"{module_name(path)}: {name}": sections_of(ast.get_docstring(node) or "").get("References")
    for path, tree in TREES.items()
    for name, node in public_functions(tree)
}


@pytest.mark.parametrize("name", [name for name, text in REFERENCES.items() if text is not None])
def test_a_reference_names_a_document_on_file(name):
    assert names_a_source(REFERENCES[name])


@pytest.mark.parametrize(
    ("reference", "known"),
    [
        ("NAVEDTRA 14018 ch 13", True),
        ("``tables/practice/removal.csv``", True),
        ("Common practice, no source.", True),
        ("NAVEDTRA 99999 ch 1", False),
        ("``tables/practice/gone.csv``", False),
        ("A book.", False),
    ],
)
def test_an_unknown_document_is_found(reference, known):
    assert names_a_source(reference) is known


CHECKS = [
    (path, name, node)
    for path, tree in TREES.items()
    if path.parent.name == "calculators"
    for name, node in public_functions(tree)
    if name.startswith("check_") and "rule" not in parameters_of(node)
]


@pytest.mark.parametrize(
    ("name", "node"),
    [(f"{module_name(path)}: {name}", node) for path, name, node in CHECKS],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_check_refers_to_its_source(name, node):
    """All but those that are handed the rule to check against."""
    assert "References" in sections_of(told_by(node, FUNCTIONS)), name


# --- examples --------------------------------------------------------------------------------


WITH_EXAMPLES = [
    path for path in sorted(PACKAGE.rglob("*.py")) if ">>> " in path.read_text(encoding="utf-8")
]


@pytest.mark.parametrize("path", WITH_EXAMPLES, ids=module_name)
def test_the_examples_in_docstrings_run(path):
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    module = importlib.import_module(".".join(parts).removesuffix(".__init__"))
    said = []
    runner = doctest.DocTestRunner(verbose=False)
    for example in doctest.DocTestFinder().find(module):
        runner.run(example, out=said.append)
    assert runner.tries > 0
    assert runner.failures == 0, "".join(said)
