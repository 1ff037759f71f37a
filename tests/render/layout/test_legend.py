"""A scale of colours at the foot of a page, pixel by pixel, from colours of our own."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from fabricsim.render.basics.palette import GREY, INK, PAPER, rgb
from fabricsim.render.basics.scale import ColourScale
from fabricsim.render.layout.legend import (
    BAR_HIGH,
    BAR_MIDDLE,
    BAR_WIDE,
    OTHERS_BELOW,
    OVERHANG,
    TICKS_BELOW,
    paste_scale,
    scale_height,
)

RED, GREEN, BLUE = (250.0, 0.0, 0.0), (0.0, 250.4, 0.0), (0.0, 0.0, 249.6)
TICKS = ((0.0, "0"), (0.5, "5"), (1.0, "10"))
SCALE = ColourScale("Pull", ("none", "hard"), TICKS, np.array([RED, GREEN, BLUE]))
OTHERS = ColourScale("Pull", ("", ""), (), np.array([RED]), (("loops", (9, 150, 9)), ("plain", (150, 9, 150))))


def pasted(scale: ColourScale, unit: float = 1.0, right: float = 1160.0, top: float = 20.0) -> np.ndarray:
    sheet = Image.new("RGB", (round(1200 * unit), round(220 * unit)), PAPER)
    paste_scale(sheet, scale, right * unit, top * unit, unit)
    return np.asarray(sheet).astype(int)


def box(shown: np.ndarray, colour: tuple[float, ...], near: int = 0) -> tuple[int, int, int, int]:
    rows, columns = np.nonzero(np.abs(shown - np.rint(colour)).max(axis=2) <= near)
    return int(columns.min()), int(columns.max()) + 1, int(rows.min()), int(rows.max()) + 1


@pytest.mark.parametrize("unit", [1.0, 0.5, 1.7])
def test_the_bar_has_its_colours_in_equal_parts(unit: float) -> None:
    shown = pasted(SCALE, unit)
    wide, high = round(BAR_WIDE * unit), round(BAR_HIGH * unit)
    left = round((1160.0 - OVERHANG) * unit) - wide
    for part, colour in enumerate((RED, GREEN, BLUE)):
        begin, end, top, bottom = box(shown, colour)
        assert begin == pytest.approx(left + part * wide / 3, abs=1)
        assert end == pytest.approx(left + (part + 1) * wide / 3, abs=1)
        assert bottom - top == high
        assert 0.5 * (top + bottom) == pytest.approx((20.0 + BAR_MIDDLE) * unit, abs=1.0)


def letters(shown: np.ndarray, colour: str, columns: slice, rows: slice) -> tuple[int, int]:
    """Return from where to where letters of a colour reach, px."""
    there = (np.abs(shown[rows, columns] - rgb(colour)).max(axis=2) <= 40).any(axis=0)
    found = np.flatnonzero(there)
    assert len(found), (colour, columns, rows)
    return int(found[0]) + (columns.start or 0), int(found[-1]) + 1 + (columns.start or 0)


def test_what_the_ends_and_the_ticks_mean_stands_above_and_below_them() -> None:
    shown = pasted(SCALE)
    left, right, above, below = 1160 - 34 - 560, 1160 - 34, 20 + 64 - 12, 20 + 64 + 12
    over = slice(above - 30, above - 4)
    assert letters(shown, INK, slice(left - 40, left + 200), over)[0] == pytest.approx(left, abs=3)
    assert letters(shown, INK, slice(right - 200, right + 40), over)[1] == pytest.approx(right, abs=3)
    middle = letters(shown, INK, slice(left + 200, right - 200), over)
    assert sum(middle) / 2 == pytest.approx(0.5 * (left + right), abs=3)
    under = slice(below + 8, below + 30)
    for place, _ in TICKS:
        x = left + place * 559
        found = letters(shown, GREY, slice(max(0, round(x) - 40), round(x) + 40), under)
        assert sum(found) / 2 == pytest.approx(x, abs=3)
        tick = shown[below : below + 5, int(x)]
        assert (np.abs(tick - rgb(GREY)).max(axis=1) <= 2).mean() > 0.7
    assert (shown[: above - 32] == PAPER).all()


def test_other_colours_stand_flush_right_each_before_its_word() -> None:
    shown = pasted(OTHERS)
    middle = round(20 + BAR_MIDDLE + TICKS_BELOW + 8)
    last, first = box(shown, (150, 9, 150)), box(shown, (9, 150, 9))
    for one in (last, first):
        assert one[1] - one[0] == 33  # PIL counts both ends
        assert 0.5 * (one[2] + one[3]) == pytest.approx(middle, abs=1)
        assert one[3] - one[2] == 19
    rows = slice(middle - 12, middle + 12)
    said = letters(shown, INK, slice(last[1], 1200), rows)
    assert said[0] - last[1] == pytest.approx(12, abs=3)
    assert said[1] == pytest.approx(1160, abs=3)
    other = letters(shown, INK, slice(first[1], last[0]), rows)
    assert other[0] - first[1] == pytest.approx(12, abs=3)
    assert last[0] - other[1] == pytest.approx(28, abs=3)


def test_a_foot_is_as_high_as_what_is_in_it() -> None:
    assert scale_height(SCALE) == BAR_MIDDLE + TICKS_BELOW
    assert scale_height(OTHERS) == BAR_MIDDLE + TICKS_BELOW + OTHERS_BELOW
    for scale in (SCALE, OTHERS):
        shown = pasted(scale)
        assert (shown[round(20 + scale_height(scale)) :] == PAPER).all()
