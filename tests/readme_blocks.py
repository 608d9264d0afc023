"""The README's shown output: run again and put in place with ``python tests/readme_blocks.py``.

A block marked ``<!-- output -->`` shows all a command prints, ``<!-- output: N -->`` its first N
lines. ``<!-- commands -->`` is followed by the list of all commands.
"""

import re
import shlex
import subprocess
import sys
from pathlib import Path

CHECKOUT = Path(__file__).parent.parent
README = CHECKOUT / "README.md"

BLOCK = re.compile(
    r"(<!-- output(?:: (\d+))? -->\n```console\n\$ (rivetkit [^\n]*)\n)(.*?)(```\n)", re.DOTALL
)
COMMANDS = re.compile(r"(<!-- commands -->\n)(.*?)(\nEvery command takes)", re.DOTALL)


def shown(command, lines):
    """Return what a command prints, cut after so many lines."""
    words = shlex.split(command)[1:]
    done = subprocess.run(
        [sys.executable, "-m", "rivetkit", *words],
        capture_output=True,
        text=True,
        cwd=CHECKOUT,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    printed = done.stdout.splitlines()
    if lines and len(printed) > int(lines):
        printed = [*printed[: int(lines)], "..."]
    return "\n".join(line.rstrip() for line in printed) + "\n"


def command_list():
    """Return every command with the first line of its help, as a table."""
    from rivetkit.cli import app

    rows = [f"| `rivetkit {name}` | {what} |" for name, (_, _, what) in app.COMMANDS.items()]
    return "\n".join(["", "| command | what it does |", "|---|---|", *rows, ""])


def refreshed(text):
    """Return the README's text with every block as it prints now."""
    text = BLOCK.sub(
        lambda found: found[1] + shown(found[3], found[2]) + found[5],
        text,
    )
    return COMMANDS.sub(lambda found: found[1] + command_list() + found[3], text)


if __name__ == "__main__":
    README.write_text(refreshed(README.read_text(encoding="utf-8")), encoding="utf-8")
