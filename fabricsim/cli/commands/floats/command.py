"""``fabricsim floats``: what is carried behind what, and how far."""

from __future__ import annotations

from typing import Annotated

import typer

from fabricsim.cli.commands.floats.data import COLUMNS, for_programs
from fabricsim.cli.commands.floats.options import FloatsOptions
from fabricsim.cli.commands.floats.words import tell
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.words.leads import leads_counted
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import carry_ups, floats_of_repeat
from fabricsim.design.floats.of_scene import floats as floats_of_piece
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.model import Scene


def floats(
    scene: SceneArgument = None,
    json: JsonOption = False,
    every: Annotated[bool, typer.Option("--all", help="List every float.")] = False,
    repeat: Annotated[
        bool, typer.Option("--repeat", help="Count the chart endlessly repeated, not the whole piece.")
    ] = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """List the floats and carry-ups of SCENE, and which of them pass your limits."""
    read = open_scene(scene)
    options = FloatsOptions(every=every, repeat=repeat)
    give(lambda: answer_of(read, options), json=json, csv=csv, out=out)


def answer_of(scene: Scene, options: FloatsOptions) -> Answer:
    """Return the floats of a piece, or of one repeat of its chart."""
    found = floats_of_repeat(scene) if options.repeat else floats_of_piece(scene)
    carried = () if options.repeat else carry_ups(scene)
    over = faults(found, scene.limits)
    outside = [one for one in found if one.kind != "steek"]
    leads = [] if options.repeat else leads_counted(piece_of(scene))
    said = for_programs(scene, found, carried, over, repeat=options.repeat)
    return Answer(lambda page: tell(page, scene, outside, carried, over, options, leads), said, said["floats"], COLUMNS)
