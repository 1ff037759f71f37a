"""``fabricsim preview``: the forecast of draw-in and pucker, and the fabric's face and back."""

from __future__ import annotations

from pathlib import Path
from shlex import quote
from time import perf_counter
from typing import Annotated

import typer

from fabricsim.cli.commands.preview.options import PreviewOptions
from fabricsim.cli.shell.answer import JsonOption
from fabricsim.cli.shell.options import (
    CaseOption,
    EvenOption,
    InsideOutOption,
    OnOption,
    OnSizeOption,
    SceneArgument,
    SlackOption,
    WholeOption,
    load_of,
    open_scene,
    put_on_what,
    worn_as_asked,
)
from fabricsim.cli.shell.outputs import Output, files_for_output, write_bytes_atomically, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.cores import usable_cores
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.study.fork_server import begin_loading

FILES = ("face.png", "back.png", "pucker.png", "widths.png", "summary.json")
"""What a preview leaves in its folder."""
WORN = "worn.png"
"""And of what is put on."""
WASHED, BLOCKED = "washed.png", "blocked.png"
"""And of what is washed, and of what is pinned out."""
PIECES_BY = "fabricsim.study.forecast.forecast"
"""What brings the pieces of a band to rest."""
PICTURES = "fabricsim.cli.commands.preview.pictures"
"""What draws, loaded while the fabric comes to rest."""
UNPINNED = "unpinned.png"
"""And of a swatch, whose edges curl once its pins are out."""


def preview(
    scene: SceneArgument = None,
    case: CaseOption = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder for pictures and numbers; by default preview/ and the scene's name.")
    ] = None,
    slack: SlackOption = None,
    inside_out: InsideOutOption = None,
    even: EvenOption = False,
    on: OnOption = None,
    size: OnSizeOption = None,
    whole: WholeOption = None,
    width: Annotated[
        int | None, typer.Option(min=200, max=4000, help="Width of face.png and back.png, pixels; 1200 by default.")
    ] = None,
    starts: Annotated[
        int | None,
        typer.Option(min=0, max=1000, help="Also let it come to rest from this many random shapes; none by default."),
    ] = None,
    draft: Annotated[
        bool, typer.Option("--draft", help="A fast look: coarse pictures, one start, no likely range.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Forecast draw-in and pucker of SCENE and draw it."""
    read = worn_as_asked(open_scene(scene), on)
    load = load_of(read, case, slack, inside_out, even=even, whole=whole)
    options = PreviewOptions(load, draft, starts or 0, width, put_on_what(read, load, on, size), size)
    folder = out or Path("preview") / (scene.stem if scene is not None else "demo")
    names = (*FILES[:-1], *_more(read, options), FILES[-1])
    with files_for_output(*(Output(folder / name) for name in names)):
        summary, lines, made = _previewed(read, options, folder)
    if json:
        print(summary)
        return
    page = Page()
    opens = f"fabricsim table {quote(str(scene))}" if scene is not None else "fabricsim table"
    files = f"Pictures and numbers are in {folder}: {', '.join(made)}"
    for line in lines:
        page.say(line, wrap=True)
    for line in ("", files, f"To design on it in the browser: {opens}"):
        page.say(line)


def _previewed(scene: Scene, options: PreviewOptions, folder: Path) -> tuple[str, list[str], list[str]]:
    """Forecast and draw, then leave all files in ``folder`` at once; return the numbers as JSON, the words and the
    files."""
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    if not options.draft and usable_cores() > 1:
        begin_loading(PIECES_BY)
    from fabricsim.cli.commands.preview.data import to_json
    from fabricsim.cli.commands.preview.words import words
    from fabricsim.cli.shell.usual import off_its_pins
    from fabricsim.design.floats.faults import faults
    from fabricsim.fabric.corner_line import corner_line, turned_out
    from fabricsim.fabric.whole import carried_floats
    from fabricsim.study.forecast.forecast import forecast
    from fabricsim.study.forecast.threads import load_meanwhile
    from fabricsim.study.washed.blocking import check_blocking
    from fabricsim.study.washed.washing import washed
    from fabricsim.study.worn.on_body import check_size
    from fabricsim.study.worn.putting_on import put_on

    if options.on is not None:
        check_size(scene, options.on, options.size)
    check_blocking(scene, options.load.case, whole=options.load.whole)
    begun = perf_counter()
    load_meanwhile(PICTURES)
    with Watch() as watch:
        try:
            found = forecast(
                scene,
                options.load.case,
                slack=options.load.slack,
                inside_out=options.load.inside_out,
                band=not options.draft,
                branch=not options.draft or options.starts > 0,
                even=options.load.even,
                starts=options.starts,
                processes=usable_cores(),
                whole=options.load.whole,
                stage=watch.stage,
                counted=watch.counting,
            )
        except NoEquilibriumError:
            _forget(folder)
            raise
        wash = washed(
            scene,
            found.equilibrium,
            found.measures,
            options.load.slack,
            options.load.inside_out,
            lambda name: watch.stage(name, 0, 1),
        )
        put = None
        if options.on is not None:
            off, knitted = (found.equilibrium, None) if wash is None else (wash.after, found.equilibrium.mesh)
            put = put_on(off, options.on, options.size, watch.stage, knitted=knitted)
        line = corner_line(found.equilibrium)
        turned = None if line is None else turned_out(found.equilibrium, line, watch.stage("inside out", 0, 1))
        loose = off_its_pins(found.equilibrium, watch) if _lies_flat(scene, options) else None
        solved = perf_counter() - begun
        from fabricsim.cli.commands.preview.pictures import pictures

        made, drawn = pictures(found, options.draft, options.width_px, watch, put, wash, loose)
    over = faults(carried_floats(scene, options.load.case, whole=options.load.whole), scene.limits)
    summary = to_json(found, over, options, {"solve_s": solved, **drawn}, put, wash, turned, loose)
    for name, data in made.items():
        write_bytes_atomically(folder / name, data)
    write_text_atomically(folder / "summary.json", summary)
    for name in (*_more(scene, options), UNPINNED):
        if name not in made:
            (folder / name).unlink(missing_ok=True)  # of an earlier preview, when it went on, or found a rest
    return summary, words(found, over, put, wash, turned, loose), [*made, "summary.json"]


def _more(scene: Scene, options: PreviewOptions) -> list[str]:
    """Return which pictures there may be beside those of every preview."""
    wash = scene.gauge.washed
    return [
        *([WORN] if options.on is not None else []),
        *([UNPINNED] if _lies_flat(scene, options) else []),
        *([] if wash is None else [WASHED]),
        *([] if wash is None or wash.pinned_cm is None else [BLOCKED]),
    ]


def _lies_flat(scene: Scene, options: PreviewOptions) -> bool:
    """Return whether what is seen has edges that may curl; a draft leaves its pins in."""
    load = options.load
    return load.case == "swatch" and scene.fabric.edges is None and not options.draft


def _forget(folder: Path) -> None:
    """Remove what an earlier preview left here: beside a failure it would look like this one's result."""
    for name in (*FILES, WORN, WASHED, BLOCKED, UNPINNED):
        (folder / name).unlink(missing_ok=True)
