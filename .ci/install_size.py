"""Print what the environment of this Python holds beside pip, a distribution a line [MB]."""

from importlib.metadata import Distribution, distributions
from pathlib import Path

#: They make the environment and are no part of what was asked for.
MAKERS = {"pip", "setuptools"}


def size_mb(distribution: Distribution) -> float:
    """Return what the installed files of a distribution take on the disk [MB]."""
    paths = [Path(str(distribution.locate_file(file))) for file in distribution.files or ()]
    return sum(path.stat().st_size for path in paths if path.is_file()) / 1e6


def main() -> None:
    """Print the sizes, largest first, and their sum."""
    sizes = {found.name: size_mb(found) for found in distributions() if found.name not in MAKERS}
    for name, size in sorted(sizes.items(), key=lambda item: -item[1]):
        print(f"{size:8.1f} MB  {name}")
    print(f"{sum(sizes.values()):8.1f} MB  in all")


if __name__ == "__main__":
    main()
