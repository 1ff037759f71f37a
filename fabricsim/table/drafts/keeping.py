"""The scene written into the file that it was opened from."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from fabricsim.design.scene.opened import read_text
from fabricsim.errors import InputError
from fabricsim.table.drafts.history import History


def changed_meanwhile(history: History) -> bool:
    """Return whether the file of a piece holds something else than what was last read from it or written there."""
    if history.file is None or history.kept is None:
        return False
    try:
        return read_text(Path(history.file), history.file) != history.state(history.kept).text
    except InputError:
        return True


def keep(history: History) -> None:
    """Write what is on the table into the file of the piece, whole or not at all; raises ``InputError`` if it can't be
    written."""
    assert history.file is not None
    path = Path(history.file)
    try:
        handle, draft = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(history.draft.text.encode())
                file.flush()
                os.fsync(file.fileno())
            if path.exists():
                with suppress(OSError):  # a system without such rights
                    os.chmod(draft, path.stat().st_mode & 0o777)
            os.replace(draft, path)
        except BaseException:
            with suppress(OSError):
                os.unlink(draft)
            raise
    except OSError as problem:
        raise InputError(path, problem.strerror or str(problem), "a file that can be written", "see to that") from None
    history.keep()
