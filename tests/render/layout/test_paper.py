"""A sheet of paper on which mm are mm: read off the figure, and off its pixels."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.path import Path
from PIL import Image

from fabricsim.render.basics.files import figure_image
from fabricsim.render.basics.palette import GREY, INK, rgb
from fabricsim.render.layout.paper import A4, DPI, LINE, POINT, Paper, blank
from fabricsim.units import MM_PER_INCH
from tests.render.written import lines_on, word, words_on

SIZE = (60.0, 40.0)


def sheet() -> Paper:
    return Paper(blank(SIZE), SIZE)


def inked(paper: Paper, colour: tuple[int, int, int]) -> tuple[float, float, float, float]:
    """Return left, right, top, bottom in mm of all that has a colour, as printed."""
    assert paper.figure is not None
    shown = np.asarray(figure_image(paper.figure)).astype(int)
    rows, columns = np.nonzero(np.abs(shown - colour).max(axis=2) <= 60)
    per_mm = DPI / MM_PER_INCH
    return tuple(float(value) / per_mm for value in (columns.min(), columns.max() + 1, rows.min(), rows.max() + 1))  # type: ignore[return-value]


def test_a_sheet_is_as_large_as_it_says_and_white() -> None:
    figure = blank(A4)
    assert figure.get_size_inches() == pytest.approx([210.0 / 25.4, 297.0 / 25.4])
    assert figure.dpi == DPI
    assert figure.get_facecolor()[:3] == (1.0, 1.0, 1.0)
    assert pytest.approx(25.4) == POINT * 72.0


def test_words_stand_on_their_base_line_by_their_left_right_or_middle() -> None:
    paper = sheet()
    for side, left in (("left", 10.0), ("right", 30.0), ("middle", 40.0)):
        paper.write(left, {"left": 10.0, "right": 20.0, "middle": 30.0}[side], f"NHH{side[0].upper()}", 12.0, side=side)
    assert paper.figure is not None
    words = words_on(paper.figure)
    assert word(words, "NHHL").left == pytest.approx(10.0, abs=0.3)
    assert word(words, "NHHR").right == pytest.approx(30.0, abs=0.3)
    middle = word(words, "NHHM")
    assert 0.5 * (middle.left + middle.right) == pytest.approx(40.0, abs=0.3)
    assert [round(text.get_position()[1] * 40.0, 6) for text in paper.figure.texts] == [30.0, 20.0, 10.0]
    plain, title = sheet(), sheet()
    plain.write(5.0, 10.0, "A $x$ title", 9.0, GREY)
    title.write(5.0, 10.0, "A $x$ title", 9.0, title=True)
    assert plain.figure is not None
    assert title.figure is not None
    assert plain.figure.texts[0].get_color() == GREY
    assert title.figure.texts[0].get_color() == INK
    assert plain.figure.texts[0].get_text() == "A $x$ title"
    assert not plain.figure.texts[0].get_parse_math()
    assert plain.figure.texts[0].get_fontfamily() != title.figure.texts[0].get_fontfamily()


def test_lines_of_words_are_no_wider_than_their_room_and_what_comes_below_is_told() -> None:
    paper, text = sheet(), "words enough for several lines of this narrow room"
    below = paper.lines(10.0, 5.0, text, 9.0, 20.0)
    assert paper.figure is not None
    words = words_on(paper.figure)
    assert len(words) > 2
    assert below == pytest.approx(5.0 + len(words) * LINE)
    assert all(one.right <= 30.3 for one in words)
    assert " ".join(one.text for one in words) == text
    assert np.diff([one.bottom for one in words]) == pytest.approx(LINE, abs=0.9)
    assert Paper(None, SIZE).lines(10.0, 5.0, text, 9.0, 20.0) == below
    assert paper.lines(10.0, 20.0, "one", 9.0, 20.0, step=7.0) == 27.0


def test_rectangles_lines_rings_and_outlines_are_where_they_should_be() -> None:
    paper = sheet()
    paper.fill(10.0, 5.0, 20.0, 8.0, (1.0, 0.0, 0.0))
    assert inked(paper, (255, 0, 0)) == pytest.approx((10.0, 30.0, 5.0, 13.0), abs=0.2)
    paper.line((40.0, 10.0), (50.0, 30.0), "#0000ff", 2.0)
    assert lines_on(paper.figure) == [pytest.approx((40.0, 50.0, 10.0, 30.0))]  # type: ignore[arg-type]
    assert inked(paper, (0, 0, 255)) == pytest.approx((40.0, 50.0, 10.0, 30.0), abs=0.6)
    ring = sheet()
    ring.ring(30.0, 12.0, 10.0, 0.5)
    assert inked(ring, rgb(INK)) == pytest.approx((24.75, 35.25, 6.75, 17.25), abs=0.3)
    shape = sheet()
    shape.shape(Path([(-0.5, -1.0), (0.5, -1.0), (0.5, 0.0), (-0.5, 0.0), (-0.5, -1.0)]), 20.0, 15.0, 8.0, (0, 1.0, 0))
    assert inked(shape, (0, 255, 0)) == pytest.approx((16.0, 24.0, 15.0, 23.0), abs=0.2)


def test_a_picture_is_pasted_dot_on_dot() -> None:
    noise = np.random.default_rng(0).integers(0, 200, (60, 90, 3)).astype(np.uint8)
    paper = sheet()
    dot = MM_PER_INCH / DPI
    paper.paste(Image.fromarray(noise), 300 * dot, 200 * dot)
    assert paper.figure is not None
    shown = np.asarray(figure_image(paper.figure))
    assert (shown[170:230, 255:345] == noise).mean() > 0.99
    assert (shown[:165] == 255).all()


def test_without_a_figure_nothing_is_written() -> None:
    paper = Paper(None, SIZE)
    paper.write(1.0, 1.0, "x", 9.0)
    paper.paste(Image.new("RGB", (3, 3)), 1.0, 1.0)
    paper.line((0.0, 0.0), (1.0, 1.0))
    paper.fill(0.0, 0.0, 1.0, 1.0, "white")
    paper.shape(Path([(0.0, 0.0), (1.0, 1.0)]), 0.0, 0.0, 1.0, "white")
    paper.ring(0.0, 0.0, 1.0, 0.1)
    assert (paper.wide, paper.tall) == SIZE
