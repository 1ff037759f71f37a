"""A process that has the tests loaded and collected, from which another parts for each fault."""

from __future__ import annotations

import gc
import json
import os
import signal
import sys
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import FrameType

import pytest

from tests.mutants import record
from tests.mutants.patched import loaded, patch
from tests.mutants.record import Recorder, Tried
from tests.mutants.trial import Copy, allow, ended

COLD = 71
"""What a run comes to, beside the exit codes of pytest: the fault is in what was read while modules were loaded."""
BROKEN = 70
"""What it comes to where not the tests are at fault but what runs them."""
FAILED = int(pytest.ExitCode.TESTS_FAILED)


@dataclass(frozen=True)
class Spoilt:
    """A fault to be shown: what stood in a ``file`` and stands there now, and the seconds that each test may take."""

    file: Path
    before: bytes
    after: bytes
    seconds: Mapping[str, float]


class Host:
    """Another process, in a ``copy``, that holds all tests of these ``words``: their ``names``.

    It is another program than this one and has modules of its own, so that they tell each other plain things only.
    """

    def __init__(self, copy: Copy, words: Sequence[str]) -> None:
        self._asks, there = Pipe()
        self._copy = copy

        def hold() -> int:
            self._asks.close()  # or it would never hear that nobody asks any more
            return int(pytest.main([*copy.words(), *words], plugins=[_Holder(there)]))

        self._child = copy.part(hold)
        there.close()
        try:
            self.names: list[str] = self._asks.recv()
        except EOFError:
            raise RuntimeError(self._copy.log.read_text()[-4000:]) from None

    def show(self, spoilt: Spoilt) -> tuple[int, str | None]:
        """Show a fault, which is in the copy's file already, to tests until one fails; return how it ended and the last
        test that was begun."""
        code, begun = self._asked("spoilt", (str(spoilt.file), spoilt.before, spoilt.after, dict(spoilt.seconds)))
        return code, list(spoilt.seconds)[begun - 1] if begun else None

    def record(self, names: Sequence[str], package: Path) -> dict[str, Tried]:
        """Run tests as they are; return what they come by, of a ``package`` line by line."""
        path = self._copy.folder / "record.json"
        self._asked("unspoilt", (list(names), str(self._copy.root), str(package), str(path)))
        return record.read(json.loads(path.read_text()))

    def close(self) -> None:
        self._asks.close()
        ended(self._child, 10.0)

    def _asked(self, what: str, given: tuple[object, ...]) -> tuple[int, int]:
        self._asks.send((what, given))
        code, begun = self._asks.recv()
        if code == BROKEN:
            raise RuntimeError(self._copy.log.read_text()[-4000:])
        return code, begun


class _Holder:
    """A plugin of pytest that runs tests in other processes, as often as it is asked."""

    def __init__(self, asks: Connection) -> None:
        self.asks = asks
        self.called: set[tuple[str, int]] = set()
        sys.settrace(self._called)

    def _called(self, frame: FrameType, _event: str, _more: object) -> None:
        self.called.add((frame.f_code.co_filename, frame.f_code.co_firstlineno))

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        sys.settrace(None)
        self.items = {item.nodeid: item for item in session.items}
        self.functions = loaded(os.getcwd() + "/fabricsim/")
        gc.collect()
        gc.freeze()  # what nobody will free need not be looked at in every process
        self.asks.send(list(self.items))
        while True:
            try:
                what, given = self.asks.recv()
            except EOFError:
                return True
            work = {"spoilt": self._spoilt, "unspoilt": self._unspoilt}[what]
            self.asks.send(_apart(lambda begun, work=work, given=given: work(session, begun, *given)))

    def _spoilt(
        self, session: pytest.Session, begun: int, file: str, before: bytes, after: bytes, seconds: dict[str, float]
    ) -> int:
        if file in self.functions and not patch(file, before, after, self.functions[file], self.called):
            return COLD
        items = [self.items[name] for name in seconds]
        for item, following in zip(items, [*items[1:], None], strict=True):
            os.write(begun, b".")
            allow(seconds[item.nodeid])
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if session.testsfailed:
                return FAILED
        return 0

    def _unspoilt(
        self, session: pytest.Session, _begun: int, names: list[str], root: str, package: str, path: str
    ) -> int:
        recorder = Recorder(Path(root), package, Path(path).with_suffix(""))
        session.config.pluginmanager.register(recorder)
        items = [self.items[name] for name in names]
        for item, following in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        recorder.write(Path(path))
        recorder.started.close()
        return 0


def _apart(work: Callable[[int], int]) -> tuple[int, int]:
    """Do work in another process; return how it ended, and how much it wrote where it was told to."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        code = BROKEN
        try:
            os.setsid()
            os.close(reader)
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            code = work(writer)
        except (KeyboardInterrupt, pytest.exit.Exception):
            code = FAILED  # who ends all tests has failed one
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    os.close(writer)
    code = ended(child)
    with open(reader, "rb") as written:
        os.set_blocking(reader, False)  # a process that outlived it may hold the other end
        return code, len(written.read() or b"")
