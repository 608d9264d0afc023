"""Judge the branches alone: `coverage json -q -o - | python .ci/branches.py`.

coverage's own figure counts lines and branches together. Its limit, fail_under in pyproject.toml,
is asked of the branches by themselves here.
"""

import json
import sys
import tomllib
from pathlib import Path

PYPROJECT = Path(__file__).parent.parent / "pyproject.toml"


def main() -> None:
    """Print how many branches were taken; exit with 1 when they are too few."""
    least = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))["tool"]["coverage"]["report"]
    totals = json.load(sys.stdin)["totals"]
    taken, count = totals["covered_branches"], totals["num_branches"]
    percent = 100.0 * taken / count
    print(f"Branches taken: {taken} of {count}, {percent:.1f} percent")
    if percent < least["fail_under"]:
        sys.exit(f"That is less than fail_under = {least['fail_under']} in {PYPROJECT.name}")


if __name__ == "__main__":
    main()
