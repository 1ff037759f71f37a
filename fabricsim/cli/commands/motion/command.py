"""``fabricsim motion``: a moving picture of the fabric drawing in as its floats get tighter."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, get_args

import typer

from fabricsim.cli.commands.motion.options import FRAMES, LOOSE, SECONDS, WIDTH_PX, MotionOptions, slacks_between
from fabricsim.cli.shell.options import (
    CaseOption,
    InsideOutOption,
    SceneArgument,
    load_of,
    one_of,
    open_scene,
    slack_option,
)
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.render.basics.options import Side

SUFFIXES = (".webp", ".gif")


def motion(
    scene: SceneArgument = None,
    start: Annotated[float, slack_option("--from", "Slack of every float at first.")] = LOOSE,
    end: Annotated[
        float | None,
        slack_option("--to", "Slack at the other end; by default the scene's tightest, or -0.10 if none is tight."),
    ] = None,
    frames: Annotated[int, typer.Option(min=2, max=200, help="Fabrics from one end to the other.")] = FRAMES,
    side: Annotated[str, typer.Option(help="face or back.")] = "face",
    case: CaseOption = None,
    inside_out: InsideOutOption = None,
    seconds: Annotated[float, typer.Option(min=0.5, max=120, help="Time there and back.")] = SECONDS,
    width: Annotated[int, typer.Option(min=200, max=2000, help="Width of the picture, pixels.")] = WIDTH_PX,
    out: Annotated[
        Path | None,
        typer.Option(help="File ending in .webp or .gif; by default motion/ and the scene's name, as WebP."),
    ] = None,
) -> None:
    """Write a moving picture of SCENE drawing in as its floats get tighter, there and back."""
    read = open_scene(scene)
    load = load_of(read, case, None, inside_out)
    path = out or Path("motion") / f"{scene.stem if scene is not None else 'demo'}.webp"
    kind = suffix_of(path, SUFFIXES).removeprefix(".")
    which: Side = one_of("--side", side, get_args(Side))
    options = MotionOptions(load, slacks_between(read, load, start, end, frames), which, seconds, width)
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    from fabricsim.cli.commands.motion.pictures import film
    from fabricsim.cli.commands.motion.words import words

    with file_for_output(path):
        with Watch(in_turn=True) as watch:
            swept, data = film(read, options, kind, watch)
        write_bytes_atomically(path, data)
    page = Page()
    for line in [*words(swept, data, kind, options), "", f"The moving picture is in {path}"]:
        page.say(line)
