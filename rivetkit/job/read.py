"""Read a job file. Whatever is wrong with it is one line: file, key, the mend."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any, cast, get_args

from rivetkit.calculators.limits import require_accuracy, require_thickness
from rivetkit.calculators.nutplates.place import screw_hole_size_in
from rivetkit.calculators.order import SparesPolicy
from rivetkit.calculators.oversize.measured_size import require_hole_accuracy
from rivetkit.errors import InputError, RivetkitError
from rivetkit.geometry.outline import Boundary, Circle
from rivetkit.job.drawing.text import FILL_IN
from rivetkit.job.fields import Fields
from rivetkit.job.files import STANDARD_INPUT, read_text_file
from rivetkit.job.keys.unknown import refuse_unknown_keys
from rivetkit.job.model import (
    MAX_HOLES,
    SAME_HOLE_IN,
    Flange,
    HingeLine,
    Job,
    Layer,
    LayerKind,
    Row,
    SheetState,
    Temperatures,
)
from rivetkit.job.open_holes import with_open_holes
from rivetkit.job.outlines import read_boundary
from rivetkit.job.rows import read_row
from rivetkit.job.toml_words import not_toml
from rivetkit.materials import require_spelling
from rivetkit.quantities import error_in_unit, joined_words, parse_temperature_degf
from rivetkit.rules import DEFAULT_RULE_SET, Override, RuleBook

#: What a job says of a member whose edges nobody could measure.
_NOT_MEASURED = "not measured"

#: AC 43.13-1B p 4-12 wants no larger holes in spar caps and longitudinal stringers; a job that
#: knows better says so with no_oversize = false.
_NO_OVERSIZE_KINDS = ("spar", "stringer")

_MEMBER_KINDS = tuple(kind for kind in get_args(LayerKind) if kind != "sheet")


def read_job(path: str | Path) -> Job:
    """Read a job from a TOML file, or from standard input when ``path`` is ``-``.

    Raises
    ------
    InputError
        When the file cannot be read or is no job; the message names the file and the key.
    """
    is_file = str(path) != STANDARD_INPUT
    name = str(path) if is_file else "standard input"
    try:
        text = read_text_file(path)
    except RivetkitError as error:
        raise error.at(name) from None
    if not is_file:
        return parse_job(text, name=name)
    return parse_job(text, name=Path(path).name, folder=Path(path).parent)


def parse_job(text: str, *, name: str = "job", folder: Path | None = None) -> Job:
    """Read a job from TOML text.

    Parameters
    ----------
    text
        The TOML document.
    name
        What to call it in messages.
    folder
        Where CSV files the job names are looked for; without it none can be.

    Raises
    ------
    InputError
        When the text is no job; the message names the key and the mend.
    """
    if not text.strip():
        raise InputError("the file is empty", where=name, mend="see examples/ for a job to copy")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise not_toml(error, text, name) from None
    except RecursionError:
        raise InputError(
            "this is not TOML: its brackets are nested too deep",
            where=name,
            mend="look for [[[ or {{{",
        ) from None
    except ValueError:  # Python reads no whole number of thousands of digits
        raise InputError(
            "there is a number with thousands of digits in it",
            where=name,
            mend="look for a very long line",
        ) from None
    try:
        return _read_top(data, name, folder)
    except RivetkitError as error:
        raise _with_line_to_fill(error, text) from None


def _with_line_to_fill(error: RivetkitError, text: str) -> RivetkitError:
    """Return the error, with the first line of an imported file that is not filled in yet."""
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith(FILL_IN):
            hint = f"complete line {number} and take its {FILL_IN.strip()} away"
            mend = joined_words("; ", [*filter(None, [error.mend]), hint])
            return type(error)(error.what, where=error.where, mend=mend)
    return error


def _read_top(data: dict[str, Any], name: str, folder: Path | None) -> Job:
    refuse_unknown_keys(data, name)
    plain = Fields(data, name, "in")
    unit = plain.choice("units", ("in", "mm"), "in")
    try:
        return _read_known(data, name, folder, unit)
    except RivetkitError as error:
        raise error_in_unit(error, unit) from None


def _read_known(data: dict[str, Any], name: str, folder: Path | None, unit: str) -> Job:
    top = Fields(data, name, unit)
    top.raw("units", None)
    title = top.text("name")
    accuracy_in, hole_accuracy_in = _read_accuracies_in(top)
    same_hole_in = top.length_in("same_hole_within", SAME_HOLE_IN)
    half_lengths = top.flag("half_lengths", default=True)
    rule_set, overrides = _read_rules(top)
    spares = _read_spares(top)
    hinge = _read_hinge(top)
    temperatures = _read_temperatures(top)
    assumed = top.texts("assumed")
    layers = _read_layers(top)
    rows, removed = _read_rows(top, layers, folder)
    top.done()
    job = Job(
        name=title,
        units="mm" if unit == "mm" else "in",
        layers=_with_screw_holes(layers, rows),
        rows=rows,
        accuracy_in=accuracy_in,
        hole_accuracy_in=hole_accuracy_in,
        rule_set=rule_set,
        overrides=overrides,
        spares=spares,
        hinge=hinge,
        same_hole_in=same_hole_in,
        half_lengths=half_lengths,
        temperatures=temperatures,
        assumed=assumed,
        removed=removed,
    )
    try:
        return with_open_holes(job, RuleBook.named(rule_set, overrides))
    except RivetkitError as error:
        raise error.at(name) from None


def _read_rules(top: Fields) -> tuple[str, tuple[Override, ...]]:
    rule_set = top.text("rule_set", DEFAULT_RULE_SET)
    top.place("rule_set", lambda: RuleBook.named(rule_set))
    overrides = []
    for item in top.tables("override"):
        override = Override(
            question=item.text("rule"),
            value=item.number("value"),
            unit=item.text("unit"),
            source=item.text("source"),
        )
        item.done()
        try:
            RuleBook.named(rule_set, [override])
        except RivetkitError as error:
            raise error.at(item.where) from None
        overrides.append(override)
    return rule_set, tuple(overrides)


def _read_spares(top: Fields) -> SparesPolicy:
    if "spares" not in top:
        return SparesPolicy()
    spares = top.table("spares")
    policy = SparesPolicy(
        percent=spares.number("percent", 0.0, least=0.0),
        minimum=spares.whole("minimum", 0),
        pack_size=spares.whole("pack", 1, least=1),
    )
    spares.done()
    return policy


def _read_hinge(top: Fields) -> HingeLine | None:
    if "hinge" not in top:
        return None
    fields = top.table("hinge")
    hinge = HingeLine(fields.point("from"), fields.point("to"))
    fields.done()
    if hinge.start == hinge.end:
        raise fields.refuse("to", "the hinge line has no length", "give two points on it")
    return hinge


def _read_temperatures(top: Fields) -> Temperatures | None:
    if "temperatures" not in top:
        return None
    fields = top.table("temperatures")
    drilled, least, greatest = fields.text("drilled"), fields.text("least"), fields.text("greatest")
    told = Temperatures(
        drilled_degf=fields.place("drilled", lambda: parse_temperature_degf(drilled)),
        least_degf=fields.place("least", lambda: parse_temperature_degf(least)),
        greatest_degf=fields.place("greatest", lambda: parse_temperature_degf(greatest)),
    )
    fields.done()
    if told.least_degf > told.greatest_degf:
        raise fields.refuse("least", f"{least} is warmer than {greatest}", "exchange the two")
    return told


def _read_layers(top: Fields) -> dict[str, Layer]:
    layers: dict[str, Layer] = {}
    readers = {"sheet": _read_sheet, "member": _read_member}
    sheets = [("sheet", fields) for fields in top.tables("sheet")]
    members = [("member", fields) for fields in top.tables("member")]
    for what, fields in sheets + members:
        name = fields.text("name")
        fields.rename(f"{top.where}: {what} '{name}'")
        if name in layers:
            raise fields.refuse("name", f"'{name}' is taken", "give every layer a name of its own")
        layers[name] = readers[what](fields, name)
        fields.done()
    if not layers:
        raise InputError(
            "there is no sheet and no member", where=top.where, mend="add [[sheet]] tables"
        )
    return layers


def _read_sheet(fields: Fields, name: str) -> Layer:
    if "old" not in fields and "new" not in fields:
        raise InputError(
            "neither 'old' nor 'new' is given",
            where=fields.where,
            mend="say what the sheet is: old = { alloy = ..., thickness = ... }",
        )
    old = _read_state(fields.table("old")) if "old" in fields else None
    new = _read_state(fields.table("new")) if "new" in fields else old
    if fields.flag("left_off", default=False):
        if "new" in fields:
            raise fields.refuse("left_off", "a new sheet is given as well", "leave out one of them")
        new = None
    no_oversize = fields.flag("no_oversize", default=False)
    return Layer(name, "sheet", old, new, read_boundary(fields), no_oversize=no_oversize)


def _read_state(fields: Fields) -> SheetState:
    state = SheetState(_read_alloy(fields), _read_thickness_in(fields))
    fields.done()
    return state


def _read_accuracies_in(top: Fields) -> tuple[float, float | None]:
    """Return how far off measured distances may be [in], and holes, None where nobody told."""
    accuracy_in = top.length_in("accuracy", 0.0, allow_zero=True)
    top.place("accuracy", lambda: require_accuracy(accuracy_in))
    if "hole_accuracy" not in top:
        return accuracy_in, None
    hole_in = top.length_in("hole_accuracy", allow_zero=True)
    return accuracy_in, top.place("hole_accuracy", lambda: require_hole_accuracy(hole_in))


def _read_thickness_in(fields: Fields) -> float:
    thickness_in = fields.length_in("thickness")
    return fields.place("thickness", lambda: require_thickness(thickness_in))


def _read_alloy(fields: Fields, default: str | None = None) -> str:
    """Return an alloy; one the tables do not have is allowed, one that is only misspelt is not."""
    alloy = fields.text("alloy") if default is None else fields.text("alloy", default)
    return fields.place("alloy", lambda: require_spelling(alloy))


def _read_member(fields: Fields, name: str) -> Layer:
    kind = cast("LayerKind", fields.choice("kind", _MEMBER_KINDS))
    state = SheetState(_read_alloy(fields, ""), _read_thickness_in(fields))
    added = fields.flag("added", default=False)
    how = fields.only_one_of("outline", "flange", "edge_distance", "edge")
    if how != "edge" and fields.data[how] == _NOT_MEASURED:
        raise fields.refuse(
            how, f"'{_NOT_MEASURED}' stands at 'edge'", f'write edge = "{_NOT_MEASURED}"'
        )
    boundary: Boundary | None = None
    flange: Flange | None = None
    edge_distance_in: float | None = None
    if how == "outline":
        boundary = read_boundary(fields)
    elif how == "flange":
        flange = _read_flange(fields.table("flange"))
    elif how == "edge_distance":
        edge_distance_in = fields.length_in("edge_distance")
    else:
        fields.choice("edge", (_NOT_MEASURED,))
    return Layer(
        name=name,
        kind=kind,
        old=None if added else state,
        new=state,
        boundary=boundary,
        flange=flange,
        edge_distance_in=edge_distance_in,
        no_oversize=fields.flag("no_oversize", default=kind in _NO_OVERSIZE_KINDS),
    )


def _read_flange(fields: Fields) -> Flange:
    flange = Flange(
        width_in=fields.length_in("width"),
        end_distance_in=fields.length_in("end_distance", None),
        heel_free=fields.flag("heel_free", default=False),
    )
    fields.done()
    return flange


def _read_rows(
    top: Fields, layers: dict[str, Layer], folder: Path | None
) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """Return the rows that have rivets afterwards, and those whose rivets come out for good."""
    rows: dict[str, Row] = {}
    removed: list[str] = []
    total = 0
    for fields in top.tables("row"):
        name = fields.text("name")
        fields.rename(f"{top.where}: row '{name}'")
        if name in rows:
            raise fields.refuse("name", f"'{name}' is taken", "give every row a name of its own")
        if fields.flag("removed", default=False):
            removed.append(name)
        rows[name] = read_row(fields, name, layers, folder)
        fields.done()
        total += len(rows[name].points)
        if total > MAX_HOLES:
            raise InputError(
                f"up to here are {total} holes, more than the {MAX_HOLES} a job may have",
                where=fields.where,
                mend="check the counts and pitches, or split the job",
            )
    if not rows:
        raise InputError("there is no row of rivets", where=top.where, mend="add [[row]] tables")
    if len(removed) == len(rows):
        raise InputError(
            "every row is removed: no rivet is left to plan",
            where=top.where,
            mend="add the rows that stay or come",
        )
    for row in rows.values():
        for number, other in enumerate(row.replaces):
            if other not in removed:
                raise InputError(
                    f"replaces[{number}]: "
                    + (f"row '{other}' is not removed" if other in rows else f"no row '{other}'"),
                    where=f"{top.where}: row '{row.name}'",
                    mend="name rows with removed = true",
                )
    stays = tuple(row for row in rows.values() if row.name not in removed)
    return stays, tuple(rows[name] for name in removed)


def _with_screw_holes(layers: dict[str, Layer], rows: tuple[Row, ...]) -> dict[str, Layer]:
    """Return the layers with the screw holes of nutplate rows cut into them."""
    cut: dict[str, list[Circle]] = {name: [] for name in layers}
    for row in rows:
        if row.nutplate is None:
            continue
        radius_in = screw_hole_size_in(row.nutplate) / 2.0
        for place in row.layers:
            cut[place.layer] += (
                Circle(row.screw_name(number), screw, radius_in)
                for number, screw in enumerate(row.screws)
            )
    return {name: _with_circles(layers[name], tuple(circles)) for name, circles in cut.items()}


def _with_circles(layer: Layer, screw_holes: tuple[Circle, ...]) -> Layer:
    boundary = layer.boundary
    if boundary is not None:
        circles = (*boundary.circles, *screw_holes)
        boundary = Boundary(boundary.outer, boundary.cutouts, circles)
    return replace(layer, boundary=boundary, screw_holes=screw_holes)
