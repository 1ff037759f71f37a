"""The plot of what varies holds every piece, the box says what it says, and nothing that differs still shows."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.patches import Rectangle

from fabricsim.render.plots.variation import VarianceShares, variation_figure
from tests.render.plots.spread import spread


def test_every_piece_is_in_the_histogram_and_the_line_is_where_written() -> None:
    value_k = np.random.default_rng(0).normal(5.0, 1.0, 200)
    axes = variation_figure([spread("narrower, per cent", value_k, 4.0)], None, "Trial").axes[0]
    bars = [one for one in axes.patches if isinstance(one, Rectangle)]
    assert sum(one.get_height() for one in bars) == 200
    assert min(one.get_x() for one in bars) == pytest.approx(value_k.min())
    assert any(np.allclose(line.get_xdata(), 4.0) for line in axes.lines)
    ends = {round(float(x), 9) for line in axes.lines for x in np.asarray(line.get_xdata())}
    shown = spread("narrower, per cent", value_k, 4.0).quantile_5
    assert {round(one, 9) for one in (shown[0], shown[2], shown[4])} < ends  # the box is a patch


def test_values_that_are_all_one_are_a_narrow_bar() -> None:
    axes = variation_figure([spread("pucker, mm", np.full(30, 1e-20), 0.0)], None, "Trial").axes[0]
    low, high = axes.get_xlim()
    assert -0.1 < low < high < 0.1


def test_a_bar_for_each_input_and_output_within_nought_and_a_hundred() -> None:
    percent = np.array([[80.0, -5.0], [110.0, 20.0]])
    bars = VarianceShares(["slack", "gauge"], ["draw-in", "pucker"], percent, np.full((2, 2), 3.0))
    figure = variation_figure([spread("pucker, mm", np.arange(9.0), 0.0)], bars, "Trial")
    axes = next(one for one in figure.axes if one.get_title(loc="left"))
    widths = sorted(one.get_width() for one in axes.patches if isinstance(one, Rectangle))
    assert widths == [0.0, 20.0, 80.0, 100.0]
    assert [tick.get_text() for tick in axes.get_yticklabels()] == ["slack", "gauge"]


def test_the_box_lies_over_the_bars_and_under_the_frame() -> None:
    value_k = np.random.default_rng(1).normal(5.0, 1.0, 100)
    axes = variation_figure([spread("narrower, per cent", value_k, 4.0)], None, "Trial").axes[0]
    highest = max(one.get_height() for one in axes.patches if isinstance(one, Rectangle))
    box = next(one for one in axes.patches if not isinstance(one, Rectangle)).get_path().get_extents()
    assert highest < box.y0 < box.y1 < axes.get_ylim()[1]
    assert (box.x0, box.x1) == pytest.approx(spread("", value_k, 4.0).quantile_5[1:4:2])
    assert axes.get_xlabel() == "narrower, per cent"
    assert axes.get_ylabel() == "pieces"


def test_what_is_drawn_is_told_below() -> None:
    figure = variation_figure([spread("pucker, mm", np.arange(9.0), 0.0)] * 2, None, "Trial")
    (legend,) = figure.legends
    assert sorted(one.get_text() for one in legend.get_texts()) == [
        "box: half of them", "every float alike", "line: nine in ten", "pieces",
    ]  # fmt: skip


def test_what_matters_is_listed_from_the_top_with_its_error() -> None:
    percent, error = np.array([[80.0, 5.0, 15.0]]), np.array([[30.0, 3.0, 1.0]])
    bars = VarianceShares(["slack", "gauge", "curl"], ["draw-in"], percent, error)
    figure = variation_figure([spread("pucker, mm", np.arange(9.0), 0.0)], bars, "Trial")
    axes = next(one for one in figure.axes if one.get_title(loc="left"))
    at = {text.get_text(): y for text, y in zip(axes.get_yticklabels(), axes.get_yticks(), strict=True)}
    assert at["slack"] > at["gauge"] > at["curl"]
    widths = {round(one.get_y() + 0.5 * one.get_height(), 6): one.get_width() for one in axes.patches}  # type: ignore[attr-defined]
    for name, wide in zip(bars.inputs, percent[0], strict=True):
        assert widths[round(float(at[name]), 6)] == wide
    (lines,) = (one for one in axes.collections if len(one.get_paths()) == 3)
    ends = [path.vertices[:, 0].tolist() for path in lines.get_paths()]
    assert ends == [[50.0, 100.0], [2.0, 8.0], [14.0, 16.0]]  # none beyond nought and a hundred
    assert axes.get_xlim() == (0.0, 100.0)
    assert axes.get_xlabel().startswith("per cent of the uncertainty")
    figure.draw_without_rendering()
    top = next(one for one in figure.axes if one.get_xlabel() == "pucker, mm").get_window_extent()
    assert top.width > 0.8 * figure.bbox.width
    assert top.y0 > axes.get_window_extent().y1
