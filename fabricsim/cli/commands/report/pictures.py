"""The pictures of a report."""

from __future__ import annotations

from fabricsim.cli.commands.chart.words import sheet_of
from fabricsim.cli.commands.preview.pictures import pucker_plot, widths_plot
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.fabric import in_a_title, row_said, titled
from fabricsim.cli.words.measures import PARTS, breadth
from fabricsim.design.catches.plan import CatchPlan
from fabricsim.design.floats.on_paper import charted_repeat
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import fine, fine_unit, long
from fabricsim.render import build_yarns, draw_side, page
from fabricsim.render.basics.files import figure_image
from fabricsim.render.chart import swatches
from fabricsim.render.chart.back_map import catch_map
from fabricsim.render.chart.schematic import SchematicPart, schematic_figure
from fabricsim.render.chart.sheet import chart_figures, chart_layout
from fabricsim.render.handouts.report import CSS_DPI, Figure, fitted, readable
from fabricsim.render.layout.sheet import picture_width
from fabricsim.render.section.figure import section_figure
from fabricsim.render.section.geometry import section_of, telling_row
from fabricsim.render.trace.float_colours import tension_paint
from fabricsim.study.forecast.forecast import Forecast

WIDTH_PX = 1000
"""Width of a picture of the fabric, pixels (chosen: half a page at 300 dpi)."""


def of_fabric(found: Forecast, draft: bool, watch: Watch) -> tuple[Figure, ...]:
    """Return the fabric from both sides, its floats in the colours of their pull, a row edge on, and its maps."""
    rest = found.equilibrium
    title = rest.scene.title
    watch.drawing("yarns")
    model = build_yarns(rest, "draft" if draft else "full")
    made = []
    for side in ("face", "back"):
        watch.drawing(side)
        picture = draw_side(model, side, width_px=picture_width(WIDTH_PX))
        sheet = page(model, [picture], title=titled(rest, side), width_px=WIDTH_PX)
        made.append(Figure(fitted(sheet), picture.name.capitalize(), f"{title}: {picture.name}"))
    if len(rest.floats):
        watch.drawing("pull")
        paint, scale = tension_paint(model)
        picture = draw_side(model.painted(paint), "back", width_px=picture_width(WIDTH_PX))
        sheet = page(model, [picture], title=titled(rest, "pull"), width_px=WIDTH_PX, scale=scale)
        said = "Back, floats in the colours of how hard they pull"
        made.append(Figure(fitted(sheet), said, f"{title}: {said.lower()}"))
        row = telling_row(rest)
        name = in_a_title(row_said(rest.scene, rest.mesh, row))
        figure = section_figure(
            section_of(rest, row), width_px=WIDTH_PX, dpi=150.0, title=titled(rest, "section"), name=name
        )
        said = f"{name} seen edge on, with its floats"
        made.append(Figure(fitted(figure_image(figure)), said, f"{title}: {said.lower()}"))
    watch.drawing("pucker map and width profile")
    pucker = found.measures.pucker.peak_to_valley
    made.append(
        Figure(
            fitted(figure_image(pucker_plot(found))),
            f"Heights off the smooth base, {fine_unit()}",
            f"{title}: map of its pucker, {fine(pucker)} from peak to valley",
        )
    )
    loss = 100.0 * found.measures.widths.narrowest
    made.append(
        Figure(
            fitted(figure_image(widths_plot(found))),
            f"Width {row_word(rest.scene)} by {row_word(rest.scene)}",
            f"{title}: width of every {row_word(rest.scene)}, at most {loss:.1f} per cent lost",
        )
    )
    return tuple(made)


def charted(scene: Scene) -> tuple[Figure, ...]:
    """Return the sheets of the chart of one repeat."""
    chart = charted_repeat(scene)
    sheet, _ = sheet_of(scene, chart, square=False, marks=False)
    layout = chart_layout(sheet, chart)
    figures = chart_figures(sheet, chart, layout, to_scale=False)
    rows, stitches = len(chart.yarn_ij), len(chart.yarn_ij[0])
    side = min(layout.wide, layout.tall)
    shown = [readable(figure_image(figure), side, figure.dpi) for figure in figures]
    said = f"{scene.title}: chart of {count(stitches, 'stitch')} and {count(rows, row_word(scene))}, in words below"
    return tuple(
        Figure(
            image,
            "One repeat" + (f", sheet {number} of {len(shown)}" if len(shown) > 1 else ""),
            said,
            wide,
            from_right=True,
        )
        for number, (image, wide) in enumerate(shown, start=1)
    )


def in_other_eyes(scene: Scene) -> Figure:
    """Return the chart in grey and as the colour-blind see it."""
    said = "In colour, in grey, and to three kinds of colour-blind eyes"
    return Figure(fitted(figure_image(swatches.in_other_eyes(scene))), said, f"{scene.title}: {said.lower()}")


def back_map(scene: Scene, plan: CatchPlan) -> Figure:
    """Return the map of the back with its catches."""
    said = "The back of the chart with its floats and catches, mirrored as you see it"
    figure = catch_map(scene, plan)
    wide = round(figure.get_figwidth() * CSS_DPI)  # as large as in print, so that its words can be read
    return Figure(figure_image(figure), said, f"{scene.title}: {said.lower()}, told above", wide)


def schematic(piece: WholePiece) -> Figure:
    """Return the piece lying flat with its measures."""
    flat = 0.5 if piece.is_tube else 1.0
    stitch = piece.finished / max(1, piece.stitches - piece.taken_in)

    def lies(stitches: int) -> float:
        return flat * stitch * max(1, stitches - piece.taken_in)

    parts = [
        SchematicPart(
            PARTS[one.kind] if one.kind != "adjusting" else "",  # a round or two, told in words
            sum(1 for _ in one.rows) * piece.scene.gauge.row_height,
            lies(one.rows[0].after if one.kind in ("rib", "adjusting") else one.rows[0].before),
            lies(one.rows[-1].after),
        )
        for one in piece.sections
    ]
    across = f"{long(piece.finished)} {breadth(piece)}" + (
        f", {long(flat * piece.finished)} lying flat" if piece.is_tube else ""
    )
    ends, above = parts[-1].top / flat, ""
    if piece.end != "draw together" and abs(ends - piece.finished) >= stitch:
        above = f"{long(ends)} {breadth(piece)}"
    told = ", ".join(f"{one.name} {long(one.height)}" for one in parts if one.name)
    drawn = figure_image(schematic_figure(parts, across, above))
    said = f"{piece.scene.title}: {across}; {told}" + (f"; {above} at its end" if above else "")
    return Figure(fitted(drawn), "The piece and its measures", said)
