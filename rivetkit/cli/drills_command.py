"""``rivetkit drills``: the drill chart, looked up by name or by size."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Shared, rule_set_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rivetkit.drills import Drill, RivetDrill
    from rivetkit.reports.document import Report
    from rivetkit.reports.lookups.drills_report import FoundDrill

_EXAMPLES = """\b
Examples:
  $ rivetkit drills '#40'                      (quote it: a shell drops what follows #)
  $ rivetkit drills no40 --units mm
  $ rivetkit drills .0965 --at-or-above --series number
  $ rivetkit drills 2.5mm
  $ rivetkit drills --rivets
  $ rivetkit drills --series letter
"""
_SERIES = ("number", "letter", "fraction", "metric")
_BARE_NUMBER = re.compile(r"\d+\.?\d*|\.\d+")


@click.command("drills", epilog=_EXAMPLES)
@click.argument("size", required=False)
@click.option("--at-or-above", is_flag=True, help="Only the smallest drill of SIZE or more.")
@click.option("--at-or-below", is_flag=True, help="Only the largest drill of SIZE or less.")
@click.option("--closest", "nearest", is_flag=True, help="Only the drill closest to SIZE.")
@click.option(
    "--series",
    type=click.Choice(_SERIES),
    multiple=True,
    help="Look only among these drills. Repeatable.",
)
@click.option("--rivets", is_flag=True, help="Drill and hole for each rivet diameter.")
@rule_set_options
def drills(
    *,
    size: str | None,
    at_or_above: bool,
    at_or_below: bool,
    nearest: bool,
    series: tuple[str, ...],
    rivets: bool,
    shared: Shared,
) -> int:
    """Look a drill up by name or size, or show the chart.

    SIZE is a drill ('#40', no40, F, 3/32, 2.5mm) or any length (.0965, 2.4 mm). Without SIZE: the
    whole chart.
    """
    asked = {
        "at or above": at_or_above,
        "at or below": at_or_below,
        "closest": nearest,
    }
    inputs: dict[str, object] = {
        "size": size,
        "looked_for": [name for name, wanted in asked.items() if wanted],
        "series": list(series),
        "rivets": rivets,
        **shared.described(),
    }
    if rivets and (size is not None or series or any(asked.values())):
        raise InputError(
            "--rivets is a chart of its own", mend="leave out SIZE, --series and the look-ups"
        )
    if rivets:
        return emit(_rivet_chart(inputs, shared), shared)
    if size is None:
        if any(asked.values()):
            raise InputError("there is no SIZE to look up", mend="give a drill or a length")
        return emit(_chart(series, inputs, shared), shared)
    wanted = [name for name, flag in asked.items() if flag]
    return emit(_look_up(size, wanted, series, inputs, shared), shared)


def _chart(series: Sequence[str], inputs: dict[str, object], shared: Shared) -> Report:
    from rivetkit.drills import chart
    from rivetkit.reports.lookups.drills_report import chart_report

    listed = [drill for drill in chart() if not series or drill.series in series]
    return chart_report(listed, inputs=inputs, length_unit=shared.units)


def _rivet_chart(inputs: dict[str, object], shared: Shared) -> Report:
    from rivetkit.cli.rivet_drills import blind_drills, drills_that_differ
    from rivetkit.reports.lookups.drills_report import rivet_chart_report

    return rivet_chart_report(
        _rivet_charts(shared),
        drills_that_differ(shared.rule_book()),
        blind_drills(),
        inputs=inputs,
        length_unit=shared.units,
    )


def _rivet_charts(shared: Shared) -> dict[str, tuple[RivetDrill, ...]]:
    """Return the rivet holes of the rule set asked for, else of every set that has its own."""
    from rivetkit.drills import rivet_drill_table
    from rivetkit.rules import RuleBook, rule_set_names

    chosen = shared.rule_book()
    if shared.rule_set is not None:
        return {shared.rule_set: rivet_drill_table(chosen)}
    books = [RuleBook.named(name) for name in rule_set_names()]
    return {
        book.rule_set: rivet_drill_table(book)
        for book in books
        if book.choice("rivet_hole_solid").rule_set == book.rule_set
    }


def _look_up(
    text: str,
    wanted: Sequence[str],
    series: Sequence[str],
    inputs: dict[str, object],
    shared: Shared,
) -> Report:
    from rivetkit.reports.lookups.drills_report import look_up_report

    drill, size_in = _size_of(text, shared)
    among = tuple(series) or None
    if wanted:
        found = [_found(name, size_in, among) for name in wanted]
    else:
        found = _around(drill, size_in, among)
    # Of a drill asked for by name only its own use matters, not its neighbours'.
    telling = [entry for entry in found if entry.drill is drill] or found
    names = {name for entry in telling for name in (entry.drill.designation, *entry.also)}
    used_for = [
        (rule_set, entry)
        for rule_set, entries in _rivet_charts(shared).items()
        for entry in entries
        if entry.drill.designation in names
    ]
    return look_up_report(size_in, found, used_for, inputs=inputs, length_unit=shared.units)


def _size_of(text: str, shared: Shared) -> tuple[Drill | None, float]:
    """Return the drill a text names, if it names one, and the size asked for [in]."""
    from rivetkit.drills import chart, find_drill

    if shared.units == "mm" and _BARE_NUMBER.fullmatch(text.strip()):
        text = f"{text.strip()} mm"
    try:
        drill = find_drill(text)
    except InputError as no_drill:
        if text.strip().isdigit():
            raise  # a name without its series, not a length in inches
        try:
            size_in = shared.length_in(text, "SIZE")
        except InputError:
            raise no_drill from None
        past = not chart()[0].size_in <= size_in <= chart()[-1].size_in
        if past and _BARE_NUMBER.fullmatch(text.strip()):
            raise  # the message says which unit may have been meant
        return None, size_in
    return drill, drill.size_in


def _found(name: str, size_in: float, series: Sequence[str] | None) -> FoundDrill:
    from rivetkit.drills import closest, largest_at_or_below, smallest_at_or_above

    look_ups = {
        "at or above": smallest_at_or_above,
        "at or below": largest_at_or_below,
        "closest": closest,
    }
    return _entry(name, look_ups[name](size_in, series), size_in)


def _around(drill: Drill | None, size_in: float, series: Sequence[str] | None) -> list[FoundDrill]:
    """Return the drill itself, where there is one, between its next smaller and next larger."""
    from rivetkit.drills import neighbours

    smaller, larger = neighbours(size_in, series)
    named = (("next smaller", smaller), ("this drill", drill), ("next larger", larger))
    return [_entry(answers, one, size_in) for answers, one in named if one is not None]


def _entry(answers: str, drill: Drill, size_in: float) -> FoundDrill:
    from rivetkit.drills import chart
    from rivetkit.reports.lookups.drills_report import FoundDrill

    also = tuple(
        other.designation
        for other in chart()
        if other.size_in == drill.size_in and other.designation != drill.designation
    )
    return FoundDrill(answers, drill, drill.size_in - size_in, also)
