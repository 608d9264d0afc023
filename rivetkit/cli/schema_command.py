"""``rivetkit schema``: the job file's description for editors."""

from __future__ import annotations

from pathlib import Path

import click

from rivetkit.cli.output import write_file
from rivetkit.cli.param_types import FILE
from rivetkit.cli.streams import print_text

_EXAMPLES = """\b
Examples:
  $ rivetkit schema
  $ rivetkit schema -o -                       (the same; give a file's name to keep it)
"""


@click.command("schema", epilog=_EXAMPLES)
@click.option(
    "--output",
    "-o",
    type=FILE,
    metavar="FILE",
    help="Write to FILE instead of the screen; - is the screen.",
)
def schema(*, output: str | None) -> int:
    """Print the JSON Schema of a job file, for editors.

    An editor that knows it offers the keys, tells what they mean and marks slips as you type.
    Many look for it in the job file's first line: #:schema ./job_schema.json
    """
    import json

    from rivetkit.job.schema import job_schema

    text = json.dumps(job_schema(), indent=2)
    if output in {None, "-"}:
        print_text(text)
    else:
        write_file(Path(str(output)), f"{text}\n".encode())
    return 0
