"""``rivetkit nutplate``: one nutplate read out, or a ring of them laid out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rivetkit.cli.hole_sizes import optional_hole_in
from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.errors import InputError, OutOfTableError, RivetkitError

if TYPE_CHECKING:
    from rivetkit.calculators.nutplates.cover_shape import CoverShape
    from rivetkit.calculators.nutplates.ring import RingLayers
    from rivetkit.calculators.nutplates.screw_line import Screw
    from rivetkit.fasteners.nutplates import Nutplate
    from rivetkit.reports.lookups.nutplate_data import KnownNutplate
    from rivetkit.rules import RuleBook

_EXAMPLES = """\b
Examples:
  $ rivetkit nutplate MS21047-3
  $ rivetkit nutplate MS21047-08 --round 5.75 --count 8 --opening 5 --doubler 8 --cover 6.5
  $ rivetkit nutplate NAS1473-3 --rectangle 8x6 --count 14 --opening 6x4 --doubler 9x7 --cover 9x7
  $ rivetkit nutplate MS21047-08 --round 5.75 --count 8 --opening 5 --cover 6.25   # exits 1
"""

#: Options that only a ring has.
_RING_ONLY = (
    "count",
    "max_pitch",
    "opening",
    "skin_opening",
    "doubler",
    "cover",
    "lug",
)
_SIZE_MEND = "write a diameter, WxH for a rectangle, or WxHrR with a corner radius: 8x6r3/4"


@click.command("nutplate", epilog=_EXAMPLES)
@click.argument("part")
@click.option("--round", "round_", metavar="D", help="A ring: diameter of the line of screws.")
@click.option(
    "--rectangle",
    metavar="WxHrR",
    help="A ring: sides of the line of screws, and its corner radius (left out: sharp).",
)
@click.option("--count", type=click.IntRange(2, 100_000), metavar="N", help="Screws in the ring.")
@click.option("--max-pitch", metavar="P", help="Instead: no wider apart than this.")
@click.option(
    "--start-angle", type=float, metavar="DEG", help="Round: where the first screw stands."
)
@click.option(
    "--no-corner-screws", is_flag=True, help="Rectangle: leave the middle of each corner free."
)
@click.option(
    "--turn",
    type=float,
    default=0.0,
    show_default=True,
    metavar="DEG",
    help="Turn each nutplate from the line's direction; 90 is across it.",
)
@click.option("--opening", metavar="SIZE", help="Opening in doubler and skin.")
@click.option("--skin-opening", metavar="SIZE", help="Opening in the skin, where it differs.")
@click.option("--doubler", metavar="SIZE", help="Outside of the doubler; none when there is none.")
@click.option("--cover", metavar="SIZE", help="Outside of the cover.")
@click.option("--rivet", metavar="PART", help="Rivet for the nutplate; the usual flush one.")
@click.option("--screw-hole", metavar="D", help="Screw hole under the nutplate, or its drill.")
@click.option("--cover-fit", metavar="SCHEME", help="Clearance hole of the cover, e.g. "
              "traditional-close.")  # fmt: skip
@click.option("--lug", metavar="T", help="Thickness of the nutplate's lugs, for the job file.")
@click.option("--name", default="nutplates", show_default=True, help="Row name, for the job file.")
@click.option("--skin-name", default="skin", show_default=True, help="Layer, for the job file.")
@click.option(
    "--doubler-name", default="doubler", show_default=True, help="Layer, for the job file."
)
@click.option("--accuracy", metavar="A", help="How far off the drilled holes may be.")
@rule_options
def nutplate(*, part: str, shared: Shared, **given: Any) -> int:
    """Read out a nutplate, or lay out a ring of them under a cover.

    PART is a nutplate such as MS21047-3. A SIZE is a diameter, WxH for a rectangle with sharp
    corners, or WxHrR with a corner radius. Everything has one middle; the line of screws goes
    through the screws' centres. A skin whose opening clears every hole (a cover set in flush) is
    no part of the stack.
    """
    from rivetkit.fasteners.nutplates import nutplate as find_nutplate

    book = shared.rule_book()
    plate = find_nutplate(part)
    known = _known(plate, given, book, shared)
    inputs = {"part": part, **_told(given), **shared.described()}
    if given["round_"] is None and given["rectangle"] is None:
        return _one(known, given, inputs, book, shared)
    return _ring(known, given, inputs, book, shared)


def _told(given: dict[str, Any]) -> dict[str, object]:
    return {name.rstrip("_"): value for name, value in given.items()}


def _known(plate: Nutplate, given: dict[str, Any], book: RuleBook, shared: Shared) -> KnownNutplate:
    from rivetkit.calculators.nutplates.place import nutplate_rivet, room_needed, screw_hole_size_in
    from rivetkit.fasteners import screw_holes
    from rivetkit.fasteners.catalogue import RivetHole, rivet_hole
    from rivetkit.reports.lookups.nutplate_data import KnownNutplate

    try:
        rivet = nutplate_rivet(plate, given["rivet"])
    except RivetkitError as error:
        raise error.at("--rivet") from None
    try:
        hole: RivetHole | str = rivet_hole(rivet, book)
    except OutOfTableError as error:
        hole = error.what
    try:
        cover = screw_holes.cover_hole(plate, book, scheme=given["cover_fit"])
    except RivetkitError as error:
        raise error.at("--cover-fit") from None
    try:
        screw_hole_in = screw_hole_size_in(
            plate, optional_hole_in(shared, given["screw_hole"], "--screw-hole")
        )
    except RivetkitError as error:
        raise (error if "--screw-hole" in error.what else error.at("--screw-hole")) from None
    return KnownNutplate(
        plate=plate,
        body=screw_holes.nutplate_body(plate),
        rivet=rivet,
        usual_rivet=given["rivet"] is None,
        hole=hole,
        screw_hole_in=screw_hole_in,
        cover=cover,
        other_covers=tuple(
            other
            for other in screw_holes.screw_holes(screw_holes.screw_diameter_in(plate))
            if other != cover
        ),
        room=room_needed(plate, rivet, book),
    )


def _one(
    known: KnownNutplate,
    given: dict[str, Any],
    inputs: dict[str, object],
    book: RuleBook,
    shared: Shared,
) -> int:
    from rivetkit.calculators.nutplates.place import check_rivet_to_screw_hole
    from rivetkit.reports.lookups.nutplate_report import single_report

    for name in _RING_ONLY:
        if given[name] is not None:
            option = f"--{name.replace('_', '-')}"
            raise InputError("belongs to a ring", where=option, mend="give --round or --rectangle")
    check = check_rivet_to_screw_hole(
        known.plate.rivet_spacing_in / 2.0,
        screw_hole_in=known.screw_hole_in,
        rivet=known.rivet,
        book=book,
        accuracy_in=shared.accuracy_in(given["accuracy"], "--accuracy"),
    )
    return emit(single_report(known, (check,), inputs=inputs, length_unit=shared.units), shared)


def _ring(
    known: KnownNutplate,
    given: dict[str, Any],
    inputs: dict[str, object],
    book: RuleBook,
    shared: Shared,
) -> int:
    from rivetkit.calculators.nutplates.ring import lay_out_ring
    from rivetkit.reports.lookups.nutplate_report import ring_report
    from rivetkit.reports.lookups.nutplate_rows import nutplate_row

    line, screws = _line(given, shared)
    layers = _layers(given, shared)
    ring = lay_out_ring(
        known.plate,
        rivet=known.rivet,
        screws=screws,
        layers=layers,
        book=book,
        turn_deg=given["turn"],
        screw_hole_in=known.screw_hole_in,
        accuracy_in=shared.accuracy_in(given["accuracy"], "--accuracy"),
    )
    row = nutplate_row(
        ring,
        name=given["name"],
        layer_names={"skin": given["skin_name"], "doubler": given["doubler_name"]},
        lug_in=shared.optional_length_in(given["lug"], "--lug"),
        length_unit=shared.units,
    )
    report = ring_report(
        known, ring, line=line, layers=layers, row=row, inputs=inputs, length_unit=shared.units
    )
    return emit(report, shared)


def _line(given: dict[str, Any], shared: Shared) -> tuple[CoverShape, tuple[Screw, ...]]:
    from rivetkit.calculators.nutplates.screw_line import screws_on_circle, screws_on_rectangle

    round_, rectangle = given["round_"], given["rectangle"]
    if round_ is not None and rectangle is not None:
        raise InputError("stands beside --rectangle", where="--round", mend="give one of them")
    option = "--round" if rectangle is None else "--rectangle"
    line = _size(rectangle if round_ is None else round_, option, shared)
    if line.round != (rectangle is None):
        mend = "give WxH, such as 8x6r3/4" if rectangle else "give a diameter"
        raise InputError(f"'{rectangle or round_}' is of the other kind", where=option, mend=mend)
    max_pitch_in = shared.optional_length_in(given["max_pitch"], "--max-pitch")
    spacing = {"count": given["count"], "max_pitch_in": max_pitch_in}
    try:
        if rectangle is None:
            _refuse_for(given["no_corner_screws"] or None, "--no-corner-screws", "--rectangle")
            start_deg = given["start_angle"] or 0.0
            return line, screws_on_circle(line, **spacing, start_angle_deg=start_deg)
        _refuse_for(given["start_angle"], "--start-angle", "--round")
        corner_screws = not given["no_corner_screws"]
        return line, screws_on_rectangle(line, **spacing, corner_screws=corner_screws)
    except RivetkitError as error:
        if error.where:
            raise
        raise error.at("--count" if given["max_pitch"] is None else "--max-pitch") from None


def _refuse_for(value: object, option: str, other: str) -> None:
    if value is not None:
        raise InputError(f"belongs to {other}", where=option, mend="leave it out")


def _layers(given: dict[str, Any], shared: Shared) -> RingLayers:
    from rivetkit.calculators.nutplates.ring import RingLayers

    has_doubler = (given["doubler"] or "").strip().lower() != "none"

    def size(name: str) -> CoverShape | None:
        text = given[name]
        if text is None:
            return None
        return _size(text, f"--{name.replace('_', '-')}", shared)

    return RingLayers(
        opening=size("opening"),
        skin_opening=size("skin_opening"),
        doubler=size("doubler") if has_doubler else None,
        has_doubler=has_doubler,
        cover=size("cover"),
    )


def _size(text: str, option: str, shared: Shared) -> CoverShape:
    """Return the outline a person wrote as D, WxH or WxHrR."""
    from rivetkit.calculators.nutplates.cover_shape import rectangle, round_shape

    sides, _, corner = text.lower().replace("\N{MULTIPLICATION SIGN}", "x").partition("r")
    pieces = sides.split("x")
    if len(pieces) > 2 or not all(piece.strip() for piece in pieces):  # noqa: PLR2004 - W and H
        raise InputError(f"'{text}' is no size", where=option, mend=_SIZE_MEND)
    if len(pieces) == 1 and "r" in text.lower():
        raise InputError(
            f"'{text}' has a corner radius but one side", where=option, mend=_SIZE_MEND
        )
    lengths_in = [shared.length_in(piece, option) for piece in pieces]
    radius_in = shared.length_in(corner, option, allow_zero=True) if corner.strip() else 0.0
    try:
        if len(lengths_in) == 1:
            return round_shape(lengths_in[0])
        return rectangle(lengths_in[0], lengths_in[1], corner_radius_in=radius_in)
    except RivetkitError as error:
        raise error.at(option) from None
