"""What to ask a person for a first job file, and what stands when they do not answer."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, get_args

from rivetkit.calculators.edge_distance import edge_question
from rivetkit.calculators.heel_distance import HEEL_RULE
from rivetkit.calculators.limits import require_accuracy, require_thickness
from rivetkit.checks import LIMIT_TOLERANCE
from rivetkit.errors import InputError
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.job.fields import nearest_word
from rivetkit.job.model import LayerKind
from rivetkit.materials import require_spelling, unlisted_words
from rivetkit.quantities import format_length, parse_length_in, parse_number, shown, to_unit
from rivetkit.rules import RuleBook

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from rivetkit.fasteners.fastener import Fastener

    #: What was answered so far, by the key of the question, as checked text.
    Answers = Mapping[str, str]

EDGES = ("bottom", "right", "top", "left")
#: No control surface: no hinge line to balance about.
NO_HINGE = "none"
FLANGE = "flange"
UNMEASURED = "unmeasured"
#: Nobody buys more spares at once.
_MOST_SPARES = 10_000


def unit_of(answers: Answers) -> str:
    """Return the unit of bare numbers, ``in`` or ``mm``."""
    return answers.get("units", "in")


def length_of(answers: Answers, key: str) -> float:
    """Return an answered length [in]."""
    return parse_length_in(answers[key], default_unit=unit_of(answers), allow_zero=True)


def hinge_offset_in(answers: Answers) -> float:
    """Return how far the hinge line lies outside its edge [in]; negative inside."""
    return parse_length_in(
        answers["hinge_offset"],
        default_unit=unit_of(answers),
        allow_zero=True,
        allow_negative=True,
    )


def rivet_of(answers: Answers) -> Fastener:
    """Return the rivet that was named."""
    return parse_part_number(answers["rivet"])


def edges_of(answers: Answers) -> tuple[str, ...]:
    """Return the edges that have a row of rivets, in the order of a rectangle's edges."""
    return tuple(answers["edges"].split(","))


# --- reading an answer -----------------------------------------------------------------------


def _read_text(text: str, _: Answers) -> str:
    plain = " ".join(text.split())
    if not plain or not plain.isprintable():
        raise InputError(f"{text!r} is no text to print", mend="write a word or two")
    return plain


def _read_alloy(text: str, answers: Answers) -> str:
    return require_spelling(_read_text(text, answers))


def _read_thickness(text: str, answers: Answers) -> str:
    require_thickness(parse_length_in(text, default_unit=unit_of(answers)))
    return text.strip()


def _read_length(text: str, answers: Answers) -> str:
    parse_length_in(text, default_unit=unit_of(answers))
    return text.strip()


def _read_accuracy(text: str, answers: Answers) -> str:
    require_accuracy(parse_length_in(text, default_unit=unit_of(answers), allow_zero=True))
    return text.strip()


def _read_percent(text: str, _: Answers) -> str:
    percent = parse_number(text.strip().removesuffix("%"), what="percentage")
    if percent < 0:
        raise InputError(f"percentage '{text}' is negative", mend="give zero or more")
    return f"{percent:g}"


def _read_count(text: str, _: Answers) -> str:
    typed = text.strip()
    if not typed.isdecimal() or len(typed) > len(str(_MOST_SPARES)) or int(typed) > _MOST_SPARES:
        raise InputError(
            f"'{shown(typed)}' is no count of rivets",
            mend=f"give a whole number, from 0 to {_MOST_SPARES}",
        )
    return str(int(typed))


def _read_rivet(text: str, _: Answers) -> str:
    return parse_part_number(text.strip()).designation


def _read_edges(text: str, _: Answers) -> str:
    named = text.replace(",", " ").split()
    if not named:
        raise InputError("no edge is named", mend=f"name some of {', '.join(EDGES)}")
    for name in named:
        _one_of(EDGES)(name, {})
    return ",".join(edge for edge in EDGES if edge in named)


def _read_edge_distance(text: str, answers: Answers) -> str:
    edge_in = parse_length_in(text, default_unit=unit_of(answers))
    room_in = min(length_of(answers, "width"), length_of(answers, "height")) / 2.0
    if edge_in >= room_in:
        raise InputError(
            f"edge distance '{text.strip()}' leaves no room for a row on this skin",
            mend="measure again: rivet centre to the skin's edge",
        )
    return text.strip()


def _read_row_from_edge(text: str, answers: Answers) -> str:
    if parse_length_in(text, default_unit=unit_of(answers)) >= length_of(answers, "flange_width"):
        raise InputError(
            f"'{text.strip()}' is off a flange {answers['flange_width']} wide",
            mend="measure again: rivet centre to the flange's free edge",
        )
    return text.strip()


def _read_hinge_offset(text: str, answers: Answers) -> str:
    hinge_offset_in({**answers, "hinge_offset": text})
    return text.strip()


def _one_of(words: Sequence[str]) -> Callable[[str, Answers], str]:
    def read(text: str, _: Answers) -> str:
        word = " ".join(text.lower().split())
        if word not in words:
            near = nearest_word(word, words)
            raise InputError(
                f"'{text}' is not known here", mend=near or f"write one of {', '.join(words)}"
            )
        return word

    return read


# --- what stands when nothing is answered ----------------------------------------------------


def _usual(inches: str, millimetres: str) -> Callable[[Answers], str]:
    return lambda answers: inches if unit_of(answers) == "in" else millimetres


def _same_as(key: str) -> Callable[[Answers], str]:
    return lambda answers: answers[key]


def _edge_distance(answers: Answers) -> str:
    """Return half way between the least and the greatest edge distance of the rules."""
    rivet = rivet_of(answers)
    book = RuleBook.named()
    questions = (edge_question(flush=rivet.flush), "edge_distance_max")
    least_in, most_in = (
        book.rule(question).length_in(diameter_in=rivet.diameter_in) for question in questions
    )
    return _round_down((least_in + most_in) / 2.0, unit_of(answers))


def _pitch(answers: Answers) -> str:
    """Return the widest pitch that the rules call usual."""
    rivet = rivet_of(answers)
    rule = RuleBook.named().rule("pitch_usual_greatest")
    return _round_down(rule.length_in(diameter_in=rivet.diameter_in), unit_of(answers))


def _flange_width(answers: Answers) -> str:
    width_in = 2.0 * length_of(answers, "edge_distance")
    return _round_down(width_in, unit_of(answers))


def _row_from_edge(answers: Answers) -> str:
    """Return the middle of the flange."""
    return _round_down(length_of(answers, "flange_width") / 2.0, unit_of(answers))


# --- what an answer gives to think of --------------------------------------------------------


def _unlisted_alloy(text: str, _: Answers) -> str:
    words = unlisted_words(text)
    return f"its strength and mass will not be checked: {words}" if words else ""


def _narrow_flange(text: str, answers: Answers) -> str:
    """Return what width a row of these rivets wants, when a flange is narrower than that."""
    rivet, unit = rivet_of(answers), unit_of(answers)
    book = RuleBook.named()
    edge_in, heel_in = (
        book.rule(question).length_in(diameter_in=rivet.diameter_in)
        for question in (edge_question(flush=rivet.flush), HEEL_RULE)
    )
    if parse_length_in(text, default_unit=unit) >= edge_in + heel_in - LIMIT_TOLERANCE:
        return ""
    edge, heel, both = (
        format_length(size_in, unit) for size_in in (edge_in, heel_in, edge_in + heel_in)
    )
    return (
        f"a row of {rivet.designation} wants {edge} to the free edge and {heel} to the bend, so a "
        f"flange at least {both} wide: on {text.strip()} it will fail; measure again, or look "
        "whether this is the rivet"
    )


def _round_down(length_in: float, unit: str) -> str:
    """Return a length as a person sets it out: down to 1/64 in, or to .1 mm."""
    steps = Fraction(to_unit(length_in, unit)) * (64 if unit == "in" else 10)
    count = max(1, int(steps + Fraction(1, 1000)))
    return plain_number(count / 64 if unit == "in" else count / 10)


def plain_number(value: float) -> str:
    """Return a number as a decimal without idle zeros; every 64th of an inch comes out exactly."""
    return f"{value:.9f}".rstrip("0").rstrip(".")


# --- the questions ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Parameters
    ----------
    key
        Name of the answer.
    ask
        The question in words.
    read
        Checks an answer's text against those before and returns it tidied.
    usual
        What stands when nothing is answered, told from the answers before.
    applies
        Whether the answers before leave the question open.
    measured
        Whether the aircraft must tell: nothing sensible can stand for it.
    words
        What may be answered, where that is a word or two.
    takes
        What else is answered, in capitals for the help.
    remark
        What a good answer gives to think of all the same; empty when nothing.
    """

    key: str
    ask: str
    read: Callable[[str, Answers], str]
    usual: Callable[[Answers], str]
    applies: Callable[[Answers], bool] = lambda _: True
    measured: bool = True
    words: tuple[str, ...] = ()
    takes: str = "TEXT"
    remark: Callable[[str, Answers], str] = lambda _text, _answers: ""

    @property
    def option(self) -> str:
        """The option that answers it."""
        return f"--{self.key.replace('_', '-')}"


def _word(
    key: str,
    ask: str,
    words: tuple[str, ...],
    *,
    applies: Callable[[Answers], bool] = lambda _: True,
    measured: bool = False,
) -> Question:
    def first(_: Answers) -> str:
        return words[0]

    return Question(key, ask, _one_of(words), first, applies, measured, words, "WORD")


def _with_flange(answers: Answers) -> bool:
    return answers["members"] == FLANGE


#: A skin that stays on is none of the members under a row.
MEMBER_KINDS = (
    "rib",
    *(kind for kind in get_args(LayerKind) if kind not in {"sheet", "skin", "rib"}),
)

QUESTIONS: tuple[Question, ...] = (
    _word("units", "Unit of the numbers you type", ("in", "mm")),
    Question("name", "Name of the job", _read_text, lambda _: "Skin replacement", measured=False),
    Question(
        "width",
        "Skin, width along x",
        _read_length,
        _usual("24", "600"),
        takes="SIZE",
    ),
    Question(
        "height",
        "Skin, height along y",
        _read_length,
        _usual("12", "300"),
        takes="SIZE",
    ),
    Question(
        "old_thickness",
        "Old skin, thickness",
        _read_thickness,
        _usual("0.025", "0.6"),
        takes="SIZE",
    ),
    Question(
        "old_alloy",
        "Old skin, alloy and temper",
        _read_alloy,
        lambda _: "2024-T3 clad",
        remark=_unlisted_alloy,
    ),
    Question(
        "new_thickness",
        "New skin, thickness",
        _read_thickness,
        _same_as("old_thickness"),
        measured=False,
        takes="SIZE",
    ),
    Question(
        "new_alloy",
        "New skin, alloy and temper",
        _read_alloy,
        _same_as("old_alloy"),
        measured=False,
        remark=_unlisted_alloy,
    ),
    Question(
        "rivet",
        "Rivet that is in now, part number",
        _read_rivet,
        lambda _: "MS20470AD3",
        takes="PART",
    ),
    _word(
        "form",
        "Flush rivet: the skin is",
        ("dimpled", "countersunk"),
        applies=lambda answers: rivet_of(answers).flush,
        measured=True,
    ),
    Question(
        "edges",
        "Edges with a row of rivets",
        _read_edges,
        lambda _: ",".join(EDGES),
        words=EDGES,
        takes="EDGE,...",
    ),
    Question(
        "edge_distance",
        "Row to the skin's edge, rivet centre to edge",
        _read_edge_distance,
        _edge_distance,
        takes="SIZE",
    ),
    Question(
        "pitch",
        "Pitch, rivet to rivet, at most",
        _read_length,
        _pitch,
        takes="SIZE",
    ),
    _word(
        "members",
        "Members under the rows: flange width measured or not",
        (FLANGE, UNMEASURED),
        measured=True,
    ),
    _word("member_kind", "Members, what they are", MEMBER_KINDS),
    Question(
        "member_thickness",
        "Members, thickness",
        _read_thickness,
        _usual("0.032", "0.8"),
        takes="SIZE",
    ),
    Question(
        "member_alloy",
        "Members, alloy and temper",
        _read_alloy,
        lambda _: "2024-T3",
        measured=False,
        remark=_unlisted_alloy,
    ),
    Question(
        "flange_width",
        "Flange, free edge to heel",
        _read_length,
        _flange_width,
        _with_flange,
        takes="SIZE",
        remark=_narrow_flange,
    ),
    Question(
        "row_from_edge",
        "Row to the flange's free edge",
        _read_row_from_edge,
        _row_from_edge,
        _with_flange,
        takes="SIZE",
    ),
    _word(
        "hinge",
        "Control surface: edge of the skin that lies nearest its hinge line",
        (NO_HINGE, *EDGES),
    ),
    Question(
        "hinge_offset",
        "Hinge line, how far outside that edge; with a minus inside",
        _read_hinge_offset,
        lambda _: "0",
        lambda answers: answers["hinge"] != NO_HINGE,
        takes="SIZE",
    ),
    Question(
        "accuracy",
        "How far off your measurements may be",
        _read_accuracy,
        _usual("0.005", "0.1"),
        measured=False,
        takes="SIZE",
    ),
    Question(
        "spares",
        "Spare rivets, percent",
        _read_percent,
        lambda _: "10",
        measured=False,
        takes="PERCENT",
    ),
    Question(
        "minimum",
        "Spare rivets, at least so many of each part",
        _read_count,
        lambda _: "10",
        measured=False,
        takes="COUNT",
    ),
)
