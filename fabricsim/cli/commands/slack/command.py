"""``fabricsim slack``: how loosely to carry the floats, and what that is in the hand."""

from __future__ import annotations

from typing import Annotated

import typer

from fabricsim.cli.commands.slack.options import USUAL_LOSS, SlackOptions
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import (
    CaseOption,
    EvenOption,
    InsideOutOption,
    SceneArgument,
    WholeOption,
    load_of,
    open_scene,
)
from fabricsim.cli.shell.progress import Watch
from fabricsim.cores import usable_cores
from fabricsim.design.scene.model import Scene
from fabricsim.units import PER_CENT


def slack(
    scene: SceneArgument = None,
    may_lose: Annotated[
        float, typer.Option("--may-lose", metavar="PERCENT", help="Width that may be lost, per cent.")
    ] = USUAL_LOSS,
    stretch: Annotated[
        float | None,
        typer.Option(
            metavar="PERCENT",
            help="How far it must stretch with ease, per cent; by default what its item needs to be put on.",
            show_default=False,
        ),
    ] = None,
    case: CaseOption = None,
    inside_out: InsideOutOption = None,
    even: EvenOption = False,
    whole: WholeOption = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Find how slack the floats of SCENE must be to keep its width and let it stretch."""
    read = open_scene(scene)
    options = SlackOptions(load_of(read, case, None, inside_out, even=even, whole=whole), may_lose, stretch)

    def answer() -> Answer:
        with Watch(in_turn=True) as watch:
            return answer_of(read, options, watch)

    give(answer, json=json, csv=csv, out=out)


def answer_of(scene: Scene, options: SlackOptions, watch: Watch) -> Answer:
    """Return how slack the floats must be."""
    from fabricsim.cli.commands.slack.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.slack.words import tell
    from fabricsim.study.forecast.loosening import how_loose

    found = how_loose(
        scene,
        options.load.case,
        most_lost=options.may_lose * PER_CENT,
        stretch=options.stretch_of(scene),
        inside_out=options.load.inside_out,
        even=options.load.even,
        whole=options.load.whole,
        processes=usable_cores(),
        counted=watch.counting,
        stage=lambda name: watch.stage(name, 0, 1),
    )
    asked = options.stretch is not None
    return Answer(lambda page: tell(page, scene, found, asked=asked), for_programs(scene, found), lines(found), COLUMNS)
