"""The secret of a server, which outlives it only if it was killed: whoever has its page open goes on where he was."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path

SECRET_BYTES = 24
"""Of a secret (chosen: 192 bits, which nobody guesses)."""
LENGTH = len(secrets.token_urlsafe(SECRET_BYTES))


def secret_at(folder: Path, port: int) -> str:
    """Return the secret for a server at a ``port``: that of the one that was killed there, or a new one, noted in a
    file that nobody else of this machine can read."""
    path = _path(folder, port)
    with suppress(OSError, UnicodeDecodeError):
        known = path.read_text(encoding="ascii")
        if len(known) == LENGTH:
            return known
    new = secrets.token_urlsafe(SECRET_BYTES)
    with suppress(OSError):  # then a page has to be opened anew, no more
        folder.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(new)
    return new


def forget_secret(folder: Path, port: int) -> None:
    """Have the next server at a ``port`` take another secret."""
    with suppress(OSError):
        _path(folder, port).unlink()


def _path(folder: Path, port: int) -> Path:
    return folder / f"secret-{port}"
