"""Draw-in and pucker against slack as they are plotted: a gap where there was no rest, no two lines alike."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg

from fabricsim.render.plots.slack_curves import COLOURS, LEGEND_LINE, TALL, WIDE, SlackCurve, curves_figure

SLACK = (-10.0, -5.0, 0.0)
ONE = SlackCurve("repeat", SLACK, (8.0, None, 0.0), (4.0, None, 0.2))


def values(axes: Axes, line: int = 0) -> list[float]:
    return [float(y) for y in np.ravel(axes.lines[line].get_ydata())]


def test_every_point_is_where_its_numbers_are_and_no_rest_is_a_gap() -> None:
    figure = curves_figure([ONE], "Two hats", "slack")
    left, right = figure.axes
    for axes, first, last in ((left, 8.0, 0.0), (right, 4.0, 0.2)):
        assert [float(x) for x in np.ravel(axes.lines[0].get_xdata())] == list(SLACK)
        made = values(axes)
        assert (made[0], made[2]) == (first, last)
        assert math.isnan(made[1])
        assert axes.get_xlabel() == "slack, % (tight to loose)"
    assert left.get_title(loc="left") == "Draw-in, % of the width"
    assert right.get_title(loc="left") == "Pucker, mm from peak to valley"
    assert left.get_ylim() == pytest.approx((0.0, 8.4))
    assert right.get_ylim() == pytest.approx((0.0, 4.2))
    assert figure.get_suptitle() == "Two hats"


def test_what_is_flat_looks_flat_and_what_widens_is_shown() -> None:
    flat = curves_figure([SlackCurve("", SLACK, (0.01, 0.0, 0.0), (0.1, 0.0, 0.0))], "t", "slack")
    assert [axes.get_ylim() for axes in flat.axes] == [pytest.approx((0.0, 1.05))] * 2
    wider = curves_figure([SlackCurve("", SLACK, (3.0, -2.0, 0.0), (0.1, 0.0, 0.0))], "t", "slack")
    assert wider.axes[0].get_ylim() == pytest.approx((-2.1, 3.15))


def test_lines_are_told_apart_and_listed() -> None:
    many = [SlackCurve(f"setting {number}", SLACK, (1.0, 2.0, 3.0), (1.0, 1.0, 1.0)) for number in range(9)]
    figure = curves_figure(many, "t", "slack")
    looks = {(line.get_color(), line.get_marker(), str(line.get_linestyle())) for line in figure.axes[0].lines}
    assert len(looks) == 9
    assert [line.get_color() for line in figure.axes[0].lines] == [*COLOURS, *COLOURS[:3]]
    thick = [line.get_linewidth() for line in figure.axes[0].lines]
    size = [line.get_markersize() for line in figure.axes[0].lines]
    assert thick == sorted(thick, reverse=True)
    assert size == sorted(size, reverse=True)
    assert min(thick) >= 1.0
    assert min(size) >= 3.5
    (legend,) = figure.legends
    assert [text.get_text() for text in legend.get_texts()] == [one.label for one in many]
    assert figure.get_size_inches() == pytest.approx((WIDE, TALL + 5 * LEGEND_LINE))  # two columns
    long = curves_figure([SlackCurve("x" * 65, SLACK, (1, 2, 3), (1, 1, 1)), ONE], "t", "slack")
    assert long.get_size_inches() == pytest.approx((WIDE, TALL + 2 * LEGEND_LINE))
    unnamed = curves_figure([SlackCurve("", SLACK, (1, 2, 3), (1, 1, 1))], "t", "slack")
    assert unnamed.get_size_inches() == pytest.approx((WIDE, TALL))
    assert not unnamed.legends


@pytest.mark.parametrize(
    "slacks", [[-10.0, -6.0, -3.0, 0.0, 5.0], [-10.0, 5.0], list(range(-10, 11)), [0.0, 0.1, 0.2, 10.0], [3.0]]
)
def test_every_tick_is_a_setting_and_their_numbers_stand_apart(slacks: list[float]) -> None:
    curve = SlackCurve("a", slacks, [1.0] * len(slacks), [None] * len(slacks))
    figure = curves_figure([curve], "title", "Slack")
    FigureCanvasAgg(figure).draw()
    for axes in figure.axes:
        low, high = axes.get_xlim()
        ticks = [one for one in axes.get_xticks() if low <= one <= high]
        assert set(np.round(ticks, 9)) <= set(np.round(slacks, 9)) or len(slacks) == 1
        labels = [text for text in axes.get_xticklabels() if text.get_text()]
        boxes = [text.get_window_extent() for text in labels]
        assert all(one.x1 < other.x0 for one, other in pairwise(boxes))
    if len(slacks) == 5:
        assert [text.get_text() for text in labels] == ["−10", "−6", "−3", "0", "5"]
