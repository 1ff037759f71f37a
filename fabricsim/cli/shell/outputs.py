"""Writing files: whole or not at all, and only where the user said."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from errno import EISDIR
from pathlib import Path

from fabricsim.errors import InputError


def prepare_folder(path: Path) -> Path:
    """Make the folder ``path`` if need be, and return it; raises ``InputError`` if it can't be written to."""
    try:
        path.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=path):
            pass
    except OSError as problem:
        raise _cannot_write(path, problem, "a folder that can be written to", "name another folder") from None
    return path


@contextmanager
def folder_for_outputs(path: Path) -> Iterator[Path]:
    """Make the folder ``path`` as ``prepare_folder`` does; if the work fails and left it empty, take it away again."""
    there = path.exists()
    prepare_folder(path)
    try:
        yield path
    except BaseException:
        if not there and not any(path.iterdir()):
            path.rmdir()
        raise


def suffix_of(path: Path, allowed: Sequence[str]) -> str:
    """Return how the name of ``path`` ends, in small letters; raises ``InputError`` if not as ``allowed``."""
    suffix = path.suffix.lower()
    if suffix not in allowed:
        listed = " or ".join(allowed)
        raise InputError(
            "--out", f"'{path}'", f"a file that ends in {listed}", f"name it {path.with_suffix(allowed[0])}"
        )
    return suffix


@contextmanager
def file_for_output(path: Path) -> Iterator[Path]:
    """Make the folder of the file ``path`` as ``folder_for_outputs`` does; raises ``InputError`` if it is a folder."""
    if path.is_dir():
        raise _cannot_write(path, IsADirectoryError(EISDIR, "a folder"), "a file that can be written", "name a file")
    with folder_for_outputs(path.parent):
        yield path


@contextmanager
def said_of(option: str) -> Iterator[None]:
    """Name another ``option`` in place of --out in whatever is wrong with its file."""
    try:
        yield
    except InputError as problem:
        if problem.where != "--out":
            raise
        raise InputError(option, problem.given, problem.allowed, problem.todo) from None


def write_text_atomically(path: Path, text: str) -> None:
    """Write ``text`` to ``path`` in UTF-8, whole or (raising ``InputError``) not at all."""
    write_bytes_atomically(path, text.encode())


def write_bytes_atomically(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path``, whole or (raising ``InputError``) not at all."""
    if path.is_dir():
        raise _cannot_write(path, IsADirectoryError(EISDIR, "a folder"), "a file that can be written", "name a file")
    draft = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        try:
            with draft.open("xb") as file:
                file.write(data)
            draft.replace(path)
        finally:
            draft.unlink(missing_ok=True)
    except OSError as problem:
        raise _cannot_write(path, problem, "a file that can be written", "name another file") from None


def _cannot_write(path: Path, problem: OSError, allowed: str, todo: str) -> InputError:
    return InputError("--out", f"'{path}' ({problem.strerror or type(problem).__name__})", allowed, todo)
