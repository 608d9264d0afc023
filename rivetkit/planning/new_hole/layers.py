"""Which layers a new hole goes through, which it passes by, and which nobody drew."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

from rivetkit.calculators.countersink import SHEET
from rivetkit.calculators.metal_contact import MetalReview, review_metals
from rivetkit.calculators.oversize.heads import flush_checks
from rivetkit.calculators.oversize.place import OversizeLayer
from rivetkit.calculators.rivet_diameter import check_diameter_for_sheet, check_stringer_leg
from rivetkit.calculators.spacing import edge_question
from rivetkit.calculators.stack import Layer as StackLayer
from rivetkit.checks import Check, Verdict, not_checked
from rivetkit.errors import InputError
from rivetkit.geometry.room import Plate, near_line
from rivetkit.geometry.spots import Spots
from rivetkit.quantities import length_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from typing import Any

    from numpy.typing import NDArray

    from rivetkit.calculators.stack import Form
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.geometry.curves import Point
    from rivetkit.job.model import Layer
    from rivetkit.planning.context import Context


@dataclass(frozen=True, eq=False)
class HoleLayers:
    """The layers of a job as one new rivet meets them.

    Parameters
    ----------
    context
        The job.
    part
        The rivet to go in.
    named
        The layers it goes through, named; None: every drawn layer that lies under the place.
    forms
        How layers are formed for a flush head, by name; plain when not told.
    """

    context: Context
    part: Fastener
    named: tuple[str, ...] | None
    forms: Mapping[str, Form]

    def __post_init__(self) -> None:
        """Refuse layers the job has not, or has no more, and forms that nothing asks for."""
        for name in self.named or ():
            self._require(name, "--layers")
        for name, form in self.forms.items():
            option = f"--{form}"
            self._require(name, option)
            if self.named is not None and name not in self.named:
                raise InputError(
                    f"the hole does not go through '{name}'",
                    where=option,
                    mend="name it in --layers too",
                )
            if not self.part.flush:
                raise InputError(
                    f"'{self.part.designation}' does not have a flush head",
                    where=option,
                    mend="leave the option away, or name a flush rivet",
                )

    def _require(self, name: str, option: str) -> None:
        layers = self.context.job.layers
        if name not in layers:
            raise InputError(
                f"the job has no layer '{name}'",
                where=option,
                mend=f"split by ;, the layers are {'; '.join(layers)}",
            )
        if layers[name].new is None:
            raise InputError(f"'{name}' is left off", where=option, mend="name what stays or comes")

    @cached_property
    def _named_layers(self) -> tuple[Layer, ...]:
        return tuple(self.staying[name] for name in self.named or ())

    @cached_property
    def staying(self) -> dict[str, Layer]:
        """The layers that stay or come, by name."""
        layers = self.context.job.layers
        return {name: layer for name, layer in layers.items() if layer.new is not None}

    @cached_property
    def plates(self) -> dict[str, Plate]:
        """Those of them that are drawn, as ground."""
        return {
            name: Plate(layer.boundary, layer.rims)
            for name, layer in self.staying.items()
            if layer.boundary is not None
        }

    @cached_property
    def through(self) -> dict[str, Plate]:
        """The plates the hole goes through: the named ones; else those that lie under it."""
        if self.named is None:
            return self.plates
        return {name: plate for name, plate in self.plates.items() if name in self.named}

    @cached_property
    def beside(self) -> dict[str, Plate]:
        """The plates that were not named and may lie against the named ones.

        That are those riveted to a named one, and those no row goes through. One that is riveted
        to others alone, the skin of the other side, is somewhere else.
        """
        if self.named is None:
            return {}
        stacks = [{place.layer for place in stack} for stack in self.context.holes.stacks]
        riveted = set[str]().union(*stacks)
        against = set[str]().union(*(stack for stack in stacks if stack.intersection(self.named)))
        return {
            name: plate
            for name, plate in self.plates.items()
            if name not in self.named and (name in against or name not in riveted)
        }

    def under(self, place: Point) -> tuple[Layer, ...]:
        """Return the layers the hole goes through at a place; none where no drawn one lies."""
        if self.named is not None:
            return self._named_layers
        spot = Spots.at(np.array([place]))
        return tuple(
            self.staying[name] for name, plate in self.plates.items() if plate.under(spot)[0]
        )

    def undrawn_rows(self) -> Iterator[tuple[Layer, dict[str, NDArray[np.float64]], float]]:
        """Yield every layer nobody drew or named, the places of its rows, and how far from them it
        reaches [in].

        Where one lies is only known from its rows: a flange reaches its own width from them, and
        of a layer without a width nobody knows how far it reaches.
        """
        if self.named is not None:
            return
        context = self.context
        rule = context.book.rule(edge_question(flush=self.part.flush))
        near_in = rule.length_in(diameter_in=self.part.diameter_in)
        for layer in self.staying.values():
            if layer.boundary is not None:
                continue
            rows = {
                context.job.rows[number].name: context.holes.points[context.holes.in_row[number]]
                for number, _ in context.rows_through.get(layer.name, ())
            }
            reach_in = layer.flange.width_in + near_in if layer.flange and rows else math.inf
            yield layer, rows, reach_in

    def maybe_under(self, places: Sequence[Point]) -> Iterator[tuple[Layer, str]]:
        """Yield every layer nobody drew that may lie at a place, or on a line, and why."""
        for layer, rows, reach_in in self.undrawn_rows():
            away_in = {name: _distance_in(places, holes) for name, holes in rows.items()}
            row = min(away_in, key=lambda name: away_in[name], default=None)
            if row is None:
                yield layer, ""
            elif away_in[row] <= reach_in:
                yield (
                    layer,
                    length_words(", {away:.4g} from its row '{row}'", away=away_in[row], row=row),
                )

    def diameter_checks(
        self, layers: Sequence[Layer], maybe: Sequence[Layer] = ()
    ) -> Iterator[Check]:
        """Yield the checks of the rivet's diameter against some layers, and legs of stringers.

        Where the layers that may lie there besides would turn a check, it is not checked.
        """
        if not layers:
            return
        told, besides = self._for_sheets(layers), self._for_sheets([*layers, *maybe])
        for check, other in zip(told, besides, strict=True):
            if check.verdict is other.verdict:
                yield check
                continue
            names = ", ".join(f"'{layer.name}'" for layer in maybe)
            yield not_checked(
                check.name,
                f"it hangs on whether {names} lies there: "
                "name it in --layers if the hole goes through it",
                where=check.where,
                citations=check.citations,
                comparison=check.comparison,
            )
        for layer in layers:
            if layer.leg_width_in is not None:
                yield check_stringer_leg(
                    layer.leg_width_in,
                    diameter_in=self.part.diameter_in,
                    book=self.context.book,
                    accuracy_in=self.context.job.accuracy_in,
                    where=layer.name,
                )

    def _for_sheets(self, layers: Sequence[Layer]) -> tuple[Check, ...]:
        thickest_in = max(_thickness_in(layer) for layer in layers)
        thickest = next(layer for layer in layers if _thickness_in(layer) == thickest_in)
        return check_diameter_for_sheet(
            self.part.diameter_in,
            sheets_in=[thickest_in],
            book=self.context.book,
            where=thickest.name,
        )

    def seat_checks(self, layers: Sequence[Layer]) -> tuple[Check, ...]:
        """Return the checks of how a flush head sits in some layers."""
        if not self.part.flush:
            return ()
        formed = [layer for layer in layers if layer.name in self.forms]
        if not formed:
            why = (
                "how the flush head is seated is not told: name layers in --countersunk, --dimpled"
            )
            return (not_checked(SHEET, why),)
        return flush_checks(
            self.part,
            [
                OversizeLayer(layer.name, _thickness_in(layer), self.forms[layer.name])
                for layer in formed
            ],
            self.context.book,
        )

    def metals(self, layers: Sequence[Layer]) -> MetalReview:
        """Return which metals the rivet meets in some layers; in what order they lie is not told.

        So what two of them do to each other is not looked at.
        """
        found = [
            review_metals(
                self.part, [StackLayer(layer.name, state.thickness_in, alloy=state.alloy)]
            )
            for layer in layers
            if (state := layer.new) is not None
        ]
        return MetalReview(
            contacts=tuple(contact for one in found for contact in one.contacts),
            checks=tuple(check for one in found for check in one.checks),
        )

    def seat_and_metal_checks(self, layers: Sequence[Layer]) -> tuple[Check, ...]:
        """Return the checks of a flush head's seat, and of the rivet's alloy for the layers."""
        return (*self.seat_checks(layers), *self.metals(layers).checks)

    @cached_property
    def suits(self) -> bool:
        """Whether the rivet may go into the named layers at all; else into any one of the job."""
        if self.named is None:
            return any(self._bears(layer) for layer in self.staying.values())
        layers = self._named_layers
        checks = (*self.diameter_checks(layers), *self.seat_and_metal_checks(layers))
        return not any(check.verdict is Verdict.FAIL for check in checks)

    def refusing(self) -> Iterator[str]:
        """Yield the drawn layers through which the rivet may nowhere go: too thick, too thin for
        the form they are given, or of a metal it does not suit.
        """
        for name in self.plates:
            layer = self.staying[name]
            least, _, structural = self._for_sheets([layer])
            seat = self.seat_checks([layer]) if name in self.forms else ()
            others = (*seat, *self.metals([layer]).checks)
            if any(check.verdict is Verdict.FAIL for check in (least, structural, *others)):
                yield name

    def bearing(self) -> Iterator[Any]:
        """Yield the places where a layer thick enough for the rivet's diameter lies, or may lie."""
        for name, plate in self.plates.items():
            if self._bears(self.staying[name]):
                yield plate.metal
        for layer, rows, reach_in in self.undrawn_rows():
            if not self._bears(layer):
                continue
            if math.isinf(reach_in):
                yield from (plate.metal for plate in self.plates.values())
            else:
                yield from (near_line(holes, reach_in) for holes in rows.values())

    def _bears(self, layer: Layer) -> bool:
        _, greatest, structural = self._for_sheets([layer])
        return Verdict.FAIL not in (greatest.verdict, structural.verdict)


def _thickness_in(layer: Layer) -> float:
    assert layer.new is not None  # noqa: S101 - layers left off are refused or left out
    return layer.new.thickness_in


def _distance_in(places: Sequence[Point], holes: NDArray[np.float64]) -> float:
    """Return the distance [in] between a point, or a line, and a row of holes."""
    one, other = (
        shapely.points(line[0]) if len(line) == 1 else shapely.linestrings(line)
        for line in (np.asarray(places), holes)
    )
    return float(shapely.distance(one, other))
