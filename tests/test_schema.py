"""The schema of a job file says what the reader does: no more, and no less where it can.

Judged by jsonschema, an implementation of JSON Schema draft 2020-12 from outside the project.
"""

import ast
import copy
import json
import tomllib
from collections import defaultdict
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from job_texts import HEAD, JOB
from rich_jobs import HOLES_CSV, RICH_JOBS

import rivetkit.job
from rivetkit.cli.app import exit_code_of, main
from rivetkit.errors import InputError, RivetkitError
from rivetkit.job import read as read_module
from rivetkit.job.fields import Fields
from rivetkit.job.keys.every import TABLES, TOP
from rivetkit.job.keys.schema import job_schema
from rivetkit.job.read import parse_job
from rivetkit.reports.plans.job_keys_report import WRITTEN
from rivetkit.rules import rule_questions, rule_set_names

EXAMPLES = sorted((Path(__file__).parent.parent / "examples").glob("*.toml"))
SOUND = [tomllib.loads(text) for text in RICH_JOBS]
SCHEMA = job_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("job")
    (place / "holes.csv").write_text(HOLES_CSV)
    return place


def read(data, folder):
    return read_module._read_top(copy.deepcopy(data), "job", folder)


def reads(data, folder):
    try:
        read(data, folder)
    except RivetkitError:
        return False
    return True


# --- sound and wrong jobs --------------------------------------------------------------------


def test_the_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA


@pytest.mark.parametrize("data", SOUND, ids=lambda data: data["name"])
def test_sound_jobs_are_taken_by_both(data, folder):
    read(data, folder)
    assert list(VALIDATOR.iter_errors(data)) == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_the_examples_are_taken(path):
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert list(VALIDATOR.iter_errors(data)) == []


#: A job bent in its structure, and the place an editor marks.
WRONG = [
    ("accurcy = 0.1\n" + JOB, "$"),
    ('units = "inch"\n' + JOB, "$.units"),
    ("accuracy = -0.1\n" + JOB, "$.accuracy"),
    ("hole_accuracy = -0.1\n" + JOB, "$.hole_accuracy"),
    ('rule_set = "nobody"\n' + JOB, "$.rule_set"),
    (JOB.replace("thickness = 0.032", "thickness = 0"), "$.sheet[0].new.thickness"),
    (JOB.replace("thickness = 0.032", 'thickness = "thick"'), "$.sheet[0].new.thickness"),
    (JOB.replace('name = "test job"', ""), "$"),
    (JOB.replace('name = "skin"', 'name = "skin"\nleft_off = true'), "$.sheet[0]"),
    (JOB.replace('kind = "rib"', 'kind = "ribs"'), "$.member[0].kind"),
    (JOB.replace("flange = { width = 0.625, end_distance = 0.3 }", ""), "$.member[0]"),
    (JOB.replace('kind = "rib"', 'kind = "rib"\nedge = "not measured"'), "$.member[0]"),
    (JOB.replace('kind = "rib"', 'kind = "rib"\ncutouts = []'), "$.member[0]"),
    (JOB.replace('rivet = "MS20470AD3-3"\n', ""), "$.row[0]"),
    (JOB.replace("count = 13", ""), "$.row[0]"),
    (JOB.replace("count = 13", "count = 13\nmax_pitch = 1"), "$.row[0]"),
    (JOB.replace("count = 13", "count = 13\nholes = [[1, 1]]"), "$.row[0]"),
    (JOB.replace("count = 13", "count = 13\nlug = 0.1"), "$.row[0]"),
    (JOB.replace("count = 13", "count = 0"), "$.row[0].count"),
    (JOB.replace("count = 13", 'count = 3\nkept = true\nfit = "MS20470AD3"'), "$.row[0]"),
    (JOB.replace("[9.5, 0.5]]", "[9.5]]"), "$.row[0].path[1]"),
    (JOB.replace(", [9.5, 0.5]]", "]"), "$.row[0].path"),
    (JOB.replace("row_from_edge = 0.3125", "row_form_edge = 1"), "$.row[0].layers[1]"),
    (JOB.replace("to = [10, 6]", "at = [10, 6]"), "$.sheet[0].outline.edges[1]"),
    (JOB.replace("start = [0, 0]\n", ""), "$.sheet[0].outline"),
    (JOB + '[[override]]\nrule = "pitch_maximum"\n', "$.override[0].rule"),
    (JOB + '[[override]]\nrule = "pitch_max"\n', "$.override[0]"),
    (JOB + "[spares]\npack = 0\n", "$.spares.pack"),
    (JOB + "[hinge]\nfrom = [0, 0]\n", "$.hinge"),
]


@pytest.mark.parametrize(("text", "place"), WRONG, ids=range(len(WRONG)))
def test_a_job_of_wrong_structure_is_refused_at_its_place(text, place, folder):
    data = tomllib.loads(text)
    assert not reads(data, folder)
    assert place in {error.json_path for error in VALIDATOR.iter_errors(data)}


# --- the description and the reader, key by key ----------------------------------------------

#: How the reader asks for each kind of value; it takes the last three apart itself.
ASKED_BY = {
    "text": {"text"},
    "part number": {"text"},
    "rule set": {"text"},
    "rule": {"text"},
    "choice": {"choice", "text"},
    "flag": {"flag"},
    "count": {"whole"},
    "number": {"number"},
    "length": {"length_in"},
    "point": {"point"},
    "points": {"points"},
    "table": {"table"},
    "tables": {"tables"},
    "edge names": set(),
    "layers": set(),
    "hole numbers": set(),
    "texts": {"texts"},
}
WAYS = sorted(set().union(*ASKED_BY.values()))


class Questions:
    """What the reader asked of the jobs it read, by table of the description and key."""

    def __init__(self):
        self.ways = defaultdict(set)
        self.told = defaultdict(list)
        self.written = set()
        self.tables = {}

    def table_of(self, fields):
        return self.tables.get(id(fields.data), TOP)

    def raw(self, fields, key):
        """Note a question, and which table of the description its answer is."""
        table = self.table_of(fields)
        self.ways[table, key] |= set()
        if key not in fields.data:
            return
        self.written.add((table, key))
        described = TABLES[table].keys.get(key)
        value = fields.data[key]
        for item in value if isinstance(value, list) else [value]:
            if isinstance(item, dict) and described is not None:
                self.tables[id(item)] = described.table


@pytest.fixture(scope="module")
def questions(folder):
    asked = Questions()
    with pytest.MonkeyPatch.context() as patch:
        for way in WAYS:
            patch.setattr(Fields, way, noting(asked, way, getattr(Fields, way)))
        patch.setattr(Fields, "raw", noting(asked, "raw", Fields.raw))
        for data in SOUND:
            asked.tables.clear()
            read_module._read_top(data, "job", folder)
    return asked


def noting(asked, way, original):
    def note(self, key, *arguments, **keywords):
        if way == "raw":
            asked.raw(self, key)
        else:
            asked.ways[asked.table_of(self), key].add(way)
            asked.told[asked.table_of(self), key].append((way, arguments, keywords))
        return original(self, key, *arguments, **keywords)

    return note


DESCRIBED = {
    (table, key): told for table, keys in TABLES.items() for key, told in keys.keys.items()
}


def test_every_key_the_reader_asks_for_is_described_and_the_other_way_round(questions):
    assert set(questions.ways) == set(DESCRIBED)


def test_the_jobs_above_use_every_key(questions):
    assert questions.written == set(DESCRIBED)


@pytest.mark.parametrize(("table", "key"), DESCRIBED, ids=lambda name: name)
def test_kind_words_bounds_and_defaults_are_the_readers(table, key, questions):
    described = DESCRIBED[table, key]
    assert questions.ways[table, key] == ASKED_BY[described.kind]
    for way, arguments, keywords in questions.told[table, key]:
        if way == "choice":
            assert described.words == tuple(arguments[0])
        if way == "whole":
            assert described.least == keywords.get("least", 0)
        if way == "number":
            assert described.least == keywords.get("least")
        if way == "points":
            assert described.least == keywords.get("least", 1)
        if way == "length_in":
            assert described.zero == keywords.get("allow_zero", False)
        if described.default is not None and way in {"text", "whole", "number", "length_in"}:
            assert described.default == arguments[0]
        if described.default is not None and way == "choice":
            assert described.default == arguments[1]
        if described.default is not None and way == "flag":
            assert described.default is keywords["default"]


def test_every_key_named_in_the_reader_is_described():
    """Also what only jobs unlike those above would ask for."""
    named = set()
    for path in Path(rivetkit.job.__file__).parent.rglob("*.py"):
        if path.name != "fields.py":
            named.update(keys_named_in(ast.parse(path.read_text(encoding="utf-8"))))
    assert named == {key for _, key in DESCRIBED}


def keys_named_in(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            count = {"only_one_of": None, "raw": 1, **dict.fromkeys(WAYS, 1)}
            names = node.args[: count.get(node.func.attr, 0)]
        elif isinstance(node, ast.Compare) and isinstance(node.ops[0], (ast.In, ast.NotIn)):
            where = node.comparators[0]
            names = [node.left] if isinstance(where, ast.Name) and where.id in FIELDS else []
        else:
            continue
        yield from (name.value for name in names if isinstance(name, ast.Constant))


#: What the reader calls a table it asks.
FIELDS = {"top", "fields", "row", "layer", "cutout"}


def test_editors_offer_the_rules_and_rule_sets_on_file():
    assert SCHEMA["properties"]["rule_set"]["enum"] == list(rule_set_names())
    assert SCHEMA["$defs"]["override"]["properties"]["rule"]["enum"] == list(rule_questions())


def test_groups_and_neighbours_name_keys_of_their_table():
    for table in TABLES.values():
        groups = [*table.exactly_one, *table.at_least_one]
        groups += [key.needs + key.needs_one + key.without for key in table.keys.values()]
        assert {name for group in groups for name in group} <= set(table.keys)
        assert {key.table for key in table.keys.values()} - {""} <= set(TABLES)


# --- bent jobs: the schema and the reader agree ----------------------------------------------

ANYTHING = (True, -1, 0, 1, 1.5, "", " ", "x", "#40", "1/8", [], [[]], ["x"], [1], {}, [{}])

#: A value of each kind that is sound wherever the key may stand.
SAMPLES = {
    "text": "text",
    "part number": "MS20470AD3",
    "rule set": "usual",
    "rule": "pitch_max",
    "flag": True,
    "count": 2,
    "number": 1.0,
    "length": 0.5,
    "point": [1, 1],
    "points": [[1, 1], [2, 2]],
    "table": {},
    "tables": [{}],
    "edge names": ["a", "b", "c", "d"],
    "layers": ["skin"],
    "hole numbers": [1],
    "texts": ["flange widths"],
}

#: Python types that a kind of value is never written in.
NEVER = {
    "text": (bool, int, float, list, dict),
    "part number": (bool, int, float, list, dict),
    "rule set": (bool, int, float, list, dict),
    "rule": (bool, int, float, list, dict),
    "choice": (bool, int, float, list, dict),
    "flag": (int, float, str, list, dict),
    "count": (bool, float, str, list, dict),
    "number": (bool, str, list, dict),
    "length": (bool, list, dict),
    "point": (bool, int, float, str, dict),
    "points": (bool, int, float, str, dict),
    "table": (bool, int, float, str, list),
    "tables": (bool, int, float, str, dict),
    "edge names": (bool, int, float, str, dict),
    "layers": (bool, int, float, str, dict),
    "hole numbers": (bool, float, str, dict),
    "texts": (bool, int, float, str, dict),
}


def places(data, table=TOP, steps=()):
    """Yield the steps to every table of a job, with the name of its description."""
    yield steps, table
    for name, value in data.items():
        inner = TABLES[table].keys[name].table
        if isinstance(value, dict):
            yield from places(value, inner, (*steps, name))
        elif inner:
            for number, item in enumerate(value):
                if isinstance(item, dict):
                    yield from places(item, inner, (*steps, name, number))


def at(data, steps):
    for step in steps:
        data = data[step]
    return data


def bent(data, steps, key, value=None):
    """Return a copy with one key replaced or added; without a value it is taken out."""
    copied = copy.deepcopy(data)
    if value is None:
        del at(copied, steps)[key]
    else:
        at(copied, steps)[key] = copy.deepcopy(value)
    return copied


def bends():
    """Yield jobs bent at one key, with the description of the key and the value put there."""
    for data in SOUND:
        for steps, table in places(data):
            keys = TABLES[table].keys
            for key, described in keys.items():
                if key not in at(data, steps):
                    sample = SAMPLES.get(
                        described.kind, described.words[-1:] and described.words[-1]
                    )
                    yield bent(data, steps, key, sample), described, sample
                    continue
                yield bent(data, steps, key), described, None
                for value in ANYTHING:
                    yield bent(data, steps, key, value), described, value
            yield bent(data, steps, "zzz", 1), None, 1


def test_bent_jobs_are_never_refused_by_the_schema_alone(folder):
    """An editor that marks what the tool takes would teach people to overlook its marks."""
    bent_jobs = list(bends())
    taken = [job for job, _, _ in bent_jobs if reads(job, folder)]
    assert len(bent_jobs) > 1000
    assert len(taken) > 100
    assert [job for job in taken if not VALIDATOR.is_valid(job)] == []


def test_wrong_types_missing_and_unknown_keys_are_refused_by_both(folder):
    wrong = [
        job
        for job, described, value in bends()
        if described is None
        or (value is None and described.required)
        or (value is not None and type(value) in NEVER[described.kind])
    ]
    assert len(wrong) > 1000
    assert [job for job in wrong if VALIDATOR.is_valid(job)] == []
    assert [job for job in wrong if reads(job, folder)] == []


# --- the command -----------------------------------------------------------------------------


def test_the_command_prints_the_schema(tmp_path):
    shown = CliRunner().invoke(main, ["schema"], standalone_mode=False)
    assert json.loads(shown.stdout) == SCHEMA
    file = tmp_path / "job_schema.json"
    written = CliRunner().invoke(main, ["schema", "-o", str(file)], standalone_mode=False)
    assert (written.return_value, written.output) == (0, "")
    assert json.loads(file.read_text(encoding="utf-8")) == SCHEMA


def test_the_command_says_where_it_cannot_write(tmp_path):
    done = CliRunner().invoke(main, ["schema", "-o", str(tmp_path)], standalone_mode=False)
    assert isinstance(done.exception, InputError)
    assert "is a folder" in str(done.exception)


def test_what_the_list_of_keys_shows_how_to_write_is_read_so():
    written = dict(WRITTEN)
    hinge = next(text for _, text in WRITTEN if "hinge = {" in text).split(": ")[1]
    at_once = JOB.replace(HEAD, f"{HEAD}{hinge}\n")

    assert parse_job(at_once).hinge.end == (24, 0)
    path = at_once.replace("[[0.5, 0.5], [9.5, 0.5]]", written["points"])
    assert (
        parse_job(path).rows[0].points[-1].tolist()
        == tomllib.loads(f"x = {written['[x, y]']}")["x"]
    )
    for length in written["a length"].replace("or ", "").split(", "):
        parse_job(at_once.replace("row_from_edge = 0.3125", f"row_from_edge = {length}"))
    for kind, length in (("text", 1), ("list of texts", 2)):
        told = tomllib.loads(f"assumed = {written[kind]}")["assumed"]
        assert (
            len(
                parse_job(
                    f"assumed = {json.dumps([told] if kind == 'text' else told)}\n{JOB}"
                ).assumed
            )
            == length
        )


def test_the_list_of_keys_has_every_key_of_every_table_and_fits_the_page(capsys):
    assert exit_code_of(["schema", "--keys"]) == 0
    text = capsys.readouterr().out
    assert max(map(len, text.splitlines())) <= 100
    for name, table in TABLES.items():
        title = "The whole file" if name == TOP else name
        section = text.split(f"\n{title}\n")[1].split("\n\n")[0]
        assert set(table.keys) <= {line.split()[0] for line in section.splitlines() if line.strip()}
