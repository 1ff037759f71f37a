"""A command at work on the piece: its process, what it says on the way, what it leaves."""

from __future__ import annotations

import asyncio
import mimetypes
import os
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from fabricsim.table.drafts.text import SceneText
from fabricsim.table.jobs.alone import write_alone
from fabricsim.table.messages.told import TellDone, TellProgress, ToldFile

WIDTH = 100
"""Letters of a line of what a command prints (chosen: what a page shows without a bar to push)."""
MOST_SAID = 400_000
"""Letters of what a command prints that are kept (chosen: the words of the largest piece)."""
STOPPED = 130
"""How a command ends that was stopped, as after Ctrl-C."""
_SHARE = re.compile(r"\((\d+) of (\d+)\)|: (\d+) of (\d+)")


@dataclass
class Errand:
    """A command on its way: ``number`` of it, the ``words`` of its command line, its ``folder``, and the ``key`` under
    which what it leaves can be had."""

    number: int
    command: str
    words: Sequence[str]
    folder: Path
    key: str
    process: asyncio.subprocess.Process | None = None
    stopped: bool = False

    def stop(self) -> None:
        """End it; what it had half done is thrown away."""
        self.stopped = True
        if self.process is not None:
            with suppress(ProcessLookupError):
                self.process.kill()


Tell = Callable[[TellProgress | TellDone], None]


async def worked(job: Errand, draft: SceneText, name: str, tell: Tell) -> None:
    """Run a job to its end and tell of it; the scene is called ``name`` in what it leaves."""
    scene = job.folder / f"{name}.toml"
    write_alone(draft, scene)
    before = _files(job.folder)
    tell(TellProgress(job=job.number, command=job.command, share=None, words=""))
    job.process = await asyncio.create_subprocess_exec(
        sys.executable,
        "-m",
        "fabricsim",
        *job.words,
        scene.name,
        cwd=job.folder,
        env=_surroundings(os.environ),
        stdin=asyncio.subprocess.DEVNULL,
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
    )
    if job.stopped:  # asked for while it began
        job.stop()
    printed, complaints = await asyncio.gather(_printed(job), _said(job, tell))
    status = await job.process.wait()
    if job.stopped:
        status = STOPPED
    made = () if status else tuple(_told(job, path) for path in sorted(_files(job.folder) - before))
    words = printed if status == 0 else complaints
    tell(TellDone(job=job.number, command=job.command, status=status, words=words, files=made))


def _surroundings(environment: Mapping[str, str]) -> dict[str, str]:
    """Return the environment of a command: what it prints is UTF-8 without colours, on every system."""
    return {
        **environment,
        "PYTHONUTF8": "1",
        "NO_COLOR": "1",
        "COLUMNS": str(WIDTH),
        "PYTHONSAFEPATH": "1",
    }


async def _printed(job: Errand) -> str:
    assert job.process is not None
    assert job.process.stdout is not None
    data = await job.process.stdout.read()
    return data.decode("utf-8", "replace").replace("\r\n", "\n")[:MOST_SAID]


async def _said(job: Errand, tell: Tell) -> str:
    """Tell what the command says on its way, line by line; return the last line."""
    assert job.process is not None
    assert job.process.stderr is not None
    last = ""
    async for data in job.process.stderr:
        line = data.decode("utf-8", "replace").strip()
        if line:
            last = line
            tell(TellProgress(job=job.number, command=job.command, share=_share(line), words=line))
    return last


def _share(line: str) -> float | None:
    """Return how far a command is by what it says: "(2 of 3)" is a third."""
    found = _SHARE.search(line)
    if found is None:
        return None
    number, of = (int(part) for part in found.groups() if part is not None)
    done = number - 1 if found[1] is not None else number
    return min(1.0, max(0.0, done / of)) if of else None


def _files(folder: Path) -> set[Path]:
    return {path for path in folder.rglob("*") if path.is_file()}


def _told(job: Errand, path: Path) -> ToldFile:
    within = path.relative_to(job.folder).as_posix()
    media = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    return ToldFile(name=path.name, media=media, size=path.stat().st_size, url=f"/made/{job.key}/{quote(within)}")
