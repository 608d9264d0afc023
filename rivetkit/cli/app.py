"""The command line's front door: names the commands, turns every error into one line."""

from __future__ import annotations

import difflib
import importlib
import re
import sys
from typing import TYPE_CHECKING

import click

from rivetkit import __version__
from rivetkit.cli.streams import drop_stdout, one_line
from rivetkit.errors import RivetkitError

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Command name -> module of rivetkit.cli, the command in it, and what it does in one sentence. The
#: module is imported when the command is asked for, and not for a list of them all.
COMMANDS: dict[str, tuple[str, str, str]] = {
    "drills": ("drills_command", "drills", "Look a drill up by name or size, or show the chart."),
    "fastener": (
        "fastener_command",
        "fastener",
        "Read a part number out: head, material, size, hole, strength.",
    ),
    "drill-out": (
        "drill_out_command",
        "drill_out",
        "Show how to take a rivet out without opening its hole.",
    ),
    "grip": ("grip_command", "grip", "Find the rivet length for a stack of sheets."),
    "spacing": (
        "spacing_command",
        "spacing",
        "Check edge distance, pitch and row spacing of a rivet.",
    ),
    "layout": ("layout_command", "layout", "Lay out a row of rivets, or a seam of two or three."),
    "blank": (
        "blank_command",
        "blank",
        "Size the blank of a new skin, and find stock sheet for it.",
    ),
    "strength": (
        "strength_command",
        "strength",
        "Work out the ultimate strength of one rivet's joint.",
    ),
    "splice": ("splice_command", "splice", "Count the rivets a splice needs."),
    "nutplate": (
        "nutplate_command",
        "nutplate",
        "Read out a nutplate, or lay out a ring of them under a cover.",
    ),
    "expansion": (
        "expansion_command",
        "expansion",
        "Tell how far heat moves parts against each other.",
    ),
    "oversize": (
        "oversize_command",
        "oversize",
        "Find what may go into a hole that has grown or is no longer round.",
    ),
    "start": (
        "start_command",
        "start",
        "Write a first job file: a rectangular skin with rows of rivets along its edges.",
    ),
    "plan": ("plan_command", "plan", "Plan a job: what comes out, what goes in, what holds."),
    "worksheet": (
        "worksheet_command",
        "worksheet",
        "Write a sheet to print and fill in: every hole, where it is, its limits, empty boxes.",
    ),
    "new-hole": (
        "new_hole_command",
        "new_hole",
        "Check a new hole near old ones: edges of every layer, every neighbour.",
    ),
    "order": ("order_command", "order", "Put the rivets of several jobs on one order."),
    "map": ("map_command", "map_", "Draw every hole of a job, with what its checks came to."),
    "template": (
        "template_command",
        "template",
        "Write a full-size template of a job's holes: a PDF to print, tape together and lay on.",
    ),
    "import-holes": (
        "import_command",
        "import_holes",
        "Read holes and outlines from a drawing and write the beginning of a job file.",
    ),
    "export-dxf": (
        "export_command",
        "export_dxf",
        "Write the outlines and holes of a job as a DXF drawing, full size, in the job's unit.",
    ),
    "schema": (
        "schema_command",
        "schema",
        "Print the JSON Schema of a job file, for editors; or its keys, for people.",
    ),
    "sources": (
        "sources_command",
        "sources",
        "Show where the numbers come from and how far to trust them.",
    ),
}

EXIT_BAD_INPUT = 2
#: What a shell reports for a program stopped by Ctrl-C.
EXIT_INTERRUPTED = 130


#: How alike a mistyped option and the one it is taken for must be.
_ALIKE = 0.7

#: click's words for what it refuses, and words that need no programmer.
_PLAIN_WORDS = {
    "is not a valid integer( range)?$": "is no whole number",
    "is not a valid float( range)?$": "is no number",
    "is not in the range ([0-9]+)<=x<=([0-9]+)$": r"is not from \1 to \2",
    r"^Got unexpected extra (arguments? \(.*\))$": r"there is no place for the extra \1; "
    "put what has a blank in it in quotes",
    "requires an argument$": "needs something after it",
    "requires ([0-9]+) arguments$": r"needs \1 words after it",
}


class LazyGroup(click.Group):
    """A group whose commands are imported only when they are needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the command names in the order a job meets them."""
        return list(COMMANDS)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the list of commands without importing one of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, what) for name, (_, _, what) in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Return the command that was typed; of none of that name say which may be meant."""
        name = args[0]
        if name not in COMMANDS and not name.startswith("-") and not ctx.resilient_parsing:
            raise click.UsageError(f"there is no command '{name}'{_meant_command(name)}", ctx)
        return super().resolve_command(ctx, args)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Return a command, importing its module first."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute, _ = COMMANDS[cmd_name]
        command = getattr(importlib.import_module(f"rivetkit.cli.{module}"), attribute)
        assert isinstance(command, click.Command)  # noqa: S101 - a slip in COMMANDS, not in input
        return command


def _meant_command(name: str) -> str:
    near = difflib.get_close_matches(name.lower(), COMMANDS, n=1)
    return f"; did you mean 'rivetkit {near[0]}'?" if near else ""


@click.group(
    cls=LazyGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog=(
        "\b\n"
        "Exit code 0: done, nothing failed. 1: done, but a check failed or could not be made.\n"
        "2: the input cannot be used; standard error says why in one line."
    ),
)
@click.version_option(__version__, prog_name="rivetkit", message="%(prog)s %(version)s")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Take rivets out of light-aircraft sheet metal and put the right ones back.

    Every number comes with the rule and the document behind it.
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def run() -> None:
    """Run the command line and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A name typed in another encoding must not end in a traceback when it is echoed.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    sys.exit(exit_code_of(sys.argv[1:]))


def exit_code_of(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; complaints go to standard error as one line."""
    try:
        code = main.main(list(arguments), prog_name="rivetkit", standalone_mode=False)
        if sys.stdout is not None:  # a shell can start a program without one
            sys.stdout.flush()
    except RivetkitError as error:
        return _complain(str(error))
    except click.ClickException as error:
        return _complain(_usage_words(error))
    except (click.Abort, KeyboardInterrupt):
        return EXIT_INTERRUPTED
    except SystemExit:
        # click leaves this way when the reader of a pipe has gone; the work was done.
        drop_stdout()
        return 0
    except OSError as error:
        drop_stdout()
        what = f"cannot use '{error.filename}'" if error.filename else "cannot write the output"
        return _complain(f"{what}: {error.strerror or error}")
    return code if isinstance(code, int) else 0


def _complain(text: str) -> int:
    click.echo(f"error: {one_line(text)}", err=True)
    return EXIT_BAD_INPUT


def _usage_words(error: click.ClickException) -> str:
    """Return a usage error in one line, with the way to the help."""
    if isinstance(error, click.NoSuchOption):
        message = _no_option_words(error)
    else:
        message = error.format_message().strip().rstrip(".")
    for jargon, plain in _PLAIN_WORDS.items():
        message = re.sub(jargon, plain, message)
    context = error.ctx if isinstance(error, click.UsageError) else None
    if context is None or message.endswith("?"):
        return message  # what may be meant is mend enough
    return f"{message}; see '{context.command_path} --help'"


def _no_option_words(error: click.NoSuchOption) -> str:
    """Return what to say of an unknown option; one that begins like it is meant before any."""
    message = f"No such option '{error.option_name}'"
    known = [
        name
        for parameter in (error.ctx.command.params if error.ctx else ())
        for name in (*parameter.opts, *parameter.secondary_opts)
        if name.startswith("--")
    ]
    begins = [name for name in known if name.startswith(f"{error.option_name}-")]
    near = begins or difflib.get_close_matches(error.option_name, known, cutoff=_ALIKE)
    return f"{message}; did you mean {' or '.join(near)}?" if near else message
