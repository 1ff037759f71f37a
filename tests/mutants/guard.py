"""Code that is wrong may write and delete where it should not: in its process, and those it starts, it can't."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
CHANGES = {
    "os.remove": (0,),
    "os.rmdir": (0,),
    "os.mkdir": (0,),
    "os.rename": (0, 1),
    "os.link": (1,),
    "os.symlink": (1,),
    "os.truncate": (0,),
    "os.chmod": (0,),
    "shutil.rmtree": (0,),
    "shutil.move": (0, 1),
}
"""Python's own names of what is done to files, and which of its arguments name what is changed."""
ANYWHERE = ("/dev/null", "/dev/tty", "/dev/shm/", "/proc/self/")
"""Where nothing is lost: what processes share lies in memory."""


def stay_in(folder: Path) -> None:
    """From here on this process can change files under ``folder`` only; programs that it starts find their home and
    place for passing files there."""
    for name in ("home", "passing"):
        (folder / name).mkdir(exist_ok=True)
    os.environ |= {"HOME": str(folder / "home"), "TMPDIR": str(folder / "passing")}
    tempfile.tempdir = None
    own = os.path.realpath(folder) + os.sep

    def watch(event: str, given: tuple[object, ...]) -> None:
        if event == "open":
            path, mode, flags = given
            changed = [path] if _writes(mode, flags) else []
        else:
            changed = [given[place] for place in CHANGES.get(event, ())]
        for one in changed:
            if isinstance(one, str | bytes | os.PathLike):
                where = os.path.realpath(os.fsdecode(one))
                if not (where + os.sep).startswith(own) and not where.startswith(ANYWHERE):
                    raise PermissionError(f"{where}: outside of the copy")

    sys.addaudithook(watch)


def _writes(mode: object, flags: object) -> bool:
    if isinstance(mode, str):
        return any(sign in mode for sign in "wax+")
    return isinstance(flags, int) and bool(flags & WRITES)
