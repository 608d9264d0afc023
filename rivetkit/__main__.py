"""Run the command line with ``python -m rivetkit``."""

from rivetkit.cli.app import run

if __name__ == "__main__":
    run()
