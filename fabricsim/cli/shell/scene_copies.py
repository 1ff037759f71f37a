"""Where a changed copy of a scene may be written, and its text with other catches."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import Catch
from fabricsim.errors import InputError


def check_copy(scene: Scene, write: Path) -> None:
    """Raise ``InputError`` if a copy of the ``scene``, its chart drawn in it, can't be written there."""
    with said_of("--write"):
        suffix_of(write, (".toml",))
    assert scene.source is not None  # every scene of a command was read from a file
    beside = scene.knitter or (scene.sizes.file if scene.sizes is not None else None)
    if beside is not None and write.parent.resolve() != scene.source.parent.resolve():
        raise InputError(
            "--write",
            f"'{write}', away from '{beside}'",
            "a file in the scene's own folder, where what it names lies",
            f"name it {scene.source.with_name(write.name)}",
        )


def written_with(catches: Sequence[Catch], text: str, scene: Scene) -> str:
    """Return the ``text`` of a ``scene`` with these ``catches`` listed in it and no others, comments kept; raises
    ``InputError`` where it is written so that this can't be done."""
    from fabricsim.design.catches.in_text import text_with_catches

    changed = text_with_catches(text, catches)
    if changed is None:
        raise InputError(
            scene.where("floats"),
            "written in a way in which the catches can't be listed without touching the rest",
            "a line [floats] and its keys below, one a line",
            "write it so, and ask again",
        )
    return changed
