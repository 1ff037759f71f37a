"""What holds for all tests: how hypothesis looks for examples, and ``--cpu``, which tells what takes long."""

from __future__ import annotations

import gc
import os
import signal
from collections import Counter
from collections.abc import Iterator

import pytest
from hypothesis import settings

from fabricsim import cores
from fabricsim.study.fork_server import ONE_THREAD
from tests.support.effort import processor_seconds

# No deadline: on a machine that does other things as well one would fail tests of code that is right. At a desk
# examples are new ones every time, so that something may still be found; where CI is set they are always the same, so
# that red means that the change at hand is at fault.
settings.register_profile("fabricsim", deadline=None, derandomize="CI" in os.environ)
settings.load_profile("fabricsim")

# Who runs this in the background of a shell without jobs hands it a Ctrl-C that is ignored, and to all that it starts.
signal.signal(signal.SIGINT, signal.default_int_handler)

# Linear algebra too, as in commands: threads that wait for each other over small matrices take many times the
# processor's time. Its libraries ask once, when they are loaded, which nothing above does.
os.environ.update(dict.fromkeys(ONE_THREAD, "1"))

# What is asked for in a test's own process is worked on there and on one thread: a process that is begun for it takes
# longer to begin than most tests take. Programs that tests start have all that there is.
cores.processors_allowed = lambda: 1.0

# All that is loaded and collected stays to the end: no garbage is looked for in it while it comes, which would take a
# third of that time, nor again and again in every test.
gc.disable()


def pytest_collection_finish() -> None:
    gc.freeze()
    gc.enable()


@pytest.fixture
def two_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let what is worked on side by side be so, whatever this machine has."""
    monkeypatch.setattr(cores, "processors_allowed", lambda: 2.0)
    monkeypatch.setattr("os.sched_getaffinity", lambda _: {0, 1}, raising=False)


LISTED = 30
"""Tests that ``--cpu`` lists one by one."""

seconds_of = pytest.StashKey[Counter[str]]()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--cpu", action="store_true", help="tell the processor seconds of each file of tests, and of the dearest tests"
    )


def pytest_configure(config: pytest.Config) -> None:
    config.stash[seconds_of] = Counter()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Count a test with its fixtures, and with the processes that it starts and waits for."""
    before = processor_seconds()
    try:
        return (yield)
    finally:
        item.config.stash[seconds_of][item.nodeid] += processor_seconds() - before


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if not config.getoption("--cpu"):
        return
    by_test = config.stash[seconds_of]
    by_file: Counter[str] = Counter()
    for name, seconds in by_test.items():
        by_file[name.split("::")[0]] += seconds
    terminalreporter.section(f"processor seconds: {by_file.total():.0f} in all")
    for name, seconds in [*by_file.most_common(), *by_test.most_common(LISTED)]:
        terminalreporter.write_line(f"{seconds:8.1f}  {name}")
