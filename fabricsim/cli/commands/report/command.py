"""``fabricsim report``: everything about one piece on one page, for a test knitter to work from."""

from __future__ import annotations

import json as json_format
from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.shell.answer import JsonOption
from fabricsim.cli.shell.by_size import SizeOption, check_size
from fabricsim.cli.shell.options import CaseOption, SceneArgument, WholeOption, load_of, open_scene
from fabricsim.cli.shell.outputs import Output, files_for_output, suffix_of, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch


def report(
    scene: SceneArgument = None,
    size: SizeOption = None,
    case: CaseOption = None,
    whole: WholeOption = None,
    draft: Annotated[
        bool,
        typer.Option("--draft", help="A fast look: coarse pictures, no likely range, sizes by the plain gauge."),
    ] = False,
    json: JsonOption = False,
    out: Annotated[
        Path | None,
        typer.Option(
            help="The page, .html; its numbers go beside it in .json. By default report/ and the scene's name.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write all there is to say of SCENE as one page that can be printed and worked from."""
    read = open_scene(scene)
    load = load_of(read, case, whole=whole)
    if size is not None:
        check_size(read, size)
    target = out or Path("report") / f"{scene.stem if scene is not None else 'demo'}.html"
    suffix_of(target, (".html",))
    twin = target.with_suffix(".json")
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    from fabricsim.cli.commands.report.gathering import gathered
    from fabricsim.render.handouts.report import report_page

    with files_for_output(Output(target), Output(twin)):
        with Watch(in_turn=True) as watch:
            page, said = gathered(read, size, load, watch, draft=draft)
        text, numbers = report_page(page), json_format.dumps(said, indent=2, allow_nan=False) + "\n"
        write_text_atomically(twin, numbers)
        write_text_atomically(target, text)
    if json:
        print(numbers, end="")
        return
    told = Page()
    told.say(f"The report is in {target} ({len(text) / 1e6:.1f} MB), its numbers in {twin}.")
    told.say("It opens in any browser, without a network, and prints on A4.")
