"""What length comes out of each stack, and what length goes back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rivetkit.calculators.lengths.grip import Layer as GripLayer
from rivetkit.calculators.lengths.grip import assess_length, choose_length, grip_of
from rivetkit.checks import Check, not_checked
from rivetkit.errors import RivetkitError
from rivetkit.fasteners.catalogue import stock_grips
from rivetkit.fasteners.fastener import Fastener, without_length
from rivetkit.fasteners.part_number import same_part

if TYPE_CHECKING:
    from collections.abc import Callable

    from rivetkit.planning.context import Context, HoleGroup


NO_LUG = "the lugs' thickness was not given (lug): the length is that of the sheets alone"


@dataclass(frozen=True, eq=False)
class FittedGroup:
    """A group of holes with the rivet it holds and the rivet it will hold, lengths settled.

    ``old_part`` is None where nothing is installed yet; ``old_computed`` tells that nobody gave
    its length and it was computed from the old stack. Of an empty group ``new_part`` is what was
    to go in. ``gone`` ones come out for good, and ``new_part`` is what came out.
    """

    group: HoleGroup
    old_grip_in: float
    new_grip_in: float
    old_part: Fastener | None
    old_computed: bool
    new_part: Fastener
    checks: tuple[Check, ...]
    gone: bool = False

    @property
    def kept(self) -> bool:
        """Whether the rivets stay in."""
        return self.group.row.kept

    @property
    def fills(self) -> bool:
        """Whether new rivets go in."""
        return not (self.group.row.kept or self.group.empty or self.gone)

    @property
    def length_changes(self) -> bool:
        """Whether another part or length goes back than came out."""
        if not self.fills or self.old_part is None or not self.old_part.length_code:
            return False
        return not same_part(self.old_part, self.new_part)


def fit_groups(context: Context) -> tuple[FittedGroup, ...]:
    """Return every group of holes with its rivets' lengths.

    Raises
    ------
    InputError, OutOfTableError
        When no stock length covers a stack; the row is named.
    """
    chosen: dict[object, tuple[Fastener, tuple[Check, ...]]] = {}
    return tuple(_fit(context, group, chosen) for group in context.groups)


def taken_out_groups(removed: Context | None) -> tuple[FittedGroup, ...]:
    """Return the groups of holes whose rivets come out for good; what goes back is what came."""
    if removed is None:
        return ()
    chosen: _Chosen = {}
    return tuple(_taken_out(removed, group, chosen) for group in removed.groups)


def _taken_out(context: Context, group: HoleGroup, chosen: _Chosen) -> FittedGroup:
    layers = context.old_layers(group.stack, group.installed)
    part, computed = _old_part(context, group, layers, chosen)
    grip_in = grip_of(layers, group.row.extra_grip_in) if layers else 0.0
    new_part = group.fit if part is None else part
    return FittedGroup(group, grip_in, 0.0, part, computed, new_part, (), gone=True)


_Chosen = dict[object, tuple[Fastener, tuple[Check, ...]]]


def _fit(context: Context, group: HoleGroup, chosen: _Chosen) -> FittedGroup:
    old_layers = context.old_layers(group.stack, group.installed)
    new_layers = context.new_layers(group.stack)
    extra_in = group.row.extra_grip_in
    old_part, old_computed = _old_part(context, group, old_layers, chosen)
    new_part: Fastener
    checks: tuple[Check, ...] = ()
    if group.row.kept and old_part is not None:
        new_part = old_part
    elif group.empty:
        new_part = without_length(group.fit)
    else:
        new_part, checks = _at_row(
            group, lambda: _length(context, group.fit, new_layers, extra_in, chosen)
        )
        if old_part is not None and _goes_back(new_part, old_part, old_layers, new_layers):
            new_part = old_part
        if group.row.nutplate is not None and group.row.lug_in is None:
            checks = (not_checked("rivet length", NO_LUG),)
    return FittedGroup(
        group=group,
        old_grip_in=grip_of(old_layers, extra_in) if old_layers else 0.0,
        new_grip_in=grip_of(new_layers, extra_in),
        old_part=old_part,
        old_computed=old_computed,
        new_part=new_part,
        checks=checks,
    )


def _goes_back(
    new_part: Fastener,
    old_part: Fastener,
    old_layers: tuple[GripLayer, ...],
    new_layers: tuple[GripLayer, ...],
) -> bool:
    """Return whether a rivet no length can be chosen for goes back into the stack it was in."""
    if new_part.length_code or _shape(old_layers) != _shape(new_layers):
        return False
    return same_part(without_length(old_part), new_part)


def _old_part(
    context: Context, group: HoleGroup, layers: tuple[GripLayer, ...], chosen: _Chosen
) -> tuple[Fastener | None, bool]:
    if group.installed is None or group.installed.length_code or not layers:
        return group.installed, False
    try:
        part, _ = _length(context, group.installed, layers, group.row.extra_grip_in, chosen)
    except RivetkitError:  # an old joint may be anything; only its name is lost
        return group.installed, False
    return part, bool(part.length_code)


def _length(
    context: Context,
    fastener: Fastener,
    layers: tuple[GripLayer, ...],
    extra_in: float,
    chosen: _Chosen,
) -> tuple[Fastener, tuple[Check, ...]]:
    """Return the rivet with a length, and the checks of it; the same stack is asked only once."""
    key = (fastener, _shape(layers), extra_in)
    if key not in chosen:
        if fastener.blind and not stock_grips(fastener):
            chosen[key] = (fastener, (_no_grips(fastener),))
        elif fastener.length_code:
            checks = assess_length(fastener, layers, context.book, sealant_in=extra_in)
            chosen[key] = (fastener, checks)
        else:
            result = choose_length(
                fastener,
                layers,
                context.book,
                sealant_in=extra_in,
                half_lengths=context.job.half_lengths,
            )
            chosen[key] = (result.fastener, result.checks)
    return chosen[key]


def _shape(layers: tuple[GripLayer, ...]) -> tuple[tuple[float, str], ...]:
    return tuple((layer.thickness_in, layer.form) for layer in layers)


def _no_grips(fastener: Fastener) -> Check:
    name = without_length(fastener).designation
    return not_checked(
        "rivet length", f"no grip range of {name} is on file: its maker's table has the length"
    )


def _at_row(
    group: HoleGroup, work: Callable[[], tuple[Fastener, tuple[Check, ...]]]
) -> tuple[Fastener, tuple[Check, ...]]:
    try:
        return work()
    except RivetkitError as error:
        raise error.at(f"row '{group.row.name}'") from None
