"""``fabricsim place``: the same motif placed otherwise, and what each way does."""

from __future__ import annotations

from typing import Annotated

import typer

from fabricsim.cli.commands.place.options import PlaceOptions
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, load_of, open_scene
from fabricsim.cli.shell.progress import Watch


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
    options = PlaceOptions(scene=read, load=load_of(read, "repeat", even=True), stitches=stitches)
    give(lambda: answer_of(options), json=json, csv=csv, out=out)


def answer_of(options: PlaceOptions) -> Answer:
    """Try all ways, and say what each does."""
    from fabricsim.cli.commands.place.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.place.words import PlaceTold, tell
    from fabricsim.study.change.placing import beginnings, meetings, placings

    scene, stitches = options.scene, options.stitches
    with Watch(in_turn=True) as watch:
        begun = beginnings(scene)
        laid = placings(scene, watch.stage)
        met = meetings(scene, stitches, watch.stage) if stitches is not None else []
    told = PlaceTold(scene, begun, laid, met)
    return Answer(lambda page: tell(page, told), for_programs(told), lines(told), COLUMNS)
