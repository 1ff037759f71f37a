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
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import pytest

from tests.mutants import guard

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
LEFT_OUT = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".hypothesis", ".*_cache", "*.egg-info")

PASSED, NO_TESTS = int(pytest.ExitCode.OK), int(pytest.ExitCode.NO_TESTS_COLLECTED)
OUT_OF_TIME = 1000
"""What a run comes to, beside the exit codes of pytest."""

PATIENCE_OF_TESTS, ANSWERED = "FABRICSIM_TESTS_PATIENCE", 20.0
"""What tells tests that talk with a program how many seconds to wait for its answer (chosen: ten times what the slowest
takes)."""
WAITED = 100.0
"""Seconds by the clock that any test may take, beside ten times its seconds of processor: a test that waits for what
will never come uses none (chosen)."""


class Chosen:
    """A plugin of pytest that keeps the tests of these names, in their order, and any that has a new name.

    ``seconds``: what each may take of the processor; a test of a new name as much as the longest of them.
    """

    def __init__(self, seconds: Mapping[str, float], known: set[str]) -> None:
        self.seconds = seconds
        self.place = {name: place for place, name in enumerate(seconds)}
        self.known = known

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self.place or item.nodeid not in self.known),
            key=lambda item: self.place.get(item.nodeid, len(self.place)),
        )

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> None:
        allow(self.seconds.get(item.nodeid, max(self.seconds.values())))


def allow(seconds: float) -> None:
    """Let this process use so many more seconds of processor; past them the system ends it."""
    used = time.process_time()
    _, most = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (int(used + seconds) + 1, most))
    signal.setitimer(signal.ITIMER_REAL, WAITED + 10.0 * seconds)


class Copy:
    """A copy of the project under ``folder`` where faults may be made."""

    def __init__(self, project: Path, folder: Path) -> None:
        self.folder = folder
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

    def run(self, words: Sequence[str], chosen: Chosen, limit: float) -> int:
        """Run pytest on the ``words`` and return its exit code, or OUT_OF_TIME after ``limit`` seconds to load them and
        what each test is allowed."""

        def tests() -> int:
            allow(limit)
            return int(pytest.main(["-x", *self.words(), *words], plugins=[chosen]))

        return ended(self.part(tests))

    def part(self, then: Callable[[], int]) -> int:
        """Begin a process in the copy, as if no module of the project were loaded; it ends with what ``then`` returns.

        Return its number. It writes nowhere but in the copy's folder.
        """
        child = os.fork()
        if child == 0:
            code = 70
            try:
                os.setsid()
                sys.stdout = sys.stderr = self.log.open("w")
                os.dup2(sys.stdout.fileno(), 1)
                os.dup2(sys.stdout.fileno(), 2)
                signal.signal(signal.SIGALRM, signal.SIG_DFL)
                os.chdir(self.root)
                project = os.getcwd()
                os.environ |= {"PYTHONPATH": project, "CI": "1", PATIENCE_OF_TESTS: str(ANSWERED)}
                os.environ.pop("PYTEST_ADDOPTS", None)  # a report that is asked of a whole run lies outside the copy
                guard.stay_in(self.folder)
                sys.path[0] = project
                for name in [name for name in sys.modules if name.split(".")[0] in ("tests", "fabricsim")]:
                    del sys.modules[name]
                code = then()
                sys.stdout.flush()
            finally:
                os._exit(code)
        return child

    def words(self) -> list[str]:
        """Return how pytest is always asked: without the notice that a library was loaded before it could look in."""
        return ["-q", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning", "--benchmark-skip",
                f"--basetemp={self.folder / 'written'}"]  # fmt: skip


def _write(file: Path, source: bytes) -> None:
    """Write a module, and forget how it was compiled: a stale one is known by its second and its size only."""
    file.write_bytes(source)
    for compiled in (file.parent / "__pycache__").glob(f"{file.stem}.*.pyc"):
        compiled.unlink()


def ended(child: int, seconds: float = 24 * 3600.0) -> int:
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
