"""One picture of a fabric at rest, as a file's bytes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fabricsim.cli.commands.draw.asked import DPI, Ask, Show
from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import row_word
from fabricsim.cli.words.fabric import titled
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import Mesh
from fabricsim.render import build_yarns, draw_side, page
from fabricsim.render.basics.files import figure_png, figure_svg, image_png
from fabricsim.render.basics.memory import check_room
from fabricsim.render.basics.scale import ColourScale
from fabricsim.render.layout.sheet import picture_width
from fabricsim.render.section.figure import section_figure
from fabricsim.render.section.geometry import section_of, telling_row
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.float_colours import pucker_paint, tension_paint
from fabricsim.render.trace.model import Focus, YarnModel
from fabricsim.render.trace.paint import Paint
from fabricsim.study.forecast.forecast import forecast

PAINTS: dict[Show, Callable[[YarnModel], tuple[Paint, ColourScale]]] = {"pull": tension_paint, "pucker": pucker_paint}
"""What yarn may be painted in beside its own colours."""


@dataclass(frozen=True)
class Made:
    """A picture: its file's bytes, its size in pixels, what it shows, and for a close-up the (row, stitch) in its
    middle."""

    data: bytes
    size_px: tuple[int, int]
    name: str
    at: tuple[int, int] | None = None


def make(scene: Scene, load: Load, ask: Ask, suffix: str, watch: Watch) -> Made:
    """Bring ``scene`` to rest, as a preview does, and draw what was asked for; raises ``InputError``."""
    rest = forecast(
        scene, load.case, slack=load.slack, inside_out=load.inside_out, band=False, stage=watch.stage
    ).equilibrium
    return _section(rest, ask, suffix, watch) if ask.view == "section" else _fabric(rest, ask, watch)


def _fabric(rest: Equilibrium, ask: Ask, watch: Watch) -> Made:
    focus, at = None, None
    if ask.angle == "close-up":
        at = ask.at or telling_stitch(rest)
        focus = Focus(_numbered(rest, *at), ask.across)
    watch.drawing("yarns")
    size = Scale(ask.size.width_px, ask.size.metres_per_px)
    model, scale = build_yarns(rest, "draft" if ask.draft else "full", focus, size), None
    if ask.show != "yarn":
        paint, scale = PAINTS[ask.show](model)
        model = model.painted(paint)
    watch.drawing(ask.name.replace("-", " "))
    wide = ask.size.width_px
    if wide is not None and not ask.bare:
        wide = picture_width(wide)
    picture = draw_side(
        model, ask.side, ask.angle, width_px=wide, metres_per_px=ask.size.metres_per_px, ground=ask.ground
    )
    image = picture.image
    if not ask.bare and ask.ground is not None:
        width_px, title = ask.size.width_px, titled(rest, ask.side)
        image = page(model, [picture], title=title, width_px=width_px, paper=ask.ground, scale=scale)
    return Made(image_png(image, ask.size.dpi), image.size, picture.name, at)


def _section(rest: Equilibrium, ask: Ask, suffix: str, watch: Watch) -> Made:
    row = telling_row(rest) if ask.row is None else ask.row - 1
    unit = row_word(rest.scene)
    if not 0 <= row < rest.mesh.rows:
        allowed = f"{unit}s 1 to {rest.mesh.rows} of this fabric"
        raise InputError("--row", f"{row + 1}", allowed, "count from below")
    watch.drawing("section")
    figure = section_figure(
        section_of(rest, row),
        width_px=ask.size.width_px,
        metres_per_px=ask.size.metres_per_px,
        dpi=ask.size.dpi or DPI,
        title=titled(rest, "section"),
    )
    wide, tall = (round(float(inches) * figure.dpi) for inches in figure.get_size_inches())
    check_room(wide, tall)
    data = figure_svg(figure) if suffix == ".svg" else figure_png(figure)
    return Made(data, (wide, tall), f"{unit} {row + 1} seen edge on")


def telling_stitch(rest: Equilibrium) -> tuple[int, int]:
    """Return the (row, stitch), as charts count, behind which the float that pulls hardest has its middle.

    Of floats that don't pull the longest; without floats the stitch in the middle of the fabric.
    """
    mesh, table = rest.mesh, rest.mesh.floats
    if len(table) == 0:
        return _counted(mesh, mesh.rows // 2, mesh.stitches // 2)
    which = int(np.lexsort((table.gap_f, np.round(rest.tension_f, 9)))[-1])
    left = int(table.node_f2[which, 0])
    steps = (int(table.gap_f[which]) + 1) // 2
    column = int(mesh.column_n[left]) + steps
    turns, column = divmod(column, mesh.stitches)
    row = int(mesh.row_n[left]) - (turns if mesh.case == "round" else 0)
    return _counted(mesh, max(0, row), column)


def _counted(mesh: Mesh, row: int, column: int) -> tuple[int, int]:
    return row + 1, mesh.stitches - column


def _numbered(rest: Equilibrium, row: int, stitch: int) -> int:
    """Return the number in the equilibrium of a stitch, counted as charts are; raises ``InputError``."""
    mesh = rest.mesh
    if not (1 <= row <= mesh.rows and 1 <= stitch <= mesh.stitches):
        raise InputError(
            "--at",
            f"{row},{stitch}",
            f"{row_word(rest.scene)}s 1 to {mesh.rows} and stitches 1 to {mesh.stitches} of this fabric",
            "count from the bottom right",
        )
    return int(np.nonzero((mesh.row_n == row - 1) & (mesh.column_n == mesh.stitches - stitch))[0][0])
