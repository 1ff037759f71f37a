"""Many fabrics on one page, from pictures that nobody traced: face above back, in rows of four, at one scale."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw

from fabricsim.render.basics.palette import GREY, INK, PAPER, rgb
from fabricsim.render.handouts import multiples
from fabricsim.render.handouts.multiples import EDGE, GAP, HEAD, LABEL, LEAST_WIDE, LINE, WIDE, Shown, multiples_page
from tests.render.fabrics import MOTIF, fabric

REST = fabric(MOTIF)


@pytest.fixture(autouse=True)
def no_tracing(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Blocks of one colour in place of pictures: each fabric red, green and so on, its back darker."""
    made: list[float] = []

    def build(rest: Any, quality: str) -> Any:
        assert quality == "draft"
        made.append(0.0)
        return SimpleNamespace(number=len(made))

    def camera(model: Any, side: str, scale: Any) -> Any:
        assert scale.metres_per_px == 1e-4
        return SimpleNamespace(frame_a=(-0.02, 0.04 + 0.01 * model.number, 0.0, 0.05))

    def drawn(model: Any, side: str, metres_per_px: float) -> Any:
        made.append(metres_per_px)
        shade = (40 * model.number, 200 if side == "face" else 80, 0)
        return SimpleNamespace(image=Image.new("RGB", (300, 200 + 20 * model.number), shade))

    monkeypatch.setattr(multiples, "build_yarns", build)
    monkeypatch.setattr(multiples, "camera_for", camera)
    monkeypatch.setattr(multiples, "draw_side", drawn)
    return made


def shown(*settings: str | None) -> list[Shown]:
    return [Shown(None if one is None else REST, one or "lost", f"what came of {one}") for one in settings]


def box(sheet: np.ndarray, colour: tuple[int, int, int]) -> tuple[int, int, int, int]:
    """Return left, right, top, bottom of all that has a colour."""
    rows, columns = np.nonzero((sheet == colour).all(axis=2))
    return int(columns.min()), int(columns.max()) + 1, int(rows.min()), int(rows.max()) + 1


def test_each_in_its_place_its_face_above_its_back() -> None:
    page = multiples_page(shown("a", "b", "c", "d", "e"), "All of it", "draft")
    sheet = np.asarray(page)
    wide = (WIDE - 2 * EDGE - 3 * GAP) // 4
    assert page.width == WIDE
    above = LINE * 2 + LINE // 2
    for number in range(5):
        row, column = divmod(number, 4)
        face, back = (box(sheet, (40 * (number + 1), green, 0)) for green in (200, 80))
        assert face[0] == back[0] == EDGE + column * (wide + GAP)
        assert face[1] - face[0] == 300
        assert face[3] - face[2] == 220 + 20 * number
        first = HEAD + row * (above + 2 * (280 + LABEL) + GAP) + above
        assert face[2] == first
        assert back[2] == first + (280 if row == 0 else 300) + LABEL  # under the tallest of the row
    assert page.height == HEAD + 110 + 2 * above + 2 * (280 + 300 + 2 * LABEL) + 2 * GAP
    edges = np.concatenate([sheet[:, : EDGE - 1].reshape(-1, 3), sheet[:, WIDE - EDGE + 1 :].reshape(-1, 3)])
    assert (edges == PAPER).all()


def test_all_at_the_scale_at_which_the_widest_fills_its_column(no_tracing: list[float]) -> None:
    multiples_page(shown("a", None, "c"), "All of it", "draft")
    wide = (WIDE - 2 * EDGE - 2 * GAP) // 3
    (scale,) = {one for one in no_tracing if one}
    assert scale == pytest.approx(0.08 / (wide - 2))  # 0.06 + 0.01 for each


def inked(sheet: np.ndarray, colour: str, left: int, right: int, top: int, bottom: int) -> int:
    return int((sheet[top:bottom, left:right] == rgb(colour)).all(axis=2).sum())


def test_the_setting_stands_in_ink_over_the_result_in_grey_and_the_side_under_each() -> None:
    page = multiples_page(shown("a setting", None), "All of it", "draft")
    sheet = np.asarray(page)
    wide = (WIDE - 2 * EDGE - GAP) // 2
    for column in range(2):
        left = EDGE + column * (wide + GAP)
        first = (left, left + wide, HEAD, HEAD + LINE - 2)
        second = (left, left + wide, HEAD + LINE, HEAD + 2 * LINE)
        assert inked(sheet, INK, *first) > 20
        assert inked(sheet, GREY, *first) == 0
        assert inked(sheet, GREY, *second) > 20
        assert inked(sheet, INK, *second) == 0
    face, back = (box(sheet, (40, green, 0)) for green in (200, 80))
    for picture in (face, back):
        assert inked(sheet, GREY, EDGE, EDGE + 100, picture[3] + 2, picture[3] + LABEL) > 20
        assert inked(sheet, GREY, EDGE + 100, EDGE + wide, picture[3] + 2, picture[3] + LABEL) == 0
    assert inked(sheet, INK, EDGE, WIDE - EDGE, 20, HEAD - 40) > 200  # the title


def test_the_bar_is_as_long_as_it_says(no_tracing: list[float]) -> None:
    page = multiples_page(shown("a", "b"), "All of it", "draft")
    (scale,) = {one for one in no_tracing if one}
    foot = np.asarray(page)[-56:-54]
    dark = np.flatnonzero((foot == rgb(INK)).all(axis=(0, 2)))
    run = dark[: np.flatnonzero(np.diff(dark) > 1)[0] + 1] if (np.diff(dark) > 1).any() else dark
    assert abs(run[0] - EDGE) <= 2  # half the thickness of its end
    length = (run[-1] - run[0]) * scale
    assert min(abs(length - one) for one in (0.01, 0.02, 0.05)) < 4.0 * scale
    assert length <= 0.2 * WIDE * scale + 4.0 * scale
    ticks = np.asarray(page)[-56 - 12 : -56 + 13, [run[0], run[-1]]]
    assert (ticks == rgb(INK)).all(axis=2).mean() > 0.9


@pytest.mark.parametrize(("scale", "says"), [(1e-4, "2 cm"), (4e-5, "1 cm"), (3e-4, "10 cm")])
def test_the_bar_says_its_length_in_words(scale: float, says: str, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[str] = []
    ink = ImageDraw.Draw(Image.new("RGB", (WIDE, 200)))
    monkeypatch.setattr(ink, "text", lambda _at, text, **_how: written.append(text))
    multiples._scale_bar(ink, EDGE, 100, scale)
    assert written == [f"{says}; all pictures are at this scale"]


def test_without_any_rest_there_are_words_alone() -> None:
    page = multiples_page(shown(None, None), "All of it", "draft")
    assert page.height == HEAD + 110 + LINE * 2 + LINE // 2 + 2 * LINE + 2 * LABEL + GAP


@pytest.mark.parametrize("slacks", [2, 5, 12])
def test_what_has_the_same_slack_stands_in_one_column(slacks: int) -> None:
    every = [Shown(None, f"slack {number} %", "no rest") for _ in range(2) for number in range(slacks)]
    page = np.asarray(multiples_page(every, "", columns=slacks)).astype(int)
    inked = (page != page[0, 0]).any(axis=2)
    inked[-120:] = False  # the scale
    lines = np.flatnonzero(np.diff(np.concatenate([[0], inked.any(axis=1).astype(int), [0]])))
    bands = [inked[top:bottom] for top, bottom in zip(lines[::2], lines[1::2], strict=True)]
    assert len(bands) == 4  # setting and result, twice
    assert (bands[0] == bands[2]).all()
    assert page.shape[1] >= 2 * EDGE + slacks * LEAST_WIDE + (slacks - 1) * GAP


def test_a_letter_that_no_font_has_is_a_question_mark_in_the_title() -> None:
    titles = ("All ? of it", "All \U000f0123 of it")
    plain, strange = (np.asarray(multiples_page(shown(None), title, "draft")) for title in titles)
    assert (plain == strange).all()
