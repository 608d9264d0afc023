"""The blank a new skin is cut from: how large at least, and which stock sheets it fits on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.limits import Working, require_length
from rivetkit.checks import LIMIT_TOLERANCE, Check, Term, make_check
from rivetkit.errors import InputError
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.materials import StockSheetRow
from rivetkit.quantities import from_unit

if TYPE_CHECKING:
    from rivetkit.handbook import Citation
    from rivetkit.rules import RuleBook

Side = Literal["width", "height"]
SIDES: tuple[Side, Side] = ("width", "height")


@dataclass(frozen=True, slots=True)
class Box:
    """The smallest upright rectangle round something, by its least and greatest x and y [in]."""

    x_min_in: float
    y_min_in: float
    x_max_in: float
    y_max_in: float

    def span_in(self, side: Side) -> tuple[float, float]:
        """Return where a side starts and stops: the width along x, the height along y [in]."""
        if side == "width":
            return self.x_min_in, self.x_max_in
        return self.y_min_in, self.y_max_in


@dataclass(frozen=True, slots=True)
class Blank:
    """How large a blank must be, and may well be, with the arithmetic of each side."""

    least: tuple[Working, Working]
    generous: tuple[Working, Working]

    @property
    def least_in(self) -> tuple[float, float]:
        """Least width and height [in]."""
        return self.least[0].value, self.least[1].value

    @property
    def generous_in(self) -> tuple[float, float]:
        """Width and height with the greatest allowance [in]."""
        return self.generous[0].value, self.generous[1].value


@dataclass(frozen=True, slots=True)
class SheetFit:
    """A stock sheet a blank fits on, one way round.

    ``grain`` is the side of the blank the grain runs along; ``left_along_in`` and
    ``left_across_in`` are what is left of the sheet's length and width [in]; ``generous`` tells
    whether the blank with the greatest allowance fits too.
    """

    sheet: StockSheetRow
    sheet_width_in: float
    sheet_length_in: float
    grain: Side
    left_along_in: float
    left_across_in: float
    generous: bool


def size_blank(
    book: RuleBook, *, holes: Box | None = None, outline: Box | None = None, trim_in: float = 0.0
) -> Blank:
    """Return the size of the blank of a new skin.

    It reaches past the outermost rivet holes by the allowance of the rules, and past the finished
    outline by the trim. Without holes the allowance is reckoned from the outline.

    Parameters
    ----------
    book
        The rules in force.
    holes
        Box round the centres of the skin's holes [in].
    outline
        Box round its finished outline [in].
    trim_in
        What is to be trimmed off outside the finished outline [in].

    Raises
    ------
    InputError
        When neither holes nor outline are given, or the trim is no length.

    References
    ----------
    Army AL0992 p 67: 1 to 2 in outside the rivet holes.

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> holes, outline = Box(0.5, 0.5, 23.5, 11.5), Box(0, 0, 24, 12)
    >>> size_blank(RuleBook.named(), holes=holes, outline=outline).least_in
    (25.0, 13.0)
    """
    require_length(trim_in, "the trim", zero_allowed=True)
    holes = holes or outline
    if holes is None:
        raise InputError("the skin has neither holes nor an outline", mend="give one of them")
    sizes = []
    for name, question in (
        ("at least", "blank_allowance_min"),
        ("generous", "blank_allowance_max"),
    ):
        rule = book.rule(question)
        sizes.append(
            tuple(
                _side(name, side, holes, outline, rule.length_in(), trim_in, rule.citation)
                for side in SIDES
            )
        )
    (least_width, least_height), (generous_width, generous_height) = sizes
    return Blank((least_width, least_height), (generous_width, generous_height))


def _side(
    name: str,
    side: Side,
    holes: Box,
    outline: Box | None,
    allowance_in: float,
    trim_in: float,
    citation: Citation,
) -> Working:
    low_in, high_in = holes.span_in(side)
    terms = [Term("h1", low_in, "in"), Term("h2", high_in, "in"), Term("a", allowance_in, "in")]
    if outline is None:
        value_in = high_in - low_in + 2.0 * allowance_in
        template = "({h2} + {a}) - ({h1} - {a})"
    else:
        start_in, stop_in = outline.span_in(side)
        terms += [Term("o1", start_in, "in"), Term("o2", stop_in, "in"), Term("t", trim_in, "in")]
        upper_in = max(high_in + allowance_in, stop_in + trim_in)
        value_in = upper_in - min(low_in - allowance_in, start_in - trim_in)
        template = "(larger of {h2} + {a} and {o2} + {t}) - (smaller of {h1} - {a} and {o1} - {t})"
    return Working(
        f"{side}, {name}", value_in, "in", f"{side} = {template}", tuple(terms), (citation,)
    )


def stock_fits(blank: Blank, *, grain: Side | None = None) -> tuple[SheetFit, ...]:
    """Return every stock sheet the blank fits on, each way round, the smallest sheet first.

    Parameters
    ----------
    blank
        The blank.
    grain
        The side the grain has to run along; none when either will do.

    References
    ----------
    ``tables/materials/stock_sheets.csv``

    Examples
    --------
    >>> from rivetkit.rules import RuleBook
    >>> blank = size_blank(RuleBook.named(), outline=Box(0, 0, 44, 20))
    >>> [(fit.sheet.size, fit.grain) for fit in stock_fits(blank)][:2]
    [('2 x 4 ft', 'width'), ('4 x 4 ft', 'height')]
    """
    fits = []
    for row in load_table(StockSheetRow):
        for side in SIDES if grain is None else (grain,):
            fit = _fit(row, blank, side)
            if fit is not None:
                fits.append(fit)
    return tuple(
        sorted(fits, key=lambda fit: (fit.sheet_width_in * fit.sheet_length_in, fit.grain))
    )


def _fit(row: StockSheetRow, blank: Blank, grain: Side) -> SheetFit | None:
    width_in, length_in = (from_unit(size, row.unit) for size in (row.width, row.length))
    along_in, across_in = _turned(blank.least_in, grain)
    if min(length_in - along_in, width_in - across_in) < -LIMIT_TOLERANCE:
        return None
    more_along_in, more_across_in = _turned(blank.generous_in, grain)
    return SheetFit(
        sheet=row,
        sheet_width_in=width_in,
        sheet_length_in=length_in,
        grain=grain,
        left_along_in=max(0.0, length_in - along_in),
        left_across_in=max(0.0, width_in - across_in),
        generous=min(length_in - more_along_in, width_in - more_across_in) >= -LIMIT_TOLERANCE,
    )


def _turned(size_in: tuple[float, float], grain: Side) -> tuple[float, float]:
    """Return what of a size lies along the sheet and what across it [in]."""
    return size_in if grain == "width" else (size_in[1], size_in[0])


def check_stock(fits: tuple[SheetFit, ...], *, where: str = "") -> Check:
    """Return the check that a blank fits on some stock sheet.

    Parameters
    ----------
    fits
        What :func:`stock_fits` found.
    where
        The skin.

    References
    ----------
    ``tables/materials/stock_sheets.csv``
    """
    citations = tuple(dict.fromkeys(row.citation() for row in load_table(StockSheetRow)))
    count = len({fit.sheet.size for fit in fits})
    return make_check(
        "stock sheets that fit",
        count,
        1,
        unit="count",
        comparison="at least",
        citations=citations,
        template="{n} >= {one}",
        terms=(Term("n", count), Term("one", 1)),
        where=where,
    )
