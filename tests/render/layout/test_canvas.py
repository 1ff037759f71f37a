"""A figure on which a pixel is a pixel: its foot holds a bar to scale and a scale of colours with its words."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.text import Text

from fabricsim.render.basics.scale import float_scale
from fabricsim.render.layout.canvas import FOOT, FOOT_MIDDLE, PART_WIDE, TICK, canvas


def place(text: Text) -> tuple[float, float]:
    x, y = text.get_position()
    return float(x), float(y)


@pytest.mark.parametrize("wide", [600, 1200])
def test_the_foot_holds_a_bar_as_long_as_it_says_and_the_colours_with_their_words(wide: int) -> None:
    per_px = 2e-4
    page, scale, unit = canvas(wide, 400, 100.0, per_px), float_scale(0.02), wide / 1200
    page.foot(scale)
    (axes,) = page.figure.axes
    y = FOOT_MIDDLE * unit
    lines = [np.column_stack([line.get_xdata(), line.get_ydata()]).astype(float) for line in axes.lines]
    rule, bar, *rest = lines
    assert rule[:, 1].tolist() == [FOOT * unit] * 2  # what stands above it is no foot
    assert rule[0, 0] == pytest.approx(wide - rule[1, 0])
    said = {text.get_text(): place(text) for text in axes.texts}
    centimetres = next(text for text in said if text.endswith(" cm"))
    assert (bar[1, 0] - bar[0, 0]) * per_px == pytest.approx(0.01 * float(centimetres.removesuffix(" cm")))
    assert bar[:, 1].tolist() == [y, y]
    assert [tick[:, 0].tolist() for tick in rest[:2]] == [[end, end] for end in bar[:, 0].tolist()]
    assert all(tick[:, 1].tolist() == pytest.approx([y - TICK * unit, y + TICK * unit]) for tick in rest[:2])
    assert said[centimetres] == (pytest.approx(bar[1, 0] + 14.0 * unit), y)
    (image,) = axes.images
    left, right, low, high = image.get_extent()
    assert right - left == pytest.approx(2.0 * PART_WIDE * unit)
    assert (bar[1, 0] < left, right < wide) == (True, True)
    assert 0.5 * (low + high) == pytest.approx(y)
    np.testing.assert_allclose(np.asarray(image.get_array())[0], np.asarray(scale.colours_k3) / 255.0)
    for (share, text), tick in zip(scale.ticks, rest[2:], strict=True):
        x = left + share * (right - left)
        assert tick[:, 0].tolist() == pytest.approx([x, x])
        assert tick[0, 1] == pytest.approx(low)
        assert tick[1, 1] < low  # below the colours, its number under it
        assert said[text][0] == pytest.approx(x)
        assert said[text][1] < tick[1, 1]
    for text, x in ((scale.ends[0], left), (scale.ends[1], right), (scale.label, 0.5 * (left + right))):
        if text:
            assert said[text] == (pytest.approx(x), pytest.approx(high + 12.0 * unit))


def test_lines_are_as_broad_and_letters_as_large_as_said_on_any_figure() -> None:
    for wide, dpi in ((1200, 100.0), (600, 200.0)):
        page = canvas(wide, 300, dpi, 1e-4)
        page.line([[0.0, 0.0], [10.0, 0.0]], 6.0)
        page.text(5.0, 5.0, "$a$ b", 30.0)
        page.bracket(10.0, 50.0, 20.0, dashed=True)
        (axes,) = page.figure.axes
        unit = wide / 1200
        assert axes.lines[0].get_linewidth() / 72.0 * dpi == pytest.approx(6.0 * unit)
        assert axes.texts[0].get_fontsize() / 72.0 * dpi == pytest.approx(30.0 * unit)
        assert axes.texts[0].get_text() == "$a$ b"
        assert not axes.texts[0].get_parse_math()
        assert [line.get_linestyle() for line in axes.lines[1:]] == ["--", "-", "-"]
        assert (page.figure.get_size_inches() * dpi).tolist() == pytest.approx([wide, 300])


def test_a_title_stands_at_the_top_and_a_line_under_it() -> None:
    page = canvas(1200, 500, 100.0, 1e-4)
    page.title("A title that is " + "long " * 60, "what it shows")
    title, under = page.figure.axes[0].texts
    assert title.get_text().startswith("A title that is long")
    assert len(title.get_text()) < 120  # as far as there is room
    assert place(title)[0] == place(under)[0] < 100.0
    assert 500 > place(title)[1] > place(under)[1] > 380
    assert title.get_fontsize() > under.get_fontsize()
    page.figure.draw_without_rendering()
    assert title.get_window_extent().x1 < 1200
