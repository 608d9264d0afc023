"""A long run of bent inputs: ``python tests/fuzz/campaign.py COUNT SEED``; prints what it finds.

What a run finds is mended, and kept as a test in tests/test_found_cases.py.
"""

import argparse
import collections
import random
import re
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

from mutants import Change, bent, bent_arguments  # noqa: E402
from oracle import run, trouble  # noqa: E402
from seeds import (  # noqa: E402
    CSV_JOB,
    DRAWING_CSV,
    DRAWING_DXF,
    EXAMPLE_JOBS,
    HOLES_CSV,
    JOB_COMMANDS,
    SMALL_JOBS,
    help_lines,
)

_FAR = 10**6


def main():
    """Run the campaign and return 1 when something was found."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", type=int, nargs="?", default=20_000)
    parser.add_argument("seed", type=int, nargs="?", default=1)
    parser.add_argument("--kind", choices=sorted(CASES), help="only these")
    given = parser.parse_args()
    _limit_memory()
    found = collections.Counter()
    with tempfile.TemporaryDirectory() as folder:
        cases = Cases(Path(folder))
        for number in range(given.count):
            dice = random.Random(f"{given.seed}:{number}")  # noqa: S311 - no secret
            kind = given.kind or dice.choice(sorted(CASES))
            arguments = CASES[kind](cases, dice)
            said = trouble(arguments)
            if said:
                key = _key(said)
                found[key] += 1
                if found[key] == 1:
                    _tell(f"{given.seed}:{number}", kind, arguments, said, cases)
    print(f"{given.count} cases, seed {given.seed}: {len(found)} kinds of trouble")
    for key, times in found.most_common():
        print(f"{times:6} {key}")
    return int(bool(found))


class Cases:
    """Bent inputs, written into a folder.

    Parameters
    ----------
    folder
        Where the files go.
    """

    def __init__(self, folder):
        self.folder = folder
        self.lines = help_lines()
        self.job = folder / "job.toml"
        self.csv = folder / "holes.csv"
        self.sheet = folder / "sheet.csv"
        self.blank = []

    def bend_job(self, dice):
        """A bent job file under some command."""
        jobs = SMALL_JOBS if dice.random() < 0.9 else EXAMPLE_JOBS
        self.job.write_bytes(bent(dice.choice(jobs), changes(dice)).encode("utf-8", "replace"))
        self.csv.write_text(HOLES_CSV, "utf-8")
        return self.command(dice.choice(JOB_COMMANDS))

    def bend_line(self, dice):
        """A bent command line."""
        line = dice.choice(self.lines)
        return self.safe(bent_arguments(line, changes(dice)))

    def bend_holes(self, dice):
        """A bent CSV file of holes beside a sound job."""
        self.job.write_text(CSV_JOB, "utf-8")
        self.csv.write_bytes(bent(HOLES_CSV, changes(dice)).encode("utf-8", "replace"))
        return self.command(dice.choice(JOB_COMMANDS))

    def bend_sheet(self, dice):
        """A bent worksheet, filled in before."""
        self.job.write_text(SMALL_JOBS[0], "utf-8")
        boxes = [dice.choice(["", "0.1,0.102", "0.098,0.13,edge,toward,dent"]) for _ in range(13)]
        self.sheet.write_bytes(bent(self.filled(boxes), changes(dice)).encode("utf-8", "replace"))
        command = dice.choice(["plan", "worksheet"])
        return [command, str(self.job), "--measured", str(self.sheet), "--json"]

    def filled(self, boxes):
        """Return the worksheet of the first small job with some boxes filled, line by line."""
        if not self.blank:
            self.blank = run(["worksheet", str(self.job)]).out.splitlines()
        head, *lines = self.blank
        pairs = zip(lines, boxes, strict=True)
        return "\n".join([head, *(f"{line.removesuffix(',,,,,')},{box}" for line, box in pairs)])

    def bend_drawing(self, dice):
        """A bent drawing, or list of holes, to import."""
        seed, ending = dice.choice([(DRAWING_CSV, "csv"), (DRAWING_DXF, "dxf")])
        file = self.folder / f"drawing.{ending}"
        file.write_bytes(bent(seed, changes(dice)).encode("utf-8", "replace"))
        return ["import-holes", str(file), *dice.choice([[], ["--json"], ["--format", "csv"]])]

    def command(self, words):
        """Return a command with the names of files in it."""
        out = str(self.folder / "out.pdf")
        return [{"JOB": str(self.job), "OUT.pdf": out}.get(word, word) for word in words]

    def safe(self, arguments):
        """Return a command line that writes no file outside the folder."""
        kept = []
        for number, argument in enumerate(arguments):
            before = arguments[number - 1] if number else ""
            names = before in {"-o", "--output"} and argument != "-"
            if argument.startswith("-o") and len(argument) > len("-o"):
                continue
            kept.append(str(self.folder / "out.txt") if names else argument)
        return [word for word in kept if not re.match(r"--out?p?u?t?=", word)]


CASES = {
    "job": Cases.bend_job,
    "line": Cases.bend_line,
    "holes": Cases.bend_holes,
    "sheet": Cases.bend_sheet,
    "drawing": Cases.bend_drawing,
}


def changes(dice):
    """Return some changes, mostly one or two."""
    count = dice.choice([1, 1, 1, 2, 2, 3, 5])
    return [Change(*(dice.randrange(_FAR) for _ in range(3))) for _ in range(count)]


def _key(said):
    """Return what a finding is told apart by: the last lines of a traceback, without numbers."""
    lines = [line.strip() for line in said.strip().splitlines()]
    places = [line for line in lines if line.startswith("File ") and "rivetkit" in line]
    last = re.sub(r"'[^']*'|\d+", "~", lines[-1])[:120]
    return f"{places[-1].split('rivetkit/')[-1] if places else ''} {last}"


def _tell(name, kind, arguments, said, cases):
    shown = [argument[:200] for argument in arguments]
    print(f"--- {name} {kind} {shown}")
    print(said[-1500:])
    for file in (cases.job, cases.csv, cases.sheet):
        if str(file) in arguments and file.exists():
            keep = Path(tempfile.gettempdir()) / f"fuzz-{name.replace(':', '-')}-{file.name}"
            keep.write_bytes(file.read_bytes())
            print(f"kept {keep}")
    sys.stdout.flush()


def _limit_memory():
    """Let a case that eats memory fail here, not the machine."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (4 * 2**30, 4 * 2**30))


if __name__ == "__main__":
    sys.exit(main())
