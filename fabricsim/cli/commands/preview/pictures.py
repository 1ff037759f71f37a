"""The four pictures of a preview, as PNG bytes."""

from __future__ import annotations

from time import perf_counter

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import row_word
from fabricsim.cli.words.fabric import titled
from fabricsim.design.piece.making import piece_of
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Widths
from fabricsim.fabric.mesh import LEFT, RIGHT
from fabricsim.fabric.shaped_measures import counts, tallness
from fabricsim.fabric.whole import is_whole
from fabricsim.render import build_yarns, draw_side, page
from fabricsim.render.basics.files import Plot, figure_png, page_png
from fabricsim.render.basics.options import Quality, Side
from fabricsim.render.layout.sheet import picture_width
from fabricsim.render.plots.shape import pucker_map, width_profile
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.worn.putting_on import PutOn

WIDTH_PX: dict[Quality, int] = {"full": 1200, "draft": 700}
"""Width of the pictures of face and back, pixels (chosen)."""


def pictures(
    forecast: Forecast, draft: bool, width_px: int | None, watch: Watch, put: PutOn | None = None
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
        worn = build_yarns(put.worn.on.equilibrium, quality).worn_on(put.worn.form)
        picture = draw_side(worn, "face", width_px=picture_width(wide))
        title = titled(forecast.equilibrium, f"on {put.seat.form.name}")
        made["worn.png"] = page_png(page(worn, [picture], title=title, width_px=wide))
    watch.drawing("pucker map and width profile")
    begun = perf_counter()
    made["pucker.png"] = figure_png(pucker_plot(forecast))
    made["widths.png"] = figure_png(widths_plot(forecast))
    return made, {**seconds, "plots_s": perf_counter() - begun}


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


def widths_plot(forecast: Forecast) -> Plot:
    """Return the width of every row, with its likely range."""
    widths = forecast.measures.widths
    unit = row_word(forecast.equilibrium.scene)
    low_i, high_i = forecast.width_range() if forecast.pieces else (None, None)
    equilibrium = forecast.equilibrium
    whole = is_whole(equilibrium.mesh)
    below = piece_of(equilibrium.scene).rows_below if whole else 0
    return width_profile(
        widths.width_i,
        widths.plain_i,
        low_r=low_i,
        high_r=high_i,
        title=f"{forecast.equilibrium.scene.title}: width by {unit}",
        row_word=f"{unit} (rib: 0 and less)" if below else unit,
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
