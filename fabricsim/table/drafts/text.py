"""The text of a scene and the scene that it says."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_of_text


@dataclass(frozen=True)
class SceneText:
    """A ``text`` in TOML, as if it stood at ``path``, beside which the files that it names are looked for."""

    text: str
    path: Path

    @cached_property
    def scene(self) -> Scene:
        """The scene that it says; raises ``InputError`` where that is none."""
        return scene_of_text(self.text, self.path)

    @cached_property
    def table(self) -> dict[str, Any]:
        """What it says, as plain tables and lists."""
        return tomllib.loads(self.text)

    def saying(self, text: str) -> SceneText:
        """Return another text in the same place, read and checked."""
        changed = SceneText(text, self.path)
        _ = changed.scene
        return changed
