"""A copy of a scene with its planned catches listed in it."""

from __future__ import annotations

from pathlib import Path

from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.design.catches.plan import CatchPlan, as_catches
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError


def check_copy(scene: Scene, write: Path) -> None:
    """Raise ``InputError`` if a copy of the ``scene`` can't be written there."""
    with said_of("--write"):
        suffix_of(write, (".toml",))
    assert scene.source is not None  # every scene of a command was read from a file
    beside = scene.chart.file or scene.chart.image
    if beside is not None and write.parent.resolve() != scene.source.parent.resolve():
        raise InputError(
            "--write",
            f"'{write}', away from '{beside}'",
            "a file in the scene's own folder, where its chart lies",
            f"name it {scene.source.with_name(write.name)}",
        )


def copy_with(scene: Scene, plan: CatchPlan) -> str:
    """Return the scene's own text with the catches of the ``plan`` in it."""
    from fabricsim.design.catches.in_text import text_with_catches
    from fabricsim.design.scene.opened import read_text

    source = scene.source
    assert source is not None  # every scene of a command was read from a file
    changed = text_with_catches(read_text(source, str(source)), as_catches(scene, plan.caught))
    if changed is None:
        raise InputError(
            f"{source}: floats",
            "written in a way in which the catches can't be listed without touching the rest",
            "a line [floats] and its keys below, one a line",
            "write it so, and ask again",
        )
    return changed
