"""A table that is served, and a page's part in talking with it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic
from typing import Any

from websockets.sync.client import ClientConnection, connect

from fabricsim.table.messages.frames import unframed
from fabricsim.table.messages.told import TOLD

PATIENCE = float(os.environ.get("FABRICSIM_TESTS_PATIENCE", "120"))
"""Seconds after which a test gives up; none depends on how soon an answer comes. Less for who expects faults."""


class Served:
    """A server: its process, its address, its secret, and the folder of what it keeps."""

    def __init__(self, process: subprocess.Popen[str], folder: Path) -> None:
        self.process, self.folder = process, folder
        assert process.stdout is not None
        self.said: list[str] = []
        while not (self.said and self.said[-1].startswith("Ctrl-C")):
            line = process.stdout.readline()
            if not line:
                raise ChildProcessError(process.communicate()[1])
            self.said.append(line.rstrip())
        self.base, self.secret = self.said[0].split()[-1].split("/#")

    @contextmanager
    def visit(self, secret: str | None = None) -> Iterator[Visitor]:
        """Open a page."""
        address = self.base.replace("http", "ws") + "/ws"
        with connect(address, origin=self.base, max_size=None, open_timeout=PATIENCE) as socket:  # type: ignore[arg-type]
            visitor = Visitor(socket)
            visitor.ask(kind="hello", secret=self.secret if secret is None else secret, tab="a test")
            yield visitor

    def kill(self) -> None:
        """Let it die without a word."""
        self.process.kill()
        self.process.wait(PATIENCE)

    def end(self) -> tuple[int, str]:
        """Press Ctrl-C; return the exit status and what is said of it."""
        self.process.send_signal(signal.SIGINT)
        _, err = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, err


@contextmanager
def served(folder: Path, *words: str, still: float | None = None) -> Iterator[Served]:
    """Serve a table that keeps what lies on it in ``folder``; ``still``: seconds after which it takes the hand to be
    still, if not as usual."""
    program = ["fabricsim"] if still is None else ["tests.support.laying", str(still)]
    command = [sys.executable, "-m", *program, "table", "--no-browser", *words]
    environment = {**os.environ, "FABRICSIM_STATE": str(folder)}
    pipe = subprocess.PIPE
    how: dict[str, Any] = {"stdout": pipe, "stderr": pipe, "text": True, "env": environment, "start_new_session": True}
    with subprocess.Popen(command, **how) as process:
        try:
            yield Served(process, folder)
        finally:
            process.kill()
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)  # and what is still loading


class Visitor:
    """A page: what it asks, and what it is told, every message held against the schema."""

    def __init__(self, socket: ClientConnection) -> None:
        self.socket = socket

    def ask(self, **asked: Any) -> None:
        """Send a message."""
        self.socket.send(json.dumps(asked))

    def hear(self) -> Any:
        """Return the next message or frame."""
        return self.read(self.socket.recv(PATIENCE))

    def read(self, data: bytes | str) -> Any:
        """Return what a message or frame says."""
        return unframed(data) if isinstance(data, bytes) else TOLD.validate_json(data)

    def until(self, kind: str, **wanted: Any) -> Any:
        """Return the next message of a kind that says what is wanted, all before it heard and let go."""
        until = monotonic() + PATIENCE
        while monotonic() < until:
            told = self.hear()
            if isinstance(told, tuple):
                head = told[0]
                if kind == "shape" and all(getattr(head, name) == value for name, value in wanted.items()):
                    return told
            elif told.kind == kind and all(getattr(told, name) == value for name, value in wanted.items()):
                return told
        raise TimeoutError(f"no {kind} that says {wanted}")
