"""``fabricsim catches``: where to catch the floats that would be too long, with as few catches as can be."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim import units
from fabricsim.cli.commands.catches.copies import check_copy, copy_with
from fabricsim.cli.commands.catches.data import COLUMNS, for_programs, lines
from fabricsim.cli.commands.catches.options import CatchesOptions
from fabricsim.cli.commands.catches.words import Change, PlanTold, tell
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import SceneArgument, open_scene
from fabricsim.cli.shell.outputs import Output, write_bytes_atomically, write_text_atomically
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.catches.plan import SECONDS, CatchPlan, plan_of, with_catches
from fabricsim.design.floats.caught import caught_stitches, very_long
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats as floats_of_piece
from fabricsim.design.scene.model import Scene


def catches(
    scene: SceneArgument = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
    map: Annotated[
        Path | None,
        typer.Option(
            "--map", help="Draw the back with its floats and catches: a .png, .svg or .pdf.", show_default=False
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option(
            "--write", help="Write a copy of SCENE with the catches listed in it: a .toml.", show_default=False
        ),
    ] = None,
    seconds: Annotated[float, typer.Option("--seconds", help="How long the best places may be looked for.")] = SECONDS,
) -> None:
    """Plan the catches of SCENE: as few as can be, evenly placed, never stacked where it can be helped."""
    read = open_scene(scene)
    options = CatchesOptions(map=map, write=write, seconds=seconds)
    if write is not None:
        check_copy(read, write)

    def answer() -> Answer:
        with Watch() as watch:
            watch.searching("looking for the best places")
            plan = plan_of(read, options.seconds)
        return _answer(_told(read, plan)._replace(files=_written(read, plan, options)))

    beside = [Output(map, "--map"), Output(write, "--write", "a scene")]
    give(answer, json=json, csv=csv, out=out, beside=beside)


def answer_of(scene: Scene, plan: CatchPlan) -> Answer:
    """Return what is said of a ``plan`` of catches."""
    return _answer(_told(scene, plan))


def _answer(told: PlanTold) -> Answer:
    return Answer(lambda page: tell(page, told), for_programs(told), lines(told.scene, told.stitches), COLUMNS)


def _told(scene: Scene, plan: CatchPlan) -> PlanTold:
    before, after = (_change(with_catches(scene, holds), len(holds)) for holds in (plan.listed, plan.caught))
    return PlanTold(scene, plan, caught_stitches(scene, plan), before, after, very_long(scene))


def _change(scene: Scene, catches: int) -> Change:
    found = floats_of_piece(scene)
    longest = max(found, key=lambda one: one.gap, default=None)
    return Change(
        catches=catches,
        in_piece=sum(one.caught_end for one in found),
        over=len(faults(found, scene.limits)),
        floats=len(found),
        longest_gap=longest.gap if longest else 0,
        longest_cm=longest.gap_width / units.CM if longest else 0.0,
    )


def _written(scene: Scene, plan: CatchPlan, options: CatchesOptions) -> list[tuple[str, Path]]:
    """Write the files asked for, and return them, each with what it is."""
    files = []
    if options.map is not None:
        from fabricsim.cli.commands.catches.pictures import picture

        write_bytes_atomically(options.map, picture(scene, plan, options.map.suffix.lower()))
        files.append(("the map of the back", options.map))
    if options.write is not None:
        write_text_atomically(options.write, copy_with(scene, plan))
        files.append(("a copy of the scene with these catches", options.write))
    return files
