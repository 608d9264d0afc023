"""What a job is: layers, rows of rivets through them, policies. Plain data, lengths in inches."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.order import SparesPolicy
from rivetkit.rules import DEFAULT_RULE_SET, Override

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from rivetkit.calculators.lengths.grip import Form
    from rivetkit.calculators.nutplates.lugs import PlacedPlate
    from rivetkit.fasteners.catalogue import Nutplate
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.geometry.curves import Point, Points
    from rivetkit.geometry.outline import Boundary, Circle

Access = Literal["both", "blind"]
LayerKind = Literal["sheet", "skin", "spar", "rib", "stringer", "doubler", "strip", "frame"]

#: No skin is wider than this [in]; a larger coordinate is a wrong unit or a slipped point.
FARTHEST_IN = 1e4

#: Corners nearer than this [in] are one corner; nothing is drawn or cut so finely.
SAME_POINT_IN = 1e-6

#: The end of a closed row is its beginning, but for rounding [in].
CLOSES_IN = 1e-6

#: More holes than this in one job is a slip of the pen, not a skin.
MAX_HOLES = 2_000_000

#: Two rows whose holes come this near mean one hole [in]: half a millimetre, well under any
#: rivet's radius and well over what a tape measure misses by. A job may say otherwise.
SAME_HOLE_IN = 0.02


@dataclass(frozen=True, slots=True)
class SheetState:
    """A sheet as it is or as it will be."""

    alloy: str
    thickness_in: float


@dataclass(frozen=True, slots=True)
class Flange:
    """A flange told by its width [in] instead of an outline.

    ``end_distance_in`` is the least distance of the outermost rivets to the flange's ends;
    ``heel_free`` tells a strip, free on both sides, from a flange that bends into its web.
    """

    width_in: float
    end_distance_in: float | None = None
    heel_free: bool = False


@dataclass(frozen=True, eq=False)
class Layer:
    """A sheet or a member.

    A sheet has ``old`` (none: it is added) and ``new`` (none: it is left off); equal ones say that
    one like it goes on. A member, a skin that stays on, or a sheet that goes back as it was has
    one and the same state as both. Where its edges are is told by ``boundary``, else
    by ``flange``, else by ``edge_distance_in``, else nobody measured them. ``no_oversize`` marks
    a layer in which the handbooks allow no larger hole. ``screw_holes`` are those of nutplates,
    ``open_holes`` those that rivets leave which come out for good.
    """

    name: str
    kind: LayerKind
    old: SheetState | None
    new: SheetState | None
    boundary: Boundary | None = None
    flange: Flange | None = None
    edge_distance_in: float | None = None
    no_oversize: bool = False
    screw_holes: tuple[Circle, ...] = ()
    open_holes: tuple[Circle, ...] = ()

    @property
    def rims(self) -> tuple[Circle, ...]:
        """The round holes that are known even where nobody drew the layer."""
        return (*self.screw_holes, *self.open_holes)

    @property
    def leg_width_in(self) -> float | None:
        """How wide the leg of a stringer is that the rivets go through [in]; None: not known."""
        return self.flange.width_in if self.kind == "stringer" and self.flange else None

    @property
    def changed(self) -> bool:
        """Whether the layer comes off or is added: no rivet can stay in it meanwhile."""
        return self.kind == "sheet" or self.old != self.new

    @property
    def same_metal(self) -> bool:
        """Whether the very metal that was there is there afterwards, with the holes in it."""
        return self.old is not None and self.new is self.old


@dataclass(frozen=True, slots=True)
class RowLayer:
    """One layer of a row's stack: how it is formed, and where the row stands on it [in].

    ``old_form`` is how it was formed for the flush rivet that comes out, None where that is as it
    will be.
    """

    layer: str
    form: Form = "plain"
    row_from_edge_in: float | None = None
    edge_distance_in: float | None = None
    old_form: Form | None = None

    def form_under(self, installed: Fastener | None) -> Form:
        """Return how the hole is formed before the work, with some rivet in it."""
        if installed is None or not installed.flush:
            return "plain"
        return self.form if self.old_form is None else self.old_form


#: Which stacks a flush rivet can sit in: dimples nest into dimples or into one countersink, and
#: a machine countersink is the last formed layer.
_FLUSH_STACK = re.compile(r"(d+(cp*)?|cp*)")


def seats_flush_head(stack: Sequence[RowLayer]) -> bool:
    """Whether a flush head can sit in the stack, layers in order from the head down."""
    return _FLUSH_STACK.fullmatch("".join(place.form[0] for place in stack)) is not None


@dataclass(frozen=True, eq=False)
class Row:
    """A row of rivets: its holes in order, ``(n, 2)`` [in], and the number of each.

    ``installed`` is None where nothing is installed yet: the holes are new. ``fit`` without a
    length has its length computed. ``kept`` rivets stay in. ``lug_in`` is the thickness of the
    nutplate's lugs, None where nobody told it. ``seam_told``: somebody told ``seam_rows``.
    ``on_line``: its holes were set along a line, a path or a circle, and not told one by one;
    ``ring``: round a circle.
    ``not_through`` names layers that are drawn there and that it passes all the same, ``replaces``
    removed rows whose load it takes over.
    """

    name: str
    points: Points
    numbers: NDArray[np.int32]
    layers: tuple[RowLayer, ...]
    installed: Fastener | None
    fit: Fastener
    kept: bool = False
    access: Access = "both"
    seam_rows: int = 1
    seam_told: bool = False
    sealant_in: float = 0.0
    lug_in: float | None = None
    nutplate: Nutplate | None = None
    plates: tuple[PlacedPlate, ...] = ()
    on_line: bool = False
    ring: bool = False
    left_over_in: float = 0.0
    not_through: tuple[str, ...] = ()
    replaces: tuple[str, ...] = ()

    @property
    def screws(self) -> tuple[Point, ...]:
        """Centres of the nutplates' screws [in]."""
        return tuple(plate.screw_in for plate in self.plates)

    def screw_name(self, number: int) -> str:
        """Return what a screw's hole is called; numbers from nought, as in :attr:`screws`."""
        return f"screw {self.name}-{number + 1}"

    @property
    def extra_grip_in(self) -> float:
        """What the rivet holds besides the layers [in]: sealant, and a nutplate's lug."""
        return self.sealant_in + (self.lug_in or 0.0)


@dataclass(frozen=True, slots=True)
class HingeLine:
    """The hinge axis of a control surface, by two points [in]."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Temperatures:
    """How warm the parts are when their holes are drilled, and when they come together [degF]."""

    drilled_degf: float
    least_degf: float
    greatest_degf: float

    @property
    def coldest_degf(self) -> float:
        """The lowest of all [degF]."""
        return min(self.drilled_degf, self.least_degf)

    @property
    def warmest_degf(self) -> float:
        """The highest of all [degF]."""
        return max(self.drilled_degf, self.greatest_degf)

    @property
    def greatest_change_degf(self) -> float:
        """The furthest the parts get from the temperature they were drilled at [degF]."""
        return max(
            abs(self.greatest_degf - self.drilled_degf), abs(self.drilled_degf - self.least_degf)
        )


@dataclass(frozen=True, eq=False)
class Job:
    """A whole job.

    ``assumed`` names what was guessed, not measured: as long as it is, nothing is proven.
    ``removed`` are the rows whose rivets come out for good; ``rows`` are all others.
    ``hole_accuracy_in`` is of the diameters of holes, None when nobody told it.
    """

    name: str
    units: Literal["in", "mm"]
    layers: dict[str, Layer]
    rows: tuple[Row, ...]
    accuracy_in: float = 0.0
    rule_set: str = DEFAULT_RULE_SET
    overrides: tuple[Override, ...] = ()
    spares: SparesPolicy = field(default_factory=SparesPolicy)
    hinge: HingeLine | None = None
    same_hole_in: float = SAME_HOLE_IN
    half_lengths: bool = True
    temperatures: Temperatures | None = None
    assumed: tuple[str, ...] = ()
    removed: tuple[Row, ...] = ()
    hole_accuracy_in: float | None = None
