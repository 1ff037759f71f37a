"""``fabricsim sheet``: a handout on one sheet of A4, tight beside right beside loose."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabricsim.cli.shell.options import (
    CaseOption,
    InsideOutOption,
    Load,
    SceneArgument,
    load_of,
    open_scene,
    slack_option,
)
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError

TIGHT, RIGHT, LOOSE = -0.08, 0.10, 0.30
"""Slacks of the three fabrics (chosen: clearly too short; the middle of the usual aim; clearly baggy)."""
NAMES = ("Tight", "Right", "Loose")
SUFFIXES = (".pdf", ".png")


def sheet(
    scene: SceneArgument = None,
    tight: Annotated[float, slack_option("--tight", "Slack of the tight fabric.")] = TIGHT,
    right: Annotated[float, slack_option("--right", "Slack of the right one.")] = RIGHT,
    loose: Annotated[float, slack_option("--loose", "Slack of the loose one.")] = LOOSE,
    case: CaseOption = None,
    inside_out: InsideOutOption = None,
    draft: Annotated[bool, typer.Option("--draft", help="A fast look: coarse yarn.")] = False,
    out: Annotated[
        Path | None, typer.Option(help="File that ends in .pdf or .png; by default sheets/ and the scene's name.")
    ] = None,
) -> None:
    """Make a handout of SCENE on one sheet of A4."""
    read = open_scene(scene)
    load = load_of(read, case, None, inside_out)
    if not tight < right < loose:
        raise InputError(
            "--tight, --right, --loose",
            f"{tight:g}, {right:g}, {loose:g}",
            "three slacks that rise",
            f"such as {TIGHT:g}, {RIGHT:g} and {LOOSE:g}",
        )
    target = out or Path("sheets") / f"{scene.stem if scene is not None else 'demo'}.pdf"
    suffix = suffix_of(target, SUFFIXES)
    with file_for_output(target) as file, Watch() as watch:
        write_bytes_atomically(file, _make(read, load, (tight, right, loose), suffix, draft, watch))
    Page().say(f"The handout is in {file}: one page of A4, to be printed at 100 %.")


def _make(
    scene: Scene, load: Load, slacks: tuple[float, float, float], suffix: str, draft: bool, watch: Watch
) -> bytes:
    from fabricsim.cli.commands.sheet import words
    from fabricsim.design.floats.found import faults
    from fabricsim.render import build_yarns, draw_side
    from fabricsim.render.basics.files import figure_pdf, figure_png
    from fabricsim.render.basics.options import Side
    from fabricsim.render.basics.palette import WHITE
    from fabricsim.render.handouts.handout import Column, Handout, common_scale, handout_figure
    from fabricsim.study.forecast.sweep import sweep

    steps = sweep(scene, load.case, slacks, inside_out=load.inside_out, stage=watch.stage).steps[::-1]
    mesh = steps[0].rest.mesh
    if len(mesh.floats) == 0:
        given = f"{scene.source or scene.title}, a fabric without floats"
        raise InputError("SCENE", given, "a chart with two yarns in a row", "there is nothing to hand out")
    handout = Handout(
        title=scene.title,
        about=words.about(scene, mesh),
        columns=tuple(
            Column(words.heading(NAMES[slacks.index(step.slack)], step.slack), words.figures(step), words.verdict(step))
            for step in steps
        ),
        ways_title="Floats that come out right",
        ways=words.ways(scene, mesh.floats, faults(steps[0].rest.floats, scene.limits)),
        foot=words.foot(),
    )
    watch.drawing("yarns")
    models = [build_yarns(step.rest, "draft" if draft else "full") for step in steps]
    sides: tuple[Side, ...] = ("face", "back")
    metres_per_px = common_scale(handout, models, sides)
    pictures = []
    for side in sides:
        watch.drawing(side)
        pictures.append([draw_side(model, side, metres_per_px=metres_per_px, ground=WHITE) for model in models])
    figure = handout_figure(handout, pictures)
    return figure_pdf(figure, scene.title) if suffix == ".pdf" else figure_png(figure)
