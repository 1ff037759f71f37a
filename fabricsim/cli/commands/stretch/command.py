"""``fabricsim stretch``: how far the fabric stretches across and up, and where its floats go taut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fabricsim.cli.commands.stretch.options import StretchOptions
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, SlackOption, open_scene
from fabricsim.cli.shell.outputs import Output, write_bytes_atomically
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene

if TYPE_CHECKING:
    from fabricsim.study.stretch.stretching import Stretching


def stretch(
    scene: SceneArgument = None,
    load: Annotated[
        list[float] | None,
        typer.Option(
            metavar="N_PER_M",
            help="Pull, newtons per metre of width: 20 is about 100 g hung from each 5 cm. May be given several "
            "times; 5, 10 and 20 by default.",
            show_default=False,
        ),
    ] = None,
    slack: SlackOption = None,
    plots: Annotated[
        Path | None,
        typer.Option(
            "--plots", help="Draw both curves, pull against stretch: a .png, .svg or .pdf.", show_default=False
        ),
    ] = None,
    draft: Annotated[bool, typer.Option("--draft", help="A fast look: no likely range.")] = False,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Forecast how far SCENE stretches across and up, far from its edges, and where its floats go taut."""
    read = open_scene(scene)
    options = StretchOptions(tuple(load or ()), slack, band=not draft, plots=plots)
    give(lambda: answer_of(read, options), json=json, csv=csv, out=out, beside=[Output(plots, "--plots")])


def answer_of(scene: Scene, options: StretchOptions) -> Answer:
    """Pull on the fabric of a scene, draw its curves if asked, and return how far it stretches."""
    from fabricsim.cli.commands.stretch.data import for_programs, lines
    from fabricsim.cli.commands.stretch.words import tell
    from fabricsim.study.stretch.stretching import LOADS, stretching

    with Watch() as watch:
        loads = options.loads or LOADS
        found = stretching(scene, loads, slack=options.slack, band=options.band, stage=watch.stage)
    if options.plots is not None:
        _draw(scene, found, options.plots)
    return Answer(lambda page: tell(page, scene, found, options.plots), for_programs(scene, found), lines(found))


def _draw(scene: Scene, found: Stretching, path: Path) -> None:
    from fabricsim.cli.commands.stretch.pictures import picture

    write_bytes_atomically(path, picture(scene, found, path.suffix.lower()))
