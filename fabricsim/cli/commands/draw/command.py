"""``fabricsim draw``: one picture of the fabric, from any side, as large as asked for."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, get_args

import typer

from fabricsim.cli.commands.draw.options import PictureSize, View, options_in_words
from fabricsim.cli.shell.options import (
    CaseOption,
    EvenOption,
    InsideOutOption,
    OnOption,
    OnSizeOption,
    SceneArgument,
    SlackOption,
    WholeOption,
    load_of,
    open_scene,
    put_on_what,
    worn_as_asked,
)
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import row_word

VIEWS = ", ".join(get_args(View))


def draw(
    scene: SceneArgument = None,
    view: Annotated[str, typer.Option(help=f"What to draw: {VIEWS}.")] = "face",
    side: Annotated[str, typer.Option(help="Side of a three-quarter view or a close-up: face or back.")] = "face",
    show: Annotated[
        str,
        typer.Option(
            help="Colours: of the yarn, of the pull and slack of its floats (pull), or of how far it puckers (pucker)."
        ),
    ] = "yarn",
    at: Annotated[
        str | None,
        typer.Option(
            metavar="ROW,STITCH",
            help="Stitch in the middle of a close-up, counted as charts are: rows from below, stitches from the right.",
        ),
    ] = None,
    across: Annotated[int, typer.Option(min=2, max=60, help="Stitches across a close-up.")] = 9,
    row: Annotated[
        int | None,
        typer.Option(
            min=1,
            max=1_000_000,
            help="Row or round of a section, from below; by default that whose float pulls hardest.",
        ),
    ] = None,
    case: CaseOption = None,
    slack: SlackOption = None,
    inside_out: InsideOutOption = None,
    even: EvenOption = False,
    on: OnOption = None,
    size: OnSizeOption = None,
    width: Annotated[int | None, typer.Option(min=100, help="Width in pixels; 1600 if no size is asked for.")] = None,
    width_cm: Annotated[float | None, typer.Option(help="Width in print, cm, at so many --dpi.")] = None,
    true_size: Annotated[
        bool, typer.Option("--true-size", help="The fabric as large in print as in the hand, at so many --dpi.")
    ] = False,
    dpi: Annotated[float | None, typer.Option(help="Dots per inch in print; 300 by default.")] = None,
    ground: Annotated[
        str, typer.Option(help="Behind the fabric: paper, white, transparent or a colour such as '#e8e4da'.")
    ] = "paper",
    bare: Annotated[bool, typer.Option("--bare", help="The fabric alone, without title, scale and yarns.")] = False,
    whole: WholeOption = None,
    draft: Annotated[bool, typer.Option("--draft", help="A fast look: coarse yarn.")] = False,
    out: Annotated[
        Path | None,
        typer.Option(help="PNG file, or SVG for a section; by default drawings/, the scene's name and what is drawn."),
    ] = None,
) -> None:
    """Draw SCENE from one side, at rest."""
    read = worn_as_asked(open_scene(scene), on)
    load = load_of(read, case, slack, inside_out, even=even, whole=whole)
    options = options_in_words(
        load=load,
        on=put_on_what(read, load, on, size),
        on_size=size,
        view=view,
        side=side,
        show=show,
        at=at,
        across=across,
        row=row,
        size=PictureSize.of(width, width_cm, true_size, dpi),
        ground=ground,
        bare=bare,
        draft=draft,
    )
    name = f"{scene.stem if scene is not None else 'demo'}-{options.name}.png"
    target = out or Path("drawings") / name
    suffix = suffix_of(target, (".png", ".svg") if options.view == "section" else (".png",))
    with file_for_output(target) as file:
        from fabricsim.cli.commands.draw.pictures import drawing
        from fabricsim.cli.commands.draw.words import words

        with Watch() as watch:
            made = drawing(read, options, suffix, watch)
        write_bytes_atomically(file, made.data)
    page = Page()
    for line in words(options, made, file, row_word(read)):
        page.say(line)
