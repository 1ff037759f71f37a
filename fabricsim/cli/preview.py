"""``fabricsim preview``: the forecast of draw-in and pucker, and the fabric's face and back."""

from __future__ import annotations

from pathlib import Path
from time import perf_counter
from typing import Annotated, get_args

import typer

from fabricsim.cli.console import JsonOption, SceneArgument, for_people, open_scene
from fabricsim.cli.outputs import prepare_folder, write_bytes_atomically, write_text_atomically
from fabricsim.cli.progress import Watch
from fabricsim.design.scene import Case
from fabricsim.errors import InputError, NoEquilibriumError

FILES = ("face.png", "back.png", "pucker.png", "widths.png", "summary.json")
"""What a preview leaves in its folder."""


def preview(
    scene: SceneArgument = None,
    case: Annotated[
        str | None,
        typer.Option(help="repeat (endless), swatch (flat on a table) or round (a tube); by default the scene's own."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder for pictures and numbers; by default preview/ and the scene's name.")
    ] = None,
    slack: Annotated[
        float | None, typer.Option(help="Slack of every float in place of the scene's: -0.05 is 5 % too tight.")
    ] = None,
    inside_out: Annotated[bool, typer.Option("--inside-out", help="Worked with the floats outside (round).")] = False,
    width: Annotated[
        int | None, typer.Option(min=200, max=4000, help="Width of face.png and back.png, pixels; 1200 by default.")
    ] = None,
    draft: Annotated[bool, typer.Option("--draft", help="A fast look: coarse pictures, no band.")] = False,
    json: JsonOption = False,
) -> None:
    """Forecast draw-in and pucker of SCENE and draw it."""
    read = open_scene(scene)
    load = _case(case)
    folder = prepare_folder(out or Path("preview") / (scene.stem if scene is not None else "demo"))
    # The heavy parts load only now, once everything that can be wrong with the words has been said.
    from fabricsim.cli.preview_json import to_json
    from fabricsim.cli.preview_pictures import pictures
    from fabricsim.cli.preview_words import words
    from fabricsim.design.floats import faults
    from fabricsim.fabric.forecast import forecast
    from fabricsim.fabric.setup import case_floats

    begun = perf_counter()
    with Watch() as watch:
        try:
            found = forecast(read, load, slack=slack, inside_out=inside_out or None, band=not draft, stage=watch.stage)
        except NoEquilibriumError:
            _forget(folder)
            raise
        solved = perf_counter() - begun
        over = faults(case_floats(read, found.equilibrium.mesh.case, slack), read.floats)
        made, drawn = pictures(found, draft, width, watch)
    seconds = {"solve_s": solved, **drawn}
    summary = to_json(found, over, seconds)
    for name, data in made.items():
        write_bytes_atomically(folder / name, data)
    write_text_atomically(folder / "summary.json", summary)
    if json:
        print(summary)
        return
    console = for_people()
    for line in words(found, over):
        console.print(line, soft_wrap=True)
    console.print(f"\nPictures and numbers are in {folder}: {', '.join(FILES)}", soft_wrap=True)


def _case(given: str | None) -> Case | None:
    cases = get_args(Case)
    if given is None:
        return None
    for case in cases:
        if given == case:
            return case  # type: ignore[no-any-return]
    raise InputError("--case", f"'{given}'", ", ".join(cases), "name one of them")


def _forget(folder: Path) -> None:
    """Remove what an earlier preview left here: beside a failure it would look like this one's result."""
    for name in FILES:
        (folder / name).unlink(missing_ok=True)
