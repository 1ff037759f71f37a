"""What every command that advises on one scene may be asked for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.outputs import Output, said_of, suffix_of
from fabricsim.cli.shell.scene_copies import check_copy
from fabricsim.design.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class AdviceOptions:
    """Of which ``scene``, how its fabric is looked at, and where what is ``drawn`` and a changed copy of the scene
    (``write``) go, if anywhere. Raises ``InputError`` for what can't be.

    ``drawn_by``: the option that names the picture, and the ``kinds`` of file that it may be.
    """

    scene: Scene
    load: Load
    drawn: Path | None = None
    write: Path | None = None
    drawn_by: ClassVar[str] = "--picture"
    kinds: ClassVar[tuple[str, ...]] = (".png",)

    def __post_init__(self) -> None:
        if self.drawn is not None:
            with said_of(self.drawn_by):
                suffix_of(self.drawn, self.kinds)
        if self.write is not None:
            check_copy(self.scene, self.write)

    @property
    def files(self) -> list[Output]:
        """What is written beside the answer."""
        return [Output(self.drawn, self.drawn_by), Output(self.write, "--write", "a scene")]
