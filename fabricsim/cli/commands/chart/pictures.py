"""The chart on its sheets of A4."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fabricsim.cli.commands.chart.options import ChartOptions
from fabricsim.cli.commands.chart.words import sheet_of
from fabricsim.design.floats.on_paper import Charted
from fabricsim.design.scene.model import Scene
from fabricsim.render.basics.files import figures_as
from fabricsim.render.chart.layout import SheetLayout
from fabricsim.render.chart.sheet import chart_figures, chart_layout, in_grey


@dataclass(frozen=True)
class ChartDrawn:
    """A chart as ``files``, one or one a sheet, its ``layout``, and a ``note`` on its symbols, if there is any."""

    files: list[bytes]
    layout: SheetLayout
    note: str


def drawn(
    scene: Scene, chart: Charted, options: ChartOptions, suffix: str, sizes: Sequence[tuple[str, int]] = ()
) -> ChartDrawn:
    """Draw ``chart`` for files that end in ``suffix``; ``sizes``: the name and the stitches of each that ends in it."""
    sheet, note = sheet_of(scene, chart, square=options.square, marks=options.marks, sizes=sizes)
    sheet = in_grey(sheet) if options.grey else sheet
    layout = chart_layout(sheet, chart)
    return ChartDrawn(figures_as(suffix, chart_figures(sheet, chart, layout), scene.title), layout, note)
