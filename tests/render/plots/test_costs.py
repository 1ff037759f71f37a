"""What floats cost, as it is drawn on the chart."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.collections import LineCollection
from matplotlib.patches import Circle

from fabricsim.render.plots import costs
from fabricsim.render.plots.costs import BARS, COSTS, FREES, SQUARE, CostedFloat, CostsShown, costs_figure

SHOWN = CostsShown(
    yarn_ij=((0, 1, 0, 0), (1, 1, 0, 0)),
    colours=["#ffffff", "#222222"],
    floats=[CostedFloat(0, 0, 1, 0, 0.25), CostedFloat(0, 1, 3, 1, 0.75)],
    rows={0: 1.0},
    squares={(0, 2): (0.004, 1), (1, 0): (-0.001, 0)},
    word="round",
)


def test_floats_bars_and_discs_are_where_their_numbers_are() -> None:
    costly, bars, freeing = costs_figure(SHOWN, "Title").axes
    lines = next(one for one in costly.collections if isinstance(one, LineCollection))
    ends = sorted(tuple(np.ravel(one).tolist()) for one in lines.get_segments())
    third = pytest.approx(1 / 3)
    assert ends[1] == (0.5, third, 2.5, third)
    assert ends[0][:1] == (-2.5,)  # what runs past the edge comes back at the other
    assert ends[2][::2] == (1.5, 5.5)
    widths = np.asarray(lines.get_linewidths())
    assert widths.max() == pytest.approx(3.2)
    assert [bar.get_width() for bar in bars.patches] == [100.0]
    assert bars.get_box_aspect() == pytest.approx(2 / (BARS / SQUARE))  # as tall as the chart, BARS inches wide
    discs = {one.center: one for one in freeing.patches if isinstance(one, Circle)}
    assert set(discs) == {(2.5, 0.5), (0.5, 1.5)}
    assert discs[0.5, 1.5].radius == pytest.approx(0.5 * discs[2.5, 0.5].radius)
    assert discs[2.5, 0.5].get_facecolor() == pytest.approx(_rgba(FREES))
    assert discs[0.5, 1.5].get_edgecolor() == pytest.approx(_rgba(COSTS))
    assert discs[0.5, 1.5].get_facecolor()[3] == 0.0


def test_bars_are_no_narrower_than_a_stitch_of_a_small_chart(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(costs, "SQUARE", 1.2 * BARS)
    assert costs_figure(SHOWN, "Title").axes[1].get_box_aspect() == pytest.approx(2.0)


def _rgba(colour: str) -> tuple[float, ...]:
    return (*(part / 255.0 for part in bytes.fromhex(colour[1:])), 1.0)
