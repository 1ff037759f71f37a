"""What each test of the unspoilt code comes by, and what it takes."""

from __future__ import annotations

import json
import sys
import threading
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

from tests.mutants.started import Started
from tests.support.effort import processor_seconds

Lines = Mapping[str, int]
"""For a module's path in the project, a number with a bit for each line: of a function that was called the one where it
begins (of its first decorator, if any), and of a package that is watched each one that was run."""


PROGRAMS = "programs"
"""In place of a module's path for a test that starts programs in Python: what those run outside of functions, as they
begin, nobody sees, so it may be anything."""


@dataclass(frozen=True)
class Tried:
    """One test: what it ``took`` (processor seconds), and what fixtures did that it has in common with others, by name;
    and the lines that it ``ran``, those of its fixtures too."""

    took: float
    shared: Mapping[str, float]
    ran: Lines


class Recorder:
    """A plugin of pytest that notes it for every test that passes; of the ``package`` (a path) also every line, in
    programs that a test starts too; ``folder``: where those leave what they ran.

    A fixture shared by several tests counts for all of them, though it is made only once.
    """

    def __init__(self, root: Path, package: str, folder: Path) -> None:
        self.started = Started(folder, root, package)
        self.root = f"{root}/fabricsim/"
        self.cut = len(str(root)) + 1
        self.watched = f"{root}/{package}"
        self.lines: defaultdict[str, set[int]] = defaultdict(set)
        self.tracers: dict[str, Callable[..., object] | None] = {}
        self.lines_of: dict[int, tuple[CodeType, frozenset[int]]] = {}
        self.of_fixture: dict[int, dict[str, int]] = defaultdict(dict)
        self.cost_of_fixture: dict[int, tuple[str, float]] = {}
        self.in_shared = 0.0
        self.tried: dict[str, Tried] = {}
        sys.addaudithook(self._audited)

    def _audited(self, event: str, given: tuple[Any, ...]) -> None:
        if event == "subprocess.Popen" and sys.executable in (given[0], *map(str, given[1])):
            self.lines[f"{self.root[: self.cut]}{PROGRAMS}"].add(0)

    def _called(self, frame: FrameType, _event: str, _more: object) -> Callable[..., object] | None:
        file = frame.f_code.co_filename
        if file not in self.tracers:
            self.tracers[file] = self._tracer(file) if file.startswith(self.root) else None
        tracer = self.tracers[file]
        if tracer is None or frame.f_code.co_name == "<module>":
            return None
        seen = self.lines[file]
        seen.add(frame.f_code.co_firstlineno)
        return None if self._lines_of(frame.f_code) <= seen else tracer

    def _lines_of(self, code: CodeType) -> frozenset[int]:
        """Return the lines that are watched of a piece of code."""
        key = id(code)
        if key not in self.lines_of:
            watched = code.co_filename.startswith(self.watched)
            self.lines_of[key] = code, frozenset(line for *_, line in code.co_lines() if watched and line is not None)
        return self.lines_of[key][1]

    def _tracer(self, file: str) -> Callable[..., object]:
        def line(frame: FrameType, _event: str, _more: object) -> object:
            self.lines[file].add(frame.f_lineno)
            return line

        return line

    def _ran(self) -> dict[str, int]:
        """Return the lines run since this was last asked."""
        lines, self.lines = self.lines, defaultdict(set)  # what goes on here is watched too
        own = {file[self.cut :]: bits(seen) for file, seen in lines.items()}
        return both(own, {file: bits(seen) for file, seen in self.started.ran().items()})

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> Iterator[None]:
        before, begun, inner = self._ran(), processor_seconds(), self.in_shared
        try:
            return (yield)
        finally:
            own = self._ran()
            key = id(fixturedef)
            self.of_fixture[key] = both(self.of_fixture[key], own)
            self.early = both(self.early, before, own)
            if fixturedef.scope != "function":
                spent = processor_seconds() - begun - (self.in_shared - inner)
                self.in_shared += spent
                name, most = self.cost_of_fixture.get(key, (f"{fixturedef.baseid}::{fixturedef.argname}", 0.0))
                self.cost_of_fixture[key] = name, max(most, spent)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Function) -> Iterator[None]:
        self._ran()
        self.early: dict[str, int] = {}
        self.passes = True
        begun, shared = processor_seconds(), self.in_shared
        sys.settrace(self._called)
        threading.settrace(self._called)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            threading.settrace(None)  # type: ignore[arg-type]
            ran = both(self.early, self._ran())
            costs = {}
            for definitions in item._fixtureinfo.name2fixturedefs.values():
                for one in definitions:
                    ran = both(ran, self.of_fixture[id(one)])
                    if id(one) in self.cost_of_fixture:
                        name, spent = self.cost_of_fixture[id(one)]
                        costs[name] = spent
            if self.passes:
                own = processor_seconds() - begun - (self.in_shared - shared)
                self.tried[item.nodeid] = Tried(own, costs, ran)

    def write(self, path: Path) -> None:
        path.write_text(json.dumps(written(self.tried)))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.outcome != "passed":
            self.passes = False


def bits(lines: Iterable[int]) -> int:
    return sum(1 << one for one in lines)


def both(*some: Lines) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in some:
        for path, lines in one.items():
            found[path] = found.get(path, 0) | lines
    return found


def written(tried: Mapping[str, Tried]) -> dict[str, object]:
    """Return a record as JSON holds it; ``read`` is the way back."""
    return {
        name: [one.took, dict(one.shared), {file: f"{lines:x}" for file, lines in one.ran.items()}]
        for name, one in tried.items()
    }


def read(kept: Mapping[str, Any]) -> dict[str, Tried]:
    return {
        name: Tried(took, shared, {file: int(lines, 16) for file, lines in ran.items()})
        for name, (took, shared, ran) in kept.items()
    }
