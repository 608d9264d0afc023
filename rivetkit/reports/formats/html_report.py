"""A report as one HTML page: nothing to fetch, nothing to run, made to be printed."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from rivetkit import __version__
from rivetkit.handbook import load_sources
from rivetkit.reports.check_groups import check_groups
from rivetkit.reports.check_table import check_table, reasons
from rivetkit.reports.check_words import VERDICT_WORDS
from rivetkit.reports.document import (
    CheckList,
    Drawing,
    Facts,
    Paragraph,
    SignOff,
    Steps,
    Table,
    basis_mark,
    without_empty_columns,
)
from rivetkit.reports.drawings.palette import DARK, LIGHT, PRINT, as_variables
from rivetkit.reports.drawings.svg_map import WIDTH_MM, Picture, map_css
from rivetkit.reports.drawings.svg_shapes import element, escaped, verdict_mark, without_illegal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from jinja2 import Environment
    from markupsafe import Markup

    from rivetkit.handbook import Citation
    from rivetkit.reports.document import Report, Section

_VERDICT_OF_WORD = {word: verdict for verdict, word in VERDICT_WORDS.items()}

#: The name a template knows each kind of block by.
_KINDS: dict[type, str] = {
    Paragraph: "paragraph",
    Facts: "facts",
    Steps: "steps",
    Table: "table",
    CheckList: "checks",
    SignOff: "sign_off",
    Drawing: "drawing",
}


#: What stands at the foot of every printed page is cut to so many letters.
_LONGEST_RUNNING = 80

#: Heading of the checks with formula, numbers and sources, and what to say under it.
_FULL = ("Each check in full", "")
_FULL_CLOSEST = (
    "The closest checks in full",
    (
        "All that did not pass stands here. Of what passed of one kind in one row the check that "
        "is closest to its limit does; rows alike share a line. --explain shows each."
    ),
)


def render_html(report: Report, *, explain: bool = False) -> str:
    """Return the report as one self-contained HTML page.

    Parameters
    ----------
    report
        What to set.
    explain
        Whether to show the sections only a reader who wants every number explained needs, and a
        line for each check. Without it, what passed of one kind in one row shares a line. Checks
        always come with formula, numbers and source.
    """
    groups = check_groups(report.checks, report.length_unit, every=explain)
    shown = [section for section in report.sections if explain or not section.detail]
    signed = [section for section in shown if _is_sign_off(section)]
    page = _environment().get_template("page.html")
    text = page.render(
        report=report,
        version=__version__,
        colours={"light": _colours(LIGHT), "dark": _colours(DARK), "print": _colours(PRINT)},
        style=_own(_template("page.css")),
        running=_own(_css_text(report.title)),
        map_style=_own(map_css()) if _drawings(shown) else "",
        sections=[section for section in shown if section not in signed],
        signed=signed,
        groups=groups,
        full=_FULL_CLOSEST if any(group.left_out for group in groups) else _FULL,
        sources=_documents(report.citations),
        pictures=_drawings(shown),
        length_unit=report.length_unit,
    )
    return without_illegal(text).rstrip("\n")


def _is_sign_off(section: Section) -> bool:
    return any(isinstance(block, SignOff) for block in section.blocks)


def _drawings(sections: Sequence[Section]) -> dict[int, Picture]:
    """Return the pictures of some sections, each with ids of its own, by the id of their block."""
    blocks = [block for section in sections for block in section.blocks]
    drawn = [block for block in blocks if isinstance(block, Drawing)]
    return {id(block): Picture(block.view, f"m{n}-") for n, block in enumerate(drawn, start=1)}


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    environment = Environment(
        loader=FunctionLoader(_template),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(
        kind=lambda block: _KINDS[type(block)],
        filled=without_empty_columns,
        basis_mark=basis_mark,
        verdict=_verdict_sign,
        picture=_picture,
        reasons=reasons,
        check_table=check_table,
    )
    environment.globals["drawing_id"] = id
    return environment


def _template(name: str) -> str:
    folder = files("rivetkit.reports.formats").joinpath("html")
    return folder.joinpath(name).read_text(encoding="utf-8")


def _own(text: str) -> Markup:
    """Mark text as ours, not to be escaped: nothing a person typed may come through here."""
    from markupsafe import Markup

    return Markup(text)  # noqa: S704 - style sheets and drawings, which escape what they hold


def _css_text(text: str) -> str:
    r"""Return text as a string of a style sheet, whatever a person typed.

    All but plain letters, digits and blanks are written by their code points, so that nothing in it
    ends the string, the style sheet or the page.

    Examples
    --------
    >>> print(_css_text('rib 1"'))
    "rib 1\000022 "
    """
    cut = text if len(text) <= _LONGEST_RUNNING else f"{text[: _LONGEST_RUNNING - 3]}..."
    return '"{}"'.format(
        "".join(
            letter if letter == " " or (letter.isascii() and letter.isalnum()) else _code(letter)
            for letter in cut
        )
    )


def _code(letter: str) -> str:
    return f"\\{ord(letter):06x} "  # the blank ends the number and is no part of the text


def _colours(colours: dict[str, str]) -> Markup:
    return _own(as_variables(colours))


def _verdict_sign(text: str) -> Markup | str:
    """Return a cell that holds a verdict with the verdict's shape before it; others as they are."""
    verdict = _VERDICT_OF_WORD.get(text)
    if verdict is None:
        return text
    sign = element(
        "svg",
        verdict_mark(verdict, 5.0),
        viewBox="-8.5 -8.5 17 17",
        width="13",
        height="13",
        aria_hidden="true",
        focusable="false",
    )
    return _own('<span class="verdict v-{}">{} {}</span>').format(
        str(verdict).replace("_", "-"), _own(sign), text
    )


def _picture(picture: Picture) -> Markup:
    """Return a drawing as it stands in a page."""
    size = f"0 0 {WIDTH_MM:g} {picture.height_mm:g}"
    title = element("title", escaped(picture.description), id=f"{picture.prefix}title")
    return _own(
        element(
            "svg",
            title + picture.content,
            role="img",
            aria_labelledby=f"{picture.prefix}title",
            viewBox=size,
        )
    )


def _documents(citations: Sequence[Citation]) -> list[tuple[str, list[str]]]:
    """Return the documents behind a report, each with the places cited in it."""
    places: dict[str, dict[str, None]] = {}
    for citation in citations:
        cited = f"{citation.locator} [{citation.basis}]".strip()
        places.setdefault(citation.source, {})[cited] = None
    return [(_document(key), list(found)) for key, found in places.items()]


def _document(key: str) -> str:
    source = load_sources().get(key)
    return source.title if source is not None else key
