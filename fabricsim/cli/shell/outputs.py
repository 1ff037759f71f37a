"""Writing files: whole or not at all, all of a command or none, only where the user said, and over nothing of theirs.

Every place is looked at twice, before the long work begins and again when its file is written. Refused are: a file that
was read in this run, by whatever name; one name for two outputs; what is no file (a folder, a device, a pipe, where
standard output goes); a file that may not be written to. Refused without ``--force``: a file of another kind than what
is written, and one that people write by hand. A link is followed: what it leads to is replaced.
"""

from __future__ import annotations

import os
import stat
import sys
import tempfile
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from errno import EISDIR
from pathlib import Path
from typing import NamedTuple

from fabricsim.cli.shell.batch import Batch
from fabricsim.cli.shell.kinds import HEAD, WRITTEN_BY_HAND, Kind, kind_by_name, kind_of, kind_of_file
from fabricsim.errors import InputError
from fabricsim.inputs import files_read

_forced: ContextVar[bool] = ContextVar("--force was given", default=False)
_option: ContextVar[str] = ContextVar("the option that names the file", default="--out")
_open: ContextVar[_Outputs | None] = ContextVar("what this command writes together", default=None)


def force() -> None:
    """Let what is written in this run go over files of another kind, and over such as people write by hand."""
    _forced.set(True)


@contextmanager
def together() -> Iterator[_Outputs]:
    """Move all files written inside into their places at the end, or, if anything goes wrong, leave none.

    Inside another such block it is a part of that. Raises ``InputError`` if they can't be moved.
    """
    outer = _open.get()
    if outer is not None:
        yield outer
        return
    outputs = _Outputs()
    token = _open.set(outputs)
    try:
        yield outputs
        outputs.move()
    finally:
        outputs.batch.drop()
        _open.reset(token)


def drop_drafts() -> None:
    """Take away what was begun, where the command ends at once."""
    outputs = _open.get()
    if outputs is not None:
        outputs.batch.drop()


class Output(NamedTuple):
    """A file to be written to ``path``, if there is one, which ``option`` named; ``kind``: if its name doesn't tell."""

    path: Path | None
    option: str = "--out"
    kind: Kind | None = None


@contextmanager
def files_for_output(*outputs: Output) -> Iterator[None]:
    """See to it that all of them can be written, their folders made, before the work inside; if that fails, leave
    neither files nor folders. Raises ``InputError``."""
    with together() as batch:
        for path, option, kind in outputs:
            if path is not None:
                with said_of(option):
                    batch.prepare(path, kind or kind_by_name(path))
        yield


@contextmanager
def file_for_output(path: Path, kind: Kind | None = None) -> Iterator[Path]:
    """Do as ``files_for_output`` does for the file ``path``."""
    with files_for_output(Output(path, _option.get(), kind)):
        yield path


def prepare_folder(path: Path) -> Path:
    """Make the folder ``path`` if need be, and return it; raises ``InputError`` if it can't be written to."""
    try:
        outputs = _open.get()
        (outputs.batch if outputs is not None else Batch()).make_folder(path)
        with tempfile.TemporaryFile(dir=path):
            pass
    except OSError as problem:
        raise _cannot_write(path, problem, "a folder that can be written to", "name another folder") from None
    return path


def suffix_of(path: Path, allowed: Sequence[str]) -> str:
    """Return how the name of ``path`` ends, in small letters; raises ``InputError`` if not as ``allowed``."""
    suffix = path.suffix.lower()
    if suffix not in allowed:
        listed = " or ".join(allowed)
        todo = f"name it {path.with_suffix(allowed[0]) if path.name else f'something{allowed[0]}'}"
        raise InputError(_option.get(), f"'{path}'", f"a file that ends in {listed}", todo)
    return suffix


@contextmanager
def said_of(option: str) -> Iterator[None]:
    """Name another ``option`` in place of --out in whatever is wrong with its file."""
    token = _option.set(option)
    try:
        yield
    finally:
        _option.reset(token)


def write_text_atomically(path: Path, text: str) -> None:
    """Write ``text`` to ``path`` in UTF-8, whole or (raising ``InputError``) not at all."""
    write_bytes_atomically(path, text.encode())


def write_bytes_atomically(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path``, whole or (raising ``InputError``) not at all; at the end of ``together``."""
    with together() as outputs:
        outputs.write(path, data)


# ---- what stands in the way ----------------------------------------------------------------------


class _Named(NamedTuple):
    """A place for an output: the ``option`` that named it, as what ``path``, and the ``kind`` of file to come."""

    option: str
    path: Path
    kind: Kind


class _Outputs:
    """What one command writes: its batch of drafts, and all places that were named for them."""

    def __init__(self) -> None:
        self.batch = Batch()
        self._named: dict[str, _Named] = {}

    def prepare(self, path: Path, kind: Kind) -> None:
        """Raise ``InputError`` if a file of this ``kind`` can't or mustn't be written to ``path``; make its folder."""
        place = _place(path)
        _check(path, place, kind)
        other = self._named.get(_folded(place))
        if other is not None:
            also = "which is written already" if other.option == _option.get() else f"which {other.option} names too"
            raise InputError(_option.get(), f"'{path}', {also}", "a file of its own", "name another file")
        self._named[_folded(place)] = _Named(_option.get(), path, kind)
        prepare_folder(place.parent if path.is_symlink() else path.parent)

    def write(self, path: Path, data: bytes) -> None:
        """Make the draft of ``path``; raises ``InputError``."""
        place = _place(path)
        if _folded(place) not in self._named or self.batch.has(place):
            self.prepare(path, kind_of(data[:HEAD]))
        named = self._named[_folded(place)]
        with said_of(named.option):
            _check(path, place, named.kind)
            try:
                self.batch.draft(place, data)
            except OSError as problem:
                raise _cannot_write(path, problem, "a file that can be written", "name another file") from None

    def move(self) -> None:
        """Move all drafts into place; raises ``InputError``."""
        try:
            self.batch.move()
        except OSError as problem:
            named = self._named[_folded(Path(problem.filename))]
            with said_of(named.option):
                raise _cannot_write(named.path, problem, "a file that can be written", "name another file") from None


def _place(path: Path) -> Path:
    """Return where ``path`` leads, through all links; raises ``InputError`` if nowhere."""
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError):  # links in a ring; a name that no file can have
        raise InputError(_option.get(), f"'{path}'", "a file that can be written", "name another file") from None


def _folded(place: Path) -> str:
    """Return ``place`` as it is called where capitals and ways of writing accents don't count, as on some systems."""
    return unicodedata.normalize("NFC", str(place)).casefold()


def _check(path: Path, place: Path, kind: Kind) -> None:
    """Raise ``InputError`` if what lies at ``place`` (``path``) can't or mustn't give way to a file of ``kind``."""
    try:
        there = place.stat()
    except (FileNotFoundError, NotADirectoryError):  # nothing is there; what is wrong with its folder is said of that
        return
    except OSError as problem:
        raise _cannot_write(path, problem, "a file that can be written", "name another file") from None
    if stat.S_ISDIR(there.st_mode):
        raise _cannot_write(path, IsADirectoryError(EISDIR, "a folder"), "a file that can be written", "name a file")
    if not stat.S_ISREG(there.st_mode):
        raise _refused(path, "no file but a device or a pipe", "a file", "name one, or leave the option out")
    if _is_printed_to(there):
        raise _refused(path, "where printing goes", "another file", "name another file, or leave the option out")
    if any(os.path.samestat(there, one) for one in _read_now()):
        raise _refused(path, "which is read here", "another file", "name another file")
    if not there.st_mode & 0o222 or not os.access(place, os.W_OK):
        raise _refused(path, "which may not be written to", "a file that can be written", "name another file")
    if not _forced.get():
        _check_kind(path, place, kind)


def _check_kind(path: Path, place: Path, kind: Kind) -> None:
    """Raise ``InputError`` if what lies at ``place`` is of another ``kind``, or of one that people write by hand."""
    try:
        with place.open("rb") as file:
            head = file.read(HEAD)
    except OSError as problem:
        raise _cannot_write(path, problem, "a file that can be read and written", "name another file") from None
    old = kind_of_file(place, head)
    if not head.strip() or (old == kind and old not in WRITTEN_BY_HAND):
        return
    allowed = "a new file" if old == kind else f"a new file, or {kind} to write over"
    raise _refused(path, f"which is there and is {old}", allowed, "name another file, or add --force if that may go")


def _refused(path: Path, why: str, allowed: str, todo: str) -> InputError:
    return InputError(_option.get(), f"'{path}', {why}", allowed, todo)


def _read_now() -> Iterator[os.stat_result]:
    """Yield what is known of every file that was read in this run and is there."""
    for one in files_read():
        with suppress(OSError, ValueError):
            yield one.stat()


def _is_printed_to(there: os.stat_result) -> bool:
    """Return whether standard output or standard error goes into this very file."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError, AttributeError):  # closed, or none
            if os.path.samestat(there, os.fstat(stream.fileno())):
                return True
    return False


def _cannot_write(path: Path, problem: OSError, allowed: str, todo: str) -> InputError:
    return InputError(_option.get(), f"'{path}' ({problem.strerror or type(problem).__name__})", allowed, todo)
