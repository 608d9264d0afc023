"""Mutation testing: break the package in small ways and see whether a test notices.

    python tests/mutation/mutate.py rivetkit/calculators/pitch.py
    python tests/mutation/mutate.py --share 0.4 --out told.jsonl rivetkit/planning/*.py
    python tests/mutation/mutate.py --again told.jsonl      # only those that survived

Works on a copy of the checkout. One run of the tests tells which test calls which function; every
change is then tried against the tests that call the function it is in, the most pointed first.
Needs fork, so Linux or macOS.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import traceback
from collections import Counter
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import hypothesis
import numpy as np  # noqa: F401 - what is imported here need not be imported for each change
import pytest
import scipy.spatial  # noqa: F401
import shapely  # noqa: F401
from changes import Change, changes_of
from survey import Survey

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

CHECKOUT = Path(__file__).resolve().parents[2]
LEFT_OUT = (".git", ".venv", "dist", "build", "__pycache__", ".*_cache", ".hypothesis")
#: Slow, or about the project and not about what it computes.
IGNORED = ("test_benchmarks.py", "test_browser.py", "test_packaging.py", "fuzz")
#: So many tests first, for most changes need no more.
FIRST_TESTS = 30
TIME_LIMIT_SECONDS = 300
#: Of a processor: to start, and for every second that the tests take when nothing is changed. A
#: change that never ends is then found out soon, and a busy machine kills none.
START_CPU_SECONDS, CPU_SECONDS_EACH = 10, 5
#: The same inputs each time, and no search for the simplest one that fails.
PROFILE = "mutation"
#: Parts of pytest that take longer than most tests and say nothing of a change.
SLOW_PARTS = ("cacheprovider", "unraisableexception", "threadexception")
#: hypothesis is imported before pytest could have a hand in it.
NO_REWRITE = "ignore::pytest.PytestAssertRewriteWarning"


def main() -> None:
    options = _options()
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve() / "checkout"
        shutil.copytree(CHECKOUT, root, ignore=shutil.ignore_patterns(*LEFT_OUT))
        os.chdir(root)
        os.environ["PYTHONPATH"] = str(root)
        sys.path.insert(0, str(root))
        _read_ahead(root)
        survey = options.survey or Path(folder).resolve() / "survey.json"
        if not survey.exists():
            _in_child(lambda: _pytest(_all_tests(), Survey(root, survey)), 3600, quiet=False)
        told = run(json.loads(survey.read_text(encoding="utf-8")), options)
    _print_summary(told)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("modules", nargs="*", help="modules to change, from the checkout's top")
    parser.add_argument("--share", type=float, default=1.0, help="share of the changes to try")
    parser.add_argument("--seed", type=int, default=1, help="of the sample and the order")
    parser.add_argument(
        "--seconds", type=float, default=10.0, help="how long the tests for one change may take"
    )
    parser.add_argument("--out", type=_absolute, help="add results to this file; go on where it is")
    parser.add_argument("--again", type=_absolute, help="try what survived in such a file")
    parser.add_argument("--survey", type=_absolute, help="keep here which test calls what")
    return parser.parse_args()


def _absolute(text: str) -> Path:
    return Path(text).resolve()


def run(tests: dict[str, dict], options: argparse.Namespace) -> dict[str, str]:
    """Try every change asked for, and return what came of each."""
    changes = list(_chosen(options))
    # A run that is cut short has then looked evenly.
    random.Random(options.seed).shuffle(changes)  # noqa: S311 - an order, no secret
    told = _read(options.out) if options.out and options.out.exists() else {}
    sound: set[str] = set()
    for number, change in enumerate(changes):
        name = _name(change)
        if name in told:
            continue
        if change.path not in sound:
            sound.add(change.path)
            _check_sound(change, tests)
        told[name] = _tried(change, _tests_for(change, tests, options.seconds), tests)
        if options.out:
            with options.out.open("a", encoding="utf-8") as out:
                out.write(json.dumps([name, told[name]]) + "\n")
        if told[name] != "killed":
            print(f"{number}/{len(changes)} {told[name]}: {name}", flush=True)
    return told


def _read(path: Path) -> dict[str, str]:
    return dict(json.loads(line) for line in path.read_text(encoding="utf-8").splitlines())


def _chosen(options: argparse.Namespace) -> Iterator[Change]:
    if options.again:
        told = _read(options.again)
        wanted = {name for name, came in told.items() if came != "killed"}
        for module in sorted({name.split(":")[0] for name in wanted}):
            found = changes_of(module, Path(module).read_bytes())
            yield from (change for change in found if _name(change) in wanted)
    for module in options.modules:
        found = changes_of(module, Path(module).read_bytes())
        chance = random.Random(f"{options.seed} {module}")  # noqa: S311 - a sample, no secret
        yield from chance.sample(found, round(len(found) * options.share))


def _name(change: Change) -> str:
    return change.shown(Path(change.path).read_bytes())


def _all_tests() -> list[str]:
    return ["tests", *(f"--ignore=tests/{name}" for name in IGNORED)]


def _check_sound(change: Change, tests: dict[str, dict]) -> None:
    """Try a change that changes nothing: were it killed, no other would mean anything."""
    before = Path(change.path).read_bytes()[change.start : change.end].decode()
    names = _tests_for(change, tests, 3.0)[:FIRST_TESTS]
    if _tried(dataclasses.replace(change, after=before), names, tests) == "killed":
        print(f"# tests of {change.path} fail with nothing changed")


def _tried(change: Change, names: list[str], tests: dict[str, dict]) -> str:
    if not names:
        return "no test"
    path = Path(change.path)
    sound = path.read_bytes()
    try:
        _write(path, change.applied(sound))
        for some in (names[:FIRST_TESTS], names[FIRST_TESTS:]):
            usual = sum(tests[name]["seconds"] for name in some)
            cpu_seconds = int(START_CPU_SECONDS + CPU_SECONDS_EACH * usual)
            work = partial(_pytest, [*some, "-x"])
            if some and _in_child(work, TIME_LIMIT_SECONDS, cpu_seconds=cpu_seconds):
                return "killed"
        return "survived"
    finally:
        _write(path, sound)


def _write(path: Path, source: bytes) -> None:
    """Write a module, and see that no cache of how it was can be taken for it."""
    path.write_bytes(source)
    for cached in path.parent.glob(f"__pycache__/{path.stem}.*"):
        cached.unlink()


def _tests_for(change: Change, tests: dict[str, dict], most_seconds: float) -> list[str]:
    """Return the tests that call the function, or the module where no function is changed.

    A test that calls few functions says most about each, so it comes first. A cached function is
    seen in one test only: there, too, the module counts.
    """
    exact = f"{change.path}:{change.inside}"
    cached = change.cached or not change.inside.endswith("()")
    names = [
        name
        for name, test in tests.items()
        if any(
            call.startswith(f"{change.path}:") if cached else call == exact
            for call in test["calls"]
        )
    ]
    names.sort(key=lambda name: len(tests[name]["calls"]) * (0.1 + tests[name]["seconds"]))
    seconds, taken = 0.0, []
    for name in names:
        seconds += tests[name]["seconds"]
        if taken and seconds > most_seconds:
            break
        taken.append(name)
    return taken


def _read_ahead(root: Path) -> None:
    """Read once, and not again for each change, which tests are held to something from outside."""
    sys.path.insert(0, str(root / "tests"))
    import outside

    outside.outside_checks()


def _pytest(arguments: list[str], *plugins: object) -> int:
    hypothesis.settings.register_profile(
        PROFILE,
        database=None,
        deadline=None,
        derandomize=True,
        phases=(hypothesis.Phase.explicit, hypothesis.Phase.generate),
        suppress_health_check=list(hypothesis.HealthCheck),
    )
    # pytest is told of the profile, for that of the tests' own conftest is loaded before.
    told = ["-q", "--tb=no", "--no-header", "-W", NO_REWRITE, f"--hypothesis-profile={PROFILE}"]
    left_out = [part for name in SLOW_PARTS for part in ("-p", f"no:{name}")]
    return int(pytest.main([*told, *left_out, *arguments], plugins=list(plugins)))


def _in_child(
    work: Callable[[], int], seconds: int, *, cpu_seconds: int | None = None, quiet: bool = True
) -> bool:
    """Run something in a forked process; return whether it failed or took too long."""
    child = os.fork()
    if child:
        _, status = os.waitpid(child, 0)
        return status != 0
    os.setsid()
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2)[: 3 if quiet else 1]:
        os.dup2(nothing, stream)
    signal.alarm(seconds)  # its default action ends the process
    if cpu_seconds is not None:
        resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds))
    try:
        code = work()
    except BaseException:  # noqa: BLE001 - the child must end here, whatever happens
        traceback.print_exc()
        code = 99
    sys.stdout.flush()
    os._exit(code)


def _print_summary(told: dict[str, str]) -> None:
    total: Counter[str] = Counter()
    killed: Counter[str] = Counter()
    for name, came in told.items():
        module = name.split(":")[0]
        total[module] += 1
        killed[module] += came == "killed"
    for module in sorted(total):
        print(f"{module:48} {killed[module]:4} of {total[module]:4} killed")
    share = 100 * killed.total() / max(1, total.total())
    print(f"{killed.total()} of {total.total()} killed, {share:.1f} percent")


if __name__ == "__main__":
    main()
