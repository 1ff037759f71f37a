"""What a report says to programs: what every command in it does."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fabricsim.cli.words.cautions import cautions
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def for_programs(scene: Scene, parts: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Return all of it for JSON; ``parts``: what each command says, by its name."""
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "report",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "cautions": list(cautions(scene)),
        "parts": parts,
    }
