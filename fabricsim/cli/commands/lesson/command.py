"""``fabricsim lesson``: one page for a class on why tight floats draw in, and how loosening cures it."""

from __future__ import annotations

from pathlib import Path
from time import perf_counter
from typing import Annotated, Any

import typer

from fabricsim.cli.commands.lesson.options import STEPS, LessonOptions, check_floats, slacks_in
from fabricsim.cli.shell.answer import JsonOption, print_json
from fabricsim.cli.shell.options import (
    CaseOption,
    InsideOutOption,
    OnOption,
    OnSizeOption,
    SceneArgument,
    WholeOption,
    load_of,
    open_scene,
    put_on_what,
    worn_as_asked,
)
from fabricsim.cli.shell.outputs import Output, files_for_output, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError


def lesson(
    scene: SceneArgument = None,
    case: CaseOption = None,
    out: Annotated[
        Path | None, typer.Option(help="The page to write; by default lesson/ and the scene's name, .html.")
    ] = None,
    steps: Annotated[
        str | None,
        typer.Option(
            metavar="SLACKS",
            help="Slacks of the slider, with commas; they take the place of every slack in the scene. By default "
            f"{','.join(f'{slack:g}' for slack in STEPS)}.",
        ),
    ] = None,
    inside_out: InsideOutOption = None,
    whole: WholeOption = None,
    on: OnOption = None,
    size: OnSizeOption = None,
    solid: Annotated[
        bool, typer.Option("--3d/--no-3d", help="Also write a second page with the fabric in 3-D, by default.")
    ] = True,
    json: JsonOption = False,
) -> None:
    """Write a page that shows SCENE tight, right and loose, with a slider between."""
    read = worn_as_asked(open_scene(scene), on)
    load = load_of(read, case, None, inside_out, whole=whole)
    slacks = STEPS if steps is None else slacks_in(steps)
    check_floats(read, load)
    page = out or Path("lesson") / f"{scene.stem if scene is not None else 'demo'}.html"
    options = LessonOptions(load, slacks, page, solid, put_on_what(read, load, on, size), size)
    with files_for_output(Output(page), Output(options.solid_out if solid else None)):
        said = _lesson(read, options)
    if json:
        print_json(said)
        return
    from fabricsim.cli.commands.lesson.words import summary

    told = Page()
    for line in summary(said):
        told.say(line)


def _lesson(scene: Scene, options: LessonOptions) -> dict[str, Any]:
    """Solve, draw and write; return what was made, for who reads JSON."""
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    from fabricsim.cli.commands.lesson.data import for_programs
    from fabricsim.cli.commands.lesson.pictures import BEST, page_of, solid_page_of
    from fabricsim.cli.commands.lesson.worn import worn_steps
    from fabricsim.cli.shell.usual import off_its_pins
    from fabricsim.study.forecast.sweep import carried_unevenly, sweep
    from fabricsim.study.worn.on_body import check_size

    if options.on is not None:
        check_size(scene, options.on, options.size)
    begun = perf_counter()
    with Watch() as watch:
        load = options.load
        found = sweep(scene, load.case, options.slacks, inside_out=load.inside_out, whole=load.whole, stage=watch.stage)
        if len(found.steps) < 2:
            raise NoEquilibriumError(f"only one step came to rest, and a slider needs two: {found.lost[0][1]}")
        both = carried_unevenly(found, watch.stage("floats that are uneven", 0, 1))
        loose = off_its_pins(found.steps[-1].rest, watch) if options.solid else None
        worn = () if options.on is None else worn_steps(found, BEST, options.on, options.size, watch.stage)
        solved = perf_counter()
        solid = solid_page_of(found.steps[-1], loose, options.out.name, watch, worn) if options.solid else None
        page = page_of(found, both, options.solid_out.name if options.solid else None, watch, worn)
    drawn = perf_counter()
    files = [(options.out, page), *([(options.solid_out, solid)] if solid is not None else [])]
    for path, text in reversed(files):
        write_text_atomically(path, text)
    seconds = {"solve_s": solved - begun, "draw_s": drawn - solved, "write_s": perf_counter() - drawn}
    return for_programs(found, both, options, [(path, len(text.encode())) for path, text in files], seconds, worn)
