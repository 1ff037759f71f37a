"""``fabricsim why``: which floats cost the width, and which squares of the chart would free it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.commands.why.options import WhyOptions
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import CaseOption, InsideOutOption, SceneArgument, SlackOption, load_of, open_scene
from fabricsim.cli.shell.outputs import write_bytes_atomically
from fabricsim.cli.shell.progress import Watch


def why(
    scene: SceneArgument = None,
    case: CaseOption = None,
    slack: SlackOption = None,
    inside_out: InsideOutOption = None,
    map: Annotated[
        Path | None,
        typer.Option(
            "--map",
            help="Draw the chart with what its floats cost and its squares would free: a .png, .svg or .pdf.",
            show_default=False,
        ),
    ] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Say which floats of SCENE cost it its width, row by row, and which squares in another yarn would free it."""
    read = open_scene(scene)
    options = WhyOptions(scene=read, load=load_of(read, case, slack, inside_out, even=True), drawn=map)
    give(lambda: answer_of(options), json=json, csv=csv, out=out, beside=options.files)


def answer_of(options: WhyOptions) -> Answer:
    """Bring a scene to rest, draw what its floats cost if asked, and say it."""
    from fabricsim.cli.commands.why.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.why.words import tell
    from fabricsim.study.change.costs import costs_of

    load = options.load
    with Watch() as watch:
        found = costs_of(options.scene, load.case, slack=load.slack, inside_out=load.inside_out, stage=watch.stage)
    if options.drawn is not None:
        from fabricsim.cli.commands.why.pictures import picture

        write_bytes_atomically(options.drawn, picture(found, options.drawn.suffix.lower()))
    return Answer(lambda page: tell(page, found, options.drawn), for_programs(found), lines(found), COLUMNS)
