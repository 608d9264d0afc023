"""Options that every command shares, read once into one record."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, Any, Literal, get_args

import click

from rivetkit.cli.param_types import FILE, RULE_SET
from rivetkit.errors import InputError, RivetkitError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.rules import RuleBook


Format = Literal["text", "json", "csv", "html", "svg"]

#: What every command can write; a drawing is for the commands that have one.
REPORT_FORMATS: tuple[Format, ...] = ("text", "json", "csv", "html")
#: Endings of file names that promise a format.
_ENDINGS: dict[str, Format] = {f".{name}": name for name in get_args(Format) if name != "text"}


@dataclass(slots=True)
class Shared:
    """The shared options as the person gave them.

    ``told_units`` is the unit of --units, or None where it is left to the job, until
    :meth:`follow_jobs` has set it.
    """

    format: Format
    explain: bool
    told_units: LengthUnit | None
    output: str | None
    rule_set: str | None = None
    overrides: tuple[tuple[str, str, str], ...] = ()

    @property
    def units(self) -> LengthUnit:
        """The unit of bare numbers on the command line and of lengths shown."""
        if self.told_units is None:
            raise AssertionError("a job command wants its unit before it has read its job")
        return self.told_units

    def follow_jobs(self, units: Iterable[LengthUnit]) -> None:
        """Take the unit the jobs have in common, inches for want of one, where none was asked."""
        common = set(units)
        if self.told_units is None:
            self.told_units = common.pop() if len(common) == 1 else "in"

    def rule_book(self) -> RuleBook:
        """Return the rule book asked for.

        Raises
        ------
        InputError
            When the rule set or an override cannot be used.
        """
        from rivetkit.cli.overrides import parse_override
        from rivetkit.rules import DEFAULT_RULE_SET, RuleBook

        overrides = [parse_override(*texts) for texts in self.overrides]
        try:
            return RuleBook.named(self.rule_set or DEFAULT_RULE_SET, overrides)
        except InputError as error:
            option = "--override" if "override" in error.what else "--rule-set"
            raise error.at(option) from None

    def length_in(self, text: str, what: str, *, allow_zero: bool = False) -> float:
        """Return a length as typed [in]; a bare decimal is in ``units``.

        Raises
        ------
        InputError
            When the text is no length.
        """
        from rivetkit.quantities import parse_length_in

        return parse_length_in(text, default_unit=self.units, what=what, allow_zero=allow_zero)

    def thickness_in(self, text: str, what: str) -> float:
        """Return the thickness of a layer as typed [in].

        Raises
        ------
        InputError
            When the text is no length, or none of a layer.
        """
        from rivetkit.calculators.limits import require_thickness

        thickness_in = self.length_in(text, what)
        try:
            return require_thickness(thickness_in)
        except InputError as error:
            raise error.at(what) from None

    def accuracy_in(self, text: str | None, what: str) -> float:
        """Return how far off measured distances may be as typed [in]; nought when not given.

        Raises
        ------
        InputError
            When the text is no length, or nobody measures so coarsely.
        """
        from rivetkit.calculators.limits import require_accuracy

        accuracy_in = self.optional_length_in(text, what, allow_zero=True) or 0.0
        try:
            return require_accuracy(accuracy_in)
        except InputError as error:
            raise error.at(what) from None

    def hole_accuracy_in(self, text: str | None, what: str) -> float | None:
        """Return how far off diameters of holes may be as typed [in]; None when not given.

        Raises
        ------
        InputError
            When the text is no length, or nobody measures a hole so coarsely.
        """
        from rivetkit.calculators.oversize.measured_size import require_hole_accuracy

        told_in = self.optional_length_in(text, what, allow_zero=True)
        try:
            return None if told_in is None else require_hole_accuracy(told_in)
        except InputError as error:
            raise error.at(what) from None

    def optional_length_in(
        self, text: str | None, what: str, *, allow_zero: bool = False
    ) -> float | None:
        """Return a length as typed [in], or None when the option was not given."""
        return None if text is None else self.length_in(text, what, allow_zero=allow_zero)

    def in_told_unit(self, error: RivetkitError) -> RivetkitError:
        """Return an error worded in :attr:`told_units`; where nobody told them, as it is.

        Until a job is read its unit is not known here, but its reader knows it.
        """
        from rivetkit.quantities import error_in_unit

        return error if self.told_units is None else error_in_unit(error, self.told_units)

    def described(self) -> dict[str, object]:
        """Return the options that shape the answer, for the report's inputs."""
        told: dict[str, object] = {"units": self.units}
        if self.rule_set is not None:
            told["rule_set"] = self.rule_set
        if self.overrides:
            told["overrides"] = [
                {"rule": question, "value": value, "source": source}
                for question, value, source in self.overrides
            ]
        return told


_UNITS = (
    click.option(
        "--units",
        type=click.Choice(["in", "mm"]),
        default="in",
        show_default=True,
        help="Unit of bare numbers you type, and of lengths shown. Fractions are always inches.",
    ),
)
_JOB_UNITS = (
    click.option(
        "--units",
        type=click.Choice(["in", "mm"]),
        help="Unit of bare numbers you type, and of lengths shown; as the job file says when not "
        "given. Fractions are always inches.",
    ),
)
_OUTPUT = (
    click.option("--json", "as_json", is_flag=True, help="Short for --format json."),
    click.option(
        "--explain", is_flag=True, help="Show formula, numbers and source of every check."
    ),
    click.option(
        "--output",
        "-o",
        metavar="FILE",
        type=FILE,
        help="Write to FILE instead of the screen; - is the screen.",
    ),
)
_RULE_SET = (
    click.option(
        "--rule-set",
        metavar="NAME",
        type=RULE_SET,
        help="Whose limits to use; 'usual' when not given. See 'rivetkit sources rule-sets'.",
    ),
)
_OVERRIDE = (
    click.option(
        "--override",
        "overrides",
        nargs=3,
        multiple=True,
        metavar="RULE VALUE SOURCE",
        help="Replace a limit by the aircraft maker's own, e.g. "
        "--override edge_distance_min_flush 2.0D 'drawing 12'; 'rivetkit sources rules' names "
        "them. Repeatable.",
    ),
)
_JOB_OPTIONS = (*_RULE_SET, *_OVERRIDE, *_JOB_UNITS)


@dataclass(frozen=True, slots=True)
class Bench:
    """Filled worksheets, and how many larger sizes to look at; None as the library has it."""

    files: tuple[str, ...] = ()
    sizes_up: int | None = None

    def described(self) -> dict[str, object]:
        """Return what was given, for the report's inputs."""
        told = {} if self.sizes_up is None else {"sizes_up": self.sizes_up}
        return {"measured": list(self.files), **told}


def bench_options(function: Callable[..., int]) -> Callable[..., int]:
    """Give a command the options of holes measured at the bench, packed into ``bench``."""

    @functools.wraps(function)
    def packed(**given: Any) -> int:
        bench = Bench(given.pop("measured"), given.pop("sizes_up"))
        if bench.sizes_up is not None and not bench.files:
            raise InputError(
                "is given, and no hole is measured",
                where="--sizes-up",
                mend="add --measured FILE, or leave it out",
            )
        return function(bench=bench, **given)

    packed = click.option(
        "--sizes-up",
        type=click.IntRange(1, 9),
        metavar="N",
        help="How many larger sizes to look at for a measured hole; 2 when not given.",
    )(packed)
    return click.option(
        "--measured",
        multiple=True,
        metavar="FILE",
        type=FILE,
        help="A filled worksheet: holes as they are now. Repeatable.",
    )(packed)


def output_options(function: Callable[..., int]) -> Callable[..., int]:
    """Give a command the options every command has, packed into ``shared``."""
    return _with_options(function, _UNITS, REPORT_FORMATS)


def rule_set_options(function: Callable[..., int]) -> Callable[..., int]:
    """Give a command the shared options and the rule set, for one that looks no limit up."""
    return _with_options(function, (*_RULE_SET, *_UNITS), REPORT_FORMATS)


def rule_options(function: Callable[..., int]) -> Callable[..., int]:
    """Give a command the shared options and those that choose the limits, in ``shared``."""
    return _with_options(function, (*_RULE_SET, *_OVERRIDE, *_UNITS), REPORT_FORMATS)


def job_options(function: Callable[..., int]) -> Callable[..., int]:
    """Give a command that reads jobs the options of :func:`rule_options`; its unit is the job's."""
    return _with_options(function, _JOB_OPTIONS, REPORT_FORMATS)


def drawing_options(function: Callable[..., int]) -> Callable[..., int]:
    """Give a command the options of :func:`job_options`, and a drawing as its usual format."""
    formats: tuple[Format, ...] = ("svg", *REPORT_FORMATS)
    return _with_options(function, _JOB_OPTIONS, formats)


def sheet_options(function: Callable[..., int]) -> Callable[..., int]:
    """Give a command the options of :func:`job_options`, and a CSV sheet as its usual format."""
    formats: tuple[Format, ...] = ("csv", "text", "json", "html")
    return _with_options(function, _JOB_OPTIONS, formats)


def _with_options(
    function: Callable[..., int],
    options: tuple[Callable[[Any], Any], ...],
    formats: tuple[Format, ...],
) -> Callable[..., int]:
    @functools.wraps(function)
    def packed(**given: Any) -> int:
        output = given.pop("output")
        output = None if output == "-" else output
        chosen = _chosen_format(given.pop("format_"), formats[0], as_json=given.pop("as_json"))
        _require_fitting_name(output, chosen)
        shared = Shared(
            format=chosen,
            explain=given.pop("explain"),
            told_units=given.pop("units"),
            output=output,
            rule_set=given.pop("rule_set", None),
            overrides=given.pop("overrides", ()),
        )
        try:
            return function(shared=shared, **given)
        except RivetkitError as error:
            raise shared.in_told_unit(error) from None

    for option in reversed((*options, _format_option(formats), *_OUTPUT)):
        packed = option(packed)
    return packed


def _format_option(formats: tuple[Format, ...]) -> Callable[[Any], Any]:
    return click.option(
        "--format",
        "format_",
        type=click.Choice(formats),
        help=f"How to write the answer; {formats[0]} when not given. html is one page to print, "
        "csv is for a spreadsheet.",
    )


def _chosen_format(given: Format | None, usual: Format, *, as_json: bool) -> Format:
    if as_json and given not in (None, "json"):
        raise InputError(
            f"--json and --format {given} exclude each other",
            where="--format",
            mend="give one of them",
        )
    return "json" if as_json else given or usual


def _require_fitting_name(output: str | None, chosen: Format) -> None:
    """Refuse a file whose name promises another format: nothing could open it."""
    promised = _ENDINGS.get(PurePath(output).suffix.lower()) if output else None
    if promised not in (None, chosen):
        raise InputError(
            f"a name in .{promised} for a file in {chosen}",
            where=f"--output {output}",
            mend=f"add --format {promised}, or name the file otherwise",
        )
