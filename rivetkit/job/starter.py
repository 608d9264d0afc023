"""Write a first job file: a rectangular skin with a row of rivets along its edges."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

from rivetkit.job.starter_questions import (
    EDGES,
    FLANGE,
    MEMBER_KINDS,
    NO_HINGE,
    QUESTIONS,
    edges_of,
    hinge_offset_in,
    length_of,
    plain_number,
    rivet_of,
    unit_of,
)
from rivetkit.quantities import to_unit

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from rivetkit.job.starter_questions import Answers

#: Stands in a comment beside what nobody told.
ASSUMED = "ASSUMED"

_DECIMAL = re.compile(r"\d+\.?\d*|\.\d+")
_UNIT_WORDS = {"in": "inches", "mm": "millimetres"}
#: Column the comments start at.
_COMMENT_AT = 40


def starter_text(answers: Answers, assumed: Collection[str] = (), file: str = "JOB.toml") -> str:
    """Return a commented job file that can be planned as it stands.

    Parameters
    ----------
    answers
        Checked answers to the questions that apply, by key.
    assumed
        Keys that nobody answered; the file says so beside each.
    file
        What the file will be called, for its first lines.
    """
    marks = {key: f"{ASSUMED}: " if key in assumed else "" for key in _KEYS}
    lines = [
        *_head(answers, marks, file),
        *_assumed(answers, assumed),
        *_spares(answers, marks),
        *_hinge(answers, marks),
        *_skin(answers, marks),
        *(line for edge in edges_of(answers) for line in _member(answers, marks, edge)),
        *(line for edge in edges_of(answers) for line in _row(answers, marks, edge)),
    ]
    return "\n".join(lines) + "\n"


#: What is decided, not measured.
_POLICIES = ("spares", "minimum")

_KEYS = tuple(question.key for question in QUESTIONS)


def _head(answers: Answers, marks: dict[str, str], file: str) -> Iterator[str]:
    yield from (
        "# What comes off, what goes on and where the rivets are, for rivetkit:",
        f"#   rivetkit plan {file}",
        f"# Bare numbers are {_UNIT_WORDS[unit_of(answers)]}. In quotes a size has its own unit:",
        '#   "3/32" is inches always, "0.8 mm", "32 thou".',
        "# x runs along the skin's bottom edge, y up its left edge, from the corner they share.",
        "# Where two rows meet there is one hole: it goes through what both rows go through.",
        "# A skin on the other side has a [[sheet]], [[row]]s and a [[member]] for each flange of",
        "#   its own, drawn from the same corner as seen from this side.",
    )
    corner = _has_corner(edges_of(answers))
    if corner:
        yield from (
            f"# {ASSUMED}: at a corner the members of both rows lie one on the other. Where only",
            "#   one is there, let the other row begin or end a pitch short of the corner.",
        )
    if any(marks.values()) or corner or answers["members"] == FLANGE:
        yield f"# {ASSUMED} stands where nobody told: measure it, correct it, then drill."
    yield ""
    yield _line(f"name = {_text(answers['name'])}", "printed on every report")
    yield _line(f'units = "{unit_of(answers)}"', "of bare numbers here: in or mm")
    yield _line(
        f"accuracy = {_number(answers['accuracy'])}",
        f"{marks['accuracy']}how far off your measurements may be",
    )
    yield _line('rule_set = "usual"', "whose limits; see: rivetkit sources rule-sets")


def _assumed(answers: Answers, assumed: Collection[str]) -> Iterator[str]:
    """Yield the list of what nobody told; as long as it stands, a plan proves nothing."""
    guesses = [
        question.ask
        for question in QUESTIONS
        if question.key in assumed and question.key not in _POLICIES
    ]
    if answers["members"] == FLANGE:
        guesses.append("Flanges, last rivet to their ends")
    if _has_corner(edges_of(answers)):
        guesses.append("Corners, both members lie there")
    if not guesses:
        return
    yield ""
    yield "# Take a line out once it is measured and set right below; a plan says what is left."
    yield "assumed = ["
    yield from (f"  {_text(guess)}," for guess in guesses)
    yield "]"


def _spares(answers: Answers, marks: dict[str, str]) -> Iterator[str]:
    yield ""
    yield "[spares]"
    yield _line(
        f"percent = {answers['spares']}", f"{marks['spares']}on top of the rivets that go in"
    )
    yield _line(
        f"minimum = {answers['minimum']}",
        f"{marks['minimum']}at least so many spares of each part",
    )
    yield _line("# pack = 50", "sold in packs of so many")


def _hinge(answers: Answers, marks: dict[str, str]) -> Iterator[str]:
    """Yield the hinge line, parallel to an edge; as a comment when there is none."""
    edge, offset_in = "bottom", 0.0
    yield ""
    if answers["hinge"] == NO_HINGE:
        out = "# "
        yield f"# {marks['hinge']}no control surface. Of one, tell its hinge line, for the balance:"
    else:
        out = ""
        edge, offset_in = answers["hinge"], hinge_offset_in(answers)
        yield f"# {marks['hinge'] or marks['hinge_offset']}two points on the hinge line"
    width_in, height_in = length_of(answers, "width"), length_of(answers, "height")
    points_in = {
        "bottom": ((0.0, -offset_in), (width_in, -offset_in)),
        "right": ((width_in + offset_in, 0.0), (width_in + offset_in, height_in)),
        "top": ((0.0, height_in + offset_in), (width_in, height_in + offset_in)),
        "left": ((-offset_in, 0.0), (-offset_in, height_in)),
    }
    yield f"{out}[hinge]"
    for key, point_in in zip(("from", "to"), points_in[edge], strict=True):
        x, y = (plain_number(to_unit(size_in, unit_of(answers)) + 0.0) for size_in in point_in)
        yield f"{out}{key} = [{x}, {y}]"


def _has_corner(edges: Collection[str]) -> bool:
    """Return whether two rows meet: one along x and one along y."""
    return bool({"bottom", "top"} & set(edges)) and bool({"left", "right"} & set(edges))


def _skin(answers: Answers, marks: dict[str, str]) -> Iterator[str]:
    yield from _title("the skin")
    yield "[[sheet]]"
    yield 'name = "skin"'
    for key, what in (("old", "comes off"), ("new", "goes on")):
        mark = marks[f"{key}_thickness"] or marks[f"{key}_alloy"]
        alloy = _text(answers[f"{key}_alloy"])
        thickness = _number(answers[f"{key}_thickness"])
        yield _line(f"{key} = {{ alloy = {alloy}, thickness = {thickness} }}", f"{mark}{what}")
    yield "[sheet.outline.rectangle]"
    yield _line("corner = [0, 0]", "lower left")
    yield _line(f"width = {_number(answers['width'])}", f"{marks['width']}along x")
    yield _line(f"height = {_number(answers['height'])}", f"{marks['height']}along y")
    yield _line(f"edges = {json.dumps(list(EDGES))}", "what reports call them, in this order")


def _member(answers: Answers, marks: dict[str, str], edge: str) -> Iterator[str]:
    yield from _title(f"the member under the {edge} row")
    yield "[[member]]"
    yield f'name = "{edge} member"'
    others = ", ".join(kind for kind in MEMBER_KINDS if kind != answers["member_kind"])
    yield _line(f'kind = "{answers["member_kind"]}"', f"{marks['member_kind']}or {others}")
    yield _line(f"alloy = {_text(answers['member_alloy'])}", f"{marks['member_alloy']}stays")
    yield _line(
        f"thickness = {_number(answers['member_thickness'])}",
        f"{marks['member_thickness']}where the rivets go through",
    )
    if answers["members"] == FLANGE:
        end = _number(answers["edge_distance"])
        yield "[member.flange]"
        yield _line(
            f"width = {_number(answers['flange_width'])}",
            f"{marks['flange_width']}free edge to heel of the bend",
        )
        yield _line(
            f"end_distance = {end}", f"{ASSUMED}: nearest rivet centre to the flange's ends"
        )
    else:
        yield _line(
            'edge = "not measured"', f"{marks['members']}not checked; once measured, write instead:"
        )
        yield _line(
            f"# edge_distance = {_number(answers['edge_distance'])}", "rivet centre to edge"
        )


def _row(answers: Answers, marks: dict[str, str], edge: str) -> Iterator[str]:
    rivet = rivet_of(answers)
    yield from _title(f"the {edge} row")
    yield "[[row]]"
    yield f'name = "{edge} row"'
    yield _line(f"rivet = {_text(rivet.designation)}", f"{marks['rivet']}what is in now")
    yield _line(f"# fit = {_text(rivet.designation)}", "only when another rivet goes in")
    if rivet.blind:
        yield _line('access = "blind"', "one side; both when the other can be reached")
    (x, y), (to_x, to_y) = _path(answers, edge)
    mark = marks["edge_distance"]
    yield f"# {mark}first rivet, last rivet"
    yield f"path = [[{x}, {y}], [{to_x}, {to_y}]]"
    yield _line(
        f"max_pitch = {_number(answers['pitch'])}",
        f"{marks['pitch']}spaced evenly, no wider; or count = 20",
    )
    skin_form, member_form = _forms(answers)
    member = [f'layer = "{edge} member"', *([f'form = "{member_form}"'] if member_form else [])]
    if answers["members"] == FLANGE:
        member.append(f"row_from_edge = {_number(answers['row_from_edge'])}")
    skin = f'{{ layer = "skin", form = "{skin_form}" }}' if skin_form else '"skin"'
    yield f"# {marks['form'] or marks['row_from_edge']}from the manufactured head down"
    yield "layers = ["
    yield f"  {skin},"
    yield f"  {{ {', '.join(member)} }},"
    yield "]"


def _forms(answers: Answers) -> tuple[str, str]:
    """Return how skin and member are formed; nothing for a head that stands proud."""
    form = answers.get("form", "")
    return (form, form if form == "dimpled" else "")


def _path(answers: Answers, edge: str) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the first and the last hole of a row, in the job's unit."""
    inset_in = length_of(answers, "edge_distance")
    far_x_in = length_of(answers, "width") - inset_in
    far_y_in = length_of(answers, "height") - inset_in
    ends_in = {
        "bottom": ((inset_in, inset_in), (far_x_in, inset_in)),
        "right": ((far_x_in, inset_in), (far_x_in, far_y_in)),
        "top": ((inset_in, far_y_in), (far_x_in, far_y_in)),
        "left": ((inset_in, inset_in), (inset_in, far_y_in)),
    }
    (x, y), (to_x, to_y) = ends_in[edge]
    unit = unit_of(answers)

    def shown(inches: float) -> str:
        return plain_number(to_unit(inches, unit))

    return (shown(x), shown(y)), (shown(to_x), shown(to_y))


def _title(text: str) -> tuple[str, str, str]:
    return ("", f"# {f' {text}':->72}", "")


def _line(code: str, comment: str) -> str:
    return f"{code:<{_COMMENT_AT}}  # {comment}"


def _number(text: str) -> str:
    """Return a size for TOML: a bare decimal as typed, anything else in quotes."""
    if not _DECIMAL.fullmatch(text):
        return _text(text)
    whole, point, part = text.partition(".")
    whole = whole.lstrip("0") or "0"
    return f"{whole}{point}{part}" if part else whole


def _text(text: str) -> str:
    """Return a text in quotes; what can be printed needs no escapes but those JSON has too."""
    return json.dumps(text, ensure_ascii=False)
