"""Scenes laid on the table: from a file of this machine, from what was dropped on the page, or a plain piece."""

from __future__ import annotations

import secrets
import time
from collections.abc import Sequence
from importlib import resources
from pathlib import Path

from fabricsim.design.scene.opened import read_text
from fabricsim.design.scene.read import DEMO
from fabricsim.errors import InputError
from fabricsim.table.drafts.changes import bytes_of
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.journal import files_beside
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.asked import FileGiven

PLAIN = "plain.toml"
"""A piece to begin with, beside this file."""
NAMING = (("chart", "file"), ("chart", "image"), ("knitter",), ("sizes", "file"))
"""Keys under which a scene names files."""


def new_name() -> str:
    """Return a name for a journal: by the hour, and unlike any other."""
    return f"{time.strftime('%Y%m%d-%H%M%S')}-{secrets.token_hex(4)}"


def opened_file(scene: Path, folder: Path) -> History:
    """Return the history of the scene in a file that the user named; raises ``InputError`` if it is none."""
    draft = SceneText(read_text(scene, str(scene)), scene.resolve())
    _ = draft.scene
    return History.begun(folder, new_name(), draft, str(draft.path))


def opened_demo(folder: Path) -> History:
    """Return the history of the built-in hat."""
    text = (resources.files("fabricsim.design.scene") / "demo" / DEMO).read_text(encoding="utf-8")
    return History.begun(folder, new_name(), SceneText(text, Path(DEMO)))


def opened_files(files: Sequence[FileGiven], folder: Path) -> History:
    """Return the history of a scene that came with the page, beside it the files that it names; none: a plain piece.

    They are laid in a folder of their own under ``folder``. Raises ``InputError`` for what is no scene, and for one
    that names a file which did not come with it.
    """
    name = new_name()
    if not files:
        text = (resources.files("fabricsim.table.drafts") / PLAIN).read_text(encoding="utf-8")
        return History.begun(folder, name, SceneText(text, Path(PLAIN)))
    scene = next((one for one in files if one.name.lower().endswith(".toml")), files[0])
    try:
        text = bytes_of(scene).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(scene.name, "no text", "a scene in TOML, as text in UTF-8", "choose another file") from None
    own = files_beside(folder / f"{name}.jsonl")
    draft = SceneText(text, own / "scene.toml")
    beside = {one.name: bytes_of(one) for one in files if one is not scene}
    _lay_beside(own, _named(draft, scene.name), beside, scene.name)
    try:
        _ = draft.scene
    except InputError as problem:
        said = problem.where.replace(str(draft.path), scene.name)
        raise InputError(said, problem.given, problem.allowed, problem.todo) from None
    return History.begun(folder, name, draft)


def _named(draft: SceneText, called: str) -> list[str]:
    """Return the names of files that a scene wants beside it; nothing if it is no TOML, which is said later."""
    try:
        table = draft.table
    except (ValueError, RecursionError):
        return []
    found = []
    for key in NAMING:
        at: object = table
        for part in key:
            at = at.get(part) if isinstance(at, dict) else None
        if isinstance(at, str):
            if not at or at in (".", "..") or set(at) & set("/\\:\0") or Path(at).name != at:
                raise InputError(
                    f"{called}: {'.'.join(key)}", f"'{at}'", "the plain name of a file", "lay it beside it"
                )
            found.append(at)
    return found


def _lay_beside(own: Path, wanted: Sequence[str], beside: dict[str, bytes], called: str) -> None:
    missing = [one for one in wanted if one not in beside]
    if missing:
        raise InputError(
            called, f"a scene that names '{missing[0]}'", "that file too", "choose both files at once, or drop both"
        )
    own.mkdir(parents=True)
    for one in wanted:
        (own / one).write_bytes(beside[one])
