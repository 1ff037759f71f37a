"""``fabricsim sizes``: what to cast on, knit and decrease for every body, and whether it goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.by_size import NoForecastOption, pieces_and_why_not, sizes_found
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.shell.progress import Watch

if TYPE_CHECKING:
    from fabricsim.design.sizes.every_size import Sizes


def sizes(
    scene: SceneArgument = None,
    no_forecast: NoForecastOption = False,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Work out counts, finished widths and rounds of SCENE for every size, by the gauge that its floats will leave."""
    read = open_scene(scene)

    def answer() -> Answer:
        if no_forecast:
            return answer_of(sizes_found(read, None))
        with Watch() as watch:
            return answer_of(sizes_found(read, watch))

    give(answer, json=json, csv=csv, out=out)


def answer_of(found: Sizes) -> Answer:
    """Return what is said of the sizes that were ``found``."""
    from fabricsim.cli.commands.sizes.data import csv_lines, for_programs
    from fabricsim.cli.commands.sizes.words import tell

    pieces, why_not = pieces_and_why_not(found.plan.scene, found)
    return Answer(
        lambda page: tell(page, found, pieces, why_not),
        for_programs(found, pieces, why_not),
        csv_lines(found, pieces, why_not),
    )
