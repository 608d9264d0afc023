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
  $ rivetkit schema --keys
"""


@click.command("schema", epilog=_EXAMPLES)
@click.option("--keys", is_flag=True, help="List the keys for reading instead.")
@click.option(
    "--output",
    "-o",
    type=FILE,
    metavar="FILE",
    help="Write to FILE instead of the screen; - is the screen.",
)
def schema(*, keys: bool, output: str | None) -> int:
    """Print the JSON Schema of a job file, for editors; or its keys, for people.

    An editor that knows it offers the keys, tells what they mean and marks slips as you type.
    Many look for it in the job file's first line: #:schema ./job_schema.json
    """
    text = _keys() if keys else _schema()
    if output in {None, "-"}:
        print_text(text)
    else:
        write_file(Path(str(output)), f"{text}\n".encode())
    return 0


def _keys() -> str:
    from rivetkit.reports.formats.text_report import render_text
    from rivetkit.reports.plans.job_keys_report import job_keys_report

    return render_text(job_keys_report(), explain=False)


def _schema() -> str:
    import json

    from rivetkit.job.keys.schema import job_schema

    return json.dumps(job_schema(), indent=2)
