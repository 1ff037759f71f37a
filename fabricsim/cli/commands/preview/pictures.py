"""The pictures of a preview, as PNG bytes."""

from __future__ import annotations

from time import perf_counter

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import row_word
from fabricsim.cli.words.fabric import titled
from fabricsim.cli.words.washed import OVER_WORDS
from fabricsim.cli.words.worn import lies_on
from fabricsim.design.piece.making import piece_of
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.lying import Unpinned
from fabricsim.fabric.measures import Widths
from fabricsim.fabric.mesh import LEFT, RIGHT
from fabricsim.fabric.shaped_measures import counts, tallness
from fabricsim.fabric.whole import is_whole
from fabricsim.lengths import long
from fabricsim.render import build_yarns, draw_side, page
from fabricsim.render.basics.files import Plot, figure_png, page_png
from fabricsim.render.basics.options import Angle, Quality, Side
from fabricsim.render.layout.sheet import picture_width
from fabricsim.render.plots.shape import pucker_map, width_profile
from fabricsim.render.plots.washed_rows import washed_rows
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.washed.washing import Washed
from fabricsim.study.worn.putting_on import PutOn

WIDTH_PX: dict[Quality, int] = {"full": 1200, "draft": 700}
"""Width of the pictures of face and back, pixels (chosen)."""


def pictures(
    forecast: Forecast,
    draft: bool,
    width_px: int | None,
    watch: Watch,
    put: PutOn | None = None,
    wash: Washed | None = None,
    loose: Unpinned | None = None,
) -> tuple[dict[str, bytes], dict[str, float]]:
    """Return the pictures by file name, and the seconds that each part of the drawing took."""
    quality: Quality = "draft" if draft else "full"
    wide = width_px or WIDTH_PX[quality]
    watch.drawing("yarns")
    model = build_yarns(forecast.equilibrium, quality)
    made: dict[str, bytes] = {}
    seconds = {"build_s": model.timings.build, "bake_s": model.timings.bake}
    sides: tuple[Side, ...] = ("face", "back")
    for side in sides:
        watch.drawing(side)
        picture = draw_side(model, side, width_px=picture_width(wide))
        seconds[f"trace_{side}_s"] = picture.timings.trace
        made[f"{side}.png"] = page_png(page(model, [picture], title=titled(forecast.equilibrium, side), width_px=wide))
    if put is not None and put.worn is not None:
        watch.drawing("worn")
        title = titled(forecast.equilibrium, lies_on(put))
        made["worn.png"] = _on_form(put.worn.on.equilibrium, put.worn.form, title, quality, wide)
    if loose is not None and loose.rest is not None:
        watch.drawing("off its pins")
        title = f"{forecast.equilibrium.scene.title}: off its pins, its edges curl"
        made["unpinned.png"] = _on_form(loose.rest, None, title, quality, wide, "three-quarter")
    block = None if wash is None else wash.blocked
    if block is not None and block.rest is not None:
        watch.drawing("blocked")
        title = titled(forecast.equilibrium, f"pinned to {long(block.pinned)}{OVER_WORDS[block.over]}")
        made["blocked.png"] = _on_form(block.rest, block.form, title, quality, wide)
    watch.drawing("pucker map and width profile")
    begun = perf_counter()
    made["pucker.png"] = figure_png(pucker_plot(forecast))
    made["widths.png"] = figure_png(widths_plot(forecast))
    if wash is not None:
        made["washed.png"] = figure_png(washed_plot(forecast, wash))
    return made, {**seconds, "plots_s": perf_counter() - begun}


def _on_form(
    rest: Equilibrium, form: Form | None, title: str, quality: Quality, wide: int, angle: Angle = "straight"
) -> bytes:
    """Return the face of a fabric, on the form that it lies on if it is on one."""
    model = build_yarns(rest, quality)
    if form is not None:
        model = model.worn_on(form)
    picture = draw_side(model, "face", angle, width_px=picture_width(wide))
    return page_png(page(model, [picture], title=title, width_px=wide))


def pucker_plot(forecast: Forecast) -> Plot:
    """Return the map of how far the forecast fabric lies off its smooth base."""
    equilibrium, measures = forecast.equilibrium, forecast.measures
    mesh = equilibrium.mesh
    place_nc, neighbour_n4 = laid_out(equilibrium, measures.widths)
    return pucker_map(
        place_nc,
        neighbour_n4,
        measures.pucker.height_n[: len(place_nc)],
        period_a=equilibrium.period_a,
        shift_n42=mesh.shift_n42,
        title=f"{equilibrium.scene.title}: pucker",
    )


def washed_plot(forecast: Forecast, wash: Washed) -> Plot:
    """Return the width of every row before and after the wash, as far as it can follow, and on its pins."""
    unit, below = _rows_below(forecast.equilibrium)
    return washed_rows(
        wash.before.widths.width_i,
        wash.measured.widths.width_i,
        wash.following.plain_i,
        wash.following.widest_i,
        pinned_r=None if wash.blocked is None or wash.blocked.rest is None else wash.blocked.width_i,
        title=f"{forecast.equilibrium.scene.title}: washed",
        row_word=unit,
        first_row=1 - below,
    )


def _rows_below(equilibrium: Equilibrium) -> tuple[str, int]:
    """Return what rows are called on an axis, and how many lie below the first that is numbered."""
    unit = row_word(equilibrium.scene)
    below = piece_of(equilibrium.scene).rows_below if is_whole(equilibrium.mesh) else 0
    return (f"{unit} (rib: 0 and less)" if below else unit), below


def widths_plot(forecast: Forecast) -> Plot:
    """Return the width of every row, with its likely range."""
    widths = forecast.measures.widths
    low_i, high_i = forecast.width_range() if forecast.pieces else (None, None)
    unit, below = _rows_below(forecast.equilibrium)
    return width_profile(
        widths.width_i,
        widths.plain_i,
        low_r=low_i,
        high_r=high_i,
        title=f"{forecast.equilibrium.scene.title}: width by {row_word(forecast.equilibrium.scene)}",
        row_word=unit,
        first_row=1 - below,
    )


def laid_out(equilibrium: Equilibrium, widths: Widths) -> tuple[Floats, Ints]:
    """Return where the stitches lie as laid flat, (n, 2) float, m, and who is then next to whom, (n, 4) int.

    A tube is cut open at its join and unrolled row by row; the node of a drawn-up top is left out.
    """
    mesh = equilibrium.mesh
    if mesh.case != "round":
        return equilibrium.x_nc[:, :2], mesh.neighbour_n4
    if is_whole(mesh):
        return _unrolled(equilibrium, widths)
    share_n = (mesh.column_n + 0.5) / mesh.stitches - 0.5
    neighbour_n4 = mesh.neighbour_n4.copy()
    neighbour_n4[mesh.column_n == 0, LEFT] = neighbour_n4[mesh.column_n == mesh.stitches - 1, RIGHT] = -1
    return np.column_stack([widths.width_i[mesh.row_n] * share_n, equilibrium.x_nc[:, 1]]), neighbour_n4


def _unrolled(equilibrium: Equilibrium, widths: Widths) -> tuple[Floats, Ints]:
    """Return the same of a whole tube: each round as wide as it is, as far above the one below as its legs are long."""
    mesh = equilibrium.mesh
    count_i = counts(mesh)
    kept = mesh.row_n < len(count_i)
    row_n, column_n, neighbour_n4 = mesh.row_n[kept], mesh.column_n[kept], mesh.neighbour_n4[kept].copy()
    count_n = count_i[row_n]
    up_i = np.concatenate([[0.0], np.cumsum(tallness(mesh, equilibrium.x_nc))])
    neighbour_n4[neighbour_n4 >= len(row_n)] = -1
    neighbour_n4[column_n == 0, LEFT] = neighbour_n4[column_n == count_n - 1, RIGHT] = -1
    across_n = widths.width_i[row_n] * ((column_n + 0.5) / count_n - 0.5)
    return np.column_stack([across_n, up_i[row_n]]), neighbour_n4
