"""A handout as it is laid out, from pictures that nobody drew: tidy, aligned, at one scale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from fabricsim.render.handouts.handout import (
    GUTTER,
    LEAST,
    MARGIN,
    ROOM,
    SHEET,
    SMALL_LINE,
    Column,
    Handout,
    column_width,
    common_scale,
    handout_figure,
)
from fabricsim.render.layout.paper import DPI
from fabricsim.render.trace.model import Timings
from fabricsim.render.trace.views import Picture
from fabricsim.units import INCH, MM, MM_PER_INCH
from tests.render.fabrics import MOTIF, fabric
from tests.render.looking import unlit
from tests.render.written import assert_tidy, lines_on, word

LONG = "words enough for several lines of a column as narrow as these are, and then some more"
SAID = Handout(
    title="Hat band",
    about="The same chart at three slacks",
    columns=tuple(
        Column(name, (("Width", f"{name} wide"), ("Pull", f"{name}: {LONG}")), f"{name} does {LONG}")
        for name in ("Tight", "Right", "Loose")
    ),
    ways_title="How to do it",
    ways=(f"First way {LONG * 3}", "Second way"),
    foot=("First foot", "Second foot"),
)
SIZE = 500, 300
METRES_PER_PX = 0.5 * INCH / DPI
"""Twice life size."""


def picture(name: str, shade: int, size: tuple[int, int] = SIZE, metres_per_px: float = METRES_PER_PX) -> Picture:
    return Picture(Image.new("RGB", size, (shade,) * 3), metres_per_px, name, name, Timings(0.0, 0.0))


PICTURES = [[picture(name, 40 * (3 * row + k + 1)) for k in range(3)] for row, name in enumerate(("face", "back"))]


def test_columns_share_the_room_between_the_margins() -> None:
    assert column_width(1) == ROOM == SHEET[0] - 2 * MARGIN
    assert 3 * column_width(3) + 2 * GUTTER == pytest.approx(ROOM)


def test_everything_is_said_and_nothing_stands_on_anything_else() -> None:
    figure = handout_figure(SAID, PICTURES)
    words = assert_tidy(figure, MARGIN - 3.0)
    texts = " ".join(one.text for one in words)
    for part in (SAID.title, SAID.about, SAID.ways_title, *SAID.ways, *SAID.foot, "1.", "2.", "face", "back"):
        assert part in texts, part
    wide = column_width(3)
    for k, column in enumerate(SAID.columns):
        left = MARGIN + k * (wide + GUTTER)
        heading = next(one for one in words if one.text == column.heading)
        assert heading.left == pytest.approx(left, abs=0.6)
        labels = [one for one in words if one.text in ("Width", "Pull") and abs(one.left - left) < 0.5]
        value = word(words, f"{column.heading} wide")
        assert len(labels) == 2
        assert value.left == pytest.approx(left + 14.0, abs=0.6)  # beside its label
        assert value.bottom == pytest.approx(labels[0].bottom, abs=0.6)
        does = word(words, f"{column.heading} does")
        assert does.left == pytest.approx(left, abs=0.6)
        assert does.top > max(label.bottom for label in labels)
        mine = [one for one in words if left - 0.5 <= one.left < left + wide and labels[0].top < one.top < does.bottom]
        assert all(one.right <= left + wide + 0.5 for one in mine)
    title, about = word(words, SAID.title), word(words, SAID.about)
    assert title.top < title.bottom < about.top + 0.4
    assert title.left == pytest.approx(about.left, abs=0.6) == pytest.approx(MARGIN, abs=0.6)


def test_pictures_stand_in_their_columns_dot_on_dot_each_side_in_a_row() -> None:
    figure = handout_figure(SAID, PICTURES)
    words = assert_tidy(figure, MARGIN - 3.0)
    wide, high = (size * MM_PER_INCH / DPI for size in SIZE)
    boxes = [axes.get_position() for axes in figure.axes]
    assert len(boxes) == 6
    for number, box in enumerate(boxes):
        row, k = divmod(number, 3)
        middle = MARGIN + k * (column_width(3) + GUTTER) + 0.5 * column_width(3)
        assert 0.5 * (box.x0 + box.x1) * SHEET[0] == pytest.approx(middle)
        assert (box.width * SHEET[0], box.height * SHEET[1]) == pytest.approx((wide, high))
        assert (np.asarray(figure.axes[number].images[0].get_array()) == 40 * (number + 1)).all()
        top, bottom = (1.0 - box.y1) * SHEET[1], (1.0 - box.y0) * SHEET[1]
        name = word(words, ("face", "back")[row])
        assert bottom < name.top < bottom + 2.5  # right under its picture
        heading = next(one for one in words if one.text == "Tight")
        assert heading.bottom < top + 0.4 if row == 0 else name.top > word(words, "face").bottom
    taller = [[replace(one, image=Image.new("RGB", (500, 200 + 100 * k))) for k, one in enumerate(PICTURES[0])]]
    tops = {round((1.0 - axes.get_position().y1) * SHEET[1], 3) for axes in handout_figure(SAID, taller).axes}
    assert len(tops) == 3  # all in the middle of the tallest's room
    middles = {
        round(0.5 * (axes.get_position().y0 + axes.get_position().y1), 6) for axes in handout_figure(SAID, taller).axes
    }
    assert len(middles) == 1


@pytest.mark.parametrize(
    ("share", "said", "length_mm"),
    [(1.0, "life size", 20.0), (0.5, "50 % of life size", 25.0), (0.26, "26 % of life size", 26.0)],
)
def test_the_bar_is_as_long_as_it_says(share: float, said: str, length_mm: float) -> None:
    one = [[picture("face", 100, metres_per_px=INCH / DPI / share)] * 3]
    figure = handout_figure(SAID, one)
    text = next(one for one in assert_tidy(figure, MARGIN - 3.0) if "the same in all pictures" in one.text)
    centimetres = float(text.text.split(" cm")[0])
    assert centimetres * 10.0 * share == pytest.approx(length_mm)
    assert text.text == f"{centimetres:g} cm, the same in all pictures (printed at 100 %: {said})"
    bar, *ticks = (line for line in lines_on(figure) if abs(0.5 * (line[2] + line[3]) - text.bottom + 1.0) < 1.5)
    assert (bar[0], bar[1] - bar[0]) == pytest.approx((MARGIN, length_mm))
    assert [tick[0] for tick in ticks] == pytest.approx([bar[0], bar[1]])
    assert {round(tick[3] - tick[2], 3) for tick in ticks} == {2.8}
    assert bar[1] < text.left < bar[1] + 4.0


def test_all_pictures_are_as_large_as_their_room_at_most_as_in_the_hand() -> None:
    small, large = (unlit(fabric(MOTIF, "swatch", across=n)) for n in (1, 3))
    wide = float(np.ptp(large.equilibrium.x_nc[:, 0]))
    both = common_scale(SAID, [small, large], ["face", "back"])
    alone = common_scale(SAID, [small], ["face"])
    assert alone == pytest.approx(1.001 * INCH / DPI)  # as large as in the hand
    per_mm = both * DPI / MM_PER_INCH
    assert wide / per_mm < column_width(2) < 1.25 * wide / per_mm
    assert common_scale(SAID, [large], ["face"]) < both
    wordy = replace(SAID, ways=SAID.ways * 4)
    tall = unlit(fabric(MOTIF, "swatch", up=6))
    assert common_scale(wordy, [tall], ["face"]) > 1.3 * common_scale(SAID, [tall], ["face"])
    assert common_scale(SAID, [tall], ["face", "back"]) > 1.8 * common_scale(SAID, [tall], ["face"])


def test_pictures_keep_some_room_however_much_is_said() -> None:
    tall = unlit(fabric(MOTIF, "swatch", up=12))
    flooded = replace(SAID, ways=SAID.ways * 100)
    high = float(np.ptp(tall.equilibrium.x_nc[:, 1]))
    drawn_mm = high / (common_scale(flooded, [tall], ["face"]) * DPI / INCH) / MM
    assert drawn_mm < LEAST < 1.3 * drawn_mm


def test_lines_of_the_foot_stand_close_under_each_other() -> None:
    words = assert_tidy(handout_figure(SAID, PICTURES), MARGIN - 3.0)
    first, second = (word(words, foot) for foot in SAID.foot)
    assert second.bottom - first.bottom == pytest.approx(SMALL_LINE + 0.5, abs=0.2)
