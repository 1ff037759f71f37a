"""``fabricsim place``: the same motif placed otherwise, and what each way does."""

from __future__ import annotations

from typing import Annotated

import typer

from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.limits import check_size
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError


def place(
    scene: SceneArgument = None,
    stitches: Annotated[
        int | None,
        typer.Option("--stitches", metavar="N", help="Meet this number of stitches all round.", show_default=False),
    ] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Tell where rounds of SCENE best begin, how repeats best lie above one another, and how it meets a count."""
    read = open_scene(scene)
    if stitches is not None:
        check_stitches(read, stitches)
    give(lambda: answer_of(read, stitches), json=json, csv=csv, out=out)


def check_stitches(scene: Scene, stitches: int) -> None:
    """Raise ``InputError`` for a number of stitches that the chart can't meet."""
    wide = scene.stitches_per_repeat
    if stitches < wide:
        raise InputError("--stitches", str(stitches), f"at least {wide}, one repeat of the chart", "give more")
    rows = len(scene.chart_rows()) * scene.chart.up
    check_size((rows, stitches + wide), scene.simulation.stitch_limit, "--stitches")


def answer_of(scene: Scene, stitches: int | None) -> Answer:
    """Try all ways, and say what each does."""
    from fabricsim.cli.commands.place.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.place.words import PlaceTold, tell
    from fabricsim.study.change.placing import beginnings, meetings, placings

    with Watch(in_turn=True) as watch:
        begun = beginnings(scene)
        laid = placings(scene, watch.stage)
        met = meetings(scene, stitches, watch.stage) if stitches is not None else []
    told = PlaceTold(scene, begun, laid, met)
    return Answer(lambda page: tell(page, told), for_programs(told), lines(told), COLUMNS)
