"""The answer for a hole that has grown: candidates, their order, what is left when none fits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from rivetkit.calculators.countersink import SHEET, check_dimple_sheet
from rivetkit.checks import LIMIT_TOLERANCE, Check, Verdict, worst_verdict

if TYPE_CHECKING:
    from rivetkit.calculators.oversize.cleanup_hole import CleanUp, MeasuredHole
    from rivetkit.calculators.oversize.place import OversizeLayer
    from rivetkit.calculators.oversize.replacements import Kind
    from rivetkit.calculators.oversize.sizes import HoleLimits
    from rivetkit.fasteners.fastener import Fastener
    from rivetkit.rules import RuleBook

_FIT = (Verdict.PASS, Verdict.MARGINAL)
#: What a person with the rivet's own standard at hand would reach for.
_OWN_KIND = frozenset({"same", "larger", "substitute"})

#: Where a measured hole stands to the limits of its rivet; unknown where none are on file.
HoleFit = Literal["within", "under", "over", "unknown"]


@dataclass(frozen=True)
class Candidate:
    """One way to fill the hole, with everything it was judged by.

    Parameters
    ----------
    kind
        What it is to the rivet taken out.
    fastener
        The rivet, its length left open. An oversize-shank solid rivet is named by the nominal one
        it is made from.
    diameter_in
        Its shank [in].
    steps
        The handbook's steps up from the rivet taken out.
    limits
        The hole it wants; None when no table has it.
    clean_up
        How the hole is made; None when it cannot be.
    checks
        Every judgement.
    notes
        What to mind.
    """

    kind: Kind
    fastener: Fastener
    diameter_in: float
    steps: int
    limits: HoleLimits | None
    clean_up: CleanUp | None
    checks: tuple[Check, ...]
    notes: tuple[str, ...] = ()

    @cached_property
    def verdict(self) -> Verdict:
        """The gravest verdict: fail rejects it, not checked leaves it open."""
        return worst_verdict(check.verdict for check in self.checks)

    @property
    def fits(self) -> bool:
        """Whether every check was made and none failed."""
        return self.verdict in _FIT

    @property
    def objections(self) -> tuple[Check, ...]:
        """The checks that failed, or, when none did, those that could not be made."""
        failed = tuple(check for check in self.checks if check.verdict is Verdict.FAIL)
        open_ones = (check for check in self.checks if check.verdict is Verdict.NOT_CHECKED)
        return failed or tuple(open_ones)


@dataclass(frozen=True, slots=True)
class OversizeResult:
    """What may go into a measured hole.

    Parameters
    ----------
    fastener
        The rivet taken out.
    measured
        The hole.
    limits
        The hole of the rivet taken out; None when no table has it.
    smallest
        The smallest standard drill that takes the hole out; None past the end of the chart.
    candidates
        Those that fit, then those with a check still to be made, then the rejected ones, each the
        smallest shank first.
    advice
        What is left to do when nothing fits.
    """

    fastener: Fastener
    measured: MeasuredHole
    limits: HoleLimits | None
    smallest: CleanUp | None
    candidates: tuple[Candidate, ...]
    advice: tuple[str, ...]

    @property
    def best(self) -> Candidate | None:
        """The smallest replacement that passes every check, or None."""
        first = self.candidates[0] if self.candidates else None
        return first if first is not None and first.fits else None

    @property
    def leading(self) -> Candidate:
        """The one to look at first.

        The best, else the first open one, else the same rivet where its hole would do, else the
        next size up.
        """
        first = self.candidates[0]
        if first.verdict is not Verdict.FAIL:
            return first
        same = next((one for one in self.candidates if one.kind == "same"), None)
        if same is not None and same.clean_up is not None:
            return same
        larger = (candidate for candidate in self.candidates if candidate.kind == "larger")
        return next(larger, first)

    @property
    def nearest(self) -> Candidate:
        """The best; else the rivet of the old one's own standard that comes nearest to going in.

        That is one with a check still to be made; else the smallest whose hole takes the measured
        one out; else the largest that was looked at.
        """
        if self.best is not None:
            return self.best
        own = [candidate for candidate in self.candidates if candidate.kind in _OWN_KIND]
        largest = max(own, key=lambda candidate: candidate.diameter_in)
        made = (candidate for candidate in own if candidate.clean_up is not None)
        still_open = (one for one in own if one.verdict is Verdict.NOT_CHECKED)
        return next(still_open, next(made, largest))

    @property
    def fit(self) -> HoleFit:
        """Where the measured hole stands to the limits of the rivet taken out."""
        if self.limits is None:
            return "unknown"
        if self.measured.greatest_in > self.limits.most_in + LIMIT_TOLERANCE:
            return "over"
        under = self.measured.least_in < self.limits.least_in - LIMIT_TOLERANCE
        return "under" if under else "within"

    @property
    def over_in(self) -> float:
        """How far the hole is over the limit of the rivet that goes in, else taken out [in].

        A hole over it by no more than the measuring accuracy may be over or not.
        """
        limits = self.limits if self.best is None else self.best.limits
        over_in = 0.0 if limits is None else self.measured.greatest_in - limits.most_in
        return over_in if over_in > LIMIT_TOLERANCE else 0.0

    @property
    def reusable(self) -> bool:
        """Whether the hole takes the same rivet again."""
        return self.best is not None and self.best.kind == "same"


_MEASURE_FIRST = (
    "The hole does for the same rivet: measure or look up what could not be checked before it goes "
    "back."
)
_ORDER = {Verdict.PASS: 0, Verdict.MARGINAL: 0, Verdict.NOT_CHECKED: 1, Verdict.FAIL: 2}


def rank(candidate: Candidate) -> int:
    """Fitting, open, rejected; sorting keeps the order of size within each."""
    return _ORDER[candidate.verdict]


def advice_for(
    ranked: tuple[Candidate, ...], layers: tuple[OversizeLayer, ...], book: RuleBook
) -> tuple[str, ...]:
    """Return what is left to do when no candidate fits; nothing when one does."""
    if ranked and ranked[0].fits:
        return ()
    if ranked and _only_open(ranked[0]):
        return (_MEASURE_FIRST,)
    advice = []
    open_ones = any(candidate.verdict is Verdict.NOT_CHECKED for candidate in ranked)
    if open_ones:
        advice.append("Measure or look up what could not be checked; one of those may do.")
    advice += [
        f"{layer.name} is thin enough to be dimpled, where it cannot be countersunk for a larger "
        "head: ask again with it dimpled."
        for layer in layers
        if _may_be_dimpled(layer, ranked, book)
    ]
    refusing = [layer.name for layer in layers if layer.no_oversize]
    if refusing:
        advice.append(
            f"{', '.join(refusing)} takes no oversize hole: ask the aircraft maker's engineer."
        )
    else:
        none_fits = "No rivet of the sizes looked at goes in as it stands:"
        otherwise = "Otherwise" if open_ones else none_fits
        advice.append(
            f"{otherwise} a doubler that carries the load past the hole, to approved data, or the "
            "aircraft maker's engineer."
        )
    return tuple(advice)


def _only_open(first: Candidate) -> bool:
    """Return whether the hole does for the same rivet and nothing but a check is wanting."""
    does = first.kind == "same" and first.clean_up is not None
    return does and first.verdict is Verdict.NOT_CHECKED


def _may_be_dimpled(layer: OversizeLayer, ranked: tuple[Candidate, ...], book: RuleBook) -> bool:
    """Return whether a layer fails as a countersunk one and would pass as a dimpled one."""
    if layer.form != "countersunk" or layer.thickness_in is None:
        return False
    thin = any(
        check.name == SHEET and check.where == layer.name and check.verdict is Verdict.FAIL
        for candidate in ranked
        if candidate.clean_up is not None and candidate.kind != "same"
        for check in candidate.checks
    )
    return thin and check_dimple_sheet(layer.thickness_in, book=book).verdict in _FIT
