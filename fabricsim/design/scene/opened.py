"""The one place that opens files of the user's: whatever is no ordinary file of a bearable size is refused unread."""

from __future__ import annotations

import stat
from pathlib import Path

from fabricsim.design.scene.limits import LARGEST_FILE
from fabricsim.errors import InputError
from fabricsim.inputs import note_read

_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def read_bytes(path: Path, where: str) -> bytes:
    """Return what is in the file ``path``; raises ``InputError`` (at ``where``) if it can't be had.

    A pipe may never say anything and a device never stop, so neither is opened at all; and no more is read than a file
    may hold, for some grow while they are read and some don't tell their size.
    """
    note_read(path)
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            kind = next((name for is_one, name in _KINDS if is_one(mode)), "no file")
            raise InputError(where, f"'{path}', which is {kind}", "an ordinary file", "name the file itself")
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise InputError(where, f"'{path}', which isn't there", "a file that exists", "check the name") from None
    except (OSError, ValueError) as problem:  # ValueError: a name that no file can have
        reason = getattr(problem, "strerror", None) or "not a file name"
        raise InputError(where, f"'{path}' ({reason})", "a file that can be read", "check the name") from None
    if len(data) > LARGEST_FILE:
        size = f"'{path}', which holds more than that"
        raise InputError(where, size, f"at most {LARGEST_FILE:,} bytes", "check that it is the right file")
    return data


def read_text(path: Path, where: str) -> str:
    """Return the text of the file ``path``, with or without a byte order mark; raises ``InputError`` (at ``where``)."""
    try:
        return read_bytes(path, where).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(where, f"'{path}', not text", "text in UTF-8", "save it as plain text (UTF-8)") from None
