"""``fabricsim sizes``: what to cast on, knit and decrease for every body, and whether it goes on."""

from __future__ import annotations

from typing import Annotated

import typer

from fabricsim.cli.answer import Answer, CsvOption, OutOption, give
from fabricsim.cli.console import JsonOption, SceneArgument, open_scene
from fabricsim.cli.progress import Watch
from fabricsim.design.scene import Scene


def sizes(
    scene: SceneArgument = None,
    no_forecast: Annotated[
        bool,
        typer.Option("--no-forecast", help="At once, by the gauge of plain stockinette: as if floats drew in nothing."),
    ] = False,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Work out counts, finished widths and rounds of SCENE for every size, by the gauge that its floats will leave."""
    read = open_scene(scene)

    def answer() -> Answer:
        if no_forecast:
            return answer_of(read, None)
        with Watch() as watch:
            return answer_of(read, watch)

    give(answer, json=json, csv=csv, out=out)


def answer_of(scene: Scene, watch: Watch | None) -> Answer:
    """Return what is said of the sizes of ``scene``: by its forecast, told to ``watch``, or by its plain gauge."""
    from fabricsim.cli.sizes_lines import csv_lines, for_programs
    from fabricsim.cli.sizes_words import tell
    from fabricsim.design.sizes import without_forecast

    if watch is None:
        found = without_forecast(scene)
    else:
        from fabricsim.study.sizes import sizes_of

        found = sizes_of(scene, watch.stage)
    return Answer(lambda page: tell(page, found), for_programs(found), csv_lines(found))
