"""What the commands share in speaking to a person or to a program."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import demo_scene, read_scene

SceneArgument = Annotated[
    Path | None,
    typer.Argument(metavar="SCENE", show_default=False, help="Scene file (TOML); the built-in hat band if left out."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for programs instead of tables.")]


def open_scene(path: Path | None) -> Scene:
    """Return the scene in ``path``, or the built-in one; raises ``InputError``."""
    return demo_scene() if path is None else read_scene(path)


def print_json(said: dict[str, Any]) -> None:
    """Print ``said`` for a program to read."""
    print(json.dumps(said, indent=2, allow_nan=False))
