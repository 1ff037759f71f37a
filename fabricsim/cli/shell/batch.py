"""Files that come about together: all of them, each whole, or none.

Each is first written beside its place as a draft, and is on the disk before anything is moved. Then all drafts are
moved; if one can't be, those already moved go back. Only a power cut between two moves can part them, and then too
every file is whole, the new one or the old.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from fabricsim.interrupts import put_off


class Batch:
    """Drafts of files, and the folders made for them."""

    def __init__(self) -> None:
        self._draft_of: dict[Path, Path] = {}
        self._made: list[Path] = []

    def make_folder(self, folder: Path) -> None:
        """Make ``folder`` and those that it lies in, if need be; raises ``OSError``."""
        missing = [one for one in (folder, *folder.parents) if not one.exists()]
        self._made += reversed(missing)
        folder.mkdir(parents=True, exist_ok=True)

    def draft(self, place: Path, data: bytes) -> None:
        """Write what shall lie at ``place``; raises ``OSError``."""
        draft = place.with_name(f".fabricsim-{os.getpid()}-{len(self._draft_of)}.part")
        self._draft_of[place] = draft  # before it is there, so that it never stays
        with draft.open("xb") as file:
            _like(place, file.fileno(), draft)
            file.write(data)
            file.flush()
            os.fsync(file.fileno())

    def has(self, place: Path) -> bool:
        """Return whether a draft for ``place`` is there."""
        return place in self._draft_of

    def move(self) -> None:
        """Move every draft to its place, or none; raises ``OSError`` with the place as ``filename``."""
        with put_off():
            old_of: dict[Path, Path] = {}
            moved: list[Path] = []
            try:
                for place, draft in self._draft_of.items():
                    try:
                        if len(self._draft_of) > 1:
                            _keep_old(place, draft.with_suffix(".old"), old_of)
                        draft.replace(place)
                    except OSError as problem:
                        raise OSError(problem.errno, problem.strerror, str(place)) from None
                    moved.append(place)
            except BaseException:
                _put_back(moved, old_of)
                raise
            for old in old_of.values():
                old.unlink(missing_ok=True)
            for folder in {place.parent for place in moved}:
                _sync_folder(folder)
            self._draft_of, self._made = {}, []

    def drop(self) -> None:
        """Take away the drafts, and the folders that were made and are empty."""
        for draft in self._draft_of.values():
            with suppress(OSError):
                draft.unlink(missing_ok=True)
        for folder in reversed(self._made):
            with suppress(OSError):  # not empty: something else came into it
                folder.rmdir()
        self._draft_of, self._made = {}, []


def _like(place: Path, number: int, draft: Path) -> None:
    """Give a draft, open as file ``number``, the owner and the mode of what lies at its ``place``."""
    try:
        there = place.stat()
    except FileNotFoundError:
        return
    if hasattr(os, "fchown"):
        with suppress(OSError):  # only some may give files away
            os.fchown(number, there.st_uid, there.st_gid)
    draft.chmod(stat.S_IMODE(there.st_mode))


def _keep_old(place: Path, old: Path, old_of: dict[Path, Path]) -> None:
    """Keep what lies at ``place`` under another name too, or, where a file can have but one, there alone."""
    if not place.exists():
        return
    old_of[place] = old
    try:
        os.link(place, old)
    except OSError:
        place.replace(old)


def _put_back(moved: Sequence[Path], old_of: dict[Path, Path]) -> None:
    """Put what lay at the places back, and take away what lay nowhere before."""
    for place in moved:
        if place not in old_of:
            place.unlink(missing_ok=True)
    for place, old in old_of.items():
        if old.exists():
            old.replace(place)
            old.unlink(missing_ok=True)  # two names of one file are left as they are by a move


def _sync_folder(folder: Path) -> None:
    """Have the names in ``folder`` on the disk too, where the system can."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)
