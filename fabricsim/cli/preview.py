"""``fabricsim preview``: the forecast of draw-in and pucker, and the fabric's face and back."""

from __future__ import annotations

from pathlib import Path
from time import perf_counter
from typing import Annotated, Any, get_args

import typer

from fabricsim.cli.console import JsonOption, SceneArgument, open_scene
from fabricsim.cli.outputs import folder_for_outputs, write_bytes_atomically, write_text_atomically
from fabricsim.cli.page import Page
from fabricsim.cli.progress import Watch
from fabricsim.design.rules import checked_slack
from fabricsim.design.scene import Case, Scene
from fabricsim.errors import InputError, NoEquilibriumError

FILES = ("face.png", "back.png", "pucker.png", "widths.png", "summary.json")
"""What a preview leaves in its folder."""


def _slack(given: str) -> float:
    """Return the number in ``given``; raises ``InputError`` for what can't be a slack."""
    try:
        number = float(given)
    except ValueError:
        raise InputError("--slack", f"'{given}'", "a fraction above -1, at most 1", "-0.05 is 5 % too tight") from None
    return checked_slack(number, "--slack")


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
        float | None,
        typer.Option(parser=_slack, help="Slack of every float in place of the scene's: -0.05 is 5 % too tight."),
    ] = None,
    inside_out: Annotated[
        bool | None,
        typer.Option(
            "--inside-out/--no-inside-out",
            help="A tube knitted with its floats outside, which makes them longer; by default as the scene says.",
        ),
    ] = None,
    width: Annotated[
        int | None, typer.Option(min=200, max=4000, help="Width of face.png and back.png, pixels; 1200 by default.")
    ] = None,
    starts: Annotated[
        int | None,
        typer.Option(min=0, max=1000, help="Also let it come to rest from this many random shapes; none by default."),
    ] = None,
    draft: Annotated[bool, typer.Option("--draft", help="A fast look: coarse pictures, no likely range.")] = False,
    json: JsonOption = False,
) -> None:
    """Forecast draw-in and pucker of SCENE and draw it."""
    read = open_scene(scene)
    load = _case(case) or read.simulation.case
    if inside_out and load != "round":
        raise InputError("--inside-out", f"with the case '{load}'", "with the case 'round' only", "add --case round")
    asked = {
        "case": load,
        "slack": slack,
        "inside_out": inside_out,
        "draft": draft,
        "starts": starts or 0,
        "width_px": width,
    }
    with folder_for_outputs(out or Path("preview") / (scene.stem if scene is not None else "demo")) as folder:
        summary, lines = _make(read, asked, folder)
    if json:
        print(summary)
        return
    page = Page()
    for line in [*lines, "", f"Pictures and numbers are in {folder}: {', '.join(FILES)}"]:
        page.say(line)


def _make(scene: Scene, asked: dict[str, Any], folder: Path) -> tuple[str, list[str]]:
    """Forecast and draw, then leave all files in ``folder`` at once; return the numbers as JSON and the words."""
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    from fabricsim.cli.preview_json import to_json
    from fabricsim.cli.preview_pictures import pictures
    from fabricsim.cli.preview_words import words
    from fabricsim.design.floats import faults
    from fabricsim.study.forecast import forecast

    begun = perf_counter()
    with Watch() as watch:
        try:
            found = forecast(
                scene,
                asked["case"],
                slack=asked["slack"],
                inside_out=asked["inside_out"],
                band=not asked["draft"],
                starts=asked["starts"],
                stage=watch.stage,
            )
        except NoEquilibriumError:
            _forget(folder)
            raise
        solved = perf_counter() - begun
        made, drawn = pictures(found, asked["draft"], asked["width_px"], watch)
    over = faults(found.equilibrium.floats, scene.floats)
    summary = to_json(found, over, asked, {"solve_s": solved, **drawn})
    for name, data in made.items():
        write_bytes_atomically(folder / name, data)
    write_text_atomically(folder / "summary.json", summary)
    return summary, words(found, over)


def _case(given: str | None) -> Case | None:
    cases = get_args(Case)
    if given is None:
        return None
    for case in cases:
        if given.lower() == case:
            return case  # type: ignore[no-any-return]
    raise InputError("--case", f"'{given}'", ", ".join(cases), "name one of them")


def _forget(folder: Path) -> None:
    """Remove what an earlier preview left here: beside a failure it would look like this one's result."""
    for name in FILES:
        (folder / name).unlink(missing_ok=True)
