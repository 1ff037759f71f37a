"""``fabricsim colours``: whether the yarns can be told apart, in grey and by the colour-blind, and which dominates."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.shell.outputs import file_for_output, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError

PICTURES = (".png", ".pdf", ".svg")


def colours(
    scene: SceneArgument = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: Annotated[
        Path | None,
        typer.Option(
            help="Write to this file, not the screen; a name in .json or .csv says which it is. A name in .png, .pdf "
            "or .svg is a picture: the chart in colour, in grey and to three kinds of colour-blind eyes.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Check the colours of SCENE, for every two yarns that meet."""
    read = open_scene(scene)
    suffix = out.suffix.lower() if out is not None else ""
    if out is None or suffix not in PICTURES:
        give(lambda: answer_of(read), json=json, csv=csv, out=out)
        return
    if json or csv:
        asked = "--json" if json else "--csv"
        raise InputError("--out", f"'{out}' with {asked}", "a picture, or the table", f"leave out {asked}")
    with file_for_output(out):
        from fabricsim.cli.commands.colours.pictures import picture

        write_bytes_atomically(out, picture(read, suffix))
    page = Page()
    answer_of(read).tell(page)
    page.say(f"The picture is in {out}.")


def answer_of(scene: Scene) -> Answer:
    """Return what is said of the yarns that meet."""
    from fabricsim.cli.commands.colours.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.colours.words import tell
    from fabricsim.render.chart.telling_apart import compared

    found = compared(scene)
    return Answer(lambda page: tell(page, scene, found), for_programs(scene, found), lines(scene, found), COLUMNS)
