"""One picture of a fabric at rest, as a file's bytes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import Ints
from fabricsim.cli.commands.draw.options import DPI, DrawOptions, Show
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.shell.usual import off_its_pins, usual_piece
from fabricsim.cli.words.counts import row_word
from fabricsim.cli.words.crowns import said_of_shape
from fabricsim.cli.words.fabric import in_a_title, row_said, titled
from fabricsim.cli.words.worn import goes_on, lies_on, where_on
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.form.wearing import Worn
from fabricsim.fabric.lying import Unpinned, as_seen
from fabricsim.fabric.shaped_measures import counts
from fabricsim.fabric.whole import is_whole
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
from fabricsim.study.washed.washing import as_worn
from fabricsim.study.worn.on_body import check_size
from fabricsim.study.worn.putting_on import PutOn, put_on

PAINTS: dict[Show, Callable[[YarnModel], tuple[Paint, ColourScale]]] = {"pull": tension_paint, "pucker": pucker_paint}
"""What yarn may be painted in beside its own colours."""


@dataclass(frozen=True)
class Drawing:
    """A picture: its file's bytes, its size in pixels, what it shows, for a close-up the (row, stitch) in its middle,
    how the piece lies off its pins, if it was to be seen so, and what is ``said`` of its shape."""

    data: bytes
    size_px: tuple[int, int]
    name: str
    at: tuple[int, int] | None = None
    loose: Unpinned | None = None
    said: tuple[str, ...] = ()


def drawing(scene: Scene, options: DrawOptions, suffix: str, watch: Watch) -> Drawing:
    """Bring ``scene`` to rest, as a preview does, and draw what was asked for; raises ``InputError``."""
    load = options.load
    if options.on is not None:
        check_size(scene, options.on, options.on_size)
    rest = usual_piece(scene, load, watch).equilibrium
    said, form, put = tuple(said_of_shape(rest)), None, None
    if options.on is not None:
        put, worn = _put_on(rest, options, watch)
        rest, form = worn.on.equilibrium, worn.form
    if options.view == "section":
        return replace(_section(rest, options, suffix, watch, _lies(put)), said=said)
    loose = off_its_pins(rest, watch) if options.lying else None
    made = _fabric(as_seen(rest, loose), options, watch, form, _lies(put, loose))
    return replace(made, loose=loose, said=said)


def _lies(put: PutOn | None, loose: Unpinned | None = None) -> str:
    """Return what a title says of how the piece lies."""
    if put is not None:
        return f", {lies_on(put)}" if put.washed else f" {lies_on(put)}"
    return "" if loose is None or loose.rest is None else " off its pins"


def _put_on(rest: Equilibrium, options: DrawOptions, watch: Watch) -> tuple[PutOn, Worn]:
    """Return it worn, and on what; raises ``InputError`` where it isn't, as a drawing of it off would mislead."""
    assert options.on is not None
    load = options.load
    off, knitted = as_worn(rest.scene, rest, load.slack, load.inside_out, lambda name: watch.stage(name, 0, 1))
    put = put_on(off, options.on, options.on_size, watch.stage, knitted=knitted)
    if put.worn is not None:
        return put, put.worn
    unit = row_word(rest.scene)
    why = put.why_not or ("where it hangs loose" if put.loose else f"where it doesn't go on ({goes_on(put, unit)})")
    raise InputError("--on", f"{where_on(put)}, {why}", "what it fits", "name another with --size, or leave --on out")


def _fabric(rest: Equilibrium, options: DrawOptions, watch: Watch, form: Form | None, lies: str) -> Drawing:
    """Draw the yarn, on the ``form`` that it is worn on unless its inside is to be seen or it is looked at closely;
    ``lies``: what its title says of how it lies."""
    focus, at = None, None
    if options.angle == "close-up":
        at = options.at or telling_stitch(rest)
        focus = Focus(_numbered(rest, *at), options.across)
    watch.drawing("yarns")
    size = Scale(options.size.width_px, options.size.metres_per_px)
    model, scale = build_yarns(rest, "draft" if options.draft else "full", focus, size), None
    if options.show != "yarn":
        paint, scale = PAINTS[options.show](model)
        model = model.painted(paint)
    if form is not None and options.side == "face" and focus is None:
        model = model.worn_on(form)
    watch.drawing(options.name.replace("-", " "))
    wide = options.size.width_px
    if wide is not None and not options.bare:
        wide = picture_width(wide)
    picture = draw_side(
        model,
        options.side,
        options.angle,
        width_px=wide,
        metres_per_px=options.size.metres_per_px,
        ground=options.ground,
    )
    image = picture.image
    if not options.bare and options.ground is not None:
        width_px, title = options.size.width_px, titled(rest, f"{options.side}{lies}")
        image = page(model, [picture], title=title, width_px=width_px, paper=options.ground, scale=scale)
    return Drawing(image_png(image, options.size.dpi), image.size, picture.name, at)


def _section(rest: Equilibrium, options: DrawOptions, suffix: str, watch: Watch, lies: str) -> Drawing:
    count_i, below = _counts(rest)
    row = telling_row(rest) if options.row is None else options.row - 1 + below
    if options.row is not None and not below <= row < len(count_i):
        allowed = f"{row_word(rest.scene)}s 1 to {len(count_i) - below} of this fabric"
        raise InputError("--row", f"{options.row}", allowed, "count from below")
    name = row_said(rest.scene, rest.mesh, row)
    watch.drawing("section")
    figure = section_figure(
        section_of(rest, row),
        width_px=options.size.width_px,
        metres_per_px=options.size.metres_per_px,
        dpi=options.size.dpi or DPI,
        title=titled(rest, f"section{lies}"),
        name=in_a_title(name),
    )
    wide, tall = (round(float(inches) * figure.dpi) for inches in figure.get_size_inches())
    check_room(wide, tall)
    data = figure_svg(figure) if suffix == ".svg" else figure_png(figure)
    return Drawing(data, (wide, tall), f"{name} seen edge on")


def telling_stitch(rest: Equilibrium) -> tuple[int, int]:
    """Return the (row, stitch), as charts count, behind which the float that pulls hardest has its middle.

    Of floats that don't pull the longest; without floats the stitch in the middle of the fabric.
    """
    mesh, table = rest.mesh, rest.mesh.floats
    count_i, below = _counts(rest)
    if len(table) == 0:
        row = len(count_i) // 2
        return row + 1 - below, int(count_i[row]) - int(count_i[row]) // 2
    which = int(np.lexsort((table.gap_f, np.round(rest.tension_f, 9)))[-1])
    left = int(table.node_f2[which, 0])
    steps = (int(table.gap_f[which]) + 1) // 2
    row, column = int(mesh.row_n[left]), int(mesh.column_n[left]) + steps
    turns, column = divmod(column, int(count_i[row]))
    row = max(0, row - (turns if mesh.case == "round" else 0))
    return row + 1 - below, max(1, int(count_i[row]) - column)


def _counts(rest: Equilibrium) -> tuple[Ints, int]:
    """Return the stitches of every row, and how many rows lie below the first that is numbered."""
    return counts(rest.mesh), piece_of(rest.scene).rows_below if is_whole(rest.mesh) else 0


def _numbered(rest: Equilibrium, row: int, stitch: int) -> int:
    """Return the number in the equilibrium of a stitch, counted as charts are; raises ``InputError``."""
    mesh, (count_i, below) = rest.mesh, _counts(rest)
    rows = len(count_i) - below
    there = int(count_i[row - 1 + below]) if 1 <= row <= rows else int(count_i.max())
    if not (1 <= row <= rows and 1 <= stitch <= there):
        raise InputError(
            "--at",
            f"{row},{stitch}",
            f"{row_word(rest.scene)}s 1 to {rows} and stitches 1 to {there} of this fabric",
            "count from the bottom right",
        )
    return int(np.nonzero((mesh.row_n == row - 1 + below) & (mesh.column_n == there - stitch))[0][0])
