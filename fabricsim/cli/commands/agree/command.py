"""``fabricsim agree``: bands above one another that are to lie equally wide, and what evens them out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fabricsim.cli.commands.agree.options import USUAL_WITHIN, WAYS, AgreeOptions
from fabricsim.cli.shell.answer import Answer, CsvOption, JsonOption, OutOption, give
from fabricsim.cli.shell.options import CaseOption, SceneArgument, load_of, open_scene
from fabricsim.cli.shell.outputs import write_bytes_atomically, write_text_atomically
from fabricsim.cli.shell.picked import pick_option, picked_of
from fabricsim.cli.shell.progress import Watch
from fabricsim.cores import usable_cores

if TYPE_CHECKING:
    from fabricsim.study.change.agreeing import Agreeing


def agree(
    scene: SceneArgument = None,
    within: Annotated[
        float, typer.Option("--within", metavar="PERCENT", help="By how much bands may differ in width, per cent.")
    ] = USUAL_WITHIN,
    bands: Annotated[
        str | None,
        typer.Option(
            "--bands",
            metavar="ROWS",
            help="Rows of the chart of each band, as 1-9,14-22; by default what plain rows part.",
            show_default=False,
        ),
    ] = None,
    case: CaseOption = None,
    draft: Annotated[bool, typer.Option("--draft", help="Quicker: without how uneven hands spread the steps.")] = False,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", help="Draw the piece before and after: a .png.", show_default=False),
    ] = None,
    plots: Annotated[
        Path | None,
        typer.Option(
            "--plots", help="Draw the width of every row before and after: a .png, .svg or .pdf.", show_default=False
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option("--write", help="Write a copy of SCENE worked so: a .toml.", show_default=False),
    ] = None,
    pick: Annotated[int | None, pick_option(WAYS, "agrees")] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
) -> None:
    """Tell by how much bands of SCENE differ in width, and what slack, catches or needles make them agree."""
    read = open_scene(scene)
    if case is None and read.case == "repeat":  # in which all rows are equally wide: then as it is worked
        case = "swatch" if read.cut_open else "round"
    options = AgreeOptions(
        scene=read,
        load=load_of(read, case, even=True),
        drawn=picture,
        write=write,
        within=within,
        bands=bands,
        draft=draft,
        plots=plots,
        pick=pick,
    )
    give(lambda: answer_of(options), json=json, csv=csv, out=out, beside=options.files)


def answer_of(options: AgreeOptions) -> Answer:
    """Look for ways, draw and write what was asked for, and say it."""
    from fabricsim.cli.commands.agree.data import COLUMNS, for_programs, lines
    from fabricsim.cli.commands.agree.words import AgreeTold, tell
    from fabricsim.study.change.agreeing import agree as agreeing
    from fabricsim.study.change.band_pieces import does

    scene = options.scene
    with Watch(in_turn=True) as watch:
        found = agreeing(
            scene,
            options.of_chart,
            options.share,
            options.load.case,
            spread=not options.draft,
            processes=usable_cores(),
            stage=watch.stage,
            counted=watch.counting,
        )
        files = _drawn(options, found, watch)
    way = picked_of(
        found.ways,
        options.pick,
        found=lambda one: one.tried is not None,
        does=lambda one: one.tried is not None and does(one.tried, found.within),
    )
    if options.write is not None and way is not None:
        from fabricsim.cli.commands.agree.copies import copy_with

        write_text_atomically(options.write, copy_with(scene, found, way))
        files.append((f"a copy of the scene worked as in way {found.ways.index(way) + 1}", options.write))
    told = AgreeTold(scene, found, files, options.write)
    return Answer(lambda page: tell(page, told), for_programs(told), lines(told), COLUMNS)


def _drawn(options: AgreeOptions, found: Agreeing, watch: Watch) -> list[tuple[str, Path]]:
    """Draw what was asked for; return each file with what it is."""
    files = []
    if options.drawn is not None:
        from fabricsim.cli.commands.agree.pictures import picture

        watch.drawing("the piece before and after")
        write_bytes_atomically(options.drawn, picture(found))
        files.append(("the piece before and after", options.drawn))
    if options.plots is not None:
        from fabricsim.cli.commands.agree.pictures import plots

        write_bytes_atomically(options.plots, plots(found, options.plots.suffix.lower()))
        files.append(("the width of every row before and after", options.plots))
    return files
