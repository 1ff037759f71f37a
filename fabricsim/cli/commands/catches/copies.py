"""A copy of a scene with its planned catches listed in it."""

from __future__ import annotations

from pathlib import Path

from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.cli.shell.scene_copies import written_with
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
    from fabricsim.design.scene.opened import read_text

    source = scene.source
    assert source is not None  # every scene of a command was read from a file
    return written_with(as_catches(scene, plan.caught), read_text(source, str(source)), scene)
