"""``fabricsim sheet``: a handout on one sheet of A4, tight beside right beside loose."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.commands.sheet.options import LOOSE, RIGHT, TIGHT, SheetOptions
from fabricsim.cli.shell.options import CaseOption, InsideOutOption, SceneArgument, load_of, open_scene, slack_option
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch

SUFFIXES = (".pdf", ".png")


def sheet(
    scene: SceneArgument = None,
    tight: Annotated[float, slack_option("--tight", "Slack of the tight fabric.")] = TIGHT,
    right: Annotated[float, slack_option("--right", "Slack of the right one.")] = RIGHT,
    loose: Annotated[float, slack_option("--loose", "Slack of the loose one.")] = LOOSE,
    case: CaseOption = None,
    inside_out: InsideOutOption = None,
    draft: Annotated[bool, typer.Option("--draft", help="A fast look: coarse yarn.")] = False,
    out: Annotated[
        Path | None, typer.Option(help="File that ends in .pdf or .png; by default sheets/ and the scene's name.")
    ] = None,
) -> None:
    """Make a handout of SCENE on one sheet of A4."""
    read = open_scene(scene)
    options = SheetOptions(load_of(read, case, None, inside_out), tight, right, loose, draft)
    target = out or Path("sheets") / f"{scene.stem if scene is not None else 'demo'}.pdf"
    suffix = suffix_of(target, SUFFIXES)
    with file_for_output(target) as file, Watch() as watch:
        from fabricsim.cli.commands.sheet.pictures import handout

        write_bytes_atomically(file, handout(read, options, suffix, watch))
    Page().say(f"The handout is in {file}: one page of A4, to be printed at 100 %.")
