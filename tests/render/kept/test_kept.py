"""Every drawing is as it was looked at; and a change that an eye would see is seen."""

from __future__ import annotations

import pytest
from PIL import Image, ImageChops, ImageDraw

from tests.render.kept.compared import FOLDER, apart, kept
from tests.render.kept.drawings import DRAWINGS

MOST = 3
"""Pixels that may differ (chosen: a ray that grazes the edge of a yarn, to the last bit of float32)."""


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_is_as_it_was_looked_at(name: str) -> None:
    drawn, before = DRAWINGS[name](), kept(name)
    assert drawn.size == before.size, f"another size; look at it with python -m tests.render.kept: {name}"
    assert apart(drawn, before) <= MOST, f"drawn otherwise; look at it with python -m tests.render.kept: {name}"


def test_every_picture_that_is_kept_is_drawn() -> None:
    assert {path.stem for path in FOLDER.glob("*.png")} == set(DRAWINGS)


def test_a_pixel_aside_is_the_same_and_a_thicker_line_or_another_letter_is_not() -> None:
    before = Image.new("RGB", (60, 40), "white")
    ink = ImageDraw.Draw(before)
    ink.text((5, 5), "slack -5 %", fill="black")
    ink.line([(5, 30), (50, 30)], fill="gray")
    assert apart(before, before) == 0
    assert apart(before, ImageChops.offset(before, 1, 0)) == 0
    assert apart(before, ImageChops.offset(before, 3, 0)) > MOST
    for change in (
        lambda ink: ink.line([(5, 29), (50, 29)], fill="gray", width=3),
        lambda ink: ink.line([(5, 30), (50, 30)], fill="black"),
        lambda ink: ink.rectangle([(40, 5), (60, 20)], fill="white"),
    ):
        other = before.copy()
        change(ImageDraw.Draw(other))
        assert apart(before, other) > MOST
