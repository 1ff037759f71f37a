"""``fabricsim colours``: whether the yarns can be told apart, in grey and by the colour-blind, and which dominates."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.shell.answer import CsvOption, JsonOption, give
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
    from fabricsim.cli.commands.colours.compared import compared
    from fabricsim.cli.commands.colours.words import answer

    suffix = out.suffix.lower() if out is not None else ""
    if out is None or suffix not in PICTURES:
        give(lambda: answer(read, compared(read)), json=json, csv=csv, out=out)
        return
    if json or csv:
        asked = "--json" if json else "--csv"
        raise InputError("--out", f"'{out}' with {asked}", "a picture, or the table", f"leave out {asked}")
    with file_for_output(out):
        write_bytes_atomically(out, _picture(read, suffix))
    page = Page()
    answer(read, compared(read)).tell(page)
    page.say(f"The picture is in {out}.")


def _picture(scene: Scene, suffix: str) -> bytes:
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.chart.swatches import in_other_eyes

    return figures_as(suffix, [in_other_eyes(scene)], scene.title)[0]
