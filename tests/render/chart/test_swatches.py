"""The chart in other eyes, from a chart and colours of our own: five panels, each in its colours, each with its key."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.patches import Rectangle

from fabricsim.render.basics.eyes import grey, seen
from fabricsim.render.chart.swatches import BETWEEN, FEWEST, MARGIN, PANEL, PANELS, TALL, swatches
from fabricsim.units import MM_PER_INCH
from tests.render.written import assert_tidy, word

CHART = ((0, 0, 2), (2, 0, 0))
RGB = ((240, 230, 220), (1, 2, 3), (40, 90, 60))
NAMES = ("milk", "never there", "moss")


def test_five_panels_each_in_the_colours_of_its_eyes() -> None:
    figure = swatches("Hat band", CHART, RGB, NAMES, 0.8)
    plain = np.asarray(RGB, dtype=float)
    wanted = [plain, grey(plain), *(seen(plain, eye) for eye in ("protan", "deutan", "tritan"))]  # type: ignore[arg-type]
    assert len(figure.axes) == 5
    wide, tall = figure.get_size_inches() * MM_PER_INCH
    assert wide == pytest.approx(2 * MARGIN + 5 * PANEL + 4 * BETWEEN)
    for number, (axes, rgb_y3) in enumerate(zip(figure.axes, wanted, strict=True)):
        (image,) = axes.images
        shown = np.asarray(image.get_array())
        assert shown.shape[1] == FEWEST
        assert image.origin == "lower"
        for row in range(shown.shape[0]):
            for column in range(FEWEST):
                assert shown[row, column] == pytest.approx(rgb_y3[CHART[row % 2][column % 3]] / 255.0)
        place = axes.get_position()
        assert place.x0 * wide == pytest.approx(MARGIN + number * (PANEL + BETWEEN))
        assert place.width * wide == pytest.approx(PANEL)
        assert place.height * tall / shown.shape[0] == pytest.approx(0.8 * PANEL / FEWEST)  # as a stitch is
        assert TALL[0] <= place.height * tall < TALL[0] + 2 * 0.8 * PANEL / FEWEST
        assert (1.0 - place.y1) * tall == pytest.approx(25.0)


def test_every_panel_is_named_and_has_a_key_of_the_yarns_in_use() -> None:
    figure = swatches("Hat band", CHART, RGB, NAMES, 0.8)
    words = assert_tidy(figure, 3.0)
    assert "never there" not in " ".join(one.text for one in words)
    assert word(words, "Hat band").left == pytest.approx(MARGIN, abs=0.5)
    assert word(words, "Simulated after").left == pytest.approx(MARGIN, abs=0.5)
    tall = figure.get_size_inches()[1] * MM_PER_INCH
    for number, (name, also) in enumerate(PANELS):
        left = MARGIN + number * (PANEL + BETWEEN)
        for text in (name, also):
            assert word(words, text).left == pytest.approx(left, abs=0.5)
        assert word(words, name).bottom < word(words, also).bottom < 25.0
    for yarn in ("milk", "moss"):
        lefts = [one.left for one in words if one.text == yarn]
        assert lefts == pytest.approx([MARGIN + k * (PANEL + BETWEEN) + 12.0 for k in range(5)], abs=0.5)
    plain = np.asarray(RGB, dtype=float)
    patches = [one for one in figure.get_children() if isinstance(one, Rectangle) and one is not figure.patch]
    keys = [(patch.get_x(), patch.get_y(), patch.get_height() * tall, patch.get_facecolor()) for patch in patches]
    assert len(keys) == 10
    in_grey = np.rint(grey(plain)) / 255.0
    assert keys[0][3][:3] == pytest.approx(tuple(plain[0] / 255.0))
    assert keys[3][3][:3] == pytest.approx(tuple(in_grey[2]))
    for _, low, high, _ in keys:
        base = tall * (1.0 - low)
        beside = min((one for one in words if one.text in ("milk", "moss")), key=lambda one: abs(one.bottom - base))
        assert base - high < beside.bottom < base + 0.6


def test_a_tall_chart_is_drawn_narrower() -> None:
    figure = swatches("Tall", ((0,) * 24,) * 100, RGB, NAMES, 0.8)
    wide, tall = figure.get_size_inches() * MM_PER_INCH
    place = figure.axes[0].get_position()
    assert place.height * tall == pytest.approx(TALL[1])
    assert place.width * wide == pytest.approx(PANEL * TALL[1] / (100 * 0.8 * PANEL / 24))


def test_a_long_name_ends_before_the_next_panel() -> None:
    names = ("milk of a " + "very " * 20 + "white sheep", "never there", "moss")
    figure = swatches("Hat band", CHART, RGB, names, 0.8)
    words = assert_tidy(figure, 3.0)
    lefts = [MARGIN + k * (PANEL + BETWEEN) for k in range(5)]
    called = [one for one in words if one.text.startswith("milk of a")]
    assert len(called) == 5
    for left, one in zip(lefts, called, strict=True):
        assert one.right <= left + PANEL + 0.5
