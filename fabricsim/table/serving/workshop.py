"""The jobs of a table: a few at a time, each in a folder of its own, the last of them kept to be fetched."""

from __future__ import annotations

import asyncio
import re
import secrets
import shutil
import tempfile
import unicodedata
from collections import OrderedDict
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any

from fabricsim.errors import InputError
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.jobs.menu import words_for
from fabricsim.table.jobs.work import STOPPED, Errand, Tell, worked
from fabricsim.table.messages.told import TellDone, TellProgress

TOGETHER = 2
"""Jobs at work at the same time (chosen: a long one does not keep a quick one waiting)."""
KEPT = 24
"""Jobs whose files can be fetched (chosen: a working day's)."""
MOST_WAITING = 16
"""Jobs that may wait (chosen: whoever asks for more has pressed by mistake)."""
KEY_BYTES = 16


class Workshop:
    """Runs commands on the piece as it lies when they are asked for."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._folder = Path(tempfile.mkdtemp(prefix="fabricsim-table-"))
        self._jobs: OrderedDict[int, Errand] = OrderedDict()
        self._tasks: dict[int, asyncio.Task[None]] = {}
        self._places = asyncio.Semaphore(TOGETHER)
        self._number = 0

    def ask(self, command: str, options: Mapping[str, Any], draft: SceneText) -> None:
        """Have a command done; raises ``InputError`` for one that isn't on the menu, and for too many."""
        words = words_for(command, options)
        if len(self._tasks) >= MOST_WAITING:
            raise InputError("job", "one more", f"at most {MOST_WAITING} at a time", "stop one, or wait for it")
        self._number += 1
        key = secrets.token_urlsafe(KEY_BYTES)
        folder = self._folder / str(self._number)
        folder.mkdir()
        job = Errand(self._number, command, words, folder, key)
        self._jobs[job.number] = job
        self._tell(TellProgress(job=job.number, command=command, share=None, words=""))
        self._tasks[job.number] = task = asyncio.create_task(self._run(job, draft))
        task.add_done_callback(partial(self._over, job))
        self._forget_old()

    def stop(self, number: int) -> None:
        """Stop a job; one that is done or never was is no matter."""
        job, task = self._jobs.get(number), self._tasks.get(number)
        if job is None or task is None:
            return
        job.stop()
        if job.process is None:
            task.cancel()

    def file(self, key: str, name: str) -> Path | None:
        """Return a file that a job made, by its key and its name within; None if there is none."""
        for job in self._jobs.values():
            if secrets.compare_digest(job.key.encode(), key.encode()) and job.number not in self._tasks:
                folder = job.folder.resolve()
                path = (folder / name).resolve()
                return path if path.is_relative_to(folder) and path.is_file() else None
        return None

    def end(self) -> None:
        """Stop all."""
        for number in list(self._tasks):
            self.stop(number)

    async def emptied(self) -> None:
        """Wait until all that was stopped has ended, and throw away what was made."""
        await asyncio.gather(*self._tasks.values(), return_exceptions=True)
        shutil.rmtree(self._folder, ignore_errors=True)

    async def _run(self, job: Errand, draft: SceneText) -> None:
        try:
            async with self._places:
                await worked(job, draft, file_name(draft.scene.title), self._tell)
        except Exception as problem:  # whoever asked is told, whatever it is
            words = f"a fault of fabricsim's own: {type(problem).__name__}: {problem}"
            self._tell(TellDone(job=job.number, command=job.command, status=1, words=words, files=()))
        finally:
            self._tasks.pop(job.number)

    def _over(self, job: Errand, task: asyncio.Task[None]) -> None:
        """Say of a job that was stopped before it had a process that it was; it may not have come to run at all."""
        if task.cancelled():
            self._tasks.pop(job.number, None)
            self._tell(TellDone(job=job.number, command=job.command, status=STOPPED, words="", files=()))

    def _forget_old(self) -> None:
        for number in [number for number in self._jobs if number not in self._tasks][: max(0, len(self._jobs) - KEPT)]:
            shutil.rmtree(self._jobs.pop(number).folder, ignore_errors=True)


def file_name(title: str) -> str:
    """Return a name for files, on every system, after the title of a piece: ``seed-head-hat-band``."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "piece"
