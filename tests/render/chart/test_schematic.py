"""The schematic: parts at one scale, one on the other, and every measure beside them."""

from __future__ import annotations

import pytest
from matplotlib.patches import Polygon

from fabricsim.render.chart.schematic import SchematicPart, schematic_figure


def test_parts_lie_one_on_the_other_at_one_scale_with_their_measures() -> None:
    parts = [SchematicPart("rib", 0.04, 0.20, 0.20), SchematicPart("crown", 0.08, 0.24, 0.03)]
    figure = schematic_figure(parts, "48.0 cm round")
    (axes,) = figure.axes
    outlines = [patch.get_xy()[:4] for patch in axes.patches if isinstance(patch, Polygon)]
    assert [(one[:, 1].min(), one[:, 1].max()) for one in outlines] == [(0.0, 4.0), (4.0, 12.0)]
    foot, top = outlines[1][:2], outlines[1][2:]
    assert foot[1][0] - foot[0][0] == pytest.approx(24.0)
    assert top[0][0] - top[1][0] == pytest.approx(3.0)
    assert axes.get_aspect() == 1.0
    assert [text.get_text() for text in axes.texts if text.get_text()] == [
        "rib 4.0 cm",
        "crown 8.0 cm",
        "12.0 cm",
        "48.0 cm round",
    ]


def test_what_ends_wider_or_narrower_says_so_above_its_top() -> None:
    figure = schematic_figure([SchematicPart("chart", 0.20, 0.10, 0.15)], "20.0 cm round", "30.0 cm round")
    (axes,) = figure.axes
    top = next(text for text in axes.texts if text.get_text() == "30.0 cm round")
    assert 20.0 < top.get_position()[1] < axes.get_ylim()[1]
    assert top.get_window_extent().y1 <= figure.bbox.y1
