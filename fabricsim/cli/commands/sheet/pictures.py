"""A handout of three fabrics, as a file."""

from __future__ import annotations

from fabricsim.cli.commands.sheet import words
from fabricsim.cli.commands.sheet.options import SheetOptions
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.floats.faults import faults
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.fabric.carried import whole_floats
from fabricsim.render import build_yarns, draw_side
from fabricsim.render.basics.files import figure_pdf, figure_png
from fabricsim.render.basics.options import Side
from fabricsim.render.basics.palette import WHITE
from fabricsim.render.handouts.handout import Column, Handout, common_scale, handout_figure
from fabricsim.study.forecast.sweep import sweep

NAMES = ("Tight", "Right", "Loose")


def handout(scene: Scene, options: SheetOptions, suffix: str, watch: Watch) -> bytes:
    """Bring ``scene`` to rest at the three slacks, draw it and return a file that ends in ``suffix``.

    Raises ``InputError`` for a fabric without floats.
    """
    load, slacks = options.load, options.slacks
    steps = sweep(scene, load.case, slacks, inside_out=load.inside_out, stage=watch.stage).steps[::-1]
    mesh = steps[0].rest.mesh
    if len(mesh.floats) == 0:
        given = f"{scene.source or scene.title}, a fabric without floats"
        raise InputError("SCENE", given, "a chart with two yarns in a row", "there is nothing to hand out")
    said = Handout(
        title=scene.title,
        about=words.about(scene, mesh),
        columns=tuple(
            Column(words.heading(NAMES[slacks.index(step.slack)], step.slack), words.figures(step), words.verdict(step))
            for step in steps
        ),
        ways_title="Floats that come out right",
        ways=words.ways(scene, mesh.floats, faults(whole_floats(scene, load.case), scene.limits)),
        foot=words.foot(),
    )
    watch.drawing("yarns")
    models = [build_yarns(step.rest, "draft" if options.draft else "full") for step in steps]
    sides: tuple[Side, ...] = ("face", "back")
    metres_per_px = common_scale(said, models, sides)
    pictures = []
    for side in sides:
        watch.drawing(side)
        pictures.append([draw_side(model, side, metres_per_px=metres_per_px, ground=WHITE) for model in models])
    figure = handout_figure(said, pictures)
    return figure_pdf(figure, scene.title) if suffix == ".pdf" else figure_png(figure)
