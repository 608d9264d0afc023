"""Print a constraints file for pip: each requirement of pyproject.toml at its lower bound.

The bounds stand in pyproject.toml alone; this reads them there, so that what is tested is what is
declared. Give the extras whose requirements count beside the project's own.
"""

import re
import sys
import tomllib
from pathlib import Path

PYPROJECT = Path(__file__).parent.parent / "pyproject.toml"
#: A name, perhaps with extras, and its lower bound: "numpy>=1.26".
BOUNDED = re.compile(r"([\w.-]+)(?:\[[\w,.-]*\])?\s*>=\s*([\w.]+)")


def lowest(requirement: str) -> str:
    """Return a requirement held at its lower bound; one without a bound is refused."""
    found = BOUNDED.fullmatch(requirement)
    if found is None:
        sys.exit(f"{PYPROJECT.name}: '{requirement}' has no lower bound; write NAME>=VERSION")
    return f"{found[1]}=={found[2]}"


def main(extras: list[str]) -> None:
    """Print the constraints, one a line."""
    project = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))["project"]
    needed = list(project["dependencies"])
    for extra in extras:
        needed += project["optional-dependencies"][extra]
    print(*sorted({lowest(requirement) for requirement in needed}), sep="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
