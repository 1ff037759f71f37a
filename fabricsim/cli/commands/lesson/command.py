"""``fabricsim lesson``: one page for a class on why tight floats draw in, and how loosening cures it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from typing import Annotated, Any

import typer

from fabricsim.cli.shell.answer import JsonOption, print_json
from fabricsim.cli.shell.options import CaseOption, InsideOutOption, Load, SceneArgument, load_of, open_scene
from fabricsim.cli.shell.outputs import file_for_output, write_text_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import checked_slack
from fabricsim.errors import InputError, NoEquilibriumError

STEPS = (-0.10, -0.08, -0.06, -0.04, -0.02, 0.0, 0.05, 0.10, 0.20)
"""Slacks of the slider (chosen: close where the fabric changes; 5 to 10 % is the usual aim, 20 % hangs)."""
MOST_STEPS = 21
"""Most steps of a slider (chosen: a page of 10 MB)."""


@dataclass(frozen=True)
class Asked:
    """What a lesson is made of: its ``load`` case, its ``slacks``, where the page goes and whether one in 3-D too."""

    load: Load
    slacks: tuple[float, ...]
    out: Path
    solid: bool

    @property
    def solid_out(self) -> Path:
        """Where the page in 3-D goes."""
        return self.out.with_name(f"{self.out.stem}-3d.html")


def slacks_in(given: str) -> tuple[float, ...]:
    """Return the slacks in ``given``, a list with commas; raises ``InputError`` for what makes no slider."""
    allowed = f"2 to {MOST_STEPS} different slacks with commas between them, each above -1 and at most 1"
    example = "such as --steps -0.1,-0.05,0,0.1,0.2"
    slacks = []
    for word in given.split(","):
        try:
            slacks.append(float(word))
        except ValueError:
            raise InputError("--steps", f"'{word.strip()}'", allowed, example) from None
        checked_slack(slacks[-1], "--steps")
    if not 2 <= len(set(slacks)) <= MOST_STEPS:
        raise InputError("--steps", f"{len(set(slacks))} of them", allowed, example)
    return tuple(sorted(set(slacks)))


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
    solid: Annotated[
        bool, typer.Option("--3d/--no-3d", help="Also write a second page with the fabric in 3-D, by default.")
    ] = True,
    json: JsonOption = False,
) -> None:
    """Write a page that shows SCENE tight, right and loose, with a slider between."""
    read = open_scene(scene)
    load = load_of(read, case, None, inside_out)
    slacks = STEPS if steps is None else slacks_in(steps)
    _check_floats(read, load)
    page = out or Path("lesson") / f"{scene.stem if scene is not None else 'demo'}.html"
    asked = Asked(load, slacks, page, solid)
    with file_for_output(page):
        said = _make(read, asked)
    if json:
        print_json(said)
        return
    told = Page()
    for line in _summary(said):
        told.say(line)


def _check_floats(scene: Scene, load: Load) -> None:
    """Raise ``InputError`` for a scene without floats: it has nothing to teach."""
    from fabricsim.fabric.setup import case_floats

    if case_floats(scene, load.case):
        return
    raise InputError(
        scene.where("chart"),
        f"no floats in the case '{load.case}'",
        "a chart in which a yarn passes behind stitches, as its slack is what a lesson changes",
        "draw rows of two colours",
    )


def _make(scene: Scene, asked: Asked) -> dict[str, Any]:
    """Solve, draw and write; return what was made, for who reads JSON."""
    # The heavy parts load only now, once everything that can be wrong with the command has been said.
    from fabricsim.cli.commands.lesson.page import measured, page_of, solid_page_of
    from fabricsim.study.forecast.sweep import sweep

    begun = perf_counter()
    with Watch() as watch:
        found = sweep(scene, asked.load.case, asked.slacks, inside_out=asked.load.inside_out, stage=watch.stage)
        solved = perf_counter()
        if len(found.steps) < 2:
            raise NoEquilibriumError(f"only one step came to rest, and a slider needs two: {found.lost[0][1]}")
        solid = solid_page_of(found.steps[-1], asked.out.name, watch) if asked.solid else None
        page = page_of(found, asked.solid_out.name if asked.solid else None, watch)
    drawn = perf_counter()
    files = [(asked.out, page), *([(asked.solid_out, solid)] if solid is not None else [])]
    for path, text in reversed(files):
        write_text_atomically(path, text)
    written = perf_counter()
    return {
        "command": "lesson",
        "title": scene.title,
        "case": asked.load.case,
        "files": [{"path": str(path), "bytes": len(text.encode())} for path, text in files],
        "steps": [measured(step) for step in reversed(found.steps)],
        "no_rest": [{"slack_percent": 100.0 * slack, "because": why} for slack, why in found.lost],
        "seconds": {"solve_s": solved - begun, "draw_s": drawn - solved, "write_s": written - drawn},
    }


def _summary(said: dict[str, Any]) -> Sequence[str]:
    """Return what was made, in words."""
    page, *others = said["files"]
    lines = [
        f"{said['title']}: a lesson of {len(said['steps'])} steps is in {page['path']} ({_size(page['bytes'])}).",
        *(f"The fabric in 3-D is in {other['path']} ({_size(other['bytes'])})." for other in others),
        "Open it in any browser; it needs no network, and prints on two sheets.",
    ]
    lost = said["no_rest"]
    if lost:
        slacks = ", ".join(f"{one['slack_percent']:g} %" for one in lost)
        lines.append(f"No rest was found at a slack of {slacks}; the page says so.")
    return lines


def _size(size: int) -> str:
    return f"{size / 1e6:.1f} MB"
