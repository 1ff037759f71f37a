"""Draw-in and pucker against slack: ticks where something was worked out."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from fabricsim.render.plots.slack_curves import SlackCurve, curves_figure


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
