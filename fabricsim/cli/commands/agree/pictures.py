"""The piece of ``agree`` before and after: drawn, and as the width of its rows."""

from __future__ import annotations

from fabricsim.cli.commands.agree.words import AGREE_SAID, result_said
from fabricsim.cli.words.counts import row_word
from fabricsim.study.change.agreeing import Agreeing
from fabricsim.study.change.band_pieces import PieceTried


def _all_tried(found: Agreeing) -> list[tuple[str, PieceTried]]:
    """Return the piece as it is and as each way has it, with what each is called."""
    ways = [(f"way {number}, by {AGREE_SAID[way.kind]}", way.tried) for number, way in enumerate(found.ways, start=1)]
    return [("as it is, floats alike", found.now), *((said, tried) for said, tried in ways if tried is not None)]


def picture(found: Agreeing) -> bytes:
    """Return face and back of all of them as a PNG, at one scale."""
    from fabricsim.render.basics.files import page_png
    from fabricsim.render.handouts.multiples import Shown, multiples_page

    shown = [Shown(tried.forecast.equilibrium, said, result_said(tried)) for said, tried in _all_tried(found)]
    return page_png(multiples_page(shown, found.scene.title, columns=min(3, len(shown))))


def plots(found: Agreeing, suffix: str) -> bytes:
    """Return the width of every row of all of them as a file that ends in ``suffix``."""
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.plots.bands import BandShown, WidthLine, bands_figure

    widths = found.now.forecast.measures.widths
    scene, rows = found.scene, len(widths.width_i)
    shown = [scene.chart_row_of(row) for row in range(rows)]
    figure = bands_figure(
        [WidthLine(said, tried.forecast.measures.widths.width_i) for said, tried in _all_tried(found)],
        [
            BandShown(
                f"chart {band.first + 1} to {band.last + 1}", [row for row in range(rows) if band.holds(shown[row])]
            )
            for band in found.bands
        ],
        widths.plain,
        likely=None if found.likely is None else found.likely.width_i,
        row_word=row_word(scene),
        title=f"{scene.title}: width row by row",
    )
    return figures_as(suffix, [figure], scene.title)[0]
