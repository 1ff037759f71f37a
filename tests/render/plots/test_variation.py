"""The plot of what varies holds every piece, the box says what it says, and nothing that differs still shows."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.patches import Rectangle

from fabricsim.render.plots.variation import Spreading, VarianceShares, variation_figure


def test_every_piece_is_in_the_histogram_and_the_line_is_where_written() -> None:
    value_k = np.random.default_rng(0).normal(5.0, 1.0, 200)
    axes = variation_figure([Spreading("narrower, per cent", value_k, 4.0)], None, "Trial").axes[0]
    bars = [one for one in axes.patches if isinstance(one, Rectangle)]
    assert sum(one.get_height() for one in bars) == 200
    assert min(one.get_x() for one in bars) == pytest.approx(value_k.min())
    assert any(np.allclose(line.get_xdata(), 4.0) for line in axes.lines)
    ends = {round(float(x), 6) for line in axes.lines for x in np.asarray(line.get_xdata())}
    for share in (0.05, 0.25, 0.5, 0.75, 0.95):
        nearest = min(abs(end - float(np.quantile(value_k, share))) for end in ends)
        assert nearest < 0.06 or share in (0.25, 0.75)  # whiskers end at a piece, the box is a patch


def test_values_that_are_all_one_are_a_narrow_bar() -> None:
    axes = variation_figure([Spreading("pucker, mm", np.full(30, 1e-20), 0.0)], None, "Trial").axes[0]
    low, high = axes.get_xlim()
    assert -0.1 < low < high < 0.1


def test_a_bar_for_each_input_and_output_within_nought_and_a_hundred() -> None:
    percent = np.array([[80.0, -5.0], [110.0, 20.0]])
    bars = VarianceShares(["slack", "gauge"], ["draw-in", "pucker"], percent, np.full((2, 2), 3.0))
    figure = variation_figure([Spreading("pucker, mm", np.arange(9.0), 0.0)], bars, "Trial")
    axes = next(one for one in figure.axes if one.get_title(loc="left"))
    widths = sorted(one.get_width() for one in axes.patches if isinstance(one, Rectangle))
    assert widths == [0.0, 20.0, 80.0, 100.0]
    assert [tick.get_text() for tick in axes.get_yticklabels()] == ["slack", "gauge"]
