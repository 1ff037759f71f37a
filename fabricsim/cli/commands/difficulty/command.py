"""``fabricsim difficulty``: what makes a chart hard to knit evenly, in plain words."""

from __future__ import annotations

from fabricsim.cli.commands.difficulty.data import for_programs, lines
from fabricsim.cli.commands.difficulty.words import tell
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.design.counted.difficulty import difficulty as difficulty_of
from fabricsim.design.scene.model import Scene


def difficulty(
    scene: SceneArgument = None, json: JsonOption = False, csv: CsvOption = False, out: OutOption = None
) -> None:
    """Say how hard SCENE is to knit evenly, and what makes it so."""
    read = open_scene(scene)
    give(lambda: answer_of(read), json=json, csv=csv, out=out)


def answer_of(scene: Scene) -> Answer:
    """Return how hard ``scene`` is, and why."""
    found = difficulty_of(scene)
    return Answer(lambda page: tell(page, scene, found), for_programs(scene, found), lines(found))
