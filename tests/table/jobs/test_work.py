"""A command at work: its words, what it says on the way, what it leaves; the process is a stand-in."""

from __future__ import annotations

import asyncio
import os
import sys
from pathlib import Path
from typing import Any

import pytest

from fabricsim.table.drafts.text import SceneText
from fabricsim.table.jobs import work
from fabricsim.table.jobs.work import Errand, _share, worked
from fabricsim.table.messages.told import TellDone, TellProgress, ToldFile
from tests.table.serving.stand_ins import apart
from tests.table.test_drafts import SMALL, draft


class ProcessSaid:
    """A process that has printed and complained what it has to, and ends with a ``status``."""

    def __init__(self, printed: bytes = b"", complained: bytes = b"", status: int = 0, gone: bool = False) -> None:
        self.stdout, self.stderr = asyncio.StreamReader(), asyncio.StreamReader()
        for stream, data in ((self.stdout, printed), (self.stderr, complained)):
            stream.feed_data(data)
            stream.feed_eof()
        self.status, self.gone, self.killed = status, gone, 0

    async def wait(self) -> int:
        return self.status

    def kill(self) -> None:
        self.killed += 1
        if self.gone:
            raise ProcessLookupError


class Done:
    """What came of a job: what was ``told``, what the process was ``given``, and the ``job``."""

    def __init__(self, folder: Path, **process: Any) -> None:
        self.told: list[TellProgress | TellDone] = []
        self.words: tuple[str, ...] = ()
        self.given: dict[str, Any] = {}
        self.job = Errand(5, "draw", ["draw", "--bare"], folder, "key")
        self.process = process

    def run(self, patch: pytest.MonkeyPatch, scene: SceneText, leaves: dict[str, bytes], stopped: bool = False) -> None:
        async def begun(*words: str, **given: Any) -> ProcessSaid:
            self.words, self.given = words, given
            for name, data in leaves.items():
                (self.job.folder / name).parent.mkdir(parents=True, exist_ok=True)
                (self.job.folder / name).write_bytes(data)
            if stopped:
                self.job.stop()
            return ProcessSaid(**self.process)

        patch.setattr(asyncio, "create_subprocess_exec", begun)

        async def do() -> None:
            await worked(self.job, scene, "small", self.told.append)

        apart(do)

    def done(self) -> TellDone:
        (*_, last) = self.told
        assert isinstance(last, TellDone)
        return last


def progress(share: float | None, words: str) -> TellProgress:
    return TellProgress(job=5, command="draw", share=share, words=words)


def test_a_command_is_run_in_its_folder_and_its_files_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done = Done(
        tmp_path,
        printed="Small\r\nmütze\xff".encode("latin-1").replace(b"\xfc", "ü".encode()),
        complained=b"\nsettling: 1 of 4\n  hands (2 of 4)  \n\xff\n",
    )
    leaves = {"small.png": b"12345", "pages/a b.html": b"", "table.of-no-kind": b"1"}
    done.run(monkeypatch, draft(), leaves)
    assert done.words == (sys.executable, "-m", "fabricsim", "draw", "--bare", "small.toml")
    assert (tmp_path / "small.toml").read_bytes().decode() == SMALL
    environment = done.given.pop("env")
    assert {**environment} == {
        **os.environ, "PYTHONUTF8": "1", "NO_COLOR": "1", "COLUMNS": "100", "PYTHONSAFEPATH": "1",
    }  # fmt: skip
    assert done.given == {
        "cwd": tmp_path,
        "stdin": asyncio.subprocess.DEVNULL,
        "stdout": asyncio.subprocess.PIPE,
        "stderr": asyncio.subprocess.PIPE,
    }
    assert done.told[:-1] == [
        progress(None, ""),
        progress(0.25, "settling: 1 of 4"),
        progress(0.25, "hands (2 of 4)"),
        progress(None, "\ufffd"),
    ]
    files = (
        ToldFile(name="a b.html", media="text/html", size=0, url="/made/key/pages/a%20b.html"),
        ToldFile(name="small.png", media="image/png", size=5, url="/made/key/small.png"),
        ToldFile(name="table.of-no-kind", media="application/octet-stream", size=1, url="/made/key/table.of-no-kind"),
    )
    assert done.done() == TellDone(job=5, command="draw", status=0, words="Small\nmütze\ufffd", files=files)


def test_a_command_that_fails_is_told_by_its_last_line_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = Done(tmp_path, printed=b"half", complained=b"at work ...\nfabricsim: --at: given 9\n\n", status=2)
    done.run(monkeypatch, draft(), {"half.png": b""})
    words = "fabricsim: --at: given 9"
    assert done.done() == TellDone(job=5, command="draw", status=2, words=words, files=())
    mute = Done(tmp_path, status=3)
    mute.run(monkeypatch, draft(), {})
    assert mute.done() == TellDone(job=5, command="draw", status=3, words="", files=())


def test_only_so_much_of_what_is_printed_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "MOST_SAID", 4)
    done = Done(tmp_path, printed=b"a\r\nbcdef")
    done.run(monkeypatch, draft(), {})
    assert done.done().words == "a\nbc"


@pytest.mark.parametrize("gone", [False, True])
def test_what_is_stopped_while_it_begins_says_so(gone: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done = Done(tmp_path, printed=b"half", status=0, gone=gone)
    done.run(monkeypatch, draft(), {"half.png": b""}, stopped=True)
    assert done.done() == TellDone(job=5, command="draw", status=130, words="", files=())
    process: Any = done.job.process
    assert (done.job.stopped, process.killed) == (True, 1)
    done.job.stop()
    assert process.killed == 2


@pytest.mark.parametrize(
    ("line", "share"),
    [
        ("hands (1 of 4)", 0.0),
        ("hands (4 of 4)", 0.75),
        ("rows: 3 of 4", 0.75),
        ("rows: 5 of 4", 1.0),
        ("hands (0 of 4)", 0.0),
        ("hands (1 of 0)", None),
        ("rows 3 of 4", None),
        ("settling", None),
    ],
)
def test_how_far_a_command_is_stands_in_what_it_says(line: str, share: float | None) -> None:
    assert _share(line) == share
