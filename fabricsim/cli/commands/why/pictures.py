"""The picture of ``why``: the chart with what its floats cost and its squares would free."""

from __future__ import annotations

from fabricsim.cli.words.counts import row_word
from fabricsim.study.change.costs import Costs


def picture(found: Costs, suffix: str) -> bytes:
    """Return it as a file that ends in ``suffix``."""
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.plots.costs import CostedFloat, CostsShown, costs_figure

    scene, told = found.scene, found.told
    best: dict[tuple[int, int], tuple[float, int]] = {}
    for (square, yarn), one in found.squares.items():
        if square not in best or one.lost < best[square][0]:
            best[square] = (one.lost, yarn)
    shown = CostsShown(
        yarn_ij=scene.chart_rows(),
        colours=[yarn.colour for yarn in scene.yarns],
        floats=[
            CostedFloat(row, column, gap, yarn, cost / told if told > 0.0 else 0.0)
            for (row, column, gap, yarn), cost in found.floats.items()
        ],
        rows={row: cost / told if told > 0.0 else 0.0 for row, cost in found.rows.items()},
        squares={square: (-lost, yarn) for square, (lost, yarn) in best.items()},
        word=row_word(scene),
    )
    return figures_as(suffix, [costs_figure(shown, f"{scene.title}: what costs the width")], scene.title)[0]
