"""A copy of the project, and tests run in it, each time in a new process that has the libraries loaded already."""

from __future__ import annotations

import compileall
import importlib
import os
import resource
import shutil
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import pytest

LIBRARIES = (
    "numpy",
    "scipy.sparse.linalg",
    "scipy.optimize",
    "scipy.spatial",
    "pydantic",
    "typer",
    "rich.table",
    "PIL",
    "hypothesis",
    "jinja2",
    "matplotlib.backends.backend_agg",
    "matplotlib.backends.backend_pdf",
    "matplotlib.backends.backend_svg",
    "trimesh",
)
"""Loaded once, before processes part."""
QUIET = ["-q", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning", "--benchmark-skip"]
"""Without the notice that a library was loaded before pytest could look into it."""
LEFT_OUT = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".hypothesis", ".*_cache", "*.egg-info")

PASSED, NO_TESTS = int(pytest.ExitCode.OK), int(pytest.ExitCode.NO_TESTS_COLLECTED)
OUT_OF_TIME = 1000
"""What a run comes to, beside the exit codes of pytest."""


class Chosen:
    """A plugin of pytest that keeps the tests of these ``names``, in their order, and any that has a new name."""

    def __init__(self, names: Sequence[str], known: set[str]) -> None:
        self.place = {name: place for place, name in enumerate(names)}
        self.known = known

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self.place or item.nodeid not in self.known),
            key=lambda item: self.place.get(item.nodeid, len(self.place)),
        )


class Copy:
    """A copy of the project under ``folder`` where faults may be made."""

    def __init__(self, project: Path, folder: Path) -> None:
        self.root = folder / "copy"
        shutil.copytree(project, self.root, ignore=LEFT_OUT)
        compileall.compile_dir(self.root / "fabricsim", quiet=2)
        compileall.compile_dir(self.root / "tests", quiet=2)
        self.log = folder / "log.txt"
        for library in LIBRARIES:
            importlib.import_module(library)

    @contextmanager
    def spoilt(self, path: Path, source: bytes) -> Iterator[None]:
        """Have another ``source`` at ``path`` for a while."""
        file = self.root / path
        before = file.read_bytes()
        _write(file, source)
        try:
            yield
        finally:
            _write(file, before)

    def run(self, words: Sequence[str], plugins: Sequence[object], limit: float, then: object = None) -> int:
        """Run pytest on the ``words`` and return its exit code, or OUT_OF_TIME after ``limit`` seconds of processor.

        ``then``, if given, is called in the process where the tests were run, after them.
        """
        child = os.fork()
        if child == 0:
            os._exit(self._child(words, plugins, limit, then))
        return _waited(child, 60.0 + 10.0 * limit)

    def _child(self, words: Sequence[str], plugins: Sequence[object], limit: float, then: object) -> int:
        os.setsid()
        sys.stdout = sys.stderr = self.log.open("w")
        os.dup2(sys.stdout.fileno(), 1)
        os.dup2(sys.stdout.fileno(), 2)
        resource.setrlimit(resource.RLIMIT_CPU, (int(limit) + 1, int(limit) + 5))
        os.chdir(self.root)
        project = os.getcwd()
        os.environ |= {"PYTHONPATH": project, "CI": "1"}
        sys.path[0] = project
        for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "fabricsim")]:
            del sys.modules[name]
        code = int(pytest.main([*QUIET, *words], plugins=list(plugins)))
        if callable(then):
            then()
        sys.stdout.flush()
        return code


def _write(file: Path, source: bytes) -> None:
    """Write a module, and forget how it was compiled: a stale one is known by its second and its size only."""
    file.write_bytes(source)
    for compiled in (file.parent / "__pycache__").glob(f"{file.stem}.*.pyc"):
        compiled.unlink()


def _waited(child: int, seconds: float) -> int:
    """Return how a process ended, and end it with all that it started after so many ``seconds``."""

    def late(_number: int, _frame: FrameType | None) -> None:
        os.killpg(child, signal.SIGKILL)

    before = signal.signal(signal.SIGALRM, late)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        _, status = os.waitpid(child, 0)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)
        _end_group(child)
    return os.WEXITSTATUS(status) if os.WIFEXITED(status) else OUT_OF_TIME


def _end_group(child: int) -> None:
    """End what a run has left behind: processes of a pool whose parent was ended."""
    for _ in range(3):
        try:
            os.killpg(child, signal.SIGKILL)
        except ProcessLookupError:
            return
        time.sleep(0.01)
