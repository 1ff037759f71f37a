"""``fabricsim schema``: the JSON Schema of a scene file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.shell.outputs import file_for_output, write_text_atomically
from fabricsim.design.scene.read import scene_schema


def schema(
    out: Annotated[Path | None, typer.Option("--out", help="Write it to this file, not to the screen.")] = None,
) -> None:
    """Print the JSON Schema, or write it to ``out``."""
    text = json.dumps(scene_schema(), indent=2)
    if out is None:
        print(text)
    else:
        with file_for_output(out, "a JSON file"):
            write_text_atomically(out, text + "\n")
        print(f"Written to {out}.")
