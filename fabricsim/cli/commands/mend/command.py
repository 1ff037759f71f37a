"""``fabricsim mend``: the smallest changes of the chart that break the floats over the limits."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.commands.mend.copies import copy_with
from fabricsim.cli.commands.mend.data import COLUMNS, for_programs, lines
from fabricsim.cli.commands.mend.words import MendTold, tell
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.shell.outputs import Output, write_text_atomically
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.shell.scene_copies import check_copy
from fabricsim.design.counted.mending import Mending, mending_of, over_in_piece
from fabricsim.design.scene.model import Scene


def mend(
    scene: SceneArgument = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
    write: Annotated[
        Path | None,
        typer.Option("--write", help="Write a copy of SCENE with the chart as changed: a .toml.", show_default=False),
    ] = None,
) -> None:
    """Find the smallest changes of SCENE's chart that break its floats over the limits, make no new ones, and leave it
    as symmetric as it is."""
    read = open_scene(scene)
    if write is not None:
        check_copy(read, write)

    def answer() -> Answer:
        with Watch() as watch:
            watch.searching("trying changes of the chart")
            found = mending_of(read)
        if write is not None:
            write_text_atomically(write, copy_with(read, found))
        return answer_of(read, found, write)

    give(answer, json=json, csv=csv, out=out, beside=[Output(write, "--write", "a scene")])


def answer_of(scene: Scene, found: Mending, written: Path | None = None) -> Answer:
    """Return what is said of a chart as ``found`` mended; ``written``: the file with its copy."""
    before = over_in_piece(scene, found.before)
    after = over_in_piece(scene, found.after) if found.mended else before
    told = MendTold(scene, found, before, after, written)
    return Answer(lambda page: tell(page, told), for_programs(told), lines(told), COLUMNS)
