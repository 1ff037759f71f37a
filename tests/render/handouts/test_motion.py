"""Moving pictures: one scale, one canvas, the fabric in its middle, as wide as the numbers say; and what files hold."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from fabricsim.errors import InputError
from fabricsim.render import build_yarns, draw_side
from fabricsim.render.basics.options import Side
from fabricsim.render.basics.palette import INK, PAPER, rgb
from fabricsim.render.handouts.motion import (
    SHORTEST_MS,
    Caption,
    FilmCanvas,
    FilmKind,
    as_bytes,
    canvas_for,
    frame,
    shared_palette,
    still,
    turns,
)
from fabricsim.render.trace.model import YarnModel
from tests.render.fabrics import GAUGE, THREE, fabric
from tests.render.looking import unlit

ROWS = ("bbccbb", "cbbccb", "bccbbb", "bbbbbb")
"""Of two dark yarns: paper, even in shadow, is lighter than either in blue."""
Drawn = tuple[FilmCanvas, list[np.ndarray], float]
SQUEEZED = (1.0, 0.97, 0.93, 0.9)


def covered(picture: np.ndarray) -> np.ndarray:
    """Return which pixels show fabric."""
    return picture[..., 2] < 160


@pytest.fixture(scope="module", params=["swatch", "round"])
def drawn_in(request: pytest.FixtureRequest) -> Drawn:
    """The same piece squeezed more and more, on one canvas; and its plain width."""
    across = 5
    pieces = [fabric(ROWS, request.param, across=across, up=3, squeeze=one) for one in SQUEEZED]
    models = [unlit(piece) for piece in pieces]
    canvas = canvas_for(models[0], "face", pieces, 420)
    pictures = [np.asarray(still(model, "face", canvas)) for model in models]
    plain = across * len(ROWS[0]) * GAUGE.stitch_width
    return canvas, pictures, plain if request.param == "swatch" else plain / np.pi


def test_silhouettes_narrow_by_as_many_pixels_as_the_widths(
    drawn_in: Drawn,
) -> None:
    canvas, pictures, plain = drawn_in
    wide = [int(np.ptp(np.nonzero(covered(picture).any(axis=0))[0])) + 1 for picture in pictures]
    for squeeze, one in zip(SQUEEZED, wide, strict=True):
        narrower = (1.0 - squeeze) * plain / canvas.metres_per_px
        assert wide[0] - one == pytest.approx(narrower, abs=1.0)  # pixels
    assert wide[0] - wide[-1] > 20


def test_all_are_of_one_size_with_the_fabric_in_the_middle(
    drawn_in: Drawn,
) -> None:
    canvas, pictures, _ = drawn_in
    for picture in pictures:
        assert picture.shape == (canvas.height_px, canvas.width_px, 3)
        there = covered(picture)
        for axis in (0, 1):
            seen = np.nonzero(there.any(axis=axis))[0]
            assert seen[0] > 0  # paper all round
            assert seen[-1] < there.shape[1 - axis] - 1
        columns = np.nonzero(there.any(axis=0))[0]
        assert 0.5 * (columns[0] + columns[-1] + 1) == pytest.approx(0.5 * canvas.width_px, abs=2.0)
    assert canvas.height_px <= 1.25 * canvas.width_px + 1


def test_what_grows_fits_in() -> None:
    pieces = [fabric(ROWS, "swatch", across=3, squeeze=one) for one in (0.9, 1.0)]
    canvas = canvas_for(unlit(pieces[0]), "face", pieces, 300)
    there = covered(np.asarray(still(unlit(pieces[1]), "face", canvas)))
    assert there.any()
    assert not there[:, [0, -1]].any()
    assert not there[[0, -1]].any()


@pytest.fixture(scope="module")
def narrower() -> YarnModel:
    return build_yarns(fabric(THREE, "repeat", squeeze=0.95), "draft")


@pytest.mark.parametrize("side", ["face", "back"])
def test_a_still_is_the_picture_that_is_drawn_anyhow(side: Side, narrower: YarnModel) -> None:
    model = narrower
    alone = draw_side(model, side, width_px=240)
    room = 24
    canvas = FilmCanvas(400, alone.image.width + 2 * room, alone.image.height + 2 * room, alone.metres_per_px)
    pixels = np.asarray(still(model, side, canvas)).astype(int)
    inner = slice(room + 1, -room - 1)  # the border of the window may lie inside a pixel
    apart = np.abs(pixels[inner, inner] - np.asarray(alone.image).astype(int)[1:-1, 1:-1]).max(axis=2)
    assert (apart == 0).mean() > 0.995  # some rays graze an edge of yarn, to the last bit of float32
    paper = pixels[:2].reshape(-1, 3)
    assert (paper == paper[0]).all()  # cut off at the window


def test_a_page_holds_the_picture_its_caption_and_a_bar_to_scale() -> None:
    canvas = FilmCanvas(600, 556, 120, 0.5e-3)
    fabric_part = Image.effect_noise((556, 120), 40).convert("RGB")
    caption = Caption(("slack -5.0 %", "20.1 cm wide", "8.0 % narrower"), 0.24, 0.2)
    page = frame(fabric_part, canvas, caption, "A piece: face")
    assert page.width == 600
    pixels = np.asarray(page).astype(int)
    left = (600 - 556) // 2
    top = next(y for y in range(page.height) if (pixels[y : y + 120, left : left + 556] == fabric_part).all())
    below = pixels[top + 120 :]
    ink = (np.abs(below - rgb(INK)).max(axis=2) < 30).sum(axis=1)
    assert ink[:40].max() == pytest.approx(0.2 / 0.5e-3, abs=2)
    drawn = np.nonzero((below[:40] != PAPER).any(axis=(0, 2)))[0]
    assert drawn[-1] - drawn[0] == pytest.approx(0.24 / 0.5e-3, abs=2)
    assert 0.5 * (drawn[0] + drawn[-1]) == pytest.approx(left + 278, abs=1)
    text = (below[55:] != PAPER).any(axis=(0, 2))
    for part in (text[:200], text[200:400], text[400:]):
        assert part.any()


def test_frames_go_there_and_back_with_a_rest_at_both_ends() -> None:
    order, shown = turns(5, 4.0)
    assert order == [0, 1, 2, 3, 4, 3, 2, 1]
    assert sum(shown) == 4000
    moving = [shown[k] for k in (1, 2, 3, 5, 6, 7)]
    assert len(set(moving)) == 1
    assert min(shown[0], shown[4]) >= 0.12 * 4000
    assert abs(shown[0] - shown[4]) < 20
    assert all(one % 10 == 0 for one in shown)
    assert turns(2, 1.0) == ([0, 1], [500, 500])


def test_too_little_time_is_refused_with_how_much_it_takes() -> None:
    with pytest.raises(
        InputError, match=r"--seconds: given 1 for 100 frames there and back; allowed: at least 5\.2"
    ) as e:
        turns(100, 1.0)
    least = float(e.value.allowed.removeprefix("at least "))
    assert min(turns(100, least)[1]) == SHORTEST_MS


@pytest.fixture(scope="module")
def pages() -> list[Image.Image]:
    """Pages of a fabric that narrows."""
    pieces = [fabric(ROWS, "swatch", across=3, up=2, squeeze=one) for one in SQUEEZED]
    models = [unlit(piece) for piece in pieces]
    canvas = canvas_for(models[0], "back", pieces, 300)
    return [
        frame(still(model, "back", canvas), canvas, Caption((f"{squeeze}",), 0.09, 0.09 * squeeze), "A piece")
        for model, squeeze in zip(models, SQUEEZED, strict=True)
    ]


@pytest.mark.parametrize(("kind", "off"), [("gif", 4.0), ("webp", 4.0)])
def test_a_file_holds_every_frame_for_its_time_and_loops(pages: list[Image.Image], kind: FilmKind, off: float) -> None:
    order, shown = turns(len(pages), 2.0)
    data = as_bytes([pages[k] for k in order], shown, kind)
    film = Image.open(io.BytesIO(data))
    assert film.n_frames == len(order)
    assert film.size == pages[0].size
    assert film.info["loop"] == 0
    for number, which in enumerate(order):
        film.seek(number)
        film.load()  # a WebP knows how long a frame lasts once it is read
        assert film.info["duration"] == shown[number]
        shown_hwc = np.asarray(film.convert("RGB"), float)
        apart = [np.abs(shown_hwc - np.asarray(page, float)).mean() for page in pages]
        assert apart[which] < off  # of 255
        assert apart[which] < 0.6 * min(apart[:which] + apart[which + 1 :])  # it is that page and no other
    assert as_bytes([pages[k] for k in order], shown, kind) == data


def test_a_gif_has_one_table_of_colours_so_that_nothing_flickers(pages: list[Image.Image]) -> None:
    data = as_bytes(pages, [100] * len(pages), "gif")
    assert tables(data) == (1, 0)
    film = Image.open(io.BytesIO(data))
    frames = []
    for number in range(film.n_frames):
        film.seek(number)
        frames.append(np.asarray(film.convert("RGB")).astype(int))
    same = (np.asarray(pages[0]) == np.asarray(pages[1])).all(axis=2)
    assert same.mean() > 0.3
    assert (frames[0][same] == frames[1][same]).all()
    palette = np.array(shared_palette(pages).getpalette()).reshape(-1, 3)
    assert len(palette) == 256
    assert (palette[-1] == palette[-2]).all()


def tables(data: bytes) -> tuple[int, int]:
    """Return how many global and local tables of colours a GIF has, block by block (GIF89a)."""
    flags = data[10]
    at, local = 13 + (3 * (2 << (flags & 7)) if flags & 128 else 0), 0
    while data[at] != 0x3B:
        if data[at] == 0x2C:
            own = data[at + 9]
            local += own >> 7
            at += 11 + (3 * (2 << (own & 7)) if own & 128 else 0)
        else:
            at += 2
        while data[at]:
            at += data[at] + 1
        at += 1
    return flags >> 7, local
