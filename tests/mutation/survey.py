"""Which test calls which function, and how long it takes: what to run for a change."""

from __future__ import annotations

import json
import sys
from collections import defaultdict
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from types import FrameType


class Survey:
    """A pytest plugin that writes down the functions of the package that every test calls."""

    def __init__(self, root: Path, result: Path) -> None:
        self._prefix = f"{root}/"
        self._package = f"{root}/rivetkit/"
        self._result = result
        self._calls: set[str] = set()
        self._tests: dict[str, dict] = {}
        self._shared: dict[str, set[str]] = defaultdict(set)

    def _note(self, frame: FrameType, event: str, _arg: object) -> None:
        if event == "call" and frame.f_code.co_filename.startswith(self._package):
            path = frame.f_code.co_filename.removeprefix(self._prefix)
            # A function within a function counts as the outer one.
            name = frame.f_code.co_qualname.split(".<locals>")[0]
            self._calls.add(f"{path}:{name}()")

    def _watched(self, calls: set[str]) -> Iterator[None]:
        self._calls = calls
        sys.setprofile(self._note)
        try:
            return (yield)
        finally:
            sys.setprofile(None)

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self, collector: pytest.Collector) -> Iterator[None]:
        return (yield from self._watched(self._shared[collector.nodeid.split("::")[0]]))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        # A fixture made for one test may serve all of its file.
        return (yield from self._watched(self._shared[item.nodeid.split("::")[0]]))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        calls: set[str] = set()
        self._tests[item.nodeid] = {"calls": calls}
        return (yield from self._watched(calls))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call" and report.passed:
            self._tests[report.nodeid]["seconds"] = report.duration

    def pytest_sessionfinish(self) -> None:
        told = {
            name: {
                "seconds": test["seconds"],
                "calls": sorted(test["calls"] | self._shared[name.split("::")[0]]),
            }
            for name, test in self._tests.items()
            if "seconds" in test
        }
        self._result.write_text(json.dumps(told), encoding="utf-8")
