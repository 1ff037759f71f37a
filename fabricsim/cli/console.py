"""What the commands share in speaking to a person or to a program."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Any

import typer
from rich import box
from rich.console import Console
from rich.table import Table

from fabricsim.design.read import demo_scene, read_scene
from fabricsim.design.scene import Scene

PIPED_WIDTH = 120
"""Columns of a table that goes into a file or a pipe. Chosen: wide enough never to cut a cell."""

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


def for_people() -> Console:
    """Return what tables and sentences are printed through; a yarn's name is printed as it is."""
    width = None if sys.stdout.isatty() else PIPED_WIDTH
    return Console(width=width, markup=False, highlight=False, emoji=False)


def table(title: str, columns: dict[str, str]) -> Table:
    """Return an empty table; ``columns`` gives each heading its side, ``left`` or ``right``."""
    made = Table(title=title, title_justify="left", title_style="bold", box=box.SIMPLE, pad_edge=False)
    for heading, side in columns.items():
        made.add_column(heading, justify="right" if side == "right" else "left")
    return made
