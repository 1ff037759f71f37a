"""``fabricsim model``: the fabric at rest as a 3-D file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.commands.model.options import ModelOptions
from fabricsim.cli.shell.answer import JsonOption, print_json
from fabricsim.cli.shell.options import (
    CaseOption,
    EvenOption,
    InsideOutOption,
    SceneArgument,
    SlackOption,
    WholeOption,
    load_of,
    open_scene,
)
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch

SUFFIXES = (".glb", ".ply", ".obj")


def model(
    scene: SceneArgument = None,
    of: Annotated[
        str, typer.Option("--of", help="yarn (every strand) or surface (a smooth closed sheet, coloured by stitch).")
    ] = "yarn",
    case: CaseOption = None,
    out: Annotated[
        Path | None,
        typer.Option(help="File ending in .glb, .ply or .obj; by default model/ and the scene's name, as GLB."),
    ] = None,
    slack: SlackOption = None,
    inside_out: InsideOutOption = None,
    even: EvenOption = False,
    whole: WholeOption = None,
    detail: Annotated[
        str | None,
        typer.Option(help="Of yarn: fine, medium or coarse; by default the finest that keeps the file handy."),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Write the fabric of SCENE at rest as a 3-D file, in metres."""
    read = open_scene(scene)
    path = out or Path("model") / f"{scene.stem if scene is not None else 'demo'}.glb"
    suffix = suffix_of(path, SUFFIXES)
    options = ModelOptions.in_words(load_of(read, case, slack, inside_out, even=even, whole=whole), of, detail)
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    from fabricsim.cli.commands.model.data import for_programs
    from fabricsim.cli.commands.model.pictures import solid
    from fabricsim.cli.commands.model.words import words

    with file_for_output(path):
        with Watch() as watch:
            found, loose, bodies, data = solid(read, options, suffix, watch)
        write_bytes_atomically(path, data)
    said = for_programs(path, options.of, found, bodies, data, loose)
    if json:
        print_json(said)
        return
    page = Page()
    for line in [*words(found, suffix, said, loose), "", f"The 3-D model is in {path}"]:
        page.say(line)
