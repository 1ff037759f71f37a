"""``fabricsim change``: the fewest changes that make a scene do what is wanted, each way tried."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, get_args

import typer

from fabricsim.cli.commands.change.options import USUAL_LOSS, WAYS, ChangeOptions
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import CaseOption, SceneArgument, load_of, one_of, open_scene
from fabricsim.cli.shell.outputs import write_bytes_atomically, write_text_atomically
from fabricsim.cli.shell.picked import pick_option, picked_of
from fabricsim.cli.shell.progress import Watch
from fabricsim.cores import usable_cores
from fabricsim.design.scene.worn_on import On


def change(
    scene: SceneArgument = None,
    may_lose: Annotated[
        float, typer.Option("--may-lose", metavar="PERCENT", help="Width that may be lost, per cent.")
    ] = USUAL_LOSS,
    flat: Annotated[bool, typer.Option("--flat", help="It must lie flat, too.")] = False,
    over: Annotated[
        str | None,
        typer.Option("--over", help="It must go over a head, hand, arm, leg or board.", show_default=False),
    ] = None,
    size: Annotated[
        str | None,
        typer.Option("--size", help="Whose, such as 'woman'; by default whom it fits best.", show_default=False),
    ] = None,
    long_floats: Annotated[
        bool, typer.Option("--long-floats", help="Floats over your limits may stay.", show_default=False)
    ] = False,
    symmetry: Annotated[
        bool, typer.Option("--symmetry/--no-symmetry", help="Leave the chart as symmetric as it is.")
    ] = True,
    case: CaseOption = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", help="Draw face and back of all ways beside the scene: a .png.", show_default=False),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option("--write", help="Write a copy of SCENE changed so: a .toml.", show_default=False),
    ] = None,
    pick: Annotated[int | None, pick_option(WAYS, "does")] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Find the fewest changes of SCENE, in stitches, catches and slack, that keep its width and its floats short."""
    read = open_scene(scene)
    options = ChangeOptions(
        scene=read,
        load=load_of(read, case),
        drawn=picture,
        write=write,
        may_lose=may_lose,
        flat=flat,
        long_floats=long_floats,
        symmetric=symmetry,
        over=None if over is None else one_of("--over", over, get_args(On)),
        size=size,
        pick=pick,
    )
    give(lambda: answer_of(options), json=json, csv=csv, out=out, beside=options.files)


def answer_of(options: ChangeOptions) -> Answer:
    """Look for ways, draw and write what was asked for, and say it."""
    from fabricsim.cli.commands.change.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.change.words import ChangeTold, tell
    from fabricsim.study.change.changing import change as changes_of

    scene = options.scene
    with Watch(in_turn=True) as watch:
        found = changes_of(
            scene,
            options.aims,
            options.load.case,
            symmetric=options.symmetric,
            stage=watch.stage,
            tell=watch.searching,
            processes=usable_cores(),
        )
        files = []
        nothing_yet = found.stopped and all(way.tried is None for way in found.ways)
        if options.drawn is not None and not nothing_yet:
            from fabricsim.cli.commands.change.pictures import picture

            watch.drawing("face and back of all ways")
            write_bytes_atomically(options.drawn, picture(found))
            files.append(("face and back of all ways", options.drawn))
    if options.write is not None:
        from fabricsim.cli.commands.change.copies import copy_with

        way = picked_of(
            found.ways,
            options.pick,
            found=lambda one: one.proposal is not None,
            does=lambda one: one.tried is not None and not one.tried.misses(found.aims),
        )
        if way is not None:
            write_text_atomically(options.write, copy_with(scene, way))
            files.append((f"a copy of the scene changed as in way {found.ways.index(way) + 1}", options.write))
    told = ChangeTold(scene, found, files, options.write)
    return Answer(lambda page: tell(page, told), for_programs(told), lines(told), COLUMNS)
