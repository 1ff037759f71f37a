"""What each test of the unspoilt code comes by, and what it takes."""

from __future__ import annotations

import json
import sys
import threading
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from types import CodeType, FrameType

import pytest

from tests.support.effort import processor_seconds

Function = tuple[str, int]
"""A module's path in the project, and the line where the function begins (of its first decorator, if any)."""


@dataclass(frozen=True)
class Tried:
    """One test: what it ``took`` (processor seconds) and the functions that it ``ran``, those of its fixtures too."""

    took: float
    ran: frozenset[Function]


class Recorder:
    """A plugin of pytest that notes it for every test that passes.

    A fixture shared by several tests counts for all of them, though it is made only once.
    """

    def __init__(self, root: Path) -> None:
        self.root = str(root / "fabricsim") + "/"
        self.cut = len(str(root)) + 1
        self.codes: set[CodeType] = set()
        self.of_fixture: dict[int, set[Function]] = defaultdict(set)
        self.tried: dict[str, Tried] = {}
        self.failed: list[str] = []

    def _called(self, frame: FrameType, _event: str, _more: object) -> None:
        self.codes.add(frame.f_code)

    def _functions(self) -> set[Function]:
        """Return the functions of the project called since this was last asked."""
        codes, self.codes = self.codes, set()  # what goes on here is watched too
        named = ((code.co_filename, code.co_firstlineno) for code in codes if code.co_name != "<module>")
        return {(path[self.cut :], line) for path, line in named if path.startswith(self.root)}

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> Iterator[None]:
        before = self._functions()
        try:
            return (yield)
        finally:
            own = self._functions()
            self.of_fixture[id(fixturedef)] |= own
            self.early |= before | own

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Function) -> Iterator[None]:
        self.codes.clear()
        self.early: set[Function] = set()
        self.passes = True
        begun = processor_seconds()
        sys.settrace(self._called)
        threading.settrace(self._called)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            threading.settrace(None)  # type: ignore[arg-type]
            ran = self.early | self._functions()
            for definitions in item._fixtureinfo.name2fixturedefs.values():
                for one in definitions:
                    ran |= self.of_fixture[id(one)]
            if self.passes:
                self.tried[item.nodeid] = Tried(processor_seconds() - begun, frozenset(ran))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.outcome != "passed":
            self.passes = False
        if report.failed:
            self.failed.append(report.nodeid)


def write(path: Path, tried: dict[str, Tried]) -> None:
    path.write_text(json.dumps({name: asdict(one) | {"ran": sorted(one.ran)} for name, one in tried.items()}))


def read(path: Path) -> dict[str, Tried]:
    return {
        name: Tried(one["took"], frozenset((where, line) for where, line in one["ran"]))
        for name, one in json.loads(path.read_text()).items()
    }
